"""The bench sheet: everything that was worked out stands in it, well-formed, escaped, and it fetches nothing."""

from __future__ import annotations

import math
import re
from base64 import b64encode
from dataclasses import replace
from functools import cache
from hashlib import sha256
from html import escape, unescape
from pathlib import Path

import pytest

from making import TEMPLATE_NAMES, designed, loaded, template
from pages import Balance, read
from places import TEMPLATES
from rasterport.api import Design, bench_sheet, design, load
from rasterport.circuit import compose
from rasterport.emit.drawing.pen import SIZE
from rasterport.emit.sheet import chassis
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.meanings import PIECES, explained, spoken
from rasterport.emit.sheet.page import SECTIONS
from rasterport.emit.sheet.readings import DECIDES, NEITHER, STAGES, SUSPECTS, expected, runs
from rasterport.emit.sheet.words.glossary import first_uses
from rasterport.emit.sheet.words.sections import sections
from rasterport.emit.wires.bands import about
from rasterport.emit.wires.ink import RINGED, SLEEVES
from rasterport.emit.wires.strands import JOINTS, SWITCH, strands
from rasterport.emit.wiring import steps
from rasterport.records import BRIDGED, OPENED, REAR_PANEL, Wire

MOST_WORDS = 40
"""Words a reading on the screen; judgement.  It was 51 on kestrel's sheet when every line said everything."""
NASTY = "<script>alert('x')</script> & \"quoted\" <u>line</u>"


@cache
def made(name: str) -> tuple[Design, str]:
    done = designed(name)
    return done, bench_sheet(done, loaded(name))


@cache
def sheet(name: str) -> Balance:
    return read(made(name)[1])


MEANING = re.compile(r'<span class="means-it">[^<]*</span>')


@cache
def words(name: str) -> str:
    """What the sheet says, without the meanings that stand in between."""
    return re.sub(r"\s+", " ", "".join(read(MEANING.sub("", made(name)[1])).words))


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_sheet_is_one_file_that_fetches_nothing_and_stays_small(name: str) -> None:
    page = made(name)[1]
    assert all(link.startswith("#") for link in sheet(name).links)
    outside = page.replace("http://www.w3.org/2000/svg", "")  # the name of a language, which nobody fetches
    assert "http:" not in outside and "https:" not in outside and "url(" not in page and "@import" not in page
    assert len(page.encode("utf-8")) < 1_000_000


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_names_within_a_sheet_are_unique_and_links_lead_somewhere(name: str) -> None:
    names = sheet(name).having("id")
    assert len(set(names)) == len(names)
    assert {link[1:] for link in sheet(name).links} <= set(names)
    ticks = sheet(name).having("data-tick")
    assert len(set(ticks)) == len(ticks) > 10


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_part_and_every_wire_stands_in_a_sheet_to_be_ticked(name: str) -> None:
    circuit = made(name)[0].circuit
    assert circuit is not None
    marked = sheet(name).having("data-ref")
    for placed in circuit.parts:
        assert placed.ref in marked, placed.role
        assert placed.value in words(name)
    ticks = set(sheet(name).having("data-tick"))
    for step in steps(circuit):
        assert not isinstance(step.of, Wire) or f"wire/{step.number}" in ticks
    for n in range(1, len(circuit.work) + 1):
        assert f"work/{n}" in ticks


def piece(page: str, name: str) -> str:
    """The section of that name, "" where the sheet has none."""
    found = re.search(rf'<details id="{name}".*?</details>|<details [^>]*id="{name}".*?</details>', page, re.S)
    return found[0] if found else ""


def told_by(runs: list[str]) -> set[int]:
    """The numbers that runs name: "1 to 3, 5"."""
    ends = [part.split(" to ") for run in runs for part in run.split(", ")]
    return {n for part in ends for n in range(int(part[0]), int(part[-1]) + 1)}


