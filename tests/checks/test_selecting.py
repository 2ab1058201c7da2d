"""What must be selected on the set: one input for sync and sound, and what the set does without a signal there."""

from __future__ import annotations

from typing import Any

import pytest

from making import TEMPLATE_NAMES, examined, template, variant
from rasterport.checks.selecting import names, words_of
from rasterport.records import Finding

Changes = dict[str, Any]
CODES = ("F521", "F522", "F523", "F613", "F614", "F615", "F616")


def found(changes: Changes) -> list[Finding]:
    return [f for f in examined(variant(changes))[1] if f.code in CODES]


def told(changes: Changes) -> list[tuple[str, str, str, str]]:
    return [(f.code, f.severity, f.subject, f.message) for f in found(changes) if f.severity != "note"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("VIDEO 1", ("video", "1")),
        ("Av-1", ("av", "1")),
        ("video1", ("video", "1")),
        ("ＶＩＤＥＯ　１", ("video", "1")),
        ("AV 01", ("av", "1")),
        ("AV 0", ("av", "0")),
        (" EXT. ", ("ext",)),
        ("ÉCRAN 2", ("écran", "2")),
        ("", ()),
    ],
)
def test_names_are_compared_as_words_and_numbers(text: str, words: tuple[str, ...]) -> None:
    assert words_of(text) == words


@pytest.mark.parametrize(
    ("text", "name", "is_named"),
    [
        ("AV 1", "Av-1", True),
        ("AV 1, three presses of the key AV", "AV1", True),
        ("VIDEO 11", "VIDEO 1", False),
        ("VIDEO 1", "VIDEO", True),
        ("VIDEO", "VIDEO 1", False),
        ("EXT", "", True),
    ],
)
def test_a_sentence_may_name_an_input(text: str, name: str, is_named: bool) -> None:
    assert names(text, name) is is_named


APART = (
    'sync wants "{}" selected on the set, sound wants "{}": with the first there is a picture without sound, with the '
    "second no sync, so that the picture rolls; land both on the jacks of one input"
)
HINT = "; where both mean the same, give the key input in both tables"
JACK = (
    '{} is landed on a jack of "VIDEO 2", but "VIDEO 1" is to be selected: the set does not listen to that jack then, '
    'and {}; select "VIDEO 2", or land on a jack of the other'
)
DIFFERENT: list[tuple[Changes, list[tuple[str, str, str]]]] = [
    ({"set.sync.select": "VIDEO 1", "set.audio.select": "VIDEO 2"},
     [("F521", "audio", APART.format("VIDEO 1", "VIDEO 2") + HINT)]),
    ({"set.sync.select": "AV", "set.audio.select": "AV 1"}, [("F521", "audio", APART.format("AV", "AV 1") + HINT)]),
    ({"set.sync.input": "VIDEO 1", "set.audio.input": "VIDEO 2"},
     [("F521", "audio", APART.format("VIDEO 1", "VIDEO 2"))]),
    ({"set.sync.select": "VIDEO 1", "set.audio.input": "VIDEO 2"},
     [("F521", "audio", APART.format("VIDEO 1", "VIDEO 2") + HINT)]),
    ({"set.sync.input": "VIDEO 1", "set.audio.select": "VIDEO 12"},
     [("F521", "audio", APART.format("VIDEO 1", "VIDEO 12") + HINT)]),
    ({"set.sync.select": "VIDEO 1", "set.sync.input": "VIDEO 2"},
     [("F522", "sync", JACK.format("sync", "there is no sync, so that the picture rolls"))]),
    ({"set.audio.select": "VIDEO 1", "set.audio.input": "VIDEO 2"},
     [("F615", "audio", JACK.format("sound", "the picture has no sound"))]),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "warnings"), DIFFERENT)
def test_two_inputs_are_a_warning(changes: Changes, warnings: list[tuple[str, str, str]]) -> None:
    assert told(changes) == [(code, "warning", subject, message) for code, subject, message in warnings]


