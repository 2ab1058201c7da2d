"""Every combination of preferred values that may come near the wishes, worked out in chunks.

Bounds are solved for the ground resistor and the termination, so that of the 300 million quadruples of E96 only those
are worked out that may serve.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from rasterport.design.mixing import IDLE_OHM, OPEN, Combination, Display, Values, Wishes, combine, larger
from rasterport.design.termination import LINE_OHM, parallel
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.iec60063 import Series, decade_values
from rasterport.units import MARGIN

TERMINATION_OHM, SERIES_OHM, GROUND_OHM = (47.0, 150.0), (100.0, 10e3), (220.0, 10e3)
"""Where the termination, series and display resistors, and the one to ground are sought [ohm]."""
CHUNK = 1 << 16
"""Combinations that are worked out at a time: what a cache holds."""
MOST_BACK = 0.6
"""More never comes back [-]: the load lies between 47 ohm beside 100 ohm and 150 ohm."""


@dataclass(frozen=True, slots=True)
class Uses:
    """Use of each wish's limit [-], 1 being all of it; `kept`, whether clipping and the node's resistance are."""

    external: Values
    display: Values
    reflection: Values
    kept: Values

    @property
    def worst(self) -> Values:
        """The measure: the worst use of the three."""
        return larger(larger(self.external, self.display), self.reflection)

    def of(self, wish: str) -> Values:
        """The use of one wish's limit."""
        return {"external": self.external, "display": self.display, "reflection": self.reflection}[wish]

    def others(self, wish: str) -> Values:
        """The worst use of the other two."""
        return larger(*self._two(wish))

    def both(self, wish: str) -> Values:
        """The uses of the other two together."""
        return sum(self._two(wish))

    def _two(self, wish: str) -> list[Values]:
        return [self.of(name) for name in WISHES if name != wish]


WISHES = ("external", "display", "reflection")


def uses(made: Combination, wishes: Wishes) -> Uses:
    """How much of each limit combinations use: a level by its error in dB, return loss by what comes back."""
    states = (made.display_v, made.display_unplugged_v, made.display_native_v)
    off = [off_db(v, wishes.display_v) for v in states]
    return Uses(
        off_db(made.external_v, wishes.external_v) / wishes.external_window_db,
        larger(larger(off[0], off[1]), off[2]) / wishes.display_window_db,
        made.reflection / wishes.reflection,
        (made.both_v <= wishes.clipping_v * (1 + MARGIN)) & (made.node_ohm <= wishes.node_ohm * (1 + MARGIN)),
    )


def off_db(volt: Values, wish_v: float) -> Values:
    """How far a level is off its wish, either way [dB]."""
    import numpy as np

    return abs(20 * np.log10(np.maximum(volt, 1e-12) / wish_v))


@dataclass(frozen=True, slots=True)
class Room:
    """Use of each limit that is admitted [-]."""

    external: float
    display: float
    reflection: float


def within(display: Display, wishes: Wishes, series: Series, room: Room) -> Iterator[Combination]:
    """Every combination within `room`, in chunks; some that are not are among them.

    In this order: series resistor, then display resistor rising, no ground resistor before the highest, termination
    rising.
    """
    import numpy as np

    terminations = np.array(decade_values(series, *TERMINATION_OHM))
    ohms = np.array(decade_values(series, *SERIES_OHM))
    grounds = np.array([OPEN, *reversed(decade_values(series, *GROUND_OHM))])
    rx, ro = (pairs.ravel() for pairs in np.meshgrid(ohms, ohms, indexing="ij"))
    which, ground = _admitted(1 / grounds, *_ground_bounds(display, wishes, room, rx, ro))
    rx, ro, rg = rx[which], ro[which], grounds[ground]
    low, high = _termination_bounds(display, wishes, room, rx, ro, rg)
    first, count = _spans(1 / terminations[::-1], low, high)
    for part in _parts(np.cumsum(count)):
        # conductances rise where terminations fall: the span counted from the other end
        which, index = _indices(len(terminations) - (first + count)[part], count[part])
        at = which + part.start
        yield combine(display, wishes.pin_ohm, terminations[index], rx[at], ro[at], rg[at])


