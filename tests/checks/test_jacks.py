"""Plugs in the set's own jacks, arrangement by arrangement: what is found, how grave it is, what the viewer is told."""

from __future__ import annotations

from typing import Any

import pytest

from making import TEMPLATE_NAMES, errors, examined, several, template, variant
from rasterport import parts
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.design.landings import SWITCHED
from rasterport.records import Finding
from rasterport.variant.models import Variant
from slips import Mistake, between, both, shorted, swapped, twin

Changes = dict[str, Any]
CODES = ("F518", "F519", "F520", "F610", "F612")


def arranged(arrangement: str, **keys: object) -> Changes:
    """Sync and sound arranged alike, with further keys of [set.sync]."""
    made: Changes = {"set.sync.arrangement": arrangement, "set.audio.arrangement": arrangement}
    return {**made, **{f"set.sync.{key}": value for key, value in keys.items()}}


def told(made: Variant, *codes: str, subject: str = "") -> list[tuple[str, str, str]]:
    _, findings = examined(made)
    return [(f.code, f.severity, f.message) for f in findings if f.code in codes and subject in ("", f.subject)]


def one(made: Variant, code: str, subject: str, words: str = "") -> Finding:
    _, findings = examined(made)
    (found,) = (f for f in findings if (f.code, f.subject) == (code, subject) and words in f.message)
    return found


TWO = (
    "two sources drive one landing, the input's source sees 37.4 ohm in place of 75: two pictures on top of each "
    "other, each of them dim, and under RGB two syncs, so that the picture tears or rolls; "
)
# 75 || 75 || the set's 10 kohm is 37.36 ohm; a normalled jack has the 0.1 ohm of a contact in front of it.
THROUGH = TWO.replace("37.4", "37.5")
GIVEN_UP = "pull the plug and label the jack, cut its wire to the landing (cut_off), or choose arrangement changeover"
SEEN: list[tuple[Changes, str, str, str]] = [
    # A jack that was given up: in parallel all the same.
    (arranged("dedicated", shares="the jack"), "F518", "warning",
     "loss of the input's sync with a plug in the jack: " + TWO + GIVEN_UP),
    (arranged("dedicated", shares="the jack", front_jack="parallel"), "F518", "error",
     "loss of the input's sync with a plug in the front jack: " + TWO + GIVEN_UP),
    (arranged("dedicated", shares="the jack", front_jack="silences-jack"), "F518", "error",
     "loss of the input's sync with a plug in the front jack: " + TWO + GIVEN_UP),
    (arranged("dedicated", front_jack="silences-landing"), "F518", "warning",
     "loss of the input's sync with a plug in the front jack: the set has the colours of the input over the sync of "
     "the other source, so that the picture rolls; pull the plug and label the jack, or land behind its contact, at "
     "the circuit's end"),
    # A normalled jack: its own plug is meant to take over, one in parallel to it is not.
    (arranged("normalled", shares="the rear jack"), "F518", "met",
     "a plug in the rear jack breaks the board's line and has the set back: the input has no sync then"),
    (arranged("normalled", shares="the rear jack"), "F519", "warning",
     "return loss of the sync contact with a plug in the rear jack: the source of the input has lost the 75 ohm that "
     "stay in the set; it is not seen meanwhile"),
    (arranged("normalled", termination="none"), "F519", "met",
     "return loss of the sync contact with a plug in the set's own jack"),
    (arranged("normalled", front_jack="parallel"), "F518", "error",
     "loss of the input's sync with a plug in the front jack: " + THROUGH + "pull the plug and label the jack, or "
     "choose arrangement changeover, which takes every jack off"),
    (arranged("normalled", jack_contact="none"), "F518", "error",
     "loss of the input's sync with a plug in the set's own jack: " + TWO + "the jack's switch contact does not break "
     "the board's line: move the board's wire to that contact, or choose arrangement changeover"),
    (arranged("normalled", jack_contact="circuit"), "F518", "error",
     "loss of the input's sync with a plug in the set's own jack: the set's circuit has neither source: RGB rolls "
     "without sync; move the board's wire to the jack's switch contact, so that a plug breaks the board's line alone"),
    (arranged("normalled", front_jack="silences-jack"), "F518", "warning",
     "loss of the input's sync with a plug in the front jack: the set has the colours of the input over the sync of "
     "the other source, so that the picture rolls; pull the plug and label the jack, or land behind its contact, at "
     "the circuit's end"),
    # A change-over keeps every plug away, but not a contact that lies behind the landing.
    (arranged("changeover", front_jack="parallel"), "F518", "met",
     "a plug in the front jack changes nothing of the input"),
    (arranged("changeover", front_jack="silences-jack"), "F518", "met",
     "a plug in the front jack changes nothing of the input; the set's own jack falls silent meanwhile, as it did "
     "before"),
    (arranged("changeover", front_jack="silences-landing"), "F518", "warning",
     "loss of the input's sync with a plug in the front jack: the set has the colours of the input over the sync of "
     "the other source, so that the picture rolls; pull the plug and label the jack, or land behind its contact, at "
     "the circuit's end"),
    (arranged("changeover", s_video="silences-jack", shares="the jack"), "F518", "met",
     "a plug in the S-video socket changes nothing of the input; the jack falls silent meanwhile, as it did before"),
    (arranged("changeover", s_video="silences-landing", shares="the jack", mutes_without="a blue screen"), "F518",
     "warning",
     "loss of the input's sync with a plug in the S-video socket: the jack falls silent and the landing with it: RGB "
     "rolls without sync, and the set does what it does without it (a blue screen); pull the plug and label the "
     "socket, or land sync behind its contact, at the circuit's end"),
    (arranged("after-switch", front_jack="parallel", s_video="silences-jack"), "F518", "met",
     "a plug in the S-video socket changes nothing of the input; a jack of the set falls silent meanwhile, as it did "
     "before"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "code", "severity", "message"), SEEN)
