"""The board's edge: landings in the order of their pins, each wire to its place in the chassis in the order of work.

 J1                         number  place, as the owner calls it
[ground      1]-----[BK]---o  (1)   ground of C411
[sync-native 2]--\\/-[BK]---o  (2)   shield beside pin 1
[sync        3]--/\\-[WH]---o  (7)   C301, input end
[screens     4]--|
                (9)  the screens of these wires, joined
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.emit.drawing.pen import SIZE, SMALL, wide
from rasterport.emit.wires.bands import BEGIN_ROOM, WIDTH, Band, heading, high, note, row, write
from rasterport.emit.wires.ink import PAD, RADIUS, SHEATH, Wiring, said, wrapped
from rasterport.emit.wires.strands import LANDING, Strand
from rasterport.records import SCREENS, Circuit

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
    """Place of a wire on the board's edge: as the circuit lists them, which is the order of pins."""
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
    told = {strand.number: _told(strand, WIDTH - text) for strand in own}
    tails = [(landed.ref, landed.pin) for landed in circuit.landed if landed.name == SCREENS]
    tail = next((strand for strand in own if strand.wire.joins[0] in tails), None)
    rows = [strand for strand in own if strand is not tail]
    heights = [max(high(told[strand.number]), 2 * RADIUS + 6) + 22 for strand in rows]
    tall = sum(heights)
    below = 40 + max(high(told[tail.number]), 2 * RADIUS) if tail else 0

    def draw(pen: Wiring, x: int, y: int) -> None:
        at_pin = {s.number: y + round((n + 0.5) * tall / len(pins)) for n, s in enumerate(pins)}
        pen.box("board", x + 4, y, x + pad, y + tall)
        ends, top = {}, y
        for strand, height in zip(rows, heights, strict=True):
            ends[strand.number] = top + RADIUS + 10
            top += height
        screened = [at_pin[s.number] for s in own if s.wire.shielded]
        foot = y + tall + 20  # where the run of the screens ends, at the number of its own wire
        if tail:
            pen.path("bus", (x + bus, min(*screened, at_pin[tail.number])), (x + bus, foot))
        for strand in rows:
            here, there = at_pin[strand.number], ends[strand.number]
            pen.strand(strand)
            start = (x + pad + PAD, here)
            begin(pen, x, strand, here)
            pen.lead(strand, (start, (x + near, here), (x + far, there), (x + end, there)))
            pen.terminal((x + end, there))
            pin(pen, x, strand, here)
            pen.tag((x + far + TAG // 2 + 6, there), said(strand.wire.colour))
            pen.badge((x + badge, there), strand.cells["order"])
            write(pen, x + text, there - RADIUS + 4, told[strand.number])
            pen.end()
        if not tail:
            return
        # The wire of the screens is on top of the run that they are joined to, and leaves the board's edge nowhere.
        here = at_pin[tail.number]
        pen.strand(tail)
        begin(pen, x, tail, here)
        pen.lead(tail, ((x + pad + PAD, here), (x + bus, here)))
        pin(pen, x, tail, here)
        pen.circle("dot", (x + bus, here), 8)
        pen.badge((x + bus, foot + RADIUS), tail.cells["order"])
        write(pen, x + bus + RADIUS + 16, foot + 4, told[tail.number])
        letters = said(tail.wire.colour)
        pen.tag((x + bus - RADIUS - 20 - wide(letters) // 2, foot + RADIUS), letters)
        pen.end()
        for level in screened:  # on the rims of the sleeves: no core is joined to another
            for side in (-1, 1):
                if min(*screened, here) < level + side < foot:
                    pen.circle("dot", (x + bus, level + side * (SHEATH + 3)), 6)

    def begin(pen: Wiring, x: int, strand: Strand, level: int) -> None:
        lines = wrapped(strand.cells["from"], label, SMALL)
        pen.column("from", x + 24, level + 7 - 12 * (len(lines) - 1), lines, SMALL, 24)

    def pin(pen: Wiring, x: int, strand: Strand, level: int) -> None:
        pen.group("end", ref=strand.wire.joins[0][0], pin=strand.wire.joins[0][1])
        pen.square((x + pad, level), _pin(strand))
        pen.end()

    return Band(tall + below, draw)


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
