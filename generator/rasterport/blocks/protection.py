"""Two-way clamps on the socket side of the coupling capacitor.

    IN1_RED o--+---
               |
             [5 V two-way]
               |
              GND

Never a diode to ground or to a rail: an AC-coupled source swings below ground.
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board

REFERENCES = {"red/clamp": "D1", "green/clamp": "D2", "blue/clamp": "D3", "sync/clamp": "D4"}


def clamp(board: Board, role: str, net: str) -> None:
    """Place one two-way clamp from `net` to ground."""
    part = parts.clamp(board.construction)
    first, second = (pin.number for pin in part.pins)
    board.place(
        f"{role}/clamp",
        part,
        {first: net, second: GROUND},
        REFERENCES,
        "takes a static discharge at the socket; two-way, since an AC-coupled source swings below ground",
    )
