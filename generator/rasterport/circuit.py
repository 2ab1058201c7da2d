"""Variant -> circuit: which blocks this board has, with which numbers, joined by which nets.

Refuses what cannot be built, with the reason.  Knows the blocks; knows no part numbers of its own and
no words of the outputs.  What few boards have (a display on the colour pins, analog switches, a clamp) is imported
where it is placed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from rasterport.blocks import audio as audio_block
from rasterport.blocks import blanking as blanking_block
from rasterport.blocks import (
    changeover,
    coupling,
    gate,
    harness,
    highside,
    joints,
    link,
    panel,
    protection,
    socket,
    status,
    supply,
    sync,
    testpoints,
)
from rasterport.blocks import landing as landing_block
from rasterport.blocks import termination as termination_block
from rasterport.blocks.board import COLOURS, GROUND, LINES, Board
from rasterport.blocks.changeover import Pole
from rasterport.blocks.lands import lands_of
from rasterport.design import audio as audio_sizing
from rasterport.design import black as black_sizing
from rasterport.design import constructions
from rasterport.design import coupling as coupling_sizing
from rasterport.design import sync as sync_sizing
from rasterport.design.blanking import Divider
from rasterport.design.choosing import AUTOMATIC, Choosing, choosing
from rasterport.design.coupling import BIAS_OHM, BLOCK_F, SYNC_BLOCK_F
from rasterport.design.landings import (
    SWITCHED,
    carries_audio,
    chained,
    is_shared,
    is_switched,
    line_standards,
    lines_of,
    separated,
    sync_landing,
)
from rasterport.design.power import LOGIC_LOW_V, Power, needs_buffer, plan_power, straight
from rasterport.design.refusals import refuse_what_cannot_be
from rasterport.design.termination import LINE_OHM, parallel, splits
from rasterport.errors import Refused
from rasterport.records import Circuit, Finding, Sized, Work
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.interface_levels import SYNC_WINDOW_V
from rasterport.standards.limits import LIMITS, SET_SPREAD
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.variant.models import Input, Variant

if TYPE_CHECKING:
    from rasterport.design.display_blanking import Joined
    from rasterport.design.mixing import Combination

USUAL_LARGE_F = 470e-6
SEPARATOR_OHM = 10e3
"""Least input resistance of a sync separator [ohm].  TI SNLS384G."""
COUPLING_SPREAD = 0.27
"""10 % tolerance and 15 % over temperature of an X7R part, multiplied [-]."""


@dataclass(slots=True)
class Nets:
    """The nets on which the blocks of one board meet.

    `feeds` has, for each input and line, the net where the input's own parts end; `poles` are those of the stage that
    gives landings back; `pins` landing -> net.
    """

    feeds: dict[int, dict[str, str]] = field(default_factory=dict)
    pins: dict[str, str] = field(default_factory=dict)
    poles: list[Pole] = field(default_factory=list)
    blanking: str = "BLANKING_PIN"


def compose(variant: Variant) -> Circuit:
    """Build the circuit of a variant.

    Raises UnsafeSet or Refused when no board can be made for it.
    """
    refuse_what_cannot_be(variant)
    with _sizing("variant"):
        return _compose(variant)


def _planned(variant: Variant) -> tuple[Power, Divider | Joined]:
    """The plan of the supply with what drives the blanking pin: the board's divider, or one that a display shares."""
    if not is_shared(variant):
        return plan_power(variant)
    from rasterport.design.display_drive import plan_joined  # few boards have one

    return plan_joined(variant)


@contextmanager
def _sizing(subject: str) -> Iterator[None]:
    """Turn a sizing that finds no value into a refusal F113 that names the table or key it is about."""
    try:
        yield
    except ValueError as fault:
        finding = Finding("F113", "error", subject, str(fault), source="sizing", state="any")
        raise Refused((finding,)) from fault


