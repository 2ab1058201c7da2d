"""Transistors, gates and regulators as cells of a row: it comes in at one pin and goes on at another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from rasterport.emit.drawing import symbols
from rasterport.emit.drawing.cells import BELOW, GAP, Part, label, label_width, opened, stacked, stacked_width
from rasterport.emit.drawing.pen import Pen, bar_half
from rasterport.emit.drawing.units import Unit
from rasterport.records import GROUND


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
