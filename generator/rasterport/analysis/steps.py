"""Response of a linear network to a step, from its transfer at complex frequencies.

The inverse of the Laplace transform by Talbot's contour, in the fixed form of J. Abate and P. Valko, Multi-precision
Laplace transform inversion, 2004: f(t) = r / M (F(r) exp(r t) / 2 + sum Re(exp(t s_k) F(s_k) (1 + j sigma_k))),
r = 2 M / (5 t), s_k = r theta_k (cot theta_k + j), theta_k = k pi / M.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from rasterport.analysis.nodal import Values

NODES = 12
"""Points on the contour: seven digits for a smooth step."""
TIMES = np.geomspace(0.02, 8.0, 60)
"""Where the step is looked at, in mean delays of the network."""
LEAST_S = 1e-13
"""A network without any capacitance has no delay [s]: this stands for it."""
SETTLED, PROBE = 1e4, 1e7
"""s [1/s] at which nothing of an edge shows and every coupling capacitor is a short; one at which the delay shows."""


def rise_s(response: Callable[[Values], Any]) -> Values:
    """From 10 to 90 % of a step [s]; `response` is the transfer at an angular frequency, complex ones too.

    The first axis of what it is given are frequencies; boards are the axis behind.
    """
    level = np.real(response(-1j * SETTLED))
    delay = np.maximum((level / np.real(response(-1j * PROBE)) - 1) / PROBE, LEAST_S)
    return _between(response, level, delay)


def _between(response: Callable[[Values], Any], level: Values, delay: Values) -> Values:
    boards = np.broadcast_to(np.asarray(delay, float), np.shape(np.asarray(level * delay, float)) or (1,))
    theta = np.arange(1, NODES) * math.pi / NODES
    cot = 1 / np.tan(theta)
    points = np.concatenate([[1.0 + 0j], theta * (cot + 1j)])
    sigma = theta + (theta * cot - 1) * cot
    weights = np.concatenate([[0.5 + 0j], 1 + 1j * sigma])
    times = TIMES[:, None] * boards[None, :]
    r = 2 * NODES / (5 * times)
    s = (points[:, None, None] * r[None]).reshape(-1, len(boards))
    transfer = np.broadcast_to(response(-1j * s), s.shape).reshape(NODES, len(TIMES), len(boards))
    s = s.reshape(transfer.shape)
    step = (r / NODES) * np.sum(np.real(weights[:, None, None] * np.exp(s * times[None]) * transfer / s), axis=0)
    share = step / np.asarray(level)
    found = _crossing(times, share, 0.9) - _crossing(times, share, 0.1)
    return found if np.ndim(np.asarray(level * delay)) else float(found[0])


def _crossing(times: Any, share: Any, at: float) -> Any:
    """When a share is first reached, on straight lines between the points; boards are the second axis."""
    later = np.argmax(share >= at, axis=0)
    later = np.maximum(later, 1)
    boards = np.arange(share.shape[1])
    a, b = share[later - 1, boards], share[later, boards]
    t0, t1 = times[later - 1, boards], times[later, boards]
    return t0 + (t1 - t0) * (at - a) / (b - a)
