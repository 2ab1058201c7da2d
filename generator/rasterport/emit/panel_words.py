"""What stands beside the openings, the same in every format."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.drawing.pen import plain
from rasterport.records import Opening, Panel
from rasterport.units import short

SCALE_MM = 50.0
NOTES = (
    "Seen from outside, 1:1 in millimetres. Measure the line below on paper: it is 50 mm long.",
    "Sizes of openings rest on memory or an estimate: measure your part before you drill or saw.",
    "Plugs keep 4 mm apart. Panels of a set are part of its protection: no opening near the mains or the tube.",
)

LEAST_WEB_MM = 2.0
"""Metal that a saw leaves in one piece beside a cut-out: about the thickness of a panel.  Judgement, stated."""


def foot(panel: Panel, title: str, remark: str = "") -> Iterator[str]:
    """What stands below the panel, each on a line of its own where there is room."""
    yield plain(title)
    yield from NOTES
    narrow: dict[float, list[str]] = {}
    for placed in panel.placed:
        if placed.opening.web_mm is not None and placed.opening.web_mm < LEAST_WEB_MM:
            narrow.setdefault(placed.opening.web_mm, []).append(placed.opening.ref)
    for web, refs in narrow.items():
        yield (
            f"{short(web, 2)} mm of metal stays between cut-out and screw holes of {', '.join(refs)}: drill first, saw "
            "inside the line, file to it."
        )
    if remark:
        yield remark


def size(opening: Opening) -> str:
    """An opening in words: its size, and the screw holes with their distance."""
    if opening.hole_mm:
        return f"hole {short(opening.hole_mm)}"
    cut = f"{short(opening.width_mm)} x {short(opening.height_mm)}"
    if not opening.fixing_spacing_mm:
        return cut
    return f"{cut}, 2 x {short(opening.fixing_hole_mm)} at {short(opening.fixing_spacing_mm)}"