def _compose(variant: Variant) -> Circuit:
    board = Board(variant.board.small_parts, variant.board.construction == "wired", variant.fit)
    nets = Nets()
    with _sizing("set.supply, set.blanking"):
        power, divider = _planned(variant)
    chosen = choosing(variant)
    for index, source in enumerate(variant.input, 1):
        audio = carries_audio(variant, index)
        socket.socket(board, index, source, audio, index in chosen.by_status)
        nets.feeds[index] = {}
        with _sizing("set.rgb"):
            for colour in COLOURS:
                _colour(board, nets, variant, index, colour)
        with _sizing("set.sync"):
            _sync(board, nets, variant, index, power)
        with _sizing("set.audio"):
            if audio:
                _audio(board, nets, variant, index, power)
    with _sizing("set.supply"):
        supply_net = supply.supply(
            board, variant.set.supply.voltage, power.rail_high_v, power.current_a, power.element, power.regulated
        )
    calls = {n: status.call_of(n) for n in nets.feeds}
    path = variant.selector.path
    selected, any_net = nets.feeds[1], ""
    if path == "cmos":
        with _sizing("selector.path"):
            selected, any_net = _switches(board, nets, variant, power, calls)
    elif chained(variant):
        with _sizing("set.rgb"):
            _chain(board, nets, variant, power)
        selected = {}
    elif path == "gang" and len(calls) > 1:
        selected = {line: f"SELECTED_{line.upper()}" for line in lines_of(variant)}
    for line, net in selected.items():
        with _sizing("set.rgb" if line in COLOURS else f"set.{'sync' if line == 'sync' else 'audio'}"):
            _land(board, nets, variant, line, net)
    if is_switched(variant):
        with _sizing("set.display"):
            _switched(board, variant, power, not isinstance(divider, Divider) and divider.sections > 0)
    _control(board, nets, variant, power, divider, supply_net, any_net)
    _edge(board, nets, variant, supply_net)
    harness.buy(board)
    _all_fitted(board, variant)
    work = tuple(Work(row.kind, row.do, row.at, row.undo) for row in variant.set.work)
    housed = board.wired and variant.board.built_on == "chassis"
    return replace(board.circuit(), work=work, housed=housed)


def _edge(board: Board, nets: Nets, variant: Variant, supply_net: str) -> None:
    """Where the board meets the chassis, and what a probe finds; without a printed board every joint."""
    lands = lands_of(variant, nets.pins)
    points = {"blanking": nets.blanking, "rail": supply_net, "sync": nets.pins["sync"], "green": nets.pins["green"]}
    if constructions.sync_is_there(variant, 1):  # the set's own wire is the landing
        lands = [land for land in lands if land.name != "sync"]
        board.landed("sync", *socket.sync_contact(board, 1))
        del points["sync"]
    landing_block.landing(board, lands, variant.board.landing)
    testpoints.test_points(board, points)
    if not board.wired:
        return
    unknown = tuple(constructions.unknown_places(variant, (p.role for p in board.circuit().parts)))
    if unknown:
        raise Refused(tuple(Finding(c, "error", s, m, source="netlist", state="any") for c, s, m in unknown))
    joints.joints(board, lands, variant.board.built_on, {row.part: row.at for row in variant.board.place})


def _all_fitted(board: Board, variant: Variant) -> None:
    """Raise Refused for parts chosen by the user that this board has no place for, or that do not go there."""
    wrong = dict(board.misfits)
    for role in board.unfitted():
        import difflib

        near = difflib.get_close_matches(role, board.roles(), 3, 0.5)
        hint = f": did you mean {' or '.join(near)}?" if near else ", as `rasterport check` lists them without [fit]"
        wrong[role] = f"must be a role of this board{hint}"
    if wrong:
        texts = {role: f"{text}; found {variant.fit[role]!r}" for role, text in sorted(wrong.items())}
        raise Refused(
            tuple(Finding("F117", "error", f"fit.{r}", t, source="[fit]", state="any") for r, t in texts.items())
        )


