"""Blanking of a display and of the board: diodes at logic level in front of one divider, or of two upper resistors.

DISPLAY_BLANKING o--[limit]--(|>o)--(|>o)--|>|--+
                                                +--[upper]--+---o pin
board's drive    o-------------------------|>|--+        [lower] (several)
                                                            |
                                                           GND

With `own` each drive has its upper resistor behind its diode, and they meet at the pin.
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.blanking import REFERENCES as DIVIDER
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.blocks.sync import SECTIONS
from rasterport.design.display_blanking import Joined
from rasterport.design.display_drive import IDLE_OHM, LIMIT, PULL_OHM
from rasterport.records import Sized
from rasterport.variant.display import Display

REFERENCES = {
    "blanking/display": "D70",
    "blanking/board": "D71",
    "blanking/upper-display": "R58",
    "blanking/lower-third": "R59",
    "blanking/limit": "R69",
    "blanking/idle": "R78",
    "blanking/inverter": "U90",
    "blanking/inverter-bypass": "C94",
}

DISPLAY, MEET = "DISPLAY_BLANKING", "BLANKING_MEET"
"""Nets of the landing and of the node behind both diodes."""
LOWER = ("blanking/lower", "blanking/lower-spare", "blanking/lower-third")


def display_blanking(
    board: Board, display_net: str, drive_net: str, pin_net: str, logic_net: str, display: Display, joined: Joined
) -> None:
    """Place diodes and divider between the display's landing, the board's drive and the pin.

    `logic_net` feeds the inverter, where the display wants one.
    """
    sized = joined.meeting
    top = _logic(board, display_net, logic_net, display, joined.sections) if joined.sections else display_net
    shared = sized.own is None
    behind = {"display": MEET if shared else "BLANKING_MENU", "board": MEET if shared else "BLANKING_BOARD"}
    for name, anode in (("display", top), ("board", drive_net)):
        diode = parts.diode("schottky", board.construction)
        board.place(
            f"blanking/{name}",
            diode,
            by_name(diode, {"A": anode, "K": behind[name]}),
            REFERENCES,
            f"lets the {name} drive the pin and never pull at the other",
        )
    resistor = parts.resistor(sized.upper.value, board.construction)
    board.two("blanking/upper", resistor, behind["board"], pin_net, DIVIDER, sized.upper)
    if sized.own is not None:
        resistor = parts.resistor(sized.own.value, board.construction)
        board.two("blanking/upper-display", resistor, behind["display"], pin_net, REFERENCES, sized.own)
    for role in LOWER[: sized.count]:
        resistor = parts.resistor(sized.lower.value, board.construction)
        board.two(role, resistor, pin_net, GROUND, {**DIVIDER, **REFERENCES}, sized.lower)


def _logic(board: Board, display_net: str, logic_net: str, display: Display, sections: int) -> str:
    """The inverter, one section or two; returns its output, high while a menu is shown."""
    chip = parts.buffer_inverter(board.construction)
    nets: dict[str, str | None] = {"7": GROUND, "14": logic_net}
    chain = ["BLANKING_TURNED_0", "BLANKING_TURNED_1", "BLANKING_TURNED_2"][: sections + 1]
    for k, (a, y) in enumerate(SECTIONS):
        nets[a], nets[y] = (chain[k], chain[k + 1]) if k < sections else (GROUND, None)
    rest = logic_net if display.blanking_active == "low" else GROUND
    idle = Sized(IDLE_OHM, "ohm", "no menu, and no noise, while the display's wire is off")
    if display.blanking_drive == "open-collector":
        rest, text = logic_net, "beside the pull-up in the set, so that the line rises within a dot"
        idle = Sized(PULL_OHM, "ohm", text)
    board.two("blanking/idle", parts.resistor(idle.value, board.construction), display_net, rest, REFERENCES, idle)
    resistor = parts.resistor(LIMIT.value, board.construction)
    board.two("blanking/limit", resistor, display_net, chain[0], REFERENCES, LIMIT)
    why = "turns round what is low for a menu" if sections == 1 else "drives what a pull-up of the set cannot"
    board.place("blanking/inverter", chip, nets, REFERENCES, f"{why}; unused inputs on ground")
    bypass = Sized(100e-9, "F", "at the supply pins of the inverter; common practice, no source")
    ceramic = parts.capacitor(bypass.value, board.construction, 50.0, "ceramic")
    board.two("blanking/inverter-bypass", ceramic, logic_net, GROUND, REFERENCES, bypass)
    return chain[-1]
