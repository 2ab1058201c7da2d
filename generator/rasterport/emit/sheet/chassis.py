"""Every wire step by step, ground first: the board's own, the work on the chassis, the wires to it, the way back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rasterport.emit.listing import runs_text
from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.markup import bullets, picture, swatch, table, tick, told
from rasterport.emit.wires.ink import remarks
from rasterport.emit.wires.strands import LANDING, strands, titled
from rasterport.emit.wiring import steps
from rasterport.records import BOARD_GROUND, Circuit, Finding, Wire, Work
from rasterport.units import short

BACK = "Take off every wire that leads to the chassis, the last one first; then undo the work above from the end."
HEAD = ("done", "no.", "from", "to", "wire")
MEASURE = "Measure each wire once it is on, with the meter's leads where its row says:"
WORK_HEAD = ("done", "no.", "what", "where", "way back")


def own_wires(given: Given) -> Iterator[Html]:
    """The board's own wires, which the bench needs; where its parts stand in the chassis, the work there first."""
    circuit = given.circuit
    found = [(n, wire) for n, wire in wires_of(circuit) if not wire.inside]
    if not found:
        return
    if circuit.housed:
        yield from _work(given)
    yield from _pictures(given.pictures, own=True)
    yield from _wires(circuit, found, "the board's own wires")


def wiring(given: Given) -> Iterator[Html]:
    """The owner's work on the chassis, every wire to it in its order, and the way back."""
    circuit = given.circuit
    if not circuit.housed:
        yield from _work(given)
    if all(wire.inside for wire in circuit.wires):
        yield from _pictures(given.pictures, own=True)
    yield from _pictures(given.pictures, own=False)
    yield el("h3", "Wires to the chassis, in this order; ground comes first")
    yield from _wires(circuit, [(n, wire) for n, wire in wires_of(circuit) if wire.inside], "wires to the chassis")
    if circuit.work:
        yield el("h3", "The way back")
        yield el("p", BACK)


def untold(findings: Sequence[Finding]) -> list[str]:
    """What the landings ask for and the variant tells no work for, in words."""
    return [finding.message for finding in findings if finding.code == "F821" and finding.severity == "warning"]


def wires_of(circuit: Circuit) -> list[tuple[int, Wire]]:
    """The wires with the numbers of their rows in the wiring list."""
    return [(step.number, step.of) for step in steps(circuit) if isinstance(step.of, Wire)]


def work_of(circuit: Circuit) -> list[tuple[int, Work]]:
    """The work on the chassis with the numbers of its rows in the wiring list."""
    return [(step.number, step.of) for step in steps(circuit) if isinstance(step.of, Work)]


def own_ground(wire: Wire) -> str:
    """Which ground it belongs to or where its screen is joined, "" where that is the board's as of most."""
    return "" if wire.ground == BOARD_GROUND else wire.ground


def measures(rows: Sequence[tuple[int, Wire]]) -> list[str]:
    """What to measure once a wire is on, each with the numbers of its wires."""
    wanted: dict[str, list[int]] = {}
    for n, wire in rows:
        wanted.setdefault(wire.measure, []).append(n)
    return [f"{', '.join(runs_text(numbers))}: {what}" for what, numbers in wanted.items()]


def sum_of(circuit: Circuit) -> str:
    """The row of the wiring list that counts the work, in words."""
    step = next(step for step in steps(circuit) if step.of is None)
    return f"Row {step.number} of the wiring list: {step.cells[1]}."


def _pictures(found: Mapping[str, str], own: bool) -> Iterator[Html]:
    """The sockets, the panel switch and joints, or the board's edge with its landings."""
    for name, svg in found.items():
        if own != (name == LANDING):
            yield picture(svg, f"wires of {titled(name)}", name)


def _work(given: Given) -> Iterator[Html]:
    circuit = given.circuit
    missing = untold(given.findings)
    if not circuit.work and not missing:
        return
    yield el("h3", "Work on the chassis, before any wire to it")
    if circuit.work:
        yield el("p", sum_of(circuit))
        rows = [_step(circuit, k, n, work) for k, (n, work) in enumerate(work_of(circuit), 1)]
        yield table(WORK_HEAD, rows, "work on the chassis", "work")
    for text in missing:
        yield el("p", el("strong", f"{text[0].upper()}{text[1:]}."))


def _step(circuit: Circuit, k: int, number: int, work: Work) -> list[Child]:
    return [
        tick(f"work/{k}", f"step {number} done"),
        str(number),
        joined(list(told(work.do, circuit))),
        work.at,
        work.undo or "not stated",
    ]


def _wires(circuit: Circuit, found: Sequence[tuple[int, Wire]], words: str) -> Iterator[Html]:
    numbers = {n for n, _ in found}
    for sentence in remarks([strand for strand in strands(circuit) if strand.number in numbers]):
        yield el("p", sentence)
    yield el("p", MEASURE)
    yield bullets(measures(found))
    yield table(HEAD, [_wire(circuit, wire, n) for n, wire in found], words, "wires")


def _wire(circuit: Circuit, wire: Wire, number: int) -> list[Child]:
    """One wire; its row and its line in the wiring picture mark each other."""
    back = own_ground(wire)
    end = [
        joined(list(told(wire.end, circuit))),
        el("span", f": {wire.at}", class_="place") if wire.says_where else None,
    ]
    kind = f", {short(wire.length_m * 1000)} mm, {wire.gauge}" if wire.gauge else ""
    screen = ", screened" if wire.shielded else ""
    ground = el("span", f" {back}", class_="faint") if back else None
    return [
        tick(f"wire/{number}", f"wire {number} on"),
        el("button", str(number), data_wire=str(number)),
        joined(list(told(wire.start, circuit))),
        joined(end),
        joined([f"{wire.carries}: ", swatch(wire.colour) if wire.colour else None, f"{kind}{screen}", ground]),
    ]
