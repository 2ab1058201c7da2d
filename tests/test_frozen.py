"""Frozen dataclasses that are made quickly answer as those of the standard library do."""

from __future__ import annotations

import ast
import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field, fields, replace
from typing import Any

import pytest

from places import ROOT
from rasterport.frozen import QUICK, dataclass


def classes(make: Callable[..., Any]) -> dict[str, Any]:
    """The same four classes, made by one or the other."""

    @make(frozen=True, slots=True)
    class Point:
        """A point."""

        x: float
        y: float = 2.0
        names: list[str] = field(default_factory=list)
        hidden: str = field(default="", repr=False)

        @property
        def both(self) -> float:
            return self.x + self.y

    @make(frozen=True, slots=True)
    class One:
        value: Any

    @make(frozen=True, slots=True)
    class Empty:
        pass

    @make(frozen=True, slots=True)
    class Counted:
        value: int = 0

        def __post_init__(self) -> None:
            if self.value < 0:
                raise ValueError("must not be negative")

    return {"Point": Point, "One": One, "Empty": Empty, "Counted": Counted}


OURS, THEIRS = classes(dataclass), classes(dataclasses.dataclass)


@dataclass(frozen=True, slots=True)
class Kept:
    """One that pickle finds by its name."""

    a: int
    b: tuple[int, ...] = ()


def told(work: Callable[[dict[str, Any]], Any], made: dict[str, Any]) -> Any:
    """What a piece of work gives, or the kind and the words of what it raises."""
    try:
        return work(made)
    except Exception as fault:  # noqa: BLE001
        return type(fault), str(fault)


WORK: dict[str, Callable[[dict[str, Any]], Any]] = {
    "repr": lambda m: repr(m["Point"](1.0, hidden="x")),
    "repr of one": lambda m: repr(m["One"]([1])),
    "repr of none": lambda m: repr(m["Empty"]()),
    "fields": lambda m: [(f.name, f.repr, f.type) for f in fields(m["Point"])],
    "match": lambda m: m["Point"].__match_args__,
    "slots": lambda m: m["Point"].__slots__,
    "doc": lambda m: m["Point"].__doc__,
    "no dict": lambda m: hasattr(m["Point"](1), "__dict__"),
    "signature": lambda m: [(p.name, p.kind) for p in inspect.signature(m["Point"]).parameters.values()],
    "equal": lambda m: m["Point"](1, 2) == m["Point"](1.0, 2.0),
    "another": lambda m: m["Point"](1, 2) == m["Point"](1, 3),
    "in a field that is not shown": lambda m: m["Point"](1, hidden="a") == m["Point"](1, hidden="b"),
    "of another class": lambda m: m["One"](1) == m["Counted"](1),
    "no number": lambda m: m["One"](float("nan")) == m["One"](float("nan")),
    "the same thing": lambda m: [m["One"](n) == m["One"](n) for n in (float("nan"),)],
    "none": lambda m: m["Empty"]() == m["Empty"](),
    "order": lambda m: m["One"](1) < m["One"](2),
    "hash": lambda m: [hash(m["One"]("a")), hash(m["Empty"]()), hash(m["Counted"](3))],
    "hash of a list": lambda m: hash(m["Point"](1)),
    "a list for each": lambda m: m["Point"](1).names is m["Point"](1).names,
    "property": lambda m: m["Point"](1).both,
    "replace": lambda m: repr(replace(m["Point"](1, names=["a"]), y=5)),
    "replace what is not there": lambda m: replace(m["One"](1), other=2),
    "set": lambda m: setattr(m["Point"](1), "x", 2),
    "delete": lambda m: delattr(m["Point"](1), "x"),
    "too few": lambda m: m["Point"](),
    "too many": lambda m: m["One"](1, 2),
    "unknown": lambda m: m["One"](value=1, other=2),
    "checked": lambda m: m["Counted"](-1),
    "copy": lambda m: repr(copy.copy(m["Point"](1, names=["a"]))),
    "deep copy": lambda m: copy.deepcopy(m["Point"](1, names=["a"])) == m["Point"](1, names=["a"]),
}


@pytest.mark.parametrize("name", WORK)
def test_ours_answers_as_theirs(name: str) -> None:
    assert told(WORK[name], OURS) == told(WORK[name], THEIRS)


def test_the_two_are_made_differently() -> None:
    """The comparison above would hold for two that are one."""
    functions = [inspect.unwrap(made["One"].__repr__).__code__.co_filename for made in (OURS, THEIRS)]
    assert functions[0].endswith("frozen.py") and not functions[1].endswith("frozen.py")
    assert told(WORK["set"], OURS) == (FrozenInstanceError, "cannot assign to field 'x'")


def test_nothing_is_set_that_is_no_field() -> None:
    """Where the standard library stumbles over the class that slots replace, and says something else (Python 3.11)."""
    with pytest.raises(FrozenInstanceError, match="cannot assign to field 'z'"):
        OURS["Point"](1).z = 2


def test_pickled_and_back() -> None:
    one = Kept(1, (2, 3))
    assert pickle.loads(pickle.dumps(one)) == one and hash(pickle.loads(pickle.dumps(one))) == hash(one)


def test_anything_else_is_the_standard_librarys() -> None:
    @dataclass
    class Loose:
        a: int = 0

    @dataclass(frozen=True, slots=True, order=True)
    class Ordered:
        a: int

    loose = Loose()
    loose.a = 4
    assert loose == Loose(4) and sorted([Ordered(2), Ordered(1)]) == [Ordered(1), Ordered(2)]


def test_every_frozen_record_of_the_package_is_made_the_quick_way() -> None:
    """One import of the standard library's would make its classes slow again, and nothing else would say so."""
    count, wrong = 0, []
    for path in (ROOT / "generator" / "rasterport").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        quick = [c for c in ast.walk(tree) if isinstance(c, ast.ClassDef) and any(map(_quick, c.decorator_list))]
        count += len(quick)
        taken = [n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) and _named(n)]
        if quick and taken != ["rasterport.frozen"]:
            wrong.append(path.name)
    assert wrong == [] and count > 100


def _quick(node: ast.expr) -> bool:
    return isinstance(node, ast.Call) and {k.arg: ast.literal_eval(k.value) for k in node.keywords} == QUICK


def _named(node: ast.ImportFrom) -> bool:
    return any(alias.name == "dataclass" for alias in node.names)
