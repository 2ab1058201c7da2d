"""Which parts of a circuit come through the panel, and through what opening."""

from __future__ import annotations

from rasterport.order import natural
from rasterport.records import Circuit, Opening, Placed


def openings(circuit: Circuit) -> tuple[Opening, ...]:
    """Sockets first, input by input, then what chooses; parts on a lead and the set's own sockets have none."""
    found = [p for p in circuit.parts if _comes_through(p)]
    found.sort(key=lambda p: (p.part.letter != "J", natural(p.ref)))
    return tuple(_opening(p) for p in found)


def _comes_through(placed: Placed) -> bool:
    return "panel_hole_mm" in placed.part.ratings or "panel_width_mm" in placed.part.ratings


def _opening(placed: Placed) -> Opening:
    r = placed.part.ratings
    hole = r.get("panel_hole_mm", 0.0)
    return Opening(
        placed.ref,
        _words(placed.role),
        r.get("plug_width_mm", hole),
        r.get("plug_height_mm", hole),
        hole,
        r.get("panel_width_mm", 0.0),
        r.get("panel_height_mm", 0.0),
        r.get("fixing_spacing_mm", 0.0),
        r.get("fixing_hole_mm", 0.0),
        placed.part.confidence,
    )


def _words(role: str) -> str:
    """A part's role as a label: input-7/socket/red is "7 red"."""
    words = [word for word in role.split("/") if word != "socket"]
    if len(words) > 1:
        words[0] = words[0].removeprefix("input-")
    return " ".join(words).replace("-", " ")
