"""The network where a source and a display meet at one pin: its formulae against the nodes, its search against all.

What is expected comes from the equations of the nodes, put up and solved here; the formulae of the design are not used.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rasterport.design.mixing import Combination, Display, Wishes, bound_v, combine
from rasterport.design.mixing_values import WISHES, Room, uses, within
from rasterport.design.shared import Found, search
from rasterport.standards.iec60063 import E24, E96, Series, decade_values

Values = tuple[float, float, float, float | None]
"""Termination, series, display and ground resistor [ohm]."""

PUSH_PULL = Display(5.0, 0.0, 100.0, 100.0, 100.0)
LOW = Display(3.3, 0.1, 150.0, 80.0, 80.0)
LETS_GO = Display(5.0, 0.2, 120.0, 60.0, None)
COLLECTOR = Display(5.0, 0.1, 1000.0, 30.0, 30.0)
FITTED = Display(5.0, 0.0, 100.0, 100.0, 100.0, series_ohm=1000.0, ground_ohm=680.0)
FITTED_LETS_GO = Display(12.0, 0.4, 2200.0, 50.0, None, series_ohm=330.0, ground_ohm=470.0)
DISPLAYS = {
    "push-pull": PUSH_PULL,
    "3.3 V": LOW,
    "lets go": LETS_GO,
    "open collector": COLLECTOR,
    "fitted": FITTED,
    "fitted, lets go": FITTED_LETS_GO,
}


@dataclass(frozen=True)
class Solved:
    """What the nodes say [V], and what the source sees [ohm]."""

    external_v: float
    behind_menu_v: float
    display_v: float
    unplugged_v: float
    native_v: float
    both_v: float
    menu_black_v: float
    seen_ohm: tuple[float, ...]
    node_ohm: float


CONTACT, NODE, LIFTED = 0, 1, 2


def solved(display: Display, pin_ohm: float, values: Values) -> Solved:
    """Three nodes: contact, pin, lifted end of the display.  One batch of systems, one a state."""
    idle = (display.low_v, display.idle_ohm)
    on, off = (display.high_v, display.high_ohm), (display.low_v, display.low_ohm)
    plug, none, native = ("plug", 1.4), ("none", 0.0), ("native", 0.0)
    silent = ("plug", 0.0)
    states = [
        (silent, idle), (plug, idle), (silent, off), (plug, off), (silent, on), (plug, on),
        (none, idle), (none, on), (native, idle), (native, on),
    ]  # fmt: skip
    driven = [system(display, pin_ohm, values, source, end) for source, end in states]
    # what the source sees, and what the pin does: 1 A into the node, every voltage silent
    bare = replace(display, high_v=1e-12, low_v=0.0)
    for end in (on, off, idle):
        matrix, _ = system(bare, pin_ohm, values, ("open", 0.0), (0.0, end[1]))
        driven.append((matrix, unit(CONTACT)))
        matrix, _ = system(bare, pin_ohm, values, silent, (0.0, end[1]))
        driven.append((matrix, unit(NODE)))
    nodes = np.linalg.solve(np.array([m for m, _ in driven]), np.array([r for _, r in driven])[..., None])[..., 0]
    pin = nodes[:, NODE]
    return Solved(
        external_v=pin[1] - pin[0],
        behind_menu_v=pin[3] - pin[2],
        display_v=pin[4] - pin[0],
        unplugged_v=pin[7] - pin[6],
        native_v=pin[9] - pin[8],
        both_v=pin[5] - pin[0],
        menu_black_v=pin[2] - pin[0],
        seen_ohm=(*(float(nodes[k, CONTACT]) for k in (10, 12, 14)), values[0]),  # not chosen: the termination alone
        node_ohm=max(float(nodes[k, NODE]) for k in (11, 13, 15)),
    )


def unit(node: int) -> list[float]:
    return [1.0 if n == node else 0.0 for n in range(3)]


def system(
    display: Display, pin_ohm: float, values: Values, source: tuple[str, float], end: tuple[float, float | None]
) -> tuple[list[list[float]], list[float]]:
    """Conductances and currents of the three nodes; in the native state the series resistor hangs on 36 ohm."""
    rt, rx, ro, rg = values
    kind, volt = source
    matrix, currents = [[0.0] * 3 for _ in range(3)], [0.0] * 3

    def between(a: int, b: int | None, ohm: float, behind_v: float = 0.0) -> None:
        matrix[a][a] += 1 / ohm
        currents[a] += behind_v / ohm
        if b is not None:
            matrix[b][b] += 1 / ohm
            matrix[a][b] -= 1 / ohm
            matrix[b][a] -= 1 / ohm

    if kind == "native":
        between(CONTACT, None, 36.0)
    else:
        between(CONTACT, None, rt)
    if kind == "plug":
        between(CONTACT, None, 75.0, volt)
    between(CONTACT, NODE, rx)
    between(NODE, LIFTED, ro)
    between(NODE, None, pin_ohm)
    if rg is not None:
        between(NODE, None, rg)
    if end[1] is not None:
        between(LIFTED, None, end[1] + display.series_ohm, end[0])
    elif display.ground_ohm is None:
        between(LIFTED, None, 1e15)  # a node that hangs in the air
    if display.ground_ohm is not None:
        between(LIFTED, None, display.ground_ohm)
    return matrix, currents


def measure(found: Solved, wishes: Wishes) -> dict[str, float]:
    """Use of the limit of each wish, as the module's docstring has it; empty where a limit that never yields is
    broken."""
    if found.both_v > wishes.clipping_v * (1 + 1e-9) or found.node_ohm > wishes.node_ohm * (1 + 1e-9):
        return {}
    shown = (found.display_v, found.unplugged_v, found.native_v)
    back = max(abs((ohm - 75) / (ohm + 75)) for ohm in found.seen_ohm)
    return {
        "external": abs(20 * math.log10(found.external_v / wishes.external_v)) / wishes.external_window_db,
        "display": max(abs(20 * math.log10(v / wishes.display_v)) for v in shown) / wishes.display_window_db,
        "reflection": back / 10 ** (-wishes.return_loss_db / 20),
    }


def of(made: Combination) -> Values:
    """The values of a combination."""
    return (
        made.termination_ohm,
        made.series_ohm,
        made.display_ohm,
        None if math.isinf(made.ground_ohm) else made.ground_ohm,
    )


def triples() -> Iterator[Values]:
    """Every termination, series and display resistor of E24, read off the table of one decade."""
    terminations = [v for v in (*E24, *(10 * v for v in E24)) if 47 <= v <= 150]
    ohms = [v * factor for factor in (10, 100) for v in E24] + [10_000]
    for rt, rx, ro in itertools.product(terminations, ohms, ohms):
        yield float(rt), float(rx), float(ro), None


PIN_OHM = 1e6
NEAR = Wishes(0.602, 0.7, pin_ohm=PIN_OHM, node_ohm=600.0)
CASES = {
    "5 V into 0.7 V": (PUSH_PULL, NEAR),
    "3.3 V into 0.7 V": (LOW, Wishes(bound_v(LOW, 0.7), 0.7, pin_ohm=PIN_OHM, node_ohm=700.0)),
    "open collector": (COLLECTOR, NEAR),
    "fitted": (FITTED, Wishes(0.5, 0.35, pin_ohm=1e5, node_ohm=400.0)),
    "clips at 1 V": (PUSH_PULL, replace(NEAR, clipping_v=1.0)),
    "no limit met": (LETS_GO, Wishes(0.7, 0.7, 0.05, 0.2, 40.0, pin_ohm=PIN_OHM, node_ohm=500.0)),
}


@pytest.mark.parametrize("name", ["5 V into 0.7 V", "open collector", "clips at 1 V", "no limit met"])
def test_no_triple_of_e24_is_better(name: str) -> None:
    """All 31 213 of them, one after the other."""
    display, wishes = CASES[name]
    found = search(display, wishes)
    own = measure(solved(display, wishes.pin_ohm, of(found.best)), wishes)
    assert max(own.values()) == pytest.approx(found.use, rel=1e-6)
    least, count = math.inf, 0
    alone = dict.fromkeys(WISHES, math.inf)
    for values in triples():
        count += 1
        used = measure(solved(display, wishes.pin_ohm, values), wishes)
        if not used:
            continue
        least = min(least, max(used.values()))
        for wish in WISHES:
            if all(used[name] <= 1 for name in WISHES if name != wish):
                alone[wish] = min(alone[wish], used[wish])
    assert count == 13 * 49 * 49
    assert found.use <= least * (1 + 1e-9)
    assert (found.yields == "") == (found.use <= 1)
    if found.yields:
        assert least > 1
        for runner in found.runners_up:
            yielded = measure(solved(display, wishes.pin_ohm, of(runner.choice)), wishes)
            if all(yielded[name] <= 1 + 1e-9 for name in WISHES if name != runner.wish):
                assert yielded[runner.wish] <= alone[runner.wish] * (1 + 1e-9)
            else:
                assert math.isinf(alone[runner.wish])


def every(display: Display, wishes: Wishes, series: Series) -> Combination:
    """All quadruples as arrays, the ground resistor last; in the order of the search."""
    rt = decade_values(series, 47, 150)
    ohms = decade_values(series, 100, 10e3)
    rg = (math.inf, *reversed(decade_values(series, 220, 10e3)))
    rx, ro, g, t = (a.ravel() for a in np.meshgrid(ohms, ohms, rg, rt, indexing="ij"))
    return combine(display, wishes.pin_ohm, t, rx, ro, g)


@pytest.mark.parametrize("name", CASES)
def test_no_quadruple_of_e24_is_better_and_the_first_of_equals_wins(name: str) -> None:
    """All 1.3 million with the ground resistor, worked out by the formulae that the nodes confirm."""
    display, wishes = CASES[name]
    found = search(display, wishes)
    made = every(display, wishes, "E24")
    used = uses(made, wishes)
    cost = np.where(used.kept, used.worst, math.inf)
    assert len(cost) == 13 * 49 * 49 * 42
    if found.series == "E24":
        assert found.use == pytest.approx(cost.min(), rel=1e-12)
        first = int(np.argmax(cost <= cost.min() * (1 + 1e-9)))
        assert tuple(float(v[first]) for v in made.values) == found.best.values
    else:
        assert cost.min() > 1 and found.use < cost.min()


@pytest.mark.parametrize("name", CASES)
def test_runners_up_differ_and_each_gives_up_its_wish(name: str) -> None:
    """Held against all quadruples of E24 where one of them is the best."""
    display, wishes = CASES[name]
    found = search(display, wishes)
    assert [r.wish for r in found.runners_up] == list(WISHES)
    assert len({found.best.values, *(r.choice.values for r in found.runners_up)}) == 4
    assert all(uses(r.choice, wishes).kept for r in found.runners_up)
    if found.yields:
        return
    assert found.series == "E24"
    made, best = every(display, wishes, "E24"), uses(found.best, wishes)
    all_used = uses(made, wishes)
    free = np.array(all_used.kept)
    taken = found.best.values
    for runner in found.runners_up:
        free &= ~np.logical_and.reduce([a == b for a, b in zip(made.values, taken, strict=True)])
        taken = runner.choice.values
        used, halfway = uses(runner.choice, wishes), (best.of(runner.wish) + 1) / 2
        assert used.of(runner.wish) > halfway and used.others(runner.wish) <= 1
        fits = free & (all_used.worst <= 1) & (all_used.of(runner.wish) > halfway)
        if fits.any():
            assert used.worst <= 1
            assert used.both(runner.wish) == pytest.approx(all_used.both(runner.wish)[fits].min(), rel=1e-9)
        else:
            assert used.of(runner.wish) > 1


def preferred(found: Found) -> bool:
    """Whether every resistor stands in the series that is claimed."""
    table = E24 if found.series == "E24" else E96
    values = [v for v in of(found.best) if v is not None]
    digits = 2 if found.series == "E24" else 3
    return all(round(v / 10 ** (math.floor(math.log10(v)) + 1 - digits), 6) in table for v in values)


@pytest.mark.parametrize("name", CASES)
def test_values_are_of_the_series_and_within_their_bounds(name: str) -> None:
    found = search(*CASES[name])
    rt, rx, ro, rg = of(found.best)
    assert preferred(found)
    assert 47 <= rt <= 150 and 100 <= rx <= 10e3 and 100 <= ro <= 10e3 and (rg is None or 220 <= rg <= 10e3)


ONE_OF = st.sampled_from(sorted(DISPLAYS)).map(DISPLAYS.__getitem__)
OHMS = st.floats(100.0, 10e3)
GROUND = st.one_of(st.none(), st.floats(220.0, 10e3))
TERMINATION = st.floats(47.0, 150.0)
PINS = st.floats(1e3, 1e8)


class TestFormulae:
    @given(ONE_OF, PINS, TERMINATION, OHMS, OHMS, GROUND)
    def test_agree_with_the_nodes(
        self, display: Display, pin: float, rt: float, rx: float, ro: float, rg: float | None
    ) -> None:
        made = combine(display, pin, rt, rx, ro, math.inf if rg is None else rg)
        nodes = solved(display, pin, (rt, rx, ro, rg))
        for ours, theirs in (
            (made.external_v, nodes.external_v),
            (made.behind_menu_v, nodes.behind_menu_v),
            (made.display_v, nodes.display_v),
            (made.display_unplugged_v, nodes.unplugged_v),
            (made.display_native_v, nodes.native_v),
            (made.both_v, nodes.both_v),
            (made.menu_black_v, nodes.menu_black_v),
            (made.node_ohm, nodes.node_ohm),
            (made.reflection, max(abs((z - 75) / (z + 75)) for z in nodes.seen_ohm)),
        ):
            assert ours == pytest.approx(theirs, rel=1e-6, abs=1e-9)

    @given(ONE_OF, PINS, TERMINATION, OHMS, OHMS, GROUND)
    def test_source_and_display_add(
        self, display: Display, pin: float, rt: float, rx: float, ro: float, rg: float | None
    ) -> None:
        """Superposition: both at white are menus alone and what a display that is always on leaves of the source."""
        ground = math.inf if rg is None else rg
        made = combine(display, pin, rt, rx, ro, ground)
        stuck = replace(display, idle_ohm=display.high_ohm, low_ohm=display.high_ohm)
        assert made.both_v == pytest.approx(made.display_v + combine(stuck, pin, rt, rx, ro, ground).external_v)

    @given(PINS, TERMINATION, OHMS, OHMS, GROUND, st.floats(1.0, 12.0), st.floats(0.0, 2e3))
    def test_what_the_display_gets_the_source_loses(
        self, pin: float, rt: float, rx: float, ro: float, rg: float | None, high: float, ohm: float
    ) -> None:
        """White of the source is at most its open voltage times 1 - V_display / V_high."""
        display = Display(high, 0.0, ohm, ohm, ohm)
        made = combine(display, pin, rt, rx, ro, math.inf if rg is None else rg)
        assert made.external_v <= 1.4 * rt / (75 + rt) * (1 - made.display_v / high) * (1 + 1e-12)

    @given(ONE_OF, PINS, TERMINATION, OHMS, OHMS, GROUND, st.floats(1.01, 3.0))
    def test_levels_move_one_way(
        self, display: Display, pin: float, rt: float, rx: float, ro: float, rg: float | None, by: float
    ) -> None:
        ground = math.inf if rg is None else rg
        made = combine(display, pin, rt, rx, ro, ground)
        weaker = combine(display, pin, rt, rx * by, ro, ground)
        assert weaker.external_v < made.external_v and weaker.node_ohm > made.node_ohm
        less = combine(display, pin, rt, rx, ro * by, ground)
        assert less.external_v >= made.external_v
        loaded = combine(display, pin, rt, rx, ro, ground / by if rg is not None else 220.0)
        assert loaded.external_v < made.external_v
        lower = combine(display, pin, rt / by, rx, ro, ground)
        assert lower.external_v < made.external_v
        if display.low_v == 0:
            assert weaker.display_v > made.display_v > less.display_v
            assert loaded.display_v < made.display_v

    def test_bound_of_usual_displays(self) -> None:
        """-1.3 dB of white with 5 V, -2.1 dB with 3.3 V, menus at 0.7 V."""
        for high, loss in ((5.0, -1.31), (3.3, -2.07)):
            bound = bound_v(Display(high, 0.0, 100.0, 100.0, 100.0), 0.7)
            assert 20 * math.log10(bound / 0.7) == pytest.approx(loss, abs=0.005)
        assert bound_v(LETS_GO, 0.7) == 0.7

    @pytest.mark.parametrize(("high", "low"), [(5.0, 5.0), (1.0, 2.0), (5.0, -0.5)])
    def test_a_display_swings_upwards(self, high: float, low: float) -> None:
        with pytest.raises(ValueError, match="high must be above low, and low not negative"):
            Display(high, low, 100.0, 100.0, 100.0)


SOUGHT: tuple[Series, ...] = ("E24", "E96")


def one_of(series: Series, low: float, high: float) -> st.SearchStrategy[float]:
    return st.sampled_from(decade_values(series, low, high))


OFF = st.one_of(st.just(1.0), st.floats(0.85, 1.2))
"""A level over its wish; where they are equal the room has no width."""


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_nothing_that_fits_is_left_out(data: st.DataObject) -> None:
    """Whatever a combination uses of the limits, it is among those worked out for that room."""
    series: Series = data.draw(st.sampled_from(SOUGHT))
    display = data.draw(ONE_OF)
    values = (
        data.draw(one_of(series, 47, 150)),
        data.draw(one_of(series, 100, 10e3)),
        data.draw(one_of(series, 100, 10e3)),
        data.draw(st.one_of(st.just(math.inf), one_of(series, 220, 10e3))),
    )
    pin = data.draw(PINS)
    made = combine(display, pin, *values)
    assume(made.display_v > 0)
    wishes = Wishes(
        external_v=made.external_v * data.draw(OFF),
        display_v=made.display_v * data.draw(OFF),
        external_window_db=data.draw(st.floats(0.3, 2.0)),
        display_window_db=data.draw(st.floats(0.3, 2.0)),
        return_loss_db=data.draw(st.floats(14.0, 40.0)),
        pin_ohm=pin,
    )
    exact = replace(wishes, clipping_v=made.both_v, node_ohm=made.node_ohm)
    used = uses(made, exact)
    assert used.kept
    room = Room(*(float(used.of(wish)) * (1 + 1e-9) for wish in WISHES))
    there = [
        np.logical_and.reduce([a == b for a, b in zip(chunk.values, values, strict=True)]).any()
        for chunk in within(display, exact, series, room)
    ]
    assert any(there)


def test_finer_values_serve_where_coarse_ones_do_not() -> None:
    """Windows so narrow that no quadruple of E24 lies in them."""
    wishes = Wishes(0.602, 0.7, 0.02, 0.35, 40.0, pin_ohm=PIN_OHM, node_ohm=600.0)
    coarse = uses(every(PUSH_PULL, wishes, "E24"), wishes)
    assert np.where(coarse.kept, coarse.worst, math.inf).min() > 1
    found = search(PUSH_PULL, wishes)
    assert found.series == "E96" and found.use <= 1 and found.yields == ""


class TestYielding:
    def test_says_which_wish_by_how_much(self) -> None:
        found = search(PUSH_PULL, Wishes(0.7, 0.7, pin_ohm=PIN_OHM, node_ohm=600.0))
        assert found.yields == (
            "no resistors meet all three wishes: white of the source (0.635 V, 0.84 dB below 0.7 V, 0.34 dB more than "
            "the 0.5 dB that are allowed), or white of the menus (0.489 V in the native state, 3.1 dB below 0.7 V, "
            "2.6 dB more than the 0.5 dB that are allowed), or return loss (20.4 dB, 5.6 dB less than the 26 dB that "
            "are wanted) must yield"
        )

    def test_names_the_limit_that_leaves_no_room(self) -> None:
        found = search(PUSH_PULL, replace(NEAR, clipping_v=1.0))
        assert found.yields.startswith("no resistors meet all three wishes (both at white must stay below 1 V): white")
        assert "return loss" not in found.yields  # nothing that comes back makes room for both
        found = search(PUSH_PULL, replace(NEAR, node_ohm=100.0))
        assert "(the node must stay within 100 ohm)" in found.yields

    def test_a_display_that_is_too_weak(self) -> None:
        """1 V cannot become 0.9 V and leave anything of the source."""
        found = search(Display(1.0, 0.0, 100.0, 100.0, 100.0), Wishes(0.7, 0.9, pin_ohm=PIN_OHM, node_ohm=600.0))
        assert found.use > 5 and "white of the source" in found.yields and "white of the menus" in found.yields
        assert len({r.choice.values for r in found.runners_up}) == 3  # also where return loss cannot be given further

    def test_nothing_keeps_a_limit_that_never_yields(self) -> None:
        with pytest.raises(ValueError, match="no resistors keep both at white below 1 V and the node within 10 ohm"):
            search(PUSH_PULL, replace(NEAR, clipping_v=1.0, node_ohm=10.0))


def test_words_of_runners_up_hold() -> None:
    """Each figure in the words is the difference of two figures of the nodes."""
    found = search(PUSH_PULL, NEAR)
    best = measure(solved(PUSH_PULL, PIN_OHM, of(found.best)), NEAR)
    for runner in found.runners_up:
        used = measure(solved(PUSH_PULL, PIN_OHM, of(runner.choice)), NEAR)
        for wish, text in (("external", "white of the source"), ("display", "white of the menus")):
            more = (used[wish] - best[wish]) * 0.5
            if abs(more) > 0.02:
                side = "further off" if more > 0 else "nearer"
                assert f"{text} {float(f'{abs(more):.2g}'):g} dB {side}" in runner.gives_up
    assert found.runners_up[1].gives_up.endswith("one resistor a colour less")
