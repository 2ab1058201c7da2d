"""Preferred values: that the table is read without drift and with its bounds."""

from __future__ import annotations

import pytest

from rasterport.standards.iec60063 import SERIES, decade_values, nearest


@pytest.mark.parametrize(("series", "count"), [("E6", 6), ("E12", 12), ("E24", 24), ("E96", 96)])
def test_a_table_rises_and_has_as_many_values_as_its_name_says(series: str, count: int) -> None:
    table = SERIES[series]
    assert len(table) == count
    assert list(table) == sorted(set(table))


def test_values_are_the_floats_of_their_decimals() -> None:
    assert decade_values("E12", 1.0, 10.0) == (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0)
    assert decade_values("E6", 10e-9, 100e-9) == (1e-08, 1.5e-08, 2.2e-08, 3.3e-08, 4.7e-08, 6.8e-08, 1e-07)


def test_bounds_belong_to_the_range_also_when_computed() -> None:
    assert decade_values("E24", 75.0, 75.0) == (75.0,)
    assert decade_values("E96", 0.1 * 3 * 1000, 301.0) == (301.0,)
    assert decade_values("E24", 0.1 + 0.2, 0.33) == (0.3, 0.33)


def test_a_range_may_cross_decades_or_hold_nothing() -> None:
    assert decade_values("E6", 680.0, 1.5e3) == (680.0, 1000.0, 1500.0)
    assert decade_values("E6", 11.0, 14.0) == ()


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-1.0, 1.0), (1.0, float("inf")), (float("nan"), 1.0)])
def test_bounds_must_be_positive_and_finite(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="positive and finite"):
        decade_values("E24", low, high)


def test_nearest_goes_by_ratio_and_crosses_decades() -> None:
    assert nearest("E96", 75.3) == 75.0
    assert nearest("E24", 0.999) == 1.0
    assert nearest("E6", 9.0) == 10.0
