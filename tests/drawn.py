"""Reads a circuit drawing back from its SVG as a person does: along wires, by the names beside them.

Attributes that name nets are not used to find what is joined; positions are.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
LETTER = 0.602
"""Advance of a letter of a monospaced face by its size: DejaVu Sans Mono 1233 of 2048, Courier 600 of 1000."""
Point = tuple[float, float]
Rect = tuple[float, float, float, float]


@dataclass
class Symbol:
    """One group of a part: texts with their boxes, the box of its body, pins from the outer end, circles."""

    ref: str
    texts: list[tuple[str, str, Rect]] = field(default_factory=list)
    bodies: list[Rect] = field(default_factory=list)
    pins: list[tuple[str, str, list[Point]]] = field(default_factory=list)
    circles: list[Rect] = field(default_factory=list)

    @property
    def body(self) -> Rect | None:
        return around(self.bodies) if self.bodies else None


@dataclass
class Sheet:
    """What is on one sheet."""

    size: Point
    paper: Point = (0, 0)
    """Width and height [mm]."""
    symbols: list[Symbol] = field(default_factory=list)
    wires: list[list[Point]] = field(default_factory=list)
    names: list[tuple[str, Point]] = field(default_factory=list)
    """What a net is called, and where the name meets it."""
    crosses: list[Point] = field(default_factory=list)
    texts: list[tuple[str, Rect]] = field(default_factory=list)
    """Every text of the sheet."""
    letters: list[float] = field(default_factory=list)
    """The size of each."""
    onward: list[tuple[str, Point]] = field(default_factory=list)
    """Where nets go on, and the tip of the flag that says so."""
    dots: list[Point] = field(default_factory=list)
    flags: list[tuple[str, Rect]] = field(default_factory=list)
    """Outlines around texts."""
    bars: list[tuple[str, Rect]] = field(default_factory=list)
    """Signs of ground and of rails."""
    frames: list[Rect] = field(default_factory=list)
    borders: list[list[Point]] = field(default_factory=list)
    """The line around the sheet and those of the title block."""


def read(svg: str) -> Sheet:
    """One sheet, through ElementTree."""
    root = ElementTree.fromstring(svg.encode("utf-8"))
    _, _, wide, high = (float(v) for v in root.attrib["viewBox"].split())
    millimetres = [float(root.attrib[name].removesuffix("mm")) for name in ("width", "height")]
    sheet = Sheet((wide, high), (millimetres[0], millimetres[1]))
    sheet.letters = [float(text.get("font-size", "24")) for text in root.iter(SVG + "text")]
    for element in root:
        _element(sheet, element)
    return sheet


def _element(sheet: Sheet, element: ElementTree.Element) -> None:
    tag, kind = element.tag.removeprefix(SVG), element.get("class", "")
    if tag == "g" and element.get("data-ref"):
        sheet.symbols.append(_symbol(sheet, element))
    elif tag == "g":
        line, *more = [e for e in element if e.tag == SVG + "path"]
        texts = [e for e in element if e.tag == SVG + "text"]
        assert kind in ("flag", "bar") and len(texts) <= 1
        assert texts or kind == "bar", "a flag without a name"
        sheet.names.append((texts[0].text or "" if texts else "GND", points(line)[0]))
        sheet.texts += [(t.text or "", text_box(t)) for t in texts]
        if kind == "flag":
            sheet.flags.append((texts[0].text or "", around_points(points(line))))
        else:
            sheet.bars.append((sheet.names[-1][0], around([around_points(points(e)) for e in (line, *more)])))
    elif tag == "path" and kind == "wire":
        sheet.wires.append(points(element))
    elif tag == "path" and kind == "open":
        sheet.crosses.append(middle(points(element)))
    elif tag == "path" and kind == "border":
        sheet.borders.append(points(element))
    elif tag == "path" and kind == "frame":
        sheet.frames.append(around_points(points(element)))
    elif tag == "text":
        sheet.texts.append((element.text or "", text_box(element)))
        if kind == "net":
            x, y = element.attrib["data-on"].split()
            sheet.names.append((element.text or "", (float(x), float(y))))
        elif kind == "onward":
            x, y = float(element.attrib["x"]), float(element.attrib["y"])
            way = 1 if element.get("text-anchor") == "end" else -1
            sheet.onward.append((element.text or "", (x + way, y - 22)))
    elif tag == "circle":
        assert kind == "dot"
        sheet.dots.append((float(element.attrib["cx"]), float(element.attrib["cy"])))
    else:
        assert (tag, kind) in {("title", ""), ("style", ""), ("rect", "paper"), ("path", "edge")}, kind


def negated(symbol: Symbol) -> set[str]:
    """The pins that end at a circle and not at the body."""
    return {pin for pin, _, line in symbol.pins for left, top, right, bottom in symbol.circles
            if line[-1] in ((left, (top + bottom) / 2), (right, (top + bottom) / 2))}  # fmt: skip


def beside(symbol: Symbol) -> dict[str, str]:
    """Pin -> what stands at its height in the box, nearest to its inner end."""
    marks = [(words, box) for kind, words, box in symbol.texts if kind == "mark"]

    def far(line: Sequence[Point], box: Rect) -> float:
        x, y = line[-1]
        return abs((box[1] + box[3]) / 2 - y) + min(abs(box[0] - x), abs(box[2] - x))

    return {pin: min(marks, key=lambda mark: far(line, mark[1]))[0] for pin, _, line in symbol.pins}


def numbered(symbol: Symbol) -> set[str]:
    """Pins whose number stands on them: above, between both ends."""
    return {pin for pin, _, ((x0, y0), *_, (x1, _)) in symbol.pins for kind, words, box in symbol.texts
            if kind == "number" and words == pin and min(x0, x1) <= box[0] + 1 and box[2] - 1 <= max(x0, x1)
            and y0 - 30 < box[1] < box[3] < y0}  # fmt: skip


def _symbol(sheet: Sheet, group: ElementTree.Element) -> Symbol:
    symbol = Symbol(group.attrib["data-ref"])
    for element in group:
        tag, kind = element.tag.removeprefix(SVG), element.get("class", "")
        if tag == "text":
            symbol.texts.append((kind, element.text or "", text_box(element)))
            sheet.texts.append((element.text or "", text_box(element)))
        elif kind == "pin":
            symbol.pins.append((element.attrib["data-pin"], element.attrib["data-net"], points(element)))
        elif tag == "path":
            symbol.bodies.append(around_points(points(element)))
        elif tag == "circle":
            x, y, r = (float(element.attrib[name]) for name in ("cx", "cy", "r"))
            symbol.circles.append((x - r, y - r, x + r, y + r))
            symbol.bodies.append(symbol.circles[-1])
    return symbol


def points(path: ElementTree.Element) -> list[Point]:
    """The points of a path, which has straight lines only."""
    words = path.attrib["d"].replace("Z", "").replace("M", " ").replace("L", " ").split()
    assert len(words) % 2 == 0
    return [(float(x), float(y)) for x, y in zip(words[::2], words[1::2], strict=True)]


def text_box(text: ElementTree.Element) -> Rect:
    """Where letters stand: capitals are three quarters of the size high, and a fifth hangs below the line."""
    size = float(text.get("font-size", "24"))
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    wide = LETTER * size * len(text.text or "")
    left = x - {"middle": wide / 2, "end": wide}.get(text.get("text-anchor", ""), 0)
    return (left, y - 0.75 * size, left + wide, y + 0.2 * size)


def around_points(found: Sequence[Point]) -> Rect:
    return (min(x for x, _ in found), min(y for _, y in found), max(x for x, _ in found), max(y for _, y in found))


def around(found: Sequence[Rect]) -> Rect:
    return around_points([*[r[:2] for r in found], *[r[2:] for r in found]])


def middle(found: Sequence[Point]) -> Point:
    left, top, right, bottom = around_points(found)
    return ((left + right) / 2, (top + bottom) / 2)


def meet(a: Rect, b: Rect) -> bool:
    """Whether two boxes share more than an edge."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def inner(box: Rect) -> Rect:
    """A box without its edge, on which the wire to a sign ends."""
    left, top, right, bottom = box
    return (left, top + 2, right, max(bottom, top + 2) - 2) if bottom - top > 4 else (left, top, right, bottom)


