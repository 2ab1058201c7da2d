"""Every combination of preferred values that may come near the wishes, worked out in chunks.

Bounds are solved for the ground resistor and the termination, so that of the 300 million quadruples of E96 only those
are worked out that may serve.
"""

from __future__ import annotations

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
BOUNDLESS_S = 1e9
"""More conductance than any resistors have [S]; a number, so that margins can be taken of it."""
SLACK_S = 1e-9
"""What is admitted beyond a bound [S]: it is a difference, whose rounding is large beside a bound near 0."""
MOST_DB = 200.0
"""No level is further off [dB]."""
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

    first = np.searchsorted(rising, low - abs(low) * MARGIN - SLACK_S, "left")
    return first, np.maximum(np.searchsorted(rising, high + abs(high) * MARGIN + SLACK_S, "right") - first, 0)


def _indices(first: Any, count: Any) -> tuple[Any, Any]:
    """Spans one after the other: the number of the span, and the index in it."""
    import numpy as np

    which = np.repeat(np.arange(len(count)), count)
    return which, np.arange(len(which)) - (np.cumsum(count) - count - first)[which]


@dataclass(frozen=True, slots=True)
class _Span:
    """Least and most white of a source and of menus [V] and the most that may come back [-], all in a room."""

    external: tuple[float, float]
    display: tuple[float, float]
    back: float


def _span(wishes: Wishes, room: Room) -> _Span:
    external = 10 ** (min(wishes.external_window_db * room.external, MOST_DB) / 20)
    display = 10 ** (min(wishes.display_window_db * room.display, MOST_DB) / 20)
    return _Span(
        (wishes.external_v / external, wishes.external_v * external),
        (wishes.display_v / display, wishes.display_v * display),
        min(room.reflection * wishes.reflection, MOST_BACK),
    )


@dataclass(frozen=True, slots=True)
class _Meeting:
    """What meets at the node from the display and the pin [S, A], whatever the termination; `ground` is in each sum."""

    idle: Any
    on: Any
    driven: Any
    rest_v: Any
    """What the idle display leaves there at most [V]."""
    weakened: Any
    """What a display that is on leaves of the source at least, over what an idle one does [-]."""


def _for_menu(node: _Meeting, volt: Any) -> Any:
    """Conductance of the source's side [S] with which white of menus is `volt` [V], what the idle display leaves not
    taken off; boundless where no voltage is left."""
    import numpy as np

    return np.where(volt > 0, node.driven / np.maximum(volt, 1e-12), BOUNDLESS_S) - node.on


def _meeting(display: Display, wishes: Wishes, rx: Any, ro: Any, ground: Any) -> _Meeting:
    import numpy as np

    down = ground + 1 / wishes.pin_ohm
    on, idle = (1 / (ro + end.ohm) for end in (display.on, display.idle))
    least = 1 / (rx + TERMINATION_OHM[1])
    plugged = 1 / (rx + parallel(LINE_OHM, TERMINATION_OHM[1]))
    return _Meeting(
        idle=idle + down,
        on=on + down,
        driven=display.on.volt * on,
        rest_v=display.idle.volt * idle / (idle + down + least),
        weakened=np.minimum(1, (plugged + idle + down) / (plugged + on + down)),
    )


def _ground_bounds(display: Display, wishes: Wishes, room: Room, rx: Any, ro: Any) -> tuple[Any, Any]:
    """Between which conductances to ground [S] a combination may lie in `room`, for pairs of resistors.

    White of menus is V_on G_on / (G_s + G_on + G_in + G_g) less what the idle display leaves: too little in the native
    state, too much with nothing plugged in and the lowest termination, or with white of the source beside it.  White of
    a source is V_contact Z / (Rx + Z), V_contact = 0.7 V (1 + reflection), Z = 1 / (G_idle + G_in + G_g).
    """
    import numpy as np

    span, node = _span(wishes, room), _meeting(display, wishes, rx, ro, 0.0)
    source = 1 / (rx + parallel(LINE_OHM, TERMINATION_OHM[0]))
    high = _for_menu(node, span.display[0]) - 1 / (rx + IDLE_OHM)
    low = _for_menu(node, span.display[1] + node.rest_v) - 1 / (rx + TERMINATION_OHM[0])
    low = np.maximum(low, _for_menu(node, wishes.clipping_v - span.external[0] * node.weakened + node.rest_v) - source)
    least, most = span.external[0] / (WHITE_V * (1 + span.back)), span.external[1] / (WHITE_V * (1 - span.back))
    high = np.minimum(high, (1 / least - 1) / rx - node.idle)
    if most < 1:
        low = np.maximum(low, (1 / most - 1) / rx - node.idle)
    most_s = np.minimum(np.minimum(node.on, node.idle), 1 / (ro + display.off.ohm) + 1 / wishes.pin_ohm)
    return np.maximum(low, 1 / wishes.node_ohm - source - most_s), high


def _termination_bounds(display: Display, wishes: Wishes, room: Room, rx: Any, ro: Any, rg: Any) -> tuple[Any, Any]:
    """Between which conductances [S] the termination may lie in `room`, for triples of the other resistors.

    The load at the contact is Z = 75 ohm V / (1.4 V - V) with V there, of which the node has Zd / (Rx + Zd), and the
    termination alone where the input is not chosen.  White of menus is too much with nothing plugged in, or with white
    of the source beside it, or too little with a source.
    """
    import numpy as np

    span, node = _span(wishes, room), _meeting(display, wishes, rx, ro, 1 / rg)
    inner, loss = node.idle / (1 + rx * node.idle), 1 + rx * node.idle
    contact_v = [np.minimum(volt * loss, 1.999 * WHITE_V) for volt in span.external]
    loads = (1 - span.back) / (1 + span.back), (1 + span.back) / (1 - span.back)
    low = np.maximum(loads[0], 2 * WHITE_V / contact_v[1] - 1) / LINE_OHM - inner
    high = np.minimum(loads[1], 2 * WHITE_V / contact_v[0] - 1) / LINE_OHM - inner
    low, high = np.maximum(low, loads[0] / LINE_OHM), np.minimum(high, loads[1] / LINE_OHM)
    both = _for_menu(node, wishes.clipping_v - span.external[0] * node.weakened + node.rest_v)
    low = np.maximum(low, _behind(_for_menu(node, span.display[1] + node.rest_v), rx))
    low = np.maximum(low, _behind(both, rx) - 1 / LINE_OHM)
    return low, np.minimum(high, _behind(_for_menu(node, span.display[0]), rx) - 1 / LINE_OHM)


def _behind(siemens: Any, rx: Any) -> Any:
    """What stands behind a resistor where both make so much [S]; 0 for less than nothing, boundless for too much."""
    import numpy as np

    left = 1 - np.maximum(siemens, 0) * rx
    return np.where(left > 0, np.maximum(siemens, 0) / np.maximum(left, 1e-12), BOUNDLESS_S)
