"""The looking glass itself: each helper sees the mistake that it is there for."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

import viewing

HEAD = "<!DOCTYPE html><html lang='en'><head><title>A page</title></head><body><main><h1>A page</h1>"


@pytest.fixture
def page(tmp_path: Path, look: viewing.Look) -> viewing.Look:
    """Opens a page made of a piece of HTML."""

    def made(piece: str) -> viewing.View:
        path = tmp_path / "piece.html"
        path.write_text(f"{HEAD}{piece}</main></body></html>", encoding="utf-8")
        return look(path)

    return made


def test_a_plain_page_is_quiet_and_complete(page: viewing.Look) -> None:
    view = page("<p>Words.</p><p><button>Press</button> <a href='#x'>jump</a></p><table><tr><td>cell</td></tr></table>")
    assert view.noise == []
    assert view.asked == [view.address]
    assert viewing.barriers(view) == []
    assert viewing.controls(view) == 2
    assert viewing.unreached(view) == []
    assert viewing.cut_off(view) == []
    assert viewing.cells(view) == ["cell"]
    assert viewing.printed(view).lacks(["A page", "Words.", "cell"]) == []


@pytest.mark.parametrize(
    ("piece", "told"),
    [
        ("<script>console.error('broken')</script>", "console error: broken"),
        ("<script>console.warn('odd')</script>", "console warning: odd"),
        ("<script>undefined.x</script>", "fault: Cannot read properties of undefined"),
        ("<script>alert('hello')</script>", "dialog: hello"),
        ("<img alt='' src='http://set.invalid/a.png'>", "request: http://set.invalid/a.png"),
        ("<script>fetch('http://set.invalid/b').catch(() => 0)</script>", "request: http://set.invalid/b"),
        ("<link rel='stylesheet' href='other.css'>", "other.css"),
    ],
)
def test_noise_is_heard(page: viewing.Look, piece: str, told: str) -> None:
    view = page(piece)
    view.page.wait_for_timeout(100)
    assert any(told in line for line in view.noise), view.noise


def test_barriers_are_found(page: viewing.Look) -> None:
    told = viewing.barriers(page("<p style='color:#bbb'>pale</p><input>"))
    assert any("color-contrast" in line and "pale" in line for line in told), told
    assert any("label" in line and "<input>" in line for line in told), told
    unsure = viewing.barriers(page("<p style='background:linear-gradient(#000,#fff)'>on what?</p>"))
    assert any("color-contrast" in line for line in unsure), unsure


def test_pale_text_in_a_picture_is_found(page: viewing.Look) -> None:
    """Grey 767676 on white is 4.54 : 1 and 777777 is 4.48 : 1 (WCAG's own technique G18 gives the formula)."""
    piece = (
        "<svg width='300' height='99' role='img' aria-label='A'><rect width='300' height='99' fill='#fff'/>"
        "<rect width='300' height='40' fill='#767676'/><text y='20' fill='{0}'>first</text>"
        "<text y='80' fill='{1}'>second</text></svg>"
    )
    assert viewing.barriers(page(piece.format("#fff", "#767676"))) == []
    told = viewing.barriers(page(piece.format("#fff", "#777777")))
    assert len(told) == 1 and "contrast 4.48 on rgb(255, 255, 255)" in told[0] and "second" in told[0]
    (told,) = viewing.barriers(page(piece.format("#000", "#000").replace("767676", "333")))
    assert "first" in told and "on rgb(51, 51, 51)" in told


def test_controls_that_no_key_reaches_are_found(page: viewing.Look) -> None:
    trap = "<script>document.querySelector('#a').onkeydown = e => e.preventDefault()</script>"
    assert viewing.unreached(page(f"<button id='a'>one</button><button id='b'>two</button>{trap}")) == [
        '<button id="b">two</button>'
    ]
    assert viewing.unreached(page("<input type='date' aria-label='day'><button>after it</button>")) == []
    assert "blind" in str(viewing.unreached(page("<button style='outline:none'>blind</button>")))


@pytest.mark.parametrize(
    ("piece", "told"),
    [
        ("<table><tr><td style='min-width:900px'>wide</td></tr></table>", "beyond the edge: <td"),
        ("<div style='overflow:hidden;width:100px'><p style='width:400px'>long</p></div>", "clipped: <div"),
        ("<figure style='height:1100px'>tall</figure>", "taller than a page: <figure"),
        ("<p style='margin-left:-40px'>left</p>", "beyond the edge: <p"),
    ],
)
def test_what_paper_would_cut_is_found(page: viewing.Look, piece: str, told: str) -> None:
    assert any(told in line for line in viewing.cut_off(page(piece))), told


def test_what_the_print_leaves_out_is_missed(page: viewing.Look) -> None:
    view = page("<style>@media print{#gone{display:none}}@page{size:A5}</style><p id='gone'>Secret.</p><p>Kept.</p>")
    paper = viewing.printed(view)
    assert paper.lacks(["Secret.", "Kept."]) == ["Secret."]
    assert not viewing.is_a4(paper.sizes_mm[0])


def test_a_page_that_is_slow_to_paint_is_seen(tmp_path: Path, browser: Browser) -> None:
    path = tmp_path / "slow.html"
    busy = "<script>for (let n = 0; n < 1.5e9; n++);</script>"  # work, so that processor time tells it too
    path.write_text(f"{HEAD}{busy}<p>late</p></main></body></html>", encoding="utf-8")
    assert viewing.first_paint_s(browser, path, 0.3, tries=1) > 0.3
