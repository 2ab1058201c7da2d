"""Figures of the colour lines: level, return loss, bandwidth, pixels, mismatch."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal

import numpy as np

from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import LEAST_DB, MID_HZ, Line, loss_db, mhz
from rasterport.analysis.network import states_of
from rasterport.analysis.nodal import Values
from rasterport.analysis.setup import Setup
from rasterport.analysis.trimming import MIDDLE, moved, set_to, tracks_of, trimmers
from rasterport.design.landings import is_shared
from rasterport.design.termination import LINE_OHM
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.interface_levels import RGB
from rasterport.standards.limits import RETURN_LOSS_TO_HZ
from rasterport.units import short

EMF_V = 2 * WHITE_V
PIXEL_CLOCKS_HZ = (5.37e6, 6.75e6, 7.16e6, 13.5e6)
"""Usual pixel clocks [Hz]: half and whole of ITU-R BT.601's 13.5 MHz, and 1.5 and 2 times the colour subcarrier of
525/60."""
TOP_HZ = 5e6
LEAST_RATIO = 1e-9
"""Two colours nearer than this are equal: what is left is the rounding of the solution."""


class Colours:
    """The colour lines of one setup as quantities."""

    def __init__(self, setup: Setup, pixel_clocks_hz: tuple[float, ...] = PIXEL_CLOCKS_HZ) -> None:
        self.setup, self.lines = setup, setup.colours()
        self.clocks = pixel_clocks_hz
        # All frequencies in one solution: the real parts of the network are eliminated once.
        halves = tuple(clock / 2 for clock in pixel_clocks_hz)
        self._hertz = (MID_HZ, 1e6, TOP_HZ, RETURN_LOSS_TO_HZ, *halves)

    def quantities(self) -> Iterator[Quantity]:
        """Every figure of the three colours, active; return loss also native."""
        for colour, line in self.lines.items():
            yield from self._levels(colour, line)
            yield from self._losses(colour, line, self.setup.state)
            yield from self._frequency(colour, line)
            for state in states_of(self.setup.variant):
                if state != self.setup.state:
                    other = self.setup.between(line.contact, line.contact, state)
                    yield from self._losses(self.setup.contact_subject(colour), other, state)
        if len(self.lines) == 3:
            yield self._mismatch()

    def _at(self, line: Line, draw: Draw, hertz: float) -> tuple[Values, Values]:
        """Voltages at contact and landing at one of the usual frequencies, or at DC."""
        if hertz not in self._hertz:
            return line.volts(draw, hertz)
        contact, landing = line.volts(draw, self._hertz)
        n = self._hertz.index(hertz)
        return _row(contact, n), _row(landing, n)

    def level(self, line: Line, draw: Draw) -> Values:
        """White at the landing [V] for the nominal source."""
        return draw.once((self, line, "level"), lambda: EMF_V * abs(self._at(line, draw, MID_HZ)[1]))

    def _quantity(
        self,
        key: str,
        colour: str,
        line: Line,
        of: Callable[[Draw], Values],
        *given: str,
        bends: Literal["", "low", "high"] = "",
        folded: bool = False,
        state: str = "",
        extra: tuple[tuple[str, str], ...] = (),
    ) -> Quantity:
        told, alike = (*self.setup.given(given), *extra), (key, line.signature)
        return Quantity(key, colour, state or self.setup.state, of, line.parameters, told, bends, alike, folded=folded)

    def _levels(self, colour: str, line: Line) -> Iterator[Quantity]:
        wanted = self.setup.variant.set.rgb.white_level
        shared = is_shared(self.setup.variant)
        if shared:
            from rasterport.design.insertion import picture_white_v  # few sets have a display on these pins

            asked = picture_white_v(self.setup.variant)
        else:
            asked = min(wanted, WHITE_V)

        def level(draw: Draw) -> Values:
            return self.level(line, draw)

        nominal = (("source", f"{EMF_V:g} V behind {LINE_OHM:g} ohm"),)
        yield self._quantity("level", colour, line, level, extra=nominal)
        for key, white in (("level-weakest", RGB.low), ("level-strongest", RGB.high)):
            extra = (("white of the source", f"{white:g} V"),)
            yield self._quantity(key, colour, line, lambda d, white=white: level(d) * white / WHITE_V, extra=extra)  # type: ignore[misc]

        def error(draw: Draw) -> Values:
            return 20 * np.log10(level(draw) / asked)

        told = (("white that can be had", f"{short(asked)} V"),) if shared else ()
        key = "picture-error" if shared else "level-error"
        yield self._quantity(key, colour, line, error, "set.rgb.white_level", folded=True, extra=told)
        yield self._quantity(
            "brightness", colour, line, lambda d: 20 * np.log10(level(d) / wanted), "set.rgb.white_level"
        )
        if wanted > asked * (1 + 1e-9):
            lacks = 20 * math.log10(wanted / asked)
            key, given = "picture-contrast" if shared else "contrast", self.setup.given(("set.rgb.white_level",))
            yield bound(key, colour, self.setup.state, lacks, "", (*given, *told))
        yield self._quantity("load", colour, line, lambda d: line.load_ohm(d, MID_HZ))

    def _losses(self, colour: str, line: Line, state: str) -> Iterator[Quantity]:
        for hertz in (0.0, 1e6, RETURN_LOSS_TO_HZ):
            yield self._quantity(
                f"return-loss/{mhz(hertz)}",
                colour,
                line,
                lambda d, hertz=hertz: loss_db(self._at(line, d, hertz)[0]),  # type: ignore[misc]
                bends="high",
                state=state,
            )

    def _frequency(self, colour: str, line: Line) -> Iterator[Quantity]:
        def relative(hertz: float) -> Callable[[Draw], Values]:
            return lambda draw: relative_db(self._at(line, draw, hertz)[1], self._at(line, draw, MID_HZ)[1])

        yield self._quantity("bandwidth", colour, line, line.upper_hz)
        yield self._quantity(f"level-relative/{mhz(TOP_HZ)}", colour, line, relative(TOP_HZ))
        for clock in self.clocks:
            extra = (("pixel clock", f"{clock / 1e6:g} MHz"),)
            yield self._quantity(f"pixel/{mhz(clock)}", colour, line, relative(clock / 2), extra=extra)

    def _mismatch(self) -> Quantity:
        lines = list(self.lines.values())
        trimmed = trimmers(self.setup.circuit, lines)

        def ratio(draw: Draw) -> Values:
            boards = set_to(draw, trimmed, MIDDLE) if trimmed else draw
            levels = [self.level(line, boards) for line in lines]
            most, least = levels[0], levels[0]
            for level in levels[1:]:
                most, least = np.maximum(most, level), np.minimum(least, level)
            return 100 * np.where(most / least - 1 > LEAST_RATIO, most / least - 1, 0.0)

        rest = (n for line in lines for n in line.parameters if n not in moved(trimmed))
        names = (*dict.fromkeys(rest), *tracks_of(trimmed))
        source = (("source", f"{EMF_V:g} V behind {LINE_OHM:g} ohm"),)
        shared = tuple(names.index(name) for line in lines for name in line.parameters if name in names)
        alike = ("mismatch", tuple(line.signature for line in lines), shared)
        return Quantity(
            "mismatch", "red, green, blue", self.setup.state, ratio, names, source, bends="low", alike=alike
        )


def relative_db(landing_v: Values, middle_v: Values) -> Values:
    """Level at the landing against that at 100 kHz [dB]."""
    found = 20 * np.log10(abs(landing_v / middle_v))
    return np.where(abs(found) > LEAST_DB, found, 0.0)


def _row(values: Values, n: int) -> Values:
    """One frequency of a solution; a network without a capacitor has the same voltage at all of them."""
    return values[n] if getattr(values, "ndim", 0) > 1 else values
