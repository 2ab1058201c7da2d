"""One variant and its finished circuit on the bench: networks and lines, found once and shared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from rasterport.analysis.control import Control
from rasterport.analysis.lines import Line, line_between
from rasterport.analysis.network import State, contact_nets
from rasterport.records import COLOURS, Circuit
from rasterport.variant.models import Variant


@dataclass
class Setup:
    """A variant, its circuit, and the lines between socket and chassis."""

    variant: Variant
    circuit: Circuit
    _lines: dict[tuple[str, str, State], Line] = field(default_factory=dict)

    @cached_property
    def contacts(self) -> Mapping[str, str]:
        """Socket function -> net, read from the socket in the netlist."""
        return contact_nets(self.circuit, self.variant)

    @cached_property
    def control(self) -> Control:
        """The control parts as networks, and the board's elements in every state."""
        return Control(self.circuit, self.variant)

    def between(self, start: str, end: str, state: State = "input-1") -> Line:
        """The line from one net to another, with what the set hangs on it."""
        key = (start, end, state)
        if key not in self._lines:
            board = self.control.elements(state)
            self._lines[key] = line_between(board, self.circuit, self.variant, start, end, self.control.rails)
        return self._lines[key]

    def line(self, contact: str, landing: str) -> Line | None:
        """The line from a socket function to a landing, None where the board has either not."""
        start, end = self.contacts.get(contact), self.circuit.landing_net(landing)
        return None if start is None or end is None else self.between(start, end)

    def colours(self) -> dict[str, Line]:
        """The three colour lines that lead somewhere and can be solved, by colour."""
        found = {c: self.line(c, c) for c in COLOURS}
        return {c: line for c, line in found.items() if line is not None and line.joined and not line.refused}

    def given(self, keys: Iterable[str]) -> tuple[tuple[str, str], ...]:
        """Keys of the variant file with their values, for the values put into a formula."""
        found = []
        for path in keys:
            value: object = self.variant
            for name in path.replace("input.", "input.0.").split("."):
                value = value[int(name)] if isinstance(value, tuple) else getattr(value, name)
            found.append((path, f"{value:g}" if isinstance(value, float) else str(value)))
        return tuple(found)
