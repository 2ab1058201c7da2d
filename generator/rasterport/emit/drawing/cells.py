"""The pieces that a row is strung together from, each with its room and its drawing, left to right along one wire."""

from __future__ import annotations

from typing import Protocol

from rasterport.emit.drawing import symbols
from rasterport.emit.drawing.pen import SMALL, Pen, bar_half, cut, flag_width, wide
from rasterport.emit.drawing.units import RAILS, Unit
from rasterport.frozen import dataclass
from rasterport.records import GROUND

GAP = 14
LINE = 28
"""From one line of letters to the next [0.1 mm]."""
THROW = 64
"""From one throw of a pole to the next [0.1 mm]."""
VALUE = 330
"""Room of a value beside a symbol; a longer one is cut, and whole in its title [0.1 mm]."""


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
    return unit.placed.ref, cut(unit.placed.value, VALUE)


def opened(pen: Pen, unit: Unit) -> None:
    """Start the group of a symbol."""
    pen.begin(unit.placed.ref, unit.placed.role, unit.placed.value)


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


@dataclass(frozen=True, slots=True)
class Hang:
    """A part that stands on a wire, or under it, with ground or a rail at its other end; or a test point."""

    unit: Unit
    net: str

    @property
    def far(self) -> str:
        """The net at the other end, "" of a test point."""
        return next((n for n in self.unit.nets if n is not None and n != self.net), "")

    @property
    def upward(self) -> bool:
        """Whether it stands on the wire."""
        return not self.far or self.far.startswith(RAILS)

    @property
    def left(self) -> int:
        """Room to the left of its axis."""
        return max(symbols.half_of(self.unit), bar_half(self.far or GROUND)) + 6

    @property
    def width(self) -> int:
        right = max(symbols.half_of(self.unit) + 8 + stacked_width(self.unit), bar_half(self.far or GROUND))
        return self.left + right + GAP

    @property
    def reach(self) -> tuple[int, int]:
        """Room above the wire and below it."""
        if self.unit.kind == "point":
            return 92, 6
        far = symbols.LENGTH + (6 if self.far == GROUND else 38)
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
        if self.far:
            pen.bar(self.far, (axis, y + way * symbols.LENGTH), way)


@dataclass(frozen=True, slots=True)
class Node:
    """A stretch of one net with what stands on it and under it; its name where no flag says it.

    `last` where the row ends here: the wire goes no further than the last part.
    """

    net: str
    hangs: tuple[Hang, ...] = ()
    named: bool = True
    last: bool = False

    @property
    def _ups(self) -> list[Hang]:
        return [hang for hang in self.hangs if hang.upward]

    @property
    def _downs(self) -> list[Hang]:
        return [hang for hang in self.hangs if not hang.upward]

    @property
    def _name(self) -> int:
        return wide(self.net) + GAP if self.named else 0

    @property
    def width(self) -> int:
        above = self._name + sum(hang.width for hang in self._ups)
        return GAP + max(above, sum(hang.width for hang in self._downs))

    @property
    def up(self) -> int:
        return max(part[2] for part in self.profile)

    @property
    def down(self) -> int:
        return max(part[3] for part in self.profile)

    @property
    def _placed(self) -> list[tuple[Hang, int]]:
        """What stands on it, each with where its room begins."""
        found = []
        for hangs, start in ((self._ups, GAP + self._name), (self._downs, GAP)):
            for hang in hangs:
                found.append((hang, start))
                start += hang.width
        return found

    @property
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


@dataclass(frozen=True, slots=True)
class Series:
    """Two-ended parts between the same two nets, one under the other; the net on the left is named."""

    units: tuple[Unit, ...]
    left: str

    @property
    def _side(self) -> int:
        return GAP if len(self.units) > 1 else 0

    @property
    def width(self) -> int:
        return max(symbols.LENGTH, *[label_width(unit) + 10 for unit in self.units]) + 2 * self._side

    @property
    def _levels(self) -> list[int]:
        levels, level = [], 0
        for n, unit in enumerate(self.units):
            if n:
                level += symbols.half_of(self.units[n - 1]) + symbols.half_of(unit) + 44
            levels.append(level)
        return levels

    @property
    def up(self) -> int:
        return symbols.half_of(self.units[0]) + 34

    @property
    def down(self) -> int:
        return self._levels[-1] + symbols.half_of(self.units[-1]) + 6

    @property
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