def _parts(total: Any) -> Iterator[slice]:
    """Slices of spans whose lengths add up to about a chunk, `total` being their running sum."""
    import numpy as np

    start, end = 0, len(total)
    while start < end:
        done = total[start - 1] if start else 0
        stop = max(start + 1, int(np.searchsorted(total, done + CHUNK, "right")))
        if total[stop - 1] > done:
            yield slice(start, stop)
        start = stop


def _admitted(rising: Any, low: Any, high: Any) -> tuple[Any, Any]:
    """For every span from low to high what lies in it: number of the span and index of the value, in order."""
    return _indices(*_spans(rising, low, high))


def _spans(rising: Any, low: Any, high: Any) -> tuple[Any, Any]:
    """First index and count of what lies between bounds, with a margin."""
    import numpy as np

    first = np.searchsorted(rising, low - abs(low) * MARGIN, "left")
    return first, np.maximum(np.searchsorted(rising, high + abs(high) * MARGIN, "right") - first, 0)


def _indices(first: Any, count: Any) -> tuple[Any, Any]:
    """Spans one after the other: the number of the span, and the index in it."""
    import numpy as np

    which = np.repeat(np.arange(len(count)), count)
    return which, np.arange(len(which)) - (np.cumsum(count) - count - first)[which]


def _ground_bounds(display: Display, wishes: Wishes, room: Room, rx: Any, ro: Any) -> tuple[Any, Any]:
    """Between which conductances to ground [S] a combination may lie in `room`, for pairs of resistors.

    White of menus is V_on G_on / (G_s + G_on + G_in + G_g) less what the idle display leaves.  It is least with the
    most conductance of the source's side: at most 1 / (Rx + 47 ohm) with nothing plugged in, 1 / (Rx + 47 || 75 ohm)
    with a source, and both at white are that and white of the source.  White of a source is V_contact Z / (Rx + Z),
    where V_contact = 0.7 V (1 + reflection) and Z = 1 / (G_idle + G_in + G_g).
    """
    import numpy as np

    on, off, idle = (1 / (ro + end.ohm) for end in (display.on, display.off, display.idle))
    pin, driven = 1 / wishes.pin_ohm, display.on.volt * on
    rest = display.idle.volt * idle / (idle + pin + 1 / (rx + TERMINATION_OHM[1]))
    factor = 10 ** (wishes.display_window_db * room.display / 20)
    high = driven / (wishes.display_v / factor) - 1 / (rx + IDLE_OHM) - on - pin
    low = driven / (wishes.display_v * factor + rest) - 1 / (rx + TERMINATION_OHM[0]) - on - pin
    factor = 10 ** (wishes.external_window_db * room.external / 20)
    back = min(room.reflection * wishes.reflection, MOST_BACK)
    least, most = wishes.external_v / factor, wishes.external_v * factor
    shares = least / (WHITE_V * (1 + back)), most / (WHITE_V * (1 - back))
    high = np.minimum(high, (1 - shares[0]) / shares[0] / rx - idle - pin)
    if shares[1] < 1:
        low = np.maximum(low, (1 - shares[1]) / shares[1] / rx - idle - pin)
    source, weak = (1 / (rx + parallel(LINE_OHM, ohm)) for ohm in TERMINATION_OHM)
    menu_v = wishes.clipping_v - least * np.minimum(1, (weak + idle + pin) / (weak + on + pin)) + rest
    low = np.maximum(low, np.where(menu_v > 0, driven / np.maximum(menu_v, 1e-12), math.inf) - source - on - pin)
    return np.maximum(low, 1 / wishes.node_ohm - source - np.minimum(np.minimum(on, off), idle) - pin), high


def _termination_bounds(display: Display, wishes: Wishes, room: Room, rx: Any, ro: Any, rg: Any) -> tuple[Any, Any]:
    """Between which conductances [S] the termination keeps the reflection in `room`, the display being idle."""
    back = min(room.reflection * wishes.reflection, MOST_BACK)
    beyond = 1 / (ro + display.idle.ohm) + 1 / rg + 1 / wishes.pin_ohm
    inner = beyond / (1 + rx * beyond)
    return (1 - back) / (1 + back) / LINE_OHM - inner, (1 + back) / (1 - back) / LINE_OHM - inner
