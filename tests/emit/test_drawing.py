"""The circuit drawing, read back along its wires: nothing missing, nothing joined wrongly, nothing overlaps."""

from __future__ import annotations

import html
import json
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from drawn import Rect, Sheet, clashes, netlist, read
from making import TEMPLATE_NAMES, pin_of, several, template, variant, with_net, with_part
from places import TEMPLATES
from rasterport.circuit import compose
from rasterport.emit.drawing.sheets import A3, A4, drawings
from rasterport.errors import Refused
from rasterport.records import Circuit
from rasterport.variant.models import Variant

SOCKETS = ("european-21", "japanese-21", "bnc-4", "phono-4")
WANTED = 25


def drawn_at_random() -> Iterator[Variant]:
    """Boards of many kinds, always the same; those that no board can be made for are left out."""
    chance = random.Random(5)
    found = 0
    while found < WANTED:
        inputs: list[dict[str, Any]] = [
            {"socket": chance.choice(SOCKETS), "mounting": chance.choice(("board", "panel", "existing"))}
            for _ in range(chance.choice((1, 2, 3, 4, 8)))
        ]
        changes = {
            "board.construction": chance.choice(("smd", "through-hole", "wired")),
            "board.trimmers": chance.random() < 0.3,
            "board.clamps": chance.random() < 0.3,
            "board.landing": chance.choice(("header", "pads")),
            "set.supply.voltage": chance.choice(("5 V", "9 V", "12 V")),
            "set.rgb.white_level": chance.choice(("0.7 V", "0.3 V")),
            "set.blanking.native": chance.choice(("grounded", "open", "driven")),
        }
        path, control = chance.choice(("gang", "relay", "cmos")), chance.choice(("panel", "status", "status-or-panel"))
        try:
            made = several(inputs, path, control, changes)
            compose(made)
        except Refused:
            continue
        found += 1
        yield made


KEYED = variant(
    {
        "set.rgb.pin_kind": "analog-dc",
        "set.rgb.black_level": "2 V",
        "set.rgb.black_within": "0.15 V",
        "board.keyed_clamp": True,
        "set.supply.voltage": "9 V",
    }
)
BOARDS: dict[str, Variant] = {
    **{name: template(name) for name in TEMPLATE_NAMES},
    "keyed clamp": KEYED,
    "a lead": variant({"input.mounting": "cable", "board.trimmers": True, "set.rgb.white_level": "0.5 V"}),
    "three by relay": several(3, "relay", "status-or-panel"),
    **{f"random {n}": made for n, made in enumerate(drawn_at_random(), 1)},
}


@cache
def board(name: str) -> tuple[Circuit, list[Sheet]]:
    """A board and its drawing, read once for several tests."""
    circuit = compose(BOARDS[name])
    return circuit, sheets(circuit)


def sheets(circuit: Circuit, title: str = "A set", remark: str = "") -> list[Sheet]:
    return [read(svg) for svg in drawings(circuit, "finch", title, "1", remark)]


def wanted(circuit: Circuit) -> dict[tuple[str, str], str | None]:
    return {(p.ref, pin): net for p in circuit.parts for pin, net in p.nets.items()}


@pytest.mark.parametrize("name", BOARDS)
def test_a_reader_of_the_wires_finds_the_circuit(name: str) -> None:
    """Every pin on its net, by the positions of wires and names; the attributes say the same."""
    circuit, made = board(name)
    assert netlist(made) == wanted(circuit)
    told = {(s.ref, pin): net or None for sheet in made for s in sheet.symbols for pin, net, _ in s.pins}
    assert told == wanted(circuit)


@pytest.mark.parametrize("name", BOARDS)
def test_every_part_has_its_reference_and_its_value_in_print(name: str) -> None:
    circuit, made = board(name)
    printed: dict[str, set[str]] = {}
    for sheet in made:
        for symbol in sheet.symbols:
            printed.setdefault(symbol.ref, set()).update(words for _, words, _ in symbol.texts)
    assert set(printed) == {p.ref for p in circuit.parts}
    for placed in circuit.parts:
        words = printed[placed.ref]
        assert placed.ref in words or any(w.startswith(f"{placed.ref} ") for w in words)
        assert placed.value in words or any(w.endswith(placed.value) or f" {placed.value}:" in w for w in words)


@pytest.mark.parametrize("name", BOARDS)
def test_nothing_stands_in_the_way_of_anything(name: str) -> None:
    for sheet in board(name)[1]:
        assert clashes(sheet) == []
        assert sheet.size in (A4, A3)


def test_the_reader_sees_a_pin_on_another_net() -> None:
    """The drawing follows the circuit it is given, also a wrong one."""
    circuit = compose(template("kestrel"))
    ground = circuit.by_role("input-1/red/termination")
    wrong = with_net(circuit, ground.role, "2", "RAIL")
    assert netlist(sheets(wrong)) == wanted(wrong) != wanted(circuit)


def test_the_reader_sees_what_is_wrong_with_a_picture() -> None:
    """A wire that is gone, a name that is another, a text moved onto a part: each is found."""
    (svg,) = drawings(compose(template("kestrel")), "kestrel", "A set")
    wire = next(line for line in svg.splitlines() if 'class="wire" data-net="RED_PIN"' in line)
    with pytest.raises(AssertionError, match=r"hangs in the air|without a name"):
        netlist([read(svg.replace(wire + "\n", ""))])
    with pytest.raises(AssertionError, match="is joined to"):
        netlist([read(svg.replace(">IN1_SYNC</text>", ">IN1_BLUE</text>", 1).replace(wire, wire + moved(svg)))])
    text = next(line for line in svg.splitlines() if ">R101</text>" in line)
    x = int(re.findall(r'x="(\d+)"', text)[0])
    assert clashes(read(svg.replace(text, text.replace(f'x="{x}"', f'x="{x - 40}"'))))


