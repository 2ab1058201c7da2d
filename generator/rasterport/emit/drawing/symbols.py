"""Symbols in the manner of IEC 60617, drawn along an axis: R a rectangle, C two plates, contacts at rest.

The shapes are common practice, from memory of the standard; every symbol is 12 mm long from end to end.
"""

from __future__ import annotations

from collections.abc import Callable

from rasterport.emit.drawing.pen import SMALL, Pen, Point
from rasterport.emit.drawing.units import Unit

LENGTH = 120
HALF = {
    "capacitor": 26,
    "polarised": 26,
    "coil": 30,
    "trimmer": 28,
    "ptc": 28,
    "diode": 18,
    "schottky": 18,
    "clamp": 18,
}
"""Half the width of a symbol across its axis [0.1 mm]; of any other 15."""
Along = Callable[[int, int], Point]
"""From (along the axis, across it) to the paper."""


def half_of(unit: Unit) -> int:
    """Half the width of a two-ended symbol across its axis [0.1 mm]."""
    return HALF.get(unit.symbol, 15)


def two_ended(pen: Pen, unit: Unit, at: Point, way: str, turned: bool = False) -> None:
    """A two-ended symbol from `at` to the "right", "down" or "up"; `turned` puts its second end first."""
    x, y = at
    far = -1 if turned else 1

    def along(t: int, s: int) -> Point:
        t = t if far > 0 else LENGTH - t
        s *= far
        return {"right": (x + t, y + s), "down": (x - s, y + t), "up": (x + s, y - t)}[way]

    inner = {"capacitor": (52, 68), "polarised": (52, 68), "coil": (35, 85), "clamp": (36, 84)}.get(
        unit.symbol, (20, 100)
    )
    if unit.symbol in ("diode", "schottky"):
        inner = (44, 76)
    for (numbers, net), t, end in zip(unit.ends, inner, (0, LENGTH), strict=True):
        for number in numbers:
            pen.pin(number, net, along(end, 0), along(t, 0))
    _body(pen, unit.symbol, along)


def _body(pen: Pen, symbol: str, along: Along) -> None:
    def line(*points: Point, closed: bool = False, kind: str = "body") -> None:
        pen.path(kind, *[along(t, s) for t, s in points], closed=closed)

    if symbol in ("capacitor", "polarised"):
        line((52, -26), (52, 26))
        line((68, -26), (68, 26))
        if symbol == "polarised":
            line((30, -20), (44, -20))
            line((37, -27), (37, -13))
    elif symbol in ("diode", "schottky"):
        line((44, -18), (44, 18), (76, 0), closed=True)
        line(*(((70, -12), (70, -18), (76, -18)) if symbol == "schottky" else ((76, -18),)), (76, 18))
        if symbol == "schottky":
            line((76, 18), (82, 18), (82, 12))
    elif symbol == "clamp":
        line((36, -15), (36, 15), (60, 0), closed=True)
        line((84, -15), (84, 15), (60, 0), closed=True)
        line((54, -18), (60, -18), (60, 18), (66, 18))
    elif symbol == "coil":
        line((35, -30), (35, 30), (85, 30), (85, -30), closed=True)
    else:
        line((20, -15), (20, 15), (100, 15), (100, -15), closed=True)
        if symbol == "fuse":
            line((20, 0), (100, 0))
        elif symbol == "ptc":
            line((30, 28), (44, 28), (82, -28))
        elif symbol == "trimmer":
            line((38, 28), (82, -28))
            line((75, -28), (89, -20), kind="body")


ARM = 68
"""How far collector and emitter reach up and down from the axis of the base [0.1 mm]."""
COLUMN = 100
"""How far they stand behind the base's end [0.1 mm]."""


