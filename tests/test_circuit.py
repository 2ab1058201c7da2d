"""From variant to circuit: what composes, what is refused and why, and what keeps its identity."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from itertools import product
from typing import Any

import eseries
import pytest

from making import BASE, TEMPLATE_NAMES, errors, examined, template, variant
from rasterport import blocks
from rasterport.circuit import compose
from rasterport.errors import Refused
from rasterport.parts import FUSIBLE_OHM
from rasterport.realise import realise
from rasterport.records import GROUND, SCREENS, Circuit

STATUS = {"european-21": 16, "japanese-21": 11}
CHOICES = (
    ("direct", "panel"), ("direct", "status"), ("direct", "status-or-panel"), ("gang", "panel"), ("relay", "panel"),
    ("relay", "status"), ("relay", "status-or-panel"),
)  # fmt: skip
ARRANGEMENTS = ("changeover", "normalled", "dedicated", "after-switch")
Row = dict[str, Any]
BY_STATUS: Row = {"selector.path": "relay", "selector.control": "status"}
TWO: list[Row] = [{"socket": "european-21", "status_contact": 16}, {"socket": "japanese-21", "status_contact": 11}]


def _rows() -> list[Row]:
    """Every socket, mounting, path, control and arrangement; construction, landing, clamps and blanking in turn."""
    every = product(
        ("european-21", "japanese-21", "de-15", "bnc-4", "phono-4"), ("board", "panel"), CHOICES, ARRANGEMENTS
    )
    return [
        {
            "input.socket": socket,
            "input.mounting": mounting,
            "input.sync": "composite-sync" if socket == "de-15" else "composite-video",
            "input.status_contact": STATUS.get(socket) if control != "panel" else None,
            "selector.path": path,
            "selector.control": control,
            "set.sync.arrangement": arrangement,
            "set.audio.arrangement": arrangement,
            "board.construction": ("smd", "through-hole")[n % 2],
            "board.landing": ("header", "pads")[n // 2 % 2],
            "board.clamps": n % 3 == 0,
            "set.blanking.native": ("grounded", "open", "grounded")[n % 3],
        }
        for n, (socket, mounting, (path, control), arrangement) in enumerate(every)
    ]


def _refused(row: Row) -> set[str]:
    """Codes that a row of the matrix must be refused with."""
    switched = row["set.sync.arrangement"] in ("changeover", "after-switch")
    return {"F108"} if row["selector.path"] == "direct" and switched else set()


def _falls_back(row: Row) -> bool:
    """Whether a row asks for a status contact that its socket does not have: a panel switch chooses then."""
    return row["selector.control"] != "panel" and row["input.socket"] not in STATUS


MATRIX = _rows()
GOOD = [row for row in MATRIX if not _refused(row)]
BAD = [row for row in MATRIX if _refused(row)]


def _name(row: Row) -> str:
    return "-".join(str(row[k]) for k in ("input.socket", "input.mounting", "selector.path", "selector.control")) + (
        f"-{row['set.sync.arrangement']}"
    )


def check_whole(circuit: Circuit) -> None:
    """What holds for every circuit: one of each name, SKiDL agrees and has nothing to complain of."""
    refs, roles = [p.ref for p in circuit.parts], [p.role for p in circuit.parts]
    assert len(set(refs)) == len(refs)
    assert len(set(roles)) == len(roles)
    assert roles == sorted(roles)
    real = realise(circuit)
    assert real.complaints == ()
    assert real.nets == circuit.nets()
    assert [p.ref for p in real.parts] == [p.ref for p in circuit.parts if p.on_board]
    assert len({p.identifier for p in real.parts}) == len(real.parts)


def check_values(circuit: Circuit) -> None:
    """Every sized resistor stands in E24 or E96, every capacitor in E6, and the part is the one of that value."""
    for placed in circuit.parts:
        if placed.instead_of:  # out of somebody's drawer
            assert placed.part.ratings.get("value_ohm", placed.part.ratings.get("value_f")) == placed.value_si
        elif placed.part.letter == "R":
            assert placed.value_si is not None
            near = {eseries.find_nearest(series, placed.value_si) for series in (eseries.E24, eseries.E96)}
            assert any(abs(v / placed.value_si - 1) < 1e-9 for v in near), placed.role
            assert placed.part.ratings["value_ohm"] == placed.value_si
        elif placed.part.letter == "C":
            assert placed.value_si is not None
            assert abs(eseries.find_nearest(eseries.E6, placed.value_si) / placed.value_si - 1) < 1e-9, placed.role
            assert placed.part.ratings["value_f"] == placed.value_si
        elif placed.role == "supply/element" and placed.value_si is not None:
            assert placed.value_si in FUSIBLE_OHM


def check_wires(circuit: Circuit) -> None:
    """Every landing and every socket contact in use has its wire; grounds to the chassis come first."""
    for landed in circuit.landed:
        ends = ("the screens of these wires, joined",) if landed.name == SCREENS else (f"{landed.name} landing",)
        wires = [w for w in circuit.wires if w.end in ends and w.inside]
        assert len(wires) == 1, landed.name
        assert wires[0].net == circuit.landing_net(landed.name)
        if circuit.wired:  # the wire begins at a part of the landing's net, which tests of the joints look into
            assert (landed.ref, landed.pin) in wires[0].joins
        else:
            assert wires[0].start.startswith(landed.ref)
    nets = {(p.ref, pin): net for p in circuit.parts for pin, net in p.nets.items()}
    for wire in circuit.wires:
        assert wire.joins and {nets[end] for end in wire.joins} == {wire.net}
        assert bool(wire.screen) == wire.shielded
    stages = [w.stage for w in circuit.wires]
    assert stages == sorted(stages)
    chassis = [w for w in circuit.wires if w.end.endswith("landing")]
    assert [w.net == GROUND for w in chassis] == sorted((w.net == GROUND for w in chassis), reverse=True)
    assert sum(w.net == GROUND for w in chassis) >= 2
    for placed in circuit.parts:
        if placed.part.key.startswith("socket") and not placed.on_board:
            wired = [net for net in placed.nets.values() if net is not None]
            ours = [w for w in circuit.wires if w.start.startswith(f"{placed.role.split('/')[0]} socket")]
            assert {w.net for w in ours} >= set(wired)
            assert sum(w.net == GROUND for w in ours) >= wired.count(GROUND)


@pytest.mark.parametrize("row", GOOD, ids=_name)
def test_composes(row: Row) -> None:
    circuit, findings = examined(variant(row))
    check_whole(circuit)
    check_values(circuit)
    check_wires(circuit)
    assert errors(findings) == set()
    assert {f.severity for f in findings if f.code == "F415"} == ({"warning"} if _falls_back(row) else set())
    by_contact = row["selector.control"] != "panel" and not _falls_back(row)
    assert circuit.has("input-1/status/sense") == by_contact
    assert circuit.has("panel/switch") == (not by_contact or row["selector.control"] == "status-or-panel")


def test_the_matrix_is_wide() -> None:
    assert len(GOOD) >= 200
    assert len(BAD) >= 20
    assert sum(map(_falls_back, GOOD)) >= 60


@pytest.mark.parametrize("row", BAD, ids=_name)
def test_is_refused_by_name(row: Row) -> None:
    with pytest.raises(Refused) as refusal:
        compose(variant(row))
    assert {f.code for f in refusal.value.findings} == _refused(row)
    assert all(f.severity == "error" and len(f.message) > 20 and f.subject for f in refusal.value.findings)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_templates_are_whole_and_good(name: str) -> None:
    circuit, findings = examined(template(name))
    check_whole(circuit)
    check_values(circuit)
    check_wires(circuit)
    assert errors(findings) == set()


OTHERS: dict[str, Row] = {
    "driven blanking by relay": {
        "selector.path": "relay", "selector.control": "status", "input.status_contact": 16,
        "set.blanking.native": "driven",
    },
    "driven blanking by switch": {"set.blanking.native": "driven", "set.audio": None},
    "contact 8": {"selector.path": "relay", "selector.control": "status", "input.status_contact": 8},
    "gate, low allows": {
        "selector.path": "relay", "selector.control": "status", "input.status_contact": 8,
        "selector.gate": "line", "selector.gate_active": "low",
    },
    "gate at 0 V, high allows": {
        "selector.path": "relay", "selector.control": "status", "input.status_contact": 16,
        "selector.gate": "line", "selector.gate_active": "high", "selector.gate_low": "0",
    },
    "TTL, positive": {"input.socket": "de-15", "input.sync": "ttl-composite", "input.sync_polarity": "positive"},
    "TTL, negative into 75 ohm": {
        "input.socket": "de-15", "input.sync": "ttl-composite", "set.sync.termination": "fixed",
    },
    "TTL, pad": {"input.socket": "phono-4", "input.sync": "ttl-composite", "set.sync.termination": "none"},
    "DC-coupled sync with bias": {"set.sync.coupling": "dc", "set.sync.bias": "8 V"},
    "DC-coupled sync into 75 ohm": {
        "set.sync.coupling": "dc", "set.sync.termination": "fixed", "set.audio": None,
    },
    "dummy load on a switch": {"set.sync.termination": "fixed", "set.audio": None},
    "sync taken out of the picture": {"set.sync.accepts": "clean-sync", "set.supply.voltage": "9 V"},
    "sync behind the set's input switch": {
        **BY_STATUS, "input.status_contact": 16, "selector.gate": "after-switch",
        "set.sync.arrangement": "after-switch",
    },
    "gate beside a panel switch": {
        **BY_STATUS, "selector.control": "status-or-panel", "input.status_contact": 8, "selector.gate": "line",
    },
    "two inputs on a rotary switch": {"input": TWO},
    "two inputs in a chain of relays": {**BY_STATUS, "input": TWO, "set.supply.voltage": "9 V"},
    "two inputs through analog switches": {
        "selector.path": "cmos", "selector.control": "status-or-panel", "input": TWO, "set.supply.voltage": "9 V",
    },
    "mono sum": {"set.audio.channels": "mono"},
    "mono source into stereo": {"input.audio": "mono"},
    "quiet source": {"input.audio_maximum": "0.1 V"},
    "split termination": {"set.rgb.white_level": "0.35 V"},
    "contrast to make up": {"set.rgb.white_level": "1.0 V", "set.rgb.clipping_level": "1.5 V"},
    "all of it in the set": {"set.rgb.coupling_fitted": "100n", "set.rgb.termination_fitted": True},
    "a resistor stays on the pin": {"set.blanking.fitted_resistor": "1k"},
    "a hungry pin": {"set.blanking.pin_current": "2 mA", "set.blanking.maximum": "5 V"},
    "3.3 V rail": {"set.supply.voltage": "3.3 V"},
    "12 V relays": {"selector.path": "relay", "set.supply.voltage": "12 V"},
    "15 V relays, through-hole": {
        "selector.path": "relay", "set.supply.voltage": "15 V", "board.construction": "through-hole",
    },
    "regulator asked for": {"set.supply.voltage": "9 V", "board.regulator": "yes", "selector.path": "relay"},
    "status contact named but not used": {"input.status_contact": 16},
}  # fmt: skip


@pytest.mark.parametrize("changes", OTHERS.values(), ids=OTHERS.keys())
def test_other_situations_are_whole_and_good(changes: Row) -> None:
    circuit, findings = examined(variant(changes))
    check_whole(circuit)
    check_values(circuit)
    check_wires(circuit)
    assert errors(findings) == set()


def test_a_dummy_load_survives_what_a_termination_does() -> None:
    circuit = compose(variant(OTHERS["dummy load on a switch"]))
    least = circuit.by_role("input-1/red/termination").part.ratings["power_w"]
    assert circuit.by_role("input-1/sync/dummy").part.ratings["power_w"] >= least


def test_coils_stay_off_a_regulator_that_they_would_overheat() -> None:
    circuit = compose(variant(OTHERS["regulator asked for"]))
    coil = circuit.by_role("stage/relay-1")
    assert "RAIL_5V" not in coil.nets.values()


def _tables() -> Mapping[str, Mapping[str, str]]:
    names = sorted(info.name for info in pkgutil.iter_modules(blocks.__path__))
    modules = {name: importlib.import_module(f"{blocks.__name__}.{name}") for name in names}
    return {name: module.REFERENCES for name, module in modules.items() if hasattr(module, "REFERENCES")}


PER_INPUT = {"audio", "channel", "protection", "socket", "status", "sync", "termination"}
"""Blocks whose roles begin with the number of their input and take its references."""


@pytest.mark.parametrize("per_input", [True, False])
def test_no_reference_stands_in_two_tables(per_input: bool) -> None:
    tables = {name: table for name, table in _tables().items() if (name in PER_INPUT) == per_input}
    owners: dict[str, str] = {}
    for name, table in tables.items():
        for role, ref in table.items():
            assert ref not in owners, f"{ref}: {owners.get(ref)} and {name}:{role}"
            owners[ref] = f"{name}:{role}"
            assert 1 <= int(ref.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) <= 99
    assert len(owners) > 20


def test_the_scope_of_each_table_is_known() -> None:
    circuit = compose(variant({"input.mounting": "panel", "set.audio.channels": "mono"}))
    inside = {p.role.split("/", 1)[1] for p in circuit.parts if p.role.startswith("input-1/")}
    known = {role for name in PER_INPUT for role in _tables()[name]}
    assert inside <= known
    assert all(
        p.ref.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")[0] == "1" for p in circuit.parts if p.role.startswith("input-1/")
    )


def _identities(changes: Row) -> dict[str, tuple[str, str]]:
    real = realise(compose(variant(changes)))
    return {p.role: (p.ref, p.identifier) for p in real.parts}


CHANGES: dict[str, tuple[Row, Row]] = {
    "another value": ({"set.rgb.white_level": "0.5 V"}, {"set.rgb.white_level": "0.35 V"}),
    "audio added": ({"set.audio": None}, {}),
    "other construction": ({}, {"board.construction": "through-hole"}),
    "clamps added": ({}, {"board.clamps": True}),
    "relays for a switch": ({}, {"selector.path": "relay"}),
    "a gate added": (
        {**BY_STATUS, "input.status_contact": 16}, {**BY_STATUS, "input.status_contact": 16, "selector.gate": "line"},
    ),
    "contact 8 for 16": ({**BY_STATUS, "input.status_contact": 16}, {**BY_STATUS, "input.status_contact": 8}),
    "status or panel for status": (
        {**BY_STATUS, "input.status_contact": 16},
        {**BY_STATUS, "input.status_contact": 16, "selector.control": "status-or-panel"},
    ),
    "a second input on a switch": ({"input": TWO[:1]}, {"input": TWO}),
    "a second input in front of relays": (
        {**BY_STATUS, "input": TWO[:1], "set.supply.voltage": "9 V"},
        {**BY_STATUS, "input": TWO, "set.supply.voltage": "9 V"},
    ),
    "analog switches for a switch": ({"input": TWO}, {"input": TWO, "selector.path": "cmos", "set.audio": None}),
    "another rail": ({}, {"set.supply.voltage": "12 V"}),
    "socket on the panel": ({}, {"input.mounting": "panel"}),
}  # fmt: skip


@pytest.mark.parametrize(("before", "after"), CHANGES.values(), ids=CHANGES.keys())
def test_a_part_that_stays_keeps_reference_and_identifier(before: Row, after: Row) -> None:
    old, new = _identities(before), _identities(after)
    both = set(old) & set(new)
    assert len(both) > 15
    assert {role: old[role] for role in both} == {role: new[role] for role in both}


def test_the_base_itself_composes() -> None:
    assert BASE["selector"] == {"path": "gang", "control": "panel"}
    assert len(compose(variant()).parts) > 20
