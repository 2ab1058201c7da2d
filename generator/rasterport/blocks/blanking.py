"""Blanking drive: the divider that puts the pin into its window.

SUPPLY (or HIGH) o--[upper]--+---o BLANKING_DRIVE
                             |
                 [lower] (and [lower-spare])
                             |
                            GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.design.blanking import Divider

REFERENCES = {"blanking/upper": "R1", "blanking/lower": "R2", "blanking/lower-spare": "R3"}


def blanking(board: Board, top_net: str, drive_net: str, sized: Divider) -> None:
    """Place the divider between `top_net`, `drive_net` and ground."""
    resistor = parts.resistor
    board.two(
        "blanking/upper", resistor(sized.upper.value, board.construction), top_net, drive_net, REFERENCES, sized.upper
    )
    roles = ("blanking/lower", "blanking/lower-spare") if sized.doubled else ("blanking/lower",)
    for role in roles:
        board.two(role, resistor(sized.lower.value, board.construction), drive_net, GROUND, REFERENCES, sized.lower)
