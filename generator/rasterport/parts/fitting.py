"""A part that somebody has in a drawer in the place of the one that was sized: by its value, or by its key."""

from __future__ import annotations

import re
from typing import cast, get_args

from rasterport.parts import all_rows, capacitor, fusible, resistor
from rasterport.parts.capacitors import Kind
from rasterport.records import CataloguePart, Construction
from rasterport.units import QuantityError, read

Fitted = tuple[CataloguePart, float | None]
"""The part, and its value in SI units where it has one."""


def fitted(wanted: CataloguePart, choice: str) -> Fitted:
    """The part that `choice` means in the place of the part that is `wanted` there.

    A value keeps the kind, the construction and the ratings of the wanted part.  Raises ValueError with what may be
    written: for a text that is neither, a value that no row holds, a part of another kind or with other pins.
    """
    if "/" in choice:
        return _whole(wanted, choice)
    kind, *rest = wanted.key.split("/")
    if kind not in ("resistor", "fusible", "capacitor"):
        raise ValueError(f"must be the whole part by its key, such as {wanted.key}: a {kind} is not chosen by a value")
    try:
        value = read(choice, "F" if kind == "capacitor" else "ohm")
    except QuantityError as fault:
        raise ValueError(f"{fault.allowed}, or the key of a part such as {wanted.key}") from None
    if kind == "fusible":
        return fusible(value), value
    if kind == "resistor":
        construction = cast(Construction, rest[0])
        return resistor(value, construction, wanted.ratings["power_w"], wanted.ratings["tolerance_pct"]), value
    return capacitor(value, cast(Construction, rest[1]), wanted.ratings["voltage_v"], cast(Kind, rest[0])), value


def _whole(wanted: CataloguePart, key: str) -> Fitted:
    part = part_by_key(key)
    if part.letter != wanted.letter:
        raise ValueError(f"must be a part of the kind of {wanted.key}; {key} is another")
    renumbered(wanted, part)
    return part, part.ratings.get("value_ohm", part.ratings.get("value_f"))


def renumbered(wanted: CataloguePart, part: CataloguePart) -> dict[str, str]:
    """The pin of `part` that takes the place of each pin of `wanted`, by their numbers.

    Packages number the same pins otherwise (emitter, base and collector of a small transistor), so the names decide;
    where names repeat, the numbers must agree.  Raises ValueError where the pins are not the same.
    """
    ours, theirs = {(p.number, p.name) for p in wanted.pins}, {(p.number, p.name) for p in part.pins}
    if ours == theirs:
        return {p.number: p.number for p in wanted.pins}
    by_name = {p.name: p.number for p in part.pins}
    if len(by_name) < len(part.pins) or sorted(by_name) != sorted(p.name for p in wanted.pins):
        raise ValueError(f"must have the same pins as {wanted.key}; those of {part.key} differ")
    return {p.number: by_name[p.name] for p in wanted.pins}


_RESISTOR = re.compile(
    r"resistor/(?P<construction>[a-z-]+)/(?P<series>[A-Za-z0-9-]+)/(?P<value>[0-9RKMkm]+)/(?P<tolerance>[0-9.]+)"
)
_CAPACITOR = re.compile(
    r"capacitor/(?P<kind>[a-z0-9]+)/(?P<construction>[a-z-]+)/(?P<value>[0-9pnum]+)/(?P<volts>[0-9.]+)"
)


def part_by_key(key: str) -> CataloguePart:
    """The catalogue part with a key.  Raises ValueError with the nearest keys where there is none."""
    rows = {row.key: row for row in all_rows()}
    if key in rows:
        return rows[key]
    made = _made(key, rows)
    if made is not None and made.key == key:
        return made
    import difflib

    near = difflib.get_close_matches(key, [*rows, *([made.key] if made else [])], 3)
    hint = f"near it: {', '.join(near)}" if near else "none is near"
    raise ValueError(f"must be the key of a part in the catalogue; {hint}")


def _made(key: str, rows: dict[str, CataloguePart]) -> CataloguePart | None:
    """A resistor or a capacitor of any value, from the row that its key names; None where it names none."""
    try:
        if match := _RESISTOR.fullmatch(key):
            head = f"resistor/{match['construction']}/{match['series']}/"
            row = next(r for r in rows.values() if r.key.startswith(head))
            construction, tolerance_pct = cast(Construction, match["construction"]), float(match["tolerance"])
            return resistor(read(match["value"], "ohm"), construction, row.ratings["power_w"], tolerance_pct)
        if (match := _CAPACITOR.fullmatch(key)) and match["kind"] in get_args(Kind):
            construction, kind = cast(Construction, match["construction"]), cast(Kind, match["kind"])
            return capacitor(read(match["value"], "F"), construction, float(match["volts"]), kind)
    except (ValueError, KeyError, StopIteration):  # a value, a voltage or a row that there is not
        return None
    return None
