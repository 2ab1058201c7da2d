"""Blanking where the set's display drives the pin too: levels by either and by both, edges, what the display must give.

Read from parts and nets: the diodes whose cathodes lead to the pin, and behind each anode whatever feeds it.  A diode
is its forward voltage while it conducts, anything between the bounds of its row, and a leak while it blocks.  Of the
sets of diodes that may conduct the one with the highest pin counts: a reverse current through a diode would lower it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np

from rasterport.analysis.blanking import PIN_CURRENT, amps_text
from rasterport.analysis.control import Control, Range, net_at, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.edges import Step
from rasterport.analysis.network import NATIVE, State, set_side
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.design.display_blanking import DIODE_LEAST, LOGIC_SPREAD, SATURATED_OHM
from rasterport.design.landings import CONTACT_OHM
from rasterport.records import Placed
from rasterport.standards.limits import FITTED_SPREAD, SET_SPREAD
from rasterport.units import short
from rasterport.variant.display import Display

LANDING = "display-blanking"
PIN_C, LEAD_C = "set/blanking/capacitance", "set/display-blanking/lead"
"""Roles of what the set has at the pin and on the display's line."""
EMF = "set/display-blanking/output"
"""The display's output in front of its resistance."""
DISPLAY_V, LEAK, DELAY, THRESHOLD = "level of the display", "leak of a diode", "delay of an inverter", "threshold"
CHIP_EDGE = "edge of an inverter"
"""Names of uncertainties."""
SLOPE_OHM = 15.0
"""A diode that conducts 2 to 5 mA is its forward voltage behind so much to an edge [ohm]: 26 to 46 mV over that."""
FEWEST, MOST = 1, 4
"""So many diodes at the pin are understood."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the board does (`state`) and whether the display shows a menu."""

    state: State
    menu: bool


@dataclass(frozen=True, slots=True)
class Feeding:
    """Elements round the pin in one case, what holds their outer nets [V], the diodes at the pin."""

    elements: tuple[Element, ...]
    held: Mapping[str, tuple[str, Range, float]]
    diodes: tuple[Placed, ...]


