"""The switching of boards with several inputs: every state against what priority means, worked out here once more.

The rule: of the inputs that call the first wins; a switch that does not stand at automatic overrides them; without
the rail only what is thrown by hand stays.  What follows from it for landings, blanking and relays is told below in
plain Python, from the variant alone.
"""

from __future__ import annotations

import itertools
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import cache
from typing import Any

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from making import errors, examined, several, with_net
from rasterport import parts
from rasterport.analysis.intent import Proof
from rasterport.analysis.outcomes import outcomes
from rasterport.checks.bench import Bench, examine
from rasterport.checks.switching import RULES, check
from rasterport.circuit import compose
from rasterport.emit.findings import findings_text
from rasterport.errors import Refused
from rasterport.records import GROUND, Circuit, Finding, Outcome
from rasterport.variant.models import Variant
from slips import Mistake, between, both, crossed, gone, net, net_of_end, shorted, swapped, value

# What a board is to do.

AUTOMATIC = -1
CONTACTS = ("european-21", "japanese-21")
"""Sockets with a status contact; the others are chosen by the switch."""
SOUND = (*CONTACTS, "phono-4")
BACK = ("changeover", "after-switch")
NATIVE_PIN = {"grounded": "ground", "open": "open", "driven": "set"}
LEVELS = ("open", "at its off limit", "at its on limit", "at 12 V")
CALLING = LEVELS[2:]
MOST_BYTES = 200_000

Row = tuple[str, str, tuple[tuple[str, str], ...], str, frozenset[tuple[str, str]]]
"""Wanted, rail, what reaches each landing, blanking, relays."""


@dataclass(frozen=True)
class State:
    """One state: position of the switch by its meaning (None without one), inputs that call, gate open, rail on."""

    switch: int | None
    calls: tuple[int, ...]
    gate: bool
    rail: bool


def positions(made: Variant) -> tuple[int | None, ...]:
    """Meanings of the switch's positions, in their order."""
    numbers, control = range(1, len(made.input) + 1), made.selector.control
    without = [n for n in numbers if made.input[n - 1].socket not in CONTACTS]
    if control == "status" and not without:
        return (None,)
    if control == "panel" or len(without) == len(made.input):
        return (0, *numbers)
    return (AUTOMATIC, 0, *numbers)


def read(made: Variant) -> tuple[int, ...]:
    """Inputs whose status contact is read."""
    numbered = enumerate(made.input, 1)
    return tuple(n for n, s in numbered if made.selector.control != "panel" and s.socket in CONTACTS)


def states(made: Variant) -> Iterator[State]:
    """Every state, the levels of a status contact told apart only by whether they call."""
    gates = (False, True) if made.selector.gate == "line" else (True,)
    for switch, gate, rail in itertools.product(positions(made), gates, (False, True)):
        for calling in itertools.product((False, True), repeat=len(read(made))):
            calls = tuple(n for n, on in zip(read(made), calling, strict=True) if on)
            yield State(switch, calls, gate, rail)


def wanted(made: Variant, at: State) -> int:
    """The input that is to be shown, 0 for native."""
    if not at.rail and made.selector.path != "gang":
        return 0
    if at.switch is not None and at.switch != AUTOMATIC:
        return at.switch
    return min(at.calls, default=0) if at.gate else 0


def row(made: Variant, circuit: Circuit, at: State) -> Row:
    """What a board does in a state."""
    index = wanted(made, at)
    name = f"input-{index}" if index else "native"
    reaches = tuple((line, _reaches(made, circuit, line, index, at.rail)) for line in lines(made))
    shown = {True: "driven", False: "ground"}  # without the rail a switch still puts the divider's foot on the pin
    pin = shown[at.rail] if index else NATIVE_PIN[made.set.blanking.native]
    relays = ((p.ref, _energised(p.role, index)) for p in circuit.parts if p.part.letter == "K")
    return name, "on" if at.rail else "off", reaches, pin, frozenset(relays)


def lines(made: Variant) -> tuple[str, ...]:
    audio = made.set.audio
    if audio is None or not any(_sounds(made, n) for n in range(1, len(made.input) + 1)):
        return ("red", "green", "blue", "sync")
    return ("red", "green", "blue", "sync", *(("left",) if audio.channels == "mono" else ("left", "right")))


def _sounds(made: Variant, index: int) -> bool:
    source = made.input[index - 1]
    return source.audio != "none" and source.socket in SOUND


def _reaches(made: Variant, circuit: Circuit, line: str, index: int, rail: bool) -> str:
    audio = made.set.audio
    if index:
        silent = line in ("left", "right") and not _sounds(made, index)
        dead = line == "sync" and not rail and circuit.has(f"input-{index}/sync/buffer")
        return "nothing" if silent or dead else f"input-{index}"
    own = {"sync": made.set.sync.arrangement in BACK}
    own |= dict.fromkeys(("left", "right"), audio is not None and audio.arrangement in BACK)
    return "set" if own.get(line) else "nothing"


def _energised(role: str, index: int) -> str:
    """Of a chain the stage of the winner and no other; the common stage whenever an input is shown."""
    stage = role.split("/")[0]
    return "on" if index and stage in ("stage", f"select-{index}") else "off"


def expected(made: Variant, circuit: Circuit) -> Counter[Row]:
    """Rows with their numbers of states: a contact calls at two of its four levels and does not at two."""
    found: Counter[Row] = Counter()
    for at in states(made):
        found[row(made, circuit, at)] += 2 ** len(read(made))
    return found


