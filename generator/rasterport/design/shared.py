"""Which resistors join source and display: a search over preferred values, E24 first, then E96.

The measure of a combination is the worst use of the limits of three wishes: how far white of the source is off, over
what it may be off [dB / dB]; the same of the white of menus, the worst of a source connected, nothing plugged in and
native; what comes back to the source, over what may come back.  Both at white stay below the pin's clipping level and
the node within its most resistance: that is no wish and never yields.  The least measure wins, among equals (relative
1e-9) the first in the order of `within`.  E24 is taken where it meets all limits, else the better of the two series.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache

from rasterport.design.mixing import Combination, Display, Values, Wishes, bound_v, combine, larger
from rasterport.design.mixing_values import WISHES, Room, Uses, uses, within
from rasterport.design.yielding import gives_up, yields
from rasterport.standards.iec60063 import Series
from rasterport.units import MARGIN, short

__all__ = ["Combination", "Display", "Found", "RunnerUp", "Wishes", "bound_v", "combine", "search"]

STEPS = (*(1.25**k for k in range(28)), math.inf)
"""How far limits are opened, step by step, until something fits [-]: what fits first is the least."""
NEARER = (0.8, 0.88, 0.93, 0.96, 0.98, 1.0)
"""The same of E96, of what E24 needs [-]: finer values need little less."""
FAR = (2.0, 20.0)
"""The same of E96 where E24 has nothing [-]."""
LEAST_GIVEN = 0.25
"""A runner-up gives up so much more of its wish's limit at least [-]: less is no difference."""
FURTHEST = 2.0
"""How far such a runner-up may lie behind the best [-]; beyond, the next best serves."""
LEANS = 3.0
"""A wish that a runner-up gives up counts so many times less where nothing else sets it apart; an error is three times
a warning in level."""


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
class Pick:
    """A combination, what it costs [-], and the series that it is of."""

    choice: Combination
    cost: float
    series: Series


Cost = Callable[[Combination, Uses], Values]
"""What is made least [-], inf where a combination is out of the question."""
Rooms = Callable[[float], Room]


@lru_cache(maxsize=32)
def search(display: Display, wishes: Wishes) -> Found:
    """The best combination for a display, three runners-up, and which wish must yield where no values meet all limits.

    Raises ValueError where no combination keeps both at white below clipping and the node within its resistance.
    """
    task = _Task(display, wishes)
    best = task.either(_even, lambda _, u: u.worst)
    if best is None:
        raise ValueError(
            f"no resistors keep both at white below {short(wishes.clipping_v)} V and the node within "
            f"{short(wishes.node_ohm)} ohm"
        )
    met = best.cost <= 1 + MARGIN
    taken, runners, alone = [best.choice], [], {}
    for wish in WISHES:
        pick = _giving(task, wish, best, taken) if met else _yielding(task, wish)
        if pick is not None and not met:
            alone[wish] = pick.choice
        if pick is None or pick.choice in taken:
            pick = _leaning(task, wish, best, taken, LEAST_GIVEN) or _leaning(task, wish, best, taken, -math.inf)
        if pick is not None:
            taken.append(pick.choice)
            runners.append(RunnerUp(pick.choice, wish, gives_up(pick.choice, best.choice, wish, wishes)))
    told = "" if met else yields(alone, wishes, _in_the_way(task))
    return Found(best.choice, best.series, best.cost, tuple(runners), told)


def _even(step: float) -> Room:
    """The same room for every wish."""
    return Room(step, step, step)


def _giving(task: _Task, wish: str, best: Pick, taken: list[Combination]) -> Pick | None:
    """All limits met, the sum of the other two least, this one at least half of the way on to its limit."""
    least = (uses(best.choice, task.wishes).of(wish) + 1) / 2

    def cost(made: Combination, u: Uses) -> Values:
        return _only(u.both(wish), (u.worst <= 1 + MARGIN) & (u.of(wish) > least) & _other(made, taken))

    return task.least(best.series, lambda _: _even(1.0), cost, (2.0,))


