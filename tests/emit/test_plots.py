"""Plots: ticks that are round, words that meet nothing, every limit there, the same picture on every machine."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from making import TEMPLATE_NAMES, bench, judged_on
from rasterport.analysis.curves import curves
from rasterport.analysis.margins import margins
from rasterport.analysis.windows import blanking_window, status_windows
from rasterport.emit.page import document
from rasterport.emit.plots.bars import bars_svg, in_parts, wrapped
from rasterport.emit.plots.lines import plot_svg
from rasterport.emit.plots.scales import Axis, covering, decades, inside, labels
from rasterport.emit.plots.style import STYLE
from rasterport.records import Bar, Bars, Curve

LETTER, RISE, FALL = 0.602, 0.73, 0.2
"""Of a monospaced face by its size: advance of a letter (DejaVu Sans Mono, 1233 of 2048), capitals, descenders."""
LEAST_PX, NARROW_PX = 9.0, 340.0
"""Letters are this high where a picture is this wide."""
MOST_BYTES = 120_000
Rect = tuple[float, float, float, float]


@cache
def drawn(name: str) -> tuple[tuple[Curve | Bars, str], ...]:
    """Every plot of a template with its record."""
    figures = bench(name).figures
    window = blanking_window(figures)
    assert window is not None
    bars = (window, *status_windows(figures), margins(figures, judged_on(name)))
    return (*((c, plot_svg(c)) for c in curves(figures)), *((b, bars_svg(b)) for b in bars))


def size() -> float:
    """Height of letters, from the style."""
    found = re.search(r"\.plot text\{font:([\d.]+)px", STYLE)
    assert found is not None
    return float(found[1])


@dataclass
class Seen:
    """A picture as a reader has it: its size, words with their boxes, paths with their points."""

    width: float
    height: float
    words: list[tuple[str, Rect]]
    paths: list[tuple[str, list[tuple[float, float]]]]


def read(svg: str) -> Seen:
    root = ElementTree.fromstring(svg)
    left, top, width, height = (float(v) for v in root.attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    words, letter = [], size()
    for text in root.iter("text"):
        told, x, y = str(text.text), float(text.attrib["x"]), float(text.attrib["y"])
        wide = LETTER * letter * len(told)
        x -= {"start": 0.0, "middle": wide / 2, "end": wide}[text.attrib.get("text-anchor", "start")]
        words.append((told, (x, y - RISE * letter, x + wide, y + FALL * letter)))
    paths = []
    for path in root.iter("path"):
        points = [tuple(map(float, p.split())) for p in path.attrib["d"].strip("MZ").split("L")]
        paths.append((path.attrib["class"], [(x, y) for x, y in points]))
    return Seen(width, height, words, paths)


def clashes(seen: Seen) -> list[tuple[str, str]]:
    """Words that overlap, or leave the picture."""
    found = [(a, b) for (a, p), (b, q) in combinations(seen.words, 2) if overlap(p, q)]
    for told, (x1, y1, x2, y2) in seen.words:
        if x1 < -0.5 or y1 < -0.5 or x2 > seen.width + 0.5 or y2 > seen.height + 0.5:
            found.append((told, "edge"))
    return found


def overlap(a: Rect, b: Rect) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_words_meet_and_none_leave_the_picture(name: str) -> None:
    for record, svg in drawn(name):
        seen = read(svg)
        assert clashes(seen) == [], record.key
        assert len(seen.words) > 4


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_limit_and_every_name_is_there(name: str) -> None:
    for record, svg in drawn(name):
        words = [told for told, _ in read(svg).words]
        wanted = [told for told, _ in record.limits]
        if isinstance(record, Curve):
            wanted += [told for told, _ in record.marks] + [told for told, _, _ in record.corners]
            wanted += [told for told, _ in record.lines] + [record.band_words]
            assert {kind for kind, _ in read(svg).paths} >= {"nominal", "band"}
        else:
            wanted += [bar.told for bar in record.bars]
            wrapped_words = [
                str(t.text) for t in ElementTree.fromstring(svg).iter("text") if "text-anchor" not in t.attrib
            ]
            assert squeezed("".join(bar.words for bar in record.bars)) in squeezed("".join(wrapped_words))
        for told in wanted:
            assert words.count(told) >= wanted.count(told), (record.key, told)


def squeezed(text: str) -> str:
    """Without spaces: a line may end at one."""
    return re.sub(r"\s", "", text)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_picture_says_what_it_shows_and_takes_no_identifier(name: str) -> None:
    for record, svg in drawn(name):
        root = ElementTree.fromstring(svg)
        assert root.tag == "svg" and root.attrib["role"] == "img"
        assert record.says in root.attrib["aria-label"] and record.title in root.attrib["aria-label"]
        title = root.find("title")
        assert title is not None and title.text == record.says
        assert "id=" not in svg and "url(" not in svg and "style=" not in svg and "http" not in svg


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_all_plots_of_a_board_are_small(name: str) -> None:
    assert sum(len(svg.encode()) for _, svg in drawn(name)) < MOST_BYTES


def test_letters_are_large_enough_on_a_narrow_screen() -> None:
    (width,) = {read(svg).width for _, svg in drawn("kestrel")}
    assert size() * NARROW_PX / width >= LEAST_PX


def test_what_is_drawn_has_a_style_and_the_other_way_round() -> None:
    """Words and lines of every kind; a kind that no picture of any template uses is none."""
    used: set[str] = set()
    for name in TEMPLATE_NAMES:
        for _, svg in drawn(name):
            used |= {kind for classes in re.findall(r'class="([^"]+)"', svg) for kind in classes.split()}
    styled = set(re.findall(r"\.plot \.(\w+)\{", STYLE))
    assert styled - used == {"other"}  # no curve has a second line yet
    assert used - styled <= {"plot", "frame"}
    assert "#" not in re.sub(r"--plot-\w+:[^;}]+", "", STYLE)  # colours in variables alone


def test_colours_are_known_by_day_by_night_and_on_paper() -> None:
    day = set(re.findall(r"(--plot-\w+):#", STYLE.partition("@media")[0]))
    night = set(re.findall(r"(--plot-\w+):#", STYLE.partition("dark")[2].partition("@media print")[0]))
    paper = set(re.findall(r"(--plot-\w+):#", STYLE.partition("@media print")[2]))
    assert day == night == paper and len(day) == 4


def test_lines_differ_without_their_colours() -> None:
    """By dashes or by their width: what black print shows."""
    kinds = ("nominal", "other", "edge", "limit", "mark")
    looks = set()
    for kind in kinds:
        rule = re.search(rf"\.plot \.{kind}\{{([^}}]*)\}}", STYLE)
        assert rule is not None
        looks.add(re.sub(r"stroke:[^;]+;?", "", rule[1]))
    assert len(looks) == len(kinds)


CURVE = Curve(
    "level", "a level", "red", "input-1", "frequency", "Hz", "level", "V",
    (1e5, 1e6, 1e7), (("nominal", (0.7, 0.65, 0.3)),), (("limit", 0.5),), "It falls.", True,
    ((0.6, 0.55, 0.2), (0.8, 0.7, 0.4)), "corners",
)  # fmt: skip


def test_a_line_lies_where_its_values_are() -> None:
    """0.2 to 0.8 V: ticks from 0.2 to 0.8, the frame 150 high; three decades' ends at the edges."""
    seen = read(plot_svg(CURVE))
    lines = dict(seen.paths)
    frame, nominal, limit = lines["frame"], lines["nominal"], lines["limit"]
    (left, top), (_, bottom), (right, _) = frame
    assert [x for x, _ in nominal] == pytest.approx([left, (left + right) / 2, right], abs=0.02)
    assert [y for _, y in nominal] == pytest.approx(
        [bottom - (v - 0.2) / 0.6 * (bottom - top) for v in (0.7, 0.65, 0.3)], abs=0.02
    )
    assert [y for _, y in limit] == pytest.approx([bottom - 0.5 * (bottom - top)] * 2, abs=0.02)
    band = lines["band"]
    assert len(band) == 6 and min(y for _, y in band) == pytest.approx(top, abs=0.02)