def _colour(board: Board, nets: Nets, variant: Variant, index: int, colour: str) -> None:
    """What a colour has at its socket: clamp and termination, which may divide down to the white that is wanted."""
    rgb = variant.set.rgb
    role, net = f"input-{index}/{colour}", socket.net_of(index, colour)
    if variant.board.clamps:
        protection.clamp(board, role, net)
    if is_shared(variant) and not is_switched(variant):
        from rasterport.blocks.shared import termination

        net = termination(board, role, net, _combination(variant))
    elif not rgb.termination_fitted:
        load = rgb.resistance if variant.selector.path != "cmos" else parallel(rgb.resistance, BIAS_OHM / 2)
        shift, white_v = black_sizing.lifted(variant), rgb.white_level
        if shift is not None:
            load, white_v = shift.series.value + parallel(rgb.resistance, shift.pull.value), white_v / shift.gain
        if variant.board.trimmers:
            net = termination_block.trimmed_termination(board, role, net, load, white_v, WHITE_V)
        elif splits(white_v, WHITE_V):
            net = termination_block.split_termination(board, role, net, load, white_v, WHITE_V)
        else:
            net = termination_block.termination(board, role, net, load)
    nets.feeds[index][colour] = net


def _land(board: Board, nets: Nets, variant: Variant, line: str, net: str) -> None:
    """From where the chosen input arrives to the landing: a colour's capacitor, a pole where the set has it back."""
    tv = variant.set
    if line in COLOURS:
        if is_shared(variant) and len(variant.input) == 1:
            selected = f"SELECTED_{line.upper()}"
            nets.poles.append(Pole(line, selected, net, _native_end(board, variant, line)))
            net = selected
        nets.pins[line] = _into_pin(board, variant, line, _mixed(board, nets, variant, line, net))
        return
    landing = tv.sync if line == "sync" else tv.audio
    if landing is None or landing.arrangement not in SWITCHED:
        nets.pins[line] = net
        return
    head = line.upper()
    nets.pins[line], nets.pins[f"{line}-native"] = f"{head}_LANDING", f"{head}_NATIVE"
    nets.poles.append(Pole(line, f"{head}_LANDING", net, f"{head}_NATIVE"))


def _combination(variant: Variant) -> Combination:
    """The resistors that bring inputs and the set's own display together."""
    from rasterport.design.insertion import found_for

    return found_for(variant).best


def _mixed(board: Board, nets: Nets, variant: Variant, colour: str, net: str) -> str:
    """The net that goes to the pin: where the set's own display keeps it, that where the chosen input meets it."""
    if not is_shared(variant):
        return net
    from rasterport.blocks import shared, switched

    nets.pins[f"display-{colour}"] = shared.display_net(colour)
    if is_switched(variant):
        return switched.mixed_net(colour)
    return shared.combined(board, colour, net, _combination(variant))


def _switched(board: Board, variant: Variant, power: Power, held: bool) -> None:
    """The switch between the chosen input and the display, thrown by the display's blanking."""
    from rasterport.blocks import display_blanking, switched
    from rasterport.design.insertion import keys_of
    from rasterport.design.switched import menu_divider

    display = keys_of(variant)
    switched.switched(
        board,
        {colour: f"SELECTED_{colour.upper()}" for colour in COLOURS},
        display_blanking.DISPLAY,
        supply.LOGIC if power.regulated else supply.RAIL,
        display.blanking_active,
        menu_divider(variant),
        held,
    )


def _native_end(board: Board, variant: Variant, colour: str) -> str:
    """What the change-over of a colour rests on."""
    if not is_shared(variant):
        return coupling.end(board, colour)
    from rasterport.design.mixing import IDLE_OHM

    return coupling.end(board, colour, IDLE_OHM)


def _into_pin(board: Board, variant: Variant, colour: str, net: str) -> str:
    rgb = variant.set.rgb
    if rgb.coupling_fitted is not None:
        return net
    if variant.board.keyed_clamp:
        pin = f"{colour.upper()}_PIN"
        coupling.coupling(board, colour, net, pin, _before_key(variant))
        return pin
    if rgb.pin_kind == "analog-dc":
        pin = f"{colour.upper()}_PIN"
        shift = black_sizing.lifted(variant)
        most_v = max(s.black_most for s in variant.input)
        sized = black_sizing.series(most_v) if shift is None else shift.series
        if shift is not None:
            coupling.pulled(board, colour, pin, supply.RAIL, shift.pull)
        return coupling.straight(board, colour, net, pin, sized)
    standards = line_standards(variant)
    droop_v = (LIMITS["line_droop_pct"].error or 0.0) / 100 * rgb.white_level
    drawn_a = rgb.leakage + rgb.white_level / (rgb.resistance * (1 - SET_SPREAD))
    block_s = math.inf if variant.selector.path != "cmos" else BLOCK_F * (1 - COUPLING_SPREAD) * BIAS_OHM / 2
    sized = coupling_sizing.into_clamp(
        coupling_sizing.floor(drawn_a, max(s.active_line_s for s in standards), droop_v),
        coupling_sizing.ceiling(rgb.clamp_current, rgb.clamp_time, max(s.line_period_s for s in standards), block_s),
        COUPLING_SPREAD,
    )
    pin = f"{colour.upper()}_PIN"
    coupling.coupling(board, colour, net, pin, sized)
    return pin


