"""The pieces that a row is strung together from, each with its room and its drawing, left to right along one wire.

Rooms are asked for again and again while frames and sheets are laid out, so each cell works them out once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from rasterport.emit.drawing import symbols
from rasterport.emit.drawing.pen import EARTH, ONWARD, SMALL, Pen, Point, bar_half, flag_width, wide
from rasterport.emit.drawing.units import RAILS, Unit
from rasterport.records import GROUND, Placed

GAP = 14
LINE = 28
"""From one line of letters to the next [0.1 mm]."""
NEAR = 70
"""Axes no further apart than this become one [0.1 mm]."""
THROW = 64
"""From one throw of a pole to the next [0.1 mm]."""
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


Tails = tuple[tuple[int, Unit], ...]
"""Throws that end in a part to ground, each with that part."""


def _room(unit: Unit, throw: int, tails: Tails) -> int:
    """Room beside a throw that the row does not go through: a flag, ground, a cross, or a part to ground."""
    part = dict(tails).get(throw)
    net = unit.nets[throw]
    if part is None:
        return end_width(net)
    return wide(str(net)) + 2 * GAP + max(symbols.LENGTH, label_width(part)) + end_width(GROUND)


def _end(pen: Pen, unit: Unit, throw: int, tails: Tails, at: Point, way: int) -> None:
    """Draw what stands beside a throw, outwards from its outer end: to the right (`way` 1) or to the left (-1)."""
    part, net = dict(tails).get(throw), unit.nets[throw]
    if part is None or net is None:
        end_mark(pen, net, *at, way)
        return
    (x, y), room = at, max(symbols.LENGTH, label_width(part))
    near = x + way * (wide(net) + 2 * GAP + (room - symbols.LENGTH) // 2)
    far = near + way * symbols.LENGTH
    pen.wire(net, (x, y), (near, y))
    pen.name(net, (min(x, x + way * (wide(net) + GAP)) + (GAP if way > 0 else 0), y - 8), (x, y))
    opened(pen, part)
    symbols.two_ended(pen, part, (min(near, far), y), "right", (part.nets[0] == net) == (way < 0))
    middle = (near + far) // 2
    label(pen, part, middle - label_width(part) // 2, y - symbols.half_of(part) - 8)
    pen.end()
    end_mark(pen, GROUND, far, y, way)


@dataclass(frozen=True)
class Pole:
    """A pole of contacts: throws on the left, the common on the right; the row comes in at one throw, or at none."""

    unit: Unit
    entered: int | None
    tails: Tails = ()

    @cached_property
    def _order(self) -> list[int]:
        throws = list(range(len(self.unit.ends) - 1))
        return throws if self.entered is None else [self.entered, *[t for t in throws if t != self.entered]]

    @cached_property
    def _side(self) -> int:
        """Room of the flags on the left."""
        flagged = [_room(self.unit, t, self.tails) for t in self._order if t != self.entered]
        return max(flagged, default=0) + (GAP if flagged else 0)

    def _words(self, end: int) -> str:
        return " ".join([*self.unit.ends[end][0], *self.unit.names[end : end + 1]])

    @cached_property
    def _reach(self) -> int:
        """Length of the throws with the numbers on them."""
        return max(44, *[wide(self._words(t), SMALL) + 20 + ONWARD for t in range(len(self.unit.ends) - 1)])

    @cached_property
    def _pitch(self) -> int:
        return 44 if self.unit.symbol == "channel" else THROW

    @cached_property
    def _body(self) -> int:
        """Width of the contacts."""
        return max(80, wide(self.unit.names[-1], SMALL) + 20) if self.unit.symbol == "channel" else 80

    @cached_property
    def width(self) -> int:
        common = wide(self._words(len(self.unit.ends) - 1), SMALL) + 20
        return max(self._side + self._reach + self._body + common, self._side + label_width(self.unit)) + GAP

    @cached_property
    def up(self) -> int:
        return 62

    @cached_property
    def down(self) -> int:
        last = (len(self._order) - 1) * self._pitch
        return last + (56 if self.unit.symbol == "channel" else 24 if self._last is not None else 18)

    @cached_property
    def _last(self) -> str | None:
        return self.unit.nets[self._order[-1]]

    @cached_property
    def profile(self) -> list[Part]:
        ground = (EARTH if self._last == GROUND or dict(self.tails).get(self._order[-1]) else 0) if self._side else 0
        return [(0, self._side, self.up - 20, self.down + ground), (self._side, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        unit, left, end = self.unit, x + self._side, x + self.width
        contact = left + self._reach
        levels = {throw: y + n * self._pitch for n, throw in enumerate(self._order)}
        for throw, level in levels.items():
            if throw == self.entered:
                pen.wire(unit.nets[throw], (x, level), (left, level))
            else:
                _end(pen, unit, throw, self.tails, (left, level), -1)
        opened(pen, unit)
        for throw, level in levels.items():
            numbers, net = unit.ends[throw]
            for number in numbers:
                pen.pin(number, net, (left, level), (contact, level))
            pen.text(
                "number",
                (left + 6 + (ONWARD if throw != self.entered else 0), level - 6),
                self._words(throw),
                size=SMALL,
            )
        right = self._channel(pen, contact, y, levels) if unit.symbol == "channel" else contact + 72
        if unit.symbol != "channel":
            for level in levels.values():
                pen.circle("body", (contact + 4, level), 4)
            resting = levels[unit.rest]
            pen.path("body", (right, y), (contact + 6, resting + (5 if resting == y else -5)))
        (common,), net = unit.ends[-1]
        pen.pin(common, net, (end, y), (right, y))
        pen.text("number", (right + 8, y - 6), self._words(len(unit.ends) - 1), size=SMALL)
        label(pen, unit, left + 6, y - 34)
        pen.end()

    def _channel(self, pen: Pen, x: int, y: int, levels: Mapping[int, int]) -> int:
        """Contacts in a box: an electronic switch, and what addresses it; returns its right edge."""
        right, low = x + self._body, max(levels.values()) + 50
        pen.path("body", (x, y - 26), (right, y - 26), (right, low), (x, low), closed=True)
        for level in levels.values():
            pen.path("sign", (x, level), (x + 10, level))
            pen.circle("sign", (x + 14, level), 4)
        pen.path("sign", (right, y), (right - 14, y), (x + 22, y + 14))
        pen.text("mark", ((x + right) // 2, low - 8), self.unit.names[-1], "middle", SMALL)
        return right


@dataclass(frozen=True)
class Fork:
    """A pole that the row enters at the common and leaves at one throw, the others below it with flags."""

    unit: Unit
    to: int
    tails: Tails = ()

    @cached_property
    def _order(self) -> list[int]:
        return [self.to, *[t for t in range(len(self.unit.ends) - 1) if t != self.to]]

    @cached_property
    def _common(self) -> int:
        return wide(self.unit.ends[-1][0][0], SMALL) + 20

    @cached_property
    def _reach(self) -> int:
        return max(44, *[wide(" ".join(numbers), SMALL) + 24 + ONWARD for numbers, _ in self.unit.ends[:-1]])

    @cached_property
    def width(self) -> int:
        flags = max((_room(self.unit, t, self.tails) for t in self._order[1:]), default=0)
        return max(self._common + 80 + self._reach + flags, label_width(self.unit)) + 2 * GAP

    @cached_property
    def up(self) -> int:
        return 62

    @cached_property
    def down(self) -> int:
        return (len(self._order) - 1) * THROW + 24 + EARTH

    @cached_property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        unit, pivot = self.unit, x + self._common
        contact, end = pivot + 72, pivot + 72 + self._reach
        levels = {throw: y + n * THROW for n, throw in enumerate(self._order)}
        for throw, level in levels.items():
            net = unit.nets[throw]
            if throw == self.to and net is not None:
                pen.wire(net, (end, y), (x + self.width, y))
            else:
                _end(pen, unit, throw, self.tails, (end, level), 1)
        opened(pen, unit)
        (common,), net = unit.ends[-1]
        pen.pin(common, net, (x, y), (pivot, y))
        pen.text("number", (pivot - 6, y - 6), common, "end", SMALL)
        for throw, level in levels.items():
            numbers, net = unit.ends[throw]
            for number in numbers:
                pen.pin(number, net, (end, level), (contact, level))
            pen.circle("body", (contact - 4, level), 4)
            short = 6 + (ONWARD if throw != self.to else 0)
            pen.text("number", (end - short, level - 6), " ".join(numbers), "end", SMALL)
        resting = levels[unit.rest]
        pen.path("body", (pivot, y), (contact - 6, resting + (5 if resting == y else -5)))
        label(pen, unit, x + 6, y - 34)
        pen.end()


@dataclass(frozen=True)
class Transistor:
    """A transistor that the row enters at its base; `goes_on` where the row leaves it at its output."""

    unit: Unit

    @cached_property
    def _output(self) -> int:
        return 2 if self.unit.symbol == "pnp" else 1

    @cached_property
    def output(self) -> str:
        """Net of collector or drain."""
        return self.unit.nets[self._output] or ""

    @cached_property
    def _other(self) -> str:
        return self.unit.nets[3 - self._output] or ""

    @cached_property
    def width(self) -> int:
        return symbols.COLUMN + max(44 + stacked_width(self.unit), bar_half(self._other)) + GAP

    @cached_property
    def drop(self) -> int:
        """How much lower the row goes on: at the height of the output."""
        return symbols.ARM if self._output == 2 else -symbols.ARM

    @cached_property
    def up(self) -> int:
        return symbols.ARM + (40 if self._output == 2 else 8)

    @cached_property
    def down(self) -> int:
        return symbols.ARM + (8 if self._output == 2 else BELOW[self._other == GROUND])

    @cached_property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        column, level = x + symbols.COLUMN, y + self.drop
        pen.wire(self.output, (column, level), (x + self.width, level))
        opened(pen, self.unit)
        symbols.transistor(pen, self.unit, (x, y))
        stacked(pen, self.unit, column + 40, y)
        pen.end()
        pen.bar(self._other, (column, y - self.drop), -1 if self.drop > 0 else 1)


@dataclass(frozen=True)
class Gate:
    """A gate of one input; the row comes in there and leaves at the output."""

    unit: Unit

    @cached_property
    def width(self) -> int:
        return max(2 * symbols.GATE_PIN + symbols.GATE_BODY, label_width(self.unit) + GAP)

    @cached_property
    def up(self) -> int:
        return symbols.GATE_BODY // 2 + 34

    @cached_property
    def down(self) -> int:
        return symbols.GATE_BODY // 2 + 6

    @cached_property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        (_, entered), (_, left) = self.unit.ends
        at = x + (self.width - 2 * symbols.GATE_PIN - symbols.GATE_BODY) // 2
        end = at + 2 * symbols.GATE_PIN + symbols.GATE_BODY
        pen.wire(entered, (x, y), (at, y))
        pen.wire(left, (end, y), (x + self.width, y))
        opened(pen, self.unit)
        symbols.gate(pen, self.unit, (at, y))
        label(pen, self.unit, x + (self.width - label_width(self.unit)) // 2, y - symbols.GATE_BODY // 2 - 8)
        pen.end()


@dataclass(frozen=True)
class Regulator:
    """A regulator of three pins; the row comes in at its input and leaves at its output."""

    unit: Unit

    @cached_property
    def width(self) -> int:
        return max(2 * symbols.REGULATOR_PIN + symbols.REGULATOR[0], label_width(self.unit)) + GAP

    @cached_property
    def up(self) -> int:
        return symbols.REGULATOR[1] // 2 + 34

    @cached_property
    def down(self) -> int:
        return symbols.REGULATOR[1] // 2 + symbols.REGULATOR_PIN + BELOW[self.unit.nets[2] == GROUND]

    @cached_property
    def profile(self) -> list[Part]:
        return [(0, self.width, self.up, self.down)]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        entered, left, ground = self.unit.nets
        at = x + (self.width - 2 * symbols.REGULATOR_PIN - symbols.REGULATOR[0]) // 2
        end = at + 2 * symbols.REGULATOR_PIN + symbols.REGULATOR[0]
        pen.wire(entered, (x, y), (at, y))
        pen.wire(left, (end, y), (x + self.width, y))
        opened(pen, self.unit)
        foot = symbols.regulator(pen, self.unit, (at, y))
        label(pen, self.unit, x + (self.width - label_width(self.unit)) // 2, y - symbols.REGULATOR[1] // 2 - 8)
        pen.end()
        pen.bar(str(ground), foot, 1)


@dataclass(frozen=True)
class Stub:
    """The end of a row: a flag with the name of the net, ground, or a cross; `way` -1 on the left, 1 on the right."""

    net: str | None
    way: int

    @cached_property
    def width(self) -> int:
        return end_width(self.net)

    @cached_property
    def up(self) -> int:
        return end_up(self.net)

    @cached_property
    def down(self) -> int:
        return end_down(self.net)

    @cached_property
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
    return 18 + EARTH if net == GROUND else 18


def end_mark(pen: Pen, net: str | None, x: int, y: int, way: int) -> None:
    """The end of a wire that comes from the other side: flag, ground or cross, at `x`."""
    if net is None:
        pen.cross((x, y))
    elif net == GROUND:
        pen.wire(net, (x, y), (x + way * 30, y), (x + way * 30, y + 12))
        pen.bar(net, (x + way * 30, y + 12), 1)
    else:
        pen.flag(net, (x, y), way)


def drop_of(cell: Cell) -> int:
    """How much lower a row goes on after a cell."""
    return cell.drop if isinstance(cell, Transistor) else 0


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
