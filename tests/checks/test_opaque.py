"""Menus that take turns with the picture: what the switch does in every state, levels, black, and mistakes in it."""

from __future__ import annotations

from typing import Any

import pytest

from making import OPAQUE, errors, examined, variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.intent import Proof
from rasterport.analysis.opaque import turning
from rasterport.analysis.outcomes import outcomes
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.records import COLOURS, GROUND, Finding
from slips import Mistake, gone, net, scaled, shorted, swapped

LOW_ACTIVE = {**OPAQUE, "set.display": {"high": "5 V", "blanking_active": "low"}}
FITTED = {**OPAQUE, "set.display": {"high": "5 V", "series_fitted": "1k", "ground_fitted": "2k2"}}
LETS_GO = {**OPAQUE, "set.display": {"high": "5 V", "idle": "high-impedance"}}
COLLECTOR = {**OPAQUE, "set.display": {"high": "5 V", "drive": "open-collector", "resistance_high": "1k"}}


def told(findings: tuple[Finding, ...], code: str) -> list[Finding]:
    return [f for f in findings if f.code == code]


@pytest.mark.parametrize("changes", [OPAQUE, LOW_ACTIVE, FITTED, LETS_GO, COLLECTOR])
def test_menu_and_picture_take_turns(changes: dict[str, Any]) -> None:
    made = variant(changes)
    circuit, findings = examined(made)
    assert errors(findings) == set()
    with_rail = [(o.wanted, dict(o.reaches)["red"]) for o in outcomes(Proof(circuit, made)) if o.rail == "on"]
    assert sorted(with_rail) == [
        ("input-1", "display"), ("input-1", "input-1"), ("native", "display"), ("native", "nothing"),
    ]  # fmt: skip
    assert [f.severity for f in told(findings, "F273")] == ["met"] * 3
    assert [f.severity for f in told(findings, "F274")] == ["met"]


@pytest.mark.parametrize("changes", [OPAQUE, FITTED, LETS_GO, COLLECTOR])
def test_neither_takes_from_the_other(changes: dict[str, Any]) -> None:
    """Both have their full white: by hand, a divider into the pin's 1 Mohm and 75 ohm behind 100."""
    made = variant(changes)
    circuit = compose(made)
    figures, keys = Figures(Setup(made, circuit)), made.set.display
    assert keys is not None
    assert figures.get("level", "red").nominal == pytest.approx(0.7, rel=0.01)
    upper, foot = (circuit.by_role(f"red/{name}").value_si or 0.0 for name in ("from-display", "foot"))
    volt, ohm = 5.0, keys.resistance_high + (keys.series_fitted or 0.0)
    if keys.ground_fitted is not None:
        volt, ohm = volt * keys.ground_fitted / (ohm + keys.ground_fitted), 1 / (1 / ohm + 1 / keys.ground_fitted)
    by_hand = volt * foot / (ohm + upper + foot)
    for state in ("input-1", "native"):
        assert figures.get("menu-level", "red", state).nominal == pytest.approx(by_hand, rel=0.002)
    assert by_hand == pytest.approx(0.7, rel=0.015)


@pytest.mark.parametrize("low", [0.0, 0.1, 0.2])
def test_black_of_menus_is_that_of_the_divider(low: float) -> None:
    """The background stands at the display's low level, divided down as its white is; the source's at 0 to 20 mV."""
    made = variant({**OPAQUE, "set.display": {"high": "5 V", "low": f"{low:g} V"}})
    figure = Figures(Setup(made, compose(made))).get("menu-black", "red")
    by_hand = low * 0.7 / (5.0 - low)
    assert figure.high == pytest.approx(max(by_hand, 0.02 - by_hand), rel=0.06)


def slipped(mistake: Mistake) -> set[str]:
    return errors(examine(mistake.made, mistake.slip(compose(mistake.made))))


MADE = variant(OPAQUE)
MISTAKES = [
    Mistake("throws swapped", MADE, swapped("menu/switch", "X0", "X1"), {"F421", "F425"}),
    Mistake("select on ground", MADE, net("menu/switch", "A", GROUND), {"F421", "F425"}),
    Mistake("select of one colour open", MADE, net("menu/switch", "B", None), {"F427"}),
    Mistake("switch without supply", MADE, net("menu/switch", "VCC", None), {"F709"}),
    Mistake("divider's foot forgotten", MADE, gone("red/foot"), {"F260"}),
    Mistake("divider off", MADE, scaled("green/foot", 1.5), {"F260"}),
    Mistake("picture and menu on one throw", MADE, shorted("MENU_BLUE", "PICTURE_BLUE"), {"F421"}),
]


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_mistakes_are_seen(mistake: Mistake) -> None:
    assert slipped(mistake) >= mistake.by


def test_a_switch_that_stands_still_is_told() -> None:
    circuit = net("menu/switch", "A", GROUND)(compose(MADE))
    found = [f for f in told(examine(MADE, circuit), "F273") if f.severity == "error"]
    assert [f.message for f in found] == ["nothing turns this colour from the picture to the menu"]
    assert sorted(turning(Setup(MADE, compose(MADE)))) == sorted(f"MIXED_{c.upper()}" for c in COLOURS)


def test_a_slow_switch_is_told() -> None:
    fast = variant({**OPAQUE, "set.display": {"high": "5 V", "pixel": "60 ns"}})
    (found,) = told(examine(fast, compose(fast)), "F274")
    assert (found.severity, found.measured, found.limit) == ("warning", 93e-9, 60e-9)


def test_black_beyond_what_the_pins_bear_is_an_error() -> None:
    """The design refuses such a source; a board of another design would be judged all the same."""
    circuit = compose(MADE)
    source = MADE.input[0].model_copy(update={"black_most": 0.2})
    other = MADE.model_copy(update={"input": (source,)})
    assert {f.severity for f in told(examine(other, circuit), "F273")} == {"error"}
