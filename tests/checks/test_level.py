"""White at the pin: from what a split brings down to what resistors cannot deliver, on every path."""

from __future__ import annotations

from typing import Any

import pytest

from making import EVERY_PATH, errors, examined, several, variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.records import Circuit
from rasterport.variant.models import Variant

WIDE = {"set.rgb.clipping_level": "3 V"}


def levels(made: Variant, circuit: Circuit, state: str = "input-1") -> list[float]:
    figures = Figures(Setup(made, circuit))
    return [figures.get("level", colour, state).nominal for colour in ("red", "green", "blue")]


@pytest.mark.parametrize("white", ["0.11 V", "0.112 V", "0.12 V", "0.15 V", "0.2 V", "0.35 V", "0.5 V", "0.65 V"])
def test_a_split_brings_white_down(white: str) -> None:
    """Within 2 %, as the pair is chosen, and no error: every limit is kept at every corner."""
    made = variant({"set.rgb.white_level": white})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    assert levels(made, circuit) == pytest.approx([made.set.rgb.white_level] * 3, rel=0.02)


@pytest.mark.parametrize("white", ["0.108 V", "0.109 V"])
def test_between_refusal_and_a_good_split_there_is_no_third(white: str) -> None:
    _, findings = examined(variant({"set.rgb.white_level": white}))
    assert errors(findings) == set()


@pytest.mark.parametrize("white", ["0.691 V", "0.695 V", "0.699 V", "0.7 V"])
def test_a_split_of_less_than_an_ohm_is_none(white: str) -> None:
    made = variant({"set.rgb.white_level": white})
    circuit, findings = examined(made)
    assert not circuit.has("input-1/red/upper")
    assert errors(findings) == set()
    assert {f.severity for f in findings if f.code == "F202"} == {"met"}


@pytest.mark.parametrize(
    ("white", "lacks_db", "severity"),
    # 20 log10(white / 0.7 V)
    [("0.75 V", 0.5993, "met"), ("0.83 V", 1.4796, "met"), ("0.9 V", 2.183, "warning"), ("1 V", 3.098, "warning")],
)
def test_what_resistors_cannot_amplify_is_told(white: str, lacks_db: float, severity: str) -> None:
    _, findings = examined(variant({"set.rgb.white_level": white, **WIDE}))
    told = [f for f in findings if f.code == "F208"]
    assert [f.subject for f in told] == ["blue", "green", "red"]
    assert {f.severity for f in told} == {severity}
    assert [f.measured for f in told] == pytest.approx([lacks_db] * 3, abs=1e-3)
    assert {f.code for f in findings if f.severity == "error"} == set()


@pytest.mark.parametrize(
    ("inputs", "path", "changes"),
    EVERY_PATH.values(),
    ids=EVERY_PATH.keys(),
)
@pytest.mark.parametrize("white", ["0.15 V", "0.5 V"])
def test_every_input_has_its_own_split_on_every_path(
    inputs: int, path: str, changes: dict[str, Any], white: str
) -> None:
    made = several(inputs, path, changes={"set.rgb.white_level": white, **changes})
    circuit, findings = examined(made)
    # Behind a split the differences of the switches come on top of those of the resistors.
    assert errors(findings) == ({"F203"} if (path, white) == ("cmos", "0.15 V") else set())
    wanted = made.set.rgb.white_level
    for n in range(1, inputs + 1):
        assert circuit.has(f"input-{n}/red/upper")
        assert levels(made, circuit, f"input-{n}") == pytest.approx([wanted] * 3, rel=0.03)
