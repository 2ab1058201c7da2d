"""The change-over stage: each line's landing goes to the board when active, to the set's own feed when idle.

                 active o----- from the board
    landing o-----\\
                 idle   o----- the set's own feed (or ground, or a dummy load)

The poles belong to a panel switch (gang) or to signal relays, two poles each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name, colour_of, gauge_of
from rasterport.design.coil import Coil
from rasterport.records import Placed, Sized, Wire

REFERENCES = {
    "panel/switch": "S1",
    "panel/header": "J2",
    "stage/relay-1": "K1",
    "stage/relay-2": "K2",
    "stage/relay-3": "K3",
    "stage/driver-1": "Q10",
    "stage/driver-2": "Q11",
    "stage/driver-3": "Q12",
    "stage/flyback-1": "D1",
    "stage/flyback-2": "D2",
    "stage/flyback-3": "D3",
    "stage/dropper-1": "R32",
    "stage/dropper-2": "R33",
    "stage/dropper-3": "R34",
    "stage/gate-series": "R30",
    "stage/gate-pull": "R31",
}

SCREENED = ("sync", "left", "right")
"""Lines whose wires to the panel switch are screened."""
GATE_PULL_OHM = 10e3
MOST_POLES = 4
"""Toggles for low-level signals are sold with up to four poles; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Pole:
    """One change-over contact: nets of the common, of the active and of the idle throw."""

    line: str
    common: str
    active: str
    idle: str | None


def panel_switch(board: Board, poles: Sequence[Pole]) -> None:
    """One pole of the panel switch a line; the switch sits on the panel, a header on the board.

    Raises ValueError when there are more poles than a panel switch has.
    """
    if len(poles) > MOST_POLES:
        raise ValueError(
            f"{len(poles)} poles are wanted ({', '.join(p.line for p in poles)}), panel switches have up to "
            f"{MOST_POLES}: choose path relay, or make a landing dedicated or normalled"
        )
    part = parts.panel_switch(len(poles))
    nets: dict[str, str | None] = {}
    for n, pole in enumerate(poles, 1):
        nets |= {f"common-{n}": pole.common, f"a-{n}": pole.active, f"b-{n}": pole.idle}
    switch = board.place(
        "panel/switch",
        part,
        by_name(part, nets),
        REFERENCES,
        f"{len(poles)} pole{'s' if len(poles) > 1 else ''}: {', '.join(p.line for p in poles)}; "
        "common joined to a is RGB, to b the set's own",
        on_board=False,
    )
    # A terminal a pin: two terminals on one net still meet on the board, not at the lugs.
    ends = [
        (name, net, pole.line)
        for n, pole in enumerate(poles, 1)
        for name, net in ((f"common-{n}", pole.common), (f"a-{n}", pole.active), (f"b-{n}", pole.idle))
        if net is not None
    ]
    screen = [GROUND] if any(line in SCREENED for _, _, line in ends) else []
    header = _switch_header(board, [*(net for _, net, _ in ends), *screen])
    for pin, (name, net, line) in enumerate(ends, 1):
        _panel_wire(board, _terminal(switch, name), header.ref, pin, line, net, len(ends) + 1)


def _terminal(switch: Placed, name: str) -> str:
    number = next(pin.number for pin in switch.part.pins if pin.name == name)
    return f"{switch.ref} terminal {number} ({name})"


def _switch_header(board: Board, nets: Sequence[str]) -> Placed:
    return board.place(
        "panel/header",
        parts.header(len(nets)),
        {str(n): net for n, net in enumerate(nets, 1)},
        REFERENCES,
        "wires to the panel switch",
    )


def _panel_wire(board: Board, start: str, header: str, pin: int, line: str, net: str, screen: int = 0) -> None:
    ground = net == GROUND
    screened = line in SCREENED and not ground
    board.wire(
        Wire(
            stage=22,
            start=start,
            end=f"{header} pin {pin}",
            at="rear panel",
            carries="return" if ground else f"{line} ({net})",
            ground=f"screen to {header} pin {screen}, joined with the others; open at the switch"
            if screened
            else "board ground",
            length_m=0.15,
            colour=colour_of("ground" if ground else line),
            gauge=gauge_of(screened),
            shielded=screened,
            measure="below 1 ohm end to end, board unplugged",
            net=net,
        )
    )


def panel_control(board: Board, supply_net: str) -> str:
    """A one-pole panel switch that lifts the driver's gate; returns the net at the gate side."""
    part = parts.panel_switch(1)
    nets = {"common-1": "PANEL_ON", "a-1": supply_net, "b-1": None}
    switch = board.place(
        "panel/switch",
        part,
        by_name(part, nets),
        REFERENCES,
        "1 pole: common joined to a energises the change-over stage, that is RGB",
        on_board=False,
    )
    header = _switch_header(board, ["PANEL_ON", supply_net])
    for pin, (name, net) in enumerate((("common-1", "PANEL_ON"), ("a-1", supply_net)), 1):
        _panel_wire(board, _terminal(switch, name), header.ref, pin, "control", net)
    return "PANEL_ON"


def relays(board: Board, poles: Sequence[Pole], coil: Coil, control_net: str) -> None:
    """Two poles a relay; each coil has its own FET, flyback diode and, where the rail is higher, dropper."""
    part = parts.relay(coil.rated_v, board.construction)
    for n, k in enumerate(range(0, len(poles), 2), 1):
        feed = coil.net if coil.dropper is None else f"COIL_{n}_FEED"
        nets: dict[str, str | None] = {"coil+": feed, "coil-": f"COIL_{n}"}
        for side, pole in zip("ab", poles[k : k + 2], strict=False):
            nets |= {f"common-{side}": pole.common, f"make-{side}": pole.active, f"break-{side}": pole.idle}
        board.place(
            f"stage/relay-{n}",
            part,
            by_name(part, nets),
            REFERENCES,
            "gives back when idle: " + ", ".join(p.line for p in poles[k : k + 2]),
        )
        _driver(board, n, feed)
        if coil.dropper is not None:
            resistor = parts.resistor(coil.dropper.value, board.construction, coil.dropper_w / 0.7)
            board.two(f"stage/dropper-{n}", resistor, coil.net, feed, REFERENCES, coil.dropper)
    series = Sized(1e3, "ohm", "keeps the gates' edge off the control line")
    # In front of the series resistor: behind it the two would divide the voltage that the gates see.
    pull = Sized(GATE_PULL_OHM, "ohm", "holds the drivers off without control")
    board.two(
        "stage/gate-series", parts.resistor(1e3, board.construction), control_net, "COIL_GATE", REFERENCES, series
    )
    board.two(
        "stage/gate-pull", parts.resistor(GATE_PULL_OHM, board.construction), control_net, GROUND, REFERENCES, pull
    )


def _driver(board: Board, n: int, feed: str) -> None:
    fet = parts.transistor("nfet", board.construction)
    board.place(
        f"stage/driver-{n}",
        fet,
        by_name(fet, {"G": "COIL_GATE", "S": GROUND, "D": f"COIL_{n}"}),
        REFERENCES,
        "drives the coil; off without a rail",
    )
    diode = parts.diode("flyback", board.construction)
    board.place(
        f"stage/flyback-{n}",
        diode,
        by_name(diode, {"A": f"COIL_{n}", "K": feed}),
        REFERENCES,
        "carries the coil's current on when the driver opens",
    )
