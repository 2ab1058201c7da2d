"""The card for who uses the set: what to select, which plug goes where, what not to plug in.  No words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.sheet.words.facts import AUTOMATIC, OWN, Facts, begun, inputs_words, listed, said
from rasterport.emit.sheet.words.kinds import Passage
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.variant.models import Variant

PLUGS = {
    "european-21": "the wide plug with 21 pins, of the European kind",
    "japanese-21": "the wide plug with 21 pins, of the Japanese kind",
    "de-15": "the small plug with 15 pins in three rows",
    "bnc-4": "four round plugs that lock with a turn: red, green, blue, and the fourth for sync",
    "phono-4": "four round plugs that push on: red, green, blue, and the fourth for sync",
}


def card(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Passage, ...]:
    """The card, in the order in which somebody asks."""
    facts = Facts(circuit, variant, findings, figures, states)
    found = (
        ("plugs", "Which plug goes where", _plugs(facts)),
        ("show", "How to see it", _show(facts)),
        ("back", "How to get the set's own picture back", _back(facts)),
        ("sound", "Sound", _sound(facts)),
        ("never", "What not to do", _never(facts)),
    )
    return tuple(Passage(key, title, lines) for key, title, made in found if (lines := tuple(made)))


def selected(facts: Facts) -> str:
    """What must be selected on the set, in quotes; "" where that does not matter or is not known."""
    if facts.tv.sync.arrangement == "after-switch":
        return ""
    return said(facts.tv.sync.select or (facts.tv.audio.select if facts.tv.audio is not None else ""))


def reach(facts: Facts, index: int) -> str:
    """What to do to see an input: on the set, at the switch, at the source."""
    steps = []
    if select := selected(facts):
        steps.append(f"select {select} on the set")
    elif facts.tv.sync.arrangement != "after-switch":
        steps.append("select on the set the input that sync goes to")
    automatic = any(meaning == AUTOMATIC for _, meaning in facts.positions)
    calls = bool(facts.status(index))
    if facts.positions and not (automatic and calls):
        steps.append(f"put the switch at {_position(facts, index)}")
    elif automatic:
        steps.append(f"put the switch at {_position(facts, AUTOMATIC)}")
    steps.append("switch the source on")
    earlier = [n for n in facts.inputs if n < index and facts.status(n)]
    if calls and earlier:
        steps.append(f"switch off what is on {inputs_words(earlier)}")
    return f"{begun(listed(steps))}."


def _position(facts: Facts, meaning: str | int) -> str:
    name = next((name for name, meant in facts.positions if meant == meaning), "")
    label = {OWN: "the set's own picture", AUTOMATIC: "automatic"}.get(str(meaning), f"input {meaning}")
    if name == "centre":
        return f"the middle ({label})"
    return f"position {name} ({label})" if name else f"the position of {label}"


def _plugs(facts: Facts) -> Iterator[str]:
    for n, source in enumerate(facts.variant.input, 1):
        yield f"Input {n} takes {PLUGS[source.socket]}."


def _show(facts: Facts) -> Iterator[str]:
    for n in facts.inputs:
        yield f"Input {n}: {reach(facts, n)[0].lower()}{reach(facts, n)[1:]}"
    if facts.variant.selector.gate == "line":
        yield "The picture comes only while the set shows the right input of its own."
    if facts.tv.sync.arrangement == "after-switch":
        if facts.graver("F523", "F616"):
            yield "Leave the set on a channel that has a picture: without one it may go dark or silent."
        else:
            yield "It does not matter what the set shows."
    if facts.automatic and len(facts.inputs) > 1:
        yield "If several are on, the input with the lowest number is shown."
        if any(meaning not in (OWN, AUTOMATIC) for _, meaning in facts.positions):
            yield "The switch has the last word: at the position of an input that input is shown, on or not."


def _back(facts: Facts) -> Iterator[str]:
    if facts.at_position(OWN):
        yield f"Put the switch at {_position(facts, OWN)}."
    elif facts.automatic:
        numbers = tuple(n for n in facts.inputs if facts.status(n))
        yield f"Switch off what is plugged into {inputs_words(numbers)}, or pull its plug."
    if facts.tv.sync.arrangement == "after-switch" or selected(facts):
        yield "Then choose a channel or another input on the set as always."
    jacks = [said(facts.tv.sync.shares)] if facts.gives_back("sync") and facts.tv.sync.shares else []
    audio = facts.tv.audio
    if audio is not None and audio.shares and facts.sides and facts.gives_back("left"):
        jacks.append(said(audio.shares))
    if jacks:
        named = listed(list(dict.fromkeys(jacks)))
        yield f"Then the set shows and plays again what is plugged into {named}."


def _sound(facts: Facts) -> Iterator[str]:
    if not facts.sides:
        these = "These inputs bring" if len(facts.inputs) > 1 else "This input brings"
        yield f"{these} no sound to the set: use a loudspeaker of the source."
        return
    sounding = tuple(n for n in facts.inputs if facts.sounds(n))
    deaf = tuple(n for n in facts.inputs if n not in sounding)
    one = "" if len(facts.sides) > 1 else ", both sides from the one channel of the set"
    yield f"Sound of {inputs_words(sounding)} comes with the picture{one}."
    if deaf:
        none = f"{begun(inputs_words(deaf))} {'bring' if len(deaf) > 1 else 'brings'} no sound"
        yield f"{none}: use a loudspeaker of the source."
    audio, select = facts.tv.audio, selected(facts)
    if audio is not None and audio.needs_sync and select:
        yield f"The set is silent unless {select} is selected."


def _never(facts: Facts) -> Iterator[str]:
    pcs = facts.inputs_with("de-15")
    if pcs:
        yield (
            f"Do not plug a computer into {inputs_words(pcs)} unless it was adjusted to 15 kHz before. At its usual "
            "31 kHz it may destroy the set. If you see several narrow pictures or hear a whistle, pull the "
            "plug at once."
        )
    else:
        yield "Do not plug in a computer through an adapter: at its usual 31 kHz it may destroy the set."
    kinds = [key for key in ("european-21", "japanese-21") if facts.inputs_with(key)]
    for key in kinds:
        other = "Japanese" if key == "european-21" else "European"
        into = inputs_words(facts.inputs_with(key))
        yield f"Do not plug a {other} lead into {into}: it fits, but it is wired otherwise."
    yield from _given_up(facts)
    if facts.tv.sync.s_video != "none":
        lost = facts.tv.sync.s_video == "silences-landing" or facts.tv.sync.arrangement == "normalled"
        what = "the new inputs roll" if lost else "it silences the jack beside it"
        yield f"Do not leave a plug in the S-video socket: {what}."
    yield "If the picture is torn or the sound buzzes, pull the plug and have somebody look at it. Do not open the set."


def _given_up(facts: Facts) -> Iterator[str]:
    """Jacks that must stay empty, as the findings of a plug in them tell."""
    sync, audio = facts.tv.sync, facts.tv.audio
    jacks = []
    if sync.arrangement in ("dedicated", "normalled") and sync.shares and facts.graver("F518"):
        jacks.append(said(sync.shares))
    if audio is not None and audio.arrangement in ("dedicated", "normalled") and audio.shares and facts.graver("F610"):
        jacks.append(said(audio.shares))
    if jacks:
        named = listed(list(dict.fromkeys(jacks)), "or")
        uses = "inputs use" if len(facts.inputs) > 1 else "input uses"
        yield f"Plug nothing into {named} of the set: the new {uses} it."
    if sync.arrangement == "normalled" and sync.shares:
        yield f"A plug in {said(sync.shares)} of the set takes the place of the new inputs: pull it to see them."
