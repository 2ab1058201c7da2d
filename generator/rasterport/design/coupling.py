"""The capacitor into a keyed clamp has a floor and a ceiling; into a plain load it sets a low corner."""

from __future__ import annotations

import math

from rasterport.design.preferred import at_least, at_most
from rasterport.records import Sized
from rasterport.units import short

CUT_STEP_V = 0.57
"""Black moves by this when the picture cuts between black and white behind a capacitor [V]:
0.7 V white times 52 us of a 64 us line (ITU-R BT.470)."""

CUT_TIME_S = 33e-3
"""Time constant of 220 uF into 75 + 75 ohm, the smallest usual output coupling [s]."""

USUAL_F = 100e-9
"""Common practice, no source: 100 nF (marked 104) in series to a clamped RGB pin [F]."""


def floor(leakage_a: float, line_s: float, droop_v: float) -> float:
    """Least capacitance [F] so that `leakage_a` [A] moves the line by no more than `droop_v` [V].

    C = I t / dV over the active line `line_s` [s].
    """
    return leakage_a * line_s / droop_v


BIAS_OHM = 100e3
"""From a line to the middle voltage in front of an analog switch [ohm]: 2 uA of leakage move it by 0.2 V."""
BLOCK_F = 4.7e-6
"""In front of an analog switch whose channel and common hang on 50 kohm together [F]: a quarter of a second, so that
black runs little faster than behind the source's own capacitor.  Judgement, stated."""
SYNC_BLOCK_F = 10e-6
"""The same of the sync line, which the landing loads [F]; judgement, stated."""


def ceiling(clamp_a: float, clamp_s: float, line_s: float, block_s: float = math.inf) -> float:
    """Greatest capacitance [F] whose clamp still follows an AC-coupled source after a cut.

    The black level of the source runs at CUT_STEP_V / CUT_TIME_S; the clamp moves the capacitor by
    I t / C once a line: C <= I_clamp t_clamp / (0.57 V / 33 ms x t_line).  Example: 40 uA for 4 us on
    64 us lines: 145 nF.  `block_s` [s] is the time constant of a capacitor of the board on the way: it adds its run.
    """
    return clamp_a * clamp_s / (CUT_STEP_V * (1 / CUT_TIME_S + 1 / block_s) * line_s)


def into_clamp(low_f: float, high_f: float, spread: float) -> Sized:
    """The coupling capacitor [F] between floor `low_f` and ceiling `high_f`, with its `spread` (0.27 = 27 %).

    The largest E6 value that stays under the ceiling with its spread, but no more than 100 nF: more
    buys nothing where droop is already small, and it settles later.  Raises ValueError when the floor is
    above the ceiling.
    """
    most = min(high_f / (1 + spread), USUAL_F)
    value = at_most(most, "E6")
    if value * (1 - spread) < low_f:
        raise ValueError(
            f"no coupling capacitor serves with its tolerance: droop over a line asks for {short(low_f * 1e9, 3)} nF "
            f"or more, the clamp follows up to {short(high_f * 1e9, 3)} nF; less leakage, or more clamp current or "
            "time, would help: measure them"
        )
    return Sized(
        value,
        "F",
        f"between floor {short(low_f * 1e9, 3)} nF (droop) and ceiling {short(high_f * 1e9, 3)} nF "
        "(the clamp follows a change of scene)",
    )


def into_load(corner_hz: float, load_ohm: float, spread: float) -> Sized:
    """The capacitor [F] whose corner with `load_ohm` stays below `corner_hz` with its `spread`.

    C >= 1 / (2 pi R f), next E6 value.
    """
    least = 1 / (2 * math.pi * load_ohm * corner_hz * (1 - spread))
    value = at_least(least, "E6")
    actual = 1 / (2 * math.pi * load_ohm * value)
    return Sized(
        value,
        "F",
        f"corner {short(actual, 3)} Hz with {short(load_ohm / 1e3)} kohm; "
        f"below {corner_hz:g} Hz also with {short(spread * 100, 2)} % less capacitance",
    )
