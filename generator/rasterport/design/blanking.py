"""The voltage that switches the video processor to RGB: inside its window at every corner."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from rasterport.design.landings import CONTACT_OHM
from rasterport.design.preferred import best
from rasterport.design.termination import parallel
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import FITTED_SPREAD
from rasterport.units import short

TARGET_V = 2.0
"""Where the pin allows: clears 0.9 V families and the 1.7 V family, stays clear of 3 V.  Judgement, stated."""

LOWER_MOST_OHM = 1000.0
"""Lower resistor at most this, so that 30 pF of lead fall within 30 ns; judgement, stated."""
LOWER_LEAST_OHM = 100.0
UPPER_LEAST_OHM, UPPER_MOST_OHM = 47.0, 100e3
"""Range of the resistors [ohm]: below 100 ohm the divider takes more than all the rest; judgement, stated."""
OPEN_OHM = 1e12
"""A resistor that has opened [ohm]."""


@dataclass(frozen=True, slots=True)
class Window:
    """What the pin asks, margins already taken off, in volts; `pin_a` flows either way [A]."""

    on_least_v: float
    on_most_v: float
    maximum_v: float
    off_most_v: float
    pin_a: float
    fitted_ohm: float | None = None


@dataclass(frozen=True, slots=True)
class Drive:
    """What feeds the divider: lowest, nominal and highest voltage at its top [V]."""

    low_v: float
    nominal_v: float
    high_v: float


@dataclass(frozen=True, slots=True)
class Divider:
    """Upper and lower resistor; with `doubled` two of the lower value stand in parallel."""

    upper: Sized
    lower: Sized
    doubled: bool


def level(drive_v: float, upper_ohm: float, lower_ohm: float, pin_a: float) -> float:
    """Voltage at the pin [V] when `pin_a` [A] flows out of the pin into the divider.

    V = (drive / upper + I) x (upper || lower).
    """
    return (drive_v + pin_a * upper_ohm) * lower_ohm / (upper_ohm + lower_ohm)


def extremes(drive: Drive, upper: float, lower: float, window: Window, tolerance: float) -> tuple[float, float]:
    """Lowest and highest voltage at the pin [V] over drive, resistors and pin current of either sign.

    The level rises with drive and pin current, so only the resistors are tried at both ends.  A resistor that
    stays in the set counts with FITTED_SPREAD.  The pin's current also flows through a contact.
    """
    contact_v = window.pin_a * CONTACT_OHM
    uppers = (upper * (1 - tolerance), upper * (1 + tolerance))
    low, high = math.inf, -math.inf
    for u, end in product(uppers, (-1, 1)):
        foot = _foot(lower * (1 + end * tolerance), window.fitted_ohm, 1 + end * FITTED_SPREAD)
        low = min(low, level(drive.low_v, u, foot, -window.pin_a))
        high = max(high, level(drive.high_v, u, foot, window.pin_a))
    return low - contact_v, high + contact_v


def _foot(lower: float, fitted: float | None, of_fitted: float = 1.0) -> float:
    """Lower resistor [ohm] with what stays in the set beside it."""
    return lower if fitted is None else parallel(lower, fitted * of_fitted)


@lru_cache(maxsize=32)
def divider(window: Window, drive: Drive, tolerance: float) -> Divider:
    """The E24 divider that keeps the pin in its window, nearest to 2 V.

    The lower resistor is the largest that holds the pin low against its own current.  Where a single
    lower resistor that opens would lift the pin above its maximum, two stand in parallel.  Raises
    ValueError when no pair serves, naming the window.
    """
    if window.off_most_v <= 0 or window.on_most_v <= window.on_least_v:
        raise ValueError("blanking_margin is wider than the room that off_below, on_above and maximum leave")
    lower_most = LOWER_MOST_OHM
    if window.pin_a > 0:
        lower_most = min(lower_most, window.off_most_v / (window.pin_a * (1 + tolerance)))
    uppers = decade_values("E24", UPPER_LEAST_OHM, UPPER_MOST_OHM)
    for doubled in (False, True):
        for lower in _falling(LOWER_LEAST_OHM, lower_most * (2 if doubled else 1)):
            foot = lower / 2 if doubled else lower
            fits = [u for u in uppers if _fits(u, foot, lower, doubled, window, drive, tolerance)]
            nominal = _foot(foot, window.fitted_ohm)
            upper = best(fits, lambda u, foot=nominal: abs(level(drive.nominal_v, u, foot, 0.0) - TARGET_V))  # type: ignore[misc]
            if upper is not None:
                return _described(upper, lower, foot, doubled, window, drive, tolerance)
    raise ValueError(
        f"no divider from {short(drive.low_v, 3)} to {short(drive.high_v, 3)} V keeps the pin between "
        f"{short(window.on_least_v, 3)} and {short(window.on_most_v, 3)} V with "
        f"+-{short(window.pin_a * 1e3, 3)} mA, below {short(window.off_most_v, 3)} V when off "
        "and below its maximum with any one resistor open: take a rail of closer tolerance, measure pin_current, or "
        "ask a smaller blanking_margin"
    )


def _falling(low: float, high: float) -> tuple[float, ...]:
    return tuple(reversed(decade_values("E24", low, high)))


def _fits(
    upper: float, foot: float, lower: float, doubled: bool, window: Window, drive: Drive, tolerance: float
) -> bool:
    nominal = level(drive.nominal_v, upper, _foot(foot, window.fitted_ohm), 0.0)
    if not window.on_least_v <= nominal <= window.on_most_v:
        return False  # most pairs end here, at a fraction of the cost of their corners
    low, high = extremes(drive, upper, foot, window, tolerance)
    if low < window.on_least_v or high > window.on_most_v:
        return False
    left = lower if doubled else OPEN_OHM
    return extremes(drive, upper, left, window, tolerance)[1] <= window.maximum_v


def _described(
    upper: float, lower: float, foot: float, doubled: bool, window: Window, drive: Drive, tolerance: float
) -> Divider:
    low, high = extremes(drive, upper, foot, window, tolerance)
    nominal = level(drive.nominal_v, upper, _foot(foot, window.fitted_ohm), 0.0)
    pair = "two in parallel, so that one that opens leaves the pin below its maximum; " if doubled else ""
    return Divider(
        Sized(
            upper,
            "ohm",
            f"pin at {short(nominal, 3)} V ({short(low, 3)} to {short(high, 3)} V at the corners), nearest to 2 V",
        ),
        Sized(
            lower,
            "ohm",
            f"{pair}{short(foot)} ohm holds {short(window.pin_a * 1e3, 3)} mA below {short(window.off_most_v, 3)} V",
        ),
        doubled,
    )
