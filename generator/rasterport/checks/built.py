"""Boards that were built: what was read on each of them, against what was worked out.

A reading outside its limits speaks against the board on which it was made, not against the design: files are written
all the same.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from rasterport.checks.bench import Bench, note
from rasterport.parts.fitting import fitted
from rasterport.records import Circuit, Finding, Placed, Reading, Severity
from rasterport.units import EXAMPLES, close_or_less, plain, written
from rasterport.variant.built import BuiltBoard, split
from rasterport.variant.reading import CHARGED, OPEN, at_zero, measured

CODES = {
    "F920": "a reading of a board that was built, within its limits",
    "F921": "a reading of a board that was built, outside its limits",
    "F922": "a reading of a board that was built, of which nothing is known",
    "F923": "a reading of a board that was built, in another unit",
    "F924": "readings that decide whether power may be applied",
    "F925": "parts of a board that was built, others than in the bill of materials",
}

BUILT = "[[built]]"
NEAR = 3
"""So many names are told in place of one that is not known."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of every board that was built; none where the variant tells of none."""
    if not bench.variant.built:
        return
    known = expected(bench)
    for board in bench.variant.built:
        yield from compared(board, known)
        yield from changed(board, bench.circuit)


def expected(bench: Bench) -> Mapping[str, Reading]:
    """What is expected of every reading that the bench sheet asks for, by its key; worked out for built boards only."""
    from rasterport.analysis.readings import readings

    return {reading.key: reading for reading in readings(bench, bench.figures)}


def compared(board: BuiltBoard, known: Mapping[str, Reading]) -> Iterator[Finding]:
    """Each reading of a board against the one of the same key, and those that decide and were not made."""
    named = _named(board)
    for key, text in board.readings.items():
        yield _judged(named, text, known[key]) if key in known else _unknown(named, key, text, known)
    deciding = [key for key, reading in known.items() if reading.decides]
    missing = [key for key in deciding if key not in board.readings]
    if missing:
        text = f"{named}: not read yet, and they decide whether power may be applied: {', '.join(missing)}"
        yield note("F924", "readings", text, BUILT)
    elif deciding:
        text = f"{named}: everything is read that decides whether power may be applied"
        yield note("F924", "readings", text, BUILT, "met")


def _named(board: BuiltBoard) -> str:
    return f'board "{board.serial.strip()}"'


def _judged(board: str, text: str, reading: Reading) -> Finding:
    """One reading against its limits, or said to be in another unit than these."""
    value, unit = measured(text)
    value = at_zero(value, unit)
    about = f"{board}: {reading.title}"
    if unit != reading.unit:
        what = f"{text}, which is of a resistance" if math.isinf(value) else f"{text}, which is in {unit}"
        told = f"{about}: read as {what}; must be in {reading.unit}, such as {EXAMPLES[reading.unit]}"
        return _of(reading, "F923", "error" if reading.decides else "warning", told)
    low, high = _kept(reading.low, value), _kept(value, reading.high)
    expected_words = f"{text}, expected {limits(reading)}"
    if low and high:
        return _held(reading, "F920", "met", f"{about}: {expected_words}", value, _nearer_is_low(reading, value))
    suspect = reading.high_means if low else CHARGED if unit == "ohm" and value < 0 else reading.low_means
    told = f"{about}: {expected_words}; {'above' if low else 'below'} it suspect {suspect or 'the part it is read at'}"
    if reading.decides:
        told += "; " + ("take the power off" if reading.stage == "powered" else "no power") + " until that is found"
        return _held(reading, "F921", "error", told, value, not low)
    return _held(reading, "F921", "warning", told, value, not low)


def _kept(low: float, high: float) -> bool:
    """Whether they are in this order, by rounding at worst; either may be infinite."""
    return low <= high if math.isinf(low) or math.isinf(high) else close_or_less(low, high)


def _nearer_is_low(reading: Reading, value: float) -> bool:
    """Whether the lower of two limits that are kept is the nearer one; 0 is none to come near to."""
    if math.isinf(reading.high):
        return True
    return reading.low != 0 and abs(value - reading.low) <= abs(reading.high - value)


def _of(reading: Reading, code: str, severity: Severity, message: str) -> Finding:
    return note(code, reading.key, message, reading.source or BUILT, severity, reading.state or "any")


def _held(reading: Reading, code: str, severity: Severity, message: str, value: float, least: bool) -> Finding:
    """A finding with what was measured and one limit, as far as they are finite: "open" stands in the message."""
    found = _of(reading, code, severity, message)
    limit = reading.low if least else reading.high
    if math.isinf(value) or math.isinf(limit):
        return found
    warning, error = (None, limit) if reading.decides else (limit, None)
    return replace(
        found,
        measured=value,
        limit=limit,
        unit=reading.unit,
        sense="least" if least else "most",
        warning_limit=warning,
        error_limit=error,
    )


def limits(reading: Reading) -> str:
    """What is expected, in words: "74.1 ohm to 75.9 ohm", "1 Mohm or more, up to open", "open"."""
    low, high = (plain(written(v, reading.unit)) if math.isfinite(v) else OPEN for v in (reading.low, reading.high))
    if high == OPEN:
        return low if low == OPEN else f"{low} or more, up to {OPEN}"
    return f"at most {high}" if reading.low == 0 else f"{low} to {high}"


def _unknown(board: str, key: str, text: str, known: Mapping[str, Reading]) -> Finding:
    """A key that no reading has, with the nearest ones: the board has changed since, or it is a slip of the pen."""
    told = f"{board}: {text}, but this board has no such reading: it has changed since, or the key is a slip"
    return note("F922", key, told + _near(key, known), BUILT, "warning")


def _near(name: str, names: Iterable[str]) -> str:
    import difflib

    near = difflib.get_close_matches(name, list(names), NEAR)
    return f"; nearest {', '.join(near)}" if near else ""


def changed(board: BuiltBoard, circuit: Circuit) -> Iterator[Finding]:
    """Parts that are others than those of the bill of materials, by reference or role, and remarks."""
    named = _named(board)
    for text in board.changed:
        name, now = split(text)
        placed = _meant(name, circuit)
        if placed is not None:
            yield _changed(named, placed, now)
        elif name:
            names = [name for part in circuit.parts for name in (part.role, part.ref)]
            told = f"{named}: {now} at {name}, which this board does not have{_near(name, names)}"
            yield note("F925", name, told, BUILT, "warning")
        else:
            yield note("F925", "parts", f"{named}: {now}", BUILT)


def _meant(name: str, circuit: Circuit) -> Placed | None:
    """The part with this role or reference; None where there is none."""
    if circuit.has(name):
        return circuit.by_role(name)
    return next((placed for placed in circuit.parts if placed.ref == name.upper()), None)


def _changed(board: str, placed: Placed, now: str) -> Finding:
    """What stands in the place of a part: a value is held against its own; parts without one are known by any name."""
    about = f"{board}: {placed.ref}, {placed.role},"
    choice, *remarks = re.split(r"\s*(?:[;(]|,\s)", now, maxsplit=1)
    if placed.value_si is not None:
        try:
            part, value = fitted(placed.part, choice)
        except ValueError as fault:
            told = f'{about} is said to be "{now}"; {fault}; a remark has neither = nor colon'
            return note("F925", placed.role, told, BUILT, "warning")
        same = part.key == placed.part.key if "/" in choice else value == placed.value_si
        if same and not remarks:
            return note("F925", placed.role, f"{about} is {now} as in the bill of materials", BUILT)
    told = f"{about} is {now} in place of {placed.value}; a line of [fit] has it judged"
    return note("F925", placed.role, told, BUILT)
