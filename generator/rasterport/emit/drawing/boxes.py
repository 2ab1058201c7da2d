"""Parts drawn as a rectangle with all their pins: connectors, encoders, what is left of an integrated circuit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from rasterport.emit.drawing.cells import Part, label, label_width, opened
from rasterport.emit.drawing.ends import end_down, end_mark, end_width
from rasterport.emit.drawing.pen import EARTH, SMALL, Pen, wide
from rasterport.emit.drawing.units import Unit
from rasterport.records import GROUND

Stubs = tuple[tuple[str, ...], str | None, str]
"""Pins that are drawn as one, their net, the name beside them."""
PITCH = 48
"""From one pin to the next [0.1 mm]."""
STUB = 40


@dataclass(slots=True)
class Box:
    """A part drawn as a rectangle with all its pins, each with the flag of its net; alone on its row."""

    unit: Unit
    width: int = 0
    down: int = 0
    _sides: tuple[list[Stubs], list[Stubs]] = field(default_factory=lambda: ([], []))
    _flags: tuple[int, int] = (0, 0)
    _body: int = 0

    def __post_init__(self) -> None:
        """Sort the pins: outputs and commons on the right, the others on the left; of connectors all on the left."""
        placed = self.unit.placed
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
            key: object = (net, kind) if merged else number
            before = side.get(key, ((), net, ""))
            side[key] = ((*before[0], number), net, "" if merged or name == "~" else name)
        if not joint:
            left = dict(sorted(left.items(), key=lambda pin: _by_name(pin[1])))
            right = dict(sorted(right.items(), key=lambda pin: _by_name(pin[1])))
        self._sides = (chunks(left.values()), chunks(right.values()))
        flags = [max((end_width(net) for _, net, _ in side), default=-STUB) + STUB for side in self._sides]
        self._flags = (flags[0], flags[1])
        inner = sum(max((wide(_words(pin), SMALL) for pin in side), default=0) for side in self._sides)
        self._body = max(inner + 40, 110)
        self.width = max(sum(self._flags) + self._body, self._flags[0] + label_width(self.unit))
        self.down = 12 + max(_levels(side)[-1] + PITCH // 2 for side in self._sides if side)

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
        for side, edge, way in zip(self._sides, (left, right), (-1, 1), strict=True):
            for (_, net, _), level in zip(side, _levels(side), strict=True):
                end_mark(pen, net, edge + way * STUB, y + level, way)
        opened(pen, self.unit)
        pen.path("body", (left, y), (right, y), (right, bottom), (left, bottom), closed=True)
        label(pen, self.unit, left, y - 10)
        for side, edge, way in zip(self._sides, (left, right), (-1, 1), strict=True):
            for pin, level in zip(side, _levels(side), strict=True):
                for number in pin[0]:
                    pen.pin(number, pin[1], (edge + way * STUB, y + level), (edge, y + level))
                at = (edge - way * 8, y + level + 7)
                pen.text("mark", at, _words(pin), "start" if way < 0 else "end", SMALL)
        pen.end()


def _levels(side: list[Stubs]) -> list[int]:
    """Heights of pins below the upper edge; the sign of ground needs a little more room below it."""
    found, level = [], 6 + PITCH // 2
    for _, net, _ in side:
        found.append(level)
        level += PITCH + (EARTH // 2 if net == GROUND else 0)
    return found


def _by_name(pin: Stubs) -> tuple[bool, bool, list[tuple[int, str]]]:
    """Signals by letter and number, then supplies, then what is open."""
    words = [(int(w), "") if w.isdigit() else (-1, w) for w in re.findall(r"\d+|\D+", pin[2])]
    return pin[1] is None, pin[2] in ("GND", "VCC", "VDD", "VSS", "VEE"), words


def _words(pin: Stubs) -> str:
    return f"{' '.join(pin[0])} {pin[2]}".strip()


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
