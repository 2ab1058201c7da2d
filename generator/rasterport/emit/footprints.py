"""`rasterport.pretty` and `fp-lib-table`: footprints that KiCad's own libraries do not all have."""

from __future__ import annotations

from rasterport.emit.sexpr import Node, bare, node, number, text
from rasterport.parts.footprints import FOOTPRINTS, LIBRARY, Footprint, Pad

LINE_MM = {"F.SilkS": 0.12, "F.Fab": 0.1}
COURTYARD_MM = 0.05


def footprint_files(remark: str = "") -> dict[str, str]:
    """File name below the variant's folder -> text, for the whole library and its table.

    `remark` goes in front of every description when it is not empty.
    """
    front = f"{remark}. " if remark else ""
    files = {f"{LIBRARY}.pretty/{f.name}.kicad_mod": footprint_text(f, front) for f in FOOTPRINTS.values()}
    return {**files, "fp-lib-table": _table(front)}


def footprint_text(footprint: Footprint, front: str = "") -> str:
    """One footprint in the grammar of KiCad 6, which later versions read."""
    tree = node(
        "footprint",
        footprint.name,
        node("version", bare("20211014")),
        node("generator", bare("rasterport")),
        node("layer", "F.Cu"),
        node("descr", f"{front}{footprint.descr}. Source: {footprint.source}; {footprint.confidence}"),
        node("tags", footprint.tags),
        node("attr", bare("through_hole")),
        _label("reference", "REF**", footprint.reference_at, "F.SilkS"),
        _label("value", footprint.name, footprint.value_at, "F.Fab"),
        *(_line(stroke.layer, stroke.x1, stroke.y1, stroke.x2, stroke.y2) for stroke in footprint.lines),
        *_courtyard(footprint),
        _mark(footprint),
        *(_pad(pad) for pad in footprint.pads),
    )
    return text(tree, 1)


def _label(kind: str, words: str, at: tuple[float, float], layer: str) -> Node:
    font = node("font", node("size", number(1), number(1)), node("thickness", number(0.15)))
    return node(
        "fp_text",
        bare(kind),
        words,
        node("at", number(at[0]), number(at[1])),
        node("layer", layer),
        node("effects", font),
    )


def _line(layer: str, x1: float, y1: float, x2: float, y2: float, width: float | None = None) -> Node:
    return node(
        "fp_line",
        node("start", number(x1), number(y1)),
        node("end", number(x2), number(y2)),
        node("layer", layer),
        node("width", number(LINE_MM[layer] if width is None else width)),
    )


def _courtyard(footprint: Footprint) -> list[Node]:
    box = footprint.courtyard
    corners = [(box.x1, box.y1), (box.x2, box.y1), (box.x2, box.y2), (box.x1, box.y2)]
    return [_line("F.CrtYd", *a, *b, COURTYARD_MM) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]


def _mark(footprint: Footprint) -> Node:
    points = [node("xy", number(x), number(y)) for x, y in footprint.pin1_mark]
    return node(
        "fp_poly",
        node("pts", *points),
        node("layer", "F.SilkS"),
        node("width", number(0.1)),
        node("fill", bare("solid")),
    )


def _pad(pad: Pad) -> Node:
    slot = pad.drill_x != pad.drill_y
    drill = node(
        "drill", *([bare("oval"), number(pad.drill_x), number(pad.drill_y)] if slot else [number(pad.drill_x)])
    )
    return node(
        "pad",
        pad.number,
        bare(pad.kind),
        bare(pad.shape),
        node("at", number(pad.x), number(pad.y)),
        node("size", number(pad.size_x), number(pad.size_y)),
        drill,
        node("layers", "*.Cu", "*.Mask"),
    )


def _table(front: str) -> str:
    row = node(
        "lib",
        node("name", LIBRARY),
        node("type", "KiCad"),
        node("uri", f"${{KIPRJMOD}}/{LIBRARY}.pretty"),
        node("options", ""),
        node("descr", f"{front}sockets of this board"),
    )
    return text(node("fp_lib_table", row), 1)
