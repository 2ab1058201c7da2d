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

from drawn import SVG, Rect, Sheet, Symbol, beside, clashes, inside, meet, negated, netlist, numbered, read
from making import TEMPLATE_NAMES, pin_of, several, template, variant, with_net, with_part
from places import TEMPLATES
from rasterport.circuit import compose
from rasterport.emit.drawing.arranging import A3, A4, FOOT, MARGIN
from rasterport.emit.drawing.packing import packed
from rasterport.emit.drawing.sheets import drawings
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


@pytest.mark.parametrize("at", ["IC201 pin 14 " + "and beyond " * 20 + "x" * 90, "y " * 600])
def test_a_place_of_any_length_is_printed_whole(at: str) -> None:
    circuit = compose(template("kestrel"))
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


def box_of(name: str, role: str, title: str) -> Symbol:
    """The box of a part, or of what is left of it: the symbol with a title."""
    circuit, made = board(name)
    ref = circuit.by_role(role).ref
    (found,) = (s for sheet in made for s in sheet.symbols
                if s.ref == ref and title in {words for kind, words, _ in s.texts if kind == "mark"})  # fmt: skip
    return found


ENCODER_BOXES = {
    ("godwit", "priority/encoder"): """
        10 0 [I0]    11 1 [I1]    12 2 [I2]    13 3 [I3]    1 4 [I4]    2 5 [I5]    3 6 [I6]    4 7 [I7]
        5 EN [EI]    9 [A0] 1    7 [A1] 2    6 [A2] 4    14 [GS: any]    15 [EO: none]    16 VCC    8 GND
    """,
    ("dunlin", "priority/encoder"): """
        10 0 [D0]    11 1 [D1]    12 2 [D2]    13 3 [D3]    1 4 [D4]    2 5 [D5]    3 6 [D6]    4 7 [D7]
        5 EN [EI]    9 [Q0] 1    7 [Q1] 2    6 [Q2] 4    14 [GS: any]    15 [EO: none]    16 VDD    8 VSS
    """,
}
"""Hitachi HD74HC148, active low in and out; Intersil CD4532BMS, active high: pins as their makers draw them."""


@pytest.mark.parametrize("where", ENCODER_BOXES)
def test_an_encoder_bears_its_symbol(where: tuple[str, str]) -> None:
    box = box_of(*where, "HPRI/BIN")
    wanted_ = dict(cell.split(" ", 1) for cell in re.split(r"\s{2,}", ENCODER_BOXES[where].strip()))
    assert beside(box) == wanted_
    assert numbered(box) == set(wanted_)
    supplies = {pin for pin, words in wanted_.items() if words in ("VCC", "GND")}
    assert negated(box) == (set(wanted_) - supplies if where[0] == "godwit" else set())


SWITCH_BOXES = {
    ("godwit", "selector/4051-1"): ({"11": "0 [A]", "10": "1 [B]", "9": "2 [C]", "6": "G8 [INH]"}, "8X 0/7 [X]"),
    ("dunlin", "selector/4052-1"): ({"10": "0 [A]", "9": "1 [B]", "6": "G4 [INH]"}, "4X 0/3 [X Y]"),
    ("keyed clamp", "clamp/switch"): (
        {"11": "6X 0/1 [A: X]", "10": "6X 2/3 [B: Y]", "9": "6X 4/5 [C: Z]", "6": "G6 [INH]"}, ""),
}  # fmt: skip
"""NXP 74HC4051 to 74HC4053: address pins by weight, and the inhibit input, which is high where nothing conducts."""


@pytest.mark.parametrize("where", SWITCH_BOXES)
def test_switches_say_what_acts_on_them(where: tuple[str, str]) -> None:
    """What is left of the part has the address with its dependency; that stands in each of its switches, too."""
    box, (words, together) = box_of(*where, "MDX"), SWITCH_BOXES[where]
    marks = [told for kind, told, _ in box.texts if kind == "mark"]
    assert {pin: told for pin, told in beside(box).items() if pin in words} == words
    assert negated(box) == {"6"}
    assert numbered(box) == {pin for pin, _, _ in box.pins}
    assert not together or together in marks
    acts = {told.split(" [")[0] for told in marks if "X " in told}
    made = board(where[0])[1]
    drawn = [s for sheet in made for s in sheet.symbols if s.ref == box.ref and s is not box]
    units = [told for s in drawn for kind, told, _ in s.texts if kind == "mark"]
    assert len(units) == len(drawn) > 0
    assert set(units) == acts
    for unit, told in zip(drawn, units, strict=True):
        common = {words.split()[-1] for kind, words, _ in unit.texts if kind == "number"} & set("XYZ")
        assert any(mark.startswith(f"{told} [") and common <= set(mark.split("[")[1]) for mark in marks), told