def iron(page: str) -> str:
    """The part for the iron, which is printed first."""
    return page[page.index('<section class="print-first"') : page.index("</section>")]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_boards_own_wires_come_before_the_bench_and_the_work_before_the_wires_to_the_chassis(name: str) -> None:
    """In the sheet and on paper; every number is that of the wiring list, every step has a box."""
    done, page = made(name)
    circuit = done.circuit
    assert circuit is not None
    own, wiring, paper = piece(page, "harness"), piece(page, "wiring"), iron(page)
    numbered = {step.of: str(step.number) for step in steps(circuit) if step.of is not None}
    assert bool(own) == any(not wire.inside for wire in circuit.wires)
    if own:
        assert page.index('id="harness"') < page.index('id="alone"')
    for wire in circuit.wires:
        here, there = (wiring, own) if wire.inside else (own, wiring)
        key = f'data-tick="wire/{numbered[wire]}"'
        assert key in here and key not in there
        for where in (here, paper):
            numbers = re.findall(rf"<li>([0-9, to]+): {re.escape(escape(wire.measure, quote=False))}</li>", where)
            assert int(numbered[wire]) in told_by(numbers)
        assert f'<button data-wire="{numbered[wire]}">' in here
        assert re.search(rf"\N{{WHITE SQUARE}} (<strong>)?{numbered[wire]}\b", paper)
    for n, work in enumerate(circuit.work, 1):
        row = wiring[wiring.index(f'data-tick="work/{n}"') :]
        assert row.index(f"<td>{numbered[work]}</td>") < row.index("</tr>")
        assert wiring.index(f'data-tick="work/{n}"') < wiring.index('data-tick="wire/')
        box = f"\N{WHITE SQUARE} <strong>{numbered[work]} </strong>{escape(work.do, quote=False)}"
        assert paper.index(box) < paper.index("Wires to the chassis")
        assert not own or paper.index("own wires") < paper.index(box)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_part_for_the_iron_has_every_picture_that_its_wires_need_and_its_words(name: str) -> None:
    done, page = made(name)
    circuit, paper = done.circuit, iron(page)
    assert circuit is not None
    shown = set(re.findall(r'<use href="#([a-z0-9-]+)-picture"', paper))
    # Joints stand in the list itself, row by row; the sockets that they begin at are shown.
    wanted = {strand.group for strand in strands(circuit)} - {JOINTS}
    assert shown == wanted | ({"input-1", SWITCH} if circuit.wired else set())
    assert all(f'<svg id="{picture}-picture"' in page for picture in shown)
    meanings = unescape(paper[paper.index("Words: ") :])
    for word in ("landing", "rail", "blanking", "jungle"):
        assert f"{word}: " in meanings or f"{word} IC: " in meanings, word


def test_work_that_no_row_tells_stands_where_the_work_stands(tmp_path: Path) -> None:
    text = (TEMPLATES / "osprey.toml").read_text(encoding="utf-8")
    path = tmp_path / "osprey.toml"
    path.write_text(re.sub(r"(?s)\[\[set\.work\]\].*?(?=\[\[input)", "", text), encoding="utf-8")
    (bare,) = load(path)
    page = bench_sheet(design(bare), bare)
    told = "Free the blanking pin from ground at IC3 pin 33, lifted from ground".lower()
    for where in (piece(page, "wiring"), iron(page)):
        assert told in where.lower() and where.lower().index(told) < where.index("Wires to the chassis")
    assert told not in piece(made("osprey")[1], "wiring").lower()


def test_a_landing_at_the_rear_panel_has_its_place_and_a_wire_to_the_panel_says_it_not() -> None:
    """What the owner writes is shown whatever its words; where the board's own wires end goes without saying."""
    for place in ("rear panel", "rear panel board, C777"):
        changed = template("kestrel", {"set.rgb.at_red": place})
        circuit = compose(changed)
        page = "".join(map(str, chassis.wiring(Given(changed, circuit, "0" * 64))))
        (red,) = (n for n, wire in chassis.wires_of(circuit) if wire.end == "red landing")
        (row,) = (row for row in re.findall(r"<tr.*?</tr>", page, re.S) if f'data-wire="{red}"' in row)
        assert f'<span class="place">: {place}</span>' in row
        (strand,) = (strand for strand in strands(circuit) if strand.number == red)
        assert ("place strong", SIZE, [place]) in about(strand)
        own = [strand for strand in strands(circuit) if strand.cells["place"] == REAR_PANEL and not strand.wire.inside]
        assert own and not any(strand.wire.says_where or "place" in {k for k, _, _ in about(strand)} for strand in own)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_pictures_of_the_wiring_are_called_in_words(name: str) -> None:
    told = {label for label in sheet(name).having("aria-label") if label.startswith("wires of ")}
    assert "wires of the landings" in told
    known = r"wires of (the landings|the panel switch|the joints|input [1-8])"
    assert all(re.fullmatch(known, label) for label in told), told


