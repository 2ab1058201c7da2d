"""Figures of a line against closed forms: level, load, bandwidth, corner, delay, what the solver refuses."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from making import examined, template
from rasterport import parts
from rasterport.analysis.draws import Draw, SampleDraw
from rasterport.analysis.lines import Line, coupling_of, loss_db
from rasterport.analysis.nodal import GROUND, Element
from rasterport.analysis.setup import Setup
from rasterport.circuit import compose
from rasterport.records import Placed

NOMINAL = Draw({})


def split_line(upper: float, lower: float, stray: float, spreads: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Line:
    """A -upper- B, lower and stray from B to ground."""
    elements = (
        Element("lower", "R", "B", GROUND, lower, spreads[0]),
        Element("stray", "C", "B", GROUND, stray, spreads[1]),
        Element("upper", "R", "A", "B", upper, spreads[2]),
    )
    return Line("A", "B", elements)


def test_level_bandwidth_and_drive_of_a_split_line() -> None:
    """Thevenin: 75 + 25 ohm beside 50 ohm are 33.3 ohm; V = 1.4 x 50/150; f = 1 / (2 pi R C)."""
    line = split_line(25.0, 50.0, 20e-12)
    assert 1.4 * line.level(NOMINAL, 1e3) == pytest.approx(1.4 / 3)
    assert line.load_ohm(NOMINAL, 1e3) == pytest.approx(75.0)
    assert line.upper_hz(NOMINAL) == pytest.approx(1 / (2 * math.pi * 100 / 3 * 20e-12), rel=1e-5)


@given(st.floats(1.0, 1e3), st.floats(10.0, 1e5), st.floats(1e-12, 1e-9), st.floats(1e-12, 1e-9))
def test_the_frequency_found_is_three_decibels_down(upper: float, lower: float, stray: float, more: float) -> None:
    """Two time constants bend the attenuation: the search must still end on the point."""
    elements = (*split_line(upper, lower, stray).elements, Element("more", "C", "A", GROUND, more))
    line = Line("A", "B", elements)
    hertz = float(line.upper_hz(NOMINAL))
    reached = line.level(NOMINAL, hertz) / line.level(NOMINAL, 100e3)
    assert 20 * math.log10(reached) == pytest.approx(-3.0103, abs=1e-3) or hertz == pytest.approx(1e9)


def test_low_corner_of_a_capacitor() -> None:
    """1 / (2 pi (R_source + R_load) C)."""
    line = Line("A", "B", (Element("c", "C", "A", "B", 1e-6), Element("r", "R", "B", GROUND, 10e3)))
    assert line.lower_hz(NOMINAL, 1000.0) == pytest.approx(1 / (2 * math.pi * 11e3 * 1e-6), rel=1e-3)


def test_a_line_without_a_capacitor_has_no_low_corner() -> None:
    line = Line("A", "B", (Element("s", "R", "A", "B", 100.0), Element("r", "R", "B", GROUND, 10e3)))
    assert line.lower_hz(NOMINAL, 1.0) == pytest.approx(0.01)
    assert line.upper_hz(NOMINAL, 1.0) == pytest.approx(1e9)


def test_delay_of_a_low_pass() -> None:
    """Far below its corner the phase delay is R C: 37.5 ohm and 100 pF are 3.75 ns."""
    line = Line("A", "A", (Element("r", "R", "A", GROUND, 75.0), Element("c", "C", "A", GROUND, 100e-12)))
    assert line.delay_s(NOMINAL, 1e4) == pytest.approx(3.75e-9, rel=1e-3)


def test_boards_have_frequencies_of_their_own() -> None:
    """Each board of a batch is searched by itself, to the same result as alone."""
    line = split_line(25.0, 50.0, 50e-12, (0.1, 0.2, 0.1))
    places = {"lower": [-1.0, 0.3, 1.0], "stray": [0.5, -1.0, 1.0], "upper": [1.0, 0.0, -1.0]}
    together = line.upper_hz(Draw({n: np.array(v) for n, v in places.items()}))
    for k in range(3):
        assert together[k] == pytest.approx(float(line.upper_hz(Draw({n: v[k] for n, v in places.items()}))), rel=1e-5)


def test_several_frequencies_are_one_axis() -> None:
    line, draw = split_line(25.0, 50.0, 50e-12, (0.1, 0.2, 0.1)), SampleDraw(1, 0, 7)
    hertz = (1e5, 1e6, 5e6)
    _, landing = line.volts(draw, hertz)
    assert landing.shape == (3, 7)
    for n, one in enumerate(hertz):
        np.testing.assert_allclose(landing[n], line.volts(draw, one)[1], rtol=1e-12)


def test_return_loss_is_capped_where_nobody_can_tell_more() -> None:
    assert loss_db(0.5) == 60.0
    assert loss_db(0.5 * (1 + 2e-3)) == pytest.approx(20 * math.log10(500), rel=1e-6)


def test_lines_that_are_alike_share_a_signature_and_others_do_not() -> None:
    one = split_line(25.0, 50.0, 20e-12)
    renamed = Line("X", "Y", tuple(
        replace(e, first={"A": "X", "B": "Y"}[e.first], second={"B": "Y"}.get(e.second, e.second)) for e in one.elements
    ))  # fmt: skip
    assert renamed.signature == one.signature
    assert split_line(25.0, 51.0, 20e-12).signature != one.signature
    backwards = Line("B", "A", one.elements)
    assert backwards.signature != one.signature


def test_states_are_an_axis_of_the_values() -> None:
    """A contact that is closed in one state and open in the other: both states in one solution."""
    elements = (Element("make", "R", "A", "B", 0.1), Element("load", "R", "B", GROUND, 75.0))
    line = Line("A", "B", elements)
    closed_open = np.array([0.1, 1e12])
    volts = line.network.solve({"A": 1 / 75.0}, 0.0, None, (closed_open, 75.0, 75.0))
    np.testing.assert_allclose(volts["B"], [75.0 / 150.1, 75.0 / 1e12], rtol=1e-3)


def test_the_analysis_reads_the_netlist_and_not_the_design() -> None:
    """The level that the circuit of kestrel gives, worked out by hand from its own resistor."""
    _, findings = examined(template("kestrel"))
    message = next(f.message for f in findings if f.code == "F202" and f.subject == "red")
    load = 1 / (1 / 75 + 1 / 1e6)
    assert float(message.split()[1]) == pytest.approx(1.4 * load / (75 + load), abs=2e-4)


def test_a_summed_channel_is_loaded_by_the_other_at_zero() -> None:
    """Wren: series + (series || shunt || landing || bleed), everything at its least but for the landing's 20 %."""
    circuit, findings = examined(template("wren"))
    found = next(f.measured for f in findings if f.code == "F604")
    series = circuit.by_role("input-1/audio-left/series").value_si or 0.0
    foot = [series, 22e3 * 0.8, 100e3]
    if circuit.has("input-1/audio-left/shunt"):
        foot.append(circuit.by_role("input-1/audio-left/shunt").value_si or 0.0)
    assert found == pytest.approx(series + 1 / sum(1 / ohm for ohm in foot), rel=0.016)


