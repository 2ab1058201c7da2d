"""Terminating a video line: what counts is the total load that the source sees, 75 ohm."""

from __future__ import annotations

import math

from rasterport.design.preferred import best
from rasterport.records import Sized
from rasterport.standards.iec60063 import Series, decade_values, nearest
from rasterport.units import plain, short, written

LINE_OHM = 75.0
"""Impedance of the interface, source and load.  IEC 60933-1 / EN 50049-1, contacts 7, 11, 15, 20."""

LOAD_ALONE = 1e-3
"""A load that is this close to the resistance wanted leaves no place for a resistor of the catalogue [-]."""

E24_IS_GOOD_ENOUGH = 0.01
"""An E24 value is taken when the total load lies within this part of 75 ohm (46 dB); judgement, stated."""


LEAST_UPPER_OHM = 1.0
"""The least resistor of the catalogue [ohm]: a split that wants less above its tap is no split, and costs 0.12 dB."""


def parallel(*ohms: float) -> float:
    """Resistance of resistors in parallel [ohm]; infinite values are allowed."""
    return 1 / sum(1 / r for r in ohms)


def return_loss_db(impedance: complex, line_ohm: float = LINE_OHM) -> float:
    """Return loss [dB] of `impedance` [ohm] on a line: -20 log10 |(Z - Z0)/(Z + Z0)|; 200 when perfect."""
    gamma = abs((impedance - line_ohm) / (impedance + line_ohm))
    return 200.0 if gamma < 1e-10 else -20 * math.log10(gamma)


def termination(load_ohm: float) -> Sized:
    """The resistor [ohm] that makes 75 ohm together with what follows (`load_ohm`, above 75 ohm).

    E24 where that lies within 1 % of 75 ohm, else E96.  Raises ValueError when the load alone is
    75 ohm or less: then no resistor belongs here.
    """
    if load_ohm <= LINE_OHM:
        raise ValueError(
            f"what the set hangs on the line must be above {LINE_OHM:g} ohm, found {load_ohm:g}: if that is its own "
            "termination, state it as that, and the resistance without it"
        )
    target = 1 / (1 / LINE_OHM - 1 / load_ohm)
    series: Series = "E24"
    value = nearest(series, target)
    if abs(parallel(value, load_ohm) / LINE_OHM - 1) > E24_IS_GOOD_ENOUGH:
        series = "E96"
        value = nearest(series, target)
    total = parallel(value, load_ohm)
    return Sized(
        value,
        "ohm",
        f"{short(target)} ohm would make 75 with the {plain(written(load_ohm, 'ohm'))} behind it; "
        f"{series}: {short(total)} ohm in all",
    )


def splits(white_v: float, source_white_v: float) -> bool:
    """Whether white is so far below that of the source [V] that a resistor stands above the tap."""
    return LINE_OHM * (1 - white_v / source_white_v) >= LEAST_UPPER_OHM * (1 - 1e-9)


def loss_db(white_v: float, source_white_v: float) -> float:
    """What resistors leave to the set's contrast [dB]: 20 log10(white wanted / white of the source), at least 0.

    1.0 V from 0.7 V: 3.1 dB.
    """
    return max(0.0, 20 * math.log10(white_v / source_white_v))


def split_mismatch_pct(white_v: float, source_white_v: float, spread: float) -> float:
    """Greatest ratio of two colours behind split terminations of resistors with this `spread` [-], in percent.

    White is L / T of the electromotive force, T = 75 + U + L: it moves by (T - L) / T of the lower resistor's share and
    by U / T of the upper one's.  U + L is taken 2 % above 75, as far as a preferred pair may be with its load.
    """
    lower, both = LINE_OHM * white_v / source_white_v, 1.02 * LINE_OHM
    total = LINE_OHM + both
    share = spread * (total - lower + both - lower) / total
    return 100 * ((1 + share) / (1 - share) - 1)


def split(white_v: float, source_white_v: float, load_ohm: float) -> tuple[Sized, Sized]:
    """Upper and lower resistor [ohm] of a termination that also brings white down to `white_v` [V].

    The tap feeds `load_ohm`.  With lower L' = L || load: U + L' = 75 and L'/75 = white/source white.
    E24 pairs first, E96 where no E24 pair keeps the level within 2 % and the load within 1 %.
    Raises ValueError when `white_v` is not below `source_white_v`, or when the load alone brings it lower.
    """
    if not 0 < white_v < source_white_v:
        raise ValueError(f"white must lie between 0 and {source_white_v:g} V, found {white_v:g}")
    ratio = white_v / source_white_v
    if load_ohm <= LINE_OHM * ratio * (1 + LOAD_ALONE):
        raise ValueError(
            f"the load must be above {short(LINE_OHM * ratio)} ohm for a white of {short(white_v)} V, "
            f"found {short(load_ohm)}"
        )
    lower_target = 1 / (1 / (LINE_OHM * ratio) - 1 / load_ohm)
    upper_target = LINE_OHM * (1 - ratio)
    choices: tuple[tuple[Series, float], ...] = (("E24", 0.01), ("E96", math.inf))
    for series, bound in choices:
        pair = best(
            (
                (u, low)
                for low in decade_values(series, lower_target * 0.9, lower_target * 1.1)
                for u in decade_values(series, max(upper_target * 0.8, LEAST_UPPER_OHM), upper_target * 1.25)
            ),
            lambda p: _misfit(p[0], p[1], load_ohm, ratio),
        )
        if pair and _misfit(*pair, load_ohm, ratio) <= bound:
            upper, lower = pair
            total = upper + parallel(lower, load_ohm)
            level = source_white_v * parallel(lower, load_ohm) / total
            reason = f"{series} pair: {short(total)} ohm in all, white {short(level)} V of {short(white_v)} V wanted"
            return Sized(upper, "ohm", reason), Sized(lower, "ohm", reason)
    raise ValueError(f"no preferred pair for {white_v:g} V")


def _misfit(upper: float, lower: float, load_ohm: float, ratio: float) -> float:
    """Relative error of load and of level, the level weighing half: the eye forgives 1 % of gain."""
    foot = parallel(lower, load_ohm)
    total = upper + foot
    level = 2 * foot / (LINE_OHM + total)
    return abs(total / LINE_OHM - 1) + abs(level / ratio - 1) / 2
