"""Blanking of a display and of the board in ngspice: levels by either and by both, edges when a menu begins and ends.

The finished circuit is run as its deck has it; only the menu's bars are replaced by one that the test times.  Diodes
are exponentials there and bounds of a forward voltage in the figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from making import template
from rasterport.analysis.control import Control
from rasterport.analysis.figures import Figures
from rasterport.analysis.models import DIODE_IDEALITY
from rasterport.analysis.network import NATIVE
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.design.sense import BOLTZMANN_V_PER_K, REFERENCE_K
from rasterport.emit.deck import deck_text, spice_names
from rasterport.records import Circuit, Conditions, Modelled, Simulation
from rasterport.variant.models import Variant
from spice import control, plots

LEVEL_WITHIN, EDGE_WITHIN = 0.01, 0.05
SLOPE_V = DIODE_IDEALITY * BOLTZMANN_V_PER_K * REFERENCE_K
ON, EDGE_S, BEGINS_S, ENDS_S, STOP_S, STEP_S = "input-1", 1e-9, 0.2e-6, 1.2e-6, 2.4e-6, 1e-9

BOARDS: dict[str, Mapping[str, Any]] = {
    "5 V display, 9 V rail": {},
    "5 V display, 5 V rail": {"set.supply.voltage": "5 V"},
    "3.3 V display": {"set.display.blanking_high": "3.3 V", "set.supply.voltage": "5 V"},
    "3 V at the pin at most": {"set.blanking.maximum": "3 V", "set.blanking.pin_current": "0.2 mA"},
    "low for a menu": {"set.display.blanking_active": "low"},
    "open collector": {"set.display.blanking_drive": "open-collector", "set.display.blanking_resistance": "4k7"},
    "stiff pull-up": {
        "set.display.blanking_drive": "open-collector", "set.display.blanking_resistance": "1k",
        "set.supply.voltage": "5 V",
    },
}  # fmt: skip
CASES = {"board": (ON, False), "display": (NATIVE, True), "both": (ON, True)}


def made(name: str) -> tuple[Variant, Circuit, Figures]:
    variant = template("redstart", BOARDS[name])
    circuit = compose(variant)
    return variant, circuit, Figures(Setup(variant, circuit))


def with_menu(deck: Simulation, at: float | None) -> Simulation:
    """A menu that stands (`at` 1.0), none (0.0), or one bar of the test's own timing (None)."""
    parts = []
    for p in deck.parts:
        if p.kind != "pulse" or not p.name.startswith("set/menu/"):
            parts.append(p)
        elif at is None and p.name == "set/menu/alone":
            figures = {"delay_s": BEGINS_S, "edge_s": EDGE_S, "flat_s": ENDS_S - BEGINS_S - EDGE_S, "period_s": 1.0}
            parts.append(replace(p, figures={**p.figures, **figures}))
        else:
            volts = at if at is not None and p.name == "set/menu/alone" else 0.0
            parts.append(Modelled("voltage", p.name, p.name, p.nets, {"value_v": volts}))
    assert len([p for p in parts if p.name.startswith("set/menu/")]) == 2
    return replace(deck, parts=tuple(parts))


def with_saturation(deck: Simulation, amps: Mapping[str, float]) -> Simulation:
    """The diodes at the pin with saturation currents [A] of their own, by role: what each leaks backwards."""

    def changed(p: Modelled) -> Modelled:
        if p.role not in amps:
            return p
        return replace(p, figures={**p.figures, "is_a": amps[p.role]}, model=f"{p.role} of its own")

    return replace(deck, parts=tuple(changed(p) for p in deck.parts))


def standing(deck: Simulation, *nets: str) -> list[float]:
    names = [f"v({spice_names(deck)[net]})" for net in nets]
    plot = plots(deck_text(deck, analysis=control("op", "write raw " + " ".join(names))))[0]
    return [plot.real(name)[0] for name in names]


def at_corner(variant: Variant, circuit: Circuit, case: str, end: float) -> float:
    """The pin [V] with everything that lifts it at one end, each diode that conducts at the bound of its row."""
    state, menu = CASES[case]
    spreads = {p.role: end if "lower" in p.role else -end for p in circuit.under("blanking") if p.part.letter == "R"}
    deck = simulation(circuit, variant, state, Conditions(rail=end, pin=end, spreads=spreads))
    deck = with_menu(at_end(deck, circuit, variant, end), float(menu))
    r = circuit.by_role("blanking/board").part.ratings
    low, high = r["vf_low_v"], r["vf_10ma_high_v"]
    wanted = {1.0: low, -1.0: high, 0.0: (low + high) / 2}[end]
    diodes = {p.role: p.nets for p in deck.parts if p.role in ("blanking/board", "blanking/display")}
    assert len(diodes) == 2
    blocked_a = r["leakage_a"] if end < 0 else 1e-12
    amps = {role: 3e-3 / math.exp(wanted / SLOPE_V) for role in diodes}
    nets = [str(circuit.landing_net("blanking")), *(net for ends in diodes.values() for net in ends)]
    for _ in range(5):  # a saturation current with which the bound stands across the diode is found by trying
        volts = standing(with_saturation(deck, amps), *nets)
        for n, role in enumerate(diodes):
            drop = volts[1 + 2 * n] - volts[2 + 2 * n]
            amps[role] = amps[role] * math.exp((drop - wanted) / SLOPE_V) if drop > LEAST_DROP_V else blocked_a
    return volts[0]


