"""What no board is made for: each refusal with its whole message."""

from __future__ import annotations

from typing import Any

import pytest

from making import examined, variant
from rasterport.circuit import compose
from rasterport.design.refusals import codes
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
SOURCE: Row = {"socket": "european-21", "status_contact": 16}
CHAIN = {"selector.path": "relay", "set.supply.voltage": "9 V", "input": [SOURCE, SOURCE]}
ANALOG = {"selector.path": "cmos", "set.supply.voltage": "9 V", "input": [SOURCE, SOURCE]}
TERMINATED = {"set.rgb.termination_fitted": True, "set.rgb.coupling_fitted": "100n"}
NO_SEPARATOR = (
    "the landing wants sync without picture, and a separator wants 5 to 12 V at every corner of the rail: land sync "
    "where the set separates it itself, feed composite sync, or take another rail"
)
STAYS = (
    "75 ohm that stay at the landing would leave every input that is not chosen without a load: lift them, or move "
    'them to the jack\'s side of a change-over (termination "movable", arrangement "changeover")'
)
TWICE = "with several inputs each keeps its own 75 ohm: a second one at the landing costs 3.5 dB; lift it"
NO_CAPACITOR = (
    "no coupling capacitor serves with its tolerance: droop over a line asks for 78.5 nF or more, the clamp follows up "
    "to {} nF; less leakage, or more clamp current or time, would help: measure them"
)
BY_HAND = "a panel switch is thrown by hand, not by a contact: choose path relay"
NO_CONTROL = "a gate belongs to control by status; a panel switch needs none"
STRAIGHT = {
    "selector.path": "direct", "selector.control": "status", "input.status_contact": 16,
    "set.sync.arrangement": "dedicated", "set.audio": None,
}  # fmt: skip
WIRED = {"board.construction": "wired", "input.mounting": "panel"}
HAS = {"input.mounting": "existing"}
PLACED = {"part": "input-1/red/termination", "at": "R231"}
ONE_SOCKET = (
    "parts sit on the contacts of one socket that stays where it is: say mounting panel or existing with one input, or "
    "built_on stripboard"
)
NO_PLACES = 'parts go into empty places of the chassis with construction "wired" and built_on "chassis" only'
SYNC_THERE = (
    "the set has wired the contact of sync, and the board would stand in the same line: say arrangement dedicated and "
    "termination fixed where the set's own circuit and its 75 ohm serve (ohmmeter: near 75 ohm from the contact to "
    "ground), or lift its wire"
)
DIRECT: Row = {
    "set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "0 V", "input.source_coupling": "dc",
    "input.black_most": "0.02 V",
}  # fmt: skip
DC_SOURCE = {"socket": "european-21", "source_coupling": "dc", "black_most": "0.02 V"}
KEYED: Row = {
    "set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "2 V", "board.keyed_clamp": True,
    "set.supply.voltage": "9 V",
}  # fmt: skip
NO_PULSE = (
    "the clamp takes its pulse from a sync separator, which wants 0.5 V and more of composite video; sync alone has "
    "0.3 V, logic levels too much: feed composite video"
)
SHARED: Row = {
    "set.rgb.insertion": "shared", "set.display": {"high": "5 V"}, "set.blanking.native": "driven",
    "selector.path": "relay", "selector.control": "panel", "set.supply.voltage": "9 V",
}  # fmt: skip
OPAQUE: Row = {
    **SHARED, "board.opaque_menus": True, "input.source_coupling": "dc", "input.black_most": "0.02 V",
}  # fmt: skip
ADDED = "let menus add up in resistors (leave opaque_menus out)"
REFUSALS: list[tuple[str, Row, str, str]] = [
    ("F102", {"set.scan": "double"}, "set.scan",
     "the processor runs at twice the line rate: a 15 kHz source cannot be shown; what tells: 31 kHz at the horizontal "
     "output's drive (frequency counter or oscilloscope), where a set that serves has 15.6 kHz"),
    ("F102", {"set.scan": "unknown"}, "set.scan",
     "measure the line rate at the horizontal output's drive: 15.6 kHz is single, 31 kHz double"),
    ("F103", {"set.rgb.insertion": "shared"}, "set.rgb.insertion",
     "the set's own display drives these pins, and the board must bring both together: say in [set.display] what it "
     "puts out (its high level at least), or land at pins that nothing uses"),
    ("F103", {"set.display": {"high": "5 V"}}, "set.rgb.insertion",
     "the variant tells of a display on the colour pins, and insertion spare says that nothing uses them: say shared, "
     "or leave [set.display] out"),
    ("F250", {**SHARED, **STRAIGHT, "selector.control": "panel"}, "selector.path",
     "without a change-over a source that is on stands on the display's lines in the native state: the clamp samples a "
     "foreign picture and menus change colour with it; choose path gang or relay"),
    ("F251", {**SHARED, "set.display": {"high": "5 V", "takes_over": "slow-switch"}}, "set.display.takes_over",
     "the display's colours go through a switch of their own that is thrown slowly: its lines are not those of the "
     "pins, and what is on them besides reaches the picture a character late; land behind that switch, where the pins "
     "are, or in front of it at the inputs that carry no menu"),
    ("F252", {**ANALOG, **SHARED, "selector.path": "cmos"}, "selector.path",
     "an open analog switch gives the display no 36 ohm to end on, and its middle voltage wants a large capacitor in "
     "front of every series resistor: menus would change with the input; choose path gang or relay"),
    ("F253", {**SHARED, **DIRECT}, "set.rgb.pin_kind",
     "pins without a clamp take the display's low level and the source's black as they are, and both together make "
     "black: nothing here judges that yet; land at pins that clamp, or at pins that nothing else uses"),
    ("F253", {**SHARED, **TERMINATED}, "set.rgb.termination_fitted",
     "75 ohm at the pins would leave next to nothing of the display: lift them, the board terminates each source"),
    ("F253", {**SHARED, "board.trimmers": True}, "board.trimmers",
     "input and display come together in fixed resistors, and a trimmer would move both: leave trimmers out"),
    ("F253", {**SHARED, "set.display": {"high": "5 V", "drive": "open-collector", "idle": "high-impedance"}},
     "set.display.idle",
     "an open collector that lets go is pulled up, which is the level of a white dot: say idle low, or find out what "
     "holds the lines down while no menu is shown"),
    ("F254", {**SHARED, "set.blanking.native": "grounded"}, "set.blanking.native",
     "a display on the colour pins shows its menus by driving the blanking pin, found grounded: say driven and follow "
     "its blanking output to the pin, or find out what else throws the switch"),
    ("F348", {**SHARED, "set.blanking.fitted_resistor": "220"}, "set.blanking.fitted_resistor",
     "220 ohm that stay on the pin take more than the display's output can give: lift them, the board brings a lower "
     "resistor of its own"),
    ("F349", {**SHARED, "set.display": {"high": "5 V", "blanking_active": "low", "blanking_low": "0.8 V"}},
     "set.display.blanking_low",
     "an output that is low for a menu is inverted, and the inverter wants below 0.5 V and above 2.1 V; found 0.8 and "
     "4.75 V at the corners: pick it up where it is full logic, in front of any divider"),
    ("F349", {**SHARED, "set.display": {"high": "5 V", "blanking_active": "low", "blanking_high": "2 V"}},
     "set.display.blanking_high",
     "an output that is low for a menu is inverted, and the inverter wants below 0.5 V and above 2.1 V; found 0 and "
     "1.9 V at the corners: pick it up where it is full logic, in front of any divider"),
    ("F349", {**SHARED, "set.display": {"high": "5 V", "blanking_active": "low", "blanking_high": "12 V"}},
     "set.display.blanking_high",
     "an output that is low for a menu is inverted, and the inverter runs on 5 V and takes no 12 V: pick it up where "
     "it is logic of 5 V; the pull-up of an open collector can be moved to 5 V"),
    ("F271", {"board.opaque_menus": True}, "board.opaque_menus",
     "the colour pins are the board's alone, there is nothing to switch: leave opaque_menus out"),
    ("F271", {**OPAQUE, "input.source_coupling": "either"}, "board.opaque_menus",
     "the source of input-1 may be AC-coupled, and nothing clamps it before the switch: a menu's black would stand up "
     f"to 0.57 V above or below that of the picture; {ADDED}"),
    ("F271", {**OPAQUE, "input.source_coupling": "ac"}, "board.opaque_menus",
     "the source of input-1 is AC-coupled, and nothing clamps it before the switch: a menu's black would stand up to "
     f"0.57 V above or below that of the picture; {ADDED}"),
    ("F271", {**OPAQUE, "input.black_most": "0.4 V"}, "board.opaque_menus",
     "black of input-1 arrives at 0 to 0.4 V, that of menus at 0 V: 0.4 V apart where set.rgb.black_within allows "
     f"0.035 V; {ADDED}"),
    ("F271", {**OPAQUE, "set.display": {"high": "5 V", "low": "0.5 V"}}, "board.opaque_menus",
     "black of input-1 arrives at 0 to 0.02 V, that of menus at 0.0778 V: 0.0778 V apart where set.rgb.black_within "
     f"allows 0.035 V; {ADDED}"),
    ("F271", {**OPAQUE, "input": [DC_SOURCE] * 2}, "board.opaque_menus",
     "the switch stands behind the change-over of one input: make one board an input"),
    ("F271", {**OPAQUE, "selector.path": "gang"}, "selector.path",
     "a panel switch leaves a source on the switch's input while the set is off, and only 37.5 ohm stand in between: "
     "choose path relay"),
    ("F272", {**OPAQUE, "set.display": {"high": "5 V", "blanking_high": "3.3 V"}}, "set.display.blanking_high",
     "a switch on 5 V wants below 1.35 V and above 3.85 V, no more than its supply: found 0 and 3.13 to 3.46 V; pick "
     "blanking up where it is logic of 5 V"),
    ("F104", {"set.rgb.pin_kind": "digital"}, "set.rgb.pin_kind",
     "its pins take logic levels, not analog colour: what arrives is one of eight colours; measure whether a 0.35 V "
     "step changes the shade"),
    ("F104", {"set.rgb.pin_kind": "ypbpr"}, "set.rgb.pin_kind",
     "its pins take colour difference, not RGB: the picture would be green and violet; what tells: with a white or "
     "grey picture through that input two of the pins stand at black (0 V of picture), RGB pins all stand alike"),
    ("F104", {"set.rgb.pin_kind": "none"}, "set.rgb.pin_kind",
     "the processor has no colour inputs: RGB would have to be fed to the amplifiers at the tube's neck, behind "
     "contrast, beam limiter and blanking, and no board is made for that; what tells: the pin table of its data sheet "
     "names no R, G and B inputs, and the display's dots arrive (oscilloscope) as one line or not at all"),
    ("F104", {"set.rgb.pin_kind": "unknown"}, "set.rgb.pin_kind",
     "find the pin kind first: service manual of the set or data sheet of the processor"),
    ("F105", {"set.rgb.termination_fitted": True, "set.rgb.white_level": "0.5 V", "set.rgb.coupling_fitted": "100n"},
     "set.rgb.termination_fitted",
     "a termination that stays in the set leaves no place for the divider to the lower white level; lift it"),
    ("F105", {"set.rgb.termination_fitted": True}, "set.rgb.termination_fitted",
     "a termination that stays in the set would stand behind the board's coupling capacitor: land in front of the "
     "set's own capacitor and state coupling_fitted, or lift the termination"),
    ("F106", {"input.sync": "separate"}, "input-1.sync",
     "separate H and V: their polarities change with the mode of the source, and a gate that combines one pair of "
     "polarities makes no sync of another; set the source to composite sync on the H contact, or put a combiner that "
     "senses polarity in front of the socket"),
    ("F106", {"input": [SOURCE, {**SOURCE, "sync": "on-green"}]}, "input-2.sync",
     "sync on green would reach the green pin below black, where many pins clip it into the clamp; take sync from "
     "the source's composite output"),
    ("F106", {"set.sync.accepts": "clean-sync"}, "input-1.sync", NO_SEPARATOR),
    ("F106", {"set.sync.accepts": "clean-sync", "set.supply.tolerance": "0 %"}, "input-1.sync", NO_SEPARATOR),
    ("F106", {"set.sync.accepts": "clean-sync", "set.supply.voltage": "12 V"}, "input-1.sync", NO_SEPARATOR),
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
    ("F109", {"selector.control": "status", "input.status_contact": 16}, "selector.control", BY_HAND),
    ("F109", {"selector.control": "status-or-panel", "input": [SOURCE, SOURCE]}, "selector.control", BY_HAND),
    ("F110", {"selector.path": "relay", "set.supply.voltage": "3.3 V"}, "selector.path",
     "a 3.3 V rail drives no signal relay when hot: choose path direct or gang"),
    ("F111", {"selector.gate": "line"}, "selector.gate", NO_CONTROL),
    ("F111", {**BY_STATUS, "selector.gate": "line", "input.socket": "bnc-4"}, "selector.gate", NO_CONTROL),
    ("F111", {"selector.gate": "after-switch"}, "selector.gate",
     "after-switch says that sync enters behind the set's input switch: set.sync.arrangement must say so too"),
    ("F112", BY_STATUS, "input-1.status_contact", "control by status needs contact 8 or 16, found nothing"),
    ("F112", {**BY_STATUS, "input.status_contact": 11}, "input-1.status_contact",
     "control by status needs contact 8 or 16, found 11"),
    ("F112", {**CHAIN, "selector.control": "status-or-panel", "input": [SOURCE, {"socket": "japanese-21"}]},
     "input-2.status_contact", "control by status needs contact 11 or 16, found nothing"),
    ("F114", {"selector.path": "direct", "input": [SOURCE, SOURCE], "set.sync.arrangement": "dedicated",
              "set.sync.termination": "none", "set.audio": None}, "selector.path",
     "path direct carries one input, found 2: choose path gang, relay or cmos"),
    ("F114", {"input": [SOURCE] * 5}, "selector.path",
     "path gang carries up to 4 inputs, found 5: rotary switches for low-level signals have no more positions for so "
     "many poles: choose path cmos"),
    ("F114", {**CHAIN, "input": [SOURCE] * 4}, "selector.path",
     "path relay carries up to 3 inputs, found 4: a chain of three takes as much of the rail as most can spare: "
     "choose path cmos"),
    ("F114", {**ANALOG, "input": [SOURCE]}, "selector.path",
     "one input needs no analog switch: choose path relay, gang or direct"),
    ("F115", {**ANALOG, "set.supply.voltage": "3.3 V"}, "selector.path",
     "analog switches want a rail of 4.5 V and more at its low corner: choose path gang"),
    ("F115", {**ANALOG, "set.supply.voltage": "5 V", "set.supply.tolerance": "11 %"}, "selector.path",
     "analog switches want a rail of 4.5 V and more at its low corner: choose path gang"),
    ("F115", {**ANALOG, "set.sync.termination": "fixed"}, "set.sync.termination",
     "an analog switch cannot drive the 75 ohm that stay at the landing: lift them, or move them to the jack's side of "
     'a change-over (termination "movable", arrangement "changeover")'),
    ("F115", {**ANALOG, **TERMINATED}, "set.rgb.termination_fitted",
     "an analog switch cannot drive the 75 ohm of the set's landings, and each input keeps its own: lift them"),
    ("F116", {"input": [SOURCE, SOURCE], "set.sync.termination": "fixed"}, "set.sync.termination", STAYS),
    ("F116", {**CHAIN, "set.sync.arrangement": "dedicated"}, "set.sync.termination", STAYS),
    ("F116", {"input": [SOURCE, SOURCE], **TERMINATED}, "set.rgb.termination_fitted", TWICE),
    ("F116", {**CHAIN, **TERMINATED}, "set.rgb.termination_fitted", TWICE),
    ("F113", {"set.rgb.leakage": "20 uA"}, "set.rgb", NO_CAPACITOR.format("146")),
    ("F230", {"set.rgb.white_level": "1.01 V"}, "set.rgb.white_level",
     "the pins want 1.01 V of white and resistors deliver 0.7 V at most: the set's contrast would have to make up "
     "3.2 dB, 3.1 dB are allowed; land at a stage that wants 1 V or less, or put a video amplifier, which this board "
     "has not, between board and pins"),
    ("F230", {"set.rgb.white_level": "2 V", **TERMINATED}, "set.rgb.white_level",
     "the pins want 2 V of white and resistors deliver 0.7 V at most: the set's contrast would have to make up "
     "9.1 dB, 3.1 dB are allowed; land at a stage that wants 1 V or less, or put a video amplifier, which this board "
     "has not, between board and pins"),
    ("F230", {"set.rgb.white_level": "0.1 V"}, "set.rgb.white_level",
     "a split down to 0.1 V leaves two colours up to 4.03 % apart with resistors of 1 %, 4 % are allowed: set "
     "board.trimmers = true, or land at a stage that wants 0.11 V or more"),
    ("F231", {"board.trimmers": True, **TERMINATED}, "board.trimmers",
     "a termination that stays in the set leaves the board none to trim: lift it, or leave trimmers out"),
    ("F236", {**DIRECT, "set.rgb.black_level": None}, "set.rgb.black_level",
     "the pins have no clamp: say which direct voltage means black there"),
    ("F236", {**DIRECT, "set.rgb.black_level": "2 V"}, "set.rgb.black_level",
     "a resistor to the rail that lifts black to 2 V leaves so little of white that contrast would have to make up "
     "4.5 dB, 3.1 dB are allowed: set board.keyed_clamp = true"),
    ("F236", {**DIRECT, "set.rgb.black_level": "5 V"}, "set.rgb.black_level",
     "the pins want black at 5 V, coupled directly it arrives from input-1 at 0 to 0.02 V: set board.keyed_clamp = "
     "true, or land at a stage whose black is there"),
    ("F236", {**DIRECT, "set.rgb.black_level": "0.5 V", "input": [DC_SOURCE, {**DC_SOURCE, "black_most": "0.5 V"}]},
     "set.rgb.black_level",
     "the pins want black at 0.5 V, coupled directly it arrives from input-1 at 0 to 0.02 V: set board.keyed_clamp = "
     "true, or land at a stage whose black is there"),
    ("F236", {**DIRECT, "input.black_least": "1 V", "input.black_most": "1.2 V", "set.rgb.white_level": "0.35 V"},
     "set.rgb.black_level",
     "the pins want black at 0 V, coupled directly it arrives from input-1 at 0.5 to 0.6 V: set board.keyed_clamp = "
     "true, or land at a stage whose black is there"),
    ("F237", {**DIRECT, "input.source_coupling": "either"}, "input-1.source_coupling",
     "the pins have no clamp and the source may be AC-coupled: black would move by up to 0.57 V with the picture; set "
     'board.keyed_clamp = true, or find out that the source is DC-coupled and say source_coupling = "dc"'),
    ("F237", {**DIRECT, "input.source_coupling": "ac"}, "input-1.source_coupling",
     "the pins have no clamp and the source is AC-coupled: black would move by up to 0.57 V with the picture; set "
     'board.keyed_clamp = true, or find out that the source is DC-coupled and say source_coupling = "dc"'),
    ("F237", {**DIRECT, "set.rgb.coupling_fitted": "100n"}, "set.rgb.coupling_fitted",
     "a capacitor that stays in front of a pin without a clamp loses black behind the board, where nothing restores "
     "it: land behind it and leave coupling_fitted out, or lift it"),
    ("F237", {**DIRECT, "set.rgb.termination_fitted": True}, "set.rgb.termination_fitted",
     "a termination that stays at a pin without a clamp would stand behind the resistor that protects the pin, or "
     "behind the board's clamp: lift it"),
    ("F237", {**ANALOG, "set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "0 V", "input": [DC_SOURCE] * 2},
     "selector.path",
     "analog switches stand behind capacitors, and the pins have no clamp that restores black: choose path gang or "
     "relay"),
    ("F238", {"board.keyed_clamp": True, "set.supply.voltage": "9 V"}, "board.keyed_clamp",
     "these pins clamp themselves, and two clamps would pull at one capacitor: leave keyed_clamp out"),
    ("F238", {**KEYED, "input": [SOURCE, SOURCE]}, "board.keyed_clamp",
     "the clamp takes its pulse from the sync of one input, and of several another may be chosen: make one board an "
     "input"),
    ("F238", {**KEYED, "input.sync": "composite-sync"}, "input-1.sync", NO_PULSE),
    ("F238", {**KEYED, "input.sync": "ttl-composite"}, "input-1.sync", NO_PULSE),
    ("F238", {**KEYED, "set.supply.voltage": "5 V"}, "set.supply.voltage",
     "the clamp takes its pulse from a sync separator, which wants 5 to 12 V at every corner of the rail: take another "
     "rail"),
    ("F238", {**KEYED, "set.rgb.black_level": "3.5 V"}, "set.rgb.black_level",
     "the strongest white stands at 4.49 V, and the clamp's switch on 5 V lets pass 4.3 V: land at a stage with a "
     "lower black"),
    ("F113", {**KEYED, "set.rgb.resistance": "10k"}, "set.rgb",
     "the pin draws up to 339 uA, which asks for 1740 nF, and the board's clamp moves 68 nF at most: put a buffer, "
     "which this board has not, between clamp and pin, or land at pins of a higher resistance"),
    ("F113", {"set.sync.termination": "fixed"}, "selector.path",
     "5 poles are wanted (blanking, sync, sync, left, right), panel switches have up to 4: choose path relay, or make "
     "a landing dedicated or normalled"),
    ("F113", {"set.sync.resistance": "75", "set.sync.termination": "none"}, "set.sync",
     "what the set hangs on the line must be above 75 ohm, found 75: if that is its own termination, state it as that, "
     "and the resistance without it"),
    ("F113", {"set.blanking.off_below": "0.05 V"}, "set.supply, set.blanking",
     "without a regulator, ptc or fusible element: blanking_margin is wider than the room that off_below, on_above "
     "and maximum leave; with a regulator, ptc or fusible element: a 5 V regulator wants 7 V, the rail falls to "
     "4.75 V"),
    ("F113", {"board.regulator": "yes"}, "set.supply, set.blanking",
     "with a regulator, ptc or fusible element: a 5 V regulator wants 7 V, the rail falls to 4.75 V"),
    ("F113", {**BY_STATUS, "input.status_contact": 8, "selector.gate": "line", "selector.gate_low": "2.3 V"},
     "selector.gate", "no divider is off up to 2.3 V and on from 2.4 V at the corners: find a line whose two levels "
     "lie further apart"),
    ("F113", {"set.audio.maximum": "0.05 V", "input.audio_maximum": "10 V"}, "set.audio",
     "no pad brings 10 V below 0.05 V into 20950 ohm: turn the source down and state its audio_maximum, or land at a "
     "place that takes more"),
    ("F113", {**CHAIN, "set.supply.spare_current": "50 mA", "board.supply_element": "fusible"},
     "set.supply, set.blanking",
     "without a regulator, fusible element: 4 relays at once take 137 mA, the rail can spare 50 mA: choose path cmos, "
     "which has fewer of them, or gang; with a regulator, fusible element: 4 relays at once take 137 mA, the rail can "
     "spare 50 mA: choose path cmos, which has fewer of them, or gang"),
    ("F113", {**ANALOG, "set.supply.spare_current": "20 mA", "board.supply_element": "fusible",
              "board.regulator": "no"}, "set.supply, set.blanking",
     "without a regulator, fusible element: 2 relays at once take 68.7 mA, the rail can spare 20 mA: choose path gang"),
    ("F113", {**ANALOG, "set.supply.voltage": "6 V", "board.supply_element": "fusible", "board.regulator": "no"},
     "set.supply, set.blanking",
     "without a regulator, fusible element: 74HC switches want 4 to 6 V, 4000B 7.5 to 15 V; found 5.02 to 6.15 V"),
    ("F113", {**ANALOG, "set.supply.voltage": "5 V"}, "set.audio",
     "sound of 2 V r.m.s. does not pass a switch whose supply falls to 4.11 V: 1.24 V pass, 4.1 dB are lost; choose "
     "path relay, or a rail of 8 V or more"),
    ("F113", {**ANALOG, "set.rgb.leakage": "20 uA"}, "set.rgb",
     NO_CAPACITOR.format("122")),
    ("F110", {"selector.path": "relay", "selector.control": "panel", "set.supply.voltage": "3.3 V"}, "selector.path",
     "a 3.3 V rail drives no signal relay when hot: choose path direct or gang"),
    ("F106", {"set.sync.accepts": "clean-sync", "set.supply.voltage": "3.3 V"}, "input-1.sync", NO_SEPARATOR),
    ("F113", {"input.sync": "ttl-composite", "input.sync_polarity": "positive", "set.supply.voltage": "3.3 V",
              "board.supply_element": "fusible"}, "set.supply, set.blanking",
     "without a regulator, fusible element: the sync buffer wants 4.5 to 5.5 V, not 3.07 to 3.46 V; with a regulator, "
     "fusible element: a 5 V regulator wants 7 V, the rail falls to 3.13 V"),
    ("F113", {"set.blanking.on_above": "2.5 V", "set.supply.tolerance": "10 %", "board.supply_element": "fusible",
              "board.regulator": "no"}, "set.supply, set.blanking",
     "without a regulator, fusible element: no divider from 4.44 to 5.5 V keeps the pin between 2.6 and 2.9 V with "
     "+-0.2 mA, below 0.3 V when off and below its maximum with any one resistor open: take a rail of closer "
     "tolerance, measure pin_current, or ask a smaller blanking_margin"),
    ("F113", {**BY_STATUS, "input.status_contact": 16, "board.supply_element": "ptc", "board.regulator": "no"},
     "set.supply, set.blanking",
     "without a regulator, ptc element: no relay coil pulls in when hot and stays cool on 3.68 to 5.25 V: choose path "
     "gang, supply_element fusible, or a rail of closer tolerance"),
    ("F113", {**CHAIN, "input": [SOURCE] * 3, "set.supply.voltage": "12 V", "set.supply.tolerance": "0 %",
              "set.supply.spare_current": "2 A", "board.supply_element": "ptc", "board.regulator": "no"},
     "set.supply, set.blanking",
     "without a regulator, ptc element: the PTC would trip in a hot cabinet at 164 mA: say supply_element fusible"),
    ("F113", {"board.trimmers": True, "set.rgb.resistance": "150"}, "set.rgb",
     "no trimmer sets 0.7 V of white into 150 ohm: leave trimmers out"),
    ("F117", {"fit": {"red/couplings": "82n"}}, "fit.red/couplings",
     "must be a role of this board: did you mean red/coupling or green/coupling or blue/coupling?; found '82n'"),
    ("F830", {"board.construction": "wired"}, "input-1.mounting",
     "without a printed board nothing holds a socket's pins: say panel, cable or existing"),
    ("F830", {**WIRED, "board.clamps": True}, "board.clamps",
     "clamps of 5 pF have no leads, and those with leads load the picture with their capacitance: say clamps false, or "
     "choose a printed board"),
    ("F830", {**WIRED, "board.built_on": "socket", "input.mounting": "cable"}, "board.built_on", ONE_SOCKET),
    ("F830", {"board.construction": "wired", "board.built_on": "socket", "set.sync.termination": "none",
              "input": [{**SOURCE, "mounting": "panel"}] * 2}, "board.built_on", ONE_SOCKET),
    ("F830", {"board.built_on": "socket"}, "board.built_on",
     "a printed board is not built on socket: it belongs to construction wired"),
    ("F831", {**WIRED, "board.place": [PLACED]}, "board.place", NO_PLACES),
    ("F831", {"board.place": [PLACED]}, "board.place", NO_PLACES),
    ("F831", {**WIRED, "board.built_on": "chassis", "board.place": [PLACED, {**PLACED, "at": "R2"}]}, "board.place",
     "input-1/red/termination has 2 places, must have one"),
    ("F831", {**WIRED, "board.built_on": "chassis", "board.place": [PLACED, {"part": "input-1/red/load", "at": "R2"}]},
     "board.place-2.part", "the circuit has no part input-1/red/load: did you mean input-1/red/termination or "
     "input-1/socket?"),
    ("F832", {"input.wired_contacts": "4"}, "input-1.wired_contacts",
     "only a socket that the set has (mounting existing) has contacts that are wired already"),
    ("F832", {**HAS, "input.wired_contacts": "4, 22"}, "input-1.wired_contacts",
     f"the socket has no contact 22; it has {', '.join(str(n) for n in range(1, 22))}"),
    ("F832", {**HAS, "input.wired_contacts": "11"}, "input-1.wired_contacts",
     "the set has wired the contact of green: two things would drive or load it; follow its track, and lift it where "
     "the board is to take over, or where it ends at RGB inputs use those without a board"),
    ("F832", {**HAS, "input.wired_contacts": "20"}, "input-1.wired_contacts", SYNC_THERE),
    ("F832", {**HAS, "input.wired_contacts": "20", "set.sync": {"arrangement": "dedicated"}}, "input-1.wired_contacts",
     SYNC_THERE),
    ("F832", {**HAS, "input.wired_contacts": "2"}, "input-1.wired_contacts",
     "the set has wired the contacts of sound, and the board would drive the same line: say audio none where sound "
     "already arrives, or lift the wires"),
    ("F832", {**HAS, **BY_STATUS, "input.status_contact": 16, "input.wired_contacts": "16"}, "input-1.wired_contacts",
     "the set has wired contact 16, and its 75 ohm and the board's are half of what a source expects (ohmmeter: near "
     "75 ohm from the contact to ground): lift its wire, or read contact 8"),
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
    assert tried == set(codes())


def test_all_reasons_come_at_once() -> None:
    with pytest.raises(Refused) as refusal:
        compose(variant({"set.scan": "double", "set.rgb.insertion": "shared", "selector.path": "direct"}))
    assert [f.code for f in refusal.value.findings] == ["F102", "F103", "F108", "F108"]


BNC: Row = {"socket": "bnc-4"}
ALONE = "a bnc-4 socket has no status contact: the panel switch chooses {}, control falls back to panel"
BESIDE = "a bnc-4 socket has no status contact: the panel switch chooses {}, and overrides the others"


@pytest.mark.parametrize("control", ["status", "status-or-panel"])
@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"selector.path": "direct", "set.sync.arrangement": "dedicated", "set.audio": None, "input": [BNC]},
         {"input-1": ALONE}),
        ({"input": [BNC]}, {"input-1": ALONE}),
        ({"selector.path": "relay", "input": [BNC]}, {"input-1": ALONE}),
        ({**CHAIN, "input": [BNC, BNC]}, {"input-1": ALONE, "input-2": ALONE}),
        ({**CHAIN, "input": [SOURCE, BNC]}, {"input-2": BESIDE}),
        ({**ANALOG, "input": [BNC, SOURCE, BNC]}, {"input-1": BESIDE, "input-3": BESIDE}),
    ],
    ids=["direct", "gang", "relay", "two by relay", "one of two", "two of three"],
)  # fmt: skip
def test_a_socket_without_a_status_contact_falls_back_to_the_panel_switch(
    control: str, changes: Row, told: dict[str, str]
) -> None:
    circuit, findings = examined(variant({**changes, "selector.control": control}))
    found = {f.subject: (f.severity, f.message) for f in findings if f.code == "F415"}
    assert found == {subject: ("warning", text.format(subject)) for subject, text in told.items()}
    assert circuit.has("panel/switch")
    for n, source in enumerate(changes["input"], 1):
        assert circuit.has(f"input-{n}/status/sense") == (source is SOURCE)


def test_where_every_socket_has_a_status_contact_nothing_falls_back() -> None:
    circuit, findings = examined(variant({**CHAIN, "selector.control": "status"}))
    assert [f for f in findings if f.code == "F415"] == []
    assert not circuit.has("panel/switch")
