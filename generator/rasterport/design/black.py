"""Black at a pin without a clamp.

DC-coupled, the source's direct voltage arrives, and a resistor protects the pin of a dead set.  Behind a capacitor the
board's own switch puts the pin on a voltage that means black, once in each back porch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rasterport.design.coupling import USUAL_F
from rasterport.design.preferred import at_least, best
from rasterport.design.termination import LINE_OHM, parallel
from rasterport.records import Sized
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.iec60063 import decade_values, nearest
from rasterport.standards.interface_levels import RGB
from rasterport.standards.limits import LIMITS, RESISTOR_SPREAD
from rasterport.units import short
from rasterport.variant.models import Variant

DIODE_V = 0.5
"""Voltage at which the protection diodes of a dead pin carry milliamperes [V]; judgement, stated."""
ALONE_OHM = 37.5
"""What the termination and the source make together [ohm]."""


def series(black_v: float) -> Sized:
    """The resistor [ohm] in front of a pin that is DC-coupled, E24, whose source has black at up to `black_v` [V].

    R = (white + black - junction) / limit: the strongest source drives no more than the limit into a dead pin.
    """
    most_a = LIMITS["rail_off_pin_current_a"].warning or 0.0
    over_v = RGB.high + max(0.0, black_v) - DIODE_V
    value = at_least(over_v / most_a / (1 - RESISTOR_SPREAD) - ALONE_OHM / 2, "E24")
    return Sized(
        value,
        "ohm",
        f"with the set off {short(over_v, 3)} V of the strongest source send at most {most_a * 1e3:g} mA into the pin",
    )


def reach_v(white_v: float, source_white_v: float, least_v: float, most_v: float) -> tuple[float, float]:
    """Black at the pin [V] of a source with black from `least_v` to `most_v` [V], divided down as white is."""
    share = min(white_v, source_white_v) / source_white_v
    return share * least_v, share * most_v


@dataclass(frozen=True, slots=True)
class Shift:
    """A resistor in front of a pin and one from the pin to the rail, and what they leave of white [-]."""

    series: Sized
    pull: Sized
    gain: float


SHIFT_LEAST_OHM = 330.0
"""Least resistor in front of a pin whose black is lifted [ohm]: the current to the source stays small.  Judgement."""


def lifted(variant: Variant) -> Shift | None:
    """How black is lifted to the pin by a resistor to the rail; None where it is not, or could not be.

    One input, DC-coupled, whose black arrives below what the pin wants, at a pin that the board does not clamp.
    """
    rgb, source = variant.set.rgb, variant.input[0]
    if rgb.pin_kind != "analog-dc" or variant.board.keyed_clamp or rgb.black_level is None or len(variant.input) > 1:
        return None
    low, high = reach_v(rgb.white_level, WHITE_V, source.black_least, source.black_most)
    if high >= rgb.black_level - rgb.black_within or rgb.black_level >= variant.set.supply.voltage:
        return None
    return _shift(rgb.black_level, (low + high) / 2, rgb.white_level, variant.set.supply.voltage, source.black_most)


def _shift(black_v: float, from_v: float, white_v: float, supply_v: float, most_v: float) -> Shift:
    """R = what lifts `from_v` to `black_v` [V] behind the series resistor and the source's share of 37.5 ohm, E96.

    (supply - black) / R = (black - from) / (series + source).
    """
    protects = series(most_v)
    ahead = protects if protects.value >= SHIFT_LEAST_OHM else Sized(SHIFT_LEAST_OHM, "ohm", protects.reason)
    foot = LINE_OHM * min(white_v, WHITE_V) / WHITE_V
    ohm = ahead.value + parallel(foot, 2 * LINE_OHM - foot)
    wanted = (supply_v - black_v) / (black_v - from_v) * ohm
    value = nearest("E96", wanted)
    reason = f"lifts black from {short(from_v, 3)} to {short(black_v, 3)} V, by a supply of {short(supply_v, 3)} V"
    return Shift(ahead, Sized(value, "ohm", reason), value / (value + ohm))


@dataclass(frozen=True, slots=True)
class Reference:
    """The divider that makes the voltage of black."""

    upper: Sized
    lower: Sized


REFERENCE_OHM = 1e3
"""What the divider of black makes together, about [ohm]: the pulses of the clamp take microamperes.  Judgement."""


def reference(black_v: float, supply_v: float) -> Reference:
    """The divider, E96, that makes `black_v` of `supply_v` [V].

    Raises ValueError where black is not between ground and the supply.
    """
    if not 0 < black_v < supply_v:
        raise ValueError(f"black must lie between ground and {short(supply_v)} V, found {short(black_v)} V")
    ratio = black_v / supply_v
    uppers = decade_values("E96", REFERENCE_OHM / ratio, REFERENCE_OHM / ratio * 2)
    pairs = ((u, nearest("E96", u * ratio / (1 - ratio))) for u in uppers)
    pair = best(pairs, lambda p: abs(p[1] / (p[0] + p[1]) / ratio - 1))
    if pair is None:
        raise ValueError(f"no divider makes {short(black_v)} V of {short(supply_v)} V")
    upper, lower = pair
    made = supply_v * lower / (upper + lower)
    reason = f"black at {short(made, 3)} V of a supply of {short(supply_v, 3)} V, {short(parallel(*pair), 3)} ohm"
    return Reference(Sized(upper, "ohm", reason), Sized(lower, "ohm", reason))


def lag_v(run_v: float, farad: float, ohm: float, key_s: float) -> float:
    """How far black lags behind [V] where it runs by `run_v` [V] a line and the clamp closes for `key_s` [s] a line.

    What is left of an error after a key is exp(-t / R C) of it; at rest it grows by a line's run as it shrinks.
    """
    return run_v / -math.expm1(-key_s / (ohm * farad))


@dataclass(frozen=True, slots=True)
class Keyed:
    """What a capacitor in front of a keyed clamp must bear: the run of black in a line [V], of the way and the switch
    together [ohm], the key [s], what the pin draws [A] in an active line [s]; most lag and droop [V]."""

    run_v: float
    ohm: float
    key_s: float
    drawn_a: float
    line_s: float
    lag_v: float
    droop_v: float


def into_keyed(clamp: Keyed, spread: float) -> Sized:
    """The coupling capacitor [F] in front of the board's clamp: the largest E6 value whose black does not lag.

    Raises ValueError where the pin draws more than such a capacitor bears.
    """
    found = [
        value
        for value in decade_values("E6", 1e-9, USUAL_F)
        if lag_v(clamp.run_v, value * (1 + spread), clamp.ohm, clamp.key_s) <= clamp.lag_v
    ]
    least = clamp.drawn_a * clamp.line_s / clamp.droop_v / (1 - spread)
    if not found or found[-1] < least:
        raise ValueError(
            f"the pin draws up to {short(clamp.drawn_a * 1e6, 3)} uA, which asks for {short(least * 1e9, 3)} nF, and "
            f"the board's clamp moves {short((found or [0.0])[-1] * 1e9, 3)} nF at most: put a buffer, which this "
            "board has not, between clamp and pin, or land at pins of a higher resistance"
        )
    lag = lag_v(clamp.run_v, found[-1], clamp.ohm, clamp.key_s)
    return Sized(
        found[-1], "F", f"black lags by {short(lag * 1e3, 2)} mV at most; floor {short(least * 1e9, 3)} nF (droop)"
    )
