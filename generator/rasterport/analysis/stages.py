"""The transistor stages between a status contact and what it switches, read from the netlist."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rasterport.analysis.control import Control, net_at
from rasterport.analysis.nodal import GROUND, Element, impedance, reach
from rasterport.records import Placed

COLD_V = 0.05
"""What a base-emitter voltage gains from 25 to 0 C [V]; 2 mV a kelvin."""


@dataclass(frozen=True, slots=True)
class Reader:
    """A transistor that reads a line through a divider: resistors [ohm] and their worst spread [-]."""

    series_ohm: float
    base_ohm: float
    spread: float


@dataclass(frozen=True, slots=True)
class HighSide:
    """The high-side stage: its load [A], what the sense stage must sink [A], the gain that is asked of it [-]."""

    load_a: float
    sink_a: float
    gain: float


def between(elements: Iterable[Element], a: str, b: str) -> tuple[Element, ...]:
    """The elements that lie directly between two nets."""
    return tuple(e for e in elements if {e.first, e.second} == {a, b} and a != b)


def together_ohm(elements: Iterable[Element]) -> float:
    """Resistance of elements in parallel [ohm]; 0 without any."""
    found = [e.value for e in elements]
    return 1 / sum(1 / v for v in found) if found else 0.0


def reader(control: Control, transistor: Placed, line: str) -> Reader | None:
    """How a transistor reads `line`; None unless wired line, series, base, resistor to ground, emitter on ground."""
    base = net_at(transistor, "B")
    resistors = control.resistors("input-1")
    series, foot = between(resistors, line, base), between(resistors, GROUND, base)
    if (
        not (series and foot)
        or net_at(transistor, "E") != GROUND
        or net_at(transistor, "C") in ("", GROUND, line, base)
    ):
        return None
    return Reader(together_ohm(series), together_ohm(foot), max(e.spread for e in (*series, *foot)))


def high_side(control: Control) -> HighSide | None:
    """The high-side stage, None unless emitter is on a rail, base held off and pulled by the sense stage.

    The load must be carried at half the least gain; sizing asks for a gain of 10.
    """
    passing, sense = control.part("high-side/pass"), control.part("input-1/status/sense")
    if passing is None or sense is None:
        return None
    base, emitter, collector = (net_at(passing, name) for name in "BEC")
    resistors = control.resistors("input-1")
    hold, drive = between(resistors, base, emitter), between(resistors, base, net_at(sense, "C"))
    if emitter not in control.rails or collector in ("", GROUND, *control.rails) or not (hold and drive):
        return None
    load = reach(resistors, collector, control.rails)
    if not any(GROUND in (e.first, e.second) for e in load):
        return None
    r, feed = passing.part.ratings, control.supplies[emitter]
    load_a = feed.high / abs(impedance(load, collector, 0.0))
    held_a = (r["vbe_high_v"] + COLD_V) / together_ohm(hold)
    drive_a = (feed.low - r["vbe_high_v"] - COLD_V - r["vcesat_v"]) / together_ohm(drive) - held_a
    gain = load_a / drive_a if drive_a > 0 else float("inf")
    return HighSide(load_a, 2 * load_a / r["beta_low"] + held_a, min(gain, 1e6))


def pulled_a(control: Control, net: str) -> float:
    """Current [A] that the rails can send through resistors into a net that is held at ground."""
    pulls = (e for e in control.resistors("input-1") if net in (e.first, e.second))
    ends = ((e, e.second if e.first == net else e.first) for e in pulls)
    return sum(control.supplies[other].high / (e.value * (1 - e.spread)) for e, other in ends if other in control.rails)