def told(table: Iterable[Outcome]) -> Counter[Row]:
    """Rows of a truth table with their numbers of states."""
    found: Counter[Row] = Counter()
    for o in table:
        found[o.wanted, o.rail, o.reaches, o.blanking, frozenset(o.relays)] += o.states
        assert not o.undecided
    return found


def codes(proof: Proof) -> set[str]:
    """Numbers of the rules that a board breaks."""
    return {RULES[offence.rule][0] for offence in proof.offences()}


# Boards.

NINE, FIVE = {"set.supply.voltage": "9 V"}, {"set.supply.voltage": "5 V", "set.audio.maximum": "1 V"}
LINE = {"selector.gate": "line", "selector.gate_high": "3.5 V"}
CONTROLS = ("panel", "status", "status-or-panel")
TTL = {"socket": "de-15", "sync": "ttl-composite"}
BNC: dict[str, Any] = {"socket": "bnc-4"}
EUROPEAN, EUROPEAN_8 = ({"socket": "european-21", "status_contact": n} for n in (16, 8))
JAPANESE, JAPANESE_11 = ({"socket": "japanese-21", "status_contact": n} for n in (16, 11))
MIXED: dict[int, list[Mapping[str, Any]]] = {
    2: [BNC, EUROPEAN],
    3: [JAPANESE_11, TTL, EUROPEAN_8],
    4: [EUROPEAN, JAPANESE, TTL, BNC],
}
QUIET: list[Mapping[str, Any]] = [{**EUROPEAN, "audio": "none"}, EUROPEAN_8, {**JAPANESE_11, "audio": "mono"}]
MONO = {"set.audio.channels": "mono"}
LIFTED = {"set.sync.termination": "none"}
TAKEN, NORMALLED, AFTER = (
    {**LIFTED, **{f"set.{name}.arrangement": how for name in ("sync", "audio")}}
    for how in ("dedicated", "normalled", "after-switch")
)
PATHS: tuple[tuple[str, str, Mapping[str, Any]], ...] = (
    ("gang", "panel", {}),
    ("relay", "status-or-panel", NINE),
    ("cmos", "status-or-panel", NINE),
    ("cmos", "status", FIVE),
)


def matrix() -> dict[str, Variant]:
    """Every path with every number of inputs and every control, and each oddity on every path."""
    found = {f"gang {n}": several(n, "gang") for n in (2, 3, 4)}
    sizes: Iterable[tuple[str, int, Mapping[str, Any]]] = (
        [("relay", n, {}) for n in (2, 3)] + [("cmos", n, NINE) for n in (2, 4)] + [("cmos", 8, FIVE)]
    )
    for path, n, rail in sizes:
        for control in CONTROLS:
            found[f"{path} {n} {control}"] = several(n, path, control, rail)
            if control != "panel":
                found[f"{path} {n} {control}, gate"] = several(n, path, control, {**rail, **LINE})
    low = {**LINE, "selector.gate_active": "low"}
    found["relay, gate low"] = several(2, "relay", "status", low)
    found["cmos, gate low"] = several(2, "cmos", "status-or-panel", {**FIVE, **low})
    for path, control, rails in PATHS:
        rail, name = dict(rails), f"{path} {control}"
        found[f"{name}, quiet"] = several(QUIET, path, control, rail)
        found[f"{name}, quiet, mono"] = several(QUIET, path, control, {**rail, **MONO})
        found[f"{name}, mono"] = several(2, path, control, {**rail, **MONO})
        found[f"{name}, dedicated"] = several(3, path, control, {**rail, **TAKEN})
        found[f"{name}, normalled"] = several(2, path, control, {**rail, **NORMALLED})
        found[f"{name}, after the switch"] = several(2, path, control, {**rail, **AFTER})
        found[f"{name}, no audio"] = several(2, path, control, {**rail, "set.audio": None})
        for native in ("open", "driven"):
            found[f"{name}, {native}"] = several(2, path, control, {**rail, "set.blanking.native": native})
        for n, tables in MIXED.items():
            if path != "relay" or n < 4:
                found[f"{name}, mixed {n}"] = several(tables, path, control, rail)
        if rails is not FIVE:
            clean = {**rail, **NINE, "set.sync.accepts": "clean-sync"}
            found[f"{name}, clean sync"] = several(2, path, control, clean)
    found["gang, nothing to read"] = several([BNC, TTL], "gang", "status")
    found["cmos, nothing to read"] = several([BNC, TTL, BNC], "cmos", "status-or-panel", NINE)
    return found


BOARDS = matrix()


@pytest.mark.parametrize("name", BOARDS)
def test_every_state_is_what_priority_says(name: str) -> None:
    made = BOARDS[name]
    circuit = compose(made)
    proof = Proof(circuit, made)
    assert list(proof.offences()) == []
    table = outcomes(proof)
    assert told(table) == expected(made, circuit)
    gates = 2 if made.selector.gate == "line" else 1
    assert sum(o.states for o in table) == proof.walk.size == 4 ** len(read(made)) * len(positions(made)) * gates * 2
    written = json.loads(findings_text((), (), "finch", "0" * 64, "", table))["states"]
    assert len(written) == len(table)
    assert len(json.dumps(written)) < MOST_BYTES


def test_eight_inputs_are_more_than_a_million_states_in_ten_rows() -> None:
    made = BOARDS["cmos 8 status-or-panel"]
    found = expected(made, compose(made))
    assert sum(found.values()) == 4**8 * 10 * 2 == 1_310_720
    assert len(found) == 10  # native with the rail and without it, and eight inputs


