"""Frames on sheets of paper, A4 lying where all has room, A3 else, several where one does not do."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from rasterport.emit.drawing.frames import PLACES, Box, Frame, frames_of
from rasterport.emit.drawing.pen import SIZE, SMALL, Pen, cut, plain
from rasterport.records import Circuit

A4, A3 = (2970, 2100), (4200, 2970)
"""Lying sheets of ISO 216 [0.1 mm]."""
MARGIN = 100
FOOT = 150
BETWEEN = 30
NOTES = (
    "A flag bears the name of a net: all of one name are joined.  A bar is ground (GND), or the rail named at it.",
    "Switches and relays are drawn at rest.  A cross: left open on purpose.  Values: 4k7 is 4.7 kohm, 100n 100 nF.",
)
STYLE = """
.circuit path,.circuit circle{fill:none;stroke:#000;stroke-width:2.5;stroke-linecap:round;stroke-linejoin:round}
.circuit text{font-family:monospace;fill:#000}
.circuit .body{stroke-width:4}.circuit .thick{stroke-width:6}.circuit .edge{stroke-width:5}
.circuit .outline{stroke-width:1.5}.circuit .dot,.circuit .full{fill:#000}
.circuit .frame{stroke:#777;stroke-width:1.5;stroke-dasharray:10 6}
.circuit .net{fill:#06408f}.circuit .ref,.circuit .title{font-weight:bold}
.circuit .number,.circuit .contact{fill:#333}
"""
"""All below one class, so that a page that takes a sheet in keeps its own looks."""

Place = tuple[Frame | Box, int, int]


def drawings(circuit: Circuit, name: str, title: str, revision: str = "", remark: str = "") -> list[str]:
    """The sheets of a drawing as SVG.  `remark` heads each where the board must not be built."""
    size, sheets = _sheets(circuit)
    about = ", ".join(filter(None, (title or name, f"revision {revision}" if revision else "")))
    return [_sheet(size, sheet, name, about, remark, n, len(sheets)) for n, sheet in enumerate(sheets, 1)]


def _sheets(circuit: Circuit) -> tuple[tuple[int, int], list[list[Place]]]:
    """The size of the paper and what stands on each sheet: the smallest that will do, then the fewest."""
    ample, scarce = PLACES
    several = []
    close = frames_of(circuit, scarce)
    for size, place in ((A4, scarce), (A3, ample), (A3, scarce)):
        frames = close if place == scarce else frames_of(circuit, place)
        if size == A4 and sum(f.height * f.width for f in frames) > size[0] * size[1]:
            continue
        for order in (frames, sorted(frames, key=lambda f: -f.height * f.width)):
            made = _packed(order, size)
            if len(made) == 1 and _fits(made[0], size):
                return size, made
            if size == A3:
                several.append(made)
    made = min(several, key=len)
    wide = max(x + frame.width for sheet in made for frame, x, _ in sheet) + MARGIN
    high = max(y + frame.height for sheet in made for frame, _, y in sheet) + FOOT
    return (max(A3[0], wide), max(A3[1], high)), made


def _fits(sheet: Sequence[Place], size: tuple[int, int]) -> bool:
    return all(x + f.width <= size[0] - MARGIN and y + f.height <= size[1] - FOOT for f, x, y in sheet)


def _packed(frames: Sequence[Frame | Box], size: tuple[int, int]) -> list[list[Place]]:
    """Frames in turn, each on the first sheet with room, as high up and then as far left as it goes."""
    sheets: list[list[Place]] = []
    for frame in frames:
        for sheet in sheets:
            if place := _room(frame, sheet, size):
                sheet.append(place)
                break
        else:
            sheets.append([(frame, MARGIN, MARGIN)])
    return sheets


def _room(frame: Frame | Box, sheet: Sequence[Place], size: tuple[int, int]) -> Place | None:
    xs = sorted({MARGIN, *[x + f.width + BETWEEN for f, x, _ in sheet]})
    ys = sorted({MARGIN, *[y + f.height + BETWEEN for f, _, y in sheet]})
    for y in ys:
        if y + frame.height > size[1] - FOOT:
            break
        for x in xs:
            if x + frame.width > size[0] - MARGIN:
                break
            if not any(
                x < a + f.width + BETWEEN
                and a < x + frame.width + BETWEEN
                and y < b + f.height + BETWEEN
                and b < y + frame.height + BETWEEN
                for f, a, b in sheet
            ):
                return frame, x, y
    return None


def _sheet(
    size: tuple[int, int], sheet: Sequence[Place], name: str, about: str, remark: str, number: int, of: int
) -> str:
    pen = Pen()
    for frame, x, y in sheet:
        frame.draw(pen, x, y)
    wide, high = size
    counted = f"sheet {number} of {of}" if of > 1 else ""
    pen.text("title", (MARGIN, high - 90), cut(f"{name}: {about}", wide - 2 * MARGIN - 300, 36), size=36)
    if counted:
        pen.text("note", (wide - MARGIN, high - 90), counted, "end")
    for n, note in enumerate(NOTES):
        pen.text("note", (MARGIN, high - 58 + 26 * n), note, size=SMALL)
    if remark:
        pen.text("title", (MARGIN, 70), remark, size=36)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide / 10:g}mm" height="{high / 10:g}mm" '
        f'viewBox="0 0 {wide} {high}" font-size="{SIZE}" class="circuit" role="img">',
        f"<title>{escape(plain(f'{name}: circuit drawing {counted}'.strip()))}</title>",
        f"<style>{STYLE}</style>",
        f'<rect class="paper" width="{wide}" height="{high}" fill="#fff"/>',
        *pen.lines,
        "</svg>",
    ]
    return "\n".join(lines) + "\n"
