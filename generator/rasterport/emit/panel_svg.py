"""The panel as SVG, 1:1 on A4: a template to print, glue on and drill through."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from rasterport.emit.drawing.pen import SIZE, lines_of
from rasterport.emit.panel_words import SCALE_MM, foot, size
from rasterport.records import Panel, Seated

PAPER_MM = ((210.0, 297.0), (297.0, 210.0))
"""A4 upright, A4 lying."""
MARGIN_MM = 10.0
LINE_MM = 4.0
SCALE_ROOM_MM = 6.0
"""Height that the line to measure takes below the words."""


def panel_svg(panel: Panel, title: str, remark: str = "") -> str:
    """The drawing; a panel larger than A4 gets a sheet of its own size."""
    wide, high, words = _paper(panel, title, remark)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(high)}mm" '
        f'viewBox="0 0 {_n(wide)} {_n(high)}" fill="none" stroke="#000" stroke-width="0.2" '
        'font-family="sans-serif" font-size="3">',
        f"<title>{escape(f'{title}: panel')}</title>",
        f'<rect width="{_n(wide)}" height="{_n(high)}" fill="#fff" stroke="none"/>',
        f'<g transform="translate({_n(MARGIN_MM)} {_n(MARGIN_MM)})">',
        f'<rect class="edge" width="{_n(panel.width_mm)}" height="{_n(panel.height_mm)}" stroke-dasharray="2 1"/>',
    ]
    for placed in panel.placed:
        lines += _opening(placed)
    lines += ["</g>", *_foot(words, panel.height_mm + 2 * MARGIN_MM), "</svg>"]
    return "\n".join(lines) + "\n"


def _paper(panel: Panel, title: str, remark: str) -> tuple[float, float, list[str]]:
    """Width and height of the sheet, and the words at its foot as lines that it has room for."""
    least = panel.width_mm + 2 * MARGIN_MM
    wide, high = next((paper for paper in PAPER_MM if paper[0] >= least), (least, 0.0))
    room = int(10 * (wide - 2 * MARGIN_MM))
    words = [line for text in foot(panel, title, remark) for line in lines_of(text, room)]
    need = panel.height_mm + 3 * MARGIN_MM + LINE_MM * len(words) + SCALE_ROOM_MM
    return wide, max(high, need), words


def _opening(placed: Seated) -> Iterator[str]:
    o, x, y = placed.opening, placed.x_mm, placed.y_mm
    yield f'<g id="{escape(o.ref)}">'
    if o.hole_mm:
        yield f'<circle class="cut" cx="{_n(x)}" cy="{_n(y)}" r="{_n(o.hole_mm / 2)}"/>'
    else:
        left, top = x - o.width_mm / 2, y - o.height_mm / 2
        size_ = f'width="{_n(o.width_mm)}" height="{_n(o.height_mm)}"'
        yield f'<rect class="cut" x="{_n(left)}" y="{_n(top)}" {size_}/>'
    for cx, cy in placed.screws:
        yield f'<circle class="screw" cx="{_n(cx)}" cy="{_n(cy)}" r="{_n(o.fixing_hole_mm / 2)}"/>'
        yield _cross(cx, cy, o.fixing_hole_mm / 2 + 1)
    yield _cross(x, y, o.hole_mm / 2 + 2 if o.hole_mm else 3)
    wide, high = o.room_mm
    plug = f'x="{_n(x - wide / 2)}" y="{_n(y - high / 2)}" width="{_n(wide)}" height="{_n(high)}"'
    yield f'<rect class="plug" {plug} stroke="#777" stroke-width="0.1" stroke-dasharray="1 1"/>'
    for n, words in enumerate((f"{o.ref}  {o.words}", size(o))):
        # Long words are squeezed into the opening's own room, so that no two meet.
        squeeze = f' textLength="{_n(wide)}" lengthAdjust="spacingAndGlyphs"' if len(words) * 1.7 > wide else ""
        at = f'x="{_n(x)}" y="{_n(y + high / 2 + 4 + 4 * n)}"'
        yield f'<text {at} text-anchor="middle" fill="#000" stroke="none"{squeeze}>{escape(words)}</text>'
    yield "</g>"


def _cross(x: float, y: float, arm: float) -> str:
    return f'<path d="M{_n(x - arm)} {_n(y)}H{_n(x + arm)}M{_n(x)} {_n(y - arm)}V{_n(y + arm)}" stroke-width="0.1"/>'


def _foot(words: list[str], top: float) -> Iterator[str]:
    """In a face whose letters are all as wide, which is how their room is known."""
    face = f'font-family="monospace" font-size="{_n(SIZE / 10)}"'
    yield f'<g transform="translate({_n(MARGIN_MM)} {_n(top)})" {face}>'
    for n, line in enumerate(words):
        yield f'<text y="{_n(LINE_MM * n)}" fill="#000" stroke="none">{escape(line)}</text>'
    y = LINE_MM * len(words) + 2
    yield f'<path class="scale" d="M0 {_n(y)}H{_n(SCALE_MM)}M0 {_n(y - 1.5)}v3M{_n(SCALE_MM)} {_n(y - 1.5)}v3"/>'
    yield f'<text x="{_n(SCALE_MM + 2)}" y="{_n(y + 1)}" fill="#000" stroke="none">50 mm</text></g>'


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
