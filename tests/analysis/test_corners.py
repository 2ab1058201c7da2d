"""Worst cases: where they lie, what names them, and that no board at random lies beyond them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from making import TEMPLATE_NAMES, template, variant
from rasterport.analysis import corners as module
from rasterport.analysis.control import Control, supply_of
from rasterport.analysis.corners import Corners, Quantity, bound, words
from rasterport.analysis.draws import Draw, SampleDraw
from rasterport.analysis.figures import Figures
from rasterport.analysis.nodal import Values
from rasterport.analysis.samples import sample
from rasterport.analysis.setup import Setup
from rasterport.circuit import compose
from rasterport.variant.models import Variant

PLACES = st.floats(-1.0, 1.0)


def names(count: int) -> tuple[str, ...]:
    return tuple(f"p{n}" for n in range(count))


def weighted(weights: tuple[float, ...]) -> Quantity:
    """A sum: monotone in every parameter."""

    def of(draw: Draw) -> Values:
        return sum(w * draw.place(n) for w, n in zip(weights, names(len(weights)), strict=True)) + 10.0

    return Quantity("level", "red", "input-1", of, names(len(weights)))


@given(st.lists(st.floats(-1.0, 1.0).filter(lambda w: abs(w) > 1e-3), min_size=1, max_size=20), st.data())
def test_a_sum_is_worst_where_every_term_is(weights: list[float], data: st.DataObject) -> None:
    """Few parameters are enumerated, many follow their slopes: both find the same corner."""
    quantity = weighted(tuple(weights))
    found = Corners().spread(quantity)
    reach = sum(abs(w) for w in weights)
    assert (found.low, found.nominal, found.high) == pytest.approx((10 - reach, 10.0, 10 + reach))
    assert found.high_places == tuple(int(np.sign(w)) for w in weights)
    one = Draw({n: data.draw(PLACES) for n in quantity.parameters})
    assert found.low - 1e-9 <= quantity.of(one) <= found.high + 1e-9


def test_a_figure_that_turns_with_another_parameter_is_enumerated_there() -> None:
    """The product has its highest value where both are high or both are low: no slope from the middle tells."""

    def of(draw: Draw) -> Values:
        return draw.place("p0") * draw.place("p1") + sum(draw.place(n) for n in names(9)[2:])

    found = Corners().spread(Quantity("level", "red", "input-1", of, names(9)))
    assert (found.low, found.high) == (-8.0, 8.0)


def test_a_figure_that_bends_has_its_better_end_inside() -> None:
    def of(draw: Draw) -> Values:
        return (draw.place("p0") - 0.3) ** 2 + (draw.place("p1") + 0.2) ** 2

    quantity = Quantity("level-error", "red", "input-1", of, names(2), bends="low")
    found = Corners().spread(quantity)
    assert found.high == pytest.approx(1.3**2 + 1.2**2)
    assert found.low < 1e-5 < found.nominal
    assert words(quantity, found.low_places) == "between the corners"
    assert words(quantity, found.high_places) == "p0 low, p1 high"


def test_the_power_of_a_matched_resistor_is_greatest_inside() -> None:
    """10 V through 100 ohm into 50 to 150 ohm: 0.25 W at 100 ohm, more than at either end; maximum power theorem."""

    def of(draw: Draw) -> Values:
        ohm = draw.between("load", 50.0, 80.0, 150.0)
        return 100.0 * ohm / (100.0 + ohm) ** 2

    found = Corners().spread(Quantity("dissipation", "load", "input-1", of, ("load",), bends="high"))
    assert found.high == pytest.approx(0.25, rel=1e-6)
    assert found.low == pytest.approx(100 * 50 / 150**2)


def test_corners_say_where_they_lie_and_leave_out_what_does_not_matter() -> None:
    def of(draw: Draw) -> Values:
        return 100 + draw.place("first") + 1e-5 * draw.place("second")

    quantity = Quantity("level", "red", "input-1", of, ("first", "second"))
    found = Corners().spread(quantity)
    assert found.high == 101 + 1e-5, "it counts all the same"
    assert words(quantity, found.high_places) == "first high"
    assert words(quantity, found.low_places) == "first low"


def test_the_first_of_two_corners_that_differ_by_rounding_is_named() -> None:
    def of(draw: Draw) -> Values:
        return 1.0 + 0.1 * draw.place("a") ** 2 + 1e-16 * draw.place("a")

    found = Corners().spread(Quantity("level", "red", "input-1", of, ("a",)))
    assert found.high == pytest.approx(1.1)
    # Turning the place over changes nothing, so it is not named at all.
    assert found.high_places == (0,)


def test_of_too_many_that_bend_the_weak_ones_are_turned_over_one_by_one() -> None:
    """The square of a sum has a worst corner where all are low too, by a little less: that is not taken for it."""
    count = module.MOST_FREE + 4
    weights = [0.9**k for k in range(count)]

    def of(draw: Draw) -> Values:
        return (sum(w * draw.place(n) for w, n in zip(weights, names(count), strict=True)) + 0.3) ** 2

    found = Corners().spread(Quantity("level-error", "red", "input-1", of, names(count), bends="low"))
    assert found.high == pytest.approx((sum(weights) + 0.3) ** 2)
    assert found.high > (sum(weights[: module.STRONGEST]) + 0.3) ** 2 * 1.3, "the weak ones count"
    assert found.high_places == (1,) * count
    assert 0.0 <= found.low < 0.01 < found.nominal


def test_a_weak_one_whose_worse_side_hangs_on_the_strong_ones_is_turned_to_it() -> None:
    """Each weak one multiplies a strong one; the last strong one is worst low, so its partners are too."""
    count = module.MOST_FREE + 2
    strong, weak = names(count)[:8], names(count)[8:]

    def of(draw: Draw) -> Values:
        total: Values = 5.0 - 3 * draw.place(strong[-1])
        for one, other in zip(strong, weak, strict=True):
            total = total + draw.place(one) ** 2 + 0.1 * draw.place(one) * draw.place(other)
        return total

    found = Corners().spread(Quantity("level-error", "red", "input-1", of, names(count), bends="low"))
    assert found.high == pytest.approx(5 + 3 + 8 + 0.8)
    assert all(a * b == 1 for a, b in zip(found.high_places[:8], found.high_places[8:], strict=True))
    assert found.high_places[7] == -1


def test_a_bound_is_the_same_for_every_board() -> None:
    quantity = bound("gain", "gate", "input-1", 5.0, "rail low")
    found = Corners().spread(quantity)
    assert (found.low, found.nominal, found.high) == (5.0, 5.0, 5.0)
    assert words(quantity, found.high_places) == "rail low"


OTHERS = {
    "split": variant({"set.rgb.white_level": "0.35 V"}),
    "a little split": variant({"set.rgb.white_level": "0.3 V"}),
    "a low pin": variant({"set.rgb.white_level": "0.11 V"}),
    "a low pin behind trimmers": variant({"set.rgb.white_level": "0.1 V", "board.trimmers": True}),
    "a low pin behind clamps": variant({"set.rgb.white_level": "0.11 V", "board.clamps": True}),
    "no clamp": variant({"set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "0 V", "input.source_coupling": "dc"}),
    "black lifted by the rail": variant(
        {
            "set.rgb.pin_kind": "analog-dc",
            "set.rgb.black_level": "0.4 V",
            "set.rgb.white_level": "0.5 V",
            "input.source_coupling": "dc",
            "input.black_most": "0.02 V",
        }
    ),
    "a clamp of the board": variant(
        {
            "set.rgb.pin_kind": "analog-dc",
            "set.rgb.black_level": "2 V",
            "board.keyed_clamp": True,
            "set.supply.voltage": "9 V",
        }
    ),
    "nothing to load it": variant(
        {"set.rgb.capacitance": "0 F", "set.rgb.lead_length": "0 m", "set.rgb.resistance": "100M"}
    ),
    "a resistor on the pin": variant({"set.blanking.fitted_resistor": "1k"}),
    "terminated in the set": variant({"set.rgb.coupling_fitted": "100n", "set.rgb.termination_fitted": True}),
    "behind a capacitor": variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V"}),
    "relays on 12 V": variant({"selector.path": "relay", "set.supply.voltage": "12 V"}),
    "a long unscreened lead": variant({"set.rgb.lead_length": "1 m", "set.rgb.capacitance": "100 pF"}),
}
BOARDS = {**{name: template(name) for name in TEMPLATE_NAMES}, **OTHERS}


@pytest.mark.parametrize("made", BOARDS.values(), ids=BOARDS.keys())
def test_no_board_at_random_lies_outside_the_corners(made: Variant) -> None:
    """Every figure of every template: 6000 boards, and every board on the faces of the box."""
    figures = Figures(Setup(made, compose(made)))
    found = sample(figures, 6000, seed=7, names=figures.quantities)
    assert len(found) == len(figures.quantities)
    assert [(s.key, s.subject, s.state) for s in found if s.outside] == []
    assert sum(1 for s in found if s.high > s.low) > 60, "most figures do spread"


def lowest_supply(control: Control) -> float:
    """The lowest supply of the board's analog switches [V], 0 where it has none."""
    return min((control.supplies[supply_of(chip)].low for chip in control.analog), default=0.0)


