"""Sheets of a drawing as SVG: frames in their places, border and title block."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from rasterport.emit.drawing.arranging import BORDER, MARGIN, STRIP, Paper, arranged
from rasterport.emit.drawing.frames import frames_of
from rasterport.emit.drawing.pen import SIZE, SMALL, Pen, cut, lines_of, plain, wide
from rasterport.records import Circuit

REMARK = 50
"""Room for the remark above everything."""
MANY = "*"
NOTES = (
    "A flag bears the name of a net: all of one name are joined.  Three lines: ground (GND).",
    "A bar: the rail named at it.  A cross: left open on purpose.  Contacts are drawn at rest.",
    "R: ohm, k: kohm, M: Mohm, p, n, u: farad, the letter in place of the point: 4k7 is 4.7 kohm.",
)
ONWARDS = f"A number below its tip: the sheet where it goes on; {MANY}: several."
TOLD = "A circle: low is active.  In square brackets: the maker's name."
STYLE = """
.circuit{color:#000;color:var(--circuit-ink,#000)}
.circuit path,.circuit circle{fill:none;stroke:currentColor;stroke-width:2.5;stroke-linecap:round;stroke-linejoin:round}
.circuit text{font-family:monospace;fill:currentColor}
.circuit .paper{fill:#fff;fill:var(--circuit-paper,#fff)}
.circuit .body{stroke-width:4}.circuit .thick{stroke-width:6}.circuit .edge{stroke-width:5}
.circuit .outline{stroke-width:1.5}.circuit .dot,.circuit .full{fill:currentColor}
.circuit .frame{stroke-width:1.5;stroke-dasharray:10 6}
.circuit .net,.circuit .onward{fill:#06408f;fill:var(--circuit-net,#06408f)}
.circuit .ref,.circuit .title{font-weight:bold}
@media print{.circuit{color:#000}.circuit .paper{fill:#fff}.circuit .net,.circuit .onward{fill:#06408f}}
"""
"""All below one class, so that a page that takes sheets in keeps its own looks.  A dark page sets the three properties
`--circuit-ink`, `--circuit-paper` and `--circuit-net`; what is printed stays black on white.  Each is stated twice,
since not every program that shows SVG knows properties."""


def drawings(circuit: Circuit, name: str, title: str, revision: str = "", remark: str = "") -> list[str]:
    """The sheets of a drawing as SVG.  `remark` heads each where the board must not be built."""
    frames = frames_of(circuit)
    top = MARGIN + (REMARK if remark else 0)
    paper, sheets = arranged(frames, top)
    pens = []
    for sheet in sheets:
        pens.append(Pen())
        for frame, x, y in sheet:
            frame.draw(pens[-1], x + MARGIN, y + top)
    found = []
    for number, pen in enumerate(pens, 1):
        pen.onward(_elsewhere(pens, number))
        _border(pen, paper, name, title, revision, f"{number} of {len(sheets)}")
        if remark:
            pen.text("title", (MARGIN, MARGIN + 30), remark, size=36)
        counted = f", sheet {number} of {len(sheets)}" if len(sheets) > 1 else ""
        found.append(_svg(paper, pen.lines, f"{name}: circuit drawing{counted}", title))
    return found


def _elsewhere(pens: Sequence[Pen], number: int) -> dict[str, str]:
    """Net of a sheet -> the other sheet that names it, MANY where several do."""
    found: dict[str, str] = {}
    for other, pen in enumerate(pens, 1):
        if other != number:
            for net in pen.named & pens[number - 1].named:
                found[net] = MANY if net in found or other > 9 else str(other)
    return found


def _border(pen: Pen, paper: Paper, name: str, title: str, revision: str, counted: str) -> None:
    """The line around a sheet and the title block at its foot."""
    right, bottom = paper.width - BORDER, paper.height - BORDER
    top = bottom - STRIP
    corners = ((BORDER, BORDER), (right, BORDER), (right, bottom), (BORDER, bottom))
    pen.path("border", *corners, closed=True)
    pen.path("border", (BORDER, top), (right, top))
    legend = list(NOTES)
    if not counted.endswith(" of 1"):
        legend[0] += f"  {ONWARDS}"
    if pen.told:
        legend[1] += f"  {TOLD}"
    notes = BORDER + 24 + max(wide(note, SMALL) for note in legend)
    for n, note in enumerate(legend):
        pen.text("note", (BORDER + 12, top + 32 + 28 * n), note, size=SMALL)
    last = right
    for head, words in (("sheet", counted), ("revision", revision)):
        if not words:
            continue
        words = cut(words, 300)
        edge = last - max(wide(words), wide(head, SMALL)) - 24
        pen.path("border", (edge, top), (edge, bottom))
        pen.text("note", (edge + 12, top + 32), head, size=SMALL)
        pen.text("title", (edge + 12, top + 74), words)
        last = edge
    pen.path("border", (notes, top), (notes, bottom))
    room = last - notes - 24
    pen.text("title", (notes + 12, top + 38), cut(name, room, 34), size=34)
    about = lines_of(title if plain(title) != name else "", room)
    if len(about) > 2:
        about = [about[0], cut(" ".join(about[1:]), room)]
    for n, words in enumerate(about):
        pen.text("note", (notes + 12, top + 68 + 28 * n), words)


def _svg(paper: Paper, lines: Sequence[str], words: str, title: str) -> str:
    label = escape(plain(f"{words}. {title}"))
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{paper.size[0] / 10:g}mm" '
            f'height="{paper.size[1] / 10:g}mm" viewBox="0 0 {paper.width} {paper.height}" font-size="{SIZE}" '
            f'class="circuit" role="img" aria-label="{label}">',
            f"<title>{escape(plain(words), quote=False)}</title>",
            f"<style>{STYLE}</style>",
            f'<rect class="paper" width="{paper.width}" height="{paper.height}"/>',
            *lines,
            "</svg>",
            "",
        ]
    )