# Three tables worked out to the number.


def by_hand(name: str) -> tuple[Variant, Circuit, Counter[tuple[str, str]]]:
    """A board, and how many of its states end in which input with which rail: each state counted by itself."""
    made = BOARDS[name]
    found: Counter[tuple[str, str]] = Counter()
    for at in itertools.product(LEVELS, repeat=len(read(made))):
        calling = [n for n, level in zip(read(made), at, strict=True) if level in CALLING]
        for switch, rail in itertools.product(positions(made), ("off", "on")):
            index = switch if switch is not None and switch >= 0 else calling[0] if calling else 0
            index = index if rail == "on" or made.selector.path == "gang" else 0
            found[f"input-{index}" if index else "native", rail] += 1
    return made, compose(made), found


ALL = ("red", "green", "blue", "sync", "left", "right")
SETS_OWN = {**dict.fromkeys(ALL[:3], "nothing"), **dict.fromkeys(ALL[3:], "set")}
CHAIN = {1: ("K21", "K22", "K23"), 2: ("K41", "K42", "K43")}
"""Relays of the two stages of six lines: two lines a relay."""
HAND = {
    # 4 positions (automatic, native, 1, 2), 4 levels of each of 2 contacts.  At automatic input 1 calls in 2 x 4,
    # input 2 alone in 2 x 2, nobody in 2 x 2; every other position decides by itself in 4 x 4.
    "relay 2 status-or-panel": {
        ("native", "on"): 4 + 16, ("native", "off"): 64, ("input-1", "on"): 8 + 16, ("input-2", "on"): 4 + 16,
    },
    # 4 contacts: input n wins in 2 of its 4 levels with 2 levels of each before it and 4 of each behind it.
    "cmos 4 status": {
        ("native", "on"): 2**4, ("native", "off"): 4**4,
        ("input-1", "on"): 2 * 4**3, ("input-2", "on"): 2**2 * 4**2,
        ("input-3", "on"): 2**3 * 4, ("input-4", "on"): 2**4,
    },
    # A position is a state, with the rail and without it.
    "gang 3": {(who, rail): 1 for who in ("native", "input-1", "input-2", "input-3") for rail in ("on", "off")},
}  # fmt: skip


@pytest.mark.parametrize("name", HAND)
def test_a_table_worked_out_by_hand(name: str) -> None:
    made, circuit, counted = by_hand(name)
    assert counted == HAND[name]
    table = {(o.wanted, o.rail): o for o in outcomes(Proof(circuit, made))}
    assert {key: o.states for key, o in table.items()} == counted
    for (who, rail), o in table.items():
        index = 0 if who == "native" else int(who[-1])
        assert dict(o.reaches) == (dict.fromkeys(ALL, who) if index else SETS_OWN)
        assert o.blanking == ("driven" if index and rail == "on" else "ground")
        on = {ref for ref, word in o.relays if word == "on"}
        if name.startswith("relay"):
            assert [ref for ref, _ in o.relays] == [*CHAIN[1], *CHAIN[2], "K1"]
            assert on == ({*CHAIN[index], "K1"} if index else set())
        else:
            # Blanking, sync and two of sound are four poles behind the analog switches.
            assert [ref for ref, _ in o.relays] == (["K1", "K2"] if name.startswith("cmos") else [])
            assert on == ({"K1", "K2"} if index and name.startswith("cmos") else set())


# Conditions.

SMALL = ("gang 3", "relay 2 status-or-panel", "relay 3 panel", "relay 2 status, gate", "cmos 4 status",
         "cmos 2 status-or-panel, gate", "cmos status, mixed 4")  # fmt: skip


def holds(condition: str, at: Mapping[str, str]) -> bool:
    """Whether a condition in words holds in a state; `at` has the value of each axis by its name."""
    return any(all(_fact(fact, at) for fact in term.split(", ")) for term in condition.split("; or "))


def _fact(fact: str, at: Mapping[str, str]) -> bool:
    if fact == "always":
        return True
    (name,) = (name for name in at if fact.startswith(f"{name} "))
    return at[name] in fact.removeprefix(f"{name} ").split(" or ")


@pytest.mark.parametrize("name", SMALL)
def test_of_all_conditions_one_holds_in_each_state(name: str) -> None:
    made = BOARDS[name]
    circuit = compose(made)
    proof = Proof(circuit, made)
    table = outcomes(proof)
    assert not any("more cases" in o.condition for o in table)
    axes = proof.walk.axes
    counted: Counter[int] = Counter()
    for values in itertools.product(*(axis.values for axis in axes)):
        at = dict(zip((axis.name for axis in axes), values, strict=True))
        true = [n for n, o in enumerate(table) if holds(o.condition, at)]
        assert len(true) == 1, (at, true)
        assert table[true[0]].wanted == _shown(made, at), at
        counted[true[0]] += 1
    assert counted == {n: o.states for n, o in enumerate(table)}


def _shown(made: Variant, at: Mapping[str, str]) -> str:
    """What is wanted in a state that is given in words."""
    calls = [n for n in read(made) if at[f"input-{n} status-{made.input[n - 1].status_contact}"] in CALLING]
    switch = at.get("switch S1")
    meaning = None if switch is None else positions(made)[int(switch.removeprefix("at ")) - 1]
    gate = at.get("gate", "") in ("", made.selector.gate_active)
    index = wanted(made, State(meaning, tuple(calls), gate, at["rail"] == "on"))
    return f"input-{index}" if index else "native"


