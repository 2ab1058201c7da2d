"""A sync separator of the LM1881 type: composite sync, vertical sync and back-porch pulse from composite video."""

from __future__ import annotations

from rasterport.parts.common import MEMORY
from rasterport.parts.families import package_of, pins_of
from rasterport.records import CataloguePart, Construction

SEPARATOR_PINS = """
    CSYNC  1  8  VCC
    VIDEO  2  7  ODD
    VSYNC  3  6  RSET
    GND    4  5  BURST
"""
"""TI SNLS384G; pins 3 and 7 from memory."""

SEPARATOR_RATINGS = {
    "supply_low_v": 5.0,
    "supply_high_v": 12.0,
    "supply_max_v": 13.2,
    "supply_a": 12e-3,
    "supply_typical_a": 5.5e-3,
    "input_low_v": 0.5,
    "input_high_v": 2.0,
    "input_max_5v_v": 3.0,
    "input_max_8v_v": 6.0,
    "input_least_ohm": 10e3,
    "clamp_v": 1.5,
    "slice_v": 0.07,
    "slice_low_v": 0.055,
    "slice_high_v": 0.085,
    "discharge_a": 11e-6,
    "discharge_high_a": 16e-6,
    "coupling_f": 100e-9,
    "rset_ohm": 680e3,
    "rset_f": 100e-9,
    "decoupling_f": 100e-9,
    "output_high_5v_v": 2.4,
    "output_high_light_5v_v": 4.0,
    "output_low_most_v": 0.8,
    "output_source_a": 1.6e-3,
    "output_light_a": 40e-6,
    "output_sink_max_a": 5e-3,
    "odd_sink_max_a": 2e-3,
    "burst_low_s": 2.5e-6,
    "burst_typical_s": 4e-6,
    "burst_high_s": 4.7e-6,
    "vsync_typical_s": 230e-6,
    "ambient_high_c": 70.0,
}
"""Inputs in volts peak to peak; `slice_v` is the threshold above the clamped sync tip.  Composite sync gives
`output_high_5v_v` at `output_source_a` and `output_high_light_5v_v` at `output_light_a`, on 5 V.  From memory: the
bounds of the threshold and of the back-porch pulse (burst), the highest discharge current, the supply current on 12 V
(10 mA on 5 V), the outputs' low level, the light load's high level and the width of vertical sync.  The delay is
not printed."""


SEPARATOR_S = (0.3e-6, 0.5e-6)
"""Delay of composite sync, typical and greatest [s]; not printed: from memory and a judgement."""


def sync_separator(construction: Construction) -> CataloguePart:
    """LM1881: composite sync out of composite video, low during sync.  It must have 5.0 to 12 V at every corner."""
    package, footprint = package_of(8, construction)
    smd = construction == "smd"
    return CataloguePart(
        key=f"sync-separator/{construction}",
        letter="U",
        appears="control",
        name="LM1881",
        description=f"Video sync separator, {package}",
        # The video input is of no kind: the clamp of the separator holds it by itself.
        pins=pins_of(SEPARATOR_PINS, "", "CSYNC VSYNC BURST ODD"),
        package=package,
        footprint=footprint,
        manufacturer="Texas Instruments",
        part_number="LM1881MX/NOPB" if smd else "LM1881N/NOPB",
        number_rests_on=MEMORY,
        symbol="Video:LM1881",
        pin_alias={"VSYNC": "FRAME", "RSET": "INT", "ODD": "O/E"},
        rating="5 to 12 V",
        ratings=SEPARATOR_RATINGS,
        source="TI SNLS384G; National DS009150",
        confidence="pins agree with KiCad's symbol; several figures from memory, named beside them",
    )
