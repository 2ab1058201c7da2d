"""Status contact: thresholds, load, 12 V by mistake, and what blanking really follows."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis import status as analysis
from rasterport.analysis.status import Sense
from rasterport.blocks.status import bounds
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.records import Finding
from rasterport.standards.limits import RESISTOR_SPREAD
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS, StatusLevels

CODES = {
    "F401": "status contact off",
    "F402": "status contact on",
    "F403": "load on the status contact",
    "F404": "12 V on the status contact",
    "F405": "what blanking follows",
    "F408": "sense stage wired",
    "F410": "high-side stage wired",
    "F411": "gain asked of the high-side transistor",
    "F414": "capacitance on the status contact",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the status contact; none where a panel switch chooses."""
    if bench.variant.selector.control == "status":
        for view in bench.views:
            yield from _input(view)


def _input(bench: Bench) -> Iterator[Finding]:
    found = analysis.sense(bench)
    if found is None:
        key = f"status-{bench.source.status_contact}"
        yield note(
            "F408", STATUS_LEVELS[key].key, "the status contact does not reach a sense stage", "netlist", "error"
        )
        return
    levels = found.levels
    yield from _thresholds(bench, found)
    yield _load(bench, levels)
    if levels.capacitance_most_f is not None:
        text = "capacitance of the board's parts on the contact"
        yield judge("F414", bench.figure("status-capacitance", levels.key), "status_capacitance_f", text)
    fault = bench.figure("status-fault", levels.key)
    limit = within("power", "most", None, 1.0, "of rating", "maker's rating at 70 C")
    told = dict(fault.given)
    text = f"{FAULT_V:g} V on the contact for ever: {told['nearest to its rating']} takes {told['takes']}"
    yield judge("F404", fault, limit, text)
    yield _follows(bench, levels)


def _thresholds(bench: Bench, found: Sense) -> Iterator[Finding]:
    levels = found.levels
    if found.stage is None:
        text = "the sense stage is not wired contact, series, base, resistor to ground, emitter on ground"
        yield note("F408", levels.key, text, "netlist", "error")
        return
    if found.passing is None:
        text = (
            "the high-side stage is not wired emitter on the rail, base held off by a resistor and pulled by the "
            "sense stage, collector on a load"
        )
        yield note("F410", levels.key, text, "netlist", "error")
        return
    limit = within("off", "least", None, levels.off_most_v, "V", levels.source)
    off = bench.figures.get("status-off-edge", levels.key, "native")
    yield judge("F401", off, limit, "the contact is surely read as off up to")
    limit = within("on", "most", None, levels.on_least_v, "V", levels.source)
    on = bench.figure("status-on-edge", levels.key)
    yield judge("F402", on, limit, "the contact is surely read as on from")
    most = bounds(bench.circuit.by_role("high-side/pass").part).beta_low / 2
    limit = within("gain", "most", 20.0, most, "times", "judgement, stated: half the least gain, common practice is 10")
    gain = bench.figure("gain", "high-side")
    yield judge("F411", gain, limit, f"gain asked of the high-side transistor for {dict(gain.given)['load']}")


def _load(bench: Bench, levels: StatusLevels) -> Finding:
    load = bench.figure("status-load", levels.key)
    if levels.load_ohm == 75.0:
        limit = within("load", "least", 68.0, 60.0, "ohm", levels.source)
        if load.nominal > 75.0:
            limit = within("load", "most", 82.0, 100.0, "ohm", levels.source)
        return judge("F403", load, limit, "load on a 75 ohm contact, base at ground")
    # The standard names the load of a nominal resistor: that one keeps its own spread.
    least = levels.load_least_ohm * (1 - RESISTOR_SPREAD)
    limit = within("load", "least", None, least, "ohm", levels.source)
    return judge("F403", load, limit, "load on the contact, base at ground")


def _follows(bench: Bench, levels: StatusLevels) -> Finding:
    if levels.key == "status-8":
        text = (
            "blanking follows contact 8: the set switches to RGB as soon as the source is on, whether it sends RGB "
            "or not; a source that sends composite video only shows no colour"
        )
    elif levels.key == "status-11":
        text = "blanking follows contact 11: it says that the source is on, not that RGB is present"
    else:
        text = "blanking follows contact 16, which says that RGB is present; whole pictures only, no overlay"
    gate = "" if bench.variant.selector.gate == "line" else "; the user selects the right input on the set"
    return note("F405", levels.key, text + gate, levels.source)
