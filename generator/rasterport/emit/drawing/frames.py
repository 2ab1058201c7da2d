"""Frames of a drawing: the lines of each input from its socket, the landings, each block of the control."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from rasterport.emit.drawing.boxes import Box, chunks
from rasterport.emit.drawing.cells import Cell, Part, Row, about
from rasterport.emit.drawing.ends import Stub
from rasterport.emit.drawing.pen import SMALL, Pen, cut, even_lines, wide
from rasterport.emit.drawing.rows import Walk, finished, rows_of
from rasterport.emit.drawing.units import Unit, at_edge
from rasterport.records import GROUND, LINES, Circuit, Placed

ORDER = ("red", "green", "blue", "video", "sync", "horizontal", "vertical", "audio-in-left", "audio-in-right", "centre")
"""Words in names of contacts, in the order in which lines are drawn; what has none of them comes last."""
WORDS = {
    "blanking": "Blanking drive",
    "clamp": "Clamp of the board",
    "control": "Return of the status stages",
    "gate": "Gate: a line of the set permits",
    "harness": "Headers for the harnesses of the sockets",
    "high-side": "High side: puts the rail on the drive",
    "landing": "Landings in the chassis",
    "lines": "Ends of the lines",
    "middle": "Middle voltages of the switches",
    "panel": "Panel switch",
    "priority": "Priority logic",
    "selector": "Analog switches",
    "stage": "Stage of relays: blanking and what the set has back",
    "supply": "Supply",
}
HEADER = "Header for the panel switch"
TALLEST = 3200
"""Height that a frame may have on a lying A3 with the smallest letters [0.1 mm]."""
FOLLOWS = ", continued"
APART = 12
"""Least room between parts of different rows [0.1 mm]."""
HEAD = 40
EDGE = 16
STUB = 40
SHORT = 90
"""Height of a row that is a stub and no more [0.1 mm]."""
ROW = 36
"""Least room between rows that stand side by side or in turn [0.1 mm]."""
BROAD = (800, 1500, 2500, 3300)
"""Widths up to which short rows of a block may stand side by side; the sheets decide which [0.1 mm]."""
PLACE = 480
"""Room for what the owner says of a landing; what is longer goes on in the next line [0.1 mm]."""
NEXT = 27
"""From one such line to the next [0.1 mm]."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Pins of one connector on one net, drawn as one stub at the edge of the lines."""

    placed: Placed
    numbers: tuple[str, ...]
    net: str | None
    words: tuple[str, ...]
    name: str = ""

    @property
    def width(self) -> int:
        """Room of the words."""
        return max(wide(line, SMALL) for line in self.words)

    @property
    def down(self) -> int:
        """Room below the height of the stub."""
        return 20 + NEXT * (len(self.words) - 1)


@dataclass(slots=True)
class Line:
    """One row between the edges: a contact on the left, a landing on the right, or one of the two."""

    row: Row
    left: Contact | None = None
    right: Contact | None = None
    x: int = 0
    y: int = 0

    @property
    def short(self) -> bool:
        """Whether it is a stub at the right edge, for which there is room between longer lines."""
        return self.right is not None and self.left is None and self.row.up + self.row.down <= SHORT


Room = tuple[int, int, int, int]
"""From where to where along the rows, and from where to where downwards."""


def _below(parts: Sequence[Part], taken: Sequence[Room], top: int) -> int:
    """Height of a row under all that stands where its parts will."""
    return max(
        max((low for a, b, _, low in taken if a < x1 + APART and b > x0 - APART), default=top) + up + APART // 2
        for x0, x1, up, _ in parts
    )


