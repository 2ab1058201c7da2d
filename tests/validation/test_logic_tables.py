"""Truth tables against what makers say in words, put to every combination of the inputs there is.

Hitachi HD74HC148: inputs and outputs active low, the highest input wins, EI high disables.  Intersil CD4532BMS and
Philips HEF4532B: the same active high, EI low disables.  NXP 74HC4051 to 4053, National CD4051B to CD4053B: the
channel is the binary number of the select inputs, none when inhibited; a 4053 has one select input a switch.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
import pytest

from rasterport.parts import buffer_inverter
from rasterport.parts.analog_switches import analog_switch
from rasterport.parts.families import FAMILIES
from rasterport.parts.logic import buffer, inverter, priority_encoder, truth_table
from rasterport.parts.selectors import coded_closed
from rasterport.records import CataloguePart
from rasterport.standards.truth_tables import ENCODER_148, TABLES, TruthTable, closed_of, outputs_of, read_table

Levels = dict[str, bool]


def table_of(part: CataloguePart) -> TruthTable:
    table = truth_table(part)
    assert table is not None
    return table


def combinations(names: list[str]) -> Iterator[Levels]:
    for levels in product((False, True), repeat=len(names)):
        yield dict(zip(names, levels, strict=True))


def bits(number: int, names: str) -> Levels:
    """Names of the bits, the highest first, as levels of the number."""
    order = names.split()
    return {name: bool(number >> (len(order) - 1 - place) & 1) for place, name in enumerate(order)}


def expected_148(levels: Levels) -> Levels:
    asked = [n for n in range(8) if not levels[f"I{n}"]]
    if levels["EI"]:
        return {"A2": True, "A1": True, "A0": True, "GS": True, "EO": True}
    if not asked:
        return {"A2": True, "A1": True, "A0": True, "GS": True, "EO": False}
    return bits(~max(asked) & 7, "A2 A1 A0") | {"GS": False, "EO": True}


def expected_4532(levels: Levels) -> Levels:
    asked = [n for n in range(8) if levels[f"D{n}"]]
    if not levels["EI"]:
        return {"Q2": False, "Q1": False, "Q0": False, "GS": False, "EO": False}
    if not asked:
        return {"Q2": False, "Q1": False, "Q0": False, "GS": False, "EO": True}
    return bits(max(asked), "Q2 Q1 Q0") | {"GS": True, "EO": False}


def wrong_148(table: TruthTable) -> list[Levels]:
    """Combinations in which a table does not do what a 74HC148 does."""
    names = ["EI", *(f"I{n}" for n in range(8))]
    return [levels for levels in combinations(names) if outputs_of(table, levels) != expected_148(levels)]


def test_74hc148() -> None:
    assert wrong_148(table_of(priority_encoder("74hc", "smd"))) == []


def test_4532() -> None:
    table = table_of(priority_encoder("4000b", "smd"))
    tried = list(combinations(["EI", *(f"D{n}" for n in range(8))]))
    assert len(tried) == 512
    for levels in tried:
        assert outputs_of(table, levels) == expected_4532(levels), levels


@pytest.mark.parametrize("family", FAMILIES)
def test_4051(family: str) -> None:
    table = table_of(analog_switch("4051", family, "smd"))
    for inhibited, channel in product((False, True), range(8)):
        closed = closed_of(table, bits(channel, "C B A") | {"INH": inhibited})
        assert closed == {("X", f"X{n}"): n == channel and not inhibited for n in range(8)}


@pytest.mark.parametrize("family", FAMILIES)
def test_4052(family: str) -> None:
    table = table_of(analog_switch("4052", family, "smd"))
    for inhibited, channel in product((False, True), range(4)):
        closed = closed_of(table, bits(channel, "B A") | {"INH": inhibited})
        assert closed == {(s, f"{s}{n}"): n == channel and not inhibited for s in "XY" for n in range(4)}


@pytest.mark.parametrize("family", FAMILIES)
def test_4053(family: str) -> None:
    """NXP: 1Z (pin 14) follows S1 (11), 2Z (15) follows S2 (10), 3Z (4) follows S3 (9); nY1 when high."""
    part = analog_switch("4053", family, "smd")
    name = {int(pin.number): pin.name for pin in part.pins}
    sections = [(11, 14, 12, 13), (10, 15, 2, 1), (9, 4, 5, 3)]
    for levels in combinations([name[n] for n in (6, 11, 10, 9)]):
        closed = closed_of(table_of(part), levels)
        expected = {}
        for select, common, low, high in sections:
            expected[name[common], name[low]] = not levels[name[6]] and not levels[name[select]]
            expected[name[common], name[high]] = not levels[name[6]] and levels[name[select]]
        assert closed == expected


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_six_gates(construction: str) -> None:
    """Gates stand between pins 1 and 2, 3 and 4, 5 and 6, 9 and 8, 11 and 10, 13 and 12 (NXP 74HC04)."""
    inverters = [inverter(family, construction) for family in FAMILIES]
    for part in (*inverters, buffer_inverter(construction)):
        name = {int(pin.number): pin.name for pin in part.pins}
        gates = [(1, 2), (3, 4), (5, 6), (9, 8), (11, 10), (13, 12)]
        for levels in combinations([name[a] for a, _ in gates]):
            assert outputs_of(table_of(part), levels) == {name[y]: not levels[name[a]] for a, y in gates}


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_six_buffers(construction: str) -> None:
    """Nexperia 74HC4050, table 2: outputs 2, 4, 6, 10, 12, 15 in the order of the inputs 3, 5, 7, 9, 11, 14."""
    part = buffer(construction)
    name = {int(pin.number): pin.name for pin in part.pins}
    gates = list(zip((3, 5, 7, 9, 11, 14), (2, 4, 6, 10, 12, 15), strict=True))
    for levels in combinations([name[a] for a, _ in gates]):
        assert outputs_of(table_of(part), levels) == {name[y]: levels[name[a]] for a, y in gates}


def test_a_coded_switch_counts_in_binary() -> None:
    """A maker's table of BCD code (Datex, table 1): 3 is 1 and 2, 6 is 2 and 4, 9 is 1 and 8, 0 is nothing."""
    assert [coded_closed(n) for n in (0, 3, 6, 9)] == [(), ("1", "2"), ("2", "4"), ("1", "8")]
    assert [sum(map(int, coded_closed(n))) for n in range(10)] == list(range(10))
    with pytest.raises(ValueError, match="0 to 9, found 10"):
        coded_closed(10)


