"""Bands: what stands below one another on a sheet, each with its height; a wire a row, headings, the face of a part."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from rasterport.emit.drawing.pen import SIZE, SMALL
from rasterport.emit.wires.ink import LINE, RADIUS, SMALL_LINE, Wiring, said, wrapped
from rasterport.emit.wires.strands import LANDING, Strand

WIDTH = 1900
"""Of every picture [0.1 mm]: an upright A4 sheet between its margins."""
HEADING = 34


@dataclass(frozen=True, slots=True)
class Band:
    """Something of a height [0.1 mm] that draws itself below a point; `keep` where the next one must follow it."""

    height: int
    draw: Callable[[Wiring, int, int], None]
    keep: bool = False


def drawn(bands: Sequence[Band]) -> tuple[Wiring, int]:
    """Bands below one another, and their height."""
    pen, y = Wiring(), 0
    for band in bands:
        band.draw(pen, 0, y)
        y += band.height
    return pen, y


def words(kind: str, text: str, size: int = SIZE, step: int = LINE, keep: bool = False, above: int = 0) -> Band:
    """A text over the whole width, wrapped."""
    lines = wrapped(text, WIDTH, size)

    def draw(pen: Wiring, x: int, y: int) -> None:
        pen.column(kind, x, y + above + round(size * 0.8), lines, size, step)

    return Band(above + step * len(lines) + 6, draw, keep)


def heading(text: str) -> Band:
    """What the bands below it are about."""
    return words("strong", text, HEADING, 40, keep=True, above=30)


def note(text: str, keep: bool = True) -> Band:
    """A remark in small letters."""
    return words("faint", text, SMALL, SMALL_LINE, keep)


BEGIN, BEGIN_ROOM = 70, 400
WIRE_FROM, WIRE_TO = 495, 815
END, END_ROOM = 838, 265
MORE = 1115
MORE_ROOM = WIDTH - MORE


def about(strand: Strand) -> list[tuple[str, int, list[str]]]:
    """What is told of a wire beside its ends: text class, size, lines."""
    cells = strand.cells
    length = "" if cells["length mm"] == "0" else f"{cells['length mm']} mm"
    plainly = ", ".join(filter(None, (length, cells["colour"], cells["wire"])))
    place = cells["place"] if strand.wire.says_where else ""
    if strand.group == LANDING:
        place = place or "the variant does not say where"
        rows = [("place strong", SIZE, place), ("carries", SIZE, cells["carries"])]
    else:
        rows = [("carries strong", SIZE, cells["carries"])]
    rows += [("plainly", SMALL, plainly), ("ground", SMALL, cells["ground"])]
    if strand.group != LANDING:
        rows.append(("place", SMALL, place))
    return [(kind, size, wrapped(text, MORE_ROOM, size)) for kind, size, text in rows if text]


def high(blocks: Sequence[tuple[str, int, list[str]]]) -> int:
    """Height of texts below one another."""
    return sum(len(lines) * (LINE if size == SIZE else SMALL_LINE) for _, size, lines in blocks)


def write(pen: Wiring, x: int, y: int, blocks: Sequence[tuple[str, int, list[str]]]) -> None:
    """Texts below one another, the top of the first at `y`."""
    for kind, size, lines in blocks:
        step = LINE if size == SIZE else SMALL_LINE
        pen.column(kind, x, y + round(size * 0.8), lines, size, step)
        y += step * len(lines)


def row(strand: Strand, names: Mapping[tuple[str, str], str]) -> Band:
    """A wire between its two ends in words; `names` has what a contact is called, by reference and number."""
    begin = [("from", SIZE, wrapped(strand.cells["from"], BEGIN_ROOM))]
    name = names.get(strand.wire.joins[0], "") if strand.wire.joins else ""
    if name and name not in strand.cells["from"]:
        begin.append(("faint", SMALL, wrapped(name, BEGIN_ROOM, SMALL)))
    end = [("to", SIZE, wrapped(strand.cells["to"], END_ROOM))]
    more = about(strand)
    height = max(high(begin), high(end), high(more), 2 * RADIUS + 2) + 18

    def draw(pen: Wiring, x: int, y: int) -> None:
        middle = y + RADIUS + 3
        pen.strand(strand)
        pen.badge((x + RADIUS + 2, middle), strand.cells["order"])
        write(pen, x + BEGIN, y + 12, begin)
        start, stop = (x + WIRE_FROM, middle), (x + WIRE_TO, middle)
        pen.lead(strand, (start, stop), strand.wire.screen)
        pen.terminal(start)
        pen.terminal(stop)
        pen.tag(((start[0] + stop[0]) // 2, middle), said(strand.wire.colour))
        write(pen, x + END, y + 12, end)
        write(pen, x + MORE, y + 12, more)
        pen.end()

    return Band(height, draw)


def step(cells: Mapping[str, str]) -> Band:
    """A row of the wiring list that is no wire: something to do to the chassis."""
    room = WIDTH - BEGIN
    rows = (("from strong", "from", SIZE), ("place", "place", SIZE), ("carries faint", "carries", SMALL))
    texts = [(kind, size, wrapped(cells[key], room, size)) for kind, key, size in rows if cells[key]]

    def draw(pen: Wiring, x: int, y: int) -> None:
        pen.group("step", wire=cells["order"])
        pen.badge((x + RADIUS + 2, y + RADIUS + 3), cells["order"])
        write(pen, x + BEGIN, y + 12, texts)
        pen.end()

    return Band(max(high(texts), 2 * RADIUS + 2) + 16, draw)
