"""The finished circuit as a network: board parts by state, what the set adds, what a source is.

Reads parts and nets, never the sizing: a pin on the wrong net shows in every figure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from rasterport.analysis.nodal import GROUND, Element
from rasterport.analysis.switches import Contact
from rasterport.design.landings import BLANKING_PIN_F, CONTACT_OHM, LEAD_F_PER_M
from rasterport.records import COLOURS, Circuit, Placed
from rasterport.standards.limits import FITTED_SPREAD, SET_SPREAD
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Variant

State = str
"""A state of the board by name: native, or an input that is chosen."""
NATIVE: State = "native"


def chosen(index: int) -> State:
    """The state in which an input is chosen."""
    return f"input-{index}"


def states_of(variant: Variant) -> tuple[State, ...]:
    """Every state that a variant's board has, native first."""
    return (NATIVE, *(chosen(n) for n in range(1, len(variant.input) + 1)))


TEMPERATURE_K = 45.0
"""From 25 C to either end of the range inside a cabinet, the farther one [K]."""
X7R_DRIFT = 0.15
"""X7R over its temperature range.  EIA code letter R."""
ELECTROLYTIC_DRIFT = 0.10

Ohms = Mapping[str, tuple[float, float, float]]
"""Role of a part with contacts -> resistance of a closed one, nominal, least and greatest [ohm]; 0.1 where it is not
in it."""


def elements_of(circuit: Circuit, closed: Iterable[Contact], ohms: Ohms) -> tuple[Element, ...]:
    """Every linear part of the board; contacts are small resistors where closed, analog switches their resistance."""
    found = [element for placed in circuit.parts for element in _of(placed)]
    for contact in closed:
        if contact.owner in ohms:
            value, low, high = ohms[contact.owner]
            ends = (contact.first, contact.second)
            found.append(Element(contact.name, "R", *ends, value, bounds=(low, high)))
        else:
            found.append(Element(contact.name, "R", contact.first, contact.second, CONTACT_OHM))
    return tuple(found)


def _of(placed: Placed) -> Iterator[Element]:
    """What a part is to the solver, as its catalogue row says; joints and parts of the control are nothing."""
    nets = [placed.nets[pin.number] for pin in placed.part.pins]
    if placed.part.appears == "contacts":
        yield from _capacitances(placed)
    elif placed.part.appears == "trimmer":
        yield from _track(placed, *nets)
    elif placed.part.appears in ("resistance", "capacitance"):
        first, second = nets
        if first is not None and second is not None:
            kind = "R" if placed.part.appears == "resistance" else "C"
            yield Element(placed.role, kind, first, second, *_value(placed))


def _track(placed: Placed, first: str | None, wiper: str | None, last: str | None) -> Iterator[Element]:
    """Both parts of a track, each anywhere from stop to stop, half of it nominal; all of it where the wiper is open."""
    track, spread = _value(placed)
    sections: list[tuple[str, str | None, str | None, float, tuple[float, float] | None]]
    if wiper is None:
        sections = [(placed.role, first, last, track, None)]
    else:
        bounds = (placed.part.ratings["end_ohm"], track * (1 + spread))
        ends = ((placed.role, first, wiper), (f"{placed.role}/far", wiper, last))
        sections = [(role, a, b, track / 2, bounds) for role, a, b in ends]
    for role, a, b, value, limits in sections:
        if a is not None and b is not None and a != b:
            yield Element(role, "R", a, b, value, spread, bounds=limits)


LEAST_SHARE, MOST_SHARE = 0.5, 2.0
"""Capacitance of a switch against what its maker prints as typical, where no bound is printed; judgement, stated."""


def _capacitances(placed: Placed) -> Iterator[Element]:
    """What the terminals of an analog switch have against ground; relays and panel switches have next to nothing."""
    r = placed.part.ratings
    if "common_f" not in r:
        return
    for pin in placed.part.pins:
        net = placed.nets[pin.number]
        if pin.kind != "passive" or net is None or net == GROUND:
            continue
        which = "common" if len(pin.name) == 1 else "channel"
        typical = r[f"{which}_f"]
        bounds = (LEAST_SHARE * typical, r.get(f"{which}_high_f", MOST_SHARE * typical))
        role = f"{placed.role}/{pin.name.lower()}-capacitance"
        yield Element(role, "C", net, GROUND, typical, bounds=bounds)


def _value(placed: Placed) -> tuple[float, float]:
    """Value and relative bound of a two-pin part from its catalogue row and the value it was given."""
    ratings = placed.part.ratings
    if "r_low_ohm" in ratings:
        low, high = ratings["r_low_ohm"], ratings["r_high_ohm"]
        middle = (low + high) / 2
        return middle, (high - low) / 2 / middle
    if "standoff_v" in ratings:
        return ratings["capacitance_f"], 0.0
    if placed.value_si is None:
        raise ValueError(f"{placed.role} has no value")
    spread = ratings.get("tolerance_pct", 20.0) / 100
    if placed.part.letter == "C":
        drift = ELECTROLYTIC_DRIFT if ratings.get("polarised") or "bipolar" in placed.part.key else X7R_DRIFT
        return placed.value_si, (1 + spread) * (1 + drift) - 1
    return placed.value_si, spread + ratings.get("tempco_ppm", 100.0) * 1e-6 * TEMPERATURE_K


