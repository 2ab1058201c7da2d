"""Resistors: two constructions, each by rated dissipation at 70 C.

Thick-film chips: Yageo RC_L data sheet of March 2018 (V.9): P70 0.125 W (0805), 0.25 W (1206),
1 W (2512); tape code 07; embossed tape for the 2512.  Metal film with leads: Yageo MFR-25, 0.25 W,
1 % (from memory).  Power metal film with leads: Vishay document 28729 (PR01), 1 W at 70 C from 1 ohm
up, 1 % in E24 and E96 or 5 % in E24.
"""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.parts.common import SCHEME, TWO_POLES, digits_and_power
from rasterport.records import CataloguePart, Construction
from rasterport.standards.iec60062 import rkm_code


@dataclass(frozen=True, slots=True)
class ResistorRow:
    """One size: what it takes [W at 70 C], how far it drifts [ppm/K], where it fits."""

    series: str
    power_w: float
    tempco_ppm: float
    package: str
    footprint: str
    manufacturer: str
    source: str
    confidence: str


YAGEO_RC = "Yageo RC_L data sheet, March 2018"

ROWS: dict[Construction, tuple[ResistorRow, ...]] = {
    "smd": (
        ResistorRow("RC0805", 0.125, 100.0, "0805", "Resistor_SMD:R_0805_2012Metric", "Yageo", YAGEO_RC, "one text"),
        ResistorRow("RC1206", 0.25, 100.0, "1206", "Resistor_SMD:R_1206_3216Metric", "Yageo", YAGEO_RC, "one text"),
        ResistorRow("RC2512", 1.0, 100.0, "2512", "Resistor_SMD:R_2512_6332Metric", "Yageo", YAGEO_RC, "one text"),
    ),
    "through-hole": (
        ResistorRow(
            "MFR-25", 0.25, 100.0, "axial 0207",
            "Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal",
            "Yageo", "Yageo MFR series", "from memory",
        ),
        ResistorRow(
            "PR01", 1.0, 250.0, "axial 0207",
            "Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal",
            "Vishay", "Vishay document 28729", "three texts",
        ),
    ),
}  # fmt: skip
"""Sizes of each construction, smallest rating first."""

TOLERANCES_PCT = (1.0, 5.0)
LEAST_OHM, MOST_OHM = 1.0, 1.0e6
"""Range in which every row above is made [ohm]."""


def resistor(
    value_ohm: float, construction: Construction, power_w: float = 0.0, tolerance_pct: float = 1.0
) -> CataloguePart:
    """The smallest resistor of `value_ohm` [ohm] that takes `power_w` [W] at 70 C.

    `tolerance_pct` is the widest that will do [percent]; the rows come with 1 %, PR01 also with 5 %.
    Raises ValueError outside 1 ohm to 1 Mohm, above 1 W, or below 1 %.
    """
    if not LEAST_OHM <= value_ohm <= MOST_OHM:
        raise ValueError(f"a resistor must lie between {LEAST_OHM:g} and {MOST_OHM:g} ohm, found {value_ohm:g}")
    if tolerance_pct < TOLERANCES_PCT[0]:
        raise ValueError(f"the tolerance must be {TOLERANCES_PCT[0]:g} % or wider, found {tolerance_pct:g} %")
    row = _smallest_row(construction, power_w)
    held_pct = TOLERANCES_PCT[1] if row.series == "PR01" and tolerance_pct >= 5.0 else TOLERANCES_PCT[0]
    return CataloguePart(
        key=f"resistor/{construction}/{row.series}/{rkm_code(value_ohm, 'ohm')}/{held_pct:g}",
        letter="R",
        appears="resistance",
        name=rkm_code(value_ohm, "ohm"),
        description=f"Resistor {rkm_code(value_ohm, 'ohm')} {held_pct:g} % {row.power_w:g} W, {row.package}",
        pins=TWO_POLES,
        package=row.package,
        footprint=row.footprint,
        manufacturer=row.manufacturer,
        part_number=_part_number(row, value_ohm, held_pct),
        number_rests_on=SCHEME,
        symbol="Device:R",
        tolerance=f"{held_pct:g} %",
        rating=f"{row.power_w:g} W",
        ratings={
            "value_ohm": value_ohm,
            "power_w": row.power_w,
            "tolerance_pct": held_pct,
            "tempco_ppm": row.tempco_ppm,
        },
        source=row.source,
        confidence=row.confidence,
    )


def _smallest_row(construction: Construction, power_w: float) -> ResistorRow:
    for row in ROWS[construction]:
        if row.power_w >= power_w * (1.0 - 1e-9):
            return row
    raise ValueError(f"a resistor takes at most {ROWS[construction][-1].power_w:g} W at 70 C, found {power_w:g} W")


def _part_number(row: ResistorRow, value_ohm: float, tolerance_pct: float) -> str:
    """Maker's number: Yageo writes the value with R, K, M; Vishay three digits and a multiplier."""
    value = rkm_code(value_ohm, "ohm").upper()
    if row.series == "PR01":
        return f"PR010001{vishay_value(value_ohm)}{'F' if tolerance_pct < 5.0 else 'J'}R500"
    if row.series == "MFR-25":
        return f"MFR-25FBF52-{value}"
    return f"{row.series}F{'K' if row.series == 'RC2512' else 'R'}-07{value}L"


def vishay_value(value_ohm: float) -> str:
    """Five digits of Vishay's leaded resistors: three digits, then 0 to 7 as power of ten, 9 for a tenth,
    8 for a hundredth; 150 ohm is `01500`, 10 ohm `01009`.
    """
    number, power = digits_and_power(value_ohm, 3)
    return f"0{number}{power if power >= 0 else 10 + power}"
