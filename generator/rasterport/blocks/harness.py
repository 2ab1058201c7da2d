"""What the harness needs besides the netlist: wire by colour and kind, and the plug of every header."""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import Board
from rasterport.parts.plugs import plug
from rasterport.records import Bought


def buy(board: Board) -> None:
    """Wire by colour and kind, and the plug of every header."""
    circuit = board.circuit()
    lengths: dict[str, float] = {}
    for wire in circuit.wires:
        if not wire.length_m:  # the conductors of a lead come with it
            continue
        kind = "" if wire.shielded else wire.colour.partition("+")[0]
        lengths[kind] = lengths.get(kind, 0.0) + wire.length_m
    for colour, metres in sorted(lengths.items()):
        part = parts.hookup_wire(colour) if colour else parts.coax_wire()
        role = f"harness/wire-{colour.lower()}" if colour else "harness/screened"
        board.buy(Bought(role, part, round(metres * 1.2, 2), "m", "sum of the wiring list and a fifth for the ends"))
    for placed in circuit.parts:
        if placed.part.key.startswith("header"):
            mate = plug(len(placed.part.pins))
            board.buy(Bought(f"{placed.role}/plug", mate, 1, "piece", f"mates with {placed.ref}"))
