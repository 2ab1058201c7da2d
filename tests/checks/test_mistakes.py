"""Deliberate mistakes in the finished circuit: each must turn at least one finding to "error".

The mistake is made in the records, behind the sizing, as a slip in a block would make it.  `by` are the codes that
must see it; others may as well.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from making import (
    TEMPLATE_NAMES,
    composed,
    errors,
    examined,
    template,
    variant,
    with_part,
    without,
)
from rasterport import parts
from rasterport.checks import display_blanking
from rasterport.checks.bench import Bench, examine, modules
from rasterport.circuit import compose
from rasterport.records import GROUND
from slips import (
    Mistake,
    added,
    between,
    both,
    exchanged,
    gone,
    landings_crossed,
    net,
    net_of_end,
    part,
    scaled,
    swapped,
    twin,
    unlanded,
    value,
)

KESTREL, HERON, PLOVER, WREN, OSPREY = (template(n) for n in ("kestrel", "heron", "plover", "wren", "osprey"))
LEAKY = template("kestrel", {"set.rgb.leakage": "3 uA"})
BIASED = variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V"})
LOW_GATE = template("plover", {"selector.gate_active": "low"})
GATE_OR_PANEL = template("plover", {"selector.control": "status-or-panel"})
STATUS_OR_PANEL = variant({"selector.path": "relay", "selector.control": "status-or-panel", "input.status_contact": 16})
SEPARATED = variant({"set.sync.accepts": "clean-sync", "set.supply.voltage": "9 V"})
RELAY_12V = variant({"selector.path": "relay", "set.supply.voltage": "12 V"})
SOLDERED = template("kestrel", {"board.landing": "pads"})
REVERSED = parts.capacitor(10e-6, "smd", 16.0, "electrolytic")

VIDEO = [
    Mistake("doubled terminator", KESTREL, twin("input-1/green/termination"), {"F207", "F201", "F202"}),
    Mistake("missing terminator", KESTREL, gone("input-1/green/termination"), {"F207", "F201"}),
    Mistake("terminator of one colour off", KESTREL, value("input-1/red/termination", 82.0), {"F203"}),
    Mistake("red and green crossed at the landing", KESTREL, landings_crossed("red", "green"), {"F213", "F807"}),
    Mistake("red and green crossed at pads", SOLDERED, landings_crossed("red", "green"), {"F213", "F807"}),
    Mistake("red and blue crossed at the socket", KESTREL, swapped("input-1/socket", "red", "blue"), {"F213", "F807"}),
    Mistake("red shorted to green", KESTREL, net("input-1/socket", "red", "IN1_GREEN"), {"F807"}),
    Mistake("coupling a decade too large", KESTREL, scaled("blue/coupling", 10), {"F205"}),
    Mistake("coupling a decade too small", LEAKY, scaled("blue/coupling", 0.1), {"F204"}),
    Mistake("coupling left out", KESTREL, gone("red/coupling"), {"F213"}),
    Mistake("split upside down", PLOVER, exchanged("input-1/red/upper", "input-1/red/lower"), {"F202"}),
    Mistake("colour behind a pole of its own", KESTREL, net("red/coupling", "~", "IN1_RED_OPEN"), {"F213"}),
]  # fmt: skip
DIODE = parts.diode("flyback", "smd")
"""Stands for the Schottky type that somebody likes to put on an input: a rectifying diode either way."""
INTRUDERS = [
    Mistake("a diode from red to ground", KESTREL, added("input-1/red/guard", DIODE, K="IN1_RED", A=GROUND), {"F213"}),
    Mistake("a diode from green to the rail", HERON, added("guard", DIODE, K="RAIL", A="IN1_GREEN"), {"F213"}),
    Mistake("a diode on the sync line", PLOVER, added("guard", DIODE, K="SYNC_LANDING", A=GROUND), {"F506"}),
    Mistake("a diode on the sync line of a logic source", OSPREY,
            added("guard", DIODE, K="IN1_SYNC_FEED", A=GROUND), {"F506"}),
    Mistake("a transistor on an audio line", KESTREL,
            added("guard", parts.transistor("npn", "smd"), C="IN1_LEFT", E=GROUND), {"F607"}),
]  # fmt: skip
WIRE_75 = parts.resistor(75.0, "smd", 0.25)
MEASURED = parts.resistor(10e3, "smd")
TO_RAILS = [
    Mistake("a second terminator, to the rail", KESTREL,
            between("input-1/red/again", WIRE_75, "IN1_RED", "RAIL"), {"F201", "F807"}),
    Mistake("the rail on the sync landing", KESTREL,
            between("again", WIRE_75, "RAIL", "SYNC_LANDING"), {"F501", "F807"}),
    Mistake("the rail on an audio landing", KESTREL, between("again", MEASURED, "RAIL", "LEFT_LANDING"), {"F807"}),
    Mistake("the rail on a colour pin", KESTREL, between("again", MEASURED, "RAIL", "RED_PIN"), {"F204", "F807"}),
    Mistake("a resistor from a pin to ground", KESTREL, between("again", MEASURED, "RED_PIN", GROUND), {"F204"}),
    Mistake("a second coupling capacitor beside the first", KESTREL, twin("blue/coupling"), {"F205"}),
    Mistake("the sense base on the rail", HERON, between("again", MEASURED, "IN1_BASE", "RAIL"), {"F408"}),
    Mistake("the sense collector on ground", PLOVER, between("again", MEASURED, "IN1_SENSE", GROUND), {"F410"}),
    Mistake("the stage's output on the rail", HERON, between("again", MEASURED, "HIGH", "RAIL"), {"F410"}),
]  # fmt: skip
NATIVE = [
    Mistake("a diode on the set's own sync", KESTREL, added("guard", DIODE, K="SYNC_NATIVE", A=GROUND), {"F507"}),
    Mistake("a diode on the set's own sound", WREN, added("guard", DIODE, K="LEFT_NATIVE", A=GROUND), {"F606"}),
    Mistake("a diode on the blanking pin", KESTREL, added("guard", DIODE, K="BLANKING_PIN", A=GROUND), {"F307"}),
    Mistake("a diode on the set's own blanking", PLOVER,
            added("guard", DIODE, K="BLANKING_NATIVE", A=GROUND), {"F307"}),
    Mistake("a source that is not chosen without its load", WREN, gone("input-1/sync/dummy"), {"F508"}),
]  # fmt: skip
OPEN = [
    Mistake("regulator without ground", OSPREY, net("supply/regulator", "GND", "NOWHERE"), {"F811"}),
    Mistake("regulator's ground left open", OSPREY, net("supply/regulator", "GND", None), {"F811"}),
    Mistake("buffer without ground", OSPREY, net("input-1/sync/buffer", "GND", None), {"F811"}),
    Mistake("a terminator without ground", KESTREL, net_of_end("input-1/red/termination", GROUND, "OPEN"), {"F207"}),
    Mistake("a bleed resistor without ground", HERON,
            net_of_end("input-1/audio-left/bleed", GROUND, "NOWHERE"), {"F810"}),
    Mistake("a clamp without ground", HERON, net_of_end("input-1/red/clamp", GROUND, None), {"F810"}),
    Mistake("a bypass capacitor without ground", HERON, net_of_end("supply/bypass", GROUND, "NOWHERE"), {"F810"}),
    Mistake("sense emitter open", HERON, net("input-1/status/sense", "E", None), {"F408", "F810"}),
]  # fmt: skip
GROUNDS = [
    Mistake("a return of the socket open", KESTREL, net("input-1/socket", "green-return", None), {"F805"}),
    Mistake("a signal of the socket on ground", KESTREL, net("input-1/socket", "green", GROUND), {"F805"}),
    Mistake("one ground at the landing", OSPREY, lambda c: replace(c, landed=c.landed[1:]), {"F804"}),
]  # fmt: skip
SYNC = [
    Mistake("sync terminator doubled", KESTREL, twin("input-1/sync/termination"), {"F508"}),
    Mistake("sync terminator missing", KESTREL, gone("input-1/sync/termination"), {"F508"}),
    Mistake(
        "idle and active of the sync pole swapped", KESTREL, swapped("panel/switch", "a-2", "b-2"), {"F506", "F507"}
    ),
    Mistake("the same at a relay", PLOVER, swapped("stage/relay-1", "make-b", "break-b"), {"F506", "F507"}),
    Mistake("sync pole without its idle end", KESTREL, net("panel/switch", "b-2", None), {"F507"}),
    Mistake("plain parallel wiring", KESTREL, net("panel/switch", "b-2", "IN1_SYNC"), {"F507"}),
    Mistake(
        "sync and left crossed at the landing", KESTREL, landings_crossed("sync", "left"), {"F506", "F607", "F807"}
    ),
    Mistake("one inversion too few", OSPREY, both(net("input-1/sync/drive", "~", "IN1_SYNC_LOGIC")), {"F506"}),
    Mistake("drive resistor a decade too large", OSPREY, scaled("input-1/sync/drive", 10), {"F501"}),
    Mistake("drive resistor a decade too small", OSPREY, scaled("input-1/sync/drive", 0.1), {"F501"}),
    Mistake("buffer on the raw rail", OSPREY, net("input-1/sync/buffer", "VCC", "RAIL"), {"F709"}),
    Mistake("buffer without supply", OSPREY, net("input-1/sync/buffer", "VCC", "NOWHERE"), {"F506", "F709"}),
    Mistake("separator without its input", SEPARATED, net("input-1/sync/separator", "VIDEO", None), {"F506"}),
    Mistake("vertical sync for composite sync", SEPARATED,
            swapped("input-1/sync/separator", "CSYNC", "VSYNC"), {"F506"}),
    Mistake("separator on 5 V", SEPARATED, net("input-1/sync/separator", "VCC", "RAIL_5V"), {"F709"}),
    Mistake("separator without ground", SEPARATED, net("input-1/sync/separator", "GND", None), {"F811"}),
    Mistake("the load driven by the separator itself", SEPARATED,
            net_of_end("input-1/sync/drive", "IN1_SYNC_CLEAN", "IN1_SYNC_LOGIC"), {"F506"}),
    Mistake("buffer of a separator on the raw rail", SEPARATED, net("input-1/sync/buffer", "VCC", "RAIL"), {"F709"}),
    Mistake("picture too low for the separator", SEPARATED,
            between("again", parts.resistor(10.0, "smd"), "IN1_SYNC", GROUND), {"F423"}),
    Mistake("separator behind a small capacitor", SEPARATED, scaled("input-1/sync/separator-input", 0.001),
            {"F515", "F516"}),
    Mistake("separator without its timing resistor", SEPARATED, gone("input-1/sync/separator-set"), {"F517"}),
    Mistake("separator without its timing capacitor", SEPARATED, gone("input-1/sync/separator-time"), {"F517"}),
    Mistake("timing resistor of a separator a decade off", SEPARATED, scaled("input-1/sync/separator-set", 0.1),
            {"F517"}),
    Mistake("timing capacitor of a separator a decade off", SEPARATED, scaled("input-1/sync/separator-time", 10),
            {"F517"}),
    Mistake("sync blocked by a small capacitor", BIASED, scaled("input-1/sync/coupling", 0.001), {"F512"}),
    Mistake("dummy load too weak", WREN, part("input-1/sync/dummy", parts.resistor(75.0, "smd")), {"F801"}),
]  # fmt: skip
AUDIO = [
    Mistake("left and right crossed at the landing", KESTREL, landings_crossed("left", "right"), {"F607"}),
    Mistake("pad upside down", PLOVER, exchanged("input-1/audio-left/series", "input-1/audio-left/shunt"), {"F601"}),
    Mistake("pad without its lower resistor", PLOVER, gone("input-1/audio-left/shunt"), {"F601"}),
    Mistake("audio capacitor a decade too small", KESTREL, scaled("input-1/audio-left/coupling", 0.1), {"F602"}),
    Mistake("audio capacitor left out", KESTREL, gone("input-1/audio-left/coupling"), {"F607"}),
    Mistake("series resistor too small for a dead set", KESTREL, scaled("input-1/audio-left/series", 0.1), {"F703"}),
    Mistake("audio pole without its idle end", KESTREL, net("panel/switch", "b-3", None), {"F606"}),
]  # fmt: skip
BLANKING = [
    Mistake("divider upside down", HERON, exchanged("blanking/upper", "blanking/lower"), {"F302"}),
    Mistake(
        "divider upside down, switch",
        KESTREL,
        both(exchanged("blanking/upper", "blanking/lower"), value("blanking/upper", 200.0)),
        {"F302"},
    ),
    Mistake(
        "a single lower resistor",
        KESTREL,
        both(gone("blanking/lower-spare"), value("blanking/lower", 1000.0)),
        {"F304"},
    ),
    Mistake(
        "a single lower resistor, status",
        HERON,
        both(gone("blanking/lower-spare"), value("blanking/lower", 1000.0)),
        {"F304"},
    ),
    Mistake("upper resistor open", KESTREL, gone("blanking/upper"), {"F306"}),
    Mistake("no lower resistor", KESTREL, gone("blanking/lower", "blanking/lower-spare"), {"F302", "F304"}),
    Mistake("the set's own wire left off", PLOVER, net("stage/relay-1", "break-a", None), {"F305"}),
    Mistake(
        "the set's own wire off the board",
        PLOVER,
        unlanded("blanking-native"),
        {"F305"},
    ),
    Mistake("not grounded when native", KESTREL, net("panel/switch", "b-1", None), {"F305"}),
    Mistake("blanking pole swapped", KESTREL, swapped("panel/switch", "a-1", "b-1"), {"F306"}),
    Mistake("blanking pole always on the drive", KESTREL, net("panel/switch", "b-1", "BLANKING_DRIVE"), {"F303"}),
    Mistake("lower resistor on the pin's side", PLOVER, net("blanking/lower", "~", "BLANKING_PIN"), {"F305"}),
]  # fmt: skip
STATUS = [
    Mistake(
        "12 V on contact 16 and a small load resistor",
        HERON,
        part("input-1/status/load-a", parts.resistor(150.0, "smd")),
        {"F404"},
    ),
    Mistake(
        "12 V on contact 16 and a small series resistor",
        HERON,
        part("input-1/status/series", parts.resistor(1000.0, "smd")),
        {"F404"},
    ),
    Mistake(
        "12 V on contact 8 and a small series resistor",
        PLOVER,
        part("input-1/status/series", parts.resistor(100.0, "smd")),
        {"F403", "F404"},
    ),
    Mistake(
        "12 V on contact 11 and a small series resistor",
        WREN,
        part("input-1/status/series", parts.resistor(100.0, "through-hole")),
        {"F403", "F404"},
    ),
    Mistake("sense emitter and collector swapped", HERON, swapped("input-1/status/sense", "C", "E"), {"F408"}),
    Mistake("sense base and emitter swapped", HERON, swapped("input-1/status/sense", "B", "E"), {"F408"}),
    Mistake("high-side emitter and collector swapped", HERON, swapped("high-side/pass", "C", "E"), {"F306", "F410"}),
    Mistake("the same before relays", PLOVER, swapped("high-side/pass", "C", "E"), {"F410", "F710"}),
    Mistake("series resistor of the sense stage missing", HERON, gone("input-1/status/series"), {"F408"}),
    Mistake("base resistor to ground missing", PLOVER, gone("input-1/status/base"), {"F408"}),
    Mistake("base resistor of the high-side stage missing", PLOVER, gone("high-side/base"), {"F410"}),
    Mistake("hold-off resistor missing", PLOVER, gone("high-side/hold-off"), {"F410"}),
    Mistake("high-side base starved", HERON, scaled("high-side/base", 15), {"F411"}),
    Mistake("sense divider turned round", PLOVER, exchanged("input-1/status/series", "input-1/status/base"), {"F401"}),
    Mistake("sense divider too steep", PLOVER, scaled("input-1/status/base", 0.5), {"F402"}),
    Mistake("load of contact 16 missing", HERON, gone("input-1/status/load-a", "input-1/status/load-b"), {"F403"}),
    Mistake("load of contact 16 doubled", HERON, twin("input-1/status/load-a"), {"F403"}),
    Mistake("throws of a switch beside status swapped", STATUS_OR_PANEL,
            swapped("panel/switch", "a-1", "b-1"), {"F408", "F710"}),
    Mistake("a switch beside status without its ground", STATUS_OR_PANEL,
            net("panel/switch", "common-1", None), {"F408", "F710"}),
]  # fmt: skip
GATE = [
    Mistake("clamp on the wrong node", PLOVER, net("gate/clamp", "C", "IN1_STATUS"), {"F412"}),
    Mistake("clamp on a sense base", PLOVER, net("gate/clamp", "C", "IN1_BASE"), {"F412"}),
    Mistake("clamp on the return", PLOVER, net("gate/clamp", "C", "STATUS_RETURN"), {"F412"}),
    Mistake("clamp left out", LOW_GATE, gone("gate/clamp"), {"F412"}),
    Mistake("FET of the gate left out", PLOVER, gone("gate/return"), {"F408", "F412"}),
    Mistake("its drain and source swapped", PLOVER, swapped("gate/return", "D", "S"), {"F408", "F412"}),
    Mistake("its gate on the rail", PLOVER, net("gate/return", "G", "RAIL"), {"F412"}),
    Mistake("its gate on ground", LOW_GATE, net("gate/return", "G", GROUND), {"F408", "F412"}),
    Mistake("its gate open", PLOVER, net("gate/return", "G", None), {"F412", "F810"}),
    Mistake("its source open", PLOVER, net("gate/return", "S", None), {"F408", "F810"}),
    Mistake("a sense stage past the FET", PLOVER, net("input-1/status/sense", "E", GROUND), {"F412"}),
    Mistake("the same beside a panel switch", GATE_OR_PANEL, net("input-1/status/sense", "E", "AUTOMATIC"), {"F412"}),
    Mistake("no pull at the FET's gate", PLOVER, gone("gate/open"), {"F408", "F416"}),
    Mistake("its pull to ground", PLOVER, net_of_end("gate/open", "RAIL", GROUND), {"F408", "F416"}),
    Mistake("its pull on the gate line", PLOVER, net_of_end("gate/open", "RAIL", "GATE"), {"F416"}),
    Mistake("its pull two decades too small", PLOVER, scaled("gate/open", 0.01), {"F413", "F801"}),
    Mistake("the same without an inverter", LOW_GATE, scaled("gate/open", 0.01), {"F407", "F801"}),
    Mistake("its pull two decades too large", PLOVER, scaled("gate/open", 100), {"F416"}),
    Mistake("clamp emitter and collector swapped", PLOVER, swapped("gate/clamp", "C", "E"), {"F412"}),
    Mistake("inverter emitter and collector swapped", PLOVER, swapped("gate/invert", "C", "E"), {"F406"}),
    Mistake("no pull", PLOVER, gone("gate/pull"), {"F406", "F412"}),
    Mistake("no feed", PLOVER, gone("gate/feed"), {"F412"}),
    Mistake("starved clamp", PLOVER, scaled("gate/feed", 300), {"F413"}),
    Mistake("gate series resistor a decade too large", PLOVER, scaled("gate/series", 10), {"F407"}),
    Mistake("gate series resistor a decade too small", PLOVER, scaled("gate/series", 0.05), {"F406"}),
    Mistake("gate not wired", LOW_GATE, gone("gate/series"), {"F406"}),
]  # fmt: skip
SUPPLY = [
    Mistake("electrolytic reversed", KESTREL, swapped("supply/bulk", "+", "-"), {"F803"}),
    Mistake("polarised capacitor on the sync line", BIASED, part("input-1/sync/coupling", REVERSED), {"F803"}),
    Mistake("capacitor rated too low", HERON, part(
        "supply/bulk", replace(parts.capacitor(47e-6, "smd", 16.0, "electrolytic"), ratings={
            "voltage_v": 6.3, "polarised": 1.0, "tolerance_pct": 20.0})), {"F802"}),
    Mistake("element of the tap missing", KESTREL, gone("supply/element"), {"F711"}),
    Mistake("PTC too small", PLOVER, part("supply/element", replace(
        parts.ptc("smd"), ratings={**parts.ptc("smd").ratings, "hold_70c_a": 0.05})), {"F708"}),
    Mistake("coil on a rail that is too low", RELAY_12V, part("stage/relay-1", parts.relay(12.0, "smd")), {"F706"}),
    Mistake("coil on a rail that is too high", PLOVER, net("stage/relay-1", "coil+", "RAIL"), {"F707"}),
    Mistake("coil without supply", PLOVER, gone("stage/dropper-1"), {"F706"}),
    Mistake("dropper a decade too small", PLOVER, scaled("stage/dropper-1", 0.1), {"F707"}),
    Mistake("driver drain and source swapped", PLOVER, swapped("stage/driver-1", "D", "S"), {"F706"}),
    Mistake("driver gate open", PLOVER, net("stage/driver-1", "G", "OPEN_GATE"), {"F710"}),
    Mistake("driver gate always on", PLOVER, net("stage/gate-series", "~", "RAIL"), {"F710"}),
    Mistake("called in both positions", RELAY_12V, net("panel/switch", "b-1", "IN1_SENSE"), {"F303", "F710"}),
    Mistake("the rail on the native throw", RELAY_12V, net("panel/switch", "b-1", "RAIL"), {"F701"}),
    Mistake("the panel switch without its ground", RELAY_12V, net("panel/switch", "common-1", None), {"F306", "F710"}),
    Mistake("the panel switch past the base resistor", RELAY_12V,
            net("panel/switch", "a-1", "HIGH_BASE"), {"F701", "F801"}),
    Mistake("high-side stage of a panel switch turned round", RELAY_12V, swapped("high-side/pass", "C", "E"),
            {"F306", "F710"}),
    Mistake("base of that stage on ground", RELAY_12V, net_of_end("high-side/base", "IN1_SENSE", GROUND),
            {"F303", "F710"}),
    Mistake("base of that stage held off by nothing", RELAY_12V, gone("high-side/hold-off"), {"F410"}),
    Mistake("base of that stage starved", RELAY_12V, scaled("high-side/base", 15), {"F411"}),
    Mistake("no pull at the gates", PLOVER, gone("stage/gate-pull"), {"F710"}),
    Mistake("flyback diode reversed", PLOVER, swapped("stage/flyback-1", "A", "K"), {"F712"}),
    Mistake("flyback diode missing", PLOVER, gone("stage/flyback-1"), {"F712"}),
    Mistake("termination too weak", KESTREL, part(
        "input-1/red/termination", parts.resistor(75.0, "smd")), {"F801"}),
]  # fmt: skip
ALL = [*VIDEO, *INTRUDERS, *TO_RAILS, *NATIVE, *OPEN, *GROUNDS, *SYNC, *AUDIO, *BLANKING, *STATUS, *GATE, *SUPPLY]


@pytest.mark.parametrize("mistake", ALL, ids=lambda m: m.name)
def test_is_seen(mistake: Mistake) -> None:
    mistake.must_be_seen()


STAGE = [
    (name, placed.role)
    for name in TEMPLATE_NAMES
    for placed in composed(name).parts
    if placed.part.letter == "R" and placed.role.startswith(("blanking/", "high-side/"))
]


@pytest.mark.parametrize(("name", "role"), STAGE)
def test_each_single_resistor_of_the_blanking_stage_open_is_an_error(name: str, role: str) -> None:
    made = template(name)
    good, findings = examined(made)
    assert errors(findings) == set()
    found = errors(examine(made, without(good, role)))
    # Of several inputs the first one's blanking has its figures; that another's does not follow is F424.
    others = {"F424"} if len(made.input) > 1 else set()
    # A pin that the set's display drives too has findings of its own.
    others |= {*display_blanking.CODES, "F713"} if made.set.display is not None else set()
    assert found & {"F301", "F302", "F303", "F304", "F305", "F306", "F410", *others}, found


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"input.ttl_high_least": "1 V"}, "F513"),
        ({"input.ttl_high_most": "12 V", "board.clamps": True}, "F809"),
    ],
    ids=["source too weak for the buffer", "clamp below the source's level"],
)
def test_a_source_that_cannot_work_is_an_error(changes: dict[str, object], code: str) -> None:
    _, findings = examined(template("osprey", changes))
    assert errors(findings) == {code}


@pytest.mark.parametrize("polarity", ["positive", "negative"])
def test_an_input_that_floats_is_an_error(polarity: str) -> None:
    # 75 ohm that stays in the set is a load that no logic output drives without the buffer.
    landing = {"set.sync.arrangement": "dedicated", "set.sync.termination": "fixed"}
    made = template("osprey", {"input.sync_polarity": polarity, **landing})
    good, findings = examined(made)
    assert errors(findings) == set()
    idle = good.by_role("input-1/sync/idle").nets.values()
    assert (GROUND in idle) == (polarity == "positive"), "nothing plugged in means no sync"
    assert "F713" in errors(examine(made, without(good, "input-1/sync/idle")))


def test_a_landing_without_a_place_is_a_warning() -> None:
    _, findings = examined(template("kestrel", {"set.second_ground_at": None, "set.sync.at_native": " "}))
    (told,) = (f for f in findings if f.code == "F808")
    assert told.severity == "warning"
    assert told.message.endswith(": ground-2, sync-native")


def test_with_the_rail_off_every_landing_is_judged_or_said_not_to_be() -> None:
    for name in TEMPLATE_NAMES:
        circuit, findings = examined(template(name))
        subjects = {f.subject for f in findings if f.code == "F703"}
        driven = {x.name for x in circuit.landed if not x.name.startswith(("ground", "screens"))}
        switches = {p.role for p in circuit.parts if p.part.key.startswith("analog-switch/")}
        assert subjects == {n for n in driven if not n.endswith("-native")} | switches, name


def test_a_standby_rail_is_an_error() -> None:
    _, findings = examined(template("kestrel", {"set.supply.kind": "standby"}))
    assert errors(findings) == {"F702"}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_good_circuit_has_no_error(name: str) -> None:
    _, findings = examined(template(name))
    assert errors(findings) == set()
    assert len(findings) > 30


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_turning_a_resistor_round_is_no_mistake(name: str) -> None:
    """Its two ends are alike: no finding may hang on which of them comes first."""
    made = template(name)
    circuit, findings = examined(made)
    for placed in circuit.parts:
        if placed.part.letter == "R":
            a, b = placed.nets.values()
            circuit = with_part(circuit, replace(placed, nets=dict(zip(placed.nets, (b, a), strict=True))))
    # A wiring list that names the ends tells them apart, and must.
    turned = [f for f in examine(made, circuit) if f.code != "F823"]
    findings = tuple(f for f in findings if f.code != "F823")
    assert [(f.code, f.severity, f.subject) for f in turned] == [(f.code, f.severity, f.subject) for f in findings]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_checks_that_a_board_does_without_find_nothing_on_it(name: str) -> None:
    made = template(name)
    bench = Bench(made, compose(made))
    needed = modules(bench)
    spared = [module for module in modules() if module not in needed]
    assert spared
    assert [finding for module in spared for finding in module.check(bench)] == []


def test_codes_are_used_once_and_every_one_says_what_it_is() -> None:
    seen: dict[str, str] = {}
    for module in modules():
        for code, text in module.CODES.items():
            assert code not in seen, f"{code}: {seen.get(code)} and {text}"
            seen[code] = text
    assert len(seen) > 50
