"""Frames of a drawing: the lines of each input from its socket, the landings, each block of the control, each box."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import field

from rasterport.emit.drawing.cells import Cell, Row, Stub, end_mark, end_width, label, label_width, opened
from rasterport.emit.drawing.pen import SMALL, Pen, cut, wide
from rasterport.emit.drawing.rows import Walk, finished, rows_of
from rasterport.emit.drawing.units import Unit, at_edge
from rasterport.frozen import dataclass
from rasterport.records import GROUND, LINES, Circuit, Placed

ORDER = ("red", "green", "blue", "video", "sync", "horizontal", "vertical", "audio-in-left", "audio-in-right", "centre")
"""Words in names of contacts, in the order in which lines are drawn; what has none of them comes last."""
WORDS = {
    "blanking": "Blanking drive",
    "clamp": "Clamp of the board",
    "control": "Return of the status stages",
    "gate": "Gate: a line of the set permits",
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
TALLEST = 2700
"""Height that a frame may have on a lying A3 [0.1 mm]."""
FOLLOWS = ", continued"
PITCH = 48
"""From one short row to the next [0.1 mm]."""
APART = 12
"""Least room between parts of different rows [0.1 mm]."""
HEAD = 40
EDGE = 16
STUB = 40
PLACES = (560, 420)
"""Room for what the owner says of a landing, ample and scarce [0.1 mm]."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Pins of one connector on one net, drawn as one stub at the edge of the lines."""

    placed: Placed
    numbers: tuple[str, ...]
    net: str | None
    words: str
    name: str = ""
    whole: str = ""


@dataclass(slots=True)
class Line:
    """One row between the edges: a contact on the left, a landing on the right, or one of the two."""

    row: Row
    left: Contact | None = None
    right: Contact | None = None
    x: int = 0
    y: int = 0


@dataclass(slots=True)
class Frame:
    """A titled part of the drawing, laid out about its own upper left corner."""

    title: str
    lines: list[Line] = field(default_factory=list)
    width: int = 0
    height: int = 0
    _left: int = 0
    _right: int = 0

    def lay_out(self) -> Frame:
        """Give every row its place; rows that end at no edge stand beside those that do not begin there."""
        lefts = [line.left for line in self.lines if line.left]
        rights = [line.right for line in self.lines if line.right]
        self._left = max((wide(c.words, SMALL) for c in lefts), default=-EDGE - STUB) + EDGE + STUB
        self._right = max((wide(c.words, SMALL) for c in rights), default=-EDGE - STUB) + EDGE + STUB
        span = max(line.row.width for line in self.lines)
        taken: list[tuple[int, int, int]] = []
        for line in self.lines:
            line.x = self._left if line.left or not line.right else self._left + span - line.row.width
            parts = [(line.x + a, line.x + b, up, down) for a, b, up, down in line.row.profile]
            if line.left:
                parts.append((0, self._left, 24, 24))
            if line.right:
                parts.append((line.x + line.row.width, self._left + span, 6, 6))
                parts.append((self._left + span, self._left + span + self._right, 24, 24))
            top = HEAD + 30 * max(len(_heads(lefts)), len(_heads(_several(rights))))
            line.y = max(
                (
                    max((y for a, b, y in taken if a < x1 + APART and b > x0 - APART), default=top) + up + APART // 2
                    for x0, x1, up, _ in parts
                ),
                default=top,
            )
            taken += [(x0, x1, line.y + down) for x0, x1, _, down in parts]
        self.width = max(EDGE + self._left + span + self._right + EDGE, wide(self.title) + 2 * EDGE)
        self.width = max(self.width, *[wide(words) + 2 * EDGE for words in ("", *_heads(lefts))])
        self.height = max(y for _, _, y in taken) + EDGE
        return self

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
        pen.text("title", (x + EDGE, y + 28), cut(self.title, self.width - EDGE))
        left, end = x + EDGE, x + self.width - EDGE - self._right
        lefts = [line.left for line in self.lines if line.left]
        rights = [line.right for line in self.lines if line.right]
        for at, contacts in ((left, lefts), (end + STUB + 8, _several(rights))):
            for n, placed in enumerate(_parts(contacts)):
                pen.begin(placed.ref, placed.role, placed.value)
                pen.text("ref", (at, y + HEAD + 24 + 30 * n), placed.ref)
                pen.text("value", (at + wide(placed.ref + " "), y + HEAD + 24 + 30 * n), placed.value)
                pen.end()
        for line in self.lines:
            start = x + EDGE + line.x
            line.row.draw(pen, start, y + line.y)
            if line.left:
                _contact(pen, line.left, start, y + line.y, -1)
            if line.right:
                _contact(pen, line.right, end, y + line.y, 1)
                if line.row.cells:
                    pen.wire(line.right.net, (start + line.row.width, y + line.y), (end, y + line.y))
        self._edges(pen, x, y, lefts)

    def _edges(self, pen: Pen, x: int, y: int, lefts: Sequence[Contact]) -> None:
        ys = [line.y for line in self.lines if line.left]
        if ys:
            edge = x + EDGE + self._left - STUB
            pen.path("edge", (edge, y + min(ys) - 24), (edge, y + max(ys) + 24))
        ys = [line.y for line in self.lines if line.right]
        if ys:
            edge = x + self.width - EDGE - self._right + STUB
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
    pen.begin(contact.placed.ref, contact.placed.role, contact.whole or contact.placed.value)
    for number in contact.numbers:
        pen.pin(number, contact.net, (x, y), (x + way * STUB, y))
    pen.text("contact", (x + way * (STUB + 8), y + 7), contact.words, "start" if way > 0 else "end", SMALL)
    pen.end()


