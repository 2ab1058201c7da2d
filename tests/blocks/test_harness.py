"""Wires of the harness: each check of one can fail, one crimp a contact, colours that tell wires apart, order."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from making import TEMPLATE_NAMES, several, template, variant
from rasterport.analysis.points import landings
from rasterport.circuit import compose
from rasterport.errors import Refused
from rasterport.records import COLOURS, GROUND, SCREENS, Circuit, Placed, Wire
from rasterport.variant.models import Variant

SOCKETS = ("european-21", "japanese-21", "de-15", "bnc-4", "phono-4")


def drawn_at_random(wanted: int = 30) -> Iterator[Variant]:
    """Boards of many harnesses, always the same."""
    chance = random.Random(5)
    while wanted:
        inputs: list[dict[str, Any]] = [
            {"socket": chance.choice(SOCKETS), "mounting": chance.choice(("panel", "cable", "existing", "board"))}
            for _ in range(chance.choice((1, 2, 3, 4)))
        ]
        changes = {
            "board.construction": chance.choice(("smd", "smd", "wired")),
            "board.landing": chance.choice(("header", "pads")),
            "set.rgb.lead_kind": chance.choice(("hook-up", "coax")),
            "set.blanking.native": chance.choice(("grounded", "driven")),
        }
        try:
            made = several(
                inputs, chance.choice(("gang", "relay", "cmos")), chance.choice(("panel", "status")), changes
            )
            compose(made)
        except Refused:
            continue
        wanted -= 1
        yield made


BOARDS: dict[str, Variant] = {
    **{name: template(name) for name in TEMPLATE_NAMES},
    "in the chassis": variant({"board.construction": "wired", "input.mounting": "panel", "board.built_on": "chassis"}),
    **{f"random {n}": made for n, made in enumerate(drawn_at_random(), 1)},
}
PLUG = re.compile(r"plug off (J[0-9]+)\b")


@cache
def board(name: str) -> Circuit:
    return compose(BOARDS[name])


class Joined:
    """What a meter reads as joined: groups of nodes."""

    def __init__(self) -> None:
        self.above: dict[str, str] = {}

    def root(self, node: str) -> str:
        while self.above.get(node, node) != node:
            node = self.above[node]
        return node

    def join(self, one: str, other: str) -> None:
        self.above[self.root(one)] = self.root(other)

    def met(self, one: str, other: str) -> bool:
        return self.root(one) == self.root(other)


def ends_of(wire: Wire) -> tuple[str, str]:
    """Its two ends: parts with their pins, then what stands outside the netlist."""
    far = wire.end if len(wire.joins) == 1 or "landing" in wire.end or wire.end.startswith("the screens") else ""
    begin, *rest = (f"{ref}.{pin}" for ref, pin in wire.joins)
    return begin, far or rest[0]


def throws(wire: Wire) -> range:
    """The positions of the panel switch in which the row of a wire is to be measured."""
    return range(4) if "in every position" in wire.measure else range(1)


Runs = dict[Wire, tuple[str, str]]


def runs(circuit: Circuit) -> Runs:
    """Where each wire really goes; a wire that is measured by its free end has it nowhere."""
    return {wire: ends_of(wire) for wire in circuit.wires}


def reading(circuit: Circuit, real: Runs, row: Wire, throw: int) -> bool:
    """Whether a meter reads the ends that a row names as joined, measured as the row says, with these wires."""
    made = Joined()
    off = PLUG.search(row.measure)
    begin, end = ends_of(row)
    if "free end" in row.measure or "before it is" in row.measure:
        begin = "a free end"
    for wire, (one, other) in real.items():
        if wire.inside and not row.inside:  # the board's own wires are there, and measured, before
            continue
        made.join(begin if wire == row else one, other)
    for place in circuit.wires:
        if place.net == GROUND and place.end.endswith(" landing"):
            made.join(place.end, "the set's ground")
    for placed in circuit.parts:
        if placed.part.key.startswith(("header/", "wire-pad")) and not (off and off[1] == placed.ref):
            for pin, net in placed.nets.items():
                made.join(f"{placed.ref}.{pin}", str(net))
        for pin, common in _switched(placed, throw):
            made.join(f"{placed.ref}.{pin}", f"{placed.ref}.{common}")
    return made.met(begin, end)


def _switched(placed: Placed, throw: int) -> Iterator[tuple[str, str]]:
    """Terminals of a panel switch that are joined in one of its positions."""
    for pin in placed.part.pins if placed.part.letter == "S" else ():
        name, pole = pin.name.split("-")
        if name in (("a", "1"), ("b", "2"), ("3",), ("4",))[throw]:
            yield pin.number, next(p.number for p in placed.part.pins if p.name == f"common-{pole}")


@pytest.mark.parametrize("name", BOARDS)
def test_the_check_of_every_wire_fails_without_it_and_not_with_it(name: str) -> None:
    """Through board and chassis all grounds are one: a meter must be told what is off, or which end is still free."""
    circuit = board(name)
    real = runs(circuit)
    for wire in circuit.wires:
        assert all(reading(circuit, real, wire, throw) for throw in throws(wire))
        less = {other: ends for other, ends in real.items() if other != wire}
        assert not all(reading(circuit, less, wire, throw) for throw in throws(wire)), (wire.start, wire.measure)


@pytest.mark.parametrize("name", ["kestrel", "heron", "plover", "siskin", "osprey"])
def test_two_wires_of_a_plug_that_are_exchanged_fail_a_check(name: str) -> None:
    """Unless both are ground, which does no harm."""
    circuit = board(name)
    real = runs(circuit)
    pairs = [
        (one, other) for n, one in enumerate(circuit.wires) for other in circuit.wires[n + 1 :]
        if one.net != other.net and one.inside == other.inside and dict(one.joins).keys() == dict(other.joins).keys()
    ]  # fmt: skip
    assert len(pairs) > 20
    for one, other in pairs:
        wrong = {**real, one: (real[one][0], real[other][1]), other: (real[other][0], real[one][1])}
        told = [reading(circuit, wrong, row, throw) for row in (one, other) for throw in throws(row)]
        assert not all(told), (one.start, other.start, one.measure)


def test_these_tests_see_a_ground_that_is_measured_with_everything_on() -> None:
    circuit = board("kestrel")
    (second,) = (wire for wire in circuit.wires if wire.end == "ground-2 landing")
    lax = replace(second, measure="below 1 ohm from the board's ground to the shield of the tuner")
    rest = {wire: ends for wire, ends in runs(circuit).items() if wire != second}
    assert reading(circuit, rest, lax, 0)


@pytest.mark.parametrize("name", BOARDS)
def test_what_is_measured_while_wires_go_on_is_resistance(name: str) -> None:
    for wire in board(name).wires:
        assert "below 1 ohm" in wire.measure
        assert not re.search(r"\bV\b|set on|native below", wire.measure)
        assert wire.inside == wire.measure.startswith("set unplugged and discharged; ") or "own socket" in wire.at


@pytest.mark.parametrize("name", BOARDS)
def test_the_boards_own_wires_come_first_and_ground_first_to_each_plug_and_in_the_set(name: str) -> None:
    wires = board(name).wires
    assert [wire.inside for wire in wires] == sorted(wire.inside for wire in wires)
    inside = [wire for wire in wires if wire.inside]
    assert [wire.end.endswith("landing") for wire in inside].count(False) == ("joined" in inside[-1].end)
    grounds = [wire.net == GROUND for wire in inside if wire.end.endswith("landing")]
    assert len([g for g in grounds if g]) >= 2 and grounds == sorted(grounds, reverse=True)
    for ref in {ref for wire in wires if not wire.inside for ref, _ in wire.joins if ref.startswith("J")}:
        # Two ends: the wire of joined screens has one, and comes once they are there.
        its = [wire for wire in wires if len(wire.joins) == 2 and any(end[0] == ref for end in wire.joins)]
        assert its[0].net == GROUND or not any(wire.net == GROUND for wire in its)


SCREEN = re.compile(r"screen to (J[0-9]+) pin ([0-9]+)(, joined with the others|, one crimp with the return)?")


@pytest.mark.parametrize("name", BOARDS)
def test_a_crimp_contact_is_crimped_once(name: str) -> None:
    """A wire a contact; where a screen shares it the rows stand together and say so; joined screens have one wire."""
    circuit = board(name)
    rows = list(circuit.wires)
    headers = {p.ref for p in circuit.parts if p.part.key.startswith("header/")}
    at: dict[tuple[str, str], list[int]] = {}
    screens: dict[tuple[str, str], list[int]] = {}
    for n, wire in enumerate(rows):
        for end in wire.joins:
            if end[0] in headers:
                at.setdefault(end, []).append(n)
        if found := SCREEN.search(wire.ground):
            screens.setdefault((found[1], found[2]), []).append(n)
    assert all(len(found) == 1 for found in at.values())
    for end, found in screens.items():
        if end[0] not in headers:
            continue
        if all("joined with the others" in rows[n].ground for n in found):
            (tail,) = at[end]
            assert rows[tail].end == "the screens of these wires, joined" and tail > max(found)
            assert f"({SCREENS})" in rows[tail].start
            continue
        (screen,) = found
        if end in at:
            (back,) = at[end]
            assert back == screen - 1 and rows[back].net == GROUND
            assert "one crimp with the screen of" in rows[back].ground
            assert "one crimp with the return from" in rows[screen].ground


def test_a_return_stands_beside_the_signal_that_it_belongs_to() -> None:
    pins = {
        wire.start.partition(", ")[2]: int(wire.joins[1][1])
        for wire in board("heron").wires
        if wire.start.startswith("input-1 socket")
    }
    for signal, back in ((7, 5), (11, 9), (15, 13), (2, 4), (20, 18)):
        assert pins[f"contact {back}"] == pins[f"contact {signal}"] + 1


@pytest.mark.parametrize("name", BOARDS)
def test_no_two_wires_of_a_plug_or_a_switch_that_could_be_exchanged_look_alike(name: str) -> None:
    circuit = board(name)
    looks: dict[tuple[str, str], set[str]] = {}
    for wire in circuit.wires:
        for ref, _ in wire.joins:
            if wire.colour and (ref == "S1" or any(p.ref == ref and p.part.key.startswith("header/")
                                                   for p in circuit.parts)):  # fmt: skip
                looks.setdefault((ref, wire.colour), set()).add(wire.net)
        if wire.inside and wire.colour:
            looks.setdefault(("the set", wire.colour), set()).add(wire.net)
    assert looks
    # A deck of a rotary switch has a line a pole, blanking and control one each: no colour stands for two nets.
    assert {key: nets for key, nets in looks.items() if len(nets) > 1} == {}


@pytest.mark.parametrize("name", BOARDS)
def test_the_wire_of_the_joined_screens_is_called_what_it_is(name: str) -> None:
    """No row, and no point for a meter's lead, calls it a landing; it comes after the screens that it joins."""
    circuit = board(name)
    lands = landings(circuit)
    assert not any("screens landing" in f"{wire.start} {wire.end}" for wire in circuit.wires)
    if SCREENS in lands:
        assert lands[SCREENS].words.startswith("joined screens (")
        (tail,) = (wire for wire in circuit.wires if wire.inside and wire.end == "the screens of these wires, joined")
        assert circuit.wires[-1] == tail and any(wire.inside and wire.shielded for wire in circuit.wires)
        assert tail.at == "at the board's edge"
    else:
        assert not any(wire.inside and wire.shielded for wire in circuit.wires)


