"""The set's own display on shared pins: ngspice on the decks of a board against what its figures say.

Levels within 1 %, edges within 5 %, what is left of a source that is not chosen within 2 % of a menu.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import pytest

from making import TEMPLATE_NAMES, template
from rasterport.analysis.figures import Figures
from rasterport.analysis.models import two_pole
from rasterport.analysis.network import NATIVE, State, states_of
from rasterport.analysis.scene import MENUS
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.design.landings import line_standards
from rasterport.emit.deck import deck_text, spice_names
from rasterport.records import COLOURS, Simulation
from spice import control, of_picture, plots, run

SHARING = tuple(name for name in TEMPLATE_NAMES if template(name).set.display is not None)
EVERY = [(name, state) for name in SHARING for state in states_of(template(name))]
CHOSEN = [(name, state) for name, state in EVERY if state != NATIVE]
LEVEL, EDGE, FOREIGN = 0.01, 0.05, 0.02
"""What may be apart: levels, edges, and white and black of a menu with a foreign source on, relative."""
OPEN_F = 1e-12
"""Between open contacts of the signal relay [F]: its maker's sheet, from memory."""
CLEAN_S = 0.1e-9
"""An edge that adds nothing to one of 10 ns [s]."""
OTHER_PERIOD_S = 64e-6
"""Of a source on the other line frequency, 625/50, where the set has 525/60 [s].  ITU-R BT.470."""


@lru_cache(maxsize=4)
def figures_of(name: str) -> Figures:
    made = template(name)
    return Figures(Setup(made, compose(made)))


def deck_of(name: str, state: State) -> Simulation:
    made = template(name)
    return simulation(compose(made), made, state)


def unplugged(deck: Simulation) -> Simulation:
    """The deck with nothing in the colour contacts of any input: sources and cables taken out, the board left."""
    names = {p.name for p in deck.parts if p.name.startswith("input-") and p.name.split("/")[1] in COLOURS}
    assert names
    return replace(deck, parts=tuple(p for p in deck.parts if p.name not in names))


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_levels_of_source_and_display_alone_and_together(name: str, state: State) -> None:
    measured, figures = run(deck_text(deck_of(name, state))).figures, figures_of(name)
    for colour in COLOURS:
        alone, over = (measured[f"{colour}_menu_{which}_level"] for which in MENUS)
        assert alone == pytest.approx(figures.get("menu-level", colour, state).nominal, rel=LEVEL)
        if state == NATIVE:
            assert over == pytest.approx(alone, rel=1e-3), "no picture of an input under it"
            assert abs(measured[f"{colour}_level"]) < 1e-3
            continue
        assert measured[f"{colour}_level"] == pytest.approx(figures.get("level", colour, state).nominal, rel=LEVEL)
        assert over == pytest.approx(figures.get("both-white", colour, state).nominal, rel=LEVEL)


@pytest.mark.parametrize(("name", "state"), CHOSEN)
def test_menus_with_nothing_plugged_in(name: str, state: State) -> None:
    measured, figures = run(deck_text(of_picture(unplugged(deck_of(name, state))))).figures, figures_of(name)
    for colour in COLOURS:
        wanted = figures.get("menu-level-unplugged", colour, state).nominal
        assert measured[f"{colour}_menu_alone_level"] == pytest.approx(wanted, rel=LEVEL)
        plugged = figures.get("menu-level", colour, state).nominal
        assert wanted / plugged > 1 + 2 * LEVEL, "another level than with a source"


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_edges_of_the_display(name: str, state: State) -> None:
    """Steps of 1 ns or less, the display's own edge a tenth of one; 10 to 90 % read between points."""
    made, deck = template(name), deck_of(name, state)
    s = line_standards(made)[0]
    begin, end = (deck_bar(deck, "alone", which) for which in (0, 1))
    deck = replace(
        deck,
        parts=tuple(
            replace(p, figures={**p.figures, "edge_s": CLEAN_S}) if p.name.startswith("set/menu/") else p
            for p in deck.parts
        ),
    )
    landing = str(compose(made).landing_net("red"))
    times, volts = sampled(deck, landing, begin - 0.2e-6, end + 1e-6, 0.5e-9)
    assert end + 1e-6 < 2 * s.line_period_s
    for way, at in (("rise", begin), ("fall", end)):
        name_of = (f"menu-edge/{way}", "red", state)
        ours = figures_of(name).get(*name_of).nominal
        assert edge(times, volts, at - 0.1e-6, at + 1e-6) == pytest.approx(ours, rel=EDGE)


def deck_bar(deck: Simulation, bar: str, which: int) -> float:
    """Begin or end of a bar of a menu in the first line [s], from the deck."""
    found = next(p for p in deck.parts if p.name == f"set/menu/{bar}").figures
    return found["delay_s"] + which * (found["edge_s"] + found["flat_s"])


