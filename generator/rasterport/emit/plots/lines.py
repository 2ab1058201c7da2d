"""A curve as a picture: axes, band of the corners, limits, and every line named where it runs."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rasterport.emit.page import Html
from rasterport.emit.plots.ink import RISE, SIZE, WIDE, Box, Ink, Point, line, picture, room, wide, window
from rasterport.emit.plots.scales import Axis, covering, decades, inside, labels, labels_each
from rasterport.records import Curve

TOP, PLOT_HIGH, FOOT, RIGHT = 18.0, 150.0, 33.0, 8.0
"""Above the axes for the words of the y axis, the axes, below them for the x axis, beside them [px]."""
ROW = SIZE + 3
APART = 3.0
"""From a line to its words [px]."""
PLACES = 16
"""So many places along a line are tried for its words."""


def plot_svg(curve: Curve) -> Html:
    """The picture of a curve.  Words that find no room beside their line stand below the picture."""
    drawn = _Plot(curve)
    drawn.axes()
    drawn.lines()
    below = list(drawn.words())
    height = TOP + PLOT_HIGH + FOOT
    for words in below:
        height += ROW
        drawn.ink.text(words, WIDE - RIGHT, height - 4, "end", "bound")
    return picture(curve.key, curve.title, curve.says, height, drawn.ink)


@dataclass(frozen=True)
class _Way:
    """A line on paper, drawn from left to right, or upright."""

    points: tuple[Point, ...]

    def span(self, left: float, right: float) -> tuple[float, float] | None:
        """Highest and lowest place [px] between two others, None where the line does not pass."""
        p = self.points
        if right < p[0][0] or left > p[-1][0]:
            return None
        first, last = (bisect_left(p, (x,)) for x in (left, right))
        found = [y for _, y in p[first:last]]
        found += [self._at(k, x) for k, x in ((first, left), (last, right)) if 0 < k < len(p)]
        return (min(found), max(found)) if found else None

    def _at(self, k: int, x: float) -> float:
        (x1, y1), (x2, y2) = self.points[k - 1], self.points[k]
        return y1 + (y2 - y1) * (x - x1) / (x2 - x1) if x2 > x1 else y1

    def crosses(self, box: Box) -> bool:
        """Whether the line passes through a box."""
        span = self.span(box.left, box.right)
        return span is not None and span[0] < box.bottom and span[1] > box.top


@dataclass(frozen=True)
class _Label:
    """Words with the line that they belong to, and how their letters look."""

    words: str
    kind: str
    way: _Way


class _Plot:
    """One picture on the way."""

    def __init__(self, curve: Curve) -> None:
        self.curve, self.ink = curve, Ink()
        values = [v for _, y in curve.lines for v in y] + [v for _, v in curve.limits]
        values += [y for _, _, y in curve.corners]
        values += [v for edge in curve.band or () for v in edge]
        low, high = curve.shown or (min(values), max(values))
        self.y_ticks = inside(low, high) if curve.shown else covering(low, high)
        if not curve.shown:
            low, high = self.y_ticks[0], self.y_ticks[-1]
        x = curve.x
        self.x_ticks = decades(x[0], x[-1]) if curve.logarithmic else inside(x[0], x[-1])
        self.y_unit, self.y_labels = labels(self.y_ticks, curve.y_unit)
        left = max(wide(label) for label in self.y_labels) + 6
        self.frame = Box(left, TOP, WIDE - RIGHT, TOP + PLOT_HIGH)
        self.x_axis = Axis(x[0], x[-1], self.frame.left, self.frame.right, curve.logarithmic)
        self.y_axis = Axis(low, high, self.frame.bottom, self.frame.top)

    def axes(self) -> None:
        """Grid and ticks."""
        f, ink, curve = self.frame, self.ink, self.curve
        for tick, label in zip(self.y_ticks, self.y_labels, strict=True):
            y = self.y_axis.at(tick)
            ink.across("grid", f.left, y, f.right, y)
            ink.text(label, f.left - 4, y + RISE * SIZE / 2, "end", "axis")
        if curve.logarithmic:
            x_labels, x_words = labels_each(self.x_ticks, curve.x_unit), curve.x_words
        else:
            unit, x_labels = labels(self.x_ticks, curve.x_unit)
            x_words = f"{curve.x_words}, {unit}"
        for tick, label in zip(self.x_ticks, x_labels, strict=True):
            x, half = self.x_axis.at(tick), wide(label) / 2
            ink.across("grid", x, f.top, x, f.bottom)
            ink.text(label, min(max(x, half), WIDE - half), f.bottom + ROW + 2, "middle", "axis")
        ink.path("frame", ((f.left, f.top), (f.left, f.bottom), (f.right, f.bottom)))
        ink.text(f"{curve.y_words}, {self.y_unit}", 0.0, TOP - 7, "start")
        ink.text(x_words, f.right, f.bottom + 2 * ROW + 1, "end")

    def lines(self) -> None:
        """Band, limits, lines; what leaves the axes is cut off there."""
        f, curve = self.frame, self.curve
        drawn = []
        if curve.band is not None:
            low, high = (self._points(edge) for edge in curve.band)
            drawn.append(line("band", [*high, *low[::-1]], closed=True))
            drawn += [line("edge", edge) for edge in (low, high)]
        drawn += [line("limit", self._level(value)) for _, value in curve.limits]
        for _, x, y in curve.corners:
            way = self._corner(x, y)
            drawn += [line("beside", [*way, (f.left, f.bottom)], closed=True), line("corner", way)]
        drawn += [line("mark", self._upright(value)) for _, value in curve.marks]
        for n, (_, run) in enumerate(curve.lines):
            drawn.append(line("other" if n else "nominal", self._points(run)))
        self.ink.elements.append(window(f, drawn))

    def words(self) -> Iterator[str]:
        """Every line is named beside it; yields the words that found no room."""
        curve = self.curve
        wanted = [_Label(words, "on bound", _Way(self._level(value))) for words, value in curve.limits]
        marked = [_Label(words, "on bound", _Way(self._upright(value))) for words, value in curve.marks]
        named = [*curve.lines, *([(curve.band_words, curve.band[0])] if curve.band and curve.band_words else [])]
        for n, (words, x, y) in enumerate(curve.corners):
            left, edge, foot = self._corner(x, y)
            # Where a corner before it has the same height its level side is taken, its upright one is not.
            if y in [height for _, _, height in curve.corners[:n]]:
                marked.append(_Label(words, "on bound", _Way((edge, foot))))
            else:
                wanted.append(_Label(words, "on bound", _Way((left, edge))))
        wanted += marked + [_Label(words, "on", _Way(tuple(self._points(run)))) for words, run in named]
        ways = [label.way for label in wanted]
        for label in wanted:
            tried = self._upright_places(label) if label in marked else self._places(label)
            if not self._put(label, tried, ways):
                yield label.words

    def _put(self, label: _Label, tried: Iterable[Point], ways: Sequence[_Way]) -> bool:
        """Put words at the place where they cross the fewest lines, the first of those alike."""
        best: tuple[int, Point] | None = None
        for x, y in tried:
            box = room(label.words, x, y)
            if box.within(self.frame) and self.ink.free(box, 2.0):
                crossed = sum(way.crosses(box) for way in ways)
                if best is None or crossed < best[0]:
                    best = crossed, (x, y)
                if crossed == 0:
                    break
        if best is None:
            return False
        self.ink.text(label.words, *best[1], "start", label.kind)
        return True

    def _places(self, label: _Label) -> Iterator[Point]:
        """Above a line and below it, from its right end to its left."""
        width, f = wide(label.words), self.frame
        for n in range(PLACES + 1):
            left = f.right - 3 - width - (f.right - f.left - width - 6) * n / PLACES
            span = label.way.span(left - 2, left + width + 2)
            if span is not None:
                yield left, max(f.top, span[0]) - APART
                yield left, min(f.bottom, span[1]) + APART + RISE * SIZE

    def _upright_places(self, label: _Label) -> Iterator[Point]:
        """Left and right of an upright line, from the bottom upwards."""
        (x, top), (_, bottom) = label.way.points
        width = wide(label.words)
        for n in range(PLACES + 1):
            y = bottom - APART - max(0.0, bottom - top - SIZE - APART) * n / PLACES
            yield x - APART - width, y
            yield x + APART, y

    def _points(self, values: Sequence[float]) -> list[Point]:
        return [(self.x_axis.at(x), self.y_axis.at(y)) for x, y in zip(self.curve.x, values, strict=True)]

    def _corner(self, x: float, y: float) -> tuple[Point, Point, Point]:
        across, down = self.x_axis.at(x), self.y_axis.at(y)
        return (self.frame.left, down), (across, down), (across, self.frame.bottom)

    def _level(self, value: float) -> tuple[Point, ...]:
        y = self.y_axis.at(value)
        return (self.frame.left, y), (self.frame.right, y)

    def _upright(self, value: float) -> tuple[Point, ...]:
        x = self.x_axis.at(value)
        return (x, self.frame.top), (x, self.frame.bottom)
