"""Bringing TTL composite sync below one volt, into the load of the landing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rasterport.design.preferred import best
from rasterport.design.termination import parallel
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.units import short

WANTED_V = 0.3
"""Sync amplitude of the interface [V].  ITU-R BT.470: 300 mV."""
TTL_SOURCE_A = 0.4e-3
"""What a TTL output surely sources at its high level [A].  Standard TTL, from memory."""


@dataclass(frozen=True, slots=True)
class Window:
    """Amplitude that a sync input takes [V]."""

    least_v: float
    most_v: float


def drive_resistor(high_v: float, load_ohm: float, source_ohm: float) -> Sized:
    """Series resistor [ohm] that brings a logic high of `high_v` [V] to 0.3 V across `load_ohm`.

    `source_ohm` is the output resistance of the buffer.  R = load (V / 0.3 - 1) - source, E24.
    """
    target = load_ohm * (high_v / WANTED_V - 1) - source_ohm
    value = best(decade_values("E24", target * 0.8, target * 1.25), lambda r: abs(r / target - 1))
    if value is None:
        raise ValueError(f"no preferred value near {short(target)} ohm")
    level = high_v * load_ohm / (load_ohm + source_ohm + value)
    return Sized(value, "ohm", f"{high_v:g} V logic becomes {short(level, 3)} V across {short(load_ohm)} ohm")


@lru_cache(maxsize=16)
def passive_pad(low_high_v: float, high_high_v: float, load_ohm: float, window: Window) -> tuple[Sized, Sized] | None:
    """Upper and lower resistor [ohm] of a pad without a buffer, or None where it cannot serve.

    The high level of the source lies between `low_high_v` and `high_high_v` [V].  A TTL output is only
    asked for the 0.4 mA that it surely gives.
    """
    centre = (window.least_v * window.most_v) ** 0.5 / (low_high_v * high_high_v) ** 0.5
    pairs = [
        (u, low)
        for low in decade_values("E24", 100.0, 10e3)
        for u in decade_values("E24", 100.0, 100e3)
        if (u + parallel(low, load_ohm)) * TTL_SOURCE_A >= low_high_v
        and low_high_v * _ratio(u, low, load_ohm) >= window.least_v
        and high_high_v * _ratio(u, low, load_ohm) <= window.most_v
    ]
    pair = best(pairs, lambda p: abs(_ratio(p[0], p[1], load_ohm) / centre - 1))
    if pair is None:
        return None
    upper, lower = pair
    ratio = _ratio(upper, lower, load_ohm)
    reason = (
        f"{low_high_v:g} to {high_high_v:g} V becomes "
        f"{short(low_high_v * ratio, 3)} to {short(high_high_v * ratio, 3)} V, "
        f"asks {short(low_high_v / (upper + parallel(lower, load_ohm)) * 1e3, 2)} mA of the source"
    )
    return Sized(upper, "ohm", reason), Sized(lower, "ohm", reason)


def _ratio(upper: float, lower: float, load: float) -> float:
    foot = parallel(lower, load)
    return foot / (upper + foot)