def moved(svg: str) -> str:
    """A wire that joins where two names stand."""
    places = re.findall(r'data-on="(\d+) (\d+)">IN1_(?:RED|GREEN)<', svg)
    (x, top), (_, bottom) = places
    return f'\n<path class="wire" d="M{x} {top}L{x} {bottom}"/>'


def test_a_part_that_nobody_knows_is_a_box_with_all_its_pins() -> None:
    circuit = compose(template("heron"))
    placed = circuit.by_role("high-side/pass")
    strange = with_part(circuit, replace(placed, part=replace(placed.part, key="valve/triode")))
    assert netlist(sheets(strange)) == wanted(strange)
    half = with_net(circuit, placed.role, pin_of(placed, "C"), None)
    assert netlist(sheets(half)) == wanted(half)
    assert [line for sheet in sheets(half) for line in clashes(sheet)] == []


EVIL = "</text><script>alert(\"1\")</script> & 'quoted' \x07\x00 \u202e<b>"


def test_titles_and_places_stay_text() -> None:
    circuit = compose(template("kestrel"))
    wires = tuple(replace(w, at=EVIL) for w in circuit.wires)
    (svg,) = drawings(replace(circuit, wires=wires), "kestrel", EVIL, EVIL, EVIL)
    root = ElementTree.fromstring(svg.encode())
    assert {e.tag.rpartition("}")[2] for e in root.iter()} == {
        "svg",
        "title",
        "style",
        "rect",
        "g",
        "path",
        "circle",
        "text",
    }
    assert netlist([read(svg)]) == wanted(circuit)
    assert sum("<script>" in (e.text or "") for e in root.iter() if e.tag.endswith("text")) > 2


def test_a_remark_is_on_every_sheet() -> None:
    made = drawings(compose(template("godwit")), "godwit", "A set", remark="NOT TO BE BUILT")
    assert len(made) > 1
    for sheet in made:
        assert ">NOT TO BE BUILT</text>" in sheet
        assert clashes(read(sheet)) == []


def test_one_input_ends_at_the_chassis() -> None:
    """Socket on the left, landing on the right, one line in between: the red one of kestrel."""
    (sheet,) = sheets(compose(template("kestrel")))
    contact = next(s for s in sheet.symbols if s.ref == "J101" and s.pins and s.pins[0][0] == "15")
    capacitor = next(s for s in sheet.symbols if s.ref == "C1")
    landing = next(s for s in sheet.symbols if s.ref == "J1" and s.pins and s.pins[0][1] == "RED_PIN")
    heights = {line[0][1] for s in (contact, capacitor, landing) for _, _, line in s.pins}
    assert len(heights) == 1
    assert contact.pins[0][2][0][0] < capacitor.pins[0][2][0][0] < landing.pins[0][2][0][0]


CODE = """
import sys
from rasterport.api import build, load
build(load({path!r})[0], {out!r}, only={only!r})
print(sorted(m for m in sys.modules if m.startswith(("matplotlib", "rasterport.emit.drawing"))))
"""


@pytest.mark.parametrize("only", [("svg",), ("net", "bom", "wiring", "findings")])
def test_drawing_costs_only_those_who_ask_for_it(tmp_path: Path, only: tuple[str, ...]) -> None:
    path = str(TEMPLATES / "kestrel.toml")
    code = CODE.format(path=path, out=str(tmp_path), only=only)
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert "matplotlib" not in told
    assert ("drawing" in told) == (only == ("svg",))
    assert (tmp_path / "kestrel" / "kestrel.svg").is_file() == (only == ("svg",))


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
MEASURE = """<script>
const found = [...document.querySelectorAll("text")].map(t => {
  const b = t.getBBox();
  return [t.textContent, b.x, b.y, b.x + b.width, b.y + b.height];
});
document.body.textContent = JSON.stringify(found);
</script>"""


@pytest.mark.skipif(CHROMIUM is None, reason="no chromium")
@pytest.mark.parametrize("name", ["kestrel", "godwit"])
def test_a_browser_sets_letters_no_wider_than_we_count(tmp_path: Path, name: str) -> None:
    """Every text in its place as Chromium's own font sets it; bold words, too.  One unit is 0.1 mm."""
    for svg in drawings(compose(template(name)), name, "A set"):
        page = tmp_path / "page.html"
        page.write_text(f"<!DOCTYPE html><body>{svg.partition('?>')[2]}{MEASURE}</body>", encoding="utf-8")
        command = [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom", page.as_uri()]
        told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout
        measured = json.loads(html.unescape(told.partition("<body>")[2].partition("</body>")[0]))
        counted = read(svg).texts
        assert sorted(words for words, *_ in measured) == sorted(words for words, _ in counted)
        boxes: dict[str, list[Rect]] = {}
        for words, box in counted:
            boxes.setdefault(words, []).append(box)
        for words, left, _, right, _ in measured:
            assert any(abs(left - b[0]) < 2 and abs(right - b[2]) < 2 for b in boxes[words]), words