class TestRefused:
    """A part of the control on a net of a signal line: the solver says so by name."""

    def with_a(self, kind: str) -> Setup:
        made = template("kestrel")
        circuit = compose(made)
        row = parts.diode("flyback", "smd") if kind == "diode" else parts.transistor("npn", "smd")
        nets = {
            pin.number: {"A": GROUND, "K": "IN1_RED", "C": "IN1_RED", "E": GROUND}.get(pin.name) for pin in row.pins
        }
        extra = Placed("input-1/red/intruder", "D99", row, row.name, nets, "a mistake")
        parts_now = tuple(sorted((*circuit.parts, extra), key=lambda p: p.role))
        return Setup(made, replace(circuit, parts=parts_now))

    @pytest.mark.parametrize(("kind", "name"), [("diode", "1N4148W"), ("transistor", "BC847B")])
    def test_names_the_part_and_the_net(self, kind: str, name: str) -> None:
        setup = self.with_a(kind)
        line = setup.line("red", "red")
        assert line is not None
        assert line.refused == f"D99 (input-1/red/intruder, {name}) stands on IN1_RED"
        assert "red" not in setup.colours()
        assert {"green", "blue"} == set(setup.colours())

    def test_a_clamp_is_a_small_capacitor(self) -> None:
        setup = Setup(template("heron"), compose(template("heron")))
        line = setup.line("red", "red")
        assert line is not None and line.refused == ""
        assert [e.role for e in line.elements if e.value == 3.5e-12] == ["input-1/red/clamp"]

    def test_a_line_may_begin_at_an_output(self) -> None:
        """Osprey: sync is driven by an inverter, whose input stands on the contact."""
        setup = Setup(template("osprey"), compose(template("osprey")))
        contact = setup.line("sync", "sync")
        assert contact is not None and contact.refused.startswith("U")
        chip = setup.circuit.by_role("input-1/sync/buffer")
        outputs = {chip.nets[pin.number] for pin in chip.part.pins if pin.kind == "output"}
        driven = [setup.between(str(net), str(setup.circuit.landing_net("sync"))) for net in outputs if net]
        assert any(line.joined and not line.refused for line in driven)


def test_the_coupling_of_a_line_is_what_blocks_direct_voltage() -> None:
    setup = Setup(template("heron"), compose(template("heron")))
    line = setup.line("red", "red")
    assert line is not None
    assert [e.role for e in coupling_of(line)] == ["red/coupling"]
