"""The two parts that a sheet prints first, each on pages of its own: for the chassis, and for the meter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.chassis import first_number
from rasterport.emit.sheet.facts import Facts
from rasterport.emit.sheet.markup import swatch
from rasterport.emit.sheet.readings import STAGES, expected, state_words
from rasterport.records import Reading, Wire
from rasterport.units import short

BLANK = "\N{WHITE SQUARE}"


def printed(facts: Facts, cautions: Sequence[str]) -> Iterator[Html]:
    """Chassis work with its picture, then the readings; `cautions` stand above both."""
    yield _part(facts, "chassis work", cautions, list(_chassis(facts)))
    if facts.readings:
        yield _part(facts, "readings", cautions, list(_readings(facts)))


def _part(facts: Facts, title: str, cautions: Sequence[str], content: list[Child]) -> Html:
    about = f"{facts.heading}; {facts.name}, variant {facts.digest[:12]}; board no. ________ date ____________"
    remark = el("p", el("strong", facts.remark)) if facts.remark else None
    told = el("ul", [el("li", text) for text in cautions], class_="tight") if cautions else None
    return el(
        "section", el("h2", f"{facts.name}: {title}"), el("p", about), remark, told, content, class_="print-first"
    )


def _chassis(facts: Facts) -> Iterator[Child]:
    circuit = facts.circuit
    if circuit.work:
        steps = ([BLANK, str(n), w.do, w.at, w.undo or "not stated"] for n, w in enumerate(circuit.work, 1))
        yield _table(("", "no.", "work on the chassis", "where", "way back"), steps)
    rows = [_wire(wire, n) for n, wire in enumerate(circuit.wires, first_number(circuit))]
    yield _table(("", "no.", "from", "to", "wire", "measure once it is on"), rows)
    if facts.wirings:
        yield el("div", Html(facts.wirings[0][facts.wirings[0].index("<svg") :]), class_="picture")


def _wire(wire: Wire, number: int) -> list[Child]:
    kind = f" {short(wire.length_m * 1000)} mm{', screened' if wire.shielded else ''}" if wire.gauge else ""
    code = swatch(wire.colour) if wire.colour else None
    place = f", {wire.at}" if wire.at else ""
    return [BLANK, str(number), wire.start, f"{wire.end}{place}", joined([code, kind]), wire.measure]


def _readings(facts: Facts) -> Iterator[Child]:
    for stage, title in STAGES.items():
        members = [r for r in facts.readings if r.stage == stage]
        if members:
            yield el("h3", title)
            rows = (_reading(r) for r in members)
            yield _table(("", "red lead on", "black lead on", "state, feed", "expect", "found"), rows)


def _reading(r: Reading) -> list[Child]:
    state = ". ".join(filter(None, (state_words(r.state) if r.state else "", r.feed)))
    gate = "!" if r.decides else ""
    return [gate, r.red, r.black, state, expected(r), el("span", data_shows=r.key)]


def _table(head: Sequence[str], rows: Iterable[Iterable[Child]]) -> Html:
    top = el("thead", el("tr", [el("th", text, scope="col") for text in head]))
    return el("table", top, el("tbody", [el("tr", [el("td", cell) for cell in row]) for row in rows]))
