"""Words for what is wrong in a variant file, apart from the logic that finds it.

A fault says what must be true and what was found.  Control characters are shown escaped, long values short.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from typing import Any

from rasterport.variant.keys import Key, heading, is_required, keys, keys_by_path, tables
from rasterport.variant.scan import Path

LONGEST_SHOWN = 60
FITTED = 'must be a role and a part, both in quotes, such as "input-1/red/termination" = "82"'


def shown(value: object) -> str:
    """A value as the file has it, on one line, shortened, with control characters escaped."""
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, str):
        return f'"{escaped(value)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, datetime.date | datetime.time):
        return f"a date or time, {value}"
    if isinstance(value, int) and abs(value) >= 10**LONGEST_SHOWN:  # Python refuses to spell the longest ones out
        return f"a number of more than {LONGEST_SHOWN} digits"
    return escaped(str(value))


def escaped(text: str, longest: int = LONGEST_SHOWN) -> str:
    """The text on one line: control and other unprintable characters escaped, the end cut off where too long."""
    cut = text[: longest + 1]
    clean = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in cut)
    return clean if len(cut) == len(text) and len(clean) <= longest else clean[: longest - 3] + "..."


def key_path(location: Path) -> str:
    """A key path in words: inputs count from 1, so ("input", 0, "socket") is input-1.socket."""
    text = ""
    for part in location:
        joint = "." if text else ""
        text += f"-{part + 1}" if isinstance(part, int) else joint + escaped(part)
    return text


def words(kind: str, location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    """What was found and what is allowed, for one of pydantic's error types or of our own.

    `location` is the key path, `given` the value in the file, `context` what the check adds.
    """
    say = _WORDS.get(kind)
    if say is not None:
        return say(location, given, context)
    if "allowed" in context:
        return shown(given), str(context["allowed"])
    if location[:1] == ("fit",):
        return shown(given), FITTED
    found = _known(location)
    return shown(given), f"must be {found.allowed}" if found else "must be of the kind that the survey names"


def _missing(location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    found = _known(location)
    if found is not None:
        return "nothing", (
            f"must be written under {heading(found.table)} as {found.name} = {_example(found)} ({found.allowed})"
        )
    return "nothing", f"must be a table {heading(_names(location))}"


def _unknown(location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    name, table = str(location[-1]), _names(location[:-1])
    near = _nearest(name, table)
    place = heading(table) if table else "the file"
    what = "table" if isinstance(given, dict) else "key"
    return f"an unknown {what}", f"must be a {what} of {place}" + (f": did you mean {near}?" if near else "")


def _table(location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    return shown(given), f"must be a table {heading(_names(location))}"


def _tables(location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    found = _known(location)
    if found is not None and found.many:
        return shown(given), f'must be a list of texts, such as {found.name} = ["..."]'
    return shown(given), f"must be a table {heading(_names(location))} in double brackets"


def _contradiction(location: Path, given: object, context: dict[str, Any]) -> tuple[str, str]:
    return _as_written(location, given), str(context["allowed"])


_WORDS: dict[str, Callable[[Path, object, dict[str, Any]], tuple[str, str]]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "model_type": _table,
    "model_attributes_type": _table,
    "dict_type": _table,
    "tuple_type": _tables,
    "list_type": _tables,
    "contradiction": _contradiction,
}


def _as_written(location: Path, given: object) -> str:
    """A value that may be a default, and then is in SI units."""
    found = _known(location)
    if found is not None and found.quantity is not None and isinstance(given, float):
        return found.quantity.shown(given)
    return shown(given)


def _names(location: Path) -> tuple[str, ...]:
    return tuple(part for part in location if isinstance(part, str))


def _known(location: Path) -> Key | None:
    return keys_by_path().get(_names(location))


def _example(key: Key) -> str:
    if key.choices:
        return key.choices[0]
    usual = key.survey.usual if key.survey else ""
    return f'"{usual}"' if usual and " to " not in usual and "," not in usual else '"..."'


def _nearest(name: str, table: tuple[str, ...]) -> str:
    """The known key that an unknown one most resembles: in its own table, else the same name elsewhere."""
    import difflib

    model = tables().get(table)
    here = list(model.model_fields) if model else []
    match = difflib.get_close_matches(name[:LONGEST_SHOWN], here, n=1)
    if match:
        return match[0]
    elsewhere = [key for key in keys() if key.name == name]
    if elsewhere:
        return " or ".join(f"{heading(key.table)} {key.name}" for key in elsewhere[:3])
    inner = [heading(path) for path in tables() if path and path[-1] == name]
    return inner[0] if inner else ""


_NOT_TOML: tuple[tuple[str, str, str], ...] = (
    ("Cannot overwrite|Duplicate|Cannot declare", "the same key or table again", "must be written once"),
    ("Cannot mutate|Cannot redefine", "more of a table or list that is closed", "must be written in one place"),
    ("Expected newline or end", "more text after the end of a value", "must be TOML, one key a line"),
    ("Expected '='", "no = after a key", "must be TOML, key = value"),
    ("Expected '\\]", "no ] after the name of a table", "must be TOML, [table] or [[table]]"),
    ("Unclosed array", "a list that never ends", "must be TOML, with a ] at its end"),
    ("Unclosed inline table", "a table that never ends", "must be TOML, with a } at its end"),
    ("Unterminated string|Expected [\"']", "a text that never ends", "must be TOML, with quotes on both sides"),
    (
        "Unescaped|Invalid hex|Escaped character",
        "a backslash that begins no escape",
        "must be TOML, in single quotes or with \\\\ for a backslash",
    ),
    ("Illegal character|Found invalid character", "a control character", "must be TOML, in plain text"),
    ("Invalid date or datetime", "a date that no calendar has", "must be TOML"),
    ("Invalid value", "no value that TOML has", "must be TOML"),
    ("Invalid statement|Invalid initial", "no key", "must be TOML, key = value or [table]"),
)
"""What a parser's reason begins with -> what stands in the file, and what must."""


def not_toml(reason: str) -> tuple[str, str]:
    """What was found and what must be instead, for the reason that the parser gives; its own words stay out."""
    for begins, found, instead in _NOT_TOML:
        if re.match(begins, reason):
            return found, instead
    return "something that is not TOML", "must be TOML"


def missing_tables() -> str:
    """The tables that every file must have, as they are written."""
    return ", ".join(heading(path) for path in tables() if path and is_required(path))
