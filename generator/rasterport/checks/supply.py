"""Supply: current, heat, regulator, buffer."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import rail_range, supply_of
from rasterport.checks.bench import Bench, highest, judge, note, within
from rasterport.parts.protection import short_circuit_a
from rasterport.records import Finding
from rasterport.standards.limits import AMBIENT_HIGH_C, LIMITS
from rasterport.units import short

CODES = {
    "F701": "current from the rail",
    "F702": "standby rail",
    "F704": "regulator dropout",
    "F705": "regulator heat",
    "F708": "PTC hold current when hot",
    "F709": "supply of the buffer",
    "F711": "rail broken",
    "F714": "short circuit on the board",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the rail and of what hangs on it directly."""
    if bench.control.element is None:
        yield note("F711", "rail", "no element leads from the rail's landing to the board", "netlist", "error")
        return
    share, spare = LIMITS["supply_current_fraction"], bench.variant.set.supply.spare_current
    source = f"{share.warning or 1:g} of set.supply.spare_current: {share.source}"
    limit = within("spare", "most", (share.warning or 1) * spare, spare, "A", source)
    text = f"current from the rail, which can spare {short(spare * 1e3)} mA"
    yield judge("F701", highest(bench.figures.under("rail-current")), limit, text)
    if bench.variant.set.supply.kind == "standby":
        text = (
            "a standby rail feeds milliamperes into a video processor that has no supply: take a rail that appears "
            "and vanishes with the processor's own"
        )
        yield note("F702", "rail", text, "judgement, stated", "error")
    yield from _regulator(bench)
    yield from _ptc(bench)
    yield _short_circuit(bench)
    yield from _buffer(bench)


def _regulator(bench: Bench) -> Iterator[Finding]:
    chip = bench.control.regulator
    if chip is None:
        return
    limit = within("dropout", "least", None, chip.part.ratings["input_least_v"], "V", chip.part.source)
    lowest = bench.figures.get("regulator-input", "regulator", "any")
    yield judge("F704", lowest, limit, "lowest voltage at the regulator's input")
    junction = bench.figures.get("junction", "regulator", "any")
    told = dict(junction.given)
    load = f"{told['through the regulator']} and {told['dissipation']}"
    yield judge("F705", junction, "junction_c", f"junction with {load} at {AMBIENT_HIGH_C:g} C in the cabinet")


def _ptc(bench: Bench) -> Iterator[Finding]:
    element = bench.circuit.by_role("supply/element")
    hold = element.part.ratings.get("hold_70c_a")
    if hold is not None:
        limit = within("hold", "most", None, hold, "A", element.part.source)
        drawn = bench.figures.get("element-current", "supply/element", "any")
        yield judge("F708", drawn, limit, "current through the PTC that must not trip it at 70 C")


def _short_circuit(bench: Bench) -> Finding:
    """What a short on the board takes from the rail before or until the element opens."""
    element = bench.control.part("supply/element")
    if element is None:
        return note("F711", "rail", "no element leads from the rail's landing to the board", "netlist", "error")
    spare, high = bench.variant.set.supply.spare_current, rail_range(bench.variant).high
    amps = short_circuit_a(element, high)
    does = "the PTC acts from" if "trip_a" in element.part.ratings else "the fusible resistor limits it to"
    beyond = (
        f"; the rail can spare {short(spare, 2)} A, so the set's own supply gives way first" if amps > spare else ""
    )
    text = f"current of a short on the board: {does} {short(amps, 2)} A{beyond}"
    return note("F714", "rail", text, element.part.source)


def _buffer(bench: Bench) -> Iterator[Finding]:
    for chip in (p for p in bench.circuit.parts if p.part.letter == "U" and "supply_low_v" in p.part.ratings):
        if not bench.figures.has("chip-supply", chip.role, "any"):
            yield note("F709", chip.role, "the chip has no supply", "netlist", "error")
            continue
        r, feed = chip.part.ratings, bench.figures.get("chip-supply", chip.role, "any")
        limit = within("low", "least", None, r["supply_low_v"], "V", chip.part.source)
        text = "lowest supply"
        if chip in bench.control.analog:
            sized_v = bench.control.switch_supply(supply_of(chip)).low
            limit = within("low", "least", None, sized_v, "V", "supply at which its resistance was looked up")
            text = "lowest supply, at which its resistance is figured"
        yield judge("F709", feed, limit, text)
        limit = within("high", "most", None, r["supply_high_v"], "V", chip.part.source)
        yield judge("F709", feed, limit, "highest supply")
