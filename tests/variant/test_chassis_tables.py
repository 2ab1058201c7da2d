"""The tables of the chassis: strict as all others, in the models and in the schema alike."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from pydantic import ValidationError

from emit.test_schema import fits
from rasterport.errors import VariantError
from rasterport.variant.load import load
from rasterport.variant.models import Variant
from variant.minimal import minimal


def read(text: str) -> Variant:
    return Variant.model_validate(tomllib.loads(text))


UNDO = "must be a key of [[set.work]]: did you mean undo?"
ROW = '[[set.work]]\nkind = "lift"\ndo = "lift C301"\n'


def test_work_keeps_its_order() -> None:
    rows = "".join(f'[[set.work]]\nkind = "cut"\ndo = "cut {n}"\n' for n in range(12))
    assert [row.do for row in read(minimal() + rows).set.work] == [f"cut {n}" for n in range(12)]
    assert read(minimal()).set.work == ()


@pytest.mark.parametrize(
    ("row", "key", "kind"),
    [
        (ROW + "place = 'x'\n", "place", "extra_forbidden"),
        (ROW.replace('do = "lift C301"\n', ""), "do", "missing"),
        (ROW.replace('kind = "lift"\n', ""), "kind", "missing"),
        (ROW.replace('"lift C301"', '" \\n "'), "do", "free_text"),
        (ROW.replace('"lift C301"', "7"), "do", "string_type"),
        (ROW.replace('"lift"', '"unsolder"'), "kind", "literal_error"),
        (ROW + 'undo = "a\\tb"\n', "undo", "free_text"),
    ],
)
def test_a_row_of_work_is_strict(row: str, key: str, kind: str) -> None:
    file = tomllib.loads(minimal() + ROW + row)
    with pytest.raises(ValidationError) as raised:
        Variant.model_validate(file)
    assert [(e["loc"], e["type"]) for e in raised.value.errors()] == [(("set", "work", 1, key), kind)]
    assert not fits(file)


def test_faults_of_a_row_come_with_line_and_path(tmp_path: Path) -> None:
    text = minimal() + ROW + ROW + 'undoo = "solder it back"\n' + ROW.replace("lift", "raise", 1)
    file = tmp_path / "finch.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(VariantError) as raised:
        load(file)
    lines = text.splitlines()
    told = [(f.line, f.key, f.allowed) for f in raised.value.faults]
    assert told == [
        (
            lines.index('undoo = "solder it back"') + 1,
            "set.work-2.undoo",
            UNDO,
        ),
        (lines.index('kind = "raise"') + 1, "set.work-3.kind", 'must be one of "lift", "cut", "add", "move", "other"'),
    ]


def test_work_in_single_brackets_is_said(tmp_path: Path) -> None:
    file = tmp_path / "finch.toml"
    file.write_text(minimal() + ROW.replace("[[set.work]]", "[set.work]"), encoding="utf-8")
    with pytest.raises(VariantError) as raised:
        load(file)
    (fault,) = raised.value.faults
    assert (fault.key, fault.found, fault.allowed) == (
        "set.work",
        "a table",
        "must be a table [[set.work]] in double brackets",
    )


PLACE = '[[board.place]]\npart = "red/coupling"\nat = "C231, empty"\n'


@pytest.mark.parametrize("text", ["", "4", "4,17", "4 ,  17, 21", "red-shell, sync-shell"])
def test_contacts_are_read_in_any_spacing(text: str) -> None:
    file = minimal().replace('socket = "european-21"', f'socket = "european-21"\nwired_contacts = "{text}"')
    assert read(file).input[0].wired_contacts == text
    assert fits(tomllib.loads(file))


@pytest.mark.parametrize("text", ["4;17", "4,,17", "4 17", " 4", "4,", "Red", "4\\n17"])
def test_contacts_written_otherwise_say_how(text: str, tmp_path: Path) -> None:
    file = minimal().replace('socket = "european-21"', f'socket = "european-21"\nwired_contacts = "{text}"')
    (tmp_path / "finch.toml").write_text(file, encoding="utf-8")
    with pytest.raises(VariantError) as raised:
        load(tmp_path / "finch.toml")
    (fault,) = raised.value.faults
    assert fault.key == "input-1.wired_contacts"
    assert fault.allowed == 'must be contacts with commas between, such as "4, 17, 21" or "red-shell, sync-shell"'
    assert not fits(tomllib.loads(file))


@pytest.mark.parametrize(
    ("row", "key", "kind"),
    [
        (PLACE + "ref = 'C1'\n", "ref", "extra_forbidden"),
        (PLACE.replace('part = "red/coupling"\n', ""), "part", "missing"),
        (PLACE.replace('"C231, empty"', '"  "'), "at", "free_text"),
    ],
)
def test_an_empty_place_is_strict(row: str, key: str, kind: str) -> None:
    file = tomllib.loads(minimal() + PLACE + row)
    with pytest.raises(ValidationError) as raised:
        Variant.model_validate(file)
    assert [(e["loc"], e["type"]) for e in raised.value.errors()] == [(("board", "place", 1, key), kind)]
    assert not fits(file)
    assert [row.at for row in read(minimal() + PLACE + PLACE).board.place] == ["C231, empty"] * 2
