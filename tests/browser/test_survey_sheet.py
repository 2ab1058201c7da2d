"""The survey sheet in a browser: by day and night, on paper, without a mouse, without a network."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from playwright.sync_api import Browser

import viewing
from rasterport.emit.survey import CAUTIONS, STEPS, TITLE, stage_of
from rasterport.emit.survey_page import survey_page
from rasterport.variant.fields import Stage
from rasterport.variant.keys import heading, keys

FIRST_PAINT_S, LARGEST_BYTES = 0.3, 1_000_000
"""What was asked for."""


@pytest.fixture(scope="module")
def survey(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("survey") / "survey.html"
    path.write_text(survey_page(), encoding="utf-8")
    return path


def test_it_opens_quietly_and_fetches_nothing(survey: Path, look: viewing.Look) -> None:
    view = look(survey)
    assert view.noise == []
    assert view.asked == [view.address]
    assert view.page.title().startswith("Rasterport survey")


@pytest.mark.parametrize("scheme", viewing.SCHEMES)
def test_everybody_can_read_it(survey: Path, look: viewing.Look, scheme: str) -> None:
    view = look(survey, scheme)
    paper = view.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == {"light": "rgb(255, 255, 255)", "dark": "rgb(20, 24, 29)"}[scheme]
    assert viewing.barriers(view, viewing.SCHEMES[scheme]) == []
    assert viewing.unreached(view) == []


def test_it_is_small_and_quick(survey: Path, browser: Browser) -> None:
    assert survey.stat().st_size < LARGEST_BYTES
    assert viewing.first_paint_s(browser, survey, FIRST_PAINT_S) < FIRST_PAINT_S


def test_a_narrow_window_needs_no_scrolling_sideways(survey: Path, look: viewing.Look) -> None:
    """WCAG 2.2, 1.4.10: 320 px, though tables may scroll."""
    view = look(survey)
    view.page.set_viewport_size({"width": 320, "height": 640})
    assert view.page.evaluate("document.documentElement.scrollWidth") <= 320


def test_on_paper_nothing_is_lost(survey: Path, look: viewing.Look) -> None:
    view = look(survey)
    assert viewing.cut_off(view) == []
    paper = viewing.printed(view)
    assert all(viewing.is_a4(size) for size in paper.sizes_mm)
    told = viewing.cells(view)
    assert len(told) > 2 * len(keys())
    assert paper.lacks(told) == []
    assert [n for n, text in enumerate(paper.texts) if not text.strip()] == [], "no empty page"


def test_the_first_page_printed_asks_for_everything_of_the_set(survey: Path, look: viewing.Look) -> None:
    """On one sheet of A4: the cautions, every step but the first, every key that it fills, with its table above."""
    view = look(survey)
    assert not view.page.locator(".blanks").is_visible(), "on a screen the steps themselves are enough"
    first, second, *_ = viewing.printed(view).texts
    members = [key for key in keys() if stage_of(key) in STEPS and stage_of(key) is not Stage.CHOICE]
    assert len(members) > 80
    words = first.split()
    for name, times in Counter(key.name for key in members).items():
        assert sum(word.rstrip("*") == name for word in words) >= times, name
    assert set(words) >= {heading(key.table) for key in members}
    whole = viewing.squeezed(first)
    assert [text for text in CAUTIONS if viewing.squeezed(text) not in whole] == []
    title = viewing.squeezed(TITLE)
    assert title not in whole and title in viewing.squeezed(second)
