"""Contacts of switches and relays, and analog switches, as cells of a row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from rasterport.emit.drawing import symbols
from rasterport.emit.drawing.cells import GAP, Part, label, label_width, opened
from rasterport.emit.drawing.ends import end_mark, end_width
from rasterport.emit.drawing.pen import EARTH, ONWARD, SMALL, Pen, Point, wide
from rasterport.emit.drawing.units import Unit
from rasterport.records import GROUND

THROW = 64
"""From one throw of a pole to the next [0.1 mm]."""
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
