"""Logic and selector rows: what the rest will rely on, and what KiCad's second libraries say of the pins."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

import kicad_data
from rasterport.parts import all_rows
from rasterport.parts.analog_switches import LEAST_SHARE, ON, SWITCH_KINDS, analog_switch, on_resistance
from rasterport.parts.families import FAMILIES, Family
from rasterport.parts.logic import TABLE_OF, buffer, inverter, priority_encoder, truth_table
from rasterport.parts.selectors import rotary_positions, rotary_switch
from rasterport.parts.separators import sync_separator
from rasterport.records import CataloguePart
from rasterport.standards.truth_tables import TABLES, closed_of, outputs_of, read_table

LOGIC = [part for part in all_rows() if truth_table(part) is not None]
BOTH = ("smd", "through-hole")


def named(part: CataloguePart) -> dict[str, int]:
    return {pin.name: int(pin.number) for pin in part.pins}


def test_every_logic_row_has_its_table() -> None:
    assert len(LOGIC) == 22 + 2
    assert {part.key.split("/")[0] for part in LOGIC} == {start.split("/")[0] for start in TABLE_OF}
    assert truth_table(sync_separator("smd")) is None
    for start in TABLE_OF:
        assert [part for part in LOGIC if part.key.startswith(start)], start


@pytest.mark.parametrize("part", LOGIC, ids=lambda part: part.key)
def test_a_table_speaks_of_the_pins_of_its_part(part: CataloguePart) -> None:
    table = truth_table(part)
    assert table is not None
    kinds = {pin.name: pin.kind for pin in part.pins}
    assert {name for name, kind in kinds.items() if kind == "input"} == set(table.input_pins)
    assert {name for name, kind in kinds.items() if kind == "output"} == set(table.output_pins)
    terminals = {name for pair in table.pairs for name in pair}
    assert {name for name, kind in kinds.items() if kind == "passive"} == terminals
    assert bool(terminals) == part.key.startswith("analog-switch/")


@pytest.mark.parametrize("part", LOGIC, ids=lambda part: part.key)
def test_figures_that_a_check_will_ask_for(part: CataloguePart) -> None:
    r = part.ratings
    assert 0 < r["supply_low_v"] < r["supply_high_v"]
    low, high = ("input_low_fraction", "input_high_fraction")
    if "inverter" in part.key and not part.key.startswith("buffer-inverter/"):
        assert r["vt_fall_low_fraction"] < r["vt_fall_high_fraction"] < 1
        assert r["vt_rise_low_fraction"] < r["vt_rise_high_fraction"] < 1
        assert r["vt_fall_low_fraction"] < r["vt_rise_low_fraction"]
        assert r["vt_fall_high_fraction"] < r["vt_rise_high_fraction"]
    elif not part.key.startswith("buffer-inverter/"):
        assert 0 < r[low] < 0.5 < r[high] < 1
    assert r["supply_a"] >= r.get("supply_25c_a", 0.0) >= 0
    for key, value in r.items():
        if key.endswith("typical_s"):
            assert value < r[key.replace("typical_s", "most_s")]
        if key.endswith("_ohm") and f"{key}_high" in r:
            assert value < r[f"{key}_high"]


@pytest.mark.parametrize("family", FAMILIES)
def test_the_constructions_of_a_row_share_pins_and_differ_in_the_package(family: str) -> None:
    makers = [
        *(lambda c, kind=kind: analog_switch(kind, family, c) for kind in SWITCH_KINDS),
        lambda c: priority_encoder(family, c), lambda c: inverter(family, c), buffer, sync_separator,
    ]  # fmt: skip
    for maker in makers:
        smd, leaded = (maker(c) for c in BOTH)
        assert smd.pins == leaded.pins and smd.ratings == leaded.ratings
        assert smd.package.startswith("SO-") and leaded.package.startswith("DIP-")
        assert smd.part_number != leaded.part_number
        assert smd.package.split("-")[1] == leaded.package.split("-")[1] == str(len(smd.pins))


def test_the_families_differ_in_the_names_of_the_rails_alone() -> None:
    for kind in SWITCH_KINDS:
        hc, b = (named(analog_switch(kind, family, "smd")) for family in FAMILIES)
        assert hc.pop("VCC") == b.pop("VDD") == 16
        assert hc.pop("GND") == b.pop("VSS") == 8
        assert hc == b
    hc, b = (named(priority_encoder(family, "smd")) for family in FAMILIES)
    names = {f"I{n}": f"D{n}" for n in range(8)} | {f"A{n}": f"Q{n}" for n in range(3)} | {"VCC": "VDD", "GND": "VSS"}
    assert {names.get(name, name): number for name, number in hc.items()} == b


@pytest.mark.parametrize(
    ("part", "stated"),
    [
        # Hitachi HD74HC148, pin arrangement
        (priority_encoder("74hc", "smd"), {"I0": 10, "I1": 11, "I2": 12, "I3": 13, "I4": 1, "I5": 2, "I6": 3, "I7": 4}),
        (priority_encoder("74hc", "smd"), {"EI": 5, "A2": 6, "A1": 7, "A0": 9, "GS": 14, "EO": 15}),
        # Intersil CD4532BMS, pinout
        (
            priority_encoder("4000b", "smd"),
            {"D4": 1, "D5": 2, "D6": 3, "D7": 4, "D0": 10, "D1": 11, "D2": 12, "D3": 13},
        ),
        (priority_encoder("4000b", "smd"), {"EI": 5, "Q2": 6, "Q1": 7, "Q0": 9, "GS": 14, "EO": 15}),
        # NXP 74HC4053 Rev. 8, table 2, and 74HC4051
        (analog_switch("4053", "74hc", "smd"), {"INH": 6, "VEE": 7, "A": 11, "B": 10, "C": 9, "X0": 12, "X1": 13}),
        (analog_switch("4053", "74hc", "smd"), {"Y0": 2, "Y1": 1, "Z0": 5, "Z1": 3, "X": 14, "Y": 15, "Z": 4}),
        (analog_switch("4051", "74hc", "smd"), {"X": 3, "X0": 13, "X1": 14, "X2": 15, "X3": 12, "X4": 1, "X7": 4}),
        # TI SNLS384G: pins 1, 2 and 5 in the text; 4, 6 and 8 in circuits
        (sync_separator("smd"), {"CSYNC": 1, "VIDEO": 2, "GND": 4, "BURST": 5, "RSET": 6, "VCC": 8}),
        # Nexperia 74HC4050, table 2
        (buffer("smd"), {"VCC": 1, "GND": 8, "NC-13": 13, "NC-16": 16, "1A": 3, "1Y": 2, "6A": 14, "6Y": 15}),
    ],
)
def test_pins_as_makers_state_them(part: CataloguePart, stated: dict[str, int]) -> None:
    assert {name: number for name, number in named(part).items() if name in stated} == stated


@pytest.mark.kicad
@pytest.mark.usefixtures("kicad")
@pytest.mark.parametrize("kind", SWITCH_KINDS)
def test_a_second_symbol_agrees(kind: str) -> None:
    """KiCad draws these types in a second library, the 4053 with A, B, C for the switches and S1 to S3 to select."""
    renamed = {f"{ours}{n}": f"{theirs}{n}" for ours, theirs in zip("XYZ", "ABC", strict=True) for n in ("", 0, 1)}
    renamed |= {"A": "S1", "B": "S2", "C": "S3"}
    names = renamed if kind == "4053" else {}
    theirs = {int(pin.number): pin.name for pin in kicad_data.symbol_pins(f"Analog_Switch:CD{kind}B")}
    ours = named(analog_switch(kind, "4000b", "smd"))
    assert {number: names.get(name, name) for name, number in ours.items()} == theirs


@pytest.mark.kicad
@pytest.mark.usefixtures("kicad")
def test_the_symbol_of_the_fast_family_agrees() -> None:
    """KiCad draws one of the 74HC switches with names of its own: A for X, S0 to S2 for A to C."""
    names = {"X": "A"} | {f"X{n}": f"A{n}" for n in range(8)} | {"A": "S0", "B": "S1", "C": "S2", "INH": "~{E}"}
    theirs = {int(pin.number): pin.name for pin in kicad_data.symbol_pins("74xx:74HC4051")}
    ours = named(analog_switch("4051", "74hc", "smd"))
    assert {number: names.get(name, name) for name, number in ours.items()} == theirs


@pytest.mark.parametrize("family", FAMILIES)
def test_on_resistance_falls_with_the_supply(family: Family) -> None:
    rows = ON[family]
    for row in rows:
        assert on_resistance(family, row.supply_v) == row
        assert row.typical_ohm < row.high_ohm < row.hot_ohm
        assert row.spread_typical_ohm < row.spread_ohm < row.spread_hot_ohm
        assert row.spread_ohm < row.high_ohm
    for low, high in pairwise(rows):
        between = on_resistance(family, (low.supply_v + high.supply_v) / 2)
        assert between.hot_ohm == pytest.approx(math.sqrt(low.hot_ohm * high.hot_ohm))
        assert low.hot_ohm > between.hot_ohm > high.hot_ohm
    assert on_resistance(family, rows[-1].supply_v + 1).hot_ohm == rows[-1].hot_ohm


@pytest.mark.parametrize("figure", ["typical_ohm", "high_ohm", "hot_ohm"])
@pytest.mark.parametrize("family", FAMILIES)
def test_a_line_between_two_rows_does_not_lie_below_the_curve(family: Family, figure: str) -> None:
    """The logarithm of the resistance falls ever more slowly, so its line is a bound; drawn on below as well."""
    rows = ON[family]
    volts = [LEAST_SHARE * rows[0].supply_v, *(row.supply_v for row in rows)]
    logs = [math.log(getattr(on_resistance(family, v), figure)) for v in volts]
    slopes = [(b - a) / (w - v) for (v, w), (a, b) in zip(pairwise(volts), pairwise(logs), strict=True)]
    assert slopes == sorted(slopes) and slopes[-1] < 0


@pytest.mark.parametrize(
    ("family", "least_v", "hot_ohm"),
    [
        ("74hc", 3.825, 374.6),  # (4.5 - 1.5) / (3.825 - 1.5) squared is 1.665, of 225 ohm
        ("4000b", 4.25, 1943.8),  # (5 - 1.5) / (4.25 - 1.5) squared is 1.620, of 1200 ohm
    ],
)
def test_an_on_resistance_is_drawn_on_below_its_lowest_row(family: Family, least_v: float, hot_ohm: float) -> None:
    """Down to 85 % of its supply, with the square of what two thresholds of 1.5 V leave; no further."""
    found = [on_resistance(family, v) for v in (least_v, (least_v + ON[family][0].supply_v) / 2)]
    assert found[0].hot_ohm == pytest.approx(hot_ohm, rel=1e-4)
    assert found[0].hot_ohm > found[1].hot_ohm > ON[family][0].hot_ohm
    assert on_resistance(family, ON[family][0].supply_v * (1 - 1e-9)).hot_ohm == pytest.approx(ON[family][0].hot_ohm)
    with pytest.raises(ValueError, match=rf"is known from {least_v:g} V upwards, found {least_v - 0.01:g} V"):
        on_resistance(family, least_v - 0.01)


def test_on_resistances_as_printed() -> None:
    """Philips 74HC4052 and TI SCHS122, 4.5 V and 6 V, peak; National CD4051B at 5, 10, 15 V: most at 25 and 85 C."""
    assert [(row.high_ohm, row.hot_ohm) for row in ON["74hc"]] == [(180, 225), (160, 200)]
    assert [(row.high_ohm, row.hot_ohm) for row in ON["4000b"]] == [(1050, 1200), (400, 520), (240, 300)]
    r = analog_switch("4053", "4000b", "smd").ratings
    assert (r["on_10v_typical_ohm"], r["on_10v_25c_ohm"], r["on_10v_ohm_high"]) == (180, 400, 520)
    r = analog_switch("4053", "74hc", "smd").ratings
    assert (r["on_4v5_25c_ohm"], r["on_4v5_ohm_high"], r["on_4v5_spread_ohm_high"]) == (180, 225, 35)


@pytest.mark.parametrize("family", FAMILIES)
def test_more_ways_have_more_capacitance(family: str) -> None:
    common = [analog_switch(kind, family, "smd").ratings["common_f"] for kind in ("4053", "4052", "4051")]
    assert common == sorted(common) and len(set(common)) == 3


def test_the_buffer_bears_what_a_separator_gives() -> None:
    """Its inputs bear 15 V, the separator's rail is at most 12 V."""
    assert buffer("smd").ratings["input_max_v"] >= sync_separator("smd").ratings["supply_max_v"]