@pytest.mark.parametrize("name", BOARDS)
def test_a_ground_is_named_for_returns_and_screens_alone(name: str) -> None:
    """A signal without a screen belongs to none: who read one there would solder it to ground."""
    wires = board(name).wires
    assert all(wire.net == GROUND or wire.shielded for wire in wires if wire.ground)
    assert all(wire.ground for wire in wires if wire.shielded)


@pytest.mark.parametrize("name", BOARDS)
def test_the_core_of_a_screened_wire_is_measured_against_its_screen(name: str) -> None:
    """Where the screen ends in the same plug or lead it is one of the other contacts or conductors.

    A joint without a board is soldered at both ends before: the terminations join its core to ground.
    """
    apart = re.compile(r"open to (its own screen|its other contacts|every other one)$|between the two ends")
    assert [wire for wire in board(name).wires if wire.shielded and not apart.search(wire.measure)] == []


@pytest.mark.parametrize("name", BOARDS)
def test_a_pink_ring_is_on_no_wire_of_the_control_and_of_no_input(name: str) -> None:
    """A call of an input, or what lets the status contacts act, is nothing that the set gives back."""
    for wire in board(name).wires:
        if wire.colour.endswith("+PK"):
            assert wire.carries.split()[0] != "control" and not wire.net.startswith("IN"), (wire.start, wire.net)


