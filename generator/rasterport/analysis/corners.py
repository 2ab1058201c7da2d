"""Worst cases of a figure by enumeration: every element at both ends of its spread.

Return loss and level bend at 75 ohm, so no sign of a derivative is trusted here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

from rasterport.analysis.nodal import Element

MOST_FREE = 10
"""Enumerating more elements than this would take seconds; no line of a board has as many."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Nominal, lowest and highest value of a figure, with the corners in words, and the values at the lowest."""

    nominal: float
    low: float
    high: float
    low_corner: str
    high_corner: str
    low_values: tuple[float, ...] = ()


def enumerate_corners(elements: Sequence[Element], figure: Callable[[Sequence[float]], float]) -> Spread:
    """Evaluate `figure` (values of the elements, in order -> number) at every corner.

    Raises ValueError for more than MOST_FREE elements with a spread.
    """
    free = [k for k, e in enumerate(elements) if e.spread > 0]
    if len(free) > MOST_FREE:
        raise ValueError(f"{len(free)} elements with a spread, at most {MOST_FREE} can be enumerated")
    nominal = [e.value for e in elements]
    middle = figure(nominal)
    low, high = middle, middle
    low_at, high_at, low_values = "nominal", "nominal", nominal
    for signs in product((-1, 1), repeat=len(free)):
        values = list(nominal)
        for k, sign in zip(free, signs, strict=True):
            values[k] *= 1 + sign * elements[k].spread
        result = figure(values)
        if result < low:
            low, low_at, low_values = result, _words(elements, free, signs), values
        if result > high:
            high, high_at = result, _words(elements, free, signs)
    return Spread(middle, low, high, low_at, high_at, tuple(low_values))


def _words(elements: Sequence[Element], free: Sequence[int], signs: Sequence[int]) -> str:
    return ", ".join(f"{elements[k].role} {'+' if s > 0 else '-'}" for k, s in zip(free, signs, strict=True))
