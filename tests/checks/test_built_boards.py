"""Boards that were built against what was worked out: each message in full, from readings made by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import inf, isfinite
from pathlib import Path
from typing import Any

import pytest

from making import examined, template, variant
from places import TEMPLATES
from rasterport.analysis.readings import readings
from rasterport.api import KINDS, OF_ONE_BOARD, build, design, load
from rasterport.checks import built
from rasterport.checks.bench import Bench
from rasterport.checks.built import changed, compared, limits
from rasterport.circuit import compose
from rasterport.emit.sheet.readings import expected
from rasterport.records import Finding, Reading
from rasterport.results import kind_of
from rasterport.units import plain, written
from rasterport.variant.built import BuiltBoard
from rasterport.variant.reading import at_zero

RED = Reading(
    key="joined/red-ground",
    stage="joined",
    title="red to ground",
    instrument="ohmmeter",
    red="contact 15",
    black="contact 13",
    unit="ohm",
    nominal=75,
    low=74.1,
    high=75.9,
    low_means="the set's own 75 ohm",
    high_means="R101 not soldered",
    decides=True,
    source="resistors between the two points",
)
IDLE = replace(RED, key="powered/blanking", stage="powered", title="blanking, idle", unit="V", low=-0.02, high=0.3)
SMALL = replace(IDLE, key="powered/sync", title="sync, idle", low=0.0, decides=False, state="native", low_means="")
APART = replace(RED, key="alone/red-rail", title="red to rail", low=1e6, high=inf, nominal=inf, decides=False)
KNOWN = {reading.key: reading for reading in (RED, IDLE, SMALL, APART)}


def of(readings: Mapping[str, str], known: Mapping[str, Reading] = KNOWN, **more: Any) -> list[Finding]:
    board = BuiltBoard.model_validate({"serial": "0001", "readings": readings, **more})
    return [f for f in compared(board, known) if f.code != "F924"]


def only(key: str, text: str) -> Finding:
    (finding,) = of({key: text})
    assert (finding.subject, finding.source) == (key, "resistors between the two points")
    return finding


@pytest.mark.parametrize(
    ("key", "text", "message", "held"),
    [
        (RED.key, "74.8 ohm", 'board "0001": red to ground: 74.8 ohm, expected 74.1 ohm to 75.9 ohm',
         (74.8, 74.1, "ohm", "least", None, 74.1)),
        (RED.key, "75.3 ohm", 'board "0001": red to ground: 75.3 ohm, expected 74.1 ohm to 75.9 ohm',
         (75.3, 75.9, "ohm", "most", None, 75.9)),
        (RED.key, "75.9 ohm", 'board "0001": red to ground: 75.9 ohm, expected 74.1 ohm to 75.9 ohm',
         (75.9, 75.9, "ohm", "most", None, 75.9)),
        (IDLE.key, "-10 mV", 'board "0001": blanking, idle: -10 mV, expected -20 mV to 0.3 V',
         (-0.01, -0.02, "V", "least", None, -0.02)),
        (SMALL.key, "0.2 V", 'board "0001": sync, idle: 0.2 V, expected at most 0.3 V',
         (0.2, 0.3, "V", "most", 0.3, None)),
        (SMALL.key, "0 V", 'board "0001": sync, idle: 0 V, expected at most 0.3 V',
         (0.0, 0.3, "V", "most", 0.3, None)),
        (APART.key, "2.2 Mohm", 'board "0001": red to rail: 2.2 Mohm, expected 1 Mohm or more, up to open',
         (2.2e6, 1e6, "ohm", "least", 1e6, None)),
        (APART.key, "open", 'board "0001": red to rail: open, expected 1 Mohm or more, up to open',
         (None, None, "", "", None, None)),
        (APART.key, "OL", 'board "0001": red to rail: OL, expected 1 Mohm or more, up to open',
         (None, None, "", "", None, None)),
    ],
)  # fmt: skip
def test_within_limits(key: str, text: str, message: str, held: tuple[Any, ...]) -> None:
    f = only(key, text)
    assert (f.code, f.severity, f.message) == ("F920", "met", message)
    assert (f.measured, f.limit, f.unit, f.sense, f.warning_limit, f.error_limit) == (
        *(pytest.approx(v) if isinstance(v, float) else v for v in held[:2]), *held[2:],
    )  # fmt: skip
    assert f.state == (KNOWN[key].state or "any")


@pytest.mark.parametrize(
    ("key", "text", "severity", "message", "limit", "sense"),
    [
        (RED.key, "37.4 ohm", "error",
         'board "0001": red to ground: 37.4 ohm, expected 74.1 ohm to 75.9 ohm; below it suspect the set\'s own 75 '
         "ohm; no power until that is found", 74.1, "least"),
        (RED.key, "76 ohm", "error",
         'board "0001": red to ground: 76 ohm, expected 74.1 ohm to 75.9 ohm; above it suspect R101 not soldered; '
         "no power until that is found", 75.9, "most"),
        (RED.key, "open", "error",
         'board "0001": red to ground: open, expected 74.1 ohm to 75.9 ohm; above it suspect R101 not soldered; '
         "no power until that is found", None, ""),
        (IDLE.key, "5 V", "error",
         'board "0001": blanking, idle: 5 V, expected -20 mV to 0.3 V; above it suspect R101 not soldered; '
         "take the power off until that is found", 0.3, "most"),
        (SMALL.key, "0.31 V", "warning",
         'board "0001": sync, idle: 0.31 V, expected at most 0.3 V; above it suspect R101 not soldered', 0.3, "most"),
        (SMALL.key, "-0.31 V", "warning",
         'board "0001": sync, idle: -0.31 V, expected at most 0.3 V; below it suspect the part it is read at',
         0.0, "least"),
        (APART.key, "12 ohm", "warning",
         'board "0001": red to rail: 12 ohm, expected 1 Mohm or more, up to open; below it suspect the set\'s own '
         "75 ohm", 1e6, "least"),
    ],
)  # fmt: skip
def test_outside_limits(key: str, text: str, severity: str, message: str, limit: float | None, sense: str) -> None:
    f = only(key, text)
    assert (f.code, f.severity, f.message) == ("F921", severity, message)
    assert (f.limit, f.sense) == (limit, sense)
    assert (f.error_limit, f.warning_limit) == ((limit, None) if severity == "error" else (None, limit))


@pytest.mark.parametrize(
    ("key", "text", "severity", "message"),
    [
        (RED.key, "1.97 V", "error",
         'board "0001": red to ground: read as 1.97 V, which is in V; must be in ohm, such as "75", "4k7" or '
         '"2.2 kohm"'),
        (SMALL.key, "open", "warning",
         'board "0001": sync, idle: read as open, which is of a resistance; must be in V, such as "0.7 V" or '
         '"200 mV"'),
        (SMALL.key, "3 mA", "warning",
         'board "0001": sync, idle: read as 3 mA, which is in A; must be in V, such as "0.7 V" or "200 mV"'),
    ],
)  # fmt: skip
def test_another_unit(key: str, text: str, severity: str, message: str) -> None:
    f = only(key, text)
    assert (f.code, f.severity, f.message, f.measured) == ("F923", severity, message, None)


def test_a_key_that_no_reading_has() -> None:
    (near,) = of({"joined/red-gruond": "74.8 ohm"})
    assert (near.code, near.severity, near.subject, near.message) == (
        "F922", "warning", "joined/red-gruond",
        'board "0001": 74.8 ohm, but this board has no such reading: it has changed since, or the key is a slip; '
        "nearest joined/red-ground",
    )  # fmt: skip
    (far,) = of({"x": "open"})
    assert far.message == (
        'board "0001": open, but this board has no such reading: it has changed since, or the key is a slip'
    )


@pytest.mark.parametrize("name", ["kestrel", "dunlin", "osprey"])
def test_what_is_printed_as_a_limit_is_within_it(name: str) -> None:
    """Both limits of every reading, typed in as they stand on the sheet, are kept."""
    variant_ = template(name)
    known = {r.key: r for r in readings(Bench(variant_, compose(variant_)))}
    for side in ("low", "high"):
        limits_ = {key: getattr(r, side) for key, r in known.items()}
        typed = {key: plain(written(v, known[key].unit)) if isfinite(v) else "open" for key, v in limits_.items()}
        for key, text in typed.items():
            assert text.split(" ")[0] in expected(known[key]) or limits_[key] in (0, inf), (key, text)
        found = of(typed, known)
        assert {f.severity for f in found if f.code in ("F920", "F921")} == {"met"}
        assert {f.code for f in found} == {"F920"}


def deciding(readings: Mapping[str, str], known: Mapping[str, Reading] = KNOWN) -> list[tuple[str, str]]:
    board = BuiltBoard.model_validate({"serial": "0001", "readings": readings})
    return [(f.severity, f.message) for f in compared(board, known) if f.code == "F924"]


def test_what_decides_and_is_not_read_is_listed() -> None:
    text = 'board "0001": not read yet, and they decide whether power may be applied: '
    assert deciding({}) == [("note", text + "joined/red-ground, powered/blanking")]
    assert deciding({RED.key: "open"}) == [("note", text + "powered/blanking")]
    everything = 'board "0001": everything is read that decides whether power may be applied'
    assert deciding({RED.key: "open", IDLE.key: "0 V"}) == [("met", everything)]
    assert deciding({}, {SMALL.key: SMALL}) == []


def test_every_reading_of_the_bench_is_known_by_its_key() -> None:
    known = {r.key for r in readings(Bench(variant(), compose(variant())))}
    assert len(known) > 20
    key = next(k for k in sorted(known) if k.startswith("alone/"))
    _, findings = examined(variant({"built": [{"serial": "1", "readings": {key: "open", "alone/nonsense": "open"}}]}))
    codes = [f.code for f in findings if f.code.startswith("F92")]
    assert codes.count("F922") == 1 and codes.count("F924") == 1
    assert codes.count("F920") + codes.count("F921") == 1


def told_of(*rows: str) -> list[tuple[str, str, str]]:
    """Severity, subject and message of what a board says was changed."""
    board = BuiltBoard.model_validate({"serial": "0001", "changed": rows})
    found = list(changed(board, compose(variant())))
    assert {f.code for f in found} == {"F925"}
    return [(f.severity, f.subject, f.message.removeprefix('board "0001": ')) for f in found]


def test_parts_that_were_changed_are_known_by_role_and_by_reference() -> None:
    ref = compose(variant()).by_role("red/coupling").ref
    told = ("note", "red/coupling", f"{ref}, red/coupling, is 120n in place of 100n; a line of [fit] has it judged")
    assert told_of("red/coupling = 120n", f"{ref} = 120n", f"{ref.lower()}: 120n") == [told] * 3
    assert told_of("red/copling = 120n", "R999 = 1k", "lead shortened") == [
        ("warning", "red/copling",
         "120n at red/copling, which this board does not have; nearest red/coupling, green/coupling, blue/coupling"),
        ("warning", "R999", "1k at R999, which this board does not have"),
        ("note", "parts", "lead shortened"),
    ]  # fmt: skip


def test_a_part_that_is_as_it_was_is_no_change() -> None:
    ref = compose(variant()).by_role("red/coupling").ref
    same = f"{ref}, red/coupling, is {{}} as in the bill of materials"
    for text in ("100n", "100 nF", "0.1u"):
        assert told_of(f"{ref} = {text}") == [("note", "red/coupling", same.format(text))]
    ((_, _, other),) = told_of(f"{ref} = 100n, film")
    assert other == f"{ref}, red/coupling, is 100n, film in place of 100n; a line of [fit] has it judged"


@pytest.mark.parametrize("text", ["banana", "120", "4,7n", "not fitted", "capacitor/nonsense"])
def test_a_value_that_is_none_is_told(text: str) -> None:
    ((severity, subject, message),) = told_of(f"red/coupling = {text}")
    assert (severity, subject) == ("warning", "red/coupling")
    assert f'is said to be "{text}"; must ' in message and message.endswith("; a remark has neither = nor colon")


def test_a_part_without_a_value_is_known_by_any_name() -> None:
    placed = next(p for p in compose(variant()).parts if p.value_si is None)
    told = f"{placed.ref}, {placed.role}, is BC000 in place of {placed.value}; a line of [fit] has it judged"
    assert told_of(f"{placed.ref} = BC000") == [("note", placed.role, told)]


NOTHING = replace(RED, key="joined/ground-2-ground", title="ground 2 to ground", nominal=0, low=0.0, high=1.0)


def test_less_than_nothing_is_nothing_as_far_as_a_meter_is_off() -> None:
    known = {NOTHING.key: NOTHING, RED.key: RED}
    for text in ("-0.1 ohm", "-0.5 ohm", "-100 mohm", "0 ohm"):
        (f,) = of({NOTHING.key: text}, known)
        assert (f.code, f.severity, f.measured) == ("F920", "met", 0.0)
        assert f.message == f'board "0001": ground 2 to ground: {text}, expected at most 1 ohm'
    (f,) = of({NOTHING.key: "-0.6 ohm"}, known)
    assert (f.code, f.severity) == ("F921", "error")
    assert f.message == (
        'board "0001": ground 2 to ground: -0.6 ohm, expected at most 1 ohm; below it suspect a voltage that is still '
        "in the circuit: unplug it, wait, and read again; no power until that is found"
    )
    (f,) = of({RED.key: "-0.1 ohm"}, known)
    assert f.code == "F921", "where something is expected, nothing is too little"
    assert (at_zero(-1e-5, "A"), at_zero(-3e-5, "A"), at_zero(-1e-5, "V")) == (0.0, -3e-5, -1e-5)


def test_limits_in_words() -> None:
    assert limits(replace(RED, low=inf, high=inf)) == "open"
    assert limits(replace(RED, low=0, high=1)) == "at most 1 ohm"
    assert limits(replace(IDLE, low=-0.5, high=0)) == "-0.5 V to 0 V"


def test_every_board_is_held_against_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check itself, with readings by hand in place of those that are worked out."""
    asked: list[object] = []

    def made(bench: object) -> Mapping[str, Reading]:
        asked.append(bench)
        return {RED.key: RED}

    monkeypatch.setattr(built, "expected", made)
    assert not {f.code for f in examined(variant())[1]} & set(built.CODES)
    assert asked == []
    rows = [{"serial": "1", "readings": {RED.key: "75 ohm"}}, {"serial": "2", "readings": {RED.key: "38 ohm"}}]
    found = [f for f in examined(variant({"built": rows}))[1] if f.code in built.CODES]
    assert [(f.code, f.severity) for f in found] == [("F921", "error"), ("F920", "met"), *[("F924", "met")] * 2]
    assert len(asked) == 1