def test_what_is_told_of_sync(changes: Changes, code: str, severity: str, message: str) -> None:
    assert (code, severity, message) in told(variant(changes), code, subject="sync")


BOTH_HEARD = "two sources drive one landing: both sounds are heard, each of them weaker; "
HEARD: list[tuple[Changes, str, str]] = [
    ({**arranged("dedicated"), "set.audio.shares": "the jacks"}, "warning",
     "loss of the input's sound with a plug in the jacks: " + BOTH_HEARD + GIVEN_UP),
    ({**arranged("normalled"), "set.audio.front_jack": "parallel"}, "error",
     "loss of the input's sound with a plug in the front jacks: " + BOTH_HEARD + "pull the plug and label the jack, or "
     "choose arrangement changeover, which takes every jack off"),
    ({**arranged("normalled"), "set.audio.jack_contact": "circuit"}, "error",
     "loss of the input's sound with a plug in the set's own jacks: the set's circuit has neither source: there is no "
     "sound; move the board's wire to the jack's switch contact, so that a plug breaks the board's line alone"),
    (arranged("normalled"), "met",
     "a plug in the set's own jacks breaks the board's line and has the set back: the input has no sound then"),
    ({**arranged("changeover"), "set.audio.front_jack": "silences-landing"}, "warning",
     "loss of the input's sound with a plug in the front jacks: the set has the sound of the other source with the "
     "picture of the input; pull the plug and label the jack, or land behind its contact, at the circuit's end"),
    ({**arranged("changeover"), "set.audio.front_jack": "parallel"}, "met",
     "a plug in the front jacks changes nothing of the input"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "severity", "message"), HEARD)
@pytest.mark.parametrize("channels", ["stereo", "mono"])
def test_what_is_told_of_sound(changes: Changes, severity: str, message: str, channels: str) -> None:
    made = variant({**changes, "set.audio.channels": channels})
    for side in ("left", "right") if channels == "stereo" else ("left",):
        assert ("F610", severity, message) in told(made, "F610", subject=side)


def test_the_loss_of_a_jack_that_was_given_up_is_measured() -> None:
    """37.5 ohm in place of 75: 3.52 dB by hand, the set's 10 kohm beside it; the corner lies a little beyond."""
    found = one(variant(arranged("dedicated", shares="the jack")), "F518", "sync")
    assert found.measured == pytest.approx(3.52, abs=0.1)
    assert (found.unit, found.limit, found.figure) == ("dB", 0.1, "plugged-change/own jack")


@pytest.mark.parametrize("keys", [{"shares": "the jack", "cut_off": True}, {"shares": ""}])
def test_a_jack_that_is_cut_off_or_not_there_takes_no_plug(keys: Changes) -> None:
    made = variant({**arranged("dedicated", **keys), "set.audio": None})
    assert told(made, *CODES) == []
    assert errors(examined(made)[1]) == set()