def contact_nets(circuit: Circuit, variant: Variant, index: int = 1) -> dict[str, str]:
    """Socket function -> net of an input, read from the socket's pins in the netlist.

    Returns the first contact of each function; grounds are not listed.
    """
    wiring = WIRINGS[variant.input[index - 1].socket]
    found: dict[str, str] = {}
    for contact in wiring.contacts:
        role = f"{chosen(index)}/socket" + (f"/{contact.jack}" if contact.jack else "")
        if contact.function in ("ground", "shell", "unused") or not circuit.has(role):
            continue
        net = circuit.by_role(role).nets.get(contact.number)
        if net is not None:
            found.setdefault("sync" if contact.function == "hsync" else contact.function, net)
    return found


DisplayEnd = Literal["idle", "on"]
"""Whether the set's own display draws a dot of a menu, or no menu is shown."""
DISPLAY_ENDS: tuple[DisplayEnd, ...] = ("idle", "on")
OUTPUT = "output"
"""Last part of the role of what a colour output of the display is, and of its net where a resistor stays behind it."""


def set_side(circuit: Circuit, variant: Variant, display: DisplayEnd = "idle") -> tuple[Element, ...]:
    """What the set hangs on the landings: resistance and capacitance, fitted terminations, leads.

    Where the set's display keeps the colour pins its outputs are part of it, silent.
    """
    tv = variant.set
    found: list[Element] = []

    def add(name: str, kind: str, net: str | None, value: float, spread: float, follows: str = "") -> None:
        if net is not None and value > 0:
            found.append(Element(f"set/{name}", kind, net, GROUND, value, spread, follows))

    # Three pins of one chip and two channels of one amplifier are off together: one uncertainty moves them all.
    lead = LEAD_F_PER_M[tv.rgb.lead_kind] * tv.rgb.lead_length
    for colour in COLOURS:
        net = circuit.landing_net(colour)
        add(f"{colour}/resistance", "R", net, tv.rgb.resistance, SET_SPREAD, "set/rgb/resistance")
        add(f"{colour}/capacitance", "C", net, tv.rgb.capacitance + lead, SET_SPREAD, "set/rgb/capacitance")
        if tv.rgb.termination_fitted:
            add(f"{colour}/termination", "R", net, 75.0, FITTED_SPREAD)
    sync = circuit.landing_net("sync")
    add("sync/resistance", "R", sync, tv.sync.resistance, SET_SPREAD)
    moved = tv.sync.termination == "movable" and circuit.landing_net("sync-native") is not None
    if tv.sync.termination == "fixed" or (tv.sync.termination == "movable" and not moved):
        add("sync/termination", "R", sync, 75.0, FITTED_SPREAD)
    if tv.audio is not None:
        for side in ("left", "right"):
            add(
                f"{side}/resistance",
                "R",
                circuit.landing_net(side),
                tv.audio.resistance,
                SET_SPREAD,
                "set/audio/resistance",
            )
    return (*found, *_display_side(circuit, variant, display), *_blanking_side(circuit, variant))


def _blanking_side(circuit: Circuit, variant: Variant) -> Iterator[Element]:
    """Capacitance of a blanking pin that a display drives too, with its lead, and of the lead to the display."""
    pin, landing = circuit.landing_net("blanking"), circuit.landing_net("display-blanking")
    if variant.set.display is None or pin is None or landing is None:
        return
    lead = LEAD_F_PER_M["hook-up"] * variant.set.rgb.lead_length
    yield Element("set/blanking/capacitance", "C", pin, GROUND, BLANKING_PIN_F + lead, SET_SPREAD)
    if lead > 0:
        yield Element("set/display-blanking/lead", "C", landing, GROUND, lead, SET_SPREAD)


def output_net(circuit: Circuit, variant: Variant, colour: str) -> str | None:
    """Net at a colour output of the display: its landing, or behind the resistor that stays in the set."""
    landing, keys = circuit.landing_net(f"display-{colour}"), variant.set.display
    if landing is None or keys is None or keys.series_fitted is None:
        return landing
    return f"set/display-{colour}/{OUTPUT}"


def is_output(element: Element) -> bool:
    """Whether an element is a colour output of the set's own display."""
    return element.role.startswith("set/display-") and element.role.endswith(f"/{OUTPUT}")


def _display_side(circuit: Circuit, variant: Variant, end: DisplayEnd) -> Iterator[Element]:
    """The display's lines: lead, what stays in the set, the output behind its resistance; three outputs of one chip."""
    keys, rgb = variant.set.display, variant.set.rgb
    if keys is None:
        return
    ohm = keys.resistance_high if end == "on" else keys.resistance_low
    for colour in COLOURS:
        name, landing = f"set/display-{colour}", circuit.landing_net(f"display-{colour}")
        net = output_net(circuit, variant, colour)
        if landing is None or net is None:
            continue
        lead = LEAD_F_PER_M[rgb.lead_kind] * rgb.lead_length
        if lead > 0:
            yield Element(f"{name}/lead", "C", landing, GROUND, lead, SET_SPREAD, "set/display/leads")
        if keys.ground_fitted is not None:
            yield Element(f"{name}/ground", "R", landing, GROUND, keys.ground_fitted, FITTED_SPREAD)
        if end == "idle" and keys.idle == "high-impedance":
            continue
        if keys.series_fitted is not None:
            yield Element(f"{name}/series", "R", net, landing, keys.series_fitted, FITTED_SPREAD)
        follows = f"set/display/resistance-{'high' if end == 'on' else 'low'}"
        # The pull-up of an open collector is a resistor in the set.
        spread = FITTED_SPREAD if end == "on" and keys.drive == "open-collector" else SET_SPREAD
        yield Element(f"{name}/{OUTPUT}", "R", net, GROUND, max(ohm, CONTACT_OHM), spread, follows)
