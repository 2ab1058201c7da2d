"""Reads KiCad's own symbol and footprint libraries, for the tests that compare ours with them.

The folder is named by one environment variable, KICAD_DATA; it holds `symbols/` and `footprints/`
as KiCad's packages install them.  One symbol is cut out of a library as text before it is parsed,
since the large libraries take seconds to parse whole.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import sexpdata

VARIABLE = "KICAD_DATA"
DROPPED_PAD_KINDS = ("np_thru_hole",)


@dataclass(frozen=True)
class SymbolPin:
    """One pin of a symbol: where it stands (mm, y up), and the unit it is drawn in."""

    number: str
    name: str
    kind: str
    x: float
    y: float
    unit: int


@dataclass(frozen=True)
class FootprintPad:
    """One pad of a footprint (mm, y down)."""

    number: str
    kind: str
    shape: str
    x: float
    y: float
    size_x: float
    size_y: float
    drill: float


def data_folder() -> Path:
    """The folder named by KICAD_DATA.  Skips the test when it is unset, fails it where CI is set."""
    named = os.environ.get(VARIABLE)
    if not named:
        if os.environ.get("CI"):
            pytest.fail(f"{VARIABLE} must name the folder with KiCad's symbols/ and footprints/; it is unset")
        pytest.skip(f"{VARIABLE} is unset: no KiCad libraries to compare with")
    folder = Path(named)
    for part in ("symbols", "footprints"):
        if not (folder / part).is_dir():
            pytest.fail(f"{VARIABLE} must hold the folder {part}/; it does not")
    return folder


def _balanced(text: str, start: int) -> str:
    """The parenthesised expression that opens at `start`; strings may hold parentheses."""
    depth = 0
    for token in re.compile(r'"(?:[^"\\]|\\.)*"|[()]').finditer(text, start):
        if token.group() == "(":
            depth += 1
        elif token.group() == ")":
            depth -= 1
            if depth == 0:
                return text[start : token.end()]
    raise ValueError("the expression must be closed; the text ended first")


@cache
def _library_text(library: str) -> str:
    return (data_folder() / "symbols" / f"{library}.kicad_sym").read_text(encoding="utf-8")


@cache
def symbol_tree(symbol: str) -> Any:
    """The S-expression of `library:name`, the parent's in place of a symbol that extends another."""
    library, name = symbol.split(":")
    text = _library_text(library)
    found = re.search(rf'^\s*\(symbol "{re.escape(name)}"', text, re.MULTILINE)
    if found is None:
        raise KeyError(symbol)
    cut = _balanced(text, text.index("(", found.start()))
    parent = re.search(r'\(extends "([^"]+)"\)', cut)
    if parent is not None:
        return symbol_tree(f"{library}:{parent.group(1)}")
    return sexpdata.loads(cut)


def _head(node: Any) -> str:
    if isinstance(node, list) and node and isinstance(node[0], sexpdata.Symbol):
        return str(node[0].value())
    return ""


def children(node: Any, head: str) -> list[Any]:
    """The direct children of an S-expression whose first word is `head`."""
    return [child for child in node if _head(child) == head]


def units(symbol: str) -> list[tuple[int, Any]]:
    """(unit number, S-expression) of each drawn unit of the normal body style."""
    found = []
    for child in children(symbol_tree(symbol), "symbol"):
        unit, style = str(child[1]).rsplit("_", 2)[1:]
        if style in ("0", "1"):
            found.append((int(unit), child))
    return found


def symbol_pins(symbol: str) -> tuple[SymbolPin, ...]:
    """All pins of a symbol, sorted as written."""
    pins = []
    for unit, body in units(symbol):
        for pin in children(body, "pin"):
            at = children(pin, "at")[0]
            pins.append(
                SymbolPin(
                    number=str(children(pin, "number")[0][1]),
                    name=str(children(pin, "name")[0][1]),
                    kind=str(pin[1].value()),
                    x=float(at[1]),
                    y=float(at[2]),
                    unit=unit,
                )
            )
    return tuple(pins)


def polylines(symbol: str) -> list[tuple[tuple[float, float], ...]]:
    """Every polyline drawn in the symbol, as its points (mm, y up)."""
    lines = []
    for _, body in units(symbol):
        for line in children(body, "polyline"):
            points = children(children(line, "pts")[0], "xy")
            lines.append(tuple((float(p[1]), float(p[2])) for p in points))
    return lines


def footprint_exists(footprint: str) -> bool:
    """Whether KiCad's libraries hold `library:name`."""
    library, name = footprint.split(":")
    return (data_folder() / "footprints" / f"{library}.pretty" / f"{name}.kicad_mod").is_file()


@cache
def footprint_pads(footprint: str) -> tuple[FootprintPad, ...]:
    """Numbered pads of a footprint; unnumbered pads and bare holes are dropped."""
    library, name = footprint.split(":")
    path = data_folder() / "footprints" / f"{library}.pretty" / f"{name}.kicad_mod"
    tree = sexpdata.loads(path.read_text(encoding="utf-8"))
    pads = []
    for pad in children(tree, "pad"):
        number = str(pad[1].value()) if isinstance(pad[1], sexpdata.Symbol) else str(pad[1])
        kind = str(pad[2].value())
        if not number or kind in DROPPED_PAD_KINDS:
            continue
        at, size, drill = (children(pad, head) for head in ("at", "size", "drill"))
        bore = [float(d) for d in drill[0][1:] if isinstance(d, int | float)] if drill else []
        pads.append(
            FootprintPad(
                number, kind, str(pad[3].value()), float(at[0][1]), float(at[0][2]),
                float(size[0][1]), float(size[0][2]), bore[0] if bore else 0.0,
            )
        )  # fmt: skip
    return tuple(pads)
