"""Panel switches that choose among inputs: rotary switches of one deck and of several, and a coded one.

C&K A series, data sheet: one to four poles, 30 degrees a step, contacts of coin silver (Q) or gold (B or G), at most
20 milliohm.  Its codes A102, A103 to A106 are one pole of 2, 3 to 6 positions; that those of more poles begin with A2,
A3 and A4, and the rest of the number (actuator 15, bushing R, no seal, lugs Z, gold B) is from memory.  So are the
lugs: 1 to 12 round the body, shared out among the poles, and the common ones, which the body marks A to D and KiCad's
symbols, drawn after another maker's sheet, number 13 to 16.

C&K RTA series, data sheet: coded, on a bushing, gold for 0.5 VA, 20 mA, 25 V.  Number and terminals from memory.

Grayhill 71 series, data sheet: 1 to 12 decks, 30 degrees a step, style B with a bushing 3/8-32 and a shaft of 1/4 inch,
one to six poles a deck, non-shorting as letter N.  Number: style and angle, decks, poles a deck, positions a pole, as
71BSF30-01-2-06N and the maker's catalogue print it.  That poles share a deck's twelve positions evenly is the table of
the sister series (one pole 2 to 12, two 2 to 6, three 2 to 4, four 2 or 3; five and six have 2); that it holds here,
that all decks together have at most 12 poles, and that gold covers the contacts are from memory.
"""

from __future__ import annotations

from rasterport.parts.common import MEMORY, SCHEME
from rasterport.records import CataloguePart, Pin

ROTARY_LUGS = 12
"""Positions of all poles together."""

ROTARY_POLES = (1, 2, 3, 4)
ROTARY_SYMBOLS = {
    1: "Switch:SW_Rotary12", 2: "Switch:SW_Rotary2x6", 3: "Switch:SW_Rotary3x4", 4: "Switch:SW_Rotary4x3",
}  # fmt: skip

PANEL_HOLE_MM = 9.7
"""Hole for the 3/8 inch bushing, from memory; measure the bushing."""

DECK_LUGS = 12
"""Positions of all poles of one deck together, 30 degrees apart: Grayhill 71 series data sheet."""

DECK_POLES = tuple(range(5, 13))
DECK_POSITIONS = (3, 4, 5)
DECK_NAMES = "ABCDEF"
"""Decks from the shaft; the maker prints no letters, so they are ours."""

CODE_WEIGHTS = (1, 2, 4, 8)
CODE_POSITIONS = 10
HAND_MM = 25.0
"""What a hand takes in front of the panel [mm].  Judgement, stated."""


