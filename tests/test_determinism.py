"""The same bytes whatever the hash seed, folder, language, time zone or processor features."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from places import OUT, TEMPLATES

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


def test_no_result_holds_a_machine_path_or_a_clock() -> None:
    here = str(Path.cwd()).encode()
    for path in OUT.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            assert here not in data
            assert b"/tmp" not in data
            assert b"2026" not in data
