"""The gate line: read at its own levels, and strong enough to keep the sense stage off."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import Control, net_at
from rasterport.analysis.nodal import GROUND
from rasterport.analysis.stages import COLD_V, between, pulled_a, reader, together_ohm
from rasterport.blocks.gate import CLAMP_OFF_A
from rasterport.blocks.status import bounds
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.sense import thresholds
from rasterport.records import Finding, Placed
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import short

CODES = {
    "F406": "gate line low",
    "F407": "gate line high",
    "F409": "highest current from the gate line",
    "F412": "gate clamp wired",
    "F413": "gain asked of the gate clamp",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the gate line; none where nothing is gated."""
    if bench.variant.selector.gate != "line":
        return
    clamp, sense = bench.control.part("gate/clamp"), bench.control.part("input-1/status/sense")
    on_base = clamp is not None and sense is not None and net_at(clamp, "C") == net_at(sense, "B")
    if clamp is None or sense is None or not on_base or net_at(clamp, "E") != GROUND:
        text = "the gate clamp is not wired collector on the base of the sense stage, emitter on ground"
        yield note("F412", "gate", text, "netlist", "error")
        return
    diverted = _diverted_a(bench, sense)
    inverter = bench.control.part("gate/invert")
    sink = diverted if inverter is None else pulled_a(bench.control, net_at(inverter, "C"))
    yield from _read(bench, inverter or clamp, sink)
    if inverter is not None:
        yield from _driven(bench, inverter, clamp, diverted)


def _diverted_a(bench: Bench, sense: Placed) -> float:
    """What the clamp diverts [A] with the contact at the highest level that it has in use."""
    levels = STATUS_LEVELS[f"status-{bench.variant.input[0].status_contact}"]
    contact = bench.contacts.get(levels.key, "")
    series = between(bench.control.resistors("input-1"), contact, net_at(sense, "B"))
    return levels.on_most_v / together_ohm(series) if series else 0.0


def _read(bench: Bench, transistor: Placed, sink_a: float) -> Iterator[Finding]:
    selector = bench.variant.selector
    stage = reader(bench.control, transistor, bench.circuit.landing_net("gate") or "")
    if stage is None or sink_a <= 0:
        yield note(
            "F406", "gate", "the gate line does not reach its stage, or nothing is pulled by it", "netlist", "error"
        )
        return
    found = thresholds(stage.series_ohm, stage.base_ohm, sink_a, bounds(transistor.part), stage.spread, CLAMP_OFF_A)
    limit = within("off", "least", None, selector.gate_low, "V", "selector.gate_low")
    yield judge("F406", "gate", found.off_v, limit, "surely read as low up to", corner="70 C, lowest V_BE")
    limit = within("on", "most", None, selector.gate_high, "V", "selector.gate_high")
    yield judge("F407", "gate", found.on_v, limit, "surely read as high from", corner="0 C, highest V_BE, least gain")
    current = (selector.gate_maximum - 0.4) / stage.series_ohm
    limit = within("current", "most", 1e-3, 5e-3, "A", "judgement, stated")
    yield judge("F409", "gate", current, limit, f"taken from the gate line at {selector.gate_maximum:g} V")


def _driven(bench: Bench, inverter: Placed, clamp: Placed, diverted_a: float) -> Iterator[Finding]:
    """The clamp is driven from the inverter's collector; its base current is what pull and feed let through."""
    drive_a = _drive_a(bench.control, net_at(inverter, "C"), clamp)
    if drive_a is None:
        yield note("F412", "gate", "the gate clamp is not fed from the inverter's collector", "netlist", "error")
        return
    gain = diverted_a / drive_a if drive_a > 0 else 1e6
    source = "judgement, stated: half the least gain"
    limit = within("gain", "most", None, bounds(clamp.part).beta_low / 2, "times", source)
    text = f"gain asked of the gate clamp for {short(diverted_a * 1e3, 3)} mA"
    yield judge("F413", "gate", gain, limit, text, state="native", corner="rail low, contact at its highest level")


def _drive_a(control: Control, closed: str, clamp: Placed) -> float | None:
    resistors = control.resistors("input-1")
    feed = between(resistors, closed, net_at(clamp, "B"))
    rail = next((net for net in control.rails if between(resistors, closed, net)), None)
    if rail is None or not feed:
        return None
    total = together_ohm(feed) + together_ohm(between(resistors, closed, rail))
    return (control.supplies[rail].low - clamp.part.ratings["vbe_high_v"] - COLD_V) / total
