"""What each part takes: dissipation of resistors, voltage and polarity of capacitors, stand-off of clamps."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, highest, judge, note, within
from rasterport.records import Finding
from rasterport.standards.limits import LIMITS
from rasterport.units import MARGIN, short

CODES = {
    "F801": "dissipation of a resistor",
    "F802": "voltage of a capacitor",
    "F803": "polarity of an electrolytic",
    "F809": "stand-off of a clamp",
}


def check(bench: Bench) -> Iterator[Finding]:
    """The worst resistor of the board, and every capacitor that is polarised or near its rating."""
    yield from _resistors(bench)
    yield from _capacitors(bench)
    for figure in bench.figures.under("line-voltage"):
        part = bench.circuit.by_role(figure.subject).part
        r = part.ratings
        limit = within("standoff", "most", r["standoff_v"], r["breakdown_low_v"], "V", part.source)
        yield judge("F809", figure, limit, "highest voltage on the line of the clamp")


def _resistors(bench: Bench) -> Iterator[Finding]:
    """The resistor that takes the greatest part of its rating."""
    ratings = {p.role: p.part.ratings["power_w"] for p in bench.circuit.parts if "power_w" in p.part.ratings}
    loaded = [f for f in bench.figures.under("dissipation") if f.subject in ratings]
    if not loaded:
        yield note("F801", "resistors", "no resistor of the board carries a current", "netlist")
        return
    most = max(f.high / ratings[f.subject] for f in loaded)
    worst = next(f for f in loaded if f.high / ratings[f.subject] >= most * (1 - MARGIN))
    share, rating = LIMITS["part_power_fraction"], ratings[worst.subject]
    source = f"{share.warning or 1:g} of {short(rating)} W at 70 C: {share.source}"
    limit = within("power", "most", (share.warning or 1) * rating, rating, "W", source)
    yield judge("F801", worst, limit, f"resistor nearest to its rating: {worst.subject}")


def _capacitors(bench: Bench) -> Iterator[Finding]:
    shares = list(bench.figures.under("voltage-share"))
    if not shares:
        yield note("F802", "capacitors", "the board has no capacitor", "netlist")
        return
    worst = highest(shares)
    volts = dict(worst.given)["highest voltage"]
    text = f"capacitor nearest to its rating: {worst.subject} sees up to {volts}"
    yield judge("F802", worst, "part_voltage_fraction", text)
    source = "makers' sheets of electrolytics allow 0.5 to 1 V, from memory"
    limit = within("reverse", "most", None, 0.5, "V", source)
    for figure in bench.figures.under("reverse-voltage"):
        yield judge("F803", figure, limit, "highest reverse voltage")
