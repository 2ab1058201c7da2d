"""High-side stage: a PNP that the sense stage turns on; off, it leaves its load alone.

SUPPLY o--+-----------+-- emitter
          |         [hold-off]    \\|-- base
          |           +-----------/
          |           |
          |         [base]
          |           o SENSE          collector o HIGH
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import Board, by_name
from rasterport.blocks.status import bounds
from rasterport.design.sense import high_side
from rasterport.records import Sized

REFERENCES = {"high-side/pass": "Q1", "high-side/base": "R10", "high-side/hold-off": "R11"}

HIGH = "HIGH"
HOLD_OFF_OHM = 10e3


def sink_needed(board: Board, supply_low_v: float, load_a: float) -> float:
    """Current [A] that the sense stage must sink for `load_a` [A] at the lowest supply [V]."""
    pnp = bounds(parts.transistor("pnp", board.construction))
    return high_side(supply_low_v, load_a, HOLD_OFF_OHM, pnp)[1]


def high_side_stage(board: Board, supply_net: str, sense_net: str, supply_low_v: float, load_a: float) -> str:
    """Place the stage; returns the net that is at the supply when the status contact is on."""
    pnp = parts.transistor("pnp", board.construction)
    base, _ = high_side(supply_low_v, load_a, HOLD_OFF_OHM, bounds(pnp))
    hold = Sized(HOLD_OFF_OHM, "ohm", "30 uA of the sense stage make 0.3 V here: surely off")
    board.two(
        "high-side/hold-off",
        parts.resistor(HOLD_OFF_OHM, board.construction),
        supply_net,
        "HIGH_BASE",
        REFERENCES,
        hold,
    )
    board.two(
        "high-side/base", parts.resistor(base.value, board.construction), "HIGH_BASE", sense_net, REFERENCES, base
    )
    board.place(
        "high-side/pass",
        pnp,
        by_name(pnp, {"B": "HIGH_BASE", "C": HIGH, "E": supply_net}),
        REFERENCES,
        "turns the supply on when the status contact is on; open when off or without the rail",
    )
    return HIGH
