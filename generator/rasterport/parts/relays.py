"""Signal relay with two change-over contacts: KEMET EC2, non-latching, on through-hole pins.

Which pin is which was read from the drawing of KiCad's symbol: the armature of each contact stands on the
idle side.  Coil + is pin 1.  Figures: KEMET R7002 EC2/EE2 data sheet: 140 mW coils of 3 to 12 V, must
operate at 75 % and release at 10 % of the rated voltage (figures from memory; part number scheme, gold-
clad contacts, 2 A and 250 V from text); coil rise of 18 K at 140 mW from the table of the sister
series EA2.
"""

from __future__ import annotations

from rasterport.parts.common import SCHEME
from rasterport.records import CataloguePart, Construction, Pin

PINS = """
    1   coil+
    3   break-a
    4   common-a
    5   make-a
    8   make-b
    9   common-b
    10  break-b
    12  coil-
"""

COILS: tuple[tuple[float, str, float], ...] = (
    (3.0, "3", 64.3),
    (4.5, "4.5", 144.6),
    (5.0, "5", 178.0),
    (12.0, "12", 1028.0),
)
"""Rated coil voltage [V], as the part number writes it, coil resistance at 20 C [ohm, +-10 %]."""

RELAY_COILS: tuple[float, ...] = tuple(rated_v for rated_v, _, _ in COILS)
"""Coil voltages to choose from [V], rising."""

COIL_TOLERANCE_PCT = 10.0
OPERATE_FRACTION = 0.75
RELEASE_FRACTION = 0.10
MOST_FRACTION = 1.2
"""Continuous voltage up to 70 C; a judgement on the safe side of the maker's curve."""


def relay(coil_v: float, construction: Construction) -> CataloguePart:
    """The relay whose coil is rated `coil_v` [V]; the same through-hole part on both constructions.

    Raises ValueError when no coil has that rating: see RELAY_COILS.
    """
    for rated_v, written, coil_ohm in COILS:
        if rated_v == coil_v:
            return _relay(rated_v, written, coil_ohm, construction)
    offered = ", ".join(written for _, written, _ in COILS)
    raise ValueError(f"a relay coil is rated {offered} V, found {coil_v:g} V")


def _relay(rated_v: float, written: str, coil_ohm: float, construction: Construction) -> CataloguePart:
    rows = (line.split() for line in PINS.strip().splitlines())
    return CataloguePart(
        key=f"relay/{written}/{construction}",
        letter="K",
        appears="contacts",
        name=f"EC2-{written}NU",
        description=f"Signal relay, two change-over contacts, {written} V coil",
        pins=tuple(Pin(number, name) for number, name in rows),
        package="EC2",
        footprint="Relay_THT:Relay_DPDT_Kemet_EC2",
        manufacturer="KEMET",
        part_number=f"EC2-{written}NU",
        number_rests_on=SCHEME,
        symbol=f"Relay:EC2-{written}NU",
        rating=f"coil {written} V, contacts 2 A",
        ratings={
            "coil_v": rated_v,
            "coil_ohm": coil_ohm,
            "coil_tolerance_pct": COIL_TOLERANCE_PCT,
            "operate_v": OPERATE_FRACTION * rated_v,
            "release_v": RELEASE_FRACTION * rated_v,
            "coil_max_v": MOST_FRACTION * rated_v,
            "coil_rise_k": 18.0,
            "operate_s": 3e-3,
            "release_s": 5e-3,
            "contact_ohm": 0.1,
            "contact_max_a": 2.0,
            "contact_least_v": 0.01,
            "contact_least_a": 10e-6,
            "contact_capacitance_f": 1e-12,
        },
        source="KEMET R7002 EC2/EE2 data sheet",
        confidence=(
            "coil and contact figures and times from memory (release with a diode across the coil); coil resistance "
            "is V squared by 140 mW"
        ),
    )