def test_what_a_cut_does_not_help_against() -> None:
    """A contact between landing and circuit opens all the same."""
    made = variant(arranged("dedicated", shares="the jack", cut_off=True, front_jack="silences-landing"))
    assert [severity for _, severity, _ in told(made, "F518", subject="sync")] == ["warning"]


@pytest.mark.parametrize("front", ["parallel", "silences-jack"])
def test_a_front_jack_on_a_landing_without_a_jack_of_its_own_stands_in_parallel(front: str) -> None:
    for cut_off, severities in ((False, ["error"]), (True, [])):
        made = variant({**arranged("dedicated", front_jack=front, cut_off=cut_off), "set.audio": None})
        assert [severity for _, severity, _ in told(made, "F518")] == severities


MET, WARNING, ERROR = "met", "warning", "error"
GRAVITY = {
    # arrangement: own jack, front jack in parallel, with a contact for the jack, with one for the landing, S-video
    "changeover": (MET, MET, MET, WARNING, MET),
    "after-switch": (MET, MET, MET, None, MET),
    "normalled": (MET, ERROR, WARNING, WARNING, WARNING),
    "dedicated": (WARNING, ERROR, ERROR, WARNING, MET),
}
FRONTS = ("parallel", "silences-jack", "silences-landing")


# Path direct cannot give a jack back and is refused (F108); a landing behind the switch lies behind every contact.
POSSIBLE = [
    (arrangement, front, path)
    for arrangement, gravities in GRAVITY.items()
    for front, gravity in zip(FRONTS, gravities[1:4], strict=True)
    for path in ("direct", "gang", "relay", "cmos")
    if gravity is not None and not (path == "direct" and arrangement in SWITCHED)
]


@pytest.mark.parametrize(("arrangement", "front", "path"), POSSIBLE)
def test_every_arrangement_with_every_jack_on_every_path(arrangement: str, front: str, path: str) -> None:
    own, *fronts, s_video = GRAVITY[arrangement]
    at_front = fronts[FRONTS.index(front)]
    changes = arranged(arrangement, front_jack=front, s_video="silences-jack", shares="the jack", termination="none")
    changes |= {"set.audio.front_jack": front, "set.audio.shares": "the jacks", "set.supply.voltage": "9 V"}
    changes["selector.path"] = path
    made = variant(changes) if path in ("direct", "gang") else several(2, path, changes=changes)
    found = [f for f in examined(made)[1] if f.code in ("F518", "F610") and f.state == "input-1"]
    wanted = {("sync", "own jack", own), ("sync", "front jack", at_front), ("sync", "S-video", s_video)}
    wanted |= {
        (side, plug, g) for side in ("left", "right") for plug, g in (("own jack", own), ("front jack", at_front))
    }
    assert {(f.subject, f.figure.split("/")[1], f.severity) for f in found} == wanted
    for f in found:
        assert f.measured is not None
        if f.severity == ERROR and f.subject == "sync":
            assert f.measured > 3.4, "37.5 ohm in place of 75"
        elif f.severity == MET:
            assert f.measured < 0.1


PARALLEL: Changes = {"set.sync.front_jack": "parallel", "set.audio.front_jack": "parallel"}
PATHS: list[Variant] = [
    variant(PARALLEL),
    variant({**PARALLEL, "selector.path": "relay", "set.supply.voltage": "9 V"}),
    several(2, "gang", changes=PARALLEL),
    several(3, "relay", changes=PARALLEL),
    several(4, "cmos", changes={**PARALLEL, "set.supply.voltage": "9 V"}),
]


@pytest.mark.parametrize("parallel", PATHS, ids=lambda v: f"{v.selector.path} {len(v.input)}")
def test_through_every_path_a_change_over_keeps_plugs_away_and_gives_every_jack_back(parallel: Variant) -> None:
    circuit = compose(parallel)
    figures = Figures(Setup(parallel, circuit))
    kept = [figures.get(*name) for name in figures.quantities if name[0].startswith("plugged-change")]
    assert {(f.state, f.subject) for f in kept} == {
        (f"input-{n}", line) for n in range(1, len(parallel.input) + 1) for line in ("sync", "left", "right")
    }
    assert all(f.high < 0.1 for f in kept)
    native = [figures.get(*name) for name in figures.quantities if name[0].startswith("native-change")]
    named = {"native-change", "native-change/front jack", "native-change/both jacks"}
    if parallel.selector.path != "gang":
        named.add("native-change/rail off")
    assert {f.key for f in native} == named
    assert all(f.high < 0.1 for f in native)
    assert not errors(examine(parallel, circuit)) & set(CODES)


