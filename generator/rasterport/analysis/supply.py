"""Figures of the rail and of what hangs on it: current, regulator, chips, relays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterport.analysis.control import RAIL, REGULATOR, Control, Range, held_range, net_at, rail_range, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.network import State
from rasterport.analysis.nodal import GROUND, Element, Values, components, parameters_of
from rasterport.analysis.setup import Setup
from rasterport.design.coil import HOT_DRIVER, most_w, worst_margin_hot
from rasterport.records import Placed
from rasterport.standards.limits import AMBIENT_HIGH_C
from rasterport.units import short


@dataclass(frozen=True, slots=True)
class Driven:
    """A relay with what the netlist puts round its coil; None where a piece is missing."""

    relay: Placed
    driver: Placed | None
    feed: Range | None
    dropper: Element | None


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the rail, the regulator, the chips and the relays."""
    control = setup.control
    wires = [landed for landed in setup.circuit.landed if landed.name in ("ground", "ground-2")]
    joined = sum(1 for landed in wires if setup.circuit.landing_net(landed.name) == GROUND)
    yield bound("count/grounds", "landing", "any", float(joined))
    if control.element is None:
        return
    for state in control.states:
        yield _rail(control, state)
    state = max(control.states, key=lambda s: float(control.currents(s).rail_a))
    most = control.currents(state)
    yield bound("element-current", "supply/element", "any", float(most.rail_a), f"{state}, rail high, resistors low")
    if control.regulator is not None:
        yield from _regulator(control, control.regulator, float(most.regulated_a))
    for chip in (p for p in setup.circuit.parts if p.part.letter == "U" and p is not control.regulator):
        feed = control.supplies.get(supply_of(chip))
        if feed is None:
            continue
        supply, name = (feed.low, (feed.low + feed.high) / 2, feed.high), control.supply_name(supply_of(chip))
        yield Quantity("chip-supply", chip.role, "any", lambda d, s=supply, n=name: d.between(n, *s), (name,))  # type: ignore[misc]
    for relay in relays(setup):
        yield from _relay(control, relay)


def _rail(control: Control, state: State) -> Quantity:
    def drawn(draw: Draw) -> Values:
        return control.flows(state, draw).rail_a

    rail = control.variant.set.supply
    given = (("rail", f"{rail.voltage:g} V +-{rail.tolerance * 100:.3g} %"),)
    return Quantity("rail-current", "rail", state, drawn, rail_names(control, state), given)


def rail_names(control: Control, state: State) -> tuple[str, ...]:
    """The uncertainties of the rail's current: only what hangs on a rail moves it."""
    elements = control.direct_current(state)
    hanging = [p for p in components(elements, control.rails) if any(n in control.rails for e in p for n in _nets(e))]
    names = (RAIL, *((REGULATOR,) if control.regulator is not None else ()))
    besides = control.off_load if state == "native" else ()
    moving = (*(e for part in hanging for e in part if e != control.element), *besides)
    return tuple(dict.fromkeys((*names, *parameters_of(moving))))


def _nets(element: Element) -> tuple[str, str]:
    return (element.first, element.second)


def _regulator(control: Control, chip: Placed, regulated_a: float) -> Iterator[Quantity]:
    r, rail = chip.part.ratings, rail_range(control.variant)
    yield bound("regulator-input", "regulator", "any", control.supply_range(net_at(chip, "IN")).low, "rail low")
    watts = (rail.high - r["output_low_v"]) * regulated_a + rail.high * r["quiescent_a"]
    junction = AMBIENT_HIGH_C + watts * r["thermal_resistance_k_per_w"]
    given = (
        ("through the regulator", f"{short(regulated_a * 1e3, 3)} mA"),
        ("dissipation", f"{short(watts, 2)} W"),
        ("thermal resistance", f"{r['thermal_resistance_k_per_w']:g} K/W"),
    )
    yield bound("junction", "regulator", "any", junction, "rail high", given)


def relays(setup: Setup) -> tuple[Driven, ...]:
    """Every relay with its driver, its supply and the resistor between."""
    return tuple(_driven(setup, p) for p in setup.circuit.parts if p.part.letter == "K")


def _driven(setup: Setup, relay: Placed) -> Driven:
    low = net_at(relay, "coil-")
    drivers = (p for p in setup.circuit.parts if p.part.letter == "Q" and any(pin.name == "D" for pin in p.part.pins))
    driver = next((p for p in drivers if low and net_at(p, "D") == low and net_at(p, "S") == GROUND), None)
    return Driven(relay, driver, *_feed(setup.control, net_at(relay, "coil+")))


def _feed(control: Control, net: str) -> tuple[Range | None, Element | None]:
    """The supply of a coil and the resistor between, if one is."""
    if net in control.rails:
        return control.supplies[net], None
    for element in control.resistors(control.active):
        if net in (element.first, element.second):
            top = element.second if element.first == net else element.first
            if top in control.rails:
                return control.supplies[top], element
    return None, None


def _relay(control: Control, found: Driven) -> Iterator[Quantity]:
    """One coil with what the netlist puts in its loop: dropper above, driver below."""
    relay, r, driver = found.relay, found.relay.part.ratings, found.driver
    if driver is None or found.feed is None:
        return
    tolerance = r["coil_tolerance_pct"] / 100
    high_ohm, low_ohm = (found.dropper.high, found.dropper.low) if found.dropper else (0.0, 0.0)
    series = high_ohm + driver.part.ratings["rds_on_ohm"] * HOT_DRIVER
    margin = worst_margin_hot(found.feed.low, r["coil_ohm"], tolerance, r["operate_v"], r["coil_rise_k"], series)
    given = (("lowest supply", f"{short(found.feed.low)} V"), ("in series with the coil", f"{short(series, 3)} ohm"))
    state = control.state_of(relay.role)
    yield bound("relay-margin", relay.role, state, 100 * margin, "rail low, 70 C", given)
    watts = most_w(found.feed.high, r["coil_ohm"], tolerance, r["coil_rise_k"], low_ohm)
    told = (
        ("highest supply", f"{short(found.feed.high)} V"),
        ("coil at 20 C", f"{r['coil_ohm']:g} ohm +-{r['coil_tolerance_pct']:g} %"),
        ("rise of the coil", f"{r['coil_rise_k']:g} K"),
        ("in series at its least", f"{short(low_ohm, 3)} ohm"),
    )
    yield bound("coil-power", relay.role, state, watts, "rail high, 70 C", told)
    gate = held_range(control, net_at(driver, "G"), state)
    yield bound("driver-gate", driver.role, state, gate.low if gate is not None else 0.0, "rail low")
