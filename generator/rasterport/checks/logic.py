"""Pins of integrated circuits: no input floats when nothing is plugged in, nothing drives one beyond its supply."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.nodal import GROUND, reach
from rasterport.checks.bench import Bench, judge, note
from rasterport.records import Finding

CODES = {
    "F713": "inputs of integrated circuits held without a source",
    "F717": "pins of integrated circuits beyond their supply",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Every input pin reaches ground, a rail or an output through resistors."""
    for figure in bench.figures.under("pin-drive"):
        text = "current into a pin beyond its supply, 12 V on every status contact"
        yield judge("F717", figure, "pin_drive_a", text)
    held = {GROUND, *bench.control.rails}
    chips = [p for p in bench.circuit.parts if any(pin.kind == "input" for pin in p.part.pins)]
    held |= {
        str(p.nets[pin.number])
        for p in bench.circuit.parts
        for pin in p.part.pins
        if pin.kind == "output" and p.nets[pin.number]
    }
    for chip in chips:
        floating = [
            pin.name for pin in chip.part.pins if pin.kind == "input" and not _held(bench, chip.nets[pin.number], held)
        ]
        text = f"floats without a source: {', '.join(floating)}" if floating else "no input floats without a source"
        yield note("F713", chip.role, text, "makers' sheets of CMOS logic", "error" if floating else "met")


def _held(bench: Bench, net: str | None, held: set[str]) -> bool:
    if net is None:
        return False
    part = reach(bench.control.resistors("native"), net, held)
    return net in held or any(end in held for e in part for end in (e.first, e.second))
