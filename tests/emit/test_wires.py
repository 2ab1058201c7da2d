"""The wiring as pictures: every row of the wiring list once, with its ends and colour; nothing overlaps or is cut."""

from __future__ import annotations

import csv
import io
import random
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from drawn import SVG, Item, flat, muddles, points
from making import TEMPLATE_NAMES, several, template, variant
from places import TEMPLATES
from rasterport.circuit import compose
from rasterport.emit.wires.ink import INKS, STYLE, wrapped
from rasterport.emit.wires.pictures import (
    inputs_of,
    joints_picture,
    landing_picture,
    socket_picture,
    switch_picture,
    wiring_pictures,
)
from rasterport.emit.wiring import steps, wiring_text
from rasterport.errors import Refused
from rasterport.parts import panel_switch, socket
from rasterport.parts.faces import face
from rasterport.parts.footprints import SOCKET_21
from rasterport.parts.selectors import deck_switch, rotary_switch
from rasterport.records import GROUND, Circuit, Wire
from rasterport.standards.contacts import SHELL
from rasterport.standards.iec60757 import COLOURS, named
from rasterport.variant.models import Variant

WIRED = {"board.construction": "wired", "input.mounting": "panel"}
SOCKETS = ("european-21", "japanese-21", "de-15", "bnc-4", "phono-4")
WANTED = 12


def drawn_at_random() -> Iterator[Variant]:
    """Boards of many kinds of wiring, always the same; those that no board can be made for are left out."""
    chance = random.Random(11)
    found = 0
    while found < WANTED:
        mountings = ("board", "panel", "cable", "existing")
        inputs: list[dict[str, Any]] = [
            {"socket": chance.choice(SOCKETS), "mounting": chance.choice(mountings)}
            for _ in range(chance.choice((1, 2, 3)))
        ]
        changes = {
            "board.construction": chance.choice(("smd", "wired")),
            "board.landing": chance.choice(("header", "pads")),
            "set.rgb.lead_kind": chance.choice(("hook-up", "coax")),
            "set.blanking.native": chance.choice(("grounded", "driven")),
        }
        try:
            made = several(inputs, chance.choice(("gang", "relay")), "panel", changes)
            compose(made)
        except Refused:
            continue
        found += 1
        yield made


BOARDS: dict[str, Variant] = {
    **{name: template(name) for name in TEMPLATE_NAMES},
    "a lead": variant({"input.mounting": "cable"}),
    "on the socket": variant({**WIRED, "board.built_on": "socket"}),
    "in the chassis": variant({**WIRED, "board.built_on": "chassis"}),
    "phono of the set": variant(
        {**WIRED, "input": [{"socket": "phono-4", "mounting": "existing", "wired_contacts": "red-shell, blue-shell"}]}
    ),
    **{f"random {n}": made for n, made in enumerate(drawn_at_random(), 1)},
}


@cache
def board(name: str) -> tuple[Circuit, tuple[str, ...]]:
    """A board and its sheets, made once for several tests."""
    circuit = compose(BOARDS[name])
    return circuit, sheets(circuit)


def sheets(circuit: Circuit, title: str = "A set", remark: str = "") -> tuple[str, ...]:
    return wiring_pictures(circuit, "finch", title, "1", remark)


def alone(circuit: Circuit) -> list[str]:
    """Every picture that a page may take in."""
    made = [landing_picture(circuit), switch_picture(circuit), joints_picture(circuit)]
    made += [socket_picture(circuit, number) for number in inputs_of(circuit)]
    return [svg for svg in made if svg]


def rows(circuit: Circuit) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(wiring_text(circuit, ""))))


def numbered(circuit: Circuit) -> list[tuple[int, Wire]]:
    """The wires with the numbers of their rows, which the list of wires has in the same order."""
    order = [int(row["order"]) for row in rows(circuit) if row["to"]]
    found = list(zip(order, circuit.wires, strict=True))
    assert found == [(step.number, step.of) for step in steps(circuit) if isinstance(step.of, Wire)]
    return found


