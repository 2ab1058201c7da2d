"""Sizing of the divider that a display and the board share: the rule of the diodes, the trailing edge, the choice."""

from __future__ import annotations

import math
from itertools import product

import pytest

from rasterport.design.blanking import Drive, Window
from rasterport.design.display_blanking import (
    APART_V,
    BOARD,
    BOTH,
    DISPLAY,
    Load,
    Sizing,
    Try,
    at_pin,
    board_feed,
    display_feed,
    falling_s,
    meeting,
)
from rasterport.standards.iec60063 import decade_values

WINDOW = Window(1.0, 2.9, 3.0, 0.3, 0.2e-3)
DROPS = (0.15, 0.295, 0.44)
RAIL = Drive(4.6, 5.0, 5.25)


def sizing(high_v: float, ohm: float, edge_s: float = 60e-9) -> Sizing:
    load = Load(24e-12, 10e-12, edge_s)
    return Sizing(WINDOW, board_feed(RAIL), display_feed(high_v, ohm), DROPS, 0.0145, load, 100e-6, 0.0, 5e-3)


def test_without_diodes_one_drive_would_pull_the_other_down() -> None:
    """5 V through 1k5 and 1k is 2 V; a second such divider at rest beside it leaves 1.13 V of 2.03 V, or less."""
    alone = at_pin([(5.0, 1500.0, 1), (0.0, 1500.0, 0)], 0.0, 1000.0, 0.0)
    assert alone == pytest.approx(2.0)
    foot = 1 / (1 / 1000 + 1 / 1500)
    assert 5.0 * foot / (foot + 1500.0) < 1.5
    assert at_pin([(5.0, 1500.0, 1), (0.0, 1500.0, 1)], 0.0, 1000.0, 0.0) == pytest.approx(alone)


def test_both_add_where_each_has_its_upper_resistor() -> None:
    """Two sources of 5 V through 1k5 into 1k: 5 V x 1000 / (750 + 1000)."""
    assert at_pin([(5.0, 1500.0, 1), (5.0, 1500.0, 1)], 0.0, 1000.0, 0.0) == pytest.approx(5.0 * 1000 / 1750)


def test_on_a_common_divider_the_higher_drive_has_the_pin() -> None:
    """The node of 5 V through 0.1 ohm blocks a display of 3 V."""
    assert at_pin([(5.0, 0.1, 1), (3.0, 100.0, 1)], 1500.0, 1000.0, 0.0) == pytest.approx(2.0, abs=1e-3)


def test_a_pin_at_rest_has_its_own_current_in_the_lower_resistor() -> None:
    assert at_pin([(5.0, 100.0, 0), (5.0, 100.0, 0)], 1500.0, 1000.0, 0.2e-3) == pytest.approx(0.2)


def test_a_single_pole_falls_in_ln_9() -> None:
    """Without a node to empty the pin has one time constant."""
    found = falling_s(1000.0, 1e6, 30e-12, 1e-18, 1e-18)
    assert found == pytest.approx(math.log(9) * 1000.0 * 30e-12, rel=1e-3)


@pytest.mark.parametrize(("high_v", "ohm"), [(5.0, 100.0), (3.3, 100.0), (2.5, 50.0), (12.0, 1000.0)])
def test_the_choice_keeps_the_window_at_every_corner(high_v: float, ohm: float) -> None:
    asked = sizing(high_v, ohm)
    try:
        found = meeting(asked)
    except ValueError as fault:
        assert high_v == 12.0 and "no divider keeps the blanking pin" in str(fault)
        return
    tried = Try(found.upper.value, found.own and found.own.value, found.lower.value, found.count)
    for on in (BOARD, DISPLAY, BOTH):
        assert asked.volts(tried, on, -1) >= WINDOW.on_least_v
        assert asked.volts(tried, on, 1) <= WINDOW.on_most_v
    assert asked.volts(tried.opened, BOTH, 1) <= WINDOW.maximum_v
    assert asked.fall_s(tried) <= asked.load.edge_most_s
    assert asked.off_v(tried) <= WINDOW.off_most_v
    assert found.foot_ohm <= 1500.0


def test_a_display_of_3_3_v_has_a_divider_of_its_own() -> None:
    assert meeting(sizing(5.0, 100.0)).own is None
    own = meeting(sizing(3.3, 100.0)).own
    assert own is not None and "3.3 V" in own.reason


@pytest.mark.parametrize(("high_v", "own"), [(5.0, False), (3.3, True)])
def test_no_pair_of_e24_on_the_same_lower_resistor_is_nearer_to_2_v(high_v: float, own: bool) -> None:
    """Every pair of upper resistors, by the sizing's own measure."""
    asked = sizing(high_v, 100.0)
    found = meeting(asked)
    assert (found.own is not None) == own
    uppers = decade_values("E24", 47.0, 100e3)
    pairs = product(uppers, uppers) if own else ((u, None) for u in uppers)
    tries = (Try(u, o, found.lower.value, found.count) for u, o in pairs)

    def serves(t: Try) -> bool:
        if not (asked.alone_fits(t, BOARD) and asked.alone_fits(t, DISPLAY) and asked.together_fit(t)):
            return False
        return own or abs(asked.volts(t, BOARD, 0) - asked.volts(t, DISPLAY, 0)) <= APART_V

    least = min(asked.off_target(t) for t in tries if serves(t))
    assert found.off_v == pytest.approx(least)


def test_a_margin_wider_than_the_window_is_said() -> None:
    from dataclasses import replace

    with pytest.raises(ValueError, match="blanking_margin is wider"):
        meeting(replace(sizing(5.0, 100.0), window=Window(2.9, 1.0, 3.0, 0.3, 0.0)))
