"""The signal lines: from a contact of the socket to its landing, solved for any batch of boards and frequencies."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from rasterport.analysis.draws import Draw
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.design.termination import LINE_OHM
from rasterport.records import Circuit, Placed

MID_HZ = 100e3
"""Where levels are taken [Hz]: above every coupling corner, below every stray capacitance."""
AUDIO_MID_HZ = 1e3
MOST_HZ = 1e9
"""No -3 dB frequency is looked for above this [Hz]: there the model of lumped elements ends."""
LEAST_HZ = 0.01
LEAST_DB = 1e-9
"""A difference of levels below this is the rounding of the solution [dB]."""
MOST_LOSS_DB = 60.0
"""A return loss above this is written as this, "at least": no resistor, cable or meter is that exact [dB]."""
STEPS = 25
CLOSE = 1e-6
"""The search for a -3 dB point ends when the power is this close to a half, relative [-]; it takes two to six steps."""
FIRST_STEP = 2 * math.log(50.0)
SLOPES = (0.5, 4.0)
"""The search begins 50 times above (or below) its reference, and trusts chords between these slopes."""
TINY = 1e-300


@dataclass(frozen=True, eq=False)
class Line:
    """The part of the network between one contact and its landing, in the state in which it is used.

    `refused` names a part on the way that the solver cannot pass; `walls` are the supply nets, which are ground to a
    signal.
    """

    contact: str
    landing: str
    elements: tuple[Element, ...]
    refused: str = ""
    walls: tuple[str, ...] = ()

    @property
    def joined(self) -> bool:
        """Whether anything leads from the contact to the landing."""
        return self.contact == self.landing or any(self.landing in (e.first, e.second) for e in self.elements)

    @cached_property
    def ordered(self) -> tuple[Element, ...]:
        """The elements in an order that two lines that are alike share."""
        return tuple(sorted(self.elements, key=lambda e: (e.kind, e.value, e.spread, e.role.split("/")[-1], e.role)))

    @cached_property
    def signature(self) -> tuple[tuple[object, ...], ...]:
        """What makes two lines alike: values and topology with the line's own nets numbered in order."""
        numbers: dict[str, int] = {self.contact: 0, self.landing: 1}
        rows, grounds = [], {GROUND, *self.walls}
        for e in self.ordered:
            ends = [GROUND if n in grounds else numbers.setdefault(n, len(numbers)) for n in (e.first, e.second)]
            rows.append((e.kind, e.value, e.spread, *ends))
        return tuple(rows)

    @cached_property
    def parameters(self) -> tuple[str, ...]:
        """Names of the uncertainties that move this line."""
        return parameters_of(self.ordered)

    @cached_property
    def network(self) -> Network:
        """The line with room for a source at its contact."""
        source = Element("source", "R", self.contact, GROUND, LINE_OHM)
        return Network((*self.elements, source), self.walls, self.ends)

    @property
    def ends(self) -> tuple[str, str]:
        """Contact and landing."""
        return (self.contact, self.landing)

    def volts(self, draw: Draw, hertz: tuple[float, ...] | float, source_ohm: float = LINE_OHM) -> tuple[Any, Any]:
        """Complex voltages at contact and landing for a source of 1 V behind `source_ohm` [ohm].

        Several frequencies [Hz] make a first axis.
        """

        def solved() -> tuple[Any, Any]:
            omega: Values = 2 * math.pi * hertz if isinstance(hertz, float) else _axis(hertz)
            values = (*draw.values(self.elements), source_ohm)
            volts = self.network.solve({self.contact: 1 / source_ohm}, omega, None, values)
            return volts[self.contact], volts[self.landing]

        return draw.once((self, hertz, source_ohm), solved)  # type: ignore[no-any-return]

    def level(self, draw: Draw, hertz: float, source_ohm: float = LINE_OHM) -> Values:
        """Amplitude at the landing [V] for a source of 1 V."""
        return abs(self.volts(draw, hertz, source_ohm)[1])

    def load_ohm(self, draw: Draw, hertz: float) -> Values:
        """Magnitude of the load at the contact [ohm]."""
        at = self.volts(draw, hertz)[0]
        return LINE_OHM * abs(at / (1 - at))

    def delay_s(self, draw: Draw, hertz: float, source_ohm: float = LINE_OHM) -> Values:
        """Phase delay from the source to the landing [s]: -phase / (2 pi f)."""
        return -np.angle(self.volts(draw, hertz, source_ohm)[1]) / (2 * math.pi * hertz)

    def upper_hz(self, draw: Draw, source_ohm: float = LINE_OHM) -> Values:
        """-3 dB frequency [Hz] relative to 100 kHz, at most 1 GHz."""
        return np.sqrt(self._half_power(draw, source_ohm, MID_HZ, 1.0, MOST_HZ))

    def lower_hz(self, draw: Draw, source_ohm: float) -> Values:
        """-3 dB frequency [Hz] at the low end relative to 1 kHz, at least 0.01 Hz."""
        return 1 / np.sqrt(self._half_power(draw, source_ohm, AUDIO_MID_HZ, -1.0, LEAST_HZ))

    def _half_power(self, draw: Draw, source_ohm: float, from_hz: float, way: float, bound_hz: float) -> Values:
        """x = f^2 (upwards) or 1/f^2 (downwards) at which the attenuation 1/|H|^2 has doubled.

        What attenuation has gained over its start is a power of x, 1 for one time constant and a little more for
        several: on logarithmic scales chords find the place in a few steps.  Each board has its own frequency.
        """

        def attenuation(x: Values) -> Values:
            omega = 2 * math.pi * np.sqrt(x if way > 0 else 1 / x)
            values = (*draw.values(self.elements), source_ohm)
            volts = self.network.solve({self.contact: 1 / source_ohm}, omega, None, values)
            return 1 / abs(volts[self.landing]) ** 2

        start, bound = math.log(from_hz) * 2 * way, math.log(bound_hz) * 2 * way
        before = np.asarray(attenuation(np.exp(start)), dtype=float)
        goal = np.log(before)  # twice the start is a gain of as much again
        u = np.broadcast_to(np.float64(start + FIRST_STEP), before.shape)
        u0, w0 = u, goal
        slope: Values = 1.0
        for n in range(STEPS):
            w = np.log(np.maximum(attenuation(np.exp(u)) - before, TINY))
            if n:
                apart = u - u0
                still = apart == 0
                slope = np.where(still, 1.0, np.clip((w - w0) / np.where(still, 1.0, apart), *SLOPES))
            u0, w0 = u, w
            u = np.clip(np.where(np.abs(w - goal) <= CLOSE, u, u + (goal - w) / slope), start, bound)
            if np.all(u == u0):
                break
        return np.exp(u)


