"""The digits that instruments at the bench show: a reading is told in these, its limits rounded outwards.

A hand-held meter of three and a half digits shows 1999 steps in ranges of two times a power of ten; common practice, no
source.  A screen of an oscilloscope is read to 10 mV; judgement, stated.
"""

from __future__ import annotations

import math
from dataclasses import replace

from rasterport.records import Reading
from rasterport.variant.reading import NEAR_ZERO

METER = "multimeter, resistance"
METER_V, METER_A = "multimeter, direct voltage", "multimeter, direct current"
METER_AC, SCOPE = "multimeter, alternating voltage", "oscilloscope"
COUNTS = 2000
LEAST = {"ohm": 0.1, "V": 1e-3, "A": 1e-6}
"""The finest step of a meter [ohm, V, A]."""
SCREEN_V = 10e-3
SHARE, OFF = 0.01, {**NEAR_ZERO, "V": 0.01}
"""What a hand-held meter and its leads are off, besides the parts: a share, and never less than so much [-; ohm, A, V];
judgement, stated."""
NEARLY = 1e-6
"""So near to a step, or to the middle of two, a value counts as on it [-]: last bits differ between processors."""


def step(value: float, unit: str, instrument: str = "") -> float:
    """What the last digit of an instrument is worth at a value, in `unit` ("ohm", "V", "A")."""
    if instrument == SCOPE:
        return SCREEN_V
    if abs(value) < LEAST[unit] * COUNTS:
        return LEAST[unit]
    return float(f"1e{math.floor(math.log10(abs(value) / 2 * (1 + NEARLY))) + 1 - 3}")


def as_shown(reading: Reading) -> Reading:
    """A reading in the digits that its instrument shows: limits outwards, so that nothing true is refused."""

    def on_steps(value: float, rounded: float) -> float:
        if not math.isfinite(value):
            return value
        size = step(value, reading.unit, reading.instrument)
        count = math.floor(value / size + rounded)
        return float(f"{count * size:.9g}")

    return replace(
        reading,
        nominal=on_steps(reading.nominal, 0.5 + NEARLY),
        low=on_steps(reading.low, NEARLY),
        high=on_steps(reading.high, 1 - NEARLY),
    )
