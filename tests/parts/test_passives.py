"""Resistors and capacitors: that the smallest sufficient row is taken and the rest is refused."""

from __future__ import annotations

from typing import Any

import pytest

from rasterport.parts import FUSIBLE_OHM, capacitor, fusible, resistor
from rasterport.parts.capacitors import microfarad_code, picofarad_code
from rasterport.standards.iec60063 import decade_values


@pytest.mark.parametrize(
    ("construction", "power_w", "package"),
    [
        ("smd", 0.0, "0805"),
        ("smd", 0.125, "0805"),
        ("smd", 0.1251, "1206"),
        ("smd", 0.25, "1206"),
        ("smd", 0.26, "2512"),
        ("smd", 1.0, "2512"),
    ],
)
def test_a_chip_grows_with_its_power(construction: str, power_w: float, package: str) -> None:
    part = resistor(150.0, construction, power_w)
    assert part.package == package
    assert part.ratings["power_w"] >= power_w


def test_a_leaded_resistor_changes_its_series() -> None:
    assert resistor(75.0, "through-hole", 0.25).part_number == "MFR-25FBF52-75R"
    assert resistor(75.0, "through-hole", 0.3).part_number == "PR01000107509FR500"
    assert resistor(75.0, "through-hole", 0.3, 5.0).part_number == "PR01000107509JR500"
    assert resistor(75.0, "through-hole", 0.3, 5.0).ratings["tolerance_pct"] == 5.0
    assert resistor(75.0, "through-hole", 0.1, 5.0).ratings["tolerance_pct"] == 1.0


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        ((75.0, "smd", 1.01), "at most 1 W"),
        ((75.0, "through-hole", 1.01), "at most 1 W"),
        ((0.5, "smd"), "between 1 and 1e"),
        ((2e6, "smd"), "between 1 and 1e"),
        ((float("nan"), "smd"), "between 1 and 1e"),
        ((75.0, "smd", 0.0, 0.1), "1 % or wider"),
    ],
)
def test_what_no_resistor_does_is_refused(arguments: tuple[Any, ...], match: str) -> None:
    with pytest.raises(ValueError, match=match):
        resistor(*arguments)


def test_every_e96_value_has_a_number_of_its_own() -> None:
    values = decade_values("E96", 1.0, 1e6)
    for construction, power_w in (("smd", 0.0), ("through-hole", 0.0), ("through-hole", 1.0)):
        assert len({resistor(v, construction, power_w).part_number for v in values}) == len(values)


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
@pytest.mark.parametrize(
    ("kind", "value_f", "voltage_v"),
    [
        ("ceramic", 100e-9, 50.0),
        ("ceramic", 1e-6, 50.0),
        ("ceramic", 10e-6, 16.0),
        ("c0g", 22e-12, 50.0),
        ("electrolytic", 47e-6, 16.0),
        ("electrolytic", 470e-6, 25.0),
        ("bipolar", 10e-6, 16.0),
        ("bipolar", 470e-6, 16.0),
    ],
)
def test_a_capacitor_covers_what_is_asked(kind: str, construction: str, value_f: float, voltage_v: float) -> None:
    part = capacitor(value_f, construction, voltage_v, kind)
    assert part.ratings["value_f"] == value_f
    assert part.ratings["voltage_v"] >= voltage_v
    polarised = kind == "electrolytic"
    assert part.ratings["polarised"] == float(polarised)
    assert [pin.name for pin in part.pins] == (["+", "-"] if polarised else ["~", "~"])


def test_the_lowest_sufficient_rating_is_taken() -> None:
    assert capacitor(100e-6, "smd", 10.0, "electrolytic").ratings["voltage_v"] == 16.0
    assert capacitor(100e-6, "smd", 16.1, "electrolytic").ratings["voltage_v"] == 25.0


@pytest.mark.parametrize(
    "arguments", [(100e-9, "smd", 51.0, "ceramic"), (22e-6, "smd", 5.0, "ceramic"), (2200e-6, "smd", 5.0, "bipolar")]
)
def test_what_no_capacitor_does_is_refused(arguments: tuple[Any, ...]) -> None:
    with pytest.raises(ValueError, match=r"no smd .* capacitor of .* covers"):
        capacitor(*arguments)


def test_small_c0g_has_its_tolerance_in_picofarads() -> None:
    part = capacitor(4.7e-12, "smd", 5.0, "c0g")
    assert part.tolerance == "0.5 pF"
    assert part.ratings["tolerance_pct"] == pytest.approx(100 * 0.5 / 4.7)


def test_makers_codes() -> None:
    assert (picofarad_code(4.7e-12), picofarad_code(2.2e-6)) == ("479", "225")
    assert (microfarad_code(4.7e-6), microfarad_code(10e-6), microfarad_code(470e-6)) == ("4R7", "100", "471")


def test_fusible_resistors() -> None:
    assert [fusible(v).ratings["value_ohm"] for v in FUSIBLE_OHM] == list(FUSIBLE_OHM)
    with pytest.raises(ValueError, match=r"1, 2\.2, 4\.7, 10 ohm"):
        fusible(5.0)
