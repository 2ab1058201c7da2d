"""Variant -> circuit: which blocks this board has, with which numbers, joined by which nets.

Refuses what cannot be built, with the reason.  Knows the blocks; knows no part numbers of its own and
no words of the outputs.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from rasterport.blocks import audio as audio_block
from rasterport.blocks import blanking as blanking_block
from rasterport.blocks import (
    changeover,
    coupling,
    gate,
    harness,
    highside,
    protection,
    socket,
    status,
    supply,
    sync,
    testpoints,
)
from rasterport.blocks import landing as landing_block
from rasterport.blocks import termination as termination_block
from rasterport.blocks.board import COLOURS, GROUND, Board
from rasterport.blocks.changeover import Pole
from rasterport.blocks.lands import lands_of
from rasterport.design import audio as audio_sizing
from rasterport.design import coupling as coupling_sizing
from rasterport.design import sync as sync_sizing
from rasterport.design.blanking import Divider
from rasterport.design.landings import SWITCHED, carries_audio, line_standards, sync_landing
from rasterport.design.power import Power, plan_power, straight
from rasterport.design.refusals import refuse_what_cannot_be
from rasterport.errors import Refused
from rasterport.records import Circuit, Finding, Sized
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.interface_levels import SYNC_WINDOW_V
from rasterport.standards.limits import LIMITS, SET_SPREAD
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS
from rasterport.variant.models import Input, Variant

USUAL_LARGE_F = 470e-6
COUPLING_SPREAD = 0.27
"""10 % tolerance and 15 % over temperature of an X7R part, multiplied [-]."""


@dataclass(slots=True)
class Nets:
    """The nets on which the blocks of one board meet."""

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


@contextmanager
def _sizing(subject: str) -> Iterator[None]:
    """Turn a sizing that finds no value into a refusal F113 that names the table or key it is about."""
    try:
        yield
    except ValueError as fault:
        finding = Finding("F113", "error", subject, str(fault), source="sizing", state="any")
        raise Refused((finding,)) from fault


def _compose(variant: Variant) -> Circuit:
    board = Board(variant.board.construction)
    nets = Nets()
    source = variant.input[0]
    with _sizing("set.supply, set.blanking"):
        power, divider = plan_power(variant)
    audio = carries_audio(variant)
    socket.socket(board, 1, source, audio, variant.selector.control == "status")
    with _sizing("set.rgb"):
        for colour in COLOURS:
            _colour(board, nets, variant, colour)
    with _sizing("set.sync"):
        _sync(board, nets, variant, source, power)
    with _sizing("set.audio"):
        if audio:
            _audio(board, nets, variant, source)
    with _sizing("set.supply"):
        supply_net = supply.supply(
            board, variant.set.supply.voltage, power.rail_high_v, power.current_a, power.element, power.regulated
        )
    _control(board, nets, variant, power, divider, supply_net)
    landing_block.landing(board, lands_of(variant, nets.pins), variant.board.landing)
    points = {"blanking": nets.blanking, "rail": supply_net, "sync": nets.pins["sync"], "green": nets.pins["green"]}
    testpoints.test_points(board, points)
    harness.buy(board)
    return board.circuit()


def _colour(board: Board, nets: Nets, variant: Variant, colour: str) -> None:
    rgb = variant.set.rgb
    role, net = f"input-1/{colour}", socket.net_of(1, colour)
    if variant.board.clamps:
        protection.clamp(board, role, net)
    if not rgb.termination_fitted:
        if rgb.white_level < WHITE_V * (1 - 1e-9):
            net = termination_block.split_termination(board, role, net, rgb.resistance, rgb.white_level, WHITE_V)
        else:
            net = termination_block.termination(board, role, net, rgb.resistance)
    if rgb.coupling_fitted is not None:
        nets.pins[colour] = net
        return
    standards = line_standards(variant)
    droop_v = (LIMITS["line_droop_pct"].error or 0.0) / 100 * rgb.white_level
    drawn_a = rgb.leakage + rgb.white_level / (rgb.resistance * (1 - SET_SPREAD))
    sized = coupling_sizing.into_clamp(
        coupling_sizing.floor(drawn_a, max(s.active_line_s for s in standards), droop_v),
        coupling_sizing.ceiling(rgb.clamp_current, rgb.clamp_time, max(s.line_period_s for s in standards)),
        COUPLING_SPREAD,
    )
    nets.pins[colour] = f"{colour.upper()}_PIN"
    coupling.coupling(board, colour, net, nets.pins[colour], sized)


def _sync(board: Board, nets: Nets, variant: Variant, source: Input, power: Power) -> None:
    landing = variant.set.sync
    net, feed = socket.net_of(1, "sync"), "IN1_SYNC_FEED"
    meets = sync_landing(variant)
    if variant.board.clamps:
        protection.clamp(board, "input-1/sync", net)
    if source.sync == "ttl-composite":
        feed = _ttl(board, source, power, net, feed, meets.load_ohm)
    elif meets.stays and meets.switched:
        sync.dummy(board, 1, "SYNC_DUMMY")
        nets.poles.append(Pole("sync", net, feed, "SYNC_DUMMY"))
    else:
        if not meets.stays:
            termination_block.termination(board, "input-1/sync", net, landing.resistance)
        feed = net
    if landing.coupling == "dc":
        feed = _block_dc(board, feed, meets.load_ohm, landing.bias)
    if landing.arrangement == "after-switch" and not meets.stays:
        feed = sync.series(board, 1, feed)
    if meets.switched:
        nets.pins["sync"], nets.pins["sync-native"] = "SYNC_LANDING", "SYNC_NATIVE"
        nets.poles.append(Pole("sync", "SYNC_LANDING", feed, "SYNC_NATIVE"))
    else:
        nets.pins["sync"] = feed


def _ttl(board: Board, source: Input, power: Power, net: str, feed: str, load: float) -> str:
    window = sync_sizing.Window(*SYNC_WINDOW_V)
    if not power.buffered:
        pad = sync_sizing.passive_pad(source.ttl_high_least, source.ttl_high_most, load, window)
        if pad is None:
            raise ValueError("no passive pad serves this landing")
        sync.passive(board, 1, net, feed, pad)
    else:
        inverted = source.sync_polarity == "positive"
        rail = supply.LOGIC if power.regulated else supply.RAIL
        sync.buffered(board, 1, net, feed, rail, power.supply_v, inverted, load)
    return feed


def _block_dc(board: Board, source_net: str, load_ohm: float, bias_v: float) -> str:
    # A corner of 1 Hz, or the usual large electrolytic where the load is low: 2.3 Hz with 150 ohm.
    sized = coupling_sizing.into_load(1.0, load_ohm, 0.2)
    if sized.value > USUAL_LARGE_F:
        sized = Sized(USUAL_LARGE_F, "F", "usual in front of a low load that is DC-coupled; common practice, no source")
    sync.direct_current_block(board, 1, source_net, "IN1_SYNC_BLOCKED", sized, bias_v)
    return "IN1_SYNC_BLOCKED"


def _audio(board: Board, nets: Nets, variant: Variant, source: Input) -> None:
    landing = variant.set.audio
    if landing is None:
        return
    switched = landing.arrangement in SWITCHED
    left, right = socket.net_of(1, "audio-left"), socket.net_of(1, "audio-right")
    summed = landing.channels == "mono" and source.audio == "stereo"
    doubled = landing.channels == "stereo" and source.audio == "mono"
    sized = audio_sizing.line(
        source.audio_maximum,
        landing.maximum,
        landing.resistance,
        audio_block.BLEED.value,
        ways=2 if summed else 1,
        branches=2 if doubled else 1,
    )
    sides = {"left": (left, right) if summed else (left,)}
    if landing.channels == "stereo":
        sides["right"] = (right if source.audio == "stereo" else left,)
    for side, sources in sides.items():
        feed = f"IN1_{side.upper()}"
        audio_block.channel(board, 1, side, sources, feed, sized)
        if switched:
            nets.pins[side], nets.pins[f"{side}-native"] = f"{side.upper()}_LANDING", f"{side.upper()}_NATIVE"
            nets.poles.append(Pole(side, f"{side.upper()}_LANDING", feed, f"{side.upper()}_NATIVE"))
        else:
            nets.pins[side] = feed


def _control(board: Board, nets: Nets, variant: Variant, power: Power, sized: Divider, supply_net: str) -> None:
    selector, pin = variant.selector, variant.set.blanking
    by_status, direct = selector.control == "status", straight(variant)
    top = supply_net
    if by_status:
        foot = sized.lower.value / (2 if sized.doubled else 1)
        load_a = power.supply_high_v / (sized.upper.value + foot if direct else changeover.GATE_PULL_OHM)
        with _sizing("input-1.status_contact"):
            top_of_stage = _status(board, variant, power, supply_net, load_a)
        top = top_of_stage if direct else supply_net
    drive_net = nets.blanking if direct else "BLANKING_DRIVE"
    blanking_block.blanking(board, top, drive_net, sized)
    if not direct:
        idle = {"grounded": GROUND, "open": None, "driven": "BLANKING_NATIVE"}[pin.native]
        nets.poles.insert(0, Pole("blanking", nets.blanking, drive_net, idle))
        if pin.native == "driven":
            nets.pins["blanking-native"] = "BLANKING_NATIVE"
    nets.pins["blanking"] = nets.blanking
    nets.pins["rail"] = supply.TAP
    if selector.gate == "line":
        nets.pins["gate"] = gate.GATE
    if selector.path == "relay":
        control = highside.HIGH if by_status else changeover.panel_control(board, supply_net)
        changeover.relays(board, nets.poles, power.coil, control)
    elif nets.poles:
        with _sizing("selector.path"):
            changeover.panel_switch(board, nets.poles)


def _status(board: Board, variant: Variant, power: Power, supply_net: str, load_a: float) -> str:
    source = variant.input[0]
    levels = STATUS_LEVELS[f"status-{source.status_contact}"]
    sink = highside.sink_needed(board, power.supply_low_v, load_a)
    base, sense = status.sense(board, 1, levels, socket.net_of(1, "status"), sink)
    if variant.selector.gate == "line":
        series = board.circuit().by_role("input-1/status/series").value_si or 1.0
        with _sizing("selector.gate"):
            gate.gate(board, variant.selector, base, supply_net, power.supply_high_v, FAULT_V / series)
    return highside.high_side_stage(board, supply_net, sense, power.supply_low_v, load_a)
