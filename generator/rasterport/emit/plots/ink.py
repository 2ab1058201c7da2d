"""What a plot is drawn with: lines and texts of which it is known how much room they take."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rasterport.emit.drawing.pen import EM
from rasterport.emit.page import Html, el

SIZE = 10.5
"""Height of letters [px] in a picture of 380: at 340 px on a screen they are 9.4 high."""
RISE, FALL = 0.78, 0.24
"""How far letters reach above and below their base line, as shares of their height (from memory)."""
WIDE = 380.0

Point = tuple[float, float]


@dataclass(frozen=True)
class Box:
    """A rectangle [px], y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, apart: float = 0.0) -> bool:
        """Whether two boxes overlap, or come nearer than `apart`."""
        return (
            self.left < other.right + apart
            and other.left < self.right + apart
            and self.top < other.bottom + apart
            and other.top < self.bottom + apart
        )

    def within(self, other: Box) -> bool:
        """Whether this box lies in another one."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )

    def holds(self, point: Point) -> bool:
        """Whether a point lies inside."""
        return self.left < point[0] < self.right and self.top < point[1] < self.bottom


def wide(words: str) -> float:
    """Width of a text [px]."""
    return EM * SIZE * len(words)


def room(words: str, x: float, y: float, anchor: str = "start") -> Box:
    """The room of a text whose base line is at `y`."""
    width = wide(words)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return Box(left, y - RISE * SIZE, left + width, y + FALL * SIZE)


@dataclass
class Ink:
    """The elements of a picture in the order in which they are drawn, and the room of its texts."""

    elements: list[Html] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def text(self, words: str, x: float, y: float, anchor: str = "start", kind: str = "") -> None:
        """Words on one line."""
        self.boxes.append(room(words, x, y, anchor))
        told = None if anchor == "start" else anchor
        self.elements.append(el("text", words, x=px(x), y=px(y), text_anchor=told, class_=kind or None))

    def path(self, kind: str, points: Iterable[Point], closed: bool = False) -> None:
        """A line through points, or an area."""
        self.elements.append(line(kind, points, closed))

    def across(self, kind: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """A straight line."""
        self.path(kind, ((x1, y1), (x2, y2)))

    def free(self, box: Box, apart: float = 1.0) -> bool:
        """Whether no text stands there."""
        return not any(box.meets(other, apart) for other in self.boxes)


def line(kind: str, points: Iterable[Point], closed: bool = False) -> Html:
    """A line through points, or an area."""
    way = "L".join(f"{px(x)} {px(y)}" for x, y in points)
    return el("path", class_=kind, d=f"M{way}{'Z' if closed else ''}")


def window(box: Box, drawn: Sequence[Html]) -> Html:
    """A window onto what is drawn in the same places; what lies outside is cut off."""
    width, height = box.right - box.left, box.bottom - box.top
    return el(
        "svg",
        drawn,
        x=px(box.left),
        y=px(box.top),
        width=px(width),
        height=px(height),
        viewBox=f"{px(box.left)} {px(box.top)} {px(width)} {px(height)}",
        overflow="hidden",
    )


def picture(key: str, title: str, says: str, height: float, ink: Ink) -> Html:
    """The whole picture; `says` is for who does not see it."""
    return el(
        "svg",
        el("title", says),
        ink.elements,
        class_="plot",
        data_plot=key,
        role="img",
        aria_label=f"{title}. {says}",
        viewBox=f"0 0 {px(WIDE)} {px(height)}",
    )


def px(value: float) -> str:
    """A place on paper, to a hundredth."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
