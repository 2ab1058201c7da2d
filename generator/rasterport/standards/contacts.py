"""Records of socket wirings and the reader of their aligned tables.

A table stands as one aligned string beside its source, so that it can be laid next to the drawing.
Its columns are parted by two or more spaces: number, name, function, note; `-` stands for nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

Function = Literal[
    "red", "green", "blue", "sync", "audio-left", "audio-right", "status-8", "status-16", "status-11",
    "hsync", "vsync", "ground", "shell", "unused",
]  # fmt: skip

FUNCTIONS: tuple[str, ...] = get_args(Function)


@dataclass(frozen=True, slots=True)
class Contact:
    """One contact of a socket, seen from the set.

    `number` is the pad number, `name` what the document calls it, `function` what the board does with
    it, `jack` the jack it belongs to where a wiring consists of separate jacks.
    """

    number: str
    name: str
    function: Function
    note: str
    jack: str = ""

    @property
    def words(self) -> str:
        """What it is called: "contact 4", "the shell", "red jack centre"."""
        if self.jack:
            return f"{self.jack} jack {self.name}"
        return "the shell" if self.number == SHELL else f"contact {self.number}"


SHELL = "0"
"""Pad number of a shell that bears none on the part."""


@dataclass(frozen=True, slots=True)
class SocketWiring:
    """How the contacts of one kind of socket are used.

    `jack_of` is the family of the single jacks ("bnc", "phono") or "" where one shell holds everything.
    """

    key: str
    title: str
    document: str
    contacts: tuple[Contact, ...]
    confidence: str
    caution: str = ""
    jack_of: str = ""

    @property
    def jacks(self) -> tuple[str, ...]:
        """Names of the separate jacks in the order of the table; one empty name for a single shell."""
        return tuple(dict.fromkeys(contact.jack for contact in self.contacts))

    @property
    def functions(self) -> tuple[str, ...]:
        """Every function that occurs, in the order of the table."""
        return tuple(dict.fromkeys(contact.function for contact in self.contacts))

    def of_jack(self, jack: str) -> tuple[Contact, ...]:
        """Contacts of one jack.  Raises KeyError with the jack's name when the wiring has none."""
        found = tuple(contact for contact in self.contacts if contact.jack == jack)
        if not found:
            raise KeyError(jack)
        return found

    def with_function(self, function: str) -> tuple[Contact, ...]:
        """Contacts that carry this function, in the order of the table; empty where none does."""
        return tuple(contact for contact in self.contacts if contact.function == function)


def read_table(table: str, jack: str = "") -> tuple[Contact, ...]:
    """Contacts of an aligned table.  Raises ValueError with the line that does not fit."""
    contacts = []
    for line in table.strip().splitlines():
        cells = re.split(r"\s{2,}", line.strip())
        if len(cells) != 4 or cells[2] not in FUNCTIONS:
            raise ValueError(f"a line must hold number, name, function and note, found {line.strip()!r}")
        number, name, function, note = ("" if cell == "-" else cell for cell in cells)
        contacts.append(Contact(number, name, _function(function), note, jack))
    numbers = [contact.number for contact in contacts]
    names = [contact.name for contact in contacts]
    if len(set(numbers)) != len(numbers) or len(set(names)) != len(names):
        raise ValueError("numbers and names of one table must differ, found one twice")
    return tuple(contacts)


def _function(word: str) -> Function:
    return next(known for known in get_args(Function) if known == word)
