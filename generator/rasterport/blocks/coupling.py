"""Coupling capacitor of one colour into the keyed clamp of the video processor.

IN1_RED o---||---o RED_PIN
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import Board
from rasterport.records import Sized

REFERENCES = {"red/coupling": "C1", "green/coupling": "C2", "blue/coupling": "C3"}

RATED_V = 50.0
"""Rating asked of the capacitor [V]: X7R loses capacitance towards its rating; the pin's clamp sits at a
few volts.  Judgement, stated."""


def coupling(board: Board, colour: str, source_net: str, pin_net: str, sized: Sized) -> None:
    """Place the capacitor of one colour between its source and the landing."""
    part = parts.capacitor(sized.value, board.construction, RATED_V, "ceramic")
    board.two(f"{colour}/coupling", part, source_net, pin_net, REFERENCES, sized)
