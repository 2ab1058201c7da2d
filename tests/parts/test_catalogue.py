"""The catalogue as a whole: every row is complete and honest about what it rests on."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from rasterport.parts import all_rows, diode
from rasterport.parts.common import MEMORY, SCHEME
from rasterport.records import CataloguePart, Construction

ROWS = all_rows()
UNITLESS = {"poles", "positions", "polarised", "beta_low", "beta_high"}
UNITS = re.compile(r"_(w|v|v_per_k|ohm|ohm_high|ohm_per_m|f|f_per_m|a|va|pct|ppm|k|k_per_w|c|mm|s|fraction)$")


def test_keys_differ() -> None:
    keys = [part.key for part in ROWS]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("part", ROWS, ids=lambda part: part.key)
class TestRow:
    def test_pins_differ_and_aliases_name_pins(self, part: CataloguePart) -> None:
        numbers = [pin.number for pin in part.pins]
        assert len(set(numbers)) == len(numbers)
        assert set(part.pin_alias) <= {pin.name for pin in part.pins}

    def test_ratings_name_their_unit(self, part: CataloguePart) -> None:
        assert [key for key in part.ratings if key not in UNITLESS and not UNITS.search(key)] == []
        assert all(isinstance(value, float | int) for value in part.ratings.values())

    def test_says_what_it_rests_on(self, part: CataloguePart) -> None:
        assert part.source
        assert part.confidence
        if part.part_number:
            assert part.number_rests_on in (SCHEME, MEMORY)
        if part.pins and not part.symbol:
            assert "memory" in part.confidence

    def test_can_be_ordered_or_is_copper(self, part: CataloguePart) -> None:
        if part.orderable:
            assert part.part_number or len(part.description) > 10
        else:
            assert not part.part_number

    def test_is_plain_text(self, part: CataloguePart) -> None:
        assert all(text.isascii() for text in (part.name, part.description, part.manufacturer, part.part_number))


def test_every_selector_is_in_the_catalogue() -> None:
    keys = {part.key for part in ROWS}
    assert {f"deck-switch/{poles}x{n}" for poles in range(5, 13) for n in (3, 4, 5)} <= keys
    assert {"centre-switch/1", "centre-switch/2", "rotary-switch/1x12", "coded-switch/bcd"} <= keys
    assert {f"diode/{kind}/{c}" for kind in ("flyback", "schottky") for c in ("smd", "through-hole")} <= keys


@pytest.mark.parametrize("construction", ["smd", "through-hole"])
class TestSchottky:
    """ST BAT42 and BAT43 (October 2001), typed separately: 0.4 V at 10 mA, 0.65 V at 50 mA, 0.26 V at least at 2 mA."""

    def test_its_forward_voltage_spans_the_makers_bounds(self, construction: Construction) -> None:
        r = diode("schottky", construction).ratings
        assert r["vf_low_v"] < 0.26 - 0.018
        assert 0.4 < r["vf_10ma_high_v"] < r["vf_high_v"] <= 0.65
        assert (r["vf_low_v"] + r["vf_high_v"]) / 2 == pytest.approx(0.4, abs=0.03)

    def test_it_takes_less_and_leaks_more_than_the_one_across_a_coil(self, construction: Construction) -> None:
        r, plain = diode("schottky", construction).ratings, diode("flyback", construction).ratings
        assert r.keys() - plain.keys() == {"vf_10ma_high_v"}
        assert plain.keys() <= r.keys()
        assert r["vf_high_v"] < plain["vf_high_v"]
        assert plain["leakage_a"] < r["leakage_a"] <= 100e-6
        assert r["voltage_v"] > 15.0
        assert r["current_max_a"] > 0.03

    def test_it_fits_the_pads_of_the_other(self, construction: Construction) -> None:
        part, plain = diode("schottky", construction), diode("flyback", construction)
        assert (part.pins, part.footprint) == (plain.pins, plain.footprint)
        assert part.symbol != plain.symbol


def test_the_catalogue_loads_without_heavy_libraries() -> None:
    code = "import sys, rasterport.parts; print(sorted({'skidl', 'numpy', 'pydantic', 'sexpdata'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"
