"""The lines of one input in front of analog switches: on a middle voltage, behind a capacitor.

IN1_RED o--[isolation]--||--+-- IN1_RED_CHANNEL
                         [bias]
                            |
                          MIDDLE
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.analog import BIAS, RATED_V
from rasterport.blocks.board import Board
from rasterport.design.coupling import BIAS_OHM
from rasterport.records import LINES, Sized

REFERENCES = {
    **{f"{line}/isolation": f"R{11 + n}" for n, line in enumerate(LINES[:3])},
    **{f"{line}/bias": f"R{50 + n}" for n, line in enumerate(LINES[:4])},
    **{f"{line}/block": f"C{20 + n}" for n, line in enumerate(LINES[:4])},
}

ISOLATION = Sized(100.0, "ohm", "keeps the capacitance of a switch of low resistance off the cable")


def isolated(board: Board, index: int, colour: str, net: str) -> str:
    """Place what keeps the capacitance of the switch off the cable; returns the net behind it."""
    behind = f"IN{index}_{colour.upper()}_ISOLATED"
    resistor = parts.resistor(ISOLATION.value, board.construction)
    board.two(f"input-{index}/{colour}/isolation", resistor, net, behind, REFERENCES, ISOLATION)
    return behind


def biased(board: Board, index: int, line: str, net: str, middle_net: str, block: Sized) -> str:
    """Place the capacitor and the bias of one video line of an input; returns the net of its channel."""
    channel = f"IN{index}_{line.upper()}_CHANNEL"
    part = parts.capacitor(block.value, board.construction, RATED_V, "ceramic")
    board.two(f"input-{index}/{line}/block", part, net, channel, REFERENCES, block)
    board.two(
        f"input-{index}/{line}/bias",
        parts.resistor(BIAS_OHM, board.construction),
        channel,
        middle_net,
        REFERENCES,
        BIAS,
    )
    return channel
