"""The span of voltage that a net can take, from every source that resistors and contacts join to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from rasterport.analysis.control import Control, Range, supply_of
from rasterport.analysis.network import State
from rasterport.analysis.nodal import GROUND, reach
from rasterport.records import COLOURS
from rasterport.standards.interface_levels import COMPOSITE, SUPERIMPOSED_DC
from rasterport.variant.models import Input

LINE_HIGH_V = SUPERIMPOSED_DC.high + COMPOSITE.high
"""Highest voltage on a video contact [V]: direct voltage of the source and its highest level."""
LINE_LOW_V = -0.85
"""Lowest voltage on a sync line of an AC-coupled source [V]; arithmetic from 220 uF into 150 ohm."""
PIN_HIGH_V = 9.0
"""Highest direct voltage at which a clamp of a video processor sits [V]; common practice, no source."""


def sources(control: Control, inputs: Iterable[tuple[Input, Mapping[str, str]]]) -> dict[str, Range]:
    """Net -> span of what drives it from outside or from a chip [V], the set on or off.

    `inputs` are the sources with their contacts.
    """
    found: dict[str, Range] = {GROUND: Range(0.0, 0.0)}
    for net, span in _spans(control, inputs):
        known = found.get(net, span)
        found[net] = Range(min(known.low, span.low), max(known.high, span.high))
    return found


def _spans(control: Control, inputs: Iterable[tuple[Input, Mapping[str, str]]]) -> Iterator[tuple[str, Range]]:
    tv, video, peak = control.variant.set, Range(LINE_LOW_V, LINE_HIGH_V), 0.0
    for source, contacts in inputs:
        mine = 2**0.5 * source.audio_maximum
        peak = max(peak, mine)
        for function, net in contacts.items():
            if function == "sync" and source.sync == "ttl-composite":
                yield net, Range(0.0, source.ttl_high_most)
            elif not function.startswith("status"):
                yield net, Range(-mine, mine) if function.startswith("audio") else video
    sound = Range(-peak, peak)
    for net, high in control.rails.items():
        yield net, Range(0.0, high)
    for net in control.walls:
        if net not in control.rails:  # a middle voltage
            yield (
                net,
                Range(0.0, max((control.rails[n] for n in control.blocking), default=max(control.rails.values()))),
            )
    # A capacitor that stays in the set keeps the direct voltage of the clamp to itself.
    pin_v = PIN_HIGH_V if tv.rgb.coupling_fitted is None else LINE_HIGH_V
    landings = {"red": pin_v, "green": pin_v, "blue": pin_v, "sync": tv.sync.bias}
    for name, high in landings.items():
        yield control.circuit.landing_net(name) or "", Range(0.0, high)
    yield control.circuit.landing_net("sync-native") or "", video
    if tv.display is not None:
        for colour in COLOURS:
            yield control.circuit.landing_net(f"display-{colour}") or "", Range(0.0, tv.display.high)
    for name in ("left", "right", "left-native", "right-native"):
        yield control.circuit.landing_net(name) or "", sound
    for chip in (p for p in control.circuit.parts if p.part.letter == "U"):
        for pin in chip.part.pins:
            if pin.kind == "output" and chip.nets[pin.number]:
                yield str(chip.nets[pin.number]), Range(0.0, control.rails.get(supply_of(chip), 0.0))


def span_of(control: Control, driven: Mapping[str, Range], net: str) -> Range:
    """Lowest and highest voltage of a net [V] over both states: the hull of the sources that reach it.

    A net that nothing reaches stands between ground and the highest rail.
    """
    touched = [driven[net]] if net in driven else []
    if not touched:
        touched = [driven[n] for state in control.states for n in _reached(control, state, net, driven)]
    if not touched:
        touched = [Range(0.0, max(control.rails.values()))]
    return Range(min(r.low for r in touched), max(r.high for r in touched))


def _reached(control: Control, state: State, net: str, driven: Mapping[str, Range]) -> set[str]:
    part = reach(control.resistors(state), net, driven)
    return {n for e in part for n in (e.first, e.second) if n in driven}
