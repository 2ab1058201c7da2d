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
SHUNT_MOST_OHM = 1e6
"""Greatest resistor of the catalogue [ohm]."""
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
    source_most_v: float,
    landing_most_v: float,
    landing_ohm: float,
    bleed_ohm: float,
    ways: int = 1,
    branches: int = 1,
    series_least_ohm: float = SERIES_LEAST_OHM,
    corner_hz: float = CORNER_HZ,
) -> AudioLine:
    """Size one channel; `ways` sources are summed through one series resistor each (2 for a mono sum).

    `branches` channels hang on one source (2 where a mono source feeds both sides), so each loads it half as
    much.  Voltages in volts r.m.s., resistances in ohm; `series_least_ohm` is the least series resistor,
    `corner_hz` [Hz] what the low corner stays below.  `landing_ohm` is what somebody looked up, so level
    and corner hold for 20 % more and less.  Raises ValueError when no pad serves.
    """
    lowest = parallel(landing_ohm * (1 - SET_SPREAD), bleed_ohm * (1 - RESISTOR_SPREAD))
    highest = parallel(landing_ohm * (1 + SET_SPREAD), bleed_ohm * (1 + RESISTOR_SPREAD))
    dead = at_least(max((2**0.5 * source_most_v - PIN_DIODE_V) / DEAD_PIN_A, series_least_ohm))
    load_least = SOURCE_LOAD_LEAST_OHM * branches
    enough = dead * (1 - RESISTOR_SPREAD) + lowest >= load_least
    if source_most_v <= landing_most_v and ways == 1 and enough:
        loss = dead / (dead + lowest)
        reason = f"at most {DEAD_PIN_A * 1e3:g} mA into the pin of a set that is off; costs {loss:.1%} of the level"
        return AudioLine(Sized(dead, "ohm", reason), None, into_load(corner_hz, dead + lowest, CAPACITOR_SPREAD))
    return _pad(source_most_v, landing_most_v, lowest, highest, ways, load_least, ways * dead, corner_hz)


def _pad(
    source_most_v: float,
    landing_most_v: float,
    lowest: float,
    highest: float,
    ways: int,
    load_least: float,
    series_least: float,
    corner_hz: float,
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
        raise ValueError(
            f"no pad brings {source_most_v:g} V below {landing_most_v:g} V into {short(highest)} ohm: turn the source "
            "down and state its audio_maximum, or land at a place that takes more"
        )
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
        into_load(corner_hz, behind, CAPACITOR_SPREAD),
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


SWITCH_SERIES_OHM = (10e3, 4.7e3, 2.2e3, SERIES_LEAST_OHM)
"""In front of an analog switch [ohm]: the first that loses no more than a decibel; the more, the less a dead switch
takes."""
SWITCH_ROOM_V = 0.3
"""What sound keeps from the rails of an analog switch [V]; judgement, stated."""


def through_switch(
    source_most_v: float,
    landing_most_v: float,
    load_ohm: float,
    bleed_ohm: float,
    supply_low_v: float,
    ways: int,
    branches: int,
) -> AudioLine:
    """Size one channel in front of an analog switch whose supply is at least `supply_low_v` [V].

    Sound swings about the middle of the supply: what is louder is brought down before the switch.  Raises ValueError
    where that costs more than the loss that is an error, naming the path that carries it.
    """
    room_v = (supply_low_v / 2 - SWITCH_ROOM_V) / 2**0.5
    allowed_v = min(source_most_v, landing_most_v)
    lost_db = 20 * math.log10(allowed_v / min(allowed_v, room_v))
    most_db = LIMITS["audio_loss_db"].error or 0.0
    if lost_db > most_db:
        raise ValueError(
            f"sound of {short(allowed_v, 3)} V r.m.s. does not pass a switch whose supply falls to "
            f"{short(supply_low_v, 3)} V: {short(room_v, 3)} V pass, {short(lost_db, 2)} dB are lost; choose path "
            "relay, or a rail of 8 V or more"
        )
    found: AudioLine | None = None
    for series in SWITCH_SERIES_OHM:
        most_v = min(landing_most_v, room_v)
        # Another capacitor follows behind the switch: together they stay below the corner.
        found = line(source_most_v, most_v, load_ohm, bleed_ohm, ways, branches, series, CORNER_HZ / 2)
        lowest = parallel(load_ohm * (1 - SET_SPREAD), bleed_ohm)
        if found.shunt is not None or found.series.value / ways <= 0.1 * lowest:
            break
    assert found is not None
    return _held_down(found, 2**0.5 * source_most_v, supply_low_v / 2 - SWITCH_ROOM_V, bleed_ohm, ways)


def _held_down(found: AudioLine, peak_v: float, room_v: float, bleed_ohm: float, ways: int) -> AudioLine:
    """The channel with a shunt that keeps it inside the supply also while its switch is open and nothing loads it."""
    series, most = found.series.value / ways, bleed_ohm * (1 + RESISTOR_SPREAD)
    shunt = math.inf if found.shunt is None else found.shunt.value
    share = room_v / peak_v * (1 - 2 * RESISTOR_SPREAD)
    if _gain(found.series.value, shunt, most, ways) <= share:
        return found
    foot = share * series / (1 - share)
    bare = 1 / max(1 / foot - 1 / most, 1 / SHUNT_MOST_OHM)
    value = decade_values("E24", SHUNT_LEAST_OHM, bare)[-1]
    reason = f"keeps {short(peak_v, 3)} V of a loud source inside the supply of a switch that is open"
    return AudioLine(found.series, Sized(value, "ohm", reason), found.coupling)
