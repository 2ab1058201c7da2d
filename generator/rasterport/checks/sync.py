"""Sync: level and load at the landing, the jack it shares, what the set does meanwhile."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from rasterport.analysis.control import net_at
from rasterport.analysis.lines import MID_HZ, Line, coupling_of, level, loss
from rasterport.analysis.network import set_side
from rasterport.analysis.nodal import Element, impedance, reach
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.landings import line_standards, sync_landing
from rasterport.design.sync import TTL_SOURCE_A
from rasterport.design.termination import LINE_OHM
from rasterport.records import GROUND, Finding, Placed
from rasterport.standards.interface_levels import COMPOSITE, SYNC, TTL
from rasterport.standards.limits import RETURN_LOSS_TO_HZ

CODES = {
    "F501": "sync level at the landing",
    "F502": "return loss of the sync contact",
    "F503": "highest level at the sync landing",
    "F504": "landing shared with a jack",
    "F505": "termination to move in the set",
    "F506": "sync line broken",
    "F507": "native sync fed back",
    "F508": "doubled termination at the sync landing",
    "F509": "load on a logic-level sync source",
    "F510": "what to select on the set",
    "F511": "what the set does without this signal",
    "F513": "logic level of the sync source",
    "F512": "tilt over a field",
}

PRACTICE = "common practice, no source"
DRIVE_A = 6e-3
"""An output of the buffer keeps its promised levels up to 4 mA; half as much again [A].  Judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the sync landing."""
    source = bench.variant.input[0]
    contact, landing = bench.contacts.get("sync"), bench.circuit.landing_net("sync")
    if contact is None or landing is None:
        yield note("F506", "sync", "the socket has no sync contact or the board no sync landing", "netlist", "error")
        return
    if source.sync == "ttl-composite":
        yield from _logic(bench, contact, landing)
    else:
        yield from _through(bench, contact, landing)
    yield from _arrangement(bench)


def _through(bench: Bench, contact: str, landing: str) -> Iterator[Finding]:
    line = bench.line("sync", "sync")
    if line is None or not line.joined:
        yield note("F506", "sync", "nothing leads from the socket to the sync landing", "netlist", "error", "input-1")
        return
    top = COMPOSITE if bench.variant.input[0].sync == "composite-video" else SYNC
    reached = level(line, 2 * SYNC.nominal, LINE_OHM, MID_HZ)
    yield from _levels(bench, reached.low, reached.high, reached.low_corner)
    highest = reached.high / SYNC.nominal * top.high
    limit = within("maximum", "most", None, bench.variant.set.sync.maximum, "V", "set.sync.maximum")
    yield judge("F503", "sync", highest, limit, "highest peak-to-peak level at the landing", corner=reached.high_corner)
    yield from _tilt(bench, line)
    at_dc, at_top = loss(line, MID_HZ), loss(line, RETURN_LOSS_TO_HZ)
    worst = min((at_dc, at_top), key=lambda s: s.low)
    doubled = worst.nominal < 12.0
    text = "return loss of the sync contact" + (": two terminations in parallel, or none" if doubled else "")
    code = "F508" if doubled else "F502"
    yield judge(code, "sync", min(worst.low, 60.0), "return_loss_db", text, corner=worst.low_corner)


def _tilt(bench: Bench, line: Line) -> Iterator[Finding]:
    """Tilt over a field behind a capacitor of the board: 1 - exp(-t / RC) with all its resistance in the loop."""
    for capacitor in coupling_of(line):
        field_s = max(1 / s.field_rate_hz for s in line_standards(bench.variant))
        loop_ohm = LINE_OHM + sync_landing(bench.variant).load_ohm
        tilt = 1 - math.exp(-field_s / loop_ohm / (capacitor.value * (1 - capacitor.spread)))
        yield judge("F512", "sync", tilt * 100, "field_tilt_pct", "tilt over a field", corner="capacitor low")


def _levels(bench: Bench, low: float, high: float, corner: str) -> Iterator[Finding]:
    limit = within("sync", "least", None, SYNC.low, "V", SYNC.source)
    yield judge("F501", "sync", low, limit, "lowest sync at the landing, nominal source", corner=corner)
    limit = within("sync", "most", None, SYNC.high, "V", SYNC.source)
    yield judge("F501", "sync, upper", high, limit, "highest sync at the landing, nominal source", corner=corner)


def _logic(bench: Bench, contact: str, landing: str) -> Iterator[Finding]:
    """Logic-level sync: through a resistive pad, or from the output of the buffer."""
    source = bench.variant.input[0]
    elements = (*bench.control.elements("input-1"), *set_side(bench.circuit, bench.variant))
    chip = bench.control.part("input-1/sync/buffer")
    if chip is not None:
        out = _buffer_output(chip, contact, elements, 1 if source.sync_polarity == "positive" else 2)
        feed = bench.control.supplies.get(net_at(chip, "VCC"))
        if out is None or feed is None:
            text = "the sync source does not reach the landing through the buffer with the right number of inversions"
            yield note("F506", "sync", text, "netlist", "error", "input-1")
            return
        yield from _understood(bench, chip)
        low_v, high_v = feed.low, feed.high
        weak, strong = chip.part.ratings["output_ohm_high"], chip.part.ratings["output_ohm"]
        line = Line(out, landing, reach(elements, out, bench.control.rails))
        limit = within("output", "most", DRIVE_A, chip.part.ratings["output_max_a"], "A", chip.part.source)
        drawn = high_v / (strong + _series_ohm(line))
        yield judge("F509", "sync", drawn, limit, "from the buffer's output")
    else:
        low_v, high_v = source.ttl_high_least, source.ttl_high_most
        weak = strong = 1e-3
        line = Line(contact, landing, reach(elements, contact, bench.control.rails))
        limit = within("source", "most", None, TTL_SOURCE_A * 1.01, "A", "standard TTL, from memory")
        yield judge("F509", "sync", low_v / _series_ohm(line), limit, "from the source at its least high level")
    if not line.joined:
        yield note("F506", "sync", "nothing leads from the sync source to the landing", "netlist", "error", "input-1")
        return
    low = level(line, low_v, weak, MID_HZ)
    high = level(line, high_v, strong, MID_HZ)
    yield from _levels(bench, low.low, high.high, low.low_corner)
    limit_row = within("maximum", "most", None, bench.variant.set.sync.maximum, "V", "set.sync.maximum")
    yield judge(
        "F503", "sync", high.high, limit_row, "highest peak-to-peak level at the landing", corner=high.high_corner
    )


def _understood(bench: Bench, chip: Placed) -> Iterator[Finding]:
    """The source's levels against the thresholds of the buffer, over its whole supply range."""
    r, source = chip.part.ratings, bench.variant.input[0]
    # The resistor that holds the idle level stands beside the source, which is far stronger.
    limit = within("high", "least", None, r["vt_rise_high_v"], "V", chip.part.source)
    text = "the source's least high level, at the buffer's highest threshold"
    yield judge("F513", "sync", source.ttl_high_least, limit, text, corner="threshold high")
    limit = within("low", "most", None, r["vt_fall_low_v"], "V", chip.part.source)
    text = "a logic source's highest low level, at the buffer's lowest threshold"
    yield judge("F513", "sync", TTL.output_low_most_v, limit, text, corner="threshold low")


