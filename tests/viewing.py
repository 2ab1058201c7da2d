"""Looks at a page as a person does: Debian's Chromium, driven by Playwright, from a file on disk.

Every helper returns what it found, so that a test can say what must be empty and show the rest.  Where Chromium is
missing the test is skipped; in continuous integration it fails.
"""

from __future__ import annotations

import io
import math
import os
import re
import shutil
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright
from pypdf import PdfReader

import contrast

PROGRAM = "chromium"
CONTROLS = "a[href],button,input,select,textarea,summary,[tabindex],[contenteditable]"
PX_PER_MM = 96 / 25.4
"""CSS 2.2, 4.3.2: an inch is 96 px."""
A4_MM = (210, 297)
"""ISO 216."""
MARGIN_MM = 12
"""`@page` of our pages."""
POINTS_PER_MM = 72 / 25.4
COLOURS = ("color-contrast", "link-in-text-block")
"""The rules of axe-core whose outcome hangs on the colours."""
SCHEMES: dict[str, tuple[str, ...]] = {"light": (), "dark": COLOURS}
"""By day everything is looked at, by night what may differ."""
LONGEST_MS = 20_000
LOW_PX = 60
"""Height of a window in which next to nothing is painted."""

Raw = dict[str, Any]


def program() -> str:
    """Path of Chromium.  Skips the test when it is missing, fails it where CI is set."""
    found = shutil.which(PROGRAM)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(f"{PROGRAM} must be installed; it is not")
        pytest.skip(f"{PROGRAM} is not installed: nobody looks at the pages")
    return found


@contextmanager
def started() -> Iterator[Browser]:
    """A browser of our own; no sandbox, which root does not get."""
    found = program()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


@contextmanager
def afresh(browser: Browser, profile: Path, path: Path) -> Iterator[Page]:
    """The page in a browser that is started for it, keeps what it stores in a folder, and is ended after it."""
    context = browser.browser_type.launch_persistent_context(
        profile, executable_path=program(), args=["--no-sandbox"], headless=True
    )
    try:
        yield opened(context, path).page
    finally:
        context.close()


@dataclass
class View:
    """A page on the screen, and everything that it said or asked for since it was opened."""

    page: Page
    address: str
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    dialogs: list[str] = field(default_factory=list)

    def close(self) -> None:
        """Close the page and what it stored, unless others share that."""
        self.page.close()

    @property
    def noise(self) -> list[str]:
        """What a quiet page has none of: messages, faults, dialogs, requests for anything but the page itself."""
        others = [f"request: {address}" for address in self.asked if address != self.address]
        return [*self.said, *(f"dialog: {text}" for text in self.dialogs), *others]


Look = Callable[..., View]
"""What the fixture `look` gives: opens a file and closes it after the test."""