def test_a_bar_lies_where_its_values_are() -> None:
    bars = Bars(
        "w", "a window", "", "", "at the pin", "V",
        (Bar("on", "1 to 2 V", 1.0, 2.0, 1.5), Bar("off", "5 V", 0.0, 5.0, None, (3.0,), "error")),
        (("maximum", 3.0),), (0.0, 4.0), "On.",
    )  # fmt: skip
    seen = read(bars_svg(bars))
    lines = dict(seen.paths)
    (left, _), (right, _) = lines["frame"]
    at = Axis(0.0, 4.0, left, right).at
    assert [x for x, _ in lines["bar"]] == pytest.approx([at(1), at(2), at(2), at(1)], abs=0.02)
    assert [x for x, _ in lines["middle"]] == pytest.approx([at(1.5)] * 2, abs=0.02)
    first = next(points for kind, points in seen.paths if kind == "tick")
    assert [x for x, _ in (*first, *lines["limit"])] == pytest.approx([at(3)] * 4, abs=0.02)
    assert max(x for x, _ in lines["beyond"]) > right  # an arrow where a bar is cut off
    assert len(lines["beyond"]) == 5
    assert clashes(seen) == []


def test_words_that_overlap_are_seen() -> None:
    svg = str(plot_svg(CURVE))
    assert clashes(read(svg)) == []
    places = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" class="on', svg)
    assert len(set(places)) >= 3
    (x1, y1), (x2, y2) = places[0], places[1]
    moved = svg.replace(f'<text x="{x2}" y="{y2}"', f'<text x="{x1}" y="{y1}"')
    assert moved != svg and clashes(read(moved)) != []
    out = svg.replace(f'<text x="{x2}" y="{y2}"', f'<text x="{x2}" y="-20"')
    assert [b for _, b in clashes(read(out))] == ["edge"]


