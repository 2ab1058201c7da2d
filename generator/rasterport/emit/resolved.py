"""A variant in full, as a file could have it: every key with its value and where that comes from."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from rasterport.variant.keys import LISTED, Key, heading, keys, spelled
from rasterport.variant.resolve import BUILT, LIKE, Resolved, value_at
from rasterport.variant.scan import Path

REMARK_AT = 44
"""Column at which the origins stand, where the value leaves room."""


def resolved_text(found: Resolved) -> Iterator[str]:
    """Lines of TOML that load to the same variant, tables in the order of the models.

    A key that nobody has written stands as a remark with its default.
    """
    first = True
    for table, members in _tables().items():
        for place in _places(found, table):
            if not first:
                yield ""
            first = False
            yield heading(table)
            for key in members:
                yield from _line(found, place, key)
            if table == BUILT:
                yield from _free(found, (*place, "readings"))
    yield from _free(found, ("fit",))


def _free(found: Resolved, place: Path) -> Iterator[str]:
    """A table whose keys are the owner's."""
    table = value_at(found.table, place)
    if isinstance(table, dict):
        yield from ("", heading(tuple(part for part in place if isinstance(part, str))))
        for name, value in table.items():
            origin = found.origins.get((*place, name))
            yield _remarked(f"{json.dumps(name)} = {_value(value)}", origin.text if origin else "")


def _line(found: Resolved, place: Path, key: Key) -> Iterator[str]:
    path = (*place, key.name)
    if path == LIKE:
        return
    value, origin = value_at(found.table, path), found.origins.get(path)
    if value is not None:
        yield _remarked(f"{key.name} = {_value(value)}", origin.text if origin else "")
    elif origin is not None:
        yield _remarked(f"# {key.name} left out", origin.text)
    elif key.default:
        yield _remarked(f"# {key.name} = {key.default}", "default")


def _remarked(text: str, remark: str) -> str:
    return f"{text:<{REMARK_AT}}  # {remark}" if remark else text


def _value(value: Any) -> str:
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    return spelled(value)


def _tables() -> dict[tuple[str, ...], list[Key]]:
    """Keys by table; what stands inside a table follows it."""
    found: dict[tuple[str, ...], list[Key]] = {}
    for key in keys():
        if key.table:
            found.setdefault(key.table, []).append(key)
    outer = list(dict.fromkeys(table[0] for table in found))
    return {table: found[table] for table in sorted(found, key=lambda t: outer.index(t[0]))}


def _places(found: Resolved, table: tuple[str, ...]) -> list[Path]:
    """Where a table stands in the file: once, once an entry of a list of tables, or nowhere."""
    if heading(table).startswith("[["):
        entries = value_at(found.table, table)
        return [(*table, n) for n in range(len(entries))] if isinstance(entries, list) else []
    here = isinstance(value_at(found.table, table), dict)
    return [table] if here or table[0] not in (*LISTED, "set") else []
