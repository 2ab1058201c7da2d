"""Supply: current, heat, regulator, buffer."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import Currents, net_at, rail_range
from rasterport.analysis.network import STATES
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.records import Finding
from rasterport.standards.limits import AMBIENT_HIGH_C
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
    most = max((bench.control.currents(state) for state in STATES), key=lambda c: c.rail_a)
    spare = bench.variant.set.supply.spare_current
    text = f"{short(most.rail_a * 1e3, 3)} mA of the {short(spare * 1e3)} mA that the rail can spare"
    yield judge(
        "F701", "rail", most.rail_a / spare, "supply_current_fraction", text, corner="rail high, coils low and cold"
    )
    if bench.variant.set.supply.kind == "standby":
        text = (
            "a standby rail feeds milliamperes into a video processor that has no supply: take a rail that appears "
            "and vanishes with the processor's own"
        )
        yield note("F702", "rail", text, "judgement, stated", "error")
    yield from _regulator(bench, most)
    yield from _ptc(bench, most.rail_a)
    yield _short_circuit(bench)
    yield from _buffer(bench)


def _regulator(bench: Bench, most: Currents) -> Iterator[Finding]:
    chip = bench.control.regulator
    if chip is None:
        return
    r, rail = chip.part.ratings, rail_range(bench.variant)
    least_in = bench.control.supply_range(net_at(chip, "IN")).low
    limit = within("dropout", "least", None, r["input_least_v"], "V", chip.part.source)
    yield judge("F704", "regulator", least_in, limit, "lowest voltage at the regulator's input", corner="rail low")
    watts = (rail.high - r["output_low_v"]) * most.regulated_a + rail.high * r["quiescent_a"]
    junction = AMBIENT_HIGH_C + watts * r["thermal_resistance_k_per_w"]
    load = f"{short(most.regulated_a * 1e3, 3)} mA and {short(watts, 2)} W"
    text = f"junction with {load} at {AMBIENT_HIGH_C:g} C in the cabinet"
    yield judge("F705", "regulator", junction, "junction_c", text, corner="rail high")


def _ptc(bench: Bench, drawn_a: float) -> Iterator[Finding]:
    element = bench.circuit.by_role("supply/element")
    hold = element.part.ratings.get("hold_70c_a")
    if hold is not None:
        limit = within("hold", "most", None, hold, "A", element.part.source)
        yield judge("F708", "supply/element", drawn_a, limit, "current through the PTC that must not trip it at 70 C")


def _short_circuit(bench: Bench) -> Finding:
    """What a short on the board takes from the rail before or until the element opens."""
    element = bench.control.part("supply/element")
    if element is None:
        return note("F711", "rail", "no element leads from the rail's landing to the board", "netlist", "error")
    spare, high = bench.variant.set.supply.spare_current, rail_range(bench.variant).high
    trip = element.part.ratings.get("trip_a")
    amps = trip if trip is not None else high / (element.value_si or 1.0)
    does = "the PTC holds up to" if trip is not None else "the fusible resistor lets through"
    beyond = ": more than the rail can spare, so the set notices first" if amps > spare else ""
    text = f"a short on the board: {does} {short(amps, 2)} A{beyond}"
    return note("F714", "rail", text, element.part.source)


def _buffer(bench: Bench) -> Iterator[Finding]:
    chip = bench.control.part("input-1/sync/buffer")
    if chip is None:
        return
    feed = bench.control.supplies.get(net_at(chip, "VCC"))
    if feed is None:
        yield note("F709", chip.role, "the buffer has no supply", "netlist", "error")
        return
    r = chip.part.ratings
    limit = within("low", "least", None, r["supply_low_v"], "V", chip.part.source)
    yield judge("F709", chip.role, feed.low, limit, "lowest supply")
    limit = within("high", "most", None, r["supply_high_v"], "V", chip.part.source)
    yield judge("F709", f"{chip.role}, upper", feed.high, limit, "highest supply")
