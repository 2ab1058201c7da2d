"""Rectangles on sheets: each in turn as high up, then as far left as it goes."""

from __future__ import annotations

from collections.abc import Sequence

Size = tuple[int, int]
Place = tuple[int, int, int]
"""Which rectangle, and its upper left corner."""


def packed(sizes: Sequence[Size], width: int, height: int | None, apart: int) -> list[list[Place]]:
    """Sheets of a width and a height (None: as high as need be) with every rectangle on the first that has room.

    One that is larger than a sheet has a sheet of its own.
    """
    sheets: list[list[Place]] = []
    for n, size in enumerate(sizes):
        for sheet in sheets:
            if found := _room(size, [(x, y, *sizes[m]) for m, x, y in sheet], width, height, apart):
                sheet.append((n, *found))
                break
        else:
            sheets.append([(n, 0, 0)])
    return sheets


def _room(
    size: Size, taken: Sequence[tuple[int, int, int, int]], width: int, height: int | None, apart: int
) -> tuple[int, int] | None:
    wide, high = size[0] + apart, size[1] + apart
    xs = sorted({0, *[x + w + apart for x, _, w, _ in taken]})
    for y in sorted({0, *[y + h + apart for _, y, _, h in taken]}):
        if height is not None and y + size[1] > height:
            return None
        level = [(x, x + w + apart) for x, b, w, h in taken if y < b + h + apart and b < y + high]
        for x in xs:
            if x + size[0] > width:
                break
            if not any(x < end and start < x + wide for start, end in level):
                return x, y
    return None
