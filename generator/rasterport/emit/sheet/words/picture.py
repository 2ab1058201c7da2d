"""The first picture: which one to feed, in which order, what should be seen, and what to adjust.

Test pictures are terms of the trade: white full field, bars of 75 %, grey scale, crosshatch.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.card import reach
from rasterport.emit.sheet.words.facts import OWN, Facts, begun, inputs_words, listed, said
from rasterport.emit.sheet.words.faults_picture import make_up
from rasterport.emit.sheet.words.kinds import Step
from rasterport.emit.sheet.words.safety import SERVICE, first_plug, leakage_again
from rasterport.emit.sheet.words.screen import PRIMARIES
from rasterport.records import COLOURS, Circuit, Figure, Finding, Outcome
from rasterport.standards.bench_practice import PRACTICE
from rasterport.standards.bt470 import LINE_STANDARDS
from rasterport.variant.models import Variant


def picture(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Step, ...]:
    """The steps in their order: the set alone, then each input, then what is adjusted; the leakage test closes them."""
    facts = Facts(circuit, variant, findings, figures, states)
    return (
        _alone(facts),
        *_menus_alone(facts),
        _source(facts),
        first_plug(facts),
        _white(facts),
        _bars(facts),
        _grey(facts),
        _cuts(facts),
        _centre(facts),
        *_sound(facts),
        *_menus_over(facts),
        *_others(facts),
        _back(facts),
        leakage_again(facts),
    )


def _alone(facts: Facts) -> Step:
    at = facts.at_position(OWN)
    back = [line for line in ("sync", *facts.sides) if facts.gives_back(line)]
    jacks = ""
    if back and facts.tv.sync.shares:
        jacks = f", and one at {said(facts.tv.sync.shares)} too"
    return Step(
        "set-alone",
        "The set by itself",
        f"nothing in the sockets of the board; a channel of the tuner{jacks}",
        f"Switch the set on{f', {at}' if at else ''}.",
        "Picture and sound as before the work, and no trace of RGB.",
        _apart(facts),
        PRACTICE,
        ("blanking-stuck", *(["sync-parallel"] if back else [])),
        facts.refs("panel/switch"),
    )


def _apart(facts: Facts) -> str:
    """Whether the set without the board tells anything."""
    if not facts.returned:
        return "If not, switch off, take the board's plug or wires off, and try again: that tells what is at fault."
    return (
        "If not, switch off and take the readings of the native state again. Taking the board's plug or wires off "
        f"tells nothing here: only the board gives the set back {listed(facts.returned)}."
    )


def _menus_alone(facts: Facts) -> Iterator[Step]:
    if facts.shared:
        yield Step(
            "menus-native",
            "Menus over the set's own picture",
            "a channel of the tuner, a menu or the volume bar open",
            "Open a menu of the set.",
            "Menus in all their colours, nearly as bright as before the work, with clean edges.",
            "A missing colour is a line of the display that is off.",
            PRACTICE,
            ("menus-wrong",),
        )


def _source(facts: Facts) -> Step:
    rates = [f"{standard.name}" for name, standard in LINE_STANDARDS.items() if facts.tv.lines in (name, "both")]
    return Step(
        "source",
        "The source, before it is plugged in",
        f"15 kHz, {listed(rates, 'or')}",
        "Set the source up on a set or a monitor that is known to be good. Look at its lead: the wiring, and what is "
        "on the sync contact.",
        "A steady picture there.",
        "Never look for the right setting on this set: a foreign line rate may damage it.",
        PRACTICE,
        ("double-scan",) if facts.inputs_with("de-15") else (),
        facts.socket_refs(1),
    )


def _white(facts: Facts) -> Step:
    mismatch = facts.figure("mismatch", "red, green, blue")
    differ = f"{figure_text(mismatch.high, mismatch.unit)} at most" if mismatch else ""
    bound = f"By its parts the colours may differ by {differ}. " if differ else ""
    short = make_up(facts)
    dim = (
        f" It is {short} darker than the set's own white, by design: turn contrast up until both look alike."
        if short
        else ""
    )
    trim = [p.ref for p in facts.ending("trimmer") if "input-1/" in p.role]
    helps = f"{listed(trim)} make the three colours alike; turn each by a hair. " if trim else ""
    return Step(
        "white",
        "White",
        "a white full field",
        f"{reach(facts, 1)}",
        f"An even white without a tint, edges straight, no streaks, no bars.{dim}",
        f"{bound}{helps}A tint that the set's own picture does not have is the board's; one in both is the set's.",
        PRACTICE,
        ("ground-missing", "blanking-off", "sync-missing", "colour-missing", "colour-strong"),
        tuple(trim),
    )


def _bars(facts: Facts) -> Step:
    return Step(
        "bars",
        "Colours",
        "bars of 75 %",
        "Compare the order of the bars with the source's own screen.",
        f"{begun(', '.join(PRIMARIES))}, from left to right, with clean edges.",
        "Colour and tint of the user's menu do nothing to RGB on most sets.",
        PRACTICE,
        ("colours-crossed", "colours-mix"),
    )


def _grey(facts: Facts) -> Step:
    return Step(
        "grey",
        "Greys",
        "a grey scale",
        "Set brightness so that black just stays black, then contrast so that the two brightest steps differ.",
        "Every step can be told from the next, and none has a tint.",
        f"What contrast and brightness cannot reach is a service adjustment. {SERVICE} The set's own inputs change "
        "with it.",
        PRACTICE,
        ("dim", *_doubled(facts), "termination-missing"),
    )


def _doubled(facts: Facts) -> tuple[str, ...]:
    in_set = not facts.on_contact and not facts.tv.rgb.termination_fitted
    return ("termination-doubled", "termination-in-set") if in_set else ("termination-doubled",)


def _cuts(facts: Facts) -> Step:
    settling = facts.figure("settling", "green") or facts.figure("keyed-settling", "green")
    within = f" within {figure_text(settling.high, settling.unit)}" if settling else " at once"
    faults = ("coupling-small", "coupling-large") if facts.figure("coupling", "green") else ()
    return Step(
        "cuts",
        "Cuts",
        "a white full field and a black one in turn, or a film with hard cuts",
        "Look at black just after each cut.",
        f"Black is black again{within}: nothing creeps, nothing pumps, white has no slope from left to right.",
        "What creeps is a capacitor in front of the pins.",
        "charge of a capacitor",
        faults,
        facts.colour_refs("coupling"),
    )


def _centre(facts: Facts) -> Step:
    share = facts.figure("shift-share", "picture")
    expect = f"Expect {facts.span(share)} of the width, positive to the left" if share else "It may stand off a little"
    return Step(
        "centre",
        "Centre and shape",
        "a crosshatch",
        "Compare the middle of the crosshatch with that of the set's own picture.",
        f"Straight lines, square cells. {expect}, beside what the source adds.",
        "Move it at the source first. What is left is for the set's horizontal position: choose a middle that serves "
        f"both pictures. {SERVICE}",
        "from memory: luminance delay of sets",
        ("shifted",) if share else (),
    )


def _sound(facts: Facts) -> Iterator[Step]:
    if not facts.sides:
        return
    loss = facts.figure("audio-loss", "left")
    quiet = f" The board costs {figure_text(loss.high, loss.unit)} at most." if loss else ""
    two = len(facts.sides) > 1
    deaf = tuple(n for n in facts.inputs if not facts.sounds(n))
    mute = f" {begun(inputs_words(deaf))} bring{'' if len(deaf) > 1 else 's'} no sound." if deaf else ""
    yield Step(
        "sound",
        "Sound",
        "a tone on the left alone, then on the right alone" if two else "a tone on the left, then on the right",
        "Listen at a low volume first.",
        f"{'Each side from its loudspeaker' if two else 'Both in the one channel of the set'}, no hum, no buzz.{mute}",
        f"About as loud as the set's own inputs.{quiet}",
        PRACTICE,
        ("sound-missing", "sound-hum", "sound-level", *(["sides-crossed"] if two else [])),
    )


def _menus_over(facts: Facts) -> Iterator[Step]:
    if not facts.shared:
        return
    opaque = facts.variant.board.opaque_menus
    yield Step(
        "menus-over",
        "Menus over an input",
        "a grey scale, a menu of the set open",
        "Open a menu of the set while the input is shown.",
        "Menus hide the picture under them." if opaque else "Menus are see-through: the picture shines through them.",
        "Nothing: that is how this board joins them.",
        "nodal analysis of the finished parts and nets",
        ("menus-wrong",),
        facts.refs(*(f"{colour}/from-display" for colour in COLOURS)),
    )


def _others(facts: Facts) -> Iterator[Step]:
    for n in facts.inputs[1:]:
        short = make_up(facts, n)
        dim = f" White is {short} darker than the set's own, by design." if short else ""
        share = facts.figure("shift-share", "picture", f"input-{n}")
        left = f" Off the middle by {facts.span(share)} of the width, positive to the left." if share else ""
        yield Step(
            f"input-{n}",
            f"Input {n}",
            "a white full field, then bars of 75 %, then a crosshatch",
            reach(facts, n),
            f"The same as with input 1, and nothing of any other input.{dim}{left}",
            "Adjust nothing in the set for one input alone: the others change with it.",
            PRACTICE,
            ("colour-missing", "sync-missing"),
            facts.socket_refs(n),
        )


def _back(facts: Facts) -> Step:
    at = facts.at_position(OWN)
    how = f"Put {at}." if at else "Switch every source off."
    return Step(
        "back",
        "Back to the set's own picture",
        "a channel of the tuner",
        f"{how} Then choose the input again, and switch the set off and on while its source stays on.",
        "The set's own picture and sound come back. The set starts as before, with a source on too.",
        "If not, do not close the set.",
        PRACTICE,
        ("blanking-stuck",),
        facts.refs("panel/switch"),
    )
