"""What a way of building brings: joints instead of copper, leads instead of sockets, sockets that the set has."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.design.constructions import already, called
from rasterport.records import GROUND, Circuit, Finding
from rasterport.standards.sockets import WIRINGS

CODES = {
    "F823": "joints against the netlist",
    "F824": "parts and joints counted",
    "F825": "empty places of the chassis",
    "F826": "parts that can be wired point to point",
    "F905": "contacts of a socket that the set has",
    "F906": "a status contact that the set reads too",
    "F907": "returns through the set's own socket",
    "F908": "conductors of a lead",
}

Pin = tuple[str, str]
FLAT = ("_SMD:", "Package_SO:")
"""What the names of KiCad's libraries say of footprints without holes."""
PRACTICE = "common practice, no source"


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of a construction without a printed board, of leads and of existing sockets."""
    if bench.circuit.wired:
        yield from _joints(bench.circuit)
        yield _counted(bench.circuit)
        yield _leaded(bench.circuit)
        if bench.variant.board.built_on == "chassis":
            yield _places(bench)
    for index, source in enumerate(bench.variant.input, 1):
        if source.mounting == "existing":
            yield from _existing(bench, index)
        if source.mounting == "cable":
            text = (
                "the colours of a lead's conductors are nobody's standard: find the conductor of every contact with an "
                "ohmmeter and mark it before it is soldered"
            )
            yield note("F908", f"input-{index}", text, PRACTICE)


def groups(circuit: Circuit) -> list[set[Pin]]:
    """Ends that the wiring list brings together, read from its rows alone."""
    found: list[set[Pin]] = []
    for wire in circuit.wires:
        met = set(wire.joins)
        apart = [group for group in found if not group & met]
        found = [*apart, met.union(*(group for group in found if group & met))] if met else found
    return found


def _joints(circuit: Circuit) -> Iterator[Finding]:
    """Every net is one group of the list and no group has ends of two nets."""
    nets = {(p.ref, pin): net for p in circuit.parts for pin, net in p.nets.items() if net is not None}
    wrong = []
    placed = {end: n for n, group in enumerate(groups(circuit)) for end in group}
    for end in sorted(set(placed) - set(nets)):
        wrong.append(f"{_said(end)} is on no net")
    for group in groups(circuit):
        names = sorted({nets[end] for end in group if end in nets})
        if len(names) > 1:
            wrong.append(f"{' and '.join(names)} are joined")
    for net in sorted(set(nets.values())):
        ends = sorted(end for end, its in nets.items() if its == net and end not in circuit.joined)
        parts = {placed.get(end, end) for end in ends}
        if len(parts) > 1:
            wrong.append(f"{net} is in {len(parts)} pieces")
    if wrong:
        text = f"the wiring list is not the netlist: {'; '.join(wrong)}"
        yield note("F823", "wiring", text, "netlist", "error")
    else:
        yield note(
            "F823", "wiring", "the rows of the wiring list make every net whole and join no two", "netlist", "met"
        )


def _said(end: Pin) -> str:
    return f"{end[0]} {end[1]}"


def _counted(circuit: Circuit) -> Finding:
    parts = sum(p.part.letter != "E" for p in circuit.parts)
    chassis = sum(wire.end.endswith(" landing") for wire in circuit.wires)
    text = (
        f"{parts} parts, {len(circuit.wires) - chassis} joints, {chassis} wires to the chassis; what strips and leads "
        "add in capacitance is not in the figures: keep colours short and apart"
    )
    return note("F824", "wiring", text, "judgement, stated")


def _leaded(circuit: Circuit) -> Finding:
    flat = [p.ref for p in circuit.parts if any(word in p.part.footprint for word in FLAT)]
    text = f"parts without leads: {', '.join(flat)}" if flat else "every part has leads, pins or lugs"
    return note("F826", "wiring", text, "KiCad footprint library", "error" if flat else "met")


def _places(bench: Bench) -> Finding:
    told = {row.part for row in bench.variant.board.place}
    free = [p.ref for p in bench.circuit.parts if p.part.letter not in "EJS" and p.role not in told]
    text = f"{len(told)} parts go into empty places; follow the tracks of each: they join its ends to what lies there"
    if free:
        text += f"; no place is stated for {', '.join(free)}"
    return note("F825", "wiring", text, "[[board.place]]")


def _existing(bench: Bench, index: int) -> Iterator[Finding]:
    source, subject = bench.variant.input[index - 1], f"input-{index}"
    told, placed = already(source), {p.role: p for p in bench.circuit.under(f"{subject}/socket")}
    rows = [
        (called(c), placed[role], c.number)
        for c in WIRINGS[source.socket].contacts
        if (role := f"{subject}/socket" + (f"/{c.jack}" if c.jack else "")) in placed
    ]
    nets = {name: p.nets[number] for name, p, number in rows}
    kept = [name for name, p, number in rows if (p.ref, number) in bench.circuit.joined]
    fresh = [name for name in nets if nets[name] is not None and name not in kept]
    rest = [name for name in nets if name not in fresh and name not in kept]
    text = (
        f"wired here: {', '.join(fresh) or 'none'}; the set's own wire serves: {', '.join(kept) or 'none'}; the board "
        f"has no part in: {', '.join(rest) or 'none'}"
    )
    yield note("F905", subject, text, "input.wired_contacts")
    status = str(source.status_contact)
    if status in told and status in fresh:
        text = (
            f"the set reads contact {status} too: both loads together may be below the 10 kohm that a source is "
            "promised; measure the contact with a source plugged in and on"
        )
        yield note("F906", subject, text, "EN 50049-1, as public texts quote it", "warning")
    grounds = [name for name in nets if nets[name] == GROUND]
    if grounds and set(grounds) <= set(kept):
        text = (
            "every return of the socket runs through the set's own ground wiring: measure below 1 ohm from each to the "
            "video processor's ground, or hum and crosstalk come with the picture"
        )
        yield note("F907", subject, text, PRACTICE, "warning")
