"""What no board is made for: each refusal with its whole message."""

from __future__ import annotations

from typing import Any

import pytest

from making import variant
from rasterport.circuit import compose
from rasterport.errors import Refused, UnsafeSet

Row = dict[str, Any]

MEANT = {
    "F101": ("set.signal_ground", "No board is made for this set.  Its signal ground is {state}.  A set whose signal "
        "ground is connected to the mains puts mains voltage on every socket and on everything plugged into it: that "
        "kills people.  Do not connect anything to it.  What would help: a set with an isolated signal ground.  "
        "Whether a set has one is told by its service manual and by the leakage and isolation tests in it, done by "
        "somebody licensed and equipped to do them; local codes come first."),
}  # fmt: skip


@pytest.mark.parametrize(("ground", "state"), [("live", "live"), ("unverified", "not verified")])
def test_an_unsafe_set_gets_no_board(ground: str, state: str) -> None:
    """Also where a hundred other things are wrong: nothing else is said."""
    with pytest.raises(UnsafeSet) as refusal:
        compose(variant({"set.signal_ground": ground, "set.scan": "double", "set.rgb.pin_kind": "digital"}))
    (finding,) = refusal.value.findings
    subject, message = MEANT["F101"]
    assert (finding.code, finding.severity, finding.subject) == ("F101", "error", subject)
    assert finding.message == message.format(state=state)


