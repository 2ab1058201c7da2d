"""Axes: round ticks, and where on the paper a value lies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rasterport.units import prefixed, short, significant, written

FEWEST, MOST = 3, 8
"""So many ticks an axis has."""
ROUND = (1, 2, 5)


def covering(low: float, high: float) -> tuple[float, ...]:
    """Ticks in steps of 1, 2 or 5 times a power of ten, 3 to 8 of them, from `low` or below to `high` or above.

    Raises ValueError unless low <= high and both are finite.
    """
    low, high = significant(low), significant(high)
    if low > high:
        raise ValueError(f"an axis goes from low to high, found {low} to {high}")
    if high - low <= 1e-6 * max(abs(low), abs(high)):
        away = abs(high) / 2 or 1.0
        low, high = significant(low - away), significant(high + away)
    power = math.floor(math.log10(high - low)) - 2
    while True:
        for factor in ROUND:
            first, last = (_steps(value, factor, power, up) for value, up in ((low, False), (high, True)))
            if last - first < MOST:
                return tuple(_times(n * factor, power) for n in range(first, last + 1))
        power += 1


def _times(count: int, power: int) -> float:
    """A multiple of a power of ten, exactly as it would be written."""
    return float(f"{count}e{power}")


def _steps(value: float, factor: int, power: int, up: bool) -> int:
    """Number of steps to a value, rounded outwards; a value that is a step but for its last bits is that step."""
    exact = float(f"{value / factor:.12e}") / 10.0**power
    near = round(exact)
    if abs(exact - near) < 1e-9 * max(1.0, abs(exact)):
        return near
    return math.ceil(exact) if up else math.floor(exact)


def inside(low: float, high: float) -> tuple[float, ...]:
    """Round ticks that lie between two ends, the ends included."""
    slack = 1e-9 * (high - low)
    return tuple(tick for tick in covering(low, high) if low - slack <= tick <= high + slack)


def decades(low: float, high: float) -> tuple[float, ...]:
    """Ticks of a logarithmic axis between two ends: powers of ten, every second, third ... where there are many.

    Where that leaves fewer than three, 1, 2 and 5 times a power of ten, or the ticks of a linear axis.  Raises
    ValueError unless 0 < low < high.
    """
    if not 0 < low < high:
        raise ValueError(f"a logarithmic axis goes from above 0 upwards, found {low} to {high}")
    first, last = math.ceil(math.log10(low) - 1e-9), math.floor(math.log10(high) + 1e-9)
    for step in range(1, last - first + 1):
        ticks = [float(f"1e{n}") for n in range(first, last + 1, step)]
        if FEWEST <= len(ticks) <= MOST:
            return tuple(ticks)
    found = [t for n in range(first - 1, last + 1) for f in ROUND if low <= (t := float(f"{f}e{n}")) <= high]
    return tuple(found) if FEWEST <= len(found) <= MOST else inside(low, high)


@dataclass(frozen=True)
class Axis:
    """An axis on paper: values from `low` to `high` lie between two places [px]."""

    low: float
    high: float
    first: float
    last: float
    logarithmic: bool = False

    def at(self, value: float) -> float:
        """Where a value lies [px], also beyond the ends; a value is rounded as written first."""
        low, high, here = (self._scaled(significant(v)) for v in (self.low, self.high, value))
        return self.first + (self.last - self.first) * (here - low) / (high - low)

    def _scaled(self, value: float) -> float:
        return math.log10(value) if self.logarithmic else value


def labels(ticks: Sequence[float], unit: str) -> tuple[str, tuple[str, ...]]:
    """The unit that stands with the axis, and a label for each tick, all with one prefix."""
    name, power = prefixed(max(abs(t) for t in ticks), unit)
    return name, tuple(short(float(f"{tick:.12e}") / 10.0**power) for tick in ticks)


def labels_each(ticks: Sequence[float], unit: str) -> tuple[str, ...]:
    """Labels with a unit and a prefix each, for an axis of several decades."""
    return tuple(written(tick, unit) for tick in ticks)
