"""Audio: level, loss, low corner, load on the source, what the set is given back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from rasterport.analysis.lines import AUDIO_MID_HZ, Line, level, load_ohm, low_corner_hz
from rasterport.analysis.nodal import GROUND, Element, reach
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.landings import SWITCHED
from rasterport.records import Finding

CODES = {
    "F601": "highest audio level at the landing",
    "F602": "low corner of audio",
    "F603": "loss of audio",
    "F604": "load on the audio source",
    "F605": "audio not carried",
    "F606": "native audio fed back",
    "F607": "audio line broken",
}

SOURCE_OHM = 1.0
"""A source at its strongest [ohm]; the weakest, 1 kohm, costs little into 10 kohm."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the audio lines that the variant asks for."""
    landing, source = bench.variant.set.audio, bench.variant.input[0]
    if landing is None:
        return
    there = any(name.startswith("audio") for name in bench.contacts)
    if source.audio == "none" or not there:
        text = "the input says none" if source.audio == "none" else f"a {source.socket} socket has no audio contacts"
        yield note("F605", "audio", f"audio is not carried: {text}", "input.socket")
        return
    known: dict[object, tuple[Finding, ...]] = {}
    for side in ("left", "right") if landing.channels == "stereo" else ("left",):
        contact = "audio-right" if side == "right" and source.audio == "stereo" else "audio-left"
        line = bench.line(contact, side)
        if line is None or not line.joined:
            yield note("F607", side, "nothing leads from the socket to this landing", "netlist", "error", "input-1")
            continue
        signature = line.signature()
        if signature not in known:
            known[signature] = tuple(_line(bench, line, side))
        yield from (_renamed(f, side) for f in known[signature])
        if landing.arrangement in SWITCHED:
            yield _returned(bench, side, contact)
        else:
            jack = landing.shares or "the set's own jack"
            gone = landing.arrangement == "dedicated"
            text = f"given up: {jack}; cut off and label" if gone else f"a plug in {jack} breaks the board's line"
            yield note("F606", side, text, "common practice, no source")


def _renamed(finding: Finding, side: str) -> Finding:
    """The finding of the other side, for a line that is alike."""
    other = "right" if side == "left" else "left"
    corner = finding.corner.replace(f"audio-{other}/", f"audio-{side}/").replace(f"set/{other}/", f"set/{side}/")
    return replace(finding, subject=side, corner=corner)


def _line(bench: Bench, line: Line, side: str) -> Iterator[Finding]:
    source, landing = bench.variant.input[0], bench.variant.set.audio
    loudest = landing.maximum if landing is not None else 0.0
    other = _other(bench, line)
    both = line if other is None else _driven_as_one(line, other)
    reached = level(both, source.audio_maximum, SOURCE_OHM, AUDIO_MID_HZ)
    limit = within("maximum", "most", None, loudest, "V r.m.s.", "set.audio.maximum")
    text = "loudest level at the landing" + ("" if other is None else ", both channels together")
    yield judge("F601", side, reached.high, limit, text, corner=reached.high_corner)
    lost = max(0.0, -20 * math.log10(max(reached.low, 1e-9) / min(source.audio_maximum, loudest)))
    text = "loss against the loudest level allowed"
    yield judge("F603", side, lost, "audio_loss_db", text, corner=reached.low_corner)
    # A weak source moves the corner down, so the strongest one decides.
    corner_hz, corner = low_corner_hz(both, SOURCE_OHM)
    yield judge("F602", side, corner_hz, "audio_corner_hz", "-3 dB at the low end", corner=corner)
    load = load_ohm(line if other is None else _other_at_zero(line, other), AUDIO_MID_HZ)
    yield judge("F604", side, load.low, "audio_load_ohm", "load on the source at 1 kHz", corner=load.low_corner)


def _other(bench: Bench, line: Line) -> str | None:
    """The net of the other channel's contact where both are summed into this line."""
    other = bench.contacts.get("audio-right" if line.contact == bench.contacts.get("audio-left") else "audio-left")
    return other if any(other in (e.first, e.second) for e in line.elements) else None


def _driven_as_one(line: Line, other: str) -> Line:
    """Both channels carry the same signal in phase: one source drives both contacts."""

    def moved(net: str) -> str:
        return line.contact if net == other else net

    return replace(
        line, elements=tuple(replace(e, first=moved(e.first), second=moved(e.second)) for e in line.elements)
    )


def _other_at_zero(line: Line, other: str) -> Line:
    return replace(line, elements=(*line.elements, Element("source/other", "R", other, GROUND, SOURCE_OHM)))


def _returned(bench: Bench, side: str, contact: str) -> Finding:
    landing, native = bench.circuit.landing_net(side), bench.circuit.landing_net(f"{side}-native")
    part = reach(bench.control.resistors("native"), str(landing))
    nets = {n for e in part for n in (e.first, e.second)} | {str(landing)}
    fine = native in nets and bench.contacts.get(contact) not in nets
    text = "when native the landing is on the set's own feed and off the board"
    if not fine:
        text = "when native the landing is not on the set's own feed alone"
    return note("F606", side, text, "netlist", "met" if fine else "error", "native")
