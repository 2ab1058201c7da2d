"""The control parts and the span of nets, by hand from the parts that the templates have."""

from __future__ import annotations

import pytest

from making import active_range, several, template, variant, without
from rasterport.analysis.blanking import idle
from rasterport.analysis.control import Control, held_range, net_at
from rasterport.analysis.hull import sources, span_of
from rasterport.analysis.network import contact_nets
from rasterport.analysis.nodal import GROUND
from rasterport.analysis.stages import high_sides, reader
from rasterport.circuit import compose


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
        (stage,) = high_sides(control, net_at(sense, "C")) or ()
        assert stage.passing.role == "high-side/pass"
        ohm = [control.circuit.by_role(f"blanking/{n}").value_si or 0.0 for n in ("upper", "lower")]
        assert stage.load_a == pytest.approx(12.6 / (ohm[0] + ohm[1] / 2) / (1 - 0.0145))

    def test_a_call_in_a_chain_turns_on_its_own_stage_and_the_common_one(self) -> None:
        """Two inputs by relay: what is high while any calls, and what energises the relays of the input itself."""
        made = several(2, "relay", "status")
        control = Control(compose(made), made)
        for n in (1, 2):
            stages = high_sides(control, f"IN{n}_SENSE") or ()
            assert {s.passing.role for s in stages} == {"high-side/pass", f"select-{n}/pass"}
            assert all(0 < s.gain < 20 for s in stages)

    def test_a_stage_without_what_holds_its_base_off_is_none(self) -> None:
        made = template("heron")
        assert high_sides(Control(without(compose(made), "high-side/hold-off"), made), "IN1_SENSE") is None

    def test_a_stage_reads_its_line_through_what_lets_it_act(self) -> None:
        """Plover's emitters hang on the FET of its gate: ground while the gate line allows, open while it does not."""
        made = template("plover")
        circuit = compose(made)
        sense = circuit.by_role("input-1/status/sense")
        assert net_at(sense, "E") == net_at(circuit.by_role("gate/return"), "D") != GROUND
        assert reader(Control(circuit, made), sense, "IN1_STATUS") is not None
        assert reader(Control(without(circuit, "gate/return"), made), sense, "IN1_STATUS") is None

    def test_an_unknown_pin_is_named(self) -> None:
        control = self.control("heron")
        with pytest.raises(LookupError, match="high-side/pass has no pin Z"):
            net_at(control.circuit.by_role("high-side/pass"), "Z")


class TestSpan:
    def test_a_pad_node_takes_what_the_source_gives(self) -> None:
        made = template("plover")
        circuit = compose(made)
        control = Control(circuit, made)
        driven = sources(control, [(made.input[0], contact_nets(circuit, made))])
        peak = 2**0.5 * 2.0
        assert span_of(control, driven, "IN1_AUDIO_LEFT_PAD").high == pytest.approx(peak)
        assert span_of(control, driven, "IN1_AUDIO_LEFT_PAD").low == pytest.approx(-peak)
        assert span_of(control, driven, "RAIL").high == pytest.approx(9.45)
        assert span_of(control, driven, GROUND).high == 0

    def test_a_biased_landing_may_be_off(self) -> None:
        made = variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V"})
        circuit = compose(made)
        control = Control(circuit, made)
        span = span_of(control, sources(control, [(made.input[0], contact_nets(circuit, made))]), "IN1_SYNC_BLOCKED")
        assert (span.low, span.high) == (0.0, pytest.approx(8.0))


def test_contacts_change_over_with_the_state() -> None:
    made = template("kestrel")
    control = Control(compose(made), made)
    native = {e.role: e for e in control.elements("native") if e.role.startswith("panel/switch")}
    active = {e.role: e for e in control.elements("input-1") if e.role.startswith("panel/switch")}
    assert set(native) == set(active) == {f"panel/switch/{n}" for n in range(1, 5)}
    assert {native["panel/switch/2"].first, native["panel/switch/2"].second} == {"SYNC_LANDING", "SYNC_NATIVE"}
    assert {active["panel/switch/2"].first, active["panel/switch/2"].second} == {"SYNC_LANDING", "IN1_SYNC"}
