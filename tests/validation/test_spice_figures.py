"""Every linear figure of the signal lines: what the analysis says of a board against what ngspice says of its deck.

The deck is the one that is written for the board; only its analysis is replaced.  A cable whose source has 75 ohm, as
good as exactly above the corner of the source's 220 uF, delays and does no more (transmission-line handbooks).  What
runs into the cable is (V + 75 ohm x I) / 2 at its near end, whatever the source's capacitor takes: from that the
voltages at contact and landing for 1 V behind 75 ohm follow exactly, and the reflection factor as 2 V - 1.

The three colours are driven alike, a grey picture: between leads that carry the same voltage no current flows.  Of
several inputs all sources are: those that are not chosen see their own terminations.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
import pytest

from making import TEMPLATE_NAMES, template
from rasterport.analysis.control import Control
from rasterport.analysis.draws import Draw
from rasterport.analysis.figures import Figures, Name
from rasterport.analysis.models import CABLE_S
from rasterport.analysis.network import NATIVE, State, chosen, contact_nets, set_side, states_of
from rasterport.analysis.nodal import Element, Values, reach
from rasterport.analysis.scene import AUDIO_OHM
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import COLOURS, GROUND, Conditions, Modelled, Simulation
from rasterport.standards.interface_levels import RGB
from rasterport.variant.models import Variant
from spice import Plot, control, plots

WHITE_V, SYNC_V = 0.7, 0.3
"""EN 50049-1: white and sync into 75 ohm [V]."""
FEED_OHM = 37.5
"""A source of 75 ohm into 75 ohm, the set's own signal [ohm]."""
DC_HZ = 1e-4
"""In place of nothing [Hz], since at 0 Hz nothing comes out of a source that is coupled by a capacitor.  The 100 nF
before a pin are 16 gigohm there, and the 1e-12 S from every net of the deck to ground take 7e-6 of the current."""
LINE_HZ = (DC_HZ, 1e5, 1e6, 5e6, 5.5e6, 2.685e6, 3.375e6, 3.58e6, 6.75e6)
"""Where levels and reflections are read [Hz], half the usual pixel clocks among them."""
TONE_HZ, SHIFT_HZ = 1e3, 1e6
STEPS_A_DECADE = 200
"""A straight line between two points of a sweep is then 2e-5 off the curve."""
MOST_LOSS_DB = 60.0
LEAST_CROSSTALK_DB = -80.0
"""Below this ngspice and we must only agree that there is next to none [dB]."""
GENERAL, REFLECTION, DECIBELS, POINTS, CROSSTALK_DB = 1e-3, 1e-4, 0.01, 0.01, 0.1
"""What two figures may be apart: relative, of the reflection factor, dB of level, percentage points, dB."""

Places = Mapping[str, float]


