"""The curves of a board against ngspice's small-signal analysis of the deck that is written for it.

All sources are driven alike, a grey picture, as the figures have it.  A cable that is matched at the source's end only
delays, so the level at the landing against 100 kHz is read directly.  The reflection factor at the contact follows from
the wave that runs into the cable, (V + 75 ohm x I) / 2 at its near end: V(contact) / wave - 1, both at the contact.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

from making import TEMPLATE_NAMES, template
from rasterport.analysis.curves import curves
from rasterport.analysis.figures import Figures
from rasterport.analysis.models import CABLE_S
from rasterport.analysis.network import contact_nets
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import COLOURS, Curve, Modelled, Simulation
from rasterport.variant.models import Variant
from spice import Plot, control, plots

PLACES = (0, 9, 18, 26, 30, 34, 38, 43)
"""Eight of the frequencies of a curve, from its first to its last."""
LEVEL_DB, REFLECTION = 0.02, 1e-3
"""What both may be apart: dB of level, of the reflection factor."""


def measured(made: Variant, deck: Simulation, x: tuple[float, ...]) -> list[tuple[Plot, float]]:
    """One analysis at each frequency, every colour of every input driven."""
    circuit = compose(made)
    inputs = range(1, len(made.input) + 1)
    driven = [f"input-{n}/{f}" for n in inputs for f in contact_nets(circuit, made, n) if f in COLOURS]
    commands = [f"alter {element_name('V', f'{name}/picture')} ac=1" for name in driven]
    for hertz in x:
        commands += [f"ac lin 1 {hertz:.9g} {hertz:.9g}", "write raw"]
    return list(zip(plots(deck_text(deck, analysis=control(*commands))), x, strict=True))


def reflection(plot: Plot, hertz: float, names: dict[str, str], contact: str, source: str) -> complex:
    def volts(net: str) -> complex:
        return plot.first(f"v({names[net]})")

    into = f"{source}/cable"
    behind = f"{source}/near" if f"{source}/near" in names else into
    wave = (volts(into) + volts(f"{source}/emf") - volts(behind)) / 2
    return volts(contact) / (wave * cmath.exp(-2j * math.pi * hertz * CABLE_S)) - 1


def of(made: Variant, key: str) -> Curve:
    found = curves(Figures(Setup(made, compose(made))))
    return next(c for c in found if c.key == key and "red" in c.subject and c.state.startswith("input-1"))


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_curves_agree(name: str) -> None:
    made = template(name)
    circuit, deck = compose(made), simulation(compose(made), made, "input-1")
    names, level, loss = spice_names(deck), of(made, "level"), of(made, "return-loss")
    runs = measured(made, deck, tuple(level.x[n] for n in PLACES))
    contact, landing = contact_nets(circuit, made, 1)["red"], names[str(circuit.landing_net("red"))]
    first = abs(runs[0][0].first(f"v({landing})"))
    for n, (plot, hertz) in zip(PLACES, runs, strict=True):
        theirs = 20 * math.log10(abs(plot.first(f"v({landing})")) / first)
        assert level.lines[0][1][n] == pytest.approx(theirs, abs=LEVEL_DB), hertz
        gamma = abs(reflection(plot, hertz, names, contact, "input-1/red"))
        assert 10 ** (-loss.lines[0][1][n] / 20) == pytest.approx(gamma, abs=REFLECTION), hertz


def test_a_lead_that_is_longer_would_be_seen() -> None:
    """Twice 20 pF of pin and lead behind 37.5 ohm: at 100 MHz -2.8 dB instead of -0.9 dB, the neighbours left out."""
    made = template("kestrel")
    deck = simulation(compose(made), made, "input-1")
    lead = "set/red/capacitance"
    longer = replace(deck, parts=tuple(doubled(p) if p.role == lead else p for p in deck.parts))
    assert longer != deck
    level = of(made, "level")
    runs = measured(made, longer, (level.x[0], level.x[-1]))
    landing = spice_names(longer)[str(compose(made).landing_net("red"))]
    first, last = (abs(plot.first(f"v({landing})")) for plot, _ in runs)
    assert 20 * math.log10(last / first) < level.lines[0][1][-1] - 30 * LEVEL_DB


def doubled(part: Modelled) -> Modelled:
    (key,) = part.figures
    return replace(part, figures={key: 2 * part.figures[key]})
