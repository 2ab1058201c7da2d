"""The catalogue as a whole: every row is complete and honest about what it rests on."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from rasterport.parts import all_rows
from rasterport.parts.common import MEMORY, SCHEME
from rasterport.records import CataloguePart

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


def test_the_catalogue_loads_without_heavy_libraries() -> None:
    code = "import sys, rasterport.parts; print(sorted({'skidl', 'numpy', 'pydantic', 'sexpdata'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"