def test_a_faulty_board_stops_no_build_and_marks_no_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(built, "expected", lambda bench: {RED.key: RED})
    text = (TEMPLATES / "heron.toml").read_text("utf-8")
    row = f'\n[[built]]\nserial = "1"\nreadings = {{ "{RED.key}" = "1.97 V" }}\n'
    (tmp_path / "heron.toml").write_text(text + row, encoding="utf-8")
    (one,) = load(tmp_path / "heron.toml")
    done = design(one)
    assert done.failed and not done.spoilt
    assert {f.code for f in done.findings if f.severity == "error"} <= set(OF_ONE_BOARD)
    made = build(one, tmp_path / "out", ["bom", "findings"])
    assert "heron.bom.csv" in made.written
    assert "NOT TO BE BUILT" not in (made.folder / "heron.bom.csv").read_text("utf-8")
    assert '"F923"' in (made.folder / "heron.findings.json").read_text("utf-8")


@pytest.mark.parametrize("name", ["kestrel", "heron", "linnet"])
def test_boards_with_every_reading_change_no_result_of_the_design(name: str, tmp_path: Path) -> None:
    """One board as expected, one with every reading wrong: all kinds are built, margins are those of the design."""
    (plain,) = load(TEMPLATES / f"{name}.toml")
    before = design(plain)
    right = {r.key: f"{r.nominal:g} {r.unit}" if isfinite(r.nominal) else "open" for r in before.readings}
    wrong = {r.key: f"{r.low - 1000:g} {r.unit}" for r in before.readings if r.unit != "ohm"}
    assert len(right) > 30 and len(wrong) > 5
    rows = "".join(
        f'\n[[built]]\nserial = "{n}"\n[built.readings]\n'
        + "".join(f'"{key}" = "{text}"\n' for key, text in told.items())
        for n, told in enumerate((right, wrong))
    )
    path = tmp_path / f"{name}.toml"
    path.write_text((TEMPLATES / path.name).read_text("utf-8") + rows, encoding="utf-8")
    (one,) = load(path)
    made = build(one, tmp_path / "out")
    assert {kind_of(file, name) for file in made.written} == {*KINDS, ""}
    done = made.design
    assert done.bars == before.bars and done.figures == before.figures
    found = [f for f in done.findings if f.code in ("F920", "F921")]
    assert {(f.code, f.severity) for f in found if 'board "0"' in f.message} == {("F920", "met")}
    assert {f.code for f in found if 'board "1"' in f.message} == {"F921"}