def _before_key(variant: Variant) -> Sized:
    """The capacitor in front of the board's own clamp, whose switch is slowest on a low supply and hot."""
    from rasterport.parts.analog_switches import analog_switch, on_resistance
    from rasterport.parts.separators import sync_separator

    rgb, standards = variant.set.rgb, line_standards(variant)
    period, white = max(s.line_period_s for s in standards), min(rgb.white_level, WHITE_V)
    clamp = black_sizing.Keyed(
        coupling_sizing.CUT_STEP_V * white / WHITE_V / coupling_sizing.CUT_TIME_S * period,
        on_resistance("74hc", LOGIC_LOW_V).hot_ohm + LINE_OHM / 2,
        sync_separator(variant.board.small_parts).ratings["burst_low_s"],
        rgb.leakage
        + analog_switch("4053", "74hc", variant.board.small_parts).ratings["common_leakage_a"]
        + ((rgb.black_level or 0.0) + white) / (rgb.resistance * (1 - SET_SPREAD)),
        max(s.active_line_s for s in standards),
        (LIMITS["black_lag_pct"].warning or 0.0) / 100 * white,
        (LIMITS["line_droop_pct"].error or 0.0) / 100 * white,
    )
    return black_sizing.into_keyed(clamp, COUPLING_SPREAD)


def _sync(board: Board, nets: Nets, variant: Variant, index: int, power: Power) -> None:
    landing, source = variant.set.sync, variant.input[index - 1]
    net, feed = socket.net_of(index, "sync"), f"IN{index}_SYNC_FEED"
    meets, switches = sync_landing(variant), variant.selector.path == "cmos"
    load = meets.load_ohm if not switches else parallel(meets.load_ohm, BIAS_OHM / 2)
    if variant.board.clamps:
        protection.clamp(board, f"input-{index}/sync", net)
    logic = supply.LOGIC if power.regulated else supply.RAIL
    burst = None
    if variant.board.keyed_clamp:
        from rasterport.blocks import keyed

        burst = keyed.burst_of(index)
        black = variant.set.rgb.black_level or 0.0
        keyed.keyed_clamp(board, burst, logic, black_sizing.reference(black, power.supply_v) if black else None)
        if not separated(variant, index):
            why = "gives the pulse of the back porch, low while it lasts, to the board's clamp"
            sync.separator(board, index, net, supply.RAIL, why, None, burst)
    if source.sync == "ttl-composite":
        _ttl(board, index, source, power, net, feed, load, needs_buffer(variant, index))
    elif separated(variant, index):
        termination_block.termination(board, f"input-{index}/sync", net, SEPARATOR_OHM)
        sync.separated(board, index, net, feed, supply.RAIL, logic, power.supply_v, load, burst)
    elif meets.stays and meets.switched:
        sync.dummy(board, index, "SYNC_DUMMY")
        nets.poles.append(Pole("sync", net, feed, "SYNC_DUMMY"))
    else:
        if not meets.stays:
            termination_block.termination(board, f"input-{index}/sync", net, load)
        feed = net
    if switches:
        nets.feeds[index]["sync"] = sync.series(board, index, feed)
        return
    if landing.coupling == "dc":
        feed = _block_dc(board, index, feed, meets.load_ohm, landing.bias)
    if landing.arrangement == "after-switch" and not meets.stays:
        feed = sync.series(board, index, feed)
    nets.feeds[index]["sync"] = feed


