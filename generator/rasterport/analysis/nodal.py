"""Nodal analysis of linear networks: resistors, capacitors, ideal and resistive sources, closed and open contacts.

A node is eliminated by the star-mesh rule: what leads from it to its neighbours and to ground becomes what leads
between those.  Nothing is ever subtracted, so a network of wide-spread values loses no digits, and the same lines
serve numbers and arrays: states, corners, samples and frequencies are axes of the values, never a loop.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

GROUND = "GND"
LEAK_S = 1e-12
"""Conductance from every node to ground [S], so that a node behind a capacitor has a solution at DC."""

Values = Any
"""A number, or a NumPy array whose shape is that of every other array in the same solution (by broadcasting)."""


@dataclass(frozen=True, slots=True)
class Element:
    """A resistor [ohm] or a capacitor [F] between two nets; `spread` is its relative bound.

    `follows` names the uncertainty that moves it, its own role where that is empty.  `bounds` replace the spread
    where nominal does not lie in the middle.
    """

    role: str
    kind: str
    first: str
    second: str
    value: float
    spread: float = 0.0
    follows: str = ""
    bounds: tuple[float, float] | None = None

    def admittance(self, omega: Values, value: Values) -> Values:
        """Admittance [S] at angular frequency `omega` [rad/s] for a value of this element."""
        return 1 / value if self.kind == "R" else 1j * omega * value

    @property
    def parameter(self) -> str:
        """Name of the uncertainty that moves this element's value."""
        return self.follows or self.role

    @property
    def uncertain(self) -> bool:
        """Whether its value has a spread."""
        return self.spread > 0 or self.bounds is not None

    @property
    def low(self) -> float:
        """Least value."""
        return self.value * (1 - self.spread) if self.bounds is None else self.bounds[0]

    @property
    def high(self) -> float:
        """Greatest value."""
        return self.value * (1 + self.spread) if self.bounds is None else self.bounds[1]


def parameters_of(elements: Iterable[Element]) -> tuple[str, ...]:
    """Names of the uncertainties that move these elements, in order."""
    return tuple(dict.fromkeys(e.parameter for e in elements if e.uncertain))


_NEAR: dict[int, tuple[tuple[Element, ...], dict[str, list[Element]]]] = {}
"""Which elements stand on each net of a tuple of elements, for the last few tuples asked for, by identity."""
MOST_NEAR = 32


def _near(elements: Iterable[Element]) -> dict[str, list[Element]]:
    kept = _NEAR.get(id(elements))
    if kept is not None and kept[0] is elements:
        return kept[1]
    found: dict[str, list[Element]] = {}
    every = elements if isinstance(elements, tuple) else tuple(elements)
    for element in every:
        found.setdefault(element.first, []).append(element)
        if element.second != element.first:
            found.setdefault(element.second, []).append(element)
    if every is elements:
        while len(_NEAR) >= MOST_NEAR:
            del _NEAR[next(iter(_NEAR))]
        _NEAR[id(every)] = (every, found)
    return found


def reach(elements: Iterable[Element], start: str, fixed: Iterable[str] = ()) -> tuple[Element, ...]:
    """The elements connected to `start` without passing through ground or a fixed net; none from such a net itself."""
    walls = {GROUND, *fixed}
    if start in walls:
        return ()
    near = _near(elements)
    seen, frontier, found = {start}, [start], dict.fromkeys(near.get(start, ()))
    while frontier:
        for element in near.get(frontier.pop(), ()):
            found[element] = None
            for other in (element.first, element.second):
                if other not in walls and other not in seen:
                    seen.add(other)
                    frontier.append(other)
    return tuple(sorted(found, key=_by_role))


def _by_role(element: Element) -> str:
    return element.role


def components(elements: Iterable[Element], fixed: Iterable[str] = ()) -> tuple[tuple[Element, ...], ...]:
    """The elements in connected parts; ground and fixed nets join nothing."""
    walls, every = {GROUND, *fixed}, tuple(elements)
    found: list[tuple[Element, ...]] = []
    alone, seen = [], set[str]()
    for element in every:
        start = element.second if element.first in walls else element.first
        if start in walls:
            alone += [(element,)] if element.first != element.second else []
        elif start not in seen:
            part = reach(every, start, walls)
            found.append(part)
            seen.update(net for e in part for net in (e.first, e.second) if net not in walls)
    return (*found, *alone)


def carrying(elements: tuple[Element, ...], fixed: Iterable[str] = ()) -> tuple[Element, ...]:
    """The elements without dead ends: no current flows into a net on which nothing else stands."""
    walls, left = {GROUND, *fixed}, elements
    while True:
        count: dict[str, int] = {}
        for e in left:
            for net in {e.first, e.second}:
                count[net] = count.get(net, 0) + 1
        kept = tuple(e for e in left if all(net in walls or count[net] > 1 for net in (e.first, e.second)))
        if len(kept) == len(left):
            return kept
        left = kept


