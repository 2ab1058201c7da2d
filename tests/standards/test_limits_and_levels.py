"""Limits, levels, timing and letters: that the records are sound in themselves."""

from __future__ import annotations

import pytest

from rasterport.parts import all_rows
from rasterport.standards.bt470 import LINE_STANDARDS, LONGEST_ACTIVE_LINE_S, LONGEST_FIELD_S
from rasterport.standards.iec60757 import COLOURS, LINE_COLOURS
from rasterport.standards.ieee315 import LETTERS
from rasterport.standards.interface_levels import LEVELS
from rasterport.standards.limits import LIMITS
from rasterport.standards.sockets import WIRINGS
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS


@pytest.mark.parametrize("key", LIMITS)
def test_the_error_lies_beyond_the_warning_and_both_are_allowed_themselves(key: str) -> None:
    limit = LIMITS[key]
    assert limit.unit and limit.source and limit.confidence
    assert limit.warning is not None
    assert limit.severity(limit.warning) is None
    beyond = 1.0 if limit.sense == "most" else -1.0
    if limit.error is None:
        assert limit.severity(limit.warning + beyond * 1e9) == "warning"
        return
    assert (limit.error - limit.warning) * beyond > 0
    assert limit.severity(limit.error) == "warning"
    assert limit.severity(limit.error + beyond * max(abs(limit.error), 1.0) * 1e-3) == "error"


def test_return_loss_is_judged_from_below_and_level_error_from_above() -> None:
    assert LIMITS["return_loss_db"].severity(27.0) is None
    assert LIMITS["return_loss_db"].severity(19.0) == "error"
    assert LIMITS["level_error_db"].severity(0.4) is None
    assert LIMITS["level_error_db"].severity(1.6) == "error"
    assert LIMITS["crosstalk_1mhz_db"].severity(-41.0) is None
    assert LIMITS["crosstalk_1mhz_db"].severity(-39.0) == "warning"


@pytest.mark.parametrize("key", STATUS_LEVELS)
def test_status_levels_rise(key: str) -> None:
    levels = STATUS_LEVELS[key]
    assert 0 < levels.off_most_v < levels.on_least_v < levels.on_most_v <= levels.applied_most_v <= FAULT_V
    assert levels.load_ohm is None or levels.load_ohm >= levels.load_least_ohm


def test_every_status_contact_of_a_socket_has_levels() -> None:
    functions = {f for w in WIRINGS.values() for f in w.functions if f.startswith("status-")}
    assert functions == set(STATUS_LEVELS)


@pytest.mark.parametrize("key", LEVELS)
def test_a_nominal_level_lies_in_its_span(key: str) -> None:
    assert LEVELS[key].low <= LEVELS[key].nominal <= LEVELS[key].high


def test_line_parts_fit_into_the_line() -> None:
    for standard in LINE_STANDARDS.values():
        blanking = standard.front_porch_s + standard.sync_width_s + standard.back_porch_s
        assert blanking == pytest.approx(standard.line_blanking_s, abs=0.3e-6)
        assert standard.active_line_s + standard.line_blanking_s == pytest.approx(standard.line_period_s, abs=0.01e-6)
    assert LONGEST_ACTIVE_LINE_S == 52.66e-6
    assert LONGEST_FIELD_S == 0.02


def test_no_two_lines_share_a_colour() -> None:
    assert len(set(LINE_COLOURS.values())) == len(LINE_COLOURS)
    assert set(LINE_COLOURS.values()) <= set(COLOURS)
    assert (LINE_COLOURS["red"], LINE_COLOURS["green"], LINE_COLOURS["blue"]) == ("RD", "GN", "BU")


def test_every_part_has_a_letter_of_the_standard() -> None:
    assert {part.letter for part in all_rows()} <= set(LETTERS.values())
