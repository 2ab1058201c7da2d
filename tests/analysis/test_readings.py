"""What to read at the bench: complete, in order, from the circuit, and never a promise that a meter cannot keep."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache

import pytest

from making import TEMPLATE_NAMES, template
from places import TEMPLATES
from rasterport.analysis.bench_feeds import CELLS, cell_between, limit_a, stand_ins
from rasterport.analysis.control import Control
from rasterport.analysis.meter import METER, METER_A, METER_AC, METER_V, SCOPE, as_shown, step
from rasterport.analysis.network import chosen, states_of
from rasterport.analysis.nodal import GROUND, Element, Network, reach
from rasterport.analysis.ohm_readings import MOVED, THROUGH_OHM, UNMOVED, OhmReadings
from rasterport.analysis.ohms import METER_MOST_OHM, Ohms, chips, hung, resistors
from rasterport.analysis.points import GROUNDS, contacts, landings
from rasterport.analysis.readings import STAGES, readings
from rasterport.analysis.setup import Setup
from rasterport.circuit import compose
from rasterport.records import OPEN_LEAST_OHM, Circuit, Reading
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import written
from rasterport.variant.models import Variant
from slips import Slip, gone, net, scaled, shorted, swapped, value

INSTRUMENTS = {METER, METER_V, METER_A, METER_AC, SCOPE}
METERS = {METER, METER_V, METER_A}


@cache
def of(name: str) -> tuple[Variant, Circuit, dict[str, Reading]]:
    variant = template(name)
    circuit = compose(variant)
    return variant, circuit, {r.key: r for r in readings(Setup(variant, circuit))}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_reading_is_one_that_a_person_can_take(name: str) -> None:
    _, circuit, every = of(name)
    refs = {p.ref for p in circuit.parts}
    for r in every.values():
        assert re.fullmatch(r"[a-z0-9/.-]+", r.key), r.key
        assert r.stage in STAGES and r.key.startswith(r.stage + "/")
        assert math.isfinite(r.low) and r.low <= r.nominal <= r.high, r
        assert math.isfinite(r.high) or (r.unit == "ohm" and r.low > 0), r
        assert r.instrument in INSTRUMENTS and r.unit == {METER: "ohm", METER_A: "A"}.get(r.instrument, "V")
        assert r.title and r.red and r.black and r.red != r.black
        assert (r.low_means or r.high_means) and set(r.refs) <= refs and r.source
        if r.unit == "ohm":  # a meter shows nothing below 0 and nothing above open
            assert (bool(r.low_means), bool(r.high_means)) == (r.low > 0, math.isfinite(r.high)), r
        assert "nothing" not in r.low_means + r.high_means
        assert not re.search(r" , |: ;|: $|None|\{", " ".join((r.low_means, r.high_means, r.feed, r.title))), r
        assert r.feed or r.unit == "ohm"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_only_what_the_board_has_is_suspected(name: str) -> None:
    """References are of this board; relays, chips and ends to turn round only where it has them."""
    variant, circuit, every = of(name)
    rail = OhmReadings(Control(circuit, variant), False).ohms("native").between("RAIL_TAP", GROUND).nets
    for ref in re.findall(r"\b[A-Z]+[0-9]+\b", every["alone/rail-ground"].low_means):
        assert next(set(p.nets.values()) for p in circuit.parts if p.ref == ref) & rail, ref
    letters = {p.ref: p.part.letter for p in circuit.parts}
    ends = any({"+", "K"} & {pin.name for pin in p.part.pins} for p in circuit.parts)
    stages = {p.role.rpartition("/")[0] for p in circuit.parts if p.part.letter == "K"}
    for r in every.values():
        told = f"{r.low_means}; {r.high_means}"
        assert set(re.findall(r"\b[A-Z]{1,3}[0-9]+\b", told)) <= set(letters) | {"S1"}, told
        assert "relay stages" not in told or len(stages) > 1
        assert "turned round" not in told or ends or set(letters.values()) & {"D", "Q", "U"}
    _, _, kestrel = of("kestrel")
    assert "relay" not in kestrel["alone/native/rail-current"].high_means
    assert "chip" not in kestrel["alone/rail-ground"].low_means


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_what_decides_comes_first_in_its_state_and_the_state_says_how_it_is_reached(name: str) -> None:
    _, circuit, every = of(name)
    switch = next((p.ref for p in circuit.parts if p.part.letter == "S"), "")
    for stage in STAGES:
        for state in dict.fromkeys(r.state for r in every.values()):
            some = [r for r in every.values() if r.stage == stage and r.state == state and r.unit != "ohm"]
            assert [r.decides for r in some] == sorted((r.decides for r in some), reverse=True)
    throws = [r for r in every.values() if r.state and f"{switch} at" in r.feed]
    if switch:
        assert throws == [r for r in every.values() if r.state], "resistances too"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_readings_have_the_digits_of_a_meter_and_lose_nothing(name: str) -> None:
    """Limits are rounded outwards to what 2000 counts show."""
    variant, circuit, every = of(name)
    made = Control(circuit, variant)
    exact = {r.key: r for joined in (False, True) for r in OhmReadings(made, joined).all()}
    assert set(exact) < set(every)
    for key, r in every.items():
        for told in (v for v in (r.low, r.nominal, r.high) if math.isfinite(v) and v):
            size = step(told, r.unit, r.instrument)
            assert told / size == pytest.approx(round(told / size), abs=1e-6) and abs(told) / size <= 2000.1
        if key in exact:
            wide = step(max(r.low, exact[key].low), "ohm") * 1.001
            assert exact[key].low - wide <= r.low <= exact[key].low * (1 + 1e-6)
            assert math.isinf(r.high) or exact[key].high * (1 - 1e-6) <= r.high <= exact[key].high * 1.011 + 0.101


def test_steps_of_a_meter() -> None:
    """2000 counts: 1.999 and 19.99 V, 199.9 ohm and 1999 ohm, 1.999 mA; a screen to 10 mV."""
    assert [step(v, "V") for v in (0.05, 1.999, 2.0, 12.0, 20.0)] == [1e-3, 1e-3, 1e-2, 1e-2, 0.1]
    assert [step(v, "ohm") for v in (0.1, 199.9, 200.0, 2805.0, 1e6)] == [0.1, 0.1, 1.0, 10.0, 1000.0]
    assert [step(v, "A") for v in (1e-5, 1.999e-3, 2e-3, 0.05)] == [1e-6, 1e-6, 1e-5, 1e-4]
    assert step(0.7, "V", SCOPE) == 1e-2


@pytest.mark.parametrize("share", [1 - 1e-15, 1.0, 1 + 1e-15])
def test_last_bits_of_a_value_do_not_show(share: float) -> None:
    """On a step and in the middle of two steps, as a cell of 1.425 V over two resistors is."""
    r = replace(of("kestrel")[2]["powered/native/rail-ground"], nominal=0.7125 * share)
    found = as_shown(replace(r, low=0.577 * share, high=2.0 * share))
    assert (found.low, found.nominal, found.high) == (0.577, 0.713, 2.0)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_stages_come_in_the_order_of_the_work(name: str) -> None:
    _, _, every = of(name)
    order = list(dict.fromkeys(r.stage for r in every.values()))
    assert order == list(STAGES)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_contact_and_landing_is_read_to_ground_alone_and_joined(name: str) -> None:
    variant, circuit, every = of(name)
    points = [p for key, p in landings(circuit).items() if key not in ("ground", "rail")]
    for n in range(1, len(variant.input) + 1):
        points += contacts(circuit, variant, n).values()
    assert len(points) >= 8
    for point in points:
        for stage in ("alone", "joined") if point.name not in GROUNDS else ("alone",):
            found = [
                r for r in every.values() if r.stage == stage and r.unit == "ohm" and point.words in (r.red, r.black)
            ]
            assert any(f"{point.name}-ground" in r.key for r in found), (stage, point.name)
    assert {"alone/rail-ground", "joined/rail-ground", "joined/chassis-ground"} <= set(every)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_what_decides_needs_a_multimeter_only(name: str) -> None:
    _, _, every = of(name)
    for stage in STAGES:
        deciding = [r for r in every.values() if r.stage == stage and r.decides]
        assert len(deciding) >= 2 and {r.instrument for r in deciding} <= METERS
    # Before any power: returns and no short; at first power: the current; before it stays in the set: the pin.
    assert every["alone/rail-ground"].decides and every["alone/native/rail-current"].decides
    assert every["joined/native/blanking-ground"].decides and every["powered/native/blanking-ground"].decides


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_each_state_says_what_to_feed_and_where_blanking_stands(name: str) -> None:
    variant, _, every = of(name)
    pin = variant.set.blanking
    for state in states_of(variant):
        for key in (f"alone/{state}/blanking-ground-volt", f"powered/{state}/blanking-ground"):
            r = every[key]
            assert r.feed and r.state == state
            if state == "native":
                assert r.nominal < pin.off_below
            else:
                assert pin.on_above < r.low < r.high < pin.maximum, r


def test_terminations_read_75_ohm_and_doubled_ones_are_told() -> None:
    """75 ohm of 1 % and 100 ppm/K over 45 K: 73.91 to 76.09; meter and leads 1 % and 0.5 ohm."""
    _, _, every = of("kestrel")
    for function in ("red", "green", "blue", "sync"):
        r = every[f"alone/native/input-1.{function}-ground"]
        assert r.nominal == pytest.approx(75.0, abs=0.01)
        assert 0 <= 75 * (1 - 0.0145) * 0.99 - 0.5 - r.low <= 0.1, "outwards, to the digits of a meter"
        assert 0 <= r.high - 75 * (1 + 0.0145) * 1.01 - 0.5 <= 0.1
        assert "37.5" in r.low_means
    assert "R101" in every["alone/native/input-1.red-ground"].high_means
    assert every["alone/native/input-1.red-ground"].red == "contact 15 of J101 (red)"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_termination_of_the_set_is_told_where_it_shows_and_nowhere_else(name: str) -> None:
    """With 75 ohm at a landing the whole network is solved again: a reading names them where it leaves its limits."""
    variant, circuit, _ = of(name)
    made, told = Control(circuit, variant), 0
    right = {r.key: r for r in OhmReadings(made, True).all()}
    for line in ("red", "green", "blue", "sync"):
        with_set = OhmReadings(made, True)
        with_set._around = (*with_set._around, Element("another", "R", with_set.lands[line].net, GROUND, 75.0))
        wrong = {r.key: r for r in with_set.all()}
        for key, r in right.items():
            if not re.search(rf"[/.]{line}-ground$", key) or (line == "sync" and with_set.as_found("native")):
                continue
            names = "the set terminates this line" in r.low_means or "another termination on this" in r.low_means
            assert names == (wrong[key].nominal < r.low), key
            told += names
    assert told >= 3


def test_a_capacitor_hides_the_set_s_termination_from_the_contact() -> None:
    _, _, kestrel = of("kestrel")
    assert "the set terminates" not in kestrel["joined/native/input-1.red-ground"].low_means
    assert "near 75 Ω: the set terminates this line" in kestrel["joined/native/red-ground"].low_means
    _, _, wren = of("wren")
    assert "near 37.5 Ω: the set terminates this line" in wren["joined/native/input-1.red-ground"].low_means


def test_a_termination_that_was_not_moved_is_named_first() -> None:
    """The commonest mistake: with the set's 75 ohm still at the landing its native side is open."""
    variant, circuit, every = of("kestrel")
    r = every["joined/input-1/sync-sync-native"]
    assert r.high_means.startswith(UNMOVED) and r.nominal == pytest.approx(150.1)
    landing = every["joined/input-1/sync-ground"]
    assert landing.low_means.startswith(f"{UNMOVED}: reads 37.5")
    made = OhmReadings(Control(circuit, variant), True)
    assert any(e.role == MOVED for e in made._around)
    assert UNMOVED not in " ".join(r.high_means for r in of("heron")[2].values())


