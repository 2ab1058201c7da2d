"""Figures of coupling capacitors: into a keyed clamp droop, following and settling; into a plain load tilt."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import MID_HZ, Line, coupling_of
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.design.coupling import CUT_STEP_V, CUT_TIME_S
from rasterport.design.landings import line_standards
from rasterport.design.termination import LINE_OHM
from rasterport.standards.bt470 import WHITE_V

SET_CAPACITOR = 0.2
"""Spread of a capacitor fitted in the set; common practice, no source."""
INSIDE = "set/pin"
"""The clamped pin behind a capacitor that stays in the set."""
SLOW_HZ = 100.0
"""At this frequency 100 nF are 16 kohm: neither the resistance of the source nor that of a switch shows, and what
stands in front of a switch is in series already [Hz]."""
SHORT_OHM = 1e-3
"""A capacitor that is taken as a short [ohm]."""
HALF_FIELD_S = 10e-3


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the capacitors in the colour lines.

    Tilt only where one of the board feeds 75 ohm in the set: into a clamp the field does not matter.
    """
    for colour, line in setup.colours().items():
        if setup.variant.set.rgb.pin_kind == "analog-clamped":
            yield from _clamp(setup, colour, line)
        if setup.variant.set.rgb.termination_fitted:
            yield from tilts(setup, colour, line)


class Pin:
    """What the clamp of a colour sees: the line from its side, a capacitor that stays in the set included."""

    def __init__(self, setup: Setup, line: Line) -> None:
        fitted = setup.variant.set.rgb.coupling_fitted
        inside = [] if fitted is None else [Element("set/coupling", "C", line.landing, INSIDE, fitted, SET_CAPACITOR)]
        source = Element("source", "R", line.contact, GROUND, LINE_OHM)
        self.net = line.landing if fitted is None else INSIDE
        self.elements = (*line.ordered, *inside, source)
        self.network = Network(self.elements, line.walls, (self.net,))
        self.alike = (line.signature, fitted)
        ways = reach([e for e in self.elements if e.kind == "R"], self.net, line.walls)
        self.blocked = not any(line.contact in (e.first, e.second) for e in ways) and self.net != line.contact

    def _admittance(self, draw: Draw, hertz: float) -> Values:
        values = draw.values(self.elements)
        return 1 / self.network.solve({self.net: 1.0}, 2 * math.pi * hertz, None, values)[self.net]

    def siemens(self, draw: Draw) -> Values:
        """What discharges the capacitor, besides the leakage of the clamp [S]."""
        return draw.once((self, "leak"), lambda: np.real(self._admittance(draw, 0.0)))

    def farad(self, draw: Draw) -> Values:
        """The capacitance that the clamp must move [F]: read where the source's resistance does not show yet."""

        def solved() -> Values:
            return np.imag(self._admittance(draw, SLOW_HZ)) / (2 * math.pi * SLOW_HZ)

        return draw.once((self, "capacitance"), solved)

    def ohm(self, draw: Draw) -> Values:
        """Resistance between the source and the clamp [ohm], capacitors taken out."""
        return draw.once((self, "resistance"), lambda: np.real(1 / self._admittance(draw, MID_HZ)))


def settling_lines(setup: Setup, pin: Pin, draw: Draw) -> Values:
    """Lines that the clamp needs after the greatest step.

    At full current until the drop in the line's own resistance is all that is left, then by exponential steps.
    """
    rgb, end_v = setup.variant.set.rgb, 0.01 * WHITE_V
    ohm, farad = pin.ohm(draw), pin.farad(draw)
    knee_v = np.maximum(rgb.clamp_current * ohm, end_v)
    straight = (CUT_STEP_V - knee_v) * farad / (rgb.clamp_current * rgb.clamp_time)
    return straight + ohm * farad / rgb.clamp_time * np.log(knee_v / end_v)


