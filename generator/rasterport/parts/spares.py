"""How many more parts of a class somebody orders than the boards take.  Judgement, stated: small parts get lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rasterport.records import CataloguePart


@dataclass(frozen=True, slots=True)
class Spare:
    """At least so many pieces more, or this share of what is needed, whichever is more."""

    least: int
    share: float


TINY = Spare(5, 0.2)
"""SMD resistors and capacitors: they jump away, and a price for ten is often lower than for six."""
SMALL = Spare(2, 0.1)
"""Resistors and capacitors with leads, diodes and transistors: one gets too hot or goes in the wrong way round."""
LARGE = Spare(0, 0.0)
"""What is dear, or survives a second try."""
BY_CLASS = {
    "resistor": SMALL, "capacitor": SMALL, "transistor": SMALL, "diode": SMALL, "clamp": SMALL, "ptc": Spare(1, 0.0),
    "fusible": SMALL, "regulator-5v": Spare(1, 0.0),
}  # fmt: skip
"""First word of a part's key -> its spares; every other class has none."""
CHIPS = ("0603", "0805", "1206")
"""Packages of resistors and capacitors that count as tiny."""


def spares(part: CataloguePart, needed: float) -> int:
    """Pieces beyond what is needed.  A length of wire has its ends in it already."""
    kind = part.key.split("/")[0]
    rule = TINY if kind in ("resistor", "capacitor") and part.package in CHIPS else BY_CLASS.get(kind, LARGE)
    return math.ceil(max(rule.least, needed * rule.share) - 1e-9)
