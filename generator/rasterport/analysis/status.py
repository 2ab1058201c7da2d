"""Figures of the status contact and of the gate line: edges, load, 12 V by mistake, gain asked of transistors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rasterport.analysis.control import Control, held_range, net_at, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.network import State
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.analysis.stages import (
    COLD_V,
    HighSide,
    Reader,
    between,
    edges,
    high_sides,
    pulled_a,
    reader,
    together_ohm,
)
from rasterport.blocks.gate import CLAMP_OFF_A
from rasterport.blocks.status import call_of
from rasterport.design.choosing import choosing
from rasterport.design.sense import OFF_A
from rasterport.records import Placed
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS, StatusLevels
from rasterport.units import short

JUNCTION_OHM = 1.0
"""A forward junction taken as a resistor: an upper bound of current [ohm]."""
CLOSED_V = 0.4
"""What a saturated transistor leaves on the gate line's stage [V]; makers' sheets, with room."""


@dataclass(frozen=True, slots=True)
class Sense:
    """The sense stage of the input as the netlist has it; None where a piece is not wired as a stage must be.

    `subject` is what its figures are called, `sink_a` what its call must sink [A]: high-side stages and pulls.
    """

    levels: StatusLevels
    subject: str
    net: str
    transistor: Placed
    stage: Reader | None
    passing: tuple[HighSide, ...] | None
    sink_a: float


@dataclass(frozen=True, slots=True)
class Gate:
    """The gate line's stages as the netlist has them: a FET between the emitters of the sense stages and ground.

    `stage` reads the line and must sink `sink_a` [A]; the clamp takes `diverted_a` [A] off the FET's gate; `drive_a`
    [A] is what the clamp's base gets where an inverter drives it, None where it gets nothing.
    """

    fet: Placed
    clamp: Placed
    inverter: Placed | None
    stage: Reader | None
    sink_a: float
    diverted_a: float
    drive_a: float | None


def sense(setup: Setup) -> Sense | None:
    """The sense stage; None where the contact is not read, or reaches no stage."""
    if setup.index not in choosing(setup.variant).by_status:
        return None
    levels = STATUS_LEVELS[f"status-{setup.source.status_contact}"]
    net, transistor = setup.contacts.get(levels.key), setup.control.part(setup.role("status/sense"))
    if net is None or transistor is None:
        return None
    call = net_at(transistor, "C")
    passing = high_sides(setup.control, call)
    sink_a = pulled_a(setup.control, call) + sum(stage.sink_a for stage in passing or ())
    subject = setup.contact_subject(levels.key)
    return Sense(levels, subject, net, transistor, reader(setup.control, transistor, net), passing, sink_a)


def stages_of(setup: Setup) -> tuple[HighSide, ...] | None:
    """The high-side stages that the call of the input turns on, () where it has none; None where one is not wired."""
    call = call_of(setup.index)
    if setup.variant.selector.path not in ("relay", "direct") or not _called(setup, call):
        return ()
    return high_sides(setup.control, call)


def _called(setup: Setup, call: str) -> bool:
    """Whether anything can pull the call: a sense stage, or a throw of a switch."""
    drivers = (p for p in setup.circuit.parts if p.part.letter in ("Q", "S"))
    return any(call in p.nets.values() for p in drivers)


def scope_of(passing: Placed) -> str:
    """What a high-side stage is called: "high-side", or that of a stage of the chain."""
    return passing.role.rpartition("/")[0]


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the status contact and of the gate line."""
    found = sense(setup)
    corner = "rail low for the base, high for the load"
    for stage in stages_of(setup) or ():
        given = (("load", f"{short(stage.load_a * 1e3, 3)} mA"),)
        yield bound("gain", scope_of(stage.passing), setup.state, stage.gain, corner, given)
    if found is not None:
        if found.stage is not None and found.passing is not None and found.sink_a > 0:
            ends = edges(found.stage, found.transistor, found.sink_a, OFF_A, "status", setup.state)
            yield from (replace(q, subject=found.subject) for q in ends.values())
        yield from _call(setup.control, found)
        yield _load(setup.control, found, setup.state)
        farad = _capacitance(setup.control, found.net, setup.state)
        yield bound("status-capacitance", found.subject, setup.state, farad, "all high")
        yield _fault(setup.control, found, setup.state)
    if setup.index == 1:  # one gate line serves every input
        yield from _gate(setup)


def reading(control: Control, call: str) -> Placed | None:
    """The chip whose input a call is, None where high-side stages follow."""
    chips = (p for p in control.circuit.parts if p.part.letter == "U" and supply_of(p))
    pins = ((p, pin) for p in chips for pin in p.part.pins if pin.kind == "input")
    return next((p for p, pin in pins if p.nets[pin.number] == call), None)


def high_share(chip: Placed) -> float:
    """Share of its supply from which a chip surely reads a high level [-]."""
    r = chip.part.ratings
    return r.get("vt_rise_high_fraction", r.get("input_high_fraction", 1.0))


def _call(control: Control, found: Sense) -> Iterator[Quantity]:
    """A call while its stage is just off and the chip that reads it leaks: what the pull-up leaves of the supply."""
    call = net_at(found.transistor, "C")
    chip = reading(control, call)
    if chip is None:
        return
    supply = control.supplies[supply_of(chip)]
    ends = (
        e for e in control.resistors("native") if call in (e.first, e.second) and supply_of(chip) in (e.first, e.second)
    )
    ohm = together_ohm(tuple(ends), "high") or float("inf")
    drawn = OFF_A + chip.part.ratings.get("input_a", 0.0)
    given = (("drawn from it", f"{short(drawn * 1e6, 3)} uA"), ("pull-up", f"{short(ohm)} ohm"))
    share = max(0.0, supply.low - drawn * ohm) / supply.low
    yield bound("call-high", found.subject, "native", share, "supply low", given)


