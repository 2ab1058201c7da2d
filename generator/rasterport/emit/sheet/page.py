"""The bench sheet as a page: its sections in the order of the work, and the two that are printed first."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from rasterport.emit.page import Child, Html, document, el
from rasterport.emit.sheet import chassis, figures, parts, printed, readings, record
from rasterport.emit.sheet.facts import Facts
from rasterport.emit.sheet.markup import picture

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Section:
    """One section: its name in links, its title, what it holds of a variant, and whether it begins open."""

    name: str
    title: str
    content: Callable[[Facts], Iterable[Child]]
    opened: bool = False


def _drawings(facts: Facts) -> Iterable[Child]:
    for n, sheet in enumerate(facts.drawings, 1):
        yield picture(sheet, f"circuit drawing, sheet {n}")


def _wiring(facts: Facts) -> Iterable[Child]:
    yield from (picture(sheet, f"wiring, sheet {n}") for n, sheet in enumerate(facts.wirings, 1))
    yield from chassis.wiring(facts.circuit)


def _read(stage: str) -> Callable[[Facts], Iterable[Child]]:
    return lambda facts: readings.tables(facts.circuit, facts.readings, stage)


SECTIONS = (
    Section("drawing", "What the board does", _drawings, True),
    Section("figures", "Figures", figures.figures),
    Section("parts", "Parts", lambda facts: parts.parts(facts.circuit)),
    Section("alone", readings.STAGES["alone"], _read("alone")),
    Section("wiring", "Wiring to the chassis", _wiring),
    Section("joined", readings.STAGES["joined"], _read("joined")),
    Section("powered", readings.STAGES["powered"], _read("powered")),
    Section("record", "Record of this board", lambda facts: record.record()),
)
"""In the order of the work."""


def bench_sheet(facts: Facts) -> str:
    """The whole page."""
    made = [(section, list(section.content(facts))) for section in SECTIONS]
    shown = [(section, content) for section, content in made if content]
    title = f"{facts.name}: bench sheet"
    return document(
        title,
        el("h1", facts.heading, class_="screen"),
        el("p", f"{facts.name}, variant {facts.digest[:12]}, bare board {facts.bare_board[:12]}", class_="screen"),
        el("p", el("strong", facts.remark), class_="alert") if facts.remark else None,
        el("p", EARLIER, id="earlier", class_="alert", hidden=True),
        el("p", NOT_KEPT, id="not-kept", class_="alert", hidden=True),
        _contents(section for section, _ in shown),
        list(printed.printed(facts, ())),
        [_section(section, content) for section, content in shown],
        style=(HERE / "sheet.css").read_text(encoding="utf-8"),
        script=(HERE / "sheet.js").read_text(encoding="utf-8"),
        data_variant=facts.name,
        data_digest=facts.digest,
    )


EARLIER = (
    "Entries below were made on a sheet of an earlier state of this variant: values and limits may have changed since."
)
NOT_KEPT = "This browser keeps nothing for this page: copy the record out before you close it."


def _contents(sections: Iterable[Section]) -> Html:
    links = [el("li", el("a", section.title, href=f"#{section.name}")) for section in sections]
    buttons = [
        el("button", "Open every section", type="button", id="open-all"),
        " ",
        el("button", "Close every section", type="button", id="close-all"),
    ]
    return el("nav", el("ol", links), el("p", buttons), aria_label="Sections in the order of the work")


def _section(section: Section, content: list[Child]) -> Html:
    return el("details", el("summary", el("h2", section.title)), content, id=section.name, open=section.opened)
