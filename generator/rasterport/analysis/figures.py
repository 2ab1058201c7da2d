"""Every figure of one board: named, measured with its worst cases when somebody asks, sampled on request."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from types import ModuleType

from rasterport.analysis import (
    audio,
    black,
    blanking,
    changing,
    coupling,
    crosstalk,
    jacks,
    rail_off,
    separating,
    shift,
    status,
    stress,
    supply,
    sync,
    trimming,
    video,
)
from rasterport.analysis.corners import Corners, Quantity, Spread, words
from rasterport.analysis.definitions import definition
from rasterport.analysis.lines import MOST_LOSS_DB, mhz
from rasterport.analysis.network import DISPLAY_ENDS, set_side
from rasterport.analysis.setup import Setup
from rasterport.records import Figure
from rasterport.units import written

Name = tuple[str, str, str]
"""Key, subject and state of a figure."""


CAPPED = ("return-loss", "menu-return-loss", "plugged-return-loss", "plugged-change", "plugged-other")
"""Figures that are written as "at least 60 dB" where they are more."""


def _of_menus(setup: Setup) -> tuple[ModuleType, ...]:
    """What has figures of menus, for the few sets with a display of their own on these pins."""
    if setup.variant.set.display is None:
        return ()
    from rasterport.analysis import menus, opaque

    return menus, opaque


class Figures:
    """The figures of one setup."""

    def __init__(self, setup: Setup, pixel_clocks_hz: tuple[float, ...] = ()) -> None:
        self.setup = setup
        clocks = {mhz(hertz): hertz for hertz in (*video.PIXEL_CLOCKS_HZ, *pixel_clocks_hz)}
        self._clocks = tuple(clocks.values())
        self._corners = Corners()
        self._spreads: dict[object, Spread] = {}
        self._measured: dict[Name, Figure] = {}

    @cached_property
    def quantities(self) -> dict[Name, Quantity]:
        """Every figure before its numbers.  Raises ValueError where two have the same name."""
        found: dict[Name, Quantity] = {}
        for quantity in self._every():
            name = (quantity.key, quantity.subject, quantity.state)
            if name in found:
                raise ValueError(f"two figures are called {' '.join(name)}")
            found[name] = quantity
        return found

    @cached_property
    def _bounds(self) -> dict[str, str]:
        """What moves the figures, with its bounds in words."""
        control = self.setup.control
        elements = [e for state in control.states for e in (*control.elements(state), *control.direct_current(state))]
        if control.menus:
            elements += [e for state in control.states for e in control.elements(state, menu=True)]
        found = {}
        around = [set_side(self.setup.circuit, self.setup.variant, end) for end in DISPLAY_ENDS]
        for e in (*elements, *around[0], *around[1]):
            if e.parameter in found:
                continue
            unit = "ohm" if e.kind == "R" else "F"
            found[e.parameter] = f"{written(e.value, unit)}, {written(e.low, unit)} to {written(e.high, unit)}"
        return found

    def _every(self) -> Iterator[Quantity]:
        for view in self.setup.views:
            yield from video.Colours(view, self._clocks).quantities()
            yield from trimming.quantities(view)
            yield from black.quantities(view)
            for subject in (*_of_menus(view), coupling, crosstalk, sync, separating, shift, audio, changing, jacks):
                yield from subject.quantities(view)
        yield from blanking.quantities(self.setup.control)
        if self.setup.variant.set.display is not None:
            from rasterport.analysis import display_blanking

            yield from display_blanking.quantities(self.setup.control)
        for view in self.setup.views:
            yield from status.quantities(view)
        for subject in (supply, rail_off, stress):
            yield from subject.quantities(self.setup)
        yield from changing.shared(self.setup)

    def has(self, key: str, subject: str, state: str = "input-1") -> bool:
        """Whether the board has this figure."""
        return (key, subject, state) in self.quantities

    def get(self, key: str, subject: str, state: str = "input-1") -> Figure:
        """One figure with its worst cases.  Raises KeyError for one that the board does not have."""
        name = (key, subject, state)
        if name not in self._measured:
            self._measured[name] = self._measure(self.quantities[name])
        return self._measured[name]

    def under(self, key: str) -> Iterator[Figure]:
        """All figures of one definition, in the order of the board."""
        return (self.get(*name) for name in self._under.get(key, ()))

    @cached_property
    def _under(self) -> dict[str, list[Name]]:
        """Names of the figures of each definition."""
        found: dict[str, list[Name]] = {}
        for name in self.quantities:
            found.setdefault(name[0].split("/")[0], []).append(name)
        return found

    def named(self, keys: Sequence[str], state: str = "") -> list[Name]:
        """Names of the figures with these keys, in one state or in all."""
        return [name for name in self.quantities if name[0] in keys and state in ("", name[2])]

    def all(self) -> tuple[Figure, ...]:
        """Every figure, in the order of the board."""
        found = tuple(self.get(*name) for name in self.quantities)
        self._corners = Corners()  # the boards of all corners: what comes after may use their memory
        return found

    def spread(self, quantity: Quantity) -> Spread:
        """Worst cases of a figure with the places of its parameters there; those alike are worked out once."""
        key = quantity.alike if quantity.alike is not None else id(quantity)
        if key not in self._spreads:
            self._spreads[key] = self._corners.spread(quantity)
        return self._spreads[key]

    def _measure(self, quantity: Quantity) -> Figure:
        found = self.spread(quantity)
        defined = definition(quantity.key)
        capped = defined.key in CAPPED and found.high >= MOST_LOSS_DB
        at = quantity.key.partition("/")[2].replace("MHz", " MHz")
        return Figure(
            quantity.key,
            quantity.subject,
            quantity.state,
            defined.unit,
            found.nominal,
            found.low,
            found.high,
            words(quantity, found.low_places),
            words(quantity, found.high_places),
            quantity.given,
            tuple((name, self._bounds.get(name, "between the bounds given")) for name in quantity.parameters),
            capped,
            defined.title + (f", {at}" if at else ""),
            defined.formula,
            defined.source,
        )
