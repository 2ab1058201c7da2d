"""Transistors, diodes, the 5 V regulator and the hex inverter, each in two constructions.

Pin orders agree in two or more makers' data sheets; where a public text contradicts them it is wrong:
2N7002 in SOT-23 is gate, source, drain, and the 78L05 in TO-92 is output, ground, input, the reverse of
the larger TO-220 types.  Ratings of a pair are the worse of the two, so that a board works in either
construction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rasterport.parts.common import MEMORY
from rasterport.records import CataloguePart, Construction, Pin, PinKind

TransistorKind = Literal["npn", "pnp", "nfet"]
DiodeKind = Literal["flyback", "schottky"]

SOT23 = ("SOT-23", "Package_TO_SOT_SMD:SOT-23")
TO92 = ("TO-92", "Package_TO_SOT_THT:TO-92_Inline_Wide")
"""The wide pattern leaves 2.54 mm between the leads, which a hand-made board needs."""


def _pins(order: str, kinds: dict[str, PinKind] | None = None) -> tuple[Pin, ...]:
    """Pins of a package: names in the order of the numbers, from 1."""
    kind_of = kinds or {}
    return tuple(Pin(str(n), name, kind_of.get(name, "passive")) for n, name in enumerate(order.split(), 1))


BIPOLAR_RATINGS = {
    "vbe_low_v": 0.58,
    "vbe_high_v": 0.70,
    "vbe_tempco_v_per_k": -0.002,
    "beta_low": 110.0,
    "beta_high": 800.0,
    "vcesat_v": 0.25,
    "vceo_v": 45.0,
    "vebo_v": 5.0,
    "ic_max_a": 0.1,
    "leakage_a": 15e-9,
}
"""At 25 C: vbe at 2 mA, saturation at 10 mA and 0.5 mA of base current, whole gain family A to C
(110 to 800) although group B is ordered, so that any group works.  vbe falls by 2 mV a kelvin."""

BIPOLAR_SOURCE = "Nexperia BC847 and BC857 series data sheets, LiteOn BC847; onsemi BC546 to BC550, BC556 to BC560"

NFET_RATINGS = {
    "smd": {
        "vgsth_low_v": 1.0, "vgsth_high_v": 2.5, "rds_on_ohm": 0.64, "vds_max_v": 60.0, "vgs_max_v": 16.0,
        "id_max_a": 0.5, "ciss_f": 64e-12, "leakage_a": 1e-6,
    },
    "through-hole": {
        "vgsth_low_v": 0.8, "vgsth_high_v": 3.0, "rds_on_ohm": 6.0, "vds_max_v": 60.0, "vgs_max_v": 20.0,
        "id_max_a": 0.2, "ciss_f": 50e-12, "leakage_a": 1e-6,
    },
}  # fmt: skip
"""`rds_on_ohm` is the worst at 4.5 to 5 V on the gate and 25 C.  The chip part has a tenth of the usual
small type's resistance, so that a relay still pulls in on 5 V in a hot cabinet."""


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    manufacturer: str
    part_number: str
    order: str
    symbol: str


TRANSISTORS: dict[tuple[TransistorKind, Construction], _Row] = {
    ("npn", "smd"): _Row("BC847B", "Nexperia", "BC847B,215", "B E C", "Transistor_BJT:BC847"),
    ("npn", "through-hole"): _Row("BC547B", "onsemi", "BC547BTA", "C B E", "Transistor_BJT:BC547"),
    ("pnp", "smd"): _Row("BC857B", "Nexperia", "BC857B,215", "B E C", "Transistor_BJT:BC857"),
    ("pnp", "through-hole"): _Row("BC557B", "onsemi", "BC557BTA", "C B E", "Transistor_BJT:BC557"),
    ("nfet", "smd"): _Row("IRLML2060", "Infineon", "IRLML2060TRPBF", "G S D", "Transistor_FET:IRLML2060"),
    ("nfet", "through-hole"): _Row("2N7000", "onsemi", "2N7000", "S G D", "Transistor_FET:2N7000"),
}

FET_SOURCE: dict[Construction, str] = {
    "smd": "Infineon IRLML2060 data sheet, from memory",
    "through-hole": "Fairchild and onsemi 2N7000 data sheets",
}

WORDS: dict[TransistorKind, str] = {
    "npn": "Transistor, NPN",
    "pnp": "Transistor, PNP",
    "nfet": "Transistor, N-channel MOSFET",
}


