"""What can go wrong with the level and the order of the colours; each with the points of this board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import Facts, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import DEAD, SERVICE
from rasterport.emit.sheet.words.screen import exchanges, without
from rasterport.records import COLOURS
from rasterport.standards.bench_practice import DOUBLED_DB, JOINED_OHM, PRACTICE, UNTERMINATED_DB, sag_s
from rasterport.standards.bt470 import LINE_STANDARDS
from rasterport.standards.interface_levels import VIDEO_IMPEDANCE_OHM
from rasterport.units import written

LEAST_DB = 0.5
"""A change of brightness below this is not seen.  Judgement, stated; design's limit of level error."""
FULL = "a white full field"
PAIRS = f"below {written(JOINED_OHM, 'ohm')} for the pairs named and for no other"
"""What a meter finds of wires that are not exchanged; across, it may read through parts of board and set."""
LANDINGS = f"the {listed(COLOURS)} landings in the set"


def picture(facts: Facts) -> Iterator[Fault]:
    """Faults of the colours, ground first."""
    yield _ground(facts)
    yield _doubled(facts)
    yield from _in_set(facts)
    yield _missing(facts)
    yield _contrast(facts)
    yield _one_missing(facts)
    yield _one_strong(facts)
    yield _crossed(facts)
    yield from _wiring(facts)


def terminations(facts: Facts, inputs: Sequence[int] = ()) -> tuple[str, ...]:
    """References of every part of the terminations of the colours, of all inputs where none is named."""
    names = ("termination", "upper", "lower", "trimmer", "under")
    numbers = inputs or facts.inputs
    return facts.refs(*(f"input-{n}/{colour}/{name}" for n in numbers for colour in COLOURS for name in names))


def of_input(facts: Facts) -> str:
    """The terminations of the first input by name, and that the others have theirs."""
    named = listed(terminations(facts, (1,)))
    return f"{named} of input 1" if len(facts.inputs) > 1 else named


def at_contacts(facts: Facts) -> str:
    """Each colour contact of the first input, against its return."""
    return f"{facts.colour_contacts(1)}, each against {facts.return_of(1)}"


def load(facts: Facts) -> str:
    """What a meter reads at a colour contact."""
    figure = facts.figure("load", "red")
    if figure is None or facts.shared:  # a dead set's relays have let go, and its display is no source
        return f"near {written(VIDEO_IMPEDANCE_OHM, 'ohm')}, the three colours alike"
    return f"{facts.span(figure)}, the three colours alike"


def others(facts: Facts) -> str:
    """That the other inputs are tried in the same way."""
    return f" The same for {inputs_words(facts.inputs[1:])}." if len(facts.inputs) > 1 else ""


def _ground(facts: Facts) -> Fault:
    return Fault(
        "ground-missing",
        "A ground wire is missing",
        "The picture is torn or pale, colours run into each other, sound buzzes; all of it changes when the plug is "
        "touched. The source may be damaged while current looks for another way.",
        "A ground wire between board and jungle IC is off, or returns of the lead are not joined.",
        f"{DEAD}: {facts.ground} to {facts.at('ground')}, then to {facts.return_of(1)}.",
        f"below {written(JOINED_OHM, 'ohm')} both times",
        "Pull the plug of the source at once. With one ground on, a meter finds nothing of another that is off: look "
        "at every one of them, and pull at it. Solder them at the jungle IC, then try again.",
        PRACTICE,
        facts.refs("test/ground"),
    )


def _doubled(facts: Facts) -> Fault:
    """A second 75 ohm that a meter finds at the contact."""
    in_set = facts.on_contact and not facts.tv.rgb.termination_fitted
    places = ["sits in the lead or its adapter", "was fitted twice"]
    return Fault(
        "termination-doubled",
        "A termination is there twice",
        f"The picture is dim by {written(DOUBLED_DB, 'dB')}, colours and contrast alike; everything else is right.",
        f"A second resistor of 75 ohm {listed([*places, *(['stays in the set'] if in_set else [])], 'or')}.",
        f"{DEAD}: {at_contacts(facts)}, nothing plugged in, then with the lead in, its other end free.{others(facts)}",
        f"{load(facts)}, both times; half of that where it is doubled",
        f"Half only with the lead in: another lead. Half without it: {_take_out(facts, in_set)}.",
        PRACTICE,
        terminations(facts),
    )