def _gap(parts: Sequence[Part], taken: Sequence[Room], top: int) -> int:
    """Height of the first gap that a row fits in, beginning at `top`."""
    near = [room for room in taken if any(room[0] < b + APART and a - APART < room[1] for a, b, _, _ in parts)]
    most = max(up for _, _, up, _ in parts)
    for y in sorted({top, *[low for *_, low in near if low > top]}):
        level = y + most + APART // 2
        if not any(
            a < x1 + APART and x0 - APART < b and high < level + down + APART // 2 and level - up - APART // 2 < low
            for x0, x1, up, down in parts
            for a, b, high, low in near
        ):
            return level
    raise AssertionError("there is room below everything")


def _after(line: Line, placed: Sequence[Line], top: int) -> int:
    """Where to look for room for a stub: below the line whose name its own begins with."""
    kin = [other.y for other in placed if other.right and _named(line).startswith(f"{other.right.name}-")]
    return max(kin, default=top)


@dataclass(slots=True)
class Frame:
    """A titled part of the drawing, laid out about its own upper left corner."""

    title: str
    lines: list[Line] = field(default_factory=list)
    side: int = 0
    """-1 of what begins at a socket alone, 1 of what ends at a landing alone."""
    width: int = 0
    height: int = 0
    _left: int = 0
    _span: int = 0
    _right: int = 0

    def lay_out(self, broad: int = BROAD[1]) -> Frame:
        """Give every row its place: between edges as high up as it goes, else side by side and in turn.

        `broad` is the width up to which short rows stand side by side.
        """
        if any(line.left or line.right for line in self.lines):
            if not self.height:
                self._between()
        else:
            self._beside(broad)
        return self

    def _beside(self, broad: int) -> None:
        """Rows side by side with their wires at one height, as many as there is room for, then the next below them."""
        room = max(broad, *[line.row.width for line in self.lines])
        sides: list[list[Line]] = []
        for line in self.lines:
            line.x = sides[-1][-1].x + sides[-1][-1].row.width + ROW if sides else room
            if line.x + line.row.width > room:
                line.x = 0
                sides.append([])
            sides[-1].append(line)
        below = HEAD + 6
        for side in sides:
            for line in side:
                line.y = below + max(other.row.up for other in side)
            below = max(line.y + line.row.down for line in side) + ROW
        self.width = EDGE * 2 + max(wide(self.title), *[line.x + line.row.width for line in self.lines])
        self.height = below - ROW + EDGE

    def _between(self) -> None:
        """Rows that end at no edge stand beside those that do not begin there."""
        lefts = [line.left for line in self.lines if line.left]
        rights = [line.right for line in self.lines if line.right]
        self._left = max((c.width for c in lefts), default=-EDGE - STUB) + EDGE + STUB
        self._right = max((c.width for c in rights), default=-EDGE - STUB) + EDGE + STUB
        span = self._span = max(line.row.width for line in self.lines)
        top = HEAD + 30 * max(len(_heads(lefts)), len(_heads(_several(rights)))) + 6
        taken: list[Room] = []
        placed: list[Line] = []
        for line in sorted(self.lines, key=lambda line: line.short):
            row, drop = line.row, line.row.drop
            line.x = self._left if line.left or not line.right else self._left + span - row.width
            parts = [(line.x + a, line.x + b, up, down) for a, b, up, down in row.profile]
            if line.left:
                parts.append((0, self._left, 22, line.left.down))
            if line.right:
                parts.append((line.x + row.width, self._left + span, 6 - drop, 6 + drop))
                end = self._left + span
                parts.append((end, end + self._right, 22 - drop, line.right.down + drop))
            line.y = _gap(parts, taken, _after(line, placed, top)) if line.short else _below(parts, taken, top)
            taken += [(x0, x1, line.y - up, line.y + down) for x0, x1, up, down in parts]
            placed.append(line)
        self.width = max(EDGE + self._left + span + self._right + EDGE, wide(self.title) + 2 * EDGE)
        self.width = max(self.width, *[wide(words) + 2 * EDGE for words in ("", *_heads(lefts))])
        if heads := _heads(_several(rights)):
            self.width += max(0, STUB + 8 + max(wide(words) for words in heads) - self._right)
        self.height = max(bottom for _, _, _, bottom in taken) + EDGE

    def draw(self, pen: Pen, x: int, y: int) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.path(
            "frame",
            (x, y),
            (x + self.width, y),
            (x + self.width, y + self.height),
            (x, y + self.height),
            closed=True,
        )
        pen.text("title", (x + EDGE, y + 30), cut(self.title, self.width - EDGE))
        left, end = x + EDGE, x + EDGE + self._left + self._span
        lefts = [line.left for line in self.lines if line.left]
        rights = [line.right for line in self.lines if line.right]
        for at, contacts in ((left, lefts), (end + STUB + 8, _several(rights))):
            for n, placed in enumerate(_parts(contacts)):
                pen.begin(placed.ref, placed.role, about(placed))
                pen.text("ref", (at, y + HEAD + 24 + 30 * n), placed.ref)
                pen.text("value", (at + wide(placed.ref + " "), y + HEAD + 24 + 30 * n), placed.value)
                pen.end()
        for line in self.lines:
            start = x + EDGE + line.x
            line.row.draw(pen, start, y + line.y)
            if line.left:
                _contact(pen, line.left, start, y + line.y, -1)
            if line.right:
                level = y + line.y + line.row.drop
                _contact(pen, line.right, end, level, 1)
                pen.wire(line.right.net, (start + line.row.width, level), (end, level))
        self._edges(pen, x, y, lefts)

    def _edges(self, pen: Pen, x: int, y: int, lefts: Sequence[Contact]) -> None:
        ys = [line.y for line in self.lines if line.left]
        if ys:
            edge = x + EDGE + self._left - STUB
            pen.path("edge", (edge, y + min(ys) - 24), (edge, y + max(ys) + 24))
        ys = [line.y + line.row.drop for line in self.lines if line.right]
        if ys:
            edge = x + EDGE + self._left + self._span + STUB
            pen.path("edge", (edge, y + min(ys) - 24), (edge, y + max(ys) + 24))


