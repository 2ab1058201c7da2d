"""Levels and timing against figures worked out from other statements than ours."""

from __future__ import annotations

import math

import pytest

from rasterport.standards.bt470 import LINE_525, LINE_625
from rasterport.standards.interface_levels import COMPOSITE, RGB, SYNC
from rasterport.standards.status_levels import STATUS_8, STATUS_16


def test_line_and_field_rates_belong_together() -> None:
    """Two fields a picture: line rate = lines * field rate / 2 (ITU-R BT.470, 60/1.001 Hz for 525 lines)."""
    assert LINE_625.line_rate_hz == 625 * 50 / 2
    assert LINE_525.line_rate_hz == pytest.approx(525 * (60 / 1.001) / 2, rel=1e-6)
    assert LINE_525.line_period_s == pytest.approx(1 / LINE_525.line_rate_hz, rel=1e-6)
    assert LINE_625.line_period_s == 1 / LINE_625.line_rate_hz


def test_525_line_levels_are_100_and_40_units_of_140() -> None:
    """IRE scale: 140 units a volt; white 100, sync 40."""
    assert LINE_525.white_v == pytest.approx(100 / 140, abs=5e-4)
    assert LINE_525.sync_v == pytest.approx(40 / 140, abs=5e-4)
    assert 20 * math.log10(LINE_525.white_v / LINE_625.white_v) == pytest.approx(0.18, abs=0.01)


def test_spans_are_the_decibels_that_the_manual_states() -> None:
    """A set maker's manual: RGB and composite +-3 dB (0.50 to 0.99, 0.71 to 1.41 V), sync -3 and +10 dB."""
    for level, below_db, above_db in ((RGB, -3, 3), (COMPOSITE, -3, 3), (SYNC, -3, 10)):
        assert level.low == pytest.approx(level.nominal * 10 ** (below_db / 20), abs=2.5e-3)
        assert level.high == pytest.approx(level.nominal * 10 ** (above_db / 20), abs=2.5e-3)


def test_status_levels_agree_with_a_switch_ic() -> None:
    """MAX4399 electrical table: contact 8 inputs 0 to 2, 4.5 to 7, 9.5 to 12 V; contact 16 0.4 and 1 V."""
    assert (STATUS_8.off_most_v, STATUS_8.on_least_v, STATUS_8.on_most_v) == (2.0, 4.5, 12.0)
    assert (STATUS_16.off_most_v, STATUS_16.on_least_v) == (0.4, 1.0)