def _take_out(facts: Facts, in_set: bool) -> str:
    if in_set:
        kept = f"; those of the board stay ({of_input(facts)})" if terminations(facts) else ""
        return f"once more with {facts.apart}, and what is right then wants the set's resistor taken out{kept}"
    return "compare the resistors with the parts list"


def _in_set(facts: Facts) -> Iterator[Fault]:
    """A 75 ohm of the set behind a capacitor or a resistor of the board, where no contact shows it to a meter."""
    if facts.on_contact or facts.tv.rgb.termination_fitted:
        return
    yield Fault(
        "termination-in-set",
        "A termination of the set stays at the colour landings",
        _sags(facts),
        f"A resistor of 75 ohm of the set stands behind {_between(facts)} of the board. At the contacts of the "
        "socket a meter does not find it.",
        f"{DEAD}, {facts.apart}: {LANDINGS}, each against {facts.at('ground')}.",
        f"no connection, or far more than {written(VIDEO_IMPEDANCE_OHM, 'ohm')}, the three colours alike",
        "Take the set's resistors out; those of the board stay.",
        "divider of 75 ohm, charge of a capacitor",
        facts.colour_refs("coupling"),
    )


def _between(facts: Facts) -> str:
    caps = facts.colour_refs("coupling")
    return f"the capacitors ({listed(caps)})" if caps else "resistors or switches"


def _sags(facts: Facts) -> str:
    """How a second 75 ohm at the landings looks."""
    more = " or more" if facts.shared or facts.variant.selector.path == "cmos" else ""
    figure = facts.figure("coupling", "green")
    if not facts.colour_refs("coupling") or figure is None:
        by = (
            f"by far more than {written(DOUBLED_DB, 'dB')}" if facts.shared else f"by {written(DOUBLED_DB, 'dB')}{more}"
        )
        return f"The picture is dim {by}, colours and contrast alike."
    line = max(standard.active_line_s for standard in LINE_STANDARDS.values())
    within = (
        "a line, towards black at its right end" if sag_s(figure.high) < line else "a field, towards black at the foot"
    )
    return (
        f"White begins {written(DOUBLED_DB, 'dB')}{more} low and sinks within {within}, and what follows a bright part "
        "is too dark."
    )


def _missing(facts: Facts) -> Fault:
    parts = terminations(facts)
    return Fault(
        "termination-missing",
        "A termination is missing",
        f"Too bright by up to {written(UNTERMINATED_DB, 'dB')}: white areas bleed. One colour alone tints the whole "
        "picture.",
        "A resistor of the termination is open or not soldered.",
        f"{DEAD}: {at_contacts(facts)}, nothing plugged in.{others(facts)}",
        f"{load(facts)}; far more, or no connection, where one is missing",
        f"Solder or replace the resistor of that colour: one of {of_input(facts)}."
        if parts
        else "The set's own resistor is the termination: look at it, and at the wire of that colour.",
        PRACTICE,
        parts,
    )


def make_up(facts: Facts, index: int = 1) -> str:
    """How much darker than the set's own picture white is, "" where nobody sees it."""
    for key in ("picture-contrast", "contrast", "brightness"):
        figure = facts.figure(key, "green", f"input-{index}")
        if figure is not None:
            short = figure.nominal if key != "brightness" else -figure.nominal
            return figure_text(short, figure.unit) if short >= LEAST_DB else ""
    return ""


def _contrast(facts: Facts) -> Fault:
    short = make_up(facts)
    level = facts.figure("level", "green")
    found = f"{facts.span(level)} of white" if level else "white as the figures say"
    return Fault(
        "dim",
        "RGB is darker or brighter than the set's own picture",
        "Everything is sharp and in the right colours, but white differs from that of the set's own inputs.",
        f"White is short by {short} by design: the pins want more than a resistor can give, or menus take a share."
        if short
        else "The source is not at its nominal level, or the set's contrast was set for its own inputs.",
        f"Oscilloscope, {FULL}, black to white without sync: {facts.probe('green')} against {facts.ground}.",
        found,
        f"Make it up with the user's contrast first. Only then with the set's service adjustment. {SERVICE}",
        PRACTICE,
        facts.refs("test/green"),
    )


