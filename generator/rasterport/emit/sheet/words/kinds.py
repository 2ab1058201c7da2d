"""What the words of a bench sheet are made of: plain records of text without markup.

Every text is whole sentences or a name.  `key` names a record for good, `refs` are references of the board's own parts
that the record speaks of, `source` says whose rule it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass

UNSAID = ("key", "refs")
"""Fields that are no words of the sheet."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: `title` the order in a few words, `text` why and how."""

    key: str
    title: str
    text: str
    source: str
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to find out on the set before work begins.

    `set_is` says in which condition the set must be.  `red` and `black` are the points for the meter's leads, "" where
    nothing is measured.  `says` is what the variant file says, `otherwise` what to do where the set differs from it.
    `decides` marks what decides whether there may be a board at all.
    """

    key: str
    title: str
    set_is: str
    how: str
    instrument: str
    red: str
    black: str
    says: str
    expect: str
    otherwise: str
    source: str
    decides: bool = False
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Passage:
    """Some sentences under a title."""

    key: str
    title: str
    sentences: tuple[str, ...]
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Behaviour:
    """What the set does in one kind of state: when that is, what is seen and heard, what the board does meanwhile."""

    key: str
    title: str
    when: str
    shows: str
    sounds: str
    board: str
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that can go wrong: how it looks or sounds, why, where to measure, what to expect there, what to do."""

    key: str
    title: str
    looks: str
    cause: str
    where: str
    expect: str
    do: str
    source: str
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the first picture: the picture to feed, what to do, what should be seen, what helps where it is not.

    `adjust` names keys of faults in `see_also`; both may be empty.
    """

    key: str
    title: str
    feed: str
    do: str
    see: str
    adjust: str
    source: str
    see_also: tuple[str, ...] = ()
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Term:
    """A word of this project with its one meaning, in a short sentence."""

    word: str
    means: str


Record = Caution | Check | Passage | Behaviour | Fault | Step | Term


def texts(record: object) -> Iterator[str]:
    """Every text of a record, or of several, in the order of their fields; empty ones are left out."""
    if isinstance(record, str):
        if record:
            yield record
    elif isinstance(record, tuple):
        for member in record:
            yield from texts(member)
    elif is_dataclass(record):
        for field in fields(record):
            if field.name not in (*UNSAID, "see_also"):
                yield from texts(getattr(record, field.name))
