"""The work on the chassis: counted, asked for by a landing, with or without a way back."""

from __future__ import annotations

from typing import Any

import pytest

from making import TEMPLATE_NAMES, examined, template, variant
from rasterport.records import Finding

LIFT = {"kind": "lift", "do": "lift C301", "undo": "solder C301 back"}
UNTOUCHED = {
    "set.sync.arrangement": "dedicated",
    "set.sync.termination": "none",
    "set.audio": None,
    "set.blanking.native": "open",
}


def found(changes: dict[str, Any], code: str) -> list[Finding]:
    return [f for f in examined(variant(changes))[1] if f.code == code]


def test_parts_lifted_and_tracks_cut_are_counted() -> None:
    cut = {"kind": "cut", "do": "cut the track to C221", "undo": "bridge it"}
    (counted,) = found({"set.work": [LIFT, cut, LIFT, cut, LIFT]}, "F820")
    assert (counted.severity, counted.message) == ("note", "3 parts lifted, 2 tracks cut")
    assert found({}, "F820") == []


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({"set.sync.arrangement": "changeover"}, "set.sync.arrangement changeover"),
        ({"set.sync.arrangement": "after-switch"}, "set.sync.arrangement after-switch"),
        ({"set.sync.arrangement": "changeover", "set.sync.termination": "movable"},
         "set.sync.arrangement changeover; set.sync.termination movable"),
        ({"set.audio": {"arrangement": "changeover"}}, "set.audio.arrangement changeover"),
        ({"set.blanking.native": "grounded"}, "set.blanking.native grounded"),
        ({"set.blanking.native": "driven"}, "set.blanking.native driven"),
    ],
)  # fmt: skip
def test_a_landing_that_asks_for_work_wants_a_row(changes: dict[str, Any], asked: str) -> None:
    added = {**LIFT, "kind": "add"}
    (finding,) = found({**UNTOUCHED, **changes, "set.work": [added]}, "F821")
    text = f"no row of [[set.work]] lifts, cuts or moves anything, which these ask for: {asked}"
    assert (finding.severity, finding.message) == ("warning", text)
    for kind in ("lift", "cut", "move"):
        (written,) = found({**UNTOUCHED, **changes, "set.work": [added, {**LIFT, "kind": kind}]}, "F821")
        assert (written.severity, written.message) == ("met", f"something is lifted, cut or moved for: {asked}")


def test_a_termination_that_stays_and_sound_that_nobody_brings_ask_for_nothing() -> None:
    for changes in ({"set.sync.termination": "movable"}, {"set.audio": {"arrangement": "changeover"}}):
        silent = {"input.audio": "none"} if "set.audio" in changes else {}
        (finding,) = found({**UNTOUCHED, **changes, **silent, "set.work": [{**LIFT, "kind": "add"}]}, "F821")
        assert (finding.severity, finding.message) == ("met", "no landing asks for work on the chassis")


def test_a_row_without_a_way_back_is_a_warning() -> None:
    rows = [LIFT, {"kind": "cut", "do": "cut the\ntrack", "undo": "  "}, {"kind": "add", "do": "add R1"}]
    told = {f.subject: (f.severity, f.message) for f in found({"set.work": rows}, "F822")}
    assert told == {
        "set.work-1": ("met", "taken back: lift C301"),
        "set.work-2": ("warning", "no way back is stated for: cut the track"),
        "set.work-3": ("warning", "no way back is stated for: add R1"),
    }


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_template_leaves_work_on_the_chassis_without_a_way_back(name: str) -> None:
    _, findings = examined(template(name))
    assert [f for f in findings if f.code == "F822" and f.severity != "met"] == []
