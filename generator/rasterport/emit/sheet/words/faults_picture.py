"""What can go wrong with the level and the order of the colours; each with the points of this board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import Facts, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import SERVICE
from rasterport.records import COLOURS
from rasterport.standards.bench_practice import DOUBLED_DB, JOINED_OHM, PRACTICE, UNTERMINATED_DB
from rasterport.standards.interface_levels import VIDEO_IMPEDANCE_OHM
from rasterport.units import written

LEAST_DB = 0.5
"""A change of brightness below this is not seen.  Judgement, stated; design's limit of level error."""
DEAD = "Set unplugged and discharged, nothing in the socket, ohmmeter"
FULL = "a white full field"


def picture(facts: Facts) -> Iterator[Fault]:
    """Faults of the colours, ground first."""
    yield _ground(facts)
    yield _doubled(facts)
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
        f"Set unplugged and discharged, ohmmeter: {facts.ground} to {facts.at('ground')}, then to "
        f"{facts.return_of(1)}.",
        f"below {written(JOINED_OHM, 'ohm')} both times, the meter's own leads taken off",
        "Pull the plug of the source at once. Solder the grounds first, all of them, at the jungle IC. Then try again.",
        PRACTICE,
        facts.refs("test/ground"),
    )


def _doubled(facts: Facts) -> Fault:
    parts = terminations(facts)
    return Fault(
        "termination-doubled",
        "A termination is there twice",
        f"The picture is dim by {written(DOUBLED_DB, 'dB')}, colours and contrast alike; everything else is right.",
        "A second resistor of 75 ohm stays in the set or sits in the lead or its adapter.",
        f"{DEAD}: {at_contacts(facts)}.{others(facts)}",
        f"{load(facts)}; half of that where it is doubled",
        "Unplug the lead and read again. If it is still half, take the set's resistor out; those of the board stay "
        f"({of_input(facts)}).",
        PRACTICE,
        parts,
    )


def _missing(facts: Facts) -> Fault:
    parts = terminations(facts)
    return Fault(
        "termination-missing",
        "A termination is missing",
        f"Too bright by up to {written(UNTERMINATED_DB, 'dB')}: white areas bleed, fine shadows stand right of every "
        "edge. One colour alone tints the whole picture.",
        "A resistor of the termination is open or not soldered.",
        f"{DEAD}: {at_contacts(facts)}.{others(facts)}",
        f"{load(facts)}; far more, or no connection, where one is missing",
        f"Solder or replace the resistor of that colour: one of {of_input(facts)}.",
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
    return Fault(
        "colour-missing",
        "One colour is missing",
        f"With {FULL} the screen is cyan where red is missing, magenta where green is, yellow where blue is.",
        f"A joint or a wire of that colour is open, or shorted to ground, between socket and jungle IC{through}.",
        f"Oscilloscope, {FULL}: {points}; then {', '.join(facts.at(c) for c in COLOURS)}.",
        "the same height of white at both ends, and at all three colours",
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
        f"{DEAD}: {at_contacts(facts)}.{others(facts)}",
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
        "Bars come in the wrong order: faces are blue, grass is red. White is white.",
        "Two wires between board and jungle IC, or two contacts of the socket, are exchanged.",
        "Set unplugged and discharged, ohmmeter: "
        + "; ".join(f"{facts.end(c)} to {facts.at(c)}" for c in COLOURS)
        + ".",
        f"below {written(JOINED_OHM, 'ohm')} for each pair named, no connection across",
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