def opened(where: Browser | BrowserContext, path: Path, scheme: str = "light", width: int = 1100) -> View:
    """The page at a file:// address, in a context of its own where a browser is given; waits until it has loaded."""
    if isinstance(where, Browser):
        where = where.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})  # type: ignore[arg-type]
    page = where.new_page()
    page.set_default_timeout(LONGEST_MS)
    view = View(page, path.resolve().as_uri())
    page.on("console", lambda message: view.said.append(f"console {message.type}: {message.text}"))
    page.on("pageerror", lambda fault: view.said.append(f"fault: {fault}"))
    page.on("dialog", lambda dialog: (view.dialogs.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: view.asked.append(request.url))
    page.on("websocket", lambda socket: view.asked.append(socket.url))
    page.route("**/*", lambda route: _only(route, view.address))
    page.goto(view.address, wait_until="load")
    return view


def _only(route: Route, address: str) -> None:
    if route.request.url.partition("#")[0] == address:
        route.continue_()
    else:
        route.abort()


_FIRST_PAINT = """new Promise(told => new PerformanceObserver(list => {
    for (const paint of list.getEntriesByName('first-paint')) told(paint.startTime / 1000);
}).observe({type: 'paint', buffered: true}))"""
# An observer, since polling by a text that is evaluated again and again is what the pages' own policy forbids.


def first_paint_s(browser: Browser, path: Path, enough_s: float, tries: int = 15) -> float:
    """Time from navigation to the first paint [s], the shortest of several: others on the machine only add to it.

    Stops at the first that takes no longer than `enough_s`.  On a machine with more to do than it has processors the
    clock only says too much: there the processor time of the page's whole process may count in its place, though that
    has the start of the process in it.
    """
    shortest = math.inf
    for _ in range(tries):
        context = browser.new_context()
        page = context.new_page()
        session = context.new_cdp_session(page)
        session.send("Performance.enable", {"timeDomain": "threadTicks"})
        page.goto(path.resolve().as_uri())
        clock = page.evaluate(_FIRST_PAINT)
        told = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
        busy = os.getloadavg()[0] > (os.cpu_count() or 1)
        shortest = min(shortest, clock, told["ProcessTime"] if busy else clock)
        context.close()
        if shortest < enough_s:
            break
    return shortest


def barriers(view: View, rules: Sequence[str] = ()) -> list[str]:
    """What axe-core finds by all of its rules or by those named, and text whose contrast it cannot tell.

    Raises AssertionError where it compared the colours of no text.
    """
    options: Raw = {"resultTypes": ["violations", "incomplete"]}
    if rules:
        options["runOnly"] = {"type": "rule", "values": list(rules)}
    result = Axe().run(view.page, options=options).response
    compared = {rule["id"] for kind in ("passes", "violations", "incomplete") for rule in result[kind]}
    assert "color-contrast" in compared, "no text was held against its background"
    unsure = [rule for rule in result["incomplete"] if rule["id"] == "color-contrast"]
    found = [
        f"{rule['id']} ({rule['impact']}): {node['target']} {node['html'][:120]} {node.get('failureSummary', '')}"
        for rule in (*result["violations"], *unsure)
        for node in rule["nodes"]
        if rule not in unsure or not node["html"].startswith(("<text", "<tspan"))
    ]
    return [*found, *contrast.pale(view.page)]


def unreached(view: View) -> list[str]:
    """Visible controls that the Tab key does not reach, or that do not show that they have the focus.

    Of a group of radio buttons one is reached, the arrow keys reach the others.  In a low window, since every stroke
    paints what it shows.
    """
    page, before = view.page, view.page.viewport_size or {"width": 1100, "height": 900}
    page.set_viewport_size({"width": before["width"], "height": LOW_PX})
    page.evaluate("document.activeElement && document.activeElement.blur()")
    count = page.evaluate(
        """selector => {
          window.controls = [...document.querySelectorAll(selector)].filter(e => !e.disabled && e.tabIndex >= 0
            && e.type !== 'radio' && e.checkVisibility({visibilityProperty: true, contentVisibilityAuto: true}));
          return window.controls.length }""",
        CONTROLS,
    )
    shown: dict[int, bool] = {}
    last = -1
    for _ in range(count + 20):
        page.keyboard.press("Tab")
        index, visible = page.evaluate(
            """() => { const e = document.activeElement, s = getComputedStyle(e);
              return [window.controls.indexOf(e), s.outlineStyle !== 'none' || s.boxShadow !== 'none'] }"""
        )
        if index in shown and index != last:
            break
        last = index  # a field of several parts, such as a date, takes several strokes
        if index >= 0:
            shown[index] = visible or shown.get(index, False)
    page.set_viewport_size(before)
    missed = [index for index in range(count) if not shown.get(index)]
    return page.evaluate("missed => missed.map(n => window.controls[n].outerHTML.slice(0, 160))", missed)  # type: ignore[no-any-return]


def controls(view: View) -> int:
    """How many controls can be seen."""
    return view.page.locator(CONTROLS).locator("visible=true").count()


def cut_off(view: View, margin_mm: float = MARGIN_MM) -> list[str]:
    """On A4 paper: what would stand beyond the right or left edge, or is too tall for a page and must not be torn.

    Measured with the style of the print, in a window as wide as a page without its margins.
    """
    wide, tall = ((side - 2 * margin_mm) * PX_PER_MM for side in A4_MM)
    page, before = view.page, view.page.viewport_size
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(wide), "height": 900})
    found = page.evaluate(
        """([wide, tall]) => [...document.body.querySelectorAll('*')].filter(e => e.checkVisibility()).flatMap(e => {
          const b = e.getBoundingClientRect(), name = e.outerHTML.slice(0, 140);
          const torn = ['TR', 'FIGURE', 'IMG', 'CANVAS', 'svg'].includes(e.tagName) && b.height > tall;
          const hidden = e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX !== 'visible';
          return [...(b.width && (b.right > wide + .6 || b.left < -.6) ? ['beyond the edge: ' + name] : []),
                  ...(torn ? ['taller than a page: ' + name] : []), ...(hidden ? ['clipped: ' + name] : [])] })""",
        [int(wide), tall],
    )
    page.emulate_media(media="null")
    page.set_viewport_size(before or {"width": 1100, "height": 900})
    return found  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Paper:
    """What came out of the printer: sizes [mm] and words of its pages."""

    data: bytes
    sizes_mm: tuple[tuple[float, float], ...]
    texts: tuple[str, ...]

    def lacks(self, texts: Iterable[str]) -> list[str]:
        """Texts that stand on no page; spaces do not count, since lines are broken anywhere."""
        held = squeezed("".join(self.texts))
        return [text for text in texts if squeezed(text) not in held]


def squeezed(text: str) -> str:
    """Without spaces and invisible characters; a joined fi is two letters, as faces join them at will."""
    return re.sub(r"[\s\u00ad\u200b]+", "", unicodedata.normalize("NFKC", text))


def printed(view: View) -> Paper:
    """The page as PDF, on the paper that its own style asks for."""
    return paper(view.page.pdf(prefer_css_page_size=True))


def paper(data: bytes) -> Paper:
    """A PDF as an independent reader sees it."""
    pages = PdfReader(io.BytesIO(data), strict=True).pages
    sizes = tuple(
        (round(float(p.mediabox.width) / POINTS_PER_MM, 1), round(float(p.mediabox.height) / POINTS_PER_MM, 1))
        for p in pages
    )
    return Paper(data, sizes, tuple(p.extract_text() for p in pages))


def cells(view: View) -> list[str]:
    """The texts of all cells of all tables, and of all points of lists, that the print shows."""
    view.page.emulate_media(media="print")
    found = view.page.evaluate(
        "[...document.querySelectorAll('th,td,li')].filter(e => e.checkVisibility()).map(e => e.innerText)"
    )
    view.page.emulate_media(media="null")
    return [text for text in found if text.strip()]


def drawn_texts(path: Path) -> list[str]:
    """All words of an SVG on disk, without title and style."""
    root = ElementTree.parse(path).getroot()
    return ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]


def is_a4(size_mm: tuple[float, float]) -> bool:
    """Upright, within the millimetre that browsers round to."""
    return all(abs(a - b) <= 0.6 for a, b in zip(size_mm, A4_MM, strict=True))
