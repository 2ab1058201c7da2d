"""The bench sheet in a browser: ticks and readings that stay, pictures that answer each other, paper, foreign texts."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

import viewing
from places import TEMPLATES
from rasterport.api import build, load
from rasterport.emit.page import VOID
from rasterport.variant.built import LONGEST_SERIAL, BuiltBoard
from rasterport.variant.fields import LONGEST_TEXT
from rasterport.variant.reading import CHARGED, HINTS, measured
from spellings import REFUSED, TAKEN

SETS = ("kestrel", "godwit", "heron")
FIRST_PAINT_S, LARGEST_BYTES = 0.3, 1_000_000
"""What was asked for."""
LONGEST_TOP = 200
"""Letters of a title above the first part of the print; judgement."""
TICK, READING = "input[type=checkbox][data-tick]", "input[data-reading]"
AWKWARD = "A-\"\\'</textarea><i class=injected>µΩ"
"""A serial number that is text in TOML and in HTML, or trouble."""


def sheet(folder: Path, variant: Path) -> Path:
    """The bench sheet of a variant file."""
    (loaded,) = load(variant)
    build(loaded, folder, ("html",))
    name = loaded.variant.variant.name
    return folder / name / f"{name}.html"


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """By name of the set."""
    folder = tmp_path_factory.mktemp("sheets")
    return {name: sheet(folder, TEMPLATES / f"{name}.toml") for name in SETS}


@pytest.fixture
def heron(sheets: dict[str, Path], look: viewing.Look) -> viewing.View:
    """The sheet of a board with one input, every section open."""
    view = look(sheets["heron"])
    unfold(view.page)
    return view


def unfold(page: Page, is_open: bool = True) -> None:
    """Open or close every section."""
    page.evaluate("open => document.querySelectorAll('details').forEach(d => d.open = open)", is_open)


# -- opening


@pytest.mark.parametrize("name", SETS)
def test_it_opens_quietly_and_fetches_nothing(sheets: dict[str, Path], look: viewing.Look, name: str) -> None:
    view = look(sheets[name])
    unfold(view.page)
    assert view.noise == []
    assert view.asked == [view.address]
    assert view.page.title()
    for selector in (TICK, READING, "details", "svg", "table", "section.print-first", "button[data-copy=built]"):
        assert view.page.locator(selector).count() > 0, selector


@pytest.mark.parametrize("name", SETS)
def test_it_is_small_and_quick(sheets: dict[str, Path], browser: Browser, name: str) -> None:
    assert sheets[name].stat().st_size < LARGEST_BYTES
    assert viewing.first_paint_s(browser, sheets[name], FIRST_PAINT_S) < FIRST_PAINT_S


class Nesting(HTMLParser):
    """Fails on an end that closes nothing, or something else."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value or "" for name, value in attrs if name == "id"]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value or "" for name, value in attrs if name == "id"]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.mark.parametrize("name", SETS)
def test_it_is_well_formed_and_no_name_is_given_twice(sheets: dict[str, Path], name: str) -> None:
    found = Nesting()
    found.feed(sheets[name].read_text(encoding="utf-8"))
    found.close()
    assert found.open == []
    assert len(found.ids) == len(set(found.ids))


@pytest.mark.parametrize("name", ["kestrel"])
@pytest.mark.parametrize("scheme", viewing.SCHEMES)
def test_everybody_can_read_it(sheets: dict[str, Path], look: viewing.Look, name: str, scheme: str) -> None:
    view = look(sheets[name], scheme)
    unfold(view.page)
    assert viewing.barriers(view, viewing.SCHEMES[scheme]) == []


@pytest.mark.parametrize("name", ["heron"])
def test_the_keys_reach_everything(sheets: dict[str, Path], look: viewing.Look, name: str) -> None:
    view = look(sheets[name])
    unfold(view.page)
    assert viewing.controls(view) > view.page.locator(TICK).count() + view.page.locator(READING).count()
    assert viewing.unreached(view) == []


def test_the_keys_open_sections_and_set_ticks(heron: viewing.View) -> None:
    page = heron.page
    summary = page.locator("details > summary").first
    for wanted in (False, True):
        summary.focus()
        page.keyboard.press("Enter")
        assert summary.evaluate("s => s.parentElement.open") is wanted
    tick = page.locator(TICK).first
    tick.focus()
    page.keyboard.press("Space")
    assert tick.is_checked()


@pytest.mark.parametrize("name", SETS)
def test_a_narrow_window_needs_no_scrolling_sideways(sheets: dict[str, Path], look: viewing.Look, name: str) -> None:
    """WCAG 2.2, 1.4.10: 320 px, though tables and pictures may scroll."""
    view = look(sheets[name])
    unfold(view.page)
    view.page.set_viewport_size({"width": 320, "height": 640})
    assert view.page.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("name", SETS)
