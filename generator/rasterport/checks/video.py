"""Colour lines: termination, level, white point, coupling, lead."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from rasterport.analysis.corners import Spread
from rasterport.analysis.lines import (
    MID_HZ,
    Line,
    bandwidth_hz,
    coupling_of,
    level,
    load_ohm,
    loss,
    node_ohm,
)
from rasterport.analysis.nodal import Element
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.coupling import CUT_STEP_V, ceiling
from rasterport.design.landings import line_standards
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Finding
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.interface_levels import RGB, SOURCE_TOLERANCE_DB
from rasterport.standards.limits import CROSSTALK_AT_HZ, RETURN_LOSS_TO_HZ
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
}

EMF_V = 2 * WHITE_V
NEIGHBOUR_F_PER_M = {"hook-up": 50e-12, "coax": 0.0}
"""Capacitance between neighbouring hook-up wires [F/m]: 15 pF for 0.3 m; judgement, stated."""
PRACTICE = "common practice, no source"


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the three colours; lines that are alike are worked out once."""
    known: dict[object, tuple[Finding, ...]] = {}
    for colour, line in bench.colours().items():
        if not line.joined:
            yield note("F213", colour, "nothing leads from the socket to the landing", "netlist", "error")
            continue
        signature = line.signature()
        if signature not in known:
            known[signature] = tuple(_line(bench, line))
        for finding in known[signature]:
            yield _renamed(finding, colour)
    missing = sorted({"red", "green", "blue"} - set(bench.colours()))
    for colour in missing:
        yield note(
            "F213", colour, "the socket has no contact or the board no landing for this colour", "netlist", "error"
        )
    yield from _together(bench)


def _renamed(finding: Finding, colour: str) -> Finding:
    corner = finding.corner
    for other in COLOURS:
        corner = corner.replace(f"/{other}/", f"/{colour}/").replace(f"{other}/coupling", f"{colour}/coupling")
    return replace(finding, subject=colour, corner=corner)


def _line(bench: Bench, line: Line) -> Iterator[Finding]:
    wanted = bench.variant.set.rgb.white_level
    yield _doubled(load_ohm(line, MID_HZ))
    at_dc, at_top = loss(line, 0.0), loss(line, RETURN_LOSS_TO_HZ)
    worst = min((at_dc, at_top), key=lambda s: s.low)
    where = f"at {'DC' if worst is at_dc else f'{RETURN_LOSS_TO_HZ / 1e6:g} MHz'}"
    yield judge("F201", "", min(worst.low, 60.0), "return_loss_db", f"return loss {where}", corner=worst.low_corner)
    reached = level(line, EMF_V, LINE_OHM, MID_HZ)
    yield from _level(reached, wanted)
    yield _clipping(bench, reached)
    yield judge("F206", "", bandwidth_hz(line), "bandwidth_hz", "-3 dB frequency at the landing", corner="all high")
    yield from _coupling(bench, line, wanted)


def _doubled(load: Spread) -> Finding:
    limit = within("load", "least", None, 56.0, "ohm", PRACTICE)
    if load.nominal > 100.0:
        limit = within("load", "most", None, 100.0, "ohm", PRACTICE)
        text = "load at the socket: no termination is left, the level would be up to 6 dB too high"
        return judge("F207", "", load.nominal, limit, text)
    doubled = "load at the socket: two terminations in parallel cost 3.5 dB"
    return judge("F207", "", load.nominal, limit, "", instead=("load at the socket", doubled))


def _level(reached: Spread, wanted: float) -> Iterator[Finding]:
    if wanted > WHITE_V * (1 + 1e-9):
        lacks = 20 * math.log10(wanted / WHITE_V)
        text = f"white arrives as {short(reached.nominal)} V, the pin wants {short(wanted)} V: contrast must make up"
        yield judge("F208", "", lacks, "contrast_make_up_db", text, corner=reached.low_corner)
        wanted = WHITE_V
    errors = [
        (abs(20 * math.log10(v / wanted)), c)
        for v, c in ((reached.low, reached.low_corner), (reached.high, reached.high_corner))
    ]
    worst = max(errors, key=lambda e: e[0])
    yield judge(
        "F202", "", worst[0], "level_error_db", f"white {short(reached.nominal)} V at the landing", corner=worst[1]
    )


