"""The panel: audited and measured back by ezdxf, read as XML, openings that keep apart, the same in both formats."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf import bbox
from hypothesis import given
from hypothesis import strategies as st

from making import TEMPLATE_NAMES, composed, template
from rasterport.blocks.panel_openings import openings
from rasterport.circuit import compose
from rasterport.design.panel import EDGE_MM, GAP_MM, ROW_MM, arrange
from rasterport.emit.panel_dxf import panel_dxf
from rasterport.emit.panel_svg import panel_svg
from rasterport.records import Opening, Panel

SVG = "{http://www.w3.org/2000/svg}"
WITH = [name for name in TEMPLATE_NAMES if openings(composed(name))]
Shape = tuple[str, float, float, float, float]
"""Kind, centre from the upper left corner, width and height: a hole has its diameter twice."""


def panel(name: str) -> Panel:
    return arrange(openings(composed(name)))


def shapes(made: Panel) -> list[Shape]:
    """What must be cut, from the openings themselves."""
    found: list[Shape] = []
    for p in made.placed:
        o = p.opening
        size = (o.hole_mm, o.hole_mm) if o.hole_mm else (o.width_mm, o.height_mm)
        found.append(("cut", p.x_mm, p.y_mm, *size))
        found += [("screw", x, y, o.fixing_hole_mm, o.fixing_hole_mm) for x, y in p.screws]
    return sorted((kind, *(round(v, 2) for v in values)) for kind, *values in found)  # type: ignore[misc]


def assert_same(found: list[Shape], made: Panel) -> None:
    """Every opening is there, within a hundredth of a millimetre."""
    read = sorted((k, *(round(v, 2) for v in values)) for k, *values in found)
    wanted = shapes(made)
    assert [row[0] for row in read] == [row[0] for row in wanted]
    for a, b in zip(read, wanted, strict=True):
        assert a[1:] == pytest.approx(b[1:], abs=0.011)


def test_sockets_and_switch_come_through_and_no_lead_does() -> None:
    """Kestrel: a socket on the board's edge and a switch; pipit: a lead and a switch; osprey's rear: by its parts."""
    assert [o.ref for o in openings(compose(template("kestrel")))] == ["J101", "S1"]
    assert [o.ref for o in openings(compose(template("pipit")))] == ["S1"]
    assert len(openings(compose(template("godwit")))) == 5 + 1 + 4 + 4 + 1
    assert len(WITH) > 8


@pytest.mark.parametrize("name", WITH)
def test_dxf_has_no_fault_and_measures_back(name: str) -> None:
    made = panel(name)
    drawing = ezdxf.read(io.StringIO(panel_dxf(made, "T")))
    audit = drawing.audit()
    assert not audit.errors and not audit.fixes
    assert drawing.header["$INSUNITS"] == 4, "millimetres"
    space = drawing.modelspace()
    found: list[Shape] = []
    for kind, layer in (("cut", "CUT"), ("screw", "SCREW")):
        for entity in space.query(f'*[layer=="{layer}"]'):
            box = bbox.extents([entity], fast=False)
            centre, size = box.center, box.size
            found.append((kind, centre.x, made.height_mm - centre.y, size.x, size.y))
    assert_same(found, made)
    (line,) = space.query('LINE[layer=="SCALE"]')
    assert line.dxf.start.distance(line.dxf.end) == 50.0
    edge = bbox.extents(space.query('*[layer=="EDGE"]'))
    assert (edge.size.x, edge.size.y) == pytest.approx((made.width_mm, made.height_mm))


def number(element: ElementTree.Element, key: str) -> float:
    return float(element.get(key, "0"))


@pytest.mark.parametrize("name", WITH)
def test_svg_is_one_to_one_and_shows_the_same(name: str) -> None:
    made = panel(name)
    root = ElementTree.fromstring(panel_svg(made, "T"))
    wide, high = (float(str(root.get(k)).removesuffix("mm")) for k in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {wide:g} {high:g}", "one unit is a millimetre"
    assert made.width_mm < wide and made.height_mm < high
    found: list[Shape] = []
    for e in root.iter():
        kind = e.get("class", "")
        if kind in ("cut", "screw") and e.tag == f"{SVG}circle":
            found.append((kind, number(e, "cx"), number(e, "cy"), 2 * number(e, "r"), 2 * number(e, "r")))
        elif kind == "cut":
            w, h = number(e, "width"), number(e, "height")
            found.append((kind, number(e, "x") + w / 2, number(e, "y") + h / 2, w, h))
    assert_same(found, made)
    (scale,) = (e for e in root.iter() if e.get("class") == "scale")
    match = re.match(r"M0 [\d.]+H([\d.]+)", str(scale.get("d")))
    assert match and float(match[1]) == 50.0
    text = " ".join(root.itertext())
    assert "measure your part" in text and all(p.opening.ref in text for p in made.placed)


def test_titles_stay_text() -> None:
    made = panel("kestrel")
    title = '<script>&"</svg>'
    root = ElementTree.fromstring(panel_svg(made, title, "NOT <b>"))
    assert title in list(root.itertext()) and "NOT <b>" in list(root.itertext())
    drawing = ezdxf.read(io.StringIO(panel_dxf(made, title)))
    assert title in {t.dxf.text for t in drawing.modelspace().query("TEXT")}


TITLES = [
    "W" * 110,
    "W" * 9000,
    "a word of a title that does not end so soon " * 6,
    "\u6771\u4eac" * 60,
    "two\nlines of it",
    "x",
]


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("name", ["kestrel", "dunlin"])
def test_words_at_the_foot_stay_on_the_sheet_and_none_is_lost(name: str, title: str) -> None:
    """Letters are 0.605 of their height wide, those of East Asia twice that; the scale stands below all of them."""
    made = panel(name)
    root = ElementTree.fromstring(panel_svg(made, title, f"NOT TO BE BUILT {title}"))
    wide, high = (float(str(root.get(k)).removesuffix("mm")) for k in ("width", "height"))
    (foot,) = (g for g in root.iter(f"{SVG}g") if g.get("font-family") == "monospace")
    found = re.match(r"translate\(([\d.]+) ([\d.]+)\)", str(foot.get("transform")))
    assert found is not None
    left, top = float(found[1]), float(found[2])
    lines = [t for t in foot.iter(f"{SVG}text") if t.text != "50 mm"]
    size = float(str(foot.get("font-size")))
    for line in lines:
        places = len(str(line.text)) + sum(not c.isascii() for c in str(line.text))
        assert left + places * size * 0.605 <= wide - left + 0.5, line.text
    assert [number(line, "y") for line in lines] == [4.0 * n for n in range(len(lines))]
    (scale,) = (e for e in foot.iter() if e.get("class") == "scale")
    at = float(str(scale.get("d")).split("H")[0].split()[1])
    assert at > number(lines[-1], "y") and top + at + 1.5 < high
    assert "".join("".join(str(t.text) for t in lines).split()).startswith("".join(title.split()))
    drawing = ezdxf.read(io.StringIO(panel_dxf(made, title)))
    assert " ".join(title.split()) in {t.dxf.text for t in drawing.modelspace().query("TEXT")}


def test_metal_that_a_saw_would_tear_is_said_in_both_drawings() -> None:
    """21 contacts: (52.83 - 48 - 3.2) / 2 mm; a switch has no screw beside it."""
    made = panel("kestrel")
    assert [p.opening.web_mm for p in made.placed] == [0.815, None]
    note = (
        "0.81 mm of metal stays between cut-out and screw holes of J101: drill first, saw inside the line, file to it."
    )
    drawing = ezdxf.read(io.StringIO(panel_dxf(made, "T")))
    assert note in {t.dxf.text for t in drawing.modelspace().query("TEXT")}
    assert note in " ".join(ElementTree.fromstring(panel_svg(made, "T")).itertext())
    wide = replace(made.placed[0], opening=replace(made.placed[0].opening, fixing_spacing_mm=56.0))
    assert "metal stays" not in panel_svg(replace(made, placed=(wide,)), "T")


ANY = st.builds(
    Opening, ref=st.just("J1"), words=st.just("w"), plug_width_mm=st.floats(5, 60), plug_height_mm=st.floats(5, 30),
    hole_mm=st.sampled_from([0.0, 6.5, 9.7]), width_mm=st.floats(5, 50), height_mm=st.floats(5, 20),
    fixing_spacing_mm=st.sampled_from([0.0, 25.0, 52.83]), fixing_hole_mm=st.just(3.2),
)  # fmt: skip


@given(st.lists(ANY, min_size=1, max_size=20))
def test_plugs_keep_apart_and_stay_on_the_panel(some: list[Opening]) -> None:
    made = arrange(some)
    boxes = []
    for p in made.placed:
        wide, high = p.opening.room_mm
        box = (p.x_mm - wide / 2, p.y_mm - high / 2, p.x_mm + wide / 2, p.y_mm + high / 2)
        assert box[0] >= EDGE_MM - 0.01 and box[2] <= made.width_mm - EDGE_MM + 0.01
        assert box[1] >= EDGE_MM - 0.01 and box[3] <= made.height_mm - EDGE_MM + 0.01
        boxes.append(box)
    for n, a in enumerate(boxes):
        for b in boxes[n + 1 :]:
            across = max(a[0], b[0]) - min(a[2], b[2])
            down = max(a[1], b[1]) - min(a[3], b[3])
            assert max(across, down) >= GAP_MM - 0.01
    assert made.width_mm <= max(ROW_MM, *(o.room_mm[0] for o in some)) + 2 * EDGE_MM + 0.01
    assert all(a.y_mm <= b.y_mm or a.x_mm < b.x_mm for a, b in pairwise(made.placed))


def drawn(folder: Path, code: str, **surroundings: str) -> str:
    """What a process of its own prints that has `digest()`, the digest of kestrel's drawing, at hand."""
    script = (
        "import sys\nfrom hashlib import sha256\nfrom making import composed\n"
        "from rasterport.blocks.panel_openings import openings\nfrom rasterport.design.panel import arrange\n"
        "from rasterport.emit.panel_dxf import panel_dxf\n"
        "def digest(): return sha256(panel_dxf(arrange(openings(composed('kestrel'))), 'T').encode()).hexdigest()\n"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path)), **surroundings}
    command = [sys.executable, "-c", script + code]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_library_reads_no_configuration_and_keeps_no_list_of_fonts(tmp_path: Path) -> None:
    """Neither of the working folder nor of home nor named in the environment, each of which would end the build."""
    for folder in (tmp_path, tmp_path / ".config" / "ezdxf"):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "ezdxf.ini").write_text("no section\n", encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    odd = {"HOME": str(tmp_path), "EZDXF_CONFIG_FILE": "n" * 5000, "EZDXF_DISABLE_C_EXT": "1"}
    gone = {"XDG_CONFIG_HOME": "", "XDG_CACHE_HOME": ""}
    told = drawn(
        tmp_path, "import os\nold = dict(os.environ)\nprint(digest())\nassert old == dict(os.environ)", **odd, **gone
    )
    assert told == sha256(panel_dxf(panel("kestrel"), "T").encode()).hexdigest()
    assert sorted(tmp_path.rglob("*")) == before, "nothing is left at home"


def test_who_uses_the_library_too_keeps_his_options(tmp_path: Path) -> None:
    (tmp_path / "ezdxf.ini").write_text("[core]\nDEFAULT_DIMENSION_TEXT_STYLE = mine\n", encoding="utf-8")
    his = "ezdxf.options.default_dimension_text_style, ezdxf.options.write_fixed_meta_data_for_testing"
    told = drawn(tmp_path, f"import ezdxf\nprint(digest())\nprint({his})")
    digest, kept = told.splitlines()
    assert digest == sha256(panel_dxf(panel("kestrel"), "T").encode()).hexdigest()
    assert kept == "mine False"
    after = drawn(
        tmp_path, "digest()\nfrom configparser import ConfigParser\nprint(ConfigParser().read(['ezdxf.ini']))"
    )
    assert after == "['ezdxf.ini']", "others read what they like"


def test_no_opening_is_no_panel() -> None:
    with pytest.raises(ValueError, match="needs an opening"):
        arrange([])
