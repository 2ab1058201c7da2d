"""Figures of the single parts: dissipation of resistors, voltage and polarity of capacitors, stand-off of clamps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from rasterport.analysis.control import ON_OHM, RAIL, REGULATOR, rail_range, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.hull import LINE_HIGH_V, sources, span_of
from rasterport.analysis.network import State
from rasterport.analysis.nodal import GROUND, Element, Network, Values, carrying, components, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.analysis.supply import rail_names
from rasterport.design.coil import HOT_DRIVER
from rasterport.records import COLOURS
from rasterport.standards.status_levels import FAULT_V
from rasterport.units import short
from rasterport.variant.models import Input

NOTHING_W = 1e-9
"""Less than this is nothing: what is left of equal voltages is the rounding of the solution [W]."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Dissipation of every part in every state; voltages of capacitors and clamps over all of them."""
    fed: dict[tuple[Element, ...], _Fed] = {}
    for state in setup.control.states:
        yield from _resistors(setup, state, fed)
        yield from _element(setup, state)
        yield from _semiconductors(setup, state)
    yield from _capacitors(setup)
    yield from _clamps(setup)
    yield from _pins(setup)


def inputs_of(setup: Setup) -> list[tuple[Input, Mapping[str, str]]]:
    """Every input with its contacts."""
    return [(view.source, view.contacts) for view in setup.views]


def source_volts(setup: Setup) -> dict[str, float]:
    """The sources of every input at their highest, as fixed voltages at the contacts [V]."""
    held = {}
    for view in setup.views:
        for function, net in view.contacts.items():
            if function in COLOURS or (function == "sync" and view.source.sync != "ttl-composite"):
                held[net] = LINE_HIGH_V
            elif function == "sync":
                held[net] = view.source.ttl_high_most
            elif function.startswith("audio"):
                held[net] = 2**0.5 * view.source.audio_maximum
    return held


def display_volts(setup: Setup) -> dict[str, float]:
    """The set's own display at white on shared pins, as fixed voltages at its landings [V]."""
    display = setup.variant.set.display
    nets = [setup.circuit.landing_net(f"display-{colour}") for colour in COLOURS]
    return {} if display is None else {net: display.high for net in nets if net is not None}


class _Fed:
    """One connected part of the direct-current network between fixed nets, solved once for any boards."""

    def __init__(self, elements: tuple[Element, ...], fixed: Mapping[str, float], setup: Setup) -> None:
        self.elements, self._fixed, self._setup = elements, fixed, setup
        nets = {net for e in elements for net in (e.first, e.second)}
        self.touched = [net for net in fixed if net in nets]
        self.signature = self._signed()
        self._network = Network(elements, fixed, sorted(nets - {GROUND, *fixed}))

    def _signed(self) -> tuple[object, ...]:
        """What makes two parts alike: values and topology with their own nets numbered in order."""
        numbers: dict[str, int] = {}
        rails = self._setup.control.rails
        held = {net: net if net in rails else self._fixed[net] for net in self.touched}

        def place(net: str) -> object:
            return net if net == GROUND else held[net] if net in held else numbers.setdefault(net, len(numbers))

        return tuple((e.kind, e.value, e.spread, e.bounds, place(e.first), place(e.second)) for e in self.elements)

    def watts(self, draw: Draw, element: Element) -> Values:
        """Dissipation of one of the elements [W]."""
        volts = draw.once(self, lambda: self._volts(draw))
        across = volts[element.first] - volts[element.second]
        return across * across / draw.of(element)

    def _volts(self, draw: Draw) -> dict[str, Values]:
        control = self._setup.control
        held = {n: control.rail_v(n, draw) if n in control.rails else self._fixed[n] for n in self.touched}
        return {**self._network.solve({}, 0.0, held, draw.values(self.elements)), **held, GROUND: 0.0}


def _resistors(setup: Setup, state: State, known: dict[tuple[Element, ...], _Fed]) -> Iterator[Quantity]:
    """What the supply does and what the sources do, each by itself: the greater of the two counts.

    `known` are the connected parts of other states: most of a board stands in every state alike.
    """
    control = setup.control
    elements = control.direct_current(state)
    fed: dict[str, list[_Fed]] = {}
    rails = control.rails
    for n, fixed in enumerate((rails, source_volts(setup), display_volts(setup))):
        for part in components(carrying(elements, fixed), fixed) if fixed else ():
            key = (*part, *part[:1] * n)
            one = known.get(key)
            if one is None:
                one = known[key] = _Fed(part, fixed, setup)
            if one.touched:
                for e in part:
                    fed.setdefault(e.role, []).append(one)
    for element in elements:
        coil = element.role.endswith("/coil+coil-")
        placed = control.part(element.role.removesuffix("/coil+coil-"))
        rating = None if placed is None else placed.part.ratings.get("power_w")
        if placed is None or element == control.element or element.role not in fed or not (rating or coil):
            continue
        by = fed[element.role]
        supplies = tuple(
            name
            for name, net_held in ((RAIL, True), (REGULATOR, control.regulator is not None))
            if net_held and any(net in control.rails for one in by for net in one.touched)
        )
        names = (*supplies, *parameters_of(e for one in by for e in one.elements))

        def watts(draw: Draw, by: list[_Fed] = by, element: Element = element) -> Values:
            most = by[0].watts(draw, element)
            for one in by[1:]:
                most = np.maximum(most, one.watts(draw, element))
            return np.where(most > NOTHING_W, most, 0.0)

        # Power turns round only where the resistor itself equals what feeds it.
        told = _given(rating)
        alike = ("dissipation", supplies, *((one.signature, one.elements.index(element)) for one in by))
        yield Quantity(
            "dissipation", placed.role, state, watts, names, told, "high", alike=alike, inside=element.parameter
        )