def _clipping(bench: Bench, reached: Spread) -> Finding:
    most = reached.high * RGB.high / RGB.nominal
    limit = within("clipping", "most", bench.variant.set.rgb.clipping_level, None, "V", "set.rgb.clipping_level")
    text = f"white of a source that is {SOURCE_TOLERANCE_DB:g} dB high"
    return judge("F209", "", most, limit, text, corner=reached.high_corner)


def _coupling(bench: Bench, line: Line, wanted: float) -> Iterator[Finding]:
    rgb = bench.variant.set.rgb
    capacitors = coupling_of(line)
    if rgb.coupling_fitted is not None:
        capacitors.append(Element("set/coupling", "C", line.landing, "PIN", rgb.coupling_fitted, 0.2))
    if not capacitors:
        yield note(
            "F204", "", "no capacitor in front of a pin that is clamped: black is not restored", PRACTICE, "error"
        )
        return
    standards = line_standards(bench.variant)
    active, period = max(s.active_line_s for s in standards), max(s.line_period_s for s in standards)
    least = 1 / sum(1 / (c.value * (1 - c.spread)) for c in capacitors)
    most = 1 / sum(1 / (c.value * (1 + c.spread)) for c in capacitors)
    droop = rgb.leakage * active / least / wanted * 100
    yield judge("F204", "", droop, "line_droop_pct", "droop of white over a line", corner="capacitor low")
    bound = ceiling(rgb.clamp_current, rgb.clamp_time, period)
    limit = within("ceiling", "most", None, bound * 1e9, "nF", "I_clamp t_clamp / (0.57 V / 33 ms x line period)")
    text = "coupling capacitance with which the clamp still follows a change of scene"
    yield judge("F205", "", most * 1e9, limit, text, corner="capacitor high")
    settle = (CUT_STEP_V - 0.01 * WHITE_V) * most / (rgb.clamp_current * rgb.clamp_time) * period
    yield judge("F210", "", settle, "clamp_settling_s", "settling of the clamp after a change", corner="capacitor high")


def _together(bench: Bench) -> Iterator[Finding]:
    lines = {c: line for c, line in bench.colours().items() if line.joined}
    if len(lines) == 3:
        # The set's own resistance is common to the three pins: only board parts differ from colour to colour.
        spreads = [level(_own(line), EMF_V, LINE_OHM, MID_HZ) for line in lines.values()]
        high, low = max(spreads, key=lambda s: s.high), min(spreads, key=lambda s: s.low)
        text = "greatest ratio of two colours, shifts the white point"
        corner = f"one colour {high.high_corner}; another {low.low_corner}"
        yield judge(
            "F203", "red, green, blue", (high.high / low.low - 1) * 100, "white_mismatch_pct", text, corner=corner
        )
        yield from _crosstalk(bench, lines)
    text = f"the source itself may be +-{SOURCE_TOLERANCE_DB:g} dB off ({short(RGB.low, 3)} to {short(RGB.high, 3)} V)"
    yield note("F212", "red, green, blue", f"{text}; not counted above", RGB.source, state="input-1")


def _own(line: Line) -> Line:
    calm = tuple(replace(e, spread=0.0) if e.role.startswith("set/") else e for e in line.elements)
    return replace(line, elements=calm)


def _crosstalk(bench: Bench, lines: dict[str, Line]) -> Iterator[Finding]:
    rgb = bench.variant.set.rgb
    stray = NEIGHBOUR_F_PER_M[rgb.lead_kind] * rgb.lead_length
    for hertz, key in zip(CROSSTALK_AT_HZ, ("crosstalk_1mhz_db", "crosstalk_5mhz_db"), strict=True):
        drive = max(node_ohm(line, hertz) for line in lines.values())
        part = 2 * math.pi * hertz * stray * drive
        value = 20 * math.log10(part) if part > 1e-5 else -100.0
        text = f"bound of crosstalk at {hertz / 1e6:g} MHz over {rgb.lead_length:g} m of {rgb.lead_kind} lead"
        yield judge("F211", "red, green, blue", value, key, text, corner=f"{short(drive, 3)} ohm drive the pin")