@dataclass(frozen=True, slots=True)
class Pole:
    """A pole of contacts: throws on the left, the common on the right; the row comes in at one throw, or at none."""

    unit: Unit
    entered: int | None

    @property
    def _order(self) -> list[int]:
        throws = list(range(len(self.unit.ends) - 1))
        return throws if self.entered is None else [self.entered, *[t for t in throws if t != self.entered]]

    @property
    def _side(self) -> int:
        """Room of the flags on the left."""
        flagged = [self.unit.nets[t] for t in self._order if t != self.entered]
        return max((end_width(net) for net in flagged), default=0) + (GAP if flagged else 0)

    @property
    def _reach(self) -> int:
        """Length of the throws with the numbers on them."""
        return max(44, *[wide(" ".join(numbers), SMALL) + 20 for numbers, _ in self.unit.ends[:-1]])

    @property
    def width(self) -> int:
        common = wide(self.unit.ends[-1][0][0], SMALL) + 20
        return max(self._side + self._reach + 80 + common, self._side + label_width(self.unit)) + GAP

    @property
    def up(self) -> int:
        return 62

    @property
    def down(self) -> int:
        return (len(self._order) - 1) * THROW + 24

    @property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        unit, left = self.unit, x + self._side
        contact, pivot = left + self._reach, left + self._reach + 72
        for n, throw in enumerate(self._order):
            numbers, net = unit.ends[throw]
            level = y + n * THROW
            if throw == self.entered:
                pen.wire(net, (x, level), (left, level))
            else:
                end_mark(pen, net, left, level, -1)
            if throw == unit.rest:
                resting = level
        opened(pen, unit)
        for n, throw in enumerate(self._order):
            numbers, net = unit.ends[throw]
            level = y + n * THROW
            for number in numbers:
                pen.pin(number, net, (left, level), (contact, level))
            pen.circle("body", (contact + 4, level), 4)
            pen.text("number", (left + (6 if net is not None else 14), level - 6), " ".join(numbers), size=SMALL)
        (common,), net = unit.ends[-1]
        end = x + self.width
        pen.pin(common, net, (end, y), (pivot, y))
        pen.path("body", (pivot, y), (contact + 6, resting + (5 if resting == y else -5)))
        pen.text("number", (pivot + 8, y - 6), common, size=SMALL)
        label(pen, unit, left + 6, y - 34)
        pen.end()


@dataclass(frozen=True, slots=True)
class Fork:
    """A pole that the row enters at the common and leaves at one throw, the others below it with flags."""

    unit: Unit
    to: int

    @property
    def _order(self) -> list[int]:
        return [self.to, *[t for t in range(len(self.unit.ends) - 1) if t != self.to]]

    @property
    def _common(self) -> int:
        return wide(self.unit.ends[-1][0][0], SMALL) + 20

    @property
    def _reach(self) -> int:
        return max(44, *[wide(" ".join(numbers), SMALL) + 24 for numbers, _ in self.unit.ends[:-1]])

    @property
    def width(self) -> int:
        flags = max((end_width(self.unit.nets[t]) for t in self._order[1:]), default=0)
        return max(self._common + 80 + self._reach + flags, label_width(self.unit)) + 2 * GAP

    @property
    def up(self) -> int:
        return 62

    @property
    def down(self) -> int:
        return (len(self._order) - 1) * THROW + 24

    @property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        unit, pivot = self.unit, x + self._common
        contact, end = pivot + 72, pivot + 72 + self._reach
        for n, throw in enumerate(self._order):
            net = unit.nets[throw]
            if n == 0 and net is not None:
                pen.wire(net, (end, y), (x + self.width, y))
            else:
                end_mark(pen, net, end, y + n * THROW, 1)
            if throw == unit.rest:
                resting = y + n * THROW
        opened(pen, unit)
        (common,), net = unit.ends[-1]
        pen.pin(common, net, (x, y), (pivot, y))
        pen.text("number", (pivot - 6, y - 6), common, "end", SMALL)
        for n, throw in enumerate(self._order):
            numbers, net = unit.ends[throw]
            level = y + n * THROW
            for number in numbers:
                pen.pin(number, net, (end, level), (contact, level))
            pen.circle("body", (contact - 4, level), 4)
            pen.text("number", (end - (6 if net is not None else 14), level - 6), " ".join(numbers), "end", SMALL)
        pen.path("body", (pivot, y), (contact - 6, resting + (5 if resting == y else -5)))
        label(pen, unit, x + 6, y - 34)
        pen.end()


