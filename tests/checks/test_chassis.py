"""The work on the chassis: counted, asked for by a landing, with or without a way back."""

from __future__ import annotations

from typing import Any

import pytest

from making import TEMPLATE_NAMES, examined, template, variant
from rasterport.design.chassis import asked as asked_of
from rasterport.design.chassis import is_told, names_in
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


PLACES = {
    "set.rgb.at_green": "IC1 pin 15",
    "set.blanking.at": "IC1 pin 13",
    "set.blanking.at_native": "R40, the end towards the teletext board",
    "set.sync.at": "C31, input end",
    "set.sync.at_native": "R31, the end that C31 was lifted from",
    "set.audio": {"arrangement": "changeover", "at_left": "C41", "at_native_left": "R41", "at_right": "C42"},
}
ASKS: dict[str, tuple[dict[str, Any], list[str], list[tuple[str, str]]]] = {
    "change-over": (
        {"set.sync.arrangement": "changeover"},
        ["open the set's own sync at C31, input end (set.sync.arrangement changeover)"],
        [("lift", "C31"), ("cut", "R31")],
    ),
    "behind the switch": (
        {"set.sync.arrangement": "after-switch"},
        ["open the set's own sync at C31, input end (set.sync.arrangement after-switch)"],
        [("lift", "C31")],
    ),
    "sound": (
        {"set.audio": PLACES["set.audio"]},
        [
            "open the set's own sound left at C41 (set.audio.arrangement changeover)",
            "open the set's own sound right at C42 (set.audio.arrangement changeover)",
        ],
        [("lift", "C41"), ("cut", "C42")],
    ),
    "grounded pin": (
        {"set.blanking.native": "grounded"},
        ["free the blanking pin from ground at IC1 pin 13 (set.blanking.native grounded)"],
        [("lift", "IC1 pin 13")],
    ),
    "driven pin": (
        {"set.blanking.native": "driven"},
        ["open what drives the blanking pin at IC1 pin 13 (set.blanking.native driven)"],
        [("cut", "R40")],
    ),
}  # fmt: skip
NOT_TOLD = "no row of [[set.work]] tells this work on the chassis, which the landings ask for: "


def row_of(kind: str, part: str) -> dict[str, str]:
    return {"kind": kind, "do": f"{kind} {part}", "undo": "back"}


def asked(changes: dict[str, Any], work: list[dict[str, str]]) -> Finding:
    places = {key: value for key, value in PLACES.items() if key != "set.audio"}
    (finding,) = found({**UNTOUCHED, **places, **changes, "set.work": work}, "F821")
    return finding


@pytest.mark.parametrize("name", ASKS)
def test_what_a_landing_asks_for_wants_a_row_that_names_its_part(name: str) -> None:
    changes, words, tells = ASKS[name]
    untold = asked(changes, [])
    assert (untold.severity, untold.message) == ("warning", NOT_TOLD + "; ".join(words))
    for kind, part in tells:
        other = asked(changes, [row_of("add", part), row_of(kind, part + "9"), row_of(kind, "IC9 pin 13")])
        assert other.message == untold.message, "another part, or one that is only added, tells nothing"
    assert asked(changes, [row_of(kind, part) for kind, part in tells]).severity == "met"


def test_a_place_that_says_that_something_was_opened_wants_its_row() -> None:
    place = {"set.rgb.at_red": "IC1 pin 14, track to C21 cut"}
    for rows in ([], [row_of("lift", "IC1 pin 1"), row_of("cut", "IC1")]):
        (finding,) = found({**UNTOUCHED, **place, "set.work": rows}, "F821")
        assert finding.severity == "warning"
        assert finding.message == f"{NOT_TOLD}what the place of red says: {place['set.rgb.at_red']}"
    for part in ("C21", "IC1 pin 14", "pin 14 of IC1", "IC1 pins 13 and 14"):
        assert found({**UNTOUCHED, **place, "set.work": [row_of("cut", part)]}, "F821")[0].severity == "met"


