"""What is put on paper, as SVG in tenths of a millimetre; all coordinates are absolute, so a reader can follow wires.

A pin is drawn from its outer end inwards, a flag and a ground from the point where they meet the wire.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from html import escape

from rasterport.records import GROUND

SIZE = 24
"""Height of letters [0.1 mm]: 2.4 mm, a little under what ISO 3098 asks of lettering on drawings (from memory)."""
SMALL = 22
EM = 0.605
"""Width of a letter of a monospaced face, as a share of its height: 0.6 and a little (from memory)."""
FLAG_HALF = 16
FLAG_TIP = 14
BAR_HALF = 20
EARTH = 18
"""Depth of the sign of ground [0.1 mm]."""

TIP = 10
"""Length of the tip of an arrow [0.1 mm]."""
ONWARD = 14
"""Room beside the tip of a flag for the number of the sheet where its net goes on [0.1 mm]."""

Point = tuple[int, int]


@lru_cache(maxsize=4096)
def wide(words: str, size: int = SIZE) -> int:
    """Room that words need [0.1 mm]; a letter of East Asia takes two places."""
    double = 0 if words.isascii() else sum(unicodedata.east_asian_width(c) in "WF" for c in words)
    return math.ceil((len(words) + double) * size * EM)


def plain(words: str) -> str:
    """Words on one line, without what XML cannot hold."""
    if words.isprintable() and "  " not in words and words.strip() == words:
        return words
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def cut(words: str, room: int, size: int = SIZE) -> str:
    """Words cut to the room there is, an ellipsis at the end."""
    words = plain(words)
    if wide(words, size) <= room:
        return words
    while words and wide(words + "…", size) > room:
        words = words[:-1]
    return words + "…"


def lines_of(words: str, room: int, size: int = SIZE) -> list[str]:
    """Words broken into lines that have room, within a word where one alone is too long."""
    most = max(1, int(room / (size * EM)))
    found: list[str] = []
    for word in plain(words).split():
        if found and wide(f"{found[-1]} {word}", size) <= room:
            found[-1] += f" {word}"
            continue
        while wide(word, size) > room and len(word) > 1:
            part = next((n for n in range(min(most, len(word) - 1), 1, -1) if wide(word[:n], size) <= room), 1)
            found.append(word[:part])
            word = word[part:]
        found.append(word)
    return found or [""]


def even_lines(words: str, room: int, size: int = SIZE) -> list[str]:
    """As few lines as the room asks for, none much shorter than the others."""
    found = lines_of(words, room, size)
    for tenths in range(5, 10):
        narrow = lines_of(words, room * tenths // 10, size)
        if len(narrow) <= len(found):
            return narrow
    return found


class Pen:
    """Collects lines of SVG."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.named: set[str] = set()
        """Nets that are named."""
        self.told = False
        """Whether a box says what its pins do."""
        self._flags: list[tuple[str, Point, int]] = []

    def begin(self, ref: str, role: str, words: str) -> None:
        """Start a group: one symbol of a part; `words` say beside the reference what it is and does."""
        self.lines.append(f'<g data-ref="{escape(ref)}" data-role="{escape(role)}">')
        self.lines.append(f"<title>{escape(plain(f'{ref} {words}'), quote=False)}</title>")

    def end(self) -> None:
        """End a group."""
        self.lines.append("</g>")

    def path(self, kind: str, *points: Point, closed: bool = False, data: str = "") -> None:
        """A line through points, or an outline."""
        way = "L".join(f"{x} {y}" for x, y in points)
        self.lines.append(f'<path class="{kind}"{data} d="M{way}{"Z" if closed else ""}"/>')

    def box(self, kind: str, left: int, top: int, right: int, bottom: int) -> None:
        """A rectangle."""
        self.path(kind, (left, top), (right, top), (right, bottom), (left, bottom), closed=True)

    def arrow(self, start: Point, end: Point) -> None:
        """A line, level or upright, with a tip at its end."""
        (x, y), long = end, math.dist(start, end)
        back = [round((a - b) * TIP / long) for a, b in zip(start, end, strict=True)]
        half = [round(v * 0.5) for v in back]
        self.path("sign", start, end)
        sides = ((x + back[0] + way * half[1], y + back[1] + way * half[0]) for way in (1, -1))
        self.path("full", end, *sides, closed=True)

    def circle(self, kind: str, centre: Point, radius: int) -> None:
        """A circle, or a dot."""
        self.lines.append(f'<circle class="{kind}" cx="{centre[0]}" cy="{centre[1]}" r="{radius}"/>')

    def text(self, kind: str, at: Point, words: str, anchor: str = "start", size: int = SIZE, data: str = "") -> None:
        """Words on one line; `at` is on their base line."""
        told = "" if anchor == "start" else f' text-anchor="{anchor}"'
        told += "" if size == SIZE else f' font-size="{size}"'
        self.lines.append(
            f'<text class="{kind}" x="{at[0]}" y="{at[1]}"{told}{data}>{escape(plain(words), quote=False)}</text>'
        )

    def wire(self, net: str | None, *points: Point) -> None:
        """A connection; none of length 0."""
        if net is not None and len(set(points)) > 1:
            self.path("wire", *points, data=f' data-net="{escape(net)}"')

    def dot(self, at: Point) -> None:
        """Where more than two wires meet."""
        self.circle("dot", at, 5)

    def pin(self, number: str, net: str | None, outer: Point, inner: Point) -> None:
        """One pin of the part whose group is open; a cross where it is left open."""
        self.path(
            "pin",
            outer,
            inner,
            data=f' data-pin="{escape(number)}" data-net="{escape(net) if net is not None else ""}"',
        )

    def cross(self, at: Point) -> None:
        """A pin that is left open on purpose."""
        x, y = at
        self.lines.append(f'<path class="open" d="M{x - 9} {y - 9}L{x + 9} {y + 9}M{x - 9} {y + 9}L{x + 9} {y - 9}"/>')

    def name(self, net: str, at: Point, on: Point) -> None:
        """The name of a net beside the wire that passes through `on`."""
        self.named.add(net)
        self.text("net", at, net, data=f' data-net="{escape(net)}" data-on="{on[0]} {on[1]}"')

    def flag(self, net: str, at: Point, way: int) -> None:
        """The name of a net at the end of a wire: to the right of it (`way` 1) or to the left (-1)."""
        self.named.add(net)
        self._flags.append((net, at, way))
        x, y = at
        tip, far = x + way * FLAG_TIP, x + way * (FLAG_TIP + wide(net) + 8)
        self.lines.append(f'<g class="flag" data-net="{escape(net)}">')
        outline = (at, (tip, y - FLAG_HALF), (far, y - FLAG_HALF), (far, y + FLAG_HALF), (tip, y + FLAG_HALF))
        self.path("outline", *outline, closed=True)
        self.text("net", (tip + way * 2, y + 8), net, "start" if way > 0 else "end")
        self.end()

    def onward(self, sheets: Mapping[str, str]) -> None:
        """Below the tip of each flag the sheet where its net goes on: numbers of pins stand above.

        For all flags drawn so far.
        """
        for net, (x, y), way in self._flags:
            if net in sheets:
                self.text("onward", (x - way, y + 22), sheets[net], "end" if way > 0 else "start", SMALL)

    def bar(self, net: str, at: Point, way: int) -> None:
        """A rail at the end of an upright wire, below (`way` 1) or above it (-1); ground, which has no name, below."""
        x, y = at
        self.lines.append(f'<g class="bar" data-net="{escape(net)}">')
        self.path("thick", at, (x - BAR_HALF, y), (x + BAR_HALF, y))
        if net == GROUND:
            for n, half in ((1, 13), (2, 6)):
                self.path("body", (x - half, y + n * EARTH // 2), (x + half, y + n * EARTH // 2))
        else:
            self.text("net", (x, y + 26 if way > 0 else y - 8), net, "middle")
        self.end()


def flag_width(net: str) -> int:
    """Room of a flag [0.1 mm]."""
    return FLAG_TIP + wide(net) + 8


def bar_half(net: str) -> int:
    """Half the room of a bar with its name [0.1 mm]."""
    return BAR_HALF if net == GROUND else max(BAR_HALF, wide(net) // 2 + 1)
