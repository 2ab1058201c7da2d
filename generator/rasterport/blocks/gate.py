"""Gate: a line of the set that must agree before the status contacts may act: their emitters hang on a FET.

GATE (low allows)   o--[series]--+-- base of clamp, collector on GATE_OPEN
                                 |
                              [base]--GND         SUPPLY --[open]--+-- gate of the FET
                                                                   GATE_OPEN
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
    "gate/open": "R24",
    "gate/return": "Q4",
}

GATE = "GATE"
CLAMP_OFF_A = 10e-6
"""What a clamp that is off may take from the pull of the FET's gate [A]: a tenth of a volt."""
PULL_OHM = 10e3


def gate(board: Board, selector: Selector, supply_net: str, supply_high_v: float, inside: str, outside: str) -> None:
    """Place the gate: it joins net `inside`, the emitters of the sense stages, with `outside` while the line allows."""
    npn, fet = parts.transistor("npn", board.construction), parts.transistor("nfet", board.construction)
    inverting = selector.gate_active == "high"
    series, base, _ = divider(
        selector.gate_low,
        selector.gate_high,
        supply_high_v / PULL_OHM,
        bounds(npn),
        RESISTOR_SPREAD,
        decade_values("E24", 10e3, 100e3),
        decade_values("E24", 4.7e3, 100e3),
        off_a=CLAMP_OFF_A,
    )
    resistor, pulls = parts.resistor, parts.resistor(PULL_OHM, board.construction)
    board.two("gate/series", resistor(series.value, board.construction), GATE, "GATE_BASE", REFERENCES, series)
    board.two("gate/base", resistor(base.value, board.construction), "GATE_BASE", GROUND, REFERENCES, base)
    if inverting:
        pull = Sized(PULL_OHM, "ohm", "lifts the clamp's base when the gate line is low")
        feed = Sized(PULL_OHM, "ohm", "base current of the clamp")
        board.two("gate/pull", pulls, supply_net, "GATE_CLOSED", REFERENCES, pull)
        board.two("gate/feed", pulls, "GATE_CLOSED", "CLAMP_BASE", REFERENCES, feed)
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
        by_name(npn, {"B": "CLAMP_BASE" if inverting else "GATE_BASE", "C": "GATE_OPEN", "E": GROUND}),
        REFERENCES,
        "takes the FET's gate to ground while the set shows something else",
    )
    lifts = Sized(PULL_OHM, "ohm", "lifts the FET's gate while nothing holds it down")
    board.two("gate/open", pulls, supply_net, "GATE_OPEN", REFERENCES, lifts)
    board.place(
        "gate/return",
        fet,
        by_name(fet, {"G": "GATE_OPEN", "S": outside, "D": inside}),
        REFERENCES,
        "the way to ground of every sense stage: open, no status contact acts",
    )