# Boards at random.


@st.composite
def inputs(draw: st.DrawFn) -> dict[str, Any]:
    socket = draw(st.sampled_from((*CONTACTS, *CONTACTS, "de-15", "bnc-4", "phono-4")))
    kinds = ("composite-video", "composite-sync", "ttl-composite")
    found: dict[str, Any] = {
        "socket": socket,
        "sync": draw(st.sampled_from(kinds[1:] if socket == "de-15" else kinds)),
        "sync_polarity": draw(st.sampled_from(("negative", "positive"))),
        "audio": draw(st.sampled_from(("stereo", "mono", "none"))),
        "audio_maximum": "1 V",
        "mounting": draw(st.sampled_from(("board", "panel"))),
    }
    contacts = {"european-21": (16, 8), "japanese-21": (16, 11)}.get(socket)
    return found if contacts is None else {**found, "status_contact": draw(st.sampled_from(contacts))}


@st.composite
def variants(draw: st.DrawFn) -> Variant:
    path, most = draw(st.sampled_from((("gang", 4), ("relay", 3), ("cmos", 4))))
    tables: list[dict[str, Any]] = draw(st.lists(inputs(), min_size=2, max_size=most))
    contacts = [t for t in tables if t["socket"] in CONTACTS]
    control = draw(st.sampled_from(CONTROLS[:1] if path == "gang" and contacts else CONTROLS))
    rails = {"gang": ("5 V", "9 V"), "relay": ("9 V", "12 V"), "cmos": ("5 V", "9 V", "12 V")}[path]
    arrangements = ("changeover", "after-switch", "dedicated", "normalled")
    rail = draw(st.sampled_from(rails))
    gated: bool = draw(st.booleans())
    changes: dict[str, Any] = {
        "set.supply.voltage": rail,
        "set.supply.spare_current": "500 mA",
        "set.sync.arrangement": draw(st.sampled_from(arrangements)),
        "set.sync.accepts": draw(st.sampled_from(("video", "clean-sync") if rail == "9 V" else ("video",))),
        "set.sync.coupling": draw(st.sampled_from(("ac", "dc"))),
        "set.sync.termination": "none",
        "set.audio.arrangement": draw(st.sampled_from(arrangements)),
        "set.audio.channels": draw(st.sampled_from(("stereo", "mono"))),
        "set.blanking.native": draw(st.sampled_from(tuple(NATIVE_PIN))),
        "set.rgb.white_level": draw(st.sampled_from(("0.7 V", "0.5 V"))),
        "board.construction": draw(st.sampled_from(("smd", "through-hole"))),
        "board.clamps": draw(st.booleans()),
    }
    if control != "panel" and contacts and gated:
        changes |= {**LINE, "selector.gate_active": draw(st.sampled_from(("high", "low")))}
    return several(tables, path, control, changes)


@given(variants())
@settings(max_examples=50)
def test_any_board_that_composes_is_what_priority_says(made: Variant) -> None:
    try:
        circuit = compose(made)
    except Refused:
        reject()
    proof = Proof(circuit, made)
    assert list(proof.offences()) == []
    assert told(outcomes(proof)) == expected(made, circuit)


# Mistakes.  `by` are exactly the rules that see them.

C2, C4, C4_74HC = (BOARDS[f"cmos {n}"] for n in ("2 status", "4 status", "status, mixed 4"))
C2_5V, C5_5V = (several(n, "cmos", "status", FIVE) for n in (2, 5))
C2_PANEL, C7_PANEL = several(2, "cmos", "panel", FIVE), several(7, "cmos", "panel", NINE)
C2_BOTH, C4_BOTH = several(2, "cmos", "status-or-panel", {**FIVE, **LINE}), BOARDS["cmos 4 status-or-panel"]
R2, R2_BOTH, R2_PANEL = (BOARDS[f"relay 2 {control}"] for control in ("status", "status-or-panel", "panel"))
R3, R3_GATE, R3_PANEL = (BOARDS[f"relay 3 {n}"] for n in ("status", "status-or-panel, gate", "panel"))
G2, G3, G4 = (BOARDS[f"gang {n}"] for n in (2, 3, 4))
ENCODER, SWITCH, INVERTER, PANEL = "priority/encoder", "selector/4052-1", "priority/invert-1", "panel/switch"
EVERYWHERE = {"F421", "F424", "F425"}
"""An input that is wanted is not shown, blanking follows the wrong one, native is not native."""
OPEN_PIN = {"F426", "F427"}
"""An input of a chip is at no level, and what the chip then does cannot be told."""

