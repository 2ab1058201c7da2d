"""[[built]]: strict as every other table, taken from no other file, and without effect on any file but the findings."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from emit.test_schema import fits
from places import TEMPLATES
from rasterport.api import build
from rasterport.emit.resolved import resolved_text
from rasterport.emit.survey import survey_text
from rasterport.emit.survey_page import survey_page
from rasterport.errors import VariantError
from rasterport.units import QuantityError
from rasterport.variant.built import split
from rasterport.variant.load import load
from rasterport.variant.models import Variant
from rasterport.variant.reading import HINTS, measured
from spellings import REFUSED, TAKEN, Spelling
from variant.minimal import minimal

FULL = """
[[built]]
serial = "0001"
date = 2031-05-14
changed = ["red/coupling = 120n", "lead shortened"]
notes = "the one in the blue cabinet"
[built.readings]
"joined/red-ground" = "74.8 ohm"
"powered/blanking.on" = "-0.01 V"

[[built]]
serial = "0002"
date = "2031-05-15"
readings = { "joined/red-ground" = "open" }
"""
LONG = f"{'7' * 38} ohm"
OPEN_TOO = 'must be a number with its unit, or open, such as "74.8 ohm", "1.97 V" or "open"'


def written(folder: Path, text: str, name: str = "finch") -> Path:
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def told(folder: Path, rows: str) -> list[tuple[str, str, str]]:
    """Key, what was found and what is allowed, of every fault of the minimal file with these rows."""
    with pytest.raises(VariantError) as raised:
        load(written(folder, minimal() + rows))
    return [(fault.key, fault.found, fault.allowed) for fault in raised.value.faults]


def test_a_record_in_full(tmp_path: Path) -> None:
    first, second = load(written(tmp_path, minimal() + FULL)).variant.built
    assert (first.serial, first.date, first.notes) == ("0001", "2031-05-14", "the one in the blue cabinet")
    assert first.changed == ("red/coupling = 120n", "lead shortened")
    assert first.readings == {"joined/red-ground": "74.8 ohm", "powered/blanking.on": "-0.01 V"}
    assert (second.date, second.readings, second.changed) == ("2031-05-15", {"joined/red-ground": "open"}, ())
    assert load(written(tmp_path, minimal())).variant.built == ()


def row_of(text: str) -> dict[str, Any]:
    """The minimal file with one reading."""
    return {**tomllib.loads(minimal()), "built": [{"serial": "1", "readings": {"a/b": text}}]}


def unit_of(text: str) -> str:
    """The unit that a text names or means by itself, "" for none."""
    try:
        return measured(text)[1]
    except QuantityError:
        return ""


@pytest.mark.parametrize("spelled", TAKEN, ids=lambda s: f"{s.text} in {s.unit}")
def test_a_reading_is_a_number_with_its_unit(spelled: Spelling) -> None:
    """As the sheet copies it, and as it was typed once its unit stands there; without one a file takes none."""
    whole = spelled.text if unit_of(spelled.text) else f"{spelled.text} {spelled.unit}"
    for text in (spelled.copied, whole):
        assert measured(text) == (pytest.approx(spelled.value, rel=1e-12), spelled.unit), text
        assert Variant.model_validate(row_of(text)).built[0].readings == {"a/b": text}
        assert fits(row_of(text)), text
    if whole != spelled.text:
        assert not fits(row_of(spelled.text))


@pytest.mark.parametrize(("text", "unit"), REFUSED)
def test_what_is_no_reading_is_none_with_a_unit_behind_it(text: str, unit: str) -> None:
    for tried in (text, f"{text} {unit}", text + unit):
        assert unit_of(tried) != unit, tried
        assert fits(row_of(tried)) == bool(unit_of(tried)), tried


@pytest.mark.parametrize("unit", HINTS)
def test_hints_are_readings_of_their_unit(unit: str) -> None:
    for example in HINTS[unit].split(" or "):
        for one in example.split(", "):
            assert unit in (unit_of(one), unit_of(f"{one} {unit}")), one


@pytest.mark.parametrize(
    ("value", "found", "allowed"),
    [
        ('"74.8"', '"74.8"', OPEN_TOO),
        ('"4k7"', '"4k7"', OPEN_TOO),
        ('""', '""', OPEN_TOO),
        ('"-"', '"-"', OPEN_TOO),
        (
            '"1,500 ohm"',
            '"1,500 ohm"',
            'must not have a comma that may stand for thousands: write "1.500 ohm" or without it',
        ),
        ('"1e3 ohm"', '"1e3 ohm"', 'must be written without an exponent: write "1 kohm" if that is meant'),
        (
            f'"{"7" * 38} ohm"',
            f'"{"7" * 38} ohm"',
            'must be at most 40 characters, such as "74.8 ohm", "1.97 V" or "open"',
        ),
        ('"--1 V"', '"--1 V"', 'must not be negative; write a quantity such as "0.7 V" or "200 mV"'),
        ('"75 to 76 ohm"', '"75 to 76 ohm"', 'must be one number with one unit, such as "75", "4k7" or "2.2 kohm"'),
        ("74.8", "74.8", 'must be a text with its unit, such as "74.8 ohm", "1.97 V" or "open"'),
        ("true", "true", 'must be a text with its unit, such as "74.8 ohm", "1.97 V" or "open"'),
    ],
)
def test_a_reading_written_otherwise_says_how(value: str, found: str, allowed: str, tmp_path: Path) -> None:
    row = f'[[built]]\nserial = "1"\n[built.readings]\n"joined/red-ground" = {value}\n'
    assert told(tmp_path, row) == [("built-1.readings.joined/red-ground", found, allowed)]
    assert not fits(tomllib.loads(minimal() + row))


KEY = "must be the key of a reading as the bench sheet has it, in quotes, such as joined/native/input-1.red-ground"
DAY = "must be a day of the calendar as year-month-day, such as 2031-05-14"


@pytest.mark.parametrize(
    ("line", "key", "found", "allowed"),
    [
        ('readings = { "Joined/red" = "1 V" }', "readings.Joined/red.[key]", '"Joined/red"', KEY),
        ('readings = { "" = "1 V" }', "readings..[key]", '""', KEY),
        (f'readings = {{ "{"a" * 81}" = "1 V" }}', f"readings.{'a' * 57}....[key]", f'"{"a" * 57}..."', KEY),
        ("readings = 7", "readings", "7", "must be a table [built.readings]"),
        ('date = "2031-02-30"', "date", '"2031-02-30"', DAY),
        ('date = "20310514"', "date", '"20310514"', DAY),
        ('date = ""', "date", '""', DAY),
        ("date = 2031-05-14T12:00:00", "date", "a date or time, 2031-05-14 12:00:00", DAY),
        ('changed = "red/coupling"', "changed", '"red/coupling"', 'must be a list of texts, such as changed = ["..."]'),
        ('changed = ["a", " "]', "changed-2", '" "', "must say something"),
        ("changed = [7]", "changed-1", "7", "must be a list of texts in quotes"),
        ('note = "x"', "note", "an unknown key", "must be a key of [[built]]: did you mean notes?"),
    ],
)
def test_a_record_is_strict(line: str, key: str, found: str, allowed: str, tmp_path: Path) -> None:
    row = f'[[built]]\nserial = "1"\n{line}\n'
    assert told(tmp_path, row) == [(f"built-1.{key}", found, allowed)]
    if line != 'date = "2031-02-30"':  # no pattern knows the calendar
        assert not fits(tomllib.loads(minimal() + row))


def test_each_board_has_a_serial_of_its_own(tmp_path: Path) -> None:
    serial = "must be a serial of 1 to 40 characters on one line"
    assert told(tmp_path, "[[built]]\ndate = 2031-05-14\n") == [
        ("built-1.serial", "nothing", 'must be written under [[built]] as serial = "0001" (text in quotes)')
    ]
    for text in ("", "  ", "a\\nb", "x" * 41):
        assert [(key, allowed) for key, _, allowed in told(tmp_path, f'[[built]]\nserial = "{text}"\n')] == [
            ("built-1.serial", serial)
        ]
    rows = "".join(f'[[built]]\nserial = "{serial}"\n' for serial in ("7", "8", "7 "))
    assert told(tmp_path, rows) == [
        ("built", "a list of 3", 'must have each board once: serial "7" is that of built-1 and built-3')
    ]
    assert told(tmp_path, '[built]\nserial = "7"\n') == [
        ("built", "a table", "must be a table [[built]] in double brackets")
    ]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("red/coupling = 120n", ("red/coupling", "120n")),
        ("red/coupling=120n, film", ("red/coupling", "120n, film")),
        ("R101 = 82", ("R101", "82")),
        ("r101=82", ("r101", "82")),
        (" C1: 120n ", ("C1", "120n")),
        ("red/coupling: 120n", ("red/coupling", "120n")),
        ("lead shortened", ("", "lead shortened")),
        ("sound: through a longer lead", ("", "sound: through a longer lead")),
        ("R101 is warm: larger one = better", ("", "R101 is warm: larger one = better")),
        ("red/coupling = ", ("", "red/coupling =")),
    ],
)
def test_a_change_is_a_role_and_what_was_fitted_or_a_remark(text: str, found: tuple[str, str]) -> None:
    assert split(text) == found


def test_what_was_built_is_taken_from_no_other_file(tmp_path: Path) -> None:
    """Neither rows of the base, nor their place in a message."""
    written(tmp_path, minimal("base") + FULL, "base")
    like = '[variant]\nname = "own"\nlike = "base.toml"\n'
    own = load(written(tmp_path, like, "own"))
    assert own.variant.built == ()
    assert own.resolved is not None and not any(path[0] == "built" for path in own.resolved.origins)
    assert own.resolved.place(("built", 0, "serial")) == (str(tmp_path / "own.toml"), 1)
    row = '[[built]]\nserial = "0003"\n'
    assert [board.serial for board in load(written(tmp_path, like + row, "own")).variant.built] == ["0003"]


def test_a_faulty_record_of_the_other_file_is_not_this_ones_fault(tmp_path: Path) -> None:
    written(tmp_path, minimal("base") + '[[built]]\nserial = ""\n', "base")
    assert load(written(tmp_path, '[variant]\nname = "own"\nlike = "base.toml"\n', "own")).variant.built == ()


def test_the_full_variant_says_it_again(tmp_path: Path) -> None:
    one = load(written(tmp_path, minimal() + FULL + '[fit]\n"red/coupling" = "120n"\n'))
    assert one.resolved is not None
    lines = list(resolved_text(one.resolved))
    assert '"joined/red-ground" = "74.8 ohm"'.ljust(44) + f"  # finch.toml line {line_of('74.8')}" in lines
    again = load(written(tmp_path, "\n".join(lines) + "\n", "again"))
    assert again.variant == one.variant


def line_of(text: str) -> int:
    return next(n for n, line in enumerate((minimal() + FULL).splitlines(), 1) if text in line)


def test_no_survey_asks_for_it() -> None:
    text = survey_text()
    assert "\n[[built]]\n" not in text and "serial" not in text
    assert "Nothing of [[built]] is asked for here" in text
    assert "Nothing of [[built]] is asked for here" in survey_page() and "serial" not in survey_page()


def files(folder: Path, text: str) -> dict[str, Any]:
    """Every file of a build, findings and the sheet that tells them left out, of the manifest what neither touches."""
    folder.mkdir()
    built = build(load(written(folder, text)), folder / "out")
    found: dict[str, Any] = {p.name: p.read_bytes() for p in built.folder.rglob("*") if p.is_file()}
    told = ("heron.findings.json", "heron.html")
    for name in told:
        del found[name]
    manifest = json.loads(found.pop("manifest.json"))
    del manifest["variant_digest"]
    for name in told:
        del manifest["files"][name]
    return {**found, "manifest": manifest}


def test_no_file_of_the_design_is_another_for_it(tmp_path: Path) -> None:
    text = (TEMPLATES / "heron.toml").read_text("utf-8")
    without, beside = files(tmp_path / "a", text), files(tmp_path / "b", text + FULL)
    assert without == beside
    assert len(without) > 8
    assert files(tmp_path / "c", text.replace("clamps = true", "clamps = false")) != without
