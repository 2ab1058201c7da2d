"""Pin orders as makers' data sheets state them, typed separately from our tables; some rows are from memory."""

from __future__ import annotations

import pytest

from rasterport.parts import buffer_inverter, diode, regulator_5v, transistor
from rasterport.records import CataloguePart


def order(part: CataloguePart) -> str:
    """Pin names by number, in the order of the numbers."""
    return " ".join(pin.name for pin in sorted(part.pins, key=lambda pin: int(pin.number)))


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_78l05_has_the_output_first(construction: str) -> None:
    """ST L78L (TO-92, SOT-89), TI uA78L, TS78L: 1 output, 2 ground, 3 input, the reverse of a 7805."""
    assert order(regulator_5v(construction)) == "OUT GND IN"


@pytest.mark.parametrize(
    ("kind", "construction", "pins"),
    [
        ("npn", "smd", "B E C"),  # NXP BC847 series: 1 base, 2 emitter, 3 collector
        ("pnp", "smd", "B E C"),  # NXP BC857 series: the same
        ("npn", "through-hole", "C B E"),  # onsemi BC546 to BC550: 1 collector, 2 base, 3 emitter (memory)
        ("pnp", "through-hole", "C B E"),  # onsemi BC556 to BC560: the same (memory)
        ("nfet", "smd", "G S D"),  # Fairchild, Diodes, onsemi, Infineon SOT-23: 1 gate, 2 source, 3 drain
        ("nfet", "through-hole", "S G D"),  # Fairchild 2N7000: 1 source, 2 gate, 3 drain (memory)
    ],
)
def test_transistors(kind: str, construction: str, pins: str) -> None:
    assert order(transistor(kind, construction)) == pins


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_the_band_of_a_diode_is_pin_1(construction: str) -> None:
    """1N4148 data sheets: the band marks the cathode; KiCad numbers the cathode 1."""
    assert order(diode("flyback", construction)) == "K A"


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_74hct14(construction: str) -> None:
    """Nexperia 74HCT14 (memory): inputs 1, 3, 5, 9, 11, 13; outputs 2, 4, 6, 8, 10, 12; ground 7, supply 14."""
    part = buffer_inverter(construction)
    kinds = {pin.number: pin.kind for pin in part.pins}
    assert {n for n, kind in kinds.items() if kind == "input"} == {"1", "3", "5", "9", "11", "13"}
    assert {n for n, kind in kinds.items() if kind == "output"} == {"2", "4", "6", "8", "10", "12"}
    names = {pin.name: int(pin.number) for pin in part.pins}
    assert (names["GND"], names["VCC"]) == (7, 14)
    pairs = {(names[f"{gate}A"], names[f"{gate}Y"]) for gate in "123456"}
    assert pairs == {(1, 2), (3, 4), (5, 6), (9, 8), (11, 10), (13, 12)}