@pytest.mark.parametrize("made", BOARDS.values(), ids=BOARDS.keys())
def test_no_board_with_other_parts_lies_outside_the_corners(made: Variant) -> None:
    """The parts themselves are moved, not the draw: a figure that forgets one of its parts is found out here."""
    circuit = compose(made)
    figures, control = Figures(Setup(made, circuit)), Control(circuit, made)
    supply_v = lowest_supply(control)
    spreads = {e.role: e.spread for state in control.states for e in control.elements(state)}
    stream = np.random.Generator(np.random.PCG64(11))
    wrong = set()
    for n in range(24):
        places = {role: stream.uniform(-1, 1) if n % 2 else stream.choice((-1, 1)) for role in sorted(spreads)}
        parts = tuple(
            p if p.value_si is None or p.role not in places
            else replace(p, value_si=p.value_si * (1 + spreads[p.role] * places[p.role]))
            for p in circuit.parts
        )  # fmt: skip
        moved = Figures(Setup(made, replace(circuit, parts=parts)))
        supply_off = abs(lowest_supply(moved.setup.control) - supply_v)
        for name, quantity in moved.quantities.items():
            if not quantity.parameters:  # a bound has the tolerances in it already
                continue
            found, stated = float(np.ravel(quantity.value(Draw({})))[0]), figures.get(*name)
            slack = 1e-6 * max(abs(stated.low), abs(stated.high))
            if quantity.bends:
                slack += 0.01 * (stated.high - stated.low)
            if name[0] == "switch-room":  # of a supply that is a bound itself: half of it is the room
                slack += supply_off / 2
            if not stated.low - slack <= found <= stated.high + slack:
                wrong.add((*name, found, stated.low, stated.high))
    assert wrong == set()


