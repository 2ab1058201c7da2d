"""Readings as people write them down and as meters show them: one table, for the file and for the bench sheet."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf


@dataclass(frozen=True)
class Spelling:
    """A text in a field with this unit, its value [SI], and how the sheet copies it out."""

    text: str
    unit: str
    value: float
    copied: str


TAKEN = (
    Spelling("74.8 ohm", "ohm", 74.8, "74.8 ohm"),
    Spelling("74.8", "ohm", 74.8, "74.8 ohm"),
    Spelling("74.8Ω", "ohm", 74.8, "74.8 ohm"),
    Spelling("75 Ohm", "ohm", 75, "75 ohm"),
    Spelling("75 \u2126", "ohm", 75, "75 ohm"),
    Spelling("75R", "ohm", 75, "75 ohm"),
    Spelling("75 R", "ohm", 75, "75 ohm"),
    Spelling("4R7", "ohm", 4.7, "4.7 ohm"),
    Spelling("4R7 ohm", "ohm", 4.7, "4.7 ohm"),
    Spelling("4k7", "ohm", 4700, "4.7 kohm"),
    Spelling("4k7 ohm", "ohm", 4700, "4.7 kohm"),
    Spelling("4K7", "ohm", 4700, "4.7 kohm"),
    Spelling("4K ohm", "ohm", 4000, "4 kohm"),
    Spelling("47k", "ohm", 47000, "47 kohm"),
    Spelling("4.7 kohm", "ohm", 4700, "4.7 kohm"),
    Spelling("1,5 k", "ohm", 1500, "1.5 kohm"),
    Spelling("1.5 k Ω", "ohm", 1500, "1.5 kohm"),
    Spelling("74,8 ohm", "ohm", 74.8, "74.8 ohm"),
    Spelling("0,470", "ohm", 0.47, "0.470 ohm"),
    Spelling("1234,567", "ohm", 1234.567, "1234.567 ohm"),
    Spelling("1.500", "ohm", 1.5, "1.500 ohm"),
    Spelling("2.2 Mohm", "ohm", 2.2e6, "2.2 Mohm"),
    Spelling("0", "ohm", 0, "0 ohm"),
    Spelling("0 ohm", "ohm", 0, "0 ohm"),
    Spelling("+75", "ohm", 75, "75 ohm"),
    Spelling("-0.1 ohm", "ohm", -0.1, "-0.1 ohm"),
    Spelling("\u22120.1", "ohm", -0.1, "-0.1 ohm"),
    Spelling("open", "ohm", inf, "open"),
    Spelling("Open", "ohm", inf, "open"),
    Spelling("OPEN", "ohm", inf, "open"),
    Spelling("OL", "ohm", inf, "open"),
    Spelling("ol", "ohm", inf, "open"),
    Spelling("O.L", "ohm", inf, "open"),
    Spelling("O.L.", "ohm", inf, "open"),
    Spelling("0.L", "ohm", inf, "open"),
    Spelling("∞", "ohm", inf, "open"),
    Spelling("1.97 V", "V", 1.97, "1.97 V"),
    Spelling("1,97", "V", 1.97, "1.97 V"),
    Spelling("350m", "V", 0.35, "350 mV"),
    Spelling("-12 mV", "V", -0.012, "-12 mV"),
    Spelling("20 µV", "V", 20e-6, "20 uV"),
    Spelling("20 \u03bcV", "V", 20e-6, "20 uV"),
    Spelling("3.8 mA", "A", 0.0038, "3.8 mA"),
    Spelling("3m8", "A", 0.0038, "3.8 mA"),
    Spelling("-1 mA", "A", -0.001, "-1 mA"),
)
"""What can be read, by either."""

REFUSED = (
    ("", "ohm"), ("-", "ohm"), ("banana", "ohm"), ("75.", "ohm"), (".5", "ohm"), ("1e3", "ohm"), ("1e3 ohm", "ohm"),
    (">1M", "ohm"), ("> 1 Mohm", "ohm"), ("~75", "ohm"), ("75 76", "ohm"), ("75 to 76 ohm", "ohm"), ("1,500", "ohm"),
    ("12,345 ohm", "ohm"), ("1,5,5", "ohm"), ("1.5.5", "ohm"), ("--1", "ohm"), ("4k7k", "ohm"), ("75RR", "ohm"),
    ("infinite", "ohm"), ("inf", "ohm"), ("nan", "ohm"), ("open ohm", "ohm"), ("1.97 V", "ohm"), ("4.7 K", "ohm"),
    ("75 ohms", "ohm"), ("7" * 41, "ohm"), ("0x10", "ohm"), ("٧٥", "ohm"),
    ("OL", "V"), ("open", "V"), ("75R", "V"), ("4R7", "V"), ("75 ohm", "V"), ("1V5", "V"), ("1.97 v", "V"),
    ("0.5 A", "V"), ("1,234", "V"), ("2 W", "V"), ("75R", "A"), ("3.8 mV", "A"),
)  # fmt: skip
"""A text and the unit of its field: what neither can read there."""