@pytest.mark.parametrize("name", ["kestrel", "wren", "pipit"])
def test_rings_and_sleeves_are_explained_where_they_are_used(name: str) -> None:
    circuit, paper = made(name)[0].circuit, iron(made(name)[1])
    assert circuit is not None
    assert any("+" in wire.colour for wire in circuit.wires) and any(wire.shielded for wire in circuit.wires)
    assert paper.count(RINGED) == paper.count(SLEEVES) == 1
    assert RINGED in piece(made(name)[1], "wiring") and SLEEVES in piece(made(name)[1], "wiring")
    assert RINGED not in iron(made("heron")[1]), "heron has no rings"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_finding_and_every_figure_that_is_told_stands_in_a_sheet(name: str) -> None:
    done, text = made(name)[0], words(name)
    for finding in done.findings:
        assert re.sub(r"\s+", " ", finding.message) in text, finding.code
        assert finding.measured is None or finding.source in text
    for figure in done.figures:
        if figure.key not in ("voltage-share", "reverse-voltage", "line-voltage", "count/grounds", "dissipation"):
            assert figure.title in text


def test_sections_come_in_the_order_of_the_work() -> None:
    found = [n for n in sheet("godwit").having("id") if n in {s.name for s in SECTIONS}]
    assert found == [s.name for s in SECTIONS if s.name in found]
    assert found.index("wiring") < found.index("record")


def test_texts_of_the_variant_stay_text(tmp_path: Path) -> None:
    quoted = NASTY.replace("\\", "\\\\").replace('"', '\\"')
    text = (TEMPLATES / "kestrel.toml").read_text(encoding="utf-8")
    text = re.sub(r'^(title|at|at_[a-z_]+|ground_at|second_ground_at) = ".*?"', rf'\1 = "{quoted}"', text, flags=re.M)
    path = tmp_path / "kestrel.toml"
    path.write_text(text, encoding="utf-8")
    (hostile,) = load(path)
    page = bench_sheet(design(hostile), hostile)
    found = read(page)
    assert [tag for tag, _ in found.tags].count("script") == 1
    assert "u" not in {tag for tag, _ in found.tags}
    assert "".join(found.words).count(NASTY) > 10


def test_only_the_sheets_own_script_may_run() -> None:
    page = made("wren")[1]
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.S)
    digest = b64encode(sha256(script.encode("utf-8")).digest()).decode("ascii")
    (policy,) = [a["content"] for tag, a in sheet("wren").tags if a.get("http-equiv") == "Content-Security-Policy"]
    assert f"script-src 'sha256-{digest}';" in policy
    assert policy.startswith("default-src 'none';")


def test_a_warning_heads_the_sheet_and_both_parts_that_are_printed_first() -> None:
    page = bench_sheet(designed("kestrel"), loaded("kestrel"), "NOT TO BE BUILT: broken")
    assert "".join(read(page).words).count("NOT TO BE BUILT: broken") >= 3


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_words_of_ours_have_their_meaning_where_sentences_use_them_first(name: str) -> None:
    page = made(name)[1]
    body = page[page.index("</section>\n<details") :]
    pieces = PIECES.findall(MEANING.sub("", body))
    uses = first_uses([unescape(pieces[n]) for n in spoken(pieces)])
    given = re.findall(r'<dfn>[^<]*</dfn><span class="means-it"> \(([^<]*)\)</span>', body)
    assert [unescape(means) for means in given] == [use.term.means for use in uses]
    assert len(given) > 8


def test_meanings_leave_headings_and_pictures_alone() -> None:
    page = "<h2>The set</h2><svg><text>the set</text></svg><p>A set &amp; its <b>rail</b>, a set.</p>"
    made_ = explained(page)
    assert made_.startswith("<h2>The set</h2><svg><text>the set</text></svg><p>A <dfn>set</dfn>")
    assert made_.count("means-it") == 2
    assert "&amp; its <b><dfn>rail</dfn>" in made_ and made_.endswith("</b>, a set.</p>")