ENCODERS = [
    Mistake("select lines swapped at one switch", C4, crossed(SWITCH, "SELECT_0", "SELECT_1"), {"F421"}),
    Mistake("select lines swapped at the encoder", C4, swapped(ENCODER, "Q0", "Q1"), {"F421"}),
    Mistake("select lines swapped at a 74HC148", C4_74HC, swapped(ENCODER, "A0", "A1"), {"F421"}),
    Mistake("the first two of priority swapped", C4, swapped(ENCODER, "D7", "D6"), {"F421"}),
    Mistake("the last two of priority swapped", C4, swapped(ENCODER, "D5", "D4"), {"F421"}),
    Mistake("priority of a 74HC148 swapped", C2_5V, swapped(ENCODER, "I7", "I6"), {"F421"}),
    Mistake("calls swapped in front of the inverters", C4, swapped(INVERTER, "1A", "2A"), {"F421"}),
    Mistake("GS and EO swapped", C4, swapped(ENCODER, "GS", "EO"), EVERYWHERE),
    Mistake("GS and EO of a 74HC148 swapped", C2_5V, swapped(ENCODER, "GS", "EO"), EVERYWHERE),
    Mistake("EI low", C4, net(ENCODER, "EI", GROUND), EVERYWHERE),
    Mistake("EI of a 74HC148 high", C2_5V, net(ENCODER, "EI", "RAIL_SWITCHES"), EVERYWHERE),
    Mistake("EI open", C4, net(ENCODER, "EI", None), OPEN_PIN),
    Mistake("an unused input of the encoder open", C2, net(ENCODER, "D3", None), OPEN_PIN),
    Mistake("encoder without supply", C2, net(ENCODER, "VDD", None), OPEN_PIN),
    Mistake("inverters left out", C2, gone(INVERTER), OPEN_PIN),
    Mistake("one inverter left out", C4, net(INVERTER, "2Y", None), OPEN_PIN),
    Mistake("the second package of inverters left out", C7_PANEL, gone("priority/invert-2"), OPEN_PIN),
    Mistake("inverters without supply", C2, net(INVERTER, "VDD", None), OPEN_PIN),
    Mistake("a pull-up left out", C4, gone("input-2/call/pull"), OPEN_PIN),
    Mistake("a pull-up at a 74HC148 left out", C2_PANEL, gone("input-2/call/pull"), OPEN_PIN),
    Mistake("a pull-up to ground", C2, net_of_end("input-1/call/pull", "RAIL_SWITCHES", GROUND), EVERYWHERE),
    # The last in the order of priority disturbs none before it.
    Mistake("the last pull-up to ground", C2, net_of_end("input-2/call/pull", "RAIL_SWITCHES", GROUND),
            {"F424", "F425"}),
]  # fmt: skip
SWITCHES = [
    Mistake("two channels swapped", C4, swapped(SWITCH, "X0", "X1"), {"F421"}),
    Mistake("two channels of a 4053 swapped", C2_5V, swapped("selector/4053-1", "Z0", "Z1"), {"F421"}),
    Mistake("two channels of a 4051 swapped", C5_5V, swapped("selector/4051-2", "X0", "X4"), {"F421"}),
    Mistake("inhibit open", C4, net(SWITCH, "INH", None), OPEN_PIN),
    # With nobody calling the encoder puts out the number of the last channel, and its input would be shown.
    Mistake("inhibit of one switch low", C4, net(SWITCH, "INH", GROUND), {"F425"}),
    Mistake("inhibit of one 4053 low", C2_5V, net("selector/4053-1", "INH", GROUND), {"F425"}),
    Mistake("inhibit high", C4, net(SWITCH, "INH", "RAIL_SWITCHES"), {"F421"}),
    Mistake("the encoder's inhibit shorted to ground", C2, shorted("INHIBIT", GROUND), {"F426"}),
    Mistake("a select input open", C4, net(SWITCH, "A", None), OPEN_PIN),
    Mistake("a select input of a 4053 open", C2_5V, net("selector/4053-1", "B", None), OPEN_PIN),
    Mistake("red on a channel of green", C4, net(SWITCH, "Y3", "IN1_RED_CHANNEL"), {"F421"}),
    Mistake("red and green of one input crossed", C4, crossed(SWITCH, "IN1_RED_CHANNEL", "IN1_GREEN_CHANNEL"),
            {"F421"}),
    Mistake("a channel on another input's other line", C4, net(SWITCH, "X3", "IN2_GREEN_CHANNEL"), {"F421"}),
    Mistake("left on a channel of right", C4, net("selector/4052-3", "Y3", "IN1_LEFT"), {"F421"}),
    Mistake("two channels on one input", C4, net(SWITCH, "X2", "IN1_RED_CHANNEL"), {"F421"}),
    Mistake("two inputs on one channel", C4, shorted("IN2_RED_CHANNEL", "IN1_RED_CHANNEL"),
            {"F421", "F422"}),
    Mistake("two commons joined", C4, shorted("SELECTED_GREEN", "SELECTED_RED"), {"F421", "F422"}),
    Mistake("one switch without supply", C4, net(SWITCH, "VDD", None), {"F421"}),
    Mistake("one 4053 without supply", C2_5V, net("selector/4053-2", "VCC", None), {"F421"}),
    Mistake("one switch without ground", C4, net(SWITCH, "VSS", None), {"F421"}),
    Mistake("the diode of the supply reversed", C2, swapped("supply/blocking", "A", "K"), {"F421", "F424"}),
    # Without its capacitor a middle voltage joins whatever rests on it.
    Mistake("middle voltage of the picture without its capacitor", C2, gone("middle/video-bulk"),
            {"F421", "F422", "F425"}),
    Mistake("middle voltage of the sound without its capacitor", C2, gone("middle/audio-bulk"), {"F421", "F422"}),
    Mistake("termination of an input that is not the first", C4, gone("input-3/red/termination"), {"F423"}),
]  # fmt: skip
PANELS = [
    Mistake("throws of two inputs swapped", C4_BOTH, swapped(PANEL, "3-1", "4-1"), {"F421"}),
    Mistake("throws of two inputs swapped, relays", R2_BOTH, swapped(PANEL, "3-1", "4-1"), {"F421", "F431"}),
    Mistake("throws of a toggle that rests in the centre swapped", R2_PANEL, swapped(PANEL, "a-1", "b-1"), {"F421"}),
    Mistake("automatic and native swapped", R2_BOTH, swapped(PANEL, "1-1", "2-1"), EVERYWHERE | {"F431"}),
    Mistake("the pole open", C2_PANEL, net(PANEL, "common-1", None), {"F421", "F424"}),
    Mistake("lugs of a rotary switch swapped", G2, swapped(PANEL, "2-2", "3-2"), {"F421"}),
    Mistake("lugs of a deck swapped", G3, swapped(PANEL, "2-2", "3-2"), {"F421"}),
    Mistake("the set's own lug and an input's swapped", G3, swapped(PANEL, "1-5", "2-5"), {"F421", "F425"}),
    Mistake("lugs of two decks crossed", G3, swapped(PANEL, "2-2", "2-3"), {"F421"}),
    Mistake("commons of left and right crossed", G4, swapped(PANEL, "common-6", "common-7"), {"F421", "F425"}),
    Mistake("blanking grounded beside an input", G3, swapped(PANEL, "1-1", "2-1"), {"F424"}),
    Mistake("blanking of one position open", G3, net(PANEL, "3-1", None), {"F424"}),
]  # fmt: skip
STATUS = [
    # The stages' way to ground stays closed, so a contact acts where the switch or the gate should have the word.
    Mistake("the stages' return shorted to ground", C2_BOTH, shorted("STATUS_RETURN", GROUND), EVERYWHERE),
    Mistake("the stages' return shorted to ground, relays", R3_GATE, shorted("STATUS_RETURN", GROUND),
            EVERYWHERE | {"F431"}),
    Mistake("automatic shorted to ground", R3_GATE, shorted("AUTOMATIC", GROUND), EVERYWHERE | {"F431"}),
    Mistake("the gate's FET bridged", C2_BOTH, shorted("STATUS_RETURN", "AUTOMATIC"), {"F424", "F425"}),
    Mistake("the gate's FET bridged, relays", R3_GATE, shorted("STATUS_RETURN", "AUTOMATIC"), {"F424", "F425"}),
    Mistake("the gate's FET left out", R3_GATE, gone("gate/return"), {"F421", "F424", "F431"}),
    Mistake("the first emitter on ground", R2_BOTH, net("input-1/status/sense", "E", GROUND), EVERYWHERE | {"F431"}),
    Mistake("the first emitter on ground, analog switches", C4_BOTH, net("input-1/status/sense", "E", GROUND),
            EVERYWHERE),
    # Input 2 does not disturb input 1, which goes before it, but it does disturb native.
    Mistake("the second emitter on ground", R2_BOTH, net("input-2/status/sense", "E", GROUND), {"F424", "F425"}),
]  # fmt: skip
CHAINS = [
    Mistake("stages called by each other's input", R2,
            both(net_of_end("select-1/base", "IN1_SENSE", "IN2_SENSE"),
                 net_of_end("select-2/base", "IN2_SENSE", "IN1_SENSE")), {"F421", "F431"}),
    Mistake("gates of two stages swapped", R2,
            both(net_of_end("select-1/gate-series", "SELECT1_HIGH", "SELECT2_HIGH"),
                 net_of_end("select-2/gate-series", "SELECT2_HIGH", "SELECT1_HIGH")), {"F421", "F431"}),
    Mistake("one relay on the drive of another stage", R3, net("select-2/driver-1", "G", "SELECT1_COIL_GATE"),
            {"F421"}),
    Mistake("one pole of the first stage reversed", R2, swapped("select-1/relay-1", "make-a", "break-a"),
            {"F421", "F425"}),
    Mistake("one relay of the last stage reversed", R3_PANEL,
            both(swapped("select-3/relay-2", "make-a", "break-a"), swapped("select-3/relay-2", "make-b", "break-b")),
            {"F421", "F425"}),
    # A colour that is given up by the set is missed behind the open contact, and when native nobody wants it.
    Mistake("a colour's break contact open", R2, net("select-1/relay-1", "break-a", None), {"F421"}),
    Mistake("the break contact of sync open", R2, net("select-1/relay-2", "break-b", None), {"F421", "F425"}),
    Mistake("the last break contact of sync open", R2, net("select-2/relay-2", "break-b", None), {"F425"}),
    Mistake("two lines of the chain crossed", R2, crossed("select-2/relay-1", "AFTER1_RED", "AFTER1_GREEN"), {"F421"}),
    Mistake("a stage that yields to itself", R3, net("select-3/inhibit-1", "G", "SELECT3_HIGH"), {"F421"}),
    Mistake("a stage that is kept idle by its own call", R2, net("select-2/inhibit-1", "D", "SELECT1_COIL_GATE"),
            {"F421", "F431"}),
    Mistake("a steering diode left out", R2, gone("high-side/steer-1"), {"F424", "F431"}),
    # The call behind it no longer drives blanking.  That the others' base is pulled at through it is a matter of
    # volts; a level of three values takes it for a call.
    Mistake("a steering diode reversed", R2, swapped("high-side/steer-1", "A", "K"), {"F421", "F424", "F431"}),
    Mistake("a steering diode shorted", R3_GATE, both(gone("high-side/steer-2"), shorted("HIGH_CALL_2", "IN2_SENSE")),
            {"F421"}),
]  # fmt: skip
MISTAKES = [*ENCODERS, *SWITCHES, *PANELS, *STATUS, *CHAINS]


