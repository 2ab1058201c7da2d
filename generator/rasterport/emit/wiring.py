"""The wiring list in the order of work: the board's own wires, the work on the chassis, the wires to it, the way back.

Ground comes first to each plug and in the set.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Set
from dataclasses import dataclass

from rasterport.emit.tables import csv_text
from rasterport.records import Circuit, Wire, Work
from rasterport.standards.iec60757 import named
from rasterport.units import short
from rasterport.variant.chassis import counted

HEADER = (
    "order",
    "from",
    "to",
    "place",
    "carries",
    "ground",
    "length mm",
    "colour",
    "colour code",
    "wire",
    "screened",
    "measure",
    "net",
)


def wiring_text(circuit: Circuit, remark: str) -> str:
    """The table as text."""
    return csv_text(HEADER, table(circuit), remark)


@dataclass(frozen=True, slots=True)
class Step:
    """One row: its cells under HEADER, and what it is about, None for a sum or a step of the way back."""

    number: int
    cells: tuple[str, ...]
    of: Wire | Work | None


def steps(circuit: Circuit) -> list[Step]:
    """The rows in the order of work, numbered from 1."""
    return [Step(n, (str(n), *cells), of) for n, (cells, of) in enumerate(_rows(circuit), 1)]


def table(circuit: Circuit) -> list[tuple[str, ...]]:
    """The rows under HEADER; the order of work is the order of the rows."""
    return [step.cells for step in steps(circuit)]


def _rows(circuit: Circuit) -> Iterator[tuple[tuple[str, ...], Wire | Work | None]]:
    chosen = {placed.ref for placed in circuit.parts if placed.instead_of}
    wires = [(_wire(wire, chosen), wire) for wire in circuit.wires]
    before = [row for row in wires if not row[1].inside and not circuit.housed]
    yield from before
    if circuit.work:
        yield _words(WORK, f"in all {counted([w.kind for w in circuit.work])}"), None
    for work in circuit.work:
        yield _words(WORK, work.do, work.at, work.kind), work
    yield from wires[len(before) :]
    for row in _back(circuit):
        yield row, None


WORK, BACK = "work on the chassis", "way back"


def _words(step: str, what: str, place: str = "", kind: str = "") -> tuple[str, ...]:
    """A row that is no wire: what to do stands where a wire has its start, the step where it says what it carries."""
    return (what, "", place, f"{step}: {kind}" if kind else step, *[""] * (len(HEADER) - 5))


def _back(circuit: Circuit) -> list[tuple[str, ...]]:
    """The way back, last things first; what has none says so."""
    if not circuit.work:
        return []
    rows = [_words(BACK, "take off every wire that leads to the chassis, the last one first")]
    for row in reversed(circuit.work):
        what = row.undo.strip() or f"no way back is stated for: {row.do}"
        rows.append(_words(BACK, what, row.at, row.kind))
    return rows


def _end(text: str, chosen: Set[str]) -> str:
    """An end of a wire; a part that the user has chosen says so."""
    return f"{text} [chosen by you]" if chosen & {*re.findall(r"[A-Z]+[0-9]+", text)} else text


def _wire(wire: Wire, chosen: Set[str]) -> tuple[str, ...]:
    return (
        _end(wire.start, chosen),
        _end(wire.end, chosen),
        wire.at,
        wire.carries,
        wire.ground,
        f"{short(wire.length_m * 1000)}",
        named(wire.colour),
        wire.colour,
        wire.gauge,
        "yes" if wire.shielded else "no",
        wire.measure,
        wire.net,
    )
