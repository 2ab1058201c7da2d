"""Wire for the harness, bought by the metre, and what a circuit without a printed board is built on.

Capacitance figures are what the sizing and the crosstalk estimate start from: 50 pF a metre between
neighbouring hook-up wires (judgement), 64 pF a metre for thin 75 ohm coaxial cable (from memory of
RG-179).
"""

from __future__ import annotations

from rasterport.parts.common import MEMORY
from rasterport.records import CataloguePart
from rasterport.standards.iec60757 import COLOURS


def hookup_wire(colour: str) -> CataloguePart:
    """Stranded wire of 0.14 mm2 (AWG 26) in a colour code of IEC 60757.  Raises KeyError for another."""
    return CataloguePart(
        key=f"wire/hookup/{colour}",
        letter="W",
        name=f"AWG 26 {colour}",
        description=f"Hook-up wire, stranded, AWG 26 (0.14 mm2), {COLOURS[colour]}, 80 C 300 V",
        pins=(),
        package="metre",
        footprint="",
        rating="80 C 300 V",
        ratings={"capacitance_f_per_m": 50e-12, "resistance_ohm_per_m": 0.14, "temperature_max_c": 80.0},
        source="UL 1007 style wire; capacitance between neighbours",
        confidence="resistance from memory, capacitance a judgement",
    )


def coax_wire() -> CataloguePart:
    """Thin 75 ohm coaxial cable, screened, for RGB and sync leads."""
    return CataloguePart(
        key="wire/coax",
        letter="W",
        name="RG-179",
        description="Coaxial cable 75 ohm, RG-179 B/U, 2.5 mm",
        pins=(),
        package="metre",
        footprint="",
        part_number="RG-179 B/U",
        number_rests_on=MEMORY,
        rating="75 ohm",
        ratings={"capacitance_f_per_m": 64e-12, "impedance_ohm": 75.0, "resistance_ohm_per_m": 0.8},
        source="MIL-DTL-17 type RG-179",
        confidence="from memory",
    )


def stripboard() -> CataloguePart:
    """Board with holes on a 2.54 mm grid and a strip of copper a row, to be cut to size."""
    return CataloguePart(
        key="stripboard",
        letter="W",
        name="Stripboard",
        description="Stripboard, 2.54 mm grid, 100 x 160 mm, cut to size",
        pins=(),
        package="2.54 mm grid",
        footprint="",
        source="common practice, no source",
        confidence="from memory",
    )
