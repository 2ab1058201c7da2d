"""Frames on sheets of paper, A4 lying where all has room, A3 else, several where one does not do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import ceil

from rasterport.emit.drawing.frames import BROAD, Frame, frames_of
from rasterport.emit.drawing.packing import Place, packed
from rasterport.emit.drawing.pen import SIZE, SMALL, Pen, cut, lines_of, plain, wide
from rasterport.records import Circuit

A4, A3 = (2970, 2100), (4200, 2970)
"""Lying sheets of ISO 216 [0.1 mm]."""
SCALES = (1.3, 1.15, 1.0, 0.92, 0.83)
"""Sizes of the drawing that are tried, the largest first; at the least the small letters are 1.82 mm tall."""
LARGEST = 1.4
BORDER = 60
"""From the edge of the paper to the line around the sheet."""
MARGIN = BORDER + 24
STRIP = 104
"""Height of the title block."""
FOOT = BORDER + STRIP + 24
REMARK = 50
"""Room for the remark above everything."""
BETWEEN = 30
MANY = "*"
NOTES = (
    "A flag bears the name of a net: all of one name are joined.  Three lines: ground (GND).",
    "A bar: the rail named at it.  A cross: left open on purpose.  Contacts are drawn at rest.",
    "R: ohm, k: kohm, M: Mohm, p, n, u: farad, the letter in place of the point: 4k7 is 4.7 kohm.",
)
ONWARDS = f"A number below its tip: the sheet where it goes on; {MANY}: several."
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


@dataclass(frozen=True, slots=True)
class Paper:
    """The size of all sheets of a drawing: `scale` millimetres on paper for a millimetre of the drawing."""

    size: tuple[int, int]
    scale: float

    @property
    def width(self) -> int:
        """In units of the drawing."""
        return round(self.size[0] / self.scale)

    @property
    def height(self) -> int:
        """In units of the drawing."""
        return round(self.size[1] / self.scale)


Sheet = list[Place]


def drawings(circuit: Circuit, name: str, title: str, revision: str = "", remark: str = "") -> list[str]:
    """The sheets of a drawing as SVG.  `remark` heads each where the board must not be built."""
    frames = frames_of(circuit)
    top = MARGIN + (REMARK if remark else 0)
    paper, sheets = _arranged(frames, top)
    pens = []
    for sheet in sheets:
        pens.append(Pen())
        for n, x, y in sheet:
            frames[n].draw(pens[-1], x + MARGIN, y + top)
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


def _arranged(frames: Sequence[Frame], top: int) -> tuple[Paper, list[Sheet]]:
    """The paper and what stands on each sheet: A4 if that will do, else the fewest A3, drawn as large as they allow."""
    found: list[tuple[tuple[int, int, float], int, Paper, list[Sheet]]] = []
    for broad in BROAD:
        for frame in frames:
            frame.lay_out(broad)
        paper, sheets = _placed(frames, top)
        found.append(((paper.size[0], len(sheets), -paper.scale), broad, paper, sheets))
    _, broad, paper, sheets = min(found, key=lambda one: one[0])
    for frame in frames:
        frame.lay_out(broad)
    return paper, sheets


def _placed(frames: Sequence[Frame], top: int) -> tuple[Paper, list[Sheet]]:
    area = sum((f.width + BETWEEN) * (f.height + BETWEEN) for f in frames)
    widest, highest = max(f.width for f in frames), max(f.height for f in frames)
    best: tuple[Paper, list[Sheet]] | None = None
    for size in (A4, A3):
        for scale in SCALES:
            paper = Paper(size, scale)
            room = (paper.width - 2 * MARGIN, paper.height - top - FOOT)
            least = ceil(area / ((room[0] + BETWEEN) * (room[1] + BETWEEN)))
            if widest > room[0] or highest > room[1] or (least > 1 and size == A4):
                continue
            if best is not None and least >= len(best[1]):
                continue
            made = min((_packed(frames, order, room) for order in _orders(frames)), key=len)
            made = [_facing(frames, sheet) for sheet in made]
            if len(made) == 1:
                return _grown(paper, frames, made, top), made
            if size == A3 and (best is None or len(made) < len(best[1])):
                best = paper, made
    if best is None:
        paper = Paper(A3, 0.999 * min(A3[0] / (widest + 2 * MARGIN), A3[1] / (highest + top + FOOT)))
        best = paper, _packed(frames, range(len(frames)), (widest, highest))
    return _grown(best[0], frames, best[1], top), best[1]


def _orders(frames: Sequence[Frame]) -> list[list[int]]:
    """Orders that are tried: as they are read, by height, by area."""
    read = list(range(len(frames)))
    by_height = sorted(read, key=lambda n: -frames[n].height)
    return [read, by_height, sorted(read, key=lambda n: -frames[n].height * frames[n].width)]


def _packed(frames: Sequence[Frame], order: Sequence[int], room: tuple[int, int]) -> list[Sheet]:
    sizes = [(frames[n].width, frames[n].height) for n in order]
    return [[(order[n], x, y) for n, x, y in sheet] for sheet in packed(sizes, *room, BETWEEN)]


def _facing(frames: Sequence[Frame], sheet: Sheet) -> Sheet:
    """A sheet with what begins at sockets on the left and what ends at landings on the right: mirrored if need be."""
    middles: dict[int, list[int]] = {-1: [], 0: [], 1: []}
    for n, x, _ in sheet:
        middles[frames[n].side].append(x + frames[n].width // 2)
    if not middles[-1] or not middles[1] or min(middles[-1]) < min(middles[1]):
        return sheet
    end = max(x + frames[n].width for n, x, _ in sheet)
    return [(n, end - x - frames[n].width, y) for n, x, y in sheet]


def _grown(paper: Paper, frames: Sequence[Frame], sheets: Sequence[Sheet], top: int) -> Paper:
    """The same paper with the drawing as large as all sheets allow, in steps of a hundredth."""
    wide_ = max(x + frames[n].width for sheet in sheets for n, x, _ in sheet) + 2 * MARGIN
    high = max(y + frames[n].height for sheet in sheets for n, _, y in sheet) + top + FOOT
    scale = int(min(paper.size[0] / wide_, paper.size[1] / high, LARGEST) * 100) / 100
    return Paper(paper.size, max(scale, paper.scale))


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
