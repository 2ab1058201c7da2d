"""The set without its rail while every source is on: what flows into each landing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rasterport.analysis.control import ON_OHM, net_at
from rasterport.analysis.network import STATES, State
from rasterport.analysis.nodal import GROUND, Element, impedance, reach, solve
from rasterport.checks.bench import Bench, judge, note
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Finding
from rasterport.standards.interface_levels import COMPOSITE, RGB, SUPERIMPOSED_DC, SYNC
from rasterport.standards.status_levels import FAULT_V

CODES = {"F703": "current into set-side pins with the rail off"}

DIODE_V = 0.5
"""Voltage at which the protection diodes of a dead pin carry milliamperes [V]; judgement, stated."""
AUDIO_OHM = 1.0
"""An audio source at its strongest [ohm]."""


def check(bench: Bench) -> Iterator[Finding]:
    """The worst over the positions that switches may have; relays are idle without the rail."""
    relays = any(p.part.letter == "K" for p in bench.circuit.parts)
    worst: dict[str, float] = {}
    states: tuple[State, ...] = ("native",) if relays else STATES
    for state in states:
        for name, amps in _landings(bench, bench.control.elements(state)):
            worst[name] = max(worst.get(name, 0.0), amps)
        for name, amps in _direct(bench, state):
            worst[name] = max(worst.get(name, 0.0), amps)
    for name, amps in worst.items():
        text = "peak current into this landing, set off and every source on"
        yield judge(
            "F703", name, amps, "rail_off_pin_current_a", text, state="rail off", corner="sources at their highest"
        )
    if bench.variant.set.sync.arrangement != "after-switch":
        jack = bench.variant.set.sync.shares or "one of the set's own jacks"
        text = f"not judged: the circuit of {jack} is made to be driven while the set is off"
        yield note("F703", "sync", text, "common practice, no source", state="rail off")


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


def _direct(bench: Bench, state: State) -> Iterator[tuple[str, float]]:
    """Direct currents [A] into rail, blanking and gate of a dead set, held at 0 V, by a network solution.

    The status contact carries 12 V, a logic-level source is high.  What lets current through then is a
    resistor: the junctions of the sense transistor, the input protection of the buffer, the regulator backwards.
    """
    circuit, source = bench.circuit, bench.variant.input[0]
    dead = {name: circuit.landing_net(name) for name in ("rail", "blanking", "gate")}
    held = {net: 0.0 for net in dead.values() if net}
    for function, net in bench.contacts.items():
        if function.startswith("status"):
            held[net] = FAULT_V
        elif function == "sync" and source.sync == "ttl-composite":
            held[net] = source.ttl_high_most
    part = (*bench.control.resistors(state), *_leaks(bench))
    volts = solve(part, {}, 0.0, held)
    for name, landed in dead.items():
        if landed:
            into = sum(
                (volts[other] - volts[landed]).real / e.value
                for e in part
                for here, other in ((e.first, e.second), (e.second, e.first))
                if here == landed
            )
            yield name, abs(into)


def _leaks(bench: Bench) -> Iterator[Element]:
    sense, chip = bench.control.part("input-1/status/sense"), bench.control.part("input-1/sync/buffer")
    if sense is not None:
        yield Element("sense/be", "R", net_at(sense, "B"), net_at(sense, "E"), ON_OHM)
        yield Element("sense/ce", "R", net_at(sense, "C"), net_at(sense, "E"), ON_OHM)
    if chip is not None:
        inputs = {chip.nets[p.number] for p in chip.part.pins if p.kind == "input"} - {None, GROUND}
        for net in sorted(str(n) for n in inputs):
            yield Element(f"buffer/{net}", "R", net, net_at(chip, "VCC"), ON_OHM)
    regulator = bench.control.regulator
    if regulator is not None:
        yield Element("regulator/back", "R", net_at(regulator, "OUT"), net_at(regulator, "IN"), ON_OHM)
