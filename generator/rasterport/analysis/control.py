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
from rasterport.analysis.nodal import GROUND, Element, Network, Values, carrying, parameters_of, reach
from rasterport.analysis.outside import MENU
from rasterport.analysis.poses import Pose, Poses
from rasterport.design.coil import COLD_C
from rasterport.design.landings import CONTACT_OHM
from rasterport.design.power import DROP_SHARE
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
OUTPUT_DROP_V = 0.1
"""What a logic output drops into the pull-down of gates [V]: 1 mA through 100 ohm; judgement, stated."""
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
    """From the rail and of that through the regulator [A], voltages of the nets [V], values of the elements [ohm].

    `elements` are those that may carry a current: dead ends are left out.
    """

    rail_a: Values
    regulated_a: Values
    volts: Mapping[str, Values]
    elements: Sequence[Element]
    values: Sequence[Values]


def net_at(placed: Placed, name: str) -> str:
    """Net at the pin with this name, "" where it is left open.  Raises LookupError for a name it does not have."""
    for pin in placed.part.pins:
        if pin.name == name:
            return placed.nets[pin.number] or ""
    raise LookupError(f"{placed.role} has no pin {name}")


SUPPLY_PINS = ("VCC", "VDD")


def supply_of(chip: Placed) -> str:
    """Net at the supply pin of an integrated circuit, "" where it has none or the pin is open."""
    return next((net_at(chip, pin.name) for pin in chip.part.pins if pin.name in SUPPLY_PINS), "")


def output_ohm(ratings: Mapping[str, float], supply_v: float, end: str = "") -> float:
    """Resistance of a logic output [ohm], typical or (`end` "_high") at most, by the next lower row of the supply.

    0 for a part that prints none.
    """
    if f"output_ohm{end}" in ratings:
        return ratings[f"output_ohm{end}"]
    rows = {float(key.split("_")[1].removesuffix("v")): key for key in ratings if _row_of(key, end)}
    if not rows:
        return 0.0
    below = [volts for volts in rows if volts <= supply_v] or [min(rows)]
    return ratings[rows[max(below)]]


def _row_of(key: str, end: str) -> bool:
    return key.startswith("output_") and key.endswith(f"v_ohm{end}")


def rail_range(variant: Variant) -> Range:
    """The set's rail at its tolerance [V]."""
    rail = variant.set.supply
    return Range(rail.voltage * (1 - rail.tolerance), rail.voltage * (1 + rail.tolerance))


ON_LEAST = 0.5
"""Least on-resistance against the typical one; judgement, stated."""