def test_a_telephone_shows_every_field_and_what_it_is_for(
    sheets: dict[str, Path], look: viewing.Look, name: str
) -> None:
    """No table is wider than the screen there, and each cell has the head of its column before it."""
    view = look(sheets[name], "light", 400)
    unfold(view.page)
    wide = "[...document.querySelectorAll('.wide')].filter(w => w.scrollWidth > w.clientWidth).length"
    assert view.page.evaluate("document.querySelectorAll('.wide').length") > 5
    assert view.page.evaluate(wide) == 0
    heads = view.page.evaluate("""[...document.querySelectorAll('.wide td')].filter(cell => cell.childNodes.length)
        .map(cell => [getComputedStyle(cell, '::before').content.replace(/^"|: "$/g, ''),
                      cell.closest('table').tHead.rows[0].cells[cell.cellIndex].textContent])""")
    assert len(heads) > 100
    assert [pair for pair in heads if pair[0] != pair[1]] == []


@pytest.mark.parametrize("name", SETS)
def test_the_circuit_can_be_read_where_it_stands(sheets: dict[str, Path], look: viewing.Look, name: str) -> None:
    """Its letters are 8 px tall or more on every screen: where it is wider than the screen it scrolls by itself."""
    for width in (400, 1100, 1900):
        view = look(sheets[name], "light", width)
        unfold(view.page)
        tall = view.page.evaluate("""[...document.querySelectorAll('details svg.circuit')].map(drawing =>
            Math.min(...[...drawing.querySelectorAll('text')].map(text => parseFloat(getComputedStyle(text).fontSize)
                * drawing.getScreenCTM().a)))""")
        assert tall and min(tall) >= 8, (width, tall)
        assert view.page.evaluate("document.documentElement.scrollWidth") <= width


def test_every_section_and_every_field_has_a_name(heron: viewing.View) -> None:
    sections = heron.page.locator("details")
    assert sections.count() >= 3
    assert all(text.strip() for text in heron.page.locator("details > summary").all_inner_texts())
    assert heron.page.locator("details > summary").count() == sections.count()
    for attribute in ("data-tick", "data-reading"):
        keys = heron.page.evaluate(
            "a => [...document.querySelectorAll(`[${a}]`)].map(e => e.getAttribute(a))", attribute
        )
        assert all(keys) and len(keys) == len(set(keys)), attribute


# -- what stays


@pytest.mark.parametrize("name", ["heron"])
def test_ticks_and_readings_stay_on_reload(sheets: dict[str, Path], look: viewing.Look, name: str) -> None:
    page = look(sheets[name]).page
    unfold(page)
    ticks, readings = page.locator(TICK), page.locator(READING)
    first, last = ticks.first, ticks.last
    assert not first.is_checked() and not last.is_checked()
    first.check()
    last.check()
    readings.first.fill("74.8")
    readings.last.fill("1.93")
    page.locator("input#built-serial").fill(AWKWARD)
    page.locator("input#built-date").fill("2026-11-27")
    page.reload()
    unfold(page)
    assert first.is_checked() and last.is_checked()
    assert page.locator(f"{TICK}:checked").count() == 2, "and no other"
    assert readings.first.input_value() == "74.8"
    assert readings.last.input_value() == "1.93"
    assert page.locator("input#built-serial").input_value() == AWKWARD
    assert page.locator("input#built-date").input_value() == "2026-11-27"
    first.uncheck()
    readings.first.fill("")
    page.reload()
    assert not first.is_checked() and last.is_checked()
    assert readings.first.input_value() == ""
    assert page.locator(".injected").count() == 0


def test_each_sheet_has_ticks_of_its_own(sheets: dict[str, Path], browser: Browser) -> None:
    """All files on disk share one storage."""
    context = browser.new_context()
    one = viewing.opened(context, sheets["heron"]).page
    unfold(one)
    for tick in one.locator(TICK).all():
        tick.check()
    for reading in one.locator(READING).all():
        reading.fill("1")
    other = viewing.opened(context, sheets["kestrel"]).page
    assert other.locator(f"{TICK}:checked").count() == 0
    assert [field.input_value() for field in other.locator(READING).all() if field.input_value()] == []
    context.close()


def test_ticks_stay_when_the_browser_is_closed(sheets: dict[str, Path], tmp_path: Path, browser: Browser) -> None:
    with viewing.afresh(browser, tmp_path / "profile", sheets["heron"]) as page:
        unfold(page)
        page.locator(TICK).first.check()
    with viewing.afresh(browser, tmp_path / "profile", sheets["heron"]) as page:
        assert page.locator(TICK).first.is_checked()


# -- the table for the variant file


def built(page: Page) -> tuple[str, dict[str, Any]]:
    """What the button makes: the text and the one table in it."""
    page.locator("button[data-copy=built]").click()
    text = page.locator("textarea#built-text").input_value()
    content = tomllib.loads(text)
    assert set(content) == {"built"}
    (row,) = content["built"]
    return text, row


