"""The board's edge: landings in the order of their pins, each wire to its place in the chassis in the order of work.

 J1                         number  place, as the owner calls it
[ground      1]-----[BK]---o  (1)   ground of C411
[sync-native 2]--\\/-[BK]---o  (2)   shield beside pin 1
[sync        3]--/\\-[WH]---o  (7)   C301, input end
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.emit.drawing.pen import SIZE, SMALL, wide
from rasterport.emit.wires.bands import BEGIN_ROOM, WIDTH, Band, heading, high, note, row, write
from rasterport.emit.wires.ink import PAD, RADIUS, SHEATH, Wiring, said, wrapped
from rasterport.emit.wires.strands import LANDING, Strand
from rasterport.records import Circuit

TALLEST = 2500
"""More than this and the edge is not drawn in one piece: rows follow each other over several sheets."""
CROSSING, TAG, REACH = 260, 120, 40
"""Room of wires that change places, of the letters of the colour, and from there to the place."""


def landing_bands(circuit: Circuit, found: Sequence[Strand], tallest: int = TALLEST) -> list[Band]:
    """The landings as bands: the edge in one piece where it has room and there is a board."""
    own = [strand for strand in found if strand.group == LANDING]
    if not own:
        return []
    if circuit.wired:
        title = "Wires to the chassis, from the ends of parts"
    else:
        refs = dict.fromkeys(ref for strand in own for ref, _ in strand.wire.joins)
        title = f"The board's edge: {'header ' if len(refs) == 1 else 'wire pads '}{', '.join(refs)}"
    bands = [heading(title), note(LEGEND if any(s.wire.shielded for s in own) else SHORT_LEGEND)]
    if not circuit.wired:
        edge = _edge(circuit, own)
        if edge.height <= tallest:
            return [*bands, edge]
    return [*bands, *(row(strand, {}) for strand in own)]


SHORT_LEGEND = (
    "From top to bottom in the order of work, ground first.  Numbers in circles are those of the wiring list."
)
LEGEND = (
    f"{SHORT_LEGEND}  A dashed sleeve is a screen: joined where it meets a dot, open at its other end.  Wires that "
    "cross do not touch."
)


def _order(circuit: Circuit, strand: Strand) -> tuple[int, int]:
    """Place of a landing on the board's edge: as the circuit lists them, which is the order of pins."""
    (end,) = strand.wire.joins
    at = next((n for n, landed in enumerate(circuit.landed) if (landed.ref, landed.pin) == end), len(circuit.landed))
    return at, strand.number


def _edge(circuit: Circuit, own: Sequence[Strand]) -> Band:
    pins = sorted(own, key=lambda strand: _order(circuit, strand))
    label = max(wide(strand.cells["from"], SMALL) for strand in own)
    label = min(label, BEGIN_ROOM)
    pad = label + 60
    bus = pad + PAD + 50
    near, far = bus + 30, bus + 30 + CROSSING
    end = far + TAG + REACH
    badge = end + 14 + RADIUS + 10
    text = badge + RADIUS + 16
    name = {(landed.ref, landed.pin): landed.name for landed in circuit.landed}
    screens = {s.number for s in own if name.get(s.wire.joins[0]) == "screens"}
    told = {strand.number: _told(strand, WIDTH - text) for strand in own}
    heights = [max(high(told[strand.number]), 2 * RADIUS + 6) + 22 for strand in own]
    tall = sum(heights)

    def draw(pen: Wiring, x: int, y: int) -> None:
        at_pin = {s.number: y + round((n + 0.5) * tall / len(pins)) for n, s in enumerate(pins)}
        pen.box("board", x + 4, y, x + pad, y + tall)
        ends, top = {}, y
        for strand, height in zip(own, heights, strict=True):
            ends[strand.number] = top + RADIUS + 10
            top += height
        screened = [at_pin[s.number] for s in own if s.wire.shielded]
        joined = [at_pin[s.number] for s in own if s.number in screens]
        if screened and joined:
            levels = [*screened, *joined]
            pen.path("bus", (x + bus, min(levels)), (x + bus, max(levels)))
        for strand in sorted(own, key=lambda s: s.number in screens):  # the screens' own wire is on top of its bus
            here, there = at_pin[strand.number], ends[strand.number]
            pen.strand(strand)
            start = (x + pad + PAD, here)
            lines = wrapped(strand.cells["from"], label, SMALL)
            pen.column("from", x + 24, here + 7 - 12 * (len(lines) - 1), lines, SMALL, 24)
            if strand.number in screens and screened:
                # It ends where the screens are joined; beside its number stands a piece of it at a piece of that run.
                pen.lead(strand, (start, (x + bus, here)))
                pen.lead(strand, ((x + far + 10, there), (x + end, there)))
                pen.path("bus", (x + end, there - 24), (x + end, there + 24))
                pen.circle("dot", (x + end, there), 8)
            else:
                pen.lead(strand, (start, (x + near, here), (x + far, there), (x + end, there)))
                pen.terminal((x + end, there))
            pen.group("end", ref=strand.wire.joins[0][0], pin=strand.wire.joins[0][1])
            pen.square((x + pad, here), _pin(strand))
            pen.end()
            pen.tag((x + far + TAG // 2 + 6, there), said(strand.wire.colour))
            pen.badge((x + badge, there), strand.cells["order"])
            write(pen, x + text, there - RADIUS + 4, told[strand.number])
            pen.end()
        for level in joined if screened else ():
            pen.circle("dot", (x + bus, level), 8)
        if screened and joined:  # on the rims of the sleeves: no core is joined to another
            for level in screened:
                for side in (-1, 1):
                    if min(levels) < level + side < max(levels):
                        pen.circle("dot", (x + bus, level + side * (SHEATH + 3)), 6)

    return Band(tall, draw)


def _pin(strand: Strand) -> str:
    """What stands in a pad: the pin of a header, else the pad's reference beside it says all."""
    ref, pin = strand.wire.joins[0]
    return pin if ref.startswith("J") else ""


def _told(strand: Strand, room: int) -> list[tuple[str, int, list[str]]]:
    cells = strand.cells
    place = cells["place"] or "the variant does not say where"
    plainly = f"{cells['length mm']} mm, {cells['colour']}, {cells['wire']}"
    rows = [
        ("place strong", SIZE, place),
        ("carries", SMALL, f"{cells['to']}: {cells['carries']}"),
        ("plainly", SMALL, plainly),
        ("ground", SMALL, cells["ground"]),
    ]
    return [(kind, size, wrapped(words, room, size)) for kind, size, words in rows if words]