def _load(control: Control, found: Sense, state: State) -> Quantity:
    """The junction can only shorten the way to ground: the load is judged with the base at ground."""
    part = reach(control.resistors(state), found.net)
    shorted = (*part, Element("junction", "R", net_at(found.transistor, "B"), GROUND, 1e-3))
    network = Network(shorted, (), (found.net,))

    def ohm(draw: Draw) -> Values:
        return network.solve({found.net: 1.0}, 0.0, None, draw.values(shorted))[found.net]

    return Quantity("status-load", found.subject, state, ohm, parameters_of(part))


def _capacitance(control: Control, net: str, state: State) -> float:
    """All capacitors within reach of the contact [F], as if they were in parallel: an upper bound."""
    return sum(e.high for e in reach(control.elements(state), net, control.rails) if e.kind == "C")


def _fault(control: Control, found: Sense, state: State) -> Quantity:
    """12 V on the contact for ever: the part that is nearest to its rating."""
    base = net_at(found.transistor, "B")
    part = (*reach(control.resistors(state), found.net), Element("junction", "R", base, GROUND, JUNCTION_OHM))
    low = [e.low for e in part]
    nets = sorted({n for e in part for n in (e.first, e.second)} - {GROUND, found.net})
    solved = Network(part, (found.net,), nets).solve({}, 0.0, {found.net: FAULT_V}, low)
    volts = {**solved, found.net: FAULT_V, GROUND: 0.0}
    worst: tuple[float, str, float] = (0.0, "none", 0.0)
    for element, ohm in zip(part, low, strict=True):
        placed = control.part(element.role)
        if placed is None or "power_w" not in placed.part.ratings:
            continue
        watts = abs(volts[element.first] - volts[element.second]) ** 2 / ohm
        worst = max(worst, (watts / placed.part.ratings["power_w"], element.role, watts), key=lambda w: w[0])
    given = (("nearest to its rating", worst[1]), ("takes", f"{short(worst[2], 3)} W"))
    return bound("status-fault", found.subject, state, worst[0], "resistors low", given)


def gate(setup: Setup) -> Gate | None:
    """The gate line's stages; None where nothing is gated or the FET does not lie below every sense stage."""
    control = setup.control
    clamp, fet = control.part("gate/clamp"), control.part("gate/return")
    if setup.variant.selector.gate != "line" or clamp is None or fet is None:
        return None
    senses = [control.part(f"input-{n}/status/sense") for n in choosing(setup.variant).by_status]
    if any(s is None or net_at(s, "E") != net_at(fet, "D") for s in senses):
        return None
    if net_at(clamp, "C") != net_at(fet, "G") or net_at(clamp, "E") != GROUND:
        return None
    diverted = pulled_a(control, net_at(fet, "G"))
    inverter = control.part("gate/invert")
    sink = diverted if inverter is None else pulled_a(control, net_at(inverter, "C"))
    stage = reader(control, inverter or clamp, setup.circuit.landing_net("gate") or "")
    drive = None if inverter is None else _drive_a(control, net_at(inverter, "C"), clamp)
    return Gate(fet, clamp, inverter, stage, sink, diverted, drive)


def _drive_a(control: Control, closed: str, clamp: Placed) -> float | None:
    """The clamp's base current is what pull and feed let through from the rail."""
    resistors = control.resistors(control.active)
    feed = between(resistors, closed, net_at(clamp, "B"))
    rail = next((net for net in control.rails if between(resistors, closed, net)), None)
    if rail is None or not feed:
        return None
    total = together_ohm(feed, "high") + together_ohm(between(resistors, closed, rail), "high")
    return (control.supplies[rail].low - clamp.part.ratings["vbe_high_v"] - COLD_V) / total


def _gate(setup: Setup) -> Iterator[Quantity]:
    found = gate(setup)
    if found is None:
        return
    if found.stage is not None and found.sink_a > 0:
        ends = edges(found.stage, found.inverter or found.clamp, found.sink_a, CLAMP_OFF_A, "gate", setup.state)
        yield from (replace(q, subject="gate") for q in ends.values())
        most = setup.variant.selector.gate_maximum
        amps = (most - CLOSED_V) / together_ohm(found.stage.series, "low")
        yield bound("gate-current", "gate", setup.state, amps, "", setup.given(("selector.gate_maximum",)))
    if found.inverter is not None and found.drive_a is not None:
        gain = found.diverted_a / found.drive_a if found.drive_a > 0 else 1e6
        given = (("diverted", f"{short(found.diverted_a * 1e3, 3)} mA"),)
        yield bound("gain", "gate", "native", gain, "rail low for the base, high for the load", given)
    control, lever = setup.control, net_at(found.fet, "G")
    lifted = held_range(control, lever, control.state_of(found.fet.role))
    pulls = [e for e in control.resistors(control.active) if lever in (e.first, e.second)]
    # A clamp that is off still takes its leakage through the pull.
    low = 0.0 if lifted is None else max(0.0, lifted.low - CLAMP_OFF_A * together_ohm(pulls, "high"))
    yield bound("driver-gate", found.fet.role, setup.state, low, "rail low")