def test_readings_come_out_as_a_table_of_the_variant_file(heron: viewing.View) -> None:
    page = heron.page
    page.locator("input#built-serial").fill(AWKWARD)
    page.locator("input#built-date").fill("2026-11-27")
    fields = page.locator(READING)
    assert fields.count() > 3
    fields.nth(0).fill("74.8")
    fields.nth(2).fill("0.35")
    keys = [fields.nth(n).get_attribute("data-reading") for n in (0, 2)]
    text, row = built(page)
    assert text.startswith("[[built]]\n")
    assert row["serial"] == AWKWARD
    assert str(row["date"]) == "2026-11-27"
    assert set(row) == {"serial", "date", "readings"}
    assert set(row["readings"]) == set(keys), "the filled fields alone"
    for key, typed in zip(keys, ("74.8", "0.35"), strict=True):
        assert re.fullmatch(rf"{re.escape(typed)} ?\D+", row["readings"][key]), "a number and its unit"
    fields.nth(0).fill("75.1")
    fields.nth(2).fill("")
    _, again = built(page)
    assert list(again["readings"]) == [keys[0]]
    assert again["readings"][keys[0]].startswith("75.1")
    assert page.locator(".injected").count() == 0
    assert heron.noise == []


def test_an_empty_sheet_makes_a_table_too(heron: viewing.View) -> None:
    _, row = built(heron.page)
    assert not row.get("readings")
    assert heron.noise == []