def transistor(pen: Pen, unit: Unit, at: Point) -> None:
    """A transistor, its base or gate at `at`, its other ends above and below."""
    x, y = at
    (base, base_net), (upper, upper_net), (lower, lower_net) = ((n[0], net) for n, net in unit.ends)
    column = x + COLUMN
    if unit.symbol == "nfet":
        pen.pin(base, base_net, at, (x + 56, y))
        pen.path("body", (x + 56, y - 30), (x + 56, y + 30))
        for top, bottom in ((-36, -18), (-9, 9), (18, 36)):
            pen.path("body", (x + 66, y + top), (x + 66, y + bottom))
        pen.path("body", (x + 66, y - 27), (column, y - 27), (column, y - 46))
        pen.path("body", (x + 66, y + 27), (column, y + 27), (column, y + 46))
        pen.path("body", (x + 66, y), (column, y), (column, y + 27))
        pen.path("full", (x + 66, y), (x + 82, y - 7), (x + 82, y + 7), closed=True)
    else:
        pen.pin(base, base_net, at, (x + 60, y))
        pen.path("body", (x + 60, y - 30), (x + 60, y + 30))
        pen.path("body", (x + 60, y - 12), (column, y - 46))
        pen.path("body", (x + 60, y + 12), (column, y + 46))
        if unit.symbol == "npn":
            pen.path("full", (x + 98, y + 44), (x + 80, y + 38), (x + 88, y + 26), closed=True)
        else:
            pen.path("full", (x + 62, y - 14), (x + 72, y - 30), (x + 81, y - 18), closed=True)
    pen.circle("body", (x + 82, y), 50)
    pen.pin(upper, upper_net, (column, y - ARM), (column, y - 46))
    pen.pin(lower, lower_net, (column, y + ARM), (column, y + 46))


GATE_PIN, GATE_BODY = 46, 68
"""Length of a gate's pins and side of its square [0.1 mm]."""
CIRCLE = 6
"""Radius of the circle of a negated output [0.1 mm]."""


def gate(pen: Pen, unit: Unit, at: Point) -> None:
    """A gate of one input, its input's outer end at `at`: 1 in a square, the sign of hysteresis below it."""
    x, y = at
    left, right, half = x + GATE_PIN, x + GATE_PIN + GATE_BODY, GATE_BODY // 2
    ((entered, *_), entered_net), ((out, *_), out_net) = unit.ends
    pen.pin(entered, entered_net, at, (left, y))
    pen.path("body", (left, y - half), (right, y - half), (right, y + half), (left, y + half), closed=True)
    pen.text("mark", (left + half, y - 10), "1", "middle")
    if "Schmitt" in unit.placed.part.description:
        middle = left + half
        pen.path("sign", (middle - 18, y + 22), (middle + 8, y + 22), (middle + 8, y + 4), (middle + 18, y + 4))
        pen.path("sign", (middle - 8, y + 22), (middle - 8, y + 4), (middle + 8, y + 4))
    start = right
    if unit.symbol == "inverter":
        pen.circle("body", (right + CIRCLE, y), CIRCLE)
        start += 2 * CIRCLE
    pen.pin(out, out_net, (right + GATE_PIN, y), (start, y))
    pen.text("number", (left - 6, y - 6), entered, "end", SMALL)
    pen.text("number", (start + 4, y - 6), out, size=SMALL)


REGULATOR, REGULATOR_PIN = (150, 76), 40
"""Sides of a regulator, and the length of its pins [0.1 mm]."""


def regulator(pen: Pen, unit: Unit, at: Point) -> Point:
    """A regulator of three pins, its input's outer end at `at`; returns where its ground ends."""
    x, y = at
    wide_, high = REGULATOR
    left, right, bottom = x + REGULATOR_PIN, x + REGULATOR_PIN + wide_, y + high // 2
    foot = (left + wide_ // 2, bottom + REGULATOR_PIN)
    ends = ((at, (left, y)), ((right + REGULATOR_PIN, y), (right, y)), (foot, (foot[0], bottom)))
    for ((number, *_), net), (outer, inner) in zip(unit.ends, ends, strict=True):
        pen.pin(number, net, outer, inner)
    pen.path("body", (left, y - high // 2), (right, y - high // 2), (right, bottom), (left, bottom), closed=True)
    for words, place, anchor in (("IN", (left + 8, y + 8), "start"), ("OUT", (right - 8, y + 8), "end")):
        pen.text("mark", place, words, anchor, SMALL)
    numbers = [numbers[0] for numbers, _ in unit.ends]
    pen.text("number", (left - 6, y - 6), numbers[0], "end", SMALL)
    pen.text("number", (right + 6, y - 6), numbers[1], size=SMALL)
    pen.text("number", (foot[0] + 8, bottom + 26), numbers[2], size=SMALL)
    return foot
