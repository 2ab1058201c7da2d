"""PDF: which program prints, what is done with what it wrote, and how each way in which it can fail is told.

The programs are stand-ins on PATH; tests/browser/test_paper.py prints with a real browser.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from places import TEMPLATES
from rasterport import printing
from rasterport.emit.paper import paper_page
from rasterport.errors import OutputError
from viewing import paper

PAGE = "<!DOCTYPE html><html lang='en'><head><title>A &amp; (B)</title></head><body>words</body></html>"
HEAD = f"#!{sys.executable}\nimport os, pathlib, re, signal, subprocess, sys, time\n"
TARGET = "target = pathlib.Path(next(a.split('=', 1)[1] for a in sys.argv if a.startswith('--print-to-pdf=')))\n"
WRITE = """
def pdf(title, date):
    body, offsets = b'%PDF-1.4\\n', []
    info = f'<</Title ({title})\\n/CreationDate (D:{date}+01\\'00\\')\\n/ModDate (D:{date}Z)>>'
    page = '<</Type /Page /Parent 3 0 R /MediaBox [0 0 595 842]>>'
    for n, text in enumerate((info, '<</Type /Catalog /Pages 3 0 R>>',
                              '<</Type /Pages /Kids [4 0 R] /Count 1>>', page), 1):
        offsets.append(len(body))
        body += f'{n} 0 obj\\n{text}\\nendobj\\n'.encode()
    at = len(body)
    body += f'xref\\n0 {len(offsets) + 1}\\n0000000000 65535 f \\n'.encode()
    body += b''.join(f'{o:010d} 00000 n \\n'.encode() for o in offsets)
    tail = f'<</Size {len(offsets) + 1} /Root 2 0 R /Info 1 0 R /ID [<{date}AB> <{date}CD>]>>'
    return body + f'trailer\\n{tail}\\nstartxref\\n{at}\\n%%EOF\\n'.encode()
"""
TITLED = r"title = 'A & \\(B\\)'" + "\n"
GOOD = WRITE + TARGET + TITLED + "target.write_bytes(pdf(title, time.time_ns() % 10**13 + 10**13))\n"


@pytest.fixture
def programs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder that is the whole PATH."""
    folder = tmp_path / "programs"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    return folder


@pytest.fixture
def page(tmp_path: Path) -> Path:
    path = tmp_path / "page.html"
    path.write_text(PAGE, encoding="utf-8")
    return path


def stand_in(folder: Path, text: str, name: str = "chromium", head: str = HEAD) -> Path:
    """A program of that name."""
    path = folder / name
    path.write_text(head + text, encoding="utf-8")
    path.chmod(0o755)
    return path


def test_the_same_page_gives_the_same_bytes_at_any_time(programs: Path, page: Path, tmp_path: Path) -> None:
    stand_in(programs, GOOD)
    one, two = (printing.print_page(page, tmp_path / f"{n}.pdf").read_bytes() for n in "ab")
    assert one == two
    assert one.count(b"(D:20000101000000+00'00')") == 1
    assert one.count(b"(D:20000101000000+)") == 1, "as long as it was, so that every offset stays"
    assert b"/ID [<0000000000000000> <0000000000000000>]" in one
    assert len(paper(one).sizes_mm) == 1, "an independent reader, strict, follows the offsets"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.pdf", "b.pdf", "page.html", "programs"]


