"""No printed board, leads instead of sockets, sockets that the set has: what the wiring list and the findings say."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from making import errors, examined, several, template, variant
from rasterport.analysis.bare_board import bare_board
from rasterport.blocks import harness
from rasterport.blocks.board import Board
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.realise import realise
from rasterport.records import GROUND, Circuit, Finding, Wire
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Variant

Row = dict[str, Any]

WIRED = {"board.construction": "wired", "input.mounting": "panel"}
EVERY: dict[str, Variant] = {
    "gang": variant(WIRED),
    "gang, on the socket": variant({**WIRED, "board.built_on": "socket"}),
    "gang, in the chassis": variant({**WIRED, "board.built_on": "chassis"}),
    "lead": variant({**WIRED, "input.mounting": "cable"}),
    "phono of the set": variant(
        {**WIRED, "input": [{"socket": "phono-4", "mounting": "existing", "wired_contacts": "red-shell, blue-shell"}]}
    ),
    "relay by status": variant(
        {**WIRED, "selector.path": "relay", "selector.control": "status", "input.status_contact": 16,
         "set.supply.voltage": "9 V", "set.blanking.native": "driven"}
    ),
    "three by relay": several([{"socket": "bnc-4", "mounting": "panel"}] * 3, "relay", "panel",
                              {"board.construction": "wired"}),
    "two by analog switches": several(
        [{"socket": "european-21", "mounting": "cable", "status_contact": 16}] * 2, "cmos", "status-or-panel",
        {"board.construction": "wired", "set.supply.voltage": "9 V", "set.audio.maximum": "1 V"}),
    "pipit": template("pipit"),
}  # fmt: skip


def only(findings: tuple[Finding, ...], code: str) -> Finding:
    (finding,) = (f for f in findings if f.code == code)
    return finding


@pytest.mark.parametrize("name", EVERY)
def test_the_list_is_the_netlist_whatever_is_built(name: str) -> None:
    circuit, findings = examined(EVERY[name])
    assert errors(findings) == set()
    assert (only(findings, "F823").severity, only(findings, "F826").severity) == ("met", "met")
    assert circuit.wired and bare_board(circuit) == ""
    for wire in circuit.wires:
        assert len(wire.joins) == 2
        nets = {p.nets[pin] for ref, pin in wire.joins for p in circuit.parts if p.ref == ref}
        assert nets == {wire.net}
    for placed in circuit.parts:
        assert placed.on_board
        assert not placed.part.key.startswith(("header", "wire-pad", "test-point"))
    assert realise(circuit).nets == circuit.nets()


def test_without_a_printed_board_values_and_figures_are_those_of_a_board_with_leads() -> None:
    bare, printed = (
        compose(variant({"input.mounting": "panel", "board.construction": c})) for c in ("wired", "through-hole")
    )
    values = [{p.role: (p.ref, p.value) for p in made.parts if p.part.letter in "RCDQFUKS"} for made in (bare, printed)]
    assert values[0] == values[1]
    figures = []
    for construction, made in (("wired", bare), ("through-hole", printed)):
        findings = examine(variant({**WIRED, "board.construction": construction}), made)
        figures.append({(f.code, f.subject): f.measured for f in findings if f.code[:2] in ("F2", "F3", "F5", "F6")})
    assert figures[0] == figures[1] and len(figures[0]) > 20


def rows_of(circuit: Circuit) -> list[tuple[str, str, str]]:
    return [(wire.net, wire.start, wire.end) for wire in circuit.wires]


def test_joints_come_first_ground_before_supply_before_lines_before_blanking() -> None:
    nets = [wire.net for wire in compose(EVERY["gang"]).wires if not wire.inside]
    order = list(dict.fromkeys(nets))
    assert order == [
        "GND", "RAIL", "IN1_RED", "IN1_GREEN", "IN1_BLUE", "IN1_SYNC", "IN1_AUDIO_LEFT", "IN1_AUDIO_LEFT_PAD",
        "IN1_LEFT", "IN1_AUDIO_RIGHT", "IN1_AUDIO_RIGHT_PAD", "IN1_RIGHT", "BLANKING_DRIVE",
    ]  # fmt: skip
    assert nets == [net for net in order for _ in range(nets.count(net))]
    stages = [wire.stage for wire in compose(EVERY["gang"]).wires]
    assert stages == sorted(stages)


def test_a_line_runs_from_the_socket_past_its_termination_to_the_capacitor_and_the_chassis() -> None:
    red = [(start, end) for net, start, end in rows_of(compose(EVERY["gang"])) if "RED" in net]
    assert red == [
        ("J101 contact 15 (red)", "R101 end 1"),
        ("R101 end 1", "C1 end 1"),
        ("C1 end 2 (red)", "red landing"),
    ]


def test_two_grounds_begin_at_two_small_parts() -> None:
    for name, made in EVERY.items():
        wires = {wire.end: wire.start for wire in compose(made).wires if wire.net == GROUND}
        first, second = wires["ground landing"], wires["ground-2 landing"]
        assert first.split()[0] != second.split()[0], name
        assert (first[0], second[0]) == ("R", "R"), f"{name}: no ground of the picture at a socket or a coil's driver"


def broken(circuit: Circuit, wires: tuple[Wire, ...]) -> str:
    finding = only(examine(EVERY["gang"], replace(circuit, wires=wires)), "F823")
    assert finding.severity == "error"
    return finding.message


def test_every_row_that_is_left_out_is_missed() -> None:
    circuit = compose(EVERY["gang"])
    for n, wire in enumerate(circuit.wires):
        if wire.net in ("IN1_RED", "RAIL", "SYNC_LANDING", "RED_PIN"):
            told = broken(circuit, (*circuit.wires[:n], *circuit.wires[n + 1 :]))
            assert told == f"the wiring list is not the netlist: {wire.net} is in 2 pieces"


def test_a_row_too_many_is_seen() -> None:
    circuit = compose(EVERY["gang"])
    row = next(wire for wire in circuit.wires if wire.net == "IN1_RED")
    bridge = replace(row, joins=(("R101", "1"), ("R102", "1")))
    assert broken(circuit, (*circuit.wires, bridge)).endswith("IN1_GREEN and IN1_RED are joined")
    nowhere = replace(row, joins=(("R101", "1"), ("R999", "1")))
    assert "R999 1 is on no net" in broken(circuit, (*circuit.wires, nowhere))


def test_a_part_without_leads_is_an_error() -> None:
    circuit = compose(EVERY["gang"])
    flat = compose(variant()).by_role("red/coupling").part
    parts = tuple(replace(p, part=flat) if p.role == "red/coupling" else p for p in circuit.parts)
    finding = only(examine(EVERY["gang"], replace(circuit, parts=parts)), "F826")
    assert (finding.severity, finding.message) == ("error", "parts without leads: C1")


def test_empty_places_of_the_chassis_stand_in_the_list() -> None:
    places = [{"part": "input-1/red/termination", "at": "R231"}, {"part": "red/coupling", "at": "C231"}]
    made = variant({**WIRED, "board.built_on": "chassis", "board.place": places})
    circuit, findings = examined(made)
    at = {(wire.start, wire.end): wire.at for wire in circuit.wires}
    assert at["R101 end 1", "C1 end 1"] == "R101 in R231; C1 in C231"
    assert at["R102 end 1", "C2 end 1"] == "free in the chassis"
    finding = only(findings, "F825")
    assert finding.severity == "note"
    assert finding.message.startswith("2 parts go into empty places;")
    told = finding.message.rpartition("no place is stated for ")[2].split(", ")
    assert set(told) == {p.ref for p in circuit.parts if p.part.letter not in "EJS"} - {"R101", "C1"}
    every = [{"part": p.role, "at": p.ref} for p in circuit.parts if p.part.letter not in "EJS"]
    full = only(examined(variant({**WIRED, "board.built_on": "chassis", "board.place": every}))[1], "F825")
    assert "no place" not in full.message


# A lead.


def test_a_lead_ends_on_pads_named_by_contact() -> None:
    circuit, findings = examined(variant({"input.mounting": "cable"}))
    pads = {p.value: p.nets["1"] for p in circuit.under("input-1/lead")}
    assert pads == {
        "2 audio-in-right": "IN1_AUDIO_RIGHT", "4 audio-return": GROUND, "5 blue-return": GROUND,
        "6 audio-in-left": "IN1_AUDIO_LEFT", "7 blue": "IN1_BLUE", "9 green-return": GROUND, "11 green": "IN1_GREEN",
        "13 red-return": GROUND, "14 blanking-return": GROUND, "15 red": "IN1_RED", "17 video-out-return": GROUND,
        "18 video-in-return": GROUND, "20 video-in": "IN1_SYNC", "21 shell": GROUND,
    }  # fmt: skip
    assert not circuit.by_role("input-1/socket").on_board
    assert not circuit.has("input-1/harness")
    rows = [w for w in circuit.wires if w.start.startswith("input-1 lead")]
    assert len(rows) == len(pads) and {w.length_m for w in rows} == {0.0}
    assert only(findings, "F908").severity == "note"
    assert errors(findings) == set()


@pytest.mark.parametrize("key", sorted(WIRINGS))
def test_every_socket_goes_on_a_lead(key: str) -> None:
    """One pad a conductor that is used, the shell's too; no two pads share a reference."""
    sync = "composite-sync" if key == "de-15" else "composite-video"
    source = {"socket": key, "mounting": "cable", "sync": sync}
    circuit, findings = examined(variant({"input": [source, source], "set.sync.termination": "none"}))
    assert errors(findings) == set()
    for index in (1, 2):
        pads = [p for p in circuit.parts if p.role.startswith(f"input-{index}/lead/")]
        joined = {net for p in pads for net in p.nets.values()}
        assert {f"IN{index}_{colour}" for colour in ("RED", "GREEN", "BLUE")} <= joined
        assert len({p.ref for p in pads}) == len(pads) > 7


