"""Marking codes against examples of IEC 60062 as code tables print them, and against the package rkm-codes."""

from __future__ import annotations

import pytest
from rkm_codes import from_rkm

from rasterport.parts.capacitors import ROWS, picofarad_code
from rasterport.standards.iec60062 import TOLERANCE_PCT, rkm_code, three_digit_code
from rasterport.standards.iec60063 import decade_values

# R47, 4R7, 470R, 4K7, 47K, 47K3, 4M7 in the code tables; ours writes k small and keeps the leading zero.
PRINTED = {"R47": 0.47, "4R7": 4.7, "470R": 470.0, "4K7": 4.7e3, "47K": 47e3, "47K3": 47.3e3, "4M7": 4.7e6}


@pytest.mark.parametrize("printed", PRINTED)
def test_examples_of_the_code_tables(printed: str) -> None:
    ours = rkm_code(PRINTED[printed], "ohm")
    assert ours.upper().lstrip("0") == printed


@pytest.mark.parametrize(
    ("farad", "code"),
    # 103, 104, 105 in capacitor charts; 101, 220 and 224 by their rule: two digits, then zeros, in pF.
    [(10e-9, "103"), (100e-9, "104"), (1e-6, "105"), (100e-12, "101"), (22e-12, "220"), (220e-9, "224")],
)
def test_three_digit_examples(farad: float, code: str) -> None:
    assert three_digit_code(farad) == code
    assert picofarad_code(farad) == code


def test_tolerance_letters() -> None:
    """F, G, J, K, M as every chart has them."""
    assert {c: TOLERANCE_PCT[c] for c in "FGJKM"} == {"F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0}


def test_another_reader_reads_every_code_back() -> None:
    for value in (*decade_values("E96", 1.0, 9.76e6), *decade_values("E24", 1.0, 9.1e6)):
        assert float(from_rkm(rkm_code(value, "ohm"))) == pytest.approx(value, rel=1e-9)
    values = {row.most_f for rows in ROWS.values() for row in rows} | set(decade_values("E12", 1e-12, 820e-6))
    for value in values:
        assert float(from_rkm(rkm_code(value, "F"))) == pytest.approx(value, rel=1e-9)
