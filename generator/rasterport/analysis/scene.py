"""What stands round the board on the bench: the set at its landings, the source and its cables at the socket.

What is not known of set and source is stated beside its constant.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from rasterport.analysis.audio import SOURCE_OHM as AUDIO_OHM
from rasterport.analysis.crosstalk import strays
from rasterport.analysis.draws import Draw
from rasterport.analysis.models import CABLE_S, DEAD_PIN_A, cable, current, held, linear, metered, pulse, two_pole
from rasterport.analysis.network import DISPLAY_ENDS, is_output, set_side
from rasterport.analysis.nodal import GROUND, Element
from rasterport.design.display_blanking import SATURATED_OHM
from rasterport.design.landings import CONTACT_OHM, line_standards
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Circuit, Conditions, Modelled
from rasterport.standards.bt470 import SYNC_V, WHITE_V, LineStandard
from rasterport.standards.interface_levels import AUDIO_EUROPEAN, AUDIO_JAPANESE
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS
from rasterport.variant.display import Display
from rasterport.variant.models import Input, Variant

SOURCE_F = 220e-6
"""The smallest usual output coupling [F]; common practice, no source."""
SYNC_EDGE_S, PICTURE_EDGE_S = 0.2e-6, 0.3e-6
"""Edges [s].  ITU-R BT.470-5, systems B and G."""
BAR_FROM, BAR_TO = 0.25, 0.75
"""The white bar, as shares of the active line."""
MENUS = {"alone": (0.85, 0.95), "over": (0.6, 0.7)}
"""Bars of a menu, on black and over white, as shares of the active line."""
STEP_S = 2 * CABLE_S
"""Longest step of a run [s]: beyond two delays of the cable ngspice guesses what comes out of it, and 700 mV are 1 mV
off."""
MENU_EDGE_S = STEP_S
"""Edge of the bars of a menu [s]: bars tell levels; edges are figures of their own."""
TONE_HZ = 1e3
"""What the source of sound sends [Hz]."""

CLAMP_LEVEL_V, CLAMP_WITHIN_V, CLAMP_AFTER_S = 0.0, 1e-3, 0.3e-6
"""The keyed clamp: levels count from where it holds the pin, its current is proportional within the second [V]
and full beyond; it begins so long after sync [s].  Judgement, stated."""
DEAD_OHM = 1e6
"""The rail of a set that is off [ohm]: nearly open, which lifts most.  Judgement, stated."""


@dataclass(frozen=True, slots=True)
class Scene:
    """One circuit in one state with what the models of set and source hang on; `index` is the input, 0 for native.

    `contacts` has socket function -> net of every input; `walls` are nets that are ground to a signal.
    """

    circuit: Circuit
    variant: Variant
    index: int
    powered: bool
    under: Conditions
    board: tuple[Element, ...]
    contacts: Mapping[int, Mapping[str, str]]
    walls: Collection[str] = ()

    @property
    def active(self) -> bool:
        """Whether an input is chosen."""
        return self.index > 0

    @property
    def shown(self) -> Mapping[str, str]:
        """The contacts of the input that is chosen, the first one's when native."""
        return self.contacts[self.index or 1]

    @property
    def standard(self) -> LineStandard:
        """The set's line standard, 525/60 for both."""
        return line_standards(self.variant)[0]

    @property
    def active_from_s(self) -> float:
        """Begin of the active line, counted from the front porch [s]."""
        s = self.standard
        return s.front_porch_s + s.sync_width_s + s.back_porch_s