def _yielding(task: _Task, wish: str) -> Pick | None:
    """The limits of the other two met, this one broken as little as can be."""
    return task.either(
        lambda step: Room(**{name: step if name == wish else 1.0 for name in WISHES}),
        lambda _, u: _only(u.of(wish), u.others(wish) <= 1 + MARGIN),
    )


def _leaning(task: _Task, wish: str, best: Pick, taken: list[Combination], given: float) -> Pick | None:
    """The best by the measure where this wish counts a third and is given up so much further [-] than in the best."""
    least = uses(best.choice, task.wishes).of(wish) + given

    def cost(made: Combination, u: Uses) -> Values:
        return _only(larger(u.others(wish), u.of(wish) / LEANS), (u.of(wish) > least) & _other(made, taken))

    steps = [step for step in STEPS if step <= FURTHEST * max(best.cost, 1.0)]

    def room(step: float) -> Room:
        return Room(**{name: step * (LEANS if name == wish else 1) for name in WISHES})

    return task.least("E24", room, cost, steps)


def _only(cost: Values, admitted: Values) -> Values:
    """The cost of what is admitted, inf for the rest."""
    import numpy as np

    return np.where(admitted, cost, math.inf)


def _other(made: Combination, taken: Iterable[Combination]) -> Values:
    """Which combinations are not among those that were taken."""
    import numpy as np

    same = [np.logical_and.reduce([a == b for a, b in zip(made.values, t.values, strict=True)]) for t in taken]
    return ~np.logical_or.reduce(same)


def _in_the_way(task: _Task) -> str:
    """Which of the limits that never yield leaves no room, in words; "" where the wishes are too much without them."""
    wishes = task.wishes
    for key, unit, words in (
        ("clipping_v", "V", "both at white must stay below"),
        ("node_ohm", "ohm", "the node must stay within"),
    ):
        free = replace(wishes, **{key: math.inf})
        if free != wishes and _Task(task.display, free).least("E24", _even, lambda _, u: u.worst, (1.0,)) is not None:
            return f"{words} {short(getattr(wishes, key))} {unit}"
    return ""


@dataclass(frozen=True, slots=True)
class _Task:
    """A display and the wishes."""

    display: Display
    wishes: Wishes

    def either(self, rooms: Rooms, cost: Cost) -> Pick | None:
        """The least of E24 where it costs no more than 1, else the better of E24 and E96."""
        coarse = self.least("E24", rooms, cost, STEPS)
        if coarse is None:
            return self.least("E96", rooms, cost, FAR)
        if coarse.cost <= 1 + MARGIN:
            return coarse
        fine = self.least("E96", rooms, cost, [coarse.cost * step for step in NEARER])
        return fine if fine is not None and fine.cost < coarse.cost * (1 - MARGIN) else coarse

    def least(self, series: Series, rooms: Rooms, cost: Cost, steps: Sequence[float]) -> Pick | None:
        """The combination of least cost that is not above the last step; the first of equals.

        Limits are opened step by step: whatever costs no more than a step lies within its room.
        """
        for step in steps:
            found: Pick | None = None
            for made in within(self.display, self.wishes, series, rooms(step)):
                found = self._better(found, made, cost, series)
            if found is not None and found.cost <= step * (1 + MARGIN):
                return found
        return None

    def _better(self, found: Pick | None, made: Combination, cost: Cost, series: Series) -> Pick | None:
        used = uses(made, self.wishes)
        costs = _only(cost(made, used), used.kept)
        least = float(costs.min())
        if math.isinf(least) or (found is not None and least >= found.cost * (1 - MARGIN)):
            return found
        at = int((costs <= least * (1 + MARGIN)).argmax())
        return Pick(Combination(**{f.name: float(getattr(made, f.name)[at]) for f in fields(made)}), least, series)
