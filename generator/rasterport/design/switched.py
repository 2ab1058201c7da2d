"""The switched way: instead of adding up in resistors, input and display take turns at the pins.

An analog switch that the display's blanking throws shows opaque menus, and neither takes from the other.  It jumps from
one side's black to the other's within a line, where no clamp follows: both must stand at one black level.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from rasterport.design.black import reach_v
from rasterport.design.coupling import CUT_STEP_V
from rasterport.design.insertion import display_of, menu_white_v
from rasterport.design.landings import is_shared
from rasterport.design.preferred import best
from rasterport.design.termination import parallel
from rasterport.parts.families import THRESHOLDS
from rasterport.records import Sized
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.iec60063 import Series, decade_values
from rasterport.units import short
from rasterport.variant.models import Variant

RATINGS = THRESHOLDS["74hc"]
UPPER_OHM = (1e3, 4.7e3)
CLOSE_DB = 0.1
"""How near white of menus must lie [dB], a fifth of the limit of a level; judgement, stated."""
JUNCTION_V = 0.5
"""What an input may stand above the supply [V]; 74HC sheets."""
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
    return (
        f"the switched way ({WAY}) gives both in full, since source and display stand at one black level: set "
        "board.opaque_menus = true"
    )


CODES = {
    "F271": "opaque menus, where input and display take turns at the pins",
    "F272": "levels of a display's blanking that throws a switch",
}
SWITCH_LOW_V, SWITCH_HIGH_V = 4.5, 5.5
"""Supply of the switch [V]: the board's 5 V or a rail that is as good."""
NOMINAL_V = 5.0
RAIL_SPREAD = 0.05
"""How far the display's logic may be off its level [-]; common practice, no source."""


def impossible(variant: Variant) -> Iterator[tuple[str, str, str]]:
    """Codes, subjects and messages of what forbids the switched way where it is asked for."""
    subject, display = "board.opaque_menus", variant.set.display
    if not variant.board.opaque_menus:
        return
    if display is None or not is_shared(variant):
        yield (
            "F271",
            subject,
            "the colour pins are the board's alone, there is nothing to switch: leave opaque_menus out",
        )
        return
    for reason in blacks_apart(variant):
        yield "F271", subject, f"{reason}; let menus add up in resistors (leave opaque_menus out)"
    if len(variant.input) > 1:
        yield "F271", subject, "the switch stands behind the change-over of one input: make one board an input"
    if variant.selector.path == "gang":
        yield (
            "F271",
            "selector.path",
            "a panel switch leaves a source on the switch's input while the set is off, and only 37.5 ohm stand in "
            "between: choose path relay",
        )
    high, low = (RATINGS["input_high_fraction"] * SWITCH_HIGH_V, RATINGS["input_low_fraction"] * SWITCH_LOW_V)
    most = NOMINAL_V + JUNCTION_V
    given = (display.blanking_high * (1 - RAIL_SPREAD), display.blanking_high * (1 + RAIL_SPREAD))
    if given[0] < high or given[1] > most or display.blanking_low > low:
        yield (
            "F272",
            "set.display.blanking_high",
            f"a switch on 5 V wants below {short(low, 3)} V and above {short(high, 3)} V, no more than its supply: "
            f"found {short(display.blanking_low, 3)} and {short(given[0], 3)} to {short(given[1], 3)} V; pick blanking "
            "up where it is logic of 5 V",
        )


@dataclass(frozen=True, slots=True)
class Menu:
    """The divider that brings the display to the white of menus in front of the switch."""

    upper: Sized
    lower: Sized


def menu_divider(variant: Variant) -> Menu:
    """Upper and lower resistor, E24 within 0.1 dB, else E96: V = V_on lower / (upper + R_on + lower), pin included.

    The lowest upper one of 1 kohm or more that serves: the display gives at most 5 mA of 5 V, and edges are fast.
    Raises ValueError where none serves.
    """
    end, wanted, pin = display_of(variant).on, menu_white_v(variant), variant.set.rgb.resistance
    off = display_of(variant).off

    def made(pair: tuple[float, float]) -> float:
        foot = parallel(pair[1], pin)
        levels = [e.volt * foot / (pair[0] + e.ohm + foot) for e in (end, off)]
        return levels[0] - levels[1]

    def error(pair: tuple[float, float]) -> float:
        return abs(20 * math.log10(max(made(pair), 1e-6) / wanted))

    choices: tuple[Series, ...] = ("E24", "E96")
    for series in choices:
        lowers = decade_values(series, 10.0, 47e3)
        for upper in decade_values(series, *UPPER_OHM):
            pair = best(((upper, low) for low in lowers), error)
            if pair is not None and error(pair) <= CLOSE_DB:
                reason = f"white of menus {short(made(pair), 3)} V in front of the switch; {series}"
                return Menu(Sized(pair[0], "ohm", reason), Sized(pair[1], "ohm", reason))
    raise ValueError(f"no divider makes {short(wanted, 3)} V of the display's {short(end.volt, 3)} V")
