"""What can go wrong with sound; nothing of it on a board without."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import Facts, begun, inputs_words, listed, said
from rasterport.emit.sheet.words.faults_picture import PAIRS
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import DEAD
from rasterport.standards.bench_practice import JOINED_OHM, PRACTICE
from rasterport.units import written


def sound(facts: Facts) -> Iterator[Fault]:
    """Faults of sound: none, one side, too quiet, hum, a plug too many."""
    if not facts.sides:
        return
    yield _none(facts)
    yield from _muted(facts)
    if len(facts.sides) > 1:
        yield _sides(facts)
    yield _level(facts)
    yield _hum(facts)
    yield from _plug(facts)


def _index(facts: Facts) -> int:
    """The first input that brings sound."""
    return next(n for n in facts.inputs if facts.sounds(n))


def _ends(facts: Facts) -> str:
    return "; ".join(f"{facts.end(side)} to {facts.at(side)}" for side in facts.sides)


def _none(facts: Facts) -> Fault:
    n = _index(facts)
    caps = tuple(p.ref for p in facts.ending("coupling") if "/audio-" in p.role)
    deaf = tuple(m for m in facts.inputs if not facts.sounds(m))
    padded = any(p.role.endswith("/shunt") and "/audio-" in p.role for p in facts.circuit.parts)
    less = ", less at the second by the resistors of the board" if padded else ", nearly the same"
    silent = f" {begun(inputs_words(deaf))} bring{'s' if len(deaf) == 1 else ''} none: that is meant." if deaf else ""
    return Fault(
        "sound-missing",
        "There is no sound",
        f"The picture is right and nothing is heard.{silent}",
        "A joint of sound is open, the set is muted, or it listens to another of its inputs.",
        f"{DEAD}: {_ends(facts)}. Then with a source that plays a tone, multimeter, alternating voltage: "
        f"{facts.contact(n, 'audio-left')} against {facts.return_of(n)}, then {facts.end('left')} against the same.",
        f"below {written(JOINED_OHM, 'ohm')}; then a voltage at both{less}",
        "Turn the volume up, take mute off. Solder the joint in front of which the tone is gone.",
        PRACTICE,
        caps,
    )


def _muted(facts: Facts) -> Iterator[Fault]:
    """The set mutes by itself."""
    audio, sync = facts.tv.audio, facts.tv.sync
    if audio is None:
        return
    why = []
    if audio.needs_sync:
        why.append("the set mutes while it sees no sync at the input that is selected")
    if audio.mutes_without:
        why.append(f"without sound at this landing the set does this: {said(audio.mutes_without)}")
    if sync.mutes_without:
        why.append(f"without sync the set does this: {said(sync.mutes_without)}")
    if not why:
        return
    select = said(audio.select or sync.select)
    yield Fault(
        "sound-muted",
        "The set mutes the sound itself",
        "The picture is right; sound comes for a moment, or never, or only when something plays at the set's own jack.",
        " ".join(f"{begun(reason)}." for reason in why),
        f"Oscilloscope: {facts.probe('sync')} against {facts.ground}; on the screen: what the set says that it shows.",
        f"sync at the landing{f', and {select} on the screen' if select else ''}",
        f"Select {select} on the set for both." if select else "Select the input that sync and sound belong to.",
        "set.audio.needs_sync, set.audio.mutes_without, set.sync.mutes_without",
        facts.refs("test/sync"),
    )


def _sides(facts: Facts) -> Fault:
    return Fault(
        "sides-crossed",
        "Left and right are exchanged, or one is missing",
        "What should be heard on the left comes from the right, or one loudspeaker is silent.",
        "Two wires of sound are exchanged, or one is open.",
        f"{DEAD}: {_ends(facts)}.",
        PAIRS,
        "Exchange the two wires at the board, or solder the open one.",
        PRACTICE,
    )


def _level(facts: Facts) -> Fault:
    n = _index(facts)
    level, loss = facts.figure("audio-level", "left", f"input-{n}"), facts.figure("audio-loss", "left", f"input-{n}")
    expect = f"at most {figure_text(level.high, level.unit)} from the loudest source" if level else "as the figures say"
    if loss is not None:
        expect += f"; by design {facts.span(loss)} below the loudest that could be"
    pads = tuple(p.ref for p in facts.ending("series", "shunt", "sum") if p.role.startswith(f"input-{n}/audio-"))
    return Fault(
        "sound-level",
        "Sound is too quiet, too loud or distorted",
        "Sound of the input is much louder or quieter than that of the set's own inputs, or rough at loud passages.",
        f"The source is louder or quieter than the file says, or a resistor in front of the landing is wrong (of input "
        f"{n}: {listed(pads)}).",
        f"A tone at full level, multimeter, alternating voltage: {facts.end('left')} against {facts.ground}.",
        expect,
        "Turn the source down first. Else compare the resistors with the parts list.",
        PRACTICE,
        pads,
    )


def _hum(facts: Facts) -> Fault:
    return Fault(
        "sound-hum",
        "Sound hums or buzzes",
        "A low hum, or a buzz that changes with the picture.",
        "A ground loop through the aerial lead or the mains, the ground of sound taken at the wrong place, or a screen "
        "joined at both ends.",
        "Pull the aerial lead, then every other lead of the source, one after another. Then "
        f"{DEAD.lower()}: {facts.end('ground-3') if facts.lands('ground-3') else facts.end('ground')} to "
        f"{facts.at('ground-3') if facts.lands('ground-3') else facts.at('ground')}.",
        f"The hum goes with one lead; below {written(JOINED_OHM, 'ohm')} with the ohmmeter.",
        "Break the loop at the aerial with an isolator made for that. Join every screen at the board only. Never take "
        "the protective earth off.",
        PRACTICE,
    )


def _plug(facts: Facts) -> Iterator[Fault]:
    for n, finding in enumerate((f for f in facts.graver("F610") if (f.subject, f.state) == ("left", "input-1")), 1):
        yield Fault(
            f"plug-sound{'' if n == 1 else f'-{n}'}",
            "A plug in a jack of the set disturbs sound",
            f"{begun(finding.message)}.",
            "The jack is joined to the sound landing, or its contact opens it.",
            f"Nothing to measure at first: pull every plug out of the set's own jacks. Then {DEAD.lower()}: "
            f"{facts.at('left')} to the centre of the left jack.",
            "The sound of the input alone with every plug out.",
            "Label the jack, or choose an arrangement that takes it off.",
            finding.source,
        )