def groups(svgs: tuple[str, ...] | list[str], kinds: tuple[str, ...] = ("strand", "step")) -> list[ElementTree.Element]:
    found = []
    for svg in svgs:
        root = ElementTree.fromstring(svg.encode("utf-8"))
        found += [e for e in root.iter(f"{SVG}g") if e.get("class") in kinds]
    return found


def texts(group: ElementTree.Element) -> dict[str, str]:
    """What is printed in a group by kind, without spaces: long words may be parted at the end of a line."""
    found: dict[str, str] = {}
    for e in group.iter(f"{SVG}text"):
        kind = e.get("class", "").split()[0]
        found[kind] = found.get(kind, "") + "".join((e.text or "").split())
    return found


def bare(words: str) -> str:
    return "".join("".join(c if c.isprintable() else " " for c in words).split())


def drawn_of(group: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [e for e in group.iter(f"{SVG}path") if e.get("class", "").split()[0] == kind]


@pytest.mark.parametrize("name", BOARDS)
def test_every_row_of_the_list_stands_there_once_with_all_it_says(name: str) -> None:
    circuit, made = board(name)
    wanted, found = rows(circuit), groups(made)
    assert sorted(int(g.attrib["data-wire"]) for g in found) == [int(row["order"]) for row in wanted]
    of = {g.attrib["data-wire"]: g for g in found}
    for row in wanted:
        group = of[row["order"]]
        said = texts(group)
        if not row["to"]:
            assert group.get("class") == "step"
            assert (said["number"], said["from"], said.get("place", "")) == (
                row["order"], bare(row["from"]), bare(row["place"]),
            )  # fmt: skip
            continue
        assert group.get("class") == "strand"
        assert said["from"] == bare(row["from"])
        assert bare(row["to"]) == said.get("to") or said["carries"].startswith(bare(row["to"]) + ":")
        assert said["carries"].endswith(bare(row["carries"]))
        assert said["code"] == (row["colour code"] or "lead")
        assert row["order"] in [e.text for e in group.iter(f"{SVG}text") if e.get("class") == "number"]
        assert bare(row["wire"]) in said["plainly"] and bare(row["colour"]) in said["plainly"]
        assert row["length mm"] == "0" or f"{row['length mm']}mm" in said["plainly"]
        assert said.get("ground", "") == bare(row["ground"])
        if row["to"].endswith(" landing"):
            assert said["place"] == (bare(row["place"]) or bare("the variant does not say where"))
        assert bool(drawn_of(group, "sheath")) == (row["screened"] == "yes")
        own, _, ring = row["colour code"].partition("+")
        assert {e.get("class") for e in drawn_of(group, "core")} == {f"core {own or 'bare'}"}
        assert [e.get("class") for e in drawn_of(group, "mark")] == ([f"mark {ring}"] * 2 if ring else [])
        assert group.get("data-net") == row["net"]


@pytest.mark.parametrize("name", BOARDS)
def test_the_record_behind_each_wire_is_the_one_that_is_drawn(name: str) -> None:
    """Beside the list the circuit itself: net, ends by reference, colour, where the screen is joined."""
    circuit, made = board(name)
    of = {int(g.attrib["data-wire"]): g for g in groups(made, ("strand",))}
    assert len(of) == len(circuit.wires)
    for n, wire in numbered(circuit):
        group = of[n]
        assert group.attrib["data-net"] == wire.net
        assert group.attrib["data-ref"].split() == list(dict.fromkeys(ref for ref, _ in wire.joins))
        assert bare(wire.start) in texts(group)["from"] and bare(named(wire.colour)) in texts(group)["plainly"]
        tails = len(drawn_of(group, "tail"))
        edge = any(e.get("class") == "end" for e in group)
        assert tails == (0 if edge else {"": 0, "start": 1, "end": 1, "both": 2}[wire.screen])


@pytest.mark.parametrize("name", BOARDS)
def test_nothing_stands_in_the_way_of_anything(name: str) -> None:
    circuit, made = board(name)
    for svg in (*made, *alone(circuit)):
        assert muddles(flat(svg)) == []


@pytest.mark.parametrize("name", BOARDS)
def test_sheets_are_upright_a4_and_letters_two_millimetres(name: str) -> None:
    circuit, made = board(name)
    for svg in (*made, *alone(circuit)):
        root = ElementTree.fromstring(svg.encode("utf-8"))
        wide, high = (float(v) for v in root.attrib["viewBox"].split()[2:])
        assert (root.get("width"), root.get("height")) == (f"{wide / 10:g}mm", f"{high / 10:g}mm")
        assert (wide, high) == (2100, 2970) or svg not in made
        sizes = [float(e.get("font-size", root.attrib["font-size"])) for e in root.iter(f"{SVG}text")]
        assert sizes and min(sizes) >= 20
        assert root.get("role") == "img" and root.get("aria-label")


@pytest.mark.parametrize("name", BOARDS)
def test_ground_comes_first_and_rows_follow_the_order_of_work(name: str) -> None:
    circuit, made = board(name)
    found = flat(landing_picture(circuit))
    badges = sorted((t.box[1], int(t.words), t.wire) for t in found.texts if t.kind == "number" and t.words == t.wire)
    ends = {row["order"]: row for row in rows(circuit)}
    numbers = list(dict.fromkeys(n for _, n, _ in badges))
    nets = [ends[str(n)]["net"] == GROUND for n in numbers if ends[str(n)]["to"].endswith(" landing")]
    assert nets[0] and nets == sorted(nets, reverse=True)
    landed = [n for n, wire in numbered(circuit) if wire.inside]
    assert sorted(numbers) == landed == numbers
    if circuit.wired:
        assert numbers == landed
    in_turn = [int(g.attrib["data-wire"]) for g in groups(made, ("strand",))]
    wires = [n for n in in_turn if n not in landed]
    blocks = [n for k, n in enumerate(wires) if not k or n < wires[k - 1]]
    assert len(blocks) <= len(inputs_of(circuit)) + 3, "only a new socket, switch or the landings begin anew"


@pytest.mark.parametrize("name", [n for n, made in BOARDS.items() if made.board.construction != "wired"])
def test_at_the_edge_each_wire_runs_from_its_pin_to_its_place(name: str) -> None:
    """By position: the line begins at the pad with the pin's number and ends beside its badge and its place."""
    circuit, _ = board(name)
    svg = landing_picture(circuit)
    found = flat(svg)
    levels = []
    for group in groups([svg], ("strand",)):
        number = group.attrib["data-wire"]
        row = next(r for r in rows(circuit) if r["order"] == number)
        mine = [item for item in found.symbols if item.wire == number]
        (pad,) = (item.box for item in mine if item.kind == "pad")
        (badge,) = (item.box for item in mine if item.kind == "badge")
        lines = [points(e) for e in drawn_of(group, "core")]
        assert [points(e) for e in drawn_of(group, "rim")] == lines
        start, end = lines[0][0], lines[-1][-1]
        assert start == (pad[2], (pad[1] + pad[3]) / 2)
        assert pad[1] < start[1] < pad[3]
        if row["to"].endswith(" landing"):
            assert badge[1] < end[1] < badge[3] and end[0] < badge[0]
        else:  # the screens: their wire ends on the run that joins them, whose foot bears the number
            (run,) = (item.line for item in found.lines if item.kind == "bus")
            assert end[0] == run[0][0] == run[1][0] == (badge[0] + badge[2]) / 2
            assert run[0][1] <= end[1] < run[1][1] == badge[1]
            assert badge[1] > max(item.box[3] for item in found.symbols if item.kind == "pad")
        pin = re.fullmatch(r"J1 pin (\d+) .*", row["from"])
        inner = [t.words for t in found.texts if t.wire == number and inside_of(t, pad)]
        assert inner == ([pin[1]] if pin else [""])
        label = next(t for t in found.texts if t.wire == number and t.kind == "from")
        assert abs((label.box[1] + label.box[3]) / 2 - start[1]) < 40
        place = next(t for t in found.texts if t.wire == number and t.kind == "place")
        assert badge[1] - 15 < place.box[1] < badge[3]
        levels.append((start[1], pin and int(pin[1])))
    if all(pin for _, pin in levels):
        assert [pin for _, pin in sorted(levels)] == list(range(1, len(levels) + 1)), "pins in their order"


def inside_of(text: Item, box: tuple[float, float, float, float]) -> bool:
    return box[0] < text.box[0] and text.box[2] < box[2] and box[1] < text.box[1] and text.box[3] < box[3]


@pytest.mark.parametrize("name", BOARDS)
def test_every_contact_shows_its_wire_or_that_it_has_none(name: str) -> None:
    circuit, made = board(name)
    ends: dict[tuple[str, str], list[int]] = {}
    of = dict(numbered(circuit))
    for n, wire in of.items():
        for end in wire.joins:
            ends.setdefault(end, []).append(n)
    seen = set()
    for group in groups(made, ("pole",)):
        end = (group.attrib["data-ref"], group.attrib["data-pin"])
        (placed,) = (p for p in circuit.parts if p.ref == end[0])
        seen.add(end)
        numbers = ends.get(end, [])
        assert group.get("data-wire", "") == " ".join(map(str, numbers))
        assert group.get("data-net", "") == (placed.nets[end[1]] or "")
        said = texts(group)
        assert said["number"] == ("sh" if end[1] == SHELL else end[1])
        if numbers:
            assert said["code"] == (of[numbers[0]].colour or "lead")
        elif placed.part.key.startswith("header"):
            assert said["code"] in ("scr", "-")
        else:
            assert said.get("code", "") == ("x" if placed.nets[end[1]] is None else "")
    shown = [p for p in circuit.parts if p.part.key.startswith(("socket/", "panel-switch", "rotary", "deck", "centre"))]
    assert {(p.ref, pin.number) for p in shown for pin in p.part.pins} <= seen | {
        (p.ref, "0") for p in shown if p.part.package == "board"
    }


@pytest.mark.parametrize("name", BOARDS)
def test_no_text_is_clipped_and_contacts_without_a_wire_have_none(name: str) -> None:
    circuit, made = board(name)
    for svg in made:
        assert not any("…" in (e.text or "") for g in groups([svg], ("rest",)) for e in g.iter(f"{SVG}text"))
    met = {end for wire in circuit.wires for end in wire.joins}
    for number in inputs_of(circuit):
        svg = socket_picture(circuit, number)
        if ">Contacts without a wire<" in svg:
            for group in groups([svg], ("rest",)):
                end = (group.attrib["data-ref"], group.attrib["data-pin"])
                assert end not in met and ("data-net" not in group.attrib or end in circuit.joined)
    on_board = [p for p in circuit.parts if p.part.key.startswith("socket/") and p.on_board and not circuit.wired]
    told = "".join(socket_picture(circuit, number) for number in inputs_of(circuit))
    assert ("no wire goes to this socket" in told) == bool(on_board)
    assert "footprint" not in told and "from memory" not in told


@pytest.mark.parametrize("name", BOARDS)
def test_a_picture_to_which_no_wire_goes_takes_no_sheet_of_its_own_where_another_has_room(name: str) -> None:
    _, made = board(name)
    room, alone_ = [], []
    for svg in made:
        found = flat(svg)
        (rule,) = (item for item in found.lines if item.kind == "rule")
        foot = max(t.box[3] for t in found.texts if t.box[3] < rule.box[1])
        if groups([svg], ("strand", "step")):
            room.append(rule.box[1] - foot)
        else:
            alone_.append(foot - 100)
    assert all(max(room) < tall + 40 for tall in alone_)


def test_the_shell_is_called_the_shell() -> None:
    for mounting in ("board", "panel"):
        circuit = compose(variant({"input": [{"socket": "de-15", "mounting": mounting, "sync": "ttl-composite"}]}))
        svg = socket_picture(circuit, 1)
        assert ">sh</text>" in svg and ">0</text>" not in svg and "sh: the shell" in svg
        told = " ".join(wire.start for wire in circuit.wires)
        assert "contact 0" not in told and ("the shell" in told) == (mounting == "panel")


FACES = [
    *(socket(kind, where) for kind in SOCKETS for where in ("board", "panel", "cable", "existing")),  # type: ignore[arg-type]
    *(panel_switch(n) for n in (1, 2, 3, 4)), rotary_switch(1, 10), rotary_switch(4, 3), deck_switch(7, 4),
]  # fmt: skip


@pytest.mark.parametrize("part", FACES, ids=lambda part: str(part.key))
def test_a_face_has_every_contact_in_a_place_of_its_own(part: Any) -> None:
    made = face(part)
    assert {pin.number for pin in part.pins} == {number for number, _, _ in made.places}
    spots = [(round(x, 2), round(y, 2)) for _, x, y in made.places]
    assert len(set(spots)) == len(spots)


def test_the_solder_side_is_the_mirror_image_of_the_mouth() -> None:
    """Mouth of a 21-contact socket, odd row below: contact 1 at the right; of a DE-15: contact 1 at the upper right."""
    for kind in ("european-21", "japanese-21", "de-15"):
        mouth, lugs = face(socket(kind, "cable")), face(socket(kind, "panel"))
        assert (mouth.view, lugs.view) == ("mouth", "lugs")
        assert sorted(mouth.places) == sorted((n, -x if x else x, y) for n, x, y in lugs.places)
        at = {n: (x, y) for n, x, y in mouth.places}
        if kind == "de-15":
            assert all(at["1"][0] > at[n][0] and at["1"][1] <= at[n][1] for n in ("2", "3", "4", "5"))
            assert at["1"][1] < at["6"][1] < at["11"][1]
        else:
            assert all(at["1"][0] > at[str(n)][0] for n in range(2, 22))
            assert at["1"][1] == at["21"][1] > at["2"][1] == at["20"][1]


def test_a_socket_on_the_board_is_our_footprint_from_below() -> None:
    made = face(socket("european-21", "board"))
    assert made.view == "below"
    assert sorted(made.places) == sorted((p.number, -p.x, p.y) for p in SOCKET_21.pads if p.number)


EVIL = '</text><script>alert("1")</script> & \'quoted\' \x07 \u202e<b> onclick="x" 日本'


def test_texts_of_the_owner_stay_text_and_are_never_cut() -> None:
    long = " ".join(f"{EVIL} {n}" for n in range(20)) + "w" * 90
    circuit = compose(template("pipit"))
    wires = tuple(replace(w, at=long) for w in circuit.wires)
    work = tuple(replace(w, do=EVIL, at=long) for w in circuit.work)
    for base in (replace(circuit, wires=wires, work=work), evil_board(long)):
        svgs = (*sheets(base, EVIL, EVIL), *alone(base))
        for svg in svgs:
            root = ElementTree.fromstring(svg.encode("utf-8"))
            tags = {e.tag.rpartition("}")[2] for e in root.iter()}
            assert tags <= {"svg", "title", "style", "rect", "g", "path", "circle", "text"}
            assert not any(name.startswith("on") for e in root.iter() for name in e.attrib)
            assert muddles(flat(svg)) == []
        placed = [texts(g)["place"] for g in groups(sheets(base), ("strand",)) if "place" in texts(g)]
        assert sum(bare(long) == told for told in placed) >= 10


def evil_board(at: str) -> Circuit:
    circuit = compose(template("kestrel"))
    return replace(circuit, wires=tuple(replace(w, at=at) for w in circuit.wires))


def test_lines_are_wrapped_and_nothing_is_lost() -> None:
    assert wrapped("", 100) == []
    assert wrapped("one two  three", 8 * 15) == ["one two", "three"]
    assert "".join(wrapped("x" * 50, 10 * 15)) == "x" * 50
    assert all(len(line) <= 10 for line in wrapped("x" * 50, 10 * 15))


def test_the_reader_sees_what_is_wrong_with_a_picture() -> None:
    """A text moved onto a wire, a wire left out, a badge moved, a colour changed: each is found."""
    circuit = compose(template("kestrel"))
    svg = landing_picture(circuit)
    line = next(t for t in svg.splitlines() if 'class="place strong"' in t)
    x = re.findall(r'x="(\d+)"', line)[0]
    assert any("on a" in m for m in muddles(flat(svg.replace(line, line.replace(f'x="{x}"', 'x="420"')))))
    assert any("leaves" in m for m in muddles(flat(svg.replace(line, line.replace(f'x="{x}"', 'x="1800"')))))
    badge = next(t for t in svg.splitlines() if 'class="badge"' in t)
    x = re.findall(r'cx="(\d+)"', badge)[0]
    moved = svg.replace(badge, badge.replace(f'cx="{x}"', f'cx="{int(x) - 40}"'))
    assert any("terminal on badge" in m for m in muddles(flat(moved)))
    less = replace(circuit, wires=circuit.wires[1:])
    assert len(groups(sheets(less), ("strand",))) == len(circuit.wires) - 1


@pytest.mark.parametrize("name", ["kestrel", "godwit", "pipit"])
def test_a_page_can_take_the_pictures_in(name: str) -> None:
    """No identifiers that clash, no style of its own, nothing fetched; every wire of the sheets is at an end there.

    Sockets and switches come without a row a wire, which a page has in its table.
    """
    circuit, made = board(name)
    inline = alone(circuit)
    ended = {n for g in groups(inline, ("strand", "pole")) for n in g.attrib.get("data-wire", "").split()}
    assert ended == {g.attrib["data-wire"] for g in groups(made, ("strand",))}
    for svg in inline:
        assert svg.startswith("<svg ") and "<style" not in svg and "href" not in svg
        assert not re.search(r'\s(id|style)="', svg)
    rules = re.findall(r"([^{}]+)\{", STYLE)
    assert rules and all(part.strip().startswith(".wires") for rule in rules for part in rule.split(","))


def test_every_wire_has_a_rim_and_colours_have_their_own_ink() -> None:
    """White on white and black on black still have an edge: the rim is in the page's ink and wider than the wire."""
    assert set(INKS) == set(COLOURS) and len(set(INKS.values())) == len(INKS)
    width = {kind: float(re.findall(rf"\.{kind}\{{stroke-width:([\d.]+)", STYLE)[0]) for kind in ("rim", "core")}
    assert width["rim"] >= width["core"] + 4
    for _, made in (board("kestrel"), board("pipit")):
        for group in groups(made, ("strand",)):
            assert [e.get("d") for e in drawn_of(group, "rim")] == [e.get("d") for e in drawn_of(group, "core")] != []


def test_a_remark_is_on_every_sheet() -> None:
    made = sheets(compose(template("godwit")), remark="NOT TO BE BUILT")
    assert len(made) > 1
    for svg in made:
        assert ">NOT TO BE BUILT</text>" in svg
        assert muddles(flat(svg)) == []


CODE = """
import sys
from rasterport.api import build, load
build(load({path!r})[0], {out!r}, only={only!r})
print(sorted(m for m in sys.modules if m.startswith("rasterport.emit.wires")))
"""


@pytest.mark.parametrize("only", [("wires",), ("net", "bom", "wiring", "findings")])
def test_pictures_cost_only_those_who_ask_for_them(tmp_path: Path, only: tuple[str, ...]) -> None:
    code = CODE.format(path=str(TEMPLATES / "kestrel.toml"), out=str(tmp_path), only=only)
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert ("wires" in told) == (only == ("wires",))
    assert (tmp_path / "kestrel" / "kestrel.wiring.svg").is_file() == (only == ("wires",))