def test_ground_wires_are_read_one_by_one_with_the_plug_pulled() -> None:
    """On the board all grounds are one copper: J1 pin 2 against pin 1 says nothing of a wire."""
    _, _, every = of("kestrel")
    assert {f"joined/{name}-chassis" for name in ("ground", "ground-2", "ground-3", "screens")} <= set(every)
    assert not {f"joined/{name}-ground" for name in GROUNDS} & set(every)
    assert all("plug of J1 pulled off" in every[f"joined/{name}-chassis"].feed for name in ("ground", "screens"))
    assert every["joined/screens-chassis"].nominal == math.inf and every["joined/ground-2-chassis"].high <= THROUGH_OHM
    assert not any("plug o" in r.feed + r.title for r in of("wren")[2].values()), "pads have no plug"


def test_a_collector_is_suspected_of_what_it_can_do() -> None:
    """A PNP at the rail pulls up when it conducts, an NPN pulls down; only the other way can be wrong."""
    _, _, every = of("heron")
    for state, key, side, word in (
        ("native", "high-side.pass.c", "high", "conducts when it should not"),
        ("input-1", "high-side.pass.c", "low", "does not conduct"),
        ("native", "input-1.status.sense.c", "low", "conducts when it should not"),
        ("input-1", "input-1.status.sense.c", "high", "does not conduct"),
    ):
        r = every[f"alone/{state}/{key}-ground-volt"]
        right, other = (r.high_means, r.low_means) if side == "high" else (r.low_means, r.high_means)
        assert word in right and other == "", r


