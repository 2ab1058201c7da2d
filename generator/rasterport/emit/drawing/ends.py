"""Ends of wires: the flag with the name of a net, ground, or the cross of a pin that is left open."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from rasterport.emit.drawing.cells import Part
from rasterport.emit.drawing.pen import EARTH, Pen, flag_width
from rasterport.records import GROUND


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
