"""Boards with several inputs on the bench of ngspice: analog switches, sync separator, coils, a dead rail.

The decks are those that are written for the boards.  What takes long to settle starts settled in them: before the run
every source stands at the mean of its picture, so that no capacitor moves far within the few lines that are run.
Where a cable does not matter a short takes its place, which allows longer steps.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import pytest

from making import several, with_value, without
from rasterport.analysis.control import Control, net_at, supply_of
from rasterport.analysis.figures import Figures
from rasterport.analysis.network import chosen
from rasterport.analysis.rail_off import LOAD
from rasterport.analysis.scene import SOURCE_F, TONE_HZ
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import OFF, SHOWN_LINE, simulation
from rasterport.analysis.sync import delays
from rasterport.circuit import compose
from rasterport.design.landings import line_standards
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import COLOURS, GROUND, LINES, Circuit, Conditions, Modelled, Placed, Simulation
from rasterport.standards.interface_levels import AUDIO_EUROPEAN, COMPOSITE, RGB, SYNC
from rasterport.variant.models import Variant
from spice import control, plots, run

LINE_OHM = 75.0
COAX = {"set.rgb.lead_length": "0.1 m", "set.rgb.lead_kind": "coax"}
MIXED = (
    {"socket": "european-21", "status_contact": 16},
    {"socket": "european-21", "status_contact": 8, "sync": "composite-sync"},
)
TWELVE = {"set.supply.voltage": "12 V", "board.construction": "through-hole"}
VARIANTS: dict[str, Variant] = {
    "two": several(MIXED, "cmos", "status", {**TWELVE, **COAX}),
    "four": several(4, "cmos", "status", {"set.supply.voltage": "9 V", **COAX}),
    "eight": several(8, "cmos", "status", {"set.audio.maximum": "1 V", **COAX}),
    **{
        f"separated on {rail}": several(
            2, "relay", "status", {"set.sync.accepts": "clean-sync", "set.supply.voltage": rail}
        )
        for rail in ("9 V", "11 V")
    },
}
SWITCHED = ("two", "four", "eight")
"""The boards with analog switches: on 12, 9 and 5 V; 4053 and 4052 of the 4000B family, 4051 of the 74HC family."""

WITHIN, SOUND_WITHIN = 0.005, 0.02
"""Distance of the run from the figure, relative.  Points of sound lie so close that ngspice loses up to 2 % by its
usual tolerance; see the option `reltol` of its manual."""
PICTURES = (0.0, 0.25, 0.5, 0.75, 1.0)
STEP_S, RUN_S = 0.2e-6, 1.15e-3
"""Steps and length of a run without cables: no longer than any edge, longer than a period of the tone."""
MOST_A = 10e-3
"""Into a pin of a chip without supply [A]: what its junctions usually take for ever, from memory."""
RAIL_MOST_V = 1.0
"""Below this no chip begins to work on a dead rail [V]; judgement, as in the limits of the findings."""


@lru_cache
def setup_of(name: str) -> Setup:
    return Setup(VARIANTS[name], compose(VARIANTS[name]))


@lru_cache
def figures_of(name: str) -> Figures:
    return Figures(setup_of(name))


def deck_of(name: str, state: str, under: Conditions | None = None) -> Simulation:
    made = setup_of(name)
    return simulation(made.circuit, made.variant, state, under, made.control)


def last(name: str) -> int:
    """The last input of a board."""
    return len(VARIANTS[name].input)


def without_cables(deck: Simulation) -> Simulation:
    """The simulation with a short in place of every cable."""
    return with_parts(
        deck, lambda p: replace(p, kind="resistor", figures={"value_ohm": 1e-3}) if p.kind == "cable" else p
    )


def with_parts(deck: Simulation, changed: Callable[[Modelled], Modelled], *more: Modelled) -> Simulation:
    """The simulation with every part changed, and more of them."""
    return replace(deck, parts=(*(changed(p) for p in deck.parts), *more))


def scaled(deck: Simulation, share: Callable[[int, str], float]) -> Simulation:
    """The simulation with what each source sends times a share of input and function."""

    def changed(p: Modelled) -> Modelled:
        found = re.fullmatch(r"input-(\d)/([a-z-]+)/(start|picture|sync|tone)", p.name)
        if found is None:
            return p
        by = share(int(found[1]), found[2])
        return replace(p, figures={k: v * by if k.endswith("_v") else v for k, v in p.figures.items()})

    return with_parts(deck, changed)


def strongest(deck: Simulation, variant: Variant) -> Simulation:
    """The simulation with every source at its highest level."""

    def share(index: int, function: str) -> float:
        source = variant.input[index - 1]
        if function.startswith("audio"):
            return source.audio_maximum / AUDIO_EUROPEAN.nominal
        level = RGB if function in COLOURS else COMPOSITE if source.sync == "composite-video" else SYNC
        return level.high / level.nominal

    return scaled(deck, share)


def measured(deck: Simulation, lines: Iterable[str], stop_s: float = RUN_S, step_s: float = STEP_S) -> dict[str, float]:
    """What ngspice prints of a run; each line is a name and a measure, "top max v(a)"."""
    net = spice_names(deck)
    starts = [f".ic v({net[n]})={v:.9g}" for n, v in sorted(deck.starts.items())]
    wanted = list(lines)
    texts = [*starts, f".tran {step_s:g} {stop_s:g} 0 {step_s:g}", *(f".meas tran {line}" for line in wanted)]
    done = run(deck_text(deck, analysis="\n".join(texts)))
    assert done.status == 0 and done.complaints == (), done.output[-3000:]
    assert {line.split()[0] for line in wanted} <= done.figures.keys(), done.output[-3000:]
    return done.figures


@dataclass(frozen=True)
class Trace:
    """A voltage over time, straight between the points of ngspice."""

    times: Sequence[float]
    volts: Sequence[float]

    def at(self, t: float) -> float:
        k = bisect_left(self.times, t)
        a, b = self.times[k - 1], self.times[k]
        return self.volts[k - 1] + (self.volts[k] - self.volts[k - 1]) * (t - a) / (b - a)

    def crosses(self, level: float, after: float) -> float:
        """When it first passes a level after a time, either way."""
        above = self.at(after) > level
        for k in range(bisect_left(self.times, after), len(self.times)):
            if (self.volts[k] > level) != above:
                v0, v1 = self.volts[k - 1], self.volts[k]
                return self.times[k - 1] + (level - v0) / (v1 - v0) * (self.times[k] - self.times[k - 1])
        raise AssertionError(f"never passes {level:g} V after {after:g} s")


def traces(deck: Simulation, nets: Sequence[str], stop_s: float, step_s: float) -> list[Trace]:
    """Voltages of nets over time."""
    names = [spice_names(deck)[net] for net in nets]
    starts = "\n".join(f".ic v({spice_names(deck)[n]})={v:.9g}" for n, v in sorted(deck.starts.items()))
    lines = control(f"tran {step_s:g} {stop_s:g} 0 {step_s:g}", "write raw " + " ".join(f"v({n})" for n in names))
    plot = plots(deck_text(deck, analysis=f"{starts}\n{lines}"))[0]
    return [Trace(plot.real("time"), plot.real(f"v({n})")) for n in names]


# -- what arrives -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "index"), [("two", 2), ("four", 3), ("eight", 7)])
def test_a_chosen_input_arrives_as_the_figures_say(name: str, index: int) -> None:
    """The deck as it is written: source behind 220 uF, cable, channel, common, keyed clamp; white, sync and sound.

    The tone of the deck is nominal, the figure's is the greatest of the source.
    """
    deck, figures, state = deck_of(name, chosen(index)), figures_of(name), chosen(index)
    names = {p.name for p in deck.parts}
    assert {f"input-{index}/red/coupling", "set/red/clamp"} <= names
    done = run(deck_text(deck))
    assert done.status == 0 and done.complaints == ()
    for colour in COLOURS:
        level = figures.get("level", colour, state).nominal
        assert done.figures[f"{colour}_level"] == pytest.approx(level, rel=WITHIN)
        assert abs(done.figures[f"{colour}_black"]) < WITHIN * level
    sync = figures.get("sync-level", "sync", state).nominal
    assert done.figures["sync_depth"] == pytest.approx(sync, rel=WITHIN)
    most = VARIANTS[name].input[index - 1].audio_maximum
    for side in ("left", "right"):
        passed = figures.get("audio-level", side, state).nominal / most
        swing = 2 * math.sqrt(2) * AUDIO_EUROPEAN.nominal * passed
        assert done.figures[f"{side}_swing"] == pytest.approx(swing, rel=SOUND_WITHIN)


# -- the rails of the switches ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Room:
    """What is left between the terminals of analog switches and their rails [V], with the nets."""

    below: tuple[float, str]
    above: tuple[float, str]

    @property
    def least(self) -> float:
        return min(self.below[0], self.above[0])


def terminals(chip: Placed) -> set[str]:
    """Nets of the channels and commons of an analog switch."""
    return {str(chip.nets[p.number]) for p in chip.part.pins if p.kind == "passive" and chip.nets[p.number]}


def terminals_a_line(made: Control) -> int:
    """How many terminals a line has at least: one an input and the common."""
    return len(made.variant.input) + 1


def room_of(deck: Simulation, made: Control, line: str = "") -> Room:
    """The least room in a run, over every terminal of every switch, or those of one line; one run serves all lines."""
    net, lines, at = spice_names(deck), [], {}
    for chip in made.analog:
        assert net_at(chip, "VEE") == GROUND
        supply = supply_of(chip)
        lines.append(f"{chip.ref.lower()}_supply min v({net[supply]})")
        for n, terminal in enumerate(sorted(terminals(chip))):
            key = f"{chip.ref.lower()}_{n}"
            at[key] = (terminal, f"{chip.ref.lower()}_supply")
            lines += [f"{key}_low min v({net[terminal]})", f"{key}_high max v({net[terminal]})"]
    found = measured(deck, lines)
    at = {key: ends for key, ends in at.items() if line.upper() in ends[0]}
    assert len(at) >= terminals_a_line(made)
    return Room(
        min((found[f"{key}_low"], terminal) for key, (terminal, _) in at.items()),
        min((found[supply] - found[f"{key}_high"], terminal) for key, (terminal, supply) in at.items()),
    )


def beyond_v(circuit: Circuit) -> float:
    """How far a signal goes beyond where it has settled, black or white [V].

    The source's capacitor and the channel's are two high passes in series, with T1 = 220 uF x 150 ohm far below T2.
    Their step response turns back below zero by less than T1 / (T2 - T1) and returns; whatever the picture does, it
    reaches that share of its own swing farther than black or white for ever.
    """
    found = []
    for line, level in (("red", RGB), ("sync", COMPOSITE)):
        block, bias = (circuit.by_role(f"input-1/{line}/{end}").value_si or 0.0 for end in ("block", "bias"))
        first, second = SOURCE_F * 2 * LINE_OHM, block * bias
        assert second > 10 * first
        found.append(first / (second - first) * level.high)
    return max(found)


@pytest.mark.parametrize("name", SWITCHED)
def test_every_terminal_of_a_switch_stays_inside_its_rails(name: str) -> None:
    """At every average of the picture, at both ends of the rail, every source at its strongest.

    The deck starts where the source's and the board's capacitors have settled at that average and moves on by less
    than 4 % of the swing in the few lines that run; what comes on top while the average changes is in `beyond_v`.
    """
    made, state = setup_of(name), chosen(last(name))
    beyond = beyond_v(made.circuit)
    rooms = {}
    for picture in PICTURES:
        for rail in (-1.0, 1.0):
            deck = without_cables(deck_of(name, state, Conditions(picture=picture, rail=rail)))
            rooms[picture, rail] = room_of(strongest(deck, made.variant), made.control)
    assert min(room.least for room in rooms.values()) > beyond, rooms


@pytest.mark.parametrize("name", SWITCHED)
def test_the_room_is_no_less_than_its_figure(name: str) -> None:
    """Line by line at the low end of the rail, chosen or not: what is not chosen drives an open channel."""
    made, figures = setup_of(name), figures_of(name)
    states = [view.state for view in made.views]
    least = {line: min(figures.get("switch-room", line, state).low for state in states) for line in LINES}
    found = {}
    for picture in (0.0, 1.0):
        deck = without_cables(deck_of(name, states[-1], Conditions(picture=picture, rail=-1.0)))
        for line in LINES:
            found[picture, line] = room_of(strongest(deck, made.variant), made.control, line)
    assert [(key, room, least[key[1]]) for key, room in found.items() if room.least < least[key[1]]] == []


def test_a_middle_off_its_place_leaves_the_rails() -> None:
    """1 kohm in place of 10 kohm below the middle voltage: sync of a video source would reach below ground."""
    variant = VARIANTS["eight"]
    circuit = with_value(compose(variant), "middle/video-lower", 1e3)
    made = Control(circuit, variant)
    deck = without_cables(simulation(circuit, variant, chosen(8), Conditions(picture=1.0), made))
    room = room_of(strongest(deck, variant), made)
    assert room.below[0] < 0.0 and "SYNC" in room.below[1], room


# -- what does not arrive ---------------------------------------------------------------------------------------------


def others_only(name: str, index: int, deck: Simulation) -> Simulation:
    """The simulation with the sources of one input silent, the pins without their leakage, which droops."""

    def still(p: Modelled) -> Modelled:
        return replace(p, figures={"value_a": 0.0}) if p.name.endswith("/leakage") else p

    silent = scaled(without_cables(deck), lambda n, _: 0.0 if n == index else 1.0)
    return with_parts(replace(silent, starts=dict.fromkeys(silent.starts, 0.0)), still)


def arriving(deck: Simulation, circuit: Circuit, step_s: float = STEP_S) -> dict[str, float]:
    """Voltages at the landings, peak to peak [V]."""
    net, lines = spice_names(deck), (*COLOURS, "sync", "left", "right")
    wanted = [f"{n} pp v({net[str(circuit.landing_net(n))]}) from=1e-4 to={1e-4 + 1 / TONE_HZ:g}" for n in lines]
    return measured(deck, wanted, step_s=step_s)


def ripple_v(name: str, circuit: Circuit) -> tuple[float, float]:
    """Most that stands on the middle voltages of picture and sound, peak to peak [V].

    Every source that is not chosen sends its swing through the 100 kohm of its channel.  A current of I peak to peak
    without a mean charges C within a line of T by at most I T / 4C, a tone of f by I / (2 pi f C).
    """
    made, others = VARIANTS[name], last(name) - 1
    bulk, bias = (circuit.by_role(r).value_si or 0.0 for r in ("middle/video-bulk", "input-1/red/bias"))
    video = others * (3 * RGB.nominal + COMPOSITE.nominal) / bias
    bulk_2, bias_2 = (circuit.by_role(r).value_si or 0.0 for r in ("middle/audio-bulk", "input-1/audio-left/bleed"))
    sound = others * 2 * 2 * math.sqrt(2) * AUDIO_EUROPEAN.nominal / bias_2
    period = line_standards(made)[0].line_period_s
    return video * period / (4 * bulk), sound / (2 * math.pi * TONE_HZ * bulk_2)


def isolation(name: str, circuit: Circuit) -> list[tuple[str, float, float]]:
    """Landings at which more of the other inputs arrives than stands on the middle voltage: what, and that [V]."""
    made = VARIANTS[name]
    deck = others_only(name, last(name), simulation(circuit, made, chosen(last(name))))
    picture, sound = ripple_v(name, setup_of(name).circuit)
    found = arriving(deck, circuit)
    bounds = {**dict.fromkeys((*COLOURS, "sync"), picture), "left": sound, "right": sound}
    assert max(found.values()) > 0.0
    return [(landing, found[landing], most) for landing, most in bounds.items() if found[landing] > most]


@pytest.mark.parametrize("name", SWITCHED)
def test_nothing_of_the_other_inputs_arrives(name: str) -> None:
    """An open channel of the deck has no capacitance across it: only the middle voltage joins the inputs.

    The chosen source is silent, all the others are on.  What arrives is below what stands on the middle, since it
    reaches a line through 100 kohm; 73 uV of 0.7 V are -80 dB.
    """
    assert isolation(name, setup_of(name).circuit) == []


def test_a_middle_without_its_bulk_would_be_seen() -> None:
    """100 nF alone let through 470 times as much."""
    circuit = without(setup_of("eight").circuit, "middle/video-bulk")
    assert {landing for landing, _, _ in isolation("eight", circuit)} >= {*COLOURS, "sync"}


def feed_through(made: Control) -> Iterator[Modelled]:
    """A capacitor across every open channel of every switch: twice what its maker prints as typical; judgement."""
    for chip in made.analog:
        for pin in (p for p in chip.part.pins if p.kind == "passive" and len(p.name) == 2):
            channel, common = str(chip.nets[pin.number]), net_at(chip, pin.name[0])
            if channel != common and channel not in made.walls:
                figures = {"value_f": 2 * chip.part.ratings["feedthrough_f"]}
                name = f"{chip.ref}/{pin.name}/through"
                yield Modelled("capacitor", name, name, (channel, common), figures)


@pytest.mark.parametrize("name", ["four", "eight"])
def test_feed_through_added_to_the_deck_is_its_arithmetic(name: str) -> None:
    """What the deck leaves out: C dV/dt x R, both ways.

    All other inputs have an edge of 0.3 us at once.  R is the source in parallel with its load, isolation and closed
    channel; the chosen channel's own capacitor has no voltage across it.
    """
    made, index = setup_of(name), last(name)
    deck = others_only(name, index, deck_of(name, chosen(index)))
    parts = tuple(feed_through(made.control))
    found = arriving(with_parts(deck, lambda p: p, *parts), made.circuit, 20e-9)
    edge_s = next(p.figures["edge_s"] for p in deck.parts if p.name == "input-1/red/picture")
    for colour in COLOURS:
        common = f"SELECTED_{colour.upper()}"
        (closed,) = (
            p for p in deck.parts if p.kind == "resistor" and common in p.nets and not p.role.endswith("-bias")
        )
        isolated = f"input-{index}/{colour}/isolation"
        before = made.circuit.by_role(isolated).value_si or 0.0 if made.circuit.has(isolated) else 0.0
        ohm = LINE_OHM / 2 + before + closed.figures["value_ohm"]
        farad = sum(p.figures["value_f"] for p in parts if p.nets[1] == common) * (index - 1) / index
        most = 2 * farad * RGB.nominal / edge_s * ohm
        assert 0.8 * most < found[colour] < 1.01 * most


# -- the separator ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Pulse:
    """The sync pulse of a landing: depth [V], and how much later than at the contact its edges are [s]."""

    depth_v: float
    leading_s: float
    trailing_s: float


def pulse_of(name: str, deck: Simulation, index: int) -> Pulse:
    """Sync of the line that is shown, taken out of a picture."""
    made, s = setup_of(name), line_standards(VARIANTS[name])[0]
    contact = made.views[index - 1].contacts["sync"]
    landing = str(made.circuit.landing_net("sync"))
    begin = SHOWN_LINE * s.line_period_s + s.front_porch_s
    before, tip, after = begin - 0.5e-6, begin + s.sync_width_s / 2, begin + s.sync_width_s + 1.5e-6
    seen, sent = traces(deck, (landing, contact), after + 1e-6, deck.step_s)
    edges = []
    for trace in (sent, seen):
        middle = (trace.at(tip) + trace.at(after)) / 2
        edges.append((trace.crosses(middle, before), trace.crosses(middle, tip)))
    return Pulse(seen.at(after) - seen.at(tip), edges[1][0] - edges[0][0], edges[1][1] - edges[0][1])


@pytest.mark.parametrize(("rail", "index"), [("9 V", 1), ("9 V", 2), ("11 V", 2)])
def test_the_separator_sends_the_sync_that_the_figures_say(rail: str, index: int) -> None:
    """Depth by the buffer and its resistors; the delay, both edges, inside the bounds that the shift counts with.

    From the weakest to the strongest source: the slice stands at a fixed distance above the tips.
    """
    name = f"separated on {rail}"
    level = figures_of(name).get("sync-level", "sync", chosen(index)).nominal
    line, (_, most_s) = delays(setup_of(name).views[index - 1])
    assert line is not None
    for share in (COMPOSITE.low, COMPOSITE.nominal, COMPOSITE.high):
        deck = scaled(deck_of(name, chosen(index)), lambda _, f, by=share: by if f == "sync" else 1.0)  # type: ignore[misc]
        found = pulse_of(name, deck, index)
        assert found.depth_v == pytest.approx(level, rel=WITHIN)
        assert 0.0 < found.trailing_s < most_s and 0.0 < found.leading_s < most_s, (share, found, most_s)


# -- coil and flyback -------------------------------------------------------------------------------------------------

COIL_H = (0.01, 0.1, 1.0)
"""Inductance of a signal relay's coil of 140 mW [H]: 0.1 to 1 H from memory, and a tenth of the least."""
WINDING_F = 100e-12
"""Capacitance of its winding [F]; from memory."""
OFF_S = 1e-3
"""When the gates are let go [s]."""


