"""The truth table of a board as text: one row an outcome, then the condition of each row under its number."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from rasterport.records import Outcome

WIDTH = 100


def states(found: Sequence[Outcome]) -> Iterator[str]:
    """The lines of the table; landings that always get the same share a column."""
    if not found:
        return
    groups: dict[tuple[str, ...], list[str]] = {}
    for k, (line, _) in enumerate(found[0].reaches):
        groups.setdefault(tuple(o.reaches[k][1] for o in found), []).append(line)
    relays = [ref for ref, _ in found[0].relays]
    header = ["", "wanted", "rail", *(", ".join(lines) for lines in groups.values()), "blanking", *relays, "states"]
    rows = [
        [str(n), o.wanted, o.rail, *cells, o.blanking, *(at for _, at in o.relays), str(o.states)]
        for n, (o, *cells) in enumerate(zip(found, *groups, strict=True), 1)
    ]
    widths = [max(len(row[k]) for row in (header, *rows)) for k in range(len(header))]
    for row in (header, *rows):
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    yield ""
    for n, outcome in enumerate(found, 1):
        doubt = f" (not decided: {outcome.undecided})" if outcome.undecided else ""
        text = f"{outcome.condition}{doubt}"
        yield from textwrap.wrap(text, WIDTH, initial_indent=f"  {n:<3}", subsequent_indent="     ")
