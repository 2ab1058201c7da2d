"""Sockets and panel switches as they lie where one solders, what goes to each contact, the header at the other end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rasterport.emit.drawing.pen import SMALL, Point, wide
from rasterport.emit.wires.bands import WIDTH, Band, heading, note, row, words
from rasterport.emit.wires.ink import CONTACT, Wiring, said
from rasterport.emit.wires.strands import OTHER, SWITCH, Strand, at_pins, headers_of
from rasterport.parts.faces import VIEWS, Face, face
from rasterport.records import GROUND, Circuit, Pin, Placed
from rasterport.standards.contacts import SHELL
from rasterport.standards.iec60757 import parts_of
from rasterport.standards.sockets import WIRINGS

Ends = Mapping[tuple[str, str], Sequence[Strand]]
CROWD = 92
"""Least distance between the centres of two contacts [0.1 mm], so that the letters of both have room."""
SHELL_LETTERS = "sh"
BELOW = 34
"""From the rim of a contact to the foot of its letters."""


def socket_bands(circuit: Circuit, found: Sequence[Strand], number: int, rows: bool = True) -> list[Band]:
    """The sockets of an input: heading, faces, header, a row a wire unless those stand elsewhere, what stays open."""
    placed = sorted(circuit.under(f"input-{number}/socket"), key=lambda p: (len(p.ref), p.ref))
    if not placed:
        return []
    wiring = WIRINGS[placed[0].part.key.split("/")[1]]
    refs = ", ".join(p.ref for p in placed)
    bands = [heading(f"Input {number}: {wiring.title} ({refs})")]
    return [*bands, *_parts(circuit, found, placed, [s for s in found if s.group == f"input-{number}"], rows)]


def switch_bands(circuit: Circuit, found: Sequence[Strand], rows: bool = True) -> list[Band]:
    """The panel switch, with a row a wire unless those stand elsewhere; nothing where there is none."""
    placed = [p for p in circuit.parts if p.role == "panel/switch"]
    if not placed:
        return []
    bands = [heading(f"Panel switch {placed[0].ref}: {placed[0].part.description}"), note(placed[0].reason)]
    return [*bands, *_parts(circuit, found, placed, [s for s in found if s.group == SWITCH], rows)]


def other_bands(found: Sequence[Strand]) -> list[Band]:
    """Wires of no socket and no switch."""
    own = [strand for strand in found if strand.group == OTHER]
    return [heading("Other wires"), *(row(strand, {}) for strand in own)] if own else []


def _parts(
    circuit: Circuit, found: Sequence[Strand], placed: Sequence[Placed], own: Sequence[Strand], rows: bool
) -> list[Band]:
    ends = at_pins(found)
    drawn = face(placed[0].part)
    letters = f"; {SHELL_LETTERS}: the shell" if any(pin.number == SHELL for p in placed for pin in p.part.pins) else ""
    bands = [note(f"{VIEWS[drawn.view][0].upper()}{VIEWS[drawn.view][1:]}; {drawn.counts}{letters}")]
    bands += _faces(placed, ends)
    for header in headers_of(circuit, own):
        free = any(net == GROUND and (header.ref, number) not in ends for number, net in header.nets.items())
        scr = "; scr: a screen alone" if free else ""
        bands += [note(f"{header.ref} on the board, in the order of its pins{scr}"), *_strip(header, ends)]
    names = {(p.ref, pin.number): pin.name for p in placed for pin in p.part.pins}
    bands += [row(strand, names) for strand in own if rows]
    return [*bands, *_rest(circuit, placed, ends)]


COLUMNS = 3
GAP = 20


def _rest(circuit: Circuit, placed: Sequence[Placed], ends: Ends) -> list[Band]:
    """Contacts without a row of their own, in columns: on which net of the board, wired by the set itself, left open.

    Without a printed board every contact, with the numbers of its joints.
    """
    rows: list[tuple[Placed, Pin, str, bool]] = []
    for part in placed:
        for pin in part.part.pins:
            net, own = part.nets[pin.number], ends.get((part.ref, pin.number), ())
            if circuit.wired and own:
                numbers = ", ".join(strand.cells["order"] for strand in own)
                told = f"wire{'s' if len(own) > 1 else ''} {numbers}"
            elif net is None:
                told = "x, left open"
            elif (part.ref, pin.number) in circuit.joined:
                told = "wired by the set itself"
            elif not own:
                told = net
            else:
                continue
            label = f"{part.ref} " if len(placed) > 1 else ""
            rows.append((part, pin, f"{label}{_called(pin)}: {told}", net is None))
    if not rows:
        return []
    widest = max(wide(told, SMALL) for _, _, told, _ in rows) + GAP
    columns = max(1, min(COLUMNS, (WIDTH + GAP) // widest))
    each = -(-len(rows) // columns)

    def draw(pen: Wiring, x: int, y: int) -> None:
        for n, (part, pin, told, unused) in enumerate(rows):
            at = (x + n // each * (WIDTH // columns), y + 20 + n % each * 25)
            pen.group("rest", ref=part.ref, pin=pin.number, net=part.nets[pin.number] or "")
            pen.text("faint" if unused else "plain", at, told, size=SMALL)
            pen.end()

    title = ON_BOARD if any(p.on_board for p in placed) else "Contacts without a wire"
    return [note(NUMBERED if circuit.wired else title), Band(25 * each + 16, draw)]


NUMBERED = "Contacts and the numbers of their wires"
ON_BOARD = "Contacts and their nets on the board; no wire goes to this socket"


def _called(pin: Pin) -> str:
    """Number and name of a contact; the shell has no number."""
    return pin.name if pin.name == pin.number or pin.number == SHELL else f"{pin.number} {pin.name}"


def _faces(placed: Sequence[Placed], ends: Ends) -> list[Band]:
    """The faces of one kind of part beside one another, as many a row as have room."""
    drawn = [(part, face(part.part)) for part in placed]
    scale = _scale(drawn[0][1])
    left, top, right, bottom = _around(drawn[0][1], scale)
    wide_, high = right - left, bottom - top
    label = max(wide(f"{p.ref} {p.role.partition('socket/')[2]}") for p in placed) + 20
    gap = max(label - wide_, 40)
    each = max(1, (WIDTH + gap) // (wide_ + gap))
    bands = []
    for n in range(0, len(drawn), each):
        some = drawn[n : n + each]

        def draw(pen: Wiring, x: int, y: int, some: Sequence[tuple[Placed, Face]] = some) -> None:
            for k, (part, its) in enumerate(some):
                origin = (x + k * (wide_ + gap) - left, y + 40 - top)
                pen.group("face", f"{part.ref}: {part.part.description}", ref=part.ref)
                name = part.role.partition("socket/")[2]
                pen.text("strong", (x + k * (wide_ + gap), y + 24), f"{part.ref} {name}")
                _face(pen, part, its, scale, origin, ends)
                pen.end()

        bands.append(Band(high + 56, draw, True))
    return bands


def _scale(drawn: Face) -> float:
    """Tenths of a millimetre on paper a millimetre of the part: so that no two contacts crowd each other."""
    places = drawn.places
    least = min((max(abs(a[1] - b[1]), abs(a[2] - b[2]) * 0.8) for n, a in enumerate(places) for b in places[n + 1 :]),
                default=10.0)  # fmt: skip
    xs = [x for _, x, _ in places] + [x for outline in drawn.outlines for x, _ in outline]
    across = max(xs) - min(xs)
    return min(CROWD / least, (WIDTH - 2 * CONTACT - 20) / across if across else CROWD)


def _around(drawn: Face, scale: float) -> tuple[int, int, int, int]:
    """Everything that is drawn of a face, in units of the paper around its own origin."""
    xs = [x * scale for outline in drawn.outlines for x, _ in outline]
    ys = [y * scale for outline in drawn.outlines for _, y in outline]
    xs += [x * scale + side * (CONTACT + 12) for _, x, _ in drawn.places for side in (-1, 1)]
    ys += [y * scale + by for _, _, y in drawn.places for by in (-CONTACT - 10, CONTACT + BELOW)]
    return round(min(xs)) - 3, round(min(ys)) - 3, round(max(xs)) + 3, round(max(ys)) + 3


def _face(pen: Wiring, part: Placed, its: Face, scale: float, origin: Point, ends: Ends) -> None:
    for outline in its.outlines:
        pen.path("outline", *((origin[0] + round(px * scale), origin[1] + round(py * scale)) for px, py in outline))
    names = {pin.number: pin.name for pin in part.part.pins}
    for number, px, py in its.places:
        at = (origin[0] + round(px * scale), origin[1] + round(py * scale))
        _contact(pen, part, number, names.get(number, ""), at, ends.get((part.ref, number), ()))


def _contact(pen: Wiring, part: Placed, number: str, name: str, at: Point, own: Sequence[Strand]) -> None:
    """One contact: a ring in the colour of its wire with the letters below it; a cross where nothing goes."""
    net = part.nets.get(number)
    far = ", ".join(dict.fromkeys(_far(part, strand) for strand in own)) or net or "left open"
    numbers = " ".join(strand.cells["order"] for strand in own)
    pen.group("pole", f"{number} {name}: {far}", wire=numbers, ref=part.ref, pin=number, net=net or "")
    codes = list(dict.fromkeys(said(strand.wire.colour) for strand in own))
    if own:
        pen.circle("ring", at, CONTACT - 5)
        first, *ring = parts_of(own[0].wire.colour) or ("bare",)
        pen.circle(f"colour {first}", at, CONTACT - 5)
        for second in ring:
            pen.circle(f"colour {second} second", at, CONTACT - 5)
    else:
        pen.circle("contact" if net else "contact unused", at, CONTACT)
    letters = SHELL_LETTERS if number == SHELL else number
    pen.text("number" if net else "number faint", (at[0], at[1] + 7), letters, "middle", SMALL)
    if net is None:
        pen.text("code faint", (at[0], at[1] + CONTACT + 24), "x", "middle", SMALL)
    elif codes:
        pen.text("code", (at[0], at[1] + CONTACT + 27), codes[0], "middle", SMALL)
    pen.end()


def _far(part: Placed, strand: Strand) -> str:
    """Where the wire of a contact goes."""
    first = strand.wire.joins[0][0] == part.ref
    return strand.cells["to" if first else "from"]


STRIP = 84


def _strip(header: Placed, ends: Ends) -> list[Band]:
    """A header in the order of its pins, the colour of its wire below each."""
    pins = header.part.pins
    each = WIDTH // STRIP
    bands = []
    for n in range(0, len(pins), each):
        some = pins[n : n + each]

        def draw(pen: Wiring, x: int, y: int, some: Sequence[object] = some, first: int = n) -> None:
            for k, pin in enumerate(pins[first : first + len(some)]):
                own = ends.get((header.ref, pin.number), ())
                at = (x + STRIP // 2 + k * STRIP, y + 36)
                net = header.nets[pin.number] or ""
                numbers = " ".join(strand.cells["order"] for strand in own)
                pen.group("pole", f"{header.ref} pin {pin.number}: {net}", wire=numbers, ref=header.ref, pin=pin.number,
                          net=net)  # fmt: skip
                hue, *ring = (parts_of(own[0].wire.colour) if own else ()) or ("",)
                if hue:
                    pen.path("rim", (at[0], at[1] + 22), (at[0], at[1] + 41))
                    pen.path(f"core {hue}", (at[0], at[1] + 22), (at[0], at[1] + 41))
                for second in ring:
                    pen.path(f"mark {second}", (at[0], at[1] + 30), (at[0], at[1] + 41))
                pen.square(at, pin.number)
                letters = said(own[0].wire.colour) if own else "scr" if net == GROUND else "-"
                pen.text("code" if own else "code faint", (at[0], at[1] + 66), letters, "middle", SMALL)
                pen.end()

        bands.append(Band(120, draw, True))
    return bands


def joint_bands(circuit: Circuit, found: Sequence[Strand]) -> list[Band]:
    """The joints of a circuit without a printed board, under the nets that they belong to."""
    names = {(p.ref, pin.number): pin.name for p in circuit.parts if p.part.letter == "J" for pin in p.part.pins}
    bands: list[Band] = []
    net = ""
    for strand in found:
        if strand.wire.net != net:
            net = strand.wire.net
            bands.append(words("strong", f"Net {net}", keep=True, above=14))
        bands.append(row(strand, names))
    return [heading("Joints, from part to part"), *bands] if bands else []
