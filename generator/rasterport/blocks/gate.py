"""Gate: a line of the set that must agree before the status contact may switch.

GATE (low allows)   o--[series]--+-- base of clamp, collector on the sense stage's base
                                 |
                              [base]--GND

GATE (high allows)  o--[series]--+-- base of inverter, collector --[pull]-- SUPPLY
                                 |          |
                              [base]     [feed]-- base of clamp
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.blocks.status import bounds
from rasterport.design.sense import divider
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import RESISTOR_SPREAD
from rasterport.variant.models import Selector

REFERENCES = {
    "gate/series": "R20",
    "gate/base": "R21",
    "gate/clamp": "Q2",
    "gate/invert": "Q3",
    "gate/pull": "R22",
    "gate/feed": "R23",
}

GATE = "GATE"
CLAMP_OFF_A = 1e-6
"""What a clamp that is off may take from the base it sits on [A]: 0.1 V of threshold at most."""
PULL_OHM = 10e3


def gate(
    board: Board, selector: Selector, base_net: str, supply_net: str, supply_high_v: float, clamp_a: float
) -> None:
    """Place the gate on the sense stage's base; `clamp_a` [A] is what the clamp must divert."""
    npn = parts.transistor("npn", board.construction)
    inverting = selector.gate_active == "high"
    sink = supply_high_v / PULL_OHM if inverting else clamp_a
    series, base, _ = divider(
        selector.gate_low,
        selector.gate_high,
        sink,
        bounds(npn),
        RESISTOR_SPREAD,
        decade_values("E24", 10e3, 100e3),
        decade_values("E24", 4.7e3, 100e3),
        off_a=CLAMP_OFF_A,
    )
    resistor = parts.resistor
    board.two("gate/series", resistor(series.value, board.construction), GATE, "GATE_BASE", REFERENCES, series)
    board.two("gate/base", resistor(base.value, board.construction), "GATE_BASE", GROUND, REFERENCES, base)
    if inverting:
        pull = Sized(PULL_OHM, "ohm", "lifts the clamp's base when the gate line is low")
        feed = Sized(PULL_OHM, "ohm", "base current of the clamp")
        board.two("gate/pull", resistor(PULL_OHM, board.construction), supply_net, "GATE_CLOSED", REFERENCES, pull)
        board.two("gate/feed", resistor(PULL_OHM, board.construction), "GATE_CLOSED", "CLAMP_BASE", REFERENCES, feed)
        board.place(
            "gate/invert",
            npn,
            by_name(npn, {"B": "GATE_BASE", "C": "GATE_CLOSED", "E": GROUND}),
            REFERENCES,
            "high on the gate line lets the status through",
        )
    board.place(
        "gate/clamp",
        npn,
        by_name(npn, {"B": "CLAMP_BASE" if inverting else "GATE_BASE", "C": base_net, "E": GROUND}),
        REFERENCES,
        "keeps the sense stage off while the set shows something else",
    )
