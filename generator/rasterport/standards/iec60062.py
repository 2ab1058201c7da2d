"""Marking codes: IEC 60062:2016 with amendment 1 (2019).

The letter stands in place of the decimal point (clause on the letter and digit code).  Here the codes
are written as bills of material write them: ASCII only, `u` for micro, `k` for kilo, no trailing
zeros, and capacitors of 1000 uF and more stay in microfarads (common practice, no source).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

Kind = Literal["ohm", "F"]

SOURCE = "IEC 60062:2016 + A1:2019"

LETTERS: dict[Kind, tuple[tuple[int, str], ...]] = {
    "ohm": ((9, "G"), (6, "M"), (3, "k"), (0, "R")),
    "F": ((-6, "u"), (-9, "n"), (-12, "p")),
}
"""Power of ten and its letter, largest first."""

TOLERANCE_PCT: dict[str, float] = {
    "B": 0.1, "C": 0.25, "D": 0.5, "F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0, "N": 30.0,
}  # fmt: skip
"""Symmetrical tolerance letters [percent]."""

TOLERANCE_PF: dict[str, float] = {"B": 0.1, "C": 0.25, "D": 0.5}
"""The same letters on capacitors below 10 pF [pF]."""

TOLERANCE_ASYMMETRICAL_PCT: dict[str, tuple[float, float]] = {
    "P": (100.0, 0.0),
    "T": (50.0, -10.0),
    "Z": (80.0, -20.0),
}
"""Asymmetrical tolerance letters: most above, most below [percent]."""


def _decimal(value: float) -> Decimal:
    """The decimal that a float means, once the noise beyond nine digits is gone."""
    if not 0.0 < value < float("inf"):
        raise ValueError(f"a marked value must be positive and finite, found {value}")
    return Decimal(f"{value:.9g}")


def rkm_code(value: float, kind: Kind) -> str:
    """Code of a resistance [ohm] or capacitance [F], as in `75R`, `4k7`, `0R47`, `100n`, `2u2`.

    `kind` names the unit.  Raises ValueError when the value is not positive and finite.
    """
    exact = _decimal(value)
    power, letter = next((p, c) for p, c in (*LETTERS[kind], (-99, "")) if exact >= Decimal(10) ** p)
    if not letter:
        power, letter = LETTERS[kind][-1]
    whole, _, part = f"{exact.scaleb(-power):f}".partition(".")
    return f"{whole}{letter}{part.rstrip('0')}"


def three_digit_code(farad: float) -> str:
    """Three-digit code of a capacitance [F]: two digits, then the zeros after them, in picofarads.

    100 nF is `104`.  Below 10 pF the letter R stands for the point: `4R7`.  Raises ValueError when two
    digits cannot hold the value.
    """
    picofarad = _decimal(farad).scaleb(12)
    if picofarad < 10:
        whole, _, part = f"{picofarad:f}".partition(".")
        if len(part.rstrip("0")) > 1:
            raise ValueError(f"a three-digit code holds two digits, found {picofarad} pF")
        return f"{whole}R{part.rstrip('0') or '0'}"
    zeros = picofarad.adjusted() - 1
    leading = picofarad.scaleb(-zeros)
    if leading != leading.to_integral_value() or zeros > 9:
        raise ValueError(f"a three-digit code holds two digits, found {picofarad} pF")
    return f"{int(leading)}{zeros}"


def tolerance_letter(tolerance_pct: float) -> str:
    """Letter of a symmetrical tolerance [percent].  Raises KeyError when none is defined."""
    for letter, percent in TOLERANCE_PCT.items():
        if percent == tolerance_pct:
            return letter
    raise KeyError(tolerance_pct)
