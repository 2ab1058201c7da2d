"""What can go wrong with the shape of the picture: streaks, shift, hum, menus, a foreign line rate."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import Facts, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import SERVICE
from rasterport.records import COLOURS
from rasterport.standards.bench_practice import JOINED_OHM, PRACTICE
from rasterport.units import written


def shape(facts: Facts) -> Iterator[Fault]:
    """Faults that change with the place on the screen or with time."""
    yield from _coupling(facts)
    yield from _black(facts)
    yield from _shift(facts)
    yield _bars(facts)
    yield _ghosts(facts)
    yield from _menus(facts)
    yield from _double_scan(facts)


def _bars(facts: Facts) -> Fault:
    return Fault(
        "hum-bars",
        "Hum bars drift through the picture",
        "One or two broad dark bars move slowly up or down; straight lines sway.",
        "A ground loop through the aerial lead or the mains earth, or a ground that was taken far from the jungle IC.",
        "Pull the aerial lead, then every other lead of the source, one after another. Then dead "
        f"set, ohmmeter: {facts.end('ground')} to {facts.at('ground')}.",
        f"The bars go with one lead; below {written(JOINED_OHM, 'ohm')} with the ohmmeter.",
        "Break the loop at the aerial with an isolator made for that, or move the grounds to the jungle IC. Never take "
        "the protective earth off.",
        PRACTICE,
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
    droop = facts.figure("droop", "green") or facts.figure("keyed-droop", "green")
    settling = facts.figure("settling", "green") or facts.figure("keyed-settling", "green")
    small = f"{facts.span(figure)}; droop of white over a line {facts.span(droop)}" if droop else facts.span(figure)
    large = f"{facts.span(figure)}; after a cut black settles in {facts.span(settling)}" if settling else small
    fit = "Fit the value of the parts list" if caps else "Fit the value that the file says"
    measure = f"Dead set, capacitor lifted at one end, capacitance meter: {where}."
    yield Fault(
        "coupling-small",
        "A coupling capacitor is too small",
        "White fields grow darker from left to right; a bright part leaves a streak to its right.",
        "A capacitor of a wrong value, or one that is leaky or cracked.",
        measure,
        small,
        f"{fit}, all three colours alike.",
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
        f"{fit}, all three colours alike. Larger is not better here.",
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
        "Try another source first. Make a small error up with the user's brightness.",
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
        "On the screen, a crosshatch: how far its middle line stands from the middle, as a share of the whole width.",
        f"{facts.span(share)} of the width, positive to the left{several}; in time {facts.span(seconds)}. What the "
        "source adds comes on top.",
        f"Move it at the source first. Else with the set's horizontal position: its own inputs move with it. {SERVICE}",
        "from memory: luminance delay of sets",
    )


def _ghosts(facts: Facts) -> Fault:
    figure = next(iter(facts.under("crosstalk")), None)
    expect = "no coloured shadow at an edge of one colour"
    if figure is not None:
        expect += f"; {figure.title}: {facts.span(figure)}"
    lead = facts.tv.rgb
    return Fault(
        "colours-mix",
        "Colours spill into each other, edges are soft",
        "An edge in one colour leaves a faint edge in another; fine detail is grey.",
        "The wires to the jungle IC are longer or closer together than the file says "
        f"({written(lead.lead_length, 'm')}, {lead.lead_kind}).",
        "On the screen, bars of full colour beside black; then the wires from "
        f"{listed([facts.end(colour) for colour in COLOURS])}.",
        expect,
        "Shorten the wires and lay them apart; screens are joined at the board only."
        if lead.lead_kind == "coax"
        else "Shorten the wires and lay them apart, or take coaxial wire with its screen joined at the board only.",
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
