"""What a variant file says in full: what it takes from another file, from a processor's row, and for "unknown".

Works on plain tables, before the models see them, so that every value is judged in the same way wherever it is from.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any, Literal

from rasterport.errors import Fault
from rasterport.variant.fields import UNKNOWN, unsaid
from rasterport.variant.keys import Key, keys, keys_by_path
from rasterport.variant.scan import Path, Scan

LIKE: Path = ("variant", "like")
NAME: Path = ("variant", "name")
BUILT: Path = ("built",)
OWN = (NAME, BUILT)
"""What is a file's own and never taken from another: the folder of its results, the boards that were built by it."""
GROUND: Path = ("set", "ground_verified")
PROCESSOR: Path = ("set", "processor")

Table = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a value comes from: a line of the file or of the one that it is like, a processor's row, a stand-in."""

    kind: Literal["file", "like", "processor", "unknown"]
    text: str


@dataclass(frozen=True, slots=True)
class Source:
    """A file that was read: its name, its table, and the lines of its keys."""

    file: str
    table: Table
    scan: Scan


@dataclass(frozen=True, slots=True)
class Resolved:
    """The full table of a variant, where each key of it comes from, and which keys are unknown.

    `sources` are the file itself and, behind it, the one that it is like.
    """

    table: Table
    origins: Mapping[Path, Origin]
    unknown: tuple[Path, ...]
    sources: tuple[Source, ...] = field(repr=False)

    def place(self, location: Path) -> tuple[str, int]:
        """File and line of a key, or of the table around it: of the first file that has it, else of the file itself."""
        for source in self.sources:
            if _has(source.table, location) and (source is self.sources[0] or not _is_own(location)):
                return source.file, source.scan.line_of(location)
        return self.sources[0].file, self.sources[0].scan.line_of(location)

    @property
    def told(self) -> dict[str, str]:
        """Key in words -> where it comes from, of those that no variant file states."""
        from rasterport.variant.messages import key_path

        return {key_path(p): o.text for p, o in self.origins.items() if o.kind in ("processor", "unknown")}

    @property
    def defaults(self) -> tuple[tuple[str, ...], ...]:
        """Keys of the set that may be "unknown" and that nobody has written: a default stands for each."""
        return tuple(
            key.path
            for key in keys()
            if key.unknown is not None
            and key.default
            and key.table[0] == "set"
            and isinstance(value_at(self.table, key.table), dict)
            and key.path not in self.origins
        )

    @property
    def ground_of_another(self) -> str:
        """A caution where how the ground was verified is told by the file that this one is like; else empty."""
        origin = self.origins.get(GROUND)
        if origin is None or origin.kind != "like":
            return ""
        return f"set.ground_verified is from {origin.text}: a test of the ground holds for one set; test this one too"

    def instead(self, path: Path, value: str | bool | None) -> Table:
        """The full table of the design with another value at one key; None leaves it out."""
        table = _copied(self.table)
        _drop(table, BUILT)
        _put(table, path, value)
        return table


def resolved(own: Source, base: Source | None) -> tuple[Resolved, tuple[Fault, ...]]:
    """The full table of a file and of the one that it is like; faults where a processor is not known."""
    sources = (own,) if base is None else (own, base)
    table = _copied(own.table)
    if base is not None:
        table = _merged(own.table, base.table)
        for path in OWN:
            if not _has(own.table, path):
                _drop(table, path)
    origins = {
        path: Origin("file" if _has(own.table, path) else "like", "") for path, _ in _leaves(table) if path != LIKE
    }
    found = Resolved(table, origins, (), sources)
    origins = {path: Origin(o.kind, _line(found, path)) for path, o in origins.items()}
    _drop(table, LIKE)
    faults = tuple(_from_processor(found, table, origins))
    unknown = tuple(_stand_ins(table, origins))
    return Resolved(table, origins, unknown, sources), faults


def _line(found: Resolved, path: Path) -> str:
    """File, without its folder, and line: what does not depend on where the file lies."""
    file, line = found.place(path)
    return f"{PurePosixPath(file.replace(chr(92), '/')).name} line {line}"


def _from_processor(found: Resolved, table: Table, origins: dict[Path, Origin]) -> Iterator[Fault]:
    """Fill in what the row of the named processor gives and the file leaves open.

    A key that neither gives is unknown: who names a processor relies on its sheet, not on a default.
    """
    name = value_at(table, PROCESSOR)
    if not isinstance(name, str) or unsaid(name):
        return
    from rasterport.parts.processors import processor
    from rasterport.variant.messages import shown

    try:
        row = processor(name)
    except KeyError as error:
        file, line = found.place(PROCESSOR)
        allowed = f"must be one of the names that `rasterport processors` lists; {error.args[0].partition('; ')[2]}"
        yield Fault(file, line, "set.processor", shown(name), allowed)
        return
    for path, cells in CELL_OF.items():
        if path in origins and value_at(table, path) != UNKNOWN:
            continue
        cell = next((row.cells[cell] for cell in cells if cell in row.cells), None)
        if not isinstance(value_at(table, path[:-1]), dict):
            continue  # a table that is missing is a fault of its own
        key = keys_by_path()[path]
        if cell is not None and key.quantity is not None:
            _put(table, path, key.quantity.shown(cell.value))
            origins[path] = Origin("processor", f"{row.names[0]}: {cell.source} ({cell.confidence})")
        else:
            _put(table, path, UNKNOWN)


