"""The Python interface: a build killed at any moment, what is kept of it, and what a refused board answers."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest

from places import OUT, TEMPLATES
from rasterport import api, results
from rasterport.emit import folder
from rasterport.emit.folder import Disk, sibling
from rasterport.emit.manifest import digest
from rasterport.variant.load import Loaded


def content(target: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {str(p.relative_to(target)): p.read_bytes() for p in sorted(target.rglob("*")) if p.is_file()}


def loaded(path: Path, *changes: tuple[str, str]) -> Loaded:
    """The template heron with some texts replaced, read from the given path."""
    text = (TEMPLATES / "heron.toml").read_text(encoding="utf-8")
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    path.write_text(text, encoding="utf-8")
    return api.load(path)[0]


def build_and_die(variant: Loaded, out: Path, after: int, **options: tuple[str, ...]) -> bool:
    """Build in a child process that ends, with no clean-up, in place of its n-th change of the disk.

    Returns whether it died rather than finished.
    """
    child = os.fork()
    if child == 0:
        left = [after]

        def dying(name: str) -> object:
            really = getattr(Disk, name)

            def operation(self: Disk, *arguments: object) -> None:
                if left[0] == 0:
                    if name == "write":  # half of the file is there already
                        path, data = arguments
                        assert isinstance(path, Path)
                        assert isinstance(data, bytes)
                        path.write_bytes(data[: len(data) // 2])
                    os._exit(9)
                left[0] -= 1
                really(self, *arguments)

            return operation

        status = 1
        try:
            for name in ("make_folder", "write", "move", "remove", "remove_tree"):
                setattr(folder.Disk, name, dying(name))
            api.build(variant, out, **options)
            status = 0
        finally:
            os._exit(status)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert status in (0, 9)
    return status == 9


@pytest.fixture
def once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Works a variant out once, however often it is built: what kills the disk does not ask what is written there."""
    designs: dict[str, api.Design] = {}
    texts: dict[tuple[str, tuple[str, ...]], results.Texts] = {}
    working, writing = api.design, api.texts

    def design(variant: Loaded) -> api.Design:
        if variant.digest not in designs:
            designs[variant.digest] = working(variant)
        return designs[variant.digest]

    def made(job: results.Job, kinds: tuple[str, ...]) -> results.Texts:
        key = (job.loaded.digest, tuple(kinds))
        if key not in texts:
            texts[key] = writing(job, kinds)
        return dict(texts[key])

    monkeypatch.setattr(api, "design", design)
    monkeypatch.setattr(api, "texts", made)


@pytest.fixture(scope="module")
def variants(tmp_path_factory: pytest.TempPathFactory) -> tuple[Loaded, Loaded]:
    """The template, and the same with another level at the pin, so that values and files differ."""
    place = tmp_path_factory.mktemp("variants")
    return loaded(place / "a.toml"), loaded(place / "b.toml", ('white_level = "0.7 V"', 'white_level = "0.6 V"'))


def kept_or_new(
    variants: tuple[Loaded, Loaded], tmp_path: Path, only: tuple[str, ...], next_only: tuple[str, ...]
) -> tuple[int, set[str]]:
    """Kill the build of the second variant over the first at every operation; look after the next start recovered.

    Returns how many operations there were and which results were met.
    """
    before, after = variants
    api.build(before, tmp_path / "old", only)
    api.build(before, tmp_path / "new", only)
    api.build(after, tmp_path / "new", next_only)
    old, new = content(tmp_path / "old" / "heron"), content(tmp_path / "new" / "heron")
    assert old != new
    count, met = 0, set()
    while True:
        out = tmp_path / f"killed-{count}"
        target = out / "heron"
        api.build(before, out, only)
        died = build_and_die(after, out, count, only=next_only)
        # The next start recovers before it does anything else: here one of a variant that writes nothing.
        unsafe = loaded(tmp_path / "unsafe.toml", ('signal_ground = "isolated"', 'signal_ground = "live"'))
        assert api.build(unsafe, out).written == ()
        found = content(target)
        assert found in (old, new), f"killed at operation {count}"
        met.add("old" if found == old else "new")
        assert not sibling(target).exists()
        assert [p.name for p in out.iterdir()] == ["heron"]
        if not died:
            return count, met
        api.build(after, out, next_only)
        assert content(target) == new, "the build that follows a kill ends where one without a kill does"
        count += 1