def _axis(hertz: Sequence[float]) -> Values:
    return 2 * math.pi * np.array(hertz)[:, None]


def line_between(
    elements: Iterable[Element], circuit: Circuit, contact: str, landing: str, rails: Iterable[str] = ()
) -> Line:
    """The line from `contact` to `landing` through elements of board and set.

    `rails` are the supply nets, behind which the line does not go on.  `Line.refused` names a part on the way that
    has no place in a signal path.
    """
    walls = tuple(rails)
    found = reach(elements, contact, walls)
    if contact != landing:
        # The video input of a separator hangs on a line that passes by; what it takes has figures of its own.
        listening = {net for placed in circuit.parts for net in _listening(placed)} - {contact, landing}
        found = tuple(e for e in found if not (e.kind == "C" and listening & {e.first, e.second}))
    return Line(contact, landing, found, refused(circuit, contact, found, walls), walls)


def _listening(placed: Placed) -> list[str | None]:
    if not placed.part.key.startswith("sync-separator/"):
        return []
    return [placed.nets[pin.number] for pin in placed.part.pins if pin.name == "VIDEO"]


def refused(circuit: Circuit, start: str, elements: Iterable[Element], walls: Iterable[str]) -> str:
    """What of the control stands on the nets of a line, "" if nothing does: the line cannot be solved through it.

    A line may begin at the output of an integrated circuit.
    """
    nets = ({n for e in elements for n in (e.first, e.second)} | {start}) - {GROUND, *walls}
    for placed in circuit.parts:
        if placed.part.appears == "control":
            for net in _touched(placed, start):
                if net in nets:
                    return f"{placed.ref} ({placed.role}, {placed.part.name}) stands on {net}"
    return ""


def _touched(placed: Placed, start: str) -> list[str]:
    """Nets of a part, without the output at which the line begins."""
    outputs = {placed.nets[pin.number] for pin in placed.part.pins if pin.kind == "output"}
    return [net for net in placed.nets.values() if net is not None and not (net == start and net in outputs)]


def coupling_of(line: Line) -> list[Element]:
    """The capacitors in series between contact and landing."""
    return [e for e in line.elements if e.kind == "C" and GROUND not in (e.first, e.second)]


def loss_db(contact_v: Values) -> Values:
    """Return loss [dB] from the contact's voltage for 1 V behind 75 ohm: the reflection factor is 2 V - 1."""
    with np.errstate(divide="ignore"):
        return np.minimum(-20 * np.log10(abs(2 * contact_v - 1)), MOST_LOSS_DB)


def mhz(hertz: float) -> str:
    """A frequency as it stands in a figure's key."""
    return f"{hertz / 1e6:g}MHz" if hertz else "DC"
