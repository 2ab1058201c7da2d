"""One variant and its finished circuit on the bench: networks and lines, found once and shared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self

from rasterport.analysis.control import Control
from rasterport.analysis.lines import Line, line_between
from rasterport.analysis.network import State, chosen, contact_nets, set_side
from rasterport.analysis.nodal import Element
from rasterport.records import COLOURS, Circuit
from rasterport.variant.keys import keys_by_path
from rasterport.variant.models import Input, Variant


@dataclass
class Setup:
    """A variant, its circuit, and the lines between a socket and the chassis with one input chosen.

    `origins` says of keys whose value no variant file states where it comes from.
    """

    variant: Variant
    circuit: Circuit
    index: int = 1
    origins: Mapping[str, str] = field(default_factory=dict)
    _lines: dict[tuple[str, str, State], Line] = field(default_factory=dict)
    _controls: list[Control] = field(default_factory=list)
    _around: dict[State, tuple[Element, ...]] = field(default_factory=dict)

    @cached_property
    def views(self) -> tuple[Self, ...]:
        """This setup with each input chosen in turn; networks and lines are shared."""
        return tuple(replace(self, index=n) for n in range(1, len(self.variant.input) + 1))

    @property
    def state(self) -> State:
        """The state in which the input is chosen."""
        return chosen(self.index)

    @property
    def source(self) -> Input:
        """The input that is chosen."""
        return self.variant.input[self.index - 1]

    def role(self, tail: str) -> str:
        """Role of a part of the input."""
        return f"{self.state}/{tail}"

    @cached_property
    def contacts(self) -> Mapping[str, str]:
        """Socket function -> net of the input, read from the socket in the netlist."""
        return contact_nets(self.circuit, self.variant, self.index)

    @property
    def control(self) -> Control:
        """The control parts as networks, and the board's elements in every state."""
        if not self._controls:
            self._controls.append(Control(self.circuit, self.variant))
        return self._controls[0]

    def between(self, start: str, end: str, state: State = "") -> Line:
        """The line from one net to another, with what the set hangs on it; the input is chosen if nothing is said."""
        key = (start, end, state or self.state)
        if key not in self._lines:
            self._lines[key] = line_between(self.around(key[2]), self.circuit, start, end, self.control.walls)
        return self._lines[key]

    def around(self, state: State) -> tuple[Element, ...]:
        """The board in a state with what the set hangs on it."""
        if state not in self._around:
            self._around[state] = (*self.control.elements(state), *set_side(self.circuit, self.variant))
        return self._around[state]

    def line(self, contact: str, landing: str) -> Line | None:
        """The line from a socket function to a landing, None where the board has either not."""
        start, end = self.contacts.get(contact), self.circuit.landing_net(landing)
        return None if start is None or end is None else self.between(start, end)

    def colours(self) -> dict[str, Line]:
        """The three colour lines that lead somewhere and can be solved, by colour."""
        found = {c: self.line(c, c) for c in COLOURS}
        return {c: line for c, line in found.items() if line is not None and line.joined and not line.refused}

    def contact_subject(self, line: str) -> str:
        """What a figure of a contact is called in a state in which its input need not be chosen."""
        return line if len(self.variant.input) == 1 else self.role(line)

    def given(self, keys: Iterable[str]) -> tuple[tuple[str, str], ...]:
        """Keys of the variant file with values and units, as put into a formula; `input.` is the chosen one."""
        found = []
        for path in keys:
            value: object = self.variant
            for name in path.replace("input.", f"input.{self.index - 1}.").split("."):
                value = value[int(name)] if isinstance(value, tuple) else getattr(value, name)
            quantity = keys_by_path()[tuple(path.split("."))].quantity
            text = quantity.shown(value) if quantity and isinstance(value, float) else str(value)
            origin = self.origins.get(path.replace("input.", f"{self.state}."))
            found.append((path, f"{text} [{origin}]" if origin else text))
        return tuple(found)
