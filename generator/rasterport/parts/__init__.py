"""The catalogue: what can be put on a board, as data with look-up functions.

`all_rows` walks one representative of every row in every construction, so that a test can hold each
against KiCad's libraries.
"""

from __future__ import annotations

from rasterport.parts.capacitors import ROWS as CAPACITOR_ROWS
from rasterport.parts.capacitors import capacitor
from rasterport.parts.common import CONSTRUCTIONS
from rasterport.parts.connectors import header, socket, test_point, wire_end, wire_pad
from rasterport.parts.protection import FUSIBLE_OHM, clamp, fusible, ptc
from rasterport.parts.relays import RELAY_COILS, relay
from rasterport.parts.resistors import ROWS as RESISTOR_ROWS
from rasterport.parts.resistors import resistor
from rasterport.parts.semiconductors import DIODES, TRANSISTORS, buffer_inverter, diode, regulator_5v, transistor
from rasterport.parts.switches import CENTRE_POLES, POLES, centre_switch, panel_switch
from rasterport.parts.wire import coax_wire, hookup_wire, stripboard
from rasterport.records import CataloguePart
from rasterport.standards.iec60757 import LINE_COLOURS
from rasterport.standards.sockets import WIRINGS

__all__ = [
    "FUSIBLE_OHM",
    "RELAY_COILS",
    "all_rows",
    "buffer_inverter",
    "capacitor",
    "centre_switch",
    "clamp",
    "coax_wire",
    "diode",
    "fusible",
    "header",
    "hookup_wire",
    "panel_switch",
    "ptc",
    "regulator_5v",
    "relay",
    "resistor",
    "socket",
    "stripboard",
    "test_point",
    "transistor",
    "wire_end",
    "wire_pad",
]


def all_rows() -> tuple[CataloguePart, ...]:
    """One part of every row of the catalogue, in a fixed order."""
    # Parts that few boards have are read when they are placed: a start need not wait for them.
    from rasterport.parts.analog_switches import SWITCH_KINDS, analog_switch
    from rasterport.parts.families import FAMILIES
    from rasterport.parts.logic import buffer, inverter, priority_encoder
    from rasterport.parts.selectors import (
        DECK_POLES,
        DECK_POSITIONS,
        ROTARY_POLES,
        coded_switch,
        deck_switch,
        rotary_positions,
        rotary_switch,
    )
    from rasterport.parts.separators import sync_separator
    from rasterport.parts.trimmers import TRACKS_OHM, trimmer

    return (
        *(resistor(100.0, c, row.power_w) for c, rows in RESISTOR_ROWS.items() for row in rows),
        *(
            capacitor(row.most_f, construction, row.voltage_v, kind)
            for (kind, construction), rows in CAPACITOR_ROWS.items()
            for row in rows
        ),
        *(transistor(kind, construction) for kind, construction in TRANSISTORS),
        *(diode(kind, construction) for kind, construction in DIODES),
        *(clamp(c) for c in CONSTRUCTIONS),
        *(regulator_5v(c) for c in CONSTRUCTIONS),
        *(buffer_inverter(c) for c in CONSTRUCTIONS),
        *(analog_switch(kind, family, c) for kind in SWITCH_KINDS for family in FAMILIES for c in CONSTRUCTIONS),
        *(priority_encoder(family, c) for family in FAMILIES for c in CONSTRUCTIONS),
        *(inverter(family, c) for family in FAMILIES for c in CONSTRUCTIONS),
        *(buffer(c) for c in CONSTRUCTIONS),
        *(sync_separator(c) for c in CONSTRUCTIONS),
        *(trimmer(track_ohm, c) for track_ohm in TRACKS_OHM for c in CONSTRUCTIONS),
        *(ptc(c) for c in CONSTRUCTIONS),
        *(fusible(value_ohm) for value_ohm in FUSIBLE_OHM),
        *(relay(coil_v, c) for coil_v in RELAY_COILS for c in CONSTRUCTIONS),
        *(header(pins) for pins in range(1, 41)),
        wire_pad(),
        wire_end(),
        *(test_point(c) for c in CONSTRUCTIONS),
        *(socket(key, "board") for key in WIRINGS),
        *(socket(key, "panel") for key in WIRINGS),
        *(socket(key, "cable") for key in WIRINGS),
        *(socket(key, "existing") for key in WIRINGS),
        *(panel_switch(poles) for poles in POLES),
        *(centre_switch(poles) for poles in CENTRE_POLES),
        *(rotary_switch(poles, positions) for poles in ROTARY_POLES for positions in rotary_positions(poles)),
        *(deck_switch(poles, positions) for poles in DECK_POLES for positions in DECK_POSITIONS),
        coded_switch(),
        *(hookup_wire(colour) for colour in LINE_COLOURS.values()),
        coax_wire(),
        stripboard(),
    )
