"""Where the contacts of sockets and panel switches lie, as a person sees them who solders or measures there.

The 21-contact socket and the DE-15 take their pitches from our own footprints.  Which way they count: a university text
on the CENELEC connector draws the odd row of a socket's mouth above and counts 1 to 21 from left to right, so that the
common picture with the odd row below has contact 1 at the right.  Contact 1 of a DE-15 socket is at the upper right of
its mouth, from memory; our footprint has it there.  The solder side is the mirror image of the mouth.
Jacks, toggles and rotary switches are from memory.  Whatever is moulded beside a contact rules.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from rasterport.parts.footprints import FOOTPRINTS, LIBRARY, PITCH_21, PITCH_DE15, ROWS_21, SOCKET_21, SOCKET_DE15
from rasterport.records import CataloguePart, Pin

View = Literal["lugs", "mouth", "below"]
VIEWS: dict[View, str] = {
    "lugs": "seen from the solder side, where the wires go on",
    "mouth": "seen into the mouth, where a plug goes in and an ohmmeter reaches",
    "below": "seen from below the board, its edge with the mouth at the foot",
}
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Face:
    """Contacts by number with their centres, x to the right and y down [mm], and outlines around them.

    A number may stand more than once (fixing holes).  `counts` says how far a person may go by the numbers.
    What our own footprints rest on stands in them, and in finding F901.
    """

    places: tuple[tuple[str, float, float], ...]
    outlines: tuple[tuple[Point, ...], ...]
    view: View
    counts: str


RULES = "numbers moulded on the part rule"


def face(part: CataloguePart) -> Face:
    """The face of a socket or switch; a part that nobody knows gets its contacts in a row."""
    family, _, kind = part.key.partition("/")
    if family == "socket":
        return _socket(kind.partition("/")[0], part)
    if family in ("panel-switch", "centre-switch"):
        return _toggle(part)
    if family in ("rotary-switch", "deck-switch"):
        return _rotary(part)
    numbers = [pin.number for pin in part.pins]
    return Face(tuple((n, 5.0 * k, 0.0) for k, n in enumerate(numbers)), (), "lugs", f"in no true order; {RULES}")


def _socket(wiring: str, part: CataloguePart) -> Face:
    if part.footprint.startswith(f"{LIBRARY}:"):
        return _below(part.footprint.partition(":")[2])
    view: View = "mouth" if part.package == "cable" else "lugs"
    mirror = 1 if view == "mouth" else -1
    if wiring.endswith("-21"):
        return _twenty_one(view, mirror)
    if wiring == "de-15":
        return _de15(view, mirror)
    return Face(
        (("1", 0.0, 0.0), ("2", 0.0, 10.5)),
        (_ring(0.0, 0.0, 6.6),),
        view,
        "1 is the centre, 2 the shell or its tag; not to scale",
    )


def _below(name: str) -> Face:
    """Our own footprint from the other side of the board: mirrored, the end of the part with its contacts."""
    made = FOOTPRINTS[name]
    places = tuple((pad.number, -pad.x, pad.y) for pad in made.pads if pad.number)
    left, right = -made.courtyard.x2, -made.courtyard.x1
    top = min(y for _, _, y in places) - 3.0
    edge = max(y for _, _, y in places) + 3.0
    outline = ((left, top), (right, top), (right, edge), (left, edge), (left, top))
    return Face(places, (outline,), "below", "numbers are those of the pads")


def _twenty_one(view: View, mirror: int) -> Face:
    """Odd row below; the slanted end of the shell is that of 20 and 21."""
    half = ROWS_21 / 2
    places = tuple(
        (pad.number, mirror * pad.x, half if int(pad.number) % 2 else -half) for pad in SOCKET_21.pads if pad.number
    )
    far, near, high = 19.05 + PITCH_21, 19.05 + PITCH_21 / 2, half + 3.4
    shell = ((near, -high), (near, high), (-far, high), (-near + 1.5, -high), (near, -high))
    outline = tuple((mirror * x, y) for x, y in shell)
    return Face(places, (outline,), view, RULES)


def _de15(view: View, mirror: int) -> Face:
    pads = [pad for pad in SOCKET_DE15.pads if pad.number]
    places = tuple((pad.number, mirror * pad.x, pad.y) for pad in pads)
    inner = [mirror * pad.x for pad in pads if pad.number != "0"]
    left, right = min(inner) - PITCH_DE15 * 0.7, max(inner) + PITCH_DE15 * 0.7
    top, bottom = -1.4, max(pad.y for pad in pads) + 1.7
    shell = ((left, top), (right, top), (right - 0.9, bottom), (left + 0.9, bottom), (left, top))
    return Face(places, (shell,), view, RULES)


TOGGLE_PITCH_MM, TOGGLE_ROWS_MM = 4.8, 4.7
"""Lugs of miniature toggles, from memory."""


def _toggle(part: CataloguePart) -> Face:
    """A column a pole, the common lug in the middle of each."""
    places = tuple(
        (pin.number, (n // 3) * TOGGLE_PITCH_MM, (n % 3) * TOGGLE_ROWS_MM) for n, pin in enumerate(part.pins)
    )
    right, bottom = max(x for _, x, _ in places) + 2.6, 2 * TOGGLE_ROWS_MM + 3.2
    box = ((-2.6, -2.2), (right, -2.2), (right, bottom), (-2.6, bottom), (-2.6, -2.2))
    words = "in each column the middle lug is usually the common one: find it with an ohmmeter"
    return Face(places, (box,), "lugs", words)


LUG_RING_MM, COMMON_RING_MM, DECK_STEP_MM = 9.5, 3.4, 26.5
"""Where the lugs and the common lugs of a deck are drawn; common practice, not to scale."""
LUGS = 12


def _rotary(part: CataloguePart) -> Face:
    """Twelve lugs round each deck and the common ones inside; counted against the clock, as from the shaft with it."""
    decks = sorted({_deck(pin.number) for pin in part.pins})
    places: list[tuple[str, float, float]] = []
    for pin in part.pins:
        if pin.name.startswith("common"):
            pole = pin.name.removeprefix("common")
            lugs = [_lug(other.number) for other in part.pins if other.name.endswith(pole) and other is not pin]
            alone = not any(p.name.startswith("common") and p is not pin and _same(p, pin) for p in part.pins)
            share, ring = sum(lugs) / len(lugs), 0.0 if alone else COMMON_RING_MM
        else:
            share, ring = _lug(pin.number), LUG_RING_MM
        turn, middle = -2 * math.pi * (share - 0.5) / LUGS, decks.index(_deck(pin.number)) * DECK_STEP_MM
        places.append((pin.number, middle + ring * math.sin(turn), -ring * math.cos(turn)))
    rings = tuple(_ring(n * DECK_STEP_MM, 0.0, LUG_RING_MM + 3.2) for n in range(len(decks)))
    words = f"not to scale; {RULES}" + ("; A is the deck at the shaft" if len(decks) > 1 else "")
    return Face(tuple(places), rings, "lugs", words)


def _same(one: Pin, other: Pin) -> bool:
    """Whether two lugs are on one deck."""
    return _deck(one.number) == _deck(other.number)


def _lug(number: str) -> int:
    """Place of a lug on its deck, from 1."""
    return int(number.lstrip("ABCDEF"))


def _deck(number: str) -> str:
    return number[0] if number[0].isalpha() else ""


def _ring(x: float, y: float, radius: float, steps: int = 36) -> tuple[Point, ...]:
    turns: Iterable[float] = (2 * math.pi * k / steps for k in range(steps + 1))
    return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)