def set_models(scene: Scene) -> Iterator[Modelled]:
    """What the set brings: landings, rail, gate line, and its own feeds behind `-native`."""
    tv, at = scene.variant.set, scene.circuit.landing_net
    for e in set_side(scene.circuit, scene.variant, "on"):
        if is_output(e):  # the display's own models take its place
            continue
        biased = e.role == "set/sync/resistance" and tv.sync.bias > 0 and scene.powered
        yield linear({}, scene.under, replace(e, second="set/sync/bias") if biased else e)
        if biased:
            yield held("set/sync/bias", "set/sync/bias", tv.sync.bias)
    for e in strays(scene.circuit, scene.variant):
        yield linear({}, scene.under, e)
    yield from _rail(scene, str(at("rail")))
    for name, volts in (("gate", _gate_v(scene)), *([] if scene.powered else [("blanking", 0.0)])):
        net = at(name)
        if net is not None:
            yield from metered(f"set/{name}", net, volts)
    pin = at("blanking")
    if pin is not None and scene.powered:
        yield current("set/blanking/current", GROUND, pin, scene.under.pin * tv.blanking.pin_current)
    if pin is not None and tv.blanking.fitted_resistor is not None:
        yield two_pole("R", "set/blanking/resistor", "set/blanking/resistor", pin, GROUND, tv.blanking.fitted_resistor)
    yield from _natives(scene)
    s, key_s = scene.standard, scene.active_from_s - scene.standard.back_porch_s + CLAMP_AFTER_S
    if scene.powered:
        yield pulse("set/key", "set/key", GROUND, 0.0, 1.0, key_s, 20e-9, tv.rgb.clamp_time, s.line_period_s)
    for colour in COLOURS:
        yield from _pin(scene, colour)
    yield from display_models(scene)


def pin_net(scene: Scene, colour: str) -> str | None:
    """Where the clamp of a colour sits: the landing, or behind the capacitor that stays in the set."""
    landing = scene.circuit.landing_net(colour)
    return f"set/{colour}/pin" if landing is not None and scene.variant.set.rgb.coupling_fitted else landing


def _pin(scene: Scene, colour: str) -> Iterator[Modelled]:
    rgb, landing, pin = scene.variant.set.rgb, scene.circuit.landing_net(colour), pin_net(scene, colour)
    if landing is None or pin is None:
        return
    name = f"set/{colour}"
    if rgb.coupling_fitted is not None:
        yield two_pole("C", f"{name}/coupling", f"{name}/coupling", landing, pin, rgb.coupling_fitted)
    if scene.powered:
        figures = {
            "level_v": CLAMP_LEVEL_V,
            "current_a": rgb.clamp_current,
            "siemens": rgb.clamp_current / CLAMP_WITHIN_V,
        }
        if rgb.pin_kind == "analog-clamped":
            yield Modelled("keyed-clamp", f"{name}/clamp", f"{name}/clamp", (pin, "set/key"), figures)
        yield current(f"{name}/leakage", pin, GROUND, rgb.leakage)
    else:
        yield from _junctions(name, pin)


def _junctions(name: str, pin: str) -> Iterator[Modelled]:
    """The protection of a dead pin, towards ground and towards a rail that stands at ground."""
    figures = {"is_a": DEAD_PIN_A, "ideality": 1.0, "capacitance_f": 0.0}
    for way, ends in (("up", (pin, GROUND)), ("down", (GROUND, pin))):
        yield Modelled("diode", f"{name}/{way}", f"{name}/{way}", ends, figures, "dead pin")


def display_models(scene: Scene) -> Iterator[Modelled]:
    """The set's own display on shared pins: a bar of a menu on black and one over white, in every line.

    Each output is its level behind a resistance, another one when on than when idle; that of a dead set is its
    protection.
    """
    keys, s = scene.variant.set.display, scene.standard
    if keys is None:
        return
    ends = {end: set_side(scene.circuit, scene.variant, end) for end in DISPLAY_ENDS}
    outputs = {end: {e.role: e for e in found if is_output(e)} for end, found in ends.items()}
    if scene.powered and outputs["on"]:
        nets = ["set/menu", *(f"set/menu/{name}" for name in list(MENUS)[1:]), GROUND]
        for n, (name, (begin, end)) in enumerate(MENUS.items()):
            # Between two steps: a corner on a step leaves ngspice a step of nothing, and it gives up.
            from_s = (round((scene.active_from_s + begin * s.active_line_s) / STEP_S) + 0.5) * STEP_S
            width_s = round((end - begin) * s.active_line_s / STEP_S) * STEP_S
            ways = (nets[n], nets[n + 1])
            yield pulse(f"set/menu/{name}", *ways, 0.0, 1.0, from_s, MENU_EDGE_S, width_s, s.line_period_s)
    for role, on in outputs["on"].items():
        if not scene.powered:
            yield from _junctions(role, on.first)
            continue
        draw = Draw({e.parameter: scene.under.spreads.get(role, 0.0) for e in (on, outputs["idle"].get(role, on))})
        idle = outputs["idle"].get(role)
        figures = {
            "high_v": keys.high,
            "high_ohm": float(draw.of(on)),
            "low_v": keys.low,
            "idle_siemens": 0.0 if idle is None else 1 / float(draw.of(idle)),
        }
        yield Modelled("display-output", role, role, (on.first, "set/menu"), figures)
    if outputs["on"]:
        yield from _menu_blanking(scene, keys)


