"""Audio into the set: a series resistor, a coupling capacitor below 20 Hz, a pad where the source is too loud."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rasterport.design.coupling import into_load
from rasterport.design.preferred import at_least, best
from rasterport.design.termination import parallel
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import LIMITS, RESISTOR_SPREAD, SET_SPREAD
from rasterport.units import short

CORNER_HZ = 20.0
"""The low corner stays below this [Hz].  Contacts 2 and 6 are specified from 20 Hz (IEC 60933-1)."""
SOURCE_LOAD_LEAST_OHM = 10e3
"""Least load of an audio output [ohm].  EN 50049-1: load above 10 kohm."""
PIN_DIODE_V = 0.5
DEAD_PIN_A = 4e-3
"""Peak current into the pin of a set without its rail [A], behind the pin's own diode; judgement, stated."""
LOAD_SHARE_LEAST = (LIMITS["audio_load_ohm"].error or 0.0) / SOURCE_LOAD_LEAST_OHM
KEPT_LEAST = 0.75
"""Share of the level that is allowed that a heavier load may not cost: 2.5 dB; judgement, stated."""
SHUNT_LEAST_OHM = 470.0
SERIES_LEAST_OHM = 100.0
"""Least series resistor [ohm], also for a source too quiet to open a diode; common practice, no source."""
CAPACITOR_SPREAD = 0.28
"""Tolerance 10 % and 15 % over temperature of an X7R part, or 20 % and 10 % of a bipolar electrolytic."""


@dataclass(frozen=True, slots=True)
class AudioLine:
    """One channel: series resistor, optional lower resistor of the pad, coupling capacitor."""

    series: Sized
    shunt: Sized | None
    coupling: Sized


def line(
    source_most_v: float, landing_most_v: float, landing_ohm: float, bleed_ohm: float, ways: int = 1, branches: int = 1
) -> AudioLine:
    """Size one channel; `ways` sources are summed through one series resistor each (2 for a mono sum).

    `branches` channels hang on one source (2 where a mono source feeds both sides), so each loads it half as
    much.  Voltages in volts r.m.s., resistances in ohm.  `landing_ohm` is what somebody looked up, so level
    and corner hold for 20 % more and less.  Raises ValueError when no pad serves.
    """
    lowest = parallel(landing_ohm * (1 - SET_SPREAD), bleed_ohm * (1 - RESISTOR_SPREAD))
    highest = parallel(landing_ohm * (1 + SET_SPREAD), bleed_ohm * (1 + RESISTOR_SPREAD))
    dead = at_least(max((2**0.5 * source_most_v - PIN_DIODE_V) / DEAD_PIN_A, SERIES_LEAST_OHM))
    load_least = SOURCE_LOAD_LEAST_OHM * branches
    enough = dead * (1 - RESISTOR_SPREAD) + lowest >= load_least
    if source_most_v <= landing_most_v and ways == 1 and enough:
        loss = dead / (dead + lowest)
        reason = f"at most {DEAD_PIN_A * 1e3:g} mA into the pin of a set that is off; costs {loss:.1%} of the level"
        return AudioLine(Sized(dead, "ohm", reason), None, into_load(CORNER_HZ, dead + lowest, CAPACITOR_SPREAD))
    return _pad(source_most_v, landing_most_v, lowest, highest, ways, load_least, ways * dead)


def _pad(
    source_most_v: float,
    landing_most_v: float,
    lowest: float,
    highest: float,
    ways: int,
    load_least: float,
    series_least: float,
) -> AudioLine:
    """The pair that loses least at the lowest landing resistance and still holds the highest level at the highest.

    Where the load that is asked for would cost too much level, half of it has to do.
    """
    # Both channels of a sum at full level and in phase add up to the full level of one.
    wanted = landing_most_v / source_most_v * (1 - 2 * RESISTOR_SPREAD)
    pairs = [
        (s, h)
        for s in decade_values("E24", max(1e3, series_least), 47e3)
        for h in _largest_shunt(s, wanted, highest, ways)
    ]
    pair: tuple[float, float] | None = None
    for share in (1.0, LOAD_SHARE_LEAST):
        heavy = load_least * share * (1 + 2 * RESISTOR_SPREAD)
        fits = [p for p in pairs if _load(*p, lowest, ways) >= heavy]
        pair = best(fits, lambda p: max(0.0, 1 - _gain(*p, lowest, ways))) or pair
        if pair is not None and _gain(*pair, lowest, ways) >= KEPT_LEAST * min(1.0, wanted):
            break
    if pair is None:
        raise ValueError(f"no pad brings {source_most_v:g} V below {landing_most_v:g} V into {short(highest)} ohm")
    series, shunt = pair
    gain = _gain(series, shunt, highest, ways)
    reason = (
        f"{source_most_v:g} V arrives as at most {short(source_most_v * gain, 3)} V, landing takes {landing_most_v:g} V"
    )
    if ways == 2:
        reason = "sums left and right; both together: " + reason
    bare = math.isinf(shunt)
    behind = lowest + (series / ways if bare else parallel(series / ways, shunt)) * (1 - RESISTOR_SPREAD)
    return AudioLine(
        Sized(series, "ohm", reason),
        None if bare else Sized(shunt, "ohm", reason),
        into_load(CORNER_HZ, behind, CAPACITOR_SPREAD),
    )


def _largest_shunt(series: float, wanted: float, highest: float, ways: int) -> tuple[float, ...]:
    """The largest E24 lower resistor [ohm] that keeps the gain down.

    Infinite where none is needed, nothing where none of the range does.
    """
    if _gain(series, math.inf, highest, ways) <= wanted:
        return (math.inf,)
    foot = wanted * series / ways / (1 - wanted)
    return decade_values("E24", SHUNT_LEAST_OHM, 1 / (1 / foot - 1 / highest))[-1:]


def _gain(series: float, shunt: float, landing: float, ways: int) -> float:
    """All sources together at full level: Thevenin source of `ways` equal resistors."""
    foot = parallel(shunt, landing)
    return foot / (foot + series / ways)


def _load(series: float, shunt: float, landing: float, ways: int) -> float:
    """Load of one source while the others stand at zero."""
    foot = parallel(shunt, landing, *([series] * (ways - 1)))
    return series + foot