class Bench:
    """One board on the bench: its deck, and what ngspice measures there, of the input that is chosen.

    A contact of another input is called by its role, input-2/red.
    """

    def __init__(self, variant: Variant, state: State, places: Places) -> None:
        self.variant, self.state = variant, state
        self.circuit = compose(variant)
        self.index = 1 if state == NATIVE else states_of(variant).index(state)
        self.contacts = contact_nets(self.circuit, variant, self.index)
        moved = [e for e in around(variant, state) if e.parameter in places]
        spreads = {e.role: places[e.parameter] for e in moved}
        deck = simulation(self.circuit, variant, state, Conditions(spreads=spreads))
        # What has bounds on two sides is a part of an analog switch.
        bounded = {e.role: Draw(places).of(e) for e in moved if e.bounds is not None}
        deck = replace(
            deck, parts=tuple(with_figure(p, bounded[p.role]) if p.role in bounded else p for p in deck.parts)
        )
        self.deck, self.inverter_s, self.buffer = driven_by_hand(self, deck)
        self.names = spice_names(self.deck)

    def name(self, function: str) -> str:
        """Role of a contact: of the chosen input where no other is named."""
        return function if function.startswith("input-") else f"{chosen(self.index)}/{function}"

    def net(self, function: str) -> str:
        """Net of a contact, read from the socket."""
        head, _, tail = self.name(function).partition("/")
        return contact_nets(self.circuit, self.variant, int(head.removeprefix("input-")))[tail]

    @cached_property
    def video(self) -> list[str]:
        """Contacts behind a cable, of every input."""
        inputs = range(1, len(self.variant.input) + 1)
        every = [(n, f) for n in inputs for f in contact_nets(self.circuit, self.variant, n)]
        return [f"{chosen(n)}/{f}" for n, f in every if f in (*COLOURS, "sync")]

    @cached_property
    def audio(self) -> list[str]:
        return [f for f in self.contacts if f.startswith("audio")]

    @cached_property
    def _plots(self) -> dict[object, Plot]:
        """Every analysis, in one run of ngspice."""
        grey = tuple(self.source(f) for f in self.video)
        runs: dict[object, tuple[tuple[str, ...], str, Sequence[str]]] = {}
        for hertz in LINE_HZ:
            runs["grey", hertz] = (grey, f"lin 1 {hertz:.9g} {hertz:.9g}", ())
        for colour in COLOURS:
            for hertz in (1e6, 5e6):
                runs[colour, hertz] = ((self.source(colour),), f"lin 1 {hertz:g} {hertz:g}", ())
        runs["upper"] = (grey, f"dec {STEPS_A_DECADE} 1e5 1e9", [self.landing(c) for c in COLOURS])
        tones = tuple(self.source(f) for f in self.audio)
        for function in self.audio:
            runs[function] = ((self.source(function),), f"lin 1 {TONE_HZ:g} {TONE_HZ:g}", ())
        if tones:
            runs["tones"] = (tones, f"lin 1 {TONE_HZ:g} {TONE_HZ:g}", ())
            sides = [s for s in ("left", "right") if self.circuit.landing_net(s) is not None]
            runs["lower"] = (tones, f"dec {STEPS_A_DECADE} 0.01 {TONE_HZ:g}", [self.landing(s) for s in sides])
        if self.buffer:
            for hertz in (1e5, SHIFT_HZ):
                runs["buffer", hertz] = (("V_by_hand",), f"lin 1 {hertz:g} {hertz:g}", ())
        return dict(zip(runs, analysed(self.deck, list(runs.values())), strict=True))

    def source(self, function: str) -> str:
        """Name of the source of a contact in the deck."""
        name = self.name(function)
        head, _, tail = name.partition("/")
        source = self.variant.input[int(head.removeprefix("input-")) - 1]
        logic = tail == "sync" and source.sync == "ttl-composite"
        return element_name("V", f"{name}/{'tone' if tail.startswith('audio') else 'logic' if logic else 'picture'}")

    def landed(self, name: str) -> str:
        return str(self.circuit.landing_net(name))

    def landing(self, name: str) -> str:
        return f"v({self.names[self.landed(name)]})"

    def volts(self, run: object, net: str) -> complex:
        return self._plots[run].first(f"v({self.names[net]})")

    def unit(self, function: str, hertz: float, at: str = "", run: str = "grey") -> complex:
        """Voltage at a landing, or at the contact itself, for 1 V behind 75 ohm at the contact, no cable between."""
        name = self.name(function)
        into = f"{name}/cable"
        behind = f"{name}/near" if f"{name}/near" in self.names else into
        wave = (self.volts((run, hertz), into) + self.volts((run, hertz), f"{name}/emf")) / 2
        wave -= self.volts((run, hertz), behind) / 2
        net = self.net(function) if not at else str(self.circuit.landing_net(at))
        return self.volts((run, hertz), net) / (2 * wave * cmath.exp(-2j * math.pi * hertz * CABLE_S))

    def reflection(self, function: str, hertz: float) -> complex:
        return 2 * self.unit(function, hertz) - 1

    def level(self, colour: str, hertz: float = 1e5) -> float:
        """Of 1 V behind 75 ohm at the landing [V]."""
        return abs(self.unit(colour, hertz, colour))

    def corner_hz(self, run: str, name: str) -> float:
        """-3 dB frequency; a sweep that rises is read from its upper end."""
        plot = self._plots[run]
        points = list(zip(plot.real("frequency"), [abs(v) for v in plot.vectors[self.landing(name)]], strict=True))
        return fallen(points if run == "upper" else points[::-1])

    def sync(self, hertz: float) -> complex:
        """At the landing for 1 V of what drives the sync line: the contact, or the buffer's output."""
        if self.buffer:
            return self.volts(("buffer", hertz), str(self.circuit.landing_net("sync")))
        return self.unit("sync", hertz, "sync")


