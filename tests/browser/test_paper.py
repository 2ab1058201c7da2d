"""What the real browser prints through the program's own command: everything on it, nothing of the moment in it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import viewing
from places import TEMPLATES
from rasterport import printing
from rasterport.emit.page import document, el
from rasterport.emit.paper import paper_page
from rasterport.errors import OutputError

A3_ACROSS_MM = (420, 297)


def rasterport(folder: Path, *arguments: str) -> None:
    """The program without a home; it must succeed and complain of nothing."""
    command = [sys.executable, "-X", "utf8", "-m", "rasterport", *arguments]
    surroundings = {**os.environ, "HOME": "/nonexistent"}
    done = subprocess.run(
        command, cwd=folder, env=surroundings, capture_output=True, encoding="utf-8", check=False, timeout=300
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stderr


def near(size_mm: tuple[float, float], wanted_mm: tuple[float, float]) -> bool:
    return all(abs(a - b) <= 0.6 for a, b in zip(size_mm, wanted_mm, strict=True))


def test_drawings_keep_their_size_and_all_of_their_words(tmp_path: Path) -> None:
    viewing.program()
    sheets = [f"godwit{n}.svg" for n in ("", ".2", ".3")]
    for _ in range(2):
        rasterport(tmp_path, "build", str(TEMPLATES / "godwit.toml"), "--only", "svg,panel", "--pdf")
        pdf = tmp_path / "out" / "godwit" / "godwit.pdf"
        pdf = pdf.rename(tmp_path / f"{len(list(tmp_path.glob('*.pdf')))}.pdf")
    assert (tmp_path / "0.pdf").read_bytes() == (tmp_path / "1.pdf").read_bytes()
    paper = viewing.paper(pdf.read_bytes())
    assert printing.printed_from(pdf) is not None
    assert [near(size, A3_ACROSS_MM) for size in paper.sizes_mm] == [True, True, True, False]
    assert viewing.is_a4(paper.sizes_mm[-1]), "the panel, 1:1"
    for number, name in enumerate([*sheets, "godwit.panel.svg"]):
        drawn = viewing.drawn_texts(tmp_path / "out" / "godwit" / name)
        assert len(drawn) > 5
        assert viewing.Paper(b"", (), (paper.texts[number],)).lacks(drawn) == [], name


def test_the_sheet_comes_first_with_every_section_open_then_drawings_of_their_own_size(tmp_path: Path) -> None:
    """A sheet's own rules for pictures must not shrink the drawings, nor the drawings move the sheet."""
    viewing.program()
    folded = el("details", el("summary", "More"), el("p", "Folded away."))
    style = "svg{max-width:100%;height:auto}@media print{details:not([open]){display:none}}"
    sheet = document("A sheet", el("h1", "A sheet"), [el("p", f"Line {n}.") for n in range(90)], folded, style=style)
    corner = '<path d="M418 295h1v1h-1z"/><text x="5" y="290" font-size="5">Bottom of A3</text>'
    drawings = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">{inside}</svg>'
        for w, h, inside in (("420", "297", corner), ("297", "210", "<text x='5' y='200'>A4 across</text>"))
    ]
    pdf = printing.print_text(paper_page("A sheet", sheet, drawings), tmp_path / "a.pdf")
    paper = viewing.paper(pdf.read_bytes())
    *sheets, first, second = paper.sizes_mm
    assert len(sheets) > 1 and all(viewing.is_a4(size) for size in sheets)
    assert near(first, A3_ACROSS_MM) and near(second, (297, 210))
    assert "Folded away." in paper.texts[len(sheets) - 1]
    assert [text.strip() for text in paper.texts[-2:]] == ["Bottom of A3", "A4 across"]


def test_a_circuit_is_printed_once_in_its_own_size(tmp_path: Path) -> None:
    viewing.program()
    for kinds, is_last in (("html,svg", True), ("html", False)):
        rasterport(tmp_path, "build", str(TEMPLATES / "kestrel.toml"), "--only", kinds, "--pdf", "--out", kinds[-3:])
        paper = viewing.paper((tmp_path / kinds[-3:] / "kestrel" / "kestrel.pdf").read_bytes())
        (lying,) = (n for n, size in enumerate(paper.sizes_mm, 1) if near(size, (297, 210)))
        assert "C411" in paper.texts[lying - 1]
        assert (lying == len(paper.sizes_mm)) == is_last


def test_the_survey_is_printed_whole(tmp_path: Path) -> None:
    viewing.program()
    rasterport(tmp_path, "survey", "--pdf", "survey.pdf")
    paper = viewing.paper((tmp_path / "survey.pdf").read_bytes())
    assert all(viewing.is_a4(size) for size in paper.sizes_mm)
    assert paper.lacks(["Step 1. What you want", "Step 5. With a voltmeter", "signal_ground", "clamp_current"]) == []
    assert paper.lacks(["survey.html", "file://", "page.html"]) == ["survey.html", "file://", "page.html"]


def test_a_picture_is_printed_by_itself(tmp_path: Path) -> None:
    viewing.program()
    page = tmp_path / "page.svg"
    drawn = '<title>A</title><text y="20">Words</text>'
    page.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="50mm">{drawn}</svg>', "utf-8")
    assert viewing.paper(printing.print_page(page, tmp_path / "a.pdf").read_bytes()).lacks(["Words"]) == []


def test_a_page_that_cannot_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The browser ends with status 0 and no PDF then."""
    viewing.program()
    page = tmp_path / "page.html"
    page.write_text("<title>A</title>", encoding="utf-8")
    monkeypatch.setattr(Path, "as_uri", lambda path: f"file://{path}.gone")
    with pytest.raises(OutputError, match=r"it wrote none: .*ERR_FILE_NOT_FOUND"):
        printing.print_page(page, tmp_path / "a.pdf")


def test_titles_in_any_letters_are_known_again(tmp_path: Path) -> None:
    viewing.program()
    for number, title in enumerate(("Ärger", "日本 &lt;b&gt; (a\\b)", "  two   words ")):
        page = tmp_path / f"{number}.html"
        page.write_text(f"<!DOCTYPE html><meta charset='utf-8'><title>{title}</title><p>x", encoding="utf-8")
        printing.print_page(page, tmp_path / f"{number}.pdf")
    assert len(list(tmp_path.glob("*.pdf"))) == 3
