"""What chooses: which status contacts are read, and what each position of the panel switch means."""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Input, Variant

AUTOMATIC, NATIVE = -1, 0
"""Meanings of a position besides the number of an input: the status contacts choose, the set is native."""


@dataclass(frozen=True, slots=True)
class Choosing:
    """`by_status`: inputs whose contact is read.  `positions`: meaning of each position of the switch, () without one.

    The order of the positions is that of the switch's own values: of a toggle b, a; of one that rests in the centre
    centre, a, b; of a rotary switch as it turns.  `fallen_back`: inputs without a status contact, for which the
    variant asks one: the switch chooses them.
    """

    by_status: tuple[int, ...]
    positions: tuple[int, ...]
    fallen_back: tuple[int, ...] = ()

    @property
    def automatic(self) -> bool:
        """Whether the status contacts choose only while the switch says so."""
        return AUTOMATIC in self.positions


def status_contacts(source: Input) -> tuple[str, ...]:
    """Numbers of the status contacts that the socket of an input has, in rising order."""
    found = (f.removeprefix("status-") for f in WIRINGS[source.socket].functions if f.startswith("status-"))
    return tuple(sorted(found, key=int))


def choosing(variant: Variant) -> Choosing:
    """How an input is chosen.  A socket without a status contact falls back to the panel switch."""
    count, control = len(variant.input), variant.selector.control
    numbers = range(1, count + 1)
    reads = () if control == "panel" else tuple(n for n in numbers if status_contacts(variant.input[n - 1]))
    fallen = () if control == "panel" else tuple(n for n in numbers if n not in reads)
    if control == "status" and not fallen:
        return Choosing(reads, ())
    if not reads:
        return Choosing((), (NATIVE, *numbers), fallen)
    if count == 1:  # the centre of a toggle is native
        return Choosing(reads, (NATIVE, AUTOMATIC, 1), fallen)
    return Choosing(reads, (AUTOMATIC, NATIVE, *numbers), fallen)
