"""High-side stage: a PNP that calls turn on, each through a resistor of its own; off, it leaves its load alone.

SUPPLY o--+-----------+-- emitter
          |         [hold-off]    \\|-- base
          |           +-----------/
          |           |
          |         [base]
          |           o call (several)  collector o HIGH
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport import parts
from rasterport.blocks.board import Board, by_name
from rasterport.blocks.status import bounds
from rasterport.design.sense import high_side
from rasterport.records import Sized

REFERENCES = {
    "high-side/pass": "Q1",
    "high-side/base": "R10",
    "high-side/hold-off": "R11",
    "high-side/base-2": "R12",
    "high-side/base-3": "R13",
    "high-side/steer-1": "D10",
    "high-side/steer-2": "D11",
    "high-side/steer-3": "D12",
    **{
        f"select-{n}/{name}": f"{letter}{number + n}"
        for n in (1, 2, 3)
        for name, letter, number in (("pass", "Q", 20), ("base", "R", 84), ("hold-off", "R", 80))
    },
}

HIGH = "HIGH"
HOLD_OFF_OHM = 10e3
STEER_V = 0.8
"""Drop of the diode of a call at a few milliamperes, cold [V]; makers' curves, from memory."""


def sink_needed(board: Board, supply_low_v: float, load_a: float) -> float:
    """Current [A] that a call must sink for `load_a` [A] at the lowest supply [V]."""
    pnp = bounds(parts.transistor("pnp", board.construction))
    return high_side(supply_low_v, load_a, HOLD_OFF_OHM, pnp)[1]


def high_side_stage(
    board: Board, supply_net: str, calls: Sequence[str], supply_low_v: float, load_a: float, scope: str = "high-side"
) -> str:
    """Place the stage; returns the net that is at the supply when any of the calls is low.

    Of several calls each has a diode: without it one call would pull at the others through the base.
    """
    pnp = parts.transistor("pnp", board.construction)
    drop_v = STEER_V if len(calls) > 1 else 0.0
    base, _ = high_side(supply_low_v - drop_v, load_a, HOLD_OFF_OHM, bounds(pnp))
    head = "" if scope == "high-side" else f"{scope.upper().replace('-', '')}_"
    hold = Sized(HOLD_OFF_OHM, "ohm", "30 uA of the sense stage make 0.3 V here: surely off")
    resistor = parts.resistor(HOLD_OFF_OHM, board.construction)
    board.two(f"{scope}/hold-off", resistor, supply_net, f"{head}HIGH_BASE", REFERENCES, hold)
    resistor = parts.resistor(base.value, board.construction)
    for n, call in enumerate(calls, 1):
        role, end = f"{scope}/base" + (f"-{n}" if n > 1 else ""), call
        if len(calls) > 1:
            end = f"{head}HIGH_CALL_{n}"
            diode = parts.diode("flyback", board.construction)
            board.place(
                f"{scope}/steer-{n}",
                diode,
                by_name(diode, {"A": end, "K": call}),
                REFERENCES,
                "keeps one call from pulling at the others",
            )
        board.two(role, resistor, f"{head}HIGH_BASE", end, REFERENCES, base)
    board.place(
        f"{scope}/pass",
        pnp,
        by_name(pnp, {"B": f"{head}HIGH_BASE", "C": f"{head}{HIGH}", "E": supply_net}),
        REFERENCES,
        "turns the supply on when called; open when not, or without the rail",
    )
    return f"{head}{HIGH}"
