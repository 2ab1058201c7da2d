"""Coupling capacitor of one colour into the keyed clamp of the video processor, and what it ends on when native.

IN1_RED o---||---o RED_PIN        RED_END o--[75 ohm]-- GND

without a clamp, DC-coupled   IN1_RED o--[series]--+--o RED_PIN
where black stands higher                RAIL --[pull]
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.design.termination import LINE_OHM
from rasterport.records import Sized

REFERENCES = {
    "red/coupling": "C1",
    "green/coupling": "C2",
    "blue/coupling": "C3",
    "red/end": "R15",
    "green/end": "R16",
    "blue/end": "R17",
    "red/series": "R26",
    "green/series": "R27",
    "blue/series": "R28",
    "red/pull": "R47",
    "green/pull": "R48",
    "blue/pull": "R49",
}

RATED_V = 50.0
"""Rating asked of the capacitor [V]: X7R loses capacitance towards its rating; the pin's clamp sits at a
few volts.  Judgement, stated."""


def coupling(board: Board, colour: str, source_net: str, pin_net: str, sized: Sized) -> None:
    """Place the capacitor of one colour between its source and the landing."""
    part = parts.capacitor(sized.value, board.construction, RATED_V, "ceramic")
    board.two(f"{colour}/coupling", part, source_net, pin_net, REFERENCES, sized)


def straight(board: Board, colour: str, source_net: str, net: str, sized: Sized) -> str:
    """Place the resistor of one colour in front of a pin that is DC-coupled; returns the pin's net."""
    board.two(f"{colour}/series", parts.resistor(sized.value, board.construction), source_net, net, REFERENCES, sized)
    return net


def pulled(board: Board, colour: str, pin_net: str, rail_net: str, sized: Sized) -> None:
    """Place the resistor that lifts black of one colour."""
    part = parts.resistor(sized.value, board.construction)
    board.two(f"{colour}/pull", part, rail_net, pin_net, REFERENCES, sized)


def end(board: Board, colour: str, ohm: float = LINE_OHM) -> str:
    """Place 75 ohm for a colour landing that no input has while the set is native; returns its net.

    Where the set's display keeps the pins it is what the display then sees in place of an input [ohm].
    """
    net = f"{colour.upper()}_END"
    reason = "the landing's end while the set is native: open it picks up line-rate noise"
    if ohm != LINE_OHM:
        reason = "in place of an input while the set is native, so that menus stay as bright"
    sized = Sized(ohm, "ohm", reason)
    board.two(f"{colour}/end", parts.resistor(sized.value, board.construction), net, GROUND, REFERENCES, sized)
    return net
