"""README.md shows what the program does: its excerpts and its commands."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib

from making import examined
from places import ROOT
from rasterport.checks.built import CODES
from rasterport.variant.models import Variant

README = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()


def fenced() -> list[list[str]]:
    """Lines of every fenced block."""
    blocks: list[list[str]] = []
    inside = False
    for line in README:
        if line.startswith("```"):
            inside = not inside
            if inside:
                blocks.append([])
        elif inside:
            blocks[-1].append(line)
    assert not inside
    return blocks


def excerpts() -> list[str]:
    """The parts of the excerpt from `check`, which begin with a heading and leave lines out at their end."""
    (block,) = [b for b in fenced() if "values" in b]
    return "\n".join(block).split("\n\n")


def test_the_excerpt_is_what_check_prints() -> None:
    command = [sys.executable, "-X", "utf8", "-m", "rasterport", "check", "templates/heron.toml"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=True)
    printed = done.stdout.splitlines()
    parts = [part.splitlines() for part in excerpts()]
    assert [part[0] for part in parts] == ["values", "figures", "limits kept"]
    for part in parts:
        lines = [line for line in part if line.strip() != "..."]
        assert len(lines) > 8
        assert [line for line in lines if line not in printed] == []
        rest = iter(printed)
        assert [line for line in lines if line not in rest] == [], "in the order in which they are printed"


def test_one_command_builds_a_board_and_one_runs_the_tests() -> None:
    lines = [line.strip() for block in fenced() for line in block]
    assert len([line for line in lines if "rasterport build templates/" in line]) == 1
    assert len([line for line in lines if line.endswith("-m pytest")]) == 1


def test_the_templates_and_files_it_names_are_there() -> None:
    text = "\n".join(README)
    named = set(re.findall(r"templates/[a-z]+\.toml", text))
    assert named
    for name in named:
        assert (ROOT / name).is_file(), name
    for name in re.findall(r"^\| `(heron\.[a-z.]+|manifest\.json)`", text, re.M):
        assert (ROOT / "out" / "heron" / name).is_file(), name


def test_the_record_that_it_shows_is_one_of_heron() -> None:
    """Its keys are those of a bench sheet, its readings within limits, its parts on the board."""
    (row,) = ["\n".join(block) for block in fenced() if "[[built]]" in block]
    text = (ROOT / "templates" / "heron.toml").read_text(encoding="utf-8")
    made = Variant.model_validate(tomllib.loads(f"{text}\n{row}"))
    assert made.built[0].readings and made.built[0].changed
    found = [(f.code, f.severity) for f in examined(made)[1] if f.code in CODES]
    assert {code for code, _ in found} == {"F920", "F924", "F925"}
    assert {severity for _, severity in found} <= {"met", "note"}