def _buffer_output(chip: Placed, contact: str, elements: Iterable[Element], inversions: int) -> str | None:
    """Net behind so many inverters, the first of them fed from `contact`; None where the chain breaks."""
    reached = {n for e in reach(elements, contact) for n in (e.first, e.second)} | {contact}
    sections = {net_at(chip, f"{n}A"): net_at(chip, f"{n}Y") for n in range(1, 7)}
    net = next((a for a in sections if a in reached and a != GROUND), None)
    for _ in range(inversions):
        net = sections.get(net) if net else None
    return net or None


def _series_ohm(line: Line) -> float:
    return abs(impedance(line.elements, line.contact, MID_HZ))


def _arrangement(bench: Bench) -> Iterator[Finding]:
    landing = bench.variant.set.sync
    jack = landing.shares or ("the set's own feed" if landing.arrangement == "after-switch" else "the set's own jack")
    meets = sync_landing(bench.variant)
    if meets.switched:
        yield from _returned(bench, jack)
        if landing.termination == "movable":
            text = (
                f"move the set's 75 ohm from the landing to {jack}, in front of the change-over: "
                "two in parallel cost 3.5 dB"
            )
            yield note("F505", "sync", text, PRACTICE)
    elif landing.arrangement == "dedicated":
        text = f"given up: {jack}; cut the jack off and label it: a plug in it would stand in parallel (-3.5 dB)"
        yield note("F504", "sync", text, PRACTICE)
    else:
        text = f"the switch contact of {jack} must break the board's line when a plug is in"
        yield note("F504", "sync", text, PRACTICE)
    if landing.select:
        yield note("F510", "sync", f"select on the set: {landing.select}", "set.sync.select")
    if landing.mutes_without:
        yield note("F511", "sync", f"without this signal the set: {landing.mutes_without}", "set.sync.mutes_without")


def _returned(bench: Bench, jack: str) -> Iterator[Finding]:
    """When native the landing reaches the set's own feed, and no contact of the socket."""
    landing, native = bench.circuit.landing_net("sync"), bench.circuit.landing_net("sync-native")
    part: tuple[Element, ...] = reach(bench.control.resistors("native"), str(landing))
    nets = {n for e in part for n in (e.first, e.second)} | {str(landing)}
    fed = native in nets
    quiet = bench.contacts.get("sync") not in nets
    text = f"when native the landing is on {jack} and off the board"
    if not fed:
        text = f"when native the landing is not on {jack}"
    elif not quiet:
        text = "when native the landing still hangs on the socket: two pictures on top of each other, -3.5 dB"
    yield note("F507", "sync", text, "netlist", "met" if fed and quiet else "error", "native")
