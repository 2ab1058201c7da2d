"""Choosing among preferred values: the first candidate wins a tie, so every machine chooses alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import TypeVar

from rasterport.standards.iec60063 import Series, decade_values
from rasterport.units import MARGIN

T = TypeVar("T")


def best(candidates: Iterable[T], cost: Callable[[T], float]) -> T | None:
    """The candidate of least cost; None without candidates.  `cost` is finite and not negative."""
    chosen: T | None = None
    least = math.inf
    for candidate in candidates:
        c = cost(candidate)
        if c < least * (1 - MARGIN) - 1e-300 or chosen is None:
            chosen, least = candidate, c
    return chosen


def at_most(limit: float, series: Series = "E24") -> float:
    """The largest preferred value not above `limit`."""
    return max(v for v in decade_values(series, limit / 12, limit) if v <= limit * (1 + MARGIN))


def at_least(limit: float, series: Series = "E24") -> float:
    """The smallest preferred value not below `limit`."""
    return min(v for v in decade_values(series, limit, limit * 12) if v >= limit * (1 - MARGIN))