def test_a_build_killed_at_any_operation_leaves_the_old_folder_or_the_new_one(
    variants: tuple[Loaded, Loaded], tmp_path: Path, once: None
) -> None:
    count, met = kept_or_new(variants, tmp_path, api.KINDS, ("bom", "wiring", "findings"))
    assert count > 10
    assert met == {"old", "new"}


def test_a_first_build_killed_at_any_operation_leaves_nothing_or_all(tmp_path: Path, once: None) -> None:
    (variant,) = api.load(TEMPLATES / "heron.toml")
    whole = content(OUT / "heron")
    api.build(variant, tmp_path / "first")
    count, met = 0, set()
    while True:
        out = tmp_path / f"{count}"
        died = build_and_die(variant, out, count)
        folder.recover(out / "heron")
        found = content(out / "heron")
        assert found in ({}, whole), f"killed at operation {count}"
        met.add(bool(found))
        if not died:
            break
        count += 1
    assert count > 2 * len(whole)
    assert met == {True, False}


def test_every_file_of_a_folder_is_of_one_kind() -> None:
    for name in sorted(p.name for p in OUT.iterdir()):
        files = [f.relative_to(OUT / name).as_posix() for f in (OUT / name).rglob("*") if f.is_file()]
        kinds = {file: results.kind_of(file, name) for file in files}
        assert kinds.pop("manifest.json") == ""
        assert set(kinds.values()) <= set(api.KINDS) and "" not in kinds.values(), name
        for file, kind in kinds.items():
            others = [k for k, (called, _) in results.ROWS.items() if re.fullmatch(called.format(name), file)]
            assert others == [kind], file
    assert set(results.ROWS) == set(api.KINDS)


@pytest.mark.parametrize("kind", api.KINDS)
def test_a_kind_makes_the_files_that_it_is_known_by(kind: str, variants: tuple[Loaded, Loaded], tmp_path: Path) -> None:
    built = api.build(variants[0], tmp_path, (kind,))
    files = set(built.written) - {"manifest.json"}
    assert files and {results.kind_of(file, "heron") for file in files} == {kind}


def test_what_an_unchanged_variant_no_longer_makes_is_taken_away(
    variants: tuple[Loaded, Loaded], tmp_path: Path
) -> None:
    """As after a change in the generator: a drawing of fewer sheets."""
    target, once_made = tmp_path / "heron", "heron.7.svg"
    api.build(variants[0], tmp_path, ("bom", "svg"))
    (target / once_made).write_text("<svg/>")
    listing = json.loads((target / "manifest.json").read_text(encoding="utf-8"))
    listing["files"][once_made] = digest(b"<svg/>")
    (target / "manifest.json").write_text(json.dumps(listing), encoding="utf-8")
    api.build(variants[0], tmp_path, ("bom",))
    assert (target / once_made).exists(), "a kind that is not asked for stays as it is"
    api.build(variants[0], tmp_path, ("svg",))
    assert not (target / once_made).exists()
    assert (target / "heron.bom.csv").exists()


class TestAnswers:
    """Samples, explanations and decks of a board, and of one that cannot be made."""

    def refused(self, tmp_path: Path) -> api.Design:
        return api.design(loaded(tmp_path / "mine.toml", ('"isolated"', '"live"')).variant)

    def good(self, tmp_path: Path) -> api.Design:
        return api.design(loaded(tmp_path / "mine.toml").variant, (6.4e6,))

    def test_every_judged_figure_is_sampled_and_those_that_spread_besides(self, tmp_path: Path) -> None:
        done = self.good(tmp_path)
        found = api.sample(done, 500)
        judged = [f for f in done.findings if f.figure]
        assert [s.code for s in found][: len(judged)] == [f.code for f in judged]
        assert {"brightness", "pixel/6.4MHz"} <= {s.key for s in found if not s.code}
        assert all(s.boards == 500 and s.without_error <= 500 for s in found)

    def test_every_code_and_every_figure_can_be_explained(self, tmp_path: Path) -> None:
        done = self.good(tmp_path)
        for name, about in {**api.codes(), **api.FIGURES}.items():
            assert api.explain(done, name).startswith(f"{name}  {about}")
        used = {f.code for f in done.findings}
        assert used <= set(api.codes())
        with pytest.raises(KeyError, match="F999"):
            api.explain(done, "F999")

    def test_a_board_that_cannot_be_made_says_so(self, tmp_path: Path) -> None:
        done = self.refused(tmp_path)
        assert done.unsafe and done.figures == ()
        assert api.sample(done, 500) == ()
        assert "error: set.signal_ground" in api.explain(done, "F101")
        with pytest.raises(ValueError, match="no deck of a board that cannot be made"):
            api.deck(done, "native")