@pytest.mark.parametrize("key", TABLES)
def test_every_combination_is_met_by_a_row(key: str) -> None:
    """What no row fits would come out low, or open, without anybody having said so."""
    table = TABLES[key]
    for levels in product("LH", repeat=len(table.inputs)):
        assert any(
            all(mark in ("x", level) for mark, level in zip(row.inputs, levels, strict=True)) for row in table.rows
        )


@pytest.mark.parametrize("key", TABLES)
def test_arrays_and_bools_agree(key: str) -> None:
    """Every combination there is, one at a time and then all as arrays."""
    table = TABLES[key]
    pins = table.input_pins
    tried = list(combinations(list(pins)))
    arrays = {pin: np.array([levels[pin] for levels in tried]) for pin in pins}
    for read in (outputs_of, closed_of):
        one_by_one = [read(table, levels) for levels in tried]
        at_once = read(table, arrays)
        for name, values in at_once.items():
            assert values.dtype == bool and values.shape == (len(tried),)
            assert list(values) == [found[name] for found in one_by_one]
        assert all(isinstance(value, bool) for found in one_by_one for value in found.values())


def test_bools_beside_arrays() -> None:
    table = TABLES["4051"]
    closed = closed_of(table, {"INH": False, "C": False, "B": True, "A": np.array([False, True])})
    assert [list(np.broadcast_to(closed["X", f"X{n}"], 2)) for n in (1, 2, 3)] == [
        [False, False], [True, False], [False, True],
    ]  # fmt: skip


@pytest.mark.parametrize("line", range(2, 12))
def test_a_wrong_mark_is_caught(line: int) -> None:
    """Each row's EO in turn; the exhaustive comparison above must see every one."""
    lines = ENCODER_148.splitlines()
    assert lines[line][-1] in "HL"
    lines[line] = lines[line][:-1] + ("L" if lines[line][-1] == "H" else "H")
    assert wrong_148(read_table("broken", "\n".join(lines), "", ""))


@pytest.mark.parametrize("line", range(4, 12))
def test_a_wrong_code_is_caught(line: int) -> None:
    """The highest bit of each row that is read after "nothing asked"."""
    lines = ENCODER_148.splitlines()
    column = lines[line].index("|") + 3
    lines[line] = lines[line][:column] + ("L" if lines[line][column] == "H" else "H") + lines[line][column + 1 :]
    assert wrong_148(read_table("broken", "\n".join(lines), "", ""))


def test_rows_are_read_from_the_top() -> None:
    """A first row that takes everything leaves nothing for the rest."""
    table = read_table("order", "A | Y\nx | L\nH | H", "", "")
    assert [outputs_of(table, {"A": a})["Y"] for a in (False, True)] == [False, False]
    table = read_table("order", "A | Y\nH | H\nx | L", "", "")
    assert [outputs_of(table, {"A": a})["Y"] for a in (False, True)] == [False, True]
    table = read_table("order", "A | Y\nH | L\nL | L\nx | H", "", "")
    assert [outputs_of(table, {"A": a})["Y"] for a in (False, True)] == [False, False]
