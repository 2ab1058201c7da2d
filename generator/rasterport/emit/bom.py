"""The bill of materials: one line an orderable part, panel parts and wire included."""

from __future__ import annotations

from rasterport.emit.tables import csv_text
from rasterport.order import natural
from rasterport.records import CataloguePart, Circuit
from rasterport.units import short

HEADER = (
    "references",
    "quantity",
    "unit",
    "value",
    "tolerance",
    "rating",
    "package",
    "footprint",
    "manufacturer",
    "part number",
    "number rests on",
    "description",
    "roles",
    "chosen",
)


def bom_text(circuit: Circuit, remark: str) -> str:
    """The table, parts of the board first, in the order of their references."""
    groups: dict[tuple[str, str], list[tuple[str, str]]] = {}
    chosen = {placed.ref: placed.instead_of for placed in circuit.parts if placed.instead_of}
    rows: dict[tuple[str, str], CataloguePart] = {}
    for placed in circuit.parts:
        if placed.part.orderable:
            key = (placed.part.key, placed.value)
            groups.setdefault(key, []).append((placed.ref, placed.role))
            rows[key] = placed.part
    lines = []
    for key, members in groups.items():
        members.sort(key=lambda m: natural(m[0]))
        references = " ".join(ref for ref, _ in members)
        roles = " ".join(role for _, role in members)
        yours = ", ".join(f"{ref} in place of {chosen[ref]}" for ref, _ in members if ref in chosen)
        marked = f"chosen by you: {yours}" if yours else ""
        line = _line(rows[key], references, str(len(members)), "piece", key[1], roles, marked)
        lines.append((natural(members[0][0]), line))
    lines.sort(key=lambda line: line[0])
    bought = [
        _line(b.part, "", f"{short(b.quantity)}", b.quantity_unit, b.part.name, b.role)
        for b in sorted(circuit.bought, key=lambda b: b.role)
    ]
    return csv_text(HEADER, [line for _, line in lines] + bought, remark)


def number_rests_on(part: CataloguePart) -> str:
    """How sure the part number is, or that there is none."""
    return part.number_rests_on if part.part_number else "no number: order by description"


def _line(
    part: CataloguePart, references: str, quantity: str, unit: str, value: str, roles: str, chosen: str = ""
) -> tuple[str, ...]:
    return (
        references,
        quantity,
        unit,
        value,
        part.tolerance,
        part.rating,
        part.package,
        part.footprint,
        part.manufacturer,
        part.part_number,
        number_rests_on(part),
        part.description,
        roles,
        chosen,
    )
