"""Fusible resistors and resettable fuses in the rail tap, two-way clamps on signal lines.

Fusible resistor: Vishay document 28737 (NFR25H): 0.5 W at 70 C, 5 %, E24 from 0.22 ohm, 350 V, +-200 ppm/K
up to 4.7 ohm and +-100 ppm/K above; a leaded part on both constructions.  Resettable fuses: Bourns
MF-NSMF data sheet (1206 chip) and MF-R data sheet (radial; hold, trip and voltage from a distributor's
table, resistance from memory).
"""

from __future__ import annotations

from rasterport.parts.common import MEMORY, SCHEME, TWO_POLES
from rasterport.parts.resistors import vishay_value
from rasterport.records import CataloguePart, Construction, Pin, Placed
from rasterport.standards.iec60062 import rkm_code

FUSIBLE_OHM: tuple[float, ...] = (1.0, 2.2, 4.7, 10.0)
"""Values that the rail tap chooses from [ohm]."""


def fusible(value_ohm: float) -> CataloguePart:
    """Fusible resistor of one of FUSIBLE_OHM [ohm].  Raises ValueError for any other."""
    if value_ohm not in FUSIBLE_OHM:
        offered = ", ".join(f"{v:g}" for v in FUSIBLE_OHM)
        raise ValueError(f"a fusible resistor has {offered} ohm, found {value_ohm:g} ohm")
    code = rkm_code(value_ohm, "ohm")
    return CataloguePart(
        key=f"fusible/{code}",
        letter="F",
        appears="resistance",
        name=code,
        description=f"Fusible resistor {code} 5 % 0.5 W, axial",
        pins=TWO_POLES,
        package="axial 0207",
        footprint="Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal",
        manufacturer="Vishay",
        part_number=f"NFR25H00{vishay_value(value_ohm)}JR500",
        number_rests_on=SCHEME,
        symbol="Device:R",
        tolerance="5 %",
        rating="0.5 W",
        ratings={
            "value_ohm": value_ohm,
            "power_w": 0.5,
            "tolerance_pct": 5.0,
            "tempco_ppm": 200.0 if value_ohm <= 4.7 else 100.0,
            "voltage_v": 350.0,
        },
        source="Vishay document 28737, October 2009",
        confidence="two editions of the data sheet",
    )


def ptc(construction: Construction) -> CataloguePart:
    """Resettable fuse of about 0.1 A.  `r_high_ohm` is the resistance one hour after a trip."""
    smd = construction == "smd"
    name = "MF-NSMF012" if smd else "MF-R010"
    figures = (0.12, 0.29, 1.35, 8.5, 30.0) if smd else (0.10, 0.20, 2.5, 7.5, 60.0)
    hold_a, trip_a, r_low_ohm, r_high_ohm, voltage_v = figures
    return CataloguePart(
        key=f"ptc/{construction}",
        letter="F",
        appears="resistance",
        name=name,
        description=f"Resettable fuse {hold_a:g} A hold, {trip_a:g} A trip, {'1206' if smd else 'radial'}",
        pins=TWO_POLES,
        package="1206" if smd else "radial 7.4 mm",
        footprint="Fuse:Fuse_1206_3216Metric" if smd else "Varistor:RV_Disc_D9mm_W3.3mm_P5mm",
        manufacturer="Bourns",
        part_number="MF-NSMF012-2" if smd else "MF-R010",
        number_rests_on=MEMORY,
        symbol="Device:Polyfuse",
        rating=f"{hold_a:g} A {voltage_v:g} V",
        ratings={
            "hold_a": hold_a,
            "hold_70c_a": 0.5 * hold_a,
            "trip_a": trip_a,
            "r_low_ohm": r_low_ohm,
            "r_high_ohm": r_high_ohm,
            "voltage_v": voltage_v,
        },
        source="Bourns MF-NSMF series data sheet" if smd else "Bourns MF-R series data sheet",
        confidence="hold at 70 C is a judgement (half)" if smd else "resistance and hold at 70 C from memory",
    )


def clamp(construction: Construction) -> CataloguePart:
    """Two-way clamp, 5 V stand-off, under 5 pF; the same chip on both constructions.

    The similarly named types with S or V in place of U have 35 pF and 11 pF and do not serve.
    """
    return CataloguePart(
        key=f"clamp/{construction}",
        letter="D",
        appears="capacitance",
        name="PESD5V0U1BA",
        description="Two-way clamp 5 V, SOD-323",
        pins=(Pin("1", "A1"), Pin("2", "A2")),
        package="SOD-323",
        footprint="Diode_SMD:D_SOD-323",
        manufacturer="Nexperia",
        part_number="PESD5V0U1BA,115",
        number_rests_on=MEMORY,
        symbol="Device:D_TVS",
        rating="5 V stand-off",
        ratings={
            "standoff_v": 5.0,
            "breakdown_low_v": 5.5,
            "breakdown_high_v": 9.5,
            "capacitance_f": 3.5e-12,
            "leakage_a": 100e-9,
        },
        source="Nexperia PESD5V0U1BA data sheet; breakdown as in PESD5V0S1BLD-Q, table 6",
        confidence="from memory; sister types seen",
    )


def short_circuit_a(element: Placed, rail_high_v: float) -> float:
    """Current of a short on the board [A] from which a PTC acts, or to which a fusible resistor holds `rail_high_v`."""
    return element.part.ratings.get("trip_a", rail_high_v / (element.value_si or 1.0))