def test_a_rail_s_test_point_is_named_for_what_stands_on_it() -> None:
    for name, called, volts in (
        ("kestrel", "TP3 (rail)", 5.0),
        ("heron", "TP3 (rail)", 12.0),
        ("osprey", "TP3 (5 V)", 5.0),
    ):
        _, _, every = of(name)
        (r,) = (r for r in every.values() if r.red.startswith("TP3") and r.key.startswith("alone/native"))
        assert r.red == called and r.nominal == pytest.approx(volts, rel=0.01)


def test_a_logic_sync_is_no_line_of_75_ohm() -> None:
    _, _, every = of("osprey")
    at_contact = every["alone/input-1/input-1.sync-at-contact-ground-volt"]
    assert "does not belong" in at_contact.low_means and "not terminated" not in at_contact.high_means
    landing = every["powered/input-1/sync-ground"]
    assert "pulses" in landing.title and "U101" in landing.low_means
    assert "twice" not in landing.low_means + landing.high_means
    _, _, kestrel = of("kestrel")
    assert "twice" in kestrel["powered/input-1/sync-ground"].low_means


def test_one_loop_is_one_model() -> None:
    """Kestrel's rail over its resistance is its current, and the current drops the rest across F1."""
    variant, circuit, every = of("kestrel")
    ohm = OhmReadings(Control(circuit, variant), False).ohms("native").between("RAIL_TAP", GROUND).nominal
    amps = every["alone/native/rail-current"].nominal
    assert amps == pytest.approx(variant.set.supply.voltage / ohm, abs=0.6e-6)


