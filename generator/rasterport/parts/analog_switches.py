"""Analog switches 4051, 4052 and 4053 of two families, for boards with several inputs.

The switches bear the names of the 4000B sheets in both families, which one maker prints on the 74HC types as well: X,
Y, Z the common terminals, X0 the terminal for level 0, A, B, C the select inputs (A counts 1, B 2, C 4), INH high for
all open; other makers write 1Z, 1Y0, S0 or S1 and E.

To the solver of signals they are contacts with an on-resistance; which terminals stand together in which state is in
their truth tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from rasterport.parts.common import MEMORY, SCHEME
from rasterport.parts.families import RAILS, RATING, SUPPLY, THRESHOLDS, Family, package_of, pins_of
from rasterport.records import CataloguePart, Construction

SwitchKind = Literal["4051", "4052", "4053"]
SWITCH_KINDS: tuple[SwitchKind, ...] = get_args(SwitchKind)


@dataclass(frozen=True, slots=True)
class OnRow:
    """On-resistance [ohm] at one supply [V]: typical and most at 25 C, most at 85 C, the worst over the span.

    `spread` is the difference between two channels of one package: typical, most at 25 C, most when hot.
    """

    supply_v: float
    typical_ohm: float
    high_ohm: float
    hot_ohm: float
    spread_typical_ohm: float
    spread_ohm: float
    spread_hot_ohm: float


ON: dict[Family, tuple[OnRow, ...]] = {
    "74hc": (
        OnRow(4.5, 100.0, 180.0, 225.0, 10.0, 30.0, 35.0),
        OnRow(6.0, 90.0, 160.0, 200.0, 9.0, 30.0, 35.0),
    ),
    "4000b": (
        OnRow(5.0, 470.0, 1050.0, 1200.0, 15.0, 70.0, 135.0),
        OnRow(10.0, 180.0, 400.0, 520.0, 10.0, 50.0, 95.0),
        OnRow(15.0, 125.0, 240.0, 300.0, 5.0, 45.0, 65.0),
    ),
}
"""74HC: most from Philips 74HC4052 (1990) and TI SCHS122, which agree; typical Philips, TI has 90 and 80.  The 80 ohm
on the first page of NXP's sheets holds at the negative rail only.  Motorola and SLS allow 190 and 240.  Neither of
the two bounds the spread: 30 and 35 are Motorola's at 4.5 V, taken at 6 V too.
4000B: most from National, TI has the same; typical TI from memory, National prints 270, 120 and 80.  The bound on
the spread is onsemi's MC14051B, from memory, hot at 125 C; National and TI print 10 or 15, 10 and 5 as typical."""

CAPACITANCE: dict[tuple[Family, SwitchKind], dict[str, float]] = {
    ("74hc", "4051"): {"common_f": 25e-12, "common_high_f": 50e-12, "feedthrough_f": 0.95e-12},
    ("74hc", "4052"): {"common_f": 12e-12, "common_high_f": 24e-12, "feedthrough_f": 0.85e-12},
    ("74hc", "4053"): {"common_f": 8e-12, "common_high_f": 16e-12, "feedthrough_f": 0.75e-12},
    ("4000b", "4051"): {"common_f": 30e-12, "common_high_f": 60e-12, "feedthrough_f": 0.2e-12},
    ("4000b", "4052"): {"common_f": 15e-12, "common_high_f": 30e-12, "feedthrough_f": 0.2e-12},
    ("4000b", "4053"): {"common_f": 8e-12, "common_high_f": 16e-12, "feedthrough_f": 0.2e-12},
}
"""Typical of the makers ordered from: NXP and TI for 74HC, from memory; National at 10 V for 4000B.  They bound
nothing: twice the typical, a judgement from ST's M74HC4051 to 4053, whose bounds (70, 40 and 20 pF) are twice its own
typical figures (36, 19 and 11 pF).  Motorola bounds 130, 80 and 50 pF: another maker's part is another part.
Feed-through ST, National."""

CHANNEL: dict[Family, dict[str, float]] = {
    "74hc": {"channel_f": 7e-12, "channel_high_f": 15e-12, "input_f": 10e-12},
    "4000b": {"channel_f": 10e-12, "channel_high_f": 15e-12, "input_f": 7.5e-12},
}
"""Of one terminal and of one select input: ST M74HC4051; National CD4051B."""