class Joining:
    """The blanking pin of one board with a display."""

    def __init__(self, control: Control, display: Display) -> None:
        self.control, self.display = control, display
        self.pin = str(control.circuit.landing_net("blanking"))
        self.landing = str(control.circuit.landing_net(LANDING))
        self._feeding: dict[tuple[Shown, str], Feeding] = {}
        self._networks: dict[tuple[Shown, str, tuple[str, ...]], Network] = {}

    def supplies(self, state: State) -> Mapping[str, Range]:
        """Nets that stand at a supply voltage [V]; what inverters put out is worked out, not held."""
        outputs = {net for _, net in self.control.outputs}
        return {net: r for net, r in self.control.supplies_in(state).items() if net not in outputs}

    @cached_property
    def diodes(self) -> tuple[Placed, ...]:
        """Every diode whose cathode leads to the pin through resistors, and whose anode does not."""
        nets = self.around(NATIVE)
        return tuple(d for d in self.control.diodes if net_at(d, "K") in nets and net_at(d, "A") not in nets)

    def around(self, state: State) -> set[str]:
        """Nets that resistors join with the pin, neither supplies nor ground."""
        part = reach(self.control.resistors(state), self.pin, self.supplies(state))
        found = {net for e in part for net in (e.first, e.second)} | {self.pin}
        return found - {GROUND, *self.supplies(state)}

    def reached(self, state: State) -> set[str]:
        """Nets between pin, diodes and what feeds them, without supplies and ground."""
        found = self.around(state)
        for diode in self.diodes:
            part = reach(self.control.resistors(state), net_at(diode, "A"), self.supplies(state))
            found |= {net_at(diode, "A"), *(net for e in part for net in (e.first, e.second))}
        return found - {GROUND, *self.supplies(state)}

    def feeding(self, shown: Shown, without: str = "") -> Feeding:
        """The pin with everything that feeds it; `without` names a role that has opened."""
        key = (shown, without)
        if key not in self._feeding:
            self._feeding[key] = self._made(shown, without)
        return self._feeding[key]

    def _made(self, shown: Shown, without: str) -> Feeding:
        control, supplies = self.control, self.supplies(shown.state)
        pose = control.poses.pose(shown.state, menu=shown.menu)
        resistors = control.resistors(shown.state)
        found = dict.fromkeys(reach(resistors, self.pin, supplies))
        for diode in self.diodes:
            found |= dict.fromkeys(reach(resistors, net_at(diode, "A"), supplies))
        nets = {net for e in found for net in (e.first, e.second)} | {net_at(d, "A") for d in self.diodes}
        for chip, net in control.outputs:
            if net in nets and supply_of(chip) in supplies:
                r = chip.part.ratings
                ohms = (r["output_ohm"], r["output_ohm_high"])
                end = supply_of(chip) if pose.high(net) else GROUND
                role, middle = f"{chip.role}/{net}/output".lower(), sum(ohms) / 2
                found[Element(role, "R", end, net, middle, bounds=(ohms[0] / 2, ohms[1]))] = None
        held = {net: (control.supply_name(net), r, (r.low + r.high) / 2) for net, r in supplies.items()}
        if self.landing in nets:
            found[self.output(shown.menu == (self.display.blanking_active == "high"))] = None
            held[EMF] = self._output(shown.menu)
        fitted = control.variant.set.blanking.fitted_resistor
        if fitted is not None:
            found[Element("set/blanking/resistor", "R", self.pin, GROUND, fitted, FITTED_SPREAD)] = None
        elements = tuple(e for e in found if e.role != without)
        touched = {net for e in elements for net in (e.first, e.second)} | {net_at(d, "A") for d in self.diodes}
        return Feeding(elements, {n: v for n, v in held.items() if n in touched}, self.diodes)

    def output(self, high: bool) -> Element:
        """The resistance of the display's output; an open collector that is low has that of its transistor."""
        ohm = self.display.blanking_resistance
        if not high and self.display.blanking_drive == "open-collector":
            ohm = min(ohm, SATURATED_OHM)
        return Element(EMF, "R", EMF, self.landing, max(ohm, CONTACT_OHM), SET_SPREAD)

    def _output(self, menu: bool) -> tuple[str, Range, float]:
        """The display's output: name of its uncertainty, bounds and nominal [V]; a low level lies between 0 and it."""
        keys = self.display
        if menu == (keys.blanking_active == "high"):
            high = keys.blanking_high
            return DISPLAY_V, Range(high * (1 - LOGIC_SPREAD), high * (1 + LOGIC_SPREAD)), high
        return DISPLAY_V, Range(0.0, keys.blanking_low), keys.blanking_low / 2

    @cached_property
    def stray(self) -> tuple[Element, ...]:
        """Capacitance of the pin with its lead, of the display's lead, of the diodes."""
        return tuple(self._stray())

    def _stray(self) -> Iterator[Element]:
        for e in set_side(self.control.circuit, self.control.variant):
            if e.role in (PIN_C, LEAD_C):
                yield e
        nets = self.reached(NATIVE)
        for e in self.control.elements(NATIVE):
            if e.kind == "C" and (e.first in nets or e.second in nets):
                yield e
        for d in self.diodes:
            farad, ends = d.part.ratings["capacitance_f"], (net_at(d, "A"), net_at(d, "K"))
            mean = farad * over_swing(self._swing[net_at(d, "K")])
            yield Element(f"{d.role}/capacitance", "C", *ends, mean, bounds=(DIODE_LEAST * farad, farad))

    def volts(self, draw: Draw, shown: Shown, without: str = "", net: str = "", pin_a: Values | None = None) -> Values:
        """Voltage at the pin, or at another net while the pin is where it is [V]."""
        wanted = net or self.pin
        if pin_a is None:
            most = self.control.variant.set.blanking.pin_current
            pin_a = draw.between(PIN_CURRENT, -most, 0.0, most)
        best: Values = -np.inf
        there: Values = -np.inf
        for some in self._sets():
            at = self._solved(draw, shown, without, some, pin_a)
            there = np.where(at[self.pin] > best, at.get(wanted, 0.0), there)
            best = np.maximum(best, at[self.pin])
        return there if np.ndim(there) else float(there)

    def _sets(self) -> Iterator[tuple[Placed, ...]]:
        for count in range(len(self.diodes) + 1):
            yield from combinations(self.diodes, count)

    def _solved(
        self, draw: Draw, shown: Shown, without: str, some: tuple[Placed, ...], pin_a: Values
    ) -> dict[str, Values]:
        """Every net with these diodes conducting and the others leaking."""
        f = self.feeding(shown, without)
        elements = (*f.elements, *(Element(d.role, "R", net_at(d, "A"), net_at(d, "K"), CONTACT_OHM) for d in some))
        key = (shown, without, tuple(d.role for d in some))
        if key not in self._networks:
            nets = {net for e in elements for net in (e.first, e.second)} | {self.pin}
            self._networks[key] = Network(elements, f.held, sorted(nets - {GROUND, *f.held}))
        held = self.held(draw, f)
        found = self._networks[key].solve(self.injected(draw, f, some, pin_a), 0.0, held, draw.values(elements))
        return {**found, **held}

    def held(self, draw: Draw, f: Feeding) -> dict[str, Values]:
        """The outer nets [V]."""
        return {net: draw.between(name, r.low, middle, r.high) for net, (name, r, middle) in f.held.items()}

    def injected(
        self, draw: Draw, f: Feeding, some: Sequence[Placed], pin_a: Values, ohm: float = CONTACT_OHM
    ) -> dict[str, Values]:
        """The pin's current, the forward voltages of the diodes that conduct as currents, the leaks of the others."""
        found: dict[str, Values] = {self.pin: pin_a}

        def add(net: str, amps: Values) -> None:
            found[net] = found.get(net, 0.0) + amps

        for d in f.diodes:
            r = d.part.ratings
            if d in some:
                low, high = r["vf_low_v"], r.get("vf_10ma_high_v", r["vf_high_v"])
                amps = draw.between(f"{d.role}/drop", low, (low + high) / 2, high) / ohm
                add(net_at(d, "A"), amps)
                add(net_at(d, "K"), -amps)
            elif some:  # without a drive nothing stands across a diode
                add(net_at(d, "K"), -draw.between(LEAK, 0.0, 0.0, r["leakage_a"]))
        return found

    def names(self, shown: Shown, stray: bool = False) -> tuple[str, ...]:
        """Every uncertainty in a case."""
        f = self.feeding(shown)
        outer = dict.fromkeys(name for name, _, _ in f.held.values())
        drops = (f"{d.role}/drop" for d in f.diodes)
        parts = parameters_of((*f.elements, *(self.stray if stray else ())))
        return tuple(dict.fromkeys((*outer, *drops, *(() if stray else (LEAK, PIN_CURRENT)), *parts)))

    def given(self, shown: Shown) -> tuple[tuple[str, str], ...]:
        """What is put into a figure besides the parts, in words."""
        f = self.feeding(shown)
        rows = [
            (f"{name}, at {net}", f"{short(r.low)} to {short(r.high)} V")
            for net, (name, r, _) in sorted(f.held.items())
        ]
        for d in f.diodes[:1]:
            r = d.part.ratings
            high = r.get("vf_10ma_high_v", r["vf_high_v"])
            rows.append(("forward voltage of a diode", f"{short(r['vf_low_v'])} to {short(high)} V"))
        return (*rows, ("current of the pin", amps_text(self.control.variant.set.blanking.pin_current)))

    def transient(self, draw: Draw, rising: bool) -> Step:
        """The pin when a menu begins or ends, the board's own drive at rest, without the pin's current.

        When a menu begins, the diode that leads it conducts all the way; when it ends, none does.
        """
        on, off = Shown(NATIVE, True), Shown(NATIVE, False)
        f = self.feeding(on if rising else off)
        leading = self.leading
        some = leading if rising else ()
        elements = (
            *f.elements,
            *(Element(d.role, "R", net_at(d, "A"), net_at(d, "K"), SLOPE_OHM) for d in some),
            *self.stray,
        )
        start: Mapping[str, Values] = {}
        if not rising:
            start = self._solved(draw, on, "", leading, 0.0)
        still = Still(draw)
        injected = self.injected(still, f, some, 0.0, SLOPE_OHM)
        return Step(elements, draw.values(elements), self.held(draw, f), start, injected)

    @cached_property
    def _swing(self) -> Mapping[str, float]:
        """Voltages of the nets while the display alone drives the pin, nominal [V]."""
        return {n: float(v) for n, v in self._solved(Draw({}), Shown(NATIVE, True), "", self.leading, 0.0).items()}

    @cached_property
    def leading(self) -> tuple[Placed, ...]:
        """The diodes that conduct while the display alone drives the pin."""
        draw, shown = Draw({}), Shown(NATIVE, True)
        found = [(float(self._solved(draw, shown, "", some, 0.0)[self.pin]), some) for some in self._sets()]
        return max(found, key=lambda row: row[0])[1]


