"""Switching, in every state of every switch, status contact, gate and rail: the right source, alone, terminated."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.intent import Proof
from rasterport.checks.bench import Bench, note
from rasterport.records import Finding

CODES = {
    "F421": "the input that is wanted on every landing",
    "F422": "no two sources joined",
    "F423": "every source terminated in every state",
    "F424": "blanking follows the input",
    "F425": "native is native in every state",
    "F426": "nothing of the switching undecided",
    "F427": "no input of an integrated circuit open",
}

RULES = {
    "source": ("F421", "the input that is wanted reaches each landing, alone"),
    "joined": ("F422", "no two sources are joined"),
    "terminated": ("F423", "every video contact sees 75 ohm to ground"),
    "blanking": ("F424", "blanking is driven when an input is wanted with the rail on, and only then"),
    "native": ("F425", "native, {native}"),
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
        if rule not in broken and (rule != "floating" or proof.walk.place.board.chips):
            words = f"{text.format(native=_native(proof))}, in all {proof.walk.size} states"
            yield note(code, "switching", words, "netlist, every state", "met")


def _native(proof: Proof) -> str:
    """What is given back, and what stays on the board's source."""
    back = [line for line in proof.lines() if proof.given_back(line)]
    stay = [line for line in proof.lines() if line not in back]
    told = f"the set has {', '.join([*back, 'blanking'])} back"
    return f"{told}; {', '.join(stay)} stay on the board by design" if stay else told
