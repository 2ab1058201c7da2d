"""Footprints of our own, as data, for sockets that KiCad's libraries of versions 6 to 10 do not all have.

Measures in millimetres, x to the right and y DOWN as in KiCad, seen on the component side with the mouth
of the socket toward +y, that is toward the board's edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Shape = Literal["circle", "rect", "oval"]
PadKind = Literal["thru_hole", "np_thru_hole"]
Layer = Literal["F.SilkS", "F.Fab"]

LIBRARY = "rasterport"


@dataclass(frozen=True, slots=True)
class Pad:
    """One pad.  `number` is "" for a bare hole; an oval `drill` is a slot of drill_x by drill_y."""

    number: str
    x: float
    y: float
    size_x: float
    size_y: float
    drill_x: float
    drill_y: float
    shape: Shape = "circle"
    kind: PadKind = "thru_hole"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke on a drawing layer."""

    layer: Layer
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, left and top first."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Footprint:
    """One footprint: pads, courtyard, strokes, the corners of the mark beside pin 1, and words.

    `edge_y` is where the board's edge belongs; `reference_at` and `value_at` where the two texts stand.
    """

    name: str
    descr: str
    tags: str
    pads: tuple[Pad, ...]
    courtyard: Box
    lines: tuple[Line, ...]
    pin1_mark: tuple[tuple[float, float], ...]
    reference_at: tuple[float, float]
    value_at: tuple[float, float]
    edge_y: float
    source: str
    confidence: str

    @property
    def library_name(self) -> str:
        """Name with library, as a netlist writes it."""
        return f"{LIBRARY}:{self.name}"


def _box(layer: Layer, box: Box) -> tuple[Line, ...]:
    return (
        Line(layer, box.x1, box.y1, box.x2, box.y1),
        Line(layer, box.x2, box.y1, box.x2, box.y2),
        Line(layer, box.x2, box.y2, box.x1, box.y2),
        Line(layer, box.x1, box.y2, box.x1, box.y1),
    )


def _open_box(layer: Layer, box: Box) -> tuple[Line, ...]:
    """Back and both sides; the mouth stays open."""
    top, right, _, left = _box(layer, box)
    return top, right, left


def _round(number: str, x: float, y: float, size: float, drill: float, shape: Shape = "circle") -> Pad:
    return Pad(number, round(x, 4), round(y, 4), size, size, drill, drill, shape)


PITCH_21, STAGGER_21, ROWS_21 = 3.81, 1.905, 5.08
FIRST_21 = 19.05

