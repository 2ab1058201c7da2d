"""The work on the chassis and the wires to it, step by step, ground first."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import picture, swatch, table, tick, told
from rasterport.emit.wires.pictures import (
    inputs_of,
    joints_picture,
    landing_picture,
    socket_picture,
    switch_picture,
)
from rasterport.emit.wiring import steps_before
from rasterport.records import Circuit, Wire
from rasterport.units import short

BACK = "Take off every wire that leads to the chassis, the last one first; then undo the work above from the end."
HEAD = ("done", "no.", "from", "to", "wire", "measure once it is on")


def wiring(circuit: Circuit) -> Iterator[Html]:
    """The owner's work on the chassis, every wire in its order, and the way back."""
    if circuit.work:
        yield el("h3", "Work on the chassis, in this order")
        rows = [_work(circuit, n) for n in range(len(circuit.work))]
        yield table(("done", "no.", "what", "where", "way back"), rows, "work on the chassis", "work")
    yield el("h3", "Wires, in this order; ground comes first")
    rows = [_wire(circuit, wire, n) for n, wire in enumerate(circuit.wires, steps_before(circuit) + 1)]
    yield table(HEAD, rows, "wires", "wires")
    if circuit.work:
        yield el("h3", "The way back")
        yield el(
            "p",
            "Take off every wire that leads to the chassis, the last one first; then undo the work above from the end.",
        )


LANDINGS = "landings"
"""Name of the picture of the board's edge, which the printed part shows again."""


def pictures(circuit: Circuit) -> Iterator[Html]:
    """The board's edge with its landings, then every socket, the panel switch and joints, each where it has wires."""
    found = [("the landings", landing_picture(circuit), LANDINGS)]
    found += [(f"input {n}", socket_picture(circuit, n), "") for n in inputs_of(circuit)]
    found += [("the panel switch", switch_picture(circuit), ""), ("the joints", joints_picture(circuit), "")]
    for words, svg, name in found:
        if svg:
            yield picture(svg, f"wires of {words}", name)


def _work(circuit: Circuit, n: int) -> list[Child]:
    row = circuit.work[n]
    return [
        tick(f"work/{n + 1}", f"step {n + 1} done"),
        str(n + 1),
        joined(list(told(row.do, circuit))),
        row.at,
        row.undo or "not stated",
    ]


def _wire(circuit: Circuit, wire: Wire, number: int) -> list[Child]:
    """One wire; its row and its line in the wiring picture mark each other."""
    ends = f"{wire.start} to {wire.end}"
    end = [joined(list(told(wire.end, circuit))), el("span", f" {wire.at}", class_="place") if wire.at else None]
    kind = f", {short(wire.length_m * 1000)} mm, {wire.gauge}" if wire.gauge else ""
    screen = ", screened" if wire.shielded else ""
    ground = el("span", f" {wire.ground}", class_="faint") if wire.ground else None
    return [
        tick(f"wire/{wire.start}/{wire.end}", f"{ends} soldered"),
        el("button", str(number), data_wire=str(number)),
        joined(list(told(wire.start, circuit))),
        joined(end),
        joined([f"{wire.carries}: ", swatch(wire.colour) if wire.colour else None, f"{kind}{screen}", ground]),
        wire.measure,
    ]
