"""One browser a worker, and pages that are closed after the test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

import viewing


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium; skips where there is none, fails in continuous integration."""
    with viewing.started() as found:
        yield found


@pytest.fixture
def look(browser: Browser) -> Iterator[viewing.Look]:
    """Opens a file in the browser."""
    views: list[viewing.View] = []

    def opened(path: Path, scheme: str = "light", width: int = 1100) -> viewing.View:
        views.append(viewing.opened(browser, path, scheme, width))
        return views[-1]

    yield opened
    for view in views:
        view.page.context.close()