class Asked(Draw):
    """The nominal board, which remembers what it was asked for."""

    def __init__(self) -> None:
        super().__init__({})
        self.names: set[str] = set()

    def place(self, name: str) -> Values:
        self.names.add(name)
        return 0.0


@pytest.mark.parametrize("made", BOARDS.values(), ids=BOARDS.keys())
def test_a_figure_names_every_uncertain_quantity_that_moves_it(made: Variant) -> None:
    """One left out would never be taken to its corners."""
    wrong = set()
    for key, quantity in Figures(Setup(made, compose(made))).quantities.items():
        asked = Asked()
        nominal = np.asarray(quantity.value(asked), dtype=float)
        for name in asked.names - set(quantity.parameters) if quantity.parameters else ():
            for place in (-1.0, 1.0):
                moved = np.asarray(quantity.value(Draw({name: place})), dtype=float)
                if not np.allclose(moved, nominal, rtol=1e-9, atol=0.0):
                    wrong.add((key, name))
    assert wrong == set()


class Faces(Draw):
    """Boards whose every quantity stands at one of its bounds, by a fixed pattern."""

    def __init__(self, boards: int) -> None:
        super().__init__({})
        self._boards = boards

    def place(self, name: str) -> Values:
        return np.sign(SampleDraw(3, 0, self._boards).place(name))


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_corner_at_random_lies_outside_the_corners(name: str) -> None:
    made = template(name)
    figures = Figures(Setup(made, compose(made)))
    draw = Faces(4096)
    for key, quantity in figures.quantities.items():
        figure = figures.get(*key)
        values = np.asarray(quantity.value(draw), dtype=float)
        slack = 1e-6 * max(abs(figure.low), abs(figure.high))
        assert figure.low - slack <= values.min() <= values.max() <= figure.high + slack, key
