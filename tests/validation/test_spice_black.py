"""Black at pins without a clamp, DC-coupled and behind the board's own clamp: ngspice's transients and arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from test_spice_transients import active_from, changed, trace, without_cables

from making import variant, with_value
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.design.landings import line_standards
from rasterport.design.termination import parallel
from rasterport.emit.deck import deck_text
from rasterport.records import COLOURS, Conditions, Simulation
from rasterport.variant.models import Variant
from spice import of_picture, run

DIRECT: dict[str, Any] = {
    "set.rgb.pin_kind": "analog-dc",
    "set.rgb.black_level": "0 V",
    "input.source_coupling": "dc",
}
KEYED: dict[str, Any] = {
    "set.rgb.pin_kind": "analog-dc",
    "board.keyed_clamp": True,
    "set.supply.voltage": "9 V",
}
SWITCH_OHM = 100.0
"""Nominal on-resistance of the 74HC4053 on 5 V, within 5 % [ohm]: makers' tables, 100 at 4.5 V and 90 at 6 V."""


def done(deck: Simulation) -> dict[str, float]:
    found = run(deck_text(of_picture(deck)))
    assert found.status == 0 and found.complaints == ()
    return found.figures


@pytest.mark.parametrize("white", [0.2, 0.35, 0.7])
@pytest.mark.parametrize("most", [0.001, 0.05, 2.0])
def test_a_direct_pin_has_the_sources_black_as_white_is_divided(white: float, most: float) -> None:
    """Half of `most` into 75 ohm stands at the contact: 2 x that behind 75 ohm into U, L and the pin."""
    made = variant({**DIRECT, "set.rgb.white_level": f"{white:g} V", "input.black_most": f"{most:g} V"})
    circuit = compose(made)
    figures = done(simulation(circuit, made, "input-1"))
    board = Figures(Setup(made, circuit))
    for colour in COLOURS:
        series = circuit.by_role(f"{colour}/series").value_si or 0.0
        if circuit.has(f"input-1/{colour}/upper"):
            upper, lower = (circuit.by_role(f"input-1/{colour}/{n}").value_si or 0.0 for n in ("upper", "lower"))
        else:
            upper, lower = 0.0, circuit.by_role(f"input-1/{colour}/termination").value_si or 0.0
        foot = parallel(lower, 1e6 + series)
        share = foot / (75.0 + upper + foot) * 1e6 / (1e6 + series)
        # 0.1 uA of leakage through some hundred ohm are less than 0.1 mV.
        assert figures[f"{colour}_black"] == pytest.approx(most * share, abs=1e-4)
        assert figures[f"{colour}_level"] == pytest.approx(1.4 * share, rel=5e-3)
        assert board.get("black", colour).nominal == pytest.approx(figures[f"{colour}_black"], abs=1e-4)


@pytest.mark.parametrize(("black", "white"), [(0.1, 0.7), (0.4, 0.5), (1.0, 0.35)])
def test_a_resistor_to_the_rail_lifts_black(black: float, white: float) -> None:
    """Three ways meet at the pin: from the rail, from the source behind its divider, from the pin to ground."""
    made = variant(
        {**DIRECT, "set.rgb.black_level": f"{black:g} V", "set.rgb.white_level": f"{white:g} V",
         "input.black_most": "0.02 V"}
    )  # fmt: skip
    circuit = compose(made)
    figures = done(simulation(circuit, made, "input-1"))
    board = Figures(Setup(made, circuit))
    value = {p.role: p.value_si or 0.0 for p in circuit.parts}
    role = "input-1/red"
    upper = value.get(f"{role}/upper", 0.0)
    lower = value[f"{role}/lower"] if upper else value[f"{role}/termination"]
    split = lower / (75.0 + upper + lower)
    ahead = value["red/series"] + parallel(lower, 75.0 + upper)
    pull = value["red/pull"]
    conductance = 1 / ahead + 1 / pull + 1e-6
    # The rail loses some millivolts in its element.
    expected = (0.02 * split / ahead + 5.0 / pull) / conductance
    assert figures["red_black"] == pytest.approx(expected, abs=2e-3 + 0.01 * black)
    assert figures["red_black"] == pytest.approx(black, abs=0.015)
    assert figures["red_level"] == pytest.approx(1.4 * split / ahead / conductance, rel=5e-3)
    assert board.get("black", "red").nominal == pytest.approx(figures["red_black"], abs=0.01)
    assert board.get("level", "red").nominal == pytest.approx(figures["red_level"], rel=5e-3)


def keyed(black: str, **more: Any) -> Variant:
    return variant({**KEYED, "set.rgb.black_level": black, "set.rgb.black_within": "1 V", **more})


@pytest.mark.parametrize("black", [0.0, 0.5, 2.0])
@pytest.mark.parametrize("source", ["ac", "dc"])
@pytest.mark.parametrize("accepts", ["video", "clean-sync"])
def test_the_clamp_holds_black_whatever_the_source_carries(black: float, source: str, accepts: str) -> None:
    """Black is the divided 5 V; of a DC-coupled source 1 V of its own counts for nothing."""
    made = keyed(f"{black:g} V", **{"input.source_coupling": source, "set.sync.accepts": accepts})
    circuit = compose(made)
    figures = done(simulation(circuit, made, "input-1"))
    wanted = 0.0
    if black:
        upper, lower = (circuit.by_role(f"clamp/{n}").value_si or 0.0 for n in ("upper", "lower"))
        wanted = 5.0 * lower / (upper + lower)
    assert wanted == pytest.approx(black, abs=0.01)
    for colour in COLOURS:
        # Since the key 2 uA at most (2 V over 1 Mohm) flow for a quarter of a line out of 68 nF: 0.5 mV.
        assert figures[f"{colour}_black"] == pytest.approx(wanted, abs=0.006)
        assert figures[f"{colour}_level"] == pytest.approx(0.7, rel=0.01)