@pytest.mark.parametrize(("poles", "most"), [(1, 12), (2, 6), (3, 4), (4, 3)])
def test_rotary_switches(poles: int, most: int) -> None:
    assert rotary_positions(poles) == tuple(range(2, most + 1))
    part = rotary_switch(poles, most)
    number = named(part)
    for pole in range(1, poles + 1):
        assert number[f"common-{pole}"] == 12 + pole
        assert [number[f"{k}-{pole}"] for k in range(1, most + 1)] == list(
            range((pole - 1) * most + 1, pole * most + 1)
        )
    assert part.footprint == ""
    with pytest.raises(ValueError, match=f"2 to {most} positions, found {most + 1}"):
        rotary_switch(poles, most + 1)


def test_rotary_switches_that_are_not_sold() -> None:
    with pytest.raises(ValueError, match="1 to 4 poles, found 5"):
        rotary_switch(5, 2)
    with pytest.raises(ValueError, match="found 1"):
        rotary_switch(1, 1)


@pytest.mark.kicad
@pytest.mark.usefixtures("kicad")
@pytest.mark.parametrize(("poles", "most"), [(2, 6), (3, 4), (4, 3)])
def test_the_common_lug_of_a_pole_is_drawn_before_its_positions(poles: int, most: int) -> None:
    part = rotary_switch(poles, most)
    y = {int(pin.number): pin.y for pin in kicad_data.symbol_pins(part.symbol)}
    number = named(part)
    for pole in range(1, poles + 1):
        spread = [y[number[f"{k}-{pole}"]] for k in range(1, most + 1)]
        assert min(spread) <= y[number[f"common-{pole}"]] <= max(spread)