def test_words_without_room_stand_below() -> None:
    crowd = tuple((f"limit number {n} of many that lie close", 0.5 + 0.001 * n) for n in range(40))
    seen = read(plot_svg(replace(CURVE, limits=crowd)))
    assert clashes(seen) == []
    told = [words for words, _ in seen.words]
    assert all(told.count(words) == 1 for words, _ in crowd)
    assert seen.height > read(plot_svg(CURVE)).height


@pytest.mark.parametrize("name", ["kestrel", "godwit"])
def test_bars_in_parts_are_all_there_and_fit_on_paper(name: str) -> None:
    """A4 less its margins is 1032 px high; a picture is at most 1.1 times its own size."""
    whole = next(r for r, _ in drawn(name) if r.key == "margins")
    assert isinstance(whole, Bars)
    parts = in_parts(whole)
    assert len(parts) > 1 and tuple(bar for part in parts for bar in part.bars) == whole.bars
    assert [part.left_out for part in parts] == [""] * (len(parts) - 1) + [whole.left_out]
    assert len({part.key for part in parts}) == len({part.title for part in parts}) == len(parts)
    for part in parts:
        seen = read(bars_svg(part))
        assert clashes(seen) == [] and seen.height * 1.1 < 1032
    assert in_parts(replace(whole, bars=whole.bars[:18])) == (replace(whole, bars=whole.bars[:18]),)


def test_markup_in_words_stays_words() -> None:
    odd = '<script>alert("&")</script>'
    svg = plot_svg(replace(CURVE, title=odd, says=odd, lines=((odd, CURVE.lines[0][1]),)))
    assert "<script" not in svg and odd in [w for w, _ in read(svg).words]
    svg = bars_svg(Bars("b", odd, "", "", odd, "V", (Bar(odd, odd, 0, 1),), ((odd, 1.0),), (0.0, 1.0), odd))
    assert "<script" not in svg
    assert "<script" not in document("plots", svg, style=STYLE)