def _ttl(
    board: Board, index: int, source: Input, power: Power, net: str, feed: str, load: float, buffered: bool
) -> None:
    window = sync_sizing.Window(*SYNC_WINDOW_V)
    if not buffered:
        pad = sync_sizing.passive_pad(source.ttl_high_least, source.ttl_high_most, load, window)
        if pad is None:
            raise ValueError("no passive pad serves this landing")
        sync.passive(board, index, net, feed, pad)
    else:
        inverted = source.sync_polarity == "positive"
        rail = supply.LOGIC if power.regulated else supply.RAIL
        sync.buffered(board, index, net, feed, rail, power.supply_v, inverted, load)


def _block_dc(board: Board, index: int, source_net: str, load_ohm: float, bias_v: float) -> str:
    # A corner of 1 Hz, or the usual large electrolytic where the load is low: 2.3 Hz with 150 ohm.
    sized = coupling_sizing.into_load(1.0, load_ohm, 0.2)
    if sized.value > USUAL_LARGE_F:
        sized = Sized(USUAL_LARGE_F, "F", "usual in front of a low load that is DC-coupled; common practice, no source")
    blocked = f"IN{index}_SYNC_BLOCKED"
    sync.direct_current_block(board, index, source_net, blocked, sized, bias_v)
    return blocked


def _audio(board: Board, nets: Nets, variant: Variant, index: int, power: Power) -> None:
    landing, source = variant.set.audio, variant.input[index - 1]
    if landing is None:
        return
    left, right = socket.net_of(index, "audio-left"), socket.net_of(index, "audio-right")
    summed = landing.channels == "mono" and source.audio == "stereo"
    doubled = landing.channels == "stereo" and source.audio == "mono"
    ways, branches = 2 if summed else 1, 2 if doubled else 1
    if power.switches is None:
        sized = audio_sizing.line(
            source.audio_maximum, landing.maximum, landing.resistance, audio_block.BLEED.value, ways, branches
        )
    else:
        behind = parallel(landing.resistance, BIAS_OHM, audio_block.BLEED.value)
        sized = audio_sizing.through_switch(
            source.audio_maximum, landing.maximum, behind, BIAS_OHM, power.switches.low_v, ways, branches
        )
    sides = {"left": (left, right) if summed else (left,)}
    if landing.channels == "stereo":
        sides["right"] = (right if source.audio == "stereo" else left,)
    for side, sources in sides.items():
        feed = f"IN{index}_{side.upper()}"
        audio_block.channel(board, index, side, sources, feed, sized, MIDDLES["left"] if power.switches else GROUND)
        nets.feeds[index][side] = feed


MIDDLES = {line: "MIDDLE_VIDEO" if line in (*COLOURS, "sync") else "MIDDLE_AUDIO" for line in LINES}
"""The middle voltage of each line in front of analog switches."""


def _switches(
    board: Board, nets: Nets, variant: Variant, power: Power, calls: Mapping[int, str]
) -> tuple[dict[str, str], str]:
    """Analog switches with their priority; returns line -> net behind them, and the net that says that any calls."""
    from rasterport.blocks import analog, channel, priority

    tv, plan = variant.set, power.switches
    assert plan is not None
    fed = supply.blocking(board, plan.net)
    lines = lines_of(variant)
    for which in dict.fromkeys(MIDDLES[line].removeprefix("MIDDLE_").lower() for line in lines):
        analog.middle(board, which, fed)
    channels: dict[str, dict[int, str]] = {line: {} for line in lines}
    for index, feeds in nets.feeds.items():
        for line, net in feeds.items():
            if line in COLOURS or line == "sync":
                value = BLOCK_F if line in COLOURS else SYNC_BLOCK_F
                block = Sized(value, "F", "passes the picture to a channel that rests at the middle of the supply")
                if line in COLOURS and plan.family == "74hc":
                    net = channel.isolated(board, index, line, net)
                channels[line][index] = channel.biased(board, index, line, net, MIDDLES[line], block)
            else:
                channels[line][index] = net
        status.pulled(board, index, calls[index], fed, plan.high_v)
    selecting, any_net = priority.priority(board, plan.family, fed, list(calls.values()))
    commons = analog.switches(board, plan.family, fed, selecting, channels, MIDDLES)
    found: dict[str, str] = {}
    for line, common in commons.items():
        if line in COLOURS:
            found[line] = common  # the capacitor into the clamp, the board's or the set's, takes the middle off
        elif line == "sync":
            found[line] = analog.behind(board, line, common, _behind_sync(variant), BIAS_OHM)
        elif tv.audio is not None:
            load = parallel(tv.audio.resistance * (1 - SET_SPREAD), audio_block.BLEED.value)
            sized = coupling_sizing.into_load(audio_sizing.CORNER_HZ / 4, load, audio_sizing.CAPACITOR_SPREAD)
            found[line] = analog.behind(board, line, common, sized, audio_block.BLEED.value)
    return found, any_net


