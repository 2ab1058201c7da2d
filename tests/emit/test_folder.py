"""Writing a folder: killed at any operation, edited by hand, not writable."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from rasterport.emit import folder
from rasterport.emit.folder import Disk, recover, sibling, write_folder
from rasterport.emit.manifest import NAME, digest
from rasterport.errors import OutputError


class Dying(Disk):
    """Ends the process, with no clean-up, in place of its n-th operation or in the middle of it."""

    def __init__(self, after: int, halfway: bool) -> None:
        self.left, self.halfway = after, halfway

    def _count(self, path: Path | None = None, data: bytes = b"") -> None:
        if self.left == 0:
            if self.halfway and path is not None:
                path.write_bytes(data[: len(data) // 2])
            os._exit(9)
        self.left -= 1

    def make_folder(self, path: Path) -> None:
        self._count()
        super().make_folder(path)

    def write(self, path: Path, data: bytes) -> None:
        self._count(path, data)
        super().write(path, data)

    def move(self, source: Path, target: Path) -> None:
        self._count()
        super().move(source, target)

    def remove(self, path: Path) -> None:
        self._count()
        super().remove(path)

    def remove_tree(self, path: Path) -> None:
        self._count()
        super().remove_tree(path)


def result(version: int, names: tuple[str, ...] = ("a.net", "sub/b.txt")) -> dict[str, bytes]:
    """A made-up result with its manifest."""
    files = {name: f"{name} of version {version}\n".encode() * 50 for name in names}
    listed = {"files": {name: digest(data) for name, data in files.items()}}
    return {**files, NAME: json.dumps(listed).encode()}


def content(target: Path) -> dict[str, bytes]:
    return {str(p.relative_to(target)): p.read_bytes() for p in sorted(target.rglob("*")) if p.is_file()}


def die(target: Path, after: int, halfway: bool) -> bool:
    """Write version 2 in a child that dies; whether it died rather than finished."""
    child = os.fork()
    if child == 0:
        write_folder(target, result(2, ("a.net", "c.csv")), ("sub/b.txt",), disk=Dying(after, halfway))
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.parametrize("halfway", [False, True])
def test_a_kill_at_every_operation_leaves_the_old_result_or_the_new_one(tmp_path: Path, halfway: bool) -> None:
    after, seen = 0, set()
    while True:
        target = tmp_path / f"{after}" / "board"
        write_folder(target, result(1))
        died = die(target, after, halfway)
        recover(target)
        assert content(target) in (result(1), result(2, ("a.net", "c.csv"))), f"killed at operation {after}"
        seen.add(content(target) == result(1))
        assert not sibling(target).exists()
        if not died:
            break
        after += 1
    assert after > 8, "the write must consist of several operations"
    assert seen == {True, False}, "early kills leave the old result, late ones the new one"


def test_a_second_kill_while_recovering_is_recovered_too(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    for after in range(20):
        if not die(target, after, False):
            break
        child = os.fork()
        if child == 0:
            recover(target, Dying(1, False))
            os._exit(0)
        os.waitpid(child, 0)
    recover(target)
    assert content(target) == result(2, ("a.net", "c.csv"))


def test_a_file_edited_by_hand_stops_the_build_and_is_named(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    (target / "a.net").write_text("mine")
    before = content(target)
    with pytest.raises(OutputError, match=r"edited by hand.*a\.net"):
        write_folder(target, result(2))
    assert content(target) == before
    write_folder(target, result(2), overwrite=True)
    assert content(target) == result(2)


def test_a_foreign_file_in_the_way_is_not_lost(tmp_path: Path) -> None:
    target = tmp_path / "board"
    target.mkdir()
    (target / "a.net").write_text("mine")
    (target / "notes.txt").write_text("also mine")
    with pytest.raises(
        OutputError, match=r"nothing written; there already and written by no build: a\.net\.  Move them"
    ):
        write_folder(target, result(1))
    write_folder(target, result(1), overwrite=True)
    assert (target / "notes.txt").read_text() == "also mine"


def test_a_folder_in_the_way_of_a_file_is_named_before_anything_is_written(tmp_path: Path) -> None:
    target = tmp_path / "board"
    (target / "a.net").mkdir(parents=True)
    with pytest.raises(OutputError, match=r"board: nothing written; must be files and are folders: a\.net\."):
        write_folder(target, result(1), overwrite=True)
    assert [p.name for p in target.iterdir()] == ["a.net"]
    assert not sibling(target).exists()


class Refusing(Disk):
    """Takes no more after so many files were moved, as a folder that may not be written."""

    def __init__(self, moves: int) -> None:
        self.moves = moves

    def move(self, source: Path, target: Path) -> None:
        """Every move but that of the mark counts."""
        if source.suffix != ".part":
            if not self.moves:
                raise PermissionError(13, "Permission denied", str(target))
            self.moves -= 1
        super().move(source, target)


def test_a_build_that_failed_leaves_nothing_unless_its_exchange_has_begun(tmp_path: Path) -> None:
    for moves in (0, 1):
        target = tmp_path / f"board-{moves}"
        write_folder(target, result(1))
        with pytest.raises(OutputError, match="the folder must be writable: Permission denied"):
            write_folder(target, result(2), disk=Refusing(moves))
        assert sibling(target).exists() == bool(moves)
        recover(target)
        assert content(target) == result(1 + moves)
    target = tmp_path / "stale"
    write_folder(target, result(1))
    with pytest.raises(OutputError):
        write_folder(target, result(2, ("a.net", "c.csv")), ("sub/b.txt",), disk=Refusing(0))
    recover(target)
    assert content(target) == result(2, ("a.net", "c.csv")), "a file was gone already"


def test_an_edited_file_that_equals_the_new_one_is_no_edit(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    (target / "a.net").write_bytes(result(2)["a.net"])
    write_folder(target, result(2))
    assert content(target) == result(2)


DAMAGED = ["", "{", "[]", "null", '{"files": []}', '{"files": {"a": 1}}', "[" * 100_000, '{"files": {"../x": "0"}}']


@pytest.mark.parametrize("text", [*DAMAGED, '{"files": {"/x": "0"}}', "\udcff"], ids=lambda t: ascii(t[:12]))
def test_a_damaged_manifest_is_one_plain_message(tmp_path: Path, text: str) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    (target / NAME).write_bytes(text.encode("utf-8", "surrogateescape"))
    before = content(target)
    with pytest.raises(OutputError) as raised:
        write_folder(target, result(2))
    assert str(raised.value) == (
        f"{target / NAME} must be the manifest of an earlier build, it is damaged.  Move {target} away and build again."
    )
    assert content(target) == before


@pytest.mark.parametrize("text", ["", "{", "[]", '{"files": [1], "stale": []}', '{"files": []}'])
def test_a_damaged_plan_is_one_plain_message(tmp_path: Path, text: str) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    sibling(target).mkdir()
    (sibling(target) / folder.READY).write_text(text)
    with pytest.raises(OutputError, match=r"build that was cut short, it is damaged\.  Take .*\.board\.new away"):
        write_folder(target, result(2))
    assert content(target) == result(1)


def test_a_plan_never_reaches_outside_the_folder(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, result(1))
    (tmp_path / "mine.txt").write_text("mine")
    sibling(target).mkdir()
    (sibling(target) / folder.READY).write_text(json.dumps({"files": [], "stale": ["../mine.txt", "a.net"]}))
    recover(target)
    assert (tmp_path / "mine.txt").read_text() == "mine"
    assert not (target / "a.net").exists()


@pytest.mark.parametrize("below", ["", "board", "deep/board"])
def test_a_file_on_the_way_to_the_folder_is_named(tmp_path: Path, below: str) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(OutputError) as raised:
        write_folder(tmp_path / "taken" / below, result(1))
    assert str(raised.value) == f"{tmp_path / 'taken'} must be a folder, found a file"
    assert (tmp_path / "taken").read_text() == "a file"
