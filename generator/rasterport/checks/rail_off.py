"""The set without its rail while every source is on: current into each landing, voltage on the rail."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.rail_off import LOAD
from rasterport.checks.bench import Bench, judge, note
from rasterport.records import Finding

CODES = {
    "F703": "current into set-side pins with the rail off",
    "F715": "voltage on the dead rail",
    "F716": "current into a dead colour pin after a change of picture",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Every landing that a source reaches, and the rail."""
    for figure in bench.figures.under("rail-off-current"):
        where = "the terminals of this switch" if "/" in figure.subject else "this landing"
        text = f"peak current into {where}, set off and every source on"
        yield judge("F703", figure, "rail_off_pin_current_a", text)
    for figure in bench.figures.under("rail-off-surge"):
        text = "current into this pin for some microseconds after a change of picture, set off"
        yield judge("F716", figure, "rail_off_surge_a", text)
    for figure in bench.figures.under("rail-off-voltage"):
        text = f"voltage on the rail, set off and every source on; the rail's load is {dict(figure.given)[LOAD]}"
        yield judge("F715", figure, "rail_off_voltage_v", text)
    if bench.variant.set.sync.arrangement != "after-switch":
        jack = bench.variant.set.sync.shares or "one of the set's own jacks"
        text = (
            f"current into this landing with the set off is not judged: the circuit of {jack} is made to be driven then"
        )
        yield note("F703", "sync", text, "common practice, no source", state="rail off")