def test_a_cell_is_read_by_itself_first() -> None:
    _, _, every = of("kestrel")
    r = every["alone/input-1/input-1.red-at-contact-ground-volt"]
    assert r.feed.endswith("measure the cell by itself first") and r.title.endswith("0.5 of the cell")
    assert r.feed == every["alone/input-1/input-1.sync-at-landing-ground-volt"].feed, "one feed for all of them"


def test_a_termination_that_stays_in_the_set_shows_once_the_board_is_joined() -> None:
    """Heron's line input keeps its 75 ohm: the contact is open on the bench and 75 ohm in the set."""
    _, _, every = of("heron")
    assert every["alone/native/input-1.sync-ground"].nominal == math.inf
    assert every["joined/native/input-1.sync-ground"].nominal == pytest.approx(75.0, abs=0.1)
    assert "75 " in every["alone/native/rail-ground-volt"].feed


def test_what_a_capacitor_parts_is_open_and_what_a_switch_joins_is_not() -> None:
    _, _, every = of("kestrel")
    assert every["alone/native/input-1.red-red"].nominal == math.inf
    assert every["alone/native/input-1.red-red"].low == pytest.approx(OPEN_LEAST_OHM)
    assert every["alone/native/sync-sync-native"].high <= THROUGH_OHM
    assert every["alone/input-1/sync-sync-native"].nominal == math.inf
    assert every["alone/input-1/input-1.sync-sync"].high <= THROUGH_OHM


