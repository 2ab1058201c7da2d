"""Preferred values: IEC 60063:2015, series E6, E12, E24 and E96.

Each table holds the integers of one decade as the standard prints them.  The values of E24 are older
than the formula 10^(n/24) and eight of them differ from it, so the table counts and not the formula.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

Series = Literal["E6", "E12", "E24", "E96"]

E6 = (10, 15, 22, 33, 47, 68)

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)

E24 = (
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
)  # fmt: skip

E96 = (
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158,
    162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255,
    261, 267, 274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412,
    422, 432, 442, 453, 464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665,
    681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976,
)  # fmt: skip

SERIES: dict[Series, tuple[int, ...]] = {"E6": E6, "E12": E12, "E24": E24, "E96": E96}

TOLERANCE_PCT: dict[Series, float] = {"E6": 20.0, "E12": 10.0, "E24": 5.0, "E96": 1.0}
"""Tolerance that each series is spaced for [percent]."""

SOURCE = "IEC 60063:2015"

RELATIVE_SLACK = 1e-9
"""A bound that was computed still admits the preferred value that it stands for."""


@lru_cache(maxsize=256)
def decade_values(series: Series, low: float, high: float) -> tuple[float, ...]:
    """Every preferred value v with low <= v <= high, rising.

    `low` and `high` share any unit, both > 0.  Each value is the float nearest to its decimal, so 4.7 is
    4.7 and 47 nF is 4.7e-08.  Raises ValueError when a bound is not positive and finite.
    """
    if not (0.0 < low < math.inf and 0.0 < high < math.inf):
        raise ValueError(f"bounds of a preferred value must be positive and finite, found {low} and {high}")
    table = SERIES[series]
    digits = len(str(table[0])) - 1
    decades = range(math.floor(math.log10(low)) - 1, math.ceil(math.log10(high)) + 1)
    every = (float(f"{number}e{decade - digits}") for decade in decades for number in table)
    least, most = low * (1.0 - RELATIVE_SLACK), high * (1.0 + RELATIVE_SLACK)
    return tuple(value for value in every if least <= value <= most)


def nearest(series: Series, value: float) -> float:
    """The preferred value with the smallest ratio to `value`; the smaller one of two equal ratios."""
    candidates = decade_values(series, value / 10.0, value * 10.0)
    best = candidates[0]
    for candidate in candidates[1:]:
        if abs(math.log(candidate / value)) < abs(math.log(best / value)) * (1.0 - RELATIVE_SLACK):
            best = candidate
    return best
