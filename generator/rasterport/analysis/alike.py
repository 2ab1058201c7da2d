"""What behaves alike under one name: subjects that share their states, inputs in a row."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from rasterport.records import COLOURS

Pair = tuple[str, str]
"""Subject and state."""
IN_A_ROW = 3
"""So many inputs in a row are written from the first to the last."""
_INPUT = re.compile(r"input-([1-8])(.*)")


def together(pairs: Iterable[Pair]) -> list[Pair]:
    """Subjects and states in words, subjects with the same states joined: "red, green, blue", "input-1 to input-4"."""
    states: dict[str, list[str]] = {}
    for subject, state in dict.fromkeys(pairs):
        states.setdefault(subject, []).append(state)
    joined: dict[tuple[str, ...], list[str]] = {}
    for subject, mine in states.items():
        joined.setdefault(tuple(mine), []).append(subject)
    return [(", ".join(sorted(subjects, key=_place)), in_a_row(mine)) for mine, subjects in joined.items()]


def _place(subject: str) -> int:
    return COLOURS.index(subject) if subject in COLOURS else len(COLOURS)


def in_a_row(states: Sequence[str]) -> str:
    """States in words; inputs in a row, and whatever is said of them, from the first to the last."""
    told: list[str] = []
    run: list[str] = []
    for state in (*states, ""):
        if run and _next(run[-1], state):
            run.append(state)
            continue
        told += [f"{run[0].split()[0]} to {run[-1]}"] if len(run) >= IN_A_ROW else run
        run = [state] if state else []
    return ", ".join(told)


def _next(before: str, after: str) -> bool:
    a, b = _INPUT.fullmatch(before), _INPUT.fullmatch(after)
    return a is not None and b is not None and int(b[1]) == int(a[1]) + 1 and a[2] == b[2]
