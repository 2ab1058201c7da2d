"""What to read with power: the board on a bench supply with stand-ins, and in the set; direct voltages, rail current.

What only shows with a picture is read with an oscilloscope, and sound with a meter for alternating voltage; neither
ever decides whether power may be applied.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rasterport.analysis.bench_feeds import (
    CELLS,
    chooses,
    line_resistors,
    menu_words,
    source_words,
    stand_ins,
    supply_words,
)
from rasterport.analysis.control import OFF_V, Control, net_at
from rasterport.analysis.corners import Quantity
from rasterport.analysis.display_blanking import joining
from rasterport.analysis.figures import Figures
from rasterport.analysis.network import NATIVE, State, set_side
from rasterport.analysis.nodal import GROUND, Element
from rasterport.analysis.points import Point, at_pin, contacts, ground_of, landings, owner, pin_words
from rasterport.analysis.volts import Volts, has
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Placed, Reading
from rasterport.units import written

METER_V, METER_A = "multimeter, direct voltage", "multimeter, direct current"
METER_AC, SCOPE = "multimeter, alternating voltage", "oscilloscope"
METER_SHARE, METER_LEAST_V, METER_LEAST_A = 0.01, 0.01, 20e-6
"""What a hand-held meter is off, besides the parts [-, V, A]; judgement, stated."""
STILL_V = 0.05
"""Nothing on a line is at most this [V]; judgement, stated."""
MENU = "no source plugged in; a menu of the set with white letters on the screen"
CELL = "cell"
AS_BEFORE = "supply and stand-ins as for the rail landing"
BEARS_W = 0.25
"""What every stand-in is bought for [W]: none takes more, as their own figures say."""
MOST_NAMED = 4
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
        """The rail first and then native, since they decide, then each input."""
        yield from self._rail()
        for state in self.control.states:
            if self.alone:
                yield self._current(state)
            yield from self._blanking(state)
            if state == NATIVE:
                yield from self._supplies()
                yield from self._still()
            if self.alone:
                yield from self._stages(state)
            yield from self._coils(state)
            if state != NATIVE:
                yield from self._fed(state) if self.alone else self._shown(state)

    def _feed(self, state: State) -> str:
        """What a board has to be given for a state."""
        if not self.alone:
            return self._chosen(state)
        return "; ".join(filter(None, (AS_BEFORE, chooses(self.control, state))))

    def _prepared(self) -> str:
        """Supply and stand-ins, said once, with what brings the board to rest."""
        rest = [
            f"{written(s.ohm, 'ohm')} ({written(BEARS_W, 'W')}) from the {s.first} to {s.second}: {s.reason}"
            for s in stand_ins(self.control)
        ]
        return "; ".join(filter(None, (supply_words(self.control), *rest, chooses(self.control, NATIVE))))

    def _chosen(self, state: State) -> str:
        if state == NATIVE:
            return "no source plugged in"
        return f"input {state.removeprefix('input-')} chosen, its source showing a still grey picture"

    def _rail(self) -> Iterator[Reading]:
        if "rail" not in self.lands:
            return
        found = self._at(self.lands["rail"].net, NATIVE)
        if found is not None:
            low = "a short that keeps the supply in its limit, or another rail than the one meant"
            high = "another rail than the one meant: take the power away"
            feed = self._prepared() if self.alone else ""
            yield self._volt(NATIVE, self.lands["rail"], "rail landing", found, (low, high), True, feed=feed)

    def _current(self, state: State) -> Reading:
        nominal, low, high = self.volts.rail_a(state)
        point = self.lands.get("rail", Point("rail", "rail landing", "", ""))
        words = "in the wire from the supply's plus to the " + point.words
        coils = [
            p.ref for p in self.circuit.parts if p.part.letter == "K" and p.role in self.control.pose(state).conducting
        ]
        low_means = (
            f"a coil or its driver that does not act: {', '.join(coils)}" if coils else "a supply that is not joined"
        )
        high_means = "a bridge, a part turned round, or two relay stages at once: take the power away before looking"
        return Reading(
            f"{self.stage}/{state}/rail-current", self.stage, "current from the rail", METER_A, "supply's plus", words,
            "A", nominal, max(0.0, low * (1 - METER_SHARE) - METER_LEAST_A), high * (1 + METER_SHARE) + METER_LEAST_A,
            low_means, high_means, state, self._feed(state), state == NATIVE, tuple(filter(None, (point.ref,))), SOURCE,
        )  # fmt: skip

    def _blanking(self, state: State) -> Iterator[Reading]:
        if "blanking" not in self.lands:
            return
        point, pin = self.lands["blanking"], self.variant.set.blanking
        quantity = self.volts.pin(state)
        title = f"blanking landing, {'native' if state == NATIVE else 'switched to RGB'}"
        if state == NATIVE and quantity is None:
            most = STILL_V if self.alone else pin.off_below
            means = ("the set's own wire on the wrong side", self._native_high())
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
            yield self._volt(state, point, title, where, (low or "nothing: less is better", high), decides=True)
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
        feed = f"{self._feed(NATIVE)}; {menu_words(self.control)}" if self.alone else MENU
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
                yield self._volt(NATIVE, point, title, where, means, feed=MENU, instrument=SCOPE)

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
            title = "middle voltage" if net in middles else f"supply at {point.words}"
            low, high = self._suspects(net, NATIVE, found[1], found[2])
            low = low or f"a short behind it, or no supply in front of it: {self._near(net)}"
            high = high or f"a part that should drop or regulate is bridged: {self._near(net)}"
            yield self._volt(NATIVE, point, title, found, (low, high), decides=self.alone)

    def _still(self) -> Iterator[Reading]:
        """Nothing may stand on a contact when a source is plugged in."""
        if self.alone:
            return
        bias = self._biased()
        for points in self.inputs.values():
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
                title, where = f"{function}, before a source is plugged in", (nominal, low - STILL_V, high + STILL_V)
                yield self._volt(NATIVE, point, title, where, (wrong, wrong))

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
            if p.part.key.startswith("transistor/pnp") and not on:
                found: tuple[float, float, float] | None = (0.0, -STILL_V, OFF_V)
            else:
                found = self._at(net, state)
            if found is not None:
                word = "conducts" if on else "is off"
                means = (f"{p.ref} conducts when it should not, or nothing pulls it up: {self._near(net)}",
                         f"{p.ref} does not conduct: its base, {self._near(net_at(p, 'B'))}")  # fmt: skip
                yield self._volt(state, point, f"{p.ref} {word}", found, means)
        for chip, net in control.outputs:
            moved = pose.high(net) != control.pose(NATIVE).high(net)
            if (state != NATIVE and not moved) or chip.part.key.startswith(("sync-separator/", "buffer")):
                continue
            found = self._at(net, state)
            pin = next(p.number for p in chip.part.pins if chip.nets[p.number] == net and p.kind == "output")
            if found is not None:
                point = at_pin(chip, _name(chip, pin))
                word = "high" if pose.high(net) else "low"
                means = (f"an input of {chip.ref} or its supply", f"an input of {chip.ref} or a bridge to a supply")
                yield self._volt(state, point, f"{_name(chip, pin)} of {chip.ref} is {word}", found, means)

    def _coils(self, state: State) -> Iterator[Reading]:
        conducting, rest = self.control.pose(state).conducting, self.control.pose(NATIVE).conducting
        for p in (p for p in self.circuit.parts if p.part.letter == "K"):
            quantity = self.volts.coil(p, state) if p.role in conducting and p.role not in rest else None
            if quantity is None:
                continue
            found, red, black = self.volts.spread(quantity), at_pin(p, "coil+"), at_pin(p, "coil-")
            drivers = ", ".join(q.ref for q in self.circuit.parts if q.part.letter == "Q" and net_at_any(q, black.net))
            low = f"the stage does not act: {drivers or 'its driver'}, {self._near(red.net)}"
            high = f"a resistor in front of the coil is bridged: {self._near(red.net)}"
            name = Point(p.role.replace("/", ".") + ".coil", red.words, red.net, p.ref)
            where = (found.nominal, found.low, found.high)
            yield self._volt(state, name, f"coil of {p.ref}, energised", where, (low, high), black=black)

    def _fed(self, state: State) -> Iterator[Reading]:
        """A cell behind 75 ohm for each video source: half of it at the contact, and at a landing it reaches."""
        index = self.control.states.index(state)
        for function, point in self.inputs[index].items():
            if function not in (*COLOURS, "sync"):
                continue
            more = (Element(CELL, "R", CELL, point.net, LINE_OHM), *line_resistors(self.control))
            at = {CELL: CELLS[0][1]}
            ends = [point]
            end = self.lands.get(function)
            if end is not None and end.net != point.net:
                ends.append(end)
            for where in ends:
                quantity = self.volts.quantity(where.net, state, more, at)
                if quantity is None or (where is end and not self._hangs_on_cell(quantity)):
                    continue
                found = self.volts.spread(quantity)
                title = f"{function} of input {index}, {'at its contact' if where is point else 'at the landing'}"
                means = (
                    f"terminated twice, or shorted: {self._near(point.net)}",
                    f"not terminated: {self._near(point.net)}",
                )
                if where is not point:
                    means = (f"the way from contact to landing: {self._between(point.net, where.net)}", means[1])
                feed = f"{self._feed(state)}; {source_words(point)}"
                name = Point(
                    f"{point.name}-at-{'contact' if where is point else 'landing'}", where.words, where.net, where.ref
                )
                yield self._volt(state, name, title, (found.nominal, found.low, found.high), means, feed=feed)

    @staticmethod
    def _hangs_on_cell(quantity: Quantity) -> bool:
        return CELL in quantity.parameters

    def _between(self, first: str, last: str) -> str:
        """Switches at either end of a way, and other parts where there are none."""
        ends = {first, last}
        refs = sorted({p.ref for p in self.circuit.parts if p.part.letter in "KSU" and ends & set(p.nets.values())})
        return ", ".join(refs[:MOST_NAMED]) or self._near(last)

    def _shown(self, state: State) -> Iterator[Reading]:
        """What a picture and a tone give at the landings, from the figures of the board."""
        index = self.control.states.index(state)
        source = self.variant.input[index - 1]
        tone = f"a tone of 1 kHz at {written(source.audio_maximum, 'V')} r.m.s."
        rows = [("level", c, f"{c}, black to white", SCOPE, WHITE) for c in COLOURS]
        rows += [("sync-level", "sync", "sync, its depth below black", SCOPE, WHITE)]
        rows += [("audio-level", side, f"{side} sound, r.m.s.", METER_AC, tone) for side in ("left", "right")]
        for key, subject, title, instrument, feed in rows:
            if subject not in self.lands or not self.figures.has(key, subject, state):
                continue
            found = self.figures.get(key, subject, state)
            low = "terminated twice (about two thirds), or a resistor of the line"
            high = "not terminated (about twice as much), or a resistor of the line"
            if subject in ("left", "right"):
                low, high = "a capacitor or a joint of the line", "the pad in front of the landing"
            yield self._volt(
                state, self.lands[subject], title, (found.nominal, found.low, found.high), (low, high),
                feed=f"{self._chosen(state).split(',')[0]}; {feed}", instrument=instrument,
            )  # fmt: skip

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

    def _near(self, net: str) -> str:
        """References of the parts on a net, in words."""
        refs = sorted({p.ref for p in self.circuit.parts if net in p.nets.values() and p.part.letter in "RCDQUKSF"})
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
            self._open([role for role, v in values.items() if v < low - METER_LEAST_V]),
            self._open([role for role, v in values.items() if v > high + METER_LEAST_V]),
        )

    def _open(self, roles: list[str]) -> str:
        refs = list(dict.fromkeys(r for r in (owner(self._refs, role) for role in roles) if r))
        return f"{', '.join(refs[:MOST_NAMED])} open, or a joint of it" if refs else ""

    def _volt(
        self, state: State, red: Point, title: str, found: tuple[float, float, float], means: tuple[str, str],
        decides: bool = False, black: Point | None = None, feed: str = "", instrument: str = METER_V,
    ) -> Reading:  # fmt: skip
        nominal, low, high = found
        other = black or self.ground
        slack = METER_SHARE * max(abs(low), abs(high)) + METER_LEAST_V
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