def _menu_blanking(scene: Scene, keys: Display) -> Iterator[Modelled]:
    """The display's blanking: at its level behind its resistance while a bar of a menu is drawn; at ground if dead."""
    landing, role = scene.circuit.landing_net("display-blanking"), "set/display-blanking/output"
    if landing is None:
        return
    high = max(keys.blanking_resistance, CONTACT_OHM)
    low = min(high, SATURATED_OHM) if keys.blanking_drive == "open-collector" else high
    if not scene.powered:
        yield two_pole("R", role, role, landing, GROUND, low)
        return
    levels = (keys.blanking_high, high), (keys.blanking_low, low)
    (on_v, on_ohm), (off_v, off_ohm) = levels if keys.blanking_active == "high" else levels[::-1]
    figures = {"high_v": on_v, "high_ohm": on_ohm, "low_v": off_v, "idle_siemens": 1 / off_ohm}
    yield Modelled("display-output", role, role, (landing, "set/menu"), figures)


def _rail(scene: Scene, tap: str) -> Iterator[Modelled]:
    rail = scene.variant.set.supply
    if scene.powered:
        yield from metered("set/rail", tap, rail.voltage * (1 + scene.under.rail * rail.tolerance))
    else:
        yield two_pole("R", "set/rail/dead", "set/rail/dead", tap, GROUND, DEAD_OHM)


def _gate_v(scene: Scene) -> float:
    """The gate line at the bound of the level that belongs to the state [V]."""
    selector = scene.variant.selector
    high = (selector.gate_active == "high") == scene.active
    return 0.0 if not scene.powered else selector.gate_high if high else selector.gate_low


def _natives(scene: Scene) -> Iterator[Modelled]:
    """The set's own feeds: sync without a picture, silence, blanking at rest behind its resistance."""
    tv, at = scene.variant.set, scene.circuit.landing_net
    sync = at("sync-native")
    if sync is not None:
        yield from _video(scene, "set/sync-native", sync, 0.0, 2 * SYNC_V, coupled=False)
        if tv.sync.termination == "movable":
            yield two_pole("R", "set/sync-native/termination", "set/sync-native/termination", sync, GROUND, LINE_OHM)
    rest = {"left-native": AUDIO_OHM, "right-native": AUDIO_OHM}
    rest["blanking-native"] = max(tv.blanking.native_resistance or 0.0, CONTACT_OHM)
    for name, ohm in rest.items():
        net = at(name)
        if net is not None:
            yield two_pole("R", f"set/{name}", f"set/{name}", net, GROUND, ohm)


