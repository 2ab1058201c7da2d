"""Imports run one way, and heavy libraries stay where they belong."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from places import ROOT

PACKAGE = ROOT / "generator" / "rasterport"
LAYERS = (
    ("units", "errors", "records", "kinds", "order", "files", "printing"),
    ("standards", "parts"),
    ("variant",),
    ("design",),
    ("blocks",),
    ("circuit", "realise", "ordering", "pricelists"),
    ("analysis",),
    ("checks",),
    ("emit",),
    ("api", "results"),
    ("cli", "terminal", "__main__", "__init__"),
)
"""A module may import from its own layer and from those above it in this list."""
HEIGHT = {name: height for height, names in enumerate(LAYERS) for name in names}
MODULES = sorted(PACKAGE.rglob("*.py"))
LATE = ("skidl", "rich")
SOLVING = "analysis"
"""The one layer that works on arrays: what imports it pays for them, and no help text does."""


def layer_of(path: Path) -> str:
    """Name of the layer's folder or module."""
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imported(tree: ast.AST) -> Iterator[str]:
    """Dotted names of everything imported below a node, also inside functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide the layer"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def at_import(tree: ast.Module) -> Iterator[str]:
    """Dotted names of what is imported when the module is."""
    later = (ast.FunctionDef, ast.AsyncFunctionDef)
    for node in tree.body:
        if not isinstance(node, later):
            yield from imported(node)


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def test_every_module_has_a_layer() -> None:
    assert {layer_of(path) for path in MODULES} <= set(HEIGHT)
    assert len(MODULES) > 80


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_run_one_way(path: Path) -> None:
    own = HEIGHT[layer_of(path)]
    wrong = []
    for name in imported(parsed(path)):
        package, _, rest = name.partition(".")
        if package == "rasterport" and rest and rest != "__version__":
            layer = rest.split(".")[0]
            if HEIGHT.get(layer, len(LAYERS)) > own:
                wrong.append(name)
    assert wrong == []


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_heavy_libraries_are_not_imported_at_the_top(path: Path) -> None:
    late = LATE if layer_of(path) == SOLVING else (*LATE, "numpy")
    assert [name for name in at_import(parsed(path)) if name.split(".")[0] in late] == []


def test_only_one_module_imports_skidl() -> None:
    """By name or by string: the import goes through importlib."""
    holders = [
        path.name
        for path in MODULES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Constant) and node.value == "skidl"
    ]
    named = [path.name for path in MODULES if any(n.split(".")[0] == "skidl" for n in imported(parsed(path)))]
    assert set(holders) == {"realise.py"}
    assert set(named) <= {"realise.py"}


def test_emitters_do_not_size() -> None:
    wrong = [
        (path.name, name)
        for path in MODULES
        if layer_of(path) == "emit"
        for name in imported(parsed(path))
        if name.startswith(("rasterport.design", "rasterport.blocks", "rasterport.analysis", "rasterport.checks"))
    ]
    assert wrong == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_docstring_is_a_string_that_was_split(path: Path) -> None:
    """Quotes at the end of one line and the beginning of the next are those of two strings, not of a text."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    values = [n.value for n in nodes if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)]
    assert [v.value for v in values if re.search(r'"\n\s*"', str(v.value))] == []


def test_the_house_lists_every_module_and_folder() -> None:
    house = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("```")[1]
    inside = [p for p in PACKAGE.iterdir() if p.suffix == ".py" or (p / "__init__.py").is_file()]
    names = {p.name if p.suffix else f"{p.name}/" for p in inside if not p.name.startswith("__")}
    assert {name for name in names if not re.search(rf"(?<![\w.]){re.escape(name)}", house)} == set()