def test_the_clipboard_is_tried(sheets: dict[str, Path], browser: Browser) -> None:
    """Here it is a stand-in: what a browser permits a file to do differs."""
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(navigator, 'clipboard', {value: {writeText: t => { window.copied = t; "
        "return Promise.reject(new Error('not permitted')) }}})"
    )
    view = viewing.opened(context, sheets["heron"])
    unfold(view.page)
    text, _ = built(view.page)
    view.page.wait_for_timeout(50)
    assert view.page.evaluate("window.copied") == text
    assert view.noise == [], "a refusal is no fault: the text stands in its field"
    context.close()


def test_the_variant_file_takes_the_table(heron: viewing.View, tmp_path: Path) -> None:
    page = heron.page
    page.locator("input#built-serial").fill("7")
    page.locator("input#built-date").fill("2026-11-27")
    page.locator(READING).first.fill("74.8")
    text, _ = built(page)
    variant = tmp_path / "heron.toml"
    variant.write_text(f"{(TEMPLATES / 'heron.toml').read_text(encoding='utf-8')}\n{text}", encoding="utf-8")
    (loaded,) = load(variant)
    assert loaded.variant.variant.name == "heron"


FIELDS = {"ohm": f"{READING}[data-unit=ohm]", "V": f"{READING}[data-unit=V]", "A": f"{READING}[data-unit=A]"}


def said_beside(field: Locator) -> str:
    """What the page says beside a reading."""
    return field.evaluate("f => f.nextElementSibling.textContent")  # type: ignore[no-any-return]


def test_the_page_reads_what_the_file_takes_and_nothing_else(heron: viewing.View) -> None:
    """The table of spellings; tests/variant/test_built.py puts the same through the loader."""
    page = heron.page
    fields = {unit: page.locator(selector).first for unit, selector in FIELDS.items()}
    keys = {unit: field.get_attribute("data-reading") for unit, field in fields.items()}
    for spelled in TAKEN:
        field = fields[spelled.unit]
        field.fill(f" {spelled.text} ")
        assert "write" not in said_beside(field), spelled.text
        text, row = built(page)
        assert row["readings"] == {keys[spelled.unit]: spelled.copied}, spelled.text
        value, unit = measured(row["readings"][keys[spelled.unit]])
        assert (value, unit) == (pytest.approx(spelled.value, rel=1e-12), spelled.unit)
        assert "# not a reading" not in text
        field.fill("")
    for typed, unit in REFUSED:
        if typed:
            fields[unit].fill(typed)
            assert "write" in said_beside(fields[unit]), typed
            text, row = built(page)
            assert "readings" not in row, typed
            assert f'# not a reading: "{keys[unit]}" = ' in text, typed
            fields[unit].fill("")
    assert heron.noise == []


def test_a_hint_is_of_the_fields_own_unit(heron: viewing.View) -> None:
    for unit, selector in FIELDS.items():
        field = heron.page.locator(selector).first
        field.fill("x")
        assert said_beside(field) == f"write a number in {unit}, such as {HINTS[unit]}"
    field = heron.page.locator(FIELDS["ohm"]).first
    field.fill("1,500")
    assert said_beside(field) == "may be read in two ways: write 1.500 or 1500"


def test_the_page_judges_as_check_does(heron: viewing.View) -> None:
    """Less than nothing is nothing, as far as a meter is off there."""
    page = heron.page
    nothing = page.locator(f"{FIELDS['ohm']}[data-low='0']").first
    high = nothing.get_attribute("data-high")
    assert high is not None
    for typed, said in (
        ("0", "within limits"),
        ("-0.1", "within limits"),
        ("-500m", "within limits"),
        ("-0.6", f"low: {CHARGED}"),
        (high, "within limits"),
        ("OL", "high: see what to suspect"),
        ("4k7", "high: see what to suspect"),
    ):
        nothing.fill(typed)
        assert said_beside(nothing) == said, typed
    something = page.locator(f"{FIELDS['ohm']}:not([data-low='0'])").first
    something.fill("0")
    assert said_beside(something) == "low: see what to suspect"
    current = page.locator(FIELDS["A"]).first
    current.evaluate("f => { f.dataset.low = '0' }")
    for typed, said in (("-10u", "within limits"), ("-30u", "low: see what to suspect")):
        current.fill(typed)
        assert said_beside(current) == said, typed


LACKS = "#built-lacks"


def test_what_cannot_be_copied_is_told_and_kept_as_a_remark(heron: viewing.View, tmp_path: Path) -> None:
    page = heron.page
    page.locator("input#built-serial").fill("7")
    fields = page.locator(READING)
    fields.nth(0).fill("75")
    assert not page.locator(LACKS).is_visible()
    fields.nth(1).fill('about "75"\u007f')
    fields.nth(2).fill("1e3")
    keys = [fields.nth(n).get_attribute("data-reading") for n in range(3)]
    names = [fields.nth(n).get_attribute("aria-label") for n in range(3)]
    told = page.locator(LACKS).inner_text()
    assert (
        "(2)" in told and f'{names[1]}: about "75"' in told and f"{names[2]}: 1e3" in told and str(names[0]) not in told
    )
    text, row = built(page)
    assert list(row["readings"]) == [keys[0]]
    assert f'# not a reading: "{keys[1]}" = "about \\"75\\"\\u007f"' in text.splitlines()
    assert f'# not a reading: "{keys[2]}" = "1e3"' in text.splitlines()
    taken_by_the_file(text, tmp_path)


def taken_by_the_file(text: str, folder: Path) -> BuiltBoard:
    """The one board that heron's file has with this table at its end."""
    variant = folder / "heron.toml"
    variant.write_text(f"{(TEMPLATES / 'heron.toml').read_text(encoding='utf-8')}\n{text}", encoding="utf-8")
    (loaded,) = load(variant)
    (board,) = loaded.variant.built
    return board


def test_a_serial_that_the_file_does_not_take_is_told_before_it_is_copied(heron: viewing.View) -> None:
    page = heron.page
    serial, lacks = page.locator("input#built-serial"), page.locator(LACKS)
    assert "serial" in lacks.inner_text()
    serial.fill("7")
    assert not lacks.is_visible()
    serial.fill("   ")
    assert "serial" in lacks.inner_text()
    serial.fill("")
    serial.press_sequentially("x" * (LONGEST_SERIAL + 5))
    assert serial.input_value() == "x" * LONGEST_SERIAL
    assert not lacks.is_visible()


def test_every_text_of_the_record_is_one_of_the_file(heron: viewing.View, tmp_path: Path) -> None:
    """With what nobody types but a program pastes: tabs, a no-break space, a deletion character, half a character."""
    page = heron.page
    page.locator("input#built-serial").evaluate(
        "f => { f.value = 'A\\u00a07\\u200b'; f.dispatchEvent(new Event('input', {bubbles: true})) }"
    )
    page.locator("#built-changed").fill("R2 = 3k\n\n  lead\tshortened\u007f ")
    page.locator("#built-notes").evaluate(
        "f => { f.value = 'blue\\tcabinet\\n\\ud800 \\u{1f600}'; f.dispatchEvent(new Event('input', {bubbles: true})) }"
    )
    text, _ = built(page)
    board = taken_by_the_file(text, tmp_path)
    assert board.serial == "A 7"
    assert board.changed == ("R2 = 3k", "lead shortened")
    assert board.notes == "blue cabinet\n\ufffd \U0001f600"
    assert page.locator("#built-notes").get_attribute("maxlength") == str(LONGEST_TEXT)


def test_the_example_of_a_change_is_a_part_of_this_board(heron: viewing.View) -> None:
    label = heron.page.locator("label[for=built-changed]").inner_text()
    found = re.search(r"such as ([A-Z]+[0-9]+) = (\S+);", label)
    assert found
    parts = (TEMPLATES.parent / "out" / "heron" / "heron.bom.csv").read_text(encoding="utf-8")
    assert found[1] in re.split(r"[\s,\"]+", parts)


# -- one storage for all files on a disk


def test_sheets_of_one_name_in_other_folders_are_apart(
    sheets: dict[str, Path], tmp_path: Path, browser: Browser
) -> None:
    twin = tmp_path / "heron.html"
    twin.write_bytes(sheets["heron"].read_bytes())
    context = browser.new_context()
    one = viewing.opened(context, sheets["heron"]).page
    unfold(one)
    one.locator("input#built-serial").fill("B1")
    one.locator(READING).first.fill("75")
    other = viewing.opened(context, twin).page
    unfold(other)
    assert other.locator("input#built-serial").input_value() == ""
    assert other.locator(READING).first.input_value() == ""
    assert not other.locator("#earlier").is_visible()
    other.locator("input#built-serial").fill("B2")
    one.reload()
    assert one.locator("input#built-serial").input_value() == "B1"
    context.close()


def test_an_edited_variant_keeps_its_entries_and_says_so(
    sheets: dict[str, Path], tmp_path: Path, browser: Browser
) -> None:
    path = tmp_path / "heron.html"
    text = sheets["heron"].read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    context = browser.new_context()
    page = viewing.opened(context, path).page
    unfold(page)
    first, last = page.locator(READING).first, page.locator(READING).last
    first.fill("75")
    key = str(first.get_attribute("data-reading"))
    assert not page.locator("#earlier").is_visible()
    edited = re.sub(r'data-digest="[0-9a-f]+"', f'data-digest="{"0" * 64}"', text)
    assert edited != text
    path.write_text(edited, encoding="utf-8")
    page.reload()
    unfold(page)
    last.fill("1")
    assert first.input_value() == "75"
    assert page.locator("#earlier").is_visible()
    first.fill("76")
    assert not page.locator("#earlier").is_visible(), "everything is of this state now"
    path.write_text(edited.replace(f'data-reading="{key}"', 'data-reading="alone/other"'), encoding="utf-8")
    page.reload()
    unfold(page)
    assert f"{key}, which this sheet does not have: 76" in page.locator(LACKS).inner_text()
    assert f'# not a reading: "{key}" = "76"' in built(page)[0]
    context.close()


def test_two_windows_of_a_sheet_add_to_each_other(sheets: dict[str, Path], browser: Browser) -> None:
    context = browser.new_context()
    one, other = (viewing.opened(context, sheets["heron"]).page for _ in range(2))
    for page in (one, other):
        unfold(page)
    one.locator(READING).nth(1).fill("74.8")
    one.locator(TICK).nth(0).check()
    other.locator(READING).nth(2).fill("75.1")
    other.locator("input#built-serial").fill("7")
    for page in (one, other):
        settled(page, "input#built-serial", "7")
        settled(page, f"{READING} >> nth=1", "74.8")
        settled(page, f"{READING} >> nth=2", "75.1")
        expect(page.locator(TICK).nth(0)).to_be_checked()
    assert built(one)[0] == built(other)[0]
    one.locator(READING).nth(2).fill("")
    settled(other, f"{READING} >> nth=2", "")
    one.locator("button#built-new").click()
    one.locator("button#built-ask-empty").click()
    settled(other, "input#built-serial", "")
    settled(other, f"{READING} >> nth=1", "")
    for page in (one, other):
        page.reload()
        assert page.locator(READING).nth(1).input_value() == ""
    context.close()


def settled(page: Page, selector: str, text: str) -> None:
    """Waits until a field has this text: what another window wrote comes a moment later."""
    expect(page.locator(selector)).to_have_value(text)


HOME = "`rasterport bench sheet heron ${location.pathname} `"


@pytest.mark.parametrize("raw", ["", "null", "5", "{", '{"ticks":null}', '{"serial":5}', "[]", "0f", "0f ", "x y"])
def test_what_is_not_as_it_was_written_stops_nothing_and_is_told(
    sheets: dict[str, Path], look: viewing.Look, raw: str
) -> None:
    view = look(sheets["heron"])
    page = view.page
    unfold(page)
    assert not page.locator("#not-read").is_visible()
    page.locator(READING).nth(1).fill("74.8")
    key = page.locator(READING).nth(0).get_attribute("data-reading")
    tick = page.locator(TICK).first.get_attribute("data-tick")
    page.evaluate(
        f"""([raw, key, tick]) => {{ for (const name of [`reading ${{key}}`, `tick ${{tick}}`, 'field serial',
          'field date', 'field changed', 'field notes', 'open cautions', 'nonsense'])
            localStorage.setItem({HOME} + name, raw) }}""",
        [raw, key, tick],
    )
    page.reload()
    unfold(page)
    assert view.noise == []
    told = page.locator("#not-read").inner_text()
    for name in (f"reading {key}", f"tick {tick}", "field serial", "field date", "field changed", "field notes"):
        assert name in told, name
    assert not page.locator("#not-kept").is_visible(), "which would not be true"
    assert not page.locator("#earlier").is_visible()
    assert page.locator(READING).nth(1).input_value() == "74.8", "the others are there"
    page.locator("input#built-serial").fill("8")
    assert "field serial" not in page.locator("#not-read").inner_text()
    page.reload()
    assert page.locator("input#built-serial").input_value() == "8"


def test_values_that_no_field_takes_are_told(sheets: dict[str, Path], look: viewing.Look) -> None:
    view = look(sheets["heron"])
    page = view.page
    tick = page.locator(TICK).first.get_attribute("data-tick")
    page.evaluate(
        f"""tick => {{ localStorage.setItem({HOME} + 'field date', '0f 31 May');
          localStorage.setItem({HOME} + `tick ${{tick}}`, '0f perhaps') }}""",
        tick,
    )
    page.reload()
    told = page.locator("#not-read").inner_text()
    assert "field date" in told and f"tick {tick}" in told
    assert view.noise == []


def test_a_browser_that_keeps_nothing_says_so(sheets: dict[str, Path], browser: Browser) -> None:
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError') }})"
    )
    view = viewing.opened(context, sheets["heron"])
    unfold(view.page)
    assert view.page.locator("#not-kept").is_visible()
    view.page.locator(READING).first.fill("75")
    assert len(built(view.page)[1]["readings"]) == 1
    view.page.locator("button#built-new").click()
    view.page.locator("button#built-ask-empty").click()
    assert view.page.locator(READING).first.input_value() == ""
    assert view.noise == []
    context.close()


# -- another board


@pytest.mark.parametrize(
    "selector", ["input#built-serial", "input#built-date", "#built-changed", "#built-notes", READING]
)
def test_nothing_is_emptied_unasked(heron: viewing.View, selector: str) -> None:
    page = heron.page
    begin, ask = page.locator("button#built-new"), page.locator("dialog#built-ask")
    begin.click()
    assert not ask.is_visible() and page.locator("#built-said").inner_text() == "nothing is entered yet"
    field, text = page.locator(selector).first, "2031-05-14"
    field.fill(text)
    for keep in ("#built-ask-keep", "Escape"):
        begin.click()
        assert ask.is_visible()
        page.keyboard.press(keep) if keep == "Escape" else page.locator(keep).click()
        assert not ask.is_visible() and field.input_value() == text
    page.reload()
    unfold(page)
    assert field.input_value() == text
    begin.click()
    page.locator("#built-ask-empty").click()
    assert field.input_value() == "" and not ask.is_visible()
    page.reload()
    assert field.input_value() == ""
    assert heron.noise == []


@pytest.mark.parametrize("permitted", [True, False])
def test_the_copy_is_offered_first(sheets: dict[str, Path], browser: Browser, permitted: bool) -> None:
    """Where it is not permitted nothing is emptied: the table waits to be copied by hand."""
    context = browser.new_context()
    answer = "Promise.resolve()" if permitted else "Promise.reject(new Error('not permitted'))"
    context.add_init_script(
        "Object.defineProperty(navigator, 'clipboard', {value: {writeText: t => { window.copied = t; "
        f"return {answer} }}}}}})"
    )
    view = viewing.opened(context, sheets["heron"])
    page = view.page
    unfold(page)
    page.locator("input#built-serial").fill("7")
    page.locator(TICK).first.check()
    text = page.locator("#built-text").input_value()
    page.locator("button#built-new").click()
    page.locator("#built-ask-copy").click()
    expect(page.locator("#built-said")).to_have_text("emptied" if permitted else "selected below: copy it from there")
    assert page.evaluate("window.copied") == text and 'serial = "7"' in text
    assert page.locator("input#built-serial").input_value() == ("" if permitted else "7")
    assert page.locator(TICK).first.is_checked() is not permitted
    assert view.noise == []
    context.close()


def test_everybody_can_answer(heron: viewing.View) -> None:
    page = heron.page
    page.locator("input#built-serial").fill("7")
    page.locator("button#built-new").click()
    assert viewing.barriers(heron) == []
    assert page.locator("dialog button").evaluate_all("bs => bs.includes(document.activeElement)")


# -- pictures and lists

BOTH = """() => {
  const refs = inside => new Set([...document.querySelectorAll('[data-ref]')]
    .filter(e => !!e.closest('svg') === inside).map(e => e.dataset.ref));
  const lists = refs(false);
  return [...refs(true)].filter(r => lists.has(r)).sort() }"""
MARKED = "() => [...new Set([...document.querySelectorAll('.marked')].map(e => e.dataset.ref || '?'))]"
IN_PICTURES, IN_LISTS = "svg [data-ref='{0}']", "[data-ref='{0}']:not(svg *)"


def partners(page: Page, ref: str) -> tuple[Locator, Locator]:
    """Where a part is in pictures, and where in lists."""
    return page.locator(IN_PICTURES.format(ref)), page.locator(IN_LISTS.format(ref))


def handle(place: Locator) -> Locator:
    """Something of a place that can be pointed at: a text, since the middle of a group may be empty."""
    inner = place.locator("text").first
    return inner if inner.count() else place


def all_marked(places: Locator) -> bool:
    return places.count() > 0 and all(
        "marked" in (place.get_attribute("class") or "").split() for place in places.all()
    )


@pytest.fixture
def chosen(heron: viewing.View) -> str:
    """A resistor that stands in a picture and in a list."""
    refs = heron.page.evaluate(BOTH)
    assert len(refs) > 10, "most parts do"
    return next(ref for ref in refs if re.fullmatch(r"R1\d\d", ref))


@pytest.mark.parametrize("start", ["picture", "list"])
def test_hovering_marks_a_part_everywhere(heron: viewing.View, chosen: str, start: str) -> None:
    page = heron.page
    drawn, listed = partners(page, chosen)
    here, there = (drawn, listed) if start == "picture" else (listed, drawn)
    before = looks(there.first)
    handle(here.first).hover()
    assert all_marked(there)
    assert page.evaluate(MARKED) == [chosen], "and no other part"
    assert looks(there.first) != before, "which can be seen"
    page.mouse.move(1, 1)
    assert page.evaluate(MARKED) == []


def looks(place: Locator) -> list[str]:
    """How an element and what is in it are drawn."""
    return place.evaluate(  # type: ignore[no-any-return]
        """e => [e, ...e.querySelectorAll('*')].map(x => { const s = getComputedStyle(x);
          return [s.fill, s.stroke, s.strokeWidth, s.outline, s.backgroundColor, s.color, s.filter].join() })"""
    )


@pytest.mark.parametrize("start", ["picture", "list"])
@pytest.mark.parametrize("end", ["again", "Escape"])
def test_a_click_marks_until_it_is_taken_back(heron: viewing.View, chosen: str, start: str, end: str) -> None:
    page = heron.page
    drawn, listed = partners(page, chosen)
    here, there = (drawn, listed) if start == "picture" else (listed, drawn)
    handle(here.first).click()
    page.mouse.move(1, 1)
    assert all_marked(there), "though the pointer went away"
    if end == "again":
        handle(here.first).click()
        page.mouse.move(1, 1)
    else:
        page.keyboard.press("Escape")
    assert page.evaluate(MARKED) == []


def test_a_finger_marks_too(sheets: dict[str, Path], browser: Browser) -> None:
    context = browser.new_context(has_touch=True, viewport={"width": 800, "height": 900})
    page = viewing.opened(context, sheets["heron"]).page
    unfold(page)
    ref = next(r for r in page.evaluate(BOTH) if re.fullmatch(r"R1\d\d", r))
    drawn, listed = partners(page, ref)
    handle(drawn.first).tap()
    assert all_marked(listed)
    handle(drawn.first).tap()
    assert page.evaluate(MARKED) == []
    handle(listed.first).tap()
    assert all_marked(drawn)
    context.close()


def test_the_focus_marks_too(heron: viewing.View) -> None:
    page = heron.page
    found = page.evaluate(
        """both => [...document.querySelectorAll('[data-ref]')]
          .filter(e => e.tabIndex >= 0 && both.includes(e.dataset.ref)).map(e => e.dataset.ref)""",
        page.evaluate(BOTH),
    )
    assert found, "keys reach no part"
    ref = found[-1]
    page.evaluate("r => [...document.querySelectorAll(`[data-ref='${r}']`)].find(e => e.tabIndex >= 0).focus()", ref)
    drawn, listed = partners(page, ref)
    assert all_marked(drawn) or all_marked(listed)
    assert page.evaluate(MARKED) == [ref]
    page.keyboard.press("Escape")
    assert page.evaluate(MARKED) == []


# -- paper


Print = Callable[[str, bool], viewing.Paper]


@pytest.fixture(scope="module")
def paper_of(sheets: dict[str, Path], browser: Browser) -> Print:
    """The print of a sheet by name, its sections open or closed; made once, since reading one back takes seconds."""

    @cache
    def made(name: str, is_open: bool) -> viewing.Paper:
        view = viewing.opened(browser, sheets[name])
        unfold(view.page, is_open)
        paper = viewing.printed(view)
        view.page.context.close()
        return paper

    return made


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("is_open", [False, True])
def test_on_paper_nothing_is_lost(
    sheets: dict[str, Path], look: viewing.Look, paper_of: Print, name: str, is_open: bool
) -> None:
    view = look(sheets[name])
    unfold(view.page, is_open)
    assert viewing.cut_off(view) == []
    told = viewing.cells(view)
    assert len(told) > 20
    paper = paper_of(name, is_open)
    assert paper.lacks(told) == []
    lying = [size for size in paper.sizes_mm if not viewing.is_a4(size)]
    drawings = view.page.locator("main > details .circuit").count() if is_open else 0
    assert len(lying) == drawings and all(viewing.is_a4(size[::-1]) for size in lying), "the drawings lie on A4"
    assert [n for n, text in enumerate(paper.texts, 1) if not text.strip()] == [], "no empty page"


@pytest.mark.parametrize("name", SETS)
def test_the_print_begins_with_two_parts_that_stand_alone(
    sheets: dict[str, Path], look: viewing.Look, paper_of: Print, name: str
) -> None:
    view = look(sheets[name])
    unfold(view.page, False)
    view.page.emulate_media(media="print")
    first = view.page.locator("section.print-first")
    assert first.count() == 2
    heads = [viewing.squeezed(text.strip().splitlines()[0]) for text in first.all_inner_texts()]
    view.page.emulate_media(media="null")
    assert heads[0] != heads[1]
    pages = [viewing.squeezed(text) for text in paper_of(name, False).texts]
    assert 0 <= pages[0].find(heads[0]) < LONGEST_TOP, "nothing but a title before it"
    begun = [n for n, text in enumerate(pages) if text.startswith(heads[1])]
    assert len(begun) == 1 and begun[0] > 0
    assert heads[1] not in "".join(pages[: begun[0]]).replace(heads[0], ""), "it begins there and nowhere else"
    work, readings = first.nth(0), first.nth(1)
    assert work.locator("li").count() > 3 and work.locator("svg").count() > 0, "wiring and landings"
    assert readings.locator("li").count() >= 3


def test_other_sections_are_printed_only_when_they_are_open(heron: viewing.View, paper_of: Print) -> None:
    page = heron.page
    unfold(page, False)
    closed = paper_of("heron", False)
    page.evaluate("document.querySelector('details:not(.print-first details)').open = true")
    (text,) = page.evaluate(
        """() => [document.querySelector('details:not(.print-first details)')].map(d =>
          [...d.querySelectorAll('p,li,td,h3')].map(e => e.innerText.trim()).filter(t => t.length > 30)[0])"""
    )
    assert text
    assert closed.lacks([text]) == [text]
    assert viewing.printed(heron).lacks([text]) == []
    assert len(paper_of("heron", True).texts) > len(closed.texts)


# -- texts of others

NASTY = "<img src=x onerror=alert(1)><i class='injected'>\"q\" 'r' & &amp; </script><script>alert(2)</script> ${7} -->"
AT = ("at_red", "at_green", "at_blue", "at_left", "at_right")


def in_toml(text: str) -> str:
    """A string of TOML."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@pytest.fixture(scope="module")
def nasty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Heron with texts that are markup, script and quotes; each says where it stands."""
    folder = tmp_path_factory.mktemp("nasty")
    text = (TEMPLATES / "heron.toml").read_text(encoding="utf-8")
    for key in ("title", *AT):
        line = f"{key} = {in_toml(f'{key} {NASTY}')}"
        if key == "title":
            line += f"\nnotes = {in_toml(f'notes {NASTY}')}"
        text, found = re.subn(rf"^{key} = .*$", lambda _, line=line: line, text, flags=re.M)
        assert found == 1, key
    rows = "\n".join(f"{key} = {in_toml(f'{key} {NASTY}')}" for key in ("do", "at", "undo"))
    path = folder / "heron.toml"
    path.write_text(f'{text}\n[[set.work]]\nkind = "cut"\n{rows}\n', encoding="utf-8")
    return sheet(folder, path)


def test_texts_of_others_stay_text(nasty: Path, sheets: dict[str, Path], look: viewing.Look) -> None:
    plain, view = look(sheets["heron"]).page, look(nasty)
    page = view.page
    unfold(page)
    shown = page.evaluate("[document.title, document.body.innerText].join(' ')")
    for place in ("title", "notes", *AT, "do", "at", "undo"):
        assert viewing.squeezed(f"{place} {NASTY}") in viewing.squeezed(shown), place
    assert page.locator(".injected, img, i").count() == 0
    for kind in ("script", "style", "svg", "form", "iframe", "object"):
        assert page.locator(kind).count() == plain.locator(kind).count(), kind
    handlers = (
        "[...document.querySelectorAll('*')].filter(e => [...e.attributes].some(a => a.name.startsWith('on'))).length"
    )
    assert page.evaluate(handlers) == 0
    built(page)
    for place in page.locator("[data-ref]").all()[:40]:
        place.dispatch_event("pointerenter")
        place.dispatch_event("click")
    page.reload()
    page.wait_for_timeout(100)
    assert view.noise == [] and view.dialogs == []
    assert page.locator(".injected, img").count() == 0


def test_long_texts_of_others_stay_on_the_paper(nasty: Path, look: viewing.Look) -> None:
    view = look(nasty)
    unfold(view.page)
    assert viewing.cut_off(view) == []
    assert viewing.printed(view).lacks(viewing.cells(view)) == []
    view.page.set_viewport_size({"width": 320, "height": 640})
    assert view.page.evaluate("document.documentElement.scrollWidth") <= 320


def test_texts_of_others_are_no_barrier(nasty: Path, look: viewing.Look) -> None:
    view = look(nasty)
    unfold(view.page)
    assert viewing.barriers(view) == []
