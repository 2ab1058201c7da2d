"""The control parts as networks: supply nets, currents, what a transistor switches, voltages at gates.

Transistors are worst-case switches here: their bounds are in design/sense.py and in the catalogue.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rasterport.analysis.network import State, elements_of
from rasterport.analysis.nodal import GROUND, Element, reach, solve
from rasterport.design.coil import COLD_C
from rasterport.design.supply import COPPER_PER_K
from rasterport.records import Circuit, Placed
from rasterport.variant.models import Variant

ON_OHM = 1.0
"""A saturated transistor or a forward junction taken as a resistor: an upper bound of current [ohm]."""


@dataclass(frozen=True, slots=True)
class Range:
    """Lowest and highest value, with the corners in words."""

    low: float
    high: float
    low_corner: str = ""
    high_corner: str = ""


@dataclass(frozen=True, slots=True)
class Currents:
    """Upper bounds [A]: from the rail, of that through the regulator."""

    rail_a: float
    regulated_a: float
    volts: Mapping[str, complex]
    elements: Sequence[Element]


def net_at(placed: Placed, name: str) -> str:
    """Net at the pin with this name, "" where it is left open.  Raises LookupError for a name it does not have."""
    for pin in placed.part.pins:
        if pin.name == name:
            return placed.nets[pin.number] or ""
    raise LookupError(f"{placed.role} has no pin {name}")


def rail_range(variant: Variant) -> Range:
    """The set's rail at its tolerance [V]."""
    rail = variant.set.supply
    return Range(rail.voltage * (1 - rail.tolerance), rail.voltage * (1 + rail.tolerance))


class Control:
    """The control parts of one circuit.  Each network is built once and shared by all who ask."""

    def __init__(self, circuit: Circuit, variant: Variant) -> None:
        self.circuit, self.variant = circuit, variant
        self._roles = {placed.role: placed for placed in circuit.parts}
        self._elements: dict[State, tuple[Element, ...]] = {}
        self._currents: dict[State, Currents] = {}

    def part(self, role: str) -> Placed | None:
        """The part with this role, None where the circuit has none."""
        return self._roles.get(role)

    def elements(self, state: State) -> tuple[Element, ...]:
        """Every linear part of the board in `state`."""
        if state not in self._elements:
            self._elements[state] = elements_of(self.circuit, state)
        return self._elements[state]

    def resistors(self, state: State) -> tuple[Element, ...]:
        """Resistors and closed contacts of the board in `state`."""
        return tuple(e for e in self.elements(state) if e.kind == "R")

    @property
    def regulator(self) -> Placed | None:
        """The board's 5 V regulator, None where it has none."""
        return self.part("supply/regulator")

    @cached_property
    def element(self) -> Element | None:
        """What protects the tap, where it lies between the rail's landing and the board; None where it does not."""
        tap = self.circuit.landing_net("rail")
        found = (e for e in self.elements("input-1") if e.role == "supply/element")
        return next((e for e in found if tap in (e.first, e.second) and GROUND not in (e.first, e.second)), None)

    @cached_property
    def rails(self) -> Mapping[str, float]:
        """Nets that the set's rail holds, with or without a source: tap, rail, regulator's output [V, highest]."""
        high = rail_range(self.variant).high
        held = {str(self.circuit.landing_net("rail")): high}
        if self.element is not None:
            held |= {self.element.first: high, self.element.second: high}
        if self.regulator is not None:
            held[net_at(self.regulator, "OUT")] = self.regulator.part.ratings["output_high_v"]
        return held

    @cached_property
    def supplies(self) -> Mapping[str, Range]:
        """Nets that stand at a supply voltage when the board is active [V], the high-side stage's output among them."""
        found = {net: self.supply_range(net) for net in self.rails}
        passing = self.part("high-side/pass")
        if passing is not None and net_at(passing, "E") in found:
            feed = found[net_at(passing, "E")]
            found.setdefault(net_at(passing, "C"), Range(feed.low - passing.part.ratings["vcesat_v"], feed.high))
        return found

    def supply_range(self, net: str) -> Range:
        """Voltage at one of `rails` [V]: the tap, behind the element, or behind the regulator."""
        rail, chip = rail_range(self.variant), self.regulator
        if chip is not None and net == net_at(chip, "OUT"):
            return Range(chip.part.ratings["output_low_v"], chip.part.ratings["output_high_v"])
        if self.element is None or net == self.circuit.landing_net("rail"):
            return rail
        drawn = max(self.currents(state).rail_a for state in ("native", "input-1"))
        return Range(rail.low - self.element.value * (1 + self.element.spread) * drawn, rail.high)

    def currents(self, state: State) -> Currents:
        """Direct currents of the control parts with the rail at its high corner: an upper bound."""
        if state not in self._currents:
            self._currents[state] = self._solve_currents(state)
        return self._currents[state]

    def _solve_currents(self, state: State) -> Currents:
        chip = self.regulator
        elements = self.direct_current(state)
        volts = solve(elements, {}, 0.0, self.rails)
        logic_net = net_at(chip, "OUT") if chip is not None else ""
        regulated = _out_of(elements, volts, logic_net, self.rails) if chip is not None else 0.0
        direct = sum(_out_of(elements, volts, net, self.rails) for net in self.rails if net != logic_net)
        quiescent = chip.part.ratings["quiescent_a"] if chip is not None else 0.0
        chips = (p for p in self.circuit.parts if p.part.letter == "U" and p is not chip)
        logic = sum(p.part.ratings.get("supply_a", 0.0) for p in chips)
        through = regulated + logic if chip is not None else 0.0
        return Currents(direct + regulated + quiescent + logic, through, volts, elements)

    def direct_current(self, state: State) -> tuple[Element, ...]:
        """Resistors at their least, contacts, coils, conducting transistors, outputs as resistors to the supply."""
        found = [_at_least(e) for e in self.resistors(state)]
        for placed in self.circuit.parts:
            found += _as_resistors(placed, _conducts(placed.role, state))
        return tuple(found)


