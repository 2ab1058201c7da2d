"""Which fabricated board a circuit fits: a digest over what copper and drills are made from."""

from __future__ import annotations

import hashlib

from rasterport.records import Circuit


def bare_board(circuit: Circuit) -> str:
    """SHA-256 in hexadecimal over roles, footprints and nets of the parts on the board.

    "" without a printed board.  Values, part numbers and texts are not in it: variants that share it fit the same
    fabricated board.
    """
    if circuit.wired:
        return ""
    lines = []
    for placed in circuit.parts:
        if placed.on_board:
            pins = " ".join(f"{pin}={net or '-'}" for pin, net in sorted(placed.nets.items()))
            lines.append(f"{placed.role}|{placed.part.footprint}|{pins}")
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()