class Network:
    """One topology, ready to be solved for any values.

    Ground and the `fixed` nets drop out.  Of the rest only the connected parts that hold a `wanted` net are kept
    (all of them without `wanted`), and eliminated in an order found once: fewest neighbours first, wanted nets last.
    """

    def __init__(
        self, elements: Iterable[Element], fixed: Iterable[str] = (), wanted: Sequence[str] | None = None
    ) -> None:
        self.elements = tuple(elements)
        walls = {GROUND, *fixed}
        near: dict[str, set[str]] = {net: set() for net in wanted or () if net not in walls}
        for e in self.elements:
            for here, there in ((e.first, e.second), (e.second, e.first)):
                if here not in walls:
                    near.setdefault(here, set()).update({there} - walls - {here})
        self.wanted = tuple(sorted(near) if wanted is None else dict.fromkeys(n for n in wanted if n not in walls))
        self._walls = walls
        self._order = _order(_connected(near, self.wanted), set(self.wanted))
        kept = {net for net, _ in self._order}
        self._stamps = [
            (n, e) for n, e in enumerate(self.elements) if e.first != e.second and (e.first in kept or e.second in kept)
        ]

    def solve(
        self,
        injected: Mapping[str, Values],
        omega: Values = 0.0,
        fixed: Mapping[str, Values] | None = None,
        values: Sequence[Values] | None = None,
    ) -> dict[str, Values]:
        """Voltages [V] of the wanted nets: currents [A] injected, angular frequency [rad/s], fixed nets [V].

        `values` replaces the elements' own, in the same order.
        """
        return self.solve_each((injected,), omega, fixed, values)[0]

    def solve_each(
        self,
        injections: Sequence[Mapping[str, Values]],
        omega: Values = 0.0,
        fixed: Mapping[str, Values] | None = None,
        values: Sequence[Values] | None = None,
    ) -> list[dict[str, Values]]:
        """As `solve`, for several sets of currents with one elimination."""
        to_ground, link, lifted = self._stamped(omega, fixed or {}, values)
        drives = [{net: amps + i.get(net, 0.0) for net, amps in lifted.items()} for i in injections]
        totals: dict[str, Values] = {}
        for net, near in self._order:
            arms = [link[net, other] for other in near]
            totals[net] = total = sum(arms, to_ground[net])
            shares = [arm / total for arm in arms]
            for other, share in zip(near, shares, strict=True):
                to_ground[other] = to_ground[other] + share * to_ground[net]
                for drive in drives:
                    drive[other] = drive[other] + share * drive[net]
            for k, share in enumerate(shares):
                for other, arm in zip(near[k + 1 :], arms[k + 1 :], strict=True):
                    link[near[k], other] = link.get((near[k], other), 0.0) + share * arm
        return [self._back(drive, link, totals) for drive in drives]

    def _stamped(
        self, omega: Values, fixed: Mapping[str, Values], values: Sequence[Values] | None
    ) -> tuple[dict[str, Values], dict[tuple[str, str], Values], dict[str, Values]]:
        """Admittances to ground and fixed nets, admittances between nodes, currents that the fixed nets send."""
        place = {net: n for n, (net, _) in enumerate(self._order)}
        to_ground: dict[str, Values] = dict.fromkeys(place, LEAK_S)
        lifted: dict[str, Values] = dict.fromkeys(place, 0.0)
        link: dict[tuple[str, str], Values] = {(net, other): 0.0 for net, near in self._order for other in near}
        for n, e in self._stamps:
            y = e.admittance(omega, e.value if values is None else values[n])
            if e.first in place and e.second in place:
                pair = (e.first, e.second) if place[e.first] < place[e.second] else (e.second, e.first)
                link[pair] = link[pair] + y
                continue
            node, wall = (e.first, e.second) if e.first in place else (e.second, e.first)
            to_ground[node] = to_ground[node] + y
            if wall in fixed:
                lifted[node] = lifted[node] + y * fixed[wall]
        return to_ground, link, lifted

    def _back(
        self, drive: dict[str, Values], link: Mapping[tuple[str, str], Values], totals: Mapping[str, Values]
    ) -> dict[str, Values]:
        volts: dict[str, Values] = {}
        for net, near in reversed(self._order):
            if net in self.wanted:
                volts[net] = sum((link[net, other] * volts[other] for other in near), drive[net]) / totals[net]
        return volts


def _connected(near: Mapping[str, set[str]], wanted: Iterable[str]) -> dict[str, set[str]]:
    """The neighbours of every node that is joined to a wanted one."""
    frontier = list(wanted)
    found: dict[str, set[str]] = {}
    while frontier:
        net = frontier.pop()
        if net not in found:
            found[net] = set(near[net])
            frontier += near[net]
    return found


def _order(near: dict[str, set[str]], last: set[str]) -> list[tuple[str, tuple[str, ...]]]:
    """Nodes with the neighbours that each has when its turn comes, in order of elimination."""
    turns: list[tuple[str, set[str]]] = []
    while near:
        net = min(near, key=lambda n: (n in last, len(near[n]), n))
        mine = near.pop(net)
        turns.append((net, mine))
        for other in mine:
            near[other] |= mine
            near[other] -= {net, other}
    place = {net: n for n, (net, _) in enumerate(turns)}
    return [(net, tuple(sorted(mine, key=place.__getitem__))) for net, mine in turns]


def solve(
    elements: Sequence[Element],
    injected: Mapping[str, Values],
    omega: Values = 0.0,
    fixed: Mapping[str, Values] | None = None,
    values: Sequence[Values] | None = None,
) -> dict[str, Any]:
    """Voltages [V] of every net for currents [A] injected into nets, with some nets held at fixed voltages [V].

    `values` replaces the elements' own, in the same order.  One topology once; `Network` is for many solutions.
    """
    held: dict[str, Values] = {**(fixed or {}), GROUND: 0.0}
    nets = sorted({e.first for e in elements} | {e.second for e in elements} | set(injected))
    network = Network(elements, held, [net for net in nets if net not in held])
    return {**network.solve(injected, omega, held, values), **held}


def impedance(elements: Sequence[Element], net: str, hertz: float, values: Sequence[Values] | None = None) -> Any:
    """Impedance [ohm] from `net` to ground at `hertz` [Hz]."""
    return Network(elements, (), (net,)).solve({net: 1.0}, 2 * math.pi * hertz, None, values)[net]