SLIPS: dict[str, tuple[str, Slip, str, str]] = {
    "termination of half the value": (
        "kestrel", value("input-1/red/termination", 37.4), "alone/native/input-1.red-ground", "low"),
    "termination missing": ("kestrel", gone("input-1/green/termination"), "alone/native/input-1.green-ground", "high"),
    "colour lines bridged": ("kestrel", shorted("IN1_RED", "IN1_GREEN"), "alone/native/input-1.red-ground", "low"),
    "coupling capacitor bridged": ("kestrel", shorted("RED_PIN", "IN1_RED"), "alone/native/red-ground", "low"),
    "lower resistors of blanking": (
        "kestrel", scaled("blanking/lower", 10.0), "alone/input-1/blanking-ground-volt", "high"),
    "the same, in the set": ("kestrel", scaled("blanking/lower", 10.0), "powered/input-1/blanking-ground", "high"),
    "a wrong return": (
        "kestrel", net("input-1/socket", "red-return", "IN1_RED"), "alone/input-1.returns-ground", "high"),
    "rail on a contact": (
        "kestrel", shorted("IN1_AUDIO_LEFT", "RAIL"), "powered/native/input-1.audio-left-ground", "high"),
    "dropper of a coil": ("plover", scaled("stage/dropper-1", 3.0), "alone/input-1/stage.relay-1.coil-volt", "low"),
    "switch wired the wrong way round": (
        "ouzel", swapped("panel/switch", "a-2", "b-2"), "alone/native/sync-sync-native", "high"),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_the_circuit_takes_its_reading_out_of_the_limits(slip: str) -> None:
    """What a meter would show of the board with the slip, against the limits of the board as it should be."""
    name, made, key, way = SLIPS[slip]
    variant, circuit, every = of(name)
    bad = made(circuit)
    assert bad != circuit
    wrong = {r.key: r for r in readings(Setup(variant, bad))}[key]
    if way == "low":
        assert wrong.nominal < every[key].low
    else:
        assert wrong.nominal > every[key].high


@pytest.mark.parametrize("name", ["kestrel", "plover", "redstart", "wren"])
@pytest.mark.parametrize("joined", [False, True])
def test_one_matrix_says_what_the_solver_says(name: str, joined: bool) -> None:
    """Every net to ground: the matrix against star-mesh elimination, at nominal, lowest and highest values."""
    variant, circuit, _ = of(name)
    made = Control(circuit, variant)
    board = resistors(circuit, made.elements("native", powered=False))
    elements = (*board, *(hung(circuit, variant) if joined else ()), *chips(circuit))
    ohms = Ohms(elements)
    nets = sorted({n for e in elements for n in (e.first, e.second)} - {GROUND})
    count = 0
    for where in nets:
        part, found = reach(elements, where), ohms.between(where, GROUND)
        for values, ours in (
            ([e.value for e in part], found.nominal),
            ([e.low for e in part], found.low),
            ([e.high for e in part], found.high),
        ):
            theirs = Network(part, (), (where,)).solve({where: 1.0}, 0.0, None, values)[where]
            if theirs > METER_MOST_OHM:
                assert ours > METER_MOST_OHM
            else:
                assert ours == pytest.approx(theirs, rel=1e-6)
                count += 1
    assert count >= 9


def test_opened_and_bridged_parts_by_hand() -> None:
    """A to ground: 100 ohm beside 200 and 300 ohm in series, 83.33 ohm."""
    ohms = Ohms(
        [
            Element("a", "R", "A", GROUND, 100.0),
            Element("b", "R", "A", "B", 200.0),
            Element("c", "R", "B", GROUND, 300.0),
        ]
    )
    found = ohms.between("A", GROUND)
    assert found.nominal == pytest.approx(500 / 6)
    assert found.opened == {k: pytest.approx(v) for k, v in {"a": 500.0, "b": 100.0, "c": 100.0}.items()}
    assert found.shorted == {k: pytest.approx(v, abs=1e-9) for k, v in {"a": 0.0, "b": 75.0, "c": 200 / 3}.items()}
    assert ohms.between("A", "B").nominal == pytest.approx(200 * 400 / 600)
    assert ohms.between("A", "nowhere").nominal > METER_MOST_OHM


def test_a_junction_lowers_a_reading_in_its_own_direction_only() -> None:
    """1 kohm, 3.9 kohm to ground, a base beside the latter: between 1 kohm and 4.9 kohm with red at the line."""
    parts = [Element("series", "R", "LINE", "BASE", 1000.0), Element("foot", "R", "BASE", GROUND, 3900.0)]
    ohms = Ohms(parts, [("BASE", GROUND)])
    forward, backward = ohms.between("LINE", GROUND), ohms.between(GROUND, "LINE")
    assert (forward.nominal, backward.nominal) == (pytest.approx(4900.0), pytest.approx(4900.0))
    assert forward.low == pytest.approx(1000.1, abs=0.01) and backward.low == pytest.approx(4900.0)
    leaky = Ohms(parts, [("BASE", GROUND)], {("BASE", GROUND): 39e3})
    assert leaky.between(GROUND, "LINE").low == pytest.approx(1000 + 3900 * 10 / 11, rel=1e-6)


def test_leads_are_turned_round_where_a_junction_is_in_the_way() -> None:
    """Contact 16 of heron leads to a base: the black lead on it leaves the junction shut."""
    _, _, every = of("heron")
    r = every["alone/native/input-1.status-16-ground"]
    assert "contact 16" in r.black
    assert r.nominal == pytest.approx(1 / (1 / 75 + 1 / (1000 + 4300)), rel=1e-3)
    assert r.high - r.low < 0.08 * r.nominal


def test_cells_keep_within_the_levels_of_the_contacts() -> None:
    for levels in STATUS_LEVELS.values():
        cell = cell_between(levels.on_least_v, levels.on_most_v)
        assert cell is not None
        assert levels.on_least_v <= cell[1].low < cell[1].high <= levels.on_most_v
    assert cell_between(1.0, 1.1) is None
    assert [r.low for _, r in CELLS] == sorted(r.low for _, r in CELLS)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_supply_s_limit_lets_the_board_work_and_stand_ins_stay_cool(name: str) -> None:
    variant, circuit, every = of(name)
    made = Control(circuit, variant)
    most = max(every[f"alone/{state}/rail-current"].high for state in states_of(variant))
    limit = limit_a(made)
    assert most < limit <= max(3 * most, 0.05) and limit * 100 == pytest.approx(round(limit * 100))
    assert written(limit, "A") in every["alone/native/rail-current"].feed
    assert all(s.watts <= 0.25 for s in stand_ins(made)), stand_ins(made)


def test_a_display_s_blanking_is_stood_in_for() -> None:
    """Redstart's is at ground through its 100 ohm, dotterel's open collector at 5 V through its pull-up of 4.7 kohm."""
    for name, ohm in (("redstart", 100.0), ("dotterel", 4700.0)):
        variant, circuit, every = of(name)
        (row,) = (s for s in stand_ins(Control(circuit, variant)) if s.key == "stand-in/display-blanking")
        assert row.ohm == ohm
        assert row.first in every["alone/native/rail-ground-volt"].feed


def test_only_positions_that_move_a_line_are_read_without_power() -> None:
    """Relays and analog switches do not move without their supply; a gang does."""
    for name in ("linnet", "godwit", "plover"):
        _, _, every = of(name)
        assert {r.state for r in every.values() if r.unit == "ohm"} == {"", "native"}
    variant, _, every = of("siskin")
    states = {chosen(n) for n in range(1, len(variant.input) + 1)}
    assert states <= {r.state for r in every.values() if r.unit == "ohm"}


def test_the_order_of_the_parts_is_of_no_account() -> None:
    variant, circuit, every = of("plover")
    turned = replace(circuit, parts=circuit.parts[::-1])
    again = {r.key: r for r in readings(Setup(variant, turned))}
    assert set(again) == set(every)
    for key, r in every.items():
        assert (again[key].low, again[key].high) == (pytest.approx(r.low), pytest.approx(r.high))


def test_a_check_of_a_file_without_built_boards_does_not_pay_for_readings() -> None:
    """They are imported by who asks for them."""
    told = (
        "import sys; from rasterport.api import design, load; "
        f"design(load({str(TEMPLATES / 'kestrel.toml')!r})[0]); "
        "print([m for m in sys.modules if m.endswith('_readings') or m.endswith('analysis.readings')])"
    )
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def _low_of(name: str, key: str) -> str:
    return of(name)[2][key].low_means


def test_only_what_lies_between_the_tap_and_a_supply_is_suspected_of_being_open() -> None:
    """A regulator or a blocking diode behind the point is a load: open it pulls nothing low."""
    behind = "open, or a short behind"
    for name in ("osprey", "dotterel", "dunlin", "godwit"):
        assert _low_of(name, "alone/native/net.rail-ground-volt") == f"F1 {behind}"
    for name, net_name, last in (("osprey", "rail-5v", "U1"), ("dunlin", "rail-switches", "D90")):
        r = of(name)[2][f"alone/native/net.{net_name}-ground-volt"]
        assert (r.low_means, r.high_means) == (f"{last}, F1 {behind}", f"{last} bridged")


def test_a_coil_is_suspected_of_its_own_parts() -> None:
    """Wren's and godwit's coils stand on the rail: no resistor to bridge, no divider, no diode of another coil."""
    for name, holder in (("wren", "Q1"), ("godwit", "U80")):
        for relay, driver, diode in ((1, "Q10", "D1"), (2, "Q11", "D2")):
            r = of(name)[2][f"alone/input-1/stage.relay-{relay}.coil-volt"]
            assert r.low_means == (
                f"{driver} does not pull (its gate: R30, {holder}); {diode} shorted or turned round; F1 open"
            )
            assert r.high_means == ""
    plover = of("plover")[2]["alone/input-1/stage.relay-2.coil-volt"]
    assert plover.low_means.endswith("D2 shorted or turned round; R33, F1 open")
    assert plover.high_means == "R33 in front of the coil bridged"


def test_a_pull_up_is_resistors_and_never_what_hangs_on_it() -> None:
    """Plover's Q4 and dunlin's U81 have an input there; what loads a collector lets it rise when it opens."""
    plover = of("plover")[2]
    assert _low_of("plover", "alone/input-1/gate.clamp.c-ground-volt").endswith("or its pull-up: R24")
    inverted = plover["alone/native/gate.invert.c-ground-volt"]
    assert inverted.low_means.endswith("or its pull-up: R22") and inverted.high_means == "R23 open"
    assert _low_of("dunlin", "alone/native/input-1.status.sense.c-ground-volt").endswith("or its pull-up: R160")
    assert _low_of("wren", "alone/native/input-1.status.sense.c-ground-volt").endswith("or its pull-up: R10, R11")


def test_an_emitter_that_is_not_at_ground_has_its_way_named() -> None:
    for name, way in (("plover", "Q4, R24"), ("wren", "R25"), ("dunlin", "R25"), ("godwit", "S1")):
        r = of(name)[2]["alone/input-1/input-1.status.sense.c-ground-volt"]
        assert r.high_means.endswith(f"its emitter's way to ground: {way}"), (name, r.high_means)
    assert "emitter" not in of("heron")[2]["alone/input-1/input-1.status.sense.c-ground-volt"].high_means


def test_a_tone_is_on_both_channels_where_both_reach_the_landing() -> None:
    """Wren adds its channels through R140 and R146: with one of them silent the landing has half."""
    for name, both in (("wren", True), ("pipit", True), ("godwit", True), ("plover", False), ("dunlin", False)):
        feeds = {r.feed for r in of(name)[2].values() if re.fullmatch(r"powered/input-\d/(left|right)-ground", r.key)}
        assert feeds and all(feed.endswith(" on both channels") == both for feed in feeds), (name, feeds)
    variant, circuit, _ = of("wren")
    parted = {r.key: r for r in readings(Setup(variant, gone("input-1/audio-left/sum")(circuit)))}
    assert "both" not in parted["powered/input-1/left-ground"].feed


def test_each_middle_voltage_says_of_what() -> None:
    for name in ("dunlin", "godwit"):
        titles = [r.title for r in of(name)[2].values() if r.title.startswith("middle voltage")]
        assert sorted(titles) == ["middle voltage for audio", "middle voltage for video"]
