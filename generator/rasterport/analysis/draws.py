"""Boards drawn from what the parts allow: nominal, at their corners, at random.

Every uncertain quantity has a name (the role of a part, or a word such as "rail") and a place between its bounds:
-1 at the low end, 0 nominal, 1 at the high end.  A `Draw` holds one place a name, a number or one array of boards.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any

import numpy as np

from rasterport.analysis.nodal import Element, Values

CHUNK = 2048
"""Boards worked on at a time: what one solution needs then stays in the processor's cache."""


class Draw:
    """Boards as places between bounds; what one figure has worked out is kept for the next."""

    def __init__(self, places: Mapping[str, Values]) -> None:
        self._places = dict(places)
        self._kept: dict[Hashable, Any] = {}

    def place(self, name: str) -> Values:
        """Where the quantity stands, -1 to 1; nominal unless the draw says otherwise."""
        return self._places.get(name, 0.0)

    def of(self, element: Element) -> Values:
        """Value of an element [ohm or F]."""
        if not element.uncertain:
            return element.value
        if element.bounds is not None:
            return self.between(element.parameter, element.low, element.value, element.high)
        return element.value * (1 + element.spread * self.place(element.parameter))

    def values(self, elements: Sequence[Element]) -> list[Values]:
        """Values of elements in order."""
        return [self.of(element) for element in elements]

    def between(self, name: str, low: float, nominal: float, high: float) -> Values:
        """A quantity that is no element, by its bounds."""
        place = self.place(name)
        if isinstance(place, float):
            return nominal + (high - nominal if place > 0 else nominal - low) * place
        return nominal + np.where(place > 0, high - nominal, nominal - low) * place

    def once(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """What `make` returns, worked out once for this draw."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]


class Held(Draw):
    """A draw with some elements at values [ohm or F] of their own, by the names of their uncertainties."""

    def __init__(self, other: Draw, values: Mapping[str, Values]) -> None:
        super().__init__({})
        self._other, self._values = other, values

    def place(self, name: str) -> Values:
        """As in the other draw."""
        return self._other.place(name)

    def of(self, element: Element) -> Values:
        """The value at which it is held, else that of the other draw."""
        return self._values[element.parameter] if element.parameter in self._values else super().of(element)


class SampleDraw(Draw):
    """Boards at random, every quantity uniform between its bounds and independent of the others.

    Uniform, since no maker promises that parts crowd round their nominal value.  The numbers of a quantity hang on
    seed, chunk and its name alone: neither on the other quantities nor on the order in which they are asked for.
    """

    def __init__(self, seed: int, chunk: int, boards: int) -> None:
        super().__init__({})
        self._seed, self._chunk, self.boards = seed, chunk, boards

    def place(self, name: str) -> Values:
        """One place a board."""
        if name not in self._places:
            sequence = np.random.SeedSequence([self._seed, self._chunk, zlib.crc32(name.encode())])
            self._places[name] = 2 * np.random.Generator(np.random.PCG64(sequence)).random(self.boards) - 1
        return self._places[name]
