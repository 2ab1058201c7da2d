"""Panel switches: miniature toggles with gold contacts for low-level signals, one to four poles.

C&K 7000 series, data sheet: contact material B is gold, 0.4 VA at most at 20 V.  Part numbers from
memory: function 101 to 401 (on - on), actuator S, bushing Y (1/4-40), solder lugs Z, contacts B, sealed E.
In every pole the middle lug is the common one; with the lever up the lower lug is closed (from memory).
"""

from __future__ import annotations

from rasterport.parts.common import MEMORY
from rasterport.records import CataloguePart, Pin

POLES = (1, 2, 3, 4)
SYMBOLS = {1: "Switch:SW_SPDT", 2: "Switch:SW_DPDT_x2", 3: "", 4: ""}
PANEL_HOLE_MM = 6.5
"""Hole for the 6.35 mm bushing; 6.4 to 6.6 mm is common practice."""


def panel_switch(poles: int) -> CataloguePart:
    """Change-over switch of 1 to 4 poles; pins `common-n`, `a-n`, `b-n` for pole n, numbered as on the body.

    Raises ValueError for another number of poles.
    """
    if poles not in POLES:
        raise ValueError(f"a panel switch has 1 to 4 poles, found {poles}")
    pins, alias = [], {}
    for pole in range(1, poles + 1):
        for lug, (name, known) in enumerate((("a", "A"), ("common", "B"), ("b", "C")), 3 * pole - 2):
            pins.append(Pin(str(lug), f"{name}-{pole}"))
            alias[f"{name}-{pole}"] = known
    return CataloguePart(
        key=f"panel-switch/{poles}",
        letter="S",
        appears="contacts",
        name=f"7{poles}01",
        description=f"Toggle switch, {poles} pole{'s' if poles > 1 else ''} on - on, gold contacts, panel",
        pins=tuple(pins),
        package="panel, bushing 1/4-40",
        footprint="",
        manufacturer="C&K",
        part_number=f"7{poles}01SYZBE",
        number_rests_on=MEMORY,
        symbol=SYMBOLS[poles],
        pin_alias=alias if SYMBOLS[poles] else {},
        rating="0.4 VA, 20 V",
        ratings={
            "poles": float(poles),
            "contact_ohm": 0.05,
            "contact_max_va": 0.4,
            "contact_max_v": 20.0,
            "panel_hole_mm": PANEL_HOLE_MM,
        },
        source="C&K 7000 series data sheet",
        confidence="contact rating from text; number and lug order from memory",
    )
