"""The gate line: read at its own levels, and strong enough to keep the sense stages off."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis import status as analysis
from rasterport.blocks.status import bounds
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.records import Finding

CODES = {
    "F406": "gate line low",
    "F407": "gate line high",
    "F409": "highest current from the gate line",
    "F412": "gate clamp wired",
    "F413": "gain asked of the gate clamp",
    "F416": "gate of the FET that lets the status contacts act",
}


OVERDRIVE_V = 0.5
"""What the FET has over its highest threshold to carry a milliampere [V]; judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the gate line; none where nothing is gated."""
    if bench.variant.selector.gate != "line":
        return
    found = analysis.gate(bench)
    if found is None:
        text = (
            "the FET of the gate does not lie below every sense stage with its gate on the clamp's collector, the "
            "clamp's emitter on ground"
        )
        yield note("F412", "gate", text, "netlist", "error")
        return
    yield from _read(bench)
    if found.inverter is not None and found.drive_a is None:
        yield note("F412", "gate", "the gate clamp is not fed from the inverter's collector", "netlist", "error")
    elif found.inverter is not None:
        gain = bench.figures.get("gain", "gate", "native")
        source = "judgement, stated: half the least gain"
        limit = within("gain", "most", None, bounds(found.clamp.part).beta_low / 2, "times", source)
        yield judge("F413", gain, limit, f"gain asked of the gate clamp for {dict(gain.given)['diverted']}")
    least = found.fet.part.ratings["vgsth_high_v"] + OVERDRIVE_V
    limit = within("gate", "least", None, least, "V", "highest threshold and 0.5 V, judgement, stated")
    yield judge("F416", bench.figure("driver-gate", found.fet.role), limit, "voltage at the FET's gate when it lets")


def _read(bench: Bench) -> Iterator[Finding]:
    selector, figures = bench.variant.selector, bench.figures
    if not figures.has("gate-off-edge", "gate", "native"):
        text = "the gate line does not reach its stage, or nothing is pulled by it"
        yield note("F406", "gate", text, "netlist", "error")
        return
    limit = within("off", "least", None, selector.gate_low, "V", "selector.gate_low")
    yield judge("F406", figures.get("gate-off-edge", "gate", "native"), limit, "surely read as low up to")
    limit = within("on", "most", None, selector.gate_high, "V", "selector.gate_high")
    yield judge("F407", figures.get("gate-on-edge", "gate"), limit, "surely read as high from")
    limit = within("current", "most", 1e-3, 5e-3, "A", "judgement, stated")
    text = f"taken from the gate line at {selector.gate_maximum:g} V"
    yield judge("F409", figures.get("gate-current", "gate"), limit, text)
