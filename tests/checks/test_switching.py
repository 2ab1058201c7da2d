"""Mistakes in the switching, made in the finished circuit: each must be found by the walk over all states.

`by` are exactly the codes of the walk that see it.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from making import several, template, variant, with_part, without
from rasterport import parts
from rasterport.checks.bench import Bench
from rasterport.checks.switching import CODES, RULES, check
from rasterport.circuit import compose
from rasterport.records import GROUND, Circuit, Finding
from rasterport.variant.models import Variant
from slips import Mistake, Slip, between, both, gone, net, net_of_end, scaled, swapped, unlanded, value

KESTREL, HERON, PLOVER, WREN, OSPREY = (template(n) for n in ("kestrel", "heron", "plover", "wren", "osprey"))
PANEL_RELAY = variant({"selector.path": "relay", "set.audio.channels": "mono"})
LOW_GATE = template("plover", {"selector.gate_active": "low"})
GATE_OR_PANEL = template("plover", {"selector.control": "status-or-panel"})
TENK = parts.resistor(10e3, "smd")
MICRO = parts.capacitor(1e-6, "smd", 16.0, "ceramic")
DIODE = parts.diode("flyback", "smd")
SENSE = "input-1/status/sense"

MISTAKES = [
    # poles
    Mistake("sync pole upside down", KESTREL, swapped("panel/switch", "a-2", "b-2"), {"F421", "F425"}),
    Mistake("sync pole of a relay upside down", PLOVER, swapped("stage/relay-1", "make-b", "break-b"),
            {"F421", "F425"}),
    Mistake("blanking pole upside down", KESTREL, swapped("panel/switch", "a-1", "b-1"), {"F424"}),
    Mistake("landing on the active throw", KESTREL, swapped("panel/switch", "common-3", "a-3"), {"F422", "F425"}),
    Mistake("idle contact open", PLOVER, net("stage/relay-2", "break-a", None), {"F425"}),
    Mistake("active contact open", PLOVER, net("stage/relay-2", "make-a", None), {"F421"}),
    Mistake("left and right crossed behind the set's switch", PLOVER,
            swapped("stage/relay-2", "break-a", "break-b"), {"F425"}),
    Mistake("left and right crossed", PLOVER, swapped("stage/relay-2", "make-a", "make-b"), {"F421"}),
    Mistake("blanking pole always on the drive", KESTREL, net("panel/switch", "b-1", "BLANKING_DRIVE"),
            {"F424"}),
    Mistake("blanking pin soldered to the drive", PLOVER, net("stage/relay-1", "common-a", "BLANKING_DRIVE"),
            {"F424", "F425"}),
    Mistake("blanking grounded where the set leaves it open", WREN, net("stage/relay-1", "break-a", GROUND),
            {"F425"}),
    Mistake("blanking open where the set grounds it", KESTREL, net("panel/switch", "b-1", None), {"F425"}),
    Mistake("the set's own blanking cut off", PLOVER, net("stage/relay-1", "break-a", None), {"F425"}),
    # what drives the stage
    Mistake("a driver that always conducts", PLOVER, net("stage/driver-2", "G", "RAIL"), {"F425"}),
    Mistake("a driver that never conducts", PLOVER, net("stage/driver-2", "G", GROUND), {"F421"}),
    Mistake("all drivers always on", WREN, net_of_end("stage/gate-series", "HIGH", "RAIL"), {"F424", "F425"}),
    Mistake("driver left open", PLOVER, net("stage/driver-1", "D", None), {"F421", "F424"}),
    Mistake("drivers without what holds them off", PLOVER, gone("stage/gate-pull"), {"F426"}),
    Mistake("panel control without what holds the drivers off", PANEL_RELAY, gone("stage/gate-pull"), {"F426"}),
    Mistake("panel control on the wrong throw", PANEL_RELAY, swapped("panel/switch", "a-1", "b-1"),
            {"F421", "F424", "F425"}),
    Mistake("panel control that calls in both positions", PANEL_RELAY, net("panel/switch", "b-1", "IN1_SENSE"),
            {"F424", "F425"}),
    Mistake("panel control without its ground", PANEL_RELAY, net("panel/switch", "common-1", None), {"F421", "F424"}),
    Mistake("panel control that shorts the rail", PANEL_RELAY, net("panel/switch", "b-1", "RAIL"), {"F426"}),
    Mistake("panel control on the drivers' gates", PANEL_RELAY, net("panel/switch", "a-1", "COIL_GATE"),
            {"F421", "F424"}),
    Mistake("high-side stage of a panel switch left out", PANEL_RELAY, gone("high-side/pass"), {"F421", "F424"}),
    Mistake("a panel switch beside status on the wrong throw", GATE_OR_PANEL, swapped("panel/switch", "a-1", "b-1"),
            {"F421", "F424", "F425", "F431"}),
    Mistake("coil reversed", PLOVER, swapped("stage/relay-1", "coil+", "coil-"), {"F426"}),
    Mistake("flyback diode reversed behind a dropper", PLOVER, swapped("stage/flyback-1", "A", "K"),
            {"F421", "F424"}),
    Mistake("flyback diode reversed on the rail", WREN, swapped("stage/flyback-1", "A", "K"), {"F426"}),
    Mistake("coil without dropper", PLOVER, gone("stage/dropper-2"), {"F421"}),
    Mistake("high-side transistor turned round", HERON, swapped("high-side/pass", "E", "C"), {"F424"}),
    Mistake("high-side stage always pulled", HERON, net_of_end("high-side/base", "IN1_SENSE", GROUND), {"F424"}),
    Mistake("high-side base held off by nothing but ground", WREN, net_of_end("high-side/hold-off", "RAIL", GROUND),
            {"F424", "F425"}),
    # status and gate
    Mistake("status on the gate's base", PLOVER, net_of_end("input-1/status/series", "IN1_BASE", "GATE_BASE"),
            {"F421", "F424"}),
    Mistake("status on the clamp's base", PLOVER, net_of_end("input-1/status/series", "IN1_BASE", "CLAMP_BASE"),
            {"F421", "F424"}),
    Mistake("status on the high-side base", HERON, net_of_end("input-1/status/series", "IN1_BASE", "HIGH_BASE"),
            {"F424", "F426"}),
    Mistake("status not soldered", HERON, net("input-1/socket", "blanking", None), {"F424"}),
    Mistake("sense base to the rail", WREN, between("again", TENK, "RAIL", "IN1_BASE"), {"F424", "F425"}),
    Mistake("sense emitter open", PLOVER, net(SENSE, "E", None), {"F421", "F424"}),
    Mistake("gate clamp left out", PLOVER, gone("gate/clamp"), {"F424", "F425"}),
    Mistake("gate clamp's base open", PLOVER, gone("gate/feed"), {"F424", "F425"}),
    Mistake("gate clamp left out, low allows", LOW_GATE, gone("gate/clamp"), {"F424", "F425"}),
    Mistake("gate clamp turned round", PLOVER, swapped("gate/clamp", "C", "E"), {"F424", "F425"}),
    Mistake("gate clamp on the status contact", PLOVER, net("gate/clamp", "C", "IN1_STATUS"), {"F426"}),
    Mistake("gate clamp on the emitters", PLOVER, net("gate/clamp", "C", "STATUS_RETURN"), {"F424", "F425"}),
    Mistake("the gate's FET left out", PLOVER, gone("gate/return"), {"F421", "F424"}),
    Mistake("the gate's FET turned round", PLOVER, swapped("gate/return", "D", "S"), {"F421", "F424"}),
    Mistake("gate of the FET open", PLOVER, net("gate/return", "G", None), {"F426"}),
    Mistake("gate of the FET on the rail", PLOVER, net("gate/return", "G", "RAIL"), {"F424", "F425"}),
    Mistake("gate of the FET on ground", PLOVER, net("gate/return", "G", GROUND), {"F421", "F424"}),
    Mistake("pull of the FET left out", PLOVER, gone("gate/open"), {"F426"}),
    Mistake("pull of the FET to ground", LOW_GATE, net_of_end("gate/open", "RAIL", GROUND), {"F421", "F424"}),
    Mistake("a sense stage past the FET", PLOVER, net(SENSE, "E", GROUND), {"F424", "F425"}),
    Mistake("the same beside a panel switch", GATE_OR_PANEL, net(SENSE, "E", "AUTOMATIC"), {"F424", "F425"}),
    Mistake("gate inverter left out", PLOVER, gone("gate/invert"), {"F421", "F424"}),
    Mistake("gate line not soldered", PLOVER, net_of_end("gate/series", "GATE", "NOWHERE"), {"F421", "F424"}),
    Mistake("gate turned round", PLOVER,
            both(gone("gate/invert", "gate/pull"), net_of_end("gate/feed", "GATE_CLOSED", "GATE_BASE")),
            {"F421", "F424", "F425"}),
    # signals
    Mistake("two contacts joined", KESTREL, net("input-1/socket", "red", "IN1_GREEN"), {"F421", "F422", "F425"}),
    Mistake("two contacts joined by a resistor", HERON, between("again", TENK, "IN1_RED", "IN1_BLUE"),
            {"F421", "F422", "F425"}),
    Mistake("two contacts joined by a capacitor", HERON, between("again", MICRO, "IN1_SYNC", "IN1_BLUE"),
            {"F421", "F422", "F425"}),
    Mistake("the input on the set's own feed", KESTREL, between("again", TENK, "SYNC_NATIVE", "IN1_SYNC"),
            {"F421", "F422", "F425"}),
    Mistake("left and right of a stereo set joined", PLOVER, between("again", TENK, "IN1_LEFT", "IN1_RIGHT"),
            {"F421", "F422"}),
    Mistake("right not summed", WREN, gone("input-1/audio-left/sum"), {"F421"}),
    Mistake("red and blue crossed", KESTREL, swapped("input-1/socket", "red", "blue"), {"F421", "F425"}),
    Mistake("a contact not soldered", KESTREL, net("input-1/socket", "red", None), {"F421"}),
    Mistake("one of two contacts that are summed", WREN, net("input-1/socket", "audio-in-right", None), {"F421"}),
    Mistake("the set's own sync not landed", KESTREL, unlanded("sync-native"), {"F425"}),
    Mistake("a landing left out", KESTREL, unlanded("green"), {"F421"}),
    Mistake("coupling left out", KESTREL, gone("red/coupling"), {"F421"}),
    Mistake("dummy of the idle sync left out", WREN, gone("input-1/sync/dummy"), {"F423"}),
    Mistake("termination left out", PLOVER, gone("input-1/sync/termination"), {"F423"}),
    Mistake("a colour's termination left out", HERON, gone("input-1/red/termination"), {"F423"}),
    Mistake("termination behind the pole", PLOVER,
            net_of_end("input-1/sync/termination", "IN1_SYNC", "SYNC_LANDING"), {"F423"}),
    Mistake("two sections of the buffer", OSPREY, net("input-1/sync/buffer", "1Y", None), {"F421"}),
    Mistake("buffer without supply", OSPREY, net("input-1/sync/buffer", "VCC", None), {"F421"}),
    Mistake("buffer without idle level", OSPREY, gone("input-1/sync/idle"), {"F427"}),
    Mistake("an unused input open", OSPREY, net("input-1/sync/buffer", "4A", None), {"F427"}),
    Mistake("the regulator's ground open", OSPREY, net("supply/regulator", "GND", None), {"F421", "F424"}),
    Mistake("a diode from the rail to ground", KESTREL, between("again", DIODE, GROUND, "RAIL"), {"F426"}),
]  # fmt: skip


def found(made: Variant, circuit: Circuit) -> tuple[Finding, ...]:
    return tuple(check(Bench(made, circuit)))


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_a_mistake_in_the_switching_is_found(mistake: Mistake) -> None:
    circuit = compose(mistake.made)
    before = found(mistake.made, circuit)
    assert {f.severity for f in before} == {"met"}
    wrong = [f for f in found(mistake.made, mistake.slip(circuit)) if f.severity == "error"]
    assert {f.code for f in wrong} == mistake.by, [(f.code, f.subject, f.message) for f in wrong]
    assert all("states, the first: " in f.message for f in wrong)


def through(role: str, factor: float) -> Slip:
    """An analog switch whose open channels let more through."""

    def slip(c: Circuit) -> Circuit:
        r = c.by_role(role).part.ratings
        row = replace(c.by_role(role).part, ratings={**r, "feedthrough_f": factor * r["feedthrough_f"]})
        return with_part(c, replace(c.by_role(role), part=row))

    return slip


WALKED = {code for code, _ in RULES.values()}
"""The codes of the walk; the others of the module judge figures of several inputs."""


def test_every_code_is_tried() -> None:
    assert {code for m in MISTAKES for code in m.by} == WALKED
    assert {code for code, *_ in SEVERAL} == set(CODES) - WALKED


NINE = {"set.supply.voltage": "9 V"}
LOGIC = {"socket": "de-15", "sync": "ttl-composite"}
SEVERAL: list[tuple[str, Variant, Variant, Slip, str]] = [
    # 10 uF and 160 pC a line: 0.56 V are 2.3 s
    ("F428", several(2, "gang"), several(2, "gang", changes={"set.rgb.coupling_fitted": "10u"}), lambda c: c,
     "warning"),
    # 20 pF in place of 0.2 pF
    ("F429", several(2, "cmos", changes=NINE), several(2, "cmos", changes=NINE), through("selector/4053-1", 100),
     "warning"),
    # what a pad should bring down from 5 V arrives at the switch
    ("F430", several([LOGIC, LOGIC], "cmos", changes=NINE), several([LOGIC, LOGIC], "cmos", changes=NINE),
     scaled("input-2/sync/pad-upper", 0.05), "error"),
    # a tenth of the supply in place of its half
    ("F433", several(2, "cmos", changes=NINE), several(2, "cmos", changes=NINE), value("middle/video-lower", 1e3),
     "error"),
    # a colour that ends on ten times the impedance of a line, and on nothing
    ("F432", several(2, "gang"), several(2, "gang"), value("red/end", 750.0), "warning"),
    ("F432", several(2, "relay"), several(2, "relay"), gone("red/end"), "error"),
]  # fmt: skip
"""Code, a board that keeps it, one that does not by the slip, and how bad that is."""


@pytest.mark.parametrize(("code", "good", "made", "slip", "severity"), SEVERAL, ids=[row[0] for row in SEVERAL])
def test_a_figure_of_several_inputs_is_judged(
    code: str, good: Variant, made: Variant, slip: Slip, severity: str
) -> None:
    kept = [f for f in found(good, compose(good)) if f.code == code]
    assert {f.state for f in kept} in ({"input-1", "input-2"}, {"native"})
    assert {f.severity for f in kept} == {"met"}
    assert severity in {f.severity for f in found(made, slip(compose(made))) if f.code == code}


def test_one_input_changes_to_no_other() -> None:
    assert set(CODES) - WALKED - {f.code for f in found(PLOVER, compose(PLOVER))} == {
        "F428",
        "F429",
        "F430",
        "F432",
        "F433",
    }


def test_what_is_kept_leaves_a_trace() -> None:
    assert {f.code for f in found(OSPREY, compose(OSPREY))} == WALKED - {"F431"}  # no relay
    kestrel = {f.code: f.message for f in found(KESTREL, compose(KESTREL))}
    assert set(kestrel) == WALKED - {"F427", "F431"}  # no integrated circuit, no relay
    assert kestrel["F425"] == (
        "native, the set has sync, left, right, blanking back; red, green, blue stay on the board by design, "
        "in all 4 states"
    )


def test_an_offence_says_what_happens_where_and_how_often() -> None:
    circuit = without(compose(PLOVER), "gate/clamp")
    told = {(f.code, f.subject): f.message for f in found(PLOVER, circuit) if f.severity == "error"}
    where = "(in 2 of 16 states, the first: status-8 at its on limit, gate low, rail on)"
    assert told["F424", "blanking"] == f"driven though no input is wanted {where}"
    assert told["F425", "sync"] == f"the set's own feed alone is wanted, the landing has input-1/sync {where}"
    assert told["F425", "stage/relay-1"] == f"energised though no input is wanted {where}"
