"""The part of a board that decides: the nets that bear on a transistor, a coil or a chip, and those parts by index."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from rasterport.analysis.switches import Board
from rasterport.records import GROUND

FIRST_DEVICE = 3
"""Index of the first device among the reasons why a state is not decided."""
MEMORY, SHORT = "the outcome depends on what was before", "a short circuit"


class Deciding:
    """The part of a board that decides, compiled once: which nets are one, which of them matter, by index.

    Index 0 is ground; the last one stands for every net that no control part knows, and is never at a level.
    """

    def __init__(self, board: Board, wanted: Sequence[str] = ()) -> None:
        self.board, self.wanted = board, tuple(n for n in wanted if n)
        self._same: dict[str, str] = {}
        for a, b in board.joined:
            self._same[self.net(a)] = self.net(b)
        self._index = {net: n for n, net in enumerate(dict.fromkeys([self.net(GROUND), *self._concerned()]))}
        self.size = len(self._index) + 1
        at = self.at
        self.transistors = [(t, at(t.control), at(t.near), at(t.far)) for t in board.transistors]
        self.relays = [(r, at(r.plus), at(r.minus)) for r in board.relays]
        self.chips = [(c, at(c.supply), at(c.ground), [at(n) for n in c.inputs]) for c in board.chips]
        self.outputs = [(c.role, k, at(n)) for c in board.chips for k, n in enumerate(c.outputs) if at(n) != self.none]
        self.outside = [(at(a.net), a.key, np.array(a.levels, np.uint8)) for a in board.axes if at(a.net) != self.none]
        pulls = [(at(a), at(b)) for a, b, _ in board.resistors]
        self.pulls = self._both_ways(dict.fromkeys(pulls))
        throws = [(at(c.first), at(c.second), c.mover, c.value) for c in board.contacts]
        self.throws = [(a, b, by, value) for x, y, by, value in throws for a, b in self._both_ways([(x, y)])]
        self.diodes = [(at(a), at(k)) for a, k in board.diodes if self.none not in (at(a), at(k))]
        roles = [t.role for t in board.transistors] + [r.role for r in board.relays] + [c.role for c in board.chips]
        self.reasons = ("", MEMORY, SHORT, *roles)

    @property
    def none(self) -> int:
        """Index of the net that is no net."""
        return len(self._index)

    def net(self, name: str) -> str:
        """The net that stands for all that are one with it."""
        while self._same.get(name, name) != name:
            name = self._same[name]
        return name

    def at(self, name: str) -> int:
        """Index of a net."""
        return self._index.get(self.net(name), self.none)

    def _both_ways(self, pairs: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
        """Ways between two nets; none into ground, which nothing moves."""
        known = [(a, b) for a, b in pairs if a != b and self.none not in (a, b)]
        return [way for a, b in known for way in ((a, b), (b, a)) if way[1] != 0]

    def _concerned(self) -> list[str]:
        """Every net that can bear on a transistor, a coil, a chip or a net asked for, or on which two may clash."""
        board = self.board
        found = [t.control for t in board.transistors] + [n for r in board.relays for n in (r.plus, r.minus)]
        found += [n for c in board.chips for n in (*c.inputs, *c.outputs, c.supply, c.ground)]
        found += [*(a.net for a in board.axes), *self.wanted]
        pairs = [(a, b) for a, b, _ in board.resistors] + [(c.first, c.second) for c in board.contacts]
        pairs += [(t.near, t.far) for t in board.transistors] + board.diodes
        near: dict[str, list[str]] = {}
        for a, b in ((self.net(a), self.net(b)) for a, b in pairs if a and b):
            near.setdefault(a, []).append(b)
            near.setdefault(b, []).append(a)
        # A middle voltage decides nothing, and every signal hangs on it.
        found = list(dict.fromkeys(self.net(n) for n in found if n and n not in board.middles()))
        seen = {*found, self.net(GROUND), *board.middles()}
        for net in found:
            if net != self.net(GROUND):
                fresh = [n for n in dict.fromkeys(near.get(net, ())) if n not in seen]
                found += fresh
                seen.update(fresh)
        return found
