"""What to read with an ohmmeter: the board by itself, and soldered into the set, nothing powered either time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from rasterport.analysis.bench_feeds import position
from rasterport.analysis.control import Control
from rasterport.analysis.meter import METER, OFF, SHARE
from rasterport.analysis.network import NATIVE, State, chosen
from rasterport.analysis.ohms import METER_MOST_OHM, Ohm, Ohms, chips, hung, junctions, leaks, resistors
from rasterport.analysis.points import GROUNDS, Point, contact_of, contacts, ground_of, landings, owner, returns
from rasterport.design.termination import LINE_OHM, parallel
from rasterport.records import BRIDGED, COLOURS, GROUND, OPEN_LEAST_OHM, OPENED, Placed, Reading
from rasterport.units import significant, written

THROUGH_OHM = 1.0
"""Copper, a joint and a closed contact read at most this [ohm], leads included; judgement, stated."""
CHARGES_F = 2e-6
"""A capacitor of more keeps a meter waiting [F]; judgement, stated."""
SAME = 1e-6
"""Readings that differ by less than this part are one."""
MOST_NAMED = 3
UNMOVED = "the set's own 75 ohm is still at the sync landing and not moved"
MOVED = "set/sync-native/termination"
"""The resistor of the set that moves to the native side of the change-over."""
PLUG_OFF = "the plug of {} pulled off the board"
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
        self._unmoved: dict[State, Ohms] = {}
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

    def as_found(self, state: State) -> Ohms | None:
        """Resistances with the set's own 75 ohm of the sync line still where it was; None where none moves."""
        if "sync" not in self.lands or not any(e.role == MOVED for e in self._around):
            return None
        if state not in self._unmoved:
            end = self.lands["sync"].net
            around = [replace(e, first=end) if e.role == MOVED else e for e in self._around]
            board = resistors(self.circuit, self.control.elements(state, powered=False))
            self._unmoved[state] = Ohms((*board, *around, *chips(self.circuit)))
        return self._unmoved[state]

    def all(self) -> Iterator[Reading]:
        """Grounds and rail first, then the native position, then what changes when a switch is thrown.

        A reading that stays is taken again where only the new position shows a resistor of the set that was not moved.
        """
        yield from self._grounds()
        yield from self._rail()
        native = dict(self._lines(NATIVE))
        yield from native.values()
        for n in self.inputs:
            if not self._moves(chosen(n)):
                continue
            for key, found in self._lines(chosen(n), n):
                before = native.get(key)
                if before is None or not _alike(before.nominal, found.nominal) or UNMOVED in found.low_means:
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
        if self.joined:
            yield from self._to_chassis()
        for n in self.inputs:
            told, nets, refs = returns(self.circuit, self.variant, n)
            if not nets:
                continue
            worst = max(nets, key=lambda net: self.ohms(NATIVE).between(net, self.ground.net).nominal)
            point = Point(f"{chosen(n)}.returns", told, worst, refs[0] if refs else "")
            yield self._reading("", point, self.ground, f"returns of input {n}", decides=True, refs=refs)
        for name in GROUNDS[1:] if not self.joined else ():
            if name in self.lands:
                title = self.lands[name].words.partition(" (")[0]
                yield self._reading("", self.lands[name], self.ground, title)

    def _to_chassis(self) -> Iterator[Reading]:
        """Each ground wire by itself, as far as a plug parts them; then all that the board joins, at once.

        On the board every ground is one copper, so a wire that is off shows only with the plug pulled.
        """
        chassis = Point("chassis", "shield of the tuner, the set's signal ground", self.ground.net, "")
        parts = {p.ref: p for p in self.circuit.parts}
        plugs = False
        for landed in self.circuit.landed:
            if landed.name not in GROUNDS or not parts[landed.ref].part.key.startswith("header/"):
                continue
            plugs = True
            feed, apart = PLUG_OFF.format(landed.ref), landed.name == "screens"
            words = f"contact {landed.pin} of that plug ({landed.name})"
            point = Point(landed.name, words, landed.name if apart else self.ground.net, landed.ref)
            title = "screens, free at the chassis" if apart else f"{landed.name} wire"
            means = ("a screen touches the chassis at its far end", "") if apart else ("", OPENED)
            yield self._reading("", point, chassis, title, means=means, feed=feed)
        high = "every ground wire is off: the set's signals would return through the sources' cables"
        yield self._reading(
            "", chassis, self.ground, f"the set's ground{', plug on' if plugs else ''}", decides=True, means=("", high)
        )

    def _rail(self) -> Iterator[Reading]:
        """No short of the rail; the set's own side of it is known only as far as somebody read it by itself."""
        if "rail" not in self.lands:
            return
        point, found = self.lands["rail"], self.ohms(NATIVE).between(self.lands["rail"].net, self.ground.net)
        turned = [p.ref for p in self.circuit.parts if found.nets & set(p.nets.values()) and _has_ends(p)]
        low = "; ".join(
            ("a bridge at the landing", *([f"{', '.join(turned[:MOST_NAMED])} turned round"] if turned else []))
        )
        title = "rail, not a short; capacitors charge"
        if self.joined:
            title += "; about what the set's rail read before the board was on it"
        yield self._reading("", point, self.ground, title, decides=True, low=low)

    def _lines(self, state: State, only: int = 0) -> Iterator[tuple[str, Reading]]:
        """Key without its state -> reading, with the switches as a state has them; lines of one input or of all."""

        def row(red: Point, black: Point, title: str, decides: bool = False) -> tuple[str, Reading]:
            return f"{red.name}-{black.name}", self._reading(state, red, black, title, decides)

        for n, points in self.inputs.items():
            for function, point in points.items() if only in (0, n) else ():
                yield row(point, self.ground, f"{function} of input {n}{self._apart(state, n, function, point)}")
                end = self.lands.get(function.removeprefix("audio-"))
                if end is not None and not self.joined and contact_of(end.name) in (function, f"audio-{function}"):
                    yield row(point, end, f"{function} of input {n} to {end.name} landing")
        signals = [p for name, p in self.lands.items() if name not in (*GROUNDS, "rail")]
        for point in signals:
            yield row(point, self.ground, f"{point.name} landing", decides=point.name == "blanking")
            native = self.lands.get(f"{point.name}-native")
            if native is not None:
                yield row(point, native, f"{point.name} landing to {native.name} landing")
        edge = [p for name, p in self.lands.items() if name not in GROUNDS]
        for first, second in pairwise(edge):
            apart = {first.name.removesuffix("-native"), second.name.removesuffix("-native")}
            if first.net != second.net and len(apart) > 1:
                yield row(first, second, f"{first.name} landing and {second.name} landing, neighbours")

    def _apart(self, state: State, number: int, function: str, point: Point) -> str:
        """How far apart the colours of an input may read, in words, said at the last of them.

        One meter is off the same way for all three.
        """
        colours = [name for name in self.inputs[number] if name in COLOURS]
        found = self.ohms(state).between(point.net, self.ground.net)
        if function not in colours[-1:] or found.high > METER_MOST_OHM:
            return ""
        return f"; all colours within {written(significant(found.high - found.low, 2), 'ohm')} of each other"

    def _reading(
        self, state: State, red: Point, black: Point, title: str, decides: bool = False,
        means: tuple[str, str] | None = None, refs: tuple[str, ...] = (), feed: str = "", low: str = "",
    ) -> Reading:  # fmt: skip
        ohms, name = self.ohms(state or NATIVE), f"{red.name}-{black.name}"
        found = ohms.between(red.net, black.net)
        # A junction is in the way: turn the leads round where that helps.  On a rail with the set behind it red stays,
        # since the other way round every chip of the set conducts.
        kept = self.joined and red.name == "rail" and black == self.ground
        if found.low < found.unaided * (1 - SAME) and not kept:
            turned = ohms.between(black.net, red.net)
            if turned.low > found.low * (1 + SAME):
                found, red, black = turned, black, red
        nominal, least, most = limits(found)
        charges = [ref for ref, nets in self._large if nets & found.nets]
        if charges and "charge" not in title:
            title += f"; {', '.join(charges[:MOST_NAMED])} charges"
        below, above = means or self._means(found, least, most, red, black, state or NATIVE)
        where = tuple(dict.fromkeys(r for r in (*refs, red.ref, black.ref) if r))
        fed = "; ".join(filter(None, (position(self.control, state) if state else "", feed)))
        return Reading(
            "/".join((self.stage, *([state] if state else []), name)), self.stage, title, METER, red.words, black.words,
            "ohm", nominal, least, most, low or below, above, state, fed, decides, where, SOURCE,
        )  # fmt: skip

    def _means(self, found: Ohm, low: float, high: float, red: Point, black: Point, state: State) -> tuple[str, str]:
        """What to suspect, by what the reading would be with one part open or bridged; "" where no meter reads so."""
        below, above = self._twice(found, low, red, black, state), self._named(found.opened, lambda v: v > high, "open")
        was = self.as_found(state)
        reads = was.between(red.net, black.net).nominal if was is not None else found.nominal
        if reads < low:
            below.insert(0, f"{UNMOVED}: reads {_reads(reads)}")
        if reads > high:
            above.insert(0, f"{UNMOVED}: reads {_reads(reads)}")
        below += self._named(found.shorted, lambda v: v < low, "bridged")
        if math.isfinite(high):
            above = above or [OPENED]
        below = below or [BRIDGED]
        return "; ".join(below) if low > 0 else "", "; ".join(above) if math.isfinite(high) else ""

    def _twice(self, found: Ohm, low: float, red: Point, black: Point, state: State) -> list[str]:
        """Another 75 ohm, where it would show: on the board at the points themselves, in the set at the landing.

        A capacitor between contact and landing hides the set's from the contact.
        """
        line = red.line or black.line
        if line not in (*COLOURS, "sync") or GROUND not in (red.net, black.net):
            return []
        if self.joined and line == "sync" and self.as_found(state) is not None:
            return []  # said of the resistor that moves
        if self.joined and line in self.lands:
            ohms = self.ohms(state)
            reads = ohms.beside(red.net, black.net, self.lands[line].net, LINE_OHM)
            known = any(e.role == f"set/{line}/termination" for e in self._around)
            what = "another termination on this line" if known else "the set terminates this line: take its 75 ohm out"
            return [f"near {_reads(reads)}: {what}"] if reads < low else []
        doubled = parallel(max(found.nominal, 1e-3), LINE_OHM)
        if self.joined or found.nominal >= 2 * LINE_OHM or not THROUGH_OHM < doubled < low:
            return []
        return [f"near {_reads(doubled)}: a second termination"]

    def _named(self, values: Mapping[str, float], counts: Callable[[float], bool], word: str) -> list[str]:
        """Parts of the board whose fault shows, what shows most clearly first."""
        seen: dict[str, list[str]] = {}
        for role, value in values.items():
            ref = owner(self._refs, role)
            if ref and counts(value):
                seen.setdefault(_reads(value), []).append(ref)
        rows = [(", ".join(dict.fromkeys(refs[:MOST_NAMED])), reads) for reads, refs in seen.items()]
        plain = ("open", "nearly 0")  # what an open or a bridged part reads if nothing else is in the way
        return [f"{refs} {word}" + f": reads {reads}" * (reads not in plain) for refs, reads in rows[:MOST_NAMED]]


