"""The survey sheet in a browser: by day and night, on paper, without a mouse, without a network."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

import viewing
from rasterport.emit.survey_page import survey_page
from rasterport.variant.keys import keys

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
