"""Trimmers: one value a colour to set white, turned once and then left alone.

Bourns 3224 (4 mm, for reflow) and 3296 (3/8 inch), cermet of many turns: pins 1 and 3 the ends of the track, 2 the
wiper; 10 %, 100 ppm/K.  Pins agree with KiCad's symbol; ratings, end resistance and numbers from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.parts.common import MEMORY, digits_and_power
from rasterport.records import CataloguePart, Construction, Pin
from rasterport.standards.iec60062 import rkm_code

TRACKS_OHM = (100.0, 200.0, 500.0, 1e3, 2e3)
"""Tracks that both kinds are made with [ohm]."""


@dataclass(frozen=True, slots=True)
class TrimmerRow:
    """One kind: what it takes at 70 C [W], turns from stop to stop, where it fits."""

    series: str
    power_w: float
    turns: float
    package: str
    footprint: str
    number: str


ROWS: dict[Construction, TrimmerRow] = {
    "smd": TrimmerRow(
        "3224W", 0.25, 11, "3224W", "Potentiometer_SMD:Potentiometer_Bourns_3224W_Vertical", "3224W-1-{code}E"
    ),
    "through-hole": TrimmerRow(
        "3296W", 0.5, 25, "3296W", "Potentiometer_THT:Potentiometer_Bourns_3296W_Vertical", "3296W-1-{code}LF"
    ),
}

END_OHM = 2.0
"""What is left between wiper and end at a stop, and the contact of the wiper [ohm]; from memory."""


def trimmer(track_ohm: float, construction: Construction) -> CataloguePart:
    """The trimmer with a track of `track_ohm` [ohm].  Raises ValueError for a track that it is not made with."""
    if track_ohm not in TRACKS_OHM:
        tracks = ", ".join(f"{ohm:g}" for ohm in TRACKS_OHM)
        raise ValueError(f"a trimmer must have one of {tracks} ohm, found {track_ohm:g}")
    row, value = ROWS[construction], rkm_code(track_ohm, "ohm")
    digits, power = digits_and_power(track_ohm, 2)
    return CataloguePart(
        key=f"trimmer/{construction}/{value}",
        letter="R",
        appears="trimmer",
        name=value,
        description=f"Trimmer {value} 10 %, {row.turns:g} turns, {row.package}",
        pins=(Pin("1", "1"), Pin("2", "2"), Pin("3", "3")),
        package=row.package,
        footprint=row.footprint,
        manufacturer="Bourns",
        part_number=row.number.format(code=f"{digits}{power}"),
        number_rests_on=MEMORY,
        symbol="Device:R_Potentiometer_Trim",
        tolerance="10 %",
        rating=f"{row.power_w:g} W",
        ratings={
            "value_ohm": track_ohm,
            "power_w": row.power_w,
            "tolerance_pct": 10.0,
            "tempco_ppm": 100.0,
            "end_ohm": END_OHM,
        },
        source=f"Bourns {row.series[:4]} data sheet",
        confidence="pins agree with KiCad's symbol; ratings from memory",
    )
