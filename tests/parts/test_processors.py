"""The table of video processors against the makers' figures, typed again, and what a reader of it relies on."""

from __future__ import annotations

import dataclasses
import re

import pytest

from rasterport.parts import processors
from rasterport.parts.processors import CELLS, PROCESSORS, TABLE, Cell, Processor, processor, read_table
from rasterport.variant.colour import Blanking, Rgb
from rasterport.variant.fields import Quantity

ROWS = tuple({row.names[0]: row for row in PROCESSORS.values()}.values())

FIGURES: dict[str, tuple[str, str, dict[str, float]]] = {
    # Philips TDA8360/61/62, March 1994: 0.4 and 0.9 V, pulse 3 V, 0.2 mA, 20 ns; 0.7 Vpp, clips from 1 V, 0.1 uA.
    "TDA8360 TDA8361 TDA8362": ("Philips TDA8362 data sheet, March 1994", "two texts agree", {
        "off_below": 0.4, "on_above": 0.9, "maximum": 3.0, "pin_current": 0.0002, "delay": 0.00000002,
        "white_level": 0.7, "clipping_level": 1.0, "leakage": 0.0000001,
    }),
    # Philips TDA8376, January 1996: 0.4, 0.9 and 3.0 V, 0.2 mA; 0.7 V, clips from 1.0 V, 0.1 uA.
    "TDA8376": ("Philips TDA8376 data sheet, January 1996", "one text", {
        "off_below": 0.4, "on_above": 0.9, "maximum": 3.0, "pin_current": 0.0002, "white_level": 0.7,
        "clipping_level": 1.0, "leakage": 0.0000001,
    }),
    # Philips TDA933xH, June 2002: 0 to 0.45 V, 0.9 to 3.0 V, -0.12 and -0.2 mA; 0.7 V, 40 uA, 5 pF, 10 Mohm.
    "TDA933xH": ("Philips TDA933xH data sheet, June 2002", "one text", {
        "off_below": 0.45, "on_above": 0.9, "maximum": 3.0, "pin_current": 0.0002, "white_level": 0.7,
        "clamp_current": 0.00004, "resistance": 10_000_000, "capacitance": 0.000000000005,
    }),
    # Philips TDA8310A, January 1996: 0 to 0.5 V, 0.9 to 3.0 V, -0.2 and -0.3 mA.
    "TDA8310A": ("Philips TDA8310A data sheet, January 1996", "one text", {
        "off_below": 0.5, "on_above": 0.9, "maximum": 3.0, "pin_current": 0.0003,
    }),
    # ST: threshold 0.5, 0.7 and 0.85 V, 5 V absolute, 10 uA, 20 and 40 ns; 0.7 Vpp, clamp 60, 100 and 140 uA.
    "STV223x STV224x STV228x": ("ST STV223x, STV224x and STV228x data sheets", "three texts agree", {
        "off_below": 0.5, "on_above": 0.85, "absolute_maximum": 5.0, "pin_current": 0.00001, "delay": 0.00000004,
        "white_level": 0.7, "clamp_current": 0.00006,
    }),
    # ST STV9211: 100 nF; 1 Vpp is a maximum and no nominal level.
    "STV9211": ("ST STV9211 data sheet", "one text", {"coupling": 0.0000001}),
    # Micronas TPU 3035 and 3040: 0.5 and 0.9 V; 0 to 0.7 V, 100 to 1000 nF.
    "TPU3035 TPU3040": ("Micronas TPU 3035, TPU 3040 data sheet", "one text", {
        "off_below": 0.5, "on_above": 0.9, "white_level": 0.7, "coupling": 0.0000001,
    }),
    # Philips TDA4885 and TDA4886A: 1.1 and 1.7 V.
    "TDA4885 TDA4886A": ("Philips TDA4885 (November 1997) and TDA4886A data sheets", "two texts agree", {
        "off_below": 1.1, "on_above": 1.7,
    }),
    # National LM1229: 1000 pF.
    "LM1229": ("National LM1229 data sheet", "one text", {"coupling": 0.000000001}),
    # Sanyo: levels of test circuits only.
    "LA7615 LA76070 LA76075 LA76810A LA76818A": ("Sanyo data sheets of these types", "three texts agree", {}),
    # Sony: YUV switch 0.4 and 1.0 V, VCC of 9 V and 0.3 V; 0.7 Vpp.
    "CXA2039M CXA2061S": ("Sony CXA2039M and CXA2061S data sheets", "one text", {
        "off_below": 0.4, "on_above": 1.0, "absolute_maximum": 9.3, "white_level": 0.7,
    }),
    # Philips TDA4580: words only.
    "TDA4580": ("Philips TDA4580 data sheet", "one text", {}),
    # Philips TDA3504: 1.0 V black to white.
    "TDA3504": ("Philips TDA3504 data sheet", "one text", {"white_level": 1.0}),
    # Philips TDA4680: from at most 600 ohm.
    "TDA4680": ("Philips TDA4680 data sheet", "one text", {"source_resistance_most": 600}),
    # Mitsubishi M61206FP: a test level only.
    "M61206FP": ("Mitsubishi M61206FP data sheet", "one text", {}),
}  # fmt: skip