LEAKAGE: dict[tuple[Family, SwitchKind], float] = {
    ("74hc", "4051"): 2e-6, ("74hc", "4052"): 1e-6, ("74hc", "4053"): 1e-6,
    ("4000b", "4051"): 2e-6, ("4000b", "4052"): 2e-6, ("4000b", "4053"): 2e-6,
}  # fmt: skip
"""Of a common terminal [A] at 85 C: TI SCHS122 at 6 V, National at 15 V.  At 25 C a tenth."""

SWITCH: dict[Family, dict[str, float]] = {
    "74hc": {
        "span_most_v": 10.0, "switch_max_a": 0.025, "clamp_max_a": 0.02, "drop_max_v": 0.4,
        "supply_a": 80e-6, "supply_25c_a": 8e-6, "channel_leakage_a": 1e-6, "input_a": 1e-6,
        "delay_typical_s": 25e-9, "delay_most_s": 93e-9,
    },
    "4000b": {
        "span_most_v": 15.0, "switch_max_a": 0.01, "clamp_max_a": 0.01, "drop_max_v": 0.4,
        "supply_a": 600e-6, "supply_25c_a": 80e-6, "channel_leakage_a": 0.5e-6, "input_a": 1e-6,
        "delay_5v_typical_s": 600e-9, "delay_10v_typical_s": 225e-9, "delay_15v_typical_s": 160e-9,
        "delay_5v_most_s": 1200e-9, "delay_10v_most_s": 450e-9, "delay_15v_most_s": 320e-9,
    },
}  # fmt: skip
"""`span_most_v` is the supply less VEE.  74HC: currents and drop NXP 74HC4052, supply and leakage TI at 6 V, the longer
delay of select and enable at 4.5 V, typical NXP 74HC4053, most Motorola.  4000B: National at 15 V, delay of the
inhibit input at 25 C; drop Philips HEF4052B; currents from memory."""

SWITCH_PINS: dict[SwitchKind, str] = {
    "4051": """
        X4   1  16  VDD
        X6   2  15  X2
        X    3  14  X1
        X7   4  13  X0
        X5   5  12  X3
        INH  6  11  A
        VEE  7  10  B
        VSS  8   9  C
    """,
    "4052": """
        Y0   1  16  VDD
        Y2   2  15  X2
        Y    3  14  X1
        Y3   4  13  X
        Y1   5  12  X0
        INH  6  11  X3
        VEE  7  10  A
        VSS  8   9  B
    """,
    "4053": """
        Y1   1  16  VDD
        Y0   2  15  Y
        Z1   3  14  X
        Z    4  13  X1
        Z0   5  12  X0
        INH  6  11  A
        VEE  7  10  B
        VSS  8   9  C
    """,
}
"""As the package lies, seen from above.  NXP 74HC4051 and 74HC4053 agree (1Z is X, 2Z is Y, 3Z is Z); the 4052 from
memory, a public list and KiCad's symbol."""

SWITCH_WORDS: dict[SwitchKind, str] = {
    "4051": "one switch of eight ways",
    "4052": "two switches of four ways",
    "4053": "three change-over switches",
}


SWITCH_ORDERS: dict[tuple[Family, Construction], tuple[str, str, str]] = {
    ("74hc", "smd"): ("Nexperia", "74HC{kind}D,653", MEMORY),
    ("74hc", "through-hole"): ("Texas Instruments", "CD74HC{kind}E", SCHEME),
    ("4000b", "smd"): ("Texas Instruments", "CD{kind}BM96", MEMORY),
    ("4000b", "through-hole"): ("Texas Instruments", "CD{kind}BE", MEMORY),
}
"""The DIP types of 74HC stand in the ordering table of TI SCHS122."""


