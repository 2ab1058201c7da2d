"""The control parts as networks: supply nets, currents, what a transistor switches, voltages at gates.

Transistors are worst-case switches here: their bounds are in design/sense.py and in the catalogue.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rasterport.analysis.corners import Corners, Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.network import NATIVE, State, elements_of, states_of
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.design.coil import COLD_C
from rasterport.design.sense import OFF_A
from rasterport.design.supply import CABINET_C, COPPER_PER_K
from rasterport.records import Circuit, Placed
from rasterport.variant.models import Variant

ON_OHM = 1.0
"""A saturated transistor or a forward junction taken as a resistor: an upper bound of current [ohm]."""

RAIL, REGULATOR = "rail", "regulator"
"""Names of the uncertainties of the two supplies."""
REGULATED_V = 5.0
OFF_V = 0.25
"""Highest voltage behind a high-side stage that counts as off [V]: 30 uA in the sense stage; transistor-level trials of
the templates gave 0.12 to 0.24 V."""
NOTHING_A = 1e-9


@dataclass(frozen=True, slots=True)
class Range:
    """Lowest and highest value, with the corners in words."""

    low: float
    high: float
    low_corner: str = ""
    high_corner: str = ""


@dataclass(frozen=True, slots=True)
class Currents:
    """From the rail and of that through the regulator [A], voltages of the nets [V], values of the elements [ohm]."""

    rail_a: Values
    regulated_a: Values
    volts: Mapping[str, Values]
    values: Sequence[Values]


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
        self._networks: dict[State, Network] = {}
        self._direct: dict[State, tuple[Element, ...]] = {}

    @property
    def states(self) -> tuple[State, ...]:
        """Every state of the board, native first."""
        return states_of(self.variant)

    @property
    def active(self) -> State:
        """A state in which an input is chosen: what all of them share is read there."""
        return self.states[1]

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
        found = (e for e in self.elements(self.active) if e.role == "supply/element")
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

    def supply_name(self, net: str) -> str:
        """Name of the uncertainty that moves a supply net."""
        return REGULATOR if self.regulator is not None and net == net_at(self.regulator, "OUT") else RAIL

    def supply_range(self, net: str) -> Range:
        """Voltage at one of `rails` [V]: the tap, behind the element, or behind the regulator."""
        rail, chip = rail_range(self.variant), self.regulator
        if chip is not None and net == net_at(chip, "OUT"):
            return Range(chip.part.ratings["output_low_v"], chip.part.ratings["output_high_v"])
        if self.element is None or net == self.circuit.landing_net("rail"):
            return rail
        drawn = max(self.currents(state).rail_a for state in self.states)
        return Range(rail.low - self.element.high * drawn, rail.high)

    def currents(self, state: State) -> Currents:
        """Direct currents of the control parts: an upper bound, with the rail high and every resistor at its least."""
        if state not in self._currents:
            low = dict.fromkeys(parameters_of((*self.direct_current(state), *self.off_load)), -1.0)
            self._currents[state] = self.flows(state, Draw({**low, RAIL: 1.0, REGULATOR: 1.0}))
        return self._currents[state]

    def flows(self, state: State, draw: Draw) -> Currents:
        """Direct currents of the control parts for any boards; conducting transistors and junctions are 1 ohm."""
        return draw.once((self, "flows", state), lambda: self._flows(state, draw))  # type: ignore[no-any-return]

    def _flows(self, state: State, draw: Draw) -> Currents:
        chip, elements = self.regulator, self.direct_current(state)
        values, held = draw.values(elements), {net: self.rail_v(net, draw) for net in self.rails}
        if state not in self._networks:
            self._networks[state] = Network(elements, self.rails)
        volts = {**self._networks[state].solve({}, 0.0, held, values), **held, GROUND: 0.0}
        logic_net = net_at(chip, "OUT") if chip is not None else ""
        regulated = _out_of(elements, values, volts, logic_net, self.rails) if chip is not None else 0.0
        direct = sum(_out_of(elements, values, volts, net, self.rails) for net in self.rails if net != logic_net)
        quiescent = chip.part.ratings["quiescent_a"] if chip is not None else 0.0
        chips = (p for p in self.circuit.parts if p.part.letter == "U" and p is not chip)
        logic = sum(p.part.ratings.get("supply_a", 0.0) for p in chips)
        through = regulated + logic if chip is not None else 0.0
        drawn = direct + regulated + self._besides(state, draw)
        drawn = np.where(drawn > NOTHING_A, drawn, 0.0)  # what LEAK_S takes is no current of the board
        return Currents(drawn + quiescent + logic, through, volts, values)

    def _besides(self, state: State, draw: Draw) -> Values:
        """What resistors do not tell [A]: the blanking pin's own current, a stage that counts as off and its load."""
        part = reach(self.direct_current(state), str(self.circuit.landing_net("blanking")), self.rails)
        touched = any(net in self.rails for e in part for net in (e.first, e.second))
        pin = self.variant.set.blanking.pin_current if touched else 0.0
        if not any(_senses(p) for p in self.circuit.parts) or state != NATIVE:
            return pin
        return pin + OFF_A + self._let_through(draw)

    @cached_property
    def off_load(self) -> tuple[Element, ...]:
        """What hangs on the output of the high-side stage when that is off."""
        passing = self.part("high-side/pass")
        return () if passing is None else reach(self.resistors(NATIVE), net_at(passing, "C"), self.rails)

    def _let_through(self, draw: Draw) -> Values:
        """What a high-side stage that is off sends into its load [A]: OFF_V stand behind it."""
        passing = self.part("high-side/pass")
        if passing is None or not any(GROUND in (e.first, e.second) for e in self.off_load):
            return 0.0
        net = net_at(passing, "C")
        return OFF_V / Network(self.off_load, (), (net,)).solve({net: 1.0}, 0.0, None, draw.values(self.off_load))[net]

    def rail_v(self, net: str, draw: Draw) -> Values:
        """Voltage of one of `rails` [V]; what the element costs is not taken off, so that currents are bounds."""
        if self.regulator is not None and net == net_at(self.regulator, "OUT"):
            r = self.regulator.part.ratings
            return draw.between(REGULATOR, r["output_low_v"], REGULATED_V, r["output_high_v"])
        rail = rail_range(self.variant)
        return draw.between(RAIL, rail.low, self.variant.set.supply.voltage, rail.high)

    def direct_current(self, state: State) -> tuple[Element, ...]:
        """Resistors, contacts, coils, conducting transistors, outputs as resistors to the supply."""
        if state not in self._direct:
            parts = self.circuit.parts
            found = [e for p in parts for e in _as_resistors(p, _conducts(p.role, state))]
            self._direct[state] = (*self.resistors(state), *found)
        return self._direct[state]


