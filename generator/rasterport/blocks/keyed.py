"""The board's own keyed clamp: in each back porch a switch puts the pins behind their capacitors on black.

BURST o--|>o-- CLAMP_KEY             LOGIC --[upper]--+--[lower]-- GND
(low in the back porch)  :                            |
IN1_RED o--||--o RED_PIN o--/ --o CLAMP_BLACK ----- 47 uF, 100 nF -- GND      black of the pins at ground: GND instead
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.analog import bypass
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.design.black import Reference
from rasterport.records import COLOURS, Sized

REFERENCES = {
    "clamp/buffer": "U3",
    "clamp/buffer-bypass": "C6",
    "clamp/switch": "U4",
    "clamp/switch-bypass": "C7",
    "clamp/upper": "R18",
    "clamp/lower": "R19",
    "clamp/bulk": "C8",
    "clamp/bypass": "C9",
}

KEY, BLACK = "CLAMP_KEY", "CLAMP_BLACK"
RATED_V = 16.0


def burst_of(index: int) -> str:
    """Net of the back-porch pulse of an input's separator."""
    return f"IN{index}_BURST"


def keyed_clamp(board: Board, burst: str, logic_net: str, reference: Reference | None) -> None:
    """Place buffer, switch and, unless black is at ground, the divider that makes the voltage of black."""
    from rasterport.parts.analog_switches import analog_switch
    from rasterport.parts.logic import buffer

    driver = buffer(board.construction)
    nets: dict[str, str | None] = {"VCC": logic_net, "GND": GROUND, "1A": burst, "1Y": KEY}
    nets |= {f"{n}A": GROUND for n in range(2, 7)}
    why = "bears what the separator puts out on its rail; unused inputs on ground"
    board.place("clamp/buffer", driver, by_name(driver, nets), REFERENCES, why)
    bypass(board, "clamp/buffer", logic_net, REFERENCES)
    black = GROUND if reference is None else _reference(board, logic_net, reference)
    switch = analog_switch("4053", "74hc", board.construction)
    nets = {"VCC": logic_net, "GND": GROUND, "VEE": GROUND, "INH": GROUND, **dict.fromkeys("ABC", KEY)}
    for terminal, colour in zip("XYZ", COLOURS, strict=True):
        nets |= {terminal: f"{colour.upper()}_PIN", f"{terminal}0": black}
    why = "closed while the key is low: the pins stand at black in each back porch, and are left alone else"
    board.place("clamp/switch", switch, by_name(switch, nets), REFERENCES, why)
    bypass(board, "clamp/switch", logic_net, REFERENCES)


def _reference(board: Board, logic_net: str, reference: Reference) -> str:
    for name, sized, first, second in (
        ("upper", reference.upper, logic_net, BLACK),
        ("lower", reference.lower, BLACK, GROUND),
    ):
        board.two(f"clamp/{name}", parts.resistor(sized.value, board.construction), first, second, REFERENCES, sized)
    bulk = Sized(47e-6, "F", "a short to the pulses of the clamp")
    part = parts.capacitor(bulk.value, board.construction, RATED_V, "electrolytic")
    board.two("clamp/bulk", part, BLACK, GROUND, REFERENCES, bulk)
    near = Sized(100e-9, "F", "a short also where the bulk is none; common practice, no source")
    part = parts.capacitor(near.value, board.construction, 50.0, "ceramic")
    board.two("clamp/bypass", part, BLACK, GROUND, REFERENCES, near)
    return BLACK
