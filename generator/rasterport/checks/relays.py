"""Relays: pull-in when hot, the coil at the high rail, what switches the coil and what catches its current."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.control import grounded, held_range, net_at
from rasterport.analysis.supply import Driven, relays
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.coil import allowed_w
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
    for found in relays(bench):
        if found.driver is None:
            text = "the coil has no driver with its source on ground and its drain on the coil"
            yield note("F706", found.relay.role, text, "netlist", "error")
            continue
        yield from _coil(bench, found)
        yield from _gate(bench, found.relay, found.driver)
        yield _flyback(bench, found.relay)


def _coil(bench: Bench, found: Driven) -> Iterator[Finding]:
    relay = found.relay
    if found.feed is None:
        yield note("F706", relay.role, "the coil has no supply", "netlist", "error")
        return
    state = bench.control.state_of(relay.role)
    margin = bench.figures.get("relay-margin", relay.role, state)
    yield judge("F706", margin, "relay_margin_pct", "current over pull-in when hot")
    r = relay.part.ratings
    most_w = allowed_w(r["coil_max_v"], r["coil_ohm"], r["coil_tolerance_pct"] / 100, r["coil_rise_k"])
    source = f"{r['coil_max_v']:g} V for ever on a coil of the lowest resistance; {relay.part.source}"
    limit = within("coil", "most", None, most_w, "W", source)
    yield judge("F707", bench.figures.get("coil-power", relay.role, state), limit, "greatest power in the hot coil")


def _gate(bench: Bench, relay: Placed, driver: Placed) -> Iterator[Finding]:
    """On when active, surely off when native."""
    net, state = net_at(driver, "G"), bench.control.state_of(relay.role)
    least = driver.part.ratings["vgsth_high_v"] + OVERDRIVE_V
    limit = within("gate", "least", None, least, "V", "highest threshold and 1 V, judgement, stated")
    if bench.figures.has("driver-gate", driver.role, state):
        gate = bench.figures.get("driver-gate", driver.role, state)
        yield judge("F710", gate, limit, "voltage at the gate when active")
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