def test_the_lead_is_ordered_and_no_wire_for_it() -> None:
    with_lead, on_board = (compose(variant({"input.mounting": m})) for m in ("cable", "board"))
    assert with_lead.by_role("input-1/socket").part.orderable
    metres = [
        {b.role: b.quantity for b in c.bought if "wire" in b.role or "screened" in b.role}
        for c in (with_lead, on_board)
    ]
    assert metres[0] == metres[1]


def test_a_conductor_of_a_lead_is_not_bought_by_the_metre() -> None:
    board = Board("smd")
    board.wire(Wire(21, "input-1 lead, contact 15", "E115", "", "red", "", 0.0, "", "", True, "", "IN1_RED"))
    harness.buy(board)
    assert board.circuit().bought == ()


# A socket that the set has.

OWN: Row = {"socket": "european-21", "mounting": "existing"}


def of_own(told: str, changes: Row | None = None, **source: Any) -> tuple[Circuit, tuple[Finding, ...]]:
    return examined(variant({**(changes or {}), "input": [{**OWN, "wired_contacts": told, **source}]}))


def reached(circuit: Circuit) -> set[str]:
    """Contacts to which a wire of the list goes."""
    return {w.start.rpartition(" ")[2] for w in circuit.wires if w.start.startswith("input-1 socket")}


