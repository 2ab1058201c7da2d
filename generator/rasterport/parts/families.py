"""What 74HC parts on 5 V and 4000B parts on 8 to 15 V share: rails, supplies, outputs, thresholds, packages.

Ratings are at 85 C where the key does not say otherwise, and the worse of the two makers ordered from; bounds that
they do not print are another's, named beside the number.  A rating at one supply has it in its key: `10v`, and
`4v5` for 4.5 V.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from rasterport.parts.common import MEMORY
from rasterport.records import Construction, Pin, PinKind

Family = Literal["74hc", "4000b"]
FAMILIES: tuple[Family, ...] = get_args(Family)

SO = {
    8: "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm",
    14: "Package_SO:SOIC-14_3.9x8.7mm_P1.27mm",
    16: "Package_SO:SOIC-16_3.9x9.9mm_P1.27mm",
}
DIP = {pins: f"Package_DIP:DIP-{pins}_W7.62mm" for pins in (8, 14, 16)}

RAILS: dict[Family, tuple[str, str]] = {"74hc": ("VCC", "GND"), "4000b": ("VDD", "VSS")}
"""What the two families call supply and ground."""

SUPPLY: dict[Family, dict[str, float]] = {
    "74hc": {"supply_low_v": 2.0, "supply_high_v": 6.0},
    "4000b": {"supply_low_v": 3.0, "supply_high_v": 15.0},
}
"""TI prints 2 to 6 V for its 74HC switches, Nexperia up to 10 V; National 3 to 15 V for 4000B, TI up to 18 V."""

RATING: dict[Family, str] = {"74hc": "2 to 6 V", "4000b": "3 to 15 V"}

OUTPUT: dict[Family, dict[str, float]] = {
    "74hc": {"output_ohm": 50.0, "output_ohm_high": 165.0, "output_max_a": 0.025},
    "4000b": {
        "output_5v_ohm": 455.0, "output_10v_ohm": 222.0, "output_15v_ohm": 170.0,
        "output_5v_ohm_high": 1111.0, "output_10v_ohm_high": 556.0, "output_15v_ohm_high": 625.0,
        "output_max_a": 0.01,
    },
}  # fmt: skip
"""Drop over current.  74HC: 0.66 V at 4 mA when high (TI CD74HC14, Nexperia 74HC4050: 3.84 V at 4.5 V), half of it
when low; typical from memory.  4000B: 0.4 V at 0.36 mA, 0.5 V at 0.9 mA and 1.5 V at 2.4 mA (National CD40106B at
85 C, onsemi MC14532B at 125 C), typical 0.88, 2.25 and 8.8 mA."""

THRESHOLDS: dict[Family, dict[str, float]] = {
    "74hc": {"input_low_fraction": 0.3, "input_high_fraction": 0.7},
    "4000b": {"input_low_fraction": 4.0 / 15.0, "input_high_fraction": 11.0 / 15.0},
}
"""Of the supply.  TI CD74HC4051, Hitachi HD74HC148: 1.35 and 3.15 V at 4.5 V; Motorola lets its switches be as bad as
0.9 V.  National CD4051B, onsemi MC14532B: 1.5 and 3.5 V at 5 V, 3 and 7 V at 10 V, 4 and 11 V at 15 V, the worst."""

POWER = ("VCC", "GND", "VDD", "VSS", "VEE")


def pins_of(
    drawing: str, inputs: str = "", outputs: str = "", rails: tuple[str, str] = ("VDD", "VSS")
) -> tuple[Pin, ...]:
    """Pins of a package drawn from above: name, number, number, name.  `rails` replace VDD and VSS."""
    names = {}
    for line in drawing.strip().splitlines():
        left, first, second, right = line.split()
        names[int(first)], names[int(second)] = left, right
    own = dict(zip(("VDD", "VSS"), rails, strict=True))
    kinds: dict[str, PinKind] = dict.fromkeys(POWER, "power_in")
    kinds.update(dict.fromkeys(inputs.split(), "input"))
    kinds.update(dict.fromkeys(outputs.split(), "output"))
    kinds.update(dict.fromkeys(("NC-13", "NC-16"), "no_connect"))
    return tuple(
        Pin(str(number), own.get(name, name), kinds.get(name, "passive")) for number, name in sorted(names.items())
    )


def package_of(pins: int, construction: Construction) -> tuple[str, str]:
    """Name of the package and footprint."""
    return (f"SO-{pins}", SO[pins]) if construction == "smd" else (f"DIP-{pins}", DIP[pins])


@dataclass(frozen=True, slots=True)
class Order:
    """What one row of the logic is called and ordered as."""

    name: str
    manufacturer: str
    part_number: str
    rests_on: str = MEMORY
