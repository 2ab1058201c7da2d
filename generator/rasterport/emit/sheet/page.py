"""The bench sheet as a page: its sections in the order of the work, and the two that are printed first."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from rasterport.emit.drawing.sheets import STYLE as CIRCUIT
from rasterport.emit.page import Child, Html, document, el, joined
from rasterport.emit.plots.style import STYLE as PLOTS
from rasterport.emit.sheet import chassis, figures, parts, printed, readings, record, told
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.markup import picture
from rasterport.emit.sheet.meanings import explained
from rasterport.emit.sheet.words.sections import Sections
from rasterport.emit.wires.ink import INKS
from rasterport.emit.wires.ink import STYLE as WIRES
from rasterport.records import Circuit

HERE = Path(__file__).parent
STYLE, SCRIPT = ((HERE / name).read_text(encoding="utf-8") for name in ("sheet.css", "sheet.js"))

SWATCHES = "".join(f".swatch.{code}{{background:{ink}}}" for code, ink in INKS.items()) + "\n"
"""Colours look in the lists as in the pictures."""


@dataclass(frozen=True, slots=True)
class Section:
    """One section: its name in links, its title, what it holds of a variant, and whether it begins open."""

    name: str
    title: str
    content: Callable[[Given], Iterable[Child]]
    opened: bool = False


def _purpose(given: Given) -> Iterable[Child]:
    yield from told.purpose(given.words, given.circuit)
    yield el("h3", "The circuit", class_="screen")
    for n, sheet in enumerate(given.drawings, 1):
        yield picture(sheet, f"circuit drawing, sheet {n}")


def _read(stage: str) -> Callable[[Given], Iterable[Child]]:
    return lambda given: readings.tables(given.circuit, given.readings, stage)


def _words(of: Callable[[Sections, Circuit], Iterable[Child]]) -> Callable[[Given], Iterable[Child]]:
    return lambda given: of(given.words, given.circuit)


SECTIONS = (
    Section("cautions", "Before anything else", _words(told.cautions), True),
    Section("before", "Measure on the set first", _words(told.before)),
    Section("purpose", "What the board does", _purpose),
    Section("figures", "Figures", figures.figures),
    Section("parts", "Parts", lambda given: parts.parts(given.circuit)),
    Section("harness", "The board's own wires", chassis.own_wires),
    Section("alone", readings.STAGES["alone"], _read("alone")),
    Section("wiring", "Wiring to the chassis", chassis.wiring),
    Section("joined", readings.STAGES["joined"], _read("joined")),
    Section("powered", readings.STAGES["powered"], _read("powered")),
    Section("picture", "First picture, and adjustment", _words(told.picture)),
    Section("faults", "What can go wrong", _words(told.faults)),
    Section("record", "Record of this board", lambda given: record.record(given.circuit)),
    Section("card", "For who uses the set", _words(told.card)),
)
"""In the order of the work."""


def bench_sheet(given: Given) -> str:
    """The whole page."""
    made = [(section, list(section.content(given))) for section in SECTIONS]
    shown = [(section, content) for section, content in made if content]
    title = f"{given.name}: bench sheet"
    return document(
        title,
        el("h1", given.heading, class_="screen"),
        el("p", f"{given.name}, variant {given.digest[:12]}, bare board {given.bare_board[:12]}", class_="screen"),
        el("p", given.variant.variant.notes, class_="screen") if given.variant.variant.notes else None,
        el("p", el("strong", given.remark), class_="alert") if given.remark else None,
        el("p", EARLIER, id="earlier", class_="alert", hidden=True),
        el("p", NOT_KEPT, id="not-kept", class_="alert", hidden=True),
        el("p", NOT_READ, el("span"), id="not-read", class_="alert", hidden=True),
        _contents(section for section, _ in shown),
        list(printed.printed(given)),
        explained(joined(_section(section, content) for section, content in shown)),
        style=PLOTS + CIRCUIT + WIRES + STYLE + SWATCHES,
        script=SCRIPT,
        data_variant=given.name,
        data_digest=given.digest,
    )


EARLIER = (
    "Some entries below were made on a sheet of another state of this variant: values and limits may have changed."
)
NOT_KEPT = "This browser does not keep what you enter on this page: copy the record out before you close it."
NOT_READ = "What this browser kept for this page is not as this page wrote it, and was left out.  Look again at: "


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