def test_what_the_set_has_wired_is_not_wired_again() -> None:
    bare, findings = of_own("")
    every = {"2", "4", "5", "6", "7", "9", "11", "13", "14", "15", "17", "18", "20", "21"}
    assert reached(bare) == every
    assert only(findings, "F905").message.startswith("wired here: 2, 4, 5, 6, 7, 9, 11, 13, 14, 15, 17, 18, 20, 21; ")
    circuit, findings = of_own("4, 17,18 , 19, 1, 3")
    assert reached(circuit) == every - {"4", "17", "18"}
    assert only(findings, "F905").message == (
        "wired here: 2, 5, 6, 7, 9, 11, 13, 14, 15, 20, 21; the set's own wire serves: 4, 17, 18; the board has no "
        "part in: 1, 3, 8, 10, 12, 16, 19"
    )
    assert errors(findings) == set()
    assert not any(f.code == "F907" for f in findings)
    assert not circuit.by_role("input-1/socket").part.orderable


def test_sync_that_the_set_brings_itself_has_no_wire_and_keeps_its_figures() -> None:
    there = {"set.sync": {"arrangement": "dedicated", "termination": "fixed"}, "set.audio": None}
    wired, findings = of_own("20, 17, 18, 21", there)
    alone, others = of_own("17, 18, 21", there)
    assert "20" not in reached(wired) and "20" in reached(alone)
    assert not any(w.net == "IN1_SYNC" for w in wired.wires)
    assert wired.landing_net("sync") == "IN1_SYNC"
    assert wired.nets().get("IN1_SYNC") is None, "the board has no copper on it"
    told, meant = ({(f.code, f.subject): f.measured for f in fs if f.code[:2] == "F5"} for fs in (findings, others))
    assert told == meant and told
    assert errors(findings) == set()


