"""Crimp housings that mate with the pin headers of the board."""

from __future__ import annotations

from rasterport.records import CataloguePart, Pin


def plug(ways: int) -> CataloguePart:
    """Housing with contacts for a header of `ways` pins, 2.54 mm pitch; a part of the harness."""
    return CataloguePart(
        key=f"plug/{ways}",
        letter="P",
        name=f"plug {ways}",
        description=f"Crimp housing, one row of {ways}, 2.54 mm pitch, with contacts",
        pins=tuple(Pin(str(n), f"Pin_{n}") for n in range(1, ways + 1)),
        package=f"1x{ways}, 2.54 mm",
        footprint="",
        source="common practice, no source",
        confidence="from memory",
    )
