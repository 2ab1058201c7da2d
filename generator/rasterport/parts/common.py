"""What several tables of the catalogue share: pins of two-pole parts and makers' value codes."""

from __future__ import annotations

from decimal import Decimal

from rasterport.records import Construction, Pin

SMD: Construction = "smd"
THROUGH_HOLE: Construction = "through-hole"
CONSTRUCTIONS: tuple[Construction, ...] = (SMD, THROUGH_HOLE)

SCHEME = "maker's numbering scheme"
MEMORY = "from memory"

TWO_POLES = (Pin("1", "~"), Pin("2", "~"))
"""Pins of a part without polarity; KiCad writes `~` for a pin without a name."""


def digits_and_power(value: float, digits: int) -> tuple[int, int]:
    """`value` as (number of so many digits, power of ten).

    Raises ValueError when the value is not positive or needs more digits than that.
    """
    if not 0.0 < value < float("inf"):
        raise ValueError(f"a part's value must be positive and finite, found {value}")
    exact = Decimal(f"{value:.9g}")
    power = exact.adjusted() - digits + 1
    number = exact.scaleb(-power)
    if number != number.to_integral_value():
        raise ValueError(f"the maker's code holds {digits} digits, found {exact}")
    return int(number), power


def smallest(steps: tuple[float, ...], least: float, what: str) -> float:
    """The first of rising `steps` that is at least `least`.  Raises ValueError with `what` when none is."""
    for step in steps:
        if step >= least * (1.0 - 1e-9):
            return step
    raise ValueError(f"{what} must be at most {steps[-1]:g}, found {least:g}")