@dataclass(frozen=True)
class Opened:
    """What a stage does when its gate is driven off: highest at the drain [V], current before and in the diode [A]."""

    drain_v: float
    coil_a: float
    diode_a: float


@lru_cache
def relay_board(rail: str, construction: str) -> tuple[Variant, Circuit]:
    made = several(2, "relay", "status", {"set.supply.voltage": rail, "board.construction": construction})
    return made, compose(made)


STAGE = "select-1"


def opened(made: Variant, circuit: Circuit, henry: float, bridged: bool = False, diode: bool = True) -> Opened:
    """One coil of a stage alone: the board's own parts on its highest rail and its coldest, least coil.

    `bridged` puts a short in place of the dropper, `diode` off leaves the flyback diode out.
    """
    coil = f"{STAGE}/relay-1/coil"
    deck = simulation(circuit, made, chosen(1), Conditions(0.0, rail=1.0, spreads={coil: -1.0}))
    roles = [f"{STAGE}/{end}" for end in ("driver-1", "dropper-1", "gate-series", "gate-pull")]
    found = {p.role: p for p in deck.parts}
    parts = [found[role] for role in roles if role in found]
    assert len(parts) == 3 + circuit.has(f"{STAGE}/dropper-1")
    if bridged:
        parts = [replace(p, figures={"value_ohm": 1e-3}) if "dropper" in p.role else p for p in parts]
    # The coil's inductance stands between its resistance and the drain, with an ammeter; the diode has its own.
    plus, drain = found[coil].nets
    parts.append(replace(found[coil], nets=(plus, "coil/inner")))
    parts.append(Modelled("voltage", "coil/amps", "", ("coil/wound", drain), {"value_v": 0.0}))
    parts.append(Modelled("capacitor", "coil/winding", "", ("coil/inner", drain), {"value_f": WINDING_F}))
    if diode:
        flyback = found[f"{STAGE}/flyback-1"]
        parts.append(replace(flyback, nets=("flyback/anode", flyback.nets[1])))
        parts.append(Modelled("voltage", "flyback/amps", "", (flyback.nets[0], "flyback/anode"), {"value_v": 0.0}))
    high = Control(circuit, made)
    dropper = found.get(f"{STAGE}/dropper-1")
    rail_net = plus if dropper is None else next(n for n in dropper.nets if n != plus)
    held = made.set.supply.voltage * (1 + made.set.supply.tolerance)
    parts.append(Modelled("voltage", "rail", "", (rail_net, GROUND), {"value_v": held}))
    gate = found[f"{STAGE}/gate-series"].nets[0]
    on_v = high.supplies_in(chosen(1))[gate].high
    times = {"delay_s": OFF_S, "edge_s": 100e-9, "flat_s": 1.0, "period_s": 2.0}
    parts.append(Modelled("pulse", "gate", "", (gate, GROUND), {"low_v": on_v, "high_v": 0.0, **times}))
    alone = replace(deck, parts=tuple(parts), starts={})
    net = spice_names(alone)
    wound = f"L_coil {net['coil/inner']} {net['coil/wound']} {henry:g}"
    measures = [f"drain max v({net[drain]})", f"coil find i(V_coil_amps) at={OFF_S / 2:g}"]
    measures += ["diode max i(V_flyback_amps)"] if diode else []
    stop_s = OFF_S + 20e-3
    texts = [wound, f".tran 1e-6 {stop_s:g} 0 1e-5", *(f".meas tran {line}" for line in measures)]
    done = run(deck_text(alone, analysis="\n".join(texts)))
    assert done.status == 0 and done.complaints == (), done.output[-3000:]
    return Opened(done.figures["drain"], done.figures["coil"], done.figures.get("diode", 0.0))


