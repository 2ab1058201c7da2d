"""Direct voltages and currents of a board in each state: what a meter reads at landings, test points and parts.

Supplies, outputs and collectors that conduct are held within their bounds; resistors between them are solved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rasterport.analysis import blanking
from rasterport.analysis.blanking import PIN_CURRENT
from rasterport.analysis.control import OUTPUT_DROP_V, RAIL, Control, Range, net_at
from rasterport.analysis.corners import Corners, Quantity, Spread
from rasterport.analysis.display_blanking import Shown, joining
from rasterport.analysis.draws import Draw
from rasterport.analysis.network import NATIVE, State
from rasterport.analysis.nodal import GROUND, Element, Network, Values, carrying, parameters_of, reach
from rasterport.records import Placed

DRAIN_V = 0.1
"""Most at the drain of a transistor that drives a coil or a return [V]: 100 mA through 1 ohm; judgement, stated."""
WEAKLY_V, STRONGLY_V = 0.2, 0.1
"""How far a base-emitter voltage may lie below its bounds at 2 mA and 25 C, at 10 uA and 70 C, and above, at 10 mA and
0 C [V]: 60 mV a decade, 2 mV a kelvin."""
TYPICAL_SHARE = 0.5
"""Of what a maker promises at most, what a chip takes by itself; judgement, stated."""
SUPPLY_SPREAD = 0.02
"""How far a bench supply is off that was set with a meter [-]; judgement, stated."""
OPEN_OHM = 1e12


class AtBench(Draw):
    """A draw with the rail from a bench supply and nothing on the blanking pin."""

    def __init__(self, other: Draw, tolerance: float) -> None:
        super().__init__({})
        self._other = other
        self._share = min(1.0, SUPPLY_SPREAD / tolerance) if tolerance > 0 else 0.0

    def place(self, name: str) -> Values:
        """As in the other draw, the rail nearer to its middle, no current of the pin."""
        if name == PIN_CURRENT:
            return 0.0
        return self._share * self._other.place(name) if name == RAIL else self._other.place(name)


class Volts:
    """The voltages of one board; `alone` with the rail from a bench supply and without the set."""

    def __init__(self, control: Control, alone: bool) -> None:
        self.control, self.alone = control, alone
        self._corners = Corners()
        self._held: dict[State, dict[str, tuple[str, Range]]] = {}

    def spread(self, quantity: Quantity) -> Spread:
        """A quantity at its corners, seen at the bench or in the set."""
        if not self.alone:
            return self._corners.spread(quantity)
        tolerance = self.control.variant.set.supply.tolerance
        names = tuple(name for name in quantity.parameters if name != PIN_CURRENT)
        at_bench = Quantity(
            quantity.key, quantity.subject, quantity.state, lambda draw: quantity.of(AtBench(draw, tolerance)), names
        )
        return self._corners.spread(at_bench)

    def held(self, state: State) -> dict[str, tuple[str, Range]]:
        """Nets that something holds in a state: name of the uncertainty and bounds [V]."""
        if state not in self._held:
            control, pose = self.control, self.control.pose(state)
            found = {net: (f"junction at {net}", r) for net, r in self._bases(state)}
            found |= {net: (f"low at {net}", r) for net, r in self._low(state)}
            found |= {net: (control.supply_name(net), r) for net, r in control.supplies_in(state).items()}
            if not self.alone and control.variant.set.sync.bias > 0:
                found["set/sync/bias"] = ("bias of the sync landing", Range(*(control.variant.set.sync.bias,) * 2))
            for _, net in control.outputs:
                if pose.grounded(net):
                    found.setdefault(net, (f"low at {net}", Range(0.0, OUTPUT_DROP_V)))
            self._held[state] = found
        return self._held[state]

    def _bases(self, state: State) -> Iterator[tuple[str, Range]]:
        """Bases of transistors that conduct, whose emitters are on ground or on a supply."""
        control, pose = self.control, self.control.pose(state)
        for p in control.circuit.parts:
            if p.part.letter != "Q" or p.role not in pose.conducting or not has(p, "B"):
                continue
            low, high = p.part.ratings["vbe_low_v"] - WEAKLY_V, p.part.ratings["vbe_high_v"] + STRONGLY_V
            feed = control.supplies_in(state).get(net_at(p, "E"))
            if net_at(p, "B") in ("", GROUND):
                continue
            if feed is not None:
                yield net_at(p, "B"), Range(feed.low - high, feed.high - low)
            elif pose.grounded(net_at(p, "E")):
                yield net_at(p, "B"), Range(low, high + (DRAIN_V if net_at(p, "E") != GROUND else 0.0))

    def _low(self, state: State) -> Iterator[tuple[str, Range]]:
        """Collectors and drains of transistors that conduct towards ground, highest first in the chain."""
        control, pose = self.control, self.control.pose(state)
        for p in control.circuit.parts:
            if p.part.letter != "Q" or p.role not in pose.conducting or p.part.key.startswith("transistor/pnp"):
                continue
            far, near, most = ("C", "E", p.part.ratings.get("vcesat_v", 0.0)) if has(p, "C") else ("D", "S", DRAIN_V)
            net = net_at(p, far)
            if net not in ("", GROUND) and pose.grounded(net_at(p, near)):
                yield net, Range(0.0, most + (DRAIN_V if net_at(p, near) != GROUND else 0.0))

    def quantity(
        self, net: str, state: State, more: Sequence[Element] = (), at: Mapping[str, Range] | None = None,
        elements: Sequence[Element] | None = None,
    ) -> Quantity | None:  # fmt: skip
        """Voltage at a net through resistors from what is held; None where nothing leads there.

        `more` are elements besides the board's resistors, `at` further nets that are held [V].
        """
        held = {**self.held(state), **{name: (name, r) for name, r in (at or {}).items()}}
        if net in held:
            name, r = held[net]
            return Quantity("at", net, state, lambda d: d.between(name, r.low, (r.low + r.high) / 2, r.high), (name,))
        every = (*(self.control.resistors(state) if elements is None else elements), *more)
        part = reach(every, net, held)
        touched = {n: held[n] for e in part for n in (e.first, e.second) if n in held}
        if not touched:
            return None
        network = Network(part, touched, (net,))

        def volts(draw: Draw) -> Values:
            on = {n: draw.between(name, r.low, (r.low + r.high) / 2, r.high) for n, (name, r) in touched.items()}
            return network.solve({}, 0.0, on, draw.values(part))[net]

        names = tuple(dict.fromkeys((*(name for name, _ in touched.values()), *parameters_of(part))))
        return Quantity("at", net, state, volts, names)

    def without_each(
        self, net: str, state: State, more: Sequence[Element] = (), at: Mapping[str, Range] | None = None
    ) -> dict[str, float]:
        """Role of each resistor on the way -> the nominal voltage with that one open [V]; `more` and `at` as above."""
        held = {**{n: r for n, (_, r) in self.held(state).items()}, **(at or {})}
        part = reach((*self.control.resistors(state), *more), net, held)
        if net in held or not part:
            return {}
        found, network = {}, Network(part, held, (net,))
        on = {n: (r.low + r.high) / 2 for n, r in held.items()}
        for n, e in enumerate(part):
            values = [OPEN_OHM if k == n else other.value for k, other in enumerate(part)]
            found[e.role] = float(network.solve({}, 0.0, on, values)[net])
        return found

    def pin(self, state: State, menu: bool = False) -> Quantity | None:
        """The blanking landing in a state, with a menu of the set's display or without.

        None where the set's own wire decides, or nothing does; of a menu where the display does not drive the pin.
        """
        control = self.control
        if control.circuit.landing_net("blanking") is None:
            return None
        join = joining(control)
        if join is not None:
            shown = Shown(state, menu)
            return Quantity("pin", "blanking", state, lambda draw: join.volts(draw, shown), join.names(shown))
        if menu:
            return None
        if state == NATIVE:
            return None if blanking.idle(control).native else blanking.off(control)
        return blanking.active(control, state=state) if blanking.driven(control, state) else None

    def coil(self, relay: Placed, state: State) -> Quantity | None:
        """Voltage across the coil of a relay that a state energises, warm or cold [V]; None where nothing feeds it."""
        control = self.control
        plus, minus = net_at(relay, "coil+"), net_at(relay, "coil-")
        coil = [e for e in control.direct_current(state) if e.role.startswith(f"{relay.role}/coil")]
        if not coil or not plus or plus == minus:
            return None
        drain = self.held(state).get(minus, ("low", Range(0.0, 0.0)))[1]
        high = self.quantity(plus, state, (), None, (*control.resistors(state), *coil))
        if high is None:
            return None

        def across(draw: Draw) -> Values:
            return high.of(draw) - draw.between(f"low at {minus}", drain.low, (drain.low + drain.high) / 2, drain.high)

        return Quantity("coil", relay.role, state, across, tuple(dict.fromkeys((*high.parameters, f"low at {minus}"))))

    def rail_a(self, state: State) -> tuple[float, float, float]:
        """Current from the rail [A]: nominal, least, most.

        Least: resistors and coils at their highest on supplies at their lowest, no chip, no base.  Most: the bound by
        which the supply is judged.  Nominal lies between: chips take TYPICAL_SHARE of what their makers promise.
        """
        control = self.control
        most = float(control.currents(state).rail_a)
        nominal = self._behind_element(state)
        r = control.regulator.part.ratings["quiescent_a"] if control.regulator is not None else 0.0
        own = r + sum(p.part.ratings.get("supply_a", 0.0) for p in control.circuit.parts if p.part.letter == "U")
        held = {net: r.low for net, (_, r) in self.held(state).items() if net in control.supplies_in(state)}
        held |= {net: r.high for net, (_, r) in self.held(state).items() if net not in held}
        coils = [e for e in control.direct_current(state) if "/coil" in e.role]
        part = carrying((*control.resistors(state), *coils), held)
        values = [e.high for e in part]
        volts = {**Network(part, held, None).solve({}, 0.0, held, values), **held, GROUND: 0.0}
        least = _leaving(part, values, volts, control.supplies_in(state))
        nominal = nominal + TYPICAL_SHARE * own
        least = max(0.0, min(least, most))
        return min(max(nominal, least), most), least, most

    def _behind_element(self, state: State) -> float:
        """Nominal current from the rail through what protects the tap, chips not counted [A].

        The bounds of `Control` take nothing off for that element; a meter reads one loop, so the nominal does.
        """
        control, element = self.control, self.control.element
        tap, flows = control.circuit.landing_net("rail"), control.flows(state, Draw({}))
        nominal = _leaving(flows.elements, flows.values, flows.volts, control.rails)
        if element is None or control.regulator is not None or control.blocking:
            return nominal
        inner = element.second if element.first == tap else element.first
        loop = nominal * element.value / float(flows.volts[inner])
        return nominal / (1 + loop)


def has(placed: Placed, name: str) -> bool:
    """Whether a part has a pin of this name."""
    return any(pin.name == name for pin in placed.part.pins)


def _leaving(
    elements: Sequence[Element], values: Sequence[Values], volts: Mapping[str, Values], supplies: Mapping[str, object]
) -> float:
    """Current from supply nets into what is none [A]."""
    total = 0.0
    for e, ohm in zip(elements, values, strict=True):
        if (e.first in supplies) != (e.second in supplies):
            here, other = (e.first, e.second) if e.first in supplies else (e.second, e.first)
            total += float((volts[here] - volts[other]) / ohm)
    return total