@pytest.mark.parametrize("construction", ["smd", "wired"])
@pytest.mark.parametrize("inputs", [1, 2, 3])
def test_a_switch_that_calls_has_the_ring_of_the_input_and_none_for_the_status_contacts(
    inputs: int, construction: str
) -> None:
    changes = {"board.construction": construction, "set.supply.voltage": "9 V"}
    tables = [{"socket": "european-21", "mounting": "panel", "status_contact": 16}] * inputs
    circuit = compose(several(tables, "relay" if inputs == 1 else "cmos", "status-or-panel", changes))
    switch = circuit.by_role("panel/switch")
    ends = {number: w for w in circuit.wires for ref, number in w.joins if ref == switch.ref and w.net != GROUND}
    wired = [p for p in switch.part.pins if p.number in ends]
    order = ["a", "b"] if inputs == 1 else [str(n) for n in range(1, 13)]
    wired.sort(key=lambda p: order.index(p.name.partition("-")[0]))
    assert [ends[p.number].colour for p in wired] == ["GY", "GY+OG", "GY+TQ", "GY+BK"][: inputs + 1]


@pytest.mark.parametrize("socket", SOCKETS)
def test_every_video_wire_of_a_panel_socket_is_screened(socket: str) -> None:
    circuit = compose(variant({"input.socket": socket, "input.mounting": "panel", "input.sync": "composite-sync"}))
    video = [w for w in circuit.wires if w.start.startswith("input-1 socket") and w.carries in (*COLOURS, "sync")]
    assert {w.carries for w in video} == {*COLOURS, "sync"}
    assert all(w.shielded for w in video)