def test_a_reading_is_expected_in_the_words_of_a_meter() -> None:
    """What is open is called so; what nobody knows about the set leaves a range, and a closed contact a bound."""
    r = next(r for r in made("kestrel")[0].readings if r.key == "alone/native/input-1.red-ground")
    for nominal, low, high, told in (
        (75.0, 72.6, 77.4, "75 \N{GREEK CAPITAL LETTER OMEGA} (72.6 to 77.4 \N{GREEK CAPITAL LETTER OMEGA})"),
        (math.inf, 1e6, math.inf, "open, above 1 M\N{GREEK CAPITAL LETTER OMEGA}"),
        (math.inf, 9.3, math.inf, "above 9.3 \N{GREEK CAPITAL LETTER OMEGA}"),
        (2800.0, 9.3, 2880.0, "9.3 \N{GREEK CAPITAL LETTER OMEGA} to 2.88 k\N{GREEK CAPITAL LETTER OMEGA}"),
        (0.1, 0.0, 1.0, "below 1 \N{GREEK CAPITAL LETTER OMEGA}"),
    ):
        assert expected(replace(r, nominal=nominal, low=low, high=high)) == told
    assert expected(replace(r, unit="V", nominal=0.0, low=-0.01, high=0.01)) == "0 V (-10 to 10 mV)"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_readings_say_once_what_holds_for_many(name: str) -> None:
    """The usual suspects at the head of a stage, the feed over all that it serves, the switch with each state."""
    done, page = made(name)
    parts = {stage: page[page.index(f'<details id="{stage}"') :].split("</details>")[0] for stage in STAGES}
    for stage, part in parts.items():
        members = [r for r in done.readings if r.stage == stage]
        assert part.count(SUSPECTS[0]) == 1 and part.index(DECIDES[stage][:20]) < part.index("<h3>")
        alike = [r for r in members if {r.low_means, r.high_means} <= {"", BRIDGED, OPENED}]
        lists = part.count('class="means"')
        assert lists == len(members) - len(alike)
        assert part.count(NEITHER) == bool(alike)
        assert sum(len(run.groups) for run in runs(members)) == part.count("<thead>")
    assert parts["alone"].count("behind 75 ohm") == len(done.variant.input)
    once = [r for r in done.readings if r.unit == "ohm" and r.stage == "alone" and r.state == "native" and r.feed]
    if once:  # the switch at the head of its resistances, on screen and on paper
        at = f"{once[0].feed[0].upper()}{once[0].feed[1:]}."
        printed_ = page[: page.index("<details")]
        assert f"<p>{at}</p>" in parts["alone"] and f"</strong> {at}</p>" in printed_


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_readings_are_short(name: str) -> None:
    """Words a reading on the screen, head of the stage and feeds included."""
    done, page = made(name)
    words = 0
    for stage in STAGES:
        part = page[page.index(f'<details id="{stage}"') :].split("</details>")[0]
        words += len(re.sub(r"<[^>]+>", " ", part).split())
    assert words < MOST_WORDS * len(done.readings), words / len(done.readings)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_reading_has_a_field_and_a_place_on_paper_in_the_same_order(name: str) -> None:
    done, page = made(name)
    fields = [(a["data-reading"], a["data-low"], a["data-high"]) for tag, a in sheet(name).tags if "data-reading" in a]
    wanted = {r.key: r for r in done.readings}
    assert sorted(key for key, _, _ in fields) == sorted(wanted)
    on_paper = re.findall(r"<li>(?:<strong>! </strong>)?((?:(?!</li>).)*): ((?:(?!</li>).)*) <em></em></li>", page)
    assert len(on_paper) == len(fields)
    for (key, low, high), (points, told) in zip(fields, on_paper, strict=True):
        assert unescape(points).startswith(wanted[key].red)
        assert unescape(told) == expected(wanted[key])
        assert float(low) == pytest.approx(wanted[key].low, rel=1e-3)
        assert float(high) == pytest.approx(wanted[key].high, rel=1e-3)