STAGES = [("5 V", "smd"), ("9 V", "smd"), ("9 V", "through-hole"), ("12 V", "smd"), ("12 V", "through-hole")]


@pytest.mark.parametrize(("rail", "construction"), STAGES)
def test_an_opened_coil_harms_neither_driver_nor_diode(rail: str, construction: str) -> None:
    """The drain rises by a junction above the feed, the diode carries the coil's current on, dropper or none.

    5 V boards have no dropper, the others have one; a bridge across it is the worse case.
    """
    made, circuit = relay_board(rail, construction)
    driver, diode = circuit.by_role(f"{STAGE}/driver-1"), circuit.by_role(f"{STAGE}/flyback-1")
    fitted = circuit.has(f"{STAGE}/dropper-1")
    assert fitted == (rail != "5 V")
    feed_v = made.set.supply.voltage * (1 + made.set.supply.tolerance)
    for bridged in (False, True) if fitted else (False,):
        for henry in COIL_H:
            found = opened(made, circuit, henry, bridged)
            assert found.coil_a > 0.02 and found.diode_a == pytest.approx(found.coil_a, rel=0.01)
            assert found.diode_a < diode.part.ratings["current_max_a"]
            assert 0.0 < found.drain_v - feed_v < diode.part.ratings["vf_high_v"] + 0.1
            assert found.drain_v < driver.part.ratings["vds_max_v"]


