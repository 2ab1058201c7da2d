"""Nodal analysis of small linear networks: resistors, capacitors, sources behind a resistance.

The networks of one line have two to eight nodes, so plain complex arithmetic is faster than an array
library's start-up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

GROUND = "GND"
LEAK_S = 1e-12
"""Conductance from every node to ground [S], so that a node behind a capacitor has a solution at DC."""


@dataclass(frozen=True, slots=True)
class Element:
    """A resistor [ohm] or a capacitor [F] between two nets; `spread` is its relative bound."""

    role: str
    kind: str
    first: str
    second: str
    value: float
    spread: float = 0.0

    def admittance(self, omega: float, value: float) -> complex:
        """Admittance [S] at angular frequency `omega` [rad/s] for a value of this element."""
        return complex(1 / value) if self.kind == "R" else 1j * omega * value


def reach(elements: Iterable[Element], start: str, fixed: Iterable[str] = ()) -> tuple[Element, ...]:
    """The elements connected to `start` without passing through ground or a fixed net; none from such a net itself."""
    walls = {GROUND, *fixed}
    if start in walls:
        return ()
    pool = list(elements)
    seen, frontier, found = {start}, [start], []
    while frontier:
        net = frontier.pop()
        rest = []
        for element in pool:
            if net not in (element.first, element.second):
                rest.append(element)
                continue
            found.append(element)
            other = element.second if element.first == net else element.first
            if other not in walls and other not in seen:
                seen.add(other)
                frontier.append(other)
        pool = rest
    return tuple(sorted(found, key=lambda e: e.role))


def solve(
    elements: Sequence[Element],
    injected: Mapping[str, complex],
    omega: float = 0.0,
    fixed: Mapping[str, float] | None = None,
    values: Sequence[float] | None = None,
) -> dict[str, complex]:
    """Node voltages [V] for currents [A] injected into nets, with some nets held at fixed voltages [V].

    `values` replaces the elements' own, in the same order.
    """
    held = {**(fixed or {}), GROUND: 0.0}
    names = sorted(({e.first for e in elements} | {e.second for e in elements} | set(injected)) - set(held))
    at = {name: k for k, name in enumerate(names)}
    size = len(names)
    matrix = [[0j] * (size + 1) for _ in range(size)]
    for k in range(size):
        matrix[k][k] = complex(LEAK_S)
    for n, element in enumerate(elements):
        y = element.admittance(omega, element.value if values is None else values[n])
        _stamp(matrix, at, held, element.first, element.second, y)
        _stamp(matrix, at, held, element.second, element.first, y)
    for net, current in injected.items():
        if net in at:
            matrix[at[net]][size] += current
    return {**dict(zip(names, _eliminate(matrix), strict=True)), **held}


def _stamp(
    matrix: list[list[complex]], at: Mapping[str, int], held: Mapping[str, float], here: str, there: str, y: complex
) -> None:
    if here not in at:
        return
    row = matrix[at[here]]
    row[at[here]] += y
    if there in at:
        row[at[there]] -= y
    else:
        row[-1] += y * held[there]


def _eliminate(matrix: list[list[complex]]) -> list[complex]:
    """Gaussian elimination with partial pivoting."""
    size = len(matrix)
    for k in range(size):
        pivot = max(range(k, size), key=lambda r: abs(matrix[r][k]))
        matrix[k], matrix[pivot] = matrix[pivot], matrix[k]
        top = matrix[k]
        for r in range(k + 1, size):
            if matrix[r][k] == 0:
                continue
            factor = matrix[r][k] / top[k]
            matrix[r] = [a - factor * b for a, b in zip(matrix[r], top, strict=True)]
    solved = [0j] * size
    for k in reversed(range(size)):
        row = matrix[k]
        solved[k] = (row[size] - sum(row[j] * solved[j] for j in range(k + 1, size))) / row[k]
    return solved


def impedance(elements: Sequence[Element], net: str, hertz: float, values: Sequence[float] | None = None) -> complex:
    """Impedance [ohm] from `net` to ground at `hertz` [Hz]."""
    return solve(elements, {net: 1 + 0j}, 2 * math.pi * hertz, None, values)[net]