def over_swing(volts: float) -> float:
    """Mean capacitance of an abrupt junction from 0 to `volts` [V] backwards, against that at 0 [-].

    C = C_0 / sqrt(1 + V / 1 V), its charge over V.
    """
    return 2 * (math.sqrt(1 + volts) - 1) / volts if volts > 0 else 1.0


class Still(Draw):
    """A draw without leaks, for edges."""

    def __init__(self, other: Draw) -> None:
        super().__init__({})
        self._other = other

    def place(self, name: str) -> Values:
        """As in the other draw; no leak."""
        return -1.0 if name == LEAK else self._other.place(name)


def joining(control: Control) -> Joining | None:
    """The pin of a board with a display whose blanking lands on it, None for any other board."""
    display, at = control.variant.set.display, control.circuit.landing_net
    if display is None or at(LANDING) is None or at("blanking") is None:
        return None
    return Joining(control, display)


def cases_of(control: Control) -> Mapping[str, Shown]:
    """An input without a menu, a menu without an input, a menu over an input."""
    on = control.active
    return {"board": Shown(on, False), "display": Shown(NATIVE, True), "both": Shown(on, True)}


def quantities(control: Control) -> Iterator[Quantity]:
    """Every figure of a blanking pin that a display drives too."""
    j = joining(control)
    if j is None or not FEWEST <= len(j.diodes) <= MOST:
        return
    on, cases = control.active, cases_of(control)

    def level(key: str, subject: str, shown: Shown, without: str = "") -> Quantity:
        names, given = j.names(shown), j.given(shown)
        return Quantity(key, subject, shown.state, lambda draw: j.volts(draw, shown, without), names, given)

    for subject, shown in cases.items():
        yield level("meeting-on", subject, shown)
    yield level("meeting-off", "blanking", Shown(NATIVE, False))
    both = j.names(cases["both"])
    yield Quantity("meeting-kept", "blanking", on, lambda draw: kept(j, draw, cases), both, bends="high")
    for e in j.feeding(cases["both"]).elements:
        if e.uncertain and not e.role.startswith("set/") and not e.role.endswith("/output"):
            yield level("meeting-open", e.role, cases["both"], e.role)
    yield Quantity(
        "meeting-given", "display", NATIVE, lambda draw: given_a(j, draw), j.names(cases["display"]),
        j.given(cases["display"]),
    )  # fmt: skip
    for key, rising in (("meeting-rise", True), ("meeting-fall", False)):
        shown = Shown(NATIVE, rising)
        names = tuple(dict.fromkeys((*j.names(Shown(NATIVE, True), True), *j.names(Shown(NATIVE, False), True))))
        names = (*names, *([] if rising else [LEAK]), *([CHIP_EDGE] if inverters(j) else []))
        yield Quantity(key, "blanking", NATIVE, lambda draw, up=rising: edge_s(j, draw, up), names, j.given(shown))  # type: ignore[misc]
    chips = inverters(j)
    if chips:
        names = tuple(dict.fromkeys((EMF, DISPLAY_V, DELAY, THRESHOLD, *delay_names(j, chips))))
        yield Quantity("meeting-delay", "blanking", NATIVE, lambda draw: delay_s(j, draw, chips), names)
        for high in (True, False):
            at = (DISPLAY_V, *delay_names(j, chips))
            word = "high" if high else "low"
            yield Quantity("meeting-level", word, NATIVE, lambda draw, up=high: level_v(j, draw, chips, up), at)  # type: ignore[misc]
    yield bound("meeting-reverse", "blanking", on, reverse_v(j), "", (("drives", "the highest of both"),))


