"""The truth table in findings.json and as text: one line an outcome, as its schema says."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from making import TEMPLATE_NAMES, template
from rasterport import api
from rasterport.emit.findings import findings_text, results_schema
from rasterport.emit.states import WIDTH, states
from rasterport.records import Outcome

MOST_BYTES = 200_000
ROW = Outcome("native", "on", (("red", "set"), ("green", "set"), ("sync", "nothing")), "open", (("K1", "off"),), "a", 3)


def content(found: tuple[Outcome, ...]) -> tuple[dict[str, Any], str]:
    text = findings_text((), (), "wren", "0" * 64, "", found)
    return json.loads(text), text


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_outcome_is_one_line_with_the_keys_of_the_schema(name: str) -> None:
    done = api.design(template(name))
    read, text = content(done.states)
    schema = results_schema()
    assert set(read) | {"remark", "origins"} == set(schema["properties"])
    assert set(schema["required"]) == set(read)
    item = schema["properties"]["states"]["items"]
    assert len(read["states"]) == len(done.states) > 2
    for record in read["states"]:
        assert set(item["required"]) <= set(record) <= set(item["properties"])
        assert record["rail"] in item["properties"]["rail"]["enum"]
        assert json.dumps(record, ensure_ascii=False) in [line.strip().rstrip(",") for line in text.splitlines()]
    assert len(json.dumps(read["states"])) < MOST_BYTES
    assert sum(record["states"] for record in read["states"]) == sum(o.states for o in done.states)


def test_what_nobody_asks_for_is_left_out_of_a_line() -> None:
    plain = replace(ROW, relays=())
    doubtful = replace(ROW, undecided="stage/driver-1")
    first, second = content((plain, doubtful))[0]["states"]
    assert "relays" not in first and "undecided" not in first
    assert second["relays"] == {"K1": "off"} and second["undecided"] == "stage/driver-1"


def test_a_file_without_states_has_an_empty_list() -> None:
    assert content(())[0]["states"] == []


def test_landings_that_always_get_the_same_share_a_column() -> None:
    other = replace(ROW, rail="off", reaches=(("red", "set"), ("green", "set"), ("sync", "input-1")))
    table = list(states((ROW, other)))
    assert "red, green" in table[0]
    assert table[1].split() == ["1", "native", "on", "set", "nothing", "open", "off", "3"]
    assert table[2].split() == ["2", "native", "off", "set", "input-1", "open", "off", "3"]
    apart = replace(other, reaches=(("red", "set"), ("green", "nothing"), ("sync", "input-1")))
    assert "red, green" not in next(states((ROW, apart)))


def test_a_doubt_is_named_and_long_conditions_are_wrapped() -> None:
    long = replace(ROW, condition="status-8 open, " * 20, undecided="stage/driver-1")
    table = list(states((long,)))
    assert any("(not decided: stage/driver-1)" in line for line in table)
    assert max(len(line) for line in table) <= WIDTH
    assert list(states(())) == []
