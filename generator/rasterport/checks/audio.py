"""Audio: level, loss, low corner, load on the source, what the set is given back."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis import audio as analysis
from rasterport.analysis.nodal import reach
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
    "F608": "native audio through the board",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the audio lines of every input."""
    for view in bench.views:
        yield from _input(view)


def _input(bench: Bench) -> Iterator[Finding]:
    landing, source = bench.variant.set.audio, bench.source
    if landing is None:
        return
    sides = analysis.sides(bench)
    if not sides:
        text = "the input says none" if source.audio == "none" else f"a {source.socket} socket has no audio contacts"
        yield note("F605", "audio", f"audio is not carried: {text}", "input.socket", state=bench.state)
        return
    for side, line in sides.items():
        if line is None or not line.joined or line.refused:
            text = "nothing leads from the socket to this landing"
            if line is not None and line.refused:
                text = f"no signal passes what is no part of a signal path: {line.refused}"
            yield note("F607", side, text, "netlist", "error", bench.state)
            continue
        yield from _line(bench, side, landing.maximum, analysis.other_of(bench, line) is not None)
        if bench.index > 1:  # what follows is about the landing, which all inputs share
            continue
        if landing.arrangement in SWITCHED:
            yield _returned(bench, side, analysis.contact_of(bench, side))
            if bench.figures.has("native-change", side, "native"):
                text = "what the board does to the set's own sound when native"
                yield judge("F608", bench.figures.get("native-change", side, "native"), "native_change_db", text)
        else:
            jack = landing.shares or "the set's own jack"
            gone = landing.arrangement == "dedicated"
            text = f"the switch contact of {jack} must break the board's line when a plug is in"
            if gone:
                cut = " and cut off from the landing" if landing.cut_off else ""
                text = f"given up, to be labelled{cut}: {jack}"
            yield note("F606", side, text, "common practice, no source")


def _line(bench: Bench, side: str, loudest_v: float, summed: bool) -> Iterator[Finding]:
    limit = within("maximum", "most", None, loudest_v, "V r.m.s.", "set.audio.maximum")
    text = "loudest level at the landing" + (", both channels together" if summed else "")
    yield judge("F601", bench.figure("audio-level", side), limit, text)
    text = "loss against the loudest level allowed"
    words = f"{text}: the sound is quieter than it could be; the set's volume control makes up for it"
    yield judge("F603", bench.figure("audio-loss", side), "audio_loss_db", text, instead=(text, words))
    yield judge("F602", bench.figure("audio-corner", side), "audio_corner_hz", "-3 dB at the low end")
    yield judge("F604", bench.figure("audio-load", side), "audio_load_ohm", "load on the source at 1 kHz")


def _returned(bench: Bench, side: str, contact: str) -> Finding:
    landing, native = bench.circuit.landing_net(side), bench.circuit.landing_net(f"{side}-native")
    part = reach(bench.control.resistors("native"), str(landing))
    nets = {n for e in part for n in (e.first, e.second)} | {str(landing)}
    fine = native in nets and bench.contacts.get(contact) not in nets
    refused = bench.between(str(native), str(landing), "native").refused if native else ""
    if refused:
        text = f"no signal passes what is no part of a signal path: {refused}"
        return note("F606", side, text, "netlist", "error", "native")
    text = "when native the landing is on the set's own feed and off the board"
    if not fine:
        text = "when native the landing is not on the set's own feed alone"
    return note("F606", side, text, "netlist", "met" if fine else "error", "native")
