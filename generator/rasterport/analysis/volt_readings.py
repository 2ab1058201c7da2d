"""What to read with power: the board on a bench supply with stand-ins, and in the set; direct voltages, rail current.

What only shows with a picture is read with an oscilloscope, and sound with a meter for alternating voltage; neither
ever decides whether power may be applied.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from rasterport.analysis.bench_feeds import (
    CELLS,
    chooses,
    line_resistors,
    menu_words,
    position,
    source_words,
    stand_ins,
    supply_words,
)
from rasterport.analysis.control import OFF_V, Control, Range, net_at
from rasterport.analysis.corners import Quantity, Spread
from rasterport.analysis.display_blanking import joining
from rasterport.analysis.figures import Figures
from rasterport.analysis.meter import METER_A, METER_AC, METER_V, OFF, SCOPE, SHARE
from rasterport.analysis.network import NATIVE, State, set_side
from rasterport.analysis.nodal import GROUND, Element, carrying, reach
from rasterport.analysis.ohms import Ohms, resistors
from rasterport.analysis.points import Point, at_pin, contacts, ground_of, landings, owner, pin_words
from rasterport.analysis.volts import Volts, has
from rasterport.design.landings import through
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Placed, Reading
from rasterport.units import short, significant, written

STILL_V = 0.05
"""Nothing on a line is at most this [V]; judgement, stated."""
GREY = "its source showing a still grey picture"
MENU = "no source plugged in; a menu of the set with white letters on the screen"
STILL = "no source plugged in: nothing may stand on a contact before one is"
CELL = "cell"
AS_BEFORE = "supply and stand-ins as in the native state"
BEARS_W = 0.25
"""What every stand-in is bought for [W]: none takes more, as their own figures say."""
MOST_NAMED = 4
ENDED = 0.75
"""A line gives less than this part of a source behind 75 ohm where it is terminated [-]."""
DROPS = 0.02
"""A supply that lies lower by more than this part is made on the board [-]; judgement, stated."""
WHITE = "a still picture with a full white and a black area, from a source of standard level"
SOURCE = "supplies, parts and junctions at their corners; meter 1 %: judgement, stated"


class VoltReadings:
    """The readings with power of one stage: "alone" on a bench supply, "powered" in the set."""

    def __init__(self, control: Control, figures: Figures, alone: bool) -> None:
        self.control, self.figures, self.alone = control, figures, alone
        self.circuit, self.variant = control.circuit, control.variant
        self.stage = "alone" if alone else "powered"
        self.volts = Volts(control, alone)
        self.lands = landings(self.circuit)
        self.ground = ground_of(self.lands)
        self.inputs = {n: contacts(self.circuit, self.variant, n) for n in range(1, len(self.variant.input) + 1)}
        self._refs = {p.role: p.ref for p in self.circuit.parts}

    def all(self) -> Iterator[Reading]:
        """State by state, native first; in each what decides comes first, on the bench the current before all."""
        for state in self.control.states:
            found = list(self._of(state))
            yield from (r for r in found if r.decides)
            yield from (r for r in found if not r.decides)

    def _of(self, state: State) -> Iterator[Reading]:
        if self.alone:
            yield self._current(state)
        if state == NATIVE:
            yield from self._rail()
        yield from self._blanking(state)
        if state == NATIVE:
            yield from self._supplies()
            yield from self._still()
        if self.alone:
            yield from self._stages(state)
        yield from self._coils(state)
        if state != NATIVE:
            yield from self._fed(state) if self.alone else self._shown(state)

    def _feed(self, state: State, *more: str) -> str:
        """What a board has to be given for a state: where the switch stands, supply and stand-ins, or the source."""
        where, audio = position(self.control, state), self.variant.set.audio
        if self.alone:
            before = AS_BEFORE if stand_ins(self.control) else "supply as in the native state"
            parts = (self._prepared() if state == NATIVE else before, chooses(self.control, state), *more)
        elif state == NATIVE:
            parts = (where, *(more or ("no source plugged in",)))
        else:
            chosen = self.variant.set.sync.select or (audio.select if audio is not None else "")
            parts = (where, f"the set on {chosen}" if chosen else "", *(more or (GREY,)))
        return "; ".join(filter(None, parts))

    def _prepared(self) -> str:
        """Supply and stand-ins."""
        rest = [
            f"{written(s.ohm, 'ohm')} ({written(BEARS_W, 'W')}) from the {s.first} to {s.second}: {s.reason}"
            for s in stand_ins(self.control)
        ]
        return "; ".join((supply_words(self.control), *rest))

    def _rail(self) -> Iterator[Reading]:
        if "rail" not in self.lands:
            return
        found = self._at(self.lands["rail"].net, NATIVE)
        if found is not None:
            low, high = "a short: the supply stands in its current limit", "the supply is set too high"
            if not self.alone:
                low, high = "a short, or another rail than the one meant", "another rail than the one meant"
            yield self._volt(NATIVE, self.lands["rail"], "rail landing", found, (low, high), True)

    def _current(self, state: State) -> Reading:
        nominal, low, high = self.volts.rail_a(state)
        point = self.lands.get("rail", Point("rail", "rail landing", "", ""))
        parts = self.circuit.parts
        coils = [p.ref for p in parts if p.part.letter == "K" and p.role in self.control.pose(state).conducting]
        low_means = f"a coil or its driver that does not act: {', '.join(coils)}" if coils else "no way from the supply"
        least = max(0.0, low * (1 - SHARE) - OFF["A"])
        # Only what this board has may be suspected.
        turned = any(p.part.letter in "DQU" for p in parts) or any(has(p, "+") for p in parts)
        stages = len({p.role.rpartition("/")[0] for p in parts if p.part.letter == "K"}) > 1
        high_means = ["a bridge", *["a part turned round"] * turned, *["two relay stages at once"] * stages]
        return Reading(
            f"{self.stage}/{state}/rail-current", self.stage, "current from the rail", METER_A,
            "plus of the supply, its wire to the board taken off", point.words,
            "A", nominal, least, high * (1 + SHARE) + OFF["A"], low_means if least > 0 else "",
            f"{', '.join(high_means)}: power off before looking", state, self._feed(state), state == NATIVE,
            tuple(filter(None, (point.ref,))), SOURCE,
        )  # fmt: skip

    def _blanking(self, state: State) -> Iterator[Reading]:
        if "blanking" not in self.lands:
            return
        point, pin = self.lands["blanking"], self.variant.set.blanking
        quantity = self.volts.pin(state)
        title = f"blanking landing, {'native' if state == NATIVE else 'switched to RGB'}"
        if state == NATIVE and quantity is None:
            most = STILL_V if self.alone else pin.off_below
            means = ("", self._native_high())
            yield self._volt(state, point, title, (0.0, -STILL_V, most), means, decides=True)
        elif quantity is not None:
            found = self.volts.spread(quantity)
            low, high = self._suspects(point.net, state, found.low, found.high)
            if state == NATIVE:
                high = "; ".join((self._native_high(), *([high] if high else [])))
            else:
                low = low or "the drive does not reach the pin, or the set's own wire is still on it"
                high = f"{high or 'the lower resistors'}; above {written(pin.maximum, 'V')} the pin is in danger"
            where = (found.nominal, found.low, found.high)
            yield self._volt(state, point, title, where, (low, high), decides=True)
        if state == NATIVE:
            yield from self._menu()

    def _menu(self) -> Iterator[Reading]:
        """The pin while the set's display shows a menu: held on the bench, a picture of lines in the set."""
        quantity = self.volts.pin(NATIVE, menu=True)
        if quantity is None:
            return
        found, landing = self.volts.spread(quantity), self.lands["blanking"]
        low, high = self._suspects(landing.net, NATIVE, found.low, found.high)
        means = (f"{low or 'the way from the display'}, or its diode", high or "the lower resistors")
        feed = self._feed(NATIVE, menu_words(self.control) if self.alone else MENU)
        yield self._volt(
            NATIVE, replace(landing, name="blanking-menu"), "blanking landing, a menu of the set",
            (found.nominal, found.low, found.high), means, feed=feed, instrument=METER_V if self.alone else SCOPE,
        )  # fmt: skip
        for colour in COLOURS if not self.alone else ():
            if colour in self.lands and self.figures.has("menu-level", colour, NATIVE):
                level = self.figures.get("menu-level", colour, NATIVE)
                where, point = (
                    (level.nominal, level.low, level.high),
                    replace(self.lands[colour], name=f"{colour}-menu"),
                )
                means = ("a resistor from the display, or a second load", "a resistor of the node to ground")
                title = f"{colour} of a menu, black to white"
                yield self._volt(NATIVE, point, title, where, means, feed=self._feed(NATIVE, MENU), instrument=SCOPE)

    def _native_high(self) -> str:
        """Why a pin that is native may be high."""
        movers = sorted({p.ref for p in self.circuit.parts if p.part.letter in "KSU" and self._touches(p, "blanking")})
        return f"the board drives the pin: {', '.join(movers)}" if movers else "the board drives the pin"

    def _touches(self, placed: Placed, landing: str) -> bool:
        return self.lands[landing].net in placed.nets.values()

    def _supplies(self) -> Iterator[Reading]:
        """Behind the element, the regulator and a blocking diode, and the middle voltages; once, since they stay."""
        control = self.control
        tap = self.circuit.landing_net("rail")
        middles = [net for net in control.walls if net not in control.rails]
        for net in (*control.rails, *(middles if self.alone else ())):
            point = self._probe(net)
            found = self._at(net, NATIVE)
            if net == tap or point is None or found is None:
                continue
            title = f"supply at {point.words}"
            if net in middles:  # its net says of what
                title = " ".join(("middle voltage for", *net.lower().split("_")[1:]))
            if net in middles:
                low, high = self._suspects(net, NATIVE, found[1], found[2])
                means = (low or f"a short: {self._near(net)}", high or f"a bridge to a supply: {self._near(net)}")
            else:
                means = self._supply_means(net, found[0])
            yield self._volt(NATIVE, point, title, found, means, decides=self.alone)

    def _supply_means(self, net: str, nominal: float) -> tuple[str, str]:
        """Of a supply of the board: the parts that lead to it, and whether the last is there to drop voltage.

        What hangs on it is a load: open it pulls nothing low.
        """
        way = self._way_to(net)
        made = bool(way) and nominal < self._held_v(way[0][1]) * (1 - DROPS)
        low = f"{', '.join(p.ref for p, _ in way)} open, or a short behind" if way else "a short"
        return low, f"{way[0][0].ref} bridged" if made else "as at the rail landing"

    def _way_to(self, net: str) -> list[tuple[Placed, str]]:
        """What lies between the tap and a supply of the board, nearest to the supply first, each with its feed."""
        control, found = self.control, list[tuple[Placed, str]]()
        tap, chip = self.circuit.landing_net("rail"), control.regulator
        element = control.part(control.element.role) if control.element is not None else None
        while net != tap:
            if net in control.blocking:
                part, net = control.blocking[net], net_at(control.blocking[net], "A")
            elif chip is not None and net == net_at(chip, "OUT"):
                part, net = chip, net_at(chip, "IN")
            elif element is not None and tap is not None and net in element.nets.values():
                part, net = element, tap
            else:
                break
            found.append((part, net))
        return found

    def _held_v(self, net: str) -> float:
        found = self._at(net, NATIVE)
        return found[0] if found is not None else 0.0

    def _still(self) -> Iterator[Reading]:
        """Nothing may stand on a contact when a source is plugged in."""
        if self.alone:
            return
        bias = self._biased()
        feed = self._feed(NATIVE, STILL)
        for n, points in self.inputs.items():
            for function, point in points.items():
                if self.variant.set.rgb.pin_kind == "analog-dc" and function in COLOURS:
                    continue  # the pin's own voltage may stand there, and no sheet says what it is without a source
                quantity = self.volts.quantity(point.net, NATIVE, bias)
                low = high = 0.0
                if quantity is not None:
                    found = self.volts.spread(quantity)
                    low, high = found.low, found.high
                wrong = f"a landing or {self._near(point.net)} on the wrong net"
                nominal = 0.0 if quantity is None else found.nominal
                title, where = f"{function} of input {n}", (nominal, low - STILL_V, high + STILL_V)
                yield self._volt(NATIVE, point, title, where, (wrong, wrong), feed=feed)

    def _biased(self) -> list[Element]:
        """The sync landing with the voltage that the set puts on it."""
        tv = self.variant.set
        if tv.sync.bias <= 0:
            return []
        side = [e for e in set_side(self.circuit, self.variant) if e.role.startswith("set/sync/") and e.kind == "R"]
        moved = [Element(e.role, "R", e.first, "set/sync/bias", e.value, e.spread) for e in side[:1]]
        return [*moved, *side[1:]]

    def _stages(self, state: State) -> Iterator[Reading]:
        """Collectors of the stages that sense, where they are off and where they are on; logic that moves."""
        control = self.control
        pose = control.pose(state)
        for p in self.circuit.parts:
            if p.part.letter != "Q" or not has(p, "C"):
                continue
            point, net = at_pin(p, "C"), net_at(p, "C")
            on = p.role in pose.conducting
            if not net or (state != NATIVE and on == (p.role in control.pose(NATIVE).conducting)):
                continue
            upper = p.part.key.startswith("transistor/pnp")
            found = (0.0, -STILL_V, OFF_V) if upper and not on else self._at(net, state)
            if found is not None:
                word = "conducts" if on else "is off"
                yield self._volt(state, point, f"{p.ref} {word}", found, self._stage_means(p, on, upper, state, found))
        for chip, net in control.outputs:
            moved = pose.high(net) != control.pose(NATIVE).high(net)
            if (state != NATIVE and not moved) or chip.part.key.startswith(("sync-separator/", "buffer")):
                continue
            found = self._at(net, state)
            pin = next(p.number for p in chip.part.pins if chip.nets[p.number] == net and p.kind == "output")
            if found is not None:
                point = at_pin(chip, _name(chip, pin))
                word = "high" if pose.high(net) else "low"
                means = (f"an input of {chip.ref}, its supply, or a bridge to ground", "")
                if not pose.high(net):
                    means = ("", f"an input of {chip.ref}, or a bridge to a supply")
                yield self._volt(state, point, f"{_name(chip, pin)} of {chip.ref} is {word}", found, means)

    def _stage_means(
        self, placed: Placed, on: bool, upper: bool, state: State, found: tuple[float, float, float]
    ) -> tuple[str, str]:
        """Of a collector that stands at one end: only the other way can be wrong.

        An NPN pulls down when it conducts, a PNP at a supply (`upper`) pulls up.  One that conducts needs its emitter's
        way; of one that is off, resistors say where its collector stands.
        """
        base = self._near(net_at(placed, "B"), placed.ref)
        wrong = f"{placed.ref} {'does not conduct' if on else 'conducts when it should not'}: its base, {base}"
        if on:
            path = self._emitter_path(net_at(placed, "E"), placed.ref, state)
            wrong += f"; its emitter's way to ground: {', '.join(path)}" if path else ""
        if on == upper:
            net = net_at(placed, "C")
            pulled = [] if upper else self._feeding(net, state)
            high = "" if upper else self._suspects(net, state, found[1], found[2])[1]
            return wrong + (f", or its pull-up: {', '.join(pulled)}" if pulled else ""), high
        return "", wrong

    def _emitter_path(self, net: str, but: str, state: State) -> list[str]:
        """References of what leads an emitter to ground: resistors and closed contacts, or a transistor.

        A transistor comes with what stands at its gate.
        """
        if net in (GROUND, *self.control.rails):
            return []
        parts = self.circuit.parts
        way = carrying(reach(self.control.resistors(state), net, self.control.walls), (net,))
        found = self._owners([e.role for e in way])
        for p in (p for p in parts if p.part.letter == "Q" and p.ref != but and net_at_any(p, net)):
            gate = net_at(p, "G" if has(p, "G") else "B")
            found += [p.ref, *(r.ref for r in parts if r.part.letter == "R" and gate in r.nets.values())]
        return list(dict.fromkeys(found))

    def _coils(self, state: State) -> Iterator[Reading]:
        conducting, rest = self.control.pose(state).conducting, self.control.pose(NATIVE).conducting
        for p in (p for p in self.circuit.parts if p.part.letter == "K"):
            quantity = self.volts.coil(p, state) if p.role in conducting and p.role not in rest else None
            if quantity is None:
                continue
            found, red, black = self.volts.spread(quantity), at_pin(p, "coil+"), at_pin(p, "coil-")
            name = Point(p.role.replace("/", ".") + ".coil", red.words, red.net, p.ref)
            where = (found.nominal, found.low, found.high)
            means = self._coil_means(red.net, black.net, state)
            yield self._volt(state, name, f"coil of {p.ref}, energised", where, means, black=black)

    def _coil_means(self, plus: str, minus: str, state: State) -> tuple[str, str]:
        """Of a coil: its driver and what feeds that one's gate, its own diode, what stands in front of it."""
        supplies, parts = self.control.supplies_in(state), self.circuit.parts
        drivers = [q for q in parts if q.part.letter == "Q" and net_at_any(q, minus)]
        gates = [ref for q in drivers for ref in self._feeding(net_at(q, "G" if has(q, "G") else "B"), state)]
        across = [d.ref for d in parts if d.part.letter == "D" and {plus, minus} <= set(d.nets.values())]
        way = reach(self.control.resistors(state), plus, supplies)
        front = self._owners([e.role for e in way if {e.first, e.second} & {*supplies}])
        feeds = (net for net in supplies if net == plus or any(net in (e.first, e.second) for e in way))
        behind = [p.ref for net in feeds for p, _ in self._way_to(net)]
        opened = list(dict.fromkeys((*front, *behind)))
        gate = f" (its gate: {', '.join(gates)})" if gates else ""
        low = [f"{', '.join(q.ref for q in drivers) or 'the driver'} does not pull{gate}"]
        low += [f"{', '.join(across)} shorted or turned round"] if across else []
        low += [f"{', '.join(opened)} open"] if opened else []
        return "; ".join(low), f"{', '.join(front)} in front of the coil bridged" if front else ""

    def _feeding(self, net: str, state: State) -> list[str]:
        """References of what holds a net up: resistors that let it fall when one opens, and what stands behind them.

        Behind them are the transistor or the chip that holds their far end; a supply of the board is none of these.
        """
        held, way = self.volts.held(state), self.control.resistors(state)
        values = self.volts.without_each(net, state)
        found = self._at(net, state)
        ups = [role for role, v in values.items() if found is not None and v < found[1] - OFF["V"]]
        ends = {n for e in way if e.role in ups for n in (e.first, e.second) if n in held} | {net}
        holders = [
            q.ref for q in self.circuit.parts if q.part.key.startswith("transistor/pnp") and net_at(q, "C") in ends
        ]
        holders += [chip.ref for chip, out in self.control.outputs if out in ends]
        return list(dict.fromkeys((*self._owners(ups), *holders)))

    def _fed(self, state: State) -> Iterator[Reading]:
        """A cell behind 75 ohm for each video source: its share at the contact, and at a landing that it reaches."""
        index, at = self.control.states.index(state), {CELL: CELLS[0][1]}
        middle = (CELLS[0][1].low + CELLS[0][1].high) / 2
        for function, point in self.inputs[index].items():
            if function not in (*COLOURS, "sync"):
                continue
            more = (Element(CELL, "R", CELL, point.net, LINE_OHM), *line_resistors(self.control))
            end = self.lands.get(function)
            for where in (point, *([end] if end is not None and end.net != point.net else [])):
                quantity = self.volts.quantity(where.net, state, more, at)
                if quantity is None or (where is end and not self._hangs_on_cell(quantity)):
                    continue
                found, place = self.volts.spread(quantity), "landing" if where is end else "contact"
                share = short(found.nominal / middle, 2)
                title = (
                    f"{function} of input {index} at {'the' if where is end else 'its'} {place}: {share} of the cell"
                )
                name = Point(f"{point.name}-at-{place}", where.words, where.net, where.ref)
                twice = (*more, Element("second", "R", point.net, GROUND, LINE_OHM))
                second = self.volts.quantity(where.net, state, twice, at)
                doubled = self.volts.spread(second).nominal if second is not None else found.nominal
                means = self._fed_means(where.net, state, found, doubled, found.nominal < ENDED * middle, more, at)
                feed = self._feed(state, source_words())
                yield self._volt(state, name, title, (found.nominal, found.low, found.high), means, feed=feed)

    def _fed_means(
        self, net: str, state: State, found: Spread, doubled: float, ended: bool, more: tuple[Element, ...],
        at: Mapping[str, Range],
    ) -> tuple[str, str]:  # fmt: skip
        """What a cell shows: a second termination where that leaves the limits, and each resistor that opens."""
        opened = self.volts.without_each(net, state, more, at)
        below = [role for role, v in opened.items() if v < found.low - OFF["V"]]
        above = [role for role, v in opened.items() if v > found.high + OFF["V"]]
        what = "a second termination" if ended else "a termination that does not belong here"
        twice = f"near {written(significant(doubled, 2), 'V')}: {what}"
        away = [f"the stand-in at the {role.split('/')[1]} landing is off" for role in above if role.startswith("set/")]
        low = [twice if doubled < found.low else "", self._open(below), f"a short: {self._near(net)}"]
        high = [self._open(above), *away]
        return "; ".join(filter(None, low)), "; ".join(filter(None, high))

    @staticmethod
    def _hangs_on_cell(quantity: Quantity) -> bool:
        return CELL in quantity.parameters

    def _shown(self, state: State) -> Iterator[Reading]:
        """What a picture and a tone give at the landings, from the figures of the board."""
        index = self.control.states.index(state)
        source = self.variant.input[index - 1]
        tone = f"a tone of 1 kHz at {written(source.audio_maximum, 'V')} r.m.s."
        depth = "sync, its depth below black" if through(self.variant, index) else "sync pulses, low to high"
        rows = [("level", c, f"{c}, black to white", SCOPE, WHITE) for c in COLOURS]
        rows += [("sync-level", "sync", depth, SCOPE, WHITE)]
        rows += [("audio-level", side, f"{side} sound, r.m.s.", METER_AC, tone) for side in ("left", "right")]
        for key, subject, title, instrument, feed in rows:
            if subject not in self.lands or not self.figures.has(key, subject, state):
                continue
            found = self.figures.get(key, subject, state)
            means = self._shown_means(subject, index, state)
            if key == "audio-level" and self._sums(subject, index, state):
                feed += " on both channels"
            yield self._volt(
                state, self.lands[subject], title, (found.nominal, found.low, found.high), means,
                feed=self._feed(state, feed), instrument=instrument,
            )  # fmt: skip

    def _sums(self, side: str, index: int, state: State) -> bool:
        """Whether both channels of an input reach a landing: the figure has the same tone on both contacts."""
        way = reach(self.control.elements(state), self.lands[side].net, self.control.walls)
        nets = {n for e in way for n in (e.first, e.second)}
        points = (self.inputs[index].get(f"audio-{channel}") for channel in ("left", "right"))
        return len({p.net for p in points if p is not None and p.net in nets}) > 1

    def _shown_means(self, subject: str, index: int, state: State) -> tuple[str, str]:
        """Why a line is weak or strong: its termination where the circuit ends it in 75 ohm, else what drives it."""
        if subject in ("left", "right"):
            return "a capacitor or a joint of the line", "the pad in front of the landing"
        net, point = self.lands[subject].net, self.inputs[index].get(subject)
        elements = self.control.elements(state)
        way = reach(elements, net, self.control.walls)
        nets = {n for e in way for n in (e.first, e.second)} | {net}
        if point is None or point.net not in nets:  # a chip is between them
            near = nets - {GROUND}
            chips = [p.ref for p in self.circuit.parts if p.part.letter == "U" and near & set(p.nets.values())]
            named = ", ".join(dict.fromkeys(chips[:MOST_NAMED])) or self._near(net)
            return f"{named}, a resistor behind it, or a second load at the landing", f"a resistor behind {named}"
        side = (e for e in set_side(self.circuit, self.variant) if e.kind == "R")
        ohms = Ohms((*resistors(self.circuit, elements), *side))
        if ohms.between(point.net, GROUND).nominal < 2 * LINE_OHM:
            return (
                "terminated twice (about two thirds), or a resistor of the line",
                "not terminated (about twice as much)",
            )
        return f"a resistor of the line: {self._near(point.net)}", f"a resistor of the line: {self._near(point.net)}"

    def _at(self, net: str, state: State) -> tuple[float, float, float] | None:
        quantity = self.volts.quantity(net, state)
        if quantity is None:
            return None
        found = self.volts.spread(quantity)
        return found.nominal, found.low, found.high

    def _probe(self, net: str) -> Point | None:
        """Where a net is best reached: a test point, a landing, else the first pin of a part that is not a joint."""
        rank = {"TP": 0, "C": 1, "R": 2, "U": 3}
        parts = [p for p in self.circuit.parts if net in p.nets.values() and p.part.letter in rank]
        for p in sorted(parts, key=lambda p: (rank[p.part.letter], p.role)):
            pin = next(number for number, n in p.nets.items() if n == net)
            words = f"{p.ref} ({p.value})" if p.part.letter == "TP" else pin_words(p, pin)
            return Point(f"net.{net.lower().replace('_', '-')}", words, net, p.ref)
        return None

    def _near(self, net: str, but: str = "", kinds: str = "RCDQUKSF") -> str:
        """References of the parts on a net but for one, in words; `kinds` are the letters that count."""
        on = [p for p in self.circuit.parts if net in p.nets.values() and p.part.letter in kinds]
        refs = sorted({p.ref for p in on} - {but})
        return ", ".join(refs[:MOST_NAMED]) or "what is on it"

    def _suspects(self, net: str, state: State, low: float, high: float) -> tuple[str, str]:
        """Resistors that bring the reading below or above its limits when one is open."""
        if joining(self.control) is not None and net == self.circuit.landing_net("blanking"):
            part = [e for e in self.control.resistors(state) if net in (e.first, e.second)]
            foot = [e.role for e in part if GROUND in (e.first, e.second)]
            top = [e.role for e in part if GROUND not in (e.first, e.second)]
            return self._open(top), self._open(foot)
        values = self.volts.without_each(net, state)
        return (
            self._open([role for role, v in values.items() if v < low - OFF["V"]]),
            self._open([role for role, v in values.items() if v > high + OFF["V"]]),
        )

    def _open(self, roles: list[str]) -> str:
        refs = self._owners(roles)
        return f"{', '.join(refs[:MOST_NAMED])} open" if refs else ""

    def _owners(self, roles: list[str]) -> list[str]:
        """References of the parts that elements belong to, those of the set left out."""
        return list(dict.fromkeys(r for r in (owner(self._refs, role) for role in roles) if r))

    def _volt(
        self, state: State, red: Point, title: str, found: tuple[float, float, float], means: tuple[str, str],
        decides: bool = False, black: Point | None = None, feed: str = "", instrument: str = METER_V,
    ) -> Reading:  # fmt: skip
        nominal, low, high = found
        other = black or self.ground
        slack = SHARE * max(abs(low), abs(high)) + OFF["V"]
        refs = tuple(dict.fromkeys(r for r in (red.ref, other.ref) if r))
        key = f"{self.stage}/{state}/{red.name}" + ("" if black else "-ground") + "-volt" * (self.stage == "alone")
        return Reading(
            key, self.stage, title, instrument, red.words, other.words, "V", nominal, low - slack, high + slack,
            means[0], means[1], state, feed or self._feed(state), decides, refs, SOURCE,
        )  # fmt: skip


def net_at_any(placed: Placed, net: str) -> bool:
    """Whether the far end of a transistor is on a net."""
    return any(has(placed, far) and net_at(placed, far) == net for far in "DC")


def _name(placed: Placed, pin: str) -> str:
    return next(p.name for p in placed.part.pins if p.number == pin)
