"""Runs ngspice in batch on a deck: the figures that it prints, and vectors from a raw file.

Where ngspice is missing the test is skipped; in continuous integration it fails.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from rasterport.records import Simulation

PROGRAM = "ngspice"
LONGEST_S = 60
FIGURE = re.compile(r"^([a-z]\w*)\s*=\s*(\S+)(?:\s+from=.*|\s+at=.*)?$", re.MULTILINE)


@dataclass(frozen=True)
class Run:
    """What ngspice said: exit status, its output, lines of complaint, figures by name."""

    status: int
    output: str
    complaints: tuple[str, ...]
    figures: dict[str, float]


@dataclass(frozen=True)
class Plot:
    """One analysis of a raw file: vectors by name, complex throughout."""

    vectors: dict[str, list[complex]]

    def real(self, name: str) -> list[float]:
        """A vector of a direct-current or transient analysis."""
        return [value.real for value in self.vectors[name]]

    def first(self, name: str) -> complex:
        """The first value of a vector; ngspice writes the brackets of v(net) only where it was asked by that name."""
        return self.vectors[name if name in self.vectors else name[2:-1]][0]


def program() -> str:
    """Path of ngspice.  Skips the test when it is missing, fails it where CI is set."""
    found = shutil.which(PROGRAM)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(f"{PROGRAM} must be installed; it is not")
        pytest.skip(f"{PROGRAM} is not installed: no second opinion on the decks")
    return found


@cache
def run(deck: str) -> Run:
    """Run a deck as it is, once a process: the same text gives the same figures, which nobody changes."""
    with tempfile.TemporaryDirectory() as folder:
        return _run(deck, Path(folder))


def of_picture(deck: Simulation) -> Simulation:
    """The simulation ended where the last level is read that holds at one time: a fifth of a run, the rest is sound.

    Up to there ngspice takes the same steps, so every figure that is left is the same to its last digit.
    """
    measures = tuple(m for m in deck.measures if m.kind != "swing")
    last_s = max(m.start_s for m in measures)
    assert len(measures) > 3 and last_s < deck.stop_s / 2
    return replace(deck, measures=measures, stop_s=1.02 * last_s)


def plots(deck: str) -> list[Plot]:
    """Run a deck whose control lines write `raw`, and read every analysis in it."""
    with tempfile.TemporaryDirectory() as folder:
        done = _run(deck, Path(folder))
        raw = Path(folder) / "raw"
        assert done.status == 0 and raw.is_file(), done.output[-3000:]
        return read_raw(raw.read_text(encoding="ascii"))


def control(*commands: str) -> str:
    """Control lines for `deck_text`: the commands, with output in ASCII, all analyses in one raw file."""
    lines = ["set filetype=ascii", "set appendwrite", *commands]
    return "\n".join([".control", *lines, "quit 0", ".endc"])


def sweep(source: str, start: float, stop: float, step: float, nets: Sequence[str]) -> str:
    """Control lines for a sweep of a direct voltage."""
    return control(f"dc {source} {start:g} {stop:g} {step:g}", "write raw " + " ".join(f"v({n})" for n in nets))


def _run(deck: str, folder: Path) -> Run:
    (folder / "deck.cir").write_text(deck, encoding="utf-8")
    command = [program(), "-b", "deck.cir"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=LONGEST_S, check=False)
    output = done.stdout + done.stderr
    complaints = tuple(
        line.strip() for line in output.splitlines() if re.search(r"warning|error|fail|singular", line, re.I)
    )
    figures = {name: float(value) for name, value in FIGURE.findall(_measured(output)) if value != "failed"}
    return Run(done.returncode, output, complaints, figures)


def _measured(output: str) -> str:
    return output.partition("Measurements for")[2].partition("Total analysis time")[0]


def read_raw(text: str) -> list[Plot]:
    """The analyses of an ASCII raw file."""
    found = []
    for block in re.split(r"^Title: ", text, flags=re.MULTILINE)[1:]:
        head, _, body = block.partition("\nValues:\n")
        names = re.findall(r"^\t\d+\t(\S+)\t", head.partition("\nVariables:\n")[2], re.MULTILINE)
        if not names:
            names = re.findall(r"^\s+\d+\s+(\S+)\s", head.partition("Variables:")[2], re.MULTILINE)
        values = [_number(token) for token in body.split()] if "," in body else list(map(complex, body.split()))
        width = len(names) + 1
        assert names and len(values) % width == 0, head
        found.append(Plot({name: values[k + 1 :: width] for k, name in enumerate(names)}))
    return found


def _number(token: str) -> complex:
    real, _, imaginary = token.partition(",")
    return complex(float(real), float(imaginary) if imaginary else 0.0)
