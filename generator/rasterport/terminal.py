"""What a user sees: text to stdout and stderr, in characters that they can show, whoever stops reading."""

from __future__ import annotations

import os
import re
import sys
from typing import Any

unwritten: list[OSError] = []
"""Why stdout took no more, if it did not."""


def say(text: str = "") -> None:
    """One line or paragraph to stdout, in characters that it can show."""
    _write(sys.stdout, text)


def complain(text: str) -> None:
    """One line or paragraph to stderr, in characters that it can show."""
    _write(sys.stderr, text)


OBEYED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")
"""Characters that a terminal obeys instead of showing them: control characters, and what turns the line round."""


def _write(stream: Any, text: str) -> None:
    text = OBEYED.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), text)
    encoding = stream.encoding or "ascii"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        from rasterport.units import plain

        text = plain(text).encode(encoding, "backslashreplace").decode(encoding)
    try:
        stream.write(text + "\n")
    except OSError as fault:
        lost(stream, fault)


def lost(stream: Any, fault: OSError) -> None:
    """A stream takes no more: what it still holds, and what will be written to it, goes nowhere.

    The work goes on, so that a reader who stops reading cuts no build short.
    """
    if stream is sys.stdout:
        unwritten.append(fault)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
