"""Priority encoders, inverters and a buffer of two families, and which truth table each logic part follows."""

from __future__ import annotations

from rasterport.parts.common import MEMORY, SCHEME
from rasterport.parts.families import OUTPUT, RAILS, RATING, SUPPLY, THRESHOLDS, Family, Order, package_of, pins_of
from rasterport.records import CataloguePart, Construction
from rasterport.standards.truth_tables import TABLES, TruthTable

ENCODER_PINS: dict[Family, str] = {
    "74hc": """
        I4   1  16  VCC
        I5   2  15  EO
        I6   3  14  GS
        I7   4  13  I3
        EI   5  12  I2
        A2   6  11  I1
        A1   7  10  I0
        GND  8   9  A0
    """,
    "4000b": """
        D4   1  16  VDD
        D5   2  15  EO
        D6   3  14  GS
        D7   4  13  D3
        EI   5  12  D2
        Q2   6  11  D1
        Q1   7  10  D0
        VSS  8   9  Q0
    """,
}
"""Hitachi HD74HC148 and TI; Intersil CD4532BMS.  One shop's list of the 4532 exchanges outputs and enable: wrong."""

INVERTER_PINS = """
    1A   1  14  VDD
    1Y   2  13  6A
    2A   3  12  6Y
    2Y   4  11  5A
    3A   5  10  5Y
    3Y   6   9  4A
    VSS  7   8  4Y
"""
"""NXP 74HC04 and 74HC14; National CD40106B."""

BUFFER_PINS = """
    VCC  1  16  NC-16
    1Y   2  15  6Y
    1A   3  14  6A
    2Y   4  13  NC-13
    2A   5  12  5Y
    3Y   6  11  5A
    3A   7  10  4Y
    GND  8   9  4A
"""
"""Nexperia 74HC4050, table 2.  The supply is in the first corner, not in the last."""


ENCODER_ORDERS: dict[tuple[Family, Construction], Order] = {
    ("74hc", "smd"): Order("74HC148", "Texas Instruments", "SN74HC148D"),
    ("74hc", "through-hole"): Order("74HC148", "Texas Instruments", "SN74HC148N"),
    ("4000b", "smd"): Order("MC14532B", "onsemi", "MC14532BDG", SCHEME),
    ("4000b", "through-hole"): Order("CD4532B", "Texas Instruments", "CD4532BE"),
}
"""The onsemi type stands in its ordering table."""

ENCODER_RATINGS: dict[Family, dict[str, float]] = {
    "74hc": {
        "supply_a": 80e-6, "supply_25c_a": 8e-6, "input_a": 1e-6, "input_f": 10e-12,
        "delay_typical_s": 15e-9, "delay_most_s": 68e-9,
    },
    "4000b": {
        "supply_a": 600e-6, "supply_25c_a": 20e-6, "input_a": 1e-6, "input_f": 7.5e-12,
        "delay_5v_typical_s": 300e-9, "delay_10v_typical_s": 170e-9, "delay_15v_typical_s": 110e-9,
        "delay_5v_most_s": 600e-9, "delay_10v_most_s": 340e-9, "delay_15v_most_s": 220e-9,
    },
}  # fmt: skip
"""74HC: Hitachi HD74HC148 at 4.5 V, the slowest way (inputs to GS, EI to EO); supply TI, from memory, Hitachi has half.
4000B: delay onsemi MC14532B at 25 C, from memory; supply at 15 V, from memory."""


def priority_encoder(family: Family, construction: Construction) -> CataloguePart:
    """Eight inputs to the number of the highest active one: 74HC148, active low, or 4532, active high.

    The pins of the two stand in the same places.  KiCad has no symbol of the 4532, so both are held against its 74148.
    """
    package, footprint = package_of(16, construction)
    order = ENCODER_ORDERS[family, construction]
    data, code = ("I", "A") if family == "74hc" else ("D", "Q")
    inputs = " ".join(f"{data}{n}" for n in range(8))
    outputs = " ".join(f"{code}{n}" for n in range(3))
    # KiCad's symbol writes the input of number 0 with the letter O.
    alias = {f"{data}{n}": f"I{n or 'O'}" for n in range(8)} | {f"{code}{n}": f"S{n}" for n in range(3)}
    if family == "4000b":
        alias |= {"VDD": "VCC", "VSS": "GND"}
    return CataloguePart(
        key=f"priority-encoder/{family}/{construction}",
        letter="U",
        appears="control",
        name=order.name,
        description=f"Priority encoder {order.name}, 8 to 3, active {'low' if family == '74hc' else 'high'}, {package}",
        pins=pins_of(ENCODER_PINS[family], f"{inputs} EI", f"{outputs} GS EO"),
        package=package,
        footprint=footprint,
        manufacturer=order.manufacturer,
        part_number=order.part_number,
        number_rests_on=order.rests_on,
        symbol="74xx:74LS148",
        pin_alias=alias,
        rating=RATING[family],
        ratings={**SUPPLY[family], **THRESHOLDS[family], **OUTPUT[family], **ENCODER_RATINGS[family]},
        source="Hitachi HD74HC148 data sheet" if family == "74hc" else "Intersil CD4532BMS and onsemi MC14532B",
        confidence=(
            "pins in three texts and KiCad's symbol"
            if family == "74hc"
            else "pins in one maker's drawing and one list, a third list is wrong; delays from memory"
        ),
    )


INVERTER_ORDERS: dict[tuple[Family, Construction], Order] = {
    ("74hc", "smd"): Order("74HC14", "Nexperia", "74HC14D,653"),
    ("74hc", "through-hole"): Order("74HC14", "Texas Instruments", "CD74HC14E"),
    ("4000b", "smd"): Order("CD40106B", "Texas Instruments", "CD40106BM96"),
    ("4000b", "through-hole"): Order("CD40106B", "Texas Instruments", "CD40106BE"),
}

