"""Frozen dataclasses that are made quickly: `dataclass` in place of the standard library's.

A run makes some hundred and fifty classes of records before it does anything, and the standard library compiles six
functions for each of them.  Here one is compiled, `__init__`; the others are closures over the names of the fields.
A class made so answers as one of the standard library does: `fields`, `replace`, comparing, hashing, copying, errors.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Never

QUICK = {"frozen": True, "slots": True}
"""What is said of a class that is made the quick way; any other is the standard library's."""

_LEFT_OUT: Any = object()


def _dataclass(cls: type | None = None, /, **options: bool) -> Any:
    """As `dataclasses.dataclass`."""
    return _frozen if cls is None and options == QUICK else dataclasses.dataclass(cls, **options)


def _frozen(cls: type) -> type:
    made: type = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(cls)
    fields = dataclasses.fields(made)
    names = [f.name for f in fields]
    own: dict[str, Callable[..., Any]] = {
        "__init__": _init(made, fields),
        "__repr__": _repr([f.name for f in fields if f.repr]),
        **_comparing(names),
        **_copying(names),
        "__setattr__": _no_setting,
        "__delattr__": _no_deleting,
    }
    for name, function in own.items():
        setattr(made, name, function)
    return made


def _init(made: type, fields: Sequence[dataclasses.Field[Any]]) -> Callable[..., None]:
    """The one function that is compiled.  It writes the slots themselves, since `__setattr__` refuses."""
    space: dict[str, Any] = {"LEFT_OUT": _LEFT_OUT}
    heads, lines = ["self"], []
    for n, f in enumerate(fields):
        space[f"put{n}"] = getattr(made, f.name).__set__
        head = f.name
        if f.default is not dataclasses.MISSING:
            space[f"default{n}"] = f.default
            head += f"=default{n}"
        elif f.default_factory is not dataclasses.MISSING:
            space[f"make{n}"] = f.default_factory
            head += "=LEFT_OUT"
            lines.append(f" if {f.name} is LEFT_OUT: {f.name} = make{n}()")
        heads.append(head)
        lines.append(f" put{n}(self, {f.name})")
    if hasattr(made, "__post_init__"):
        lines.append(" self.__post_init__()")
    exec("\n".join([f"def __init__({', '.join(heads)}):", *(lines or [" pass"])]), space)
    init: Callable[..., None] = space["__init__"]
    init.__qualname__, init.__module__ = f"{made.__qualname__}.__init__", made.__module__
    return init


def _repr(names: Sequence[str]) -> Callable[..., str]:
    def __repr__(self: object) -> str:
        return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"

    return __repr__


def _comparing(names: Sequence[str]) -> dict[str, Callable[..., Any]]:
    values: Callable[[object], Any]
    if len(names) > 1:
        values = attrgetter(*names)
    else:

        def values(self: object) -> tuple[Any, ...]:
            return tuple(getattr(self, name) for name in names)

    def __eq__(self: object, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self: object) -> int:
        return hash(values(self))

    return {"__eq__": __eq__, "__hash__": __hash__}


def _copying(names: Sequence[str]) -> dict[str, Callable[..., Any]]:
    def __getstate__(self: object) -> list[Any]:
        return [getattr(self, name) for name in names]

    def __setstate__(self: object, state: Sequence[Any]) -> None:
        for name, value in zip(names, state, strict=True):
            object.__setattr__(self, name, value)

    return {"__getstate__": __getstate__, "__setstate__": __setstate__}


def _no_setting(self: object, name: str, value: object) -> Never:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(self: object, name: str) -> Never:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    dataclass = _dataclass
