"""Parts drawn as a rectangle with all their pins: connectors, encoders, what is left of an integrated circuit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from rasterport.emit.drawing.cells import Part, label, label_width, opened
from rasterport.emit.drawing.ends import end_down, end_mark, end_width
from rasterport.emit.drawing.functions import Function, function_of
from rasterport.emit.drawing.pen import EARTH, SMALL, Pen, wide
from rasterport.emit.drawing.symbols import CIRCLE
from rasterport.emit.drawing.units import Unit
from rasterport.records import GROUND

Stubs = tuple[tuple[str, ...], str | None, str]
"""Pins that are drawn as one, their net, the name beside them."""
PITCH = 48
"""From one pin to the next [0.1 mm]."""
STUB = 40


LONG = 56
"""Length of a pin with its number on it."""
HEAD = 34
"""Room of a qualifying symbol."""
SPARE = 40
"""Room between the words of both sides."""
BLOCK = 17
"""Half the height of a block in a box."""


@dataclass(slots=True)
class Box:
    """A part drawn as a rectangle with all its pins, each with the flag of its net; alone on its row.

    Where it is told what the part does, numbers of pins stand on the pins, and in the box what they do.
    """

    unit: Unit
    width: int = 0
    down: int = 0
    _function: Function | None = None
    _sides: tuple[list[Stubs], list[Stubs]] = field(default_factory=lambda: ([], []))
    _levels: tuple[list[int], list[int]] = field(default_factory=lambda: ([], []))
    _flags: tuple[int, int] = (0, 0)
    _body: int = 0
    _pin: int = STUB

    def __post_init__(self) -> None:
        """Sort the pins: outputs and commons on the right, the others on the left; of connectors all on the left."""
        function = self._function = function_of(self.unit.placed.part)
        self._sides = self._sorted()
        self._pin = LONG if function else STUB
        top = HEAD if function else 0
        self._levels = (_heights(self._sides[0], top), _heights(self._sides[1], top))
        flags = [max((end_width(net) for _, net, _ in side), default=-self._pin) + self._pin for side in self._sides]
        self._flags = (flags[0], flags[1])
        inner = sum(max((wide(self._words(pin), SMALL) for pin in side), default=0) for side in self._sides)
        if function:
            inner += max((24 + wide(words, SMALL) for words in function.braces.values()), default=0)
            inner = max(inner, wide(function.title) - 10)
        self._body = max(inner + SPARE, 110)
        self.width = max(sum(self._flags) + self._body, self._flags[0] + label_width(self.unit))
        self.down = 12 + max(levels[-1] + PITCH // 2 for levels in self._levels if levels)

    def _sorted(self) -> tuple[list[Stubs], list[Stubs]]:
        placed, function = self.unit.placed, self._function
        kinds = {pin.number: (pin.name, pin.kind) for pin in placed.part.pins}
        joint = placed.part.appears == "joint"
        left: dict[object, Stubs] = {}
        right: dict[object, Stubs] = {}
        spare = [] if joint else [numbers[0] for numbers, net in self.unit.ends if net is None]
        for (number, *_), net in self.unit.ends:
            name, kind = kinds.get(number, ("", "passive"))
            out = kind in ("output", "power_out", "open_collector") or (
                placed.part.appears == "contacts" and (name in ("X", "Y", "Z") or name.startswith("common"))
            )
            side = right if out and not joint else left
            merged = joint or net is None or (net == GROUND and kind == "input" and bool(spare))
            merged = merged and function is None
            key: object = (net, kind) if merged else number
            before = side.get(key, ((), net, ""))
            side[key] = ((*before[0], number), net, "" if merged or name == "~" else name)
        if joint:
            return chunks(left.values()), chunks(right.values())
        first = list(function.words) if function else []

        def place(pin: Stubs) -> tuple[int, object]:
            return first.index(pin[2]) if pin[2] in first else len(first), _by_name(pin)

        return chunks(sorted(left.values(), key=place)), chunks(sorted(right.values(), key=place))

    def _words(self, pin: Stubs) -> str:
        """What stands beside a pin in the box."""
        if self._function:
            return self._function.words.get(pin[2], pin[2])
        return f"{' '.join(pin[0])} {pin[2]}".strip()

    @property
    def up(self) -> int:
        """Room of the label above it."""
        return 34

    @property
    def profile(self) -> list[Part]:
        """All of it."""
        ground = max((end_down(side[-1][1]) for side in self._sides if side), default=0)
        return [(0, self.width, self.up, max(self.down, self.down - PITCH // 2 + ground))]

    def draw(self, pen: Pen, x: int, y: int) -> None:
        """Draw it with its upper edge at `y`."""
        left = x + self._flags[0]
        right, bottom = left + self._body, y + self.down
        sides = list(zip(self._sides, self._levels, (left, right), (-1, 1), strict=True))
        for side, levels, edge, way in sides:
            for (_, net, _), level in zip(side, levels, strict=True):
                end_mark(pen, net, edge + way * self._pin, y + level, way)
        opened(pen, self.unit)
        pen.path("body", (left, y), (right, y), (right, bottom), (left, bottom), closed=True)
        label(pen, self.unit, left, y - 10)
        for side, levels, edge, way in sides:
            for pin, level in zip(side, levels, strict=True):
                self._stub(pen, pin, edge, y + level, way)
                at = (edge - way * 8, y + level + 7)
                pen.text("mark", at, self._words(pin), "start" if way < 0 else "end", SMALL)
        if self._function:
            pen.told = True
            pen.text("mark", ((left + right) // 2, y + 28), self._function.title, "middle")
            self._braces(pen, self._function, left, y)
            self._blocks(pen, self._function, (left, right), y)
        pen.end()

    def _stub(self, pen: Pen, pin: Stubs, edge: int, level: int, way: int) -> None:
        """A pin from its outer end, its number on it where there is room; a circle where it is negated."""
        inner = edge
        if self._function and pin[2] in self._function.negated:
            pen.circle("body", (edge + way * CIRCLE, level), CIRCLE)
            inner += 2 * way * CIRCLE
        for number in pin[0]:
            pen.pin(number, pin[1], (edge + way * self._pin, level), (inner, level))
        if self._function:
            at = (edge + way * (2 * CIRCLE + 2), level - 6)
            pen.text("number", at, " ".join(pin[0]), "end" if way < 0 else "start", SMALL)

    def _at(self, name: str) -> tuple[int, int, int] | None:
        """Side and height of a pin and the room of its words."""
        for number, (side, levels) in enumerate(zip(self._sides, self._levels, strict=True)):
            for pin, level in zip(side, levels, strict=True):
                if pin[2] == name:
                    return number, level, wide(self._words(pin), SMALL)
        return None

    def _braces(self, pen: Pen, function: Function, x: int, y: int) -> None:
        """What several pins do together, beside a brace behind their words."""
        for names, words in function.braces.items():
            found = [at for name in names if (at := self._at(name))]
            right = x + 16 + max(room for _, _, room in found) + 8
            top, bottom = y + min(level for _, level, _ in found) - 14, y + max(level for _, level, _ in found) + 14
            pen.path("sign", (right - 8, top), (right, top), (right, bottom), (right - 8, bottom))
            pen.text("mark", (right + 8, (top + bottom) // 2 + 7), words, size=SMALL)

    def _blocks(self, pen: Pen, function: Function, edges: tuple[int, int], y: int) -> None:
        """Blocks around the words of pins, and arrows from one to the next: across, or up and down on one side."""
        blocks = {}
        for name in dict.fromkeys(name for link in function.links for name in link):
            if at := self._at(name):
                side, level, room = at
                left, right = sorted((edges[side], edges[side] + (-1 if side else 1) * (room + 16)))
                blocks[name] = (left, y + level - BLOCK, right, y + level + BLOCK)
                pen.box("sign", *blocks[name])
        for start, end in function.links:
            if start not in blocks or end not in blocks:
                continue
            (_, top, right, bottom), (left, above, _, below) = blocks[start], blocks[end]
            if right < left:
                level = (top + bottom) // 2
                pen.arrow((right, level), (left, level))
            else:
                x = edges[1] - 40
                pen.arrow((x, bottom), (x, above)) if bottom < above else pen.arrow((x, top), (x, below))


def _heights(side: list[Stubs], top: int) -> list[int]:
    """Heights of pins below the upper edge, beginning at `top`; the sign of ground needs more room below it."""
    found, level = [], top + 6 + PITCH // 2
    for _, net, _ in side:
        found.append(level)
        level += PITCH + (EARTH // 2 if net == GROUND else 0)
    return found


def _by_name(pin: Stubs) -> tuple[bool, bool, list[tuple[int, str]]]:
    """Signals by letter and number, then supplies, then what is open."""
    words = [(int(w), "") if w.isdigit() else (-1, w) for w in re.findall(r"\d+|\D+", pin[2])]
    return pin[1] is None, pin[2] in ("GND", "VCC", "VDD", "VSS", "VEE"), words


def chunks(pins: Iterable[Stubs], most: int = 18) -> list[Stubs]:
    """Stubs with so few pins that their numbers fit."""
    found: list[Stubs] = []
    for numbers, net, words in pins:
        row: list[str] = []
        for number in numbers:
            if row and len(" ".join([*row, number])) > most:
                found.append((tuple(row), net, words))
                row = []
            row.append(number)
        found.append((tuple(row), net, words))
    return found