def source_models(scene: Scene, index: int, function: str, net: str) -> Iterator[Modelled]:
    """What is plugged into an input: the signal behind its resistance, and a cable."""
    source = scene.variant.input[index - 1]
    name = f"input-{index}/{function}"
    if function in COLOURS:
        yield from _video(scene, name, net, 2 * WHITE_V, 0.0, coupled_of(source), 2 * standing_v(scene, source))
    elif function == "sync" and source.sync == "ttl-composite":
        yield from _logic(scene, source, name, net)
    elif function == "sync":
        white = 2 * WHITE_V if source.sync == "composite-video" else 0.0
        yield from _video(scene, name, net, white, 2 * SYNC_V, coupled_of(source))
    elif function.startswith("audio"):
        nominal = (AUDIO_JAPANESE if source.socket == "japanese-21" else AUDIO_EUROPEAN).nominal
        figures = {"amplitude_v": math.sqrt(2) * nominal, "frequency_hz": TONE_HZ}
        yield Modelled("sine", f"{name}/tone", name, (f"{name}/emf", GROUND), figures)
        yield two_pole("R", f"{name}/source", name, f"{name}/emf", net, AUDIO_OHM)
    elif function.startswith("status"):
        yield from metered(name, net, _status_v(scene, index, function))


def coupled_of(source: Input) -> bool:
    """Whether a source is taken as AC-coupled: also where it may be either, since it swings below ground then."""
    return source.source_coupling != "dc"


def _status_v(scene: Scene, index: int, function: str) -> float:
    """The status contact at the bound of the level that belongs to the state, 12 V with the rail off [V]."""
    levels = STATUS_LEVELS[function]
    return FAULT_V if not scene.powered else levels.on_least_v if scene.index == index else levels.off_most_v


def standing_v(scene: Scene, source: Input) -> float:
    """Black of a source into 75 ohm [V]: the middle of its span where the pins have no clamp, else 0."""
    known = scene.variant.set.rgb.pin_kind == "analog-dc"
    return (source.black_least + source.black_most) / 2 if known else 0.0


def _video(
    scene: Scene, name: str, net: str, white_v: float, sync_v: float, coupled: bool, black_v: float = 0.0
) -> Iterator[Modelled]:
    """Picture and sync in series, and before the run their mean, so that every capacitor starts settled."""
    s, period = scene.standard, scene.standard.line_period_s
    from_s, width_s = scene.active_from_s + BAR_FROM * s.active_line_s, (BAR_TO - BAR_FROM) * s.active_line_s
    mean = mean_v(scene, white_v, sync_v)
    ends = [f"{name}/emf", f"{name}/picture", f"{name}/sync" if sync_v else GROUND, GROUND]
    if black_v:
        ends[2] = f"{name}/black"
        yield held(f"{name}/black", ends[2], black_v)
    yield pulse(f"{name}/start", ends[0], ends[1], mean, 0.0, 0.0, 1e-9, 1.0, 2.0)
    yield pulse(f"{name}/picture", ends[1], ends[2], 0.0, white_v, from_s, PICTURE_EDGE_S, width_s, period)
    if sync_v:
        yield pulse(
            f"{name}/sync", ends[2], ends[3], 0.0, -sync_v, s.front_porch_s, SYNC_EDGE_S, s.sync_width_s, period
        )
    behind = f"{name}/near" if coupled else f"{name}/cable"
    yield two_pole("R", f"{name}/source", name, ends[0], behind, LINE_OHM)
    if coupled:
        yield two_pole("C", f"{name}/coupling", name, behind, f"{name}/cable", SOURCE_F)
    yield cable(name, net)


def mean_v(scene: Scene, white_v: float, sync_v: float) -> float:
    """Mean of the electromotive force over a line, black at 0 [V]."""
    s = scene.standard
    share = BAR_TO - BAR_FROM if scene.under.picture is None else scene.under.picture
    return (white_v * share * s.active_line_s - sync_v * s.sync_width_s) / s.line_period_s


def _logic(scene: Scene, source: Input, name: str, net: str) -> Iterator[Modelled]:
    s = scene.standard
    high = source.ttl_high_least if scene.powered else source.ttl_high_most
    rest, sync = (high, 0.0) if source.sync_polarity == "negative" else (0.0, high)
    yield pulse(
        f"{name}/logic", f"{name}/emf", GROUND, rest, sync, s.front_porch_s, 20e-9, s.sync_width_s, s.line_period_s
    )
    yield two_pole("R", f"{name}/source", name, f"{name}/emf", f"{name}/cable", LINE_OHM)
    yield cable(name, net)