@cache
def _clean(n: int) -> Circuit:
    """The circuit of the n-th mistake's board, which breaks no rule before the mistake; one board once."""
    first = next(k for k, other in enumerate(MISTAKES) if other.made is MISTAKES[n].made)
    if first < n:
        return _clean(first)
    circuit = compose(MISTAKES[n].made)
    assert codes(Proof(circuit, MISTAKES[n].made)) == set()
    return circuit


@pytest.mark.parametrize("n", range(len(MISTAKES)), ids=[m.name for m in MISTAKES])
def test_a_mistake_among_several_inputs_is_found(n: int) -> None:
    mistake = MISTAKES[n]
    found = list(Proof(mistake.slip(_clean(n)), mistake.made).offences())
    assert {RULES[o.rule][0] for o in found} == mistake.by, [(o.rule, o.subject, o.text, o.first) for o in found]


def test_every_rule_is_tried() -> None:
    assert {code for m in MISTAKES for code in m.by} == {code for code, _ in RULES.values()}


def test_the_findings_are_what_the_proof_found() -> None:
    rules = {code for code, _ in RULES.values()}
    for circuit, by in ((compose(G3), set()), (swapped(PANEL, "2-2", "3-2")(compose(G3)), {"F421"})):
        found = [f for f in check(Bench(G3, circuit)) if f.code in rules]
        assert {f.code for f in found if f.severity == "error"} == by
        assert {f.code for f in found if f.severity == "met"} == rules - by - {
            "F427",
            "F431",
        }  # no integrated circuit, no relay


