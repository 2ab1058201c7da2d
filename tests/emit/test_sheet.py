"""The bench sheet: everything that was worked out stands in it, well-formed, escaped, and it fetches nothing."""

from __future__ import annotations

import re
from base64 import b64encode
from functools import cache
from hashlib import sha256
from html import escape, unescape
from pathlib import Path

import pytest

from making import TEMPLATE_NAMES, designed, loaded
from pages import Balance, read
from places import TEMPLATES
from rasterport.api import Design, bench_sheet, design, load
from rasterport.emit.sheet.meanings import PIECES, explained, spoken
from rasterport.emit.sheet.page import SECTIONS
from rasterport.emit.sheet.readings import expected
from rasterport.emit.sheet.words.glossary import first_uses
from rasterport.emit.wires.ink import RINGED, SLEEVES
from rasterport.emit.wires.strands import JOINTS, SWITCH, strands
from rasterport.emit.wiring import steps
from rasterport.records import Wire

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