@pytest.mark.kicad
@pytest.mark.usefixtures("kicad")
def test_lugs_of_a_coded_switch_are_called_as_on_other_makers_symbols() -> None:
    (part,) = (row for row in all_rows() if row.key == "coded-switch/bcd")
    theirs = {pin.number for pin in kicad_data.symbol_pins("Switch:SW_Coded_SH-7010")}
    assert {pin.number for pin in part.pins} == theirs


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ("A B Y\nL L H", "first line must name inputs"),
        ("A | Y\nL L | H", "a mark under every name"),
        ("A | Y\nL", "a mark under every name"),
        ("A | Y\nL | 1", "H, L or x"),
        ("A | Y\nL | x", "an output must be H or L"),
        ("A | | closed\nL | |", "written as X-X0"),
        ("A | | closed\nL | | XX0", "written as X-X0"),
        ("A | | closed\nL | H | X-X0", "a mark under every name"),
    ],
)
def test_a_table_that_does_not_fit_is_refused(table: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        read_table("broken", table, "", "")


def test_levels_must_be_complete_and_of_the_right_kind() -> None:
    table = TABLES["4052"]
    with pytest.raises(ValueError, match="4052: levels must be given for INH B A, found A B"):
        closed_of(table, {"A": True, "B": True})
    with pytest.raises(ValueError, match="found A B C INH"):
        closed_of(table, {"A": True, "B": True, "C": True, "INH": False})
    with pytest.raises(TypeError, match="level of A must be a bool or an array of bools, found 1"):
        outputs_of(table, {"A": 1, "B": 0, "INH": 0})


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("kind", "ways"), [("4051", 8), ("4052", 4), ("4053", 2)])
def test_an_encoder_sets_a_switch_to_the_first_input_that_asks(family: str, kind: str, ways: int) -> None:
    """Input n on encoder input 8 - n, so that the lowest n wins; its outputs go straight to A, B, C and the enable.

    74HC148: terminal n - 1, GS to INH.  4532: terminal 8 - n, 4 - n, 2 - n, EO to INH.
    """
    encoder, switch = truth_table(priority_encoder(family, "smd")), truth_table(analog_switch(kind, family, "smd"))
    assert encoder is not None and switch is not None
    low = family == "74hc"
    data, code, off = ("I", "A", "GS") if low else ("D", "Q", "EO")
    for asking in range(2**ways):
        asks = {n: n <= ways and bool(asking >> (n - 1) & 1) for n in range(1, 9)}
        out = outputs_of(encoder, {f"{data}{8 - n}": asked != low for n, asked in asks.items()} | {"EI": not low})
        lines = {"A": out[f"{code}0"], "B": out[f"{code}1"], "C": out[f"{code}2"], "INH": out[off]}
        if kind == "4053":
            lines |= dict.fromkeys("ABC", lines["A"])
        closed = closed_of(switch, {pin: lines[pin] for pin in switch.input_pins})
        first = next((n for n, asked in asks.items() if asked), None)
        terminal = None if first is None else first - 1 if low else ways - first
        assert {pair[1][1:] for pair, shut in closed.items() if shut} == ({str(terminal)} if first else set())
