"""Colour lines: termination, level, white point, coupling, lead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rasterport.analysis.lines import mhz
from rasterport.checks.bench import Bench, judge, less_reflected, lowest, note, within
from rasterport.records import COLOURS, Figure, Finding
from rasterport.standards.interface_levels import RGB, SOURCE_TOLERANCE_DB
from rasterport.standards.limits import CROSSTALK_AT_HZ, LIMITS
from rasterport.units import short

CODES = {
    "F201": "return loss at the socket",
    "F202": "level error at the landing",
    "F203": "mismatch of the three colours",
    "F204": "droop over a line, the floor of the coupling capacitor",
    "F205": "following of a cut, the ceiling of the coupling capacitor",
    "F206": "bandwidth",
    "F207": "termination doubled or missing",
    "F208": "contrast to make up at the set",
    "F209": "clipping level of the pin",
    "F210": "settling of the clamp after a change",
    "F211": "crosstalk between neighbouring wires to the pins",
    "F212": "tolerance of the source",
    "F213": "line broken",
    "F214": "tilt over half a field into a termination of the set",
    "F215": "sideways shift of the picture",
}

PRACTICE = "common practice, no source"
FAST_V = 6.0
"""Analog switches that take no more than this are the fast kind [V]."""
PHASE_SHARE_PCT = 2.0
"""A phase control usually moves the picture by more than this part of its width [%]; common practice, no source."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the three colours of every input."""
    for view in bench.views:
        yield from _input(view)


def _input(bench: Bench) -> Iterator[Finding]:
    for colour in COLOURS:
        line = bench.line(colour, colour)
        if line is None:
            text = "the socket has no contact or the board no landing for this colour"
        elif not line.joined:
            text = "nothing leads from the socket to the landing"
        elif line.refused:
            text = f"no signal passes what is no part of a signal path: {line.refused}"
        else:
            yield from _line(bench, colour)
            continue
        yield note("F213", colour, text, "netlist", "error", bench.state)
    yield from _together(bench)


def _line(bench: Bench, colour: str) -> Iterator[Finding]:
    yield _doubled(bench.figure("load", colour))
    worst = lowest(bench.losses(colour))
    text = f"return loss at {worst.key.split('/')[1].replace('MHz', ' MHz')}"
    yield judge("F201", worst, "return_loss_db", text, instead=(text, text + less_reflected(bench)))
    yield from _level(bench, colour)
    faster = '; regulator = "yes" puts the analog switches on 5 V, where they have a third of the resistance'
    text = "-3 dB frequency at the landing"
    slow = any(chip.part.ratings["supply_high_v"] > FAST_V for chip in bench.control.analog)
    yield judge("F206", bench.figure("bandwidth", colour), "bandwidth_hz", "", instead=(text, text + faster * slow))
    if bench.variant.set.rgb.pin_kind == "analog-clamped":
        yield from _coupling(bench, colour)
    for tilt in (f for f in bench.figures.under("field-tilt") if (f.subject, f.state) == (colour, bench.state)):
        yield judge("F214", tilt, "field_tilt_pct", "tilt over half a field")


def _doubled(load: Figure) -> Finding:
    limit = within("load", "least", None, 56.0, "ohm", PRACTICE)
    if load.nominal > 100.0:
        limit = within("load", "most", None, 100.0, "ohm", PRACTICE)
        text = "load at the socket: no termination is left, the level would be up to 6 dB too high"
        return judge("F207", load, limit, text)
    doubled = "load at the socket: two terminations in parallel cost 3.5 dB"
    return judge("F207", load, limit, "", instead=("load at the socket", doubled))


