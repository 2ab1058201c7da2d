"""Pages: well-formed by an independent parser, escaped, and with everything that the text has."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from pages import read
from rasterport.emit.page import document, el
from rasterport.emit.survey import CAUTIONS, TITLE, survey_text
from rasterport.emit.survey_page import survey_page
from rasterport.variant.keys import keys


def squeezed(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_text_is_escaped_and_markup_stays() -> None:
    made = el("p", '<script>&"', el("b", "a < b"), ["x", el("br")], None, title='"><i>', data_at=True, hidden=False)
    assert made == '<p title="&quot;&gt;&lt;i&gt;" data-at>&lt;script&gt;&amp;"<b>a &lt; b</b>x<br></p>'
    (word,) = ElementTree.fromstring(el("p", "<&>'\"")).itertext()
    assert word == "<&>'\""


def test_a_page_is_one_file_that_fetches_nothing() -> None:
    page = document("<T>", el("p", "x"))
    assert page.startswith("<!DOCTYPE html>\n") and page.endswith("\n") and "<title>&lt;T&gt;</title>" in page
    assert "<T>" in read(page).words
    assert "http:" not in page and "https:" not in page and "url(" not in page and "@import" not in page


def test_the_survey_page_has_every_key_once_and_every_caution_first() -> None:
    page = survey_page()
    found = read(page)
    assert found.links == []
    text = squeezed(" ".join(found.words))
    for caution in CAUTIONS:
        assert caution in text
    blanks, steps = text[: text.rindex(TITLE)], text[text.rindex(TITLE) :]
    assert blanks.index(CAUTIONS[-1]) < blanks.index("Step 2.") < blanks.index("Step 5.")
    assert steps.index(CAUTIONS[-1]) < steps.index("Step 1.") < steps.index("Step 5.")
    told = page[page.index("</h1>") :]
    names = re.findall(r'<span class="key">([a-z_0-9]+)</span>', told)
    assert sorted(names) == sorted(key.name for key in keys() if key.table != ("built",))


def test_page_and_text_say_the_same() -> None:
    text, page = squeezed(survey_text()), squeezed("".join(read(survey_page()).words))
    for key in (key for key in keys() if key.table != ("built",)):
        assert key.survey is None or squeezed(key.survey.how) in text
        assert key.survey is None or squeezed(key.survey.how) in page
        assert key.description.rstrip(".") in page
