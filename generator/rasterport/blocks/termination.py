"""Termination of a video line at its socket, before any switch; with a split it also sets the level.

IN1_RED o--+-------o next            IN1_RED o--[upper]--+---o next
           |                                             |
        [75 ohm]                                      [lower]
           |                                             |
          GND                                           GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.design import termination as sizing
from rasterport.standards.interface_levels import COMPOSITE, SUPERIMPOSED_DC

REFERENCES = {
    "red/termination": "R1",
    "green/termination": "R2",
    "blue/termination": "R3",
    "sync/termination": "R4",
    "red/upper": "R5",
    "green/upper": "R6",
    "blue/upper": "R7",
    "red/lower": "R8",
    "green/lower": "R9",
    "blue/lower": "R10",
}


WORST_W = (SUPERIMPOSED_DC.high + COMPOSITE.high) ** 2 / 75.0 / 0.8
"""Rating asked of a termination [W]: the highest level on the highest direct voltage, at 80 % of its rating."""


def termination(board: Board, role: str, net: str, load_ohm: float) -> str:
    """Place one resistor from `net` to ground so that all together is 75 ohm; returns `net`."""
    sized = sizing.termination(load_ohm)
    board.two(
        f"{role}/termination", parts.resistor(sized.value, board.construction, WORST_W), net, GROUND, REFERENCES, sized
    )
    return net


def split_termination(board: Board, role: str, net: str, load_ohm: float, white_v: float, source_white_v: float) -> str:
    """Place upper and lower resistor; returns the tap, where white is `white_v` [V]."""
    tap = f"{net}_TAP"
    upper, lower = sizing.split(white_v, source_white_v, load_ohm)
    board.two(f"{role}/upper", parts.resistor(upper.value, board.construction, WORST_W), net, tap, REFERENCES, upper)
    board.two(f"{role}/lower", parts.resistor(lower.value, board.construction, WORST_W), tap, GROUND, REFERENCES, lower)
    return tap