def _level(bench: Bench, colour: str) -> Iterator[Finding]:
    rgb = bench.variant.set.rgb
    reached = bench.figure("level", colour)
    white = f"white {short(reached.nominal)} V at the landing"
    shared = bench.has("picture-error", colour)
    if bench.has("picture-contrast", colour):
        wanted = short(rgb.white_level)
        text = (
            f"white arrives as {short(reached.nominal)} V, the pin wants {wanted} V, and menus on the same pins take "
            "the rest: contrast must make up"
        )
        yield judge("F208", bench.figure("picture-contrast", colour), "contrast_make_up_db", text)
    if bench.has("contrast", colour):
        wanted = short(rgb.white_level)
        text = f"white arrives as {short(reached.nominal)} V, the pin wants {wanted} V: contrast must make up"
        yield judge("F208", bench.figure("contrast", colour), "contrast_make_up_db", text)
    if shared:
        white += ", against what menus on the same pins leave"
    yield judge("F202", bench.figure("picture-error" if shared else "level-error", colour), "level_error_db", white)
    limit = within("clipping", "most", rgb.clipping_level, None, "V", "set.rgb.clipping_level")
    text = f"white of a source that is {SOURCE_TOLERANCE_DB:g} dB high"
    yield judge("F209", bench.figure("level-strongest", colour), limit, text)


def _coupling(bench: Bench, colour: str) -> Iterator[Finding]:
    if not bench.has("coupling", colour):
        yield note(
            "F204",
            colour,
            "no capacitor in front of a pin that is clamped: black is not restored",
            PRACTICE,
            "error",
            bench.state,
        )
        return
    yield judge("F204", bench.figure("droop", colour), "line_droop_pct", "droop of white over a line")
    source = "1: I_clamp t_clamp / C is no less than 0.57 V / 33 ms x line period"
    limit = within("following", "least", None, 1.0, "times", source)
    reached = short(bench.figure("coupling", colour).nominal * 1e9, 3)
    text = f"how much faster the clamp moves {reached} nF than black runs after a change of scene"
    yield judge("F205", bench.figure("cut-following", colour), limit, text)
    yield judge("F210", bench.figure("settling", colour), "clamp_settling_s", "settling of the clamp after a change")


def _together(bench: Bench) -> Iterator[Finding]:
    together = "red, green, blue"
    if bench.has("mismatch", together):
        trimmed = bench.has("trim-room", together)
        text = "greatest ratio of two colours, shifts the white point"
        rgb = bench.variant.set.rgb
        limit = LIMITS["white_mismatch_pct"]
        if rgb.termination_fitted:  # the set's own resistors decide: nothing of the board would mend it
            limit, text = replace(limit, error=None), f"{text}; the set's own terminations with theirs"
        if not trimmed:  # what trimmers set alike is judged by their room
            helps = (
                "the set's white adjustment makes up for it, and resistors picked alike for the colours make it less"
            )
            yield judge("F203", bench.figure("mismatch", together), limit, text, instead=(text, f"{text}; {helps}"))
        for hertz, key in zip(CROSSTALK_AT_HZ, ("crosstalk_1mhz_db", "crosstalk_5mhz_db"), strict=True):
            text = f"crosstalk at {hertz / 1e6:g} MHz over {rgb.lead_length:g} m of {rgb.lead_kind} lead"
            yield judge("F211", bench.figure(f"crosstalk/{mhz(hertz)}", together), key, text)
    text = f"the source itself may be +-{SOURCE_TOLERANCE_DB:g} dB off ({short(RGB.low, 3)} to {short(RGB.high, 3)} V)"
    yield note("F212", together, f"{text}; not counted above", RGB.source, state=bench.state)
    if bench.has("shift-share", "picture"):
        yield _shift(bench.figure("shift", "picture"), bench.figure("shift-share", "picture"))


def _shift(seconds: Figure, share: Figure) -> Finding:
    """Positive is to the left: RGB comes before the sync that it should follow."""
    side = "left" if seconds.nominal >= 0 else "right"
    text = (
        f"the picture stands about {short(abs(seconds.nominal) * 1e9, 3)} ns ({short(abs(share.nominal), 2)} % of its "
        f"width) to the {side}, if the set's phase control is centred for its own inputs; the source's own adds"
    )
    limit = within("phase", "most", PHASE_SHARE_PCT, None, "%", "judgement, stated: what a phase control surely moves")
    return judge("F215", share, limit, text)