@pytest.mark.parametrize("picture", [0.0, 0.5, 1.0])
def test_black_does_not_depend_on_the_picture(picture: float) -> None:
    """Behind 220 uF black of the source moves by 0.57 V from a black to a white picture."""
    made = keyed("0.5 V", **{"input.source_coupling": "ac"})
    figures = done(simulation(compose(made), made, "input-1", Conditions(picture=picture)))
    assert figures["red_black"] == pytest.approx(0.5, abs=0.006)


def settled_after(made: Variant, from_v: float) -> tuple[list[float], float]:
    """Error of black behind each key [V], and the capacitor [F]; a black picture, the pin of 100 Mohm, no leakage."""
    circuit = compose(made)
    deck = simulation(circuit, made, "input-1", Conditions(picture=0.0))
    deck = changed(deck, "red/picture", {"high_v": 0.0})
    period = line_standards(made)[0].line_period_s
    deck = replace(deck, starts={**deck.starts, "RED_PIN": from_v})
    volts = trace(without_cables(deck), "RED_PIN", 16 * period, 0.1e-6)
    return [volts(active_from(made, n)) for n in range(15)], circuit.by_role("red/coupling").value_si or 0.0


def test_the_clamp_settles_by_the_time_constant_of_switch_and_source() -> None:
    """Each key of 4 us leaves exp(-4 us / (137.5 ohm x 68 nF)) = 0.652 of an error."""
    made = keyed("0 V", **{"set.rgb.resistance": "100M", "set.rgb.leakage": "0 A", "input.source_coupling": "dc"})
    errors, farad = settled_after(made, 0.57)
    ratio = (errors[9] / errors[1]) ** (1 / 8)
    assert ratio == pytest.approx(math.exp(-4e-6 / ((SWITCH_OHM + 37.5) * farad)), rel=0.03)
    figure = Figures(Setup(made, compose(made))).get("keyed-settling", "red").nominal
    lines = next(n for n, v in enumerate(errors) if v < 0.007)
    assert lines == pytest.approx(figure / max(s.line_period_s for s in line_standards(made)), abs=1.5)


def test_droop_of_a_white_bar_behind_the_clamp() -> None:
    """0.7 V and 2 V over 1 Mohm and 0.1 uA for a part of a line: (2.7 uA + 0.1 uA) t / C."""
    made = keyed("2 V", **{"input.source_coupling": "dc"})
    circuit = compose(made)
    deck, s = simulation(circuit, made, "input-1"), line_standards(made)[0]
    volts = trace(deck, "RED_PIN", 4 * s.line_period_s, deck.step_s)
    begin, span = active_from(made, 2) + 0.3 * s.active_line_s, 0.4 * s.active_line_s
    farad = circuit.by_role("red/coupling").value_si or 0.0
    droop = volts(begin) - volts(begin + span)
    assert droop == pytest.approx((2.7e-6 + 0.1e-6) * span / farad, rel=0.03)
    # The figure counts 1 uA that the switch may leak in a hot cabinet besides; the model has none.
    figure = Figures(Setup(made, circuit)).get("keyed-droop", "red").nominal
    longest = max(standard.active_line_s for standard in line_standards(made))
    assert figure == pytest.approx(100 * 3.8e-6 * longest / farad / 0.7, rel=0.02)


def test_black_lags_while_the_picture_changes_no_more_than_the_figure() -> None:
    """A source whose black runs by 0.57 V in 33 ms: what is left behind each key settles at run x / (1 - x)."""
    made = keyed("0 V", **{"set.rgb.resistance": "100M", "set.rgb.leakage": "0 A", "input.source_coupling": "dc"})
    circuit = compose(made)
    deck, s = simulation(circuit, made, "input-1", Conditions(picture=0.0)), line_standards(made)[0]
    # 1.14 V of electromotive force in 33 ms; the trapezoid of the start runs instead of standing.
    ramp = {"low_v": 0.0, "high_v": 1.14, "delay_s": 0.0, "edge_s": 33e-3, "flat_s": 1.0, "period_s": 2.0}
    deck = changed(changed(deck, "red/picture", {"high_v": 0.0}), "red/start", ramp)
    volts = trace(without_cables(deck), "RED_PIN", 21 * s.line_period_s, 0.1e-6)
    # Just in front of a key the error is greatest: it has run for a line since the last one.
    worst = volts(active_from(made, 20) - 5e-6)
    figure = Figures(Setup(made, circuit)).get("black-lag", "red").nominal
    longest = max(standard.line_period_s for standard in line_standards(made))
    assert 100 * worst / 0.7 * longest / s.line_period_s == pytest.approx(figure, rel=0.03)


def test_a_pulse_that_does_not_come_would_be_seen() -> None:
    """With the key held high nothing restores black: it stays where it began."""
    made = keyed("0 V", **{"set.rgb.resistance": "100M", "set.rgb.leakage": "0 A", "input.source_coupling": "dc"})
    circuit = compose(made)
    late = with_value(circuit, "input-1/sync/separator-input", 1e-12)  # hears nothing
    deck = changed(simulation(late, made, "input-1", Conditions(picture=0.0)), "red/picture", {"high_v": 0.0})
    deck = replace(deck, starts={**deck.starts, "RED_PIN": 0.5})
    volts = trace(without_cables(deck), "RED_PIN", 8 * line_standards(made)[0].line_period_s, 0.1e-6)
    assert volts(active_from(made, 6)) > 0.4
