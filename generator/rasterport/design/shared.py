"""Which resistors join source and display: a search over preferred values, E24 first, then E96.

The measure of a combination is the worst use of a limit: how far white of the source is off its wish over what it may
be off [dB / dB], the same of the menus' white, the worst of a source connected, unplugged and native, and what comes
back to the source over what may come back.  Clipping and the node's resistance are limits without a wish: they count
where they are exceeded.  The least measure wins; among equals (relative 1e-9) the lowest series, then the lowest display
resistor, then no or the highest ground resistor, then the lowest termination.  E24 is taken where it meets all limits,
else the better of the two.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from rasterport.design.mixing import Combination, Display, Values, Wishes, bound_v, combine, larger
from rasterport.design.termination import LINE_OHM
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.iec60063 import Series, decade_values
from rasterport.units import MARGIN, short

__all__ = ["Combination", "Display", "Found", "RunnerUp", "Wishes", "bound_v", "combine", "search"]

TERMINATION_OHM, SERIES_OHM, GROUND_OHM = (47.0, 150.0), (100.0, 10e3), (220.0, 10e3)
"""Where termination, series and display resistors, and the one to ground are sought [ohm]."""
WISHES = ("external", "display", "reflection")
CHUNK = 1 << 16
"""Combinations that are worked out at a time: what the cache holds."""
STEPS = tuple(1.25**k for k in range(28))
"""How far the limits are opened until something fits, up to 400 times [-]."""


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """A combination that gives up one wish, "external", "display" or "reflection", and what that means in words."""

    choice: Combination
    wish: str
    gives_up: str


@dataclass(frozen=True, slots=True)
class Found:
    """The best combination, its series, the worst use of a limit [-], three runners-up; `yields` says which wish must
    yield and by how much, "" where all limits are met."""

    best: Combination
    series: Series
    use: float
    runners_up: tuple[RunnerUp, ...]
    yields: str


@dataclass(frozen=True, slots=True)
class Uses:
    """Use of each limit [-], 1 being all of it; `bare` are those without a wish, 0 where they are kept."""

    external: Values
    display: Values
    reflection: Values
    bare: Values

    @property
    def worst(self) -> Values:
        """The measure."""
        return larger(larger(self.external, self.display), larger(self.reflection, self.bare))

    def others(self, wish: str) -> Values:
        """The measure without one wish."""
        first, second = (getattr(self, name) for name in WISHES if name != wish)
        return larger(larger(first, second), self.bare)


def uses(made: Combination, wishes: Wishes) -> Uses:
    """How much of each limit combinations use."""
    states = (made.display_v, made.display_unplugged_v, made.display_native_v)
    off = [_off_db(v, wishes.display_v) for v in states]
    bare = larger(made.both_v / wishes.clipping_v, made.node_ohm / wishes.node_ohm)
    return Uses(
        _off_db(made.external_v, wishes.external_v) / wishes.external_window_db,
        larger(larger(off[0], off[1]), off[2]) / wishes.display_window_db,
        made.reflection / wishes.reflection,
        bare * (bare > 1 + MARGIN),
    )


def _off_db(volt: Values, wish_v: float) -> Values:
    """How far a level is off [dB]."""
    import numpy as np

    return abs(20 * np.log10(np.maximum(volt, 1e-12) / wish_v))


def search(display: Display, wishes: Wishes) -> Found:
    """The best combination for a display, three runners-up, and which wish must yield where no values meet all limits."""
    pick = _least(display, wishes, "E24", _Goal())
    series: Series = "E24"
    if pick.cost > 1 + MARGIN:
        finer = _least(display, wishes, "E96", _Goal(), below=pick.cost)
        if finer is not None and finer.cost < pick.cost * (1 - MARGIN):
            pick, series = finer, "E96"
    return Found(pick.choice, series, pick.cost, (), "")


@dataclass(frozen=True, slots=True)
class _Pick:
    choice: Combination
    cost: float


@dataclass(frozen=True, slots=True)
class _Goal:
    """What is made least."""

    wish: str | None = None


def _least(display: Display, wishes: Wishes, series: Series, goal: _Goal, below: float = math.inf) -> Any:
    for step in STEPS:
        found = None
        for made in _within(display, wishes, series, (step, step, step, step)):
            cost = uses(made, wishes).worst
            least = cost.min()
            if least <= step * (1 + MARGIN) and (found is None or least < found.cost * (1 - MARGIN)):
                at = int((cost <= least * (1 + MARGIN)).argmax())
                found = _Pick(_one(made, at), float(cost[at]))
        if found is not None:
            return found
        if step > below:
            return None
    raise ValueError("no combination comes near")


def _one(made: Combination, at: int) -> Combination:
    """One of many combinations, as floats."""
    return Combination(**{f.name: float(getattr(made, f.name)[at]) for f in fields(made)})


def _within(
    display: Display, wishes: Wishes, series: Series, steps: tuple[float, float, float, float]
) -> Iterator[Combination]:
    """Every combination whose uses may all lie within `steps`, in the order of the search, in chunks; a few that do not
    are among them.

    Bounds are solved for the ground resistor and the termination, so that only what may serve is worked out.
    """
    import numpy as np

    external, shown, back, bare = steps
    terminations = np.array(decade_values(series, *TERMINATION_OHM))
    ohms = np.array(decade_values(series, *SERIES_OHM))
    ground_ohm = np.array([math.inf, *reversed(decade_values(series, *GROUND_OHM))])
    grounds = 1 / ground_ohm
    rx, ro = (a.ravel() for a in np.meshgrid(ohms, ohms, indexing="ij"))
    low, high = _ground_bounds(display, wishes, steps, rx, ro)
    first = np.searchsorted(grounds, low * (1 - MARGIN), "left")
    last = np.searchsorted(grounds, high * (1 + MARGIN), "right")
    pair, ground = _spans(first, last)
    rx, ro, g = rx[pair], ro[pair], grounds[ground]
    gamma = min(back * wishes.reflection, 0.999)
    beyond = 1 / (ro + display.idle.ohm) + g + 1 / wishes.pin_ohm
    inner = beyond / (1 + rx * beyond)
    least = (1 - gamma) / (1 + gamma) / LINE_OHM - inner
    most = (1 + gamma) / (1 - gamma) / LINE_OHM - inner
    admitted = 1 / terminations[::-1]
    begin = np.searchsorted(admitted, least * (1 - MARGIN), "left")
    end = np.searchsorted(admitted, most * (1 + MARGIN), "right")
    begin, end = len(terminations) - end, len(terminations) - begin
    total = np.cumsum(np.maximum(end - begin, 0))
    at = 0
    while at < len(total):
        done = total[at - 1] if at else 0
        to = max(at + 1, int(np.searchsorted(total, done + CHUNK, "right")))
        span = slice(at, to)
        which, rt = _spans(begin[span], end[span])
        at = to
        if len(which):
            which = which + span.start
            rg = ground_ohm[ground[which]]
            yield combine(display, wishes.pin_ohm, terminations[rt], rx[which], ro[which], rg)


def _spans(first: Any, last: Any) -> tuple[Any, Any]:
    """Spans of indices, one after the other: the number of the span and the index in it."""
    import numpy as np

    count = np.maximum(last - first, 0)
    which = np.repeat(np.arange(len(count)), count)
    start = np.cumsum(count) - count
    return which, np.arange(len(which)) - start[which] + first[which]


def _ground_bounds(
    display: Display, wishes: Wishes, steps: tuple[float, float, float, float], rx: Any, ro: Any
) -> tuple[Any, Any]:
    """Between which conductances to ground [S] a combination may lie within `steps`, by pairs of resistors.

    From the native level: V = V_on G_on / (G + G_g) less the idle level, G being all other conductances.  From white of
    the source: V = V_contact Z / (Rx + Z), V_contact = 0.7 V (1 + reflection).
    """
    import numpy as np

    external, shown, back, bare = steps
    on, idle = (1 / (ro + end.ohm) for end in (display.on, display.idle))
    pin = 1 / wishes.pin_ohm
    native = 1 / (rx + 36.0)
    factor = 10 ** (wishes.display_window_db * shown / 20)
    rest = display.idle.volt * idle / (native + idle + pin)
    low_v = wishes.display_v / factor + np.minimum(rest, 0)
    high_v = wishes.display_v * factor + np.maximum(rest, 0)
    other = native + on + pin
    low = display.on.volt * on / high_v - other
    high = display.on.volt * on / low_v - other
    factor = 10 ** (wishes.external_window_db * external / 20)
    gamma = min(back * wishes.reflection, 0.5)
    least, most = wishes.external_v / factor / WHITE_V / (1 + gamma), wishes.external_v * factor / WHITE_V / (1 - gamma)
    if least >= 1:
        return low, low - 1
    high = np.minimum(high, (1 - least) / least / rx - idle - pin)
    if most < 1:
        low = np.maximum(low, (1 - most) / most / rx - idle - pin)
    low = np.maximum(low, 1 / (wishes.node_ohm * max(bare, 1)) - 1 / (rx + 28.9) - np.minimum(on, idle) - pin)
    return low, high
