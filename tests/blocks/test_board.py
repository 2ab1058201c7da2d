"""The board under construction refuses contradictions and names both owners."""

from __future__ import annotations

import pytest

from rasterport import parts
from rasterport.blocks.board import Board, by_name, colour_of, reference
from rasterport.errors import WiringFault
from rasterport.records import Sized, Wire

OHM = Sized(75.0, "ohm", "a reason")
TABLE = {"a": "R1", "b": "R1", "c": "C1", "red/termination": "R1"}


def test_a_reference_belongs_to_one_role() -> None:
    board = Board("smd")
    board.two("a", parts.resistor(75.0, "smd"), "X", "Y", TABLE, OHM)
    with pytest.raises(WiringFault, match="R1: wanted by b, taken by a"):
        board.two("b", parts.resistor(75.0, "smd"), "X", "Y", TABLE, OHM)
    with pytest.raises(WiringFault, match="a: placed twice"):
        board.two("a", parts.resistor(75.0, "smd"), "X", "Y", TABLE, OHM)


def test_every_pin_must_be_wired() -> None:
    board = Board("smd")
    with pytest.raises(WiringFault, match=r"has pins \['1', '2'\], wired were \['1'\]"):
        board.place("a", parts.resistor(75.0, "smd"), {"1": "X"}, TABLE, "a reason")


def test_a_reference_takes_the_number_of_its_input() -> None:
    assert reference("input-1/red/termination", "R", TABLE) == "R101"
    assert reference("input-3/red/termination", "R", TABLE) == "R301"
    assert reference("a", "R", TABLE) == "R1"


@pytest.mark.parametrize(("role", "letter"), [("c", "R"), ("unknown", "R"), ("input-1/unknown", "R")])
def test_a_role_that_its_table_does_not_know_is_named(role: str, letter: str) -> None:
    with pytest.raises(WiringFault, match=f"{role}: its block's table must name a reference with {letter}"):
        reference(role, letter, TABLE)


def test_pins_are_wired_by_name() -> None:
    npn = parts.transistor("npn", "smd")
    nets = by_name(npn, {"B": "BASE", "E": "GND", "C": None})
    assert {pin.name: nets[pin.number] for pin in npn.pins} == {"B": "BASE", "E": "GND", "C": None}
    with pytest.raises(WiringFault, match="has no pin named G; it has B, C, E"):
        by_name(npn, {"G": "GATE"})


def test_circuit_is_sorted_whatever_the_order_of_placing() -> None:
    board = Board("through-hole")
    board.two("red/termination", parts.resistor(75.0, "through-hole"), "X", "GND", TABLE, OHM)
    board.place("c", parts.capacitor(1e-7, "through-hole", 50.0, "ceramic"), {"1": "X", "2": "GND"}, TABLE, "why")
    board.wire(Wire(20, "b", "b", "", "", "", 0.1, "BK", "", False, "", "GND"))
    board.wire(Wire(10, "a", "a", "", "", "", 0.1, "BK", "", False, "", "GND"))
    circuit = board.circuit()
    assert [p.role for p in circuit.parts] == ["c", "red/termination"]
    assert [w.stage for w in circuit.wires] == [10, 20]
    assert circuit.by_role("red/termination").value == "75R"
    assert circuit.nets()["X"] == (("C1", "1"), ("R1", "1"))


def test_lines_keep_their_own_colours() -> None:
    assert [colour_of(line) for line in ("ground-2", "red", "sync", "sync-native", "left", "control")] == [
        "BK", "RD", "WH", "WH+PK", "YE", "GY",
    ]  # fmt: skip