def _several(contacts: Sequence[Contact]) -> list[Contact]:
    """Contacts of headers; a pad or a wire's end has a name of its own beside it."""
    return [c for c in contacts if len(c.placed.nets) > 1]


def _parts(contacts: Sequence[Contact]) -> list[Placed]:
    return list({c.placed.ref: c.placed for c in contacts}.values())


def _heads(contacts: Sequence[Contact]) -> list[str]:
    return [f"{placed.ref} {placed.value}" for placed in _parts(contacts)]


def _contact(pen: Pen, contact: Contact, x: int, y: int, way: int) -> None:
    """The stub of a connector where a row begins or ends."""
    pen.begin(contact.placed.ref, contact.placed.role, f"{' '.join(contact.words)}; {about(contact.placed)}")
    for number in contact.numbers:
        pen.pin(number, contact.net, (x, y), (x + way * STUB, y))
    for n, words in enumerate(contact.words):
        pen.text("contact", (x + way * (STUB + 8), y + 7 + NEXT * n), words, "start" if way > 0 else "end", SMALL)
    pen.end()


def frames_of(circuit: Circuit) -> list[Frame]:
    """All frames of a drawing, laid out, in the order in which they are read."""
    walk = Walk(circuit)
    inputs = sorted({int(m[1]) for p in circuit.parts if (m := re.match(r"input-(\d)/", p.role))})
    landed = _landings(circuit)
    found: list[Frame] = []
    single = len(inputs) == 1
    for number in inputs:
        frame = _input(walk, circuit, number, landed if single else [])
        if not single:
            frame.lines += _others(walk, number)
            frame.side = -1
        found.append(frame)
    if landed:
        lines = list(_landing_lines(walk, landed, single))
        first = found[0] if single else None
        if first is not None:
            through = [line for line in first.lines if line.right]
            ends = [line for line in first.lines if not line.right]
            first.lines = [*through, *lines, *ends, *_others(walk, inputs[0])]
            first.title += ", and the lines to the chassis"
        else:
            found.append(Frame(WORDS["landing"], lines, 1))
    for group in dict.fromkeys(_block(unit) for unit in walk.left(lambda unit: True)):

        def allowed(unit: Unit, group: str = group) -> bool:
            return _block(unit) == group

        rows = rows_of(walk, allowed)
        boxes = [walk.take(unit) for unit in walk.left(allowed)]
        made = [Row(tuple(cells)) for cells in rows] + [Row((Box(unit),)) for unit in boxes]
        title = HEADER if group == "panel" and not rows else title_of(group)
        found.append(Frame(title, [Line(row) for row in made]))
    return [part for frame in found for part in _parted(frame)]


