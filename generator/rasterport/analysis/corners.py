"""Worst cases of a figure: by the sign of its slope where it is monotone, by enumeration where it is not.

Return loss and mismatch bend at 75 ohm and are always enumerated; so is the power of a resistor that is fed through
another, which is greatest where the two are equal.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING, Literal

import numpy as np

from rasterport.analysis.draws import Draw
from rasterport.analysis.nodal import Values

FEW = 7
"""So many uncertain quantities are enumerated without asking for slopes: 128 boards cost as much as one."""
MOST_FREE = 14
"""Enumerating more than this would take seconds."""
STRONGEST = 10
"""Of a figure that bends and hangs on more, so many are enumerated; the weaker ones are turned over one by one."""
SAME = 1e-9
"""Two boards whose figures differ by less than this part are the same corner; the first in order is named."""
MOVES = 1e-6
"""A quantity that moves a figure by less than this part need not be enumerated."""
MATTERS = 1e-4
"""A quantity that moves a figure by less than this part is left out of the corner's words."""

PATTERNS = 8
"""So many corners tell which parameters a figure that bends hangs on."""
ROUNDS, GRID, BOARDS, NEARER = 8, 17, 128, 0.5
"""An end between the corners is sought in so many rounds: along one parameter on grids, each 4 times as fine; among all
of them by so many boards a round, within half the distance of the round before."""

MANY = 8
"""A figure on more parameters than this is sought with eight times the boards."""

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Quantity:
    """A figure before its numbers: `of` a draw gives it in `unit`; `parameters` are all that it hangs on.

    `folded` figures are the magnitude of a signed one, which is taken to its corners instead.  `bends` names the end
    ("low" or "high") that may lie between the corners, since the figure turns round there: no slope is trusted then,
    and that end is sought besides, along the parameter `inside` or along all.  Quantities with the same `alike` differ
    in the names of their parameters only.  `given` are the values put into the formula besides the parts, in words;
    `corner` says in words where the worst case lies of a figure without parameters, a bound.
    """

    key: str
    subject: str
    state: str
    of: Callable[[Draw], Values]
    parameters: tuple[str, ...] = ()
    given: tuple[tuple[str, str], ...] = ()
    bends: Literal["", "low", "high"] = ""
    alike: Hashable = None
    corner: str = ""
    inside: str = ""
    folded: bool = False

    def value(self, draw: Draw) -> Values:
        """The figure of the boards of a draw."""
        found = self.of(draw)
        return np.abs(found) if self.folded else found


def bound(
    key: str, subject: str, state: str, value: float, corner: str = "", given: tuple[tuple[str, str], ...] = ()
) -> Quantity:
    """A figure that is a bound already: no board is worse."""
    return Quantity(key, subject, state, lambda _: value, given=given, corner=corner)


@dataclass(frozen=True, slots=True)
class Spread:
    """Nominal, lowest and highest value of a figure, and the places (-1, 0, 1) of its parameters at both ends.

    A place of 0 at a corner: that parameter does not matter there.
    """

    nominal: float
    low: float
    high: float
    low_places: tuple[int, ...] = ()
    high_places: tuple[int, ...] = ()


@lru_cache(maxsize=64)
def _signs(count: int) -> Array:
    """Every corner of `count` parameters, one a row."""
    return np.array(list(product((-1.0, 1.0), repeat=count))).reshape(2**count, count)


@lru_cache(maxsize=64)
def _patterns(count: int) -> Array:
    """A few corners that differ in every way, always the same."""
    return np.random.Generator(np.random.PCG64(PATTERNS)).choice((-1.0, 1.0), (PATTERNS, count))


