"""The wiring list: each wire in the order of work, ground first."""

from __future__ import annotations

import re
from collections.abc import Set

from rasterport.emit.tables import csv_text
from rasterport.records import Circuit, Wire
from rasterport.standards.iec60757 import COLOURS
from rasterport.units import short

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
    """The table; the order of work is the order of the rows."""
    chosen = {placed.ref for placed in circuit.parts if placed.instead_of}
    return csv_text(HEADER, (_row(n, wire, chosen) for n, wire in enumerate(circuit.wires, 1)), remark)


def _end(text: str, chosen: Set[str]) -> str:
    """An end of a wire; a part that the user has chosen says so."""
    return f"{text} [chosen by you]" if chosen & {*re.findall(r"[A-Z]+[0-9]+", text)} else text


def _row(order: int, wire: Wire, chosen: Set[str]) -> tuple[str, ...]:
    return (
        str(order),
        _end(wire.start, chosen),
        _end(wire.end, chosen),
        wire.at,
        wire.carries,
        wire.ground,
        f"{short(wire.length_m * 1000)}",
        COLOURS[wire.colour],
        wire.colour,
        wire.gauge,
        "yes" if wire.shielded else "no",
        wire.measure,
        wire.net,
    )