LEAST_DROP_V = 0.05
"""A diode with less across it is taken as one that blocks."""


def at_end(deck: Simulation, circuit: Circuit, variant: Variant, end: float) -> Simulation:
    """The rail behind its element, the display's output and an inverter's at one end of their bounds."""
    rail, parts = Control(circuit, variant).supply_range("RAIL"), []
    for p in deck.parts:
        if p.name == "set/display-blanking/output":
            high = "high_v" if variant.set.display and variant.set.display.blanking_active == "high" else "low_v"
            f = {**p.figures, high: p.figures[high] * (1 + 0.05 * end)}
            f |= {"high_ohm": f["high_ohm"] * (1 - 0.2 * end), "idle_siemens": f["idle_siemens"] / (1 - 0.2 * end)}
            parts.append(replace(p, figures=f))
        elif p.role == "blanking/inverter" and p.kind == "schmitt-inverter":
            ohm = {1.0: 25.0, -1.0: 165.0, 0.0: p.figures["output_ohm"]}[end]
            parts.append(replace(p, figures={**p.figures, "output_ohm": ohm}))
        elif p.role == "supply/element":  # what it costs is counted in the bounds of the rail behind it
            parts.append(replace(p, figures={"value_ohm": 1e-3}))
        elif p.name == "set/rail":
            volts = {1.0: rail.high, -1.0: rail.low, 0.0: (rail.low + rail.high) / 2}[end]
            parts.append(replace(p, figures={"value_v": volts}))
        elif p.kind == "regulator":
            parts.append(replace(p, figures={**p.figures, "output_v": 5.0 + 0.25 * end}))
        else:
            parts.append(p)
    return replace(deck, parts=tuple(parts))


@pytest.mark.parametrize(("name", "case"), list(product(BOARDS, CASES)))
def test_levels_at_the_pin_are_what_the_figures_say(name: str, case: str) -> None:
    variant, circuit, figures = made(name)
    figure = figures.get("meeting-on", case, CASES[case][0])
    assert at_corner(variant, circuit, case, 0.0) == pytest.approx(figure.nominal, rel=LEVEL_WITHIN)
    assert at_corner(variant, circuit, case, 1.0) == pytest.approx(figure.high, rel=LEVEL_WITHIN)
    assert at_corner(variant, circuit, case, -1.0) == pytest.approx(figure.low, rel=LEVEL_WITHIN)


@pytest.mark.parametrize("name", BOARDS)
def test_edges_at_the_pin_are_what_the_figures_say(name: str) -> None:
    variant, circuit, figures = made(name)
    deck = fast_chip(with_menu(simulation(circuit, variant, NATIVE), None))
    found = edges(deck, str(circuit.landing_net("blanking")))
    for key, seconds in zip(("meeting-rise", "meeting-fall"), found, strict=True):
        figure = figures.get(key, "blanking", NATIVE)
        own = circuit.by_role("blanking/inverter").part.ratings if circuit.has("blanking/inverter") else {}
        network_s = math.sqrt(figure.nominal**2 - own.get("edge_typical_s", 0.0) ** 2)
        assert seconds == pytest.approx(network_s, rel=EDGE_WITHIN)
        assert figure.low < seconds < figure.high


def fast_chip(deck: Simulation) -> Simulation:
    """An inverter whose output changes over at once: in the deck it does so as slowly as it is late."""

    def fast(p: Modelled) -> Modelled:
        return replace(p, figures={**p.figures, "lag_s": 0.2e-9}) if p.kind == "schmitt-inverter" else p

    return replace(deck, parts=tuple(fast(p) for p in deck.parts))


def edges(deck: Simulation, net: str) -> tuple[float, float]:
    """From 10 to 90 % when a menu begins, and back when it ends [s]."""
    name = f"v({spice_names(deck)[net]})"
    lines = control(f"tran {STEP_S:g} {STOP_S:g} 0 {STEP_S:g}", f"linearize {name}", f"write raw {name}")
    plot = plots(deck_text(deck, analysis=lines))[0]
    volts = plot.real(name)
    on, off = volts[round((ENDS_S - 2 * EDGE_S) / STEP_S)], volts[0]
    middle = round(ENDS_S / STEP_S)

    def crossing(share: float, start: int) -> float:
        level = off + share * (on - off)
        for k in range(start, len(volts) - 1):
            if (volts[k] - level) * (volts[k + 1] - level) <= 0 and volts[k] != volts[k + 1]:
                return (k + (level - volts[k]) / (volts[k + 1] - volts[k])) * STEP_S
        raise AssertionError("the pin never gets there")

    return crossing(0.9, 0) - crossing(0.1, 0), crossing(0.1, middle) - crossing(0.9, middle)