class Corners:
    """Worst cases of the figures of one circuit; boards at the corners of the same parameters are drawn once."""

    def __init__(self) -> None:
        self._draws: dict[tuple[tuple[str, ...], bytes], Draw] = {}

    def spread(self, quantity: Quantity) -> Spread:
        """Worst cases of a figure."""
        return _fold(self._signed(quantity)) if quantity.folded else self._signed(quantity)

    def _signed(self, quantity: Quantity) -> Spread:
        count = len(quantity.parameters)
        if count == 0:
            nominal = float(quantity.of(self._draw((), np.zeros((1, 0)))))
            return Spread(nominal, nominal, nominal)
        if not (quantity.bends or count <= FEW):
            return self._by_slope(quantity, count)
        free = np.arange(count) if count <= FEW else self._that_matter(quantity, count)
        strong = free if len(free) <= MOST_FREE else free[:STRONGEST]
        rows = np.vstack([np.zeros((1, count)), self._every(np.zeros(count), np.sort(strong))])
        found = self._evaluate(quantity, rows)
        ends = _pick(found[0], *_ends(rows[1:], found[1:], np.sort(strong)))
        if len(strong) < len(free):
            corners = rows[1 + int(np.argmin(found[1:]))], rows[1 + int(np.argmax(found[1:]))]
            ends = self._climbed(quantity, ends, corners, free)
        way = 1.0 if quantity.bends == "high" else -1.0
        n = int(np.argmax(found * way))
        if not quantity.bends or found[n] == 0.0:  # nothing is better than none
            return ends
        if quantity.inside:
            best = self._along(quantity, rows[n], float(found[n]), way)
        else:
            best = self._among(quantity, rows[n], float(found[n]), free, way)
        if quantity.bends == "high":
            return replace(ends, high=best, high_places=()) if best > ends.high else ends
        return replace(ends, low=best, low_places=()) if best < ends.low else ends

    def _that_matter(self, quantity: Quantity, count: int) -> npt.NDArray[np.int64]:
        """Places of the parameters that move the figure, from the middle or from any of a few corners, strongest first.

        A mismatch shows what its lines share only where they differ, so corners of every pattern are tried.
        """
        steps = np.eye(count)
        found = np.zeros(count)
        for base in (np.zeros(count), *_patterns(count)):
            turned = (base + steps, base - steps) if not base.any() else (base * (1 - 2 * steps),)
            for rows in turned:
                moved = self._evaluate(quantity, np.vstack([base, rows]))
                most = float(np.abs(moved).max()) or 1.0
                found = np.maximum(found, np.abs(moved[1:] - moved[0]).reshape(-1, count).max(axis=0) / most)
        order = np.argsort(-found, kind="stable")
        return order[found[order] > MOVES] if (found > MOVES).sum() > MOST_FREE else np.flatnonzero(found > MOVES)

    def _climbed(
        self, quantity: Quantity, ends: Spread, corners: tuple[Array, Array], free: npt.NDArray[np.int64]
    ) -> Spread:
        """Both ends with every place turned over, the weaker ones too, until no single turn goes further."""
        found = []
        for corner, way in zip(corners, (-1.0, 1.0), strict=True):
            at, best = corner, float(self._evaluate(quantity, corner[None, :], keep=False)[0])
            while True:
                turns = [(k, place) for k in free for place in (-1.0, 1.0) if at[k] != place]
                rows = np.tile(at, (len(turns), 1))
                for row, (k, place) in zip(rows, turns, strict=True):
                    row[k] = place
                values = self._evaluate(quantity, rows, keep=False)
                n = int(np.argmax(values * way))
                if values[n] * way <= best * way + SAME * abs(best):
                    break
                at, best = rows[n], float(values[n])
            shown = at if not at.any() else _that_show(at, best, self._evaluate(quantity, _turned(at), keep=False))
            found.append((best, np.asarray(shown)))
        return _pick(ends.nominal, found[0], found[1])

    def _along(self, quantity: Quantity, at: Array, best: float, way: float) -> float:
        """The end of a figure that may turn round along one parameter: a grid, and finer ones where it gains."""
        k, width = quantity.parameters.index(quantity.inside), 1.0
        for _ in range(ROUNDS):
            tried = np.tile(at, (GRID, 1))
            tried[:, k] = np.clip(at[k] + np.linspace(-2 * width, 2 * width, GRID), -1.0, 1.0)
            values = self._evaluate(quantity, tried)
            m = int(np.argmax(values * way))
            if values[m] * way <= best * way + SAME * abs(best):
                break
            at, best = tried[m], float(values[m])
            width *= 4 / GRID
        return best

    def _among(self, quantity: Quantity, at: Array, best: float, free: npt.NDArray[np.int64], way: float) -> float:
        """The end of a figure that may turn round anywhere: boards at random, then ever nearer to the best of them."""
        stream, width = np.random.Generator(np.random.PCG64(ROUNDS)), 1.0
        boards = BOARDS if len(free) <= MANY else 8 * BOARDS
        for n in range(ROUNDS):
            tried = np.tile(at, (boards, 1))
            moved = stream.uniform(-1.0, 1.0, (boards, len(free)))
            tried[:, free] = moved if n == 0 else np.clip(at[free] + width * moved, -1.0, 1.0)
            values = self._evaluate(quantity, tried, keep=False)
            m = int(np.argmax(values * way))
            if values[m] * way > best * way:
                at, best = tried[m], float(values[m])
            width *= NEARER
        return best

    def _by_slope(self, quantity: Quantity, count: int) -> Spread:
        steps = np.eye(count)
        probes = self._evaluate(quantity, np.vstack([np.zeros((1, count)), steps, -steps]))
        slope = np.sign(probes[1 : count + 1] - probes[count + 1 :])
        ends = []
        for way in (-1.0, 1.0):
            corner = np.where(slope == 0, 1.0, slope) * way
            found = self._evaluate(quantity, np.vstack([corner, corner * (1 - 2 * steps)]))
            turns = np.flatnonzero((found[1:] - found[0]) * way > SAME * abs(found[0]))
            if len(turns):
                rows = self._every(corner, turns)
                found = self._evaluate(quantity, rows)
                n = int(np.argmax(found * way >= (found * way).max() - SAME * np.abs(found).max()))
                corner = rows[n]
                found = np.append(found[n], self._evaluate(quantity, corner * (1 - 2 * steps)))
            ends.append((float(found[0]), _that_show(corner, found[0], found[1:])))
        return _pick(probes[0], *ends)

    def _every(self, corner: Array, free: npt.NDArray[np.int64]) -> Array:
        """The corner with every combination of its `free` places."""
        if len(free) > MOST_FREE:
            raise ValueError(f"{len(free)} quantities that bend a figure, at most {MOST_FREE} can be enumerated")
        signs = _signs(len(free))
        rows = np.tile(corner, (len(signs), 1))
        rows[:, free] = signs
        return rows

    def _evaluate(self, quantity: Quantity, rows: Array, keep: bool = True) -> Array:
        names = quantity.parameters
        draw = self._draw(names, rows) if keep else Draw({name: rows[:, n] for n, name in enumerate(names)})
        return np.broadcast_to(np.asarray(quantity.of(draw), dtype=float), (len(rows),))

    def _draw(self, names: Sequence[str], rows: Array) -> Draw:
        key = (tuple(names), rows.tobytes())
        if key not in self._draws:
            self._draws[key] = Draw({name: rows[:, n] for n, name in enumerate(names)})
        return self._draws[key]