def _has_ends(placed: Placed) -> bool:
    """Whether a part across a supply may be turned round: a capacitor with a plus, a chip, a diode."""
    names = {pin.name for pin in placed.part.pins}
    return "+" in names or "K" in names or placed.part.letter == "U"


def _is_large(placed: Placed) -> bool:
    """Whether a meter sees a capacitor charge."""
    return placed.part.letter == "C" and (placed.value_si or 0.0) >= CHARGES_F


def _reads(ohm: float) -> str:
    """What a meter shows, in words."""
    if ohm > METER_MOST_OHM:
        return "open"
    return written(significant(ohm, 3), "ohm") if ohm >= THROUGH_OHM else "nearly 0"


def _alike(first: float, second: float) -> bool:
    return first == second or (math.isfinite(first) and math.isfinite(second) and abs(first - second) <= SAME * first)


def limits(found: Ohm) -> tuple[float, float, float]:
    """Nominal, lowest and highest reading [ohm] with what meter and leads add; infinite for open."""
    nominal = found.nominal if found.nominal <= METER_MOST_OHM else math.inf
    high = found.high * (1 + SHARE) + OFF["ohm"]
    low = max(0.0, found.low * (1 - SHARE) - OFF["ohm"])
    if math.isinf(nominal) or high > METER_MOST_OHM:
        high = math.inf
    if math.isinf(high):
        low = min(low, OPEN_LEAST_OHM)
    if nominal < THROUGH_OHM:
        return nominal, 0.0, max(THROUGH_OHM, high)
    return nominal, low, high