def test_a_pdf_of_ours_is_written_over_and_no_other(programs: Path, page: Path, tmp_path: Path) -> None:
    stand_in(programs, GOOD)
    pdf = tmp_path / "a.pdf"
    printing.print_page(page, pdf)
    first = printing.printed_from(pdf)
    page.write_text(PAGE.replace("words", "other words"), encoding="utf-8")
    printing.print_page(page, pdf)
    assert printing.printed_from(pdf) not in (None, first), "the seal tells the page"
    ours = pdf.read_bytes()
    for changed in (ours + b"%", ours.replace(b"595", b"596"), b"%PDF-1.4 from elsewhere", b""):
        pdf.write_bytes(changed)
        assert printing.printed_from(pdf) is None
        with pytest.raises(OutputError, match=r"not printed by rasterport or was changed since\.  Move it away"):
            printing.print_page(page, pdf)
        assert pdf.read_bytes() == changed
    assert printing.print_page(page, pdf, overwrite=True).read_bytes() == ours


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("sys.exit('no display')", "it ended with status 1: no display"),
        ("print('dbus/bus.cc: odd', file=sys.stderr)", "chromium must print the page; it wrote none$"),
        ("print('net::ERR_GONE', 'parts at odds', sep=chr(10), file=sys.stderr)", "it wrote none: net::ERR_GONE$"),
        (TARGET + "target.write_bytes(b'<html>')", "it wrote none$"),
        (TARGET + "target.write_bytes(b'%PDF-1.4 cut sho')", "it wrote none$"),
        ("os.kill(os.getpid(), signal.SIGSEGV)", "it ended with status -11$"),
        (GOOD.replace(TITLED, "title = 'Not found'\n"), "it printed something else, as one does that may not read it"),
    ],
    ids=["fails", "nothing", "no page", "no PDF", "half a PDF", "crashes", "another page"],
)
def test_a_program_that_fails_is_one_message(programs: Path, page: Path, tmp_path: Path, text: str, told: str) -> None:
    stand_in(programs, text)
    with pytest.raises(OutputError, match=told) as caught:
        printing.print_page(page, tmp_path / "a.pdf")
    assert "\n" not in str(caught.value)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["page.html", "programs"]


def test_a_program_that_cannot_run_is_one_message(programs: Path, page: Path, tmp_path: Path) -> None:
    stand_in(programs, "", head="")
    (programs / "chromium").write_bytes(b"\x7fELF for another machine")
    with pytest.raises(OutputError, match="chromium must be a program that can run; Exec format error"):
        printing.print_page(page, tmp_path / "a.pdf")


def alive(pid: int) -> bool:
    """Whether a process still works; one that is dead and unmissed does not."""
    stat = Path(f"/proc/{pid}/stat")
    try:
        return stat.read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_a_program_that_hangs_is_stopped_with_all_that_it_started(programs: Path, page: Path, tmp_path: Path) -> None:
    notes = tmp_path / "pids"
    child = f"{[sys.executable, '-c', 'import time; time.sleep(600)']}"
    note = f"pathlib.Path({str(notes)!r}).write_text(f'{{os.getpid()}} {{child.pid}}')"
    stand_in(programs, f"child = subprocess.Popen({child})\n{note}\ntime.sleep(600)\n")
    begun = time.monotonic()
    with pytest.raises(OutputError, match=r"chromium must be done within 3 s; it was stopped"):
        printing.print_page(page, tmp_path / "a.pdf", longest_s=3)
    assert time.monotonic() - begun < 60
    pids = [int(pid) for pid in notes.read_text(encoding="ascii").split()]
    assert len(pids) == 2
    for _ in range(100):
        if not any(alive(pid) for pid in pids):
            break
        time.sleep(0.05)
    assert [pid for pid in pids if alive(pid)] == []


