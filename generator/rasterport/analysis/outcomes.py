"""The truth table of a board: its distinct outcomes, each with the condition that leads to it in few words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rasterport.analysis.intent import Proof
from rasterport.analysis.switches import HIGH, LOW, Axis
from rasterport.analysis.walk import distinct
from rasterport.design.landings import is_shared, is_switched
from rasterport.records import COLOURS, Outcome

MOST_TERMS = 6
"""A condition names this many cases at most and counts the others."""

Box = tuple[tuple[int, ...], ...]
"""For each axis the values that it may have."""


def outcomes(proof: Proof) -> tuple[Outcome, ...]:
    """One row an outcome: native first, then input by input, the rail on before off; then as the states come."""
    rows, of_state = _distinct(proof)
    grid = of_state.reshape([len(a.values) for a in proof.walk.axes])
    counts = np.bincount(of_state, minlength=len(rows))
    conditions = conditions_of(grid, proof.walk.axes, len(rows))
    found = [_outcome(proof, row, conditions[n], int(counts[n])) for n, row in enumerate(rows)]
    return tuple(sorted(found, key=lambda o: (o.undecided != "", o.wanted != "native", o.wanted, o.rail != "on")))


def _distinct(proof: Proof) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Distinct outcomes as rows of numbers, and the row of each state.

    A row: level of blanking, wanted, rail, undecided, sources on each landing and on blanking, relays.
    """
    walk = proof.walk
    signals = [walk.reach(walk.place.landings.get(n, "")).view(np.int64) for n in (*proof.lines(), "blanking")]
    signals += [walk.positions[r.role] for r in walk.place.board.relays]
    pattern = np.zeros(len(walk.codes), np.int64)
    for column in signals:
        _, which = distinct(column)
        _, pattern = distinct(pattern * (int(which.max()) + 1) + which)
    level = walk.blanking & (LOW | HIGH)
    # What is not decided is one outcome a reason: what the walk found there is a guess.
    decided = walk.undecided == 0
    code: Any = np.where(decided, pattern[walk.config] * 4 + level, -1 - walk.undecided.astype(np.int64))
    for values, count in ((proof.intended, len(proof.variant.input) + 1), (proof.rail, 2)):
        code = code * count + values
    first, of_state = distinct(code)
    columns = [level[first], proof.intended[first], proof.rail[first], walk.undecided[first]]
    columns += [column[walk.config[first]] for column in signals]
    return np.stack([np.asarray(column, np.int64) for column in columns], 1), of_state


def _outcome(proof: Proof, row: NDArray[np.int64], condition: str, states: int) -> Outcome:
    level, wanted, rail, undecided = (int(n) for n in row[:4])
    lines, relays = proof.lines(), proof.walk.place.board.relays
    bits = [int(n) & (1 << 64) - 1 for n in row[4 : 5 + len(lines)]]
    told = not undecided
    return Outcome(
        f"input-{wanted}" if wanted else "native",
        "on" if rail else "off",
        tuple((line, _sources(proof, line, found) if told else "?") for line, found in zip(lines, bits, strict=False)),
        _blanking(level, bits[-1] != 0) if told else "?",
        tuple(
            (r.ref, ("on" if on else "off") if told else "?")
            for r, on in zip(relays, row[5 + len(lines) :], strict=True)
        ),
        condition,
        states,
        proof.walk.reasons[undecided],
    )


def _sources(proof: Proof, line: str, bits: int) -> str:
    """What reaches a landing: an input or the set where it is what belongs there, else every source by name."""
    for index in range(len(proof.variant.input) + 1):
        if bits and bits == proof.wanted(line, index):
            if line in COLOURS and is_shared(proof.variant):
                beside = "" if is_switched(proof.variant) else " and display"
                return f"input-{index}{beside}" if index else "display"
            return f"input-{index}" if index else "set"
    return proof.names(bits)


def _blanking(level: int, own: bool) -> str:
    words = ["driven"] if level & HIGH else []
    words += ["set"] if own else []
    return " and ".join(words) or ("ground" if level & LOW else "open")


def conditions_of(grid: NDArray[np.int64], axes: Sequence[Axis], count: int) -> list[str]:
    """A condition for each of `count` outcomes; `grid` has the outcome of every state, an axis a variable."""
    classes = [_classes(np.moveaxis(grid, k, 0)) for k in range(grid.ndim)]
    small = grid[np.ix_(*([group[0] for group in groups] for groups in classes))]
    found = []
    for n in range(count):
        boxes = list(cover(small == n))
        terms = [_words(box, classes, axes) for box in boxes[:MOST_TERMS]]
        rest = len(boxes) - len(terms)
        found.append("; or ".join(terms) + (f"; or {rest} more cases" if rest > 0 else ""))
    return found


def _classes(slices: NDArray[np.int64]) -> list[list[int]]:
    """Values of an axis that always lead to the same, taken together."""
    groups: list[list[int]] = []
    for value in range(len(slices)):
        alike = next((g for g in groups if np.array_equal(slices[g[0]], slices[value])), None)
        if alike is None:
            groups.append([value])
        else:
            alike.append(value)
    return groups


def cover(wanted: NDArray[np.bool_]) -> Iterator[Box]:
    """Boxes that together are exactly the true cells, each as large as it goes; the first open cell comes first."""
    left = wanted.copy()
    while left.any():
        cell = np.unravel_index(int(np.argmax(left)), left.shape)
        box: list[list[int]] = [[int(k)] for k in cell]
        for axis, size in enumerate(wanted.shape):
            for value in range(size):
                if value != cell[axis]:
                    trial = [*box[:axis], [value], *box[axis + 1 :]]
                    if wanted[np.ix_(*trial)].all():
                        box[axis].append(value)
        left[np.ix_(*box)] = False
        yield tuple(tuple(sorted(values)) for values in box)


def _words(box: Box, classes: Sequence[Sequence[Sequence[int]]], axes: Sequence[Axis]) -> str:
    """A box in words: axes on which nothing depends are left out."""
    told = []
    for groups, values, axis in zip(classes, box, axes, strict=True):
        if len(values) < len(groups):
            every = sorted(v for k in values for v in groups[k])
            told.append(f"{axis.name} {' or '.join(axis.values[v] for v in every)}")
    return ", ".join(told) or "always"