@pytest.mark.parametrize(
    "changes",
    [
        {"selector.path": "direct", **arranged("normalled")},
        {"selector.path": "direct", **arranged("dedicated", shares="the jack")},
        {"selector.path": "relay", "set.supply.voltage": "9 V", **arranged("normalled")},
    ],
)
def test_other_arrangements_on_other_paths(changes: Changes) -> None:
    _, findings = examined(variant(changes))
    assert errors(findings) == set()
    assert {f.subject for f in findings if f.code in ("F518", "F610")} >= {"sync"}


def given_up(name: str) -> bool:
    """Whether the set's jacks are given up to the board: heron's stay wired, dotterel's are cut off."""
    return template(name).set.sync.arrangement == "dedicated"


@pytest.mark.parametrize("name", [n for n in TEMPLATE_NAMES if not given_up(n)])
def test_the_templates_keep_every_plug_away(name: str) -> None:
    found = [f for f in examined(template(name))[1] if f.code in CODES]
    assert found
    assert {f.severity for f in found} == {"met"}


KESTREL, PLOVER, LINNET = (template(n) for n in ("kestrel", "plover", "linnet"))
FRONT = template("kestrel", PARALLEL)
OHM = parts.resistor(75.0, "smd", 0.25)
KILOHM = parts.resistor(1e3, "smd")
MISTAKES = [
    Mistake("jack and input joined", KESTREL, shorted("SYNC_NATIVE", "IN1_SYNC"), {"F518"}),
    Mistake("jack and landing joined at a relay", PLOVER, shorted("SYNC_NATIVE", "SYNC_LANDING"), {"F518"}),
    Mistake("a resistor between jack and input", KESTREL, between("again", OHM, "SYNC_NATIVE", "IN1_SYNC"), {"F518"}),
    Mistake("a part across the relay's pole", LINNET, between("again", OHM, "SYNC_NATIVE", "SYNC_LANDING"), {"F518"}),
    Mistake("the jack shows through a kilohm", KESTREL, between("again", KILOHM, "SYNC_NATIVE", "IN1_SYNC"),
            {"F518"}),
    Mistake("sound of jack and input joined", KESTREL, shorted("LEFT_NATIVE", "IN1_LEFT"), {"F610"}),
    Mistake("a resistor on the jack's sound", KESTREL, between("again", OHM, "RIGHT_NATIVE", "IN1_RIGHT"), {"F610"}),
    Mistake("a second 75 ohm on the landing of two jacks", FRONT, between("again", OHM, "SYNC_LANDING", "GND"),
            {"F520"}),
    Mistake("a load on the landing of sound of two jacks", FRONT, between("again", OHM, "LEFT_LANDING", "GND"),
            {"F612"}),
    Mistake("a load on the jack's feed of a relay", PLOVER, between("again", OHM, "SYNC_NATIVE", "GND"), {"F520"}),
    Mistake("a relay that gives the jack back only while it has current", PLOVER,
            both(swapped("stage/relay-1", "make-b", "break-b"), shorted("COIL_1", "GND")), {"F520"}),
    Mistake("a load on the feed of sound of a relay", PLOVER, between("again", OHM, "LEFT_NATIVE", "GND"), {"F612"}),
]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_a_slip_is_seen(mistake: Mistake) -> None:
    good, findings = examined(mistake.made)
    assert errors(findings) == set()
    bad = mistake.slip(good)
    assert bad != good
    assert mistake.by <= errors(examine(mistake.made, bad))


def test_a_board_that_loads_a_normalled_line_is_told_apart_from_the_jack() -> None:
    """A doubled termination is F508; the plug still takes the whole of it off, which is what F518 is about."""
    made = variant({**arranged("normalled", termination="none"), "set.audio": None})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    found = examine(made, twin("input-1/sync/termination")(circuit))
    assert "F508" in errors(found)
    (plug,) = (f for f in found if f.code == "F518")
    assert plug.severity == "met"