def test_it_has_a_home_though_there_is_none_and_prints_without_head_lines(
    programs: Path, page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", "/nonexistent")
    notes = tmp_path / "notes.json"
    told = "__import__('json').dumps([sys.argv[1:], dict(os.environ)])"
    stand_in(
        programs,
        f"pathlib.Path({str(notes)!r}).write_text({told})\n(pathlib.Path(os.environ['HOME']) / 'x').touch()\n{GOOD}",
    )
    printing.print_page(page, tmp_path / "a.pdf")
    arguments, surroundings = json.loads(notes.read_text(encoding="utf-8"))
    assert {"--headless", "--no-pdf-header-footer", "--host-resolver-rules=MAP * ~NOTFOUND"} <= set(arguments)
    assert arguments[-1] == page.as_uri()
    assert ("--no-sandbox" in arguments) == (os.geteuid() == 0)
    (profile,) = (a.partition("=")[2] for a in arguments if a.startswith("--user-data-dir="))
    assert Path(profile).parent == Path(surroundings["HOME"]) == Path(surroundings["XDG_CACHE_HOME"])
    assert not Path(surroundings["HOME"]).exists(), "nothing stays behind"


def test_a_browser_comes_before_a_converter(programs: Path, page: Path, tmp_path: Path) -> None:
    assert printing.converter() is None
    with pytest.raises(OutputError, match=r"found none of chromium, .*weasyprint\.  Install one \(on Debian: apt inst"):
        printing.print_page(page, tmp_path / "a.pdf")
    other = GOOD.replace(TARGET, "target = pathlib.Path(sys.argv[2])\nassert len(sys.argv) == 3\n")
    stand_in(programs, other, "weasyprint")
    assert printing.print_page(page, tmp_path / "a.pdf").is_file()
    for name in reversed(printing.BROWSERS):
        stand_in(programs, GOOD, name)
        found = printing.converter()
        assert found is not None and found.name == name


def test_a_folder_that_takes_no_file_is_one_message(programs: Path, page: Path, tmp_path: Path) -> None:
    stand_in(programs, GOOD)
    with pytest.raises(OutputError, match=r"no PDF; .*a\.pdf\.new cannot be used: No such file or directory"):
        printing.print_page(page, tmp_path / "missing" / "a.pdf")
    with pytest.raises(OutputError, match="must be a file that can be written; found a folder"):
        printing.print_page(page, programs)


def drawing(wide: str = "297", high: str = "210") -> str:
    return f'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm"></svg>'


def test_a_page_is_the_sheet_with_every_section_open_and_then_the_drawings() -> None:
    sheet = "<html><head><title>t</title></head><body><details class='x'><p>&lt;details></p></details></body></html>"
    made = paper_page("t", sheet + "\n", [drawing(), drawing("420", "297"), drawing()])
    assert "<details open class='x'><p>&lt;details></p></details>" in made
    assert made.index("</details>") < made.index("<svg") < made.index("</body></html>")
    assert made.count("<svg") == 3 and "<?xml" not in made
    assert made.count("@page leaf-297x210{size:297mm 210mm;margin:0}") == 1
    assert made.count("@page leaf-420x297{size:420mm 297mm;margin:0}") == 1
    opened = "<html><head></head><body><details open><p>x</p></details></body></html>"
    assert paper_page("t", opened, []).count("open") == 1
    with pytest.raises(ValueError, match="width and height in millimetres"):
        paper_page("t", "", ["<svg/>"])


def rasterport(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The program, in a folder of its own."""
    command = [sys.executable, "-X", "utf8", "-m", "rasterport", *arguments]
    return subprocess.run(command, cwd=folder, capture_output=True, encoding="utf-8", check=False)


HERON = str(TEMPLATES / "heron.toml")
PRINTING = GOOD.replace(TITLED, "title = re.search('<title>(.*?)<', open(sys.argv[-1][7:]).read())[1]\n")


def test_without_a_program_a_build_is_a_build_and_says_what_to_install(programs: Path, tmp_path: Path) -> None:
    done = rasterport(tmp_path, "build", HERON, "--only", "svg", "--pdf")
    assert done.returncode == 2, "as of every PDF that was asked for and is not there"
    assert "no PDF: there must be a program on PATH that prints pages" in done.stderr
    assert "apt install chromium" in done.stderr
    assert sorted(p.name for p in (tmp_path / "out" / "heron").iterdir()) == ["heron.svg", "manifest.json"]
    survey = rasterport(tmp_path, "survey", "--pdf", "survey.pdf")
    assert survey.returncode == 2 and survey.stdout == ""
    assert "apt install chromium" in survey.stderr and "Traceback" not in survey.stderr


def test_a_pdf_lies_beside_the_results_and_not_in_the_manifest(programs: Path, tmp_path: Path) -> None:
    stand_in(programs, PRINTING)
    folder = tmp_path / "out" / "heron"
    done = rasterport(tmp_path, "build", HERON, "--only", "svg", "--pdf")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith(
        f"{Path('out', 'heron', 'heron.pdf')} printed, without bench sheet and panel drawing, which --only left out\n"
    )
    assert sorted(p.name for p in folder.iterdir()) == ["heron.pdf", "heron.svg", "manifest.json"]
    assert "pdf" not in (folder / "manifest.json").read_text(encoding="utf-8")
    before = (folder / "heron.pdf").read_bytes()

    again = rasterport(tmp_path, "build", HERON, "--only", "svg")
    assert (again.returncode, again.stderr) == (0, ""), "it shows what was built"

    text = Path(HERON).read_text(encoding="utf-8").replace('title = "Heron', 'title = "Another heron')
    (tmp_path / "heron.toml").write_text(text, encoding="utf-8")
    other = rasterport(tmp_path, "build", "heron.toml", "--only", "svg")
    assert other.returncode == 0
    assert "heron.pdf is out of date: it was printed from an earlier build" in other.stderr
    assert (folder / "heron.pdf").read_bytes() == before, "a build leaves it alone"

    anew = rasterport(tmp_path, "build", "heron.toml", "--only", "svg", "--pdf")
    assert (anew.returncode, anew.stderr) == (0, "")
    assert (folder / "heron.pdf").read_bytes() != before

    (folder / "heron.pdf").write_bytes(b"my own notes")
    kept = rasterport(tmp_path, "build", "heron.toml", "--only", "svg", "--pdf")
    assert kept.returncode == 2
    assert "heron.pdf must be as it was printed, or not be there" in kept.stderr
    assert (folder / "heron.pdf").read_bytes() == b"my own notes"
    assert rasterport(tmp_path, "build", "heron.toml", "--only", "svg", "--pdf", "--overwrite").returncode == 0
    assert (folder / "heron.pdf").read_bytes().startswith(b"%PDF-")


def test_a_program_that_fails_ends_a_build_with_one_message_and_its_files(programs: Path, tmp_path: Path) -> None:
    stand_in(programs, "sys.exit('no display')")
    done = rasterport(tmp_path, "build", HERON, "--only", "svg", "--pdf")
    assert done.returncode == 2
    assert done.stderr == "no PDF: chromium must print the page; it ended with status 1: no display\n"
    assert (tmp_path / "out" / "heron" / "heron.svg").is_file()


def test_a_build_without_pictures_has_nothing_to_print(programs: Path, tmp_path: Path) -> None:
    done = rasterport(tmp_path, "build", HERON, "--only", "bom", "--pdf")
    assert done.returncode == 2
    assert "no PDF; bench sheet or drawing must be built for it: leave out --only" in done.stderr


def test_the_survey_is_printed_once_and_never_over_a_file(programs: Path, tmp_path: Path) -> None:
    stand_in(programs, PRINTING)
    assert rasterport(tmp_path, "survey", "--pdf", "s.pdf").stdout == "s.pdf written\n"
    for content in ((tmp_path / "s.pdf").read_bytes(), b"mine"):
        (tmp_path / "s.pdf").write_bytes(content)
        again = rasterport(tmp_path, "survey", "--pdf", "s.pdf")
        assert (again.returncode, again.stderr) == (2, "s.pdf must not be there yet; it is left as it is\n")
        assert (tmp_path / "s.pdf").read_bytes() == content
    both = rasterport(tmp_path, "survey", "--html", "--pdf", "t.pdf")
    assert (both.returncode, both.stdout) == (2, "") and "one of them" in both.stderr
    assert not (tmp_path / "t.pdf").exists()
