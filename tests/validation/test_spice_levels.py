"""White at the pin behind a split, with a trimmer at its stops: ngspice's transient against arithmetic and the figures.

Expected levels are worked out from the values in the netlist: 2 x 0.7 V behind 75 ohm into U and L, the pin of 1 Mohm
beside L.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from making import variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.design.termination import parallel
from rasterport.emit.deck import deck_text
from rasterport.parts.trimmers import END_OHM
from rasterport.records import COLOURS, Modelled, Simulation
from spice import of_picture, run

WITHIN = 0.01
"""Distance of white at the pin from the arithmetic, relative."""
WIDE = {"set.rgb.clipping_level": "3 V", "input.source_coupling": "dc"}


def white(deck: Simulation) -> dict[str, float]:
    done = run(deck_text(of_picture(deck)))
    assert done.status == 0 and done.complaints == ()
    return {colour: done.figures[f"{colour}_level"] for colour in COLOURS}


@pytest.mark.parametrize("wanted", [0.11, 0.2, 0.35, 0.5, 0.65, 0.69, 0.7, 1.0])
def test_a_split_gives_what_is_wanted(wanted: float) -> None:
    made = variant({"set.rgb.white_level": f"{wanted:g} V", **WIDE})
    circuit = compose(made)
    found = white(simulation(circuit, made, "input-1"))
    for colour in COLOURS:
        if circuit.has(f"input-1/{colour}/upper"):
            upper, lower = (circuit.by_role(f"input-1/{colour}/{n}").value_si or 0.0 for n in ("upper", "lower"))
        else:
            upper, lower = 0.0, circuit.by_role(f"input-1/{colour}/termination").value_si or 0.0
        foot = parallel(lower, 1e6)
        assert found[colour] == pytest.approx(1.4 * foot / (75.0 + upper + foot), rel=WITHIN)
        assert found[colour] == pytest.approx(min(wanted, 0.7), rel=0.02)


def at_stop(deck: Simulation, ohm: float) -> Simulation:
    """The deck with every trimmer at one resistance."""

    def moved(p: Modelled) -> Modelled:
        return replace(p, figures={"value_ohm": ohm}) if p.role.endswith("/trimmer") else p

    changed = replace(deck, parts=tuple(moved(p) for p in deck.parts))
    assert sum(a != b for a, b in zip(deck.parts, changed.parts, strict=True)) == 3
    return changed


@pytest.mark.parametrize("wanted", [0.1, 0.35, 0.5, 0.7])
def test_a_trimmer_moves_white_from_stop_to_stop(wanted: float) -> None:
    """At a stop 2 ohm or all of the track is in circuit: half a decibel apart at most from what is wanted."""
    made = variant({"set.rgb.white_level": f"{wanted:g} V", "board.trimmers": True, **WIDE})
    circuit = compose(made)
    figures = Figures(Setup(made, circuit))
    deck = simulation(circuit, made, "input-1")
    track = circuit.by_role("input-1/red/trimmer").value_si or 0.0
    found = {}
    for stop, ohm in (("lowest", END_OHM), ("highest", track)):
        found[stop] = white(at_stop(deck, ohm))
        for colour in COLOURS:
            role = f"input-1/{colour}"
            upper = circuit.by_role(f"{role}/upper").value_si or 0.0 if circuit.has(f"{role}/upper") else 0.0
            lower, under = (circuit.by_role(f"{role}/{n}").value_si or 0.0 for n in ("lower", "under"))
            foot = parallel(lower, under + ohm, 1e6)
            assert found[stop][colour] == pytest.approx(1.4 * foot / (75.0 + upper + foot), rel=WITHIN)
    middle = figures.get("level", "red").nominal
    assert found["lowest"]["red"] < wanted < found["highest"]["red"]
    assert found["lowest"]["red"] < middle < found["highest"]["red"]
    assert found["highest"]["red"] / found["lowest"]["red"] == pytest.approx(10 ** (0.5 / 20), rel=0.02)