def _block(unit: Unit) -> str:
    """The frame that a symbol belongs to; the headers of all harnesses share one."""
    return "harness" if unit.group.endswith("/harness") else unit.group


def _parted(frame: Frame) -> Iterator[Frame]:
    """A frame laid out; one that is taller than any sheet in two, and so on, as far as its lines can be parted."""
    if frame.lines:
        first, second = _halves(frame.lines)
        if frame.lay_out().height <= TALLEST or not (first and second):
            yield frame
            return
        title = f"{frame.title.removesuffix(FOLLOWS)}{FOLLOWS}"
        yield from _parted(Frame(frame.title, first, frame.side))
        yield from _parted(Frame(title, second, frame.side))


def _halves(lines: Sequence[Line]) -> tuple[list[Line], list[Line]]:
    """Lines in two parts; a stub goes where the line is whose name its own begins with, any other to the first."""
    long = [line for line in lines if not line.short] or list(lines)
    second = long[(len(long) + 1) // 2 :]
    kin = tuple(f"{line.right.name}-" for line in second if line.right and line.right.name)
    second += [line for line in lines if line.short and line not in second and _named(line).startswith(kin or ("\0",))]
    return [line for line in lines if line not in second], second


def _named(line: Line) -> str:
    return line.right.name if line.right else ""


def title_of(group: str) -> str:
    """Title of the frame of a block."""
    if group in WORDS:
        return WORDS[group]
    if group.startswith("select-"):
        return f"Relays of input {group.removeprefix('select-')}"
    head, _, tail = group.partition("/")
    words = f"{head.replace('-', ' ')}{': ' + tail.replace('-', ' ') if tail else ''}"
    return words[:1].upper() + words[1:]


def _contacts(parts: Sequence[Placed]) -> list[Contact]:
    """Stubs of sockets, lines first, then grounds and what is open."""
    several = len(parts) > 1
    found: list[tuple[int, Contact]] = []
    for placed in parts:
        names = {pin.number: pin.name for pin in placed.part.pins}
        together: dict[str | None, list[str]] = {}
        for number, net in placed.nets.items():
            together.setdefault(net if net in (None, GROUND) else f"{net} {number}", []).append(number)
        for numbers in together.values():
            net = placed.nets[numbers[0]]
            head = f"{placed.ref} " if several else ""
            name = names.get(numbers[0], "")
            words = f"{placed.role.rsplit('/', 1)[-1]} {name}" if several else name
            rank = next((n for n, word in enumerate(ORDER) if word in words), len(ORDER))
            if net in (None, GROUND):
                for chunk, _, _ in chunks([(tuple(numbers), net, "")]):
                    contact = Contact(placed, chunk, net, (head + " ".join(chunk),))
                    found.append((rank + 100 * (1 + (net is None)), contact))
                continue
            words = placed.role.rsplit("/", 1)[-1] if several else name
            found.append((rank, Contact(placed, tuple(numbers), net, (f"{head}{words} {numbers[0]}",))))
    return [contact for _, contact in sorted(found, key=lambda pair: pair[0])]


def _landings(circuit: Circuit) -> list[Contact]:
    """Stubs of the landings, each with its name and the owner's word for the place."""
    by_ref = {placed.ref: placed for placed in circuit.parts}
    places = {wire.end.removesuffix(" landing"): wire.at for wire in circuit.wires if wire.end.endswith(" landing")}
    found = []
    for landed in circuit.landed:
        placed = by_ref[landed.ref]
        if at_edge(placed) and placed.role.split("/")[0] == "landing":
            at = places.get(landed.name, "")
            words = f"{placed.ref} {landed.pin} {landed.name}{': ' if at else ''}{at}"
            broken = tuple(even_lines(words, PLACE, SMALL))
            found.append(Contact(placed, (landed.pin,), placed.nets[landed.pin], broken, landed.name))
    return found


def _input(walk: Walk, circuit: Circuit, number: int, landed: list[Contact]) -> Frame:
    """The frame of one input; with a single one its lines go on to the landings."""
    head = f"input-{number}/"
    single = bool(landed)
    sockets = [p for p in circuit.parts if p.role.startswith(f"{head}socket") and at_edge(p)]
    frame = Frame(f"Input {number}")

    def allowed(unit: Unit) -> bool:
        role = unit.placed.role
        return role.startswith(head) or (single and _of_lines(unit))

    for contact in _contacts(sockets):
        if contact.net is None or contact.net in walk.shared:
            frame.lines.append(Line(Row((Stub(contact.net, 1),)), contact))
            continue
        walk.begin()
        cells, net = walk.along(contact.net, allowed, home=single)
        landing = next((c for c in landed if c.net == net), None)
        if landing is not None:
            landed.remove(landing)
        end = None if landing else walk.stub(net, 1)
        ending: list[Cell] = finished(cells, None, end, landing is not None)
        frame.lines.append(Line(Row(tuple(ending)), contact, landing))
    return frame


def _others(walk: Walk, number: int) -> list[Line]:
    """What is left of an input and stands in none of its lines, but for the header of its harness."""

    def allowed(unit: Unit) -> bool:
        return unit.placed.role.startswith(f"input-{number}/") and not unit.group.endswith("/harness")

    rows = [Row(tuple(cells)) for cells in rows_of(walk, allowed)]
    rows += [Row((Box(walk.take(unit)),)) for unit in walk.left(allowed)]
    return [Line(row) for row in rows]


def _of_lines(unit: Unit) -> bool:
    """Whether a symbol stands in the lines themselves."""
    return unit.placed.role.split("/")[0] in (*LINES, "selector") or unit.kind == "pole"


def _landing_lines(walk: Walk, landed: list[Contact], single: bool) -> Iterator[Line]:
    """Rows that lead to landings, worked out from their ends; what is short comes last."""

    def allowed(unit: Unit) -> bool:
        return _of_lines(unit) or (single and unit.placed.role.startswith("input-"))

    short = []
    for contact in sorted(landed, key=_rank):
        if contact.net is None or contact.net in walk.shared:
            short.append(Line(Row((Stub(contact.net, -1),)), None, contact))
            continue
        walk.begin()
        if contact.name.startswith("blanking"):
            cells, net = walk.along(contact.net, lambda u: u.group == "blanking" or u.kind == "pole", backwards=True)
        elif contact.name in LINES:
            cells, net = walk.along(contact.net, allowed, backwards=True)
        else:
            cells, net = walk.along(contact.net, lambda unit: False, backwards=True)
        cells.reverse()
        start = Stub(net, -1) if net != "" else None
        line = Line(Row(tuple(finished(cells, start, None, True))), None, contact)
        if len(cells) > 1:
            yield line
        else:
            short.append(line)
    yield from short


def _rank(contact: Contact) -> int:
    return next((n for n, word in enumerate((*LINES, "blanking")) if contact.name.startswith(word)), len(LINES) + 1)