@pytest.mark.parametrize("name", BOARDS)
def test_the_legend_tells_of_circles_and_brackets_where_a_box_has_them(name: str) -> None:
    for sheet in board(name)[1]:
        boxed = any("[" in words for s in sheet.symbols for kind, words, _ in s.texts if kind == "mark")
        assert any("A circle: low is active." in words for words, _ in sheet.texts) == boxed


def test_a_separator_shows_its_blocks() -> None:
    box = box_of("keyed clamp", "input-1/sync/separator", "Sync separator")
    assert beside(box) == {
        "6": "[RSET] timing", "2": "[VIDEO] clamp", "5": "back porch [BURST]", "1": "slicer [CSYNC]",
        "3": "integrator [VSYNC]", "7": "field [ODD]", "4": "GND", "8": "VCC",
    }  # fmt: skip
    assert numbered(box) == set("12345678")


@pytest.mark.parametrize("name", BOARDS)
def test_paper_is_used(name: str) -> None:
    """On some sheet frames reach the edge of the room, at the right or below; no sheet has much less than another."""
    made = board(name)[1]
    areas = [sum((right - left) * (bottom - top) for left, top, right, bottom in sheet.frames) for sheet in made]
    assert min(areas) > 0.8 * max(areas)
    room = made[0].size[0] - MARGIN, made[0].size[1] - FOOT
    assert max(max(f[2] / room[0], f[3] / room[1]) for sheet in made for f in sheet.frames) > 0.98


@pytest.mark.parametrize("name", BOARDS)
def test_inputs_stand_in_the_order_in_which_they_are_numbered(name: str) -> None:
    """From sheet to sheet, and on a sheet from left to right or downwards."""
    circuit, made = board(name)
    first = {}
    for placed in circuit.parts:
        if found := re.match(r"input-(\d)/socket", placed.role):
            first.setdefault(placed.ref, int(found[1]))
    at: dict[int, tuple[int, float, float]] = {}
    for number, sheet in enumerate(made):
        for s in sheet.symbols:
            if s.ref in first and s.pins:
                (x, y), *_ = s.pins[0][2]
                at.setdefault(first[s.ref], (number, x, y))
    for one, two in zip(sorted(at), sorted(at)[1:], strict=False):
        assert at[one][0] <= at[two][0]
        if at[one][0] == at[two][0]:
            assert at[one][1] < at[two][1] or at[one][2] < at[two][2]


def test_rectangles_have_room_of_their_own() -> None:
    """Drawn at random: each once, in one of its shapes, inside its sheet and apart from the others; None else."""
    chance, done = random.Random(7), 0
    for _ in range(300):
        shapes = [[(w, h), (h, w)] for w, h in ((chance.randint(5, 60), chance.randint(5, 60)) for _ in range(12))]
        bound = {0: 0, 1: 1} if chance.random() < 0.5 else {}
        even, down = chance.random() < 0.5, chance.random() < 0.5
        made = packed(shapes, range(12), (130, 100), 3, 2, bound, even, down)
        if made is None:
            continue
        done += 1
        assert sorted(n for sheet in made for n, *_ in sheet) == list(range(12))
        for number, sheet in enumerate(made):
            boxes = [(x, y, x + shapes[n][shape][0], y + shapes[n][shape][1]) for n, shape, x, y in sheet]
            assert all(inside(box, (0, 0, 130, 100)) for box in boxes)
            grown = [(a, b, c + 3, d + 3) for a, b, c, d in boxes]
            assert not any(meet(a, b) for n, a in enumerate(grown) for b in grown[n + 1 :])
            assert all(bound.get(n, number) == number for n, *_ in sheet)
    assert 50 < done < 300


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
    assert any("sign of GND" in line for line in clashes(read(svg.replace(dot, sign_at(int(x), int(y) + 10) + dot))))


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
