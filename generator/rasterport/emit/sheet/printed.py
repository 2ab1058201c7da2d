"""The two parts that a sheet prints first, each on pages of its own: for the chassis, and for the meter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.chassis import first_number
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.markup import swatch
from rasterport.emit.sheet.meanings import words_of
from rasterport.emit.sheet.readings import DECIDES, GATE, STAGES, expected, state_words
from rasterport.records import Reading, Wire
from rasterport.units import short

BLANK = "\N{WHITE SQUARE}"


def printed(given: Given) -> Iterator[Html]:
    """Chassis work with its picture, then the readings; each with the cautions and with the meaning of its words."""
    yield _part(given, "chassis work", joined(_chassis(given)))
    if given.readings:
        yield _part(given, "readings", joined(_readings(given)))


def _part(given: Given, title: str, content: Html) -> Html:
    about = f"{given.heading}; {given.name}, variant {given.digest[:12]}; board no. ________ date ____________"
    remark = el("p", el("strong", given.remark)) if given.remark else None
    orders = el("p", el("strong", "Before anything else: "), "; ".join(c.title for c in given.words.cautions), ".")
    return el(
        "section",
        el("h2", f"{given.name}: {title}"),
        el("p", about),
        remark,
        orders,
        content,
        words_of(joined([orders, content])),
        class_="print-first",
    )


def _chassis(given: Given) -> Iterator[Child]:
    circuit = given.circuit
    if circuit.work:
        steps = ([BLANK, str(n), w.do, w.at, w.undo or "not stated"] for n, w in enumerate(circuit.work, 1))
        yield _table(("", "no.", "work on the chassis", "where", "way back"), steps)
    rows = [_wire(wire, n) for n, wire in enumerate(circuit.wires, first_number(circuit))]
    yield _table(("", "no.", "from", "to", "wire", "measure once it is on"), rows)
    if given.wirings:
        yield el("div", Html(given.wirings[0][given.wirings[0].index("<svg") :]), class_="picture")


def _wire(wire: Wire, number: int) -> list[Child]:
    kind = f" {short(wire.length_m * 1000)} mm{', screened' if wire.shielded else ''}" if wire.gauge else ""
    code = swatch(wire.colour) if wire.colour else None
    place = f", {wire.at}" if wire.at else ""
    return [BLANK, str(number), wire.start, f"{wire.end}{place}", joined([code, kind]), wire.measure]


def _readings(given: Given) -> Iterator[Child]:
    yield el("p", DECIDES)
    for stage, title in STAGES.items():
        members = [r for r in given.readings if r.stage == stage]
        if members:
            yield el("h3", title)
            rows = (_reading(r) for r in members)
            yield _table(("", "red lead on", "black lead on", "state, feed", "expect", "found"), rows)


def _reading(r: Reading) -> list[Child]:
    state = ". ".join(filter(None, (state_words(r.state) if r.state else "", r.feed)))
    gate = GATE if r.decides else ""
    return [gate, r.red, r.black, state, expected(r), el("span", data_shows=r.key)]


def _table(head: Sequence[str], rows: Iterable[Iterable[Child]]) -> Html:
    top = el("thead", el("tr", [el("th", text, scope="col") for text in head]))
    return el("table", top, el("tbody", [el("tr", [el("td", cell) for cell in row]) for row in rows]))