@dataclass(slots=True)
class Box:
    """A part drawn as a rectangle with all its pins, each with the flag of its net."""

    unit: Unit
    width: int = 0
    height: int = 0
    _sides: tuple[list[tuple[tuple[str, ...], str | None, str]], ...] = ((), ())  # type: ignore[assignment]
    _flags: tuple[int, int] = (0, 0)
    _body: int = 0

    def lay_out(self) -> Box:
        """Sort the pins: outputs and commons on the right, the others on the left; of connectors all on the left."""
        placed = self.unit.placed
        kinds = {pin.number: (pin.name, pin.kind) for pin in placed.part.pins}
        joint = placed.part.appears == "joint"
        left: dict[object, tuple[tuple[str, ...], str | None, str]] = {}
        right: dict[object, tuple[tuple[str, ...], str | None, str]] = {}
        for number, net in placed.nets.items():
            name, kind = kinds.get(number, ("", "passive"))
            out = kind in ("output", "power_out", "open_collector") or (
                placed.part.appears == "contacts" and (name in ("X", "Y", "Z") or name.startswith("common"))
            )
            side = right if out and not joint else left
            key = net if joint or net is None else number
            before = side.get(key, ((), net, ""))
            words = "" if joint or net is None else "" if name in ("~", "") else name
            side[key] = ((*before[0], number), net, words)
        if not joint:
            left = dict(sorted(left.items(), key=lambda pin: _by_name(pin[1])))
            right = dict(sorted(right.items(), key=lambda pin: _by_name(pin[1])))
        self._sides = (_chunks(left.values()), _chunks(right.values()))
        self._flags = tuple(  # type: ignore[assignment]
            max((end_width(net) for _, net, _ in side), default=0) for side in self._sides
        )
        inner = sum(max((wide(_pin_words(pin), SMALL) for pin in side), default=0) for side in self._sides)
        self._body = max(inner + 40, 120)
        self.width = 2 * EDGE + sum(self._flags) + 2 * STUB + self._body
        self.width = max(self.width, EDGE * 2 + self._flags[0] + STUB + label_width(self.unit))
        self.height = HEAD + 10 + PITCH * max(len(side) for side in self._sides) + 2 * EDGE
        return self

    def draw(self, pen: Pen, x: int, y: int) -> None:
        """Draw it with its upper left corner at (x, y)."""
        left = x + EDGE + self._flags[0] + STUB
        right, top = left + self._body, y + HEAD
        bottom = y + self.height - EDGE
        rows = [top + 14 + PITCH // 2 + PITCH * n for n in range(max(len(side) for side in self._sides))]
        for side, edge, way in zip(self._sides, (left, right), (-1, 1), strict=True):
            for (_, net, _), level in zip(side, rows, strict=False):
                end_mark(pen, net, edge + way * STUB, level, way)
        opened(pen, self.unit)
        pen.path("body", (left, top), (right, top), (right, bottom), (left, bottom), closed=True)
        label(pen, self.unit, left, top - 10)
        for side, edge, way in zip(self._sides, (left, right), (-1, 1), strict=True):
            for pin, level in zip(side, rows, strict=False):
                for number in pin[0]:
                    pen.pin(number, pin[1], (edge + way * STUB, level), (edge, level))
                at = (edge - way * 8, level + 7)
                pen.text("number", at, _pin_words(pin), "start" if way < 0 else "end", SMALL)
        pen.end()


def _by_name(pin: tuple[tuple[str, ...], str | None, str]) -> tuple[bool, bool, list[tuple[int, str]]]:
    """Signals by letter and number, then supplies, then what is open."""
    words = [(int(w), "") if w.isdigit() else (-1, w) for w in re.findall(r"\d+|\D+", pin[2])]
    return pin[1] is None, pin[2] in ("GND", "VCC", "VDD", "VSS", "VEE"), words


def _pin_words(pin: tuple[tuple[str, ...], str | None, str]) -> str:
    return f"{' '.join(pin[0])} {pin[2]}".strip()


def _chunks(pins: object, most: int = 18) -> list[tuple[tuple[str, ...], str | None, str]]:
    """Stubs with so few pins that their numbers fit."""
    found = []
    for numbers, net, words in pins:  # type: ignore[attr-defined]
        row: list[str] = []
        for number in numbers:
            if row and len(" ".join([*row, number])) > most:
                found.append((tuple(row), net, words))
                row = []
            row.append(number)
        found.append((tuple(row), net, words))
    return found


def frames_of(circuit: Circuit, place: int = PLACES[0]) -> list[Frame | Box]:
    """All frames of a drawing, in the order in which they are read; `place` is the room for the place of a landing."""
    walk = Walk(circuit)
    inputs = sorted({int(m[1]) for p in circuit.parts if (m := re.match(r"input-(\d)/", p.role))})
    landed = _landings(circuit, place)
    found: list[Frame | Box] = []
    single = len(inputs) == 1
    for number in inputs:
        frame = _input(walk, circuit, number, landed if single else [])
        if not single:
            frame.lines += _others(walk, number)
        found.append(frame)
    if landed:
        lines = list(_landing_lines(walk, landed, single))
        first = found[0] if single else None
        if isinstance(first, Frame):
            through = [line for line in first.lines if line.right]
            ends = [line for line in first.lines if not line.right]
            first.lines = [*through, *lines, *ends, *_others(walk, inputs[0])]
            first.title += ", and the lines to the chassis"
        else:
            found.append(Frame(WORDS["landing"], lines))
    for group in dict.fromkeys(unit.group for unit in walk.left(lambda unit: unit.kind != "box")):
        rows = rows_of(walk, lambda unit, group=group: unit.group == group)  # type: ignore[misc]
        if rows:
            found.append(Frame(title_of(group), [Line(Row(tuple(cells))) for cells in rows]))
    found += [Box(walk.take(unit)) for unit in walk.left(lambda unit: True)]
    return [part for frame in found for part in _parted(frame)]


def _parted(frame: Frame | Box) -> Iterator[Frame | Box]:
    """A frame laid out; one that is taller than any sheet in two, and so on."""
    if isinstance(frame, Box):
        yield frame.lay_out()
    elif frame.lines:
        if frame.lay_out().height <= TALLEST or len(frame.lines) == 1:
            yield frame
            return
        half = len(frame.lines) // 2
        yield from _parted(Frame(frame.title, frame.lines[:half]))
        yield from _parted(Frame(f"{frame.title.removesuffix(FOLLOWS)}{FOLLOWS}", frame.lines[half:]))


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
                for chunk, _, _ in _chunks([(tuple(numbers), net, "")]):
                    found.append(
                        (rank + 100 * (1 + (net is None)), Contact(placed, chunk, net, head + " ".join(chunk)))
                    )
                continue
            words = placed.role.rsplit("/", 1)[-1] if several else name
            found.append((rank, Contact(placed, tuple(numbers), net, f"{head}{words} {numbers[0]}")))
    return [contact for _, contact in sorted(found, key=lambda pair: pair[0])]


def _landings(circuit: Circuit, place: int) -> list[Contact]:
    """Stubs of the landings, each with its name and the owner's word for the place."""
    by_ref = {placed.ref: placed for placed in circuit.parts}
    places = {wire.end.removesuffix(" landing"): wire.at for wire in circuit.wires if wire.end.endswith(" landing")}
    found = []
    for landed in circuit.landed:
        placed = by_ref[landed.ref]
        if at_edge(placed) and placed.role.split("/")[0] == "landing":
            at = places.get(landed.name, "")
            whole = f"{landed.name}: {at}" if at else landed.name
            words = cut(f"{placed.ref} {landed.pin} {whole}", place, SMALL)
            found.append(Contact(placed, (landed.pin,), placed.nets[landed.pin], words, landed.name, whole))
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
        cells, net = walk.along(contact.net, allowed, home=single)
        landing = next((c for c in landed if c.net == net), None)
        if landing is not None:
            landed.remove(landing)
        ending: list[Cell] = finished(cells, None, None if landing else Stub(net, 1))
        frame.lines.append(Line(Row(tuple(ending)), contact, landing))
    return frame


def _others(walk: Walk, number: int) -> list[Line]:
    """What is left of an input and stands in none of its lines."""
    rows = rows_of(walk, lambda unit: unit.placed.role.startswith(f"input-{number}/"))
    return [Line(Row(tuple(cells))) for cells in rows]


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
        if contact.name.startswith("blanking"):
            cells, net = walk.along(contact.net, lambda u: u.group == "blanking" or u.kind == "pole", backwards=True)
        elif contact.name in LINES:
            cells, net = walk.along(contact.net, allowed, backwards=True)
        else:
            cells, net = walk.along(contact.net, lambda unit: False, backwards=True)
        cells.reverse()
        line = Line(Row(tuple(finished(cells, Stub(net, -1), None))), None, contact)
        if len(cells) > 1:
            yield line
        else:
            short.append(line)
    yield from short


def _rank(contact: Contact) -> int:
    return next((n for n, word in enumerate((*LINES, "blanking")) if contact.name.startswith(word)), len(LINES) + 1)
