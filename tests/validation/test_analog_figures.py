"""Figures of termination, coupling and drive against published documents and plain arithmetic.

Each row names where its expected number comes from.  "Arithmetic" rows are worked out by hand from the inputs
printed beside them, with another formula than the code's.
"""

from __future__ import annotations

import math

import pytest

from making import active_range, template
from rasterport.analysis.blanking import idle
from rasterport.analysis.control import Control
from rasterport.analysis.coupling import tilts
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import Line, loss_db
from rasterport.analysis.nodal import GROUND, Element, solve
from rasterport.analysis.setup import Setup
from rasterport.circuit import compose
from rasterport.design.coil import margin_hot
from rasterport.design.coupling import ceiling, floor, into_clamp
from rasterport.design.supply import pull_in_v, regulator_current_most
from rasterport.design.termination import return_loss_db, termination


def loaded(*elements: Element) -> Line:
    """A line whose contact is its landing, with these elements on it."""
    return Line("A", "A", elements)


def load(ohm: float) -> Line:
    return loaded(Element("load", "R", "A", GROUND, ohm))


def loss(line: Line, hertz: float) -> float:
    """Return loss [dB] as the figures have it."""
    return float(loss_db(line.volts(NOMINAL, hertz)[0]))


NOMINAL = Draw({})
SETUP = Setup(template("kestrel"), compose(template("kestrel")))


RETURN_LOSS = [
    # load [ohm], return loss [dB], level against nominal: handbook formulas
    # RL = -20 log |(Z - 75)/(Z + 75)|, level = 2 Z / (Z + 75); 1 %, 5 % and E12 values round about 75 ohm.
    (74.25, 46.0, 0.995),
    (75.75, 46.1, 1.005),
    (71.25, 31.8, 0.974),
    (78.75, 32.3, 1.024),
    (68.0, 26.2, 0.951),
    (82.0, 27.0, 1.045),
    (74.44, 48.6, 0.996),
    (73.82, 42.0, 0.992),
    (72.0, 33.8, 0.980),
    (69.77, 28.8, 0.964),
    (100.0, 16.9, 1.142),
    (37.5, 9.5, 0.667),
    (150.0, 9.5, 1.333),
]


@pytest.mark.parametrize(("ohm", "decibels", "share"), RETURN_LOSS)
def test_return_loss_and_level_of_a_load(ohm: float, decibels: float, share: float) -> None:
    """Reflection of a real load on 75 ohm, as line handbooks tabulate it (0.1 dB: the load itself is rounded)."""
    assert return_loss_db(ohm) == pytest.approx(decibels, abs=0.1)
    assert loss(load(ohm), 1e6) == pytest.approx(decibels, abs=0.1)
    # A source of 1.4 V behind 75 ohm gives the nominal 0.7 V into 75 ohm (IEC 60933-1).
    assert 1.4 * load(ohm).level(NOMINAL, 1e6) / 0.7 == pytest.approx(share, abs=1e-3)


def test_two_terminations_cost_three_and_a_half_decibels() -> None:
    """37.5 ohm: 2 x 37.5 / 112.5 = 2/3 of the level, -3.52 dB; arithmetic."""
    reached = 1.4 * load(37.5).level(NOMINAL, 1e6)
    assert 20 * math.log10(reached / 0.7) == pytest.approx(-3.52, abs=0.01)


SHUNT = [
    # capacitance across 75 ohm [F], return loss at 5 MHz [dB], -3 dB with 37.5 ohm [Hz]; arithmetic
    (22e-12, 31.7, 193e6),
    (47e-12, 25.1, 90e6),
    (100e-12, 18.6, 42e6),
    (220e-12, 12.0, 19e6),
    (330e-12, 8.8, 13e6),
]


@pytest.mark.parametrize(("farad", "decibels", "hertz"), SHUNT)
def test_capacitance_across_a_termination(farad: float, decibels: float, hertz: float) -> None:
    """Gamma = -jx / (2 + jx) with x = 2 pi f C 75; -3 dB at 1 / (2 pi 37.5 C)."""
    line = loaded(Element("load", "R", "A", GROUND, 75.0), Element("stray", "C", "A", GROUND, farad))
    assert loss(line, 5e6) == pytest.approx(decibels, abs=0.1)
    assert line.upper_hz(NOMINAL) == pytest.approx(hertz, rel=0.02)


COUPLED = [
    # capacitance [F], resistance [ohm], corner [Hz]
    (220e-6, 150.0, 4.82),  # TI LMH6601 data sheet, single-supply output
    (0.47e-6, 255e3, 1.33),  # the same, input: 510 kohm || 510 kohm
    (47e-6, 620.0, 5.46),  # the same, gain leg
    (1000e-6, 150.0, 1.06),  # ADI AD8091 data sheet, composite driver
    (220e-6, 1000.0, 0.72),  # the same, gain leg
]