class Control:
    """The control parts of one circuit.  Each network is built once and shared by all who ask."""

    def __init__(self, circuit: Circuit, variant: Variant) -> None:
        self.circuit, self.variant = circuit, variant
        self._roles = {placed.role: placed for placed in circuit.parts}
        self._elements: dict[State, tuple[Element, ...]] = {}
        self._currents: dict[State, Currents] = {}
        self._networks: dict[State, Network] = {}
        self._direct: dict[State, tuple[Element, ...]] = {}
        self._resistors: dict[State, tuple[Element, ...]] = {}
        self._supplies: dict[State, dict[str, Range]] = {}
        self.poses = Poses(circuit, variant)

    def pose(self, state: State, powered: bool = True, menu: bool = False) -> Pose:
        """How the board stands in a state, with a menu of the set's display or without."""
        return self.poses.pose(state, powered, menu)

    @property
    def menus(self) -> bool:
        """Whether the set's display says on the board when it shows a menu."""
        return any(axis.key == MENU for axis in self.poses.place.board.axes)

    def state_of(self, role: str) -> State:
        """The first state in which a relay is energised or a transistor conducts, the active one where none is."""
        return next((s for s in self.states if role in self.pose(s).conducting), self.active)

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

    def elements(self, state: State, powered: bool = True, menu: bool = False) -> tuple[Element, ...]:
        """Every linear part of the board in `state`; an analog switch without its supply is open."""
        name = state + " off" * (not powered) + " menu" * menu
        if name not in self._elements:
            closed = self.pose(state, powered, menu).closed
            self._elements[name] = elements_of(self.circuit, closed, self.switch_ohms)
        return self._elements[name]

    @cached_property
    def switch_ohms(self) -> Mapping[str, tuple[float, float, float]]:
        """Role of an analog switch -> its on-resistance, nominal, least and greatest [ohm], at what its supply is."""
        found = {}
        for chip in self.analog:
            from rasterport.parts.analog_switches import family_of, on_resistance

            supply = self.switch_supply(supply_of(chip))
            family = family_of(chip.part)
            nominal = on_resistance(family, (supply.low + supply.high) / 2).typical_ohm
            least = ON_LEAST * on_resistance(family, supply.high).typical_ohm
            found[chip.role] = (nominal, least, on_resistance(family, supply.low).hot_ohm)
        return found

    def switch_supply(self, net: str) -> Range:
        """Lowest and highest supply of analog switches [V], the drops of the way taken at their greatest."""
        feed = self.blocking.get(net)
        low_v, high_v = (feed.part.ratings["vf_10ma_high_v"], feed.part.ratings["vf_low_v"]) if feed else (0.0, 0.0)
        source = net if feed is None else net_at(feed, "A")
        if self.regulator is not None and source == net_at(self.regulator, "OUT"):
            r = self.regulator.part.ratings
            return Range(r["output_low_v"] - low_v, r["output_high_v"] - high_v)
        rail = rail_range(self.variant)
        return Range(rail.low - DROP_SHARE * self.variant.set.supply.voltage - low_v, rail.high - high_v)

    def resistors(self, state: State) -> tuple[Element, ...]:
        """Resistors and closed contacts of the board in `state`."""
        if state not in self._resistors:
            self._resistors[state] = tuple(e for e in self.elements(state) if e.kind == "R")
        return self._resistors[state]

    @property
    def regulator(self) -> Placed | None:
        """The board's 5 V regulator, None where it has none."""
        return self.part("supply/regulator")

    @cached_property
    def element(self) -> Element | None:
        """What protects the tap, where it lies between the rail's landing and the board; None where it does not."""
        tap = self.circuit.landing_net("rail")
        found = (e for e in elements_of(self.circuit, (), {}) if e.role == "supply/element")
        return next((e for e in found if tap in (e.first, e.second) and GROUND not in (e.first, e.second)), None)

    @cached_property
    def blocking(self) -> Mapping[str, Placed]:
        """Net behind a diode that leads from a supply -> that diode."""
        found: dict[str, Placed] = {}
        for diode in self.diodes:
            behind = net_at(diode, "K")
            fed = {supply_of(p) for p in self.circuit.parts if p.part.letter == "U"}
            if net_at(diode, "A") in self._straight and behind in fed - {"", GROUND, *self._straight}:
                found[behind] = diode
        return found

    @cached_property
    def _straight(self) -> Mapping[str, float]:
        """Nets that the rail holds without a diode between [V, highest]."""
        high = rail_range(self.variant).high
        held = {str(self.circuit.landing_net("rail")): high}
        if self.element is not None:
            held |= {self.element.first: high, self.element.second: high}
        if self.regulator is not None:
            held[net_at(self.regulator, "OUT")] = self.regulator.part.ratings["output_high_v"]
        return held

    @cached_property
    def rails(self) -> Mapping[str, float]:
        """Nets that the set's rail holds: tap, rail, regulator's output, what lies behind a diode [V, highest]."""
        behind = {
            net: self._straight[net_at(diode, "A")] - diode.part.ratings["vf_low_v"]
            for net, diode in self.blocking.items()
        }
        return {**self._straight, **behind}

    @cached_property
    def walls(self) -> tuple[str, ...]:
        """Nets that are ground to a signal: the rails, and middle voltages that a large capacitor holds."""
        return (*self.rails, *(net for net in self.poses.place.board.middles() if net not in self.rails))

    @property
    def supplies(self) -> Mapping[str, Range]:
        """Nets that stand at a supply voltage when the board is active [V], outputs of its stages among them."""
        return self.supplies_in(self.active)

    def supplies_in(self, state: State) -> Mapping[str, Range]:
        """Nets that stand at a supply voltage in a state [V]: rails, stages that conduct, outputs that are high."""
        if state not in self._supplies:
            found = {net: self.supply_range(net) for net in self.rails}
            pose = self.pose(state)
            for passing in (p for p in self.circuit.parts if p.part.key.startswith("transistor/pnp")):
                feed = found.get(net_at(passing, "E"))
                if passing.role in pose.conducting and feed is not None:
                    found.setdefault(
                        net_at(passing, "C"), Range(feed.low - passing.part.ratings["vcesat_v"], feed.high)
                    )
            for chip, net in self.outputs:
                feed = found.get(supply_of(chip))
                if pose.high(net) and feed is not None:
                    found.setdefault(net, Range(feed.low - OUTPUT_DROP_V, feed.high))
            self._supplies[state] = found
        return self._supplies[state]

    @cached_property
    def outputs(self) -> tuple[tuple[Placed, str], ...]:
        """Every logic output that leads somewhere: chip and net."""
        chips = [p for p in self.circuit.parts if p.part.letter == "U" and supply_of(p)]
        return tuple(
            (chip, str(chip.nets[pin.number]))
            for chip in chips
            for pin in chip.part.pins
            if pin.kind == "output" and chip.nets[pin.number] not in (None, GROUND)
        )

    def supply_name(self, net: str) -> str:
        """Name of the uncertainty that moves a supply net."""
        source = net_at(self.blocking[net], "A") if net in self.blocking else net
        return REGULATOR if self.regulator is not None and source == net_at(self.regulator, "OUT") else RAIL

    def supply_range(self, net: str) -> Range:
        """Voltage at one of `rails` [V]: the tap, behind the element, behind the regulator, behind a diode."""
        rail, chip = rail_range(self.variant), self.regulator
        if net in self.blocking:
            diode = self.blocking[net]
            feed, r = self.supply_range(net_at(diode, "A")), diode.part.ratings
            return Range(feed.low - r["vf_10ma_high_v"], feed.high - r["vf_low_v"])
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
        chip = self.regulator
        if state not in self._networks:
            self._networks[state] = Network(carrying(self.direct_current(state), self.rails), self.rails)
        elements = self._networks[state].elements
        values, held = draw.values(elements), {net: self.rail_v(net, draw) for net in self.rails}
        volts = {**self._networks[state].solve({}, 0.0, held, values), **held, GROUND: 0.0}
        made = {net for net in self.rails if self.supply_name(net) == REGULATOR}
        regulated = sum(_out_of(elements, values, volts, net, self.rails) for net in self.rails if net in made)
        direct = sum(_out_of(elements, values, volts, net, self.rails) for net in self.rails if net not in made)
        quiescent = chip.part.ratings["quiescent_a"] if chip is not None else 0.0
        chips = [p for p in self.circuit.parts if p.part.letter == "U" and p is not chip]
        logic = {p.role: p.part.ratings.get("supply_a", 0.0) for p in chips}
        own = sum(amps for p in chips for role, amps in logic.items() if p.role == role and supply_of(p) in made)
        drawn = direct + regulated + self._besides(state, draw)
        drawn = np.where(drawn > NOTHING_A, drawn, 0.0)  # what LEAK_S takes is no current of the board
        return Currents(drawn + quiescent + sum(logic.values()), regulated + own, volts, elements, values)

    def _besides(self, state: State, draw: Draw) -> Values:
        """What resistors do not tell [A]: the blanking pin's own current, a stage that counts as off and its load."""
        part = reach(self.direct_current(state), str(self.circuit.landing_net("blanking")), self.rails)
        touched = any(net in self.rails for e in part for net in (e.first, e.second))
        pin = self.variant.set.blanking.pin_current if touched else 0.0
        pin = pin + self._pulled_low(draw)
        count = sum(_senses(p) for p in self.circuit.parts)
        if not count or state != NATIVE:
            return pin
        return pin + OFF_A * count + self._let_through(draw)

    def _pulled_low(self, draw: Draw) -> Values:
        """What pull-ups give to the display's blanking output while that is low [A]."""
        landing, total = self.circuit.landing_net("display-blanking"), 0.0
        for e in self.resistors(NATIVE) if landing is not None else ():
            if landing in (e.first, e.second):
                other = e.second if e.first == landing else e.first
                total = total + self.rail_v(other, draw) / draw.of(e) if other in self.rails else total
        return total

    @cached_property
    def analog(self) -> tuple[Placed, ...]:
        """The analog switches."""
        return tuple(p for p in self.circuit.parts if p.part.key.startswith("analog-switch/"))

    @cached_property
    def diodes(self) -> tuple[Placed, ...]:
        """Every diode with an anode and a cathode."""
        return tuple(p for p in self.circuit.parts if {pin.name for pin in p.part.pins} == {"A", "K"})

    @cached_property
    def passing(self) -> tuple[Placed, ...]:
        """The high-side stages."""
        return tuple(p for p in self.circuit.parts if p.part.key.startswith("transistor/pnp"))

    @cached_property
    def _off_loads(self) -> tuple[tuple[str, tuple[Element, ...]], ...]:
        """The output of every high-side stage with what hangs on it when it is off."""
        ends = [net_at(p, "C") for p in self.passing]
        return tuple((net, reach(self.resistors(NATIVE), net, self.rails)) for net in ends if net)

    @property
    def off_load(self) -> tuple[Element, ...]:
        """What hangs on the outputs of the high-side stages when they are off."""
        return tuple(e for _, part in self._off_loads for e in part)

    def _let_through(self, draw: Draw) -> Values:
        """What high-side stages that are off send into their loads [A]: OFF_V stand behind each."""
        total: Values = 0.0
        for net, part in self._off_loads:
            if any(GROUND in (e.first, e.second) for e in part):
                network = Network(part, (), (net,))
                total = total + OFF_V / network.solve({net: 1.0}, 0.0, None, draw.values(part))[net]
        return total

    def rail_v(self, net: str, draw: Draw) -> Values:
        """Voltage of one of `rails` [V]; what the element costs is not taken off, so that currents are bounds."""
        if net in self.blocking:
            diode = self.blocking[net]
            return self.rail_v(net_at(diode, "A"), draw) - diode.part.ratings["vf_low_v"]
        if self.regulator is not None and net == net_at(self.regulator, "OUT"):
            r = self.regulator.part.ratings
            return draw.between(REGULATOR, r["output_low_v"], REGULATED_V, r["output_high_v"])
        rail = rail_range(self.variant)
        return draw.between(RAIL, rail.low, self.variant.set.supply.voltage, rail.high)

    def direct_current(self, state: State) -> tuple[Element, ...]:
        """Resistors, contacts, coils, conducting transistors, outputs as resistors to the supply."""
        if state not in self._direct:
            pose = self._with_menu(state)
            found = [e for p in self.circuit.parts for e in _as_resistors(p, p.role in pose.conducting)]
            found += [
                Element(f"{d.role}/forward", "R", net_at(d, "A"), net_at(d, "K"), ON_OHM) for d in self._leading(state)
            ]
            for chip, net in self.outputs:
                supply = supply_of(chip)
                ohm = output_ohm(chip.part.ratings, self.rails.get(supply, 0.0))
                if ohm and not pose.grounded(net):
                    found.append(Element(f"{chip.role}/{net}/output".lower(), "R", supply, net, ohm))
            self._direct[state] = (*self.resistors(state), *found)
        return self._direct[state]

    def _with_menu(self, state: State) -> Pose:
        """A state with a menu of the set's display, where that takes more of the rail; as it is without a display."""
        return self.poses.pose(state, menu=self.circuit.landing_net("display-blanking") is not None)

    def _leading(self, state: State) -> Iterator[Placed]:
        """Diodes from what contacts or outputs hold at a supply into what nothing else feeds: in front of a divider."""
        pose = self._with_menu(state)
        held = {*self.rails, *(net_at(p, "C") for p in self.passing if p.role in pose.conducting)}
        held |= {net for _, net in self.outputs if pose.high(net)}
        for diode in self.diodes:
            anode, cathode = net_at(diode, "A"), net_at(diode, "K")
            joined = (e for e in self.resistors(state) if e.value == CONTACT_OHM and anode in (e.first, e.second))
            fed = anode in held or any({e.first, e.second} & held for e in joined)
            if fed and diode.part.key.startswith("diode/schottky") and cathode not in held:
                yield diode


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

    Rails count, and what stages and outputs that are on in this state put out.
    """
    supplies = control.supplies_in(state)
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
