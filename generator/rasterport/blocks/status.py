"""Sense stage: one NPN reads the status contact; its collector is the call of its input.

IN1_STATUS o--+--[series]--+----- base
              |            |        \\|-- collector o IN1_SENSE
          (load 75)     [base]      /|-- emitter  - ground, or what lets it act
              |            |
             GND          GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.design.sense import Transistor, divider
from rasterport.design.termination import LINE_OHM
from rasterport.records import CataloguePart, Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import RESISTOR_SPREAD
from rasterport.standards.status_levels import FAULT_V, StatusLevels
from rasterport.units import short

REFERENCES = {
    "status/load-a": "R20",
    "status/load-b": "R21",
    "status/series": "R22",
    "status/base": "R23",
    "status/sense": "Q1",
    "call/pull": "R60",
}
PULL_OHM, HIGH_PULL_OHM, HIGH_V = 10e3, 22e3, 8.0
"""Pull-up of a call [ohm], the greater above 8 V.  A sense stage that is just off still takes 30 uA, which must not
bring the call below what a Schmitt inverter surely reads as high."""


def bounds(part: CataloguePart) -> Transistor:
    """Worst-case bounds of a transistor from its catalogue row."""
    r = part.ratings
    return Transistor(r["vbe_low_v"], r["vbe_high_v"], r["beta_low"], r["beta_high"])


RETURN = "STATUS_RETURN"
"""Where the emitters of all sense stages meet: what grounds it lets them act."""


def call_of(index: int) -> str:
    """The net that is pulled to ground when an input is wanted: the collector of its sense stage."""
    return f"IN{index}_SENSE"


def sense(board: Board, index: int, levels: StatusLevels, contact_net: str, sink_a: float, emitter: str) -> str:
    """Place the stage for input `index` with its emitter on a net; returns the net of its collector.

    `sink_a` [A] is what it must sink when on.  Raises ValueError when the contact's levels cannot be
    told apart at the corners.
    """
    role = f"input-{index}/status"
    npn = parts.transistor("npn", board.construction)
    terminated = levels.load_ohm == LINE_OHM
    series, base, _ = divider(
        levels.off_most_v,
        levels.on_least_v,
        sink_a,
        bounds(npn),
        RESISTOR_SPREAD,
        # 75 ohm contacts: 1 kohm and the junction as its clamp; all others 10 kohm and more.
        (1e3,) if terminated else decade_values("E96", 10e3, 100e3),
        decade_values("E24", 1e3, 10e3) if terminated else (10e3,),
        0.0 if terminated else levels.load_least_ohm,
    )
    if terminated:
        _load(board, role, contact_net, FAULT_V)
    base_net, collector_net = f"IN{index}_BASE", call_of(index)
    power = FAULT_V**2 / series.value / 0.8
    board.two(
        f"{role}/series",
        parts.resistor(series.value, board.construction, power),
        contact_net,
        base_net,
        REFERENCES,
        series,
    )
    board.two(f"{role}/base", parts.resistor(base.value, board.construction), base_net, GROUND, REFERENCES, base)
    board.place(
        f"{role}/sense",
        npn,
        by_name(npn, {"B": base_net, "C": collector_net, "E": emitter}),
        REFERENCES,
        f"reads {levels.key}; its threshold is narrow enough, that of a MOSFET is not",
    )
    return collector_net


def _load(board: Board, role: str, net: str, most_v: float) -> None:
    """75 ohm in two halves that survive `most_v` on the contact for ever."""
    each = Sized(
        150.0, "ohm", f"two in parallel are 75 ohm; {most_v:g} V by mistake is {short(most_v**2 / 150, 2)} W each"
    )
    part = parts.resistor(150.0, board.construction, most_v**2 / 150.0)
    board.two(f"{role}/load-a", part, net, GROUND, REFERENCES, each)
    board.two(f"{role}/load-b", part, net, GROUND, REFERENCES, each)


def pull_ohm(supply_high_v: float) -> float:
    """Pull-up of a call [ohm]."""
    return PULL_OHM if supply_high_v <= HIGH_V else HIGH_PULL_OHM


def pulled(board: Board, index: int, call: str, supply_net: str, supply_high_v: float) -> None:
    """Place the resistor that holds the call of an input while nobody calls."""
    sized = Sized(pull_ohm(supply_high_v), "ohm", "high while the input does not call")
    part = parts.resistor(sized.value, board.construction)
    board.two(f"input-{index}/call/pull", part, call, supply_net, REFERENCES, sized)
