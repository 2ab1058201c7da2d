"""Part numbers and ratings against numbers that makers' documents and distributors' pages print."""

from __future__ import annotations

import pytest

from rasterport.parts import capacitor, fusible, ptc, relay, resistor
from rasterport.parts.resistors import vishay_value


def test_yageo_ordering_example() -> None:
    """RC0805 data sheet of July 2008: 56 ohm, 1 %, 7 inch reel is RC0805FR-0756R(L)."""
    assert resistor(56.0, "smd").part_number == "RC0805FR-0756RL"


def test_yageo_writes_the_value_with_a_letter_for_the_point() -> None:
    """RT and RC data sheets, resistance rule: 1R5, 97R6, 100R, 9K76, 9M76."""
    assert resistor(1.5, "smd").part_number == "RC0805FR-071R5L"
    assert resistor(97.6, "smd").part_number == "RC0805FR-0797R6L"
    assert resistor(9.76e3, "smd").part_number == "RC0805FR-079K76L"


@pytest.mark.parametrize(
    ("ohm", "digits"),
    [
        (100e3, "01003"),  # PR01000201003JA100, distributor page for 100 kohm
        (130e3, "01303"),  # PR03000201303JAC00
        (200e3, "02003"),  # PR02000202003JR500
        (33.0, "03309"),  # NFR25H003309JR500 (one page drops a leading zero)
    ],
)
def test_vishay_value_field(ohm: float, digits: str) -> None:
    assert vishay_value(ohm) == digits


def test_vishay_numbers_have_18_characters() -> None:
    """Vishay global part numbers of leaded resistors: 18 characters with the packaging."""
    for part in (fusible(10.0), fusible(4.7), resistor(150.0, "through-hole", 1.0, 5.0)):
        assert len(part.part_number) == 18


def test_pr01_ratings() -> None:
    """Vishay document 28729, October 2009: P70 1 W from 1 ohm up, 1 % and 5 %, size 0207."""
    part = resistor(150.0, "through-hole", 1.0, 5.0)
    assert (part.part_number, part.ratings["power_w"]) == ("PR01000101500JR500", 1.0)
    assert "DIN0207" in part.footprint
    assert part.ratings["tempco_ppm"] == 250.0


def test_nfr25h_ratings() -> None:
    """Vishay document 28737, October 2009: 0.5 W, 350 V, 5 %; 200 ppm/K up to 4.7 ohm, 100 ppm/K to 15 ohm."""
    assert fusible(10.0).ratings["tempco_ppm"] == 100.0
    assert fusible(4.7).ratings["tempco_ppm"] == 200.0
    assert (fusible(10.0).ratings["power_w"], fusible(10.0).ratings["voltage_v"]) == (0.5, 350.0)


def test_resettable_fuses() -> None:
    """Bourns MF-NSMF table: MF-NSMF012 30 V 0.12 A 0.29 A 1.35 to 8.5 ohm; MF-R010 60 V 0.1 A 0.2 A."""
    chip, radial = ptc("smd").ratings, ptc("through-hole").ratings
    assert [chip[k] for k in ("voltage_v", "hold_a", "trip_a", "r_low_ohm", "r_high_ohm")] == [
        30,
        0.12,
        0.29,
        1.35,
        8.5,
    ]
    assert [radial[k] for k in ("voltage_v", "hold_a", "trip_a")] == [60, 0.1, 0.2]


@pytest.mark.parametrize("coil_v", [3.0, 4.5, 5.0, 12.0])
def test_relay_coils_take_140_milliwatts(coil_v: float) -> None:
    """Table of the sister series EA2: nominal power 140 mW and minimum operating power 79 mW, 3 to 12 V."""
    r = relay(coil_v, "smd").ratings
    assert coil_v**2 / r["coil_ohm"] == pytest.approx(0.140, rel=0.005)
    assert r["operate_v"] ** 2 / r["coil_ohm"] == pytest.approx(0.079, rel=0.01)


def test_kemet_codes() -> None:
    """Goldmax C322C104K5R5TA and C0805C104K5RACTU (from memory): 100 nF, 10 %, 50 V, X7R."""
    assert capacitor(100e-9, "smd", 50.0, "ceramic").part_number == "C0805C104K5RACTU"
    assert capacitor(100e-9, "through-hole", 50.0, "ceramic").part_number == "C322C104K5R5TA"
