"""Figures of the status contact and of the gate line: edges, load, 12 V by mistake, gain asked of transistors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rasterport.analysis.control import Control, net_at
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
    high_side,
    pulled_a,
    reader,
    together_ohm,
)
from rasterport.blocks.gate import CLAMP_OFF_A
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
    """The sense stage of the input as the netlist has it; None where a piece is not wired as a stage must be."""

    levels: StatusLevels
    net: str
    transistor: Placed
    stage: Reader | None
    passing: HighSide | None


@dataclass(frozen=True, slots=True)
class Gate:
    """The gate line's stages as the netlist has them.

    `stage` reads the line and must sink `sink_a` [A]; `drive_a` [A] is what the clamp's base gets where an inverter
    drives it, None where it gets nothing; `diverted_a` [A] is what the clamp takes from the sense stage.
    """

    clamp: Placed
    inverter: Placed | None
    stage: Reader | None
    sink_a: float
    diverted_a: float
    drive_a: float | None


def sense(setup: Setup) -> Sense | None:
    """The sense stage; None where a panel switch chooses, or the contact reaches no stage."""
    if setup.variant.selector.control != "status":
        return None
    levels = STATUS_LEVELS[f"status-{setup.source.status_contact}"]
    net, transistor = setup.contacts.get(levels.key), setup.control.part(setup.role("status/sense"))
    if net is None or transistor is None:
        return None
    return Sense(levels, net, transistor, reader(setup.control, transistor, net), high_side(setup.control, transistor))


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the status contact and of the gate line."""
    found = sense(setup)
    if found is not None:
        key = found.levels.key
        if found.stage is not None and found.passing is not None:
            ends = edges(found.stage, found.transistor, found.passing.sink_a, OFF_A, "status", setup.state)
            yield from (replace(q, subject=key) for q in ends.values())
            asked = found.passing.gain
            corner = "rail low for the base, high for the load"
            given = (("load", f"{short(found.passing.load_a * 1e3, 3)} mA"),)
            yield bound("gain", "high-side", setup.state, asked, corner, given)
        yield _load(setup.control, found, setup.state)
        yield bound(
            "status-capacitance", key, setup.state, _capacitance(setup.control, found.net, setup.state), "all high"
        )
        yield _fault(setup.control, found, setup.state)
    if setup.index == 1:  # one gate line serves every input
        yield from _gate(setup)


def _load(control: Control, found: Sense, state: State) -> Quantity:
    """The junction can only shorten the way to ground: the load is judged with the base at ground."""
    part = reach(control.resistors(state), found.net)
    shorted = (*part, Element("junction", "R", net_at(found.transistor, "B"), GROUND, 1e-3))
    network = Network(shorted, (), (found.net,))

    def ohm(draw: Draw) -> Values:
        return network.solve({found.net: 1.0}, 0.0, None, draw.values(shorted))[found.net]

    return Quantity("status-load", found.levels.key, state, ohm, parameters_of(part))


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
    return bound("status-fault", found.levels.key, state, worst[0], "resistors low", given)


def gate(setup: Setup) -> Gate | None:
    """The gate line's stages; None where nothing is gated or the clamp does not lie on the sense stage's base."""
    control = setup.control
    clamp, transistor = control.part("gate/clamp"), control.part(setup.role("status/sense"))
    if setup.variant.selector.gate != "line" or clamp is None or transistor is None:
        return None
    if net_at(clamp, "C") != net_at(transistor, "B") or net_at(clamp, "E") != GROUND:
        return None
    levels = STATUS_LEVELS[f"status-{setup.source.status_contact}"]
    series = between(control.resistors(setup.state), setup.contacts.get(levels.key, ""), net_at(transistor, "B"))
    diverted = levels.on_most_v / together_ohm(series, "low") if series else 0.0
    inverter = control.part("gate/invert")
    sink = diverted if inverter is None else pulled_a(control, net_at(inverter, "C"))
    stage = reader(control, inverter or clamp, setup.circuit.landing_net("gate") or "")
    drive = None if inverter is None else _drive_a(control, net_at(inverter, "C"), clamp)
    return Gate(clamp, inverter, stage, sink, diverted, drive)


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
        yield bound("gain", "gate", "native", gain, "rail low, contact at its highest level", given)
