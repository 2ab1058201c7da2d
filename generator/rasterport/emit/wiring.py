"""The wiring list: the work on the chassis, each wire in the order of work, ground first, and the way back."""

from __future__ import annotations

import re
from collections.abc import Set

from rasterport.emit.tables import csv_text
from rasterport.records import Circuit, Wire, Work
from rasterport.standards.iec60757 import COLOURS
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


def table(circuit: Circuit) -> list[tuple[str, ...]]:
    """The rows under HEADER; the order of work is the order of the rows.  Wires begin behind `steps_before`."""
    chosen = {placed.ref for placed in circuit.parts if placed.instead_of}
    rows = [_words(WORK, f"in all {counted([w.kind for w in circuit.work])}")] if circuit.work else []
    rows += [_work(row) for row in circuit.work]
    rows += [_wire(wire, chosen) for wire in circuit.wires]
    rows += _back(circuit)
    return [(str(n), *row) for n, row in enumerate(rows, 1)]


def steps_before(circuit: Circuit) -> int:
    """How many rows stand before the first wire: the work on the chassis under its sum."""
    return 1 + len(circuit.work) if circuit.work else 0


WORK, BACK = "work on the chassis", "way back"


def _words(step: str, what: str, place: str = "", kind: str = "") -> tuple[str, ...]:
    """A row that is no wire: what to do stands where a wire has its start, the step where it says what it carries."""
    return (what, "", place, f"{step}: {kind}" if kind else step, *[""] * (len(HEADER) - 5))


def _work(row: Work) -> tuple[str, ...]:
    return _words(WORK, row.do, row.at, row.kind)


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
        COLOURS.get(wire.colour, ""),
        wire.colour,
        wire.gauge,
        "yes" if wire.shielded else "no",
        wire.measure,
        wire.net,
    )
