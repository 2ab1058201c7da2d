"""Status contact: thresholds, load, 12 V by mistake, and what blanking really follows."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis import status as analysis
from rasterport.analysis.control import net_at
from rasterport.analysis.status import Sense
from rasterport.blocks.status import bounds
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.choosing import choosing
from rasterport.records import Finding
from rasterport.standards.limits import RESISTOR_SPREAD
from rasterport.standards.status_levels import FAULT_V

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
    "F417": "call of an input that does not call",
    "F415": "a socket without a status contact",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the status contacts that are read, and of inputs that have none."""
    how = choosing(bench.variant)
    for view in bench.views:
        if view.index in how.by_status:
            yield from _input(view)
        elif how.positions:
            yield from _stages(view)
        if view.index in how.by_status:
            continue
        if view.index in how.fallen_back:
            text = f"a {view.source.socket} socket has no status contact: the panel switch chooses {view.state}, " + (
                "and overrides the others" if how.by_status else "control falls back to panel"
            )
            yield note("F415", view.state, text, "selector.control", "warning", view.state)


def _input(bench: Bench) -> Iterator[Finding]:
    found = analysis.sense(bench)
    if found is None:
        subject = bench.contact_subject(f"status-{bench.source.status_contact}")
        yield note("F408", subject, "the status contact does not reach a sense stage", "netlist", "error")
        return
    levels = found.levels
    yield from _thresholds(bench, found)
    chip = analysis.reading(bench.control, net_at(found.transistor, "C"))
    if chip is not None:
        limit = within("high", "least", None, analysis.high_share(chip), "of supply", chip.part.source)
        text = "the call of an input whose contact is just off, at what reads it"
        yield judge("F417", bench.figures.get("call-high", found.subject, "native"), limit, text)
    yield _load(bench, found)
    if levels.capacitance_most_f is not None:
        text = "capacitance of the board's parts on the contact"
        yield judge("F414", bench.figure("status-capacitance", found.subject), "status_capacitance_f", text)
    fault = bench.figure("status-fault", found.subject)
    limit = within("power", "most", None, 1.0, "of rating", "maker's rating at 70 C")
    told = dict(fault.given)
    text = f"{FAULT_V:g} V on the contact for ever: {told['nearest to its rating']} takes {told['takes']}"
    yield judge("F404", fault, limit, text)
    yield _follows(bench, found)


def _thresholds(bench: Bench, found: Sense) -> Iterator[Finding]:
    levels, subject = found.levels, found.subject
    if found.stage is None:
        text = "the sense stage is not wired contact, series, base, resistor to ground, emitter on ground"
        yield note("F408", subject, text, "netlist", "error")
        return
    if found.passing is None or found.sink_a <= 0:
        text = (
            "the high-side stage is not wired emitter on the rail, base held off by a resistor and pulled by the "
            "sense stage, collector on a load"
        )
        if found.passing is not None:
            text = "nothing hangs on the collector of the sense stage"
        yield note("F410", subject, text, "netlist", "error")
        return
    limit = within("off", "least", None, levels.off_most_v, "V", levels.source)
    off = bench.figures.get("status-off-edge", subject, "native")
    yield judge("F401", off, limit, "the contact is surely read as off up to")
    limit = within("on", "most", None, levels.on_least_v, "V", levels.source)
    on = bench.figure("status-on-edge", subject)
    yield judge("F402", on, limit, "the contact is surely read as on from")
    yield from _stages(bench)


def _stages(bench: Bench) -> Iterator[Finding]:
    """The high-side stages on the call of an input, whoever calls."""
    found = analysis.stages_of(bench)
    if found is None:
        text = (
            "the high-side stage is not wired emitter on the rail, base held off by a resistor and pulled by the "
            "call, collector on a load"
        )
        yield note("F410", bench.contact_subject("call"), text, "netlist", "error")
    for stage in found or ():
        most = bounds(stage.passing.part).beta_low / 2
        source = "judgement, stated: half the least gain, common practice is 10"
        limit = within("gain", "most", 20.0, most, "times", source)
        gain = bench.figure("gain", analysis.scope_of(stage.passing))
        yield judge("F411", gain, limit, f"gain asked of the high-side transistor for {dict(gain.given)['load']}")


def _load(bench: Bench, found: Sense) -> Finding:
    levels, load = found.levels, bench.figure("status-load", found.subject)
    if levels.load_ohm == 75.0:
        limit = within("load", "least", 68.0, 60.0, "ohm", levels.source)
        if load.nominal > 75.0:
            limit = within("load", "most", 82.0, 100.0, "ohm", levels.source)
        return judge("F403", load, limit, "load on a 75 ohm contact, base at ground")
    # The standard names the load of a nominal resistor: that one keeps its own spread.
    least = levels.load_least_ohm * (1 - RESISTOR_SPREAD)
    limit = within("load", "least", None, least, "ohm", levels.source)
    return judge("F403", load, limit, "load on the contact, base at ground")


def _follows(bench: Bench, found: Sense) -> Finding:
    levels = found.levels
    if levels.key == "status-8":
        text = (
            "blanking follows contact 8: the set switches to RGB as soon as the source is on, whether it sends RGB "
            "or not; a source that sends composite video only shows no colour"
        )
    elif levels.key == "status-11":
        text = "blanking follows contact 11: it says that the source is on, not that RGB is present"
    else:
        text = "blanking follows contact 16, which says that RGB is present; whole pictures only, no overlay"
    gate = {
        "none": "; the user selects the right input on the set",
        "line": "",
        "after-switch": "; sync enters behind the set's input switch, so this holds on any channel",
    }[bench.variant.selector.gate]
    return note("F405", found.subject, text + gate, levels.source)
