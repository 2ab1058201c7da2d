"""Edges: what a net of resistors and capacitors does after a step, exactly, for one board or an array of boards.

The voltages are sums of exponentials, found from the symmetric eigenproblem G v = lambda C v.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from rasterport.analysis.nodal import GROUND, Element, Values

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

LEAST_F = 0.05e-12
"""What every net has against ground besides [F], so that none is without a capacitance; below any pad of a board."""
LEAST_S = 1e-12
"""What every net leaks besides [S], so that none floats."""
POINTS, SPANS, SOONEST = 257, 14.0, 0.01
"""A response is looked at so many times over so many of its slowest time constants, and half as often from this part of
the fastest one on; linear between: 0.04 % off."""


class Step:
    """The response of one net after a step.

    `elements` with `values` [ohm, F] and the nets `held` [V] stand after the step, `injected` [A] flow all the time,
    and every other net starts from `start` [V].
    """

    def __init__(
        self,
        elements: Sequence[Element],
        values: Sequence[Values],
        held: Mapping[str, Values],
        start: Mapping[str, Values],
        injected: Mapping[str, Values] | None = None,
    ) -> None:
        fixed: dict[str, Values] = {**held, GROUND: 0.0}
        self._nets = sorted({net for e in elements for net in (e.first, e.second)} - set(fixed))
        place, n = {net: k for k, net in enumerate(self._nets)}, len(self._nets)
        given = [*values, *fixed.values(), *(start.get(net, 0.0) for net in self._nets), *(injected or {}).values()]
        shape = np.broadcast_shapes(*(np.shape(v) for v in given))
        self._scalar, count = shape == (), int(np.prod(shape, dtype=int))

        def full(value: Values) -> Any:
            return np.broadcast_to(np.asarray(value, float), shape).reshape(count)

        conductance, capacitance, drive = np.zeros((count, n, n)), np.zeros((count, n, n)), np.zeros((count, n))
        for k in range(n):
            conductance[:, k, k], capacitance[:, k, k] = LEAST_S, LEAST_F
        for e, value in zip(elements, values, strict=True):
            into, weight = (conductance, 1 / full(value)) if e.kind == "R" else (capacitance, full(value))
            ends = [place[net] for net in (e.first, e.second) if net in place]
            if e.first == e.second:
                continue
            for k in ends:
                into[:, k, k] += weight
            if len(ends) == 2:
                into[:, ends[0], ends[1]] -= weight
                into[:, ends[1], ends[0]] -= weight
            elif ends and e.kind == "R":
                drive[:, ends[0]] += weight * full(fixed[e.second if e.first in place else e.first])
        for net, amps in (injected or {}).items():
            if net in place:
                drive[:, place[net]] += full(amps)
        begun = np.stack([full(start.get(net, 0.0)) for net in self._nets], 1)
        self._end = np.linalg.solve(conductance, drive[:, :, None])[:, :, 0]
        lower = np.linalg.cholesky(capacitance)
        inverse = np.linalg.inv(lower)
        self._rates, modes = np.linalg.eigh(inverse @ conductance @ inverse.transpose(0, 2, 1))
        shapes = inverse.transpose(0, 2, 1) @ modes
        # The shapes are orthonormal with the capacitances as weights.
        weights = (shapes.transpose(0, 2, 1) @ capacitance @ (begun - self._end)[:, :, None])[:, :, 0]
        self._shapes, self._weights, self._begun, self._place = shapes, weights, begun, place

    def end(self, net: str) -> Values:
        """Where a net settles [V]."""
        return self._out(self._end[:, self._place[net]])

    def crossing(self, net: str, *levels: Values) -> list[Values]:
        """When a net first passes each of these voltages [V] on its way to where it settles [s]; infinity if never."""
        k = self._place[net]
        amounts = self._shapes[:, k, :] * self._weights
        # A mode that does not show at this net sets no pace; leaks alone decay in seconds.
        shown = np.abs(amounts) > 1e-6 * np.abs(amounts).max(axis=1, keepdims=True)
        shown &= (amounts != 0.0).any(axis=1, keepdims=True)
        slowest = np.where(shown, self._rates, np.inf).min(axis=1)
        fastest = np.where(shown, self._rates, 0.0).max(axis=1)
        slowest, fastest = (np.where(shown.any(axis=1), rate, 1.0) for rate in (slowest, fastest))  # it never moves
        early = np.geomspace(SOONEST / fastest, SPANS / slowest, POINTS // 2, axis=1)
        even = np.linspace(0.0, SPANS, POINTS)[None, :] / slowest[:, None]
        times = np.sort(np.concatenate([even, early], axis=1), axis=1)
        volts = self._end[:, k, None] + np.einsum(
            "bm,bmt->bt", amounts, np.exp(-np.maximum(self._rates, 0.0)[:, :, None] * times[:, None, :])
        )
        way = np.sign(self._end[:, k] - self._begun[:, k])
        found = []
        for level in levels:
            there = np.broadcast_to(np.asarray(level, float), way.shape)
            passed = (volts - there[:, None]) * way[:, None] >= 0
            first = np.argmax(passed, axis=1)
            rows = np.arange(len(way))
            before = np.maximum(first - 1, 0)
            rise = volts[rows, first] - volts[rows, before]
            share = np.where(rise == 0, 0.0, (there - volts[rows, before]) / np.where(rise == 0, 1.0, rise))
            at = times[rows, before] + share * (times[rows, first] - times[rows, before])
            found.append(self._out(np.where(passed.any(axis=1), at, np.inf)))
        return found

    def share(self, net: str, *shares: float) -> list[Values]:
        """When a net has gone each of these shares of its way [s]."""
        begun, end = self._begun[:, self._place[net]], self._end[:, self._place[net]]
        return self.crossing(net, *(begun + share * (end - begun) for share in shares))

    def _out(self, found: Any) -> Values:
        return float(found[0]) if self._scalar else found
