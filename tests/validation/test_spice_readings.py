"""Readings at the bench against ngspice: resistances by a small current, direct voltages by an operating point.

The decks bring transistors, diodes and regulators as models.  Where no junction lies on the way ngspice must find the
nominal resistance; where one does, something between the bounds.  Dead logic is left out of the unpowered decks: its
models are made for a supply.  Voltages and rail currents must lie within their limits in every state of every template.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from making import TEMPLATE_NAMES, template
from rasterport.analysis.bench_feeds import CELLS
from rasterport.analysis.control import Control
from rasterport.analysis.meter import METER, METER_A, METER_V
from rasterport.analysis.models import control_models, linear
from rasterport.analysis.network import NATIVE, State, contact_nets, elements_of, states_of
from rasterport.analysis.ohm_readings import OhmReadings
from rasterport.analysis.ohms import METER_MOST_OHM, Ohm, hung
from rasterport.analysis.points import at_pin, contacts, landings, pin_words, returns
from rasterport.analysis.readings import readings
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import GROUND, Circuit, Conditions, Modelled, Placed, Reading, Simulation
from rasterport.variant.models import Variant
from slips import scaled, value
from spice import Plot, control, plots

NEAR = 1e-3
"""Of a resistance without a junction on the way; values stand in a deck with four digits."""
CLOSED_OHM = 1e-3
"""And of a closed contact [ohm]: ngspice stops at a microvolt."""
TESTED_V, OPEN_A = 10e-3, 1e-9
"""What the meter puts across a resistance [V], and its current through what should be open [A]."""
LIVE = ("resistor", "capacitor", "npn", "pnp", "nfet", "diode", "two-way-clamp", "regulator")
NEAR_V = 2e-3
"""An operating point may lie so far beyond limits that are nearly one value [V]."""


def nets_by_words(circuit: Circuit, variant: Variant) -> dict[str, str]:
    """Every point that a reading may name -> its net."""
    found = {point.words: point.net for point in landings(circuit).values()}
    for n in range(1, len(variant.input) + 1):
        found |= {point.words: point.net for point in contacts(circuit, variant, n).values()}
        told, nets, _ = returns(circuit, variant, n)
        found |= {told: nets[0]} if nets else {}
    for p in circuit.parts:
        found |= {pin_words(p, number): net for number, net in p.nets.items() if net}
        found |= {f"{p.ref} ({p.value})": net for net in p.nets.values() if net and p.part.letter == "TP"}
    return found


def dead(made: Control, state: State, joined: bool) -> Simulation:
    """The board without power, with the set's landings or without."""
    circuit, under, pose = made.circuit, Conditions(), made.pose(state, powered=False)
    refs = {p.role: p.ref for p in circuit.parts}
    elements = (*made.elements(state, powered=False), *(hung(circuit, made.variant) if joined else ()))
    parts = [linear(refs, under, e) for e in elements]
    parts += [leaking(p, m) for p in circuit.parts for m in control_models(p, under, pose, {GROUND}) if is_alive(m)]
    return Simulation("readings", state, tuple(parts), {}, (), 25.0, 1e-6, 1e-6)


def is_alive(model: Modelled) -> bool:
    """Coils, transistors, diodes and regulators; not logic at rest."""
    return model.kind in LIVE and (model.kind != "resistor" or model.role.endswith("/coil"))


def leaking(placed: Placed, model: Modelled) -> Modelled:
    """A diode with the reverse current that its maker promises: the deck's fits at 10 mA and leaks too much at none."""
    if model.kind != "diode":
        return model
    most = placed.part.ratings.get("leakage_a", model.figures["is_a"])
    return replace(model, figures={**model.figures, "is_a": min(most, model.figures["is_a"])})


def measured(deck: Simulation, pairs: list[tuple[str, str, float]]) -> list[float]:
    """Resistance between two nets [ohm], for each pair with a current [A] of its own."""
    meters = [
        Modelled("current", f"meter{n}", "", (black, red), {"value_a": 0.0}) for n, (red, black, _) in enumerate(pairs)
    ]
    # ngspice loses its memory over a net with nothing but a current source on it, in spite of its shunts.
    shunts = [
        Modelled("resistor", f"shunt{n}", "", (net, GROUND), {"value_ohm": 1e12})
        for n, net in enumerate(sorted({net for red, black, _ in pairs for net in (red, black)} - {GROUND}))
    ]
    every = replace(deck, parts=(*deck.parts, *meters, *shunts))
    names, commands = spice_names(every), []
    for n, (_, _, amps) in enumerate(pairs):
        if n:
            commands.append(f"alter {element_name('I', f'meter{n - 1}')} dc=0")
        commands += [f"alter {element_name('I', f'meter{n}')} dc={amps:g}", "op", "write raw"]
    found = []
    for plot, (red, black, amps) in zip(plots(deck_text(every, analysis=control(*commands))), pairs, strict=True):
        volts = [0.0 if net == GROUND else at(plot, names[net]) for net in (red, black)]
        found.append((volts[0] - volts[1]) / amps)
    return found


