"""The set without its rail while every source is on: what flows into each landing, what stands on the rail."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from rasterport.analysis.audio import SOURCE_OHM as AUDIO_OHM
from rasterport.analysis.control import ON_OHM, net_at, output_ohm, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.network import NATIVE, State
from rasterport.analysis.nodal import GROUND, Element, Network, impedance, reach, solve
from rasterport.analysis.setup import Setup
from rasterport.analysis.stress import live_volts
from rasterport.design.black import DIODE_V
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Placed
from rasterport.standards.interface_levels import COMPOSITE, RGB, SUPERIMPOSED_DC, SYNC

STATE = "rail off"
LOAD = "load of the dead rail"
BACKWARDS = "regulator/back"
OUTPUT = "/output/"
"""What the names of logic outputs, taken as what joins them to the supply, have in them."""
CORNER = "sources at their highest"
AUDIO_TOP_HZ = 20e3
SURGE_HZ = 10e6
"""Where a coupling capacitor does not hold back any more [Hz]."""
SATURATED_V = 0.25
"""Highest that a driven transistor leaves on a collector that nothing pulls up [V]: its saturation voltage."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """The worst over the positions that switches may have; relays are idle without the rail."""
    relays = any(p.part.letter == "K" for p in setup.circuit.parts)
    states: tuple[State, ...] = (NATIVE,) if relays else setup.control.states
    worst: dict[str, float] = {}
    rail_v = 0.0
    for state in states:
        board = setup.control.elements(state, powered=False)
        currents = [c for view in setup.views for c in (*_landings(view, board), *_switches(view, board))]
        for name, amps in (*currents, *_direct(setup, state)):
            worst[name] = max(worst.get(name, 0.0), amps)
        rail_v = max(rail_v, _rail_v(setup, state))
    for name, amps in worst.items():
        yield bound("rail-off-current", name, STATE, amps, CORNER)
    for colour in COLOURS:
        yield bound("rail-off-surge", colour, STATE, _surge_a(setup, states, colour), CORNER)
    given = ((LOAD, f"{_load_ohm(setup):.4g} ohm"),)
    yield bound("rail-off-voltage", "rail", STATE, rail_v, CORNER, given)


def _landings(setup: Setup, board: Iterable[Element]) -> Iterator[tuple[str, float]]:
    rgb, sync = setup.variant.set.rgb, setup.variant.set.sync
    elements = tuple(board)
    for colour in COLOURS:
        yield colour, _swing_a(setup, elements, colour, RGB.high, rgb.coupling_fitted is not None)
        if setup.circuit.landing_net(f"display-{colour}") is not None:
            yield f"display-{colour}", _swing_a(setup, elements, f"display-{colour}", RGB.high, False)
    if sync.arrangement == "after-switch":
        top = COMPOSITE.high if setup.source.sync == "composite-video" else SYNC.high
        yield "sync", _swing_a(setup, elements, "sync", top, sync.coupling == "ac")
    for side in ("left", "right"):
        if setup.circuit.landing_net(side) is not None:
            yield side, _audio_a(setup, elements, side)


def _switches(setup: Setup, board: tuple[Element, ...]) -> Iterator[tuple[str, float]]:
    """Terminals of analog switches: behind a capacitor a source swings beyond the junctions of a dead chip."""
    top = COMPOSITE.high if setup.source.sync == "composite-video" else SYNC.high
    swings = {**dict.fromkeys(COLOURS, RGB.high), "sync": top}
    for chip in setup.control.analog:
        terminals = {net for net in chip.nets.values() if net is not None} - {GROUND, *setup.control.walls}
        worst = 0.0
        for function, net in setup.contacts.items():
            part = reach(board, net, setup.control.walls)
            for end in sorted(terminals & {n for e in part for n in (e.first, e.second)}):
                if function in swings:
                    worst = max(worst, _into_a(setup, part, net, end, swings[function] - 2 * DIODE_V, LINE_OHM))
                elif function.startswith("audio"):
                    peak = 2**0.5 * setup.source.audio_maximum - DIODE_V
                    worst = max(worst, _into_a(setup, part, net, end, peak, AUDIO_OHM))
        yield chip.role, worst


def _into_a(setup: Setup, part: tuple[Element, ...], start: str, net: str, over_v: float, source_ohm: float) -> float:
    """Current that `over_v` [V] at a source drives into a net [A], every capacitor a short."""
    source = Element("source", "R", start, GROUND, source_ohm)
    network = Network((*part, source), setup.control.walls, (net,))
    values = [*(e.low for e in part), source_ohm]
    ohm = abs(network.solve({net: 1.0}, 2 * math.pi * SURGE_HZ, None, values)[net])
    return float(max(0.0, over_v) / max(ohm, 1.0))


def _swing_a(
    setup: Setup, board: tuple[Element, ...], name: str, swing_v: float, blocked_in_set: bool, junctions: int = 2
) -> float:
    """A capacitor lets through what exceeds two diode drops; without one the direct voltage comes on top."""
    colour = name.removeprefix("display-")
    start, net = setup.contacts.get(colour, ""), setup.circuit.landing_net(name) or ""
    part = reach(board, start, setup.control.walls)
    if not start or (start != net and not any(net in (e.first, e.second) for e in part)):
        return 0.0
    blocked = blocked_in_set or any(e.kind == "C" and GROUND not in (e.first, e.second) for e in part)
    standing_v = setup.source.black_most if colour in COLOURS else SUPERIMPOSED_DC.high
    over = swing_v - junctions * DIODE_V if blocked else swing_v + standing_v - DIODE_V
    return _into_a(setup, part, start, net, over, LINE_OHM)


def _surge_a(setup: Setup, states: Iterable[State], colour: str) -> float:
    """While a capacitor follows a change from black to white, one junction alone stands in the way [A]."""
    return max(
        _swing_a(view, setup.control.elements(state, powered=False), colour, RGB.high, True, 1)
        for state in states
        for view in setup.views
    )


def _audio_a(setup: Setup, board: tuple[Element, ...], side: str) -> float:
    """Peak current [A]: every source that reaches the landing at its peak at once, resistors to ground left out."""
    net = setup.circuit.landing_net(side) or ""
    contacts = [n for f, n in setup.contacts.items() if f.startswith("audio")]
    live = [e for e in board if GROUND not in (e.first, e.second)]
    part = reach(live, net, setup.control.walls)
    nets = {n for e in part for n in (e.first, e.second)} | {net}
    sources = [Element("source", "R", n, GROUND, AUDIO_OHM) for n in contacts if n in nets]
    if not sources:
        return 0.0
    # The top of the band: there a coupling capacitor holds back least.
    values = [*(e.low if e.kind == "R" else e.high for e in part), *(AUDIO_OHM for _ in sources)]
    ohm = abs(impedance((*part, *sources), net, AUDIO_TOP_HZ, values))
    return float(max(0.0, 2**0.5 * setup.source.audio_maximum - DIODE_V) / max(ohm, 1.0))


def _direct(setup: Setup, state: State) -> Iterator[tuple[str, float]]:
    """Direct currents [A] into rail, blanking and gate of a dead set, held at 0 V, by a network solution.

    The status contact carries 12 V, a logic-level source is high.  What lets current through then is a
    resistor: the junctions of the sense transistor, the input protection of the buffer, the regulator backwards.
    """
    logic = any(view.source.sync == "ttl-composite" for view in setup.views)
    behind = setup.variant.set.sync.arrangement == "after-switch" and logic
    names = ("rail", "blanking", "gate", "display-blanking", *(("sync",) if behind else ()))
    dead = {name: setup.circuit.landing_net(name) for name in names}
    held = {**{net: 0.0 for net in dead.values() if net}, **_held(setup)}
    leaks = list(_leaks(setup))
    # What one leak takes from another path is no bound for that path: each is solved with and without those that may
    # be open, the regulator backwards and the outputs of chips.
    fewer = [e for e in leaks if e.role != BACKWARDS]
    for some in (leaks, fewer, [e for e in fewer if OUTPUT not in e.role]):
        part = (*setup.control.resistors(state), *some)
        values = [e.low for e in part]
        volts = solve(part, {}, 0.0, held, values)
        for name, landed in dead.items():
            if landed:
                yield name, abs(_into(part, values, volts, landed))


def _lifted_v(setup: Setup) -> float:
    """What sources rectify onto the supply of analog switches through the junctions of their terminals [V]: at most
    the whole height of the largest."""
    sound = max(2 * 2**0.5 * source.audio_maximum for source in setup.variant.input)
    return max(sound, COMPOSITE.high)


def _held(setup: Setup) -> dict[str, float]:
    """Nets that sources hold in a dead board [V]: contacts, and the supply of analog switches behind its diode."""
    held = {**live_volts(setup), **dict.fromkeys(setup.control.blocking, _lifted_v(setup))}
    if setup.variant.set.rgb.pin_kind == "analog-dc":  # what lifts black leads from the source to the rail
        held |= {v.contacts[c]: RGB.high + v.source.black_most for v in setup.views for c in COLOURS if c in v.contacts}
    return held


def _into(part: Iterable[Element], values: Iterable[float], volts: Mapping[str, float], net: str) -> float:
    """Current into a net [A]."""
    total = 0.0
    for e, ohm in zip(part, values, strict=True):
        for here, other in ((e.first, e.second), (e.second, e.first)):
            if here == net:
                total += (volts[other] - volts[net]) / ohm
    return total


def _load_ohm(setup: Setup) -> float:
    """A dead rail [ohm]: what can spare a current feeds circuits that take more.  Judgement, stated."""
    return setup.variant.set.supply.voltage / setup.variant.set.supply.spare_current


def _rail_v(setup: Setup, state: State) -> float:
    """Highest voltage on the dead rail [V]; a collector that is driven stands at its saturation voltage."""
    rail = setup.circuit.landing_net("rail")
    if rail is None:
        return 0.0
    held = _held(setup)
    for view in setup.views:
        sense = setup.control.part(view.role("status/sense"))
        if sense is not None and net_at(sense, "C") not in ("", rail, GROUND):
            held[net_at(sense, "C")] = SATURATED_V
    load = Element("set/rail", "R", rail, GROUND, _load_ohm(setup))
    return float(abs(solve((*setup.control.resistors(state), *_leaks(setup), load), {}, 0.0, held)[rail]))


def _leaks(setup: Setup) -> Iterator[Element]:
    for view in setup.views:
        sense = setup.control.part(view.role("status/sense"))
        if sense is not None:
            yield Element(f"{sense.role}/be", "R", net_at(sense, "B"), net_at(sense, "E"), ON_OHM)
            yield Element(f"{sense.role}/ce", "R", net_at(sense, "C"), net_at(sense, "E"), ON_OHM)
    for chip in (p for p in setup.circuit.parts if p.part.letter == "U" and supply_of(p)):
        yield from _protection(chip)
    for net, diode in setup.control.blocking.items():
        # The leakage hardly falls with the voltage: all of it at what the sources lift the net to.
        ohm = _lifted_v(setup) / diode.part.ratings["leakage_a"]
        yield Element(f"{diode.role}/back", "R", net_at(diode, "A"), net, ohm)
    regulator = setup.control.regulator
    if regulator is not None:
        yield Element(BACKWARDS, "R", net_at(regulator, "OUT"), net_at(regulator, "IN"), ON_OHM)


def _protection(chip: Placed) -> Iterator[Element]:
    """Input junctions to the supply of a chip, and its outputs as what joins them to the supply."""
    supply, r = supply_of(chip), chip.part.ratings
    if "input_max_v" in r:  # inputs that bear more than the supply have no junction to it
        kinds = [("output", output_ohm(r, 0.0))]
    else:
        kinds = [("input", ON_OHM), ("output", output_ohm(r, 0.0) or ON_OHM)]
    for kind, ohm in kinds:
        nets = {chip.nets[pin.number] for pin in chip.part.pins if pin.kind == kind} - {None, GROUND, supply}
        for net in sorted(str(n) for n in nets):
            yield Element(f"{chip.role}{OUTPUT if kind == 'output' else '/input/'}{net}", "R", net, supply, ohm)