def with_figure(part: Modelled, value: Values) -> Modelled:
    """A part of two poles with another value."""
    (key,) = part.figures
    return replace(part, figures={key: float(np.asarray(value))})


def around(variant: Variant, state: State) -> tuple[Element, ...]:
    """Linear parts of the board, and what the set hangs on it."""
    circuit = compose(variant)
    return (*Control(circuit, variant).elements(state), *set_side(circuit, variant))


def driven_by_hand(bench: Bench, deck: Simulation) -> tuple[Simulation, float, bool]:
    """The deck with a source of the output's resistance where an inverter drives the sync landing; its delay [s]."""
    landing, walls = bench.circuit.landing_net("sync"), Control(bench.circuit, bench.variant).walls
    line = reach(around(bench.variant, bench.state), str(landing), walls)
    nets = {net for e in line for net in (e.first, e.second)}
    parts, delay = [], 0.0
    for part in deck.parts:
        if part.kind == "schmitt-inverter" and part.nets[1] in nets:
            delay += part.figures["lag_s"] * math.log(2)
            parts += by_hand(part.nets[1], part.figures["output_ohm"])
        else:
            parts.append(part)
    return replace(deck, parts=tuple(parts)), delay, len(parts) > len(deck.parts)


def by_hand(net: str, ohm: float) -> list[Modelled]:
    """A source of 1 V behind a resistance [ohm], for an analysis of alternating voltages."""
    return [
        Modelled("voltage", "by-hand", "", ("by-hand/emf", GROUND), {"value_v": 0.0}),
        Modelled("resistor", "by-hand/source", "", ("by-hand/emf", net), {"value_ohm": ohm}),
    ]


def analysed(deck: Simulation, runs: Sequence[tuple[tuple[str, ...], str, Sequence[str]]]) -> list[Plot]:
    """Analyses of alternating voltages: sources of 1 V, how the frequency runs, vectors (all without any)."""
    commands: list[str] = []
    on: set[str] = set()
    for sources, span, vectors in runs:
        commands += [f"alter {s} ac=0" for s in sorted(on - set(sources))]
        commands += [f"alter {s} ac=1" for s in sorted(set(sources) - on)]
        on = set(sources)
        commands += [f"ac {span}", f"write raw {' '.join(vectors)}"]
    found = plots(deck_text(deck, analysis=control(*commands)))
    assert len(found) == len(runs)
    return found


def fallen(points: Sequence[tuple[float, float]]) -> float:
    """Where a level has fallen to 1 / sqrt(2) of its first, straight between points on logarithmic scales."""
    goal = math.log(points[0][1] / math.sqrt(2))
    for (f0, a), (f1, b) in pairwise(points):
        if math.log(b) <= goal:
            part = (goal - math.log(a)) / (math.log(b) - math.log(a))
            return math.exp(math.log(f0) + part * (math.log(f1) - math.log(f0)))
    return points[-1][0]


def hertz_of(words: str) -> float:
    return DC_HZ if words == "DC" else float(words.removesuffix("MHz")) * 1e6


def relative_db(bench: Bench, colour: str, hertz: float) -> float:
    return 20 * math.log10(bench.level(colour, hertz) / bench.level(colour))


def wanted(bench: Bench) -> float:
    return bench.variant.set.rgb.white_level


def mismatch(bench: Bench, subject: str, at: str) -> float:
    levels = [bench.level(c) for c in COLOURS]
    return 100 * (max(levels) / min(levels) - 1)


def load_ohm(bench: Bench, subject: str, at: str) -> float:
    volts = bench.unit(subject, 1e5)
    return abs(75 * volts / (1 - volts))


def crosstalk_db(bench: Bench, subject: str, at: str) -> float:
    """The worst of all pairs, one colour driven and two silent."""
    worst = 0.0
    for driven in COLOURS:
        volts = {c: abs(bench.volts((driven, hertz_of(at)), str(bench.circuit.landing_net(c)))) for c in COLOURS}
        worst = max(worst, *(volts[c] / volts[driven] for c in COLOURS if c != driven))
    return 20 * math.log10(max(worst, 1e-12))


