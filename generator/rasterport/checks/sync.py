"""Sync: level and load at the landing, the jack it shares, what the set does meanwhile."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis import sync as analysis
from rasterport.analysis.nodal import Element, reach
from rasterport.analysis.separating import separator
from rasterport.analysis.sync import Logic
from rasterport.checks.bench import Bench, judge, less_reflected, lowest, note, within
from rasterport.design.landings import sync_landing
from rasterport.design.sync import TTL_SOURCE_A
from rasterport.records import Finding, Placed
from rasterport.standards.interface_levels import SYNC

CODES = {
    "F501": "sync level at the landing",
    "F502": "return loss of the sync contact",
    "F503": "highest level at the sync landing",
    "F504": "landing shared with a jack",
    "F505": "termination to move in the set",
    "F506": "sync line broken",
    "F507": "native sync fed back",
    "F508": "doubled termination at the sync landing",
    "F509": "load on a logic-level sync source",
    "F510": "what to select on the set",
    "F511": "what the set does without this signal",
    "F513": "logic level of the sync source",
    "F512": "tilt over half a field",
    "F514": "native sync through the board",
    "F515": "level at the sync separator",
    "F516": "droop at the input of the sync separator",
    "F517": "timing parts of the sync separator",
}

PRACTICE = "common practice, no source"
DRIVE_A = 6e-3
"""An output of the buffer keeps its promised levels up to 4 mA; half as much again [A].  Judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the sync landing, and of the sync of every input."""
    for view in bench.views:
        yield from _input(view)
    if bench.figures.has("native-change", "sync", "native"):
        text = "what the board does to the set's own sync when native"
        yield judge("F514", bench.figures.get("native-change", "sync", "native"), "native_change_db", text)
    if bench.circuit.landing_net("sync") is not None:
        yield from _arrangement(bench)


def _input(bench: Bench) -> Iterator[Finding]:
    if bench.contacts.get("sync") is None or bench.circuit.landing_net("sync") is None:
        text = "the socket has no sync contact or the board no sync landing"
        yield note("F506", "sync", text, "netlist", "error", bench.state)
        return
    source = analysis.logic(bench)
    if source is not None:
        yield from _logic(bench, source)
    else:
        yield from _through(bench)
        if bench.has("separator-input/lowest", "sync"):
            yield from _separable(bench)


def _through(bench: Bench) -> Iterator[Finding]:
    line, figures = bench.line("sync", "sync"), bench.figures
    if line is None or not line.joined or line.refused:
        yield _broken(bench, "nothing leads from the socket to the sync landing", line.refused if line else "")
        return
    yield from _levels(bench)
    for tilt in (f for f in figures.under("field-tilt") if (f.subject, f.state) == ("sync", bench.state)):
        yield judge("F512", tilt, "field_tilt_pct", "tilt over half a field behind the board's capacitor")
    worst = lowest(bench.losses("sync"))
    doubled = worst.nominal < 12.0
    text = "return loss of the sync contact" + (": two terminations in parallel, or none" if doubled else "")
    helps = "" if doubled else less_reflected(bench)
    yield judge("F508" if doubled else "F502", worst, "return_loss_db", text, instead=(text, text + helps))


def _broken(bench: Bench, text: str, refused: str) -> Finding:
    if refused:
        text = f"no signal passes what is no part of a signal path: {refused}"
    return note("F506", "sync", text, "netlist", "error", bench.state)


def _levels(bench: Bench) -> Iterator[Finding]:
    reached = bench.figure("sync-level", "sync")
    limit = within("sync", "least", None, SYNC.low, "V", SYNC.source)
    yield judge("F501", reached, limit, "lowest sync at the landing, nominal source")
    limit = within("sync", "most", None, SYNC.high, "V", SYNC.source)
    yield judge("F501", reached, limit, "highest sync at the landing, nominal source")
    limit = within("maximum", "most", None, bench.variant.set.sync.maximum, "V", "set.sync.maximum")
    text = "highest peak-to-peak level at the landing"
    yield judge("F503", bench.figure("sync-highest", "sync"), limit, text)


def _logic(bench: Bench, source: Logic) -> Iterator[Finding]:
    """Logic-level sync: through a resistive pad, or from the output of the buffer."""
    if source.line is None:
        text = "the sync source does not reach the landing through the buffer with the right number of inversions"
        yield _broken(bench, text, "")
        return
    if not source.line.joined or source.line.refused:
        yield _broken(bench, "nothing leads from the sync source to the landing", source.line.refused)
        return
    drawn = bench.figure("sync-drive", "sync")
    if source.chip is not None:
        if bench.has("separator-input/lowest", "sync"):
            yield from _separable(bench)
        else:
            yield from _understood(bench, source.chip)
        limit = within(
            "output", "most", DRIVE_A, source.chip.part.ratings["output_max_a"], "A", source.chip.part.source
        )
        yield judge("F509", drawn, limit, "from the buffer's output")
    else:
        limit = within("source", "most", None, TTL_SOURCE_A * 1.01, "A", "standard TTL, from memory")
        yield judge("F509", drawn, limit, "from the source at its least high level")
    yield from _levels(bench)


def _separable(bench: Bench) -> Iterator[Finding]:
    """The span of a source against what a separator takes."""
    chip = separator(bench)
    if chip is None:
        return
    r = chip.part.ratings
    limit = within("least", "least", None, r["input_low_v"], "V", chip.part.source)
    yield judge("F515", bench.figure("separator-input/lowest", "sync"), limit, "the weakest source at the separator")
    limit = within("most", "most", None, r["input_high_v"], "V", chip.part.source)
    yield judge("F515", bench.figure("separator-input/highest", "sync"), limit, "the strongest source at the separator")
    limit = within("slice", "most", None, r["slice_low_v"], "V", chip.part.source)
    text = "what its input takes from the capacitor in a line, against the lowest threshold over the tips of sync"
    yield judge("F516", bench.figure("separator-droop", "sync"), limit, text)
    yield from _timing(bench, chip)


TIMING_SHARE = {"separator-set": 0.1, "separator-time": 0.5}
"""How far a timing part may be from what the maker gives, relative.  Judgement, stated."""


def _timing(bench: Bench, chip: Placed) -> Iterator[Finding]:
    """The maker's parts at the timing pin; without them it finds no vertical interval, or none at the right width."""
    values = {"separator-set": chip.part.ratings["rset_ohm"], "separator-time": chip.part.ratings["rset_f"]}
    for (key, wanted), unit in zip(values.items(), ("ohm", "F"), strict=True):
        if not bench.has(key, "sync"):
            yield note("F517", chip.role, f"nothing of {wanted:g} {unit} at the timing pin", chip.part.source, "error")
            continue
        for sense, side in (("least", -1), ("most", 1)):
            limit = within(key, sense, None, wanted * (1 + side * TIMING_SHARE[key]), unit, chip.part.source)
            yield judge("F517", bench.figure(key, "sync"), limit, "what the maker gives at the timing pin")


