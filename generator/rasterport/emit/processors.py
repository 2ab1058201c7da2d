"""The video processors whose figures are known, with source, edition and confidence of each."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rasterport.parts.processors import CELLS, PROCESSORS, Processor
from rasterport.units import plain, written

WIDTH = 100


def processors_text(names: tuple[str, ...] = ()) -> Iterator[str]:
    """Every row, or those of the names given: cells with their sources, second meanings, remarks."""
    wanted = [PROCESSORS[name.strip().lower()] for name in names] if names else list(PROCESSORS.values())
    for n, row in enumerate({id(row): row for row in wanted}.values()):
        if n:
            yield ""
        yield from _row(row)


def _row(row: Processor) -> Iterator[str]:
    yield f"{', '.join(row.names)}  {row.maker}, {row.kind}"
    for name, unit in CELLS.items():
        cell = row.cells.get(name)
        if cell is not None:
            yield from _wrapped(
                f"{name:<22} {plain(written(cell.value, unit)):<10} ", f"{cell.source} ({cell.confidence})"
            )
    left = [name for name in CELLS if name not in row.cells]
    for head, text in (("second meaning", row.second_meaning), ("", row.remarks), ("not given", ", ".join(left))):
        if text:
            yield from _wrapped(f"{head:<22} " if head else "", text)


def _wrapped(head: str, text: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=f"  {head}", subsequent_indent=" " * (len(head) + 2 if head else 2)
    )
