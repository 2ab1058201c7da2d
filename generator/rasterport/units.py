"""Quantities as a person writes them, and numbers as Rasterport writes them.

Reading: one grammar decides what may stand in a variant file, `number [prefix][unit]` or an RKM code
(IEC 60062) such as 4k7.  QuantiPhy and rkm-codes only convert what the grammar has let through; they are
imported when the first value with a prefix is met.  Values are floats in SI units (% as a fraction), and
equal to the literal: "2.2 uF" is 2.2e-06 exactly.

Writing: every computed number is rounded to 9 significant digits first and to 4 then, so that the last
bits of a processor never reach a file.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from functools import cache

from rasterport.errors import RasterportError

MARGIN = 1e-9
"""Relative margin of every comparison that chooses a value."""

LONGEST = 40
"""Characters of a quantity in quotes, and digits of one without."""

SPELLINGS: dict[str, tuple[str, ...]] = {
    "ohm": ("ohm", "Ohm", "\u03a9", "\u2126"),
    "F": ("F",),
    "V": ("V",),
    "A": ("A",),
    "m": ("m",),
    "s": ("s",),
    "Hz": ("Hz",),
    "W": ("W",),
    "%": ("%",),
}
"""Unit of a key -> how it may be spelled in a file."""

EXAMPLES: dict[str, str] = {
    "ohm": '"75", "4k7" or "2.2 kohm"',
    "F": '"100n", "2u2" or "5 pF"',
    "V": '"0.7 V" or "200 mV"',
    "A": '"0.2 mA" or "40 uA"',
    "m": '"0.3 m" or "60 mm"',
    "s": '"0.35 us" or "4 us"',
    "Hz": '"15.6 kHz" or "50 Hz"',
    "W": '"0.25 W" or "2 W"',
    "%": '"5 %"',
}

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
PREFIXES = "pnu\u00b5\u03bcmkMG"
"""Every prefix that may be written, micro in three spellings."""
_BARE = ("ohm", "V")  # a number alone is clear here; pF or F, mm or m would be a guess elsewhere
_UNSCALED = ("m", "%")  # "60m" would be metres or milli, so no RKM code and no prefix without its unit

POWERS: dict[str, int] = {"G": 9, "M": 6, "k": 3, "": 0, "m": -3, "\u00b5": -6, "n": -9, "p": -12}
"""Prefix as it is shown -> power of ten."""

_SHOWN: dict[str, tuple[tuple[str, float], ...]] = {
    "Ω": (("G", 1e9), ("M", 1e6), ("k", 1e3), ("", 0.1), ("m", 0.0)),
    "F": (("\u00b5", 1e-6), ("n", 1e-9), ("p", 0.0)),
    "V": (("k", 1e3), ("", 0.1), ("m", 1e-4), ("\u00b5", 1e-7), ("n", 0.0)),
    "A": (("", 1.0), ("m", 1e-4), ("\u00b5", 1e-7), ("n", 0.0)),
    "s": (("", 1.0), ("m", 1e-3), ("\u00b5", 1e-7), ("n", 0.0)),
    "Hz": (("G", 1e9), ("M", 1e6), ("k", 1e3), ("", 0.0)),
    "W": (("", 0.1), ("m", 1e-4), ("\u00b5", 0.0)),
    "m": (("", 1.0), ("m", 0.0)),
}
"""Unit -> prefixes with the least value shown with each, as the trade writes it (0.7 V, 0.2 mA, 1000 µF)."""

_PLAIN = str.maketrans({
    "\u03a9": "ohm", "\u2126": "ohm", "\u00b5": "u", "\u03bc": "u", "≥": ">=", "≤": "<=", "±": "+/-",
    "–": "-", "\u2212": "-", "×": "x", "°": "deg",
})  # fmt: skip


class QuantityError(RasterportError, ValueError):
    """A quantity that cannot be read.  `allowed` says what to write instead."""

    def __init__(self, allowed: str) -> None:
        self.allowed = allowed
        super().__init__(allowed)


def pattern(unit: str) -> str:
    """The grammar of a unit as an anchored regular expression that Python and ECMA 262 read alike."""
    number, code = _forms(unit)
    return f"^(?:{number}|{code})$" if code else f"^{number}$"


def _forms(unit: str) -> tuple[str, str]:
    """Patterns of a number with prefix and unit, and of an RKM code ("" where none is allowed)."""
    name = "(?:" + "|".join(SPELLINGS[unit]) + ")"
    prefix = f"[{PREFIXES}]"
    if unit == "%":
        return f"(?:0|{_NUMBER} ?%)", ""
    if unit == "m":
        return f"(?:0|{_NUMBER} ?{prefix}?{name})", ""
    tail = f"(?: ?{prefix}?{name}|{prefix})"
    number = f"{_NUMBER}{tail}?" if unit in _BARE else f"(?:0|{_NUMBER}{tail})"
    letters = PREFIXES + "K" + ("R" if unit == "ohm" else "")
    code = f"(?:[0-9]+[{letters}][0-9]+{'|[0-9]+[RK]' if unit == 'ohm' else ''})(?: ?{name})?"
    return number, code


@cache
def _compiled(unit: str) -> tuple[re.Pattern[str], re.Pattern[str] | None, re.Pattern[str]]:
    """Compiled: the two forms, and what splits the first into number and prefix."""
    number, code = _forms(unit)
    name = "|".join(SPELLINGS[unit])
    parts = re.compile(f"({_NUMBER}) ?([{PREFIXES}]?)(?:{name}){'' if unit in _UNSCALED else '?'}")
    return re.compile(number), re.compile(code) if code else None, parts


def read(given: object, unit: str) -> float:
    """The value in SI units (% as a fraction) of what a TOML file gives for a key with this unit.

    `given` is a string, int or float; `unit` one of SPELLINGS.  Raises QuantityError.
    """
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise QuantityError(f"must be a quantity such as {EXAMPLES[unit]}")
    if not isinstance(given, str):
        return _read_number(given, unit)
    if len(given) > LONGEST:
        raise QuantityError(f"must be at most {LONGEST} characters, such as {EXAMPLES[unit]}")
    if given == "0":
        return 0.0
    number, code, parts = _compiled(unit)
    if number.fullmatch(given) and (found := parts.fullmatch(given)):
        return float(f"{found[1]}e-2") if unit == "%" else _scaled(found[1], found[2])
    if code is not None and code.fullmatch(given):
        return _from_code(re.match(r"[0-9]+[^0-9 ][0-9]*", given)[0])  # type: ignore[index]
    raise QuantityError(_advice(given, unit))


def _read_number(given: int | float, unit: str) -> float:
    if isinstance(given, int) and abs(given) >= 10**LONGEST:  # an int may be beyond every float
        raise QuantityError(f"must have at most {LONGEST} digits, such as {EXAMPLES[unit]}")
    if not math.isfinite(given):
        raise QuantityError(f"must be a finite number, such as {EXAMPLES[unit]}")
    if given < 0:
        raise QuantityError(f"must not be negative; write {EXAMPLES[unit]}")
    if given and unit not in _BARE:
        raise QuantityError(f"must be a string with its unit, such as {EXAMPLES[unit]}")
    return float(given)


def _scaled(number: str, prefix: str) -> float:
    """Value of a plain number with an SI prefix; QuantiPhy scales the text, so no bit drifts."""
    if not prefix:
        return float(number)
    from quantiphy import Quantity

    return float(Quantity(number + _ascii(prefix)))


def _from_code(code: str) -> float:
    """Value of an RKM code, which IEC 60062 spells with the prefix in place of the point."""
    from rkm_codes import from_rkm

    return float(from_rkm(_ascii(code)))


def _ascii(text: str) -> str:
    return text.replace("\u00b5", "u").replace("\u03bc", "u")


def _advice(given: str, unit: str) -> str:
    """What to write instead of a text that the grammar refuses, most telling reason first."""
    text = given.strip()
    example = f"such as {EXAMPLES[unit]}"
    if not text:
        return f"must be a quantity {example}"
    if re.match(r"[-\u2212\u2013]", text):
        return f"must not be negative; write a quantity {example}"
    if re.match(r"[+]?(nan|inf)", text, re.I):
        return f"must be a finite number {example}"
    if "," in text:
        return "must have a point, not a comma" + _instead(text.replace(",", "."), unit)
    if re.search(r"[0-9][eE][-+]?[0-9]", text):
        return f"must be written without an exponent{_without_exponent(text, unit)}"
    if len(re.findall(r"[0-9.]+", text)) > 1 and not re.fullmatch(r"[0-9]+[^0-9\s][0-9]+", text):
        return f"must be one number with one unit, {example}"
    if re.fullmatch(_NUMBER, text):
        return f"must have its unit, {example}"
    if text != given or re.search(r"[0-9](\s{2,}|\t)", text):
        return f"must have no space but one before the unit, {example}"
    if re.search(r"(^|[^0-9])\.|\.($|[^0-9])", text):
        return f"must have a digit before and after the point, {example}"
    return f"must be a number in {unit}, {example}"


def _instead(text: str, unit: str) -> str:
    number, code, _ = _compiled(unit)
    fits = number.fullmatch(text) or (code is not None and code.fullmatch(text))
    return f': write "{text}"' if fits else f", such as {EXAMPLES[unit]}"


def _without_exponent(text: str, unit: str) -> str:
    found = re.match(r"[0-9]+(?:\.[0-9]+)?[eE][-+]?[0-9]{1,2}(?![0-9])", text)
    if found is None or unit == "%":
        return f", such as {EXAMPLES[unit]}"
    return f': write "{plain(written(float(found[0]), unit))}" if that is meant'


def significant(value: float, digits: int = 4) -> float:
    """`value` rounded to 9 significant digits, then to `digits`: the only form in which numbers are written.

    Raises ValueError for nan and inf, which no result may hold.
    """
    if not math.isfinite(value):
        raise ValueError(f"a number that is written must be finite, found {value}")
    return float(f"{float(f'{value:.8e}'):.{digits - 1}e}") + 0.0  # + 0.0 turns -0.0 into 0.0


def short(value: float, digits: int = 4) -> str:
    """`value` as text with at most so many significant digits, rounded as every written number is."""
    return f"{significant(value, digits):.10g}"


def written(value: float, unit: str) -> str:
    """Text of a value in SI units: "4.7 kΩ", "100 nF", "0.2 mA", "-3.5 dB", at most 4 significant digits.

    `unit` is a key of SPELLINGS or any other text, which then takes no prefix; % is given as a fraction.
    """
    name = "Ω" if unit == "ohm" else unit
    if unit == "%":
        value *= 100
    rounded = significant(value)
    prefix = _prefix_for(abs(rounded), name)
    scaled = Decimal(repr(rounded)).scaleb(-POWERS[prefix])
    digits = format(scaled, "f")
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return f"{digits} {prefix}{name}".rstrip()


def prefixed(largest: float, unit: str) -> tuple[str, int]:
    """Unit with the prefix that suits `largest`, and the power of ten of that prefix: ("mV", -3).

    For values that stand side by side under one unit.
    """
    name = "\u03a9" if unit == "ohm" else unit
    prefix = _prefix_for(significant(abs(largest)), name)
    return prefix + name, POWERS[prefix]


def _prefix_for(size: float, name: str) -> str:
    if size == 0:
        return ""
    return next((prefix for prefix, least in _SHOWN.get(name, ()) if size >= least), "")


def plain(text: str) -> str:
    """The text for a terminal without Ω, µ, ≥ and their like: ohm, u, >=.  Other characters stay."""
    return text.translate(_PLAIN)


def close_or_less(a: float, b: float) -> bool:
    """Whether a is less than b or equal to it within the relative margin."""
    return a <= b + MARGIN * max(abs(a), abs(b))


def clearly_less(a: float, b: float) -> bool:
    """Whether a beats b by more than the margin: what a candidate needs to replace an earlier one."""
    return not close_or_less(b, a)
