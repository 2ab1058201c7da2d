"""The node where a source and the set's on-screen display meet in front of a colour pin, in exact formulae.

source o--75--+--[series Rx]--+-- node --||-- pin (Rin)
              |               |
             [Rt]             +--[display Ro]--o lifted end --+--[fitted series]--o display (V, R: high, low or open)
              |               |                               |
             GND             [Rg]                        [fitted to ground]
                              |                               |
                             GND                             GND

Every function takes floats or NumPy arrays, element by element.  Levels count from the black that the pin's clamp
samples: source at black, display without a menu.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from rasterport.design.termination import LINE_OHM, parallel
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.limits import LIMITS

Values = Any
"""A float, or an array of floats; NumPy is imported where arrays are worked on."""

IDLE_OHM = 36.0
"""To ground behind the idle throw of the change-over [ohm]: about what termination and source make together."""
OPEN = math.inf


@dataclass(frozen=True, slots=True)
class End:
    """What one state of the display shows at the lifted end: voltage [V] behind a resistance [ohm], inf when open."""

    volt: float
    ohm: float


@dataclass(frozen=True, slots=True)
class Display:
    """A colour output: its level [V] and resistance [ohm] when on and off, its resistance without a menu (None where it
    lets go), and what stays in the set: a series resistor, and one to ground behind it, on the board's side [ohm].

    Raises ValueError where off is below ground, or on is not above off.
    """

    high_v: float
    low_v: float
    high_ohm: float
    low_ohm: float
    idle_ohm: float | None
    series_ohm: float = 0.0
    ground_ohm: float | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.low_v < self.high_v:
            raise ValueError(
                f"high must be above low, and low not negative: found {self.high_v:g} and {self.low_v:g} V"
            )

    @property
    def on(self) -> End:
        """A dot of a menu."""
        return self._seen(self.high_v, self.high_ohm)

    @property
    def off(self) -> End:
        """The background of a menu."""
        return self._seen(self.low_v, self.low_ohm)

    @property
    def idle(self) -> End:
        """No menu."""
        return self._seen(self.low_v, OPEN if self.idle_ohm is None else self.idle_ohm)

    def _seen(self, volt: float, ohm: float) -> End:
        behind = ohm + self.series_ohm
        if self.ground_ohm is None:
            return End(0.0 if math.isinf(behind) else volt, behind)
        return End(volt * self.ground_ohm / (behind + self.ground_ohm), parallel(behind, self.ground_ohm))


@dataclass(frozen=True, slots=True)
class Wishes:
    """White of a source and of menus [V] and how far each may be off [dB], the least return loss [dB]; the level above
    black at which the pin clips [V], what hangs on the node besides [ohm], and the most resistance that the node may
    have [ohm], which is what its bandwidth and the edges of the display ask for."""

    external_v: float
    display_v: float
    external_window_db: float = LIMITS["level_error_db"].warning or 0.5
    display_window_db: float = LIMITS["level_error_db"].warning or 0.5
    return_loss_db: float = LIMITS["return_loss_db"].warning or 26.0
    clipping_v: float = math.inf
    pin_ohm: float = math.inf
    node_ohm: float = math.inf

    @property
    def reflection(self) -> float:
        """The most of a wave that may come back [-]."""
        return float(10 ** (-self.return_loss_db / 20))


@dataclass(frozen=True, slots=True)
class Combination:
    """Resistors [ohm] and what they make of source and display; `ground_ohm` is inf for none.

    White of a source without a menu, and behind the background of one [V]; white of a menu over a source at black, with
    nothing plugged in, and in the native state [V]; white of both [V]; the background of a menu over black [V]; what
    comes back to the source at most [-]; the resistance of the node at most, while an input is shown [ohm].
    """

    termination_ohm: Values
    series_ohm: Values
    display_ohm: Values
    ground_ohm: Values
    external_v: Values
    behind_menu_v: Values
    display_v: Values
    display_unplugged_v: Values
    display_native_v: Values
    both_v: Values
    menu_black_v: Values
    reflection: Values
    node_ohm: Values

    @property
    def values(self) -> tuple[Values, Values, Values, Values]:
        """Termination, series, display and ground resistor [ohm]."""
        return self.termination_ohm, self.series_ohm, self.display_ohm, self.ground_ohm

    @property
    def return_loss_db(self) -> float:
        """Return loss at direct voltage [dB], of one combination; 200 when perfect."""
        gamma = float(self.reflection)
        return 200.0 if gamma < 1e-10 else -20 * math.log10(gamma)


def bound_v(display: Display, display_v: float) -> float:
    """About the most white of a source [V] that a display of this level leaves: 0.7 V (1 - V_display / swing).

    Resistors that give the display a share of the node take it from the source.  -1.3 dB with 5 V, -2.1 dB with 3.3 V.
    A display that lets go of its line without a menu takes nothing.
    """
    if math.isinf(display.idle.ohm):
        return WHITE_V
    return WHITE_V * (1 - display_v / (display.on.volt - display.off.volt))


def combine(
    display: Display,
    pin_ohm: float,
    termination_ohm: Values,
    series_ohm: Values,
    display_ohm: Values,
    ground_ohm: Values,
) -> Combination:
    """What these resistors [ohm] make of a source and a display.

    The node is the mean of what meets there, weighed by conductance: (V_s G_s + V_d G_d) / (G_s + G_d + G_g + G_in),
    G_s = 1 / (Rx + Re), G_d = 1 / (Ro + R_display).  Re is Rt || 75 with a source, Rt without one, 36 ohm native;
    V_s = 1.4 V Rt / (75 + Rt).  Behind Rt the source sees Rx + 1 / (G_d + G_g + G_in).  Where its input is not chosen
    it sees Rt alone.  A ground resistor of inf is none.
    """
    down = 1 / ground_ohm + 1 / pin_ohm
    ends = (display.on, display.off, display.idle)
    on, off, idle = ((end.volt, 1 / (display_ohm + end.ohm)) for end in ends)
    source_v = 2 * WHITE_V * termination_ohm / (LINE_OHM + termination_ohm)
    plugged = 1 / (series_ohm + 1 / (1 / LINE_OHM + 1 / termination_ohm))

    def node(volt: Values, source: Values, end: tuple[float, Values]) -> Values:
        return (volt * source + end[0] * end[1]) / (source + end[1] + down)

    black = node(0.0, plugged, idle)
    unplugged, native = 1 / (series_ohm + termination_ohm), 1 / (series_ohm + IDLE_OHM)
    back = [_reflection(termination_ohm, series_ohm, end[1] + down) for end in (on, off, idle)]
    return Combination(
        termination_ohm,
        series_ohm,
        display_ohm,
        ground_ohm,
        external_v=node(source_v, plugged, idle) - black,
        behind_menu_v=node(source_v, plugged, off) - node(0.0, plugged, off),
        display_v=node(0.0, plugged, on) - black,
        display_unplugged_v=node(0.0, unplugged, on) - node(0.0, unplugged, idle),
        display_native_v=node(0.0, native, on) - node(0.0, native, idle),
        both_v=node(source_v, plugged, on) - black,
        menu_black_v=node(0.0, plugged, off) - black,
        reflection=larger(larger(larger(back[0], back[1]), back[2]), _reflection(termination_ohm, series_ohm, 0.0)),
        node_ohm=1 / (plugged + down + smaller(smaller(on[1], off[1]), idle[1])),
    )


def _reflection(termination_ohm: Values, series_ohm: Values, beyond: Values) -> Values:
    """What comes back from the contact [-], `beyond` being the conductance behind the series resistor [S]."""
    load = LINE_OHM * (1 / termination_ohm + beyond / (1 + series_ohm * beyond))
    return abs((1 - load) / (1 + load))


def larger(a: Values, b: Values) -> Values:
    """The larger of two, element by element."""
    return (a + b + abs(a - b)) / 2 if not isinstance(a, float) else max(a, b)


def smaller(a: Values, b: Values) -> Values:
    """The smaller of two, element by element."""
    return -larger(-a, -b)
