"""Reading a status contact with one transistor: off below, on above, at every corner.

Model of the transistor: V_BE = V_ref + V_T ln(I_C / 2 mA) with V_ref 0.58 to 0.70 V at 25 C (BC847 and
BC547 sheets, from memory), falling 2 mV a kelvin; current gain 110 to 800 (whole family).  Corners are
0 and 70 C inside a cabinet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rasterport.design.preferred import best
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.units import short

BOLTZMANN_V_PER_K = 8.617e-5
"""k/q [V/K], CODATA."""
COLD_K, HOT_K = 273.15, 343.15
"""The corners of temperature [K]: 0 and 70 C inside a cabinet."""
REFERENCE_K = 298.15
REFERENCE_A = 2e-3
TEMPCO_V_PER_K = -2e-3

NOISE_V = 0.1
"""A low level promised as 0 V still reads as low up to this [V]; judgement, stated."""

OFF_A = 30e-6
"""Collector current that still counts as off [A]: 0.3 V on the 10 kohm that holds the next stage off."""


@dataclass(frozen=True, slots=True)
class Transistor:
    """Bounds of base-emitter voltage at 2 mA and 25 C [V] and of current gain."""

    vbe_low_v: float
    vbe_high_v: float
    beta_low: float
    beta_high: float


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Highest contact voltage that is surely off and lowest that is surely on [V]."""

    off_v: float
    on_v: float


def vbe(reference_v: float, collector_a: float, kelvin: float) -> float:
    """Base-emitter voltage [V] at a collector current [A] and temperature [K]; see the module's model."""
    thermal = BOLTZMANN_V_PER_K * kelvin
    return reference_v + TEMPCO_V_PER_K * (kelvin - REFERENCE_K) + thermal * math.log(collector_a / REFERENCE_A)


def thresholds(
    series_ohm: float,
    base_ohm: float,
    collector_a: float,
    transistor: Transistor,
    tolerance: float,
    off_a: float = OFF_A,
) -> Thresholds:
    """Thresholds of a stage: contact - series - base, base resistor to ground, emitter on ground.

    `collector_a` [A] is what the stage must sink when on.  Off: hottest, lowest V_BE, `off_a` [A] flowing.
    On: coldest, highest V_BE, least gain.
    """
    hot = vbe(transistor.vbe_low_v, off_a, HOT_K)
    cold = vbe(transistor.vbe_high_v, collector_a, COLD_K)
    low = 1 + series_ohm * (1 - tolerance) / (base_ohm * (1 + tolerance))
    high = 1 + series_ohm * (1 + tolerance) / (base_ohm * (1 - tolerance))
    base_drop = collector_a / transistor.beta_low * series_ohm * (1 + tolerance)
    return Thresholds(hot * low, cold * high + base_drop)


def divider(
    off_most_v: float,
    on_least_v: float,
    collector_a: float,
    transistor: Transistor,
    tolerance: float,
    series: Sequence[float],
    base: Sequence[float],
    load_least_ohm: float = 0.0,
    off_a: float = OFF_A,
) -> tuple[Sized, Sized, Thresholds]:
    """Series and base resistor [ohm] with the most headroom on both sides.

    `series` and `base` are the candidates.  `load_least_ohm` [ohm] is the least that the contact may
    see (base shorted by the junction: the series resistor).  Raises ValueError when no pair separates
    `off_most_v` from `on_least_v`.
    """

    def short_of(pair: tuple[float, float]) -> float:
        t = thresholds(*pair, collector_a, transistor, tolerance, off_a)
        return 10 - min(t.off_v / max(off_most_v, NOISE_V), on_least_v / t.on_v)

    pairs = [(s, b) for s in series for b in base if s >= load_least_ohm]
    pair = best(pairs, short_of)
    if pair is None or short_of(pair) > 9:
        raise ValueError(
            f"no divider is off up to {off_most_v:g} V and on from {on_least_v:g} V at the corners: find a line whose "
            "two levels lie further apart"
        )
    t = thresholds(*pair, collector_a, transistor, tolerance, off_a)
    reason = (
        f"surely off up to {short(t.off_v, 3)} V ({off_most_v:g} V asked), "
        f"surely on from {short(t.on_v, 3)} V ({on_least_v:g} V asked), 0 to 70 C"
    )
    return Sized(pair[0], "ohm", reason), Sized(pair[1], "ohm", reason), t


def high_side(rail_low_v: float, load_a: float, hold_off_ohm: float, transistor: Transistor) -> tuple[Sized, float]:
    """Base resistor [ohm] of the PNP that follows, and what the sense transistor must sink [A].

    Saturated with a forced gain of 10 at the lowest rail; the sense transistor also feeds the hold-off
    resistor between base and emitter.  Source: common practice, no source, for the forced gain.
    """
    junction = vbe(transistor.vbe_high_v, max(load_a, 1e-6), COLD_K)
    sink = load_a / 10 + junction / hold_off_ohm
    most = (rail_low_v - junction - 0.25) / sink
    value = max(v for v in decade_values("E12", 1e3, 22e3) if v <= max(most, 1e3))
    return (
        Sized(
            value,
            "ohm",
            f"sized to saturate the high-side transistor at {short(load_a * 1e3, 3)} mA, gain of 10 or less",
        ),
        sink,
    )