SAFE = {
    ("TDA933xH", "pin_current"): "greatest", ("TDA8310A", "pin_current"): "greatest",
    ("STV223x", "off_below"): "lowest threshold", ("STV223x", "on_above"): "highest threshold",
    ("STV223x", "delay"): "greatest", ("STV223x", "clamp_current"): "least",
    ("TPU3035", "coupling"): "least", ("TDA8362", "white_level"): "nominal", ("TDA8376", "white_level"): "nominal",
    ("TDA933xH", "white_level"): "nominal", ("STV223x", "white_level"): "nominal",
    ("TPU3035", "white_level"): "nominal", ("TDA8362", "maximum"): "highest insertion pulse",
}  # fmt: skip
"""Cells of which the sheet prints several figures -> how the source must begin to say which one this is."""

BOUNDS: dict[str, tuple[float, float]] = {
    "off_below": (0.1, 1.5), "on_above": (0.5, 3.0), "maximum": (2.0, 6.0), "absolute_maximum": (3.0, 15.0),
    "pin_current": (1e-6, 1e-3), "delay": (1e-9, 200e-9), "white_level": (0.3, 1.5), "clipping_level": (0.7, 3.0),
    "clamp_current": (10e-6, 1e-3), "leakage": (1e-9, 10e-6), "resistance": (10e3, 100e6),
    "capacitance": (1e-12, 50e-12), "coupling": (470e-12, 10e-6), "source_resistance_most": (75.0, 10e3),
}  # fmt: skip
"""SI units; a slip of a prefix is a factor of a thousand and falls outside most."""

WORDS = {
    "TDA8362": ("4 V it blanks", "pin 21", "22 to 24", "46 dB"),
    "TDA8376": ("4 V, on pin 14 only, it inserts black", "55 dB, 0 to 5 MHz"),
    "TDA933xH": ("blend", "0.31 to 1.14 V"),
    "TDA8310A": ("4 V the outputs are high-ohmic",),
    "STV224x": ("second insertion input only", "half contrast from 0.7 V", "blanking from 4 V", "3.5 V", "ground"),
    "STV9211": ("monitor", "1 Vpp"),
    "TDA4886A": ("monitor", "higher thresholds"),
    "LM1229": ("TTL or CMOS", "threshold not found", "half of VCC", "0.7 V", "33 ohm"),
    "LA76810A": (
        "threshold not found", "2.0 V (LA76070, pin 36)", "3.5 V (LA76075, LA76810A and LA76818A, pin 17)",
        "1.5 V (LA7615)", "14 to 16", "0.35 and 0.7 V", "supply about 7 V",
    ),
    "CXA2061S": ("YUV switch", "RGB switch not found", "capacitor"),
    "TDA4580": ("fast switch 1", "21-contact socket"),
    "TDA3504": ("TDA4580",),
    "TDA4680": ("capacitor",),
    "M61206FP": ("digital", "1.0 V", "no threshold"),
}  # fmt: skip
"""What the words of a row must hold: levels with a second meaning, pins, levels that are no thresholds."""

MAKERS = {
    "TDA": "Philips", "STV": "ST", "TPU": "Micronas", "LM": "National Semiconductor (Texas Instruments)",
    "LA": "Sanyo", "CXA": "Sony", "M": "Mitsubishi",
}  # fmt: skip


