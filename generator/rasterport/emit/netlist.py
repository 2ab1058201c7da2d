"""KiCad netlist, one file for KiCad 6 to 10: the dialect of eeschema (version "E").

Fields are written twice, as `fields` (KiCad 9 and 10) and as `property` (KiCad 6 reads only those).
The identifier of a part is made from its role alone, so a board keeps its placement on update.
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.emit.sexpr import Node, node, text
from rasterport.order import natural
from rasterport.realise import Realised, RealPart
from rasterport.records import CataloguePart

UNTIMED = "1970-01-01T00:00:00"
"""The date field must be there and must not change from run to run."""


def netlist_text(realised: Realised, variant: str, title: str, revision: str, remark: str) -> str:
    """The netlist.  `remark` goes into the title block (empty when there is nothing to say)."""
    parts = sorted(realised.parts, key=lambda p: natural(p.ref))
    by_ref = {p.ref: p.placed.part for p in parts}
    tree = node(
        "export",
        node("version", "E"),
        node(
            "design",
            node("source", variant),
            node("date", UNTIMED),
            node("tool", "rasterport"),
            _sheet(variant, title, revision, remark, parts[0].sheet if parts else "/"),
        ),
        node("components", *(_component(p, variant) for p in parts)),
        node("libparts"),
        node("libraries"),
        node("nets", *_nets(realised, by_ref)),
    )
    return text(tree)


def _sheet(variant: str, title: str, revision: str, remark: str, name: str) -> Node:
    comments = [node("comment", node("number", str(n)), node("value", remark if n == 1 else "")) for n in range(1, 10)]
    block = node(
        "title_block",
        node("title", title),
        node("company"),
        node("rev", revision),
        node("date", ""),
        node("source", variant),
        *comments,
    )
    return node("sheet", node("number", "1"), node("name", name), node("tstamps", "/"), block)


def _component(part: RealPart, variant: str) -> Node:
    row = part.placed.part
    fields = _fields(part, row)
    return node(
        "comp",
        node("ref", part.ref),
        node("value", part.value),
        node("footprint", part.footprint),
        node("datasheet", "~"),
        node("fields", *(node("field", node("name", name), value) for name, value in fields)),
        node("libsource", node("lib", "rasterport"), node("part", row.name), node("description", row.description)),
        *(node("property", node("name", name), node("value", value)) for name, value in fields),
        node("property", node("name", "Sheetname"), node("value", "Root")),
        node("property", node("name", "Sheetfile"), node("value", variant)),
        node("sheetpath", node("names", "/"), node("tstamps", "/")),
        node("tstamps", part.identifier),
    )


def _fields(part: RealPart, row: CataloguePart) -> list[tuple[str, str]]:
    fields = [("Role", part.role)]
    if row.orderable:
        fields += [("Manufacturer", row.manufacturer), ("MPN", row.part_number), ("Tolerance", row.tolerance)]
        fields += [("Rating", row.rating)]
    return [(name, value) for name, value in fields if value]


def _nets(realised: Realised, by_ref: dict[str, CataloguePart]) -> Sequence[Node]:
    nets = []
    for code, (name, pins) in enumerate(realised.nets.items(), 1):
        ordered = sorted(pins, key=lambda pin: (natural(pin[0]), int(pin[1]) if pin[1].isdigit() else 0))
        nodes = [_node(ref, number, by_ref[ref]) for ref, number in ordered]
        nets.append(node("net", node("code", str(code)), node("name", name), *nodes))
    return nets


def _node(ref: str, number: str, row: CataloguePart) -> Node:
    pin = next(p for p in row.pins if p.number == number)
    # The kinds of our catalogue are spelled as eeschema spells its pin types.
    function = [] if pin.name in ("", "~") else [node("pinfunction", pin.name)]
    return node("node", node("ref", ref), node("pin", number), *function, node("pintype", pin.kind))
