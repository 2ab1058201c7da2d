"""The nodal solver against NumPy's and against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterport.analysis.nodal import GROUND, LEAK_S, Element, impedance, reach, solve

NODES = ("A", "B", "C", "D", "E", "F")


@st.composite
def networks(draw: st.DrawFn) -> tuple[Element, ...]:
    """A random connected network: a tree of resistors down to ground and some more resistors and capacitors."""
    found = []
    for k, node in enumerate(NODES):
        other = draw(st.sampled_from((GROUND, *NODES[:k])))
        found.append(Element(f"tree-{k}", "R", node, other, draw(st.floats(1.0, 1e5))))
    for k in range(draw(st.integers(0, 8))):
        a, b = draw(st.sampled_from(NODES)), draw(st.sampled_from((GROUND, *NODES)))
        kind = draw(st.sampled_from("RC"))
        found.append(Element(f"more-{k}", kind, a, b, draw(st.floats(1.0, 1e5)) * (1e-12 if kind == "C" else 1.0)))
    return tuple(found)


def by_numpy(elements: tuple[Element, ...], injected: dict[str, complex], omega: float, held: dict[str, float]) -> dict:
    """The same network as one matrix of admittances, every held node as an equation of its own."""
    names = [*NODES]
    at = {name: k for k, name in enumerate(names)}
    matrix = np.zeros((len(names), len(names)), dtype=complex)
    right = np.zeros(len(names), dtype=complex)
    matrix += np.eye(len(names)) * LEAK_S
    for e in elements:
        y = 1 / e.value if e.kind == "R" else 1j * omega * e.value
        for here, there in ((e.first, e.second), (e.second, e.first)):
            if here != GROUND:
                matrix[at[here], at[here]] += y
                if there != GROUND:
                    matrix[at[here], at[there]] -= y
    for name, amps in injected.items():
        right[at[name]] += amps
    for name, volts in held.items():
        matrix[at[name]] = 0
        matrix[at[name], at[name]] = 1
        right[at[name]] = volts
    return dict(zip(names, np.linalg.solve(matrix, right), strict=True))


@settings(deadline=None)
@given(networks(), st.floats(0.0, 1e8), st.dictionaries(st.sampled_from(NODES[:4]), st.floats(-1.0, 1.0)), st.data())
def test_random_networks_agree_with_numpy(
    elements: tuple[Element, ...], omega: float, injected: dict[str, complex], data: st.DataObject
) -> None:
    held = data.draw(st.dictionaries(st.sampled_from(NODES[4:]), st.floats(-10.0, 10.0)))
    ours = solve(elements, injected, omega, held)
    theirs = by_numpy(elements, injected, omega, held)
    scale = max(1.0, *(abs(v) for v in theirs.values()))
    for name in NODES:
        assert abs(ours[name] - theirs[name]) <= 1e-7 * scale


def test_divider() -> None:
    elements = (Element("u", "R", "TOP", "PIN", 3900.0), Element("l", "R", "PIN", GROUND, 1000.0))
    assert solve(elements, {}, 0.0, {"TOP": 9.0})["PIN"].real == pytest.approx(9.0 * 1000 / 4900)


def test_values_replace_the_elements_own() -> None:
    elements = (Element("u", "R", "TOP", "PIN", 3900.0), Element("l", "R", "PIN", GROUND, 1000.0))
    assert solve(elements, {}, 0.0, {"TOP": 9.0}, (1000.0, 1000.0))["PIN"].real == pytest.approx(4.5)


def test_balanced_bridge_has_no_voltage_across() -> None:
    arms = (("TOP", "L", 100.0), ("TOP", "R", 200.0), ("L", GROUND, 300.0), ("R", GROUND, 600.0), ("L", "R", 50.0))
    elements = tuple(Element(f"{a}{b}", "R", a, b, ohm) for a, b, ohm in arms)
    volts = solve(elements, {}, 0.0, {"TOP": 4.0})
    assert volts["L"] == pytest.approx(volts["R"])
    assert volts["L"].real == pytest.approx(3.0)


def test_low_pass_at_its_corner() -> None:
    """|H| = 1 / sqrt 2 and -45 degrees at 1 / (2 pi R C)."""
    elements = (Element("r", "R", "IN", "OUT", 1e3), Element("c", "C", "OUT", GROUND, 1e-9))
    out = solve(elements, {}, 1 / (1e3 * 1e-9), {"IN": 1.0})["OUT"]
    assert abs(out) == pytest.approx(1 / math.sqrt(2), rel=1e-6)
    assert math.degrees(math.atan2(out.imag, out.real)) == pytest.approx(-45.0, abs=1e-4)


def test_impedance_of_a_capacitor() -> None:
    assert impedance((Element("c", "C", "A", GROUND, 100e-9),), "A", 1e5) == pytest.approx(-1j / (2e5 * math.pi * 1e-7))


def test_a_node_behind_a_capacitor_has_a_solution_at_direct_voltage() -> None:
    elements = (Element("c", "C", "A", "B", 1e-7), Element("r", "R", "A", GROUND, 75.0))
    volts = solve(elements, {"A": 1.0}, 0.0)
    assert volts["A"].real == pytest.approx(75.0)
    assert volts["B"] == 0


def test_ground_stays_ground() -> None:
    elements = (Element("r", "R", "A", GROUND, 75.0),)
    assert solve(elements, {"A": 1.0}, 0.0, {GROUND: 5.0})["A"].real == pytest.approx(75.0)


class TestReach:
    ELEMENTS = (
        Element("1", "R", "A", "B", 1.0), Element("2", "R", "B", GROUND, 1.0), Element("3", "R", GROUND, "C", 1.0),
        Element("4", "R", "B", "RAIL", 1.0), Element("5", "R", "RAIL", "D", 1.0), Element("6", "C", "A", "E", 1.0),
    )  # fmt: skip

    def roles(self, start: str, *walls: str) -> str:
        return "".join(e.role for e in reach(self.ELEMENTS, start, walls))

    def test_stops_at_ground(self) -> None:
        assert self.roles("A") == "12456"

    def test_stops_at_a_held_net(self) -> None:
        assert self.roles("A", "RAIL") == "1246"

    def test_nothing_is_reached_from_a_wall(self) -> None:
        assert self.roles(GROUND) == ""
        assert self.roles("RAIL", "RAIL") == ""

    def test_an_unknown_net_reaches_nothing(self) -> None:
        assert self.roles("NOWHERE") == ""