def rotary_positions(poles: int) -> tuple[int, ...]:
    """Numbers of positions that a switch of so many poles is sold with.  Raises ValueError beyond four poles."""
    if poles not in ROTARY_POLES:
        raise ValueError(f"a rotary switch has 1 to 4 poles, found {poles}")
    return tuple(range(2, ROTARY_LUGS // poles + 1))


def rotary_switch(poles: int, positions: int) -> CataloguePart:
    """Rotary switch of one deck; pins `common-n` and `k-n` for position k of pole n.

    Lugs beyond the stop are there but dead.  Raises ValueError for another number of poles or positions.
    """
    offered = rotary_positions(poles)
    if positions not in offered:
        raise ValueError(f"a rotary switch of {poles} poles has 2 to {offered[-1]} positions, found {positions}")
    each = ROTARY_LUGS // poles
    throws = [Pin(str(lug + 1), f"{lug % each + 1}-{lug // each + 1}") for lug in range(ROTARY_LUGS)]
    commons = [Pin(str(ROTARY_LUGS + pole), f"common-{pole}") for pole in range(1, poles + 1)]
    name = f"A{poles}{positions:02d}"
    return CataloguePart(
        key=f"rotary-switch/{poles}x{positions}",
        letter="S",
        appears="contacts",
        name=name,
        description=f"Rotary switch, {poles} pole{'s' if poles > 1 else ''}, {positions} positions, gold, panel",
        pins=(*throws, *commons),
        package="panel, bushing 3/8 inch",
        footprint="",
        manufacturer="C&K",
        part_number=f"{name}15RNZB",
        number_rests_on=MEMORY,
        symbol=ROTARY_SYMBOLS[poles],
        rating="0.4 VA, 20 V",
        ratings={
            "poles": float(poles),
            "positions": float(positions),
            "contact_ohm": 0.02,
            "contact_max_va": 0.4,
            "contact_max_v": 20.0,
            "panel_hole_mm": PANEL_HOLE_MM,
            "plug_width_mm": HAND_MM,
            "plug_height_mm": HAND_MM,
        },
        source="C&K A series data sheet",
        confidence="poles and contact resistance from text; number, lugs and the rating of gold from memory",
    )


def decks_of(poles: int, positions: int) -> tuple[int, int]:
    """(decks, poles a deck) of the shortest deck switch that has so many poles; all decks are alike.

    Raises ValueError for what is not sold.
    """
    if poles not in DECK_POLES or positions not in DECK_POSITIONS:
        raise ValueError(
            f"a deck switch has {DECK_POLES[0]} to {DECK_POLES[-1]} poles of {DECK_POSITIONS[0]} to "
            f"{DECK_POSITIONS[-1]} positions, found {poles} of {positions}"
        )
    decks = -(-poles // (DECK_LUGS // positions))
    return decks, -(-poles // decks)


def deck_switch(poles: int, positions: int) -> CataloguePart:
    """Rotary switch of several decks, break before make; pins `common-n` and `k-n` for position k of pole n.

    A pin bears its deck and its lug there: A3 is lug 3 of the first deck, AC1 the first common lug of it.  Poles fill
    deck after deck.  Lugs beyond the stop, and poles that the last deck has to spare, are there but no pins.
    Raises ValueError for what is not sold.
    """
    decks, each = decks_of(poles, positions)
    pitch = DECK_LUGS // each
    throws, commons = [], []
    for pole in range(poles):
        deck, place = DECK_NAMES[pole // each], pole % each
        throws += [Pin(f"{deck}{place * pitch + k}", f"{k}-{pole + 1}") for k in range(1, positions + 1)]
        commons.append(Pin(f"{deck}C{place + 1}", f"common-{pole + 1}"))
    name = f"71B30-{decks:02d}-{each}-{positions:02d}N"
    return CataloguePart(
        key=f"deck-switch/{poles}x{positions}",
        letter="S",
        appears="contacts",
        name=name,
        description=f"Rotary switch, {decks} decks of {each} poles, {positions} positions, non-shorting, panel",
        pins=(*throws, *commons),
        package="panel, bushing 3/8-32",
        footprint="",
        manufacturer="Grayhill",
        part_number=name,
        number_rests_on=SCHEME,
        rating="0.2 A, 30 V",
        ratings={
            "poles": float(poles),
            "positions": float(positions),
            "contact_ohm": 0.1,
            "contact_max_a": 0.2,
            "contact_max_v": 30.0,
            "panel_hole_mm": PANEL_HOLE_MM,
            "plug_width_mm": HAND_MM,
            "plug_height_mm": HAND_MM,
        },
        source="Grayhill 71 series data sheet; contact resistance after life of the maker's switches of one deck",
        confidence="decks, bushing, load and number from text; shares of a deck, gold and lugs from memory",
    )


def coded_switch() -> CataloguePart:
    """Coded rotary switch of ten positions, 0 to 9, real code; pins C and the weights 1, 2, 4, 8: see `coded_closed`.

    KiCad's symbols of coded switches are those of other makers; the lugs are named by what they do.
    """
    return CataloguePart(
        key="coded-switch/bcd",
        letter="S",
        appears="contacts",
        name="RTA BCD",
        description="Coded rotary switch, 10 positions, BCD real code, gold, panel",
        pins=(Pin("C", "C"), *(Pin(str(weight), str(weight)) for weight in CODE_WEIGHTS)),
        package="panel, bushing",
        footprint="",
        manufacturer="C&K",
        rating="0.5 VA, 25 V",
        ratings={
            "poles": 1.0,
            "positions": float(CODE_POSITIONS),
            "contact_ohm": 0.15,
            "contact_max_va": 0.5,
            "contact_max_a": 0.02,
            "contact_max_v": 25.0,
        },
        source="C&K RTA series data sheet",
        confidence="ratings from text; terminals from memory; no order number: ask for BCD, real code, gold, lugs",
    )


def coded_closed(position: int) -> tuple[str, ...]:
    """Lugs that stand together with C at a position: the weights that add up to it.

    Raises ValueError beyond 0 to 9.
    """
    if not 0 <= position < CODE_POSITIONS:
        raise ValueError(f"a coded switch has positions 0 to {CODE_POSITIONS - 1}, found {position}")
    return tuple(str(weight) for weight in CODE_WEIGHTS if position & weight)