INVERTER_RATINGS: dict[Family, dict[str, float]] = {
    "74hc": {
        "vt_rise_low_fraction": 0.35, "vt_rise_high_fraction": 0.70,
        "vt_fall_low_fraction": 0.20, "vt_fall_high_fraction": 0.50,
        "supply_a": 20e-6, "supply_25c_a": 2e-6, "input_a": 1e-6, "input_f": 10e-12,
        "delay_typical_s": 15e-9, "delay_most_s": 34e-9,
    },
    "4000b": {
        "vt_rise_low_fraction": 0.44, "vt_rise_high_fraction": 0.86,
        "vt_fall_low_fraction": 0.14, "vt_fall_high_fraction": 0.56,
        "supply_a": 120e-6, "supply_25c_a": 16e-6, "input_a": 1e-6, "input_f": 7.5e-12,
        "delay_5v_typical_s": 220e-9, "delay_10v_typical_s": 80e-9, "delay_15v_typical_s": 70e-9,
        "delay_5v_most_s": 400e-9, "delay_10v_most_s": 200e-9, "delay_15v_most_s": 160e-9,
    },
}  # fmt: skip
"""Thresholds as fractions of the supply, over 4.5 to 6 V and 5 to 15 V.

74HC: falling up to 3.0 V at 6 V and rising from 1.7 V at 4.5 V and 2.1 V at 6 V (NXP 74HC14, from memory; onsemi
MC74HC14A lies inside), supply TI CD74HC14 at 6 V, delay at 4.5 V from memory.
4000B: National CD40106B rises between 0.60 and 0.86 and falls between 0.14 and 0.40; TI's, from memory, between 0.44
and 0.72 and between 0.18 and 0.56: both must serve.  Supply and delay National, at 15 V and at 25 C."""


def inverter(family: Family, construction: Construction) -> CataloguePart:
    """Six inverters for the rail of this family, pins 1A, 1Y to 6A, 6Y: 74HC14 or 40106, both with Schmitt inputs.

    What they follow is slow, a status contact behind resistors; a plain inverter oscillates on such an edge, and the
    unbuffered 4069 reads 0.2 and 0.8 of its supply and takes milliamperes between.
    """
    package, footprint = package_of(14, construction)
    order = INVERTER_ORDERS[family, construction]
    return CataloguePart(
        key=f"inverter/{family}/{construction}",
        letter="U",
        appears="control",
        name=order.name,
        description=f"Six Schmitt inverters {order.name}, {package}",
        pins=pins_of(INVERTER_PINS, _gates("A"), _gates("Y"), RAILS[family]),
        package=package,
        footprint=footprint,
        manufacturer=order.manufacturer,
        part_number=order.part_number,
        number_rests_on=order.rests_on,
        symbol="74xx:74HC14" if family == "74hc" else "4xxx:40106",
        rating=RATING[family],
        ratings={**SUPPLY[family], **OUTPUT[family], **INVERTER_RATINGS[family]},
        source="NXP 74HC14, TI CD74HC14" if family == "74hc" else "National CD40106B data sheet, TI CD40106B",
        confidence="pins agree with KiCad's symbol; thresholds partly from memory",
    )


def _gates(letter: str) -> str:
    return " ".join(f"{gate}{letter}" for gate in "123456")


def buffer(construction: Construction) -> CataloguePart:
    """74HC4050, six buffers whose inputs bear up to 15 V on any supply; pins 1A, 1Y to 6A, 6Y.

    A sync separator needs 5.0 V at the least and so runs on the higher rail; only such an input may follow it on 5 V.
    """
    package, footprint = package_of(16, construction)
    smd = construction == "smd"
    return CataloguePart(
        key=f"buffer/{construction}",
        letter="U",
        appears="control",
        name="74HC4050",
        description=f"Six buffers 74HC4050, inputs to 15 V, {package}",
        pins=pins_of(BUFFER_PINS, _gates("A"), _gates("Y")),
        package=package,
        footprint=footprint,
        manufacturer="Nexperia" if smd else "Texas Instruments",
        part_number="74HC4050D,653" if smd else "CD74HC4050E",
        number_rests_on=MEMORY,
        symbol="4xxx:4050",
        pin_alias={"GND": "VSS"},
        rating=RATING["74hc"],
        ratings={
            **SUPPLY["74hc"],
            **THRESHOLDS["74hc"],
            **OUTPUT["74hc"],
            "input_max_v": 15.0,
            "supply_a": 20e-6,
            "input_a": 1e-6,
            "input_f": 3.5e-12,
            "delay_typical_s": 9e-9,
            "delay_most_s": 21e-9,
        },
        source="Nexperia 74HC4050 Rev. 5, Philips 74HC4050",
        confidence="pins in text and KiCad's symbol; delay over temperature and supply current from memory",
    )


TABLE_OF: dict[str, str] = {
    "analog-switch/4051/": "4051",
    "analog-switch/4052/": "4052",
    "analog-switch/4053/": "4053",
    "priority-encoder/74hc/": "74hc148",
    "priority-encoder/4000b/": "4532",
    "inverter/": "hex-inverter",
    "buffer-inverter/": "hex-inverter",
    "buffer/": "hex-buffer",
}
"""How the keys of parts begin -> key of the truth table; its names are the parts' pin names."""


def truth_table(part: CataloguePart) -> TruthTable | None:
    """The truth table of a part, None for a part that is no logic."""
    return next((TABLES[table] for start, table in TABLE_OF.items() if part.key.startswith(start)), None)