@pytest.mark.parametrize(("farad", "ohm", "hertz"), COUPLED)
def test_corner_of_a_coupling_capacitor(farad: float, ohm: float, hertz: float) -> None:
    """Published single-supply circuits, the corner to the two decimals that the documents' values give.

    A source behind half of the resistance feeds the other half: 3 dB below the middle at the corner.
    """
    elements = (Element("coupling", "C", "A", "B", farad), Element("load", "R", "B", GROUND, ohm / 2))
    line = Line("A", "B", elements)
    at = [line.level(NOMINAL, f, ohm / 2) for f in (hertz, 1e6)]
    assert 20 * math.log10(at[1] / at[0]) == pytest.approx(3.01, abs=0.06)
    # The search itself: half a unit of the last digit that the document's values give.
    assert line.lower_hz(NOMINAL, ohm / 2) == pytest.approx(hertz, abs=0.006)


TILT = [
    # capacitance into 75 + 75 ohm [F], tilt over half a field of 10 ms [%]; 1 - exp(-t / RC), the tilt formula of
    # Khandpur's handbook, eq. 9.80; 220 uF and its fellows are the usual output couplings of the makers' sheets above
    (220e-6, 26.1),
    (470e-6, 13.2),
    (1000e-6, 6.4),
    (4700e-6, 1.4),
]


@pytest.mark.parametrize(("farad", "percent"), TILT)
def test_tilt_over_half_a_field(farad: float, percent: float) -> None:
    elements = (Element("coupling", "C", "A", "B", farad), Element("load", "R", "B", GROUND, 75.0))
    (tilt,) = tilts(SETUP, "sync", Line("A", "B", elements))
    assert tilt.of(NOMINAL) == pytest.approx(percent, abs=0.05)


DROOP = [
    # leakage [A], capacitance [F], droop over a 64 us line [V]; dV = I t / C, Khandpur's handbook for the formula
    (0.1e-6, 100e-9, 0.064e-3),
    (0.2e-6, 100e-9, 0.128e-3),
    (1e-6, 100e-9, 0.64e-3),
    (10e-6, 100e-9, 6.4e-3),
    (0.1e-6, 10e-9, 0.64e-3),
]


@pytest.mark.parametrize(("ampere", "farad", "volts"), DROOP)
def test_droop_behind_a_clamp_sets_the_floor(ampere: float, farad: float, volts: float) -> None:
    """The capacitance that droops by just so much is the floor for that droop."""
    assert floor(ampere, 64e-6, volts) == pytest.approx(farad, rel=1e-9)


@pytest.mark.parametrize(("ampere", "volts_a_line"), [(100e-6, 4.0e-3), (40e-6, 1.6e-3)])
def test_slew_of_a_clamp_sets_the_ceiling(ampere: float, volts_a_line: float) -> None:
    """100 and 40 uA for 4 us move 100 nF by 4.0 and 1.6 mV a line (ST STV22xx and Philips TDA933x clamp currents).

    After a cut the black of a source behind 220 uF and 150 ohm runs at 0.57 V / 33 ms, 1.105 mV a 64 us line; the
    ceiling is where the clamp just keeps up.
    """
    runs = 0.57 / 33e-3 * 64e-6
    assert ceiling(ampere, 4e-6, 64e-6) == pytest.approx(100e-9 * volts_a_line / runs, rel=1e-3)


def test_ceiling_at_40_ua_is_145_nf() -> None:
    """40 uA x 4 us / (0.57 V / 33 ms x 64 us); arithmetic, TDA933x for the current."""
    assert ceiling(40e-6, 4e-6, 64e-6) == pytest.approx(145e-9, rel=0.005)


def test_100_nf_is_chosen_into_a_clamp() -> None:
    """Common practice, no source: 100 nF in front of a clamped RGB pin; Micronas TPU3035 asks 100 to 1000 nF."""
    for leak, clamp in ((0.1e-6, 40e-6), (0.2e-6, 60e-6), (0.1e-6, 140e-6)):
        sized = into_clamp(floor(leak, 52e-6, 3.5e-3), ceiling(clamp, 4e-6, 64e-6), 0.27)
        assert sized.value == pytest.approx(100e-9)


def test_75_ohm_is_chosen_in_front_of_a_high_resistance() -> None:
    """Common practice, no source: 75 ohm from each colour to ground at the socket."""
    assert {termination(ohm).value for ohm in (47e3, 100e3, 10e6)} == {75.0}