def _turned(corner: Array) -> Array:
    """The corner with each of its places turned over, one a row."""
    return np.tile(corner, (len(corner), 1)) * (1 - 2 * np.eye(len(corner)))


def _that_show(corner: Array, here: float, flipped: Array) -> Array:
    """The places of a corner, 0 for a parameter that does not matter there: turning it over changes next to nothing."""
    return np.where(np.abs(flipped - here) > MATTERS * abs(here), corner, 0.0)


def _ends(rows: Array, found: Array, free: npt.NDArray[np.int64]) -> tuple[tuple[float, Array], tuple[float, Array]]:
    """Lowest and highest of all corners of the `free` parameters, with their places.

    The corners count upwards in binary, so that of a parameter turned over has one bit of its number changed.
    """
    slack, bits = SAME * float(np.max(np.abs(found))), 1 << np.arange(len(free))[::-1]
    ends = []
    for n in (int(np.argmax(found <= found.min() + slack)), int(np.argmax(found >= found.max() - slack))):
        places = np.zeros(rows.shape[1])
        places[free] = _that_show(rows[n, free], found[n], found[n ^ bits])
        ends.append((float(found[n]), places))
    return ends[0], ends[1]


def _pick(nominal: float, low: tuple[float, Array], high: tuple[float, Array]) -> Spread:
    """The spread; the nominal board counts as well, since the best of a figure that bends may lie there."""
    ends = [(float(value), tuple(int(p) for p in places)) for value, places in (low, high)]
    middle = (float(nominal), (0,) * len(ends[0][1]))
    (least, low_places), (most, high_places) = min(ends[0], middle, key=_value), max(ends[1], middle, key=_value)
    return Spread(float(nominal), least, most, low_places, high_places)


def _fold(signed: Spread) -> Spread:
    """Worst cases of a magnitude from those of the signed figure: nothing lies below zero."""
    ends = sorted(((abs(signed.low), signed.low_places), (abs(signed.high), signed.high_places)), key=_value)
    (least, low_places), (most, high_places) = ends
    if signed.low < 0.0 < signed.high:
        least, low_places = 0.0, ()
    return Spread(abs(signed.nominal), least, most, low_places, high_places)


def _value(end: tuple[float, tuple[int, ...]]) -> float:
    return end[0]


def words(quantity: Quantity, places: Sequence[int]) -> str:
    """A corner in words: "rail low, red/coupling high"; "nominal" where nothing matters."""
    if not places and quantity.parameters:
        return "between the corners"
    told = [
        f"{name} {'high' if place > 0 else 'low'}"
        for name, place in zip(quantity.parameters, places, strict=True)
        if place
    ]
    return ", ".join(told) or quantity.corner or "nominal"
