"""The blanking landing: its voltage when active, what the board leaves on it when idle."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from rasterport.analysis.control import OFF_V, Control, Range, net_at
from rasterport.analysis.corners import Corners, Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.design.landings import CONTACT_OHM
from rasterport.standards.limits import FITTED_SPREAD
from rasterport.units import short

STAGE = "stage that is off"
PIN_CURRENT = "current out of the pin"
"""Name of the uncertainty of the pin's own current, whose sign no data sheet promises."""


@dataclass(frozen=True, slots=True)
class Idle:
    """The pin when native: highest voltage from its own current [V], the board's resistors that stay on it,
    whether ground and the set's own wire are reached, and the rail if one is.
    """

    volts: float
    roles: tuple[str, ...]
    grounded: bool
    native: bool
    rail: str


def divider_parts(control: Control, state: str = "") -> tuple[Element, ...]:
    """What lies between the supply nets and the blanking landing in a state, the active one if none is said."""
    pin, state = str(control.circuit.landing_net("blanking")), state or control.active
    return reach(control.resistors(state), pin, control.supplies_in(state))


def driven(control: Control, state: str = "") -> bool:
    """Whether a supply net leads to the blanking landing in a state, the active one if none is said."""
    supplies = control.supplies_in(state or control.active)
    return any(net in supplies for e in divider_parts(control, state) for net in (e.first, e.second))


def active(control: Control, without: str = "", state: str = "") -> Quantity:
    """The voltage at the blanking landing when active, over supply, resistors and pin current of either sign.

    `without` names a role that is taken out, as if that resistor had opened; `state` another state than the first in
    which an input is chosen.
    """
    state = state or control.active
    fitted = control.variant.set.blanking.fitted_resistor
    pin = str(control.circuit.landing_net("blanking"))
    part = [e for e in divider_parts(control, state) if e.role != without]
    if fitted is not None:
        part.append(Element("set/blanking/resistor", "R", pin, GROUND, fitted, FITTED_SPREAD))
    key = "blanking-open" if without else "blanking-on"
    return _pin(control, key, without or "blanking", state, part, control.supplies_in(state))


def _pin(
    control: Control, key: str, subject: str, state: str, part: list[Element], supplies: Mapping[str, Range]
) -> Quantity:
    """The pin's voltage behind a network that ends on ground and on supplies."""
    pin, current = str(control.circuit.landing_net("blanking")), control.variant.set.blanking.pin_current
    touched = {net for e in part for net in (e.first, e.second) if net in supplies}
    network = Network(part, touched, (pin,))

    def volts(draw: Draw) -> Values:
        held = {}
        for net in touched:
            r = supplies[net]
            held[net] = draw.between(control.supply_name(net), r.low, (r.low + r.high) / 2, r.high)
        out = draw.between(PIN_CURRENT, -current, 0.0, current)
        return network.solve({pin: out}, 0.0, held, draw.values(part))[pin]

    names = (*dict.fromkeys(map(control.supply_name, sorted(touched))), PIN_CURRENT, *parameters_of(part))
    given = [
        (f"{control.supply_name(net)}, at {net}", f"{short(supplies[net].low)} to {short(supplies[net].high)} V")
        for net in sorted(touched)
    ]
    return Quantity(key, subject, state, volts, names, (*given, ("current of the pin", amps_text(current))))


def opened(control: Control) -> Iterator[Quantity]:
    """The pin with each resistor of the divider taken out."""
    for element in divider_parts(control):
        if element.uncertain:
            yield active(control, element.role)


def amps_text(current_a: float) -> str:
    """Milliamperes in words."""
    return f"{short(current_a * 1e3, 3)} mA"


def off(control: Control) -> Quantity:
    """The voltage at the blanking landing when native: its own current into what the board leaves on it."""
    left = _left(control)
    if control.circuit.landing_net("blanking-native") in _nets(control, left):
        left = []  # the set's own wire decides
    held = {net: Range(volts, volts) for net, volts in control.rails.items()}
    quantity = _pin(control, "blanking-off", "blanking", "native", left, held)
    passing = control.part("high-side/pass")
    high = net_at(passing, "C") if passing is not None else ""
    if left and any(high in (e.first, e.second) for e in left):
        return _with_stage(control, quantity, left, high)
    if left:
        return quantity
    return Quantity("blanking-off", "blanking", "native", lambda _: 0.0, (), quantity.given)


def _with_stage(control: Control, alone: Quantity, part: list[Element], high: str) -> Quantity:
    """The pin with a high-side stage that is off behind the divider: it sends what lifts its own load to OFF_V."""
    pin = str(control.circuit.landing_net("blanking"))
    network = Network(part, (), (pin, high))

    def volts(draw: Draw) -> Values:
        (lifted,) = network.solve_each(({high: 1.0},), 0.0, None, draw.values(part))
        return alone.of(draw) + draw.between(STAGE, 0.0, 0.0, OFF_V) * lifted[pin] / lifted[high]

    given = (*alone.given, (STAGE, f"0 to {OFF_V:g} V behind it without the pin's current"))
    return replace(alone, of=volts, parameters=(STAGE, *alone.parameters), given=given)


def _left(control: Control) -> list[Element]:
    pin, native = str(control.circuit.landing_net("blanking")), control.circuit.landing_net("blanking-native")
    return list(reach(control.resistors("native"), pin, (*control.rails, *((native,) if native else ()))))


def _nets(control: Control, part: list[Element]) -> set[str]:
    return {net for e in part for net in (e.first, e.second)} | {str(control.circuit.landing_net("blanking"))}


def idle(control: Control) -> Idle:
    """The pin in the native state, the rail on."""
    part = _left(control)
    nets = _nets(control, part)
    roles = tuple(e.role for e in part if e.value != CONTACT_OHM)
    rail = next((net for net in sorted(nets) if net in control.rails), "")
    native = control.circuit.landing_net("blanking-native") in nets
    return Idle(Corners().spread(off(control)).high, roles, GROUND in nets, native, rail)


def quantities(control: Control) -> Iterator[Quantity]:
    """Every figure of the blanking landing."""
    if control.circuit.landing_net("blanking") is None or control.circuit.landing_net("display-blanking") is not None:
        return  # with a display the pin has figures of its own
    if driven(control):
        yield active(control)
        yield from opened(control)
    yield off(control)
    left = [e for e in _left(control) if e.value != CONTACT_OHM]
    if left:
        least = min(e.low for e in left)
        yield bound(
            "blanking-left", "blanking", "native", least, "", (("left on it", ", ".join(e.role for e in left)),)
        )