def shaken(curve: Curve, by: float) -> Curve:
    """A curve as another processor has it."""

    def moved(values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(v * (1 + by * (-1) ** n) for n, v in enumerate(values))

    band = None if curve.band is None else (moved(curve.band[0]), moved(curve.band[1]))
    lines = tuple((name, moved(y)) for name, y in curve.lines)
    limits = tuple((name, v * (1 + by)) for name, v in curve.limits)
    corners = tuple((name, x * (1 + by), y * (1 - by)) for name, x, y in curve.corners)
    return replace(curve, x=moved(curve.x), lines=lines, band=band, limits=limits, corners=corners)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_last_bits_of_a_processor_do_not_show(name: str) -> None:
    for record, svg in drawn(name):
        if isinstance(record, Curve):
            assert plot_svg(shaken(record, 1e-13)) == svg
            assert plot_svg(shaken(record, 1e-2)) != svg  # what is more does
        else:
            bars = tuple(replace(b, low=b.low * (1 - 1e-13), high=b.high * (1 + 1e-13)) for b in record.bars)
            assert bars_svg(replace(record, bars=bars)) == svg


numbers = st.floats(-1e12, 1e12, allow_nan=False).filter(lambda v: v == 0 or abs(v) > 1e-12)


def is_round(step: float) -> bool:
    """1, 2 or 5 times a power of ten."""
    return f"{step:.9e}"[0] in "125" and float(f"{step:.9e}".split("e")[0]) in (1.0, 2.0, 5.0)


@given(numbers, numbers)
def test_ticks_cover_are_round_and_neither_few_nor_many(a: float, b: float) -> None:
    low, high = min(a, b), max(a, b)
    ticks = covering(low, high)
    assert 3 <= len(ticks) <= 8
    steps = [y - x for x, y in pairwise(ticks)]
    least = 1e-9 * max(abs(t) for t in ticks)
    assert max(steps) - min(steps) <= least
    assert is_round(float(f"{steps[0]:.6e}")) or least > 1e-7 * steps[0]
    assert all(abs(t / steps[0] - round(t / steps[0])) < 1e-6 * max(1.0, abs(t / steps[0])) for t in ticks)
    slack = 6e-4 * max(abs(low), abs(high))  # values are written with four digits
    assert ticks[0] <= low + slack and ticks[-1] >= high - slack
    if high - low > 10 * slack:  # none too many: without its ends it would not cover
        assert ticks[1] > low - slack and ticks[-2] < high + slack
        among = inside(low, high)
        assert 2 <= len(among) <= len(ticks) and set(among) <= set(ticks)


@given(st.floats(1e-9, 1e9), st.floats(10.0, 1e15))
def test_ticks_of_a_logarithmic_axis_lie_between_its_ends(low: float, ratio: float) -> None:
    high = low * ratio
    ticks = decades(low, high)
    assert 3 <= len(ticks) <= 8
    assert all(low * (1 - 1e-9) <= t <= high * (1 + 1e-9) for t in ticks)
    assert all(is_round(t) for t in ticks) and list(ticks) == sorted(set(ticks))
    if ratio > 1000:
        assert all(math.isclose(math.log10(t), round(math.log10(t)), abs_tol=1e-9) for t in ticks)


@given(numbers, numbers, numbers)
def test_places_keep_the_order_of_values(a: float, b: float, c: float) -> None:
    low, middle, high = sorted((a, b, c))
    assume(high - low > 1e-3 * max(abs(low), abs(high)))
    axis = Axis(low, high, 300.0, 100.0)
    assert (axis.at(low), axis.at(high)) == (300.0, 100.0)
    assert 300.0 >= axis.at(middle) >= 100.0


def test_ticks_by_hand() -> None:
    assert covering(0, 1) == (0, 0.2, 0.4, 0.6, 0.8, 1.0)
    assert covering(-6, 1) == (-6, -5, -4, -3, -2, -1, 0, 1)
    assert covering(0.13, 0.77) == (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
    assert covering(3, 3) == (1.5, 2, 2.5, 3, 3.5, 4, 4.5)
    assert decades(1e5, 1e8) == (1e5, 1e6, 1e7, 1e8)
    assert decades(3, 60) == (5, 10, 20, 50)
    assert inside(-2.4, 0.4) == (-2.0, -1.5, -1.0, -0.5, 0.0)
    assert labels((0.0, 2e-5, 4e-5), "s") == ("µs", ("0", "20", "40"))
    assert labels((0.0, 0.1, 0.2), "V") == ("V", ("0", "0.1", "0.2"))
    for low, high in ((2, 1), (math.nan, 1), (0, math.inf)):
        with pytest.raises(ValueError, match=r"goes from low|must be finite|written must be"):
            covering(low, high)
    with pytest.raises(ValueError, match="above 0"):
        decades(0, 1)


@given(st.lists(st.text("abcde", min_size=1, max_size=90), max_size=12), st.floats(60, 400))
def test_wrapped_words_are_all_there_and_no_wider(words: list[str], width: float) -> None:
    lines = wrapped(" ".join(words), width)
    assert "".join("".join(lines).split()) == "".join(words)
    assert all(0.605 * 10.5 * len(line) <= width for line in lines)
