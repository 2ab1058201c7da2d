"""The board's keyed clamp, found by the nets: a switch that a back-porch pulse closes from a pin to a still voltage.

What the pulse does on its way, through buffers or inverters, is followed by their truth tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rasterport.analysis.control import Control
from rasterport.analysis.switches import Board, Chip, Contact
from rasterport.records import GROUND

REST, PULSE = "H", "L"
"""A separator's back-porch output at rest and while it lasts.  TI SNLS384G."""
ROUNDS = 8
"""More chips in a row than this are no way of a pulse."""


@dataclass(frozen=True, slots=True)
class Keying:
    """A switch that the pulse moves: the nets that it joins while the pulse lasts, and the role of its part.

    `key` is the net that moves it, `low` whether that net is low then.
    """

    first: str
    second: str
    owner: str
    key: str
    low: bool

    def other(self, net: str) -> str:
        """The other end."""
        return self.second if net == self.first else self.first


def keyings(board: Board) -> tuple[Keying, ...]:
    """Every contact of a switch that is closed while a pulse lasts and open at rest."""
    return tuple(k for chip in board.chips if chip.switches for k in _moved(board, chip))


def _moved(board: Board, chip: Chip) -> list[Keying]:
    levels = [keyed_levels(board, pulse) for pulse in (REST, PULSE)]
    moving = [net for net in chip.inputs if net in levels[0] and net != GROUND]
    if not moving:
        return []
    rest, pulse = (_row(chip, level) for level in levels)
    mine = [c for c in board.contacts if c.mover == chip.role]
    closed: list[Contact] = [c for c in mine if c.value == pulse != rest]
    return [Keying(c.first, c.second, c.owner, moving[0], levels[1][moving[0]] == "L") for c in closed]


def keyed_levels(board: Board, pulse: str) -> dict[str, str]:
    """Levels of the nets that the pulse moves while it is at `pulse`, and of ground."""
    found = {GROUND: "L", **dict.fromkeys(board.keys, pulse)}
    for _ in range(ROUNDS):
        for chip in board.chips:
            source = chip.inputs[0] if chip.passes and len(chip.inputs) == 1 else GROUND
            if source != GROUND and source in found:
                found[chip.outputs[0]] = next(outs[0] for ins, outs in chip.table if ins in (found[source], "x"))
    return found


def _row(chip: Chip, levels: Mapping[str, str]) -> int:
    """Number of the row of a table that fits, 1 for the first; 0 where an input is not known."""
    at = [levels.get(net, "?") for net in chip.inputs]
    for n, (marks, _) in enumerate(chip.table, 1):
        if all(mark in ("x", level) for mark, level in zip(marks, at, strict=True)):
            return n
    return 0


def keying_at(control: Control, nets: Iterable[str]) -> Keying | None:
    """The switch that puts one of these nets on a still voltage while the pulse lasts, None where there is none."""
    reached = set(nets)
    still = {GROUND, *control.walls}
    for k in keyings(control.poses.place.board):
        for end, other in ((k.first, k.second), (k.second, k.first)):
            if end in reached and other in still:
                return k
    return None