def _at_least(element: Element) -> Element:
    return Element(element.role, "R", element.first, element.second, element.value * (1 - element.spread), 0.0)


def _conducts(role: str, state: State) -> bool:
    """Whether a transistor of the control parts conducts in a state; those of an unknown role never do."""
    active = state != "native"
    if role == "gate/clamp":
        return not active
    return active and (
        role.startswith("stage/driver") or role in ("input-1/status/sense", "high-side/pass", "gate/invert")
    )


def _as_resistors(placed: Placed, conducting: bool) -> Iterator[Element]:
    names = {pin.name for pin in placed.part.pins}
    pairs: tuple[tuple[str, str], ...] = ()
    ohm = ON_OHM
    if placed.part.letter == "Q" and conducting:
        pairs = (("C", "E"), ("B", "E")) if "C" in names else (("D", "S"),)
    elif placed.part.letter == "K":
        pairs = (("coil+", "coil-"),)
        tolerance = placed.part.ratings["coil_tolerance_pct"] / 100
        ohm = placed.part.ratings["coil_ohm"] * (1 - tolerance) * (1 + COPPER_PER_K * (COLD_C - 20))
    elif placed.part.letter == "U" and "VCC" in names:
        pairs = tuple(("VCC", name) for name in sorted(names) if name.endswith("Y"))
        ohm = placed.part.ratings["output_ohm"]
    for a, b in pairs:
        first, second = net_at(placed, a), net_at(placed, b)
        if first and second:
            yield Element(f"{placed.role}/{a}{b}".lower(), "R", first, second, ohm)


def _out_of(elements: Sequence[Element], volts: Mapping[str, complex], net: str, rails: Mapping[str, float]) -> float:
    """Current that leaves a held net through elements that do not end on another held net [A]."""
    total = 0.0
    for e in elements:
        if net in (e.first, e.second):
            other = e.second if e.first == net else e.first
            if other not in rails:
                total += (volts[net] - volts[other]).real / e.value
    return total


def held_range(control: Control, net: str, state: State) -> Range | None:
    """Voltage at a net [V] through resistors from supply nets; None where none of them leads there.

    In the native state only the rails count, since the high-side stage is open.
    """
    supplies = control.supplies if state != "native" else {n: control.supplies[n] for n in control.rails}
    if net in supplies:
        return supplies[net]
    part = reach(control.resistors(state), net, supplies)
    sources = {n: supplies[n] for e in part for n in (e.first, e.second) if n in supplies}
    if not sources:
        return None
    low = solve(part, {}, 0.0, {n: r.low for n, r in sources.items()})[net].real
    high = solve(part, {}, 0.0, {n: r.high for n, r in sources.items()})[net].real
    return Range(low, high)


def grounded(control: Control, net: str, state: State) -> bool:
    """Whether resistors or contacts lead from a net to ground."""
    part = reach(control.resistors(state), net, control.rails)
    return net == GROUND or any(GROUND in (e.first, e.second) for e in part)
