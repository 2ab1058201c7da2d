"""Where sockets and switches come through the rear panel: openings side by side, so that plugs and fingers fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

GAP_MM = 4.0
"""Between two plugs that are in, or a plug and a hand.  Judgement, stated."""
ROW_MM = 180.0
"""Widest row: what an A4 sheet prints at 1:1."""
EDGE_MM = 8.0
"""From the outermost plug to the edge of the panel.  Judgement, stated."""
WORDS_MM = 12.0
"""Height of the words below an opening."""


@dataclass(frozen=True, slots=True)
class Opening:
    """One part in the panel, all in millimetres: a round hole, or a rectangle with two screw holes beside it.

    `plug_width_mm` and `plug_height_mm` are what the plug, or the hand at a switch, takes in front of the panel.
    """

    ref: str
    words: str
    plug_width_mm: float
    plug_height_mm: float
    hole_mm: float = 0.0
    width_mm: float = 0.0
    height_mm: float = 0.0
    fixing_spacing_mm: float = 0.0
    fixing_hole_mm: float = 0.0
    rests_on: str = ""

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height of everything that belongs to it."""
        across = self.fixing_spacing_mm + 2 * self.fixing_hole_mm if self.fixing_spacing_mm else 0.0
        wide = max(self.plug_width_mm, self.width_mm, self.hole_mm, across)
        return wide, max(self.plug_height_mm, self.height_mm, self.hole_mm)


@dataclass(frozen=True, slots=True)
class Placed:
    """An opening with its centre, from the upper left corner of the panel, y downwards."""

    opening: Opening
    x_mm: float
    y_mm: float

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """Centres of the screw holes."""
        half = self.opening.fixing_spacing_mm / 2
        return ((self.x_mm - half, self.y_mm), (self.x_mm + half, self.y_mm)) if half else ()


@dataclass(frozen=True, slots=True)
class Panel:
    """All openings, seen from outside."""

    width_mm: float
    height_mm: float
    placed: tuple[Placed, ...]


def arrange(openings: Sequence[Opening]) -> Panel:
    """Openings in rows from the left, none wider than ROW_MM where a part alone is not.

    Plugs of neighbours keep GAP_MM apart.  Raises ValueError without an opening.
    """
    if not openings:
        raise ValueError("a panel needs an opening")
    rows: list[list[Opening]] = [[]]
    for opening in openings:
        if rows[-1] and _across([*rows[-1], opening]) > ROW_MM:
            rows.append([])
        rows[-1].append(opening)
    width = max(_across(row) for row in rows) + 2 * EDGE_MM
    placed, top = [], EDGE_MM
    for row in rows:
        high, left = max(o.room_mm[1] for o in row), EDGE_MM
        for opening in row:
            wide = opening.room_mm[0]
            placed.append(Placed(opening, round(left + wide / 2, 3), round(top + high / 2, 3)))
            left += wide + GAP_MM
        top += high + WORDS_MM + GAP_MM
    return Panel(round(width, 3), round(top - GAP_MM + EDGE_MM, 3), tuple(placed))


def _across(row: Sequence[Opening]) -> float:
    return sum(o.room_mm[0] for o in row) + GAP_MM * (len(row) - 1)