def _one_missing(facts: Facts) -> Fault:
    caps = facts.colour_refs("coupling")
    through = f", or a capacitor ({listed(caps)}) is cracked" if caps else ""
    points = ", ".join(f"{facts.contact(1, c)} to {facts.end(c)}" for c in COLOURS)
    level = facts.figure("level", "green")
    # A divider of the board takes its share between the contact and the landing.
    height = f"{facts.span(level)} from black to white at the board's ends and in the set, " if level else ""
    return Fault(
        "colour-missing",
        "One colour is missing",
        f"With {FULL} the screen is " + ", ".join(f"{without(colour)} without {colour}" for colour in COLOURS) + ".",
        f"A joint or a wire of that colour is open, or shorted to ground, between socket and jungle IC{through}.",
        f"Oscilloscope, {FULL}: {points}; then {LANDINGS}.",
        f"{height}the three colours alike; at the contacts no less",
        "Follow the colour from the socket until it is gone; solder the joint in front of that point.",
        PRACTICE,
        caps,
    )


def _one_strong(facts: Facts) -> Fault:
    mismatch = facts.figure("mismatch", "red, green, blue")
    bound = f"; parts alone may differ by {figure_text(mismatch.high, mismatch.unit)}" if mismatch else ""
    parts = terminations(facts)
    return Fault(
        "colour-strong",
        "One colour is too strong or too weak",
        "Grey and white have a tint with RGB and none with the set's own picture.",
        "A wrong resistor in one termination, or a joint that is not one.",
        f"{DEAD}: {at_contacts(facts)}, nothing plugged in.{others(facts)}",
        f"{load(facts)}{bound}",
        "Replace the part that differs. A slight tint is for the set's white adjustment; look at the set's own picture "
        f"afterwards. {SERVICE}",
        PRACTICE,
        parts,
    )


def _crossed(facts: Facts) -> Fault:
    return Fault(
        "colours-crossed",
        "Two colours are exchanged",
        f"White is white, and two pairs of bars change places. {exchanges()}",
        "Two wires between board and jungle IC, or two contacts of the socket, are exchanged: those of the pair that "
        "fits.",
        f"{DEAD}: " + "; ".join(f"{facts.end(c)} to {facts.at(c)}" for c in COLOURS) + ".",
        PAIRS,
        "Exchange the two wires at the board.",
        PRACTICE,
    )


LEADS = {
    "european-21": (
        "European", "Japanese",
        "Only red is there and the picture rolls: blue comes where sync should. Right sound and sync of the source are "
        "shorted, which it may not bear for long.",
        "both joined to contact 13; neither is in a Japanese lead",
    ),
    "japanese-21": (
        "Japanese", "European",
        "Red is there, green is dark, blue shows a blurred picture, and all of it rolls.",
        "neither joined to contact 13; both are in a European lead",
    ),
}  # fmt: skip
"""Wiring of the socket: its name, the other's, how a lead of the other looks, what tells them apart."""


def _wiring(facts: Facts) -> Iterator[Fault]:
    """The same shell with the other wiring."""
    for key, (ours, other, looks, told) in LEADS.items():
        numbers = facts.inputs_with(key)
        if not numbers:
            continue
        yield Fault(
            f"lead-{ours.lower()}",
            f"A lead of the {other} wiring in {inputs_words(numbers)}",
            looks,
            f"The shell is the same, the wiring is not: {inputs_words(numbers)} have the {ours} wiring."
            if len(numbers) > 1
            else f"The shell is the same, the wiring is not: {inputs_words(numbers)} has the {ours} wiring.",
            "Lead out of the set and joined to its source, which is off, ohmmeter at the free plug: contact 5, then "
            "contact 9, against contact 13.",
            told,
            f"Take the lead out. Use a lead or an adapter of the {ours} wiring, and label the socket.",
            "EN 50049-1; EIAJ TTC-0003",
            tuple(ref for m in numbers for ref in facts.socket_refs(m)),
        )
