"""How a board stands in a state by name: what conducts, which contacts are closed, what logic puts out.

Read from the switching itself, for one state of its axes: nothing here knows a part by its role.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from rasterport.analysis.deciding import Deciding
from rasterport.analysis.levels import settle
from rasterport.analysis.network import NATIVE, State, chosen, states_of
from rasterport.analysis.outside import MENU, ON, OPEN, place_of, status_key
from rasterport.analysis.switches import HIGH, LOW, Contact
from rasterport.analysis.walk import Place
from rasterport.design import choosing as meanings
from rasterport.design.choosing import choosing
from rasterport.records import GROUND, Circuit
from rasterport.variant.models import Variant


@dataclass(frozen=True, slots=True)
class Pose:
    """One state: roles of transistors that conduct and relays that are energised, contacts that are closed.

    `levels` are the levels of the control nets as bits.
    """

    conducting: frozenset[str]
    closed: tuple[Contact, ...]
    levels: Mapping[str, int]

    def grounded(self, net: str) -> bool:
        """Whether a net is ground, or joined with it by what conducts now and nothing else."""
        return net == GROUND or self.levels.get(net, 0) == LOW

    def high(self, net: str) -> bool:
        """Whether a net is surely high."""
        return self.levels.get(net, 0) == HIGH


class Poses:
    """The poses of one circuit, worked out together when the first is asked for."""

    def __init__(self, circuit: Circuit, variant: Variant, place: Place | None = None) -> None:
        self.circuit, self.variant = circuit, variant
        self._place = place
        self._found: dict[tuple[State, bool, bool], Pose] = {}

    @cached_property
    def place(self) -> Place:
        """The circuit as switches with what is round it."""
        return self._place or place_of(self.circuit, self.variant)

    @cached_property
    def _deciding(self) -> Deciding:
        board = self.place.board
        nets = [n for c in board.chips for n in c.outputs] + [t.near for t in board.transistors]
        nets += [t.control for t in board.transistors]
        return Deciding(board, tuple(dict.fromkeys(n for n in nets if n)))

    def pose(self, state: State, powered: bool = True, menu: bool = False) -> Pose:
        """The board in a state, with the set's rail on or off, with a menu of the set's display or without.

        Raises KeyError for a state that it does not have.
        """
        if not self._found:
            self._settle()
        return self._found[state, powered, menu]

    def _settle(self) -> None:
        """Every state at once: they are one axis of arrays."""
        menus = (False, True) if any(axis.key == MENU for axis in self.place.board.axes) else (False,)
        keys = list(product(states_of(self.variant), (True, False), menus))
        every = [self._values(state, powered) | {MENU: int(menu)} for state, powered, menu in keys]
        columns = {key: np.array([values[key] for values in every]) for key in every[0]}
        found = settle(self._deciding, columns, len(keys))
        contacts = self.place.board.contacts
        for n, key in enumerate(keys):
            positions = {**every[n], **{role: int(at[n]) for role, at in found.positions.items()}}
            self._found[key] = Pose(
                frozenset(role for role, on in found.on.items() if on[n]),
                tuple(c for c in contacts if positions.get(c.mover) == c.value),
                {net: int(bits[n]) for net, bits in found.levels.items()},
            )

    def _values(self, state: State, powered: bool) -> dict[str, int]:
        """Where every axis stands: the status contact of the input wherever it is read, else the panel switch."""
        found = dict.fromkeys((a.key for a in self.place.board.axes), 0)
        found["rail"] = int(powered)
        how = choosing(self.variant)
        index = 0 if state == NATIVE else next(n for n in range(1, 9) if state == chosen(n))
        meaning = meanings.AUTOMATIC if how.automatic and (index in how.by_status or not index) else index
        for axis in self.place.board.axes:
            if axis.key.startswith("panel/") or (axis.net == "" and not axis.levels):
                order = positions_of(self.variant)
                found[axis.key] = order.index(meaning) if meaning in order else 0
        for n in how.by_status:
            found[status_key(n)] = ON if n == index else OPEN
        if "gate" in found:
            found["gate"] = int((self.variant.selector.gate_active == "high") == (index > 0))
        return found


def positions_of(variant: Variant) -> tuple[int, ...]:
    """What each position of the panel switch means: that of a gang is native, then input by input."""
    how = choosing(variant)
    return how.positions or tuple(range(len(variant.input) + 1))
