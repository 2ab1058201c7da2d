"""Many boards drawn at random: how a figure spreads, and how many boards keep each limit.

Boards are taken in chunks, so memory does not grow with their number; percentiles come from bins between the corners.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import CHUNK, SampleDraw
from rasterport.analysis.figures import Figures, Name
from rasterport.records import Figure, Finding, Sampled

if TYPE_CHECKING:
    import numpy.typing as npt

BINS = 1000
"""Bins between the corners of a figure: percentiles are read to a thousandth of its span."""
SOUGHT = 0.01
EDGE = 1e-9
"""A board outside the corners by less than this part of the span is rounding."""


@dataclass
class _Tally:
    """What is kept of one figure while boards go by."""

    figure: Figure
    quantity: Quantity
    finding: Finding | None

    def __post_init__(self) -> None:
        self.count = self.outside = self.no_warning = self.no_error = 0
        self.mean = self.squares = 0.0
        self.low, self.high = np.inf, -np.inf
        self.bins: npt.NDArray[np.int64] = np.zeros(BINS, dtype=np.int64)

    def add(self, draw: SampleDraw) -> None:
        """Take a chunk of boards in."""
        values = np.broadcast_to(np.asarray(self.quantity.value(draw), dtype=float), (draw.boards,))
        count, mean = len(values), float(values.mean())
        # Chan's rule for joining the moments of two groups: no digits are lost over millions of boards.
        apart, total = mean - self.mean, self.count + count
        self.squares += float(((values - mean) ** 2).sum()) + apart * apart * self.count * count / total
        self.mean += apart * count / total
        self.count = total
        self.low, self.high = min(self.low, float(values.min())), max(self.high, float(values.max()))
        self._place(values)
        self.no_error += _kept(values, self.finding, "error")
        self.no_warning += _kept(values, self.finding, "warning")

    def _place(self, values: npt.NDArray[np.float64]) -> None:
        low, span = self.figure.low, self.figure.high - self.figure.low
        slack = EDGE * max(abs(self.figure.low), abs(self.figure.high), span)
        # An end that lies between the corners was sought on a grid: it is known to a hundredth of the span.
        loose = {self.quantity.bends: SOUGHT * span}
        below = values < low - slack - loose.get("low", 0.0)
        above = values > low + span + slack + loose.get("high", 0.0)
        self.outside += int(np.count_nonzero(below | above))
        if span <= slack:
            self.bins[0] += len(values)
            return
        at = np.clip((values - low) * (BINS / span), 0, BINS - 1).astype(np.int64)
        self.bins += np.bincount(at, minlength=BINS)

    def percentile(self, part: float) -> float:
        """The value that this part of the boards does not exceed, to the width of a bin."""
        at = int(np.searchsorted(np.cumsum(self.bins), part * self.count))
        middle = self.figure.low + (self.figure.high - self.figure.low) * (at + 0.5) / BINS
        return float(np.clip(middle, self.low, self.high))

    def result(self) -> Sampled:
        """The finished record."""
        f = self.figure
        return Sampled(
            self.finding.code if self.finding else "",
            f.key,
            f.subject,
            f.state,
            f.unit,
            f.title,
            self.count,
            self.mean,
            float(np.sqrt(self.squares / self.count)),
            float(self.low),
            self.percentile(0.01),
            self.percentile(0.5),
            self.percentile(0.99),
            float(self.high),
            self.outside,
            self.no_warning,
            self.no_error,
            self.finding.sense if self.finding else "",
            self.finding.limit if self.finding else None,
        )


def _kept(values: npt.NDArray[np.float64], finding: Finding | None, which: str) -> int:
    """How many boards keep a limit; no error is a board within its error limit, no warning one within both."""
    if finding is None:
        return len(values)
    fine = np.ones(len(values), dtype=bool)
    bounds = (finding.error_limit,) if which == "error" else (finding.error_limit, finding.warning_limit)
    for limit in bounds:
        if limit is not None:
            slack = abs(limit) * EDGE
            fine &= values >= limit - slack if finding.sense == "least" else values <= limit + slack
    return int(np.count_nonzero(fine))


def sample(
    figures: Figures,
    boards: int,
    seed: int = 1,
    findings: Iterable[Finding] = (),
    names: Iterable[Name] = (),
    tell: Callable[[int], None] | None = None,
) -> tuple[Sampled, ...]:
    """Draw `boards` and work out every figure that a finding judges, and those with these `names`.

    `tell` is called with the number of boards after each chunk.  Raises ValueError for less than one board.
    """
    if boards < 1:
        raise ValueError(f"samples must be 1 or more, found {boards}")
    tallies = [
        _Tally(figures.get(f.figure, f.subject, f.state), figures.quantities[f.figure, f.subject, f.state], f)
        for f in findings
        if f.figure
    ]
    tallies += [_Tally(figures.get(*name), figures.quantities[name], None) for name in names]
    for chunk, start in enumerate(range(0, boards, CHUNK)):
        draw = SampleDraw(seed, chunk, min(CHUNK, boards - start))
        for tally in tallies:
            tally.add(draw)
        if tell is not None:
            tell(draw.boards)
    return tuple(tally.result() for tally in tallies)