def analog_switch(kind: SwitchKind, family: Family, construction: Construction) -> CataloguePart:
    """The analog switch of this kind: see SWITCH_WORDS.  Its terminals are of no kind, since they carry either way.

    The solver takes it as contacts of its on-resistance: see `on_resistance`.
    """
    package, footprint = package_of(16, construction)
    maker, number, rests_on = SWITCH_ORDERS[family, construction]
    supply, ground = RAILS[family]
    name = f"74HC{kind}" if family == "74hc" else f"CD{kind}B"
    selects = {"4051": "A B C", "4052": "A B", "4053": "A B C"}[kind]
    return CataloguePart(
        key=f"analog-switch/{kind}/{family}/{construction}",
        letter="U",
        appears="contacts",
        name=name,
        description=f"Analog switch {name}, {SWITCH_WORDS[kind]}, {package}",
        pins=pins_of(SWITCH_PINS[kind], f"{selects} INH", rails=RAILS[family]),
        package=package,
        footprint=footprint,
        manufacturer=maker,
        part_number=number.format(kind=kind),
        number_rests_on=rests_on,
        symbol=f"4xxx:{kind}",
        pin_alias={"INH": "Inh"} if family == "4000b" else {"INH": "Inh", supply: "VDD", ground: "VSS"},
        rating=RATING[family],
        ratings={
            **SUPPLY[family],
            **_on_ratings(family),
            **CHANNEL[family],
            **CAPACITANCE[family, kind],
            "common_leakage_a": LEAKAGE[family, kind],
            **THRESHOLDS[family],
            **SWITCH[family],
        },
        source=(
            "Philips and NXP 74HC405x, TI SCHS122, ST M74HC405x, Motorola MC74HC405x data sheets"
            if family == "74hc"
            else "National CD4051B to CD4053B data sheet, TI CD4051B"
        ),
        confidence="pins agree with KiCad's symbols; figures from text, makers' disagreements beside them",
    )


def _on_ratings(family: Family) -> dict[str, float]:
    """On-resistances as ratings, the supply in the key."""
    found: dict[str, float] = {}
    for row in ON[family]:
        whole, _, tenth = f"{row.supply_v:.1f}".partition(".")
        at = f"on_{whole}v{tenth}" if tenth != "0" else f"on_{whole}v"
        found |= {
            f"{at}_typical_ohm": row.typical_ohm,
            f"{at}_25c_ohm": row.high_ohm,
            f"{at}_ohm_high": row.hot_ohm,
            f"{at}_spread_typical_ohm": row.spread_typical_ohm,
            f"{at}_spread_25c_ohm": row.spread_ohm,
            f"{at}_spread_ohm_high": row.spread_hot_ohm,
        }
    return found


LEAST_SHARE = 0.85
"""Share of the lowest row's supply down to which its figures are drawn on; judgement, stated."""
THRESHOLDS_V = 1.5
"""Two thresholds of the switches' transistors [V]: where the resistance of a 74HC switch peaks; judgement, stated."""


def on_resistance(family: Family, supply_v: float) -> OnRow:
    """On-resistance at `supply_v` [V] from VEE to the supply, between the makers' rows.

    The logarithm of the resistance falls ever more slowly as the supply rises, so a line between the logarithms of two
    bounds stays above the curve.  Beyond the highest row its own figures hold.  Below the lowest row, to LEAST_SHARE
    of its supply, they grow with the square of what is left of the supply above two thresholds.  Raises ValueError
    below that.
    """
    rows = ON[family]
    if supply_v < LEAST_SHARE * rows[0].supply_v:
        least = LEAST_SHARE * rows[0].supply_v
        raise ValueError(f"a {family} switch is known from {least:g} V upwards, found {supply_v:g} V")
    if supply_v < rows[0].supply_v:
        more = ((rows[0].supply_v - THRESHOLDS_V) / (supply_v - THRESHOLDS_V)) ** 2
        return OnRow(supply_v, *(more * figure for figure in _figures(rows[0])))
    for low, high in pairwise(rows):
        if supply_v <= high.supply_v:
            part = (supply_v - low.supply_v) / (high.supply_v - low.supply_v)
            return OnRow(supply_v, *(a * (b / a) ** part for a, b in zip(_figures(low), _figures(high), strict=True)))
    return OnRow(supply_v, *_figures(rows[-1]))


def _figures(row: OnRow) -> tuple[float, float, float, float, float, float]:
    return (
        row.typical_ohm, row.high_ohm, row.hot_ohm,
        row.spread_typical_ohm, row.spread_ohm, row.spread_hot_ohm,
    )  # fmt: skip


def family_of(part: CataloguePart) -> Family:
    """The family of an analog switch, from its key."""
    return "74hc" if part.key.split("/")[2] == "74hc" else "4000b"