# Mistakes that the walk cannot see: what all checks together say.  `by` are codes that must be among the errors.

LINK = parts.resistor(1.0, "smd")
JUDGED = [
    Mistake("a channel held at ground", C2, net_of_end("input-2/red/bias", "MIDDLE_VIDEO", GROUND), {"F433"}),
    Mistake("a channel of a 74HC switch held at ground", C2_5V,
            net_of_end("input-1/blue/bias", "MIDDLE_VIDEO", GROUND), {"F433"}),
    Mistake("middle voltage of the picture far from the middle", C2, value("middle/video-upper", 100e3), {"F433"}),
    Mistake("middle voltage of the picture far from the middle, 5 V", C2_5V, value("middle/video-upper", 100e3),
            {"F433"}),
    Mistake("middle voltage of the sound far from the middle", C2, value("middle/audio-upper", 100e3), {"F433"}),
    # 30 uA of a sense stage that is just off pull harder.
    Mistake("a pull-up that pulls at nothing", C2, value("input-1/call/pull", 10e6), {"F417"}),
    Mistake("a pull-up that pulls at nothing, 74HC148", C2_5V, value("input-2/call/pull", 10e6), {"F417"}),
    # In series with the capacitor of the pin: no more than 10 nF are left for the line.
    Mistake("a colour blocked by a small capacitor", C2, value("input-1/red/block", 10e-9), {"F204", "F205"}),
    Mistake("a colour blocked by a small capacitor, 5 V", C2_5V, value("input-2/green/block", 10e-9),
            {"F204", "F205"}),
    # Sources feed the set's dead rail through the switches.
    Mistake("the diode of the supply bridged", C2, between("supply/bridge", LINK, "RAIL", "RAIL_SWITCHES"),
            {"F703", "F715"}),
    Mistake("the diode of the supply bridged, 5 V", C2_5V, between("supply/bridge", LINK, "RAIL", "RAIL_SWITCHES"),
            {"F703", "F715"}),
    Mistake("a status contact on the encoder", C2, net(ENCODER, "D7", "IN1_STATUS"), {"F717"}),
    Mistake("a status contact on a 74HC148", C2_5V, net(ENCODER, "I6", "IN2_STATUS"), {"F717"}),
    Mistake("a status contact on an inverter", C2, net(INVERTER, "2A", "IN2_STATUS"), {"F717"}),
]  # fmt: skip


EXAMINED = {"cmos": C2, "cmos, 5 V": C2_5V, "gang": G3, "relay": R2_BOTH}
NAMED = {id(made): name for name, made in EXAMINED.items()}


@cache
def _sound(board: str) -> tuple[Circuit, tuple[Finding, ...]]:
    """A board by its name, without an error, and what is found on it."""
    circuit, findings = examined(EXAMINED[board])
    assert errors(findings) == set()
    return circuit, findings


@pytest.mark.parametrize("mistake", JUDGED, ids=lambda m: m.name)
def test_what_the_walk_cannot_see_is_judged(mistake: Mistake) -> None:
    good, _ = _sound(NAMED[id(mistake.made)])
    found = errors(examine(mistake.made, mistake.slip(good)))
    assert mistake.by <= found, found


SIDES = ("left", "right")
LOOSE: list[tuple[str, str, str, set[str]]] = [
    *(
        (board, f"input-{n}/{line}/bias", f"input-{n}/{line}/block (IN{n}_{line.upper()}_CHANNEL)", {"F433"})
        for board, n in (("cmos", 1), ("cmos, 5 V", 2))
        for line in ALL[:4]
    ),
    *(("cmos", f"selector/{c}-bias", f"{c}/coupling (SELECTED_{c.upper()})", {"F433"}) for c in ALL[:3]),
    *(("cmos", f"selector/{n}-bias", f"selector/{n}-coupling (SELECTED_{n.upper()})", {"F433"}) for n in ALL[3:]),
    *(("cmos", f"selector/{n}-bleed", f"selector/{n}-coupling (BOARD_{n.upper()})", set()) for n in ALL[3:]),
    *(
        ("cmos", f"input-1/audio-{side}/bleed", f"input-1/audio-{side}/coupling (IN1_{side.upper()})", {"F433"})
        for side in SIDES
    ),
    *(
        (board, f"input-2/audio-{side}/bleed", f"input-2/audio-{side}/coupling (IN2_{side.upper()})", set())
        for board in ("gang", "relay")
        for side in SIDES
    ),
    *(("gang", f"{c}/end", f"{c}/coupling (SELECTED_{c.upper()})", {"F432"}) for c in ALL[:3]),
    *(("relay", f"{c}/end", f"{c}/coupling (SELECTED_{c.upper()})", {"F432", "F810"}) for c in ALL[:3]),
]
"""Board, the resistor that is left out, the end of a capacitor that nothing holds then, the errors beside."""


