"""The netlist, read back by parsers that are not ours."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import kinparse
import pytest
import sexpdata

from making import composed
from places import TEMPLATES
from rasterport.emit.footprints import footprint_files
from rasterport.emit.netlist import netlist_text
from rasterport.emit.sexpr import node, text
from rasterport.realise import Realised, realise

AWKWARD = 'Késtrel "A" (µ, Ω, 日本); back\\slash\nsecond line \' # end\\'


def realised(name: str) -> Realised:
    return realise(composed(name))


def tree(content: str) -> list[object]:
    """The file as sexpdata reads it, with no token turned into something else."""
    return sexpdata.loads(content, nil=None, true=None, false=None)


def find(node_: list[object], key: str) -> list[list[object]]:
    return [n for n in node_ if isinstance(n, list) and n and n[0] == sexpdata.Symbol(key)]


@pytest.mark.parametrize("name", sorted(p.stem for p in TEMPLATES.glob("*.toml")))
def test_sexpdata_reads_every_part_and_every_node(name: str) -> None:
    made = realised(name)
    root = tree(netlist_text(made, name, "title", "1", ""))
    components = find(find(root, "components")[0], "comp")
    read = {
        find(c, "ref")[0][1]: (find(c, "value")[0][1], find(c, "footprint")[0][1], find(c, "tstamps")[0][1])
        for c in components
    }
    assert read == {p.ref: (p.value, p.footprint, p.identifier) for p in made.parts}
    nets = {
        find(n, "name")[0][1]: {(find(x, "ref")[0][1], find(x, "pin")[0][1]) for x in find(n, "node")}
        for n in find(find(root, "nets")[0], "net")
    }
    assert nets == {name_: set(pins) for name_, pins in made.nets.items()}


def test_kinparse_reads_the_same_parts_nets_and_pins_as_skidl_holds() -> None:
    made = realised("plover")
    read = kinparse.parse_netlist(netlist_text(made, "plover", "Plover", "1", ""))
    parts = {p.ref: (p.value, p.footprint) for p in read.parts}
    assert parts == {p.ref: (p.value_to_str(), p.footprint) for p in made.raw.parts}
    nets = {n.name: {(pin.ref, pin.num) for pin in n.pins} for n in read.nets}
    assert nets == {n.name: {(pin.part.ref, pin.num) for pin in n.pins} for n in made.raw.get_nets()}
    assert len(parts) > 40
    assert len(nets) > 30


def test_skidls_own_netlist_names_the_same_parts_nets_and_identifiers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    made = realised("heron")
    own = made.raw.generate_netlist(tool="kicad9", do_backup=False, track_src=False)
    ours = netlist_text(made, "heron", "", "1", "")
    theirs = tree(own)
    mine = tree(ours)
    assert parts_of(theirs) == parts_of(mine)
    assert nets_of(theirs) == nets_of(mine)
    stamps = re.compile(r'\(tstamps "([0-9a-f-]{36})"\)')
    assert set(stamps.findall(own)) == set(stamps.findall(ours)) == {p.identifier for p in made.parts}


def parts_of(root: list[object]) -> dict[str, tuple[str, str]]:
    components = find(find(root, "components")[0], "comp")
    return {find(c, "ref")[0][1]: (find(c, "value")[0][1], find(c, "footprint")[0][1]) for c in components}


def nets_of(root: list[object]) -> dict[str, set[tuple[str, str]]]:
    return {
        find(n, "name")[0][1]: {(find(x, "ref")[0][1], find(x, "pin")[0][1]) for x in find(n, "node")}
        for n in find(find(root, "nets")[0], "net")
    }


def test_kicad_recognises_the_file_by_its_first_line() -> None:
    # KiCad looks for `(export` followed by a blank and more on the same line.
    first = netlist_text(realised("heron"), "heron", "", "1", "").splitlines()[0]
    assert re.match(r"\(export +\(version ", first)


def test_awkward_text_comes_back_unharmed() -> None:
    made = realised("heron")
    first = dataclasses.replace(made.parts[0], value=AWKWARD)
    content = netlist_text(dataclasses.replace(made, parts=(first, *made.parts[1:])), "heron", AWKWARD, AWKWARD, "")
    root = tree(content)
    block = find(find(find(root, "design")[0], "sheet")[0], "title_block")[0]
    assert find(block, "title")[0][1] == AWKWARD
    values = [find(c, "value")[0][1] for c in find(find(root, "components")[0], "comp")]
    assert AWKWARD in values
    inside = re.findall(r'"(?:[^"\\]|\\.)*"', content)
    assert not [s for s in inside if "\n" in s]


def test_every_field_is_written_for_old_and_for_new_kicad() -> None:
    root = tree(netlist_text(realised("heron"), "heron", "", "1", ""))
    for component in find(find(root, "components")[0], "comp"):
        fields = {find(f, "name")[0][1]: f[2] for f in find(find(component, "fields")[0], "field")}
        properties = {find(p, "name")[0][1]: find(p, "value")[0][1] for p in find(component, "property")}
        assert "Role" in fields
        assert fields.items() <= properties.items()


def test_a_list_in_the_way_of_the_key_is_kept_beside_it() -> None:
    assert text(node("export", node("version", "E"), node("a"))).startswith('(export (version "E")\n')


def test_the_library_table_names_the_folder_beside_the_board() -> None:
    files = footprint_files()
    assert '(uri "${KIPRJMOD}/rasterport.pretty")' in files["fp-lib-table"]
    assert {n for n in files if n.endswith(".kicad_mod")} == {
        "rasterport.pretty/Socket_21_RightAngle.kicad_mod",
        "rasterport.pretty/Socket_DE15_RightAngle.kicad_mod",
        "rasterport.pretty/Phono_RightAngle.kicad_mod",
    }


def test_own_footprints_read_back_with_the_pads_of_their_sockets() -> None:
    from rasterport.parts import socket

    for key in ("european-21", "de-15", "phono-4"):
        part = socket(key, "board")
        content = footprint_files()[f"rasterport.pretty/{part.footprint.split(':')[1]}.kicad_mod"]
        root = tree(content)
        pads = {str(p[1]) for p in find(root, "pad") if p[1]}
        assert pads == {pin.number for pin in part.pins}
        assert find(root, "fp_poly"), "pin 1 is marked"
        assert [n for n in find(root, "fp_line") if "F.CrtYd" in str(n)], "there is a courtyard"