def transistor(kind: TransistorKind, construction: Construction) -> CataloguePart:
    """The small-signal transistor of this kind.  Pin names: B, E, C, or G, S, D."""
    row = TRANSISTORS[kind, construction]
    package, footprint = SOT23 if construction == "smd" else TO92
    ratings = NFET_RATINGS[construction] if kind == "nfet" else BIPOLAR_RATINGS
    return CataloguePart(
        key=f"transistor/{kind}/{construction}",
        letter="Q",
        appears="control",
        name=row.name,
        description=f"{WORDS[kind]} {row.name}, {package}",
        pins=_pins(row.order),
        package=package,
        footprint=footprint,
        manufacturer=row.manufacturer,
        part_number=row.part_number,
        number_rests_on=MEMORY,
        symbol=row.symbol,
        rating="60 V" if kind == "nfet" else "45 V 0.1 A",
        ratings=ratings,
        source=FET_SOURCE[construction] if kind == "nfet" else BIPOLAR_SOURCE,
        confidence=_confidence(kind, construction),
    )


def _confidence(kind: TransistorKind, construction: Construction) -> str:
    pins = "several data sheets agree on pins" if construction == "smd" else "pins from memory, as KiCad's symbol"
    return f"{pins}; {'ratings the worst of several makers' if kind == 'nfet' else 'vbe and gain span a judgement'}"


DIODES: dict[tuple[DiodeKind, Construction], _Row] = {
    ("flyback", "smd"): _Row("1N4148W", "Diodes Incorporated", "1N4148W-7-F", "K A", "Diode:1N4148W"),
    ("flyback", "through-hole"): _Row("1N4148", "onsemi", "1N4148", "K A", "Diode:1N4148"),
    ("schottky", "smd"): _Row("BAT42W", "Vishay", "BAT42W-E3-08", "K A", "Diode:BAT42W-V"),
    ("schottky", "through-hole"): _Row("BAT42", "Vishay", "BAT42-TR", "K A", "Diode:BAT42"),
}

DIODE_RATINGS: dict[DiodeKind, dict[str, float]] = {
    "flyback": {
        "voltage_v": 75.0, "current_max_a": 0.15, "vf_high_v": 1.0, "vf_low_v": 0.55,
        "capacitance_f": 4e-12, "leakage_a": 25e-9,
    },
    "schottky": {
        "voltage_v": 30.0, "current_max_a": 0.2, "vf_high_v": 0.65, "vf_10ma_high_v": 0.44, "vf_low_v": 0.15,
        "capacitance_f": 10e-12, "leakage_a": 100e-6,
    },
}  # fmt: skip
"""Schottky: `vf_high_v` at 30 mA and 0 C is the bound at 50 mA and 25 C: 20 mA less lower it by 47 mV or more, from
the slope to the bound of 1 V at 200 mA, and 25 K of cold raise it by about 40 mV (1.5 mV/K, judgement).
`vf_10ma_high_v` at 10 mA and 0 C is the bound of 0.4 V at 25 C with the same 40 mV.
`vf_low_v` at 1 mA and 70 C: BAT43, the same diode sorted otherwise, has at least 0.26 V at 2 mA and 25 C; half of the
current takes off 18 mV and 45 K at most 90 mV (2 mV/K, judgement).  The middle, 0.40 V, is what the maker allows at
10 mA and 25 C.  `leakage_a` at 25 V and 100 C, which bounds 15 V and 70 C; at 25 C it is 0.5 uA.  10 pF at 1 V is MCC's
bound; ST prints 7 pF typical."""

DIODE_WORDS: dict[DiodeKind, tuple[str, str, str, str]] = {
    "flyback": (
        "Switching diode",
        "75 V 0.15 A",
        "1N4148 data sheets of several makers: vf at most 1 V at 10 mA",
        "several data sheets agree; vf_low_v from memory",
    ),
    "schottky": (
        "Schottky diode",
        "30 V 0.2 A",
        "ST BAT42, MCC BAT42WS data sheets: vf at most 0.4 V at 10 mA, 0.65 V at 50 mA; Vishay BAT42W: 30 V, 0.2 A",
        "makers agree on bounds at 25 C; forward voltage cold and hot is a judgement; pins as KiCad's symbol",
    ),
}
"""Kind -> what it is, rating, source, confidence."""


def diode(kind: DiodeKind, construction: Construction) -> CataloguePart:
    """Across a relay coil, or between the rail and logic that draws up to 30 mA.  Pin 1 is K, pin 2 A."""
    smd = construction == "smd"
    row = DIODES[kind, construction]
    what, rating, source, confidence = DIODE_WORDS[kind]
    return CataloguePart(
        key=f"diode/{kind}/{construction}",
        letter="D",
        appears="control",
        name=row.name,
        description=f"{what}, {'SOD-123' if smd else 'DO-35'}",
        pins=_pins(row.order),
        package="SOD-123" if smd else "DO-35",
        footprint="Diode_SMD:D_SOD-123" if smd else "Diode_THT:D_DO-35_SOD27_P7.62mm_Horizontal",
        manufacturer=row.manufacturer,
        part_number=row.part_number,
        number_rests_on=MEMORY,
        symbol=row.symbol,
        rating=rating,
        ratings=DIODE_RATINGS[kind],
        source=source,
        confidence=confidence,
    )


