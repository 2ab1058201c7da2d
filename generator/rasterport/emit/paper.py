"""What is printed of a build: the bench sheet with every section open, then each drawing on a page of its own size."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rasterport.emit.page import Html, document, el

DETAILS = re.compile(r"<details(?=[\s>])(?![^>]*\sopen(?=[\s=>]))")
PROLOG = re.compile(r"\A\s*<\?xml[^>]*\?>\s*")
SIZE = re.compile(r'<svg\b[^>]*?\bwidth="([0-9.]+)mm" height="([0-9.]+)mm"')

CIRCUIT = 'class="circuit"'
ONCE = ".picture:has(>.circuit){display:none}"
"""The sheet shows its circuit too: what follows in its own size is not printed twice."""


def paper_page(title: str, sheet: str, drawings: Sequence[str]) -> str:
    """One page to print: `sheet` is a whole page or "", `drawings` are whole SVG files with sizes in millimetres.

    Raises ValueError for a drawing without a size.
    """
    sizes = [_size_mm(drawing) for drawing in drawings]
    style = "".join(_style(wide, high) for wide, high in dict.fromkeys(sizes))
    figures = [
        el("div", Html(PROLOG.sub("", drawing)), class_=f"leaf {_leaf(*size)}")
        for drawing, size in zip(drawings, sizes, strict=True)
    ]
    if not sheet:
        return document(title, figures, style=style)
    if any(CIRCUIT in drawing for drawing in drawings):
        style += ONCE
    opened = DETAILS.sub("<details open", sheet)
    head, body = opened.index("</head>"), opened.rindex("</body>")
    return f"{opened[:head]}<style>{style}</style>{opened[head:body]}{''.join(figures)}{opened[body:]}"


def _size_mm(drawing: str) -> tuple[str, str]:
    found = SIZE.search(drawing)
    if found is None:
        raise ValueError("a drawing must say its width and height in millimetres; found none")
    return found[1], found[2]


def _leaf(wide: str, high: str) -> str:
    return f"leaf-{wide}x{high}".replace(".", "-")


def _style(wide: str, high: str) -> str:
    """Rules of one size of paper; the drawing has its own margin.  A hair less than a page, or a second follows."""
    name = _leaf(wide, high)
    return (
        f"@page {name}{{size:{wide}mm {high}mm;margin:0}}"
        f".{name}{{page:{name};break-inside:avoid;overflow:hidden;width:{wide}mm;height:calc({high}mm - .2px)}}"
        f".{name}>svg{{display:block;width:{wide}mm!important;height:{high}mm!important;max-width:none!important}}"
    )