def settling_s(setup: Setup, pin: Pin, draw: Draw) -> Values:
    """Time of that [s]."""
    return settling_lines(setup, pin, draw) * max(s.line_period_s for s in line_standards(setup.variant))


def _clamp(setup: Setup, colour: str, line: Line) -> Iterator[Quantity]:
    """Nothing where no capacitor blocks the way to the pin."""
    rgb, pin = setup.variant.set.rgb, Pin(setup, line)
    if not pin.blocked:
        return
    standards = line_standards(setup.variant)
    active, period = max(s.active_line_s for s in standards), max(s.line_period_s for s in standards)
    moved = rgb.clamp_current * rgb.clamp_time
    blocks = [_Loop(line, c, open_others=True) for c in coupling_of(line) if pin.net not in (c.first, c.second)]
    names = parameters_of(pin.elements)

    def run(draw: Draw) -> Values:
        return CUT_STEP_V * period * (1 / CUT_TIME_S + sum(1 / loop.seconds(draw) for loop in blocks))

    def droop(draw: Draw) -> Values:
        own = (rgb.leakage / rgb.white_level + pin.siemens(draw)) / pin.farad(draw)
        # What stands in front of a switch loses its share too, most of a small white detail on black.
        return 100 * active * (own + sum(1 / loop.seconds(draw) for loop in blocks))

    def quantity(key: str, of: Callable[[Draw], Values], *given: str) -> Quantity:
        extra = (("active line", f"{active * 1e6:.6g} us"), ("line period", f"{period * 1e6:.6g} us"))
        return Quantity(key, colour, setup.state, of, names, (*setup.given(given), *extra), "", (key, pin.alike))

    clamp = ("set.rgb.clamp_current", "set.rgb.clamp_time")
    yield quantity("coupling", pin.farad)
    yield quantity("droop", droop, "set.rgb.leakage", "set.rgb.white_level")
    yield quantity("cut-following", lambda d: moved / pin.farad(d) / run(d), *clamp)
    yield quantity("settling-lines", lambda d: settling_lines(setup, pin, d), *clamp)
    yield quantity("settling", lambda d: settling_s(setup, pin, d), *clamp)


class _Loop:
    """One capacitor of a line with the resistance that it sees; the others are open to it, or shorts."""

    def __init__(self, line: Line, capacitor: Element, open_others: bool = False) -> None:
        self.capacitor = capacitor
        others = [e for e in line.ordered if e != capacitor]
        if not open_others:
            series = coupling_of(line)
            others = [replace(e, kind="R", value=SHORT_OHM, spread=0.0) if e in series else e for e in others]
        self.elements = (*others, Element("source", "R", line.contact, GROUND, LINE_OHM))
        self.network = Network(self.elements, line.walls, (capacitor.first, capacitor.second))

    def seconds(self, draw: Draw) -> Values:
        """Its time constant [s]."""
        plus, minus = self.capacitor.first, self.capacitor.second
        values = [SHORT_OHM if e.value == SHORT_OHM else draw.of(e) for e in self.elements]
        volts = self.network.solve({plus: 1.0, minus: -1.0}, 0.0, None, values)
        return np.real(volts[plus] - volts[minus]) * draw.of(self.capacitor)


def tilts(setup: Setup, subject: str, line: Line) -> Iterator[Quantity]:
    """Tilt over half a field of a line that ends in a load: every capacitor's, with all resistance of its loop."""
    loops = [_Loop(line, capacitor) for capacitor in coupling_of(line)]
    if not loops:
        return

    def tilt(draw: Draw) -> Values:
        left: Values = 1.0
        for loop in loops:
            left = left * np.exp(-HALF_FIELD_S / loop.seconds(draw))
        return 100 * (1 - left)

    given = (("source", f"{LINE_OHM:g} ohm"), ("half a field", "10 ms"))
    yield Quantity("field-tilt", subject, setup.state, tilt, line.parameters, given)
