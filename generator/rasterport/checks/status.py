"""Status contact and gate line: thresholds, load, 12 V by mistake, and what blanking really follows."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import net_at
from rasterport.analysis.network import elements_of
from rasterport.analysis.nodal import GROUND, Element, impedance, reach, solve
from rasterport.analysis.stages import high_side, reader
from rasterport.blocks.status import bounds
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.sense import OFF_A, thresholds
from rasterport.records import Finding, Placed
from rasterport.standards.status_levels import FAULT_V, STATUS_LEVELS, StatusLevels
from rasterport.units import short

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

JUNCTION_OHM = 1.0
"""A forward junction taken as a resistor: an upper bound of current [ohm]."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the status contact; none where a panel switch chooses."""
    if bench.variant.selector.control != "status":
        return
    levels = STATUS_LEVELS[f"status-{bench.variant.input[0].status_contact}"]
    net, sense = bench.contacts.get(levels.key), bench.control.part("input-1/status/sense")
    if net is None or sense is None:
        yield note("F408", levels.key, "the status contact does not reach a sense stage", "netlist", "error")
        return
    yield from _thresholds(bench, levels, net, sense)
    yield _load(bench, levels, net, sense)
    if levels.capacitance_most_f is not None:
        text = "capacitance of the board's parts on the contact"
        yield judge("F414", levels.key, _capacitance(bench, net), "status_capacitance_f", text)
    yield _fault(bench, levels, net, sense)
    yield _follows(bench, levels)


def _thresholds(bench: Bench, levels: StatusLevels, net: str, sense: Placed) -> Iterator[Finding]:
    stage, passing = reader(bench.control, sense, net), high_side(bench.control)
    if stage is None:
        text = "the sense stage is not wired contact, series, base, resistor to ground, emitter on ground"
        yield note("F408", levels.key, text, "netlist", "error")
        return
    if passing is None:
        text = (
            "the high-side stage is not wired emitter on the rail, base held off by a resistor and pulled by the "
            "sense stage, collector on a load"
        )
        yield note("F410", levels.key, text, "netlist", "error")
        return
    found = thresholds(stage.series_ohm, stage.base_ohm, passing.sink_a, bounds(sense.part), stage.spread)
    limit = within("off", "least", None, levels.off_most_v, "V", levels.source)
    corner = f"70 C, lowest V_BE, {OFF_A * 1e6:g} uA"
    yield judge(
        "F401", levels.key, found.off_v, limit, "the contact is surely read as off up to", state="native", corner=corner
    )
    limit = within("on", "most", None, levels.on_least_v, "V", levels.source)
    yield judge(
        "F402",
        levels.key,
        found.on_v,
        limit,
        "the contact is surely read as on from",
        corner="0 C, highest V_BE, least gain",
    )
    most = bounds(bench.circuit.by_role("high-side/pass").part).beta_low / 2
    limit = within("gain", "most", 20.0, most, "times", "judgement, stated: half the least gain, common practice is 10")
    text = f"gain asked of the high-side transistor for {short(passing.load_a * 1e3, 3)} mA"
    yield judge("F411", levels.key, passing.gain, limit, text, corner="rail low for the base, high for the load")


def _load(bench: Bench, levels: StatusLevels, net: str, sense: Placed) -> Finding:
    # The junction can only shorten the way to ground: the load is judged with the base at ground.
    shorted = (
        *reach(bench.control.resistors("input-1"), net),
        Element("junction", "R", net_at(sense, "B"), GROUND, 1e-3),
    )
    ohm = abs(impedance(shorted, net, 0.0))
    if levels.load_ohm == 75.0:
        limit = within("load", "least", 68.0, 60.0, "ohm", levels.source)
        text = "load on a 75 ohm contact, base at ground"
        if ohm > 75.0:
            limit = within("load", "most", 82.0, 100.0, "ohm", levels.source)
        return judge("F403", levels.key, ohm, limit, text)
    limit = within("load", "least", None, levels.load_least_ohm * 0.985, "ohm", levels.source)
    return judge("F403", levels.key, ohm, limit, "load on the contact, base at ground")


def _capacitance(bench: Bench, net: str) -> float:
    """All capacitors within reach of the contact [F], as if they were in parallel: an upper bound."""
    return sum(e.value * (1 + e.spread) for e in reach(elements_of(bench.circuit, "input-1"), net) if e.kind == "C")


def _fault(bench: Bench, levels: StatusLevels, net: str, sense: Placed) -> Finding:
    """12 V on the contact for ever: which part is nearest to its rating."""
    base = net_at(sense, "B")
    part = (*reach(bench.control.resistors("input-1"), net), Element("junction", "R", base, GROUND, JUNCTION_OHM))
    low = [e.value * (1 - e.spread) for e in part]
    volts = solve(part, {}, 0.0, {net: FAULT_V}, low)
    worst: tuple[float, str, float] = (0.0, "none", 0.0)
    for element, ohm in zip(part, low, strict=True):
        placed = bench.control.part(element.role)
        if placed is None or "power_w" not in placed.part.ratings:
            continue
        watts = abs(volts[element.first] - volts[element.second]) ** 2 / ohm
        worst = max(worst, (watts / placed.part.ratings["power_w"], element.role, watts), key=lambda w: w[0])
    limit = within("power", "most", None, 1.0, "of rating", "maker's rating at 70 C")
    text = f"{FAULT_V:g} V on the contact for ever: {worst[1]} takes {short(worst[2], 3)} W"
    return judge("F404", levels.key, worst[0], limit, text, corner="resistors low")


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
