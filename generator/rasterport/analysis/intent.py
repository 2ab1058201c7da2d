"""What a board is meant to do in every state, and where it does otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rasterport.analysis.network import chosen
from rasterport.analysis.outside import MENU, ON, place_of, status_key
from rasterport.analysis.poses import Poses, positions_of
from rasterport.analysis.switches import HIGH, LOW
from rasterport.analysis.walk import Bits, Place, Source, Walk
from rasterport.design.choosing import AUTOMATIC, choosing
from rasterport.design.landings import SWITCHED, carries_audio, is_shared, is_switched, lines_of
from rasterport.design.power import straight
from rasterport.records import COLOURS, Circuit
from rasterport.variant.models import Variant

LOADS_OHM = (60.0, 90.0)
"""What counts as a termination of the 75 ohm class [ohm]; how good it is, is a figure of its own."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Offence:
    """Where a board does otherwise: rule, subject, what happens, in how many states, the first of them in words."""

    rule: str
    subject: str
    text: str
    states: int
    first: str


class Proof:
    """The walk of a board laid beside what its variant wants."""

    def __init__(self, circuit: Circuit, variant: Variant, place: Place | None = None) -> None:
        self.circuit, self.variant = circuit, variant
        self.walk = Walk(place or place_of(circuit, variant))
        self.sources = self.walk.place.sources

    @cached_property
    def rail(self) -> Flags:
        """In which states the rail is on."""
        found: Flags = self.walk.values["rail"] == 1
        return found

    @property
    def _thrown_by_hand(self) -> set[str]:
        return {p.role for p in self.circuit.parts if p.part.letter == "S"}

    @cached_property
    def intended(self) -> NDArray[np.int64]:
        """The input that is wanted in every state, 0 for native."""
        selector, values, how = self.variant.selector, self.walk.values, choosing(self.variant)
        called = np.zeros(self.walk.size, np.int64)
        for n in reversed(how.by_status):
            called[values[status_key(n)] >= ON] = n
        if selector.gate == "line":
            called[values["gate"] != (selector.gate_active == "high")] = 0
        found = called
        if how.positions or not how.by_status:
            meanings = np.array(positions_of(self.variant))
            for switch in (a for a in self.walk.axes if a.key in self._thrown_by_hand):
                meant = meanings[np.minimum(values[switch.key], len(meanings) - 1)]
                found = np.where(meant == AUTOMATIC, called, meant)
        if selector.path in ("relay", "cmos") or how.by_status:
            found[~self.rail] = 0  # contacts thrown by hand stay where they are without a rail
        return found

    def lines(self) -> tuple[str, ...]:
        """The lines that this variant lands."""
        return lines_of(self.variant)

    def silent(self, line: str, index: int) -> bool:
        """Whether an input has nothing for a line: a landing of sound that another input needs."""
        return line in ("left", "right") and not carries_audio(self.variant, index)

    def given_back(self, line: str) -> bool:
        """Whether the landing of a line is to be the set's own again when native."""
        audio = self.variant.set.audio
        if line in COLOURS:
            return is_shared(self.variant)
        if line == "sync":
            return self.variant.set.sync.arrangement in SWITCHED
        return audio is not None and audio.arrangement in SWITCHED

    def wanted(self, line: str, index: int) -> int:
        """Sources that belong on a landing when an input (0: the set) is chosen, as bits; 0 if any is missing.

        Where the set's own display keeps the colour pins it is there in every state, beside the chosen input.
        """
        own = self.bits(s for s in self.sources if s.index == 0 and s.line == line)
        if index == 0:
            return own
        functions = _functions(self.variant, line, index)
        found = [s for s in self.sources if s.index == index and s.line in functions]
        if line in COLOURS and is_switched(self.variant):
            return self.bits(found) if len(found) == len(functions) else 0
        if line in COLOURS and is_shared(self.variant) and not own:
            return 0
        return self.bits(found) | (own if line in COLOURS else 0) if len(found) == len(functions) else 0

    def _turned(self, line: str, wanted: np.uint64) -> Bits | np.uint64:
        """What belongs on a landing in every state: where the display takes turns it is alone there with its menu."""
        if line not in COLOURS or not is_switched(self.variant) or self.menu is None:
            return wanted
        return np.where(self.menu, np.uint64(self.wanted(line, 0)), wanted)

    def bits(self, sources: Iterable[Source]) -> int:
        """Sources as bits."""
        return sum(1 << self.sources.index(s) for s in sources)

    def reach(self, line: str) -> Bits:
        """Which sources reach a landing, in every state."""
        return self.walk.reach(self.walk.place.landings.get(line, ""))[self.walk.config]

    def names(self, bits: int) -> str:
        """Sources in words."""
        found = [s.name for n, s in enumerate(self.sources) if bits >> n & 1]
        return " and ".join(found) if found else "nothing"

    def offence(self, rule: str, subject: str, text: str, wrong: Flags) -> Iterator[Offence]:
        """An offence where any state is wrong; undecided states are told by themselves."""
        wrong = wrong & (self.walk.undecided == 0)
        if wrong.any():
            first = int(np.argmax(wrong))
            yield Offence(rule, subject, text, int(wrong.sum()), self.walk.words(first))

    def offences(self) -> Iterator[Offence]:
        """Everything that is not as it should be."""
        for line in self.lines():
            yield from self._line(line)
        yield from self._joined()
        yield from self._loads()
        yield from self._blanking()
        yield from self._native()
        yield from self._energised()
        yield from self._undecided()

    def _line(self, line: str) -> Iterator[Offence]:
        found, intended = self.reach(line), self.intended
        for index in range(1, len(self.variant.input) + 1):
            none = self.silent(line, index)
            wanted = self._turned(line, np.uint64(0 if none else self.wanted(line, index)))
            # A chip without supply passes nothing: with the rail off there may be no signal, but never another.
            silent = (found == 0) & ~self.rail & bool(self.walk.place.board.chips)
            wrong = (intended == index) & ((found != wanted) | ((wanted == 0) & ~none)) & ~silent
            yield from self._on_landing("source", line, f"input-{index} is wanted", wrong)
        if self.given_back(line):
            own = np.uint64(self.wanted(line, 0))
            wrong = (intended == 0) & ((found != own) | (own == 0))
            if line in COLOURS and is_switched(self.variant):
                silent = (found == 0) & ~self.rail  # a dead set shows no menu
                wrong = (intended == 0) & ((found != self._turned(line, np.uint64(0))) | (own == 0)) & ~silent
            yield from self._on_landing("native", line, "the set's own feed alone is wanted", wrong)
        elif len(self.variant.input) > 1:
            wrong = (intended == 0) & (found != 0)
            yield from self._on_landing("native", line, "nothing of the board is wanted", wrong)
        else:
            # A landing that is given up to the board keeps its source when native: by design, but never two.
            stays = [np.uint64(self.wanted(line, n)) for n in range(1, len(self.variant.input) + 1)]
            fine = (found == 0) | np.logical_or.reduce([found == s for s in stays])
            yield from self._on_landing("native", line, "at most one input may stay", (intended == 0) & ~fine)

    def _on_landing(self, rule: str, line: str, want: str, wrong: Flags) -> Iterator[Offence]:
        for offence in self.offence(rule, line, "", wrong):
            found = self.names(int(self.reach(line)[int(np.argmax(wrong & (self.walk.undecided == 0)))]))
            yield Offence(rule, line, f"{want}, the landing has {found}", offence.states, offence.first)

    def _joined(self) -> Iterator[Offence]:
        """Two sources meet when one reaches the place of the other; sides that are summed on purpose are one."""
        for n, source in enumerate(self.sources):
            together = self._summed(source)
            met = self.walk.reach(source.net) & ~np.uint64(together | 1 << n)
            if source.net in self.walk.place.walls or not met.any():
                continue
            other = met[self.walk.config] & ~self._beside(source)
            wrong = (other != 0) & (self.walk.undecided == 0)
            if wrong.any():
                others = self.names(int(other[int(np.argmax(wrong))]))
                yield from self.offence("joined", source.name, f"is joined with {others}", wrong)

    def _beside(self, source: Source) -> Bits:
        """What may meet a source in every state: the set's display and the input that is wanted, on the colour pins."""
        found = np.zeros(self.walk.size, np.uint64)
        if source.line not in COLOURS or not is_shared(self.variant) or is_switched(self.variant):
            return found
        for index in (source.index,) if source.index else range(1, len(self.variant.input) + 1):
            found[self.intended == index] = np.uint64(self.wanted(source.line, index))
        return found

    def _summed(self, source: Source) -> int:
        for line in ("left", "right"):
            bits = self.wanted(line, source.index) if source.index else 0
            if bits >> self.sources.index(source) & 1:
                return bits
        return 0

    def _loads(self) -> Iterator[Offence]:
        for source in self.walk.place.loaded:
            ohm = self.walk.load(source)
            wrong = ~((ohm >= LOADS_OHM[0]) & (ohm <= LOADS_OHM[1]))[self.walk.config]
            yield from self.offence("terminated", source.name, "sees no 75 ohm", wrong)

    @cached_property
    def driven(self) -> Flags:
        """Whether the board drives the blanking pin."""
        found: Flags = (self.walk.blanking & HIGH) != 0
        return found

    def _blanking(self) -> Iterator[Offence]:
        wanted = (self.intended > 0) & self.rail
        if self.menu is not None:
            yield from self._with_menu(wanted, self.menu)
            return
        text = "not driven though the input is wanted"
        yield from self.offence("blanking", "blanking", text, wanted & ~self.driven)
        yield from self.offence("blanking", "blanking", "driven though no input is wanted", ~wanted & self.driven)

    @cached_property
    def menu(self) -> Flags | None:
        """In which states the set's display shows a menu; None where its blanking does not land on the board."""
        found = self.walk.values.get(MENU)
        return None if found is None else found == 1

    def _with_menu(self, wanted: Flags, menu: Flags) -> Iterator[Offence]:
        """Display and board both drive the pin, each through what it has; a dead set shows no menu."""
        driven = self.driven
        text = "not driven though the input is wanted"
        yield from self.offence("blanking", "blanking", text, wanted & ~driven)
        text = "not driven though the display shows a menu"
        yield from self.offence("blanking", "blanking", text, menu & self.rail & ~driven)
        text = "driven though no input is wanted and no menu is shown"
        yield from self.offence("blanking", "blanking", text, ~wanted & ~menu & driven)

    def _native(self) -> Iterator[Offence]:
        """When native the blanking pin is as the set had it, and no relay is energised."""
        native, pin = self.intended == 0, self.variant.set.blanking.native
        own = self.reach("blanking") != 0
        grounded = (self.walk.blanking & LOW) != 0
        wrong = own if pin != "driven" else ~own
        if self.menu is not None:  # its own drive comes through a diode, and `_with_menu` looks for it
            wrong = ~grounded
        elif pin == "grounded":
            wrong = wrong | ~grounded
        elif not straight(self.variant):  # a divider that stays on the pin is judged by its own figure
            wrong = wrong | (grounded & (pin == "open"))
        yield from self.offence("native", "blanking", f"not as the set had it ({pin})", native & wrong)
        for relay in self.walk.place.board.relays:
            energised = (self.walk.positions[relay.role] == 1)[self.walk.config]
            yield from self.offence("native", relay.role, "energised though no input is wanted", native & energised)

    def _energised(self) -> Iterator[Offence]:
        """Whatever else calls, the relays that take current are those of the chosen input calling alone."""
        poses = Poses(self.circuit, self.variant, self.walk.place)
        for index in range(1, len(self.variant.input) + 1):
            alone = poses.pose(chosen(index)).conducting
            for relay in self.walk.place.board.relays:
                energised = (self.walk.positions[relay.role] == 1)[self.walk.config]
                wrong = (self.intended == index) & self.rail & (energised != (relay.role in alone))
                text = f"otherwise than with input-{index} alone"
                yield from self.offence("energised", relay.role, text, wrong)

    def _undecided(self) -> Iterator[Offence]:
        walk = self.walk
        for role in walk.place.board.unknown:
            yield Offence("undecided", role, "nothing says what this part does", walk.size, walk.words(0))
        for rule, found in (("undecided", walk.undecided), ("floating", walk.floats)):
            for n in np.flatnonzero(np.bincount(found))[int((found == 0).any()) :]:
                wrong = found == n
                yield Offence(rule, walk.reasons[n], "", int(wrong.sum()), walk.words(int(np.argmax(wrong))))


def _functions(variant: Variant, line: str, index: int) -> tuple[str, ...]:
    """Contacts of an input that belong on a landing; one source of sound feeds both sides, two are summed on one."""
    source = variant.input[index - 1]
    if line not in ("left", "right"):
        return (line,)
    if source.audio == "mono":
        return ("audio-left",)
    mono = variant.set.audio is not None and variant.set.audio.channels == "mono"
    return ("audio-left", "audio-right") if mono else (f"audio-{line}",)
