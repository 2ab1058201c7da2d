"""The survey sheet as a page to print and write on: the same keys and the same order as the text."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.page import Html, document, el
from rasterport.emit.survey import AFTERWARDS, CAUTIONS, OPENING, STEPS, TITLE, WITHOUT, facts_of, stage_of
from rasterport.emit.survey_blanks import STYLE as BLANKS
from rasterport.emit.survey_blanks import blanks
from rasterport.variant.keys import Key, heading, is_required, keys

STYLE = """
td{overflow-wrap:anywhere}td.answer{width:24%;background:var(--field)}td.name{width:19%}td.name .key{font-weight:600}
.blank{display:inline-block;width:18rem;max-width:80%;border-bottom:1px solid}.short{width:8rem}
@media print{td.answer{background:none}}
"""


def survey_page() -> str:
    """The whole page; nothing of it depends on a variant."""
    steps = []
    for number, (stage, (title, condition)) in enumerate(STEPS.items(), 1):
        members = [key for key in keys() if stage_of(key) == stage]
        steps.append(el("section", el("h2", f"Step {number}. {title}"), el("p", condition), list(_tables(members))))
    cautions = el("ul", [el("li", text) for text in CAUTIONS])
    return document(
        TITLE,
        blanks(),
        el("h1", TITLE),
        el("p", OPENING),
        el("section", el("h2", "Before the back comes off"), cautions, class_="caution"),
        el("p", "Set: ", el("span", class_="blank"), " Date: ", el("span", class_="blank short")),
        steps,
        el("p", AFTERWARDS, class_="faint"),
        style=STYLE + BLANKS,
    )


def _tables(members: list[Key]) -> Iterator[Html]:
    """One table of the page for each table of the file."""
    names = list(dict.fromkeys(key.table for key in members))
    for table in names:
        rows = [_row(key) for key in members if key.table == table]
        head = el("thead", el("tr", [el("th", text, scope="col") for text in ("key", "what and how to tell", "found")]))
        without = None if is_required(table) else el("p", WITHOUT, class_="faint")
        yield el("h3", el("code", heading(table)))
        if without is not None:
            yield without
        yield el("table", head, el("tbody", rows))


def _row(key: Key) -> Html:
    facts = "; ".join(facts_of(key))
    how = key.survey.how if key.survey else ""
    return el(
        "tr",
        el("td", el("span", key.name, class_="key"), " *" if key.required else None, class_="name"),
        el("td", f"{key.description.rstrip('.')}. ", el("span", f"{facts}. ", class_="faint"), how),
        el("td", class_="answer"),
    )
