"""Marking codes in the style of a bill of materials."""

from __future__ import annotations

import pytest

from rasterport.standards.iec60062 import rkm_code, three_digit_code, tolerance_letter


@pytest.mark.parametrize(
    ("value", "code"),
    [(75.0, "75R"), (4.7, "4R7"), (4.7e3, "4k7"), (10e3, "10k"), (49.9e3, "49k9"), (1e6, "1M"), (0.47, "0R47")],
)
def test_resistances(value: float, code: str) -> None:
    assert rkm_code(value, "ohm") == code


@pytest.mark.parametrize(
    ("value", "code"),
    [(100e-9, "100n"), (2.2e-6, "2u2"), (470e-6, "470u"), (22e-12, "22p"), (4.7e-9, "4n7"), (1e-3, "1000u")],
)
def test_capacitances(value: float, code: str) -> None:
    assert rkm_code(value, "F") == code


def test_computed_values_lose_their_noise() -> None:
    assert rkm_code(0.1 * 3, "ohm") == "0R3"
    assert rkm_code(100 * 1e-9 * 1.0000000001, "F") == "100n"


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_only_positive_finite_values_have_a_code(value: float) -> None:
    with pytest.raises(ValueError, match="positive and finite"):
        rkm_code(value, "ohm")


def test_three_digits_cannot_hold_three_figures() -> None:
    assert three_digit_code(4.7e-12) == "4R7"
    with pytest.raises(ValueError, match="two digits"):
        three_digit_code(123e-12)
    with pytest.raises(ValueError, match="two digits"):
        three_digit_code(4.75e-12)


def test_a_tolerance_without_letter_is_an_error() -> None:
    assert tolerance_letter(1.0) == "F"
    with pytest.raises(KeyError):
        tolerance_letter(3.0)