SHARED = re.compile(r"Source, where no other is named: ([^<]*)\.</p>")


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_source_that_lines_of_a_section_share_is_named_once(name: str) -> None:
    done, page = made(name)
    assert done.circuit is not None
    given = sections(done.circuit, done.variant, done.findings, done.figures, done.states)
    page = re.sub(r"</?dfn>", "", MEANING.sub("", page))
    for section in ("cautions", "before", "picture", "faults"):
        start = page.index(f'id="{section}"')
        text = page[start : page.index("</details>", start)]
        (shared,) = SHARED.findall(text)
        beside = [unescape(found) for found in re.findall(r'<span class="source"> \[([^<]*)\]</span>', text)]
        others = [r.source for r in getattr(given, section) if r.source != unescape(shared)]
        assert sorted(beside) == sorted(others) and unescape(shared) not in beside
        assert len(others) < len(getattr(given, section)) - 1, "nothing is shared"


LITTLE = """
a above against all and any as at be between by carry chosen concerns each either every for from has in into is
its no of on one or other puts same sees several that the their these this to two where which with your
"""
PLAIN = frozenset(LITTLE.split())
"""Words that make no compound with what follows them."""
MADE = {
    "set": {"television"},
    "socket": {"21-contact", "bnc-4", "phono-4"},
    "contact": {"colour", "sync", "video", "audio"},
    "clamp": {"keyed"},
    "insertion": {"shared", "spare"},
}
"""Compounds that are the word in its own sense."""
AFTER = {
    "line": ["rate", "period", "standard", "pulse", "output", "input", "inputs", "sync", "blanking"],
    "control": ["line", "lines", "pin", "voltage"],
    "input": ["switch", "impedance", "current", "pin", "end"],
    "set": ["up", "to", "for", "off"],
    "insertion": ["loss"],
    "corner": ["frequency"],
}
"""What makes another thing of the word before it."""
EVERYDAY = {
    *("set", "input", "socket", "contact", "path", "control", "line"),
    *("corner", "state", "role", "clamp", "insertion"),
}


def in_its_sense(term: str, text: str, start: int, end: int) -> bool:
    """Whether neither the word before nor the word behind makes something else of an everyday word."""
    before = re.search(r"([\w'-]+) $", text[:start])
    after = re.match(r" ([\w'-]+)", text[end:])
    if before and not before[1].isdigit() and before[1].lower() not in PLAIN | MADE.get(term, set()):
        return False
    return not (after and after[1] in AFTER.get(term, ()))


def test_first_uses_are_in_the_sense_that_is_explained() -> None:
    for wrong in ("its phase control is", "the volume control", "the gate line", "the S-video socket", "a line rate"):
        at = re.search(r"control|line|socket", wrong)
        assert at is not None and not in_its_sense(at[0], wrong, *at.span()), wrong
    uses = []
    for name in TEMPLATE_NAMES:
        page = MEANING.sub("", made(name)[1])
        pieces = PIECES.findall(re.sub(r"</?dfn>", "", page[page.index("</section>\n<details") :]))
        said = [unescape(pieces[n]) for n in spoken(pieces)]
        uses += [(name, use.term.word, said[use.text], use.start, use.end) for use in first_uses(said)]
    assert {term for _, term, *_ in uses} >= EVERYDAY - {"control", "path", "role"}
    wrong = [use[:3] for use in uses if use[1] in EVERYDAY and not in_its_sense(*use[1:])]
    assert wrong == []
    for name, term, text, _, end in uses:  # a meaning stands behind a possessive and never within it
        assert not text[end:].startswith("'s"), (name, term, text)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_check_on_the_set_has_both_points_of_its_meter(name: str) -> None:
    done, page = made(name)
    assert done.circuit is not None
    checks = sections(done.circuit, done.variant, done.findings, done.figures, done.states).before
    page = re.sub(r"</?(?:dfn|b)>", "", MEANING.sub("", page))
    start = page.index('id="before"')
    text = page[start : page.index("</details>", start)]
    groups = re.split(r"<h3>Set: ", text)[1:]
    rows = [(group, row) for group in groups for row in re.findall(r"<tr>(<td>.*?)</tr>", group, re.S)]
    assert len(rows) == len(checks)
    for (group, row), check in zip(rows, checks, strict=True):
        above = re.search(r"Black lead, where no other point is named: (.*?)\.</p>", group, re.S)
        own = re.search(r"Black: (.*?)</td>", row, re.S)
        told = own or (above if "Red: " in row else None)
        assert (unescape(re.sub(r"<[^>]*>", "", told[1])) if told else "") == check.black
