"""A termination whose lower resistor is set by a trimmer: white moves a little either way, the load hardly.

contact o--[upper]--+--o tap
                    |
              +-----+------+
              |            |
           [lower]     [trimmer]  the wiper tied to the far end: open, all of the track is in circuit
              |            |
              |         [under]
              |            |
              +-----+------+
                   GND
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rasterport.design.preferred import best
from rasterport.design.termination import LINE_OHM, parallel, splits
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.units import short

SPAN_DB, SPLIT_DB = 0.2, 0.1
"""How far a trimmer moves white either way [dB], and how much more the deeper it is split, since two resistors spread
more than one: 4.6 to 6.6 % in all, more than any two colours are apart, and with the tolerance of the resistors still
within half a decibel.  Judgement, stated."""
UNDER_LEAST_OHM = 50.0
"""Least resistor under a trimmer [ohm]: the contact of a wiper, a few ohm that come and go, is little beside it.
Judgement, stated."""
LOWER_MOST = 1.15
"""The fixed resistor is at most so much of what both make together [-]: the trimmer is a small part of the load."""
MIDDLE_WEIGHT = 0.5
"""What the middle of the track counts beside the stops: it need not be right, but near; judgement, stated."""
LOAD_WEIGHT_DB = 2.0
"""What a load that is all off would count beside an error of the span [dB]; judgement, stated."""


@dataclass(frozen=True, slots=True)
class Trimmed:
    """A termination with a trimmer: `upper` is None where white is not split."""

    upper: Sized | None
    lower: Sized
    trimmer: Sized
    under: Sized


@dataclass(frozen=True, slots=True)
class Values:
    """Upper resistor (0 for none), fixed lower one, track and resistor under it [ohm]."""

    upper: float
    lower: float
    track: float
    under: float

    def foot(self, share: float, load_ohm: float) -> float:
        """Resistance from the tap to ground [ohm] with this share of the track in circuit."""
        return parallel(self.lower, self.under + share * self.track, load_ohm)

    def load(self, share: float, load_ohm: float) -> float:
        """Load at the contact [ohm]."""
        return self.upper + self.foot(share, load_ohm)

    def ratio(self, share: float, load_ohm: float) -> float:
        """White at the tap over that of the source into 75 ohm."""
        return 2 * self.foot(share, load_ohm) / (LINE_OHM + self.load(share, load_ohm))


def trimmed(white_v: float, source_white_v: float, load_ohm: float, tracks_ohm: Sequence[float]) -> Trimmed:
    """Resistors and trimmer so that the stops lie as far below white as above: at most that of the source.

    The tap feeds `load_ohm` [ohm]; `tracks_ohm` are those that there are.  Raises ValueError where no values serve.
    """
    values = _search(min(white_v, source_white_v) / source_white_v, load_ohm, tuple(tracks_ohm))
    if values is None:
        raise ValueError(f"no trimmer sets {short(white_v)} V of white into {short(load_ohm)} ohm: leave trimmers out")
    ends = [values.ratio(share, load_ohm) * source_white_v for share in (0.0, 0.5, 1.0)]
    loads = [values.load(share, load_ohm) for share in (0.0, 1.0)]
    reason = (
        f"white {short(ends[0])} to {short(ends[2])} V from stop to stop, {short(ends[1])} V in the middle; "
        f"{short(loads[0])} to {short(loads[1])} ohm in all"
    )
    sized = [Sized(ohm, "ohm", reason) for ohm in (values.upper, values.lower, values.track, values.under)]
    return Trimmed(sized[0] if values.upper else None, *sized[1:])


@lru_cache(maxsize=16)
def _search(ratio: float, load_ohm: float, tracks_ohm: tuple[float, ...]) -> Values | None:
    span = 10 ** ((SPAN_DB + SPLIT_DB * (1 - ratio)) / 20)
    ends = (ratio / span, ratio * span)
    found = (v for upper in _uppers(ratio) for track in tracks_ohm for v in _around(upper, track, ends, load_ohm))
    return best(found, lambda v: _misfit(v, ends, load_ohm))


def _uppers(ratio: float) -> Sequence[float]:
    if not splits(ratio, 1.0):
        return (0.0,)
    target = LINE_OHM * (1 - ratio)
    return tuple(u for u in decade_values("E96", target * 0.9, target * 1.1) if u >= 1.0)


def _around(upper: float, track: float, ends: tuple[float, float], load_ohm: float) -> Iterator[Values]:
    """Preferred values near those that put both stops where they belong.

    White is 2 L / (75 + U + L) of the source's, so that each end gives its L; two conductances differ by the track:
    1 / R - 1 / (R + P) = 1 / L_low - 1 / L_high.
    """
    low, high = (q * (LINE_OHM + upper) / (2 - q) for q in ends)
    apart = 1 / low - 1 / high
    under = (math.sqrt(track * track + 4 * track / apart) - track) / 2
    rest = 1 / low - 1 / under - 1 / load_ohm
    if under < UNDER_LEAST_OHM or rest <= 0 or 1 / rest > LOWER_MOST / (0.5 / low + 0.5 / high - 1 / load_ohm):
        return
    for fixed in decade_values("E96", 0.98 / rest, 1.02 / rest):
        for foot in decade_values("E96", under * 0.9, under * 1.1):
            yield Values(upper, fixed, track, foot)


def _misfit(values: Values, ends: tuple[float, float], load_ohm: float) -> float:
    """How far both stops and the middle are off in level, and the worse of the stops in load [dB]."""
    wanted = ((0.0, ends[0], 1.0), (0.5, math.sqrt(ends[0] * ends[1]), MIDDLE_WEIGHT), (1.0, ends[1], 1.0))
    level = sum(weight * abs(20 * math.log10(values.ratio(share, load_ohm) / end)) for share, end, weight in wanted)
    load = max(abs(values.load(share, load_ohm) / LINE_OHM - 1) for share in (0.0, 1.0))
    return level + LOAD_WEIGHT_DB * load
