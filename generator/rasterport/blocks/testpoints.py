"""Test points: blanking, rail, sync, one colour, and a ground for the clip of the meter."""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.blocks.supply import LOGIC

REFERENCES = {
    "test/ground": "TP1",
    "test/blanking": "TP2",
    "test/rail": "TP3",
    "test/sync": "TP4",
    "test/green": "TP5",
}


CALLED = {LOGIC: "5 V"}
"""What a probe finds where it is not what the role says: with a regulator the board's supply is no longer the rail."""


def test_points(board: Board, nets: dict[str, str]) -> None:
    """Place one test point for each name of `nets` ("blanking", "rail", "sync", "green") and one for ground."""
    if board.wired:  # a probe goes to a part end
        return
    part = parts.test_point(board.construction)
    for name, net in {"ground": GROUND, **nets}.items():
        called = CALLED.get(net, name)
        board.place(
            f"test/{name}",
            part,
            {part.pins[0].number: net},
            REFERENCES,
            f"probe {called} here",
            value=called,
        )