@pytest.mark.parametrize(("board", "role", "end", "by"), LOOSE, ids=[f"{row[0]} {row[1]}" for row in LOOSE])
def test_a_capacitor_that_nothing_holds_is_named(board: str, role: str, end: str, by: set[str]) -> None:
    """It thumps, which is a warning; that it also moves a switch from its middle or opens a landing is an error."""
    good, before = _sound(board)
    assert [f.severity for f in before if f.code == "F812"] == ["met"]
    after = examine(EXAMINED[board], gone(role)(good))
    (told,) = (f for f in after if f.code == "F812")
    assert (told.severity, told.message.split(": ")[-1]) == ("warning", end)
    assert errors(after) == by


@pytest.mark.parametrize("board", ["gang", "relay"])
def test_a_colour_that_ends_on_too_much_is_a_warning(board: str) -> None:
    """750 ohm in place of 75 ohm; the other two colours keep theirs."""
    good, before = _sound(board)
    after = examine(EXAMINED[board], value("red/end", 750.0)(good))
    ends = [{f.subject: f.severity for f in findings if f.code == "F432"} for findings in (before, after)]
    assert ends == [dict.fromkeys(ALL[:3], "met"), {"red": "warning", "green": "met", "blue": "met"}]


# What only costs current.


@pytest.mark.parametrize(("made", "role"), [(R2, "select-2/inhibit-1"), (R3, "select-3/inhibit-2")])
def test_a_stage_that_does_not_yield_shows_in_the_table(made: Variant, role: str) -> None:
    """The signals are right without it, since the first stage goes before; the loser's relays take their current."""
    circuit = compose(made)
    without = gone(role)(circuit)
    right, wrong = (told(outcomes(Proof(c, made))) for c in (circuit, without))
    assert most_at_once(right) == 4  # three relays of one stage, and that of blanking
    assert most_at_once(wrong) == 7
    assert {o.rule for o in Proof(without, made).offences()} == {"energised"}
    assert right == expected(made, circuit) != wrong
    assert without_relays(right) == without_relays(wrong)


def without_relays(rows: Counter[Row]) -> Counter[Row]:
    found: Counter[Row] = Counter()
    for (who, rail, reaches, pin, _), n in rows.items():
        found[who, rail, reaches, pin, frozenset()] += n
    return found


def most_at_once(rows: Counter[Row]) -> int:
    """Most relays that are energised in any state."""
    return max(sum(word == "on" for _, word in key[4]) for key in rows)


# Every pin of what switches.

SEEN_ELSEWHERE = {
    "blanking/lower*": "a voltage, judged as a figure",
    "*/status/base": "a voltage, judged as a figure",
    "*/status/load-*": "a load, judged as a figure",
    "*/flyback-*": "what catches the current of a coil is a matter of its own",
    "*/hold-off": "what holds a base off is a current",
    "*/*-bias": "a direct voltage",
    "*/*-bleed": "a direct voltage",
    "*/end": "a load for the set when native",
}
"""Roles -> why the walk, which knows no voltages, need not see a pin of theirs that is open."""
ONE_CALL = {"*/inhibit-*": "a switch calls one input at a time, so no stage has another to keep idle"}
"""The same where nothing but the panel switch calls."""
SEEN_ELSEWHERE_PINS = {"VEE": "the lower end of what a switch passes", "_END": "the way to the load when native"}
LOOKED_AT = ("selector", "priority", "panel/switch", "stage", "select-", "high-side", "middle", "supply",
             "input-1/status", "input-1/call", "blanking", "red", "green", "blue")  # fmt: skip


def unseen(made: Variant) -> Iterator[tuple[str, str]]:
    """Pins that can be left open without any rule being broken."""
    circuit = compose(made)
    for placed in circuit.parts:
        if not placed.role.startswith(LOOKED_AT) or placed.part.letter in "CJ":
            continue
        for pin in placed.part.pins:
            joined = placed.nets[pin.number]
            if joined is not None and not codes(Proof(with_net(circuit, placed.role, pin.number, None), made)):
                yield placed.role, joined if joined.endswith("_END") else pin.name


@pytest.mark.parametrize("made", [G3, R2_PANEL, R2_BOTH, C2_5V], ids=["gang", "relay", "relay, contacts", "cmos"])
def test_an_open_pin_of_what_switches_is_seen(made: Variant) -> None:
    elsewhere = SEEN_ELSEWHERE | (ONE_CALL if made.selector.control == "panel" else {})
    left = [
        (role, pin)
        for role, pin in unseen(made)
        if not any(fnmatch(role, pattern) for pattern in elsewhere)
        and not any(pin.endswith(name) for name in SEEN_ELSEWHERE_PINS)
    ]
    assert left == []
