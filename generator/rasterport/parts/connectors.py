"""Headers, wire pads, test points, and the sockets of the rear panel.

Sockets carry no part number: what fits the panel and the pattern is bought by description, and the drawing
of the actual part is held against the footprint before a board is ordered.  Panel openings: 21-contact
socket estimated from two public outlines; miniature D cut-out, BNC (3/8-32 bushing) and insulated
phono from memory.
"""

from __future__ import annotations

from typing import Literal

from rasterport.parts.common import SCHEME
from rasterport.records import CataloguePart, Construction, Pin
from rasterport.standards.sockets import WIRINGS

Mounting = Literal["board", "panel", "cable", "existing"]

MOST_HEADER_PINS = 40


def header(pins: int) -> CataloguePart:
    """Straight pin header in one row of `pins` (1 to 40) at 2.54 mm.  Raises ValueError outside."""
    if not 1 <= pins <= MOST_HEADER_PINS:
        raise ValueError(f"a header has 1 to {MOST_HEADER_PINS} pins, found {pins}")
    return CataloguePart(
        key=f"header/{pins}",
        letter="J",
        name=f"Header 1x{pins:02d}",
        description=f"Pin header, 1 row of {pins}, 2.54 mm, straight",
        pins=tuple(Pin(str(n), f"Pin_{n}") for n in range(1, pins + 1)),
        package="2.54 mm",
        footprint=f"Connector_PinHeader_2.54mm:PinHeader_1x{pins:02d}_P2.54mm_Vertical",
        manufacturer="Wurth Elektronik",
        part_number=f"6130{pins:02d}11121",
        number_rests_on=SCHEME,
        symbol=f"Connector_Generic:Conn_01x{pins:02d}",
        rating="3 A",
        ratings={"current_max_a": 3.0, "contact_ohm": 0.02},
        source="Wurth Elektronik WR-PHD numbering scheme",
        confidence="from memory",
    )


def wire_pad() -> CataloguePart:
    """A plated hole for one wire of up to 0.25 mm2; copper, nothing to order."""
    return CataloguePart(
        key="wire-pad",
        letter="E",
        name="Wire pad",
        description="Plated hole for one wire, 0.25 mm2",
        pins=(Pin("1", "Pin_1"),),
        package="hole 0.65 mm",
        footprint="Connector_Wire:SolderWire-0.25sqmm_1x01_D0.65mm_OD1.7mm",
        symbol="Connector_Generic:Conn_01x01",
        source="KiCad footprint library",
        confidence="pattern in KiCad's library",
        orderable=False,
    )


def wire_end() -> CataloguePart:
    """Where a wire to the chassis begins on a circuit without a printed board: no copper, nothing to order."""
    return CataloguePart(
        key="wire-end",
        letter="E",
        name="Wire end",
        description="End of a wire to the chassis, soldered to a part",
        pins=(Pin("1", "Pin_1"),),
        package="none",
        footprint="",
        symbol="Connector_Generic:Conn_01x01",
        source="no part: a name for the netlist",
        confidence="no part",
        orderable=False,
    )


def test_point(construction: Construction) -> CataloguePart:
    """A place for a probe: a flat pad, or a pad with a hole on a through-hole board; nothing to order."""
    smd = construction == "smd"
    return CataloguePart(
        key=f"test-point/{construction}",
        letter="TP",
        name="Test point",
        description="Test point, 1.5 mm pad" + ("" if smd else " with hole"),
        pins=(Pin("1", "1"),),
        package="pad 1.5 mm",
        footprint=f"TestPoint:TestPoint_{'Pad_D1.5mm' if smd else 'THTPad_D1.5mm_Drill0.7mm'}",
        symbol="Connector:TestPoint",
        source="KiCad footprint library",
        confidence="pattern in KiCad's library",
        orderable=False,
    )


BOARD_FOOTPRINTS = {
    "european-21": "rasterport:Socket_21_RightAngle",
    "japanese-21": "rasterport:Socket_21_RightAngle",
    "de-15": "rasterport:Socket_DE15_RightAngle",
    "bnc-4": "Connector_Coaxial:BNC_TEConnectivity_1478035_Horizontal",
    "phono-4": "rasterport:Phono_RightAngle",
}

