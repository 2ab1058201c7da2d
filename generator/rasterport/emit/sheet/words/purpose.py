"""What the board does, in plain sentences: its inputs, what selects them, what the set does in each kind of state."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rasterport.emit.sheet.words.facts import AUTOMATIC, OWN, Facts, begun, inputs_words, listed, said
from rasterport.emit.sheet.words.kinds import Behaviour, Passage
from rasterport.emit.sheet.words.screen import native
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.standards.sockets import WIRINGS
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import written
from rasterport.variant.models import Variant

PATHS = {
    "direct": "Nothing is switched between the socket and the landings: the blanking pin alone decides what is seen.",
    "gang": "Every line that is changed over goes through a pole of the panel switch {switch}.",
    "relay": "Relays carry the lines that are changed over: {relays}.",
    "cmos": "Analog switches carry the lines of the input that is chosen; {relays} give landings back to the set.",
}
SYNC = {
    "composite-video": "composite video as sync",
    "composite-sync": "composite sync",
    "ttl-composite": "composite sync at logic level",
}
MEANT = {"status-16": "RGB is present", "status-8": "the source is on", "status-11": "the source is on"}


def purpose(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Passage, ...]:
    """What the board takes in, what it gives to the set, and what selects."""
    facts = Facts(circuit, variant, findings, figures, states)
    return (
        Passage("inputs", "What comes in", tuple(_inputs(facts)), _sockets(facts)),
        Passage("path", "What the board does with it", tuple(_path(facts)), facts.relays),
        Passage("selects", "What selects", tuple(_selects(facts)), facts.refs("panel/switch")),
        Passage("set", "What the set keeps", tuple(_kept(facts))),
    )


def _sockets(facts: Facts) -> tuple[str, ...]:
    return tuple(ref for n in facts.inputs for ref in facts.socket_refs(n))


def _inputs(facts: Facts) -> Iterator[str]:
    for n, source in enumerate(facts.variant.input, 1):
        title = WIRINGS[source.socket].title
        sound = f"{source.audio} sound" if facts.sounds(n) else "no sound"
        refs = listed(facts.socket_refs(n))
        brings = f"red, green, blue, {SYNC.get(source.sync, source.sync)} and {sound}"
        title = f"{title[0].lower()}{title[1:]}" if title.startswith("Four") else title
        yield f"Input {n} is {refs} ({title}). It brings {brings}."
    if len(facts.variant.input) > 1:
        yield "Input 1 has the highest priority."


def _path(facts: Facts) -> Iterator[str]:
    path = facts.variant.selector.path
    relays = listed(facts.relays)
    switch = facts.ref("panel/switch") if facts.switch is not None else ""
    yield PATHS[path].format(switch=switch, relays=relays)
    if any(f.code == "F423" and f.severity == "met" for f in facts.findings):
        yield "Every video contact sees 75 ohm to ground, whether its input is chosen or not."
    if facts.shared:
        yield (
            "The set's own display uses the same colour pins: its lines go through the board and meet the input's "
            "there, in resistors."
            if not facts.variant.board.opaque_menus
            else "The set's own display uses the same colour pins: a switch takes turns between it and the input."
        )
    if facts.variant.board.keyed_clamp:
        yield "A keyed clamp on the board makes black what the pins want, since they have none."
    yield f"The board raises the blanking pin, at {facts.end('blanking')}, to make the jungle IC show RGB."


def _selects(facts: Facts) -> Iterator[str]:
    for n in facts.inputs:
        if key := facts.status(n):
            level = STATUS_LEVELS[key]
            yield (
                f"{begun(facts.contact(n, key))} calls input {n} from {written(level.on_least_v, 'V')} on: it "
                f"says that {MEANT[key]}. Up to {written(level.off_most_v, 'V')} it does not."
            )
    silent = tuple(n for n in facts.inputs if not facts.status(n))
    if facts.automatic and silent:
        yield f"Nothing calls {inputs_words(silent)}: the panel switch chooses."
    if facts.automatic and len(facts.variant.input) > 1:
        yield "Where several call at once, the lowest number wins."
    yield from _positions(facts)
    gate = facts.variant.selector.gate
    if gate == "line":
        yield f"The gate line, at {facts.end('gate')}, must agree: the set must show the right input of its own."
    elif gate == "after-switch":
        yield "Sync enters behind the set's own input switch, so that RGB shows whatever is selected on the set."
    elif facts.automatic:
        yield (
            "The board does not know what the set shows. Select the right input on the set first, else RGB stands over "
            "the sync of another channel and rolls."
        )


def meant(meaning: str | int) -> str:
    """What a position of the switch means, in words."""
    return {OWN: "the set's own picture", AUTOMATIC: "automatic"}.get(str(meaning), f"input {meaning}")


def _positions(facts: Facts) -> Iterator[str]:
    if facts.switch is None:
        return
    told = [f"{name} is {meant(meaning)}" for name, meaning in facts.positions]
    yield f"{facts.switch.ref} has these positions: {', '.join(told)}. Label them so on the panel."
    if any(name in ("a", "b") for name, _ in facts.positions):
        yield (
            "The letters name terminals. The lever of a toggle switch usually points away from the terminals it joins."
        )


def _kept(facts: Facts) -> Iterator[str]:
    back = [line for line in ("sync", *facts.sides) if facts.gives_back(line)]
    if back:
        jacks = listed([*dict.fromkeys(filter(None, (said(facts.tv.sync.shares), said(_audio_jacks(facts)))))])
        work = f": it shows and plays again what is plugged into {jacks}" if jacks else ""
        yield f"When no input is chosen the board gives {listed(back)} back to the set{work}."
    if facts.tv.sync.arrangement == "dedicated" and facts.tv.sync.shares:
        yield f"{begun(said(facts.tv.sync.shares))} is given up: nothing may be plugged in there any more."
    native = facts.tv.blanking.native
    if not facts.shared:
        yield {
            "grounded": "When native the blanking pin is held at ground, as the set had it.",
            "open": "When native the board lets go of the blanking pin, as the set had it.",
            "driven": "When native the set's own wire drives the blanking pin again.",
        }[native]
    else:
        yield "Menus of the set keep their way to the colour pins and to the blanking pin in every state."


def _audio_jacks(facts: Facts) -> str:
    return facts.tv.audio.shares if facts.tv.audio is not None and facts.sides else ""


# What the set does, state by state.

SHOWN = {"set": "the set's own", "nothing": "nothing", "display": "the set's own display"}


def behaviours(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Behaviour, ...]:
    """Each distinct outcome of the switching in words a person can compare with a screen."""
    facts = Facts(circuit, variant, findings, figures, states)
    return tuple(_behaviour(facts, n, outcome) for n, outcome in enumerate(states, 1))


def _behaviour(facts: Facts, number: int, outcome: Outcome) -> Behaviour:
    wanted = begun(outcome.wanted.replace("input-", "input "))
    off = outcome.rail == "off"
    energised = tuple(ref for ref, at in outcome.relays if at == "on")
    relays = f"{listed(energised)} energised" if energised else "no relay energised" if outcome.relays else ""
    sync = f"sync from {_words(dict(outcome.reaches)['sync'])}"
    return Behaviour(
        f"state-{number}",
        f"{wanted}, rail {outcome.rail}",
        begun(_plainly(outcome.condition)),
        SILENT if off else _shows(facts, outcome),
        SILENT if off else _sounds(facts, outcome),
        begun("; ".join(filter(None, (f"blanking {_blanking(outcome.blanking)}", sync, relays)))),
        energised,
    )


SILENT = "nothing: the set is off or in standby"


def _plainly(condition: str) -> str:
    """A condition of the walk in the words of the sheet."""
    text = condition.replace("open or at its off limit", "off").replace("at its on limit or at 12 V", "on")
    text = re.sub(r"(?:input-([1-8]) )?status-(8|11|16)", _contact, text)
    return text.replace("switch S1", "S1")


def _contact(match: re.Match[str]) -> str:
    return f"status contact {match[2]}{f' of input {match[1]}' if match[1] else ''}"


def _sounds(facts: Facts, outcome: Outcome) -> str:
    """What is heard; of a landing that an input never leaves only where the set listens to it."""
    sources = {dict(outcome.reaches).get(side, "set") for side in facts.sides}
    if sources <= {"set"}:
        return "the set's own sound"
    source = next(iter(sources - {"set"}))
    if source == "nothing":
        return "no sound: this input brings none"
    if outcome.wanted == "native":
        return f"the set's own sound; that of {_words(source)} where the set is switched to its landing"
    return f"the sound of {_words(source)}"


def _shows(facts: Facts, outcome: Outcome) -> str:
    if outcome.undecided:
        return f"not decided: {outcome.undecided}"
    if outcome.wanted != "native":
        over = ", menus of the set over it" if facts.shared else ""
        return f"the picture of {_words(outcome.wanted)}{over}"
    if outcome.blanking == "driven" and facts.shared:
        return "the set's own picture with a menu"
    return native(facts, dict(outcome.reaches))


def _words(source: str) -> str:
    return SHOWN.get(source, source.replace("input-", "input "))


def _blanking(level: str) -> str:
    return {"set": "driven by the set", "ground": "held at ground", "open": "let go"}.get(level, level)
