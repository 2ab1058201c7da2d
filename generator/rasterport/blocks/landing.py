"""Landing: the board's edge towards the chassis, a header or a row of wire pads, ground first.

GND  GND  RAIL_TAP  SYNC  ...  RED  GREEN  BLUE  BLANKING

A meter tells a missing wire only while nothing else joins its ends.  Through board and chassis all grounds are one, so
a wire is measured with its plug off the header; where it is soldered to the board, before that end is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, colour_of, gauge_of
from rasterport.records import BOARD_GROUND, SCREENS, CataloguePart, Wire

REFERENCES = {
    "landing": "J1",
    "landing/ground": "E1",
    "landing/ground-2": "E2",
    "landing/rail": "E3",
    "landing/gate": "E4",
    "landing/sync-native": "E5",
    "landing/sync": "E6",
    "landing/left-native": "E7",
    "landing/left": "E8",
    "landing/right-native": "E9",
    "landing/right": "E10",
    "landing/red": "E11",
    "landing/green": "E12",
    "landing/blue": "E13",
    "landing/blanking-native": "E14",
    "landing/blanking": "E15",
    "landing/ground-3": "E16",
    "landing/screens": "E17",
    "landing/display-red": "E34",
    "landing/display-green": "E35",
    "landing/display-blue": "E36",
    "landing/display-blanking": "E37",
}


ALL_SCREENS, TAIL_M = "all screens, one wire", 0.05
"""What the wire on it carries, and its length [m]; judgement, stated."""


@dataclass(frozen=True, slots=True)
class Land:
    """One landing: `name` is the last part of its role, `stage` its place in the order of work."""

    name: str
    net: str
    at: str
    carries: str
    stage: int
    shielded: bool = False
    length_m: float = 0.3


def landing(board: Board, lands: list[Land], style: str) -> None:
    """Place header or pads in the order given and one wire each; ground comes first by its stage.

    Without a printed board a landing is a name in the netlist, and `joints` finds the part where its wire begins.
    """
    if board.wired:
        for land in lands:
            _pad(board, land, parts.wire_end())
        return
    if style == "header":
        placed = board.place(
            "landing",
            parts.header(len(lands)),
            {str(n): land.net for n, land in enumerate(lands, 1)},
            REFERENCES,
            "wires to the chassis, grounds first",
        )
        pins = [(placed.ref, str(n)) for n in range(1, len(lands) + 1)]
        ends = [f"{ref} pin {number}" for ref, number in pins]
        for n, land in enumerate(lands, 1):
            board.landed(land.name, placed.ref, str(n))
    else:
        ends = [_pad(board, land, parts.wire_pad()) for land in lands]
        pins = [(ref, parts.wire_pad().pins[0].number) for ref in ends]
    screens = next((end for land, end in zip(lands, ends, strict=True) if land.name == SCREENS), "")
    plug = pins[0][0] if style == "header" else ""
    for land, end, pin in zip(lands, ends, pins, strict=True):
        board.wire(replace(to_chassis(land, end, screens, plug), joins=(pin,)))


def _pad(board: Board, land: Land, pad: CataloguePart) -> str:
    nets, reason = {pin.number: land.net for pin in pad.pins}, f"wire to the chassis: {land.carries}"
    placed = board.place(f"landing/{land.name}", pad, nets, REFERENCES, reason, value=land.name)
    board.landed(land.name, placed.ref, pad.pins[0].number)
    return placed.ref


def to_chassis(land: Land, end: str, screens: str, plug: str = "") -> Wire:
    """The wire of a landing from an end on the board; `screens` is where all screens are joined.

    `plug` is the header that it is plugged on, "" where it is soldered.
    """
    return Wire(
        stage=land.stage,
        start=f"{end} ({land.name})",
        end=JOINED_SCREENS if land.name == SCREENS else f"{land.name} landing",
        at=land.at,
        carries=land.carries,
        ground=_ground(land, screens),
        length_m=land.length_m,
        colour=colour_of(land.name),
        gauge=gauge_of(land.shielded),
        shielded=land.shielded,
        measure=f"set unplugged and discharged; {_measure(land, plug)}",
        net=land.net,
        screen="start" if land.shielded else "",
    )


JOINED_SCREENS = "the screens of these wires, joined"
OPEN_TO_SCREEN = ", open to its own screen"
"""What the measure of a screened wire ends with: a strand of the screen on the core shorts the signal."""


def screens_measure(plug: str) -> str:
    """How to tell that every screen is joined, and that none touches a core."""
    return f"plug off {plug}: below 1 ohm from its contact to each screen, open to its other contacts"


def _measure(land: Land, plug: str) -> str:
    """How a meter tells that the wire is there: with the plug off, or before its second end is soldered."""
    if land.name == SCREENS:
        before = "before it is soldered here: below 1 ohm from it to each screen, open to ground"
        return screens_measure(plug) if plug else before
    apart = OPEN_TO_SCREEN if land.shielded else ""
    if plug:
        return f"plug off {plug}: below 1 ohm from its contact to the place{apart}"
    if land.net != GROUND:
        return f"below 1 ohm from this end to the place{apart}"
    return (
        "solder it at the place first: below 1 ohm from there to its free end; then solder that and pull, since with "
        "two grounds on a meter cannot tell"
    )


def _ground(land: Land, screens: str) -> str:
    """Which ground a wire belongs to, or where its screen is joined: at the board only."""
    if land.name == SCREENS:
        return BOARD_GROUND
    if land.net == GROUND:
        return "jungle ground"
    return f"screen to {screens}, joined with the others; open at the chassis" if land.shielded else ""
