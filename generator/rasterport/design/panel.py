"""Where sockets and switches come through the rear panel: openings side by side, so that plugs and fingers fit."""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.records import Opening, Panel, Seated

GAP_MM = 4.0
"""Between two plugs that are in, or a plug and a hand.  Judgement, stated."""
ROW_MM = 180.0
"""Widest row: what an A4 sheet prints at 1:1."""
EDGE_MM = 8.0
"""From the outermost plug to the edge of the panel.  Judgement, stated."""
WORDS_MM = 12.0
"""Height of the words below an opening."""


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
            placed.append(Seated(opening, round(left + wide / 2, 3), round(top + high / 2, 3)))
            left += wide + GAP_MM
        top += high + WORDS_MM + GAP_MM
    return Panel(round(width, 3), round(top - GAP_MM + EDGE_MM, 3), tuple(placed))


def _across(row: Sequence[Opening]) -> float:
    return sum(o.room_mm[0] for o in row) + GAP_MM * (len(row) - 1)
