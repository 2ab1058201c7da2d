"""Edges of resistors and capacitors against what can be worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rasterport.analysis.edges import LEAST_F, Step
from rasterport.analysis.nodal import Element

OHM, FARAD = 1e3, 100e-12
LOW_PASS = (Element("r", "R", "in", "out", OHM), Element("c", "C", "out", "GND", FARAD))


def test_one_time_constant_rises_in_ln_9() -> None:
    step = Step(LOW_PASS, [OHM, FARAD], {"in": 5.0}, {})
    ten, half, ninety = step.share("out", 0.1, 0.5, 0.9)
    tau = OHM * (FARAD + LEAST_F)
    assert step.end("out") == pytest.approx(5.0)
    assert ninety - ten == pytest.approx(math.log(9) * tau, rel=1e-3)
    assert half == pytest.approx(math.log(2) * tau, rel=1e-3)


def test_it_falls_as_it_rises_from_where_it_starts() -> None:
    step = Step(LOW_PASS, [OHM, FARAD], {"in": 0.0}, {"out": 2.0})
    (at,) = step.crossing("out", 0.5)
    assert at == pytest.approx(math.log(4) * OHM * (FARAD + LEAST_F), rel=1e-3)
    (never,) = step.crossing("out", -0.1)
    assert never == math.inf


def test_two_sections_follow_the_formula_of_their_two_poles() -> None:
    """R and C twice: 1 / (1 + 3 s + s^2) with s in units of R C: poles at (3 +- sqrt 5) / 2."""
    chain = (*LOW_PASS, Element("r2", "R", "out", "far", OHM), Element("c2", "C", "far", "GND", FARAD))
    step = Step(chain, [OHM, FARAD] * 2, {"in": 1.0}, {})
    (at,) = step.share("far", 0.5)
    fast, slow = (3 + math.sqrt(5)) / 2, (3 - math.sqrt(5)) / 2
    s = at / (OHM * (FARAD + LEAST_F))
    assert 1 - (fast * math.exp(-slow * s) - slow * math.exp(-fast * s)) / (fast - slow) == pytest.approx(0.5, abs=1e-3)


def test_boards_are_worked_out_together() -> None:
    ohms = np.array([500.0, 1000.0, 2000.0])
    step = Step(LOW_PASS, [ohms, FARAD], {"in": 1.0}, {})
    (half,) = step.share("out", 0.5)
    assert np.asarray(half) == pytest.approx(math.log(2) * ohms * (FARAD + LEAST_F), rel=1e-3)


def test_a_current_lifts_where_a_net_settles() -> None:
    step = Step(LOW_PASS, [OHM, FARAD], {"in": 1.0}, {}, {"out": 1e-3})
    assert step.end("out") == pytest.approx(2.0)


def test_a_capacitor_passes_a_step_on_at_once() -> None:
    """Two equal capacitors in series halve the step of a net that is released."""
    pair = (
        Element("c", "C", "top", "mid", FARAD), Element("c2", "C", "mid", "GND", FARAD),
        Element("r", "R", "top", "in", 1.0), Element("leak", "R", "mid", "GND", 1e6),
    )  # fmt: skip
    step = Step(pair, [FARAD, FARAD, 1.0, 1e6], {"in": 0.0}, {"top": 2.0, "mid": 2.0})
    (fast, slow) = step.crossing("mid", 1.1, 0.9)
    assert fast < 1e-8 < 1e-7 < slow


def test_a_net_that_never_moves_is_there_at_once() -> None:
    step = Step(LOW_PASS, [OHM, FARAD], {"in": 0.0}, {})
    assert step.share("out", 0.1, 0.9) == [0.0, 0.0]
