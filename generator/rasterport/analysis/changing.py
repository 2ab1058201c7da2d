"""What a change of input takes, and what analog switches leave of another input and of their own room."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from rasterport.analysis.audio import SOURCE_OHM, driven_as_one, other_of, sides
from rasterport.analysis.control import supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import AUDIO_MID_HZ, MID_HZ, Line, mhz
from rasterport.analysis.network import NATIVE
from rasterport.analysis.nodal import GROUND, Element, Network, Values, reach
from rasterport.analysis.setup import Setup
from rasterport.design.landings import is_shared
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Placed
from rasterport.standards.interface_levels import COMPOSITE, RGB, SYNC
from rasterport.standards.limits import CROSSTALK_AT_HZ
from rasterport.units import short


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Figures of several inputs; a board with one has none of them."""
    if len(setup.variant.input) == 1:
        return
    yield from _time(setup)
    lines = setup.colours()
    for colour, line in lines.items():
        chip = _switch_on(setup, line)
        if chip is not None:
            yield from _isolation(setup, colour, line, chip)
            yield _room(setup, colour, line, chip, RGB.high, MID_HZ, LINE_OHM)
    sync = setup.line("sync", "sync")
    chip = None if sync is None else _switch_on(setup, sync)
    if sync is not None and chip is not None:
        top = COMPOSITE.high if setup.source.sync == "composite-video" else SYNC.high
        if setup.source.sync == "ttl-composite":
            top = setup.source.ttl_high_most
        yield _room(setup, "sync", sync, chip, top, MID_HZ, LINE_OHM)
    for side, sound in sides(setup).items():
        chip = None if sound is None else _switch_on(setup, sound)
        if sound is not None and sound.joined and chip is not None:
            # Two channels that are summed are taken as one source: at their loudest both are in phase.
            other = other_of(setup, sound)
            whole = sound if other is None else driven_as_one(sound, other)
            peak = math.sqrt(2) * setup.source.audio_maximum
            yield _room(setup, side, whole, chip, peak, AUDIO_MID_HZ, SOURCE_OHM, other)


def _time(setup: Setup) -> Iterator[Quantity]:
    """Relays of the old input let go before those of the new one are sure to rest; then the clamp follows."""
    relays = [p.part.ratings for p in setup.circuit.parts if p.part.letter == "K"]
    moved = max((r["release_s"] + r["operate_s"] for r in relays), default=0.0)
    rgb = setup.variant.set.rgb
    told = (("relays, release and operate", f"{short(moved * 1e3, 3)} ms"),)
    if not any(rgb.coupling_fitted is not None or setup.circuit.has(f"{c}/coupling") for c in COLOURS):
        yield bound("changing", "picture", setup.state, moved, "", told)
        return
    yield Quantity("changing", "picture", setup.state, lambda d: moved + _settling(setup, d), _names(setup), told)


def shared(setup: Setup) -> Iterator[Quantity]:
    """Figures of what all inputs share: native ends of the colours, resting voltages of analog switches."""
    if len(setup.variant.input) == 1:
        return
    for colour in COLOURS:
        landing = setup.circuit.landing_net(colour)
        if landing is not None and not setup.control.analog and not is_shared(setup.variant):
            board = setup.control.elements(NATIVE)
            network = Network(reach(board, landing, setup.control.walls), setup.control.walls, (landing,))
            values = [e.high if e.kind == "R" else e.low for e in network.elements]
            ohm = float(abs(network.solve({landing: 1.0}, 2 * math.pi * 1e6, None, values)[landing]))
            yield bound("native-end", colour, NATIVE, ohm, "resistors high, capacitors low")
    volts = _resting_v(setup) if setup.control.analog else {}
    for chip in setup.control.analog:
        half = volts[supply_of(chip)] / 2
        nets = {str(chip.nets[p.number]) for p in chip.part.pins if p.kind == "passive"} - {"None"}
        worst = max((abs(float(volts.get(net, 0.0)) / float(half) - 1) for net in nets), default=0.0)
        yield bound("switch-bias", chip.role, NATIVE, worst, "nominal")


def _resting_v(setup: Setup) -> dict[str, Values]:
    """Direct voltages of every net [V], every switch open."""
    control, still = setup.control, Draw({})
    elements = control.direct_current(NATIVE)
    held = {net: control.rail_v(net, still) for net in control.rails}
    return {**Network(elements, control.rails).solve({}, 0.0, held, still.values(elements)), **held}


def _names(setup: Setup) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for line in setup.colours().values() for name in line.parameters))


