"""Capacitors: ceramic X7R and C0G, aluminium electrolytic, and bipolar electrolytic.

A ceramic part is listed with the rating it is commonly stocked in and not with the lowest that would
do, since X7R loses capacitance under voltage (common practice, no source).  Bipolar parts above 47 uF are
leaded on both constructions.  Part numbers follow the makers' schemes: KEMET C-series chips and Goldmax
leaded discs; sizes of the electrolytics are from memory of Panasonic FK, Nichicon UVR (polarised),
Nichicon UWP and UVP (bipolar).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rasterport.parts.common import MEMORY, SCHEME, TWO_POLES, digits_and_power
from rasterport.records import CataloguePart, Construction, Pin
from rasterport.standards.iec60062 import rkm_code

Kind = Literal["ceramic", "c0g", "electrolytic", "bipolar"]

POLARISED = (Pin("1", "+"), Pin("2", "-"))


@dataclass(frozen=True, slots=True)
class CapacitorRow:
    """One size: least and most capacitance [F], rating [V], package, and the maker's pattern.

    `pattern` takes `{code}`, the value as the maker writes it, and `{letter}`, the tolerance of C0G.
    """

    least_f: float
    most_f: float
    voltage_v: float
    package: str
    footprint: str
    pattern: str


CHIP = "Capacitor_SMD:C_{}Metric"
DISC = "Capacitor_THT:C_Disc_{}_P5.00mm"
BOX = "Capacitor_THT:C_Rect_L13.0mm_W5.0mm_P10.00mm_FKS3_FKP3_MKS4"
CAN = "Capacitor_SMD:CP_Elec_{}"
RADIAL = "Capacitor_THT:CP_Radial_{}"


def _rows(*rows: tuple[float, float, float, str, str, str]) -> tuple[CapacitorRow, ...]:
    return tuple(CapacitorRow(*row) for row in rows)


ROWS: dict[tuple[Kind, Construction], tuple[CapacitorRow, ...]] = {
    ("ceramic", "smd"): _rows(
        (1.0e-9, 0.47e-6, 50.0, "0805", CHIP.format("0805_2012"), "C0805C{code}K5RACTU"),
        (0.47e-6, 1.0e-6, 50.0, "1206", CHIP.format("1206_3216"), "C1206C{code}K5RACTU"),
        (1.0e-6, 4.7e-6, 25.0, "1206", CHIP.format("1206_3216"), "C1206C{code}K3RACTU"),
        (4.7e-6, 10.0e-6, 16.0, "1206", CHIP.format("1206_3216"), "C1206C{code}K4RACTU"),
    ),
    ("ceramic", "through-hole"): _rows(
        (1.0e-9, 1.0e-6, 50.0, "disc 5.1 mm", DISC.format("D5.1mm_W3.2mm"), "C322C{code}K5R5TA"),
        (1.0e-6, 2.2e-6, 50.0, "disc 7.5 mm", DISC.format("D7.5mm_W4.4mm"), "C330C{code}K5R5TA"),
        (2.2e-6, 4.7e-6, 50.0, "disc 10.5 mm", DISC.format("D10.5mm_W5.0mm"), "C340C{code}K5R5TA"),
        (4.7e-6, 10.0e-6, 25.0, "box 13 mm", BOX, "C350C{code}K3R5TA"),
    ),
    ("c0g", "smd"): _rows(
        (1.0e-12, 10.0e-9, 50.0, "0805", CHIP.format("0805_2012"), "C0805C{code}{letter}5GACTU"),
    ),
    ("c0g", "through-hole"): _rows(
        (1.0e-12, 4.7e-9, 50.0, "disc 4.7 mm", DISC.format("D4.7mm_W2.5mm"), "C317C{code}{letter}5G5TA"),
    ),
    ("electrolytic", "smd"): _rows(
        (10e-6, 22e-6, 16.0, "can 4 x 5.8", CAN.format("4x5.8"), "EEE-FK1C{code}R"),
        (22e-6, 47e-6, 16.0, "can 5 x 5.8", CAN.format("5x5.8"), "EEE-FK1C{code}UR"),
        (47e-6, 100e-6, 16.0, "can 6.3 x 5.8", CAN.format("6.3x5.8"), "EEE-FK1C{code}P"),
        (100e-6, 220e-6, 16.0, "can 6.3 x 7.7", CAN.format("6.3x7.7"), "EEE-FK1C{code}XP"),
        (220e-6, 470e-6, 16.0, "can 8 x 10", CAN.format("8x10"), "EEE-FK1C{code}P"),
        (470e-6, 1000e-6, 16.0, "can 10 x 10", CAN.format("10x10"), "EEE-FK1C{code}P"),
        (4.7e-6, 10e-6, 25.0, "can 4 x 5.8", CAN.format("4x5.8"), "EEE-FK1E{code}R"),
        (10e-6, 22e-6, 25.0, "can 5 x 5.8", CAN.format("5x5.8"), "EEE-FK1E{code}R"),
        (22e-6, 47e-6, 25.0, "can 6.3 x 5.8", CAN.format("6.3x5.8"), "EEE-FK1E{code}P"),
        (47e-6, 100e-6, 25.0, "can 6.3 x 7.7", CAN.format("6.3x7.7"), "EEE-FK1E{code}XP"),
        (100e-6, 220e-6, 25.0, "can 8 x 10", CAN.format("8x10"), "EEE-FK1E{code}P"),
        (220e-6, 470e-6, 25.0, "can 10 x 10", CAN.format("10x10"), "EEE-FK1E{code}P"),
        (1e-6, 4.7e-6, 50.0, "can 4 x 5.8", CAN.format("4x5.8"), "EEE-FK1H{code}R"),
        (4.7e-6, 10e-6, 50.0, "can 6.3 x 5.8", CAN.format("6.3x5.8"), "EEE-FK1H{code}P"),
    ),
    ("electrolytic", "through-hole"): _rows(
        (47e-6, 100e-6, 16.0, "radial 5 mm", RADIAL.format("D5.0mm_P2.00mm"), "UVR1C{code}MDD"),
        (100e-6, 220e-6, 16.0, "radial 6.3 mm", RADIAL.format("D6.3mm_P2.50mm"), "UVR1C{code}MED"),
        (220e-6, 470e-6, 16.0, "radial 8 mm", RADIAL.format("D8.0mm_P3.50mm"), "UVR1C{code}MPD"),
        (470e-6, 1000e-6, 16.0, "radial 10 mm", RADIAL.format("D10.0mm_P5.00mm"), "UVR1C{code}MPD"),
        (22e-6, 47e-6, 25.0, "radial 5 mm", RADIAL.format("D5.0mm_P2.00mm"), "UVR1E{code}MDD"),
        (47e-6, 100e-6, 25.0, "radial 6.3 mm", RADIAL.format("D6.3mm_P2.50mm"), "UVR1E{code}MED"),
        (100e-6, 220e-6, 25.0, "radial 8 mm", RADIAL.format("D8.0mm_P3.50mm"), "UVR1E{code}MPD"),
        (220e-6, 470e-6, 25.0, "radial 10 mm", RADIAL.format("D10.0mm_P5.00mm"), "UVR1E{code}MPD"),
        (1e-6, 22e-6, 50.0, "radial 5 mm", RADIAL.format("D5.0mm_P2.00mm"), "UVR1H{code}MDD"),
    ),
    ("bipolar", "smd"): _rows(
        (4.7e-6, 10e-6, 16.0, "can 5 x 5.4", "Capacitor_SMD:C_Elec_5x5.4", "UWP1C{code}MCL1GB"),
        (10e-6, 47e-6, 16.0, "can 6.3 x 5.4", "Capacitor_SMD:C_Elec_6.3x5.4", "UWP1C{code}MCL1GB"),
        (1e-6, 4.7e-6, 25.0, "can 5 x 5.4", "Capacitor_SMD:C_Elec_5x5.4", "UWP1E{code}MCL1GB"),
        (47e-6, 100e-6, 16.0, "radial 8 mm", "Capacitor_THT:C_Radial_D8.0mm_H11.5mm_P3.50mm", "UVP1C{code}MPD"),
        (100e-6, 220e-6, 16.0, "radial 10 mm", "Capacitor_THT:C_Radial_D10.0mm_H16.0mm_P5.00mm", "UVP1C{code}MPD"),
        (220e-6, 470e-6, 16.0, "radial 12.5 mm", "Capacitor_THT:C_Radial_D12.5mm_H20.0mm_P5.00mm", "UVP1C{code}MHD"),
    ),
    ("bipolar", "through-hole"): _rows(
        (10e-6, 22e-6, 16.0, "radial 5 mm", "Capacitor_THT:C_Radial_D5.0mm_H11.0mm_P2.00mm", "UVP1C{code}MDD"),
        (22e-6, 47e-6, 16.0, "radial 6.3 mm", "Capacitor_THT:C_Radial_D6.3mm_H11.0mm_P2.50mm", "UVP1C{code}MED"),
        (47e-6, 100e-6, 16.0, "radial 8 mm", "Capacitor_THT:C_Radial_D8.0mm_H11.5mm_P3.50mm", "UVP1C{code}MPD"),
        (100e-6, 220e-6, 16.0, "radial 10 mm", "Capacitor_THT:C_Radial_D10.0mm_H16.0mm_P5.00mm", "UVP1C{code}MPD"),
        (220e-6, 470e-6, 16.0, "radial 12.5 mm", "Capacitor_THT:C_Radial_D12.5mm_H20.0mm_P5.00mm", "UVP1C{code}MHD"),
        (1e-6, 10e-6, 25.0, "radial 5 mm", "Capacitor_THT:C_Radial_D5.0mm_H11.0mm_P2.00mm", "UVP1E{code}MDD"),
    ),
}  # fmt: skip
"""Sizes, lowest rating first; the first row that holds the value and covers the voltage is taken."""

MAKERS: dict[tuple[Kind, Construction], str] = {
    ("ceramic", "smd"): "KEMET",
    ("ceramic", "through-hole"): "KEMET",
    ("c0g", "smd"): "KEMET",
    ("c0g", "through-hole"): "KEMET",
    ("electrolytic", "smd"): "Panasonic",
    ("electrolytic", "through-hole"): "Nichicon",
    ("bipolar", "smd"): "Nichicon",
    ("bipolar", "through-hole"): "Nichicon",
}

WORDS: dict[Kind, str] = {
    "ceramic": "ceramic X7R",
    "c0g": "ceramic C0G",
    "electrolytic": "electrolytic",
    "bipolar": "electrolytic, bipolar",
}

TOLERANCE_PCT: dict[Kind, float] = {"ceramic": 10.0, "c0g": 5.0, "electrolytic": 20.0, "bipolar": 20.0}


def capacitor(value_f: float, construction: Construction, voltage_v: float, kind: Kind) -> CataloguePart:
    """The first capacitor of `value_f` [F] whose rating covers `voltage_v` [V].

    Polarised parts have + on pin 1.  Raises ValueError when no row holds the value at that voltage.
    """
    row = _row(value_f, construction, voltage_v, kind)
    code = rkm_code(value_f, "F")
    polarised = kind == "electrolytic"
    tolerance_pct, letter = TOLERANCE_PCT[kind], "J"
    if kind == "c0g" and value_f < 10e-12:
        tolerance_pct, letter = 100.0 * 0.5e-12 / value_f, "D"
    tolerance = "0.5 pF" if letter == "D" else f"{tolerance_pct:g} %"
    from_scheme = MAKERS[kind, construction] == "KEMET"
    code_of = picofarad_code if from_scheme else microfarad_code
    return CataloguePart(
        key=f"capacitor/{kind}/{construction}/{code}/{row.voltage_v:g}",
        letter="C",
        appears="capacitance",
        name=code,
        description=f"Capacitor {code} {row.voltage_v:g} V {WORDS[kind]}, {row.package}",
        pins=POLARISED if polarised else TWO_POLES,
        package=row.package,
        footprint=row.footprint,
        manufacturer=MAKERS[kind, construction],
        part_number=row.pattern.format(code=code_of(value_f), letter=letter),
        number_rests_on=SCHEME if from_scheme else MEMORY,
        symbol="Device:C_Polarized" if polarised else "Device:C",
        pin_alias={"+": "~", "-": "~"} if polarised else {},
        tolerance=tolerance,
        rating=f"{row.voltage_v:g} V",
        ratings={
            "value_f": value_f,
            "voltage_v": row.voltage_v,
            "tolerance_pct": tolerance_pct,
            "polarised": 1.0 if polarised else 0.0,
        },
        source=f"{MAKERS[kind, construction]} numbering scheme; size and rating from memory",
        confidence="from memory",
    )


def _row(value_f: float, construction: Construction, voltage_v: float, kind: Kind) -> CapacitorRow:
    for row in ROWS[kind, construction]:
        holds = row.least_f * (1.0 - 1e-9) <= value_f <= row.most_f * (1.0 + 1e-9)
        if holds and row.voltage_v >= voltage_v * (1.0 - 1e-9):
            return row
    raise ValueError(
        f"no {construction} {WORDS[kind]} capacitor of {rkm_code(value_f, 'F')} covers {voltage_v:g} V; "
        "take another kind, a smaller value or a lower voltage"
    )


def picofarad_code(value_f: float) -> str:
    """Two digits and a power of ten in picofarads; 9 stands for a tenth, so 4.7 pF is `479`."""
    number, power = digits_and_power(value_f, 2)
    power += 12
    return f"{number}{power if power >= 0 else 10 + power}"


def microfarad_code(value_f: float) -> str:
    """Two digits and a power of ten in microfarads; below 10 uF the letter R is the point: `101`, `4R7`.

    1 uF is `1R0` with Panasonic and `010` with Nichicon; both read `1R0` as well (from memory).
    """
    number, power = digits_and_power(value_f, 2)
    power += 6
    return f"{number}{power}" if power >= 0 else f"{number // 10}R{number % 10}"
