"""Levels of the control nets in many states at once: a fixpoint of what conducts and what that puts on the nets.

A net is held (by ground, the rail, a level from outside, a conducting switch) or only pulled (through a resistor).
A level is a set of bits; states are the axis of every array.  The fixpoint is sought twice, from everything open
and from everything closed: where the two disagree the board remembers, and its state is not decided by its inputs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterport.analysis.deciding import FIRST_DEVICE, Deciding
from rasterport.analysis.switches import HIGH, LIMIT, LOW, UNKNOWN, Chip

Bytes = NDArray[np.uint8]
Flags = NDArray[np.bool_]
FULL = np.uint8(255)
BOTH = LOW | HIGH
NONE = np.uint8(0)
AMBIGUOUS = np.uint8(255)
"""Row of a table where an input that is not known leaves several open."""


@dataclass(slots=True)
class Settled:
    """What a set of states settles to: levels of the nets asked for, positions of relays and chips, what is in doubt.

    `on` has the transistors and relays that conduct or are energised; `undecided` is an index into the control's
    `reasons`, 0 where everything is decided; `floats` is one for the first chip with an open input.
    """

    levels: dict[str, Bytes]
    positions: dict[str, Bytes]
    undecided: NDArray[np.int16]
    floats: NDArray[np.int16]
    on: dict[str, Bytes]


def settle(control: Deciding, columns: Mapping[str, NDArray[np.int64]], size: int) -> Settled:
    """Work out `size` states; `columns` has the value of each axis, by its key."""
    first, second = (_Run(control, columns, size, closed) for closed in (False, True))
    differs = first.unsettled | second.unsettled
    for a, b in zip(first.memory(), second.memory(), strict=True):
        differs |= a != b
    undecided = first.undecided()
    undecided[differs & (undecided == 0)] = 1
    levels = {n: first.level[control.at(n)] for n in control.wanted}
    return Settled(levels, first.positions(), undecided, first.floats(), first.on)


class _Run:
    """One search for the fixpoint, from everything open or everything closed."""

    def __init__(self, control: Deciding, columns: Mapping[str, NDArray[np.int64]], size: int, closed: bool) -> None:
        self.control, self.size = control, size
        self.level = np.zeros((control.size, size), np.uint8)
        self.held = np.zeros((control.size, size), np.uint8)
        roles = [t.role for t, *_ in control.transistors] + [r.role for r, *_ in control.relays]
        self.on: dict[str, Bytes] = {role: np.full(size, FULL if closed else NONE) for role in roles}
        level = np.uint8(UNKNOWN) if closed else NONE
        self.out: dict[str, list[Bytes]] = {
            c.role: [np.full(size, level) for _ in c.outputs] for c, *_ in control.chips
        }
        self.row: dict[str, Bytes] = {c.role: np.zeros(size, np.uint8) for c, *_ in control.chips}
        self._outside = [(k, levels[columns[key]]) for k, key, levels in control.outside]
        thrown = {(mover, value) for _, _, mover, value in control.throws if mover in columns}
        self._moved = {(mover, value): _mask(columns[mover] == value) for mover, value in thrown}
        self.unsettled: Flags = np.zeros(size, bool)
        for _ in range(2 * len(self.memory()) + 2):
            self._spread()
            before = self.memory()
            self._switch()
            pairs = list(zip(before, self.memory(), strict=True))
            if all(np.array_equal(a, b) for a, b in pairs):
                return
        for a, b in pairs:
            self.unsettled |= a != b

    def memory(self) -> list[Bytes]:
        """What conducts and what the chips put out."""
        return [*self.on.values(), *self.row.values(), *(y for outs in self.out.values() for y in outs)]

    def _spread(self) -> None:
        """Levels that follow from what conducts now: first what is held, then what is only pulled."""
        level, held = self.level, self.held
        level[:], held[:] = 0, 0
        level[0], held[0] = LOW, FULL
        outs = [(at, self.out[role][k]) for role, k, at in self.control.outputs]
        for at, bits in (*self._outside, *outs):
            level[at] |= bits
            held[at] |= _mask(bits != 0)
        joins = list(self._joins())
        before = None
        while before is None or not np.array_equal(before, level):
            before = level.copy()
            for a, b, mask in joins:
                passed = level[a] & held[a] & mask
                level[b] |= passed
                held[b] |= _mask(passed != 0)
        # A held net passes its level on but takes none.
        pulls = [(a, b, mask & ~held[b]) for a, b, mask in joins]
        pulls += [(a, b, ~held[b]) for a, b in self.control.pulls]
        before = None
        while before is None or not np.array_equal(before, level):
            before = level.copy()
            for a, b, mask in pulls:
                level[b] |= level[a] & mask

    def _joins(self) -> Iterator[tuple[int, int, Bytes | np.uint8]]:
        """What conducts: from net, to net, the bits that pass in each state."""
        for a, b, mover, value in self.control.throws:
            mask = self._moved.get((mover, value))
            if mask is None and mover in self.row:
                mask = _mask(self.row[mover] == value)
            elif mask is None:
                mask = self.on[mover] if value else ~self.on[mover]
            yield a, b, mask
        for t, _, near, far in self.control.transistors:
            if self.control.none not in (near, far):
                yield near, far, self.on[t.role] & np.uint8(HIGH if t.kind == "pnp" else LOW)
        for anode, cathode in self.control.diodes:
            yield anode, cathode, np.uint8(HIGH)
            yield cathode, anode, np.uint8(LOW)

    def supplied(self, supply: int, ground: int) -> Flags:
        """Whether a chip has its supply."""
        found: Flags = (self.level[supply] == HIGH) & (self.held[supply] != 0) & (self.level[ground] == LOW)
        return found

    def _switch(self) -> None:
        """What conducts at the levels of now."""
        for t, control, near, _ in self.control.transistors:
            self.on[t.role] = _mask(self._transistor(t.kind, control, near)[0])
        for r, plus, minus in self.control.relays:
            self.on[r.role] = _mask(self._coil(plus, minus)[0])
        # Chips on the same nets stand alike: six switches of a board hang on one set of select lines.
        alike: dict[tuple[object, ...], tuple[Bytes, list[Bytes]]] = {}
        for c, supply, ground, inputs in self.control.chips:
            key = (c.table, supply, ground, *inputs)
            if key not in alike:
                alike[key] = self._look_up(c, self.supplied(supply, ground), inputs)
            self.row[c.role], self.out[c.role] = alike[key]

    def _transistor(self, kind: str, control_at: int, near_at: int) -> tuple[Flags, Flags]:
        """Whether it conducts, and whether that cannot be told."""
        control, near, held = self.level[control_at], self.level[near_at], self.held[near_at] != 0
        if kind == "nfet":
            driven, doubt = (control & HIGH) != 0, (control != HIGH) & (control != LOW)
            rest = LOW
        else:
            # A base tells the limits of its divider and conducts when any way drives it; without current it is off.
            turns, rest = (HIGH, LOW) if kind == "npn" else (LOW, HIGH)
            driven, doubt = (control & turns) != 0, (control & UNKNOWN) != 0
            if kind == "pnp":
                doubt |= driven & ((control & LIMIT) != 0)
        possible = (near & rest) != 0
        return driven & ~doubt & held & (near == rest), possible & (doubt | (driven & ~held))

    def _coil(self, plus_at: int, minus_at: int) -> tuple[Flags, Flags]:
        """Whether a coil is energised, and whether that cannot be told: reversed, or pulled both ways."""
        plus, minus = self.level[plus_at], self.level[minus_at]
        energised = (plus == HIGH) & (minus == LOW)
        crossed = plus | minus << 4
        possible = ((crossed & (HIGH | LOW << 4)) == (HIGH | LOW << 4)) | ((crossed & 0x21) == 0x21)
        doubt = (((plus | minus) & UNKNOWN) != 0) & (plus != 0) & (minus != 0)
        return energised, (possible & ~energised) | doubt

    def _look_up(self, chip: Chip, supplied: Flags, inputs: Sequence[int]) -> tuple[Bytes, list[Bytes]]:
        """Row of the table (0 without supply, AMBIGUOUS where several may count), and the outputs.

        A row may count where no input contradicts it, unless one before it fits for sure.
        """
        row, left = np.zeros(self.size, np.uint8), supplied.copy()
        may = [np.zeros(self.size, np.uint8) for _ in chip.outputs]
        low, high = [self.level[at] == LOW for at in inputs], [self.level[at] == HIGH for at in inputs]
        for n, (wanted, driven) in enumerate(chip.table, 1):
            fits, sure = left.copy(), left.copy()
            for k, mark in enumerate(wanted):
                if mark != "x":
                    fits &= ~(low[k] if mark == "H" else high[k])
                    sure &= high[k] if mark == "H" else low[k]
            row = np.where(fits, np.where(row == 0, np.uint8(n), AMBIGUOUS), row)
            for y, mark in zip(may, driven, strict=True):
                y |= _mask(fits) & np.uint8(HIGH if mark == "H" else LOW)
            left &= ~sure
        return row, [np.where(y == BOTH, np.uint8(UNKNOWN), y) for y in may]

    def positions(self) -> dict[str, Bytes]:
        """Where each relay and each chip stands; of a chip that only passes signals, whether it has its supply."""
        found = {r.role: self.on[r.role] & np.uint8(1) for r, *_ in self.control.relays}
        for c, *_ in self.control.chips:
            row = self.row[c.role]
            found[c.role] = np.where(row == AMBIGUOUS, NONE, row) if c.switches else (row != 0).view(np.uint8)
        return found

    def undecided(self) -> NDArray[np.int16]:
        """The first thing that cannot be told, as an index into the reasons; 0 where all can."""
        doubts = [self._transistor(t.kind, control, near)[1] for t, control, near, _ in self.control.transistors]
        doubts += [self._coil(plus, minus)[1] for _, plus, minus in self.control.relays]
        doubts += [(self.row[c.role] == AMBIGUOUS) & c.switches for c, *_ in self.control.chips]
        found = np.zeros(self.size, np.int16)
        for n, doubt in enumerate(doubts, FIRST_DEVICE):
            found[doubt & (found == 0)] = n
        short = (((self.level & BOTH) == BOTH) & (self.held != 0)).any(axis=0)
        found[short] = FIRST_DEVICE - 1
        return found

    def floats(self) -> NDArray[np.int16]:
        """The first chip with an open input, as an index into the reasons; 0 where there is none."""
        found = np.zeros(self.size, np.int16)
        first = FIRST_DEVICE + len(self.control.transistors) + len(self.control.relays)
        for n, (_, supply, ground, inputs) in enumerate(self.control.chips, first):
            opened: Flags = np.zeros(self.size, bool)
            for at in inputs:
                opened |= self.level[at] == 0
            found[opened & self.supplied(supply, ground) & (found == 0)] = n
        return found


def _mask(flags: Flags) -> Bytes:
    """All bits where true, none elsewhere."""
    return np.negative(flags.view(np.uint8))