CELL_OF: dict[tuple[str, ...], tuple[str, ...]] = {
    ("set", "rgb", "white_level"): ("white_level",),
    ("set", "rgb", "clipping_level"): ("clipping_level",),
    ("set", "rgb", "resistance"): ("resistance",),
    ("set", "rgb", "capacitance"): ("capacitance",),
    ("set", "rgb", "leakage"): ("leakage",),
    ("set", "rgb", "clamp_current"): ("clamp_current",),
    ("set", "blanking", "off_below"): ("off_below",),
    ("set", "blanking", "on_above"): ("on_above",),
    ("set", "blanking", "maximum"): ("maximum", "absolute_maximum"),
    ("set", "blanking", "pin_current"): ("pin_current",),
}
"""Key -> the cells of a processor's row that it may come from, the first that is given."""


def _stand_ins(table: Table, origins: dict[Path, Origin]) -> Iterator[Path]:
    """Put the pessimistic value in the place of every "unknown" that may stand there; yields the keys."""
    for path, value in list(_leaves(table)):
        key = _key(path)
        if value == UNKNOWN and key is not None and key.unknown is not None:
            _put(table, path, key.unknown.value)
            words = "left out" if key.unknown.value is None else str(key.unknown.value)
            origins[path] = Origin("unknown", f"unknown: {words}, {key.unknown.why}")
            yield path


def likeness(own: Source) -> str | None:
    """Name of the file that this one is like, None where it says none; faults of it are told by `fault_of_like`."""
    name = value_at(own.table, LIKE)
    return name if isinstance(name, str) else None


def fault_of_like(own: Source) -> Fault | None:
    """What is wrong with `like` as a text: it names a file in the same folder or below, and not this one."""
    about = own.table.get("variant")
    if not isinstance(about, dict) or "like" not in about:
        return None
    from rasterport.variant.messages import shown

    name, allowed = about["like"], ""
    if not isinstance(name, str) or not name.strip():
        allowed = 'must be the name of a variant file in the same folder or below, such as "kestrel.toml"'
    elif "\\" in name or name.startswith(("/", "~")) or re.match(r"[A-Za-z]:", name):
        allowed = "must be a name with / between folders, in the same folder as this file or below"
    elif any(part in ("..", ".", "") for part in name.split("/")):
        allowed = 'must lie in the same folder as this file or below: no "..", no "." and no empty part'
    elif not name.endswith(".toml") or not name.isprintable():
        allowed = "must end in .toml"
    return Fault(own.file, own.scan.line_of(LIKE), "variant.like", shown(name), allowed) if allowed else None


def _key(path: Path) -> Key | None:
    return keys_by_path().get(tuple(part for part in path if isinstance(part, str)))


def _merged(own: Table, base: Table) -> Table:
    """The tables of both; keys and lists of tables of the own one win whole."""
    found = _copied(base)
    for name, value in own.items():
        if isinstance(value, dict) and isinstance(found.get(name), dict):
            found[name] = _merged(value, found[name])
        else:
            found[name] = _copied_value(value)
    return found


def _copied(table: Table) -> Table:
    return {name: _copied_value(value) for name, value in table.items()}


def _copied_value(value: Any) -> Any:
    if isinstance(value, dict):
        return _copied(value)
    return [_copied_value(v) for v in value] if isinstance(value, list) else value


def _leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value that is no table, by its path."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _leaves(inner, (*path, name))
    elif isinstance(value, list) and any(isinstance(v, dict) for v in value):
        for n, inner in enumerate(value):
            yield from _leaves(inner, (*path, n))
    else:
        yield path, value


def value_at(table: Any, path: Path) -> Any:
    """The value at a path, None where there is none: TOML has no null."""
    for part in path:
        try:
            table = table[part]
        except (KeyError, IndexError, TypeError):
            return None
    return table


def _is_own(path: Path) -> bool:
    return any(path[: len(own)] == own for own in OWN)


def _has(table: Table, path: Path) -> bool:
    return value_at(table, path) is not None


def _put(table: Table, path: Path, value: str | bool | None) -> None:
    if value is None:
        _drop(table, path)
        return
    value_at(table, path[:-1])[path[-1]] = value


def _drop(table: Table, path: Path) -> None:
    inner = value_at(table, path[:-1])
    if isinstance(inner, dict):
        inner.pop(path[-1], None)
