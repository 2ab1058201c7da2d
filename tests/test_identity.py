"""What stays on a board when inputs behind it change: references, identifiers and nets of every input before them.

A layout keeps a part's place by its identifier, so a second board for one more socket is not a new layout.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from making import several
from rasterport.circuit import compose
from rasterport.errors import Refused
from rasterport.realise import realise
from rasterport.records import Circuit, Placed
from rasterport.variant.models import Variant

Table = Mapping[str, Any]

CONTACTS: dict[str, tuple[int, ...]] = {"european-21": (16, 8), "japanese-21": (16, 11)}
"""Sockets with status contacts, and their numbers."""
MOST = {"gang": 4, "relay": 3, "cmos": 8}
"""Greatest number of inputs of a path."""
CONTROLS = ("panel", "status", "status-or-panel")
EUROPEAN: Table = {"socket": "european-21", "status_contact": 16}


def kept(circuit: Circuit, inputs: int) -> dict[str, Placed]:
    """Parts of the first inputs by their roles."""
    return {p.role: p for n in range(1, inputs + 1) for p in circuit.under(f"input-{n}")}


def changes(before: Circuit, after: Circuit, inputs: int) -> Iterator[str]:
    """What has changed about the parts of the first inputs, in words."""
    first, second = kept(before, inputs), kept(after, inputs)
    yield from (f"{role} is gone" for role in sorted(first.keys() - second.keys()))
    yield from (f"{role} is new" for role in sorted(second.keys() - first.keys()))
    for role in sorted(first.keys() & second.keys()):
        a, b = first[role], second[role]
        if a.ref != b.ref:
            yield f"{role}: {a.ref} became {b.ref}"
        if dict(a.nets) != dict(b.nets):
            yield f"{role}: {dict(a.nets)} became {dict(b.nets)}"


# At random.


@st.composite
def inputs(draw: st.DrawFn, with_contact: bool) -> Table:
    sockets = tuple(CONTACTS) if with_contact else (*CONTACTS, "de-15", "bnc-4", "phono-4")
    socket = draw(st.sampled_from(sockets))
    kinds = ("composite-video", "composite-sync", "ttl-composite")
    found: dict[str, Any] = {
        "socket": socket,
        "sync": draw(st.sampled_from(kinds[1:] if socket == "de-15" else kinds)),
        "sync_polarity": draw(st.sampled_from(("negative", "positive"))),
        "audio": draw(st.sampled_from(("stereo", "mono", "none"))),
        "audio_maximum": draw(st.sampled_from(("0.5 V", "1 V"))),
        "mounting": draw(st.sampled_from(("board", "panel"))),
    }
    return {**found, "status_contact": draw(st.sampled_from(CONTACTS[socket]))} if socket in CONTACTS else found


@st.composite
def edits(draw: st.DrawFn) -> tuple[Variant, Variant, int]:
    """A board, the board after an edit of its later inputs, and how many inputs stand before the edit."""
    path = draw(st.sampled_from(("gang", "relay", "cmos")))
    control = draw(st.sampled_from(CONTROLS[:1] if path == "gang" else CONTROLS))
    source = inputs(with_contact=control == "status")  # one without falls back to the switch: see EDGES
    count: int = draw(st.integers(2, MOST[path]))
    before: list[Table] = [draw(source) for _ in range(count)]
    how = draw(st.sampled_from(("add", "remove", "reorder", "replace")))
    first: int = draw(st.integers(1, len(before) - 1))
    if how == "add" and len(before) == MOST[path]:
        how = "remove"
    if how == "remove" and len(before) == 2:
        how = "replace"
    if how == "add":
        first, after = len(before), [*before, draw(source)]
    elif how == "remove":
        first, after = len(before) - 1, before[:-1]
    elif how == "reorder":
        after = [*before[:first], *draw(st.permutations(before[first:]))]
    else:
        later: int = draw(st.integers(max(0, 2 - first), MOST[path] - first))
        after = [*before[:first], *(draw(source) for _ in range(later))]
    shared = _set(draw, path, control)
    return several(before, path, control, shared), several(after, path, control, shared), first


def _set(draw: st.DrawFn, path: str, control: str) -> dict[str, Any]:
    arrangements = ("changeover", "after-switch", "dedicated", "normalled")
    rail = draw(st.sampled_from(("9 V", "12 V") if path == "relay" else ("5 V", "9 V", "12 V")))
    gated: bool = draw(st.booleans()) and control == "status"
    gate = {"selector.gate": "line", "selector.gate_high": "3.5 V"} if gated else {}
    return {
        **gate,
        "set.supply.voltage": rail,
        "set.supply.spare_current": "500 mA",
        "set.sync.arrangement": draw(st.sampled_from(arrangements)),
        "set.sync.accepts": draw(st.sampled_from(("video", "clean-sync") if rail == "9 V" else ("video",))),
        "set.sync.coupling": draw(st.sampled_from(("ac", "dc"))),
        "set.sync.termination": "none",
        "set.audio.arrangement": draw(st.sampled_from(arrangements)),
        "set.audio.channels": draw(st.sampled_from(("stereo", "mono"))),
        "set.audio.maximum": draw(st.sampled_from(("1 V", "2 V"))),
        "set.rgb.white_level": draw(st.sampled_from(("0.7 V", "0.5 V"))),
        "board.construction": draw(st.sampled_from(("smd", "through-hole"))),
        "board.regulator": draw(st.sampled_from(("auto", "auto", "yes"))) if rail != "5 V" else "auto",
        "board.clamps": draw(st.booleans()),
    }


@given(edits())
@settings(max_examples=60)
def test_an_edit_leaves_every_input_before_it_alone(edit: tuple[Variant, Variant, int]) -> None:
    try:
        before, after = (compose(made) for made in edit[:2])
    except Refused:
        reject()
    assert kept(before, edit[2])
    assert list(changes(before, after, edit[2])) == []


# Every number of inputs.


CHOSEN = [("relay", "9 V", c) for c in CONTROLS] + [("cmos", rail, c) for rail in ("5 V", "9 V") for c in CONTROLS]


@pytest.mark.parametrize(("path", "rail", "control"), [("gang", "5 V", "panel"), *CHOSEN])
def test_inputs_join_one_by_one(path: str, rail: str, control: str) -> None:
    shared = {"set.supply.voltage": rail, "set.audio.maximum": "1 V"}
    boards = [compose(several(n, path, control, shared)) for n in range(2, MOST[path] + 1)]
    for fewer, before in enumerate(boards, 2):
        for after in boards[fewer - 1 :]:
            assert list(changes(before, after, fewer)) == []


def test_an_identifier_hangs_on_the_role_alone() -> None:
    """The identifiers that a layout keeps its places by: of boards that share nothing but roles."""
    boards = [
        realise(compose(several(n, path, "status", {"set.supply.voltage": "9 V"})))
        for path, n in (("relay", 2), ("relay", 3), ("cmos", 3))
    ]
    found: dict[str, set[str]] = {}
    for board in boards:
        for part in board.parts:
            found.setdefault(part.role, set()).add(part.identifier)
    assert sum(role.startswith(("input-1/", "input-2/")) for role in found) > 20
    assert all(len(identifiers) == 1 for identifiers in found.values())
    assert len(set.union(*found.values())) == len(found)


# Where a choice for the whole board reaches into its inputs.

POSITIVE: Table = {"socket": "bnc-4", "sync": "ttl-composite", "sync_polarity": "positive"}
EIGHT_VOLTS = {"set.supply.voltage": "8 V", "set.audio.maximum": "1 V"}
Edge = tuple[str, str, Sequence[Table], Sequence[Table], Mapping[str, Any]]
EDGES: dict[str, Edge] = {
    # The emitters go from ground to the switch, which now has a say.
    "the first socket without a status contact, relays": ("relay", "status", [EUROPEAN], [{"socket": "bnc-4"}], {}),
    "the first socket without a status contact, analog switches":
        ("cmos", "status", [EUROPEAN], [{"socket": "bnc-4"}], {"set.supply.voltage": "9 V"}),
    # What more inputs take pulls the rail below what 4000B switches want: 74HC has isolating resistors.
    "another family of switches": ("cmos", "panel", [], [POSITIVE] * 6, EIGHT_VOLTS),
}  # fmt: skip


@pytest.mark.parametrize("name", EDGES)
def test_a_choice_for_the_whole_board_leaves_the_inputs_alone(name: str) -> None:
    path, control, third, more, shared = EDGES[name]
    before, after = (compose(several([EUROPEAN, EUROPEAN, *t], path, control, shared)) for t in (third, more))
    assert list(changes(before, after, 2)) == []


def loud(count: int, level_v: float) -> Circuit:
    """A board of analog switches whose sources are so loud [V]."""
    tables = [{**EUROPEAN, "audio_maximum": f"{level_v:.4f} V"}] * count
    nine = {"set.supply.voltage": "9 V", "set.audio.maximum": "5 V", "set.audio.resistance": "47k"}
    return compose(several(tables, "cmos", "status-or-panel", nine))


def bare(level_v: float) -> bool:
    """Whether two inputs carry sound of this level [V] without a lower resistor."""
    try:
        return not loud(2, level_v).has("input-1/audio-left/shunt")
    except Refused:
        return False


def test_more_inputs_take_no_room_from_the_sound_of_others() -> None:
    """The loudest sound that two inputs carry without a lower resistor, on a board of eight, which takes more."""
    low_v, high_v = 1.0, 4.0
    assert bare(low_v) and not bare(high_v)
    while high_v - low_v > 5e-4:
        middle_v = (low_v + high_v) / 2
        low_v, high_v = (middle_v, high_v) if bare(middle_v) else (low_v, middle_v)
    assert list(changes(loud(2, low_v), loud(8, low_v), 2)) == []


# What chooses may change, but within a class of numbers nothing of it is taken off.

CLASSES = [(3, 4), (5, 6), (6, 7), (7, 8), (5, 8)]
OTHER_CLASS = [(2, 3), (4, 5)]


def choosing_parts(count: int, control: str, rail: str) -> dict[str, Placed]:
    """Parts on the board of analog switches that belong to no input."""
    circuit = compose(several(count, "cmos", control, {"set.supply.voltage": rail, "set.audio.maximum": "1 V"}))
    return {p.role: p for p in circuit.parts if p.on_board and not re.match(r"input-[1-8]/", p.role)}


def replaced(before: Mapping[str, Placed], after: Mapping[str, Placed]) -> set[str]:
    """Roles that are gone or have another footprint."""
    return {r for r, p in before.items() if r not in after or after[r].part.footprint != p.part.footprint}


@pytest.mark.parametrize("rail", ["5 V", "9 V"])
@pytest.mark.parametrize("control", CONTROLS)
@pytest.mark.parametrize(("fewer", "more"), CLASSES)
def test_within_a_class_only_the_header_of_the_switch_is_replaced(
    fewer: int, more: int, control: str, rail: str
) -> None:
    """One more wire to the panel is one more pin; switches, encoder, relays and landing stay where they are."""
    before, after = (choosing_parts(n, control, rail) for n in (fewer, more))
    assert replaced(before, after) == (set() if control == "status" else {"panel/header"})
    assert {r: p.ref for r, p in before.items()} == {r: after[r].ref for r in before}
    package = {"priority/invert-2", "priority/invert-2-bypass"}
    assert after.keys() - before.keys() == (package if rail == "9 V" and fewer <= 6 < more else set())


@pytest.mark.parametrize(("fewer", "more"), OTHER_CLASS)
def test_another_class_replaces_the_analog_switches(fewer: int, more: int) -> None:
    before, after = (choosing_parts(n, "status", "9 V") for n in (fewer, more))
    assert replaced(before, after) == {r for r in before if r.startswith("selector/40")}
    assert len(replaced(before, after)) >= 4
