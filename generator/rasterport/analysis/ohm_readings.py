"""What to read with an ohmmeter: the board by itself, and soldered into the set, nothing powered either time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise

from rasterport.analysis.control import Control
from rasterport.analysis.network import NATIVE, State, chosen
from rasterport.analysis.ohms import METER_MOST_OHM, Ohm, Ohms, chips, hung, junctions, leaks, resistors
from rasterport.analysis.points import GROUNDS, Point, contact_of, contacts, ground_of, landings, owner, returns
from rasterport.design.termination import LINE_OHM, parallel
from rasterport.records import COLOURS, Placed, Reading
from rasterport.units import written

METER = "multimeter, resistance"
METER_SHARE, LEADS_OHM = 0.01, 0.5
"""What a hand-held meter and its leads are off, besides the parts [-, ohm]; judgement, stated."""
THROUGH_OHM = 1.0
"""Copper, a joint and a closed contact read at most this [ohm], leads included; judgement, stated."""
OPEN_LEAST_OHM = 1e6
"""Nothing but leakage: at least this [ohm], flux and fingers included; judgement, stated."""
CHARGES_F = 2e-6
"""A capacitor of more keeps a meter waiting [F]; judgement, stated."""
SAME = 1e-6
"""Readings that differ by less than this part are one."""
MOST_NAMED = 3
SOURCE = (
    "resistors at their corners; meter and leads 1 % and 0.5 ohm; at most 0.6 V across a junction: judgement, stated"
)


class OhmReadings:
    """The readings of one stage; `joined` says that the set hangs on the landings."""

    def __init__(self, control: Control, joined: bool) -> None:
        self.control, self.joined = control, joined
        self.circuit, self.variant = control.circuit, control.variant
        self.stage = "joined" if joined else "alone"
        self.lands = landings(self.circuit)
        self.ground = ground_of(self.lands)
        self.inputs = {n: contacts(self.circuit, self.variant, n) for n in range(1, len(self.variant.input) + 1)}
        self._refs = {p.role: p.ref for p in self.circuit.parts}
        self._around = hung(self.circuit, self.variant) if joined else ()
        self._ways = junctions(self.circuit)
        self._large = [(p.ref, {n for n in p.nets.values() if n}) for p in self.circuit.parts if _is_large(p)]
        self._ohms: dict[State, Ohms] = {}
        self._positions: dict[tuple[object, ...], State] = {}

    def ohms(self, state: State) -> Ohms:
        """Resistances with the switches as a state has them, relays idle; one solution a position of the contacts."""
        if state not in self._ohms:
            closed = self.control.pose(state, powered=False).closed
            twin = self._positions.setdefault(tuple(closed), state)
            if twin != state:
                self._ohms[state] = self.ohms(twin)
            else:
                board = resistors(self.circuit, self.control.elements(state, powered=False))
                self._ohms[state] = Ohms((*board, *self._around, *chips(self.circuit)), self._ways, leaks(self.circuit))
        return self._ohms[state]

    def all(self) -> Iterator[Reading]:
        """Grounds and rail first, then the native position, then what changes when a switch is thrown."""
        yield from self._grounds()
        yield from self._rail()
        native = dict(self._lines(NATIVE))
        yield from native.values()
        for n in self.inputs:
            if not self._moves(chosen(n)):
                continue
            for key, found in self._lines(chosen(n), n):
                before = native.get(key)
                if before is None or not _alike(before.nominal, found.nominal):
                    yield found

    def _moves(self, state: State) -> bool:
        """Whether a switch moves a line from its native place, nothing powered: one of the control alone does not."""
        closed = [set(self.control.pose(s, powered=False).closed) for s in (NATIVE, state)]
        signals = [p for points in self.inputs.values() for p in points.values()]
        signals += [p for name, p in self.lands.items() if name not in (*GROUNDS, "rail")]
        groups = {self.ohms(NATIVE).group(p.net) for p in signals} - {""}
        moved = {net for contact in closed[0] ^ closed[1] for net in (contact.first, contact.second)}
        return any(self.ohms(NATIVE).group(net) in groups for net in moved)

    def _grounds(self) -> Iterator[Reading]:
        for n in self.inputs:
            told, nets, refs = returns(self.circuit, self.variant, n)
            if not nets:
                continue
            worst = max(nets, key=lambda net: self.ohms(NATIVE).between(net, self.ground.net).nominal)
            point = Point(f"{chosen(n)}.returns", told, worst, refs[0] if refs else "")
            yield self._reading("", point, self.ground, f"returns of input {n}", decides=True, refs=refs)
        for name in GROUNDS[1:]:
            if name in self.lands:
                yield self._reading("", self.lands[name], self.ground, f"{name} landing")
        if self.joined:
            chassis = Point("chassis", "shield of the tuner, the set's signal ground", self.ground.net, "")
            low = "nothing: less is better"
            high = (
                "the ground wire: it comes first, and without it the set's signals return through the sources' cables"
            )
            yield self._reading("", chassis, self.ground, "the set's ground", decides=True, means=(low, high))

    def _rail(self) -> Iterator[Reading]:
        if "rail" not in self.lands:
            return
        low = (
            "a short of the rail: a bridge at the landing, a capacitor of the supply the wrong way round, a chip turned"
        )
        high = "nothing: a rail may be open to a meter"
        title = "rail, not a short; let the reading settle while capacitors charge"
        yield self._reading("", self.lands["rail"], self.ground, title, decides=True, means=(low, high))

    def _lines(self, state: State, only: int = 0) -> Iterator[tuple[str, Reading]]:
        """Key without its state -> reading, with the switches as a state has them; lines of one input or of all."""

        def row(red: Point, black: Point, title: str, decides: bool = False) -> tuple[str, Reading]:
            return f"{red.name}-{black.name}", self._reading(state, red, black, title, decides)

        for n, points in self.inputs.items():
            for function, point in points.items() if only in (0, n) else ():
                yield row(point, self.ground, f"{function} of input {n}{self._apart(state, function, point)}")
                end = self.lands.get(function.removeprefix("audio-"))
                if end is not None and not self.joined and contact_of(end.name) in (function, f"audio-{function}"):
                    yield row(point, end, f"{function} of input {n} to its landing")
        signals = [p for name, p in self.lands.items() if name not in (*GROUNDS, "rail")]
        for point in signals:
            yield row(point, self.ground, f"{point.name} landing", decides=point.name == "blanking")
            native = self.lands.get(f"{point.name}-native")
            if native is not None:
                yield row(point, native, f"{point.name} landing to the set's own feed")
        edge = [p for name, p in self.lands.items() if name not in GROUNDS]
        for first, second in pairwise(edge):
            apart = {first.name.removesuffix("-native"), second.name.removesuffix("-native")}
            if first.net != second.net and len(apart) > 1:
                yield row(first, second, f"{first.name} and {second.name}, neighbours on the board's edge")

    def _apart(self, state: State, function: str, point: Point) -> str:
        """How far apart the colours of an input may read, in words: one meter is off the same way for all three."""
        found = self.ohms(state).between(point.net, self.ground.net)
        if function not in COLOURS or found.high > METER_MOST_OHM:
            return ""
        return f"; the three colours within {written(found.high - found.low, 'ohm')} of each other"

    def _reading(
        self, state: State, red: Point, black: Point, title: str, decides: bool = False,
        means: tuple[str, str] | None = None, refs: tuple[str, ...] = (),
    ) -> Reading:  # fmt: skip
        ohms, name = self.ohms(state or NATIVE), f"{red.name}-{black.name}"
        found = ohms.between(red.net, black.net)
        if found.low < found.unaided * (1 - SAME):  # a junction is in the way: turn the leads round where that helps
            turned = ohms.between(black.net, red.net)
            if turned.low > found.low * (1 + SAME):
                found, red, black = turned, black, red
        nominal, low, high = limits(found)
        charges = [ref for ref, nets in self._large if nets & found.nets]
        if charges and "settle" not in title:
            title += f"; let the reading settle while {', '.join(charges[:MOST_NAMED])} charges"
        low_means, high_means = means or self._means(found, low, high, red, black)
        where = tuple(dict.fromkeys(r for r in (*refs, red.ref, black.ref) if r))
        return Reading(
            "/".join((self.stage, *([state] if state else []), name)), self.stage, title, METER, red.words, black.words,
            "ohm", nominal, low, high, low_means, high_means, state, "", decides, where, SOURCE,
        )  # fmt: skip

    def _means(self, found: Ohm, low: float, high: float, red: Point, black: Point) -> tuple[str, str]:
        """What to suspect, by what the reading would be with one part open or bridged."""
        below, above = [], []
        if math.isinf(high) and math.isinf(limits(found)[0]):
            below.append(f"a solder bridge or a wrong wire between {red.words} and {black.words}")
        elif found.nominal >= THROUGH_OHM:
            below.append("a solder bridge to ground or to a neighbouring line")
        doubled = parallel(max(found.nominal, 1e-3), LINE_OHM)
        if red.line in (*COLOURS, "sync") and found.nominal < 2 * LINE_OHM and THROUGH_OHM < doubled < low:
            where = "the set terminates this line too, or " if self.joined else ""
            below.append(f"near {written(doubled, 'ohm')}: {where}the termination is there twice")
        below += self._named(found.shorted, lambda v: v < low, "bridged")
        if math.isfinite(high):
            above += self._named(found.opened, lambda v: v > high, "open, or a joint of it")
            above = above or [f"an open joint or wire between {red.words} and {black.words}"]
        return "; ".join(below) or "nothing: less is better", "; ".join(above) or "nothing: it may be open"

    def _named(self, values: Mapping[str, float], counts: Callable[[float], bool], word: str) -> list[str]:
        """Parts of the board whose fault shows, what shows most clearly first."""
        seen: dict[str, list[str]] = {}
        for role, value in values.items():
            ref = owner(self._refs, role)
            if ref and counts(value):
                reads = (
                    "open" if value > METER_MOST_OHM else written(value, "ohm") if value >= THROUGH_OHM else "nearly 0"
                )
                seen.setdefault(reads, []).append(ref)
        rows = [(", ".join(dict.fromkeys(refs[:MOST_NAMED])), reads) for reads, refs in seen.items()]
        return [f"{refs} {word}: reads {reads}" for refs, reads in rows[:MOST_NAMED]]


def _is_large(placed: Placed) -> bool:
    """Whether a meter sees a capacitor charge."""
    return placed.part.letter == "C" and (placed.value_si or 0.0) >= CHARGES_F


def _reads(ohm: float) -> str:
    """What a meter shows, in words."""
    if ohm > METER_MOST_OHM:
        return "open"
    return written(ohm, "ohm") if ohm >= THROUGH_OHM else "nearly 0"


def _alike(first: float, second: float) -> bool:
    return first == second or (math.isfinite(first) and math.isfinite(second) and abs(first - second) <= SAME * first)


def limits(found: Ohm) -> tuple[float, float, float]:
    """Nominal, lowest and highest reading [ohm] with what meter and leads add; infinite for open."""
    nominal = found.nominal if found.nominal <= METER_MOST_OHM else math.inf
    high = found.high * (1 + METER_SHARE) + LEADS_OHM
    low = max(0.0, found.low * (1 - METER_SHARE) - LEADS_OHM)
    if math.isinf(nominal) or high > METER_MOST_OHM:
        high = math.inf
    if math.isinf(high):
        low = min(low, OPEN_LEAST_OHM)
    if nominal < THROUGH_OHM:
        return nominal, 0.0, max(THROUGH_OHM, high)
    return nominal, low, high
