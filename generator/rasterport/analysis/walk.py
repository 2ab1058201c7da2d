"""Every state of a board: which sources reach which landing, what loads each source, what the blanking pin is at.

States are one axis of arrays, worked out in chunks.  Signals depend on the positions of the contacts alone: they are
followed once a distinct set of positions, of which even large boards have few.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rasterport.analysis.deciding import Deciding
from rasterport.analysis.levels import Settled, settle
from rasterport.analysis.switches import Axis, Board
from rasterport.records import GROUND

CHUNK = 1 << 15
"""States in one go: the levels of a few dozen nets stay in the processor's cache."""
MOST_SOURCES = 64
"""One bit each."""

Numbers = NDArray[np.int64]
Bits = NDArray[np.uint64]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a signal comes from: an input (0 for the set itself), its line or contact, the net it stands on."""

    index: int
    line: str
    net: str

    @property
    def name(self) -> str:
        """In words, as a role."""
        return f"{f'input-{self.index}' if self.index else 'set'}/{self.line}"


@dataclass(frozen=True, slots=True)
class Place:
    """A board with what is to be followed on it: sources, landings (name -> net), the nets that are ground to a signal.

    `loaded` are the sources of which the load is wanted.
    """

    board: Board
    sources: tuple[Source, ...]
    landings: Mapping[str, str]
    walls: frozenset[str]
    blanking: str = ""
    loaded: tuple[Source, ...] = ()


class Walk:
    """The states of a board.  `config` says which set of positions each state has; signals are arrays over those."""

    def __init__(self, place: Place) -> None:
        if len(place.sources) > MOST_SOURCES:
            raise ValueError(f"at most {MOST_SOURCES} sources can be followed, found {len(place.sources)}")
        self.place, self.axes = place, place.board.axes
        self.size = int(np.prod([len(a.values) for a in self.axes], dtype=np.int64))
        self._movers = _movers(place)
        control = Deciding(place.board, (place.blanking,))
        codes, self.blanking = np.zeros(self.size, np.int64), np.zeros(self.size, np.uint8)
        self.undecided, self.floats = np.zeros(self.size, np.int16), np.zeros(self.size, np.int16)
        self.reasons = control.reasons
        for start in range(0, self.size, CHUNK):
            span = slice(start, min(start + CHUNK, self.size))
            columns = self.columns(np.arange(span.start, span.stop))
            settled = settle(control, columns, span.stop - start)
            codes[span] = self._code(columns, settled)
            if place.blanking:
                self.blanking[span] = settled.levels[place.blanking]
            self.undecided[span], self.floats[span] = settled.undecided, settled.floats
        first, self.config = distinct(codes)
        self.codes = codes[first]

    def columns(self, states: Numbers) -> dict[str, Numbers]:
        """Value of each axis in these states, by its key; the last axis changes fastest."""
        found: dict[str, Numbers] = {}
        for axis in reversed(self.axes):
            found[axis.key] = states % len(axis.values)
            states = states // len(axis.values)
        return found

    @cached_property
    def values(self) -> dict[str, NDArray[np.int8]]:
        """Value of each axis in every state."""
        return {key: values.astype(np.int8) for key, values in self.columns(np.arange(self.size)).items()}

    def words(self, state: int) -> str:
        """A state in words."""
        at = self.columns(np.array([state]))
        return ", ".join(f"{a.name} {a.values[int(at[a.key][0])]}" for a in self.axes)

    def _code(self, columns: Mapping[str, Numbers], settled: Settled) -> Numbers:
        """The positions of all movers as one number."""
        at: dict[str, NDArray[Any]] = {**columns, **settled.positions}
        code = np.zeros(len(settled.undecided), np.int64)
        for name, count in self._movers.items():
            code = code * count + at[name]
        return code

    @cached_property
    def positions(self) -> dict[str, Numbers]:
        """Position of each mover in every distinct set of positions: axes, relays, chips."""
        rest, found = self.codes, {}
        for name, count in reversed(self._movers.items()):
            found[name], rest = rest % count, rest // count
        return found

    @cached_property
    def _followed(self) -> tuple[dict[str, str], dict[str, Bits]]:
        return _follow(self.place, self.positions, len(self.codes))

    def reach(self, net: str) -> Bits:
        """Which sources reach a net, a bit each, in every set of positions."""
        same, bits = self._followed
        none = np.zeros(len(self.codes), np.uint64)
        return bits.get(same.get(net, net), none)

    def load(self, source: Source) -> NDArray[np.float64]:
        """Resistance of the shortest way from a source to ground [ohm], in every set of positions."""
        return self._loads[source.net]

    @cached_property
    def _loads(self) -> dict[str, NDArray[np.float64]]:
        return _distances(self.place, self.positions, len(self.codes))


def distinct(codes: Numbers) -> tuple[Numbers, Numbers]:
    """Of numbers, where each distinct one stands first, in rising order, and which of them every number is.

    NumPy's own would import its masked arrays, which take longer than the whole walk of a small board.
    """
    order = np.argsort(codes, kind="stable")
    fresh = np.ones(len(codes), bool)
    fresh[1:] = codes[order[1:]] != codes[order[:-1]]
    which = np.empty(len(codes), np.int64)
    which[order] = np.cumsum(fresh) - 1
    return order[fresh], which


def _movers(place: Place) -> dict[str, int]:
    """What moves contacts or passes signals, with its number of positions."""
    board = place.board
    moving = {c.mover for c in board.contacts}
    found = {a.key: len(a.values) for a in board.axes if a.key in moving}
    found |= {r.role: 2 for r in board.relays}
    return found | {c.role: len(c.table) + 1 if c.switches else 2 for c in board.chips if c.switches or c.passes}


def _contracted(pairs: Iterable[tuple[str, str]], walls: frozenset[str]) -> dict[str, str]:
    """Net -> the net that stands for all it is joined with; walls join nothing."""
    group: dict[str, list[str]] = {}
    for a, b in pairs:
        if a in walls or b in walls:
            continue
        first, second = group.setdefault(a, [a]), group.setdefault(b, [b])
        if first is not second:
            first += second
            for net in second:
                group[net] = first
    return {net: nets[0] for net, nets in group.items()}


def _closed(place: Place, positions: Mapping[str, Numbers]) -> list[tuple[str, str, NDArray[np.bool_]]]:
    return [(c.first, c.second, positions[c.mover] == c.value) for c in place.board.contacts]


def _follow(place: Place, positions: Mapping[str, Numbers], size: int) -> tuple[dict[str, str], dict[str, Bits]]:
    """Which sources reach which net: through resistors and capacitors, closed contacts, forwards through chips."""
    board, walls = place.board, place.walls
    same = _contracted((*((a, b) for a, b, _ in board.resistors), *board.capacitors), walls)
    bits: dict[str, Bits] = {}
    for n, source in enumerate(place.sources):
        if source.net and source.net not in walls:
            bits.setdefault(same.get(source.net, source.net), np.zeros(size, np.uint64))
            bits[same.get(source.net, source.net)] |= np.uint64(1 << n)
    ways: list[tuple[str, str, Bits]] = []
    for a, b, closed in _closed(place, positions):
        mask = np.where(closed, ~np.uint64(0), np.uint64(0))
        ways += [(a, b, mask), (b, a, mask)]
    for chip in board.chips:
        ways += [(a, y, np.where(positions[chip.role] != 0, ~np.uint64(0), np.uint64(0))) for a, y in chip.passes]
    ways = [(same.get(a, a), same.get(b, b), mask) for a, b, mask in ways if a not in walls and b not in walls]
    changed = True
    while changed:
        changed = False
        for a, b, mask in ways:
            if a in bits:
                there = bits.setdefault(b, np.zeros(size, np.uint64))
                fresh = bits[a] & mask & ~there
                if fresh.any():
                    there |= fresh
                    changed = True
    return same, bits


def _distances(place: Place, positions: Mapping[str, Numbers], size: int) -> dict[str, NDArray[np.float64]]:
    """Net -> resistance of the shortest way to ground [ohm].

    A capacitor in series costs nothing, one to ground leads nowhere.
    """
    walls = place.walls
    ways: list[tuple[str, str, Any]] = [(a, b, r) for a, b, r in place.board.resistors]
    ways += [(a, b, 0.0) for a, b in place.board.capacitors if a not in walls and b not in walls]
    ways += [(a, b, np.where(closed, 0.0, np.inf)) for a, b, closed in _closed(place, positions)]
    near: dict[str, list[tuple[str, Any]]] = {}
    for a, b, ohm in ways:
        near.setdefault(a, []).append((b, ohm))
        near.setdefault(b, []).append((a, ohm))
    found: dict[str, NDArray[np.float64]] = {s.net: np.full(size, np.inf) for s in place.loaded}
    for net in (order := list(found)):
        fresh = [n for n, _ in near.get(net, ()) if n not in walls and n not in found]
        order += dict.fromkeys(fresh)
        found |= {n: np.full(size, np.inf) for n in fresh}
    found |= {wall: np.full(size, 0.0 if wall == GROUND else np.inf) for wall in walls}
    changed = True
    while changed:
        changed = False
        for net in order:
            best = found[net]
            for other, ohm in near.get(net, ()) if net not in walls else ():
                best = np.minimum(best, found[other] + ohm)
            changed |= bool((best < found[net]).any())
            found[net] = best
    return found


def axis_levels(key: str, name: str, net: str, values: Sequence[tuple[str, int]]) -> Axis:
    """An axis that puts a level on a net: its values in words with their bits."""
    return Axis(key, name, tuple(word for word, _ in values), net, tuple(bits for _, bits in values))
