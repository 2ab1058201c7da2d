"""Which coil pulls in when hot, stays cool at the high rail, and what stands in series with it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

from rasterport import parts
from rasterport.design.preferred import best
from rasterport.design.supply import CABINET_C, COPPER_PER_K
from rasterport.records import Construction, Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import LIMITS
from rasterport.units import short

COLD_C = 0.0
RESISTOR_SPREAD = 0.0213
"""1 % and 250 ppm/K over 45 K, the worst power resistor of the catalogue [-]."""
HOT_DRIVER = 1.5
"""On-resistance of the driver at 70 C against 25 C; makers' curves, from memory."""


@dataclass(frozen=True, slots=True)
class Coil:
    """The coil chosen: rated voltage [V], the net that feeds it, dropper with its worst dissipation [W].

    `current_a` [A] is the most that one coil draws.
    """

    rated_v: float
    net: str
    dropper: Sized | None
    dropper_w: float
    current_a: float


@dataclass(frozen=True, slots=True)
class Feed:
    """A net that could feed coils, with its lowest and highest voltage [V] and what it spares for each coil [A]."""

    net: str
    low_v: float
    high_v: float
    most_a: float = math.inf


def margin_hot(feed_low_v: float, coil_ohm: float, operate_v: float, rise_k: float, series_ohm: float) -> float:
    """Margin of the coil current over pull-in at the hot corner, relative [-].

    Pull-in is a current, V_operate / R at 20 C.  Copper gains 0.39 %/K: R_hot = R (1 + 0.0039 (T + dT - 20)).
    `series_ohm` is everything else in the loop.  Without it this is V / V_operate(hot) - 1.
    """
    hot = coil_ohm * (1 + COPPER_PER_K * (CABINET_C + rise_k - 20))
    return feed_low_v / (hot + series_ohm) / (operate_v / coil_ohm) - 1


def worst_margin_hot(
    feed_low_v: float, coil_ohm: float, tolerance: float, operate_v: float, rise_k: float, series_ohm: float
) -> float:
    """The smaller margin of a coil at either end of its resistance; `operate_v` is promised for both."""
    ends = (coil_ohm * (1 - tolerance), coil_ohm * (1 + tolerance))
    return min(margin_hot(feed_low_v, ohm, operate_v, rise_k, series_ohm) for ohm in ends)


def current_most(feed_high_v: float, coil_ohm: float, tolerance: float, series_ohm: float) -> float:
    """Most that one coil draws [A]: feed high, coil at its low resistance and just energised at 0 C."""
    cold = coil_ohm * (1 - tolerance) * (1 + COPPER_PER_K * (COLD_C - 20))
    return feed_high_v / (cold + series_ohm * (1 - RESISTOR_SPREAD))


def most_v(feed_high_v: float, coil_ohm: float, tolerance: float, series_ohm: float) -> float:
    """Highest voltage across a coil at 20 C [V]: feed high, coil at its high resistance, series part low."""
    coil = coil_ohm * (1 + tolerance)
    return feed_high_v * coil / (coil + series_ohm * (1 - RESISTOR_SPREAD))


def hot_ohm(coil_ohm: float, rise_k: float) -> float:
    """Resistance of a coil at the hot corner [ohm]."""
    return coil_ohm * (1 + COPPER_PER_K * (CABINET_C + rise_k - 20))


def most_w(feed_high_v: float, coil_ohm: float, tolerance: float, rise_k: float, series_ohm: float) -> float:
    """Greatest power in a hot coil [W]: feed high, coil anywhere in its tolerance, `series_ohm` at its least.

    V^2 R / (R + R_series)^2 is greatest where the two resistances are equal, or at the nearer end.
    """
    hot = hot_ohm(coil_ohm, rise_k)
    coil = min(max(series_ohm, hot * (1 - tolerance)), hot * (1 + tolerance))
    return feed_high_v**2 * coil / (coil + series_ohm) ** 2


def allowed_w(most_v: float, coil_ohm: float, tolerance: float, rise_k: float) -> float:
    """Power that a coil bears for ever [W]: its highest voltage is promised for every coil of its tolerance."""
    return most_v**2 / (hot_ohm(coil_ohm, rise_k) * (1 - tolerance))


def choose_coil(feeds: Iterable[Feed], construction: Construction) -> Coil:
    """The coil of the highest rating, without a dropper where that serves, that keeps its margins.

    Raises ValueError when no coil of the catalogue serves on any feed.
    """
    limit = LIMITS["relay_margin_pct"]
    driver = parts.transistor("nfet", construction).ratings["rds_on_ohm"] * HOT_DRIVER
    tried = list(feeds)
    ratings = sorted(parts.RELAY_COILS, reverse=True)
    # The margin without a warning first; then any margin at all, which the finding then tells.
    for wanted, with_dropper in product((limit.warning or 0.0, limit.error or 0.0), (False, True)):
        for rated, feed in product(ratings, tried):
            coil = _fit(feed, rated, construction, driver, wanted / 100, with_dropper)
            if coil is not None:
                return coil
    spans = ", ".join(f"{short(f.low_v, 3)} to {short(f.high_v, 3)} V" for f in tried)
    raise ValueError(
        f"no relay coil pulls in when hot and stays cool on {spans}: choose path gang, supply_element fusible, or a "
        "rail of closer tolerance"
    )


def _fit(
    feed: Feed, rated: float, construction: Construction, driver: float, wanted: float, with_dropper: bool
) -> Coil | None:
    r = parts.relay(rated, construction).ratings
    tolerance = r["coil_tolerance_pct"] / 100

    def margins(ohm: float) -> tuple[float, float]:
        series = ohm * (1 + RESISTOR_SPREAD) + driver
        hot = worst_margin_hot(feed.low_v, r["coil_ohm"], tolerance, r["operate_v"], r["coil_rise_k"], series)
        return hot, most_v(feed.high_v, r["coil_ohm"], tolerance, ohm)

    def serves(ohm: float) -> bool:
        hot, volts = margins(ohm)
        return hot >= wanted and volts <= r["coil_max_v"]

    candidates = [ohm for ohm in (decade_values("E24", 10.0, 1e3) if with_dropper else (0.0,)) if serves(ohm)]
    ohm = best(candidates, lambda o: abs(margins(o)[1] / rated - 1))
    if ohm is None:
        return None
    current = current_most(feed.high_v, r["coil_ohm"], tolerance, ohm)
    if current > feed.most_a:
        return None
    if ohm == 0.0:
        return Coil(rated, feed.net, None, 0.0, current)
    hot, volts = margins(ohm)
    reason = f"coil of {rated:g} V: {hot:.0%} over pull-in when hot, at most {short(volts, 3)} V at 20 C"
    return Coil(rated, feed.net, Sized(ohm, "ohm", reason), current**2 * ohm, current)
