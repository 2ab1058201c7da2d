"""Change-over stages on signal relays, two poles each: energised they take one net, idle they pass the other on.

                   make  o----- from an input
    common o-----\\
                   break o----- the set's own feed, or the next stage

Of one input a stage gives the landings back to the set.  Of several each has a stage in a chain: an idle one passes on
the next, the last one the set's own feed, and a colour to 75 ohm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.design.coil import Coil
from rasterport.records import Sized

STAGES = {"stage": 0, "select-1": 20, "select-2": 40, "select-3": 60}
"""Prefix of a stage's roles -> what its numbers begin at."""
REFERENCES = {
    f"{stage}/{name}": f"{letter}{number + at}"
    for stage, at in STAGES.items()
    for name, letter, number in (
        *((f"relay-{n}", "K", n) for n in (1, 2, 3)),
        *((f"driver-{n}", "Q", n + 9) for n in (1, 2, 3)),
        *((f"flyback-{n}", "D", n) for n in (1, 2, 3)),
        ("gate-series", "R", 30),
        ("gate-pull", "R", 31),
        *((f"dropper-{n}", "R", n + 31) for n in (1, 2, 3)),
        ("inhibit-1", "Q", 13),
        ("inhibit-2", "Q", 14),
    )
}
REFERENCES |= {"stage/relay-4": "K4", "stage/driver-4": "Q17", "stage/flyback-4": "D5", "stage/dropper-4": "R39"}
"""A fourth relay of the stage that gives landings back: where the set's display keeps the colours it has theirs too."""

GATE_PULL_OHM = 10e3
SERIES_OHM, YIELDING_OHM = 1e3, 10e3
"""Between control and gates [ohm]; the greater where another stage pulls the gates down."""


@dataclass(frozen=True, slots=True)
class Pole:
    """One change-over contact: nets of the common, of the active and of the idle throw."""

    line: str
    common: str
    active: str
    idle: str | None


def relays(
    board: Board,
    poles: Sequence[Pole],
    coil: Coil,
    control_net: str,
    stage: str = "stage",
    yields_to: Sequence[str] = (),
) -> None:
    """Two poles a relay; each coil has its own FET, flyback diode and, where the rail is higher, dropper.

    `yields_to` are nets that, when high, keep this stage idle.
    """
    part = parts.relay(coil.rated_v, board.construction)
    head = "" if stage == "stage" else f"{stage.upper().replace('-', '')}_"
    for n, k in enumerate(range(0, len(poles), 2), 1):
        feed = coil.net if coil.dropper is None else f"{head}COIL_{n}_FEED"
        nets: dict[str, str | None] = {"coil+": feed, "coil-": f"{head}COIL_{n}"}
        for side, pole in zip("ab", poles[k : k + 2], strict=False):
            nets |= {f"common-{side}": pole.common, f"make-{side}": pole.active, f"break-{side}": pole.idle}
        lines = ", ".join(p.line for p in poles[k : k + 2])
        board.place(
            f"{stage}/relay-{n}",
            part,
            by_name(part, nets),
            REFERENCES,
            f"gives back when idle: {lines}" if stage == "stage" else f"passes on when idle: {lines}",
        )
        _driver(board, stage, head, n, feed)
        if coil.dropper is not None:
            resistor = parts.resistor(coil.dropper.value, board.construction, coil.dropper_w / 0.7)
            board.two(f"{stage}/dropper-{n}", resistor, coil.net, feed, REFERENCES, coil.dropper)
    gate = f"{head}COIL_GATE"
    series = Sized(SERIES_OHM, "ohm", "keeps the gates' edge off the control line")
    if yields_to:
        series = Sized(YIELDING_OHM, "ohm", "lets the stage before this one pull the gates down")
    for n, earlier in enumerate(yields_to, 1):
        fet = parts.transistor("nfet", board.construction)
        board.place(
            f"{stage}/inhibit-{n}",
            fet,
            by_name(fet, {"G": earlier, "S": GROUND, "D": gate}),
            REFERENCES,
            f"keeps this stage idle while input {n} calls: only the winner takes current",
        )
    # In front of the series resistor: behind it the two would divide the voltage that the gates see.
    pull = Sized(GATE_PULL_OHM, "ohm", "holds the drivers off without control")
    resistor = parts.resistor(series.value, board.construction)
    board.two(f"{stage}/gate-series", resistor, control_net, gate, REFERENCES, series)
    resistor = parts.resistor(GATE_PULL_OHM, board.construction)
    board.two(f"{stage}/gate-pull", resistor, control_net, GROUND, REFERENCES, pull)


def _driver(board: Board, stage: str, head: str, n: int, feed: str) -> None:
    fet = parts.transistor("nfet", board.construction)
    board.place(
        f"{stage}/driver-{n}",
        fet,
        by_name(fet, {"G": f"{head}COIL_GATE", "S": GROUND, "D": f"{head}COIL_{n}"}),
        REFERENCES,
        "drives the coil; off without a rail",
    )
    diode = parts.diode("flyback", board.construction)
    board.place(
        f"{stage}/flyback-{n}",
        diode,
        by_name(diode, {"A": f"{head}COIL_{n}", "K": feed}),
        REFERENCES,
        "carries the coil's current on when the driver opens",
    )
