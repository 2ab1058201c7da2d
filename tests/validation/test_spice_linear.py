"""Node voltages of the signal lines: our nodal solution against ngspice, for every template and state.

Two programs, one circuit: ngspice reads the deck, with cable, clamps, transistors and everything else of it, our
solver the elements of the one line, which for a colour are all three: their leads lie side by side.  What does not
belong to the line must not load it.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

from making import TEMPLATE_NAMES, template
from rasterport.analysis.control import Control
from rasterport.analysis.crosstalk import strays
from rasterport.analysis.models import CABLE_S
from rasterport.analysis.network import NATIVE, State, contact_nets, set_side, states_of
from rasterport.analysis.nodal import GROUND, Element, reach, solve
from rasterport.analysis.scene import AUDIO_OHM, SOURCE_F, coupled_of
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import Modelled, Simulation
from rasterport.variant.models import Variant
from spice import Plot, control, plots

AUDIO_HZ = (100.0, 1e3)
VIDEO_HZ = (1e5, 1e6, 2.685e6, 3.375e6, 3.58e6, 5e6, 5.5e6, 6.75e6)
"""Round figures, both colour carriers' neighbourhood, and half the usual pixel clocks."""
MOST = 1e-3
"""Of the source's amplitude."""


EVERY = [(name, state) for name in TEMPLATE_NAMES for state in states_of(template(name))]


def index_of(variant: Variant, state: State) -> int:
    """The input that is looked at in a state: the chosen one, the last when native."""
    return len(variant.input) if state == NATIVE else states_of(variant).index(state)


def driver(function: str, variant: Variant, index: int) -> str:
    """Name of the source of a contact of an input in the simulation."""
    if function.startswith("audio"):
        return f"input-{index}/{function}/tone"
    logic = function == "sync" and variant.input[index - 1].sync == "ttl-composite"
    return f"input-{index}/{function}/{'logic' if logic else 'picture'}"


def frequencies(function: str) -> tuple[float, ...]:
    return AUDIO_HZ if function.startswith("audio") else VIDEO_HZ


def signals(contacts: dict[str, str]) -> list[str]:
    return sorted(function for function in contacts if not function.startswith("status"))


def compared(variant: Variant, state: State, deck: Simulation) -> dict[tuple[str, str, float], tuple[complex, complex]]:
    """(function, net, hertz) -> ngspice's and our voltage for one volt of electromotive force."""
    made, index = Control(compose(variant), variant), index_of(variant, state)
    contacts, names = contact_nets(made.circuit, variant, index), spice_names(deck)
    runs = [(function, hertz) for function in signals(contacts) for hertz in frequencies(function)]
    commands, last = [], ""
    for function, hertz in runs:
        source = element_name("V", driver(function, variant, index))
        if source != last:
            commands += [f"alter {last} ac=0"] if last else []
            commands += [f"alter {source} ac=1"]
            last = source
        commands += [f"ac lin 1 {hertz:g} {hertz:g}", "write raw"]
    measured = plots(deck_text(deck, analysis=control(*commands)))
    assert len(measured) == len(runs)
    found = {}
    for (function, hertz), plot in zip(runs, measured, strict=True):
        ours = nodal(made, state, function, contacts, hertz)
        for net, volts in ours.items():
            found[function, net, hertz] = (voltage(plot, names[net]), volts)
    return found


def voltage(plot: Plot, name: str) -> complex:
    return plot.vectors[f"v({name})" if f"v({name})" in plot.vectors else name][0]


def nodal(made: Control, state: State, function: str, contacts: dict[str, str], hertz: float) -> dict[str, complex]:
    """Our voltages on the line of one contact; every other source stands still with its own resistance.

    Rails and the middle voltages of analog switches are ground to a signal.
    """
    circuit, variant, index = made.circuit, made.variant, index_of(made.variant, state)
    around = (*set_side(circuit, variant), *strays(circuit, variant))
    line = reach((*made.elements(state), *around), contacts[function], made.walls)
    nets = {contacts[function]} | {n for e in line for n in (e.first, e.second)} - {GROUND, *made.walls}
    elements, starts = list(line), dict(contacts)
    for other in sorted(contacts):
        if contacts[other] in nets and not other.startswith("status"):
            audio = other.startswith("audio")
            logic = driver(other, variant, index).endswith("logic")
            if not audio and coupled_of(variant.input[index - 1]) and not logic:
                starts[other] = f"NEAR {other}"
                elements.append(Element("coupling", "C", starts[other], contacts[other], SOURCE_F))
            elements.append(Element("source", "R", starts[other], GROUND, AUDIO_OHM if audio else 75.0))
    audio = function.startswith("audio")
    drive = {starts[function]: 1 / (AUDIO_OHM if audio else 75.0)}
    solved = solve(elements, drive, 2 * math.pi * hertz, dict.fromkeys(made.walls, 0.0))
    # A cable that is matched at the source's end only delays what arrives.
    late = 1.0 if audio else cmath.exp(-2j * math.pi * hertz * CABLE_S)
    return {net: solved[net] * late for net in nets}


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_every_node_of_every_line_agrees(name: str, state: State) -> None:
    variant = template(name)
    found = compared(variant, state, simulation(compose(variant), variant, state))
    assert len(found) >= 8 * 4
    off = {key: abs(theirs - ours) for key, (theirs, ours) in found.items() if abs(theirs - ours) > MOST}
    assert off == {}


def test_a_termination_that_is_two_per_cent_off_would_be_seen() -> None:
    """Half of two per cent is what the level moves by: ten times the distance that is allowed."""
    variant = template("kestrel")
    right = simulation(compose(variant), variant, "input-1")
    wrong = replace(right, parts=tuple(altered(p) for p in right.parts))
    assert wrong != right
    found = compared(variant, "input-1", wrong)
    worst = {function: 0.0 for function, _, _ in found}
    for (function, _, _), (theirs, ours) in found.items():
        worst[function] = max(worst[function], abs(theirs - ours))
    assert worst["red"] == pytest.approx(5e-3, rel=0.1)
    assert max(worst[function] for function in worst if function != "red") < MOST


def altered(part: Modelled) -> Modelled:
    if part.role != "input-1/red/termination":
        return part
    return replace(part, figures={"value_ohm": part.figures["value_ohm"] * 1.02})
