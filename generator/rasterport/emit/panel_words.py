"""What stands beside the openings, the same in every format."""

from __future__ import annotations

from rasterport.records import Opening
from rasterport.units import short

SCALE_MM = 50.0
NOTES = (
    "Seen from outside, 1:1 in millimetres. Measure the line below on paper: it is 50 mm long.",
    "Sizes of openings rest on memory or an estimate: measure your part before you drill or saw.",
    "Plugs keep 4 mm apart. Panels of a set are part of its protection: no opening near the mains or the tube.",
)


def size(opening: Opening) -> str:
    """An opening in words: its size, and the screw holes with their distance."""
    if opening.hole_mm:
        return f"hole {short(opening.hole_mm)}"
    cut = f"{short(opening.width_mm)} x {short(opening.height_mm)}"
    if not opening.fixing_spacing_mm:
        return cut
    return f"{cut}, 2 x {short(opening.fixing_hole_mm)} at {short(opening.fixing_spacing_mm)}"
