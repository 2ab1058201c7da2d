"""The panel: audited and measured back by ezdxf, read as XML, openings that keep apart, the same in both formats."""

from __future__ import annotations

import io
import re
from itertools import pairwise
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


def test_no_opening_is_no_panel() -> None:
    with pytest.raises(ValueError, match="needs an opening"):
        arrange([])
