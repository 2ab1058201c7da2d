"""Rows of a drawing: from a net along what carries it on, part by part, until a flag takes over.

Nothing is known here of what a part is for: the way follows nets.  The block of a part only says in which frame it
stands.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rasterport.emit.drawing.active import Gate, Regulator, Transistor
from rasterport.emit.drawing.cells import Cell, Hang, Node, Series
from rasterport.emit.drawing.contacts import Fork, Pole, Tails
from rasterport.emit.drawing.ends import Stub
from rasterport.emit.drawing.units import Unit, group_of, references, units_of
from rasterport.records import GROUND, Circuit

Allowed = Callable[[Unit], bool]
FEEDING = ("fuse", "ptc")
"""Symbols that feed a rail: they lie in the row and do not stand on it."""
DRIVING = ("gate", "regulator")
"""Kinds of symbols whose second end drives its net."""


def _of_block(allowed: Allowed, last: Unit | None) -> Allowed:
    """What is allowed and of the same block: a net that all share leads to no other."""
    return allowed if last is None else lambda unit: allowed(unit) and unit.group == last.group


class Walk:
    """Takes the symbols of a circuit one by one; what is taken is drawn once and no more."""

    def __init__(self, circuit: Circuit) -> None:
        self.units = units_of(circuit)
        self._counted = {net: len(pins) for net, pins in circuit.nets(on_board_only=False).items()}
        self.shared = references(self._counted)
        self.goals = {circuit.landing_net(landed.name) for landed in circuit.landed}
        """The nets of the landings."""
        self._left = dict.fromkeys(range(len(self.units)))
        self._place = {id(unit): n for n, unit in enumerate(self.units)}
        self._last: Unit | None = None
        self._row: list[Unit] = []
        self._at: dict[str, list[int]] = {}
        self.groups: dict[str, set[str]] = {}
        """Net -> the blocks that meet it."""
        self.driven: set[str] = set()
        """Nets that an output of an integrated circuit drives."""
        for placed in circuit.parts:
            self.driven |= {net for p in placed.part.pins if p.kind == "output" and (net := placed.nets.get(p.number))}
            for met in placed.nets.values():
                if met is not None:
                    self.groups.setdefault(met, set()).add(group_of(placed))
        for n, unit in enumerate(self.units):
            for net in dict.fromkeys(unit.nets):
                if net is not None:
                    self._at.setdefault(net, []).append(n)

    def left(self, allowed: Allowed) -> list[Unit]:
        """What is not drawn yet, in order."""
        return [self.units[n] for n in self._left if allowed(self.units[n])]

    def take(self, unit: Unit) -> Unit:
        """Mark a symbol as drawn."""
        del self._left[self._place[id(unit)]]
        self._row.append(unit)
        self._last = self._last if unit.kind == "point" else unit
        return unit

    def begin(self) -> None:
        """Start a row."""
        self._row = []

    def stub(self, net: str | None, way: int) -> Stub | None:
        """The end of the row at a net; None where the row has all that meets at it, or where nothing is to follow."""
        met = sum(len(numbers) for unit in self._row for numbers, at in unit.ends if at == net)
        if net == "" or (net is not None and net not in self.shared and met == self._counted.get(net)):
            return None
        return Stub(net, way)

    def on(self, net: str, allowed: Allowed) -> list[Unit]:
        """What is not drawn yet and meets a net."""
        return [self.units[n] for n in self._at.get(net, ()) if n in self._left and allowed(self.units[n])]

    def along(
        self, net: str, allowed: Allowed, backwards: bool = False, home: bool = False
    ) -> tuple[list[Cell], str | None]:
        """Cells from a net onwards and the net where they end.

        `backwards` they lead to the left, poles are entered by the common; `home` they stop at a landing.  The net is
        "" where a pole ends the row, flags at all its throws.
        """
        cells: list[Cell] = []
        self._last = None
        at: str | None = net
        while at:
            if at in self.shared:
                allowed = _of_block(allowed, self._last)
            cells.append(Node(at, (*self._hangs(at, allowed), *self._branches(at, allowed))))
            if home and at in self.goals:
                break
            step = self._active(at, allowed, backwards) or self._onwards(at, allowed, backwards)
            if step is None:
                break
            cell, at = step
            cells.append(cell)
        return cells, at

    def _onwards(self, net: str, allowed: Allowed, backwards: bool) -> tuple[Cell, str | None] | None:
        """Through parts in series or through a pole: where a landing can be reached, and through parts else."""
        straight = any(
            self._reaches(self._other(u, net), allowed, net) for u in self.on(net, allowed) if u.kind == "two"
        )
        if not straight and not backwards and self._reaches(net, allowed):
            return self._pole(net, allowed, backwards) or self._series(net, allowed, backwards)
        return self._series(net, allowed, backwards) or self._pole(net, allowed, backwards)

    @staticmethod
    def _other(unit: Unit, net: str) -> str:
        return next(str(n) for n in unit.nets if n != net)

    def _reaches(self, net: str | None, allowed: Allowed, without: str | None = None) -> bool:
        """Whether a landing is at a net, or beyond what is not drawn yet, `without` going through another net."""
        seen = {without}
        ahead = [net]
        while ahead:
            at = ahead.pop()
            if at is None or at in self.shared or at in seen:
                continue
            if at in self.goals:
                return True
            seen.add(at)
            for unit in self.on(at, allowed):
                if unit.kind in ("two", "pole"):
                    ahead += unit.nets if unit.kind == "two" or at == unit.nets[-1] else unit.nets[-1:]
                elif unit.kind == "gate" and at == unit.nets[0]:
                    ahead.append(unit.nets[1])
        return False

    def _hangs(self, net: str, allowed: Allowed) -> tuple[Hang, ...]:
        """Parts from this net to ground or a rail, and test points."""
        found = []
        for unit in self.on(net, lambda unit: allowed(unit) or (unit.kind == "point" and net not in self.shared)):
            ends = [n for n in unit.nets if n != net]
            if unit.kind == "point" or (unit.kind == "two" and ends[0] in self.shared and unit.symbol not in FEEDING):
                found.append(Hang(self.take(unit), net))
        return tuple(found)

    def _branches(self, net: str, allowed: Allowed) -> tuple[Hang, ...]:
        """Where a row has reached a landing: parts from there to other landings, which have wires of their own."""
        if net not in self.goals or net in self.shared:
            return ()
        found = self.on(net, lambda unit: allowed(unit) and unit.kind == "two" and self._other(unit, net) in self.goals)
        return tuple(Hang(self.take(unit), net, flagged=self._other(unit, net) not in self.shared) for unit in found)

    def _tails(self, unit: Unit, through: int | None) -> Tails:
        """Throws of a pole that only a part to ground follows."""
        found = []
        for n, (_, net) in enumerate(unit.ends[:-1]):
            if n == through or net is None or net in self.shared or net in unit.nets[:n]:
                continue
            beyond = [self.units[m] for m in self._at[net] if m in self._left]
            beyond = [unit for unit in beyond if unit.kind not in ("box", "pole")]
            if len(beyond) == 1 and beyond[0].kind == "two" and GROUND in beyond[0].nets:
                found.append((n, self.take(beyond[0])))
        return tuple(found)

    def _series(self, net: str, allowed: Allowed, backwards: bool) -> tuple[Cell, str | None] | None:
        """Parts that lead from this net to one other; several between the same two go together."""
        beyond: dict[str, list[Unit]] = {}
        for unit in self.on(net, allowed):
            if unit.kind == "two":
                beyond.setdefault(self._other(unit, net), []).append(unit)
        if not beyond:
            return None
        other = min(
            beyond,
            key=lambda n: (not self._reaches(n, allowed, net), -self._weight(n, allowed), beyond[n][0].placed.role),
        )
        return Series(tuple(self.take(unit) for unit in beyond[other]), other if backwards else net), other

    def _weight(self, net: str | None, allowed: Allowed) -> int:
        """How much there is to draw beyond a net."""
        return (
            0 if net is None or net in self.shared else sum(1 for unit in self.on(net, allowed) if unit.kind != "point")
        )

    def _active(self, net: str, allowed: Allowed, backwards: bool) -> tuple[Cell, str | None] | None:
        """Through a transistor from its base, a gate, or a regulator."""
        for unit in self.on(net, allowed):
            if unit.kind == "transistor" and unit.nets[0] == net and not backwards:
                cell = Transistor(self.take(unit))
                return cell, cell.output
            if unit.kind == "gate" and unit.nets[backwards] == net:
                return Gate(self.take(unit)), unit.nets[not backwards]
            if unit.kind == "regulator" and unit.nets[0] == net and not backwards:
                return Regulator(self.take(unit)), unit.nets[1]
        return None

    def _pole(self, net: str, allowed: Allowed, backwards: bool) -> tuple[Cell, str | None] | None:
        for unit in self.on(net, allowed):
            if unit.kind != "pole":
                continue
            throws = unit.nets[:-1]
            if backwards and unit.nets[-1] == net:
                self.take(unit)
                to = max(range(len(throws)), key=lambda n: (self._weight(throws[n], allowed), -n))
                if len(throws) > 1 and not self._weight(throws[to], allowed):
                    return Pole(unit, None, self._tails(unit, None)), ""
                return Pole(unit, to, self._tails(unit, to)), throws[to]
            if not backwards and net in throws:
                to = throws.index(net)
                return Pole(self.take(unit), to, self._tails(unit, to)), unit.nets[-1]
            if not backwards and net == unit.nets[-1] and throws[0] is not None and unit.symbol == "pole":
                return Fork(self.take(unit), 0, self._tails(unit, 0)), throws[0]
        return None


def finished(cells: list[Cell], start: Cell | None, end: Cell | None, open_end: bool = False) -> list[Cell]:
    """Cells with what stands at both ends; a node beside a flag goes without its name.

    `open_end` where the wire goes on to the right, to an edge.
    """
    made = list(cells)
    for place, mark in ((0, start), (-1, end)):
        node = made[place] if made else None
        if isinstance(node, Node) and isinstance(mark, Stub):
            made[place] = replace(node, named=False)
        elif isinstance(node, Node) and mark is None and place == -1 and node.hangs and not open_end:
            made[place] = replace(node, last=True)
    return [*([start] if start else []), *made, *([end] if end else [])]


def forward(walk: Walk, net: str, allowed: Allowed) -> list[Cell]:
    """A row from a flag on the left to a flag on the right."""
    cells, end = walk.along(net, allowed)
    if len(cells) > 1:
        return finished(cells, walk.stub(net, -1), walk.stub(end, 1))
    start = walk.stub(net, -1)
    last = [replace(cell, named=start is None, last=True) if isinstance(cell, Node) else cell for cell in cells]
    return [*([start] if start else []), *last]


def begins(walk: Walk, mine: list[Unit]) -> str | None:
    """The net from which what is left of a block is best drawn: one from outside, then any, then a rail."""
    outputs = {unit.nets[2 if unit.symbol == "pnp" else 1] for unit in mine if unit.kind in ("transistor", *DRIVING)}
    scored: list[tuple[int, int, str]] = []
    for n, unit in enumerate(mine):
        nets = {
            "transistor": unit.nets[:1],
            "gate": unit.nets[:1],
            "regulator": unit.nets[:1],
            "pole": unit.nets[:-1],
        }.get(unit.kind, unit.nets)
        for net in nets:
            if net is None:
                continue
            outside = walk.groups[net] > {unit.group}
            fed = 0 if net in walk.driven else 1 if outside else 2
            score = 6 if net == GROUND else 5 if net in walk.shared else fed + 2 * (net in outputs)
            scored.append((score, n, net))
    return min(scored)[2] if scored else None


def rows_of(walk: Walk, allowed: Allowed) -> list[list[Cell]]:
    """Rows of all that is left of a block, but for boxes."""
    rows = []
    while mine := [unit for unit in walk.left(allowed) if unit.kind != "box"]:
        walk.begin()
        net = begins(walk, mine)
        before = len(mine)
        if net is not None:
            cells = _poles_first(walk, net, allowed) or forward(walk, net, allowed)
            if len([unit for unit in walk.left(allowed) if unit.kind != "box"]) < before:
                rows.append(cells)
                continue
        rows.append(_alone(walk.take(mine[0])))
    return rows


def _poles_first(walk: Walk, net: str, allowed: Allowed) -> list[Cell] | None:
    """A row that begins with a pole, all its throws alike; None where something else meets the net, too."""
    met = walk.on(net, lambda unit: allowed(unit) and unit.kind != "box")
    if [unit.kind for unit in met] != ["pole"] or net not in met[0].nets[:-1]:
        return None
    pole, common = walk.take(met[0]), met[0].nets[-1]
    if common is None:
        return [Pole(pole, None), Stub(None, 1)]
    cells, end = walk.along(common, allowed)
    return [Pole(pole, None), *finished(cells, None, walk.stub(end, 1))]


def _alone(unit: Unit) -> list[Cell]:
    """A symbol by itself with flags on all its ends: a pole that nothing enters."""
    if unit.kind == "pole":
        return [Pole(unit, None), Stub(unit.nets[-1], 1)]
    if unit.kind == "transistor":
        cell = Transistor(unit)
        return [Stub(unit.nets[0], -1), cell, Stub(cell.output, 1)]
    if unit.kind == "point":
        net = str(unit.nets[0])
        return [Stub(net, -1), Node(net, (Hang(unit, net),), named=False, last=True)]
    if unit.kind == "gate":
        return [Stub(unit.nets[0], -1), Gate(unit), Stub(unit.nets[1], 1)]
    if unit.kind == "regulator":
        return [Stub(unit.nets[0], -1), Regulator(unit), Stub(unit.nets[1], 1)]
    left, right = (str(net) for net in unit.nets)
    return [Stub(left, -1), Series((unit,), left), Stub(right, 1)]