BY_STATUS = {"selector.path": "relay", "selector.control": "status"}
STRAIGHT = {
    "selector.path": "direct", "selector.control": "status", "input.status_contact": 16,
    "set.sync.arrangement": "dedicated", "set.audio": None,
}  # fmt: skip
REFUSALS: list[tuple[str, Row, str, str]] = [
    ("F102", {"set.scan": "double"}, "set.scan",
     "the processor runs at twice the line rate: a 15 kHz source cannot be shown"),
    ("F102", {"set.scan": "unknown"}, "set.scan",
     "measure the line rate at the horizontal output's drive: 15.6 kHz is single, 31 kHz double"),
    ("F103", {"set.rgb.insertion": "shared"}, "set.rgb.insertion",
     "pins shared with the on-screen display need a combining network, not made yet"),
    ("F104", {"set.rgb.pin_kind": "digital"}, "set.rgb.pin_kind",
     "its pins take logic levels, not analog colour; measure whether a 0.35 V step changes the shade"),
    ("F104", {"set.rgb.pin_kind": "ypbpr"}, "set.rgb.pin_kind",
     "its pins take colour difference, not RGB: the picture would be green and violet"),
    ("F104", {"set.rgb.pin_kind": "unknown"}, "set.rgb.pin_kind",
     "find the pin kind first: service manual of the set or data sheet of the processor"),
    ("F104", {"set.rgb.pin_kind": "analog-dc"}, "set.rgb.pin_kind",
     "its pins have no clamp: behind a capacitor black moves by up to 0.57 V with the picture, and coupled directly "
     "the 0 to 2 V of direct voltage that a source may carry arrive as an error; a board-side clamp is not made yet"),
    ("F105", {"set.rgb.termination_fitted": True, "set.rgb.white_level": "0.5 V", "set.rgb.coupling_fitted": "100n"},
     "set.rgb.termination_fitted",
     "a termination that stays in the set leaves no place for the divider to the lower white level; lift it"),
    ("F105", {"set.rgb.termination_fitted": True}, "set.rgb.termination_fitted",
     "a termination that stays in the set would stand behind the board's coupling capacitor: land in front of the "
     "set's own capacitor and state coupling_fitted, or lift the termination"),
    ("F106", {"input.sync": "separate"}, "input-1.sync",
     "separate H and V need a combiner, not made yet; feed composite sync on the H contact"),
    ("F106", {"input.sync": "on-green"}, "input-1.sync",
     "sync on green needs a separator, not made yet; take sync from the source's composite output"),
    ("F106", {"set.sync.accepts": "clean-sync"}, "input-1.sync",
     "the landing wants sync without picture: a separator is needed, not made yet; land sync where the set separates "
     "it itself, or feed composite sync"),
    ("F107", {"input.socket": "de-15"}, "input-1.sync",
     "a DE-15 carries no composite video; say composite-sync or ttl-composite"),
    ("F108", {"selector.path": "direct", "set.audio": None}, "set.sync.arrangement",
     "path direct cannot give set.sync back to the set (changeover): choose path gang or relay, or make the landing "
     "dedicated or normalled"),
    ("F108", {"selector.path": "direct", "set.sync.arrangement": "normalled"}, "set.audio.arrangement",
     "path direct cannot give set.audio back to the set (changeover): choose path gang or relay, or make the landing "
     "dedicated or normalled"),
    ("F108", {**STRAIGHT, "set.blanking.native": "driven"}, "set.blanking.native",
     "the set drives this pin itself: path direct would drive against it; choose path relay"),
    ("F109", {"selector.control": "status", "input.status_contact": 16}, "selector.control",
     "a panel switch is thrown by hand, not by a contact: choose path relay"),
    ("F110", {"selector.path": "relay", "set.supply.voltage": "3.3 V"}, "selector.path",
     "a 3.3 V rail drives no signal relay when hot: choose path direct or gang"),
    ("F111", {"selector.gate": "line"}, "selector.gate",
     "a gate belongs to control by status; a panel switch needs none"),
    ("F112", {**BY_STATUS, "input.socket": "bnc-4"}, "input-1.status_contact",
     "a bnc-4 socket has no status contact: choose control panel"),
    ("F112", BY_STATUS, "input-1.status_contact", "control by status needs contact 8 or 16, found nothing"),
    ("F112", {**BY_STATUS, "input.status_contact": 11}, "input-1.status_contact",
     "control by status needs contact 8 or 16, found 11"),
    ("F113", {"set.rgb.leakage": "20 uA"}, "set.rgb", "floor 78.5 nF leaves nothing under the ceiling 146 nF"),
    ("F113", {"set.sync.termination": "fixed"}, "selector.path",
     "5 poles are wanted (blanking, sync, sync, left, right), panel switches have up to 4: choose path relay, or make "
     "a landing dedicated or normalled"),
    ("F113", {"set.sync.resistance": "75", "set.sync.termination": "none"}, "set.sync",
     "the load must be above 75 ohm, found 75"),
    ("F113", {"set.blanking.off_below": "0.05 V"}, "set.supply, set.blanking",
     "without a regulator, ptc or fusible element: blanking_margin is wider than the room that off_below, on_above "
     "and maximum leave; with a regulator, ptc or fusible element: a 5 V regulator wants 7 V, the rail falls to "
     "4.75 V"),
    ("F113", {"board.regulator": "yes"}, "set.supply, set.blanking",
     "with a regulator, ptc or fusible element: a 5 V regulator wants 7 V, the rail falls to 4.75 V"),
    ("F113", {**BY_STATUS, "input.status_contact": 8, "selector.gate": "line", "selector.gate_low": "2.3 V"},
     "selector.gate", "no divider is off up to 2.3 V and on from 2.4 V at the corners"),
    ("F113", {"set.audio.maximum": "0.05 V", "input.audio_maximum": "10 V"}, "set.audio",
     "no pad brings 10 V below 0.05 V into 20950 ohm"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "changes", "subject", "message"), REFUSALS)
def test_says_why_there_is_no_board(code: str, changes: Row, subject: str, message: str) -> None:
    with pytest.raises(Refused) as refusal:
        compose(variant(changes))
    assert not isinstance(refusal.value, UnsafeSet)
    assert [(f.code, f.severity, f.subject, f.message) for f in refusal.value.findings] == [
        (code, "error", subject, message)
    ]


def test_every_refusal_code_is_tried() -> None:
    tried = {"F101"} | {code for code, *_ in REFUSALS}
    assert tried == {f"F{n}" for n in range(101, 114)}


def test_all_reasons_come_at_once() -> None:
    with pytest.raises(Refused) as refusal:
        compose(variant({"set.scan": "double", "set.rgb.insertion": "shared", "selector.path": "direct"}))
    assert [f.code for f in refusal.value.findings] == ["F102", "F103", "F108", "F108"]
