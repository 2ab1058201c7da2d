"""What a variant takes from another file, from a processor's row and for "unknown", and which of them wins."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from minimal import changed, minimal

from rasterport.api import load
from rasterport.errors import VariantError
from rasterport.parts.processors import PROCESSORS
from rasterport.variant.keys import keys, keys_by_path
from rasterport.variant.load import Loaded
from rasterport.variant.resolve import CELL_OF


def one(folder: Path, text: str, name: str = "own.toml") -> Loaded:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    (found,) = load(path)
    return found


def faults(folder: Path, text: str, name: str = "own.toml") -> list[str]:
    """Place, key, what was found and what is allowed, of every fault."""
    with pytest.raises(VariantError) as raised:
        one(folder, text, name)
    return [f"{Path(f.file).name}:{f.line} {f.key}: {f.found}: {f.allowed}" for f in raised.value.faults]


def like(base: str, *more: str) -> str:
    return "\n".join(["[variant]", 'name = "own"', f"like = {base}", *more]) + "\n"


NO_DOTS = 'must lie in the same folder as this file or below: no "..", no "." and no empty part'


class TestLike:
    def test_every_table_is_taken_and_what_differs_is_stated(self, tmp_path: Path) -> None:
        (tmp_path / "base.toml").write_text(changed("variant", "title", '"Base"'), encoding="utf-8")
        found = one(tmp_path, like('"base.toml"', "[set.supply]", 'voltage = "9 V"'))
        assert found.variant.variant.name == "own"
        assert found.variant.variant.title == "Base"
        assert (found.variant.set.supply.voltage, found.variant.set.supply.spare_current) == (9.0, 0.1)
        assert found.resolved is not None
        told = {path: origin.text for path, origin in found.resolved.origins.items()}
        assert told["set", "supply", "voltage"] == "own.toml line 5"
        assert told["set", "supply", "spare_current"] == "base.toml line 22"
        assert told["variant", "title"].startswith("base.toml line ")
        assert found.like is not None and found.like[0] == "base.toml" and len(found.like[1]) == 64
        assert found.like[1] != found.digest

    def test_inputs_are_replaced_whole(self, tmp_path: Path) -> None:
        base = changed("input", "audio_maximum", '"1 V"')
        (tmp_path / "base.toml").write_text(base + '\n[[input]]\nsocket = "bnc-4"\n', encoding="utf-8")
        found = one(tmp_path, like('"base.toml"', "[[input]]", 'socket = "european-21"'))
        assert [i.socket for i in found.variant.input] == ["european-21"]
        assert found.variant.input[0].audio_maximum == 2.0
        kept = one(tmp_path, like('"base.toml"'))
        assert [i.socket for i in kept.variant.input] == ["european-21", "bnc-4"]

    def test_a_name_is_never_taken(self, tmp_path: Path) -> None:
        """Else its results would take the place of those of the other."""
        (tmp_path / "base.toml").write_text(minimal(), encoding="utf-8")
        (found,) = faults(tmp_path, '[variant]\nlike = "base.toml"\n')
        assert (
            found
            == 'own.toml:1 variant.name: nothing: must be written under [variant] as name = "kestrel" (text in quotes)'
        )

    def test_a_test_of_the_ground_that_is_taken_is_told(self, tmp_path: Path) -> None:
        (tmp_path / "base.toml").write_text(minimal(), encoding="utf-8")
        ground = ["[set]", 'ground_verified = "tested"']
        own, taken = (one(tmp_path, like('"base.toml"', *lines)).resolved for lines in (ground, []))
        assert own is not None and own.ground_of_another == ""
        assert taken is not None and re.fullmatch(
            r"set\.ground_verified is from base\.toml line \d+: a test of the ground holds for one set; "
            r"test this one too",
            taken.ground_of_another,
        )

    def test_a_file_below_serves(self, tmp_path: Path) -> None:
        (tmp_path / "sets").mkdir()
        (tmp_path / "sets" / "base.toml").write_text(minimal(), encoding="utf-8")
        assert one(tmp_path, like('"sets/base.toml"')).like is not None

    @pytest.mark.parametrize(
        ("name", "allowed"),
        [
            ('"../base.toml"', NO_DOTS),
            ('"sets/../base.toml"', NO_DOTS),
            ('"./base.toml"', NO_DOTS),
            ('"/etc/base.toml"', "must be a name with / between folders, in the same folder as this file or below"),
            ("'sets\\base.toml'", "must be a name with / between folders, in the same folder as this file or below"),
            ("'C:base.toml'", "must be a name with / between folders, in the same folder as this file or below"),
            ('"base"', "must end in .toml"),
            ('""', 'must be the name of a variant file in the same folder or below, such as "kestrel.toml"'),
            ("7", 'must be the name of a variant file in the same folder or below, such as "kestrel.toml"'),
            ('"none.toml"', "must name a variant file in the same folder or below; there is none of this name"),
            ('"own.toml"', "must name another file than this one"),
            ('"third.toml"', 'must name a file that stands by itself; it is like "base.toml" in turn'),
            ('"link.toml"', "must lie in the same folder as this file or below, also behind a link"),
        ],
    )  # fmt: skip
    def test_what_may_not_be_named(self, tmp_path: Path, name: str, allowed: str) -> None:
        folder = tmp_path / "mine"
        folder.mkdir()
        for path in (folder / "base.toml", tmp_path / "base.toml", tmp_path / "outside.toml"):
            path.write_text(minimal(), encoding="utf-8")
        (folder / "third.toml").write_text(like('"base.toml"'), encoding="utf-8")
        (folder / "link.toml").symlink_to(tmp_path / "outside.toml")
        (found,) = faults(folder, like(name))
        assert found.startswith("own.toml:3 variant.like: ")
        assert found.endswith(allowed)

    def test_a_fault_is_told_where_it_stands(self, tmp_path: Path) -> None:
        base = changed("set.supply", "voltage", '"5,0 V"')
        (tmp_path / "base.toml").write_text(base, encoding="utf-8")
        row = base.splitlines().index('voltage = "5,0 V"') + 1
        found = faults(tmp_path, like('"base.toml"', "[set.rgb]", 'leakage = "much"'))
        assert [line.split(": ")[0] for line in found] == [
            "own.toml:5 set.rgb.leakage",
            f"base.toml:{row} set.supply.voltage",
        ]

    def test_a_base_that_is_no_toml_is_told_as_itself(self, tmp_path: Path) -> None:
        (tmp_path / "base.toml").write_text("x = \n", encoding="utf-8")
        (found,) = faults(tmp_path, like('"base.toml"'))
        assert found.startswith("base.toml:1 ")


class TestProcessor:
    def test_the_row_gives_what_the_file_leaves_open(self, tmp_path: Path) -> None:
        text = changed("set", "processor", '"tda933XH"')
        text = changed("set.blanking", "maximum", '"2.5 V"', changed("set.rgb", "leakage", '"0.2 uA"', text))
        found = one(tmp_path, text)
        cells = PROCESSORS["tda933xh"].cells
        blanking, rgb = found.variant.set.blanking, found.variant.set.rgb
        assert blanking.off_below == cells["off_below"].value == 0.45
        assert rgb.resistance == cells["resistance"].value == 10e6
        assert blanking.maximum == 2.5
        assert found.resolved is not None
        origins = found.resolved.origins
        assert origins["set", "blanking", "maximum"].kind == "file"
        assert origins["set", "blanking", "off_below"].text == (
            "TDA933xH: Philips TDA933xH data sheet, June 2002 (one text)"
        )
        # The sheet gives no clipping level: no default stands in for it, but what is careful.
        assert found.resolved.unknown == (("set", "rgb", "clipping_level"),)

    def test_unknown_means_the_row_where_it_has_the_figure(self, tmp_path: Path) -> None:
        text = changed("set.blanking", "on_above", '"unknown"', changed("set", "processor", '"STV224x"'))
        found = one(tmp_path, text)
        assert found.variant.set.blanking.on_above == 0.85
        assert found.variant.set.blanking.maximum == 5.0  # the absolute maximum, since no second meaning is printed
        assert found.resolved is not None
        assert ("set", "blanking", "on_above") not in found.resolved.unknown

    def test_a_name_that_is_not_there(self, tmp_path: Path) -> None:
        (found,) = faults(tmp_path, changed("set", "processor", '"TDA8326"'))
        assert found == (
            'own.toml:5 set.processor: "TDA8326": must be one of the names that `rasterport processors` lists; '
            "near it: TDA8376, TDA8362, TDA8361"
        )

    def test_every_cell_with_a_key_reaches_it(self, tmp_path: Path) -> None:
        """Nothing of a row is out of the bounds of its key, and the value arrives as the sheet has it."""
        for name, row in PROCESSORS.items():
            found = one(tmp_path, changed("set", "processor", f'"{name}"'))
            for path, cells in CELL_OF.items():
                cell = next((row.cells[c] for c in cells if c in row.cells), None)
                if cell is not None:
                    value = getattr(getattr(found.variant.set, path[1]), path[2])
                    assert value == pytest.approx(cell.value, rel=1e-12), (name, path)


UNMEASURED = {
    "lead_length", "width", "height", "blanking_margin", "white",
}  # fmt: skip
"""Quantities that are no electrical property of set or source: lengths and wishes."""


class TestUnknown:
    def test_every_electrical_quantity_may_be_unknown(self) -> None:
        without = {key.name for key in keys() if key.quantity is not None and key.unknown is None}
        assert without == UNMEASURED

    def test_ground_verification_and_pin_kind_may_not(self, tmp_path: Path) -> None:
        for table, key in (("set", "signal_ground"), ("set", "ground_verified"), ("set.rgb", "pin_kind")):
            found = keys_by_path()[*table.split("."), key]
            assert found.unknown is None
        (fault,) = faults(tmp_path, changed("set", "signal_ground", '"unknown"'))
        assert "set.signal_ground" in fault

    @pytest.mark.parametrize("key", [k for k in keys() if k.unknown], ids=lambda k: ".".join(k.path))
    def test_the_stand_in_is_taken(self, tmp_path: Path, key: object) -> None:
        from rasterport.variant.keys import Key

        assert isinstance(key, Key) and key.unknown is not None
        text = minimal() + '\n[set.audio]\narrangement = "changeover"\n\n[set.display]\nhigh = "5 V"\n'
        found = one(tmp_path, changed(".".join(key.table), key.name, '"unknown"', text))
        path = key.path if key.table[0] != "input" else ("input", 0, key.name)
        assert found.resolved is not None
        assert found.resolved.unknown == (path,)
        assert found.resolved.origins[path].text.startswith("unknown: ")
        table = found.variant.input[0] if key.table[0] == "input" else found.variant
        for name in () if key.table[0] == "input" else key.table:
            table = getattr(table, name)
        value = getattr(table, key.name)
        wanted = key.unknown.value
        assert value == (key.quantity.check(wanted) if key.quantity and wanted is not None else wanted)

    @pytest.mark.parametrize("key", [k for k in keys() if k.unknown and k.quantity], ids=lambda k: ".".join(k.path))
    def test_the_ends_of_its_range_differ_and_are_allowed(self, key: object) -> None:
        from rasterport.variant.keys import Key

        assert isinstance(key, Key) and key.unknown is not None and key.quantity is not None
        values = [key.quantity.check(v) for v in (key.unknown.value, *key.unknown.others) if v is not None]
        assert len(set(values)) == len(values)
        assert key.unknown.why


def test_without_any_of_it_a_file_is_what_it_says(tmp_path: Path) -> None:
    found = one(tmp_path, minimal())
    assert found.like is None and found.resolved is not None
    assert found.resolved.unknown == () and found.resolved.told == {}
    assert {origin.kind for origin in found.resolved.origins.values()} == {"file"}