def _behind_sync(variant: Variant) -> Sized:
    """The capacitor between the switch and the sync landing: a corner of 1 Hz."""
    sized = coupling_sizing.into_load(1.0, variant.set.sync.resistance * (1 - SET_SPREAD), COUPLING_SPREAD)
    if sized.value > USUAL_LARGE_F:
        return Sized(USUAL_LARGE_F, "F", "usual in front of a low load; common practice, no source")
    return sized


def _chain(board: Board, nets: Nets, variant: Variant, power: Power) -> None:
    """A chain of change-over stages, one an input; an idle one passes on the next, the last one the set's own."""
    count, tv = len(nets.feeds), variant.set
    selected: dict[str, str] = {}
    natives: dict[str, str | None] = {}
    for line in lines_of(variant):
        landing = tv.sync if line == "sync" else tv.audio
        if line in COLOURS:
            selected[line], natives[line] = f"SELECTED_{line.upper()}", _native_end(board, variant, line)
            nets.pins[line] = _into_pin(board, variant, line, _mixed(board, nets, variant, line, selected[line]))
        elif landing is not None and landing.arrangement in SWITCHED:
            selected[line], natives[line] = f"{line.upper()}_LANDING", f"{line.upper()}_NATIVE"
            nets.pins[line], nets.pins[f"{line}-native"] = f"{line.upper()}_LANDING", f"{line.upper()}_NATIVE"
        else:
            selected[line], natives[line] = f"{line.upper()}_LANDING", None
            nets.pins[line] = f"{line.upper()}_LANDING"
    earlier: list[str] = []
    for index, feeds in nets.feeds.items():
        poles = []
        for line, first in selected.items():
            here = first if index == 1 else f"AFTER{index - 1}_{line.upper()}"
            rest = natives[line] if index == count else f"AFTER{index}_{line.upper()}"
            poles.append(Pole(line, here, feeds.get(line, GROUND), rest))
        control = f"SELECT{index}_{highside.HIGH}"
        changeover.relays(board, poles, power.coil, control, f"select-{index}", earlier)
        earlier.append(control)


def _control(
    board: Board, nets: Nets, variant: Variant, power: Power, sized: Divider | Joined, supply_net: str, any_net: str
) -> None:
    selector, pin = variant.selector, variant.set.blanking
    direct, chosen = straight(variant), choosing(variant)
    relays = selector.path in ("relay", "cmos")
    top = supply_net
    if relays or direct:
        load_a = power.supply_high_v / (_through_ohm(sized) if direct else changeover.GATE_PULL_OHM)
        with _sizing("input-1.status_contact" if len(variant.input) == 1 else "selector.control"):
            called = _calls(board, variant, power, supply_net, load_a, chosen)
        any_net = any_net or called
        top = any_net if direct else supply_net
    drive_net = nets.blanking if direct else "BLANKING_DRIVE"
    if not isinstance(sized, Divider):
        _blanking_with_display(board, nets, variant, supply_net, drive_net, sized)
    else:
        blanking_block.blanking(board, top, drive_net, sized)
    if isinstance(sized, Divider) and not direct:
        idle = {"grounded": GROUND, "open": None, "driven": "BLANKING_NATIVE"}[pin.native]
        nets.poles.insert(0, Pole("blanking", nets.blanking, drive_net, idle))
        if pin.native == "driven":
            nets.pins["blanking-native"] = "BLANKING_NATIVE"
    nets.pins["blanking"] = nets.blanking
    nets.pins["rail"] = supply.TAP
    if selector.gate == "line":
        nets.pins["gate"] = gate.GATE
    if relays:
        changeover.relays(board, nets.poles, power.coil, any_net)
    elif nets.poles:
        with _sizing("selector.path"):
            panel.gang(board, _ganged(board, variant, nets))