def _given(rating: float | None) -> tuple[tuple[str, str], ...]:
    return () if rating is None else (("rating at 70 C", f"{rating:g} W"),)


def _element(setup: Setup, state: State) -> Iterator[Quantity]:
    """All current from the rail passes the element of the tap."""
    control = setup.control
    element = control.element
    if element is None:
        return
    known = control.part(element.role)
    rating = None if known is None else known.part.ratings.get("power_w")

    def watts(draw: Draw) -> Values:
        return control.flows(state, draw).rail_a ** 2 * draw.of(element)

    names = (*rail_names(control, state), element.parameter)
    yield Quantity("dissipation", element.role, state, watts, names, _given(rating))


def _semiconductors(setup: Setup, state: State) -> Iterator[Quantity]:
    """Upper bounds: a conducting transistor at its saturation voltage or hot resistance, a regulator, chips."""
    control = setup.control
    flows = control.currents(state)
    for element, ohm in zip(flows.elements, flows.values, strict=True):
        role, _, pins = element.role.rpartition("/")
        placed = control.part(role)
        if placed is None or placed.part.letter != "Q" or pins == "be":
            continue
        amps = float(abs(flows.volts[element.first] - flows.volts[element.second]) / ohm)
        r = placed.part.ratings
        watts = amps * r["vcesat_v"] if "vcesat_v" in r else amps**2 * r["rds_on_ohm"] * HOT_DRIVER
        yield bound("dissipation", role, state, watts, "rail high", (("current", f"{short(amps * 1e3, 3)} mA"),))
    chip, rail = control.regulator, rail_range(setup.variant)
    if chip is not None:
        r = chip.part.ratings
        watts = (rail.high - r["output_low_v"]) * float(flows.regulated_a) + rail.high * r["quiescent_a"]
        yield bound("dissipation", chip.role, state, watts, "rail high")
    for other in (p for p in setup.circuit.parts if p.part.letter == "U" and p is not chip):
        feed = control.supplies.get(supply_of(other))
        if feed is not None:
            watts = feed.high * other.part.ratings["supply_a"]
            yield bound("dissipation", other.role, state, watts, "supply high, without what it drives")


def _capacitors(setup: Setup) -> Iterator[Quantity]:
    driven = sources(setup.control, inputs_of(setup))
    for placed in (p for p in setup.circuit.parts if p.part.letter == "C"):
        plus, minus = (span_of(setup.control, driven, placed.nets[p.number] or "") for p in placed.part.pins)
        across, rated = max(plus.high - minus.low, minus.high - plus.low), placed.part.ratings["voltage_v"]
        given = (("highest voltage", f"{short(across, 3)} V"), ("rating", f"{rated:g} V"))
        yield bound("voltage-share", placed.role, "any", across / rated, "", given)
        if placed.part.ratings.get("polarised"):
            yield bound("reverse-voltage", placed.role, "any", max(0.0, minus.high - plus.low))


def _pins(setup: Setup) -> Iterator[Quantity]:
    """What contacts at their highest direct voltage drive into the pins of chips beyond their supply, the rail on.

    What a capacitor passes swings about a middle voltage and has a figure of its own.
    """
    control = setup.control
    live = live_volts(setup)
    for chip in (p for p in setup.circuit.parts if p.part.letter == "U" and supply_of(p) in control.rails):
        top = chip.part.ratings.get("input_max_v", control.supplies[supply_of(chip)].low + JUNCTION_V)
        pins = [p for p in chip.part.pins if p.kind in ("input", "passive")]
        nets = sorted({str(chip.nets[p.number]) for p in pins} - {GROUND, "None", *control.walls})
        worst = 0.0
        for state in control.states:
            for net in nets:
                part = reach(control.resistors(state), net, control.walls)
                touched = {n for e in part for n in (e.first, e.second)} | {net}
                held = {n: volts for n, volts in live.items() if n in touched}
                if held:
                    worst = max(worst, _driven_a(part, held, net, top))
        yield bound("pin-drive", chip.role, "any", worst, "contacts at their highest, supply low")


def _driven_a(part: tuple[Element, ...], held: Mapping[str, float], net: str, top_v: float) -> float:
    """Current into a net that stands at `top_v` [A]; a contact on the net itself drives without a limit."""
    if held.get(net, 0.0) > top_v:
        return (held[net] - top_v) / ON_OHM
    total, fixed = 0.0, {**held, net: top_v}
    network = Network(part, fixed)
    values = [e.low for e in part]
    volts = {**network.solve({}, 0.0, fixed, values), **fixed, GROUND: 0.0}
    for e, ohm in zip(part, values, strict=True):
        if net in (e.first, e.second):
            other = e.second if e.first == net else e.first
            total += (float(volts[other]) - top_v) / ohm
    return max(0.0, total)


JUNCTION_V = 0.3
"""How far a pin may stand above its supply [V]; makers' sheets allow 0.3 to 0.5 V."""


def live_volts(setup: Setup) -> dict[str, float]:
    """Direct voltages of status and logic contacts, the sources at their highest [V]."""
    held = {}
    for view in setup.views:
        for function, net in view.contacts.items():
            if function.startswith("status"):
                held[net] = FAULT_V
            elif function == "sync" and view.source.sync == "ttl-composite":
                held[net] = view.source.ttl_high_most
    return held


def _clamps(setup: Setup) -> Iterator[Quantity]:
    driven = sources(setup.control, inputs_of(setup))
    for placed in (p for p in setup.circuit.parts if "standoff_v" in p.part.ratings):
        spans = [span_of(setup.control, driven, placed.nets[pin.number] or "") for pin in placed.part.pins]
        across = max(abs(end) for span in spans for end in (span.low, span.high))
        yield bound("line-voltage", placed.role, "any", across)