@pytest.mark.parametrize(
    "changes",
    [
        {"set.sync.select": "AV 1", "set.audio.select": "Av-1"},
        {"set.sync.select": "VIDEO 1"},
        {"set.audio.select": "VIDEO 1"},
        {"set.sync.input": "VIDEO 1", "set.sync.select": "VIDEO 1, two presses of the key INPUT"},
        {"set.sync.input": "AV 1", "set.audio.select": "AV1 by the remote"},
        {"set.audio.input": "AV 1", "set.sync.select": "AV1 by the remote"},
        # The keys say that both mean the same, whatever the sentences are.
        {"set.sync.select": "EXT, or AV 1 on the remote", "set.audio.select": "AV 1", "set.sync.input": "AV 1",
         "set.audio.input": "av-1"},
        {"set.sync.select": "VIDEO 1", "set.audio.select": "VIDEO 2", "input.audio": "none"},
        {"set.sync.select": "VIDEO 1", "set.audio.arrangement": "after-switch", "set.audio.select": "VIDEO 2"},
    ],
)  # fmt: skip
def test_one_input_is_none(changes: Changes) -> None:
    assert told(changes) == []


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_template_is_warned(name: str) -> None:
    assert [f for f in examined(template(name))[1] if f.code in CODES and f.severity != "note"] == []


AFTER = {"set.sync.arrangement": "after-switch"}


def test_behind_the_switch_nothing_need_be_selected() -> None:
    (note,) = found({**AFTER, "set.sync.select": "VIDEO 1"})
    assert (note.code, note.severity) == ("F522", "note")
    assert note.message == (
        "sync enters behind the set's input switch: VIDEO 1 need not be selected, any input will do"
    )


def test_behind_the_switch_the_set_may_miss_its_signal() -> None:
    assert told({**AFTER, "set.sync.mutes_without": "it blanks to blue"}) == [
        ("F523", "warning", "sync",
         "sync enters behind the set's input switch, where the set may not look for it: it blanks to blue; keep a "
         "signal on the input that the set shows, or land in front of the switch")
    ]  # fmt: skip
    assert told({"set.sync.mutes_without": "it blanks to blue"}) == []


def test_sound_in_front_of_the_switch_wants_its_input() -> None:
    notes = found({**AFTER, "set.audio.select": "VIDEO 1"})
    assert [(f.code, f.severity, f.message) for f in notes] == [
        ("F521", "note",
         "sync enters behind the input switch: the picture comes on any channel, its sound only on VIDEO 1"),
        ("F613", "note", "select on the set for sound: VIDEO 1"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("inputs", "severity", "message"),
    [
        ([{"socket": "european-21"}], "note", "without sound at this landing the set: shows a picture of its own"),
        ([{"socket": "european-21"}, {"socket": "european-21", "audio": "none"}], "warning",
         "without sound at this landing the set: shows a picture of its own; input 2 brings none, so it happens "
         "with it"),
    ],
)  # fmt: skip
def test_what_the_set_does_without_sound(inputs: list[Changes], severity: str, message: str) -> None:
    changes = {"input": inputs, "set.audio.mutes_without": "shows a picture of its own"}
    assert [(f.code, f.severity, f.message) for f in found(changes)] == [("F614", severity, message)]


@pytest.mark.parametrize("audio", ["none", "stereo"])
def test_a_set_without_any_sound_from_the_board_is_told_too(audio: str) -> None:
    """The landing of sound stays where it was, and nothing arrives on it."""
    changes = {"input.audio": audio, "set.audio.mutes_without": "it goes to standby"}
    severities = [f.severity for f in found(changes) if f.code == "F614"]
    assert severities == ["warning" if audio == "none" else "note"]


SILENT = "the set mutes sound while it sees no sync at the input that is selected: "
NEEDS: Changes = {"set.audio.needs_sync": True}
MUTED: list[tuple[Changes, str, str]] = [
    ({}, "met", SILENT + "sync is landed in front of the input switch"),
    ({"set.sync.select": "AV 1", "set.audio.select": "AV-1"}, "met",
     SILENT + "sync is landed in front of the input switch"),
    (AFTER, "warning",
     SILENT + "sync enters behind the input switch, where the set does not look for it; keep a picture on the input "
     "that the set shows, or land sync in front of the switch"),
    ({**AFTER, "set.audio.arrangement": "after-switch"}, "warning",
     SILENT + "sync enters behind the input switch, where the set does not look for it; keep a picture on the input "
     "that the set shows, or land sync in front of the switch"),
    ({"set.sync.input": "AV 1", "set.audio.input": "AV 2"}, "warning",
     SILENT + 'with "AV 2" selected it sees none, since sync is landed for "AV 1"; land both on the jacks of one '
     "input"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "severity", "message"), MUTED)
def test_sound_that_the_set_mutes_without_sync(changes: Changes, severity: str, message: str) -> None:
    told = [(f.severity, f.message) for f in found({**changes, **NEEDS}) if f.code == "F616"]
    assert told == [(severity, message)]
    assert "F616" not in {f.code for f in found(changes)}


def test_no_sound_from_the_board_is_not_muted() -> None:
    assert "F616" not in {f.code for f in found({**NEEDS, **AFTER, "input.audio": "none"})}