@dataclass(frozen=True, slots=True)
class Transistor:
    """A transistor that the row enters at its base; `goes_on` where the row leaves it at its output."""

    unit: Unit

    @property
    def _output(self) -> int:
        return 2 if self.unit.symbol == "pnp" else 1

    @property
    def output(self) -> str:
        """Net of collector or drain."""
        return self.unit.nets[self._output] or ""

    @property
    def _other(self) -> str:
        return self.unit.nets[3 - self._output] or ""

    @property
    def _loop(self) -> int:
        return max(symbols.COLUMN + 44 + stacked_width(self.unit) + 10, symbols.COLUMN + bar_half(self._other) + 10)

    @property
    def width(self) -> int:
        return self._loop + GAP

    @property
    def up(self) -> int:
        return symbols.ARM + (40 if self._output == 2 else 8)

    @property
    def down(self) -> int:
        return symbols.ARM + (8 if self._output == 2 or self._other == GROUND else 34)

    @property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        way = 1 if self._output == 2 else -1
        column, loop, level = x + symbols.COLUMN, x + self._loop, y + way * symbols.ARM
        pen.wire(self.output, (column, level), (loop, level), (loop, y), (loop + GAP, y))
        opened(pen, self.unit)
        symbols.transistor(pen, self.unit, (x, y))
        stacked(pen, self.unit, column + 40, y)
        pen.end()
        pen.bar(self._other, (column, y - way * symbols.ARM), -way)


@dataclass(frozen=True, slots=True)
class Stub:
    """The end of a row: a flag with the name of the net, ground, or a cross; `way` -1 on the left, 1 on the right."""

    net: str | None
    way: int

    @property
    def width(self) -> int:
        return end_width(self.net)

    @property
    def up(self) -> int:
        return end_up(self.net)

    @property
    def down(self) -> int:
        return end_down(self.net)

    @property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        end_mark(pen, self.net, x if self.way > 0 else x + self.width, y, self.way)


def end_width(net: str | None) -> int:
    """Room that the end of a wire needs [0.1 mm]."""
    return 20 if net is None else 60 if net == GROUND else flag_width(net)


def end_up(net: str | None) -> int:
    """Room above the end of a wire."""
    return 18


def end_down(net: str | None) -> int:
    """Room below the end of a wire."""
    return 30 if net == GROUND else 18


def end_mark(pen: Pen, net: str | None, x: int, y: int, way: int) -> None:
    """The end of a wire that comes from the other side: flag, ground or cross, at `x`."""
    if net is None:
        pen.cross((x, y))
    elif net == GROUND:
        pen.wire(net, (x, y), (x + way * 30, y), (x + way * 30, y + 16))
        pen.bar(net, (x + way * 30, y + 16), 1)
    else:
        pen.flag(net, (x, y), way)


@dataclass(frozen=True, slots=True)
class Row:
    """Cells strung together along one wire."""

    cells: tuple[Cell, ...]

    @property
    def profile(self) -> list[Part]:
        """The room of each piece along the row."""
        found: list[Part] = []
        at = 0
        for cell in self.cells:
            found += [(at + start, at + end, up, down) for start, end, up, down in cell.profile]
            at += cell.width
        return found

    @property
    def width(self) -> int:
        return sum(cell.width for cell in self.cells)

    @property
    def up(self) -> int:
        return max((cell.up for cell in self.cells), default=0)

    @property
    def down(self) -> int:
        return max((cell.down for cell in self.cells), default=0)

    def draw(self, pen: Pen, x: int, y: int) -> None:
        for cell in self.cells:
            cell.draw(pen, x, y)
            x += cell.width
