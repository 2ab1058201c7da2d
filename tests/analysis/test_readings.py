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
from rasterport.analysis.network import chosen, states_of
from rasterport.analysis.nodal import GROUND, Element, Network, reach
from rasterport.analysis.ohm_readings import METER, OPEN_LEAST_OHM, THROUGH_OHM
from rasterport.analysis.ohms import METER_MOST_OHM, Ohms, chips, hung, resistors
from rasterport.analysis.points import contacts, landings
from rasterport.analysis.readings import STAGES, readings
from rasterport.analysis.setup import Setup
from rasterport.analysis.volt_readings import METER_A, METER_AC, METER_V, SCOPE
from rasterport.circuit import compose
from rasterport.records import Circuit, Reading
from rasterport.standards.status_levels import STATUS_LEVELS
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
        assert r.low_means and r.high_means and set(r.refs) <= refs and r.source
        assert not re.search(r" , |: ;|: $|None|\{", " ".join((r.low_means, r.high_means, r.feed, r.title))), r
        assert r.feed or r.unit == "ohm"


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
        for stage in ("alone", "joined"):
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
        assert r.low == pytest.approx(75 * (1 - 0.0145) * 0.99 - 0.5, abs=0.01)
        assert r.high == pytest.approx(75 * (1 + 0.0145) * 1.01 + 0.5, abs=0.01)
        assert "37.5" in r.low_means
    assert "R101" in every["alone/native/input-1.red-ground"].high_means
    assert "contact 15 of input 1 (J101 pin 15" in every["alone/native/input-1.red-ground"].red


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
    assert most < limit_a(made) < max(3 * most, 0.03)
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
