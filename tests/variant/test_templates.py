"""Templates: found where they are, listed, and copied under a new name without harm."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from rasterport.errors import OutputError, RasterportError
from rasterport.variant import templates
from rasterport.variant.load import load
from rasterport.variant.templates import new_file, template_names, template_summary, template_text, templates_folder


def test_templates_are_those_of_the_repository() -> None:
    repository = Path(__file__).parents[2] / "templates"
    assert set(template_names()) == {path.stem for path in repository.glob("*.toml")}
    assert template_names() == tuple(sorted(template_names()))


def test_the_folder_in_the_package_comes_first(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import importlib.resources

    (tmp_path / "_templates").mkdir()
    monkeypatch.setattr(importlib.resources, "files", lambda package: tmp_path)
    assert templates_folder() == tmp_path / "_templates"


def test_no_templates_at_all_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import importlib.resources

    monkeypatch.setattr(importlib.resources, "files", lambda package: tmp_path)
    monkeypatch.setattr(templates, "__file__", str(tmp_path / "a" / "b" / "c" / "d.py"))
    with pytest.raises(RasterportError, match="install it again"):
        templates_folder()


@pytest.mark.parametrize("name", template_names())
def test_summary_is_one_sentence(name: str) -> None:
    summary = template_summary(name)
    assert 10 < len(summary) <= 110
    assert template_text(name).startswith(f"# {summary}\n")


@pytest.mark.parametrize("name", template_names())
def test_new_file_differs_in_its_name_and_claims_no_test_of_the_set(name: str, tmp_path: Path) -> None:
    path = new_file("merlin-2", name, tmp_path)
    assert path == tmp_path / "merlin-2.toml"
    assert b"\r" not in path.read_bytes()
    made = load(path).variant
    assert made.variant.name == "merlin-2"
    assert (made.set.signal_ground, made.set.ground_verified) == ("unverified", "")
    old, new = template_text(name).splitlines(), path.read_text(encoding="utf-8").splitlines()
    differing = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(differing) == 3
    assert differing[0][1] == differing[0][0].replace(f'"{name}"', '"merlin-2"')
    assert differing[1][1].startswith('signal_ground = "unverified"')
    assert differing[2][1].startswith('ground_verified = ""')


def test_a_template_that_is_like_another_brings_it_along(tmp_path: Path) -> None:
    path = new_file("merlin", "ouzel", tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["dipper.toml", "merlin.toml"]
    base = load(tmp_path / "dipper.toml").variant
    assert (base.variant.name, base.set.signal_ground) == ("dipper", "unverified")
    assert new_file("merlin-2", "ouzel", tmp_path).is_file(), "the same base serves another"
    assert load(path).variant.set.rgb == base.set.rgb


def test_another_file_under_the_name_of_the_base_is_left(tmp_path: Path) -> None:
    (tmp_path / "dipper.toml").write_text("mine")
    with pytest.raises(
        OutputError,
        match=r"^ouzel is like dipper\.toml, which would be written beside \S+\.toml: \S+ must not be there yet, or ",
    ):
        new_file("merlin", "ouzel", tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["dipper.toml"]
    with pytest.raises(RasterportError, match="must differ from the file that ouzel is like"):
        new_file("dipper", "ouzel", tmp_path / "elsewhere")


def test_never_over_a_file(tmp_path: Path) -> None:
    (tmp_path / "merlin.toml").write_text("mine")
    with pytest.raises(OutputError, match="must not be there yet"):
        new_file("merlin", template_names()[0], tmp_path)
    assert (tmp_path / "merlin.toml").read_text() == "mine"


@pytest.mark.parametrize("name", ["Merlin", "../merlin", "nul", "", "a" * 41])
def test_wrong_names_write_nothing(name: str, tmp_path: Path) -> None:
    with pytest.raises(RasterportError, match="must be"):
        new_file(name, template_names()[0], tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("template", ["nothing", "../kestrel", "", "kestrel.toml"])
def test_unknown_template_names_those_there_are(template: str, tmp_path: Path) -> None:
    with pytest.raises(RasterportError) as raised:
        new_file("merlin", template, tmp_path)
    assert all(name in str(raised.value) for name in template_names())
    assert list(tmp_path.iterdir()) == []


def test_a_name_in_a_comment_or_text_stays(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    ground = 'signal_ground = "unverified"\nground_verified = ""\n'
    text = (
        f'# name = "a"\n[set]\n{ground}name = "b"\n[variant]\nnotes = """\nname = "c"\n"""\nname = \'d\' # name = "e"\n'
    )
    monkeypatch.setattr(templates, "template_text", lambda name: text)
    new = new_file("merlin", "any", tmp_path).read_text()
    assert new == text.replace("'d'", '"merlin"')


def test_half_a_file_is_taken_away(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    text = template_text(template_names()[0])
    monkeypatch.setattr(templates, "template_text", lambda name: text)
    really_open = Path.open

    def full(self: Path, *args: Any, **options: Any) -> _FullDisk:
        return _FullDisk(really_open(self, *args, **options))

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(OutputError, match="to the end: no space"):
        new_file("merlin", "any", tmp_path)
    assert list(tmp_path.iterdir()) == []


class _FullDisk:
    """A file on a disk that is full after the first bytes."""

    def __init__(self, stream: Any) -> None:
        self.stream = stream

    def __enter__(self) -> _FullDisk:
        return self

    def __exit__(self, *error: object) -> None:
        self.stream.close()

    def write(self, text: str) -> None:
        self.stream.write(text[:10])
        raise OSError(28, "no space")
