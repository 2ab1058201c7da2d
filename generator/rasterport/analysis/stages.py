"""The transistor stages between a status contact and what it switches, read from the netlist."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from rasterport.analysis.control import Control, net_at
from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.nodal import GROUND, Element, Values, impedance, parameters_of, reach
from rasterport.blocks.highside import STEER_V
from rasterport.blocks.status import bounds
from rasterport.design.landings import CONTACT_OHM
from rasterport.design.sense import COLD_K, HOT_K, REFERENCE_K, vbe
from rasterport.records import Placed
from rasterport.units import short

VBE, GAIN, TEMPERATURE = "V_BE", "gain", "temperature"
"""Names of the uncertainties of a transistor."""

COLD_V = 0.05
"""What a base-emitter voltage gains from 25 to 0 C [V]; 2 mV a kelvin."""


@dataclass(frozen=True, slots=True)
class Reader:
    """A transistor that reads a line through a divider: resistors [ohm], their worst spread [-], the elements."""

    series_ohm: float
    base_ohm: float
    spread: float
    series: tuple[Element, ...] = ()
    foot: tuple[Element, ...] = ()


@dataclass(frozen=True, slots=True)
class HighSide:
    """A high-side stage on a call: transistor, load [A], what the call must sink [A], the gain asked of it [-]."""

    passing: Placed
    load_a: float
    sink_a: float
    gain: float


def between(elements: Iterable[Element], a: str, b: str) -> tuple[Element, ...]:
    """The elements that lie directly between two nets."""
    return tuple(e for e in elements if {e.first, e.second} == {a, b} and a != b)


def together_ohm(elements: Iterable[Element], end: Literal["nominal", "low", "high"] = "nominal") -> float:
    """Resistance of elements in parallel [ohm], nominal or at one end; 0 without any."""
    found = [e.value if end == "nominal" else e.low if end == "low" else e.high for e in elements]
    return 1 / sum(1 / v for v in found) if found else 0.0


def _only(control: Control, net: str, *others: str) -> bool:
    """Whether resistors lead from a net to these others and nowhere else."""
    touching = (e for e in control.resistors(control.active) if net in (e.first, e.second))
    return all({e.first, e.second} - {net} <= set(others) for e in touching)


def reader(control: Control, transistor: Placed, line: str) -> Reader | None:
    """How a transistor reads `line`; None unless wired line, series, base, resistor to ground, emitter on ground.

    The emitter may be joined with ground by what lets the stage act: it is where the transistor conducts.
    """
    base, state = net_at(transistor, "B"), control.state_of(transistor.role)
    resistors = control.resistors(control.active)
    series, foot = between(resistors, line, base), between(resistors, GROUND, base)
    if (
        not (series and foot)
        or not control.pose(state).grounded(net_at(transistor, "E"))
        or net_at(transistor, "C") in ("", GROUND, line, base)
        or not _only(control, base, line, GROUND)
    ):
        return None
    return Reader(together_ohm(series), together_ohm(foot), max(e.spread for e in (*series, *foot)), series, foot)


def high_sides(control: Control, call: str) -> tuple[HighSide, ...] | None:
    """The high-side stages that a call turns on; None where one is not wired as a stage must be.

    Emitter on a rail, base held off and pulled by the call, alone or through a diode of its own, collector on a load.
    """
    if call in ("", GROUND, *control.rails):
        return None
    # A switch that calls grounds the net as well: its contact is no resistor of the stage.
    resistors = tuple(e for e in control.resistors(control.active) if e.value != CONTACT_OHM)
    steered = {net_at(d, "A") for d in control.diodes if net_at(d, "K") == call}
    ends = {net for e in resistors for net in (e.first, e.second) if call in (e.first, e.second)} - {call}
    behind = [e for e in resistors if {e.first, e.second} & steered]
    ends |= {net for e in behind for net in (e.first, e.second)} - steered
    stages = [p for p in control.passing if net_at(p, "B") in ends]
    if ends - {net_at(p, "B") for p in stages} - set(control.rails):
        return None
    found = [_high_side(control, p, call, steered) for p in stages]
    return None if None in found else tuple(stage for stage in found if stage is not None)


def _high_side(control: Control, passing: Placed, call: str, steered: set[str]) -> HighSide | None:
    """The load must be carried at half the least gain; sizing asks for a gain of 10."""
    base, emitter, collector = (net_at(passing, name) for name in "BEC")
    resistors = control.resistors(control.active)
    hold = between(resistors, base, emitter)
    straight = between(resistors, base, call)
    drive = straight or tuple(e for net in sorted(steered) for e in between(resistors, base, net))
    if emitter not in control.rails or collector in ("", GROUND, *control.rails) or not (hold and drive):
        return None
    others = {n for e in resistors if base in (e.first, e.second) for n in (e.first, e.second)} - {base, emitter}
    calls = {net_at(d, "A") for d in control.diodes} | {call}
    if not others <= calls:
        return None
    load = _shorted(control, reach(resistors, collector, control.rails))
    ends = {net for e in load for net in (e.first, e.second)}
    if GROUND not in ends or ends & set(control.rails):
        return None
    r, feed = passing.part.ratings, control.supplies[emitter]
    load_a = feed.high / abs(impedance(load, collector, 0.0, [e.low for e in load]))
    held_a = (r["vbe_high_v"] + COLD_V) / together_ohm(hold, "low")
    steer_v = 0.0 if straight else STEER_V
    drive_a = (feed.low - r["vbe_high_v"] - COLD_V - r["vcesat_v"] - steer_v) / together_ohm(drive, "high") - held_a
    gain = load_a / drive_a if drive_a > 0 else float("inf")
    return HighSide(passing, load_a, 2 * load_a / r["beta_low"] + held_a, min(gain, 1e6))


def _shorted(control: Control, part: tuple[Element, ...]) -> tuple[Element, ...]:
    """The elements with every net at ground that a transistor can take there: the heaviest load."""
    drains = {
        net_at(p, far)
        for p in control.circuit.parts
        for near, far in (("E", "C"), ("S", "D"))
        if p.part.letter == "Q" and {near, far} <= {pin.name for pin in p.part.pins} and net_at(p, near) == GROUND
    }
    moved = dict.fromkeys(drains, GROUND)
    return tuple(replace(e, first=moved.get(e.first, e.first), second=moved.get(e.second, e.second)) for e in part)


def pulled_a(control: Control, net: str) -> float:
    """Current [A] that the rails can send through resistors into a net that is held at ground."""
    pulls = (e for e in control.resistors(control.active) if net in (e.first, e.second))
    ends = ((e, e.second if e.first == net else e.first) for e in pulls)
    return sum(control.supplies[other].high / (e.value * (1 - e.spread)) for e, other in ends if other in control.rails)


def edges(
    stage: Reader, transistor: Placed, sink_a: float, off_a: float, named: str, state: str
) -> dict[str, Quantity]:
    """Off and on edge of a stage as quantities: series and base resistors, V_BE, gain and temperature move them."""
    b, names = bounds(transistor.part), parameters_of((*stage.series, *stage.foot))

    def ohm(draw: Draw, elements: tuple[Element, ...]) -> Values:
        return 1 / sum(1 / value for value in draw.values(elements))

    def base_v(draw: Draw, collector_a: float) -> Values:
        reference = draw.between(VBE, b.vbe_low_v, (b.vbe_low_v + b.vbe_high_v) / 2, b.vbe_high_v)
        kelvin = draw.between(TEMPERATURE, COLD_K, REFERENCE_K, HOT_K)
        return vbe(reference, collector_a, kelvin) * (1 + ohm(draw, stage.series) / ohm(draw, stage.foot))

    def off(draw: Draw) -> Values:
        return base_v(draw, off_a)

    def on(draw: Draw) -> Values:
        gain = draw.between(GAIN, b.beta_low, (b.beta_low * b.beta_high) ** 0.5, b.beta_high)
        return base_v(draw, sink_a) + sink_a / gain * ohm(draw, stage.series)

    given = (
        (VBE, f"{b.vbe_low_v:g} to {b.vbe_high_v:g} V at 2 mA and 25 C"),
        (GAIN, f"{b.beta_low:g} to {b.beta_high:g}"),
        (TEMPERATURE, "0 to 70 C"),
        ("sinks when on", f"{short(sink_a * 1e3, 3)} mA"),
        ("counts as off", f"{off_a * 1e6:g} uA"),
    )
    return {
        "off": Quantity(f"{named}-off-edge", "", "native", off, (TEMPERATURE, VBE, *names), given),
        "on": Quantity(f"{named}-on-edge", "", state, on, (TEMPERATURE, VBE, GAIN, *names), given),
    }
