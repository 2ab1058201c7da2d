"""Crosstalk between the colours: three lines with the capacitance between their leads, one network."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import LEAST_DB, MID_HZ, Line, mhz
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of
from rasterport.analysis.setup import Setup
from rasterport.design.termination import LINE_OHM
from rasterport.records import Circuit
from rasterport.standards.limits import CROSSTALK_AT_HZ, SET_SPREAD
from rasterport.variant.models import Variant

NEIGHBOUR_F_PER_M = {"hook-up": 50e-12, "coax": 0.0}
"""Capacitance between neighbouring hook-up wires [F/m]: 15 pF for 0.3 m; judgement, stated."""
NEIGHBOURS = (("red", "green"), ("green", "blue"))
"""The leads lie side by side in the order of the lines."""
LEADS = "set/rgb/leads"
"""Name of the uncertainty of what lies between neighbouring leads."""
NO_CROSSTALK_DB = -100.0
"""Less than this is written as this [dB]: paths that nobody modelled are stronger."""


def stray_f(variant: Variant) -> float:
    """Capacitance between two neighbouring leads to the colour pins [F]."""
    return NEIGHBOUR_F_PER_M[variant.set.rgb.lead_kind] * variant.set.rgb.lead_length


def strays(circuit: Circuit, variant: Variant) -> tuple[Element, ...]:
    """The capacitance between the leads to the pins of neighbouring colours."""
    ends = [(f"set/{a}-{b}/stray", circuit.landing_net(a), circuit.landing_net(b)) for a, b in NEIGHBOURS]
    farad = stray_f(variant)
    return tuple(
        Element(role, "C", a, b, farad, SET_SPREAD, LEADS)
        for role, a, b in ends
        if a is not None and b is not None and farad
    )


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Crosstalk at the usual frequencies, where all three colours lead somewhere."""
    lines, stray = setup.colours(), stray_f(setup.variant)
    if len(lines) < 3:
        return
    coupled = Coupled(lines, strays(setup.circuit, setup.variant))
    names = parameters_of(coupled.elements)
    lead = ("capacitance between neighbouring leads", f"{stray * 1e12:.3g} pF")
    given = (*setup.given(("set.rgb.lead_kind", "set.rgb.lead_length")), lead)
    for n, hertz in enumerate(CROSSTALK_AT_HZ):

        def worst(draw: Draw, n: int = n) -> Values:
            return coupled.worst_db(draw)[n]

        yield Quantity(f"crosstalk/{mhz(hertz)}", "red, green, blue", setup.state, worst, names, given)

    def alone(draw: Draw) -> Values:
        return coupled.alone_db(draw)

    yield Quantity(f"level-alone/{mhz(CROSSTALK_AT_HZ[-1])}", "red, green, blue", setup.state, alone, names, given)


class Coupled:
    """Three colour lines with the capacitance between their leads."""

    def __init__(self, lines: Mapping[str, Line], between: tuple[Element, ...]) -> None:
        self.lines = lines
        sources = [Element(f"{c}/source", "R", line.contact, GROUND, LINE_OHM) for c, line in lines.items()]
        shared = {e.role: e for line in lines.values() for e in line.elements}
        self.elements = (*shared.values(), *between, *sources)
        walls = {net for line in lines.values() for net in line.walls}
        self.network = Network(self.elements, walls, [line.landing for line in lines.values()])

    def _solved(self, draw: Draw) -> list[dict[str, Values]]:
        """Each colour driven alone, the others silent; the usual frequencies make a first axis."""
        omega = 2 * math.pi * np.array(CROSSTALK_AT_HZ)[:, None]
        drives = [{line.contact: 1 / LINE_OHM} for line in self.lines.values()]
        found: list[dict[str, Values]] = draw.once(
            self, lambda: self.network.solve_each(drives, omega, None, draw.values(self.elements))
        )
        return found

    def alone_db(self, draw: Draw) -> Values:
        """Level of a colour alone at the highest of the frequencies against that at 100 kHz [dB], the least."""
        found = [
            20 * np.log10(abs(volts[line.landing][-1]) / line.level(draw, MID_HZ))
            for line, volts in zip(self.lines.values(), self._solved(draw), strict=True)
        ]
        least = np.minimum(np.minimum(found[0], found[1]), found[2])
        return np.where(abs(least) > LEAST_DB, least, 0.0)

    def worst_db(self, draw: Draw) -> Values:
        """Crosstalk [dB] at the two usual frequencies, the worst of all pairs."""
        return draw.once((self, "worst"), lambda: self._worst_db(draw))

    def _worst_db(self, draw: Draw) -> Values:
        found = self._solved(draw)
        worst: Any = 0.0
        for driven, volts in zip(self.lines.values(), found, strict=True):
            own = abs(volts[driven.landing])
            for victim in self.lines.values():
                if victim is not driven:
                    worst = np.maximum(worst, abs(volts[victim.landing]) / own)
        return np.maximum(20 * np.log10(np.maximum(worst, 1e-12)), NO_CROSSTALK_DB)
