"""Bars as a picture: a name above each, its value beside it, limits across all of them."""

from __future__ import annotations

from dataclasses import replace

from rasterport.emit.drawing.pen import EM
from rasterport.emit.page import Html
from rasterport.emit.plots.ink import RISE, SIZE, WIDE, Ink, picture, room, wide
from rasterport.emit.plots.scales import Axis, inside, labels
from rasterport.records import Bar, Bars

LINE = SIZE + 2.5
THICK, GAP, LEAD = 8.0, 5.0, 5.0
"""Of a bar, below it, between its words and it [px]."""
SIDE = 6.0
"""Left and right of the bars [px]: half a tick label stands out there."""
ARROW = 5.0
GRAVE = ("error", "warning")


def bars_svg(bars: Bars) -> Html:
    """The picture of bars; one that is longer than the axis ends in an arrow."""
    ink = Ink()
    told = max((wide(bar.told) for bar in bars.bars), default=0.0)
    axis = Axis(*bars.shown, SIDE, WIDE - told - 2 * SIDE - ARROW)
    names = [wrapped(bar.words, WIDE) for bar in bars.bars]
    top, limits = _above(bars, axis)
    bottom = top + sum(len(lines) * LINE + LEAD + THICK + GAP for lines in names)
    _axis(ink, bars, axis, top, bottom)
    for words, x, y, _ in limits:
        ink.text(words, x, y, "start", "bound")
    y = top
    for bar, lines in zip(bars.bars, names, strict=True):
        for words in lines:
            y += LINE
            ink.text(words, 0.0, y, "start", "over" if bar.grave in GRAVE else "")
        _bar(ink, bar, axis, y + LEAD)
        y += LEAD + THICK + GAP
    for _, _, begin, value in limits:
        _upright(ink, axis.at(value), begin + 3, bottom)
    y = bottom + 2 * LINE
    if any(tick <= axis.high for bar in bars.bars for tick in bar.ticks):
        y += LINE
        ink.across("tick", 2.0, y - THICK, 2.0, y)
        ink.text(bars.ticks_words, 8.0, y, "start", "axis")
    for words in wrapped(bars.left_out, WIDE):
        y += LINE
        ink.text(words, 0.0, y, "start", "axis")
    return picture(bars.key, bars.title, bars.says, y + 5, ink)


def in_parts(bars: Bars, most: int = 18) -> tuple[Bars, ...]:
    """Pictures of so many bars each, in order, for columns and paper that ends; what has no bar is told in the last.

    All parts have one axis.  Only the first says what all of them show.
    """
    count = max(1, -(-len(bars.bars) // most))
    if count == 1:
        return (bars,)
    return tuple(
        replace(
            bars,
            key=f"{bars.key}-{n}",
            title=f"{bars.title}, {n} of {count}",
            bars=bars.bars[(n - 1) * most : n * most],
            says=bars.says if n == 1 else f"Part {n} of {count}, continued.",
            left_out=bars.left_out if n == count else "",
        )
        for n in range(1, count + 1)
    )


def _above(bars: Bars, axis: Axis) -> tuple[float, list[tuple[str, float, float, float]]]:
    """Where the bars begin, and above them the words of the limits with their places, each as low as it finds room."""
    placed: list[tuple[str, float, int, float]] = []
    for words, value in bars.limits:
        width = wide(words)
        left = min(max(axis.at(value) - width / 2, 0.0), WIDE - width)
        box, row = room(words, left, 0.0), 0
        while any(n == row and room(other, x, 0.0).meets(box, 4.0) for other, x, n, _ in placed):
            row += 1
        placed.append((words, left, row, value))
    top = (max((row for _, _, row, _ in placed), default=-1) + 1) * LINE + 4
    return top, [(words, left, top - 4 - row * LINE, value) for words, left, row, value in placed]


def _upright(ink: Ink, x: float, top: float, bottom: float) -> None:
    """The line of a limit, interrupted where words stand."""
    y = top
    crossed = (b for b in ink.boxes if b.left - 1 <= x <= b.right + 1 and top < b.bottom and b.top < bottom)
    for box in sorted(crossed, key=lambda b: b.top):
        if y < box.top:
            ink.across("limit", x, y, x, box.top)
        y = max(y, box.bottom)
    if y < bottom:
        ink.across("limit", x, y, x, bottom)


def _axis(ink: Ink, bars: Bars, axis: Axis, top: float, bottom: float) -> None:
    """Ticks below the bars."""
    ticks = inside(*bars.shown)
    unit, names = labels(ticks, bars.x_unit)
    for tick, name in zip(ticks, names, strict=True):
        x = axis.at(tick)
        ink.across("grid", x, top, x, bottom)
        ink.text(name, max(x, wide(name) / 2), bottom + LINE, "middle", "axis")
    ink.across("frame", axis.first, bottom, axis.last, bottom)
    ink.text(f"{bars.x_words}, {unit}", 0.0, bottom + 2 * LINE, "start", "axis")


def _bar(ink: Ink, bar: Bar, axis: Axis, top: float) -> None:
    """From one end to the other, a cut where it is nominal; never so short that it is not seen."""
    left, right = (min(max(axis.at(v), axis.first), axis.last) for v in (bar.low, bar.high))
    right = max(right, left + 2.0)
    kind = "beyond" if bar.grave in GRAVE else "bar"
    middle, low = top + THICK / 2, top + THICK
    end = [(right, top), (right, low)]
    if bar.high > axis.high:
        end = [(right, top), (right + ARROW, middle), (right, low)]
    ink.path(kind, [(left, top), *end, (left, low)], closed=True)
    if bar.nominal is not None and bar.low < bar.nominal < bar.high:
        ink.across("middle", axis.at(bar.nominal), top, axis.at(bar.nominal), low)
    for tick in bar.ticks:
        if tick <= axis.high:
            ink.across("tick", axis.at(tick), top - 2, axis.at(tick), low + 2)
    ink.text(bar.told, WIDE, middle + RISE * SIZE / 2, "end")


def wrapped(words: str, width: float) -> list[str]:
    """Words in lines that are no wider than this [px]; a single word that is longer is broken."""
    most = int(width / (EM * SIZE))
    lines: list[str] = []
    for word in words.split():
        while len(word) > most:
            lines.append(word[:most])
            word = word[most:]
        if lines and len(lines[-1]) + 1 + len(word) <= most:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