@pytest.mark.parametrize("henry", COIL_H)
def test_a_coil_without_its_diode_exceeds_the_rating(henry: float) -> None:
    """The same run: I sqrt(L / C), hundreds of volts from the smallest coil."""
    made, circuit = relay_board("9 V", "smd")
    found = opened(made, circuit, henry, diode=False)
    ideal = found.coil_a * math.sqrt(henry / WINDING_F)
    assert 0.5 * ideal < found.drain_v < 1.1 * ideal
    assert found.drain_v > circuit.by_role(f"{STAGE}/driver-1").part.ratings["vds_max_v"]


# -- the rail off -----------------------------------------------------------------------------------------------------

SETTLING_S = 5e-3
"""The least coupling capacitor, 4.7 uF, settles through 137 ohm and a junction within some of its 0.65 ms."""
JUNCTION_A = 0.1e-3
"""What settled junctions take below the half volt from which the figure counts [A]: 1 mA there, a decade every 59 mV,
and the capacitor lets neither of the two take more than the other."""


def dead(name: str) -> Simulation:
    """A board without its rail, every source at its strongest."""
    return strongest(deck_of(name, f"{chosen(last(name))}{OFF}"), VARIANTS[name])


@pytest.mark.parametrize("name", SWITCHED)
def test_sources_do_a_dead_switch_no_harm(name: str) -> None:
    """Through the junctions of every terminal: below 10 mA from the first line on, settled below the figure."""
    deck, made = without_cables(dead(name)), setup_of(name)
    analog = {chip.role for chip in made.control.analog}
    found = {p.name: p for p in deck.parts if p.kind == "diode" and p.role in analog}
    assert len(found) > 16 * len(analog) - 1
    currents = {name: f"@{element_name('D', name)}[id]".lower() for name in found}
    lines = []
    rail = spice_names(deck)[str(made.circuit.landing_net("rail"))]
    lines.append(f"rail max v({rail})")
    for n, amps in enumerate(currents.values()):
        lines += [f"d{n}_all max {amps}", f"d{n}_end max {amps} from={SETTLING_S - 2 / TONE_HZ:g} to={SETTLING_S:g}"]
    saved = replace(deck, starts={})
    texts = [f".save v({rail}) " + " ".join(currents.values()), f".tran {2 * STEP_S:g} {SETTLING_S:g} 0 {2 * STEP_S:g}"]
    done = run(deck_text(saved, analysis="\n".join([*texts, *(f".meas tran {line}" for line in lines)])))
    assert done.status == 0 and done.complaints == (), done.output[-3000:]
    assert done.figures["rail"] < RAIL_MOST_V
    for role in analog:
        ends = [n for n, p in enumerate(found.values()) if p.role == role]
        first, settled = (max(done.figures[f"d{n}_{when}"] for n in ends) for when in ("all", "end"))
        assert first < MOST_A, (role, first)
        most = figures_of(name).get("rail-off-current", role, "rail off").high
        assert settled < most + JUNCTION_A, (role, settled, most)