REGULATOR_RATINGS = {
    "input_least_v": 7.0,
    "input_max_v": 30.0,
    "output_low_v": 4.75,
    "output_high_v": 5.25,
    "current_max_a": 0.1,
    "quiescent_a": 0.006,
    "junction_max_c": 125.0,
}
"""5 V +-5 % over 7 to 20 V and 1 to 40 mA; dropout 1.7 V at 40 mA asks for 7 V (ST, TI, TS)."""


def regulator_5v(construction: Construction) -> CataloguePart:
    """78L05.  Pins in both packages: 1 output, 2 ground, 3 input."""
    smd = construction == "smd"
    kinds: dict[str, PinKind] = {"OUT": "power_out", "GND": "power_in", "IN": "power_in"}
    return CataloguePart(
        key=f"regulator-5v/{construction}",
        letter="U",
        appears="control",
        name="L78L05",
        description=f"Regulator 5 V 0.1 A, {'SOT-89' if smd else 'TO-92'}",
        pins=_pins("OUT GND IN", kinds),
        package="SOT-89" if smd else "TO-92",
        footprint="Package_TO_SOT_SMD:SOT-89-3" if smd else TO92[1],
        manufacturer="STMicroelectronics",
        part_number="L78L05ABUTR" if smd else "L78L05ABZ",
        number_rests_on=MEMORY,
        symbol="Regulator_Linear:L78L05_SOT89" if smd else "Regulator_Linear:L78L05_TO92",
        pin_alias={} if smd else {"OUT": "VO", "IN": "VI"},
        tolerance="5 %",
        rating="5 V 0.1 A",
        ratings={**REGULATOR_RATINGS, "thermal_resistance_k_per_w": 200.0},
        source="ST L78L, TI uA78L and TS78L data sheets",
        confidence="three data sheets; thermal resistance from memory (SOT-89 on little copper, TO-92 upright)",
    )


INVERTER_ORDER = "1A 1Y 2A 2Y 3A 3Y GND 4Y 4A 5Y 5A 6Y 6A VCC"

INVERTER_RATINGS = {
    "supply_low_v": 4.5,
    "supply_high_v": 5.5,
    "vt_rise_low_v": 1.2,
    "vt_rise_high_v": 2.1,
    "vt_fall_low_v": 0.5,
    "vt_fall_high_v": 1.4,
    "output_ohm": 50.0,
    "output_ohm_high": 165.0,
    "output_max_a": 0.025,
    "delay_typical_s": 20e-9,
    "delay_most_s": 51e-9,
    "supply_a": 2e-3,
    "input_a": 1e-6,
    "input_f": 10e-12,
    "edge_typical_s": 7e-9,
    "edge_most_s": 19e-9,
}
"""Thresholds over 4.5 to 5.5 V.  `output_ohm_high` is 0.66 V of drop at 4 mA; `supply_a` with inputs at
TTL levels; `input_f` is the family's bound;
edges of an output at 4.5 V, 10 to 90 %, into 50 pF, to 85 C."""


def buffer_inverter(construction: Construction) -> CataloguePart:
    """74HCT14, six inverters with Schmitt inputs that understand TTL levels; pins 1A, 1Y to 6A, 6Y."""
    smd = construction == "smd"
    kinds: dict[str, PinKind] = {"GND": "power_in", "VCC": "power_in"}
    for gate in "123456":
        kinds[f"{gate}A"], kinds[f"{gate}Y"] = "input", "output"
    return CataloguePart(
        key=f"buffer-inverter/{construction}",
        letter="U",
        appears="control",
        name="74HCT14",
        description=f"Six Schmitt inverters, TTL inputs, {'SO-14' if smd else 'DIP-14'}",
        pins=_pins(INVERTER_ORDER, kinds),
        package="SO-14" if smd else "DIP-14",
        footprint="Package_SO:SOIC-14_3.9x8.7mm_P1.27mm" if smd else "Package_DIP:DIP-14_W7.62mm",
        manufacturer="Nexperia" if smd else "Texas Instruments",
        part_number="74HCT14D,653" if smd else "CD74HCT14E",
        number_rests_on=MEMORY,
        symbol="74xx:74HC14",
        rating="4.5 to 5.5 V",
        ratings=INVERTER_RATINGS,
        source="Nexperia 74HC14; 74HCT14 data sheet",
        confidence="pins agree with KiCad's symbol; figures from memory",
    )