def _conducts(role: str, state: State) -> bool:
    """Whether a transistor of the control parts conducts in a state; those of an unknown role never do."""
    active = state != NATIVE
    if role == "gate/clamp":
        return not active
    return active and (
        role.startswith("stage/driver") or role == f"{state}/status/sense" or role in ("high-side/pass", "gate/invert")
    )


def _senses(placed: Placed) -> bool:
    return placed.role.endswith("/status/sense")


def _as_resistors(placed: Placed, conducting: bool) -> Iterator[Element]:
    names = {pin.name for pin in placed.part.pins}
    pairs: tuple[tuple[str, str], ...] = ()
    ohm, bounds, r = ON_OHM, None, placed.part.ratings
    if placed.part.letter == "Q" and conducting:
        pairs = (("C", "E"), ("B", "E")) if "C" in names else (("D", "S"),)
    elif placed.part.letter == "K":
        pairs, ohm = (("coil+", "coil-"),), r["coil_ohm"]
        tolerance = r["coil_tolerance_pct"] / 100
        hot = CABINET_C + r["coil_rise_k"] - 20
        bounds = (
            ohm * (1 - tolerance) * (1 + COPPER_PER_K * (COLD_C - 20)),
            ohm * (1 + tolerance) * (1 + COPPER_PER_K * hot),
        )
    elif placed.part.letter == "U" and "VCC" in names:
        pairs = tuple(("VCC", name) for name in sorted(names) if name.endswith("Y"))
        ohm = r["output_ohm"]
    for a, b in pairs:
        first, second = net_at(placed, a), net_at(placed, b)
        if first and second:
            yield Element(f"{placed.role}/{a}{b}".lower(), "R", first, second, ohm, bounds=bounds)


def _out_of(
    elements: Sequence[Element], values: Sequence[Values], volts: Mapping[str, Values], net: str, rails: Iterable[str]
) -> Values:
    """Current that leaves a held net through elements that do not end on another held net [A]."""
    total: Values = 0.0
    for e, ohm in zip(elements, values, strict=True):
        if net in (e.first, e.second):
            other = e.second if e.first == net else e.first
            if other not in rails:
                total = total + (volts[net] - volts[other]) / ohm
    return total


def held_range(control: Control, net: str, state: State) -> Range | None:
    """Voltage at a net [V] through resistors from supply nets; None where none of them leads there.

    In the native state only the rails count, since the high-side stage is open.
    """
    supplies = control.supplies if state != NATIVE else {n: control.supplies[n] for n in control.rails}
    if net in supplies:
        return supplies[net]
    part = reach(control.resistors(state), net, supplies)
    sources = {n: supplies[n] for e in part for n in (e.first, e.second) if n in supplies}
    if not sources:
        return None
    network, names = Network(part, sources, (net,)), parameters_of(part)

    def volts(draw: Draw) -> Values:
        held = {n: draw.between(RAIL, r.low, (r.low + r.high) / 2, r.high) for n, r in sources.items()}
        return network.solve({}, 0.0, held, draw.values(part))[net]

    found = Corners().spread(Quantity("driver-gate", net, state, volts, (RAIL, *names)))
    return Range(found.low, found.high)


def grounded(control: Control, net: str, state: State) -> bool:
    """Whether resistors or contacts lead from a net to ground."""
    part = reach(control.resistors(state), net, control.rails)
    return net == GROUND or any(GROUND in (e.first, e.second) for e in part)
