"""Writing a folder so that a kill at any moment leaves the old result or the new one.

All files are made in memory, written to a sibling folder, and only when that is complete (its `ready`
mark is the last thing in it) moved over their predecessors, the manifest last.  An exchange that was cut
short is finished by the next start when the mark is there, undone when it is not.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePath

from rasterport.emit.manifest import NAME, digest
from rasterport.errors import OutputError

READY = "ready"


class Disk:
    """The few operations that change a disk, in one place so that a test can stop at each of them."""

    def make_folder(self, path: Path) -> None:
        """Make a folder with its parents; an existing one is fine."""
        path.mkdir(parents=True, exist_ok=True)

    def write(self, path: Path, data: bytes) -> None:
        """Write a new file and push it to the disk."""
        with path.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())

    def move(self, source: Path, target: Path) -> None:
        """Rename over the target in one step."""
        source.replace(target)

    def remove(self, path: Path) -> None:
        """Remove one file; a missing one is fine."""
        path.unlink(missing_ok=True)

    def remove_tree(self, path: Path) -> None:
        """Remove a folder with everything in it."""
        shutil.rmtree(path)


def sibling(target: Path) -> Path:
    """Where the new files of `target` wait."""
    return target.with_name(f".{target.name}.new")


def recover(target: Path, disk: Disk | None = None) -> None:
    """Finish or undo an exchange of `target` that was cut short; nothing to do is fine."""
    disk = disk or Disk()
    waiting = sibling(target)
    if not waiting.is_dir():
        return
    mark = waiting / READY
    if mark.is_file():
        _exchange(target, waiting, _plan(mark), disk)
    disk.remove_tree(waiting)


def _plan(mark: Path) -> dict[str, list[str]]:
    """What an exchange that was cut short has to do.  Raises OutputError when the mark is damaged."""
    try:
        plan = json.loads(mark.read_text(encoding="utf-8"))
        return {kind: [name for name in plan[kind] if _inside(name)] for kind in ("files", "stale")}
    except (ValueError, RecursionError, TypeError, KeyError):
        raise OutputError(
            f"{mark} must be the plan of a build that was cut short, it is damaged.  Take {mark.parent} away."
        ) from None


def _inside(name: str) -> bool:
    """Whether a name in a list stays below the folder."""
    path = PurePath(name)
    return not path.is_absolute() and ".." not in path.parts


def old_manifest(target: Path) -> dict[str, object]:
    """The manifest of an earlier build, empty where there is none.  Raises OutputError when it is damaged."""
    path = target / NAME
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except NotADirectoryError:
        taken = next(p for p in (target, *target.parents) if p.exists())
        raise OutputError(f"{taken} must be a folder, found a file") from None
    except OSError as fault:
        raise OutputError(f"{path} must be readable; found: {fault.strerror}") from None
    except (ValueError, RecursionError):
        content = None
    listed = content.get("files") if isinstance(content, dict) else None
    if not isinstance(listed, dict) or not all(isinstance(d, str) and _inside(n) for n, d in listed.items()):
        raise OutputError(
            f"{path} must be the manifest of an earlier build, it is damaged.  Move {target} away and build again."
        )
    return dict(content)


def files_of(manifest: Mapping[str, object]) -> dict[str, str]:
    """The files of a manifest with their digests; none of an empty one."""
    listed = manifest.get("files")
    return dict(listed) if isinstance(listed, dict) else {}


def edited_by_hand(target: Path, wanted: Mapping[str, bytes]) -> list[str]:
    """Files that this write would destroy although no build wrote them as they are."""
    listed = files_of(old_manifest(target))
    found = []
    for name in sorted({*listed, *(n for n in wanted if n != NAME)}):
        path = target / name
        if not path.is_file():
            continue
        data = path.read_bytes()
        if data != wanted.get(name) and digest(data) != listed.get(name):
            found.append(name)
    return found


def _whose(target: Path, found: Iterable[str]) -> str:
    """Files that are no build's as they are, in words: those of a build that were edited, and those that never were."""
    ours = files_of(old_manifest(target))
    groups = {"edited by hand since the last build": True, "there already and written by no build": False}
    named = {words: [name for name in found if (name in ours) == built] for words, built in groups.items()}
    return "; ".join(f"{words}: {', '.join(names)}" for words, names in named.items() if names)


def _in_the_way(target: Path, wanted: Iterable[str]) -> list[str]:
    """Names of results that are taken by a folder."""
    return sorted(name for name in wanted if (target / name).is_dir())


def write_folder(
    target: Path,
    files: Mapping[str, bytes],
    stale: tuple[str, ...] = (),
    overwrite: bool = False,
    disk: Disk | None = None,
) -> None:
    """Write `files` (name below `target` -> content, the manifest among them) and remove the `stale` ones.

    Raises OutputError, nothing written, when a file was edited by hand and `overwrite` is not given, or when
    the folder cannot be written.
    """
    disk = disk or Disk()
    try:
        recover(target, disk)
        taken = _in_the_way(target, files)
        if taken:
            raise OutputError(f"{target}: nothing written; must be files and are folders: {', '.join(taken)}.")
        edited = edited_by_hand(target, files)
        if edited and not overwrite:
            raise OutputError(
                f"{target}: nothing written; {_whose(target, edited)}.  "
                "Move them away, or build with --overwrite to lose the edits."
            )
        waiting = sibling(target)
        for name, data in files.items():
            path = waiting / name
            disk.make_folder(path.parent)
            disk.write(path, data)
        plan = {"files": [*(n for n in files if n != NAME), NAME], "stale": list(stale)}
        disk.write(waiting / f"{READY}.part", json.dumps(plan).encode())
        disk.move(waiting / f"{READY}.part", waiting / READY)
        _exchange(target, waiting, plan, disk)
        disk.remove_tree(waiting)
    except OSError as fault:
        _give_up(target)
        raise OutputError(f"{target}: the folder must be writable: {fault.strerror or fault}") from fault


def _give_up(target: Path) -> None:
    """Take away what waits of a build that failed; where the exchange has begun, the next start finishes it."""
    waiting = sibling(target)
    mark = waiting / READY
    try:
        plan = _plan(mark) if mark.is_file() else {"files": [], "stale": []}
        begun = not all((waiting / name).is_file() for name in plan["files"])
        begun |= not all((target / name).is_file() for name in plan["stale"])
    except (OSError, OutputError):
        return
    if not begun:
        shutil.rmtree(waiting, ignore_errors=True)


def _exchange(target: Path, waiting: Path, plan: Mapping[str, list[str]], disk: Disk) -> None:
    """Move what still waits; done twice it does no harm."""
    disk.make_folder(target)
    for name in plan["stale"]:
        disk.remove(target / name)
    for name in plan["files"]:
        if (waiting / name).is_file():
            disk.make_folder((target / name).parent)
            disk.move(waiting / name, target / name)