def kept(j: Joining, draw: Draw, cases: Mapping[str, Shown]) -> Values:
    """What both together give more than the greater of either [V]; below 0 one pulls the other down."""
    alone = np.maximum(j.volts(draw, cases["board"]), j.volts(draw, cases["display"]))
    return j.volts(draw, cases["both"]) - alone


def given_a(j: Joining, draw: Draw) -> Values:
    """Current that the display's output gives while it shows a menu, alone [A]; negative: into it."""
    shown = Shown(NATIVE, True)
    f = j.feeding(shown)
    if EMF not in f.held:
        return 0.0
    name, r, middle = f.held[EMF]
    output = next(e for e in f.elements if e.role == EMF)
    return (draw.between(name, r.low, middle, r.high) - j.volts(draw, shown, "", j.landing)) / draw.of(output)


def edge_s(j: Joining, draw: Draw, rising: bool) -> Values:
    """From 10 to 90 % of the pin's way [s]; edges in a row add as their squares, as usual for cascades."""
    first, last = j.transient(draw, rising).share(j.pin, 0.1, 0.9)
    chips = inverters(j)
    if chips is None:
        return last - first
    r = chips.chip.part.ratings
    return np.hypot(
        last - first, draw.between(CHIP_EDGE, r["edge_typical_s"] / 2, r["edge_typical_s"], r["edge_most_s"])
    )


