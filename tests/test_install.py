"""`templates` and `new` from a wheel and from an editable install, in an empty folder."""

from __future__ import annotations

import subprocess
import sys
import venv
from pathlib import Path

import pytest

from places import ROOT, TEMPLATES


def run(command: list[str], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def wheel(folder: Path) -> Path:
    """A wheel built by hatchling from this repository."""
    run([sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)], ROOT)
    (made,) = folder.glob("*.whl")
    return made


@pytest.mark.parametrize("kind", ["wheel", "editable"])
def test_templates_and_new_work_in_an_empty_folder(tmp_path: Path, kind: str) -> None:
    place, empty = tmp_path / "venv", tmp_path / "empty"
    empty.mkdir()
    # The packages it depends on come from the environment that runs the tests; only Rasterport is installed.
    venv.create(place, with_pip=True, symlinks=True)
    python = place / "bin" / "python"
    paths = run([str(python), "-c", "import site; print(site.getsitepackages()[0])"], tmp_path).strip()
    outer = [p for p in sys.path if p.endswith("site-packages")]
    hidden = Path(paths) / "outer.pth"
    what = [str(wheel(tmp_path))] if kind == "wheel" else ["-e", str(ROOT)]
    hidden.write_text("\n".join(outer) + "\n", encoding="utf-8")
    options = ["--no-deps", "--no-index", "--no-build-isolation", "--force-reinstall", "-q"]
    run([str(python), "-m", "pip", "install", *options, *what], tmp_path)
    where = run([str(python), "-c", "import rasterport; print(rasterport.__file__)"], empty).strip()
    assert where.startswith(str(place)) if kind == "wheel" else where.startswith(str(ROOT))
    program = [str(place / "bin" / "rasterport")]
    listed = run([*program, "templates"], empty)
    for template in TEMPLATES.glob("*.toml"):
        assert any(line.split()[0] == template.stem for line in listed.splitlines())
    run([*program, "new", "mine", "--from", "kestrel"], empty)
    assert [p.name for p in empty.iterdir()] == ["mine.toml"]
    text = (empty / "mine.toml").read_text(encoding="utf-8")
    assert 'name = "mine"' in text
    assert text.count("#") > 20
    # Nobody has tested the ground of this set yet, so there is no board, and the reason is given.
    checked = subprocess.run([*program, "check", "mine.toml"], cwd=empty, capture_output=True, text=True, check=False)
    assert checked.returncode == 1
    assert "F101" in checked.stdout
    assert sorted(p.name for p in empty.iterdir()) == ["mine.toml"], "check writes nothing"