def at(plot: Plot, name: str) -> float:
    return plot.vectors[f"v({name})" if f"v({name})" in plot.vectors else name][0].real


def unpowered(made: Control, joined: bool) -> Iterator[tuple[State, str, str, Ohm]]:
    """State, nets of both leads and what is expected, for each reading that is not through copper alone."""
    every = OhmReadings(made, joined)
    nets = nets_by_words(made.circuit, made.variant)
    for reading in every.all():
        assert reading.instrument == METER
        red, black = nets.get(reading.red), nets.get(reading.black)
        if red != black and red is not None and black is not None:
            state = reading.state or "native"
            yield state, red, black, every.ohms(state).between(red, black)


def disagreeing(
    made: Control, joined: bool, circuit: Circuit | None = None
) -> tuple[dict[str, tuple[float, Ohm]], int]:
    """Readings that ngspice does not confirm, and how many it confirmed to the last digits.

    `circuit` is what the deck is made from, where that is another one than the readings are.
    """
    rows = list(unpowered(made, joined))
    wrong, exact = {}, 0
    for state in dict.fromkeys(row[0] for row in rows):
        some = [row[1:] for row in rows if row[0] == state]
        pairs = [(red, black, TESTED_V / o.nominal if o.nominal < METER_MOST_OHM else OPEN_A) for red, black, o in some]
        deck = dead(made if circuit is None else Control(circuit, made.variant), state, joined)
        for ohm, (red, black, o) in zip(measured(deck, pairs), some, strict=True):
            free = o.low >= o.unaided * (1 - 1e-9)
            if o.nominal >= METER_MOST_OHM:
                good = ohm >= METER_MOST_OHM or (not free and ohm >= o.low)
            elif free:
                good = abs(ohm - o.nominal) <= NEAR * o.nominal + CLOSED_OHM
                exact += good
            else:
                good = o.low * (1 - NEAR) <= ohm <= o.high * (1 + NEAR)
            if not good:
                wrong[f"{state} {red} {black}"] = (ohm, o)
    return wrong, exact


@pytest.mark.parametrize("joined", [False, True], ids=["alone", "joined"])
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_resistance_agrees(name: str, joined: bool) -> None:
    variant = template(name)
    wrong, exact = disagreeing(Control(compose(variant), variant), joined)
    assert wrong == {}
    assert exact >= 4  # the terminations at the least


def test_a_termination_that_is_one_per_cent_off_would_be_seen() -> None:
    variant = template("kestrel")
    circuit = compose(variant)
    wrong, _ = disagreeing(Control(circuit, variant), False, value("input-1/red/termination", 75.75)(circuit))
    assert set(wrong) == {"native IN1_RED GND"}


EVERY = [(name, state) for name in TEMPLATE_NAMES for state in states_of(template(name))]


@cache
def worked_out(name: str) -> tuple[Variant, Circuit, tuple[Reading, ...]]:
    """A template, its circuit and its readings, once a process."""
    variant = template(name)
    circuit = compose(variant)
    return variant, circuit, readings(Setup(variant, circuit))


def standing(variant: Variant, circuit: Circuit, state: State) -> tuple[dict[str, float], float]:
    """Direct voltage of every net [V] and current from the rail [A]; native without any source plugged in."""
    deck = simulation(circuit, variant, state)
    if state == NATIVE:
        deck = replace(deck, parts=tuple(p for p in deck.parts if p.role in roles(circuit) or not sourced(p)))
    names = spice_names(deck)
    (plot,) = plots(deck_text(deck, analysis=control("op", "write raw")))
    volts = {net: 0.0 if net == GROUND else at(plot, name) for net, name in names.items()}
    return volts, plot.vectors[f"i({element_name('V', 'set/rail/amps').lower()})"][0].real


def sourced(part: Modelled) -> bool:
    """Whether a part belongs to a source or its cable, where it is none of the board."""
    return part.role.startswith("input-")


def roles(circuit: Circuit) -> set[str]:
    """The roles of what is on the board, elements of parts with several ends too."""
    found = {p.role for p in circuit.parts}
    return found | {e.role for e in elements_of(circuit, (), {})}


def fed(reading: Reading) -> bool:
    return CELLS[0][0] + " behind" in reading.feed