@pytest.mark.parametrize(
    "place", ["IC201 pin 14, nothing cut", "beside the cut-out, C221", "C1, not lifted", "no cut, R2"]
)
def test_a_place_that_says_that_nothing_was_opened_asks_for_nothing(place: str) -> None:
    assert asked_of(variant({**UNTOUCHED, "set.rgb.at_red": place})) == ()


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("IC1 pins 3, 4 and 5", {"IC1 pin 3", "IC1 pin 4", "IC1 pin 5"}),
        ("IC1 pins 3", {"IC1 pin 3"}),
        ("IC1 pin 3 and R7", {"IC1 pin 3", "R7"}),
        ("pin 3 of the IC1", {"IC1 pin 3"}),
    ],
)
def test_a_text_names_each_pin_and_nothing_else(text: str, names: set[str]) -> None:
    assert names_in(text) == names


def test_the_sets_own_75_ohm_that_must_move_wants_a_row_that_moves_something() -> None:
    changes = {"set.sync.arrangement": "changeover", "set.sync.termination": "movable"}
    lifted = row_of("lift", "C31 and R31")
    untold, told = asked(changes, [lifted]), asked(changes, [lifted, row_of("move", "R32, 75 ohm")])
    text = "move the set's 75 ohm from the landing to the set's own feed (set.sync.termination movable)"
    assert (untold.severity, untold.message) == ("warning", NOT_TOLD + text)
    assert (told.severity, told.message) == ("met", "[[set.work]] tells all 2 pieces of work that the landings ask for")


def test_pins_that_a_row_lists_are_pins_of_their_own() -> None:
    rows = [{"kind": "cut", "do": "cut the tracks at IC7 pins 32, 33 and 34", "undo": "bridge"}]
    places = {f"set.rgb.at_{c}": f"IC7 pin {n}, track cut" for c, n in (("red", 32), ("green", 33), ("blue", 34))}
    (told,) = found({**UNTOUCHED, **places, "set.work": rows}, "F821")
    assert told.severity == "met"
    (untold,) = found({**UNTOUCHED, **places, "set.rgb.at_blue": "IC7 pin 3, track cut", "set.work": rows}, "F821")
    assert untold.message.endswith("what the place of blue says: IC7 pin 3, track cut")


def test_a_board_that_asks_for_nothing_has_no_finding_of_work() -> None:
    assert found(UNTOUCHED, "F821") == []
    assert [f.severity for f in found({}, "F821")] == ["warning"]


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


UNASKED = {"dotterel": ("jack to C240",), "ouzel": ("C351", "C361")}
"""Work for which no landing asks: a jack that is cut off when given up, sound of the set that ouzel is like."""


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_templates_tell_all_the_work_that_their_landings_ask_for(name: str) -> None:
    """And no less: a row that lifts, cuts or moves something left out is missed."""
    made = template(name)
    assert [f for f in examined(made)[1] if f.code == "F821" and f.severity != "met"] == []
    wanted = asked_of(made)
    assert wanted, "every template here opens something"
    for n, row in enumerate(made.set.work):
        rest = [*made.set.work[:n], *made.set.work[n + 1 :]]
        missed = [task for task in wanted if not is_told(task, rest)]
        assert missed or any(word in row.do for word in UNASKED.get(name, ())), row.do


def test_a_part_of_the_set_is_not_taken_for_one_of_the_board() -> None:
    """R101 is the termination of red on every board; R301 and R 101 are none of this one's."""
    work = {"kind": "lift", "do": "lift R101 and R301", "undo": "solder them back"}
    (finding,) = found({**UNTOUCHED, "set.work": [work]}, "F828")
    assert (finding.severity, finding.subject) == ("warning", "chassis")
    assert finding.message == "the set has R101, and the board too: write those of the set apart, such as R 101"
    (finding,) = found({**UNTOUCHED, "set.rgb.at_red": "C1, input end"}, "F828")
    assert "the set has C1," in finding.message
    assert found({**UNTOUCHED, "set.work": [{**work, "do": "lift R 101 and R301"}]}, "F828") == []
    for name in TEMPLATE_NAMES:
        assert [f for f in examined(template(name))[1] if f.code == "F828"] == [], name