def _understood(bench: Bench, chip: Placed) -> Iterator[Finding]:
    """The source's levels against the thresholds of the buffer, over its whole supply range."""
    r = chip.part.ratings
    # The resistor that holds the idle level stands beside the source, which is far stronger.
    limit = within("high", "least", None, r["vt_rise_high_v"], "V", chip.part.source)
    text = "the source's least high level, at the buffer's highest threshold"
    yield judge("F513", bench.figure("logic-level/high", "sync"), limit, text)
    limit = within("low", "most", None, r["vt_fall_low_v"], "V", chip.part.source)
    text = "a logic source's highest low level, at the buffer's lowest threshold"
    yield judge("F513", bench.figure("logic-level/low", "sync"), limit, text)


def _arrangement(bench: Bench) -> Iterator[Finding]:
    landing = bench.variant.set.sync
    jack = landing.shares or ("the set's own feed" if landing.arrangement == "after-switch" else "the set's own jack")
    meets = sync_landing(bench.variant)
    if meets.switched:
        yield from _returned(bench, jack)
        if landing.termination == "movable":
            text = (
                f"move the set's 75 ohm from the landing to {jack}, in front of the change-over: "
                "two in parallel cost 3.5 dB"
            )
            yield note("F505", "sync", text, PRACTICE)
    elif landing.arrangement == "dedicated":
        cut = " and cut off from the landing" if landing.cut_off else ""
        text = f"given up, to be labelled{cut}: {jack}"
        yield note("F504", "sync", text, PRACTICE)
    else:
        text = f"the switch contact of {jack} must break the board's line when a plug is in"
        yield note("F504", "sync", text, PRACTICE)
    if landing.select:
        yield note("F510", "sync", f"select on the set: {landing.select}", "set.sync.select")
    if landing.mutes_without:
        yield note("F511", "sync", f"without this signal the set: {landing.mutes_without}", "set.sync.mutes_without")


def _returned(bench: Bench, jack: str) -> Iterator[Finding]:
    """When native the landing reaches the set's own feed, and no contact of the socket."""
    landing, native = bench.circuit.landing_net("sync"), bench.circuit.landing_net("sync-native")
    part: tuple[Element, ...] = reach(bench.control.resistors("native"), str(landing))
    nets = {n for e in part for n in (e.first, e.second)} | {str(landing)}
    refused = bench.between(str(native), str(landing), "native").refused if native else ""
    if refused:
        text = f"no signal passes what is no part of a signal path: {refused}"
        yield note("F507", "sync", text, "netlist", "error", "native")
        return
    fed = native in nets
    quiet = bench.contacts.get("sync") not in nets
    text = f"when native the landing is on {jack} and off the board"
    if not fed:
        text = f"when native the landing is not on {jack}"
    elif not quiet:
        text = "when native the landing still hangs on the socket: two pictures on top of each other"
    yield note("F507", "sync", text, "netlist", "met" if fed and quiet else "error", "native")
