"""Panel switches: miniature toggles with gold contacts for low-level signals, without and with a centre position.

C&K 7000 series, data sheet: contact material B is gold, 0.4 VA at most at 20 V.  Part numbers from
memory: function 101 to 401 (on - on), 103 and 203 (on - off - on), actuator S, bushing Y (1/4-40), solder lugs Z,
contacts B, sealed E.  In every pole the middle lug is the common one; with the lever up the lower lug is closed, in the
centre none (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping

from rasterport.parts.common import MEMORY
from rasterport.records import CataloguePart, Pin

POLES = (1, 2, 3, 4)
SYMBOLS = {1: "Switch:SW_SPDT", 2: "Switch:SW_DPDT_x2", 3: "", 4: ""}
CENTRE_POLES = (1, 2)
CENTRE_SYMBOLS = {1: "Switch:SW_SPDT_MSM", 2: "Switch:SW_DPDT_x2"}
"""KiCad draws the centre position for one pole only; its symbol of two poles has the same lugs."""
NAMELESS = ("Switch:SW_SPDT_MSM",)
"""Symbols whose pins bear numbers instead of names: nothing to spell differently."""

PANEL_HOLE_MM = 6.5
"""Hole for the 6.35 mm bushing; 6.4 to 6.6 mm is common practice."""
HAND_MM = 16.0
"""What a hand takes in front of the panel [mm].  Judgement, stated."""


def panel_switch(poles: int) -> CataloguePart:
    """Change-over switch of 1 to 4 poles; pins `common-n`, `a-n`, `b-n` for pole n, numbered as on the body.

    Raises ValueError for another number of poles.
    """
    if poles not in POLES:
        raise ValueError(f"a panel switch has 1 to 4 poles, found {poles}")
    return _toggle(f"panel-switch/{poles}", poles, "on - on", f"7{poles}01", SYMBOLS[poles], {})


def centre_switch(poles: int) -> CataloguePart:
    """Change-over switch of 1 or 2 poles that is open in the centre; pins and lugs as of `panel_switch`.

    Raises ValueError for another number of poles.
    """
    if poles not in CENTRE_POLES:
        raise ValueError(f"a switch with a centre position has 1 or 2 poles, found {poles}")
    symbol = CENTRE_SYMBOLS[poles]
    return _toggle(f"centre-switch/{poles}", poles, "on - off - on", f"7{poles}03", symbol, {"positions": 3.0})


LUGS = (("a", "A"), ("common", "B"), ("b", "C"))
"""Names of a pole's lugs in the order of their numbers, ours and KiCad's."""


def _toggle(key: str, poles: int, function: str, name: str, symbol: str, more: Mapping[str, float]) -> CataloguePart:
    """A toggle; `more` are ratings beside those that all of them have."""
    pins, alias = [], {}
    for pole in range(1, poles + 1):
        for lug, (own, known) in enumerate(LUGS, 3 * pole - 2):
            pins.append(Pin(str(lug), f"{own}-{pole}"))
            alias[f"{own}-{pole}"] = known
    return CataloguePart(
        key=key,
        letter="S",
        appears="contacts",
        name=name,
        description=f"Toggle switch, {poles} pole{'s' if poles > 1 else ''} {function}, gold contacts, panel",
        pins=tuple(pins),
        package="panel, bushing 1/4-40",
        footprint="",
        manufacturer="C&K",
        part_number=f"{name}SYZBE",
        number_rests_on=MEMORY,
        symbol=symbol,
        pin_alias=alias if symbol and symbol not in NAMELESS else {},
        rating="0.4 VA, 20 V",
        ratings={
            "poles": float(poles),
            **more,
            "contact_ohm": 0.05,
            "contact_max_va": 0.4,
            "contact_max_v": 20.0,
            "panel_hole_mm": PANEL_HOLE_MM,
            "plug_width_mm": HAND_MM,
            "plug_height_mm": HAND_MM,
        },
        source="C&K 7000 series data sheet",
        confidence="contact rating from text; number and lug order from memory",
    )