def outside(
    name: str, state: State, circuit: Circuit | None = None
) -> tuple[dict[str, tuple[float, float, float]], int]:
    """Readings whose limits ngspice leaves, and how many were compared; `circuit` is the deck's where it is another."""
    variant, right, every = worked_out(name)
    volts, amps = standing(variant, circuit or right, state)
    nets = nets_by_words(right, variant)
    found, count = {}, 0
    for r in every:
        if r.state != state or r.stage == "joined" or fed(r) or r.instrument not in (METER_A, METER_V):
            continue
        if "menu" in r.key:
            continue  # has a test of its own
        here = amps if r.instrument == METER_A else volts[nets[r.red]] - volts[nets[r.black]]
        slack = 0.0 if r.instrument == METER_A else NEAR_V
        count += 1
        if not r.low - slack <= here <= r.high + slack:
            found[r.key] = (r.low, here, r.high)
    return found, count


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_direct_voltages_and_the_rail_s_current_lie_within_their_limits(name: str, state: State) -> None:
    found, count = outside(name, state)
    assert found == {}
    assert count >= 3


@pytest.mark.parametrize("name", ["redstart", "dotterel"])
def test_a_menu_on_the_bench_lifts_the_pin_as_said(name: str) -> None:
    """The display's output as its level behind its resistance, held."""
    variant, circuit, every = worked_out(name)
    keys = variant.set.display
    assert keys is not None
    deck, landing = simulation(circuit, variant, NATIVE), str(circuit.landing_net("display-blanking"))
    high = keys.blanking_active == "high"
    volts, ohm = (keys.blanking_high, keys.blanking_resistance) if high else (keys.blanking_low, 50.0)
    driven = [
        Modelled("voltage", "menu", "", ("menu/emf", GROUND), {"value_v": volts}),
        Modelled("resistor", "menu/source", "", ("menu/emf", landing), {"value_ohm": ohm}),
    ]
    kept = [p for p in deck.parts if p.role != "set/display-blanking/output" and not sourced(p)]
    kept += [p for p in deck.parts if sourced(p) and p.role in roles(circuit)]
    with_menu = replace(deck, parts=(*kept, *driven))
    (plot,) = plots(deck_text(with_menu, analysis=control("op", "write raw")))
    found = at(plot, spice_names(with_menu)[str(circuit.landing_net("blanking"))])
    told = {r.key: r for r in every if "blanking-menu" in r.key}
    assert set(told) == {"alone/native/blanking-menu-ground-volt", "powered/native/blanking-menu-ground"}
    for r in told.values():
        assert variant.set.blanking.on_above < r.low <= found <= r.high < variant.set.blanking.maximum


def test_a_resistor_of_the_divider_that_is_a_third_off_would_be_seen() -> None:
    _, circuit, _ = worked_out("plover")
    found, _ = outside("plover", "input-1", scaled("blanking/upper", 1.5)(circuit))
    assert set(found) == {"alone/input-1/blanking-ground-volt", "powered/input-1/blanking-ground"}


def test_a_dropper_of_twice_the_value_would_be_seen() -> None:
    _, circuit, _ = worked_out("plover")
    found, _ = outside("plover", "input-1", scaled("stage/dropper-1", 2.0)(circuit))
    assert {"alone/input-1/stage.relay-1.coil-volt", "powered/input-1/stage.relay-1.coil"} <= set(found)


@pytest.mark.parametrize(("name", "state"), [(n, s) for n, s in EVERY if s != "native"])
def test_a_cell_at_a_contact_gives_what_is_said(name: str, state: State) -> None:
    """A cell in the middle of its life, behind 75 ohm, in place of each video source."""
    variant, circuit, every = worked_out(name)
    index = states_of(variant).index(state)
    nets, contact = nets_by_words(circuit, variant), contact_nets(circuit, variant, index)
    wanted = [r for r in every if r.state == state and fed(r)]
    assert wanted
    middle = (CELLS[0][1].low + CELLS[0][1].high) / 2
    for function in ("red", "green", "blue", "sync"):
        deck = simulation(circuit, variant, state)
        kept = [p for p in deck.parts if not p.role.startswith(f"input-{index}/{function}") or p.role in roles(circuit)]
        cell = [
            Modelled("voltage", "cell", "", ("cell/plus", GROUND), {"value_v": middle}),
            Modelled("resistor", "cell/source", "", ("cell/plus", contact[function]), {"value_ohm": 75.0}),
        ]
        with_cell = replace(deck, parts=(*kept, *cell))
        (plot,) = plots(deck_text(with_cell, analysis=control("op", "write raw")))
        names = spice_names(with_cell)
        for r in (r for r in wanted if r.key.split("/")[-1].startswith(f"input-{index}.{function}-at-")):
            found = at(plot, names[nets[r.red]])
            assert r.low <= found <= r.high, (r.key, r.low, found, r.high)
            if math.isclose(r.nominal, middle / 2, rel_tol=1e-6) and "contact" in r.key:
                assert found == pytest.approx(r.nominal, rel=0.01)


def test_points_by_words_are_the_nets_that_they_name() -> None:
    variant = template("redstart")
    circuit = compose(variant)
    nets = nets_by_words(circuit, variant)
    coil = at_pin(circuit.by_role("stage/relay-1"), "coil+")
    assert nets[coil.words] == "COIL_1_FEED"
    assert nets["contact 15 of J101 (red)"] == "IN1_RED"
