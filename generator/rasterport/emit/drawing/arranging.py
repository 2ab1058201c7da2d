"""Which paper, how many sheets and where each frame stands: the arrangement that lets the drawing be the largest.

A4 lying where all has room, A3 else, the fewest sheets that will do.  Among ways to pack the frames the one counts that
allows the largest scale, or nearly that where several sheets are then filled more alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, product
from math import prod

from rasterport.emit.drawing.frames import BROAD, Frame
from rasterport.emit.drawing.packing import Place as Packed
from rasterport.emit.drawing.packing import Size, packed

A4, A3 = (2970, 2100), (4200, 2970)
"""Lying sheets of ISO 216 [0.1 mm]."""
LEAST, LARGEST = 83, 140
"""Bounds of the scale [0.01]: at the least the small letters are 1.82 mm tall."""
BORDER = 60
"""From the edge of the paper to the line around the sheet."""
MARGIN = BORDER + 24
STRIP = 104
"""Height of the title block."""
FOOT = BORDER + STRIP + 24
BETWEEN = 30
NEARLY = 2
"""So much of the scale is given for sheets that are filled alike [0.01]."""
FEW = 3
"""Up to so many sheets every way to part the inputs among them is tried."""


@dataclass(frozen=True, slots=True)
class Paper:
    """The size of all sheets of a drawing: `scale` millimetres on paper for a millimetre of the drawing."""

    size: Size
    scale: float

    @property
    def width(self) -> int:
        """In units of the drawing."""
        return round(self.size[0] / self.scale)

    @property
    def height(self) -> int:
        """In units of the drawing."""
        return round(self.size[1] / self.scale)


Place = tuple[Frame, int, int]
"""A frame and its upper left corner, about that of the room."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to pack: the order of the frames, the sheets that the inputs are bound to, and how the rest is placed."""

    order: tuple[int, ...]
    bound: Mapping[int, int]
    even: bool
    down: bool


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be placed on so many sheets; `top` is where the room begins."""

    frames: Sequence[Frame]
    shapes: Sequence[Sequence[Size]]
    size: Size
    sheets: int
    top: int

    def room(self, hundredths: int) -> Size:
        """Room of a sheet at a scale."""
        paper = Paper(self.size, hundredths / 100)
        return paper.width - 2 * MARGIN, paper.height - self.top - FOOT

    def packed(self, way: Way, room: Size) -> list[list[Packed]] | None:
        """The sheets, None where the room does not do."""
        return packed(self.shapes, way.order, room, BETWEEN, self.sheets, way.bound, way.even, way.down)

    def fullest(self, sheets: Sequence[Sequence[Packed]]) -> int:
        """What stands on the sheet that has most [units of area]."""
        return max(sum(prod(self.shapes[n][shape]) for n, shape, _, _ in sheet) for sheet in sheets)

    def ways(self, room: Size) -> Iterator[Way]:
        """Inputs first and as they are read, on a sheet or the next; the others in several orders.

        None where the room does not even do for the inputs.
        """
        inputs = tuple(n for n, frame in enumerate(self.frames) if frame.side < 0)
        rest = [n for n, frame in enumerate(self.frames) if frame.side >= 0]
        least = [(min(h for _, h in s), min(w * h for w, h in s)) for s in self.shapes]
        by_size = [tuple(sorted(rest, key=lambda n: -least[n][by])) for by in range(2)]
        orders = dict.fromkeys((tuple(rest), *by_size))
        for bound, down in product(self._bounds(inputs), (False, True)):
            if self.packed(Way(inputs, bound, False, down), room):
                for order, even in product(orders, (True, False) if self.sheets > 1 else (False,)):
                    yield Way((*inputs, *order), bound, even, down)

    def _bounds(self, inputs: Sequence[int]) -> Iterator[dict[int, int]]:
        if self.sheets > FEW:
            yield {n: place * self.sheets // len(inputs) for place, n in enumerate(inputs)}
            return
        for onto in combinations_with_replacement(range(self.sheets), len(inputs)):
            if onto[:1] in ((), (0,)):
                yield dict(zip(inputs, onto, strict=True))


def arranged(frames: Sequence[Frame], top: int) -> tuple[Paper, list[list[Place]]]:
    """The paper and what stands on each sheet, `top` being where the room for it begins; lays the frames out."""
    broad = [_shapes(frame) for frame in frames]
    shapes = [list(found) for found in broad]
    area = sum(min((w + BETWEEN) * (h + BETWEEN) for w, h in found) for found in shapes)
    for size, sheets in ((A4, 1), *[(A3, n + 1) for n in range(len(frames))]):
        task = Task(frames, shapes, size, sheets, top)
        least = LEAST if size == A4 else min(LEAST, _least(task))
        wide, high = task.room(least)
        if area <= sheets * (wide + BETWEEN) * (high + BETWEEN) and (found := _largest(task, least)):
            scale, made = found
            for n, shape, _, _ in (place for sheet in made for place in sheet):
                frames[n].lay_out(broad[n][shapes[n][shape]])
            return Paper(size, scale / 100), [_facing([(frames[n], x, y) for n, _, x, y in sheet]) for sheet in made]
    raise AssertionError("every frame has room on a sheet of its own")


def _shapes(frame: Frame) -> dict[Size, int]:
    """Sizes that a frame may have, each with the least width that makes it so."""
    found: dict[Size, int] = {}
    for broad in BROAD:
        frame.lay_out(broad)
        found.setdefault((frame.width, frame.height), broad)
    return found


def _least(task: Task) -> int:
    """The scale at which each frame has room on a sheet of its own."""
    wide, high = task.size
    scales = [
        max(min(wide / (w + 2 * MARGIN + 1), high / (h + task.top + FOOT + 1)) for w, h in found)
        for found in task.shapes
    ]
    return max(1, int(100 * min(scales)))


def _largest(task: Task, least: int) -> tuple[int, list[list[Packed]]] | None:
    """The largest scale of all ways, of equal ways the first; on several sheets the one that fills them most alike."""
    best: tuple[int, Way, list[list[Packed]]] | None = None
    for way in task.ways(task.room(least)):
        if found := _scaled(task, way, best[0] + 1 if best else least, LARGEST):
            best = found
    if best and task.sheets > 1:
        least = max(least, best[0] - NEARLY)
        room = task.room(least)
        made = [(task.fullest(sheets), way) for way in task.ways(room) if (sheets := task.packed(way, room))]
        best = _scaled(task, min(made, key=lambda pair: pair[0])[1], least, best[0])
    return best and (best[0], _level(task, *best))


def _scaled(task: Task, way: Way, low: int, high: int) -> tuple[int, Way, list[list[Packed]]] | None:
    """The largest scale between two that a way allows, and its sheets."""
    made = task.packed(way, task.room(low)) if low <= high else None
    while made and low < high:
        middle = (low + high + 1) // 2
        if found := task.packed(way, task.room(middle)):
            low, made = middle, found
        else:
            high = middle - 1
    return (low, way, made) if made else None


def _level(task: Task, scale: int, way: Way, made: list[list[Packed]]) -> list[list[Packed]]:
    """The sheets in the lowest room that they all do with."""
    wide, high = task.room(scale)
    low = 0
    while task.sheets > 1 and high - low > BETWEEN:
        middle = (low + high) // 2
        if found := task.packed(way, (wide, middle)):
            high, made = middle, found
        else:
            low = middle
    return made


def _facing(sheet: list[Place]) -> list[Place]:
    """What ends at landings on the right: a sheet that no socket begins on is mirrored."""
    if not any(frame.side > 0 for frame, _, _ in sheet) or any(frame.side < 0 for frame, _, _ in sheet):
        return sheet
    end = max(x + frame.width for frame, x, _ in sheet)
    return [(frame, end - x - frame.width, y) for frame, x, y in sheet]
