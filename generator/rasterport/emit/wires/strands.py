"""A wire of the wiring list with the very cells that stand there, and which picture it belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from rasterport.emit.wiring import HEADER, Step, steps
from rasterport.records import INPUT_ROLE, Circuit, Placed, Wire

LANDING, SWITCH, JOINTS, OTHER = "landing", "switch", "joints", "other"
TITLES = {LANDING: "the landings", SWITCH: "the panel switch", JOINTS: "the joints"}
"""What a picture of a group is of, in words; an input is called by its number."""


@dataclass(frozen=True)
class Strand:
    """One wire: its number, its row of the wiring list by the names of the columns, and the record behind it.

    `group` is LANDING, SWITCH, JOINTS, OTHER, or "input-n" for a wire to a socket.
    """

    number: int
    cells: dict[str, str]
    wire: Wire
    group: str

    @cached_property
    def refs(self) -> str:
        """References of the parts that it joins, for an attribute of several words."""
        return " ".join(dict.fromkeys(ref for ref, _ in self.wire.joins))


def strands(circuit: Circuit) -> list[Strand]:
    """Every wire, in the order of work."""
    roles = {placed.ref: placed.role for placed in circuit.parts}
    return [
        Strand(step.number, cells_of(step), step.of, _group(circuit, step.of, roles))
        for step in steps(circuit)
        if isinstance(step.of, Wire)
    ]


def titled(group: str) -> str:
    """What a picture of a group is of: "the landings", "input 1"."""
    return TITLES.get(group) or group.replace("-", " ")


def others(circuit: Circuit) -> tuple[list[Step], list[Step]]:
    """The rows that are no wires: the work on the chassis, and the way back, which follows the last wire."""
    rows = steps(circuit)
    last = max((step.number for step in rows if isinstance(step.of, Wire)), default=0)
    rest = [step for step in rows if not isinstance(step.of, Wire)]
    return [step for step in rest if step.number < last], [step for step in rest if step.number > last]


def cells_of(step: Step) -> dict[str, str]:
    """The cells of a row by the names of the columns."""
    return dict(zip(HEADER, step.cells, strict=True))


def _group(circuit: Circuit, wire: Wire, roles: dict[str, str]) -> str:
    met = [roles[ref] for ref, _ in wire.joins]
    if wire.inside:
        return LANDING
    if circuit.wired:
        return JOINTS
    if any(role.partition("/")[0] == "panel" for role in met):
        return SWITCH
    of_input = next((match for role in met if (match := INPUT_ROLE.fullmatch(role))), None)
    return f"input-{of_input[1]}" if of_input else OTHER


def at_pins(found: Sequence[Strand]) -> dict[tuple[str, str], list[Strand]]:
    """The wires at each end, by reference and pin."""
    ends: dict[tuple[str, str], list[Strand]] = {}
    for strand in found:
        for end in strand.wire.joins:
            ends.setdefault(end, []).append(strand)
    return ends


def headers_of(circuit: Circuit, found: Sequence[Strand]) -> list[Placed]:
    """The headers at which these wires end, in the order in which they are met."""
    refs = dict.fromkeys(ref for strand in found for ref, _ in strand.wire.joins)
    parts = {placed.ref: placed for placed in circuit.parts}
    return [parts[ref] for ref in refs if parts[ref].part.key.startswith("header/")]
