"""The tap of the set's rail: fusible element, bulk capacitor, optional 5 V regulator.

RAIL_TAP o--[element]--+--------+---- RAIL       RAIL --[78L05]-- RAIL_5V
                       |        |                        |
                    47 uF    100 nF                  100 nF each side
                       |        |
                      GND      GND

RAIL (or RAIL_5V) --|>|--+-- RAIL_SWITCHES, for analog switches and their logic: sources that are on feed
                       10 uF  no dead rail through their pins
                         |
                        GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.design.supply import fusible
from rasterport.records import Sized
from rasterport.units import short

REFERENCES = {
    "supply/element": "F1",
    "supply/bulk": "C10",
    "supply/bypass": "C11",
    "supply/regulator": "U1",
    "supply/regulator-in": "C12",
    "supply/regulator-out": "C13",
    "supply/blocking": "D90",
    "supply/blocked": "C14",
}

TAP, RAIL, LOGIC, SWITCHES = "RAIL_TAP", "RAIL", "RAIL_5V", "RAIL_SWITCHES"


def supply(board: Board, rail_v: float, rail_high_v: float, current_a: float, element: str, regulated: bool) -> str:
    """Place the tap; returns the net that the board's control circuits use."""
    if element == "fusible":
        sized = fusible(rail_v, current_a, parts.FUSIBLE_OHM)
        board.two("supply/element", parts.fusible(sized.value), TAP, RAIL, REFERENCES, sized)
    else:
        part = parts.ptc(board.construction)
        board.place(
            "supply/element",
            part,
            {"1": TAP, "2": RAIL},
            REFERENCES,
            f"holds {part.ratings['hold_a'] * 1e3:g} mA, sized for {short(current_a * 1e3, 3)} mA",
        )
    bulk = Sized(47e-6, "F", "bulk at the end of the rail's wire; common practice, no source")
    _polarised(board, "supply/bulk", bulk, rail_high_v)
    bypass = Sized(100e-9, "F", "keeps the rail short for edges; common practice, no source")
    ceramic = parts.capacitor(100e-9, board.construction, 50.0, "ceramic")
    board.two("supply/bypass", ceramic, RAIL, GROUND, REFERENCES, bypass)
    if not regulated:
        return RAIL
    regulator = parts.regulator_5v(board.construction)
    board.place(
        "supply/regulator",
        regulator,
        by_name(regulator, {"OUT": LOGIC, "GND": GROUND, "IN": RAIL}),
        REFERENCES,
        "5 V for what must not move with the set's rail",
    )
    board.two("supply/regulator-in", ceramic, RAIL, GROUND, REFERENCES, Sized(100e-9, "F", "at the regulator's input"))
    stable = Sized(100e-9, "F", "keeps the regulator stable; makers' sheets ask 100 nF")
    board.two("supply/regulator-out", ceramic, LOGIC, GROUND, REFERENCES, stable)
    return LOGIC


def _polarised(board: Board, role: str, sized: Sized, volts: float) -> None:
    part = parts.capacitor(sized.value, board.construction, volts * 1.25, "electrolytic")
    board.two(role, part, RAIL, GROUND, REFERENCES, sized)


def blocking(board: Board, from_net: str) -> str:
    """Place the diode in front of what sources reach through pins; returns the net behind it."""
    diode = parts.diode("schottky", board.construction)
    board.place(
        "supply/blocking",
        diode,
        by_name(diode, {"A": from_net, "K": SWITCHES}),
        REFERENCES,
        "with the set off and sources on nothing of theirs reaches the rail",
    )
    sized = Sized(10e-6, "F", "keeps the switches' supply while the diode blocks; common practice, no source")
    board.two(
        "supply/blocked",
        parts.capacitor(10e-6, board.construction, 16.0, "ceramic"),
        SWITCHES,
        GROUND,
        REFERENCES,
        sized,
    )
    return SWITCHES
