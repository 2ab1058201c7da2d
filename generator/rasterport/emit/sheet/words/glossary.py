"""Every word of this project that has one meaning of its own, and the first place where a page uses it.

A word is found by a pattern, but for the other things that the same letters may mean: "set the source to" is no
television, "line rate" no line of the board, "volume control" chooses nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rasterport.emit.sheet.words.kinds import Term

TABLE = """
    set         the television that the board goes into
                | \\b[Ss]ets?\\b
                | [Ss]et (?:up|to|for|the current|a bench|the source|brightness|the three|its|off)\\b
    chassis     the main board of the set
                | \\bchassis\\b
    variant     the text file that describes one set and one board
                | \\bvariants?\\b
    input       one rear socket with its signals; input 1 has the highest priority
                | \\b[Ii]nputs?\\b
                | (?:own|line) inputs?|[Ii]nputs? (?:switch|end|pin|impedance|current|of its own)\\b
    socket      the connector of an input
                | \\bsockets?\\b
                | (?:S-video|AV|mains|set's own) sockets?
    contact     one of the pins of a socket
                | \\b[Cc]ontacts?\\b
                | (?:switch|relay|jack) contacts?|[Cc]ontacts? (?:in the S-video|of K)
    landing     the point in the chassis where a line of the board is soldered
                | \\blandings?\\b
    insertion   how RGB enters the set: at spare pins, or at pins that its own display shares
                | \\binsertion\\b
                | insertion loss
    blanking    the pin that switches the jungle IC to RGB
                | \\b[Bb]lanking\\b
                | (?:[Ll]ine|[Ff]ield) blanking
    native      the set as it behaves by itself, with the board inactive
                | \\b[Nn]ative\\b
    path        what carries the signals through the board: nothing, a switch, relays or analog switches
                | \\bpaths?\\b
                | (?:return|current|ground|leakage) paths?
    control     what chooses between the inputs: a switch on the panel, or a status contact
                | \\bcontrol\\b
                | (?:phase|volume|tone|brightness|contrast|hue|position|hold|without) control|control lines?
    line        one signal through the board: red, green, blue, sync, left or right
                | \\blines?\\b
                | (?:over a|within a|gate|scanning|active|each|straight|white|slanting) lines?
                | [Ll]ines? (?:rates?|periods?|standards?|pulse|output|inputs?|sync|blanking|of the display)\\b
    finding     one numbered result of a check
                | \\bfindings?\\b
    corner      the worst combination of tolerances
                | \\bcorners?\\b
                | corner frequency|(?:lower|upper|low|a) corner
    state       one position of every switch, one level on every status contact, and the rail on or off
                | \\bstates?\\b
    role        what a part does on the board, as a path of names
                | \\broles?\\b
    status contact  a contact on which the source says that it is on, or that RGB is present
                | \\b[Ss]tatus contacts?\\b
    jungle IC   the chip of the set that makes picture signals out of what it receives
                | \\bjungle(?: IC)?\\b
    rail        the supply of the set that feeds the board
                | \\brail\\b
    termination the resistor of 75 ohm at the end of a video lead
                | \\b[Tt]erminations?\\b
    sync        the pulses that hold the picture still
                | \\b[Ss]ync\\b
    clamp       what sets black anew in every scanning line
                | \\bclamps?\\b
    luminance delay  the time by which the set holds brightness back to meet its colours
                | \\bluminance delay\\b
    gate line   a line of the set that says whether it shows the right input of its own
                | \\bgate line\\b
    full field  a picture of one colour all over
                | \\bfull field\\b
    grey scale  a picture of steps from black to white
                | \\bgrey scale\\b
    bars        upright stripes of white, the colours and black; of 75 % where they are not at full height
                | \\b[Bb]ars of (?:75 %|full colour)
    crosshatch  a picture of thin white lines that cross
                | \\bcrosshatch\\b
"""
"""A word and its meaning; below, what finds it; below that, where the same letters mean something else."""

OF_THE_HOUSE = 17
"""So many words at the head of the table are the project's own; the others are of the trade."""


@dataclass(frozen=True, slots=True)
class Use:
    """The first use of a word: in which text of a page, and from where to where."""

    text: int
    start: int
    end: int
    term: Term


def _read(table: str) -> Iterator[tuple[Term, re.Pattern[str], re.Pattern[str] | None]]:
    rows = re.split(r"\n(?=    \S)", table.strip("\n"))
    for row in rows:
        first, pattern, *others = (part.strip() for part in row.split("\n                | "))
        word, means = re.split(r"\s{2,}", first, maxsplit=1) if "  " in first else first.split(" ", 1)
        # A possessive belongs to the word: its meaning stands behind both.
        yield (
            Term(word, means),
            re.compile(f"(?:{pattern})(?:'s\\b)?"),
            re.compile("|".join(others)) if others else None,
        )


_TERMS = tuple(_read(TABLE))
TERMS = tuple(term for term, _, _ in _TERMS)
"""Every word with its meaning, the project's own first."""


def pattern_of(word: str) -> re.Pattern[str]:
    """What finds a word of the table in a text.  Raises KeyError for another word."""
    for term, pattern, _ in _TERMS:
        if term.word == word:
            return pattern
    raise KeyError(word)


def first_uses(texts: Sequence[str]) -> tuple[Use, ...]:
    """Each word that the texts use, where they use it first, in the order of the texts.

    Two words may begin at one place ("status contact" and "contact"): the longer one is marked there, the shorter one
    at its next place, or nowhere where it has none.
    """
    found: list[Use] = []
    folded = [text.casefold() for text in texts]
    taken: set[tuple[int, int]] = set()
    for row in sorted(_TERMS, key=lambda row: -len(row[0].word)):
        for use in _uses(texts, folded, *row):
            if not any((use.text, at) in taken for at in range(use.start, use.end)):
                found.append(use)
                taken |= {(use.text, at) for at in range(use.start, use.end)}
                break
    return tuple(sorted(found, key=lambda use: (use.text, use.start)))


def _uses(
    texts: Sequence[str],
    folded: Sequence[str],
    term: Term,
    pattern: re.Pattern[str],
    otherwise: re.Pattern[str] | None,
) -> Iterator[Use]:
    begins = term.word.split()[0].casefold()
    for n, text in enumerate(texts):
        if begins not in folded[n]:  # most texts have no use of most words
            continue
        others = [m.span() for m in otherwise.finditer(text)] if otherwise else []
        for match in pattern.finditer(text):
            if not any(start <= match.start() < end for start, end in others):
                yield Use(n, match.start(), match.end(), term)


def glossary(texts: Sequence[str]) -> tuple[Term, ...]:
    """The words that the texts use, in the order of the alphabet."""
    return tuple(sorted((use.term for use in first_uses(texts)), key=lambda term: term.word.casefold()))