@dataclass(frozen=True, slots=True)
class Inverters:
    """Inverters between the display and its diode: number, the first one with its input's net, what leads there.

    `stray` are the capacitances on the way.
    """

    count: int
    chip: Placed
    net: str
    elements: tuple[Element, ...]
    stray: tuple[Element, ...]


def inverters(j: Joining) -> Inverters | None:
    """The inverters that the display's line goes through, followed from the anodes backwards; None without any."""
    places = {}
    for chip in j.control.poses.place.board.chips:
        if len(chip.inputs) == 1 and len(chip.outputs) == 1:
            places[chip.outputs[0]] = chip
    for diode in j.diodes:
        net, count, last = net_at(diode, "A"), 0, None
        while net in places and count < MOST:
            last, net, count = places[net], places[net].inputs[0], count + 1
        if last is None:
            continue
        placed = next((p for p in j.control.circuit.parts if last.role.startswith(p.role + " ")), None)
        part = reach(j.control.resistors(NATIVE), net, j.supplies(NATIVE))
        if placed is not None and any(j.landing in (e.first, e.second) for e in part):
            farad = placed.part.ratings["input_f"]
            stray = Element(f"{placed.role}/input", "C", net, GROUND, farad, bounds=(DIODE_LEAST * farad, farad))
            lead = tuple(e for e in j.stray if e.role == LEAD_C)
            return Inverters(count, placed, net, part, (stray, *lead))
    return None


def delay_names(j: Joining, chips: Inverters) -> tuple[str, ...]:
    """Uncertainties of the way to the inverter."""
    touched = {net for e in chips.elements for net in (e.first, e.second)}
    return (
        *parameters_of((*chips.elements, *chips.stray)),
        EMF,
        *(j.control.supply_name(n) for n in j.supplies(NATIVE) if n in touched),
    )


def _round_inverter(j: Joining, draw: Draw, chips: Inverters) -> tuple[dict[str, Values], dict[bool, Values]]:
    """What holds the nets round the inverter's input [V], and the display's output, high and low [V]."""
    supplies, keys = j.supplies(NATIVE), j.display
    touched = {net for e in chips.elements for net in (e.first, e.second)}
    held = {
        net: draw.between(j.control.supply_name(net), x.low, (x.low + x.high) / 2, x.high)
        for net, x in supplies.items()
        if net in touched
    }
    high = keys.blanking_high
    spread = draw.between(DISPLAY_V, high * (1 - LOGIC_SPREAD), high, high * (1 + LOGIC_SPREAD))
    return held, {True: spread, False: keys.blanking_low}


def _standing(j: Joining, draw: Draw, chips: Inverters, high: bool) -> dict[str, Values]:
    """Every net round the inverter's input while the display's output is high or low [V]."""
    held, outputs = _round_inverter(j, draw, chips)
    elements = (*chips.elements, j.output(high))
    return Network(elements, {EMF, *held}, None).solve({}, 0.0, {**held, EMF: outputs[high]}, draw.values(elements))


def level_v(j: Joining, draw: Draw, chips: Inverters, high: bool) -> Values:
    """The display's level at the inverter's input [V]."""
    return _standing(j, draw, chips, high)[chips.net]


def delay_s(j: Joining, draw: Draw, chips: Inverters) -> Values:
    """From the display's edge, either way, until the last inverter has followed [s]."""
    r = chips.chip.part.ratings
    held, outputs = _round_inverter(j, draw, chips)
    middle = {end: (r[f"vt_{end}_low_v"] + r[f"vt_{end}_high_v"]) / 2 for end in ("rise", "fall")}
    rise = draw.between(THRESHOLD, r["vt_rise_low_v"], middle["rise"], r["vt_rise_high_v"])
    fall = draw.between(THRESHOLD, r["vt_fall_high_v"], middle["fall"], r["vt_fall_low_v"])
    worst: Values = 0.0
    for high, threshold in ((True, rise), (False, fall)):
        start = _standing(j, draw, chips, not high)
        elements = (*chips.elements, j.output(high), *chips.stray)
        step = Step(elements, draw.values(elements), {**held, EMF: outputs[high]}, start)
        (at,) = step.crossing(chips.net, threshold)
        worst = np.maximum(worst, at)
    typical, most = r["delay_typical_s"], r["delay_most_s"]
    return worst + chips.count * draw.between(DELAY, typical / 2, typical, most)


def reverse_v(j: Joining) -> float:
    """The highest voltage that a diode which blocks can see [V]: the highest that the other one's drive has."""
    highest = [r.high for shown in (Shown(j.control.active, True), Shown(NATIVE, True))
               for _, r, _ in j.feeding(shown).held.values()]  # fmt: skip
    return max(highest, default=0.0)