def _through_ohm(sized: Divider | Joined) -> float:
    """What the board's drive of the blanking pin has to ground [ohm]."""
    if not isinstance(sized, Divider):
        return sized.meeting.upper.value + sized.meeting.foot_ohm
    return sized.upper.value + sized.lower.value / (2 if sized.doubled else 1)


def _blanking_with_display(
    board: Board, nets: Nets, variant: Variant, supply_net: str, drive_net: str, sized: Joined
) -> None:
    """The display keeps the pin in every state; what is thrown is the board's drive, in front of its diode."""
    from rasterport.blocks import display_blanking

    display = variant.set.display
    assert display is not None
    display_blanking.display_blanking(
        board, display_blanking.DISPLAY, drive_net, nets.blanking, supply_net, display, sized
    )
    nets.pins["display-blanking"] = display_blanking.DISPLAY
    nets.poles.insert(0, Pole("blanking", drive_net, supply_net, GROUND))


def _ganged(board: Board, variant: Variant, nets: Nets) -> list[panel.Ganged]:
    """The poles of a panel switch that carries every line: its throws are native, then input by input."""
    count = len(nets.feeds)
    if count == 1:
        return [panel.Ganged(p.line, p.common, (p.idle, p.active)) for p in nets.poles]
    own = {p.line: p for p in nets.poles}
    found = []
    for line in ("blanking", *lines_of(variant)):
        pole = own.get(line)
        if line == "blanking" and pole is not None:
            found.append(panel.Ganged(line, pole.common, (pole.idle, *[pole.active] * count)))
            continue
        common = f"SELECTED_{line.upper()}" if pole is None else pole.common
        native = pole.idle if pole is not None else _native_end(board, variant, line) if line in COLOURS else None
        found.append(
            panel.Ganged(line, common, (native, *(nets.feeds[n].get(line, GROUND) for n in range(1, count + 1))))
        )
    return found


def _calls(board: Board, variant: Variant, power: Power, supply_net: str, load_a: float, chosen: Choosing) -> str:
    """Sense stages, gate, panel switch and high-side stages; returns the net that is high while any input calls.

    With analog switches the calls go to their logic instead: the net is then empty.
    """
    count, path = len(variant.input), variant.selector.path
    calls = {n: status.call_of(n) for n in range(1, count + 1)}
    # A stage that yields has its gates held down through the greater resistor, beside two gates of inhibiting FETs.
    chain_a = power.supply_high_v / changeover.GATE_PULL_OHM + power.supply_high_v / changeover.YIELDING_OHM
    sinks = {}
    for n in calls:
        if path == "cmos":
            assert power.switches is not None
            sinks[n] = power.switches.high_v / status.pull_ohm(power.switches.high_v)
        else:
            sinks[n] = highside.sink_needed(board, power.supply_low_v, load_a)
            sinks[n] += highside.sink_needed(board, power.supply_low_v, chain_a) if chained(variant) else 0.0
    # The emitters keep a net of their own whatever grounds it, so that another input changes none of them.
    gated = variant.selector.gate == "line"
    emitters = GROUND if path == "direct" and not (gated or chosen.automatic) else status.RETURN
    acting = emitters if chosen.automatic and not gated else "AUTOMATIC" if chosen.automatic else GROUND
    for n in chosen.by_status:
        levels = STATUS_LEVELS[f"status-{variant.input[n - 1].status_contact}"]
        status.sense(board, n, levels, socket.net_of(n, "status"), sinks[n], emitters)
    if chosen.by_status and emitters != GROUND and not (gated or chosen.automatic):
        link.link(board)
    if gated:
        with _sizing("selector.gate"):
            gate.gate(board, variant.selector, supply_net, power.supply_high_v, emitters, acting)
    if chosen.positions:
        panel.chooser(board, chosen.positions, {**calls, AUTOMATIC: acting})
    if path == "cmos":
        return ""
    for n in calls if chained(variant) else ():
        highside.high_side_stage(board, supply_net, [calls[n]], power.supply_low_v, chain_a, f"select-{n}")
    return highside.high_side_stage(board, supply_net, list(calls.values()), power.supply_low_v, load_a)
