"""Wires, screens, badges and terminals on paper; what they look like stands below one class, so a page can hold them.

Colours of pens follow the page's own (`--ink`, `--paper`, `--faint`) and are black on white where there is no page.
Every wire has a rim in ink and its code of IEC 60757 in letters: it reads in black and white, white on white, black on
black.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from rasterport.emit.drawing.pen import SIZE, SMALL, Pen, Point, plain, wide
from rasterport.emit.wires.strands import Strand
from rasterport.standards.iec60757 import COLOURS, SOURCE, parts_of

# fmt: off
INKS = {
    "BK": "#111", "BN": "#7a4a22", "RD": "#d6201f", "OG": "#f07f00", "YE": "#f2d200", "GN": "#1b9a38",
    "BU": "#1e5fd2", "VT": "#8b3fc2", "GY": "#8d8d8d", "WH": "#fff", "PK": "#f59bb6", "TQ": "#2bbdb8",
}
# fmt: on
"""How the colours of the standard look on a screen; judgement, the standard gives none."""

STYLE = (
    """
.wires path,.wires circle{fill:none;stroke:var(--ink,#000);stroke-width:2.5;stroke-linejoin:round}
.wires text{font-family:monospace;fill:var(--ink,#000);stroke:none}
.wires .strong{font-weight:bold}.wires .faint{fill:var(--faint,#333)}
.wires .halo,.wires .gap{stroke:var(--paper,#fff)}
.wires .halo{stroke-width:40}.wires .sheath{stroke-width:28;stroke-dasharray:10 5}.wires .gap{stroke-width:21}
.wires .rim{stroke-width:15}.wires .core{stroke-width:9}.wires .mark{stroke-width:9}
.wires .bus{stroke-width:5}.wires .dot{fill:var(--ink,#000)}
.wires .tag,.wires .badge,.wires .pad,.wires .contact,.wires .terminal{fill:var(--paper,#fff)}
.wires .board,.wires .outline{stroke-width:4}.wires .rule{stroke:var(--faint,#777);stroke-width:1.5}
.wires .ring{stroke-width:12;fill:var(--paper,#fff)}.wires .colour{stroke-width:7}
.wires .bare{stroke:var(--paper,#fff);stroke-dasharray:14 8}
.wires .second{stroke-width:7;stroke-dasharray:16 23}.wires .unused{stroke:var(--faint,#777)}
"""
    + "".join(f".wires .{code}{{stroke:{ink}}}" for code, ink in INKS.items())
    + "\n"
)
"""All below one class, so that a page that takes a picture in keeps its own looks."""

LINE, SMALL_LINE = 29, 25
RADIUS = 25
"""Of badges: three digits of SMALL letters go in."""
CONTACT = 30
"""Radius of a contact, its ring included: three letters go in."""
PAD = 22
SHEATH = 14


MARK = (14, 30)
"""Where a ring begins and ends, from either end of a wire [0.1 mm]."""
RINGED = "Behind a plus stands the colour of a ring, tape or sleeve at both ends of a wire; its own colour comes first."
SLEEVES = "Coaxial cable has one colour: what is named of it is a marker or a sleeve at both ends."


def said(code: str) -> str:
    """What stands beside a wire: its code, or that it is whatever a bought lead has."""
    return code if parts_of(code) else "lead"


def legend(found: Sequence[Strand]) -> list[str]:
    """What the colours of these wires mean, in sentences: codes, rings, sleeves."""
    codes = {part for strand in found for part in parts_of(strand.wire.colour)}
    named = ", ".join(f"{code} {COLOURS[code]}" for code in COLOURS if code in codes)
    return [f"Colours ({SOURCE}): {named}.", *remarks(found)]


def remarks(found: Sequence[Strand]) -> list[str]:
    """What the colours of these wires are of: rings, sleeves."""
    told = [RINGED] if any("+" in strand.wire.colour for strand in found) else []
    return told + ([SLEEVES] if any(strand.wire.shielded and strand.wire.colour for strand in found) else [])


def wrapped(words: str, room: int, size: int = SIZE) -> list[str]:
    """Words on as many lines as they need, none wider than the room [0.1 mm]; long words are parted, none is lost."""
    lines: list[str] = []
    line = ""
    for word in plain(words).split():
        if line and wide(f"{line} {word}", size) <= room:
            line = f"{line} {word}"
            continue
        if line:
            lines.append(line)
        while wide(word, size) > room:
            count = max(1, next(n for n in range(1, len(word) + 1) if wide(word[:n], size) > room) - 1)
            lines.append(word[:count])
            word = word[count:]
        line = word
    return [*lines, line] if line else lines


class Wiring(Pen):
    """Adds what wiring is drawn with; whatever has boxes stands in a group of its own kind."""

    def group(self, kind: str, told: str = "", **data: str) -> None:
        """Start a group with data attributes and, where `told` says something, a title."""
        words = "".join(f' data-{name}="{escape(plain(value))}"' for name, value in data.items() if value)
        self.lines.append(f'<g class="{kind}"{words}>')
        if told:
            self.lines.append(f"<title>{escape(plain(told))}</title>")

    def strand(self, strand: Strand) -> None:
        """Start the group of a wire."""
        cells = strand.cells
        colour = cells["colour"] or "of the lead"
        told = f"{cells['order']}: {cells['from']} to {cells['to']}, {colour}, {cells['carries']}"
        self.group("strand", told, wire=cells["order"], net=strand.wire.net, ref=strand.refs)

    def column(self, kind: str, x: int, y: int, words: Sequence[str], size: int = SIZE, step: int = LINE) -> int:
        """Lines one below the other, the first on the base line `y`; returns the base line after them."""
        for line in words:
            self.text(kind, (x, y), line, size=size)
            y += step
        return y

    def badge(self, at: Point, number: str) -> None:
        """A number in a circle: a step of the work."""
        self.circle("badge", at, RADIUS)
        self.text("number", (at[0], at[1] + 7), number, "middle", SMALL)

    def box(self, kind: str, left: int, top: int, right: int, bottom: int) -> None:
        """An upright rectangle."""
        self.path(kind, (left, top), (right, top), (right, bottom), (left, bottom), closed=True)

    def square(self, at: Point, number: str, half: int = PAD) -> None:
        """A pin of a header, with its number."""
        x, y = at
        self.box("pad", x - half, y - half, x + half, y + half)
        self.text("number", (x, y + 7), number, "middle", SMALL)

    def tag(self, at: Point, code: str) -> None:
        """The letters of a colour, on their wire."""
        half = wide(code, SIZE) // 2 + 7
        self.box("tag", at[0] - half, at[1] - 17, at[0] + half, at[1] + 17)
        self.text("code", (at[0], at[1] + 8), code, "middle")

    def terminal(self, at: Point) -> None:
        """Where a wire is soldered."""
        self.circle("terminal", at, 11)

    def lead(self, strand: Strand, points: Sequence[Point], joined: str = "") -> None:
        """A wire along points, in its colour; a screened one in its sleeve, which stops short of both ends.

        `joined` ("start", "end", "both") gives the sleeve a tail with a dot where it is joined.
        """
        self.path("halo", *points)
        if strand.wire.shielded:
            begin, end = (points[0][0] + 36, points[0][1]), (points[-1][0] - 36, points[-1][1])
            inner = (begin, *points[1:-1], end)
            self.path("sheath", *inner)
            self.path("gap", *inner)
            for side, (x, y) in (("start", begin), ("end", end)):
                if joined in (side, "both"):
                    self.path("tail", (x, y + SHEATH), (x, y + SHEATH + 12))
                    self.circle("dot", (x, y + SHEATH + 14), 5)
        self.path("rim", *points)
        own, *ring = parts_of(strand.wire.colour) or ("bare",)
        self.path(f"core {own}", *points)
        for code in ring:
            near, far = MARK
            (ax, ay), (bx, by) = points[0], points[-1]
            self.path(f"mark {code}", (ax + near, ay), (ax + far, ay))
            self.path(f"mark {code}", (bx - far, by), (bx - near, by))


def picture(pen: Pen, width: int, height: int, told: str, style: str = "", paper: bool = False) -> str:
    """An `svg` element, to stand in a page as it is: no identifiers, no style unless given."""
    label = escape(plain(told))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width / 10:g}mm" height="{height / 10:g}mm" '
        f'viewBox="0 0 {width} {height}" font-size="{SIZE}" class="wires" role="img" aria-label="{label}">',
        f"<title>{label}</title>",
        *([f"<style>{style}</style>"] if style else []),
        *([f'<rect class="paper" width="{width}" height="{height}" fill="#fff"/>'] if paper else []),
        *pen.lines,
        "</svg>",
    ]
    return "\n".join(lines) + "\n"
