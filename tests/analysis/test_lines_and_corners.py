"""Corners by enumeration, and the figures of a line against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from making import examined, template, variant
from rasterport.analysis.blanking import active_range, idle
from rasterport.analysis.control import Control, held_range, net_at
from rasterport.analysis.corners import MOST_FREE, enumerate_corners
from rasterport.analysis.hull import sources, span_of
from rasterport.analysis.lines import Line, bandwidth_hz, level, load_ohm, loss, low_corner_hz, node_ohm
from rasterport.analysis.network import contact_nets, elements_of
from rasterport.analysis.nodal import GROUND, Element
from rasterport.analysis.stages import high_side, reader
from rasterport.circuit import compose
from rasterport.design.termination import return_loss_db

SPREADS = st.floats(0.0, 0.2)


def split_line(upper: float, lower: float, stray: float, spreads: tuple[float, float, float]) -> Line:
    """A -upper- B, lower and stray from B to ground."""
    elements = (
        Element("lower", "R", "B", GROUND, lower, spreads[0]),
        Element("stray", "C", "B", GROUND, stray, spreads[1]),
        Element("upper", "R", "A", "B", upper, spreads[2]),
    )
    return Line("A", "B", elements)


@settings(deadline=None)
@given(
    st.floats(5.0, 50.0), st.floats(20.0, 200.0), st.floats(1e-12, 1e-10), st.tuples(SPREADS, SPREADS, SPREADS),
    st.tuples(*[st.floats(-1.0, 1.0)] * 3),
)  # fmt: skip
def test_corners_of_a_level_hold_random_samples(
    upper: float, lower: float, stray: float, spreads: tuple[float, float, float], at: tuple[float, float, float]
) -> None:
    line = split_line(upper, lower, stray, spreads)
    found = level(line, 1.4, 75.0, 5e6)
    values = [e.value * (1 + e.spread * a) for e, a in zip(line.elements, at, strict=True)]
    sampled = tuple(replace(e, value=v, spread=0.0) for e, v in zip(line.elements, values, strict=True))
    one = level(replace(line, elements=sampled), 1.4, 75.0, 5e6).nominal
    assert found.low * (1 - 1e-9) <= one <= found.high * (1 + 1e-9)
    assert found.low <= found.nominal <= found.high


def test_corners_say_where_they_lie() -> None:
    elements = (Element("a", "R", "X", GROUND, 10.0, 0.1), Element("b", "R", "X", GROUND, 20.0))
    found = enumerate_corners(elements, lambda v: v[0] + v[1])
    assert (found.low, found.nominal, found.high) == (29.0, 30.0, 31.0)
    assert (found.low_corner, found.high_corner) == ("a -", "a +")
    assert found.low_values == (9.0, 20.0)


def test_return_loss_bends_at_75_ohm() -> None:
    """The best of the three lies in the middle, so neither end of the resistor may be skipped."""
    line = Line("A", "A", (Element("r", "R", "A", GROUND, 75.0, 0.05),))
    found = loss(line, 1e6)
    assert found.nominal > found.high or found.high == 200.0
    assert found.low == pytest.approx(return_loss_db(71.25), abs=1e-6)


def test_too_many_elements_are_refused() -> None:
    elements = tuple(Element(str(k), "R", "A", GROUND, 1.0, 0.01) for k in range(MOST_FREE + 1))
    with pytest.raises(ValueError, match="11 elements with a spread, at most 10"):
        enumerate_corners(elements, sum)


def test_level_bandwidth_and_drive_of_a_split_line() -> None:
    """Thevenin: 75 + 25 ohm beside 50 ohm are 33.3 ohm; V = 1.4 x 50/150; f = 1 / (2 pi R C)."""
    line = split_line(25.0, 50.0, 20e-12, (0.0, 0.0, 0.0))
    assert level(line, 1.4, 75.0, 1e3).nominal == pytest.approx(1.4 / 3)
    assert load_ohm(line, 1e3).nominal == pytest.approx(75.0)
    assert node_ohm(line, 1e3) == pytest.approx(100 / 3)
    assert bandwidth_hz(line) == pytest.approx(1 / (2 * math.pi * 100 / 3 * 20e-12), rel=2e-3)


def test_low_corner_is_that_of_the_worst_capacitor() -> None:
    """1 / (2 pi (R_source + R_load) C), capacitor and load at their least."""
    elements = (Element("c", "C", "A", "B", 1e-6, 0.2), Element("r", "R", "B", GROUND, 10e3, 0.1))
    hertz, corner = low_corner_hz(Line("A", "B", elements), 1000.0)
    assert hertz == pytest.approx(1 / (2 * math.pi * (9e3 + 1e3) * 0.8e-6), rel=5e-3)
    assert corner == "c -, r -"


def test_a_line_without_a_capacitor_has_no_low_corner() -> None:
    line = Line("A", "B", (Element("s", "R", "A", "B", 100.0), Element("r", "R", "B", GROUND, 10e3)))
    assert low_corner_hz(line, 1.0)[0] == 0.01


def test_lines_that_are_alike_share_a_signature_and_others_do_not() -> None:
    one = split_line(25.0, 50.0, 20e-12, (0.0, 0.0, 0.0))
    renamed = Line("X", "Y", tuple(
        replace(e, first={"A": "X", "B": "Y"}[e.first], second={"B": "Y"}.get(e.second, e.second)) for e in one.elements
    ))  # fmt: skip
    assert renamed.signature() == one.signature()
    assert split_line(25.0, 51.0, 20e-12, (0.0, 0.0, 0.0)).signature() != one.signature()
    backwards = Line("B", "A", one.elements)
    assert backwards.signature() != one.signature()


class TestControl:
    """The control parts, by hand from the parts that the templates have."""

    def control(self, name: str) -> Control:
        made = template(name)
        return Control(compose(made), made)

    def test_supply_falls_by_what_the_element_costs(self) -> None:
        control = self.control("heron")
        feed = control.supply_range("RAIL")
        drawn = max(control.currents(s).rail_a for s in ("native", "input-1"))
        assert feed.low == pytest.approx(11.4 - 8.5 * drawn)
        assert feed.high == pytest.approx(12.6)
        assert control.supply_range("RAIL_TAP").low == pytest.approx(11.4)

    def test_current_of_a_switched_board_is_its_divider(self) -> None:
        """Kestrel: only the blanking divider hangs on the rail, both resistors low."""
        control = self.control("kestrel")
        ohm = [control.circuit.by_role(f"blanking/{n}").value_si or 0.0 for n in ("upper", "lower")]
        assert control.currents("native").rail_a == pytest.approx(5.25 / (ohm[0] + ohm[1] / 2) / (1 - 0.0145), rel=1e-4)

    def test_coils_are_counted_cold_and_low(self) -> None:
        """Wren: two coils of 144.6 ohm, 10 % low and 7.8 % less at 0 C, in series with 1 ohm for the driver."""
        control = self.control("wren")
        active, calm = control.currents("input-1").rail_a, control.currents("native").rail_a
        coils = 2 * 5.15 / (144.6 * 0.9 * (1 - 0.0039 * 20) + 1)
        assert active - calm == pytest.approx(coils, rel=0.03)
        assert active - calm > coils

    def test_the_stage_supplies_only_when_active(self) -> None:
        control = self.control("heron")
        assert "HIGH" in control.supplies and "HIGH" not in control.rails
        assert control.supplies["HIGH"].low == pytest.approx(control.supplies["RAIL"].low - 0.25)
        assert held_range(control, "HIGH", "native") is None

    def test_gates_see_the_whole_control_voltage(self) -> None:
        """The pull to ground stands in front of the series resistor, so the two do not divide."""
        control = self.control("wren")
        gate = held_range(control, net_at(control.circuit.by_role("stage/driver-1"), "G"), "input-1")
        assert gate is not None
        assert gate.low == pytest.approx(control.supplies["HIGH"].low)

    def test_blanking_range_holds_the_nominal_divider(self) -> None:
        control = self.control("kestrel")
        found = active_range(control)
        upper, lower = (control.circuit.by_role(f"blanking/{n}").value_si or 0.0 for n in ("upper", "lower"))
        nominal = 5.0 * (lower / 2) / (upper + lower / 2)
        assert found.low < nominal < found.high
        assert "rail low" in found.low_corner and "rail high" in found.high_corner

    def test_idle_pin_is_as_the_set_had_it(self) -> None:
        assert idle(self.control("kestrel")).grounded
        assert idle(self.control("plover")).native
        assert idle(self.control("wren")).roles == ()

    def test_stages_are_read_from_the_netlist(self) -> None:
        control = self.control("heron")
        sense, contact = control.circuit.by_role("input-1/status/sense"), "IN1_STATUS"
        found = reader(control, sense, contact)
        assert found is not None
        assert (found.series_ohm, found.base_ohm) == (1000.0, control.circuit.by_role("input-1/status/base").value_si)
        stage = high_side(control)
        assert stage is not None
        ohm = [control.circuit.by_role(f"blanking/{n}").value_si or 0.0 for n in ("upper", "lower")]
        assert stage.load_a == pytest.approx(12.6 / (ohm[0] + ohm[1] / 2))

    def test_an_unknown_pin_is_named(self) -> None:
        control = self.control("heron")
        with pytest.raises(LookupError, match="high-side/pass has no pin Z"):
            net_at(control.circuit.by_role("high-side/pass"), "Z")


class TestSpan:
    def test_a_pad_node_takes_what_the_source_gives(self) -> None:
        made = template("plover")
        circuit = compose(made)
        control = Control(circuit, made)
        driven = sources(control, contact_nets(circuit, made))
        peak = 2**0.5 * 2.0
        assert span_of(control, driven, "IN1_AUDIO_LEFT_PAD").high == pytest.approx(peak)
        assert span_of(control, driven, "IN1_AUDIO_LEFT_PAD").low == pytest.approx(-peak)
        assert span_of(control, driven, "RAIL").high == pytest.approx(9.45)
        assert span_of(control, driven, GROUND).high == 0

    def test_a_biased_landing_may_be_off(self) -> None:
        made = variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V"})
        circuit = compose(made)
        control = Control(circuit, made)
        span = span_of(control, sources(control, contact_nets(circuit, made)), "IN1_SYNC_BLOCKED")
        assert (span.low, span.high) == (0.0, pytest.approx(8.0))


def test_contacts_change_over_with_the_state() -> None:
    circuit = compose(template("kestrel"))
    native = {e.role: e for e in elements_of(circuit, "native") if e.role.startswith("panel/switch")}
    active = {e.role: e for e in elements_of(circuit, "input-1") if e.role.startswith("panel/switch")}
    assert set(native) == set(active) == {f"panel/switch/{n}" for n in range(1, 5)}
    assert {native["panel/switch/2"].first, native["panel/switch/2"].second} == {"SYNC_LANDING", "SYNC_NATIVE"}
    assert {active["panel/switch/2"].first, active["panel/switch/2"].second} == {"SYNC_LANDING", "IN1_SYNC"}


def test_the_analysis_reads_the_netlist_and_not_the_design() -> None:
    """The level that the circuit of kestrel gives, worked out by hand from its own resistor."""
    _, findings = examined(template("kestrel"))
    message = next(f.message for f in findings if f.code == "F202" and f.subject == "red")
    load = 1 / (1 / 75 + 1 / 100e3)
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
