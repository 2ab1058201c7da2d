"""Reading variant files.  Every fault of every file is gathered in one run, with file, line and key path.

A file is judged in steps, each of which assumes that the ones before have passed: bytes, text, size and
nesting, TOML, models, and at last the names of all files against each other.
"""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from os import PathLike, fsdecode, fstat
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from rasterport.errors import Fault, VariantError
from rasterport.variant.messages import escaped, key_path, missing_tables, not_toml, shown, words
from rasterport.variant.models import Variant
from rasterport.variant.resolve import LIKE, Resolved, Source, fault_of_like, likeness, resolved
from rasterport.variant.scan import scan

LARGEST = 256_000
MOST_FAULTS = 50
LONGEST_PATH = 4096

_BARE_VALUE = re.compile(r"""^\s*([A-Za-z0-9_."'-]+)\s*=\s*([^\s"'\[{#][^"'\[{#]*?)\s*(?:#.*)?$""")

_QUANTITY = re.compile(r"(?![0-9.]+$)[0-9]+([.,][0-9]+)?\s*\S*")
_WORD = re.compile(r"(?!(?:true|false|nan|inf)$)[A-Za-z][A-Za-z0-9/-]*")


@dataclass(frozen=True, slots=True)
class Loaded:
    """A variant, the file it came from as the user named it, and the digest of that file.

    The digest is SHA-256 in hexadecimal over the bytes without byte order mark and with newlines as line
    ends, so that it does not depend on the editor or on how a repository was checked out.  `like` is the file that it
    is like, as written there, with its digest.  `resolved` has where each key comes from.
    """

    variant: Variant
    file: str
    digest: str
    like: tuple[str, str] | None = None
    resolved: Resolved | None = None


def load(path: str | PathLike[str]) -> Loaded:
    """The variant in a file.  Raises VariantError with every fault of the file."""
    return load_all([path])[0]


def load_all(paths: Iterable[str | PathLike[str]]) -> tuple[Loaded, ...]:
    """The variants in several files, in the order given.

    Raises VariantError with the faults of all files: the first 50, and one more that says how many there
    are where there are more.  No file is taken when one is wrong.
    """
    loaded: list[Loaded] = []
    named: dict[str, tuple[str, int, Path]] = {}
    faults: list[Fault] = []
    for path in paths:
        file = fsdecode(path)
        try:
            one, line = _load_one(file)
        except VariantError as error:
            faults += error.faults
            continue
        faults += _same_name(one, line, named)
        loaded.append(one)
    if faults:
        raise VariantError(_at_most(faults))
    return tuple(loaded)


def _same_name(one: Loaded, line: int, named: dict[str, tuple[str, int, Path]]) -> Iterator[Fault]:
    file, name = escaped(one.file, LONGEST_PATH), one.variant.variant.name
    if name in named:
        other, other_line, same = named[name]
        if same == _identity(one.file):
            yield Fault(file, 0, "", "the same file twice", "each file must be given once")
        else:
            yield Fault(file, line, "variant.name", f'"{name}"', f"must differ from the name in {other}:{other_line}")
    named.setdefault(name, (file, line, _identity(one.file)))


def _identity(file: str) -> Path:
    """Where a file lies, behind every link."""
    return Path(file).resolve()


def _at_most(faults: list[Fault]) -> tuple[Fault, ...]:
    if len(faults) <= MOST_FAULTS:
        return tuple(faults)
    more = len(faults) - MOST_FAULTS
    return (*faults[:MOST_FAULTS], Fault("in all", 0, "", f"{len(faults)} faults", f"{more} more are not shown"))


def _load_one(file: str) -> tuple[Loaded, int]:
    """The variant in one file and the line of its name.  Raises VariantError."""
    own, digest = _source(file)
    fault = fault_of_like(own)
    if fault is not None:
        raise VariantError((fault,))
    name, base, like = likeness(own), None, None
    if name is not None:
        base, like_digest = _base(own, file, name)
        like = (name, like_digest)
    found, faults = resolved(own, base)
    try:
        variant = Variant.model_validate(found.table)
    except ValidationError as error:
        raise VariantError((*faults, *_faults_of(error, found))) from None
    if faults:
        raise VariantError(faults)
    return Loaded(variant, file, digest, like, found), found.place(("variant", "name"))[1]


def _source(file: str) -> tuple[Source, str]:
    """A file as a table with the lines of its keys, and its digest.  Raises VariantError."""
    named = escaped(file, LONGEST_PATH)
    text = _text_of(named, _bytes_of(file, named))
    found = scan(text)
    if found.refusal:
        raise _fault(named, found.refusal_line, "", found.refusal)
    return Source(named, _parsed(named, text), found), sha256(text.encode("utf-8")).hexdigest()