def sync_v(bench: Bench, subject: str, at: str) -> float:
    """0.3 V of sync into 75 ohm, or what the regulator makes in the deck behind the output of the buffer.

    A logic level without a buffer is that of its source, in the middle of what it may be.
    """
    source = bench.variant.input[bench.index - 1]
    if source.sync == "ttl-composite" and not bench.buffer:
        contact, landing = (bench.volts(("grey", 1e5), n) for n in (bench.net("sync"), bench.landed("sync")))
        return (source.ttl_high_least + source.ttl_high_most) / 2 * abs(landing / contact)
    regulated = [p.figures["output_v"] for p in bench.deck.parts if p.kind == "regulator"]
    return (regulated[0] if bench.buffer else 2 * SYNC_V) * abs(bench.sync(1e5))


def contact_of(bench: Bench, side: str) -> str:
    return f"audio-{side}" if f"audio-{side}" in bench.contacts else "audio-left"


def audio_load_ohm(bench: Bench, side: str, at: str) -> float:
    """The source of the other channel stands still, with its own resistance."""
    function = contact_of(bench, side)
    emf = bench.volts(function, f"{bench.name(function)}/emf")
    volts = bench.volts(function, bench.contacts[function])
    return abs(AUDIO_OHM * volts / (emf - volts))


def lines_s(bench: Bench, subject: str, at: str) -> float:
    """What the sync line is later than a colour line [s]."""
    late = -cmath.phase(bench.sync(SHIFT_HZ)) + cmath.phase(bench.unit("red", SHIFT_HZ, "red"))
    return late / (2 * math.pi * SHIFT_HZ)


def native_change_db(bench: Bench, side: str, at: str) -> float:
    """The landing with the board against the landing on a wire, the set's own signal behind 37.5 ohm."""
    landing, feed = (str(bench.circuit.landing_net(f"{side}{end}")) for end in ("", "-native"))
    hertz = 1e5 if side == "sync" else TONE_HZ
    own, source = f"set/{side}-native", by_hand(feed, FEED_OHM)
    without = [
        replace(p, nets=tuple(feed if n == landing else n for n in p.nets))
        for p in bench.deck.parts
        if p.name.startswith(f"set/{side}/")
    ]
    assert without
    levels = []
    parts = [p for p in bench.deck.parts if p.name != own and not p.name.startswith(f"{own}/")]
    for kept, net in ((parts, landing), (without, feed)):
        deck = replace(bench.deck, parts=(*kept, *source))
        (plot,) = analysed(deck, [(("V_by_hand",), f"lin 1 {hertz:g} {hertz:g}", ())])
        levels.append(abs(plot.first(f"v({spice_names(deck)[net]})")))
    return abs(20 * math.log10(levels[0] / levels[1]))


READ: dict[str, Callable[[Bench, str, str], float]] = {
    "level": lambda b, c, _: 2 * WHITE_V * b.level(c),
    "level-weakest": lambda b, c, _: 2 * RGB.low * b.level(c),
    "level-strongest": lambda b, c, _: 2 * RGB.high * b.level(c),
    "level-error": lambda b, c, _: abs(20 * math.log10(2 * WHITE_V * b.level(c) / min(WHITE_V, wanted(b)))),
    "brightness": lambda b, c, _: 20 * math.log10(2 * WHITE_V * b.level(c) / wanted(b)),
    "load": load_ohm,
    "return-loss": lambda b, c, at: -20 * math.log10(abs(b.reflection(c, hertz_of(at)))),
    "bandwidth": lambda b, c, _: b.corner_hz("upper", c),
    "level-relative": lambda b, c, at: relative_db(b, c, hertz_of(at)),
    "pixel": lambda b, c, at: relative_db(b, c, hertz_of(at) / 2),
    "mismatch": mismatch,
    "crosstalk": crosstalk_db,
    "sync-level": sync_v,
    "native-change": native_change_db,
    "audio-level": lambda b, s, _: (
        b.variant.input[b.index - 1].audio_maximum * abs(b.volts("tones", str(b.circuit.landing_net(s))))
    ),
    "audio-corner": lambda b, s, _: b.corner_hz("lower", s),
    "audio-load": audio_load_ohm,
    "shift": lines_s,
}
"""The linear figures by key: board, subject and what stands behind "/" in the key to ngspice's value."""


