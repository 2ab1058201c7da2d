"""The wiring list: each wire in the order of work, ground first."""

from __future__ import annotations

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
    return csv_text(HEADER, (_row(n, wire) for n, wire in enumerate(circuit.wires, 1)), remark)


def _row(order: int, wire: Wire) -> tuple[str, ...]:
    return (
        str(order),
        wire.start,
        wire.end,
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
