"""Shared insertion, one colour: the set's own display comes in, meets the chosen input, and both go to the pin.

SELECTED_RED o--[from-input]--+--||--o RED_PIN         idle throw of the change-over: RED_END o--[36 ohm]-- GND
                              |
DISPLAY_RED o--[from-display]-+
                              |
                           [foot]
                              |
                             GND
"""

from __future__ import annotations

import math

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.blocks.termination import REFERENCES as TERMINATIONS
from rasterport.blocks.termination import WORST_W
from rasterport.design.mixing import Combination
from rasterport.records import COLOURS, Sized
from rasterport.units import short

REFERENCES = {
    **{f"{colour}/from-input": f"R{55 + n}" for n, colour in enumerate(COLOURS)},
    **{f"{colour}/from-display": f"R{75 + n}" for n, colour in enumerate(COLOURS)},
    **{f"{colour}/foot": f"R{95 + n}" for n, colour in enumerate(COLOURS)},
}


def display_net(colour: str) -> str:
    """Net on which a line of the display comes in."""
    return f"DISPLAY_{colour.upper()}"


def termination(board: Board, role: str, net: str, made: Combination) -> str:
    """Place what a source sees beside the series resistor, in front of the change-over; returns `net`."""
    text = f"{short(made.return_loss_db, 3)} dB of return loss with what follows"
    sized = Sized(made.termination_ohm, "ohm", text)
    part = parts.resistor(sized.value, board.construction, WORST_W)
    board.two(f"{role}/termination", part, net, GROUND, TERMINATIONS, sized)
    return net


def combined(board: Board, colour: str, selected_net: str, made: Combination) -> str:
    """Place the resistors of one colour behind its change-over; returns the net where input and display meet."""
    node, display = f"MIXED_{colour.upper()}", display_net(colour)
    told = f"white {short(made.external_v, 3)} V of an input, {short(made.display_v, 3)} V of the display at the pin"
    rows = [("from-input", selected_net, node, made.series_ohm), ("from-display", display, node, made.display_ohm)]
    if not math.isinf(made.ground_ohm):
        rows.append(("foot", node, GROUND, made.ground_ohm))
    for name, first, second, ohm in rows:
        part = parts.resistor(ohm, board.construction)
        board.two(f"{colour}/{name}", part, first, second, REFERENCES, Sized(ohm, "ohm", told))
    return node
