"""The set without its rail while every source is on: what flows into each landing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rasterport.analysis.network import STATES
from rasterport.analysis.nodal import GROUND, Element, impedance, reach
from rasterport.checks.bench import COLOURS, Bench, judge
from rasterport.design.termination import LINE_OHM
from rasterport.records import Finding
from rasterport.standards.interface_levels import COMPOSITE, RGB, SUPERIMPOSED_DC, SYNC

CODES = {"F703": "current into set-side pins with the rail off"}

DIODE_V = 0.5
"""Voltage at which the protection diodes of a dead pin carry milliamperes [V]; judgement, stated."""
AUDIO_OHM = 1.0
"""An audio source at its strongest [ohm]."""


def check(bench: Bench) -> Iterator[Finding]:
    """The worst over the positions that switches may have; relays are idle without the rail."""
    relays = any(p.part.letter == "K" for p in bench.circuit.parts)
    worst: dict[str, float] = {}
    for state in ("native",) if relays else STATES:
        for name, amps in _landings(bench, bench.control.elements(state)):
            worst[name] = max(worst.get(name, 0.0), amps)
    worst["rail"] = _into_rail_a(bench)
    for name, amps in worst.items():
        text = "peak current into this landing, set off and every source on"
        yield judge(
            "F703", name, amps, "rail_off_pin_current_a", text, state="rail off", corner="sources at their highest"
        )


def _landings(bench: Bench, board: Iterable[Element]) -> Iterator[tuple[str, float]]:
    rgb, sync = bench.variant.set.rgb, bench.variant.set.sync
    elements = tuple(board)
    for colour in COLOURS:
        yield colour, _swing_a(bench, elements, colour, RGB.high, rgb.coupling_fitted is not None)
    if sync.arrangement == "after-switch":
        top = COMPOSITE.high if bench.variant.input[0].sync == "composite-video" else SYNC.high
        yield "sync", _swing_a(bench, elements, "sync", top, sync.coupling == "ac")
    for side in ("left", "right"):
        if bench.circuit.landing_net(side) is not None:
            yield side, _audio_a(bench, elements, side)


def _swing_a(bench: Bench, board: tuple[Element, ...], name: str, swing_v: float, blocked_in_set: bool) -> float:
    """A capacitor lets through what exceeds two diode drops; without one the direct voltage comes on top."""
    start, net = bench.contacts.get(name, ""), bench.circuit.landing_net(name) or ""
    part = reach(board, start)
    if not start or (start != net and not any(net in (e.first, e.second) for e in part)):
        return 0.0
    source = Element("source", "R", start, GROUND, LINE_OHM)
    ohm = abs(impedance((*part, source), net, 1e5))
    blocked = blocked_in_set or any(e.kind == "C" and GROUND not in (e.first, e.second) for e in part)
    over = swing_v - 2 * DIODE_V if blocked else swing_v + SUPERIMPOSED_DC.high - DIODE_V
    return max(0.0, over) / max(ohm, 1.0)


def _audio_a(bench: Bench, board: tuple[Element, ...], side: str) -> float:
    """Peak current [A]: every source that reaches the landing at its peak at once, resistors to ground left out."""
    net = bench.circuit.landing_net(side) or ""
    contacts = [n for f, n in bench.contacts.items() if f.startswith("audio")]
    live = [e for e in board if GROUND not in (e.first, e.second)]
    part = reach(live, net)
    nets = {n for e in part for n in (e.first, e.second)} | {net}
    sources = [Element("source", "R", n, GROUND, AUDIO_OHM) for n in contacts if n in nets]
    if not sources:
        return 0.0
    ohm = abs(impedance((*part, *sources), net, 1e3))
    return max(0.0, 2**0.5 * bench.variant.input[0].audio_maximum - DIODE_V) / max(ohm, 1.0)


def _into_rail_a(bench: Bench) -> float:
    """Logic-level sync into a buffer without supply: through its input protection into the rail.

    A status contact at 12 V saturates the sense transistor, which then holds its collector at ground.
    """
    limit = bench.control.part("input-1/sync/limit")
    if limit is None:
        return 0.0
    return bench.variant.input[0].ttl_high_most / (limit.value_si or 1.0)
