"""Termination of a video line at its socket, before any switch; with a split it also sets the level.

IN1_RED o--+-------o next            IN1_RED o--[upper]--+---o next
           |                                             |
        [75 ohm]                                      [lower]
           |                                             |
          GND                                           GND

With a trimmer for each colour [trimmer]--[under] stand beside the lower resistor, the wiper tied to the far end.
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.design import termination as sizing
from rasterport.records import COLOURS
from rasterport.standards.iec60062 import rkm_code
from rasterport.standards.interface_levels import COMPOSITE, SUPERIMPOSED_DC

REFERENCES = {
    "red/termination": "R1",
    "green/termination": "R2",
    "blue/termination": "R3",
    "sync/termination": "R4",
    "red/upper": "R5",
    "green/upper": "R6",
    "blue/upper": "R7",
    "red/lower": "R8",
    "green/lower": "R9",
    "blue/lower": "R10",
}


for _at, _colour in enumerate(COLOURS):
    REFERENCES |= {f"{_colour}/trimmer": f"R{80 + _at}", f"{_colour}/under": f"R{83 + _at}"}

WORST_W = (SUPERIMPOSED_DC.high + COMPOSITE.high) ** 2 / 75.0 / 0.8
"""Rating asked of a termination [W]: the highest level on the highest direct voltage, at 80 % of its rating."""


def termination(board: Board, role: str, net: str, load_ohm: float) -> str:
    """Place one resistor from `net` to ground so that all together is 75 ohm; returns `net`."""
    sized = sizing.termination(load_ohm)
    board.two(
        f"{role}/termination", parts.resistor(sized.value, board.construction, WORST_W), net, GROUND, REFERENCES, sized
    )
    return net


def split_termination(board: Board, role: str, net: str, load_ohm: float, white_v: float, source_white_v: float) -> str:
    """Place upper and lower resistor; returns the tap, where white is `white_v` [V]."""
    tap = f"{net}_TAP"
    upper, lower = sizing.split(white_v, source_white_v, load_ohm)
    board.two(f"{role}/upper", parts.resistor(upper.value, board.construction, WORST_W), net, tap, REFERENCES, upper)
    board.two(f"{role}/lower", parts.resistor(lower.value, board.construction, WORST_W), tap, GROUND, REFERENCES, lower)
    return tap


def trimmed_termination(
    board: Board, role: str, net: str, load_ohm: float, white_v: float, source_white_v: float
) -> str:
    """Place a termination with a trimmer; returns the tap, where white is set about `white_v` [V]."""
    from rasterport.design.trimming import trimmed  # few boards have trimmers
    from rasterport.parts.trimmers import TRACKS_OHM, trimmer

    sized = trimmed(white_v, source_white_v, load_ohm, TRACKS_OHM)
    tap = net if sized.upper is None else f"{net}_TAP"
    if sized.upper is not None:
        part = parts.resistor(sized.upper.value, board.construction, WORST_W)
        board.two(f"{role}/upper", part, net, tap, REFERENCES, sized.upper)
    part = parts.resistor(sized.lower.value, board.construction, WORST_W)
    board.two(f"{role}/lower", part, tap, GROUND, REFERENCES, sized.lower)
    wiper, track = f"{net}_TRIM", sized.trimmer
    board.place(
        f"{role}/trimmer",
        trimmer(track.value, board.construction),
        {"1": tap, "2": wiper, "3": wiper},
        REFERENCES,
        track.reason,
        rkm_code(track.value, "ohm"),
        track.value,
    )
    part = parts.resistor(sized.under.value, board.construction)
    board.two(f"{role}/under", part, wiper, GROUND, REFERENCES, sized.under)
    return tap
