"""Our E-series against an independent table: the package eseries."""

from __future__ import annotations

import eseries
import pytest

from rasterport.standards.iec60063 import SERIES, decade_values

THEIRS = {"E6": eseries.E6, "E12": eseries.E12, "E24": eseries.E24, "E96": eseries.E96}


@pytest.mark.parametrize("series", SERIES)
def test_tables_equal_those_of_the_package(series: str) -> None:
    assert [float(v) for v in SERIES[series]] == [float(v) for v in eseries.series(THEIRS[series])]


@pytest.mark.parametrize("series", SERIES)
def test_a_range_equals_theirs(series: str) -> None:
    theirs = [float(f"{v:.6g}") for v in eseries.erange(THEIRS[series], 47.0, 82e3)]
    assert list(decade_values(series, 47.0, 82e3)) == theirs


def test_only_e96_follows_the_formula() -> None:
    """Eight values of E24 differ from 10^(n/24) (IEC 60063 keeps them for history); all of E96 agree."""
    assert [round(100 * 10 ** (n / 96)) for n in range(96)] == list(SERIES["E96"])
    formula = [round(10 * 10 ** (n / 24)) for n in range(24)]
    differing = {ours for ours, theirs in zip(SERIES["E24"], formula, strict=True) if ours != theirs}
    assert differing == {27, 30, 33, 36, 39, 43, 47, 82}