SOCKET_21 = Footprint(
    name="Socket_21_RightAngle",
    descr=(
        "21-contact audio/video socket, right angle, contact pitch 3.81 mm, rows 5.08 mm apart, even row "
        "staggered by 1.905 mm; hole pattern of a public right-angle footprint, pitch confirmed by an unrelated one; "
        "contact 1 at the right with the mouth toward the viewer, odd row at the back. Parts exist whose odd row "
        "bends the other way: hold the drawing of the actual part against this pattern before ordering boards"
    ),
    tags="socket 21 contacts IEC 60933-1 IEC 60807-9 right angle",
    pads=(
        *(
            _round(str(n), FIRST_21 - (n - 1) // 2 * PITCH_21, -ROWS_21, 2.2, 1.32, "rect" if n == 1 else "circle")
            for n in range(1, 22, 2)
        ),
        *(_round(str(n), FIRST_21 - STAGGER_21 - (n - 2) // 2 * PITCH_21, 0.0, 2.2, 1.32) for n in range(2, 21, 2)),
        Pad("", -26.416, 1.524, 3.05, 6.58, 3.05, 6.58, "oval", "np_thru_hole"),
        Pad("", 26.416, 1.524, 3.05, 6.58, 3.05, 6.58, "oval", "np_thru_hole"),
    ),
    courtyard=Box(-33.5, -8.3, 33.5, 11.55),
    lines=(
        *_box("F.Fab", Box(-23.495, -6.6, 23.495, 11.049)),
        *_box("F.Fab", Box(-33.02, 0.0, 33.02, 3.048)),
        *_open_box("F.SilkS", Box(-23.6, -6.7, 23.6, 3.0)),
    ),
    pin1_mark=((19.05, -6.95), (18.55, -7.85), (19.55, -7.85)),
    reference_at=(0.0, -9.3),
    value_at=(0.0, 7.0),
    edge_y=3.048,
    source="two unrelated public footprints, one right angle, one vertical (CERN OHL)",
    confidence="pitch in two texts; handedness and fixing slots in one",
)

PITCH_DE15, ROWS_DE15 = 2.29, 1.98

SOCKET_DE15 = Footprint(
    name="Socket_DE15_RightAngle",
    descr=(
        "DE-15 socket (female), right angle, pitch 2.29 mm, rows 1.98 mm apart, first row 8.35 mm behind the edge, "
        "fixing holes 25 mm apart; measures as in KiCad's library for versions 6 to 8. Other makers space the rows by "
        "2.54 mm: hold the drawing of the actual part against this pattern before ordering boards"
    ),
    tags="DE-15 high density D socket right angle",
    pads=(
        *(_round(str(n), -(n - 1) * PITCH_DE15, 0.0, 1.6, 1.0, "rect" if n == 1 else "circle") for n in range(1, 6)),
        *(_round(str(n), 1.145 - (n - 6) * PITCH_DE15, ROWS_DE15, 1.6, 1.0) for n in range(6, 11)),
        *(_round(str(n), -(n - 11) * PITCH_DE15, 2 * ROWS_DE15, 1.6, 1.0) for n in range(11, 16)),
        _round("0", 8.185, 1.42, 4.0, 3.2),
        _round("0", -16.815, 1.42, 4.0, 3.2),
    ),
    courtyard=Box(-20.25, -2.9, 11.65, 19.25),
    lines=(
        *_box("F.Fab", Box(-19.74, -1.58, 11.11, 12.31)),
        *_box("F.Fab", Box(-12.465, 12.71, 3.835, 18.71)),
        *_open_box("F.SilkS", Box(-19.85, -1.69, 11.22, 12.2)),
    ),
    pin1_mark=((0.0, -1.95), (-0.5, -2.75), (0.5, -2.75)),
    reference_at=(-4.315, -3.9),
    value_at=(-4.315, 15.71),
    edge_y=12.31,
    source="KiCad footprint library 6.0.11, DSUB-15-HD female, edge offset 8.35 mm",
    confidence="one drawing, copied as measures",
)

PHONO = Footprint(
    name="Phono_RightAngle",
    descr=(
        "Phono jack, one, right angle, centre pin 1 and shell pins 2, body 10 mm wide; from memory of common parts, "
        "whose pins differ between makers: hold the drawing of the actual part against this pattern before ordering"
    ),
    tags="phono jack right angle",
    pads=(
        _round("1", 0.0, 0.0, 2.8, 1.5, "rect"),
        _round("2", -4.5, 4.5, 2.8, 1.5),
        _round("2", 4.5, 4.5, 2.8, 1.5),
    ),
    courtyard=Box(-6.4, -3.3, 6.4, 19.5),
    lines=(
        *_box("F.Fab", Box(-5.0, -1.5, 5.0, 9.0)),
        *_box("F.Fab", Box(-4.2, 9.0, 4.2, 19.0)),
        Line("F.SilkS", -5.12, -1.62, 5.12, -1.62),
        Line("F.SilkS", -5.12, -1.62, -5.12, 2.7),
        Line("F.SilkS", 5.12, -1.62, 5.12, 2.7),
    ),
    pin1_mark=((0.0, -1.9), (-0.5, -2.8), (0.5, -2.8)),
    reference_at=(0.0, -4.3),
    value_at=(0.0, 12.0),
    edge_y=9.0,
    source="common practice, no source",
    confidence="from memory",
)

FOOTPRINTS: dict[str, Footprint] = {f.name: f for f in (SOCKET_21, SOCKET_DE15, PHONO)}
"""Our own footprints by their name without library."""
