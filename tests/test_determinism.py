"""The same bytes whatever the hash seed, folder, language, time zone or processor features."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from places import OUT, TEMPLATES

# Two of these count only where they can.  Without the Turkish locale on the machine its row says nothing beyond its
# hash seed, as Python then falls back to C.  The last two variables of the last row steer numpy and its OpenBLAS: they
# are without effect as long as nothing in a build imports numpy, and are here for the day when something does.
SURROUNDINGS = [
    {"PYTHONHASHSEED": "1"},
    {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Chatham"},
    {"PYTHONHASHSEED": "7", "LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8"},
    {
        "PYTHONHASHSEED": "99",
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "OPENBLAS_CORETYPE": "Prescott",
        "NPY_DISABLE_CPU_FEATURES": "AVX2 FMA3 AVX512F AVX512CD AVX512_SKX",
    },
]


def build_in(folder: Path, surroundings: dict[str, str]) -> dict[str, bytes]:
    """Every file that all templates build to, from a process with these surroundings, started in `folder`."""
    folder.mkdir()
    files = sorted(str(p) for p in TEMPLATES.glob("*.toml"))
    environment = {**os.environ, **surroundings}
    command = [sys.executable, "-m", "rasterport", "build", *files]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode(errors="replace")
    assert done.stderr == b""
    written = folder / "out"
    assert sorted(p.name for p in folder.iterdir()) == ["out"], "nothing is written beside the results"
    return {str(p.relative_to(written)): p.read_bytes() for p in written.rglob("*") if p.is_file()}


@pytest.mark.parametrize("surroundings", SURROUNDINGS, ids=lambda s: "-".join(s.values())[:24])
def test_every_surrounding_gives_the_committed_bytes(tmp_path: Path, surroundings: dict[str, str]) -> None:
    committed = {str(p.relative_to(OUT)): p.read_bytes() for p in OUT.rglob("*") if p.is_file()}
    built = build_in(tmp_path / "somewhere else", surroundings)
    assert sorted(built) == sorted(committed)
    for name, data in built.items():
        assert data == committed[name], name


NAMED = re.compile(rb"[0-9a-f]{64}|[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
"""Digests and universally unique identifiers, in which any digits may meet."""
FIXED = b'(date "1970-01-01T00:00:00")'
FIXED_DXF = b"0.0 @ 2000-01-01T00:00:00.000000+00:00"
"""What netlist and DXF write where their formats want a date."""
CLOCK = re.compile(
    rb"(?<!\d)(?:19[7-9]\d|2[01]\d\d)([-/.])(?:0?[1-9]|1[0-2])\1(?:0?[1-9]|[12]\d|3[01])(?!\d)"  # 2026-08-01
    rb"|(?<!\d)(?:0?[1-9]|[12]\d|3[01])([-/.])(?:0?[1-9]|1[0-2])\2(?:19[7-9]\d|2[01]\d\d)(?!\d)"  # 1.8.2026
    rb"|(?<!\d)(?:19[7-9]\d|2[01]\d\d)(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])T\d"  # 20260801T12
    rb"|(?<!\d)(?:[01]?\d|2[0-3]):[0-5]\d(?!\d)"  # 9:59, 23:59:59
    rb"|\b(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* [0-3]?\d\b"  # Aug 1
    rb"|(?<!\d)[0-3]?\d (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* [12]\d{3}"  # 1 Aug 2026
    rb"|(?<![\d.])1[6-9]\d{8}(?![\d.])"  # seconds since 1970, up to the year 2033
)


def clock_in(data: bytes) -> bytes:
    """The first date or time in a result, b"" where there is none."""
    found = CLOCK.search(NAMED.sub(b"-", data.replace(FIXED, b"").replace(FIXED_DXF, b"")))
    return found[0] if found else b""


def test_no_result_holds_a_machine_path_or_a_clock() -> None:
    here = str(Path.cwd()).encode()
    files = [path for path in OUT.rglob("*") if path.is_file()]
    assert len(files) > 20
    for path in files:
        data = path.read_bytes()
        assert here not in data
        assert b"/tmp" not in data
        assert clock_in(data) == b"", path


CLOCKS = (
    "2026-08-01", "(date 2027-01-31T23:59:59)", "31.12.2027", "2030/1/2", "at 9:05", "20260801T120000Z", "Sat Aug 1",
    "1 August 2026", "1785542400", f"{FIXED.decode()} 23:59",
)  # fmt: skip
NO_CLOCKS = ("2026" * 16, "20260801-1200-1200-1200-202608011200", FIXED.decode(), FIXED_DXF.decode(), "EN 50049-1:1989")


@pytest.mark.parametrize("text", CLOCKS)
def test_the_pattern_knows_a_clock(text: str) -> None:
    assert clock_in(text.encode())


@pytest.mark.parametrize("text", NO_CLOCKS)
def test_the_pattern_takes_nothing_else_for_a_clock(text: str) -> None:
    assert not clock_in(text.encode())
