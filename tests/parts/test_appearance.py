"""How every part of the catalogue appears to the solver."""

from __future__ import annotations

from rasterport.parts import all_rows
from rasterport.records import Appears

BY_LETTER: dict[str, set[Appears]] = {
    "R": {"resistance", "trimmer"},
    "F": {"resistance"},
    "C": {"capacitance"},
    "K": {"contacts"},
    "S": {"contacts"},
    "Q": {"control"},
    "U": {"control", "contacts"},
    "D": {"capacitance", "control"},
}
"""A two-way clamp is a small capacitor below its stand-off; a rectifying diode is no part of a signal path."""

CARRY_SIGNALS = {
    "panel-switch",
    "centre-switch",
    "rotary-switch",
    "deck-switch",
    "coded-switch",
    "analog-switch",
    "relay",
}


def test_every_row_says_how_it_appears() -> None:
    for row in all_rows():
        assert row.appears in BY_LETTER.get(row.letter, {"joint"}), row.key


def test_contacts_are_switches_and_relays_and_nothing_else() -> None:
    assert {row.key.split("/")[0] for row in all_rows() if row.appears == "contacts"} == CARRY_SIGNALS
    assert not [row.key for row in all_rows() if row.key.split("/")[0] in CARRY_SIGNALS and row.appears != "contacts"]


def test_a_part_that_has_a_value_has_what_the_solver_needs() -> None:
    for row in all_rows():
        if row.appears in ("resistance", "capacitance"):
            assert len(row.pins) == 2, row.key
        if row.letter == "D" and row.appears == "capacitance":
            assert row.ratings["capacitance_f"] < 5e-12 and row.ratings["standoff_v"] >= 5.0
