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

from drawn import SVG, Rect, Sheet, clashes, netlist, read
from making import TEMPLATE_NAMES, pin_of, several, template, variant, with_net, with_part
from places import TEMPLATES
from rasterport.circuit import compose
from rasterport.emit.drawing.sheets import A3, A4, drawings
from rasterport.errors import Refused
from rasterport.records import Circuit
from rasterport.variant.models import Variant

SOCKETS = ("european-21", "japanese-21", "bnc-4", "phono-4")
WANTED = 25
LEAST_MM = 1.8


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
        assert tuple(10 * side for side in sheet.paper) in (A4, A3)


@pytest.mark.parametrize("name", BOARDS)
def test_letters_can_be_read_on_paper(name: str) -> None:
    """ISO 3098 begins at 1.8 mm (from memory); half of all letters are 2 mm and more."""
    for sheet in board(name)[1]:
        millimetres = sheet.paper[0] / sheet.size[0]
        tall = sorted(size * millimetres for size in sheet.letters)
        assert tall[0] >= LEAST_MM
        assert tall[len(tall) // 2] >= 1.95


@pytest.mark.parametrize("name", BOARDS)
def test_places_of_landings_are_printed_whole(name: str) -> None:
    """The owner's word for each place, however long, on as many lines as it takes."""
    circuit, made = board(name)
    printed = [squeezed("".join(words for _, words, _ in s.texts)) for sheet in made for s in sheet.symbols]
    for wire in circuit.wires:
        landing = wire.end.removesuffix(" landing")
        if landing != wire.end and wire.at:
            assert any(text.endswith(squeezed(f"{landing}: {wire.at}")) for text in printed), landing
    assert not any("…" in words for sheet in made for words, _ in sheet.texts)


def test_a_place_of_any_length_is_printed_whole() -> None:
    circuit = compose(template("kestrel"))
    at = "IC201 pin 14 " + "and beyond " * 20 + "x" * 90
    long = replace(circuit, wires=tuple(replace(w, at=at) for w in circuit.wires))
    made = sheets(long)
    printed = [squeezed("".join(words for _, words, _ in s.texts)) for sheet in made for s in sheet.symbols]
    assert sum(text.endswith(squeezed(at)) for text in printed) == len(circuit.landed)
    assert [line for sheet in made for line in clashes(sheet)] == []


def squeezed(words: str) -> str:
    return "".join(words.split())


@pytest.mark.parametrize("name", BOARDS)
def test_a_flag_says_on_which_sheet_its_net_goes_on(name: str) -> None:
    """Held against the names that are read on every sheet; within one sheet nothing is said."""
    made = board(name)[1]
    tips = [{at: net for net, at in sheet.names} for sheet in made]
    flagged = [{words for words, _ in sheet.flags} for sheet in made]
    on = [{net for net, _ in sheet.names} - {words for words, _ in sheet.bars} | f
          for sheet, f in zip(made, flagged, strict=True)]  # fmt: skip
    for n, sheet in enumerate(made):
        told: dict[str, list[str]] = {}
        for number, at in sheet.onward:
            told.setdefault(tips[n][at], []).append(number)
        for net in flagged[n]:
            others = [str(m + 1) for m in range(len(made)) if m != n and net in on[m]]
            count = sum(words == net for words, _ in sheet.flags)
            assert told.get(net, []) == ([] if not others else [others[0] if len(others) == 1 else "*"] * count), net


@pytest.mark.parametrize("name", BOARDS)
def test_lines_run_from_left_to_right(name: str) -> None:
    """On every sheet the first socket stands left of the landings."""
    circuit, made = board(name)
    landings = {landed.ref for landed in circuit.landed}
    sockets = {p.ref for p in circuit.parts if re.match(r"input-\d/socket", p.role)}
    for sheet in made:
        at = {refs: [s.pins[0][2][0][0] for s in sheet.symbols if s.pins and s.ref in refs] for refs in
              (frozenset(landings), frozenset(sockets))}  # fmt: skip
        ends, starts = at[frozenset(landings)], at[frozenset(sockets)]
        if ends and starts:
            assert min(starts) < min(ends)


def test_sections_stand_where_they_act() -> None:
    """Two switches of each 4052 in the lines, an inverter for each input; what is left of a part is one box."""
    circuit, made = board("dunlin")
    for role, sections, left in (("selector/4052-1", 2, 6), ("priority/invert-1", 4, 6)):
        placed = circuit.by_role(role)
        drawn = [s for sheet in made for s in sheet.symbols if s.ref == placed.ref]
        pins = sorted(len(s.pins) for s in drawn)
        assert len(drawn) == sections + 1
        assert sum(pins) == len(placed.nets)
        assert left in pins


def test_a_sheet_says_what_it_is_to_who_cannot_see_it() -> None:
    """Role, label and title of each sheet; of each symbol a title with reference, value, role and what the part is."""
    circuit, _ = board("godwit")
    by_ref = {p.ref: p for p in circuit.parts}
    made = drawings(circuit, "godwit", "A set", "1")
    for number, svg in enumerate(made, 1):
        root = ElementTree.fromstring(svg.encode())
        assert root.get("role") == "img"
        assert root.get("aria-label") == f"godwit: circuit drawing, sheet {number} of {len(made)}. A set"
        assert root[0].text == f"godwit: circuit drawing, sheet {number} of {len(made)}"
        for group in root.iter(SVG + "g"):
            if ref := group.get("data-ref"):
                told, placed = group[0].text or "", by_ref[ref]
                assert group[0].tag == SVG + "title"
                assert told.startswith(f"{ref} ")
                assert all(word in told for word in (placed.value, placed.role, placed.part.description))


def test_sheets_leave_the_page_that_takes_them_in_alone() -> None:
    """No identifier that could clash, no rule of style but for what is in a sheet, nothing that is loaded."""
    for svg in drawings(board("godwit")[0], "godwit", "A set"):
        root = ElementTree.fromstring(svg.encode())
        assert not [e for e in root.iter() if {"id", "href", "style", "onclick"} & set(e.attrib)]
        (style,) = [e.text or "" for e in root.iter(SVG + "style")]
        assert "url" not in style
        assert "@import" not in style
        rules = re.findall(r"([^{}]+)\{[^{}]*\}", style.replace("@media print{", ""))
        assert len(rules) > 10
        for rule in rules:
            assert all(one.strip().startswith(".circuit") for one in rule.split(",")), rule


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
    dot = next(line for line in svg.splitlines() if 'class="dot"' in line)
    (x, y) = re.findall(r'c[xy]="(\d+)"', dot)
    assert clashes(read(svg.replace(dot + "\n", ""))) == [f"3 ways at ({x}.0, {y}.0), no dot"]
    assert clashes(read(svg.replace(dot, dot.replace(f'cx="{x}"', f'cx="{int(x) + 7}"')))) != []
    assert any("sign of GND" in line for line in clashes(read(svg.replace(dot, sign_at(int(x), int(y) + 20) + dot))))


def sign_at(x: int, y: int) -> str:
    """A sign of ground where none belongs."""
    return f'<g class="bar" data-net="GND"><path class="thick" d="M{x} {y}L{x - 20} {y}L{x + 20} {y}"/></g>'


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
    (svg, *_) = drawings(replace(circuit, wires=wires), "kestrel", EVIL, EVIL, EVIL)
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
        style = f"<style>svg{{width:{read(svg).size[0]}px;height:auto}}</style>"  # letters are rounded to points
        page.write_text(f"<!DOCTYPE html>{style}<body>{svg.partition('?>')[2]}{MEASURE}</body>", encoding="utf-8")
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


DARK = ":root{--circuit-ink:#eeeeee;--circuit-paper:#101010;--circuit-net:#88bbff}"
LOOKS = """<script>
const files = JSON.parse(document.getElementById("files").textContent);
const parsed = files.map(f => new DOMParser().parseFromString(f, "image/svg+xml"));
const look = (where, what) => getComputedStyle(document.querySelector(where))[what];
document.body.textContent = JSON.stringify([
  parsed.map(d => d.querySelector("parsererror") ? "broken" : d.documentElement.localName),
  look(".circuit .wire", "stroke"), look(".circuit .value", "fill"), look(".circuit .net", "fill"),
  look(".circuit .paper", "fill"), look("#own path", "stroke"), look("#own text", "fontFamily") !== "monospace",
]);
</script>"""


@pytest.mark.skipif(CHROMIUM is None, reason="no chromium")
@pytest.mark.parametrize("dark", [True, False])
def test_a_page_takes_sheets_in(tmp_path: Path, dark: bool) -> None:
    """Chromium's XML parser reads each file; in one page all take its colours, and its own pictures keep theirs."""
    made = drawings(compose(template("godwit")), "godwit", "A set")
    assert len(made) > 1
    page = tmp_path / "page.html"
    files = json.dumps(made).replace("<", "\\u003c")
    own = '<svg id="own"><path d="M0 0L9 9" stroke="red"/><text y="9" font-family="serif">own</text></svg>'
    page.write_text(
        f"<!DOCTYPE html><meta charset=utf-8><style>{DARK if dark else ''}</style><body>{own}"
        f"{''.join(svg.partition('?>')[2] for svg in made)}"
        f'<script type="application/json" id="files">{files}</script>{LOOKS}</body>',
        encoding="utf-8",
    )
    command = [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom", page.as_uri()]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout
    parsed, *looks = json.loads(html.unescape(told.partition("<body>")[2].partition("</body>")[0]))
    assert parsed == ["svg"] * len(made)
    ink, net, paper = ("#eeeeee", "#88bbff", "#101010") if dark else ("#000000", "#06408f", "#ffffff")
    assert looks == [*map(rgb, (ink, ink, net, paper)), "rgb(255, 0, 0)", True]


def rgb(colour: str) -> str:
    return f"rgb({', '.join(str(int(colour[n : n + 2], 16)) for n in (1, 3, 5))})"