def pumped_v(name: str, load_ohm: float | None = None, bridged: bool = False) -> float:
    """Highest on the rail's landing [V] while the sources hold the switches' own supply as high as they can.

    Sound swings behind capacitors from one junction to the other and lifts that supply by at most its peak to peak
    value.  It is held there: to follow it would take seconds.  `bridged` puts a short in place of the blocking diode.
    """
    deck, made = dead(name), setup_of(name)
    (supply,) = {supply_of(chip) for chip in made.control.analog}
    swing = 2 * math.sqrt(2) * max(source.audio_maximum for source in made.variant.input)
    pump = Modelled("voltage", "pump", "", (supply, GROUND), {"value_v": swing})

    def loaded(p: Modelled) -> Modelled:
        if bridged and p.role == "supply/blocking":
            return replace(p, kind="resistor", figures={"value_ohm": 1e-3})
        return replace(p, figures={"value_ohm": load_ohm}) if load_ohm and p.name == "set/rail/dead" else p

    deck = with_parts(deck, loaded, pump)
    rail = spice_names(deck)[str(made.circuit.landing_net("rail"))]
    return plots(deck_text(deck, analysis=control("op", f"write raw v({rail})")))[0].real(f"v({rail})")[0]


@pytest.mark.parametrize("name", SWITCHED)
def test_a_dead_rail_stays_low(name: str) -> None:
    """The blocking diode leaks what the divider of blanking carries away, also where the set loads nothing."""
    assert 0.0 < pumped_v(name) < RAIL_MOST_V


@pytest.mark.parametrize("name", SWITCHED)
def test_a_dead_rail_stays_below_its_figure(name: str) -> None:
    """With the load that the figure counts on: nominal diodes at 25 C must not exceed a bound."""
    figure = figures_of(name).get("rail-off-voltage", "rail", "rail off")
    supply = VARIANTS[name].set.supply
    load = supply.voltage / supply.spare_current
    assert float(dict(figure.given)[LOAD].split()[0]) == pytest.approx(load, rel=1e-3)
    assert pumped_v(name, load) <= figure.high


def test_a_rail_without_its_blocking_diode_would_be_seen() -> None:
    """A short in its place puts on the rail what sound lifts."""
    assert pumped_v("four", bridged=True) > RAIL_MOST_V