def sampled(
    deck: Simulation, net: str, start_s: float, stop_s: float, step_s: float
) -> tuple[list[float], list[float]]:
    """A net over time, the run beginning with the capacitors as the deck has them."""
    names = spice_names(deck)
    starts = "\n".join(f".ic v({names[n]})={v:.9g}" for n, v in sorted(deck.starts.items()))
    lines = control(f"tran {step_s:g} {stop_s:g} {start_s:g} {step_s:g}", f"write raw v({names[net]})")
    plot = plots(deck_text(deck, analysis=f"{starts}\n{lines}"))[0]
    return plot.real("time"), plot.real(f"v({names[net]})")


def edge(times: list[float], volts: list[float], begin: float, end: float) -> float:
    """From 10 to 90 % of the step between two times [s]."""
    span = [(t, v) for t, v in zip(times, volts, strict=True) if begin <= t <= end]
    first, last = span[0][1], span[-1][1]

    def crossed(share: float) -> float:
        level = first + share * (last - first)
        for (t0, v0), (t1, v1) in pairwise(span):
            if (v0 - level) * (v1 - level) <= 0 and v0 != v1:
                return t0 + (t1 - t0) * (level - v0) / (v1 - v0)
        raise AssertionError("the step does not pass its own share")

    return crossed(0.9) - crossed(0.1)


def foreign(deck: Simulation) -> Simulation:
    """Every source of a colour on, at white and on another line frequency; open contacts with their capacitance."""
    period = {"period_s": OTHER_PERIOD_S}
    parts = [
        replace(p, figures={**p.figures, **period})
        if p.kind == "pulse" and p.name.startswith("input-") and p.name.endswith(("/picture", "/sync"))
        else p
        for p in deck.parts
    ]
    nets = {n for p in deck.parts for n in p.nets}
    pairs = [(f"IN1_{c.upper()}", f"SELECTED_{c.upper()}") for c in COLOURS]
    assert all(n in nets for pair in pairs for n in pair)
    opened = [two_pole("C", f"open/{a}", f"open/{a}", a, b, OPEN_F) for a, b in pairs]
    return replace(deck, parts=(*parts, *opened))


def menus_of(deck: Simulation, net: str, name: str) -> Iterator[tuple[float, float]]:
    """Black and white of the bar on black in lines 4 to 12, whatever a source does meanwhile."""
    s, at = line_standards(template(name))[0], trace(deck, net, 13 * line_standards(template(name))[0].line_period_s)
    begin, end = (deck_bar(deck, "alone", which) for which in (0, 1))
    period = next(p for p in deck.parts if p.name == "set/menu/alone").figures["period_s"]
    for line in range(4, 12):
        yield at(line * period + begin - 0.02 * s.active_line_s), at(line * period + (begin + end) / 2)


def trace(deck: Simulation, net: str, stop_s: float) -> Callable[[float], float]:
    times, volts = sampled(deck, net, 0.0, stop_s, deck.step_s)

    def at(t: float) -> float:
        k = bisect_left(times, t)
        return volts[k - 1] + (volts[k] - volts[k - 1]) * (t - times[k - 1]) / (times[k] - times[k - 1])

    return at


def apart(name: str, deck: Simulation, still: Simulation) -> float:
    """The most that black and white of a menu move with a foreign source on, in shares of that white."""
    made = template(name)
    net = "set/red/pin" if made.set.rgb.coupling_fitted else str(compose(made).landing_net("red"))
    with_it, without = list(menus_of(deck, net, name)), list(menus_of(still, net, name))
    white = without[-1][1] - without[-1][0]
    assert white > 0.3
    return max(
        abs(a - b) / white for one, two in zip(with_it, without, strict=True) for a, b in zip(one, two, strict=True)
    )


@pytest.mark.parametrize("name", SHARING)
def test_a_source_that_is_on_and_not_chosen_leaves_menus_alone(name: str) -> None:
    """On another line frequency, so that its picture runs through under the clamp's key and under the menu."""
    still = deck_of(name, NATIVE)
    assert apart(name, foreign(still), still) < FOREIGN


@pytest.mark.parametrize("name", SHARING)
def test_without_the_change_over_it_would_not(name: str) -> None:
    """The same with the contact bridged: the test above can fail."""
    still = deck_of(name, NATIVE)
    bridged = foreign(still)
    parts = tuple(
        replace(p, kind="resistor", figures={"value_ohm": 0.1}) if p.name == "open/IN1_RED" else p
        for p in bridged.parts
    )
    assert apart(name, replace(bridged, parts=parts), still) > 5 * FOREIGN
