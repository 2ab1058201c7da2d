"""The blanking landing: its voltage when active, what the board leaves on it when idle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rasterport.analysis.control import Control, Range
from rasterport.analysis.corners import enumerate_corners
from rasterport.analysis.nodal import GROUND, Element, reach, solve
from rasterport.design.blanking import FITTED_SPREAD
from rasterport.design.landings import CONTACT_OHM
from rasterport.units import short


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


def divider_parts(control: Control) -> tuple[Element, ...]:
    """What lies between the supply nets and the blanking landing when the board is active."""
    pin = str(control.circuit.landing_net("blanking"))
    return reach(control.resistors("input-1"), pin, control.supplies)


def driven(control: Control) -> bool:
    """Whether a supply net leads to the blanking landing when the board is active."""
    return any(net in control.supplies for e in divider_parts(control) for net in (e.first, e.second))


def active_range(control: Control, without: str = "") -> Range:
    """Voltage at the blanking landing when active [V], over rail, resistors and pin current of either sign.

    `without` names a role that is taken out, as if that resistor had opened.  The level rises with supply and
    pin current, so each end has one of them.
    """
    pin = str(control.circuit.landing_net("blanking"))
    fitted, current = control.variant.set.blanking.fitted_resistor, control.variant.set.blanking.pin_current
    part = [e for e in divider_parts(control) if e.role != without]
    if fitted is not None:
        part.append(Element("set/blanking/resistor", "R", pin, GROUND, fitted, FITTED_SPREAD))
    touched = {net for e in part for net in (e.first, e.second)}

    def spread(end: int) -> tuple[float, float, str, str]:
        held = {n: r.high if end > 0 else r.low for n, r in control.supplies.items() if n in touched}

        def level(values: Sequence[float]) -> float:
            return solve(part, {pin: end * current}, 0.0, held, values)[pin].real

        found = enumerate_corners(part, level)
        return found.low, found.high, found.low_corner, found.high_corner

    low, high = spread(-1), spread(1)
    amps = amps_text(current)
    return Range(
        low[0], high[1], f"rail low, {amps} into the pin, {low[2]}", f"rail high, {amps} out of the pin, {high[3]}"
    )


def amps_text(current_a: float) -> str:
    """Milliamperes in words."""
    return f"{short(current_a * 1e3, 3)} mA"


def idle(control: Control) -> Idle:
    """The pin in the native state, the rail on."""
    circuit = control.circuit
    pin, native = str(circuit.landing_net("blanking")), circuit.landing_net("blanking-native")
    part = reach(control.resistors("native"), pin, (*control.rails, *((native,) if native else ())))
    nets = {net for e in part for net in (e.first, e.second)} | {pin}
    roles = tuple(e.role for e in part if e.value != CONTACT_OHM)
    rail = next((net for net in sorted(nets) if net in control.rails), "")
    reached = native in nets
    volts = 0.0
    if part and not reached:
        held = {net: volts for net, volts in control.rails.items() if net in nets}
        current = control.variant.set.blanking.pin_current
        volts = enumerate_corners(part, lambda v: solve(part, {pin: current}, 0.0, held, v)[pin].real).high
    return Idle(volts, roles, GROUND in nets, reached, rail)
