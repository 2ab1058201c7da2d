"""Tables for a spreadsheet: what it would work out is text, in every file, and everything else stays as it is."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from making import TEMPLATE_NAMES, template, variant
from rasterport.circuit import compose
from rasterport.emit.bom import bom_text
from rasterport.emit.tables import FORMULA, csv_text, harmless
from rasterport.emit.wiring import wiring_text
from rasterport.records import Circuit

RISKY = ["=1+1", "+1", "-1-1", "-", "-1 V", "@x", "\t=1", " =1", "\r=1", "\n-", "-1.5e3", " -1", "-.5", "=-1"]


@pytest.mark.parametrize("cell", RISKY)
def test_a_cell_that_a_spreadsheet_would_work_out_is_text(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ["", "75R", "1-2", "a=b", "'=1", "-1", "-0.25", "5 V", "±1", "  x"])
def test_other_cells_stay(cell: str) -> None:
    assert harmless(cell) == cell


def cells(text: str) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]


def test_a_table_holds_no_formula_and_loses_nothing() -> None:
    found = list(csv.reader(io.StringIO(csv_text(["a"], [[cell] for cell in RISKY]), newline="")))
    assert found == [["a"], *([f"'{cell}"] for cell in RISKY)]


TEXTS: dict[str, Any] = {
    "set.ground_at": "=1+1",
    "set.rgb.at_red": "@SUM(A1)",
    "set.sync.at": "-2+3",
    "set.supply.at": '=HYPERLINK("x")',
    "set.work": [{"kind": "lift", "do": "+1", "at": "=A1", "undo": "-A1"}],
    "fit": {"red/coupling": "120n"},
}


def written(circuit: Circuit) -> list[str]:
    return cells(wiring_text(circuit, "")) + cells(bom_text(circuit, ""))


def test_what_the_owner_writes_is_no_formula_in_any_table() -> None:
    found = written(compose(variant(TEXTS)))
    assert [cell for cell in found if cell.startswith(FORMULA)] == []
    for text in ("=1+1", "@SUM(A1)", "-2+3", '=HYPERLINK("x")', "+1", "=A1", "-A1"):
        assert f"'{text}" in found, text


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_cell_of_a_template_needs_an_apostrophe(name: str) -> None:
    assert [cell for cell in written(compose(template(name))) if cell.startswith("'")] == []
