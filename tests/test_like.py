"""A file that states only what differs gives what the same keys in one file give, byte for byte."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from places import TEMPLATES
from rasterport.api import build, load
from rasterport.emit.resolved import resolved_text

DIFFERENCES: dict[str, dict[str, list[str]]] = {
    "kestrel": {
        "set.blanking": ['maximum = "2.8 V"', 'pin_current = "0.1 mA"'],
        "set.rgb": ['leakage = "0.3 uA"', 'clamp_current = "unknown"'],
        "set.supply": ['voltage = "9 V"', 'tolerance = "2 %"'],
        "set": ['processor = "TDA8376"', 'lines = "both"'],
        "board": ['construction = "through-hole"', "clamps = true"],
        "input": ['socket = "bnc-4"\nmounting = "panel"', 'socket = "european-21"'],
        "fit": ['"input-1/red/termination" = "76R8"', '"supply/bulk" = "100u"'],
    },
    "plover": {
        "set.blanking": ['maximum = "2.8 V"'],
        "set.rgb": ['white_level = "0.7 V"'],
        "set": ['processor = "STV224x"'],
        "board": ['construction = "through-hole"'],
        "input": ['socket = "european-21"\nstatus_contact = 16'],
    },
}
"""Template -> table -> lines that may stand in it."""


def heading(table: str) -> str:
    return "[[input]]" if table == "input" else f"[{table}]"


def differing(template: str, stated: dict[str, str]) -> str:
    """A file that is like a template but for these lines."""
    rows = ["[variant]", 'name = "twin"', f'like = "{template}.toml"']
    for table, line in stated.items():
        rows += ["", heading(table), line]
    return "\n".join(rows) + "\n"


def written_out(template: str, stated: dict[str, str]) -> str:
    """The template with these lines in the place of its own."""
    text = re.sub(r"(?m)^name = .*$", 'name = "twin"', (TEMPLATES / f"{template}.toml").read_text("utf-8"), count=1)
    for table, lines in stated.items():
        if table == "input":
            text = re.sub(r"(?ms)^\[\[input\]\]\n.*?(?=^\[selector\])", f"[[input]]\n{lines}\n\n", text)
            continue
        if f"\n{heading(table)}\n" not in text:
            text += f"\n{heading(table)}\n"
        for line in lines.split("\n"):
            key = re.escape(line.split(" = ")[0])
            head, body = text.split(f"\n{heading(table)}\n", 1)
            own, mark, rest = body.partition("\n[")
            own = re.sub(rf"(?m)^{key} = .*\n?", "", own)
            text = f"{head}\n{heading(table)}\n{line}\n{own}{mark}{rest}"
    return text


def results(folder: Path, text: str) -> dict[str, Any]:
    """Every file that is built, digests of the variant file left out."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "twin.toml"
    path.write_text(text, encoding="utf-8")
    (one,) = load(path)
    built = build(one, folder / "out", despite_errors=True, overwrite=True)
    found: dict[str, Any] = {p.name: p.read_bytes() for p in sorted(built.folder.iterdir()) if p.is_file()}
    manifest = json.loads(found.pop("manifest.json"))
    found["manifest"] = {
        k: v for k, v in manifest.items() if k not in ("variant_digest", "like", "like_digest", "files")
    }
    name = "twin.findings.json"
    found[name] = re.sub(rb'"digest": "[0-9a-f]{64}"', b"", found[name], count=1)
    page = "twin.html"
    found[page] = re.sub(rb'data-digest="[0-9a-f]{64}"|variant [0-9a-f]{12}', b"", found[page])
    return found


@st.composite
def stated(draw: st.DrawFn) -> tuple[str, dict[str, str]]:
    template = draw(st.sampled_from(sorted(DIFFERENCES)))
    tables = draw(st.sets(st.sampled_from(sorted(DIFFERENCES[template])), max_size=4))
    return template, {table: draw(st.sampled_from(DIFFERENCES[template][table])) for table in sorted(tables)}


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
)
@given(case=stated())
def test_like_is_the_same_keys_written_out(case: tuple[str, dict[str, str]], tmp_path: Path) -> None:
    template, lines = case
    for name in DIFFERENCES:
        (tmp_path / "a").mkdir(exist_ok=True)
        (tmp_path / "a" / f"{name}.toml").write_bytes((TEMPLATES / f"{name}.toml").read_bytes())
    twin, whole = (
        results(tmp_path / "a", differing(template, lines)),
        results(tmp_path / "b", written_out(template, lines)),
    )
    assert twin == whole
    assert len(twin) > 6


@pytest.mark.parametrize("template", sorted(DIFFERENCES))
def test_a_difference_shows_in_the_results(template: str, tmp_path: Path) -> None:
    """The property above would hold for a build that ignores what is stated."""
    (tmp_path / f"{template}.toml").write_bytes((TEMPLATES / f"{template}.toml").read_bytes())
    same = results(tmp_path, differing(template, {}))
    for table, lines in DIFFERENCES[template].items():
        assert results(tmp_path, differing(template, {table: lines[0]})) != same, table


def test_the_full_variant_loads_to_the_same_board(tmp_path: Path) -> None:
    """What `check --resolved` prints is a variant file."""
    (tmp_path / "kestrel.toml").write_bytes((TEMPLATES / "kestrel.toml").read_bytes())
    lines = {table: rows[0] for table, rows in DIFFERENCES["kestrel"].items() if table != "set.supply"}
    twin = results(tmp_path, differing("kestrel", lines))
    (one,) = load(tmp_path / "twin.toml")
    assert one.resolved is not None
    text = "\n".join(resolved_text(one.resolved)) + "\n"
    (again,) = load_text(tmp_path, text)
    assert again.variant == one.variant
    whole = results(tmp_path / "b", text)
    # Each value is stated now, so none is said to come from a processor's row.
    assert whole["twin.net"] == twin["twin.net"]
    assert whole["twin.bom.csv"] == twin["twin.bom.csv"]


def load_text(folder: Path, text: str) -> Any:
    path = folder / "again.toml"
    path.write_text(text, encoding="utf-8")
    return load(path)


def test_both_digests_stand_in_the_manifest(tmp_path: Path) -> None:
    base = tmp_path / "kestrel.toml"
    base.write_bytes((TEMPLATES / "kestrel.toml").read_bytes())
    path = tmp_path / "twin.toml"
    path.write_text(differing("kestrel", {}), encoding="utf-8")
    (one,) = load(path)
    build(one, tmp_path / "out")
    (alone,) = load(base)
    manifest = json.loads((tmp_path / "out" / "twin" / "manifest.json").read_text("utf-8"))
    assert (manifest["variant_digest"], manifest["like"], manifest["like_digest"]) == (
        one.digest, "kestrel.toml", alone.digest,
    )  # fmt: skip
    base.write_text(base.read_text("utf-8").replace('clipping_level = "1.0 V"', 'clipping_level = "1.1 V"'), "utf-8")
    (one,) = load(path)
    assert one.like is not None and one.like[1] != alone.digest
