"""The pieces that a row is strung together from, each with its room and its drawing, left to right along one wire.

Rooms are asked for again and again while frames and sheets are laid out, so each cell works them out once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from rasterport.emit.drawing import symbols
from rasterport.emit.drawing.pen import EARTH, Pen, bar_half, flag_width, wide
from rasterport.emit.drawing.units import RAILS, Unit
from rasterport.records import GROUND, Placed

GAP = 14
LINE = 28
"""From one line of letters to the next [0.1 mm]."""
NEAR = 70
"""Axes no further apart than this become one [0.1 mm]."""
BELOW = {True: EARTH + 6, False: 34}
"""Room that a bar needs beyond its wire, by whether it is ground [0.1 mm]."""

Part = tuple[int, int, int, int]
"""Of the room of a cell: from where to where along the row, how far up and how far down."""


class Cell(Protocol):
    """Something on a row: room from its left end at the wire, and how it is drawn there."""

    @property
    def width(self) -> int: ...

    @property
    def up(self) -> int: ...

    @property
    def down(self) -> int: ...

    @property
    def profile(self) -> list[Part]: ...

    def draw(self, pen: Pen, x: int, y: int) -> None: ...


def told(unit: Unit) -> tuple[str, str]:
    """Reference and value of a part as they are printed."""
    return unit.placed.ref, unit.placed.value


def about(placed: Placed) -> str:
    """What a part is and does, for those who point at it."""
    return f"{placed.value}: {placed.role} ({placed.part.description})"


def opened(pen: Pen, unit: Unit) -> None:
    """Start the group of a symbol."""
    pen.begin(unit.placed.ref, unit.placed.role, about(unit.placed))


def label(pen: Pen, unit: Unit, x: int, y: int) -> None:
    """Reference and value on one line, at the base line `y`."""
    ref, value = told(unit)
    pen.text("ref", (x, y), ref)
    pen.text("value", (x + wide(ref + " "), y), value)


def label_width(unit: Unit) -> int:
    """Room of reference and value on one line [0.1 mm]."""
    return wide(" ".join(told(unit)))


def stacked(pen: Pen, unit: Unit, x: int, y: int) -> None:
    """Reference and value on two lines about the height `y`."""
    ref, value = told(unit)
    pen.text("ref", (x, y - 4), ref)
    pen.text("value", (x, y + LINE - 4), value)


def stacked_width(unit: Unit) -> int:
    """Room of reference and value on two lines [0.1 mm]."""
    return max(wide(word) for word in told(unit))


@dataclass(frozen=True)
class Hang:
    """A part that stands on a wire, or under it, with ground or a rail at its other end; or a test point."""

    unit: Unit
    net: str
    flagged: bool = False
    """Whether a flag says what is at the other end, which is no rail."""

    @cached_property
    def far(self) -> str:
        """The net at the other end, "" of a test point."""
        return next((n for n in self.unit.nets if n is not None and n != self.net), "")

    @cached_property
    def upward(self) -> bool:
        """Whether it stands on the wire."""
        return not self.far or (self.far.startswith(RAILS) and not self.flagged)

    @cached_property
    def left(self) -> int:
        """Room to the left of its axis."""
        return max(symbols.half_of(self.unit), self._half) + 6

    @cached_property
    def _half(self) -> int:
        return bar_half(GROUND if self.flagged else self.far or GROUND)

    @cached_property
    def width(self) -> int:
        foot = flag_width(self.far) if self.flagged else self._half
        return self.left + max(symbols.half_of(self.unit) + 8 + stacked_width(self.unit), foot) + GAP

    @cached_property
    def reach(self) -> tuple[int, int]:
        """Room above the wire and below it."""
        if self.unit.kind == "point":
            return 92, 6
        far = symbols.LENGTH + (20 if self.flagged else BELOW[self.far == GROUND] + 4)
        return (far, 6) if self.upward else (6, far)

    def draw(self, pen: Pen, x: int, y: int, dotted: bool) -> None:
        """Draw it with its left edge at `x` on the wire at `y`."""
        unit, axis, way = self.unit, x + self.left, -1 if self.upward else 1
        if dotted:
            pen.dot((axis, y))
        opened(pen, unit)
        middle = y + way * symbols.LENGTH // 2
        if unit.kind == "point":
            ((numbers, net),) = unit.ends
            pen.pin(numbers[0], net, (axis, y), (axis, y - 52))
            pen.circle("body", (axis, y - 61), 9)
            middle = y - 61
        else:
            symbols.two_ended(pen, unit, (axis, y), "up" if self.upward else "down", unit.nets[0] != self.net)
        stacked(pen, unit, axis + symbols.half_of(unit) + 8, middle)
        pen.end()
        if self.flagged:
            pen.flag(self.far, (axis, y + way * symbols.LENGTH), 1)
        elif self.far:
            pen.bar(self.far, (axis, y + way * symbols.LENGTH), way)


@dataclass(frozen=True)
class Node:
    """A stretch of one net with what stands on it and under it; its name where no flag says it.

    `last` where the row ends here: the wire goes no further than the last part.
    """

    net: str
    hangs: tuple[Hang, ...] = ()
    named: bool = True
    last: bool = False

    @cached_property
    def _ups(self) -> list[Hang]:
        return [hang for hang in self.hangs if hang.upward]

    @cached_property
    def _downs(self) -> list[Hang]:
        return [hang for hang in self.hangs if not hang.upward]

    @cached_property
    def _name(self) -> int:
        return wide(self.net) + GAP if self.named else 0

    @cached_property
    def width(self) -> int:
        return max([GAP + self._name, *[at + hang.width for hang, at in self._placed]])

    @cached_property
    def up(self) -> int:
        return max(part[2] for part in self.profile)

    @cached_property
    def down(self) -> int:
        return max(part[3] for part in self.profile)

    @cached_property
    def _placed(self) -> list[tuple[Hang, int]]:
        """What stands on it, each with where its room begins; what stands and what hangs nearby share an axis."""
        below: list[tuple[Hang, int]] = []
        at = GAP
        for hang in self._downs:
            below.append((hang, at))
            at += hang.width
        above: list[tuple[Hang, int]] = []
        at = GAP + self._name
        for hang in self._ups:
            near = next((n for n, (low, x) in enumerate(below) if x + low.left > at + hang.left - NEAR), None)
            if near is not None:
                low, x = below[near]
                short = at + hang.left - x - low.left
                if short > 0:
                    below[near:] = [(other, x + short) for other, x in below[near:]]
                elif short > -NEAR:
                    at -= short
            above.append((hang, at))
            at += hang.width
        return [*above, *below]

    @cached_property
    def profile(self) -> list[Part]:
        """The wire with its name, then each part that stands on it."""
        parts = [(0, self.width, 6, 6)]
        if self.named:
            parts.append((0, GAP + self._name, 34, 6))
        parts += [(at, at + hang.width, *hang.reach) for hang, at in self._placed]
        return parts

    def draw(self, pen: Pen, x: int, y: int) -> None:
        end = x + self.width
        if self.last and self.hangs:
            end = x + max(at + hang.left for hang, at in self._placed)
        pen.wire(self.net, (x, y), (end, y))
        if self.named:
            pen.name(self.net, (x + GAP, y - 8), (x + GAP, y))
        for hang, at in self._placed:
            hang.draw(pen, x + at, y, end != x + at + hang.left)


@dataclass(frozen=True)
class Series:
    """Two-ended parts between the same two nets, one under the other; the net on the left is named."""

    units: tuple[Unit, ...]
    left: str

    @cached_property
    def _side(self) -> int:
        return GAP if len(self.units) > 1 else 0

    @cached_property
    def width(self) -> int:
        return max(symbols.LENGTH, *[label_width(unit) + 10 for unit in self.units]) + 2 * self._side

    @cached_property
    def _levels(self) -> list[int]:
        levels, level = [], 0
        for n, unit in enumerate(self.units):
            if n:
                level += symbols.half_of(self.units[n - 1]) + symbols.half_of(unit) + 44
            levels.append(level)
        return levels

    @cached_property
    def up(self) -> int:
        return symbols.half_of(self.units[0]) + 34

    @cached_property
    def down(self) -> int:
        return self._levels[-1] + symbols.half_of(self.units[-1]) + 6

    @cached_property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        end = x + self.width
        start, stop = x + self._side, end - self._side
        for n, (unit, level) in enumerate(zip(self.units, self._levels, strict=True)):
            turned = unit.nets[0] != self.left
            right = unit.nets[0] if turned else unit.nets[1]
            at = start + (stop - start - symbols.LENGTH) // 2
            for net, near, far in ((self.left, start, at), (right, stop, at + symbols.LENGTH)):
                edge = x if near == start else end
                pen.wire(net, (far, y + level), (near, y + level))
                if n == 0:
                    pen.wire(net, (near, y), (edge, y))
                if len(self.units) > 1 and n == len(self.units) - 1:
                    pen.wire(net, (near, y), (near, y + level))
                    for height in self._levels[:-1]:
                        pen.dot((near, y + height))
            opened(pen, unit)
            symbols.two_ended(pen, unit, (at, y + level), "right", turned)
            label(pen, unit, at + (symbols.LENGTH - label_width(unit)) // 2, y + level - symbols.half_of(unit) - 8)
            pen.end()


def drop_of(cell: Cell) -> int:
    """How much lower a row goes on after a cell."""
    return int(getattr(cell, "drop", 0))


@dataclass(frozen=True)
class Row:
    """Cells strung together along one wire."""

    cells: tuple[Cell, ...]

    @cached_property
    def profile(self) -> list[Part]:
        """The room of each piece along the row."""
        found: list[Part] = []
        at = level = 0
        for cell in self.cells:
            found += [(at + start, at + end, up - level, down + level) for start, end, up, down in cell.profile]
            at += cell.width
            level += drop_of(cell)
        return found

    @cached_property
    def drop(self) -> int:
        """How much lower the row ends than it begins."""
        return sum(drop_of(cell) for cell in self.cells)

    @cached_property
    def width(self) -> int:
        return sum(cell.width for cell in self.cells)

    @cached_property
    def up(self) -> int:
        return max((part[2] for part in self.profile), default=0)

    @cached_property
    def down(self) -> int:
        return max((part[3] for part in self.profile), default=0)

    def draw(self, pen: Pen, x: int, y: int) -> None:
        for cell in self.cells:
            cell.draw(pen, x, y)
            x += cell.width
            y += drop_of(cell)