def test_returns_that_all_run_through_the_set_are_a_warning() -> None:
    _, findings = of_own("4, 5, 9, 13, 14, 17, 18, 21")
    assert only(findings, "F907").severity == "warning"


@pytest.mark.parametrize(("contact", "told", "warned"), [(8, "8", True), (8, "17", False), (16, "8", False)])
def test_a_status_contact_that_the_set_reads_too_is_a_warning(contact: int, told: str, warned: bool) -> None:
    by_status = {"selector.path": "relay", "selector.control": "status", "set.supply.voltage": "9 V"}
    _, findings = of_own(told, by_status, status_contact=contact)
    assert [f.severity for f in findings if f.code == "F906"] == ["warning"] * warned


# Rails and line standards of small sets.

STRAIGHT = {"selector.path": "direct", "set.sync": {"arrangement": "dedicated"}, "set.audio": None}


@pytest.mark.parametrize(
    "changes",
    [{}, {"set.audio.channels": "mono"}, {"input": [{"socket": "european-21"}] * 2, "set.sync.termination": "none"},
     STRAIGHT, {**STRAIGHT, "selector.control": "status", "input.status_contact": 16, "set.blanking.native": "open"}],
    ids=["gang", "mono", "two by gang", "direct", "direct by status"],
)  # fmt: skip
def test_a_rail_of_3v3_serves_direct_and_gang(changes: Row) -> None:
    circuit, findings = examined(variant({**changes, "set.supply.voltage": "3.3 V"}))
    assert errors(findings) == set()
    lowest = [f for f in findings if f.code == "F301"]
    assert lowest and all(f.measured is not None and f.measured > 0.9 for f in lowest)
    assert not circuit.has("supply/regulator")


@pytest.mark.parametrize("base", ["gang", "dc", "clean"])
def test_both_line_standards_take_the_worse_of_each_figure(base: str) -> None:
    changes: Row = {
        "gang": {},
        "dc": {"set.sync": {"arrangement": "changeover", "coupling": "dc", "resistance": "1k"}},
        "clean": {"set.sync.accepts": "clean-sync", "set.supply.voltage": "9 V"},
    }[base]
    found: dict[str, dict[tuple[str, str, str], Finding]] = {}
    for lines in ("525/60", "625/50", "both"):
        findings = examined(variant({**changes, "set.lines": lines}))[1]
        found[lines] = {(f.code, f.subject, f.message[:12] + f.sense): f for f in findings if f.measured is not None}
    differing = set()
    for key, both in found["both"].items():
        # A value may be sized for both, so what is compared hangs on the line standard alone.
        one = [found[lines][key].measured for lines in ("525/60", "625/50")]
        worse = min if both.sense == "least" else max
        assert both.measured is not None and None not in one
        assert both.measured == pytest.approx(worse(float(v or 0) for v in one), rel=1e-9), key
        if one[0] != one[1]:
            differing.add(key[0])
    assert {"F204", "F205", "F210"} <= differing
