"""S-expressions as KiCad reads them: sexpdata writes the atoms, this module breaks the lines.

Keys are bare, every value is a quoted string, numbers are bare and already formatted.  Two habits of
KiCad matter: `(export ` must keep its blank on the first line, and a string must not hold a raw newline.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from sexpdata import Symbol, dumps

Node = list[Any]
"""A list whose first item is a bare key; other items are bare `Symbol`s, strings (quoted) or nodes."""


def bare(text: str) -> Any:
    """A token that is written without quotes."""
    return Symbol(text)


def node(key: str, *items: Any) -> Node:
    """A list that begins with a bare key."""
    return [Symbol(key), *items]


def number(value: float) -> Any:
    """A measure [mm] with at most four decimals, without exponent or trailing zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return Symbol("0" if text in ("-0", "") else text)


def text(tree: Node, broken: int = 3) -> str:
    """The tree as text; lists down to depth `broken` stand on lines of their own."""
    return _written(tree, 0, broken) + "\n"


def _written(tree: Any, depth: int, broken: int) -> str:
    if not isinstance(tree, list):
        return _atom(tree)
    if depth >= broken or not any(isinstance(item, list) for item in tree):
        return "(" + " ".join(_written(item, depth + 1, broken) for item in tree) + ")"
    head = [_written(item, depth + 1, broken) for item in tree if not isinstance(item, list)]
    lists = [_written(item, depth + 1, broken) for item in tree if isinstance(item, list)]
    pad = "  " * (depth + 1)
    # The key keeps a list beside it on its line: KiCad looks for "(export " followed by more.
    first, rest = (lists[0], lists[1:]) if depth == 0 else ("", lists)
    start = " ".join([*head, first]).rstrip()
    return f"({start}" + "".join(f"\n{pad}{item}" for item in rest) + ")"


@lru_cache(maxsize=4096, typed=True)
def _atom(item: Any) -> str:
    # sexpdata quotes and escapes; it leaves control characters raw, which KiCad does not read back.
    return str(dumps(item)).replace("\n", "\\n").replace("\r", "\\r").replace("\t", "\\t")
