"""Relays: pull-in when hot, the coil at the high rail, what switches the coil and what catches its current."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import Range, grounded, held_range, net_at
from rasterport.analysis.nodal import GROUND, Element
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.coil import HOT_DRIVER, most_v, worst_margin_hot
from rasterport.records import Finding, Placed

CODES = {
    "F706": "relay pull-in when hot",
    "F707": "relay coil at the high rail",
    "F710": "gate of a coil driver",
    "F712": "flyback diode",
}

OVERDRIVE_V = 1.0
"""What the gate has over its highest threshold so that the driver is a switch [V]; judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of every relay of the board."""
    for relay in (p for p in bench.circuit.parts if p.part.letter == "K"):
        driver = _driver(bench, relay)
        if driver is None:
            text = "the coil has no driver with its source on ground and its drain on the coil"
            yield note("F706", relay.role, text, "netlist", "error")
            continue
        yield from _coil(bench, relay, driver)
        yield from _gate(bench, driver)
        yield _flyback(bench, relay)


def _driver(bench: Bench, relay: Placed) -> Placed | None:
    low = net_at(relay, "coil-")
    drivers = (p for p in bench.circuit.parts if p.part.letter == "Q" and any(pin.name == "D" for pin in p.part.pins))
    return next((p for p in drivers if low and net_at(p, "D") == low and net_at(p, "S") == GROUND), None)


def _coil(bench: Bench, relay: Placed, driver: Placed) -> Iterator[Finding]:
    """One coil with what the netlist puts in its loop: dropper above, driver below."""
    r = relay.part.ratings
    feed, dropper = _feed(bench, net_at(relay, "coil+"))
    if feed is None:
        yield note("F706", relay.role, "the coil has no supply", "netlist", "error")
        return
    low_ohm = dropper.value * (1 - dropper.spread) if dropper else 0.0
    high_ohm = dropper.value * (1 + dropper.spread) if dropper else 0.0
    tolerance = r["coil_tolerance_pct"] / 100
    series = high_ohm + driver.part.ratings["rds_on_ohm"] * HOT_DRIVER
    hot = worst_margin_hot(feed.low, r["coil_ohm"], tolerance, r["operate_v"], r["coil_rise_k"], series)
    yield judge(
        "F706", relay.role, hot * 100, "relay_margin_pct", "current over pull-in when hot", corner="rail low, 70 C"
    )
    limit = within("coil", "most", None, r["coil_max_v"], "V", relay.part.source)
    volts = most_v(feed.high, r["coil_ohm"], tolerance, low_ohm)
    yield judge("F707", relay.role, volts, limit, "highest voltage at the coil", corner="rail high")


def _feed(bench: Bench, net: str) -> tuple[Range | None, Element | None]:
    """The supply of a coil and the resistor between, if one is."""
    rails = bench.control.rails
    if net in rails:
        return bench.control.supplies[net], None
    for element in bench.control.resistors("input-1"):
        if net in (element.first, element.second):
            top = element.second if element.first == net else element.first
            if top in rails:
                return bench.control.supplies[top], element
    return None, None


def _gate(bench: Bench, driver: Placed) -> Iterator[Finding]:
    """On when active, surely off when native."""
    net = net_at(driver, "G")
    driven = held_range(bench.control, net, "input-1")
    least = driver.part.ratings["vgsth_high_v"] + OVERDRIVE_V
    limit = within("gate", "least", None, least, "V", "highest threshold and 1 V, judgement, stated")
    volts = driven.low if driven is not None else 0.0
    yield judge("F710", driver.role, volts, limit, "voltage at the gate when active", corner="rail low")
    lifted = held_range(bench.control, net, "native")
    calm = lifted is None and grounded(bench.control, net, "native")
    text = "the gate is held at ground when native" if calm else "the gate is not held at ground when native"
    yield note("F710", driver.role, text, "netlist", "met" if calm else "error", "native")


def _flyback(bench: Bench, relay: Placed) -> Finding:
    ends = (net_at(relay, "coil-"), net_at(relay, "coil+"))
    diodes = [p for p in bench.circuit.parts if {pin.name for pin in p.part.pins} == {"A", "K"}]
    caught = any((net_at(d, "A"), net_at(d, "K")) == ends for d in diodes)
    turned = any((net_at(d, "K"), net_at(d, "A")) == ends for d in diodes)
    text = "a diode carries the coil's current on when the driver opens"
    if turned:
        text = "the diode across the coil is reversed: it shorts the supply when the driver conducts"
    elif not caught:
        text = "no diode across the coil: its voltage destroys the driver when that opens"
    return note("F712", relay.role, text, "netlist", "met" if caught and not turned else "error")