SYMBOLS = {
    "european-21": "Connector:SCART-F",
    "japanese-21": "Connector:SCART-F",
    "de-15": "Connector:DB15_Female_HighDensity_MountingHoles",
    "bnc-4": "Connector:Conn_Coaxial",
    "phono-4": "Connector:Conn_Coaxial",
}
"""KiCad's 21-contact symbol names its pins by number alone, so it serves both wirings."""

WORDS = {
    "european-21": "21-contact audio/video socket (IEC 60807-9)",
    "japanese-21": "21-contact audio/video socket (IEC 60807-9)",
    "de-15": "DE-15 socket, female",
    "bnc-4": "BNC jack, 75 ohm",
    "phono-4": "Phono jack",
}

# fmt: off
PANEL_RATINGS: dict[str, dict[str, float]] = {
    "european-21": {"panel_width_mm": 48.0, "panel_height_mm": 16.5, "fixing_spacing_mm": 52.83, "fixing_hole_mm": 3.2,
                    "plug_width_mm": 56.0, "plug_height_mm": 26.0},
    "japanese-21": {"panel_width_mm": 48.0, "panel_height_mm": 16.5, "fixing_spacing_mm": 52.83, "fixing_hole_mm": 3.2,
                    "plug_width_mm": 56.0, "plug_height_mm": 26.0},
    "de-15": {"panel_width_mm": 19.5, "panel_height_mm": 11.5, "fixing_spacing_mm": 25.0, "fixing_hole_mm": 3.2,
              "plug_width_mm": 34.0, "plug_height_mm": 17.0},
    "bnc-4": {"panel_hole_mm": 9.7, "plug_width_mm": 15.0, "plug_height_mm": 15.0},
    "phono-4": {"panel_hole_mm": 9.0, "plug_width_mm": 14.0, "plug_height_mm": 14.0},
}
# fmt: on
"""Opening in the panel, its screw holes, what a plug takes in front of it [mm]; a single jack has one round hole.

All from memory or estimated: the drawing says to measure the part.
"""

WHERE: dict[Mounting, str] = {
    "board": "right angle, for the board's edge",
    "panel": "for the panel, with solder lugs",
    "cable": "trailing, on a screened lead of 0.5 m whose far end is open",
    "existing": "the set's own",
}

JACK_PINS = (Pin("1", "centre"), Pin("2", "shell"))


def socket(wiring_key: str, mounting: Mounting) -> CataloguePart:
    """The socket of a wiring; for `bnc-4` and `phono-4` the part for ONE jack.

    `board` parts have a footprint, `panel` parts have lugs and none; `cable` is a trailing socket on a lead with its
    far end open, `existing` the set's own, which nobody orders.  Pin names are the contact names of the wiring.
    Raises KeyError for a key that is not in WIRINGS.
    """
    wiring = WIRINGS[wiring_key]
    single = bool(wiring.jack_of)
    pins = JACK_PINS if single else tuple(Pin(c.number, c.name) for c in wiring.contacts)
    return CataloguePart(
        key=f"socket/{wiring_key}/{mounting}",
        letter="J",
        name="BNC" if wiring.jack_of == "bnc" else "Phono" if single else wiring.title,
        description=f"{WORDS[wiring_key]}, {WHERE[mounting]}",
        pins=pins,
        package=mounting,
        footprint=BOARD_FOOTPRINTS[wiring_key] if mounting == "board" else "",
        manufacturer="TE Connectivity" if wiring_key == "bnc-4" and mounting == "board" else "",
        part_number="1-1478035-0" if wiring_key == "bnc-4" and mounting == "board" else "",
        number_rests_on="from memory" if wiring_key == "bnc-4" and mounting == "board" else "",
        symbol=SYMBOLS[wiring_key],
        pin_alias={"centre": "In", "shell": "Ext"} if single else {},
        ratings=PANEL_RATINGS[wiring_key] if mounting in ("board", "panel") else {},
        source=wiring.document,
        confidence=f"{wiring.confidence}; panel opening from memory or estimated",
        orderable=mounting != "existing",
    )