def named(row: Processor) -> str:
    return row.names[0]


def cells_of(row: Processor) -> list[tuple[str, Cell]]:
    return list(row.cells.items())


def test_every_row_stands_once_in_the_order_of_the_figures() -> None:
    assert [" ".join(row.names) for row in ROWS] == list(FIGURES)


@pytest.mark.parametrize("names", FIGURES)
def test_the_cells_of_a_row_are_the_makers_figures_and_no_others(names: str) -> None:
    document, confidence, figures = FIGURES[names]
    cells = processor(names.split()[-1]).cells
    assert {name: cell.value for name, cell in cells.items()} == pytest.approx(figures, rel=1e-12)
    for name, cell in cells.items():
        assert cell.source == document or cell.source.startswith(f"{document}; "), name
        assert cell.confidence == confidence, name
    assert all(cells.get(name) is None for name in CELLS if name not in figures)


@pytest.mark.parametrize(("key", "which"), SAFE.items(), ids=lambda given: str(given))
def test_a_cell_says_which_of_several_figures_it_is(key: tuple[str, str], which: str) -> None:
    name, cell = key
    assert processor(name).cells[cell].source.split("; ", 1)[1].startswith(which)


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_every_cell_has_a_source_and_a_confidence_and_lies_where_such_a_figure_may(row: Processor) -> None:
    for name, cell in cells_of(row):
        assert row.maker.split()[0] in cell.source and "data sheet" in cell.source, name
        assert re.fullmatch(r"one text|(two|three) texts agree", cell.confidence), name
        least, greatest = BOUNDS[name]
        assert least <= cell.value <= greatest, name


def test_bounds_and_units_speak_of_the_same_cells() -> None:
    assert set(BOUNDS) == set(CELLS)
    assert {name for row in ROWS for name in row.cells} == set(CELLS)
    assert set(CELLS.values()) == {"V", "A", "s", "ohm", "F"}


def test_a_cell_that_a_variant_file_has_too_fits_there() -> None:
    keys = {
        name: rule
        for model in (Rgb, Blanking)
        for name, field in model.model_fields.items()
        for rule in field.metadata
        if isinstance(rule, Quantity) and name in CELLS
    }
    assert {"off_below", "on_above", "maximum", "pin_current", "white_level", "leakage", "resistance"} <= set(keys)
    for name, rule in keys.items():
        assert rule.unit == CELLS[name]
        for row in ROWS:
            if name in row.cells:
                assert rule.least <= row.cells[name].value <= rule.greatest, (row.names, name)


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_levels_rise(row: Processor) -> None:
    def level(name: str) -> list[float]:
        return [row.cells[name].value] if name in row.cells else []

    insertion = level("off_below") + level("on_above") + level("maximum") + level("absolute_maximum")
    colour = level("white_level") + level("clipping_level")
    for levels in (insertion, colour):
        assert levels == sorted(set(levels))
    assert ("off_below" in row.cells) == ("on_above" in row.cells)


def test_enough_rows_have_all_three_levels_to_compare() -> None:
    three = {"off_below", "on_above", "maximum"}
    assert [named(row) for row in ROWS if three <= set(row.cells)] == ["TDA8360", "TDA8376", "TDA933xH", "TDA8310A"]


def test_a_second_meaning_begins_above_the_maximum() -> None:
    """Except where it belongs to another pin: those rows have no maximum."""
    starts = {}
    for row in ROWS:
        found = re.match(r"(?:from|above) (\d+) V", row.second_meaning)
        assert bool(found) == bool(row.second_meaning and "maximum" in row.cells), row.names
        if found:
            starts[named(row)] = float(found[1])
            assert starts[named(row)] > row.cells["maximum"].value
    assert starts == {"TDA8360": 4.0, "TDA8376": 4.0, "TDA8310A": 4.0}
    assert [named(row) for row in ROWS if row.second_meaning and named(row) not in starts] == ["STV223x"]