AT_100_KHZ = ("level", "level-weakest", "level-strongest", "level-error", "brightness", "load", "mismatch", "crosstalk")


def apart(key: str, ours: float, theirs: float) -> float:
    """How far two values of a figure are apart, 1 being as far as they may be."""
    if key == "return-loss":
        ours, theirs = (10 ** (-min(loss, MOST_LOSS_DB) / 20) for loss in (ours, theirs))
        return abs(ours - theirs) / REFLECTION
    if key == "crosstalk":
        return abs(ours - theirs) / CROSSTALK_DB if max(ours, theirs) > LEAST_CROSSTALK_DB else 0.0
    if key in ("level-error", "brightness"):
        return abs(ours - theirs) / DECIBELS
    if key == "mismatch":
        return abs(ours - theirs) / POINTS
    return abs(ours - theirs) / (GENERAL * abs(theirs))


@lru_cache(maxsize=1)
def figures_of(name: str) -> Figures:
    made = template(name)
    return Figures(Setup(made, compose(made)))


def ours_of(bench: Bench, figures: Figures, name: Name, places: Places) -> float:
    """The figure of a board; of the shift what the lines do to it."""
    drawn = figures.quantities[name].value
    value = np.asarray(drawn(Draw(places))).item() if places else figures.get(*name).nominal
    return value - bench.variant.set.rgb.luminance_delay - bench.inverter_s if name[0] == "shift" else value


def compared(name: str, state: State, places: Places, bench: Bench | None = None) -> dict[Name, tuple[float, float]]:
    """Figure -> our and ngspice's value, for every linear figure of a template in one state."""
    figures, bench = figures_of(name), bench or Bench(template(name), state, places)
    found = {}
    for figure in figures.quantities:
        key, _, at = figure[0].partition("/")
        if key == "native-change" and at:
            continue  # with a plug, or the rail off: another circuit, held in test_spice_jacks.py
        if key in READ and figure[2] == state:
            found[figure] = (ours_of(bench, figures, figure, places), READ[key](bench, figure[1], at))
    return found


def outside(found: Mapping[Name, tuple[float, float]]) -> dict[Name, tuple[float, float]]:
    return {name: pair for name, pair in found.items() if not apart(name[0].partition("/")[0], *pair) <= 1}


MIDDLE_SHARE = 0.01
"""How far the corner of sound may be apart behind analog switches, relative: their middle voltage, ground to the
figures, is 47 uF beside 5 kohm in the deck, 484 ohm at 7 Hz below a bias of 50 kohm."""


def outside_of(name: str, found: Mapping[Name, tuple[float, float]]) -> dict[Name, tuple[float, float]]:
    """As `outside`, by what a template may be apart."""
    wrong = outside(found)
    if template(name).selector.path != "cmos":
        return wrong
    near = [n for n, (a, b) in wrong.items() if n[0] == "audio-corner" and abs(a / b - 1) < MIDDLE_SHARE]
    return {n: pair for n, pair in wrong.items() if n not in near}


def held(name: str, figure: Name, value: float) -> float:
    """The value, or the nearer end of the figure's range where it lies outside."""
    found = figures_of(name).get(*figure)
    return min(max(value, found.low), found.high)


def corner(variant: Variant, state: State) -> dict[str, float]:
    """Resistors of the board high and its capacitors low, in the set the other way round; the colours alike."""
    found = {}
    for e in around(variant, state):
        if e.uncertain:
            found[e.parameter] = (1.0 if e.kind == "R" else -1.0) * (-1.0 if e.role.startswith("set/") else 1.0)
    return found


