"""What each part takes: dissipation of resistors, voltage and polarity of capacitors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rasterport.analysis.hull import LINE_HIGH_V, sources, span_of
from rasterport.analysis.network import STATES
from rasterport.analysis.nodal import Element, solve
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.records import COLOURS, Finding, Placed
from rasterport.standards.limits import LIMITS
from rasterport.units import short

CODES = {
    "F801": "dissipation of a resistor",
    "F802": "voltage of a capacitor",
    "F803": "polarity of an electrolytic",
    "F809": "stand-off of a clamp",
}


def check(bench: Bench) -> Iterator[Finding]:
    """The worst resistor of the board, and every capacitor that is polarised or near its rating."""
    yield _resistors(bench)
    yield from _capacitors(bench)
    yield from _clamps(bench)


def _resistors(bench: Bench) -> Finding:
    worst: tuple[float, str, float, str] = (0.0, "none", 0.0, "any")
    for state in STATES:
        direct = bench.control.currents(state)
        driven = solve(direct.elements, {}, 0.0, _source_volts(bench))
        for element in direct.elements:
            placed = bench.control.part(element.role)
            if placed is None or "power_w" not in placed.part.ratings:
                continue
            volts = max(_across(direct.volts, element), _across(driven, element))
            share = volts**2 / element.value / placed.part.ratings["power_w"]
            if share > worst[0]:
                worst = (share, element.role, volts**2 / element.value, state)
    text = f"resistor nearest to its rating: {worst[1]} takes {short(worst[2] * 1e3, 3)} mW"
    return judge(
        "F801", worst[1], worst[0], "part_power_fraction", text, state=worst[3], corner="highest level, resistor low"
    )


def _source_volts(bench: Bench) -> dict[str, float]:
    """The sources of the input at their highest, as fixed voltages at the contacts [V]."""
    source = bench.variant.input[0]
    held = {}
    for function, net in bench.contacts.items():
        if function in COLOURS or (function == "sync" and source.sync != "ttl-composite"):
            held[net] = LINE_HIGH_V
        elif function == "sync":
            held[net] = source.ttl_high_most
        elif function.startswith("audio"):
            held[net] = 2**0.5 * source.audio_maximum
    return held


def _across(volts: Mapping[str, complex], element: Element) -> float:
    return abs(volts.get(element.first, 0j) - volts.get(element.second, 0j))


def _capacitors(bench: Bench) -> Iterator[Finding]:
    worst: tuple[float, Placed | None, float] = (0.0, None, 0.0)
    driven = sources(bench.control, bench.contacts)
    for placed in (p for p in bench.circuit.parts if p.part.letter == "C"):
        plus, minus = (span_of(bench.control, driven, placed.nets[p.number] or "") for p in placed.part.pins)
        across = max(plus.high - minus.low, minus.high - plus.low)
        share = across / placed.part.ratings["voltage_v"]
        if share > worst[0]:
            worst = (share, placed, across)
        if placed.part.ratings.get("polarised"):
            source = "makers' sheets of electrolytics allow 0.5 to 1 V, from memory"
            limit = within("reverse", "most", None, 0.5, "V", source)
            backward = minus.high - plus.low
            yield judge("F803", placed.role, max(0.0, backward), limit, "highest reverse voltage", state="any")
    share, part, volts = worst
    if part is None:
        yield note("F802", "capacitors", "the board has no capacitor", "netlist")
        return
    text = f"capacitor nearest to its rating: {part.role} sees up to {short(volts, 3)} V"
    yield judge("F802", part.role, share, LIMITS["part_voltage_fraction"], text, state="any")


def _clamps(bench: Bench) -> Iterator[Finding]:
    driven = sources(bench.control, bench.contacts)
    for placed in (p for p in bench.circuit.parts if "standoff_v" in p.part.ratings):
        spans = [span_of(bench.control, driven, placed.nets[pin.number] or "") for pin in placed.part.pins]
        across = max(abs(end) for span in spans for end in (span.low, span.high))
        r = placed.part.ratings
        limit = within("standoff", "most", r["standoff_v"], r["breakdown_low_v"], "V", placed.part.source)
        yield judge("F809", placed.role, across, limit, "highest voltage on the line of the clamp", state="any")