@pytest.mark.parametrize("name", WORDS)
def test_words_of_a_row(name: str) -> None:
    row = processor(name)
    for words in WORDS[name]:
        assert words in f"{row.second_meaning}; {row.remarks}"


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_a_row_says_something_and_its_words_have_a_source(row: Processor) -> None:
    document, confidence, _ = FIGURES[" ".join(row.names)]
    assert row.cells or row.remarks
    assert row.remarks == "" or row.remarks.endswith(f" [{document}; {confidence}]")
    assert row.cells or row.second_meaning == ""
    if not {"off_below", "white_level"} & set(row.cells):
        assert len(row.remarks.split(" [")[0]) > 10


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_maker_and_kind(row: Processor) -> None:
    assert {MAKERS[re.match("[A-Z]+", name)[0]] for name in row.names} == {row.maker}
    monitors = {"STV9211", "TDA4885", "LM1229"}
    assert row.kind == ("monitor" if named(row) in monitors else "television")
    assert ("monitor" in row.remarks) == (row.kind == "monitor")


def test_every_name_is_unique_and_finds_its_row_in_any_case() -> None:
    names = [name for row in ROWS for name in row.names]
    assert len({name.lower() for name in names}) == len(names) == len(PROCESSORS) == 26
    for row in ROWS:
        for name in row.names:
            assert PROCESSORS[name.lower()] is row
            assert processor(name) is processor(f" {name.lower()} ") is processor(name.upper()) is row


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("TDA8363", 'no processor "TDA8363" in the table; near it: TDA8376, TDA8362, TDA8361'),
        ("tda9332h", 'no processor "tda9332h" in the table; near it: TDA933xH, TDA8362'),
        ("STV2246", 'no processor "STV2246" in the table; near it: STV224x, STV228x, STV223x'),
        ("LA76810", 'no processor "LA76810" in the table; near it: LA76810A, LA76818A, LA7615'),
        ("zzz", 'no processor "zzz" in the table; none is near'),
        ("", 'no processor "" in the table; none is near'),
        ("z" * 1000, f'no processor "{"z" * 40}" in the table; none is near'),
    ],
    ids=lambda given: given[:12],
)
def test_a_name_that_is_not_known_is_answered_with_the_nearest(name: str, message: str) -> None:
    with pytest.raises(KeyError) as caught:
        processor(name)
    assert caught.value.args == (message,)


HEAD = "    AB1  Maker  television  one text  Maker AB1 data sheet\n"


def test_a_small_table_is_read() -> None:
    row = Processor(
        ("AB1", "AB2"), "Maker", "television", {"maximum": Cell(3.0, "Sheet; greatest", "one text")}, "a; b", ""
    )
    lines = "        maximum  3.0  greatest\n        second_meaning  a\n\n        second_meaning  b\n"
    found = read_table("\n    AB1, AB2  Maker  television  one text  Sheet\n" + lines)
    assert found == {"ab1": row, "ab2": row}


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (HEAD.replace("  one text", ""), "a head must hold"),
        (HEAD + "        maximum  3.0\n", "a line must hold a cell"),
        (HEAD + "        maximum  3.0  -\n        maximum  4.0  -\n", "a line must hold a cell, once"),
        (HEAD + "        voltage  3.0  -\n", "a line must hold a cell"),
        (HEAD + "        remarks  one  two\n", "a line must hold a cell"),
        (HEAD + "        maximum  3 V  -\n", "could not convert"),
        (HEAD + HEAD.replace("AB1 ", "ab1 "), "a name must stand once, found ab1 twice"),
        (HEAD.replace("AB1 ", "AB1, AB1 "), "a name must stand once, found AB1 twice"),
    ],
)
def test_a_table_with_a_slip_is_refused(table: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        read_table(table)


def test_rows_and_cells_cannot_be_changed() -> None:
    row = processor("TDA8362")
    with pytest.raises(dataclasses.FrozenInstanceError):
        row.maker = "other"  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        row.cells["maximum"].value = 5.0  # type: ignore[misc]


def test_the_table_is_aligned_and_the_module_prints_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    inner = [line for line in TABLE.splitlines() if line.startswith(" " * 8)]
    assert len(inner) > 60
    assert {re.match(r" {8}\S+ +", line).end() for line in inner} == {32}
    figures = [line for line in inner if line.split()[0] in CELLS]
    assert {re.match(r" {8}\S+ +\S+ +", line).end() for line in figures} == {41}
    assert processors.read_table(TABLE) == PROCESSORS
    assert capsys.readouterr().out == ""