def _base(own: Source, file: str, name: str) -> tuple[Source, str]:
    """The file that another is like, and its digest.  Raises VariantError, also where it is like a third in turn."""
    folder = Path(file).parent
    path = folder.joinpath(*name.split("/"))
    line = own.scan.line_of(LIKE)

    def wrong(found: str, allowed: str) -> VariantError:
        return VariantError((Fault(own.file, line, "variant.like", found, allowed),))

    try:
        real, home = path.resolve(), folder.resolve()
    except OSError as error:
        raise wrong(shown(name), f"must name a file that can be read: {error.strerror}") from None
    if not real.is_file():
        raise wrong(shown(name), "must name a variant file in the same folder or below; there is none of this name")
    if home not in real.parents:
        raise wrong(shown(name), "must lie in the same folder as this file or below, also behind a link")
    if real == Path(file).resolve():
        raise wrong(shown(name), "must name another file than this one")
    base, digest = _source(str(path))
    further = likeness(base)
    if further is not None:
        raise wrong(shown(name), f"must name a file that stands by itself; it is like {shown(further)} in turn")
    return base, digest


def _fault(file: str, line: int, found: str, allowed: str) -> VariantError:
    return VariantError((Fault(file, line, "", found, allowed),))


def _bytes_of(file: str, named: str) -> bytes:
    """Content of the file, never more than is needed to know that it is too large."""
    path = Path(file)
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise _fault(named, 0, "a folder", "must be a variant file")
        if not stat.S_ISREG(mode):
            raise _fault(named, 0, "a device or pipe", "must be a plain file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
            size = max(fstat(stream.fileno()).st_size, len(data))
    except FileNotFoundError:
        raise _fault(named, 0, "no such file", "must be a variant file; `rasterport new` writes one") from None
    except PermissionError:
        raise _fault(named, 0, "a file that may not be read", "must be readable") from None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or error
        raise _fault(named, 0, escaped(str(reason)), "must be a file that can be read") from None
    if len(data) > LARGEST:
        raise _fault(named, 0, f"{size // 1000} kB", f"must be at most {LARGEST // 1000} kB")
    return data


def _text_of(file: str, data: bytes) -> str:
    """The text without byte order mark, with newlines as line ends."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise _fault(file, 1, "UTF-16", "must be UTF-8: save it with that encoding")
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _fault(file, line, f"the byte {data[error.start]:#04x}", "must be text in UTF-8") from None
    if not text.strip():
        raise _fault(file, 1, "an empty file", f"must have the tables {missing_tables()}")
    return text


def _parsed(file: str, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, column, reason = _place(str(error), text)
        what, instead = not_toml(reason)
        raise _fault(file, line, f"{what} at column {column}", f"{instead}{_hint(text, line)}") from None
    except (RecursionError, ValueError):  # the scan refuses what leads here; this is the second lock
        raise _fault(file, 0, "what the parser cannot take in", "must be TOML") from None


def _place(message: str, text: str) -> tuple[int, int, str]:
    """Line, column and reason of a parser's message, which in Python 3.11 carries its place only in words."""
    reason, _, place = message.rpartition(" (at ")
    numbers = re.fullmatch(r"line (\d+), column (\d+)\)", place)
    if numbers:
        return int(numbers[1]), int(numbers[2]), reason
    lines = text.split("\n")
    return len(lines), len(lines[-1]) + 1, reason


def _hint(text: str, line: int) -> str:
    """Advice on quotes where the line, or the one before it, has a bare value that wants them."""
    rows = text.split("\n")
    for row in rows[max(0, line - 2) : line][::-1]:
        bare = _BARE_VALUE.match(row)
        value = bare[2] if bare else ""
        if bare and _QUANTITY.fullmatch(value):
            value = value.replace(",", ".")
        elif not _WORD.fullmatch(value):
            continue
        return f': put quotes around the value, {escaped(bare[1])} = "{escaped(value)}"' if bare else ""
    return ""


def _faults_of(error: ValidationError, found: Resolved) -> list[Fault]:
    faults = []
    for one in error.errors(include_url=False):
        location = one["loc"]
        what, allowed = words(one["type"], location, one["input"], one.get("ctx", {}))
        file, line = found.place(location)
        faults.append(Fault(file, line, key_path(location), what, allowed))
    own = found.sources[0].file
    return sorted(faults, key=lambda fault: (fault.file != own, fault.line, fault.key))