def inside(a: Rect, b: Rect) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]


def on(point: Point, start: Point, end: Point) -> bool:
    """Whether a point lies on a piece of a wire."""
    length = math.dist(start, end)
    return abs(math.dist(start, point) + math.dist(point, end) - length) < 1e-6


def pieces(line: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise(line)


class Joined:
    """Which points a sheet's wires join: ends of wires join what they lie on, crossing wires do not."""

    def __init__(self, sheet: Sheet) -> None:
        self._to: dict[Point, Point] = {}
        ends = {p for wire in sheet.wires for p in wire}
        ends |= {at for _, at in sheet.names}
        ends |= {line[0] for symbol in sheet.symbols for _, _, line in symbol.pins}
        by_y: dict[float, list[Point]] = {}
        by_x: dict[float, list[Point]] = {}
        for point in ends:
            by_y.setdefault(point[1], []).append(point)
            by_x.setdefault(point[0], []).append(point)
        for wire in sheet.wires:
            for start, end in pieces(wire):
                assert start[0] == end[0] or start[1] == end[1], "wires run upright or level"
                near = by_y[start[1]] if start[1] == end[1] else by_x[start[0]]
                for point in near:
                    if on(point, start, end):
                        self._join(point, start)
                self._join(start, end)

    def _join(self, a: Point, b: Point) -> None:
        self._to[self.root(a)] = self.root(b)

    def root(self, point: Point) -> Point:
        while self._to.get(point, point) != point:
            point = self._to[point]
        return point


def netlist(sheets: Iterable[Sheet]) -> dict[tuple[str, str], str | None]:
    """(reference, pin) -> name of its net as the drawing tells it, None where the pin bears a cross.

    Fails where a wire has no name or two, where a pin hangs in the air, or stands twice.
    """
    found: dict[tuple[str, str], str | None] = {}
    for sheet in sheets:
        joined = Joined(sheet)
        named: dict[Point, str] = {}
        for name, at in sheet.names:
            assert named.setdefault(joined.root(at), name) == name, f"{name} is joined to {named[joined.root(at)]}"
        for wire in sheet.wires:
            assert joined.root(wire[0]) in named, f"a wire without a name at {wire[0]}"
        for symbol in sheet.symbols:
            for pin, _, line in symbol.pins:
                assert (symbol.ref, pin) not in found, f"{symbol.ref} {pin} stands twice"
                crossed = line[0] in sheet.crosses
                net = named.get(joined.root(line[0]))
                assert crossed != (net is not None), f"{symbol.ref} {pin} hangs in the air, or bears a cross and a name"
                found[symbol.ref, pin] = net
    return found


def clashes(sheet: Sheet) -> list[str]:
    """What stands in the way of what, in words; nothing on a good sheet."""
    found = []
    bodies = [(symbol.ref, symbol.body) for symbol in sheet.symbols if symbol.body]
    wires = [[thin(*p) for p in pieces(wire)] for wire in sheet.wires]
    lines = [*wires, *[[thin(*p) for p in pieces(line)] for symbol in sheet.symbols for _, _, line in symbol.pins]]
    edges = [thin(*p) for border in sheet.borders for p in pieces(border)]
    boxes = {box for symbol in sheet.symbols for kind, _, box in symbol.texts if kind == "mark"}
    paper = (0.0, 0.0, *sheet.size)
    for n, (words, box) in enumerate(sheet.texts):
        if not inside(box, paper):
            found.append(f"{words!r} leaves the paper")
        found += [f"{words!r} on {other!r}" for other, b in sheet.texts[n + 1 :] if meet(box, b)]
        found += [f"{words!r} on {ref}" for ref, b in bodies if meet(box, b) and box not in boxes]
        found += [f"{words!r} on the flag {other!r}" for other, b in sheet.flags if meet(box, b) and other != words]
        found += [f"{words!r} on a line" for line in lines if any(meet(box, piece) for piece in line)]
        found += [f"{words!r} on the sign of {net}" for net, b in sheet.bars if words != net and meet(box, b)]
        found += [f"{words!r} on a line of the sheet" for edge in edges if meet(box, edge)]
        found += [f"{words!r} on the edge of a frame" for f in sheet.frames if meet(box, f) and not inside(box, f)]
    for symbol in sheet.symbols:
        for kind, words, box in symbol.texts:
            if kind == "mark" and not any(inside(box, b) for b in symbol.bodies):
                found.append(f"the mark {words!r} of {symbol.ref} is not in its box")
            if kind == "mark":
                small = [b for b in symbol.bodies if not inside(box, b)]
                found += [f"the mark {words!r} on a line of {symbol.ref}" for b in small if meet(box, b)]
    for n, (ref, body) in enumerate(bodies):
        if not inside(body, paper):
            found.append(f"{ref} leaves the paper")
        found += [f"{ref} on {other}" for other, b in bodies[n + 1 :] if meet(body, b)]
        found += [f"{ref} on the flag {other!r}" for other, b in sheet.flags if meet(body, b)]
        found += [f"{ref} on a wire" for wire in wires if any(meet(body, piece) for piece in wire)]
        found += [f"{ref} on the edge of a frame" for f in sheet.frames if meet(body, f) and not inside(body, f)]
    for n, (name, bar) in enumerate(sheet.bars):
        found += [f"the signs of {name} and {other}" for other, b in sheet.bars[n + 1 :] if meet(bar, b)]
        found += [f"the sign of {name} on the flag {other!r}" for other, b in sheet.flags if meet(bar, b)]
        found += [f"the sign of {name} on {ref}" for ref, b in bodies if meet(bar, b)]
        within = inner(bar)
        found += [f"the sign of {name} on a line" for line in lines for piece in line if meet(within, piece)]
        found += [
            f"the sign of {name} on the edge of a frame" for f in sheet.frames if meet(bar, f) and not inside(bar, f)
        ]
    for n, (name, flag) in enumerate(sheet.flags):
        found += [f"the flags {name!r} and {other!r}" for other, b in sheet.flags[n + 1 :] if meet(flag, b)]
        found += [f"the flag {name!r} on a wire" for wire in wires if any(meet(flag, piece) for piece in wire)]
    found += ["frames overlap" for n, f in enumerate(sheet.frames) for g in sheet.frames[n + 1 :] if meet(f, g)]
    found += [f"frame {f} leaves the paper" for f in sheet.frames if not inside(f, paper)]
    for symbol in sheet.symbols:
        held = [any(inside(box, f) for f in sheet.frames) for box in [*symbol.bodies, *[b for _, _, b in symbol.texts]]]
        found += [f"{symbol.ref} stands in no frame"] if not all(held) else []
    return found + list(crossings(sheet)) + list(joints(sheet))


def joints(sheet: Sheet) -> Iterator[str]:
    """Dots where fewer than three ways meet, and meetings of three without one."""
    lines = [*sheet.wires, *[line for symbol in sheet.symbols for _, _, line in symbol.pins]]
    parts = [(part, around_points(part)) for line in lines for part in pieces(line)]
    for point in {p for line in lines for p in line} | set(sheet.dots):
        x, y = point
        # Of pieces of wire far from the point nobody asks; what `on` lets pass beside a piece is far less than 1.
        near = [part for part, (a, b, c, d) in parts if a - 1 < x < c + 1 and b - 1 < y < d + 1]
        ways = {_way(point, end) for part in near if on(point, *part) for end in part if end != point}
        if (len(ways) > 2) != (point in sheet.dots):
            yield f"{len(ways)} ways at {point}, {'a' if point in sheet.dots else 'no'} dot"


def _way(start: Point, end: Point) -> tuple[int, int]:
    """Which of the four ways, or any slanting one, leads from a point to another."""
    across, down = end[0] - start[0], end[1] - start[1]
    return ((across > 0) - (across < 0), (down > 0) - (down < 0))


def crossings(sheet: Sheet) -> Iterator[str]:
    """Wires that cross without being joined."""
    parts = [(start, end) for wire in sheet.wires for start, end in pieces(wire)]
    level = [(s, e) for s, e in parts if s[1] == e[1]]
    for a, b in ((s, e) for s, e in parts if s[0] == e[0]):
        top, bottom = min(a[1], b[1]), max(a[1], b[1])
        for s, e in level:
            if min(s[0], e[0]) < a[0] < max(s[0], e[0]) and top < s[1] < bottom:
                yield f"wires cross at {a[0]}, {s[1]}"


def thin(start: Point, end: Point) -> Rect:
    """A level or upright line with a little thickness across it."""
    left, top, right, bottom = around_points([start, end])
    return (left - (left == right), top - (top == bottom), right + (left == right), bottom + (top == bottom))


@dataclass
class Item:
    """Something on a picture of the wiring: class, text, box or points, and the wire in whose group it is."""

    kind: str
    box: Rect
    wire: str = ""
    words: str = ""
    line: list[Point] = field(default_factory=list)


@dataclass
class Flat:
    """A picture of the wiring as boxes: texts, symbols, frames that things stand in, lines."""

    size: Point
    texts: list[Item] = field(default_factory=list)
    symbols: list[Item] = field(default_factory=list)
    frames: list[Item] = field(default_factory=list)
    lines: list[Item] = field(default_factory=list)


SYMBOLS = ("badge", "pad", "contact", "ring", "tag", "terminal")
WIDTHS = {"core": 9.0, "mark": 9.0, "rim": 15.0, "sheath": 28.0, "bus": 5.0, "tail": 2.5, "rule": 1.5}


def flat(svg: str) -> Flat:
    """A picture of the wiring, through ElementTree."""
    root = ElementTree.fromstring(svg.encode("utf-8"))
    _, _, wide, high = (float(v) for v in root.attrib["viewBox"].split())
    found = Flat((wide, high))
    _flat(found, root, "")
    return found


def _flat(found: Flat, element: ElementTree.Element, wire: str) -> None:
    for child in element:
        tag, kind = child.tag.removeprefix(SVG), child.get("class", "").split(" ")[0]
        if tag == "g":
            _flat(found, child, child.get("data-wire", wire) if kind in ("strand", "step") else wire)
        elif tag == "text":
            found.texts.append(Item(kind, text_box(child), wire, child.text or ""))
        elif tag == "circle":
            x, y, r = (float(child.attrib[name]) for name in ("cx", "cy", "r"))
            if kind in SYMBOLS:
                found.symbols.append(Item(kind, (x - r, y - r, x + r, y + r), wire))
        elif tag == "path":
            line = points(child)
            item = Item(kind, around_points(line), wire, "", line)
            if kind in SYMBOLS:
                found.symbols.append(item)
            elif kind in ("board", "outline"):
                item.line = [*line, line[0]]
                found.frames.append(item)
            elif kind in WIDTHS:
                found.lines.append(item)
            else:
                assert kind in ("halo", "gap"), kind
        else:
            assert tag in ("title", "style", "rect"), tag


def muddles(found: Flat) -> list[str]:
    """What stands in the way of what on a picture of the wiring, in words; nothing on a good one."""
    told = []
    paper = (0.0, 0.0, *found.size)
    for n, text in enumerate(found.texts):
        told += [f"{text.words!r} on {o.words!r}" for o in found.texts[n + 1 :] if meet(text.box, o.box)]
        holders = [s for s in found.symbols if meet(text.box, s.box)]
        told += [f"{text.words!r} on a {s.kind}" for s in holders if not inside(text.box, s.box)]
        if not any(inside(text.box, s.box) for s in holders):
            told += [f"{text.words!r} on a {w.kind}" for w in found.lines if touches(w, text.box)]
            told += [f"{text.words!r} on the edge of a {f.kind}" for f in found.frames if touches(f, text.box)]
    for n, one in enumerate(found.symbols):
        told += [f"{one.kind} on {o.kind} at {one.box}" for o in found.symbols[n + 1 :] if meet(one.box, o.box)]
        if one.kind != "pad":  # pads sit on the board's edge
            told += [f"{one.kind} on the edge of a {f.kind}" for f in found.frames if touches(f, one.box)]
        told += [f"{one.kind} {one.wire} on wire {w.wire}" for w in found.lines
                 if w.kind in ("core", "sheath") and w.wire != one.wire and touches(w, one.box)]  # fmt: skip
    every = [*found.texts, *found.symbols, *found.frames, *found.lines]
    return told + [f"{i.kind} {i.words!r} leaves the paper" for i in every if not inside(i.box, paper)]


def touches(item: Item, box: Rect) -> bool:
    """Whether a line in its width meets a box."""
    half = WIDTHS.get(item.kind, 3.0) / 2
    grown = (box[0] - half, box[1] - half, box[2] + half, box[3] + half)
    return meet(item.box, grown) and any(crosses(start, end, grown) for start, end in pieces(item.line))


def crosses(start: Point, end: Point, box: Rect) -> bool:
    """Whether a straight line of any slope goes through the inside of a box (clipping by Liang and Barsky)."""
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        run, low, high = end[axis] - start[axis], box[axis] - start[axis], box[axis + 2] - start[axis]
        if run == 0:
            if low >= 0 or high <= 0:
                return False
            continue
        first, last = sorted((low / run, high / run))
        enter, leave = max(enter, first), min(leave, last)
    return enter < leave
