"""What can go wrong with the colours: level, tint, streaks, shift; each with the points of this board."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import Facts, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.records import COLOURS
from rasterport.standards.bench_practice import DOUBLED_DB, JOINED_OHM, PRACTICE, UNTERMINATED_DB
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
    yield from _coupling(facts)
    yield from _black(facts)
    yield from _shift(facts)
    yield _ghosts(facts)
    yield from _menus(facts)
    yield from _double_scan(facts)


def terminations(facts: Facts) -> tuple[str, ...]:
    """References of every part of the terminations of the colours."""
    roles = [p.role for p in facts.ending("termination", "termination-upper", "termination-lower")]
    return facts.refs(*(r for r in roles if any(f"/{colour}/" in r for colour in COLOURS)))


def at_contacts(facts: Facts) -> str:
    """Each colour contact of the first input, against its return."""
    points = [facts.contact(1, colour) for colour in COLOURS]
    return f"{listed(points)}, each against {facts.return_of(1)}"


def load(facts: Facts) -> str:
    """What a meter reads at a colour contact."""
    figure = facts.figure("load", "red")
    return f"{facts.span(figure)}, the three colours alike" if figure else "near 75 ohm, the three colours alike"


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
        "Pull the plug of the source at once. Solder the grounds first, both of them, at the jungle IC, then try again.",
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
        f"Unplug the lead and read again. If it is still half, take the set's resistor out; {listed(parts)} stay."
        if parts
        else "Unplug the lead and read again. If it is still half, take one of the two out.",
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
        f"Solder or replace the resistor of that colour: one of {listed(parts)}." if parts else "Solder it.",
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
        "Make it up with the user's contrast first. Only then with the set's service adjustment, and write down the "
        "old setting first.",
        PRACTICE,
        facts.refs("test/green"),
    )


def _one_missing(facts: Facts) -> Fault:
    caps = facts.colour_refs("coupling")
    through = f" and {listed(caps)}" if caps else ""
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
        "Replace the part that differs. A slight tint is for the set's white adjustment: write down the old setting "
        "first, and look at the set's own picture afterwards.",
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


def _coupling(facts: Facts) -> Iterator[Fault]:
    """Capacitors in front of a clamp: too small and too large."""
    figure = facts.figure("coupling", "green")
    if figure is None:
        return
    caps = facts.colour_refs("coupling")
    fitted = facts.tv.rgb.coupling_fitted
    where = f"{listed(caps)} of the board" if caps else "the capacitors that stay in the set"
    if caps and fitted:
        where += " in a row with those that stay in the set"
    droop, settling = facts.figure("droop", "green"), facts.figure("settling", "green")
    small = f"{facts.span(figure)}; droop of white over a line {facts.span(droop)}" if droop else facts.span(figure)
    large = f"{facts.span(figure)}; after a cut black settles in {facts.span(settling)}" if settling else small
    measure = f"Set unplugged and discharged, capacitor lifted at one end, capacitance meter: {where}."
    yield Fault(
        "coupling-small",
        "A coupling capacitor is too small",
        "White fields grow darker from left to right; a bright part leaves a streak to its right.",
        "A capacitor of a wrong value, or one that is leaky or cracked.",
        measure,
        small,
        "Fit the value of the parts list, all three colours alike.",
        "charge of a capacitor",
        caps,
    )
    yield Fault(
        "coupling-large",
        "A coupling capacitor is too large",
        "After a cut from dark to bright the picture is too dark or too bright and creeps back; brightness pumps.",
        "A capacitor of a wrong value: the clamp cannot follow the source.",
        measure,
        large,
        "Fit the value of the parts list, all three colours alike. Larger is not better here.",
        "charge of a capacitor",
        caps,
    )


def _black(facts: Facts) -> Iterator[Fault]:
    figure = facts.figure("black", "green")
    if figure is None:
        return
    level = facts.tv.rgb.black_level
    wanted = (
        f"; the pin wants {written(level, 'V')} within {written(facts.tv.rgb.black_within, 'V')}"
        if level is not None
        else ""
    )
    yield Fault(
        "black-off",
        "Black is grey, or dark parts are lost",
        "Black is lit, or shadows sink into black, with RGB alone; perhaps with a tint.",
        "The pins have no clamp of their own: the source's direct voltage, or what sets black on the board, is off.",
        f"Multimeter, direct voltage, a black full field: {facts.probe('green')} against {facts.ground}.",
        f"{facts.span(figure)}{wanted}",
        "Try another source first. Make a small error up with the set's brightness.",
        PRACTICE,
        facts.refs("test/green"),
    )


def _shift(facts: Facts) -> Iterator[Fault]:
    share, seconds = facts.figure("shift-share", "picture"), facts.figure("shift", "picture")
    if share is None or seconds is None:
        return
    side = "left" if share.nominal >= 0 else "right"
    most = max((f for f in facts.under("shift-share")), key=lambda f: f.high)
    several = ""
    if figure_text(most.high, most.unit) != figure_text(share.high, share.unit):
        several = f"; at most {figure_text(most.high, most.unit)} with {most.state.replace('-', ' ')}"
    yield Fault(
        "shifted",
        f"The picture stands off to the {side}",
        f"With RGB the picture lies to the {side} of where the set's own picture is; one edge is cut, a bar shows at "
        "the other.",
        "RGB does not pass the set's luminance delay. A sync separator delays sync, which adds. The source's own "
        "position adds too, often more.",
        "On the screen, a crosshatch: how far its middle line stands from the middle of the screen, of the whole width.",
        f"{facts.span(share)} of the width, positive to the left ({facts.span(seconds)}){several}, and what the source adds",
        "Move it at the source first. Else with the set's horizontal position, and write down the old setting first: "
        "the set's own inputs move with it.",
        "from memory: luminance delay of sets",
    )


def _ghosts(facts: Facts) -> Fault:
    figure = facts.figure("crosstalk/5MHz", "green") or next(iter(facts.under("crosstalk")), None)
    expect = "no coloured shadow at an edge of one colour"
    if figure is not None:
        expect += f"; crosstalk {facts.span(figure)}"
    lead = facts.tv.rgb
    return Fault(
        "colours-mix",
        "Colours spill into each other, edges are soft",
        "An edge in one colour leaves a faint edge in another; fine detail is grey.",
        f"The wires to the jungle IC are longer or closer together than the file says ({written(lead.lead_length, 'm')}, "
        f"{lead.lead_kind}).",
        f"On the screen, bars of full colour beside black; then the wires from {facts.end('red')}, {facts.end('green')} "
        f"and {facts.end('blue')}.",
        expect,
        "Shorten the wires and lay them apart, or take coaxial wire with its screen joined at the board only.",
        "judgement, stated",
    )


def _menus(facts: Facts) -> Iterator[Fault]:
    """The set's display on the same pins."""
    if not facts.shared:
        return
    parts = facts.refs(*(f"{colour}/from-display" for colour in COLOURS))
    own, over = facts.figure("menu-level", "green", "native"), facts.figure("menu-level", "green")
    expect = f"native {facts.span(own)} of white; over an input {facts.span(over)}" if own and over else "as before"
    ends = ", ".join(facts.end(f"display-{c}") for c in COLOURS)
    yield Fault(
        "menus-wrong",
        "Menus of the set are missing, dim or tinted",
        "The volume bar or the menu lacks a colour, is faint, or does not come at all, with the set's own picture too.",
        "A line of the display is off, or two of them are exchanged.",
        f"Oscilloscope, a menu open, at {ends}; then {facts.probe('green')} against {facts.ground}.",
        expect,
        f"Look for the joint that is open{f' at {listed(parts)}' if parts else ''}. Over an input menus are "
        f"{'opaque' if facts.variant.board.opaque_menus else 'see-through'}: that is meant.",
        "nodal analysis of the finished parts and nets",
        parts,
    )


def _double_scan(facts: Facts) -> Iterator[Fault]:
    numbers = facts.inputs_with("de-15")
    if not numbers:
        return
    yield Fault(
        "double-scan",
        "The source delivers 31 kHz",
        "Two or three narrow pictures side by side, slanting lines, or a dark screen; the set may whistle or tick.",
        "A computer started at its usual line rate. A 15 kHz set must never be driven with it.",
        f"At the source: the mode that is set for {inputs_words(numbers)}. Out of the set: a counter on "
        f"{facts.sync_contact(numbers[0])}.",
        "a line rate of 15 kHz before the plug goes in",
        "Pull the plug at once, and switch the set off. Set the source up on another screen first.",
        "common practice of monitor makers",
        tuple(ref for n in numbers for ref in facts.socket_refs(n)),
    )
