"""The pictures of a build, opened in a browser by themselves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from playwright.sync_api import Browser

import viewing
from places import TEMPLATES
from rasterport.api import build, load

SETS = ("kestrel", "godwit", "heron")


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every SVG that a build of the three sets writes."""
    out = tmp_path_factory.mktemp("pictures")
    for name in SETS:
        (loaded,) = load(TEMPLATES / f"{name}.toml")
        build(loaded, out, ("svg", "panel"))
    return sorted(out.rglob("*.svg"))


@pytest.fixture(scope="module")
def views(pictures: list[Path], browser: Browser) -> Iterator[dict[Path, viewing.View]]:
    """Each of them in a page of its own."""
    context = browser.new_context()
    yield {path: viewing.opened(context, path) for path in pictures}
    context.close()


def test_there_are_pictures_of_each(pictures: list[Path]) -> None:
    names = {path.name for path in pictures}
    assert {f"{name}.svg" for name in SETS} | {f"{name}.panel.svg" for name in SETS} <= names
    assert {"godwit.2.svg", "godwit.3.svg"} <= names


def test_they_are_well_formed_and_open_quietly(views: dict[Path, viewing.View]) -> None:
    for path, view in views.items():
        assert ElementTree.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"
        assert view.noise == [], path.name
        assert view.asked == [view.address]
        assert view.page.evaluate("document.documentElement.localName") == "svg"
        assert view.page.locator("parsererror").count() == 0
        assert view.page.title()


def test_nothing_is_drawn_beyond_the_sheet(views: dict[Path, viewing.View]) -> None:
    """With the faces of this machine, which are not those that the drawing counted with."""
    for path, view in views.items():
        outside = view.page.evaluate(
            """() => { const s = document.documentElement.getBoundingClientRect();
              const all = [...document.querySelectorAll('path,circle,rect,line,text')];
              if (all.length < 10) return ['hardly anything is drawn'];
              return all.filter(e => { const b = e.getBoundingClientRect();
                return b.left < s.left - .5 || b.top < s.top - .5 || b.right > s.right + .5 || b.bottom > s.bottom + .5
              }).map(e => e.outerHTML.slice(0, 120)) }"""
        )
        assert outside == [], path.name


def test_no_two_texts_stand_on_each_other(views: dict[Path, viewing.View]) -> None:
    for path, view in views.items():
        meeting = view.page.evaluate(
            """() => { const all = [...document.querySelectorAll('text')].map(e => [e, e.getBoundingClientRect()]);
              const found = [];
              for (const [n, [e, a]] of all.entries()) for (const [f, b] of all.slice(n + 1)) {
                const x = Math.min(a.right, b.right) - Math.max(a.left, b.left);
                const y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
                if (x > 1 && y > Math.min(a.height, b.height) / 3) found.push([e.textContent, f.textContent]) }
              return found }"""
        )
        assert meeting == [], path.name
