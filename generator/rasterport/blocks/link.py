"""What grounds the emitters of the sense stages where neither a gate nor a switch does.

STATUS_RETURN o--[1 ohm]-- GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.blocks.status import RETURN
from rasterport.records import Sized

REFERENCES = {"control/return": "R25"}


def link(board: Board) -> None:
    """Place the link: a part, so that a switch or a gate can take its place and no stage changes its net."""
    sized = Sized(1.0, "ohm", "a link: it lets the status contacts act; a gate or a switch would stand in its place")
    board.two("control/return", parts.resistor(1.0, board.construction), RETURN, GROUND, REFERENCES, sized)
