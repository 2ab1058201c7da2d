"""Every row of the catalogue held against KiCad's own symbols and footprints."""

from __future__ import annotations

import re

import pytest

import kicad_data
from rasterport.parts import RELAY_COILS, all_rows, capacitor, relay
from rasterport.parts.footprints import FOOTPRINTS
from rasterport.records import CataloguePart

ROWS = all_rows()
WITH_SYMBOL = [part for part in ROWS if part.symbol]
WITH_FOOTPRINT = [part for part in ROWS if part.footprint]

pytestmark = [pytest.mark.kicad, pytest.mark.usefixtures("kicad")]


def nameless(name: str, number: str) -> bool:
    """Whether a symbol gives no name, or one that only repeats the number."""
    return name in ("", "~") or re.fullmatch(rf"(P|Pin_)?{re.escape(number)}", name) is not None


@pytest.mark.parametrize("part", WITH_SYMBOL, ids=lambda part: part.key)
def test_pins_equal_the_symbol(part: CataloguePart) -> None:
    """A symbol may leave out a pin that is joined to nothing inside."""
    theirs = {pin.number: pin for pin in kicad_data.symbol_pins(part.symbol)}
    ours = [pin for pin in part.pins if pin.kind != "no_connect" or pin.number in theirs]
    assert {pin.number for pin in ours} == set(theirs)
    for pin in ours:
        their = theirs[pin.number]
        if not nameless(their.name, their.number):
            assert part.pin_alias.get(pin.name, pin.name) == their.name, pin.number
        if pin.kind != "passive":
            assert pin.kind == their.kind, pin.number


@pytest.mark.parametrize("part", WITH_FOOTPRINT, ids=lambda part: part.key)
def test_pins_equal_the_pads(part: CataloguePart) -> None:
    library, name = part.footprint.split(":")
    if library == "rasterport":
        pads = {pad.number for pad in FOOTPRINTS[name].pads if pad.number}
    else:
        assert kicad_data.footprint_exists(part.footprint), part.footprint
        pads = {pad.number for pad in kicad_data.footprint_pads(part.footprint)}
    assert pads == {pin.number for pin in part.pins}


def test_our_own_footprints_are_not_in_the_library() -> None:
    """A name that KiCad has as well would hide that our folder is missing."""
    assert not [f.name for f in FOOTPRINTS.values() if kicad_data.footprint_exists(f"Connector:{f.name}")]


def relay_by_drawing(symbol: str) -> dict[str, str]:
    """What each pin is, read from the drawing: coil by its box and sign, contacts by the armatures."""
    pins = {(pin.x, pin.y): pin.number for pin in kicad_data.symbol_pins(symbol)}
    lines = kicad_data.polylines(symbol)
    contacts = {line[0][0] for line in lines if len(line) > 2}
    armatures = [
        line for line in lines
        if len(line) == 2 and line[0][0] != line[1][0] and line[0][1] != line[1][1] and line[0][1] < -2
        and any(other == (line[0], (line[0][0], -5.08)) for other in lines)
    ]  # fmt: skip
    found = {}
    for letter, (foot, tip) in zip("ab", sorted(armatures), strict=True):
        (common,) = (number for (x, y), number in pins.items() if x == foot[0] and y < 0)
        beside = sorted(contacts, key=lambda x: abs(x - foot[0]))[:2]
        touched, open_one = sorted(beside, key=lambda x: abs(x - tip[0]))
        assert abs(touched - tip[0]) < 1.0 < abs(open_one - tip[0])
        found[common] = f"common-{letter}"
        for x, word in ((touched, "break"), (open_one, "make")):
            (number,) = (number for (px, py), number in pins.items() if px == x and py > 0)
            found[number] = f"{word}-{letter}"
    (plus,) = (t for _, body in kicad_data.units(symbol) for t in kicad_data.children(body, "text") if t[1] == "+")
    plus_y = float(kicad_data.children(plus, "at")[0][2])
    for (_, y), number in pins.items():
        if number not in found:
            found[number] = "coil+" if y * plus_y > 0 else "coil-"
    return found


@pytest.mark.parametrize("coil_v", RELAY_COILS)
def test_relay_contacts_follow_the_drawing(coil_v: float) -> None:
    part = relay(coil_v, "smd")
    assert {pin.number: pin.name for pin in part.pins} == relay_by_drawing(part.symbol)


def test_plus_of_an_electrolytic_is_on_the_side_of_the_sign() -> None:
    part = capacitor(47e-6, "smd", 16.0, "electrolytic")
    plus = next(pin.number for pin in part.pins if pin.name == "+")
    (pin,) = (p for p in kicad_data.symbol_pins(part.symbol) if p.number == plus)
    strokes = [line for line in kicad_data.polylines(part.symbol) if len(line) == 2]
    crossing = {(a[0] + b[0], a[1] + b[1]) for a, b in strokes}
    assert len(strokes) == 2
    assert len(crossing) == 1
    assert pin.y * strokes[0][0][1] > 0