EVERY = [(name, state) for name in TEMPLATE_NAMES for state in states_of(template(name))]
LAST = [(name, chosen(len(template(name).input))) for name in TEMPLATE_NAMES]


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_the_nominal_board(name: str, state: State) -> None:
    found = compared(name, state, {})
    assert len(found) >= (9 if state == NATIVE else 50)
    assert outside_of(name, found) == {}


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_a_board_at_a_corner(name: str, state: State) -> None:
    places = corner(template(name), state)
    assert len(places) > 10
    found = compared(name, state, places)
    assert outside_of(name, found) == {}
    # Of the shift only what the lines do is compared.
    ends = {n: (held(name, n, pair[1]), pair[1]) for n, pair in found.items() if n[0] != "shift"}
    assert outside_of(name, ends) == {}


def unlike(variant: Variant, state: State) -> dict[str, float]:
    """The resistors of red low, those of green nominal, those of blue high."""
    share = dict(zip(COLOURS, (-1.0, 0.0, 1.0), strict=True))
    return {
        e.parameter: share[c]
        for e in around(variant, state)
        for c in COLOURS
        if e.kind == "R" and e.uncertain and f"/{c}/" in e.role and not e.role.startswith("set/")
    }


@pytest.mark.parametrize(("name", "state"), LAST)
def test_a_board_whose_colours_differ(name: str, state: State) -> None:
    """The mismatch of the nominal board is nothing: here it is that of resistors of 1 %.

    Between leads at different voltages a current flows, so only what is read at 100 kHz or with one colour driven.
    """
    found = compared(name, state, unlike(template(name), state))
    ours, _ = found["mismatch", "red, green, blue", state]
    assert ours > 0.9
    low = {n: pair for n, pair in found.items() if n[0].partition("/")[0] in AT_100_KHZ}
    assert len(low) == 3 * 6 + 3
    assert outside(low) == {}


def test_every_linear_figure_is_compared_somewhere() -> None:
    met = {key.partition("/")[0] for name in TEMPLATE_NAMES for key, _, _ in figures_of(name).quantities}
    assert READ.keys() <= met
    states = {s for n in TEMPLATE_NAMES for key, _, s in figures_of(n).quantities if key.partition("/")[0] in READ}
    assert states == {state for _, state in EVERY}


def with_wrong(bench: Bench, role: str, by: float) -> Bench:
    """The bench with one part of the deck off by a share of its value; our board stays as it is."""
    (part,) = (p for p in bench.deck.parts if role in (p.role, p.name))
    figures = {key: value * (1 + by) for key, value in part.figures.items()}
    bench.deck = replace(
        bench.deck, parts=tuple(replace(p, figures=figures) if p is part else p for p in bench.deck.parts)
    )
    return bench


@pytest.mark.parametrize(
    ("name", "role", "seen"),
    [
        ("dunlin", "input-1/red/termination", {"level", "return-loss", "load", "mismatch"}),
        ("dunlin", "input-4/red/termination", {"return-loss"}),
        ("dunlin", "selector/left-coupling", {"audio-corner"}),
        ("linnet", "input-1/red/termination", {"level", "return-loss", "load", "mismatch"}),
        ("kestrel", "input-1/red/termination", {"level", "return-loss", "load", "mismatch"}),
        ("kestrel", "set/red-green/stray", {"crosstalk"}),
        ("plover", "set/green/capacitance", {"bandwidth", "level-relative", "pixel"}),
        ("plover", "set/red/capacitance", {"shift"}),
        ("kestrel", "set/left/resistance", {"audio-load"}),
        ("kestrel", "input-1/audio-left/coupling", {"audio-corner"}),
        ("wren", "input-1/audio-left/shunt", {"audio-level"}),
        ("osprey", "input-1/sync/drive", {"sync-level"}),
        ("heron", "set/sync/termination", {"sync-level", "return-loss"}),
        ("kestrel", "panel/switch/2", {"native-change"}),
    ],
)
def test_a_part_that_is_off_would_be_seen(name: str, role: str, seen: set[str]) -> None:
    """By half a per cent; a stray capacitance by 2 %, which is 0.17 dB of crosstalk."""
    state: State = "native" if seen == {"native-change"} else "input-1"
    wrong = with_wrong(Bench(template(name), state, {}), role, 0.02 if "stray" in role else 0.005)
    found = outside(compared(name, state, {}, wrong))
    assert seen <= {key.partition("/")[0] for key, _, _ in found}
