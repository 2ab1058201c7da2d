"""Priority of the calls for analog switches: the number of the first input that calls, and whether any does.

IN1_SENSE o--(inverter)-- encoder --- select inputs
                          |  |------- inhibit
                          |---------- ANY, high while any input calls
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.blocks.analog import CHANNELS, Selecting, bypass, kind_for
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.parts.families import RAILS, Family
from rasterport.parts.logic import inverter, priority_encoder

REFERENCES = {
    "priority/encoder": "U80",
    "priority/encoder-bypass": "C80",
    "priority/invert-1": "U81",
    "priority/invert-1-bypass": "C81",
    "priority/invert-2": "U82",
    "priority/invert-2-bypass": "C82",
}

SECTIONS = 6


def priority(board: Board, family: Family, supply_net: str, calls: Sequence[str]) -> tuple[Selecting, str]:
    """Place the encoder; returns what moves the switches, and the net that is high while any input calls.

    74HC148: active low in and out, input n on I(8-n), so that its outputs read n-1; GS enables, EO is high while any
    input calls.  4532: active high, input n on D(8-n) behind an inverter, so that its outputs read 8-n; EO inhibits.
    """
    count = len(calls)
    kind = kind_for(count)
    weights = CHANNELS[kind].bit_length() - 1
    supply, ground = RAILS[family]
    part = priority_encoder(family, board.construction)
    select = tuple(f"SELECT_{n}" for n in range(weights))
    nets: dict[str, str | None] = {supply: supply_net, ground: GROUND}
    if family == "74hc":
        nets |= {f"I{n}": supply_net for n in range(8)} | {f"I{8 - n}": call for n, call in enumerate(calls, 1)}
        nets |= {f"A{n}": net for n, net in enumerate(select)}
        nets |= {"EI": GROUND, "GS": "INHIBIT", "EO": "ANY"}
        channel_of = {n: n - 1 for n in range(1, count + 1)}
    else:
        turned = _inverted(board, family, supply_net, calls)
        nets |= {f"D{n}": GROUND for n in range(8)} | {f"D{8 - n}": net for n, net in enumerate(turned, 1)}
        nets |= {f"Q{n}": net for n, net in enumerate(select)}
        nets |= {"EI": supply_net, "EO": "INHIBIT", "GS": "ANY"}
        channel_of = {n: (8 - n) % CHANNELS[kind] for n in range(1, count + 1)}
    board.place(
        "priority/encoder",
        part,
        by_name(part, nets),
        REFERENCES,
        f"the first of {count} calls wins; inputs that nobody uses rest",
    )
    bypass(board, "priority/encoder", supply_net, REFERENCES)
    return Selecting(kind, select, "INHIBIT", channel_of), "ANY"


def _inverted(board: Board, family: Family, supply_net: str, calls: Sequence[str]) -> list[str]:
    """Place inverters for the calls, six a package; returns their outputs."""
    part = inverter(family, board.construction)
    supply, ground = RAILS[family]
    found: list[str] = []
    for n, k in enumerate(range(0, len(calls), SECTIONS), 1):
        nets: dict[str, str | None] = {supply: supply_net, ground: GROUND}
        nets |= {f"{gate}A": GROUND for gate in range(1, SECTIONS + 1)}
        for gate, call in enumerate(calls[k : k + SECTIONS], 1):
            found.append(f"WANTED_{k + gate}")
            nets |= {f"{gate}A": call, f"{gate}Y": found[-1]}
        role = f"priority/invert-{n}"
        board.place(role, part, by_name(part, nets), REFERENCES, "turns calls round; unused inputs on ground")
        bypass(board, role, supply_net, REFERENCES)
    return found
