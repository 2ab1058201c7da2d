"""Switching, in every state of every switch, status contact, gate and rail: the right source, alone, terminated."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.intent import Proof
from rasterport.analysis.lines import mhz
from rasterport.checks.bench import Bench, judge, note
from rasterport.records import COLOURS, LINES, Finding
from rasterport.standards.limits import CROSSTALK_AT_HZ

CODES = {
    "F421": "the input that is wanted on every landing",
    "F422": "no two sources joined",
    "F423": "every source terminated in every state",
    "F424": "blanking follows the input",
    "F425": "native is native in every state",
    "F426": "nothing of the switching undecided",
    "F427": "no input of an integrated circuit open",
    "F431": "relays that are energised",
    "F432": "end of a colour landing when native",
    "F433": "resting voltage of analog switches",
    "F428": "time of a change of input",
    "F429": "another input through an open switch",
    "F430": "room of a line in the supply of its switch",
}

RULES = {
    "source": ("F421", "the input that is wanted reaches each landing, alone"),
    "joined": ("F422", "no two sources are joined"),
    "terminated": ("F423", "every video contact sees 75 ohm to ground"),
    "blanking": ("F424", "blanking is driven when an input is wanted with the rail on, and only then{menu}"),
    "native": ("F425", "native, {native}"),
    "energised": ("F431", "whatever else calls, only the relays of the chosen input are energised"),
    "undecided": ("F426", "every transistor, coil and contact is decided"),
    "floating": ("F427", "no input of an integrated circuit is open"),
}
"""Rule of the proof -> number, and what is told when it is kept."""
DOUBT = {"undecided": "what it does cannot be told", "floating": "an input is open"}


def check(bench: Bench) -> Iterator[Finding]:
    """One finding a rule that is kept, one a subject where it is not."""
    proof = bench.proof
    broken = set()
    for offence in proof.offences():
        code, _ = RULES[offence.rule]
        broken.add(offence.rule)
        text = offence.text or DOUBT[offence.rule]
        where = f"in {offence.states} of {proof.walk.size} states, the first: {offence.first}"
        yield note(code, offence.subject, f"{text} ({where})", "netlist, every state", "error")
    for rule, (code, text) in RULES.items():
        there = {"floating": proof.walk.place.board.chips, "energised": proof.walk.place.board.relays}
        if rule not in broken and there.get(rule, True):
            words = f"{text.format(native=_native(proof), menu=_menu(proof))}, in all {proof.walk.size} states"
            yield note(code, "switching", words, "netlist, every state", "met")
    yield from _changing(bench)


def _menu(proof: Proof) -> str:
    """What else may drive blanking: a menu of the set's display."""
    return "" if proof.menu is None else " or while a menu is shown"


def _changing(bench: Bench) -> Iterator[Finding]:
    """Of several inputs: how long a change takes, what an open switch lets through, what a switch can pass."""
    for figure in bench.figures.under("native-end"):
        yield judge("F432", figure, "native_end_ohm", "what the colour landing ends on when native")
    for figure in bench.figures.under("switch-bias"):
        text = "terminals of the switch against half of its supply, every switch open"
        yield judge("F433", figure, "switch_bias_share", text)
    kinds = {p.part.letter for p in bench.circuit.parts if p.part.appears == "contacts"}
    for view in (v for v in bench.views if v.has("changing", "picture")):
        moves = "relays change over" if "K" in kinds else "the panel switch breaks before it makes"
        if "U" in kinds:
            moves += " and analog switches break before they make (makers' sheets)"
        text = f"until the picture stands after a change of input: {moves}, so no two sources meet meanwhile"
        yield judge("F428", view.figure("changing", "picture"), "switching_time_s", text)
        for colour in COLOURS:
            for hertz, key in zip(CROSSTALK_AT_HZ, ("crosstalk_1mhz_db", "crosstalk_5mhz_db"), strict=True):
                name = f"isolation/{mhz(hertz)}"
                if view.has(name, colour):
                    text = f"one other input at {hertz / 1e6:g} MHz through its open switch; several add"
                    yield judge("F429", view.figure(name, colour), key, text)
        for line in LINES:
            if view.has("switch-room", line):
                text = "what is left of half of the supply above the highest peak"
                yield judge("F430", view.figure("switch-room", line), "switch_room_v", text)


def _native(proof: Proof) -> str:
    """What is given back, and what stays on the board's source."""
    back = [line for line in proof.lines() if proof.given_back(line)]
    stay = [line for line in proof.lines() if line not in back]
    told = f"the set has {', '.join([*back, 'blanking'])} back"
    if len(proof.variant.input) > 1:
        return f"{told}; no input reaches {', '.join(stay)}" if stay else told
    return f"{told}; {', '.join(stay)} stay on the board by design" if stay else told
