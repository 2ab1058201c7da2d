"""What the survey asks of a set as blanks alone: one page of A4 to lie beside the set; the pages after it tell all."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.page import Html, el
from rasterport.emit.survey import CAUTIONS, STEPS, stage_of
from rasterport.variant.fields import Stage
from rasterport.variant.keys import Key, heading, keys

STYLE = """
.blanks{display:none}
@media print{
.blanks{display:block;break-after:page;font-size:7.1pt;line-height:1.14}
.blanks h2{margin:0;font-size:12pt}.blanks h3{margin:1.6mm 0 .3mm;font-size:8.5pt}.blanks p{margin:.8mm 0}
.blanks ul{columns:2;column-gap:5mm;margin:1mm 0;padding-left:3.5mm;font-size:6.5pt}
.blanks>div{columns:3;column-gap:5mm}
.blanks .table{font-weight:600;padding-top:1.2mm;break-after:avoid}
.blanks .line{display:flex;gap:1mm;align-items:flex-end;break-inside:avoid;padding-top:.7mm}
.blanks .line i{flex:1;min-width:14mm;border-bottom:.2mm solid}.blanks .ring{flex:1;text-align:right}
}
"""
TITLE = "All that is asked of the set, on one page"
FIRST = (
    "Go from step to step; the pages that follow say how to find each value.  * must be known where its table is "
    "written.  Beside a blank stands what is usual; of words one is to be ringed."
)


def blanks() -> Html:
    """The section; on a screen it is not shown, since the steps below have the same fields."""
    return el(
        "section",
        el("h2", TITLE),
        el("ul", [el("li", text) for text in CAUTIONS]),
        el("p", FIRST),
        el("p", "Set: ", el("span", class_="blank"), " Date: ", el("span", class_="blank short")),
        el("div", list(_steps())),
        class_="blanks",
    )


def _steps() -> Iterator[Html]:
    for number, (stage, (title, condition)) in enumerate(STEPS.items(), 1):
        members = [key for key in keys() if stage_of(key) == stage]
        if stage is Stage.CHOICE or not members:
            continue
        yield el("h3", f"Step {number}. {title}")
        yield el("p", condition)
        for table in dict.fromkeys(key.table for key in members):
            yield el("div", el("code", heading(table)), class_="table")
            yield from (_line(key) for key in members if key.table == table)


def _line(key: Key) -> Html:
    name = el("span", key.name, "*" if key.required else None, class_="key")
    if key.choices:
        words = " / ".join(choice.strip('"') for choice in key.choices)
        return el("div", name, el("span", words, class_="ring"), class_="line")
    return el("div", name, el("i"), el("span", _usual(key), class_="faint"), class_="line")


def _usual(key: Key) -> str:
    """What is usual, with its unit; of texts nothing is."""
    if key.quantity is None:
        return ""
    return (key.survey.usual if key.survey else "") or key.default.strip('"') or key.quantity.bounds()
