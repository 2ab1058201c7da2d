"""Rectangles on sheets: each in turn so that it ends as far up as it goes, under the skyline of those before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Size = tuple[int, int]
Place = tuple[int, int, int, int]
"""Which rectangle, in which of its shapes, and its upper left corner."""
Skyline = list[tuple[int, int]]
"""Steps from left to right: where each begins, and how far down all is taken."""


def packed(
    shapes: Sequence[Sequence[Size]],
    order: Sequence[int],
    room: Size,
    apart: int,
    sheets: int = 1,
    bound: Mapping[int, int] | None = None,
    even: bool = False,
    down: bool = False,
) -> list[list[Place]] | None:
    """Every rectangle in one of its shapes, on so many sheets of a room; None where that does not do.

    Each takes the first sheet that has room, or the one that it is `bound` to; `even`, the emptiest that has.  `down`:
    so that it ends as far left as it goes, in columns.
    """
    bound = bound or {}
    limit = tuple(side + apart for side in (reversed(room) if down else room))
    skylines: list[Skyline] = [[(0, 0)] for _ in range(sheets)]
    made: list[list[Place]] = [[] for _ in range(sheets)]
    used = [0] * sheets
    for n in order:
        for m in (bound[n],) if n in bound else sorted(range(sheets), key=used.__getitem__ if even else None):
            best: tuple[int, int, int, int, int] | None = None
            for shape, (wide, high) in enumerate(shapes[n]):
                across, along = (high + apart, wide + apart) if down else (wide + apart, high + apart)
                found = _highest(skylines[m], across, along, limit[0], limit[1])
                if found and (best is None or found < best[:3]):
                    best = (*found, shape, across)
            if best:
                end, x, y, shape, across = best
                _lowered(skylines[m], x, across, end)
                made[m].append((n, shape, y, x) if down else (n, shape, x, y))
                used[m] += across * (end - y)
                break
        else:
            return None
    return made


def _highest(skyline: Skyline, wide: int, high: int, width: int, height: int) -> tuple[int, int, int] | None:
    """Where a rectangle ends the highest: its lower end, its left, its top."""
    best: tuple[int, int, int] | None = None
    for n, (x, y) in enumerate(skyline):
        if x + wide > width:
            break
        for start, below in skyline[n + 1 :]:
            if start >= x + wide:
                break
            y = max(y, below)
        if y + high <= height and (best is None or y + high < best[0]):
            best = (y + high, x, y)
    return best


def _lowered(skyline: Skyline, x: int, wide: int, to: int) -> None:
    """Take the room of a rectangle away."""
    after = [below for start, below in skyline if start <= x + wide][-1]
    kept = [step for step in skyline if step[0] > x + wide]
    skyline[:] = [*[step for step in skyline if step[0] < x], (x, to), (x + wide, after), *kept]
