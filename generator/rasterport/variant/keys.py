"""The keys of the variant file as a flat list, read from the models: for messages, survey and schema."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from rasterport.variant.fields import Quantity, Survey, Unknown
from rasterport.variant.models import Table, Variant

LISTED = (("input",), ("set", "work"), ("board", "place"), ("built",))
"""Tables of which there may be several, written in double brackets."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key: the table it stands in, its name, and what the models say about it.

    `default` is the text of the default as it would be written, "" where there is none to write.  `many` says that the
    value is a list of texts.
    """

    table: tuple[str, ...]
    name: str
    description: str
    required: bool
    default: str
    choices: tuple[str, ...] = ()
    quantity: Quantity | None = None
    survey: Survey | None = None
    unknown: Unknown | None = None
    many: bool = False

    @property
    def path(self) -> tuple[str, ...]:
        """Names from the top of the file to the key."""
        return (*self.table, self.name)

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        if self.quantity is not None:
            return self.quantity.bounds()
        if self.choices:
            return " or ".join(self.choices) if len(self.choices) < 3 else "one of " + ", ".join(self.choices)
        return "a list of texts in quotes" if self.many else "text in quotes"


def heading(table: tuple[str, ...]) -> str:
    """A table as it is written: [set.rgb], [[input]]."""
    name = ".".join(table)
    return f"[[{name}]]" if table in LISTED else f"[{name}]"


def spelled(value: object) -> str:
    """A string, bool or integer as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else str(value)


@cache
def tables() -> dict[tuple[str, ...], type[Table]]:
    """Every table of the file with its model, outer tables first; () is the file itself."""
    found: dict[tuple[str, ...], type[Table]] = {}
    waiting: list[tuple[tuple[str, ...], type[Table]]] = [((), Variant)]
    while waiting:
        path, model = waiting.pop(0)
        found[path] = model
        waiting += [((*path, name), inner) for name, field in model.model_fields.items() if (inner := _table(field))]
    return found


@cache
def keys() -> tuple[Key, ...]:
    """Every key of the file, table by table in the order of the models."""
    return tuple(key for path, model in tables().items() for key in _keys_of(path, model))


@cache
def keys_by_path() -> dict[tuple[str, ...], Key]:
    """Every key of the file by its path."""
    return {key.path: key for key in keys()}


def is_required(table: tuple[str, ...]) -> bool:
    """Whether the file must have this table (where it has the one around it)."""
    return tables()[table[:-1]].model_fields[table[-1]].is_required()


def _keys_of(path: tuple[str, ...], model: type[Table]) -> Iterator[Key]:
    for name, field in model.model_fields.items():
        if _table(field) is None and get_origin(field.annotation) is not dict:  # a table of free keys has none of ours
            yield _key(path, name, field)


def _key(path: tuple[str, ...], name: str, field: FieldInfo) -> Key:
    quantity = next((m for m in field.metadata if isinstance(m, Quantity)), None)
    survey = next((m for m in field.metadata if isinstance(m, Survey)), None)
    return Key(
        table=path,
        name=name,
        description=field.description or "",
        required=field.is_required(),
        default=_default(field, quantity),
        choices=() if quantity else _choices(field.annotation),
        quantity=quantity,
        survey=survey,
        unknown=next((m for m in field.metadata if isinstance(m, Unknown)), None),
        many=get_origin(field.annotation) is tuple,
    )


def _default(field: FieldInfo, quantity: Quantity | None) -> str:
    if field.is_required() or field.default in (None, "", ()):
        return ""
    if quantity is not None:
        return spelled(quantity.shown(field.default))
    return spelled(field.default)


def _choices(annotation: Any) -> tuple[str, ...]:
    """The spellings of a Literal, a bool, or one of these that may be left out."""
    if annotation is bool:
        return ("true", "false")
    if get_origin(annotation) is Literal:
        return tuple(spelled(value) for value in get_args(annotation))
    if get_origin(annotation) in (Union, UnionType):
        return next((found for inner in get_args(annotation) if (found := _choices(inner))), ())
    return ()


def _table(field: FieldInfo) -> type[Table] | None:
    """The model of a field that is a table, a table that may be left out, or a list of tables."""
    for candidate in (field.annotation, *get_args(field.annotation)):
        if isinstance(candidate, type) and issubclass(candidate, Table):
            return candidate
    return None
