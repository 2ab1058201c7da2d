"""The digest of the bare board: the same exactly where the same fabricated board fits."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making import variant, with_net, with_part, with_value, without
from places import TEMPLATES
from rasterport import api
from rasterport.analysis.bare_board import bare_board
from rasterport.circuit import compose
from rasterport.records import Circuit

CHANGES: dict[str, list[Any]] = {
    "variant.name": ["finch", "robin"],
    "variant.title": ["", "another"],
    "set.lines": ["525/60", "both"],
    "set.ground_at": ["", "beside the jungle"],
    "set.rgb.at_red": ["", "R5"],
    "set.rgb.lead_length": ["0.1 m", "0.3 m"],
    "set.rgb.resistance": ["100k", "1M"],
    "set.rgb.white_level": ["0.5 V", "0.6 V", "0.7 V"],
    "set.rgb.coupling_fitted": [None, "100n"],
    "set.blanking.maximum": ["2.5 V", "3 V", "5 V"],
    "set.blanking.native": ["grounded", "open", "driven"],
    "set.audio.maximum": ["0.5 V", "2 V"],
    "set.supply.voltage": ["5 V", "9 V", "12 V"],
    "set.supply.tolerance": ["2 %", "5 %"],
    "input.socket": ["european-21", "japanese-21", "bnc-4"],
    "input.mounting": ["board", "panel"],
    "input.sync": ["composite-video", "composite-sync"],
    "selector.path": ["gang", "relay"],
    "board.construction": ["smd", "through-hole"],
    "board.landing": ["header", "pads"],
    "board.clamps": [False, True],
}


def pattern(circuit: Circuit) -> tuple[Any, ...]:
    """What is fabricated, told in another way: footprints by role, and which pins are joined, nets without names."""
    parts = [p for p in circuit.parts if p.on_board]
    joined: dict[str, set[tuple[str, str]]] = {}
    for p in parts:
        for pin, net in p.nets.items():
            joined.setdefault(net or f"{p.role} {pin} open", set()).add((p.role, pin))
    return ({p.role: p.part.footprint for p in parts}, {frozenset(pins) for pins in joined.values()})


def values(circuit: Circuit) -> list[tuple[str, str]]:
    return [(p.role, p.value) for p in circuit.parts if p.on_board]


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """Two variants that differ in at most three keys."""
    first = {key: draw(st.sampled_from(found)) for key, found in CHANGES.items()}
    changed = draw(st.lists(st.sampled_from(sorted(CHANGES)), max_size=3))
    return first, {**first, **{key: draw(st.sampled_from(CHANGES[key])) for key in changed}}


@given(pairs())
def test_two_boards_share_it_exactly_where_footprints_and_nets_agree(
    pair: tuple[Mapping[str, Any], Mapping[str, Any]],
) -> None:
    first, second = (compose(variant(changes)) for changes in pair)
    assert (bare_board(first) == bare_board(second)) == (pattern(first) == pattern(second))


KEPT: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "another white level": ({"set.rgb.white_level": "0.5 V"}, {"set.rgb.white_level": "0.6 V"}),
    "another blanking window": ({}, {"set.blanking.maximum": "2.7 V"}),
    "other texts": ({}, {"variant.name": "robin", "variant.title": "Robin", "set.rgb.at_red": "R5, jungle end"}),
    "a shorter lead": ({"set.rgb.lead_length": "0.3 m"}, {"set.rgb.lead_length": "0.1 m"}),
}
OTHER: dict[str, dict[str, Any]] = {
    "path": {"selector.path": "relay"},
    "socket": {"input.socket": "japanese-21"},
    "one more input": {"input": [{"socket": "european-21"}, {"socket": "european-21"}]},
    "footprints": {"board.construction": "through-hole"},
    "landing": {"board.landing": "pads"},
    "a divider": {"set.rgb.white_level": "0.5 V"},
}


@pytest.mark.parametrize("name", KEPT)
def test_values_and_texts_keep_it(name: str) -> None:
    first, second = (compose(variant(changes)) for changes in KEPT[name])
    assert bare_board(first) == bare_board(second)
    assert (values(first) != values(second)) == (name in ("another white level", "another blanking window"))


@pytest.mark.parametrize("name", OTHER)
def test_structure_changes_it(name: str) -> None:
    assert bare_board(compose(variant())) != bare_board(compose(variant(OTHER[name])))


@pytest.mark.parametrize("seed", range(5))
def test_order_does_not_count(seed: int) -> None:
    circuit, chance = compose(variant()), random.Random(seed)
    parts = [replace(p, nets=dict(chance.sample(sorted(p.nets.items()), len(p.nets)))) for p in circuit.parts]
    chance.shuffle(parts)
    assert [p.role for p in parts] != [p.role for p in circuit.parts]
    assert bare_board(replace(circuit, parts=tuple(parts))) == bare_board(circuit)


def test_a_single_pin_a_footprint_a_part_counts_and_a_value_or_an_order_number_does_not() -> None:
    circuit = compose(variant())
    whole, role = bare_board(circuit), "input-1/red/termination"
    placed = circuit.by_role(role)
    assert bare_board(with_value(circuit, role, 82.0)) == whole
    renamed = replace(placed, value="82R", part=replace(placed.part, part_number="other", manufacturer="other"))
    assert bare_board(with_part(circuit, renamed)) == whole
    assert bare_board(with_net(circuit, role, "1", "IN1_GREEN")) != whole
    assert bare_board(with_net(circuit, role, "1", None)) != whole
    assert bare_board(without(circuit, role)) != whole
    larger = replace(placed, part=replace(placed.part, footprint="Resistor_SMD:R_2010_5025Metric"))
    assert bare_board(with_part(circuit, larger)) != whole
    assert bare_board(with_part(circuit, replace(placed, on_board=False))) != whole


def test_a_build_says_whether_boards_of_the_one_before_still_fit(tmp_path: Path) -> None:
    file = tmp_path / "finch.toml"
    text = (TEMPLATES / "kestrel.toml").read_text("utf-8")
    told = []
    for old, new in (("", ""), ('maximum = "3.0 V"', 'maximum = "2.8 V"'), ('landing = "header"', 'landing = "pads"')):
        text = text.replace(old, new) if old else text
        file.write_text(text, encoding="utf-8")
        (loaded,) = api.load(file)
        told.append(api.build(loaded, tmp_path / "out", ("bom",)))
    first, second, third = told
    assert first.board_before == "" and len(first.design.bare_board) == 64
    assert second.board_before == second.design.bare_board == first.design.bare_board
    assert third.board_before == first.design.bare_board != third.design.bare_board