def _settling(setup: Setup, draw: Draw) -> Values:
    """Settling of the slowest clamp [s]."""
    from rasterport.analysis.coupling import Pin, settling_s

    found = [settling_s(setup, Pin(setup, line), draw) for line in setup.colours().values()]
    most: Values = 0.0
    for seconds in found:
        most = np.maximum(most, seconds)
    return most


def _switch_on(setup: Setup, line: Line) -> Placed | None:
    """The analog switch through which a line goes."""
    nets = {n for e in line.elements for n in (e.first, e.second)}
    for chip in setup.control.analog:
        if any(
            pin.kind == "passive" and len(pin.name) == 1 and chip.nets[pin.number] in nets for pin in chip.part.pins
        ):
            return chip
    return None


def _isolation(setup: Setup, colour: str, line: Line, chip: Placed) -> Iterator[Quantity]:
    """Another source through the capacitance of its open switch, onto what the line has against ground there."""
    farad = chip.part.ratings["feedthrough_f"]
    common = next(
        str(chip.nets[p.number])
        for p in chip.part.pins
        if p.kind == "passive"
        and len(p.name) == 1
        and any(chip.nets[p.number] in (e.first, e.second) for e in line.elements)
    )
    source = Element("source", "R", line.contact, GROUND, LINE_OHM)
    network = Network((*line.elements, source), line.walls, (common,))
    told = (("through an open switch", f"{short(farad * 1e12, 2)} pF"), ("sources", "one other, at the same level"))
    for hertz in CROSSTALK_AT_HZ:
        omega = 2 * math.pi * hertz

        def decibels(draw: Draw, omega: float = omega) -> Values:
            values = (*draw.values(line.elements), LINE_OHM)
            ohm = abs(network.solve({common: 1.0}, omega, None, values)[common])
            own = abs(network.solve({line.contact: 1 / LINE_OHM}, omega, None, values)[common])
            # A source of 1 V stands at half a volt behind its open switch, as the chosen one does before its own.
            return 20 * np.log10(0.5 * omega * farad * ohm / own)

        alike = ("isolation", hertz, line.signature, farad)
        yield Quantity(f"isolation/{mhz(hertz)}", colour, setup.state, decibels, line.parameters, told, "", alike)


def _room(
    setup: Setup,
    name: str,
    line: Line,
    chip: Placed,
    peak_v: float,
    hertz: float,
    source_ohm: float,
    other: str | None = None,
) -> Quantity:
    """What is left between the highest peak of a line and the supply of its switch, about the middle of it.

    `other` is the contact of a second channel that is summed into the line, and driven as one with it.
    """
    pins = [p for p in chip.part.pins if p.kind == "passive" and len(p.name) > 1]
    ends = [str(chip.nets[p.number]) for p in pins if chip.nets[p.number] not in (None, GROUND, *setup.control.walls)]
    channel = next(n for n in ends if any(n in (e.first, e.second) for e in line.elements))
    source = Element("source", "R", line.contact, GROUND, source_ohm)
    network = Network((*line.elements, source), line.walls, (channel,))
    # While another input is chosen nothing loads the channel, and what is behind a resistor swings more.
    idle = setup.between(line.contact, channel, NATIVE)
    if other is not None:
        idle = driven_as_one(idle, other)
    opened = Network((*idle.elements, source), idle.walls, (channel,))
    supply = setup.control.supplies[supply_of(chip)]
    share = 2.0 if source_ohm == LINE_OHM else 1.0
    leak_a = chip.part.ratings["common_leakage_a"]

    def volts(draw: Draw) -> Values:
        values, omega = (*draw.values(line.elements), source_ohm), 2 * math.pi * hertz
        gain = abs(network.solve({line.contact: 1 / source_ohm}, omega, None, values)[channel])
        alone = (*draw.values(idle.elements), source_ohm)
        gain = np.maximum(gain, abs(opened.solve({line.contact: 1 / source_ohm}, omega, None, alone)[channel]))
        # About its mean a picture takes its whole height either way: from black to white and back.
        off_v = leak_a * abs(network.solve({channel: 1.0}, 0.0, None, values)[channel])
        return supply.low / 2 * (1 - MIDDLE_SPREAD) - off_v - peak_v * share * gain

    told = (
        ("lowest supply", f"{short(supply.low, 3)} V"),
        ("greatest height at the socket", f"{short(peak_v, 3)} V"),
        ("leakage of the switch", f"{short(leak_a * 1e6, 2)} uA"),
    )
    names = tuple(dict.fromkeys((*line.parameters, *idle.parameters)))
    alike = ("room", peak_v, leak_a, line.signature, idle.signature, supply)
    return Quantity("switch-room", name, setup.state, volts, names, told, "", alike)


MIDDLE_SPREAD = 0.015
"""How far the middle may be off half of the supply: two resistors of 1 % apart by 3 %, half of it [-]."""
