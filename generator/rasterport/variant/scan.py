"""A light pass over a variant file: which line each key is on, and whether it is safe to hand to the parser.

The standard library's parser tells no line of a key, recurses once a bracket, and turns an endless run of
digits into a number.  This pass is one loop without recursion over the tokens of TOML; strings and comments
are tokens, so nothing in them counts.  It never judges what the file says; text that is not TOML ends the
map early and is left to the parser.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

DEEPEST = 8
LONGEST_NUMBER = 40

Path = tuple[str | int, ...]

_TOKEN = re.compile(
    r'''(?P<skip>[ \t]+|\#[^\n]*)
    |(?P<newline>\n)
    |(?P<string>"""(?:[^"\\]|\\.|"{1,2}(?!"))*+"""(?:"{0,2})
        |\'\'\'(?:[^']|'{1,2}(?!'))*+\'\'\'(?:'{0,2})
        |"(?:[^"\\\n]|\\[^\n])*+"
        |'[^'\n]*+')
    |(?P<mark>[][{},=])
    |(?P<word>[^\s\[\]{},="'\#]+)''',
    re.VERBOSE | re.DOTALL,
)
_BASED = re.compile(r"[-+]?0[xXoObB]")
_KEY_PART = re.compile(r"""[ \t]*(?:"((?:[^"\\\n]|\\.)*)"|'([^'\n]*)'|([A-Za-z0-9_-]+))[ \t]*(\.|$)""")


@dataclass(slots=True)
class Scan:
    """What the pass found.  `refusal` is "" or what makes the file unfit for the parser, at `refusal_line`."""

    lines: dict[Path, int] = field(default_factory=dict)
    refusal: str = ""
    refusal_line: int = 0

    def line_of(self, path: Path) -> int:
        """Line of a key, else of the nearest table around it, else 1."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


@dataclass(slots=True)
class _Frame:
    """One open bracket: the path of its value, and the index of the element or None in an inline table."""

    path: Path
    index: int | None


def scan(text: str) -> Scan:
    """The line of every key of a TOML text whose line ends are newlines, and the reason to refuse it, if any."""
    found = Scan()
    walker = _Walker(text, found)
    for kind, token, start, line in _tokens(text):
        walker.take(kind, token, start, line)
        if found.refusal:
            found.refusal_line = line
            break
    return found


def _tokens(text: str) -> Iterator[tuple[str, str, int, int]]:
    """Kind, text, start and line of each token but blanks and comments, as far as the text can be read."""
    at, line = 0, 1
    while at < len(text) and (match := _TOKEN.match(text, at)):
        kind = match.lastgroup or ""
        if kind != "skip":
            yield kind, match[0], at, line
        line += match[0].count("\n")
        at = match.end()


class _Walker:
    """Follows the statements of a file token by token."""

    def __init__(self, text: str, found: Scan) -> None:
        self.text, self.found = text, found
        self.table: Path = ()
        self.counts: dict[Path, int] = {}
        self.frames: list[_Frame] = []
        self.header = ""  # brackets of the header that is being read
        self.key_start: int | None = 0  # where the key that is being read begins; None within a value
        self.value: Path = ()
        self.digits = 0

    def take(self, kind: str, token: str, start: int, line: int) -> None:
        """The next token.  Sets `found.refusal` where the file must not reach the parser."""
        if kind == "newline":
            if not self.frames:
                self.key_start, self.header = start + 1, ""
            self.digits = 0
        elif self.key_start is not None:
            self._in_key(token if kind == "mark" else "", self.key_start, start, line)
        elif kind == "word":
            self.digits += _digits(token)
            if self.digits > LONGEST_NUMBER:
                self.found.refusal = f"a number must have at most {LONGEST_NUMBER} digits"
        elif kind == "mark":
            self.digits = 0
            self._in_value(token, start, line)

    def _in_key(self, mark: str, begin: int, start: int, line: int) -> None:
        if mark == "=":
            base = self.frames[-1].path if self.frames else self.table
            self.value = self._place(base, _parts(self.text[begin:start]), line)
            self.key_start = None
        elif mark == "[" and not self.frames:
            self.header += "["
            self.key_start = start + 1
        elif mark == "]" and self.header:
            self._open_table(_parts(self.text[begin:start]), line)
            self.header, self.key_start = "", None
        elif mark == "}" and self.frames:
            self._close()
        elif mark == ",":
            self.key_start = start + 1

    def _in_value(self, mark: str, start: int, line: int) -> None:
        if mark in "[{":
            self.found.lines.setdefault(self.value, line)
        if mark == "[":
            self._open(_Frame(self.value, 0), start)
        elif mark == "{":
            self._open(_Frame(self.value, None), start)
        elif mark in "]}":
            self._close()
        elif mark == "," and self.frames:
            frame = self.frames[-1]
            if frame.index is None:
                self.key_start = start + 1
            else:
                frame.index += 1
                self.value = (*frame.path, frame.index)

    def _open(self, frame: _Frame, start: int) -> None:
        self.frames.append(frame)
        self.key_start = start + 1 if frame.index is None else None
        if frame.index is not None:
            self.value = (*frame.path, 0)
        self._shallow(len(frame.path) + 1)

    def _close(self) -> None:
        if self.frames:
            self.frames.pop()
        self.key_start = None

    def _open_table(self, parts: tuple[str, ...], line: int) -> None:
        """Take in [a.b] or [[a.b]]; a part that names a list of tables means its last one."""
        path: Path = ()
        if not self._shallow(len(parts)):
            return
        for n, part in enumerate(parts, 1):
            path = (*path, part)
            self.found.lines.setdefault(path, line)
            if self.header == "[[" and n == len(parts):
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
                self.found.lines.setdefault(path, line)
        self.table = path

    def _place(self, base: Path, parts: tuple[str, ...], line: int) -> Path:
        path = base
        if not self._shallow(len(base) + len(parts)):
            return path
        for part in parts:
            path = (*path, part)
            self.found.lines.setdefault(path, line)
        return path

    def _shallow(self, depth: int) -> bool:
        """Whether the depth is allowed; asked before a path is built, whose cost grows with its square."""
        if depth > DEEPEST:
            self.found.refusal = f"tables and lists must be nested at most {DEEPEST} deep"
        return depth <= DEEPEST


def _digits(word: str) -> int:
    """Digits of a number as it is written; in hexadecimal, octal and binary every letter after the base is one."""
    based = _BASED.match(word)
    if based:
        return sum(c.isalnum() for c in word[based.end() :])
    return sum(c.isdigit() for c in word)


def _parts(text: str) -> tuple[str, ...]:
    """Parts of a dotted key; () when the text is no key."""
    parts: list[str] = []
    at = 0
    while match := _KEY_PART.match(text, at):
        parts.append(next(part for part in match.groups()[:3] if part is not None))
        at = match.end()
        if not match[4]:
            return tuple(parts)
    return ()
