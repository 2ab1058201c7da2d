"""Figures of the single parts: dissipation of resistors, voltage and polarity of capacitors, stand-off of clamps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from rasterport.analysis.control import RAIL, REGULATOR, net_at, rail_range
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.hull import LINE_HIGH_V, sources, span_of
from rasterport.analysis.network import State
from rasterport.analysis.nodal import GROUND, Element, Network, Values, components, parameters_of
from rasterport.analysis.setup import Setup
from rasterport.analysis.supply import rail_names
from rasterport.design.coil import HOT_DRIVER
from rasterport.records import COLOURS
from rasterport.units import short
from rasterport.variant.models import Input

NOTHING_W = 1e-9
"""Less than this is nothing: what is left of equal voltages is the rounding of the solution [W]."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Dissipation of every part in every state; voltages of capacitors and clamps over all of them."""
    for state in setup.control.states:
        yield from _resistors(setup, state)
        yield from _element(setup, state)
        yield from _semiconductors(setup, state)
    yield from _capacitors(setup)
    yield from _clamps(setup)


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


class _Fed:
    """One connected part of the direct-current network between fixed nets, solved once for any boards."""

    def __init__(self, elements: tuple[Element, ...], fixed: Mapping[str, float], setup: Setup) -> None:
        self.elements, self._fixed, self._setup = elements, fixed, setup
        nets = {net for e in elements for net in (e.first, e.second)}
        self.touched = [net for net in fixed if net in nets]
        self._network = Network(elements, fixed, sorted(nets - {GROUND, *fixed}))

    def watts(self, draw: Draw, element: Element) -> Values:
        """Dissipation of one of the elements [W]."""
        volts = draw.once(self, lambda: self._volts(draw))
        across = volts[element.first] - volts[element.second]
        return across * across / draw.of(element)

    def _volts(self, draw: Draw) -> dict[str, Values]:
        control = self._setup.control
        held = {n: control.rail_v(n, draw) if n in control.rails else self._fixed[n] for n in self.touched}
        return {**self._network.solve({}, 0.0, held, draw.values(self.elements)), **held, GROUND: 0.0}


def _resistors(setup: Setup, state: State) -> Iterator[Quantity]:
    """What the supply does and what the sources do, each by itself: the greater of the two counts."""
    control = setup.control
    elements = control.direct_current(state)
    fed: dict[str, list[_Fed]] = {}
    for fixed in (control.rails, source_volts(setup)):
        for part in components(elements, fixed):
            one = _Fed(part, fixed, setup)
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
        yield Quantity("dissipation", placed.role, state, watts, names, told, "high", inside=element.parameter)


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
    for element, ohm in zip(control.direct_current(state), flows.values, strict=True):
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
        feed = control.supplies.get(net_at(other, "VCC"))
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


def _clamps(setup: Setup) -> Iterator[Quantity]:
    driven = sources(setup.control, inputs_of(setup))
    for placed in (p for p in setup.circuit.parts if "standoff_v" in p.part.ratings):
        spans = [span_of(setup.control, driven, placed.nets[pin.number] or "") for pin in placed.part.pins]
        across = max(abs(end) for span in spans for end in (span.low, span.high))
        yield bound("line-voltage", placed.role, "any", across)
