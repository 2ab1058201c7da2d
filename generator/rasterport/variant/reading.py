"""What somebody reads off a meter and writes down: one grammar for the variant file and for the bench sheet.

The sheet's script runs these very patterns (`grammar`), so either takes what the other takes.  The one difference: a
field of the sheet knows its unit, so there it may be left out; in a file it is kept longer than anybody remembers.
"""

from __future__ import annotations

import math
import re
from typing import Any

from rasterport.units import LONGEST, POWERS, PREFIXES, SPELLINGS, QuantityError, close_or_less, read

OPEN = "open"
"""What is written where a meter shows that nothing conducts: infinite resistance."""
METER = ("ohm", "V", "A", "F", "Hz")
"""Units that a reading may have: what a multimeter shows."""
EXAMPLES = '"74.8 ohm", "1.97 V" or "open"'
HINTS = {
    "ohm": "74.8, 4k7 or open",
    "V": "1.97 or 350 mV",
    "A": "3.8 mA or 0.0038",
    "F": "100 nF",
    "Hz": "15.6 kHz",
}
"""Unit of a field of the bench sheet -> what may be written there."""

NEAR_ZERO = {"ohm": 0.5, "A": 20e-6}
"""Unit -> by how much a meter and its leads may show less than nothing where there is nothing [ohm, A].

`analysis/meter.py` allows as much for them above 0.  Those limits end at 0, since nothing real lies below; limits in
volts do not.
"""
CHARGED = "a voltage that is still in the circuit: unplug it, wait, and read again"
"""What an ohmmeter is taken in by that shows less."""

_OPENS = r"[Oo][Pp][Ee][Nn]|[Oo0]\.?[Ll]\.?|\u221e"
"""As a person says it and as meters show it: open, OL, O.L, 0L, the sign of infinity."""
_COMMA = r"[1-9][0-9]{0,2},[0-9]{3}(?![0-9])"
"""A comma that may stand for thousands."""
_NUMBER = rf"(?!{_COMMA})[0-9]+(?:[.,][0-9]+)?"
_UNITS = "|".join(name for unit in METER for name in SPELLINGS[unit])
_R = rf"R(?=[0-9]* ?(?:{'|'.join(SPELLINGS['ohm'])})?$)"
"""R is ohm and nothing else, as a unit and in place of the point."""
_READING = rf"([+\u2212-]?)(?:({_NUMBER}) ?([{PREFIXES}]|{_R})?|([0-9]+)([{PREFIXES}K]|{_R})([0-9]*)) ?({_UNITS})?"
"""Sign; number and prefix, or the three pieces of an RKM code (IEC 60062); unit.  Read alike by Python and ECMA 262."""

PATTERN = rf"^(?:{_OPENS}|(?=.*(?:{_UNITS}|[0-9] ?R[0-9]*)$){_READING})$"
"""What a file may hold, for the JSON Schema: a reading with its unit."""


def measured(text: str) -> tuple[float, str]:
    """Value in SI units and unit of a reading as it is written; "open" and what means it are infinite ohm.

    A sign may stand in front, since a meter shows one.  Raises QuantityError with what to write instead.
    """
    if re.fullmatch(_OPENS, text):
        return math.inf, "ohm"
    found = re.fullmatch(_READING, text)
    unit = _unit(found[7], found[3] or found[5]) if found else ""
    if found is None or not unit:
        raise QuantityError(_advice(text))
    sign, number, prefix, whole, letter, part, _ = (group or "" for group in found.groups())
    digits = number.replace(",", ".") or f"{whole}{part and '.'}{part}"
    size = f"{digits} {_spelled(prefix or letter)}{unit}"
    if len(sign + size) > LONGEST:
        raise QuantityError(f"must be at most {LONGEST} characters, such as {EXAMPLES}")
    return (read(size, unit) if sign in ("", "+") else -read(size, unit)), unit


def at_zero(value: float, unit: str) -> float:
    """A reading as it is judged: 0 where it is below by no more than a meter is off there."""
    return 0.0 if value < 0 and close_or_less(-value, NEAR_ZERO.get(unit, 0.0)) else value


def grammar() -> dict[str, Any]:
    """The same for the sheet's script: patterns, units, each prefix as it is written with its power, words."""
    prefixes = {letter: _spelled(letter) for letter in ("", *PREFIXES, "K", "R")}
    return {
        "open": f"^(?:{_OPENS})$",
        "reading": f"^{_READING}$",
        "units": {name: unit for unit in METER for name in SPELLINGS[unit]},
        "prefixes": {letter: [name, POWERS[name.replace("u", "\u00b5")]] for letter, name in prefixes.items()},
        "longest": LONGEST,
        "hints": HINTS,
        "zero": NEAR_ZERO,
        "charged": CHARGED,
    }


def _unit(spelled: str | None, letter: str | None) -> str:
    """The unit that a reading names, "" for none."""
    if spelled:
        return next(unit for unit in METER if spelled in SPELLINGS[unit])
    return "ohm" if letter == "R" else ""


def _spelled(prefix: str) -> str:
    """A prefix, or the letter of a code, as a file has it."""
    return {"K": "k", "R": "", "\u00b5": "u", "\u03bc": "u"}.get(prefix, prefix)


def _advice(text: str) -> str:
    """What to write instead of a text that the grammar refuses."""
    unit = next((unit for unit in METER if text.endswith(SPELLINGS[unit])), "")
    size = re.sub(r"^[+\u2212-]", "", text)
    if not unit:
        return f"must be a number with its unit, or open, such as {EXAMPLES}"
    if re.match(_COMMA, size):
        return f'must not have a comma that may stand for thousands: write "{text.replace(",", ".")}" or without it'
    try:
        read(size, unit)
    except QuantityError as fault:
        return fault.allowed
    return f"must be a number with its unit, or open, such as {EXAMPLES}"