BLANKING = [
    # series resistor from 5 V into 75 ohm [ohm], voltage [V], current [mA]; arithmetic
    (75.0, 2.50, 33.0),
    (100.0, 2.14, 28.6),
    (120.0, 1.92, 25.6),
    (150.0, 1.67, 22.2),
    (180.0, 1.47, 19.6),
    (220.0, 1.27, 16.9),
    (270.0, 1.09, 14.5),
    (330.0, 0.93, 12.3),
]


@pytest.mark.parametrize(("ohm", "volts", "milliampere"), BLANKING)
def test_5_v_through_a_resistor_into_75_ohm(ohm: float, volts: float, milliampere: float) -> None:
    """Levels on contact 16; the last row misses the 1 V of EN 50049-1."""
    elements = (Element("series", "R", "RAIL", "PIN", ohm), Element("load", "R", "PIN", GROUND, 75.0))
    reached = solve(elements, {}, 0.0, {"RAIL": 5.0})["PIN"].real
    assert reached == pytest.approx(volts, abs=0.005)
    assert (5.0 - reached) / ohm * 1e3 == pytest.approx(milliampere, abs=0.36)


def test_12_v_on_contact_16_is_two_watts() -> None:
    """12 V x 12 V / 75 ohm = 1.92 W; the board's two resistors take less than their 1 W each (arithmetic)."""
    circuit = compose(template("heron"))
    halves = [circuit.by_role(f"input-1/status/load-{side}") for side in "ab"]
    ohm = 1 / sum(1 / (p.value_si or math.inf) for p in halves)
    assert 12.0**2 / ohm == pytest.approx(1.92, abs=0.01)
    assert all(12.0**2 / (p.value_si or math.inf) < p.part.ratings["power_w"] for p in halves)


def test_copper_asks_more_of_a_hot_coil() -> None:
    """Pull-in of a 5 V coil (3.75 V at 20 C) at 70 C and 18 K of own heat: 3.75 (1 + 0.0039 x 68) = 4.745 V.

    Copper: 0.393 % a kelvin at 20 C in every handbook; 0.39 % here.  On a 5 V rail 5 % low nothing is left.
    """
    assert pull_in_v(3.75, 18.0) == pytest.approx(3.75 * (1 + 0.0039 * 68), rel=1e-12)
    assert margin_hot(4.75, 178.0, 3.75, 18.0, 0.0) == pytest.approx(4.75 / 4.7445 - 1, abs=1e-4)
    assert margin_hot(4.75, 178.0, 3.75, 18.0, 10.0) < 0


def test_a_small_regulator_carries_46_ma_from_12_v() -> None:
    """78L05 at 12.6 V in and 60 C air: (125 - 60) / 150 K/W = 0.433 W, less 12.6 V x 6 mA, over 7.6 V: 47 mA.

    Maker's sheets: 125 C, 6 mA at most; 150 K/W stands between their 160 (TO-92) and 130 K/W, from memory.
    """
    assert regulator_current_most(12.6, 5.0, 6e-3, 150.0, 125.0, 60.0) == pytest.approx(47e-3, abs=1e-3)


@pytest.mark.parametrize(("name", "least"), [("kestrel", 0.9), ("heron", 0.9), ("plover", 0.9), ("wren", 0.9)])
def test_blanking_satisfies_the_known_families(name: str, least: float) -> None:
    """Philips TDA83xx and TDA933x: on from 0.9 V, second meaning from 3.0 V; ST STV22xx: on from 0.85 V."""
    made = template(name)
    found = active_range(Control(compose(made), made))
    assert found.low > least
    assert found.high < 3.0


HIGH_PIN = {
    "set.blanking.off_below": "0.4 V",
    "set.blanking.on_above": "2.1 V",
    "set.blanking.maximum": "5 V",
    "set.blanking.pin_current": "0.2 mA",
    "set.blanking.native": "grounded",
}


@pytest.mark.parametrize("volts", ["4.75 V", "5 V"])
@pytest.mark.parametrize("name", ["kestrel", "plover"])
def test_a_pin_that_wants_2_1_v_is_served_from_a_low_rail(name: str, volts: str) -> None:
    """A switching pin of the logic kind: off below 0.4 V, on from 2.1 V, 5 V at most.  Common practice, no source.

    With the board active it stands between 2.1 V and its maximum at every corner; in native mode it is held at
    ground, where the set had it, with its own current lifting it by less than 0.4 V.
    """
    made = template(name, {**HIGH_PIN, "set.supply.voltage": volts})
    control = Control(compose(made), made)
    found = active_range(control)
    assert 2.1 < found.low < found.high < 5.0
    left = idle(control)
    assert left.grounded
    assert left.rail == ""
    assert left.volts < 0.4
