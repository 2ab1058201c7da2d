"""Files that are written once and never over another."""

from __future__ import annotations

from pathlib import Path

from rasterport.errors import OutputError


def refuse_existing(path: Path) -> None:
    """Raises OutputError for a file that is there: what a person names is never written over."""
    if path.exists():
        raise _taken(path)


def _taken(path: Path) -> OutputError:
    return OutputError(f"{path} must not be there yet; it is left as it is")


def write_new(path: Path, text: str) -> None:
    """A file that is not there yet, whole or not at all.  Raises OutputError."""
    try:
        stream = path.open("x", encoding="utf-8", newline="\n")
    except FileExistsError:
        raise _taken(path) from None
    except OSError as error:
        raise OutputError(f"{path} must be a file that can be written; found: {error.strerror}") from None
    try:
        with stream:
            stream.write(text)
    except OSError as error:
        path.unlink(missing_ok=True)
        raise OutputError(f"{path} could not be written to the end: {error.strerror}") from None
