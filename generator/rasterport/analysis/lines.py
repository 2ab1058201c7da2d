"""Figures of the signal lines: level, return loss, bandwidth, droop, corner, each with its corners."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rasterport.analysis.corners import Spread, enumerate_corners
from rasterport.analysis.network import set_side
from rasterport.analysis.nodal import GROUND, Element, impedance, reach, solve
from rasterport.design.termination import LINE_OHM, return_loss_db
from rasterport.records import Circuit
from rasterport.variant.models import Variant

MID_HZ = 100e3
"""Where levels are taken [Hz]: above every coupling corner, below every stray capacitance."""
AUDIO_LOW_HZ, AUDIO_MID_HZ = 20.0, 1e3


@dataclass(frozen=True, slots=True)
class Line:
    """The part of the network between one contact and its landing, in the state in which it is used."""

    contact: str
    landing: str
    elements: tuple[Element, ...]

    @property
    def joined(self) -> bool:
        """Whether anything leads from the contact to the landing."""
        return self.contact == self.landing or any(self.landing in (e.first, e.second) for e in self.elements)

    def signature(self) -> tuple[tuple[object, ...], ...]:
        """What makes two lines alike: values and topology with the line's own nets numbered in order."""
        numbers: dict[str, int] = {self.contact: 0, self.landing: 1}
        rows = []
        for e in sorted(self.elements, key=lambda e: (e.kind, e.value, e.spread, e.role.split("/")[-1])):
            ends = [n if n == GROUND else numbers.setdefault(n, len(numbers)) for n in (e.first, e.second)]
            rows.append((e.kind, e.value, e.spread, *ends))
        return tuple(rows)


def line_between(
    board: Iterable[Element], circuit: Circuit, variant: Variant, contact: str, landing: str, rails: Iterable[str] = ()
) -> Line:
    """The line from `contact` to `landing` through the elements of the `board`, with what the set hangs on it.

    `rails` are the supply nets, behind which the line does not go on.
    """
    return Line(contact, landing, reach((*board, *set_side(circuit, variant)), contact, rails))


def level_v(line: Line, emf_v: float, source_ohm: float, hertz: float, values: Sequence[float]) -> float:
    """Amplitude at the landing [V] of a source of `emf_v` [V] behind `source_ohm` [ohm]."""
    return abs(_driven(line, emf_v, source_ohm, hertz, values)[line.landing])


def _driven(line: Line, emf_v: float, source_ohm: float, hertz: float, values: Sequence[float]) -> dict[str, complex]:
    source = Element("source", "R", line.contact, GROUND, source_ohm)
    elements = (*line.elements, source)
    return solve(elements, {line.contact: emf_v / source_ohm}, 2 * math.pi * hertz, None, (*values, source_ohm))


def level(line: Line, emf_v: float, source_ohm: float, hertz: float) -> Spread:
    """Level at the landing [V] with its corners."""
    return enumerate_corners(line.elements, lambda values: level_v(line, emf_v, source_ohm, hertz, values))


def loss(line: Line, hertz: float) -> Spread:
    """Return loss at the contact [dB]; at 0 Hz capacitors are open."""
    return enumerate_corners(
        line.elements, lambda values: return_loss_db(impedance(line.elements, line.contact, hertz, values))
    )


def load_ohm(line: Line, hertz: float) -> Spread:
    """Magnitude of the load at the contact [ohm]."""
    return enumerate_corners(line.elements, lambda values: abs(impedance(line.elements, line.contact, hertz, values)))


def bandwidth_hz(line: Line, source_ohm: float = LINE_OHM) -> float:
    """-3 dB frequency [Hz] relative to 100 kHz, at the slow corner (every element at its upper end).

    Never above 1 GHz: there the model of lumped elements ends.
    """
    values = [e.value * (1 + e.spread) for e in line.elements]
    wanted = level_v(line, 1.0, source_ohm, MID_HZ, values) / math.sqrt(2)
    low, high = MID_HZ, 1e9
    if level_v(line, 1.0, source_ohm, high, values) > wanted:
        return high
    while high / low > 1.001:
        middle = math.sqrt(low * high)
        if level_v(line, 1.0, source_ohm, middle, values) > wanted:
            low = middle
        else:
            high = middle
    return low


def low_corner_hz(line: Line, source_ohm: float) -> tuple[float, str]:
    """Highest -3 dB frequency [Hz] at the low end, relative to 1 kHz, with its corner in words.

    0.01 Hz where nothing falls off.  The corner is the one at which 20 Hz has fallen most.
    """

    def kept(values: Sequence[float]) -> float:
        at = [level_v(line, 1.0, source_ohm, hertz, values) for hertz in (AUDIO_LOW_HZ, AUDIO_MID_HZ)]
        return at[0] / at[1] if at[1] else 1.0

    worst = enumerate_corners(line.elements, kept)
    values = worst.low_values
    wanted = level_v(line, 1.0, source_ohm, AUDIO_MID_HZ, values) / math.sqrt(2)
    low, high = 0.01, AUDIO_MID_HZ
    if level_v(line, 1.0, source_ohm, low, values) > wanted:
        return low, worst.low_corner
    while high / low > 1.002:
        middle = math.sqrt(low * high)
        if level_v(line, 1.0, source_ohm, middle, values) > wanted:
            high = middle
        else:
            low = middle
    return high, worst.low_corner


def node_ohm(line: Line, hertz: float, source_ohm: float = LINE_OHM) -> float:
    """Magnitude of the impedance [ohm] that drives the landing at `hertz` [Hz], source connected."""
    elements = (*line.elements, Element("source", "R", line.contact, GROUND, source_ohm))
    return abs(impedance(elements, line.landing, hertz))


def coupling_of(line: Line) -> list[Element]:
    """The capacitors in series between contact and landing."""
    return [e for e in line.elements if e.kind == "C" and GROUND not in (e.first, e.second)]
