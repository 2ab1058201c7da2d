"""The switched way: instead of adding up in resistors, input and display take turns at the pins.

An analog switch that the display's blanking throws shows opaque menus, and neither takes from the other.  It jumps from
one side's black to the other's within a line, where no clamp follows: both must stand at one black level.
"""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.design.black import reach_v
from rasterport.design.coupling import CUT_STEP_V
from rasterport.design.insertion import display_of, menu_white_v
from rasterport.standards.bt470 import WHITE_V
from rasterport.units import short
from rasterport.variant.models import Variant

WAY = "an analog switch that the display's blanking throws, with opaque menus"


def menu_black_v(variant: Variant) -> float:
    """Where the background of a menu stands [V] behind a divider that makes the white wanted of the display's swing."""
    display = display_of(variant)
    return display.off.volt * menu_white_v(variant) / (display.on.volt - display.off.volt)


def blacks_apart(variant: Variant) -> Iterator[str]:
    """Why an input and the display do not stand at one black level, for every input of which that holds."""
    rgb, menu_v = variant.set.rgb, menu_black_v(variant)
    for n, source in enumerate(variant.input, 1):
        if source.source_coupling != "dc":
            is_ac = "is" if source.source_coupling == "ac" else "may be"
            yield (
                f"the source of input-{n} {is_ac} AC-coupled, and nothing clamps it before the switch: a menu's black "
                f"would stand up to {CUT_STEP_V:g} V above or below that of the picture"
            )
            continue
        low, high = reach_v(rgb.white_level, WHITE_V, source.black_least, source.black_most)
        apart = max(high - menu_v, menu_v - low)
        if apart > rgb.black_within:
            yield (
                f"black of input-{n} arrives at {short(low, 3)} to {short(high, 3)} V, that of menus at "
                f"{short(menu_v, 3)} V: {short(apart, 3)} V apart where set.rgb.black_within allows "
                f"{short(rgb.black_within, 3)} V"
            )


def switched_way(variant: Variant) -> str:
    """What the switched way would do for a variant whose wishes resistors cannot meet, or why it is refused."""
    reasons = list(blacks_apart(variant))
    if reasons:
        return f"the switched way ({WAY}) is refused: {'; '.join(reasons)}"
    return f"the switched way ({WAY}) gives both in full, since source and display stand at one black level"
