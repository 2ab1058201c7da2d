"""The two parts that a sheet prints first, each on pages of its own: for the chassis, and for the meter."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from rasterport.emit.listing import runs_text
from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.plots.ink import px
from rasterport.emit.sheet.chassis import LANDINGS
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.meanings import words_of
from rasterport.emit.sheet.readings import (
    DECIDES,
    GATE,
    STAGES,
    Group,
    expected,
    ground,
    runs,
    sentence,
    state_words,
)
from rasterport.emit.wires.pictures import landing_picture
from rasterport.emit.wires.strands import LANDING, strands
from rasterport.emit.wiring import steps_before
from rasterport.records import Reading, Wire, Work
from rasterport.units import short

BOX = "\N{WHITE SQUARE} "
LEADS = (
    "The red lead is on what a line names first, the black one on what stands above unless the line says against what."
)
NO_WAY = "not stated"
EDGE = "Wires from the board to the chassis"
SIZE = re.compile(r'width="([0-9.]+)mm" height="([0-9.]+)mm"')
PX_PER_MM = 96 / 25.4
"""CSS Values and Units Level 3, 5.2: an inch of 25.4 mm has 96 px."""


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
        yield el("p", el("strong", "Work on the chassis, before any wire"))
        yield _columns(_step(work, n) for n, work in enumerate(circuit.work, 1))
    numbered = list(enumerate(circuit.wires, steps_before(circuit) + 1))
    drawn = {strand.number for strand in strands(circuit) if strand.group == LANDING}
    if others := [_wire(wire, n) for n, wire in numbered if n not in drawn]:
        yield el("p", el("strong", "Wires that do not lead to the chassis"))
        yield _columns(others)
    if drawn:
        boxes = " ".join(f"{BOX}{n}" for n in sorted(drawn))
        yield el("p", el("strong", "Wires to the chassis, in the picture below, in this order: "), boxes)
    yield el("p", el("strong", "Measure once they are on"))
    wanted: dict[str, list[int]] = {}
    for n, wire in numbered:
        if wire.measure:
            wanted.setdefault(wire.measure, []).append(n)
    yield _columns(f"{', '.join(runs_text(numbers))}: {what}" for what, numbers in wanted.items())
    if box := SIZE.search(landing_picture(circuit)):
        # The picture itself stands among the wires; a second copy would only make the page larger.
        wide, high = (px(float(mm) * PX_PER_MM) for mm in box.groups())
        again = el("use", href=f"#{LANDINGS}-picture")
        edge = el("svg", again, viewBox=f"0 0 {wide} {high}", class_="wires", role="img", aria_label=EDGE)
        yield el("div", edge, class_="picture")


def _step(work: Work, number: int) -> Html:
    way = f"{work.at}, back: {work.undo or NO_WAY}" if work.at else f"back: {work.undo or NO_WAY}"
    return joined([BOX, el("strong", f"{number} "), f"{work.do} ({way})"])


def _wire(wire: Wire, number: int) -> Html:
    kind = f" {short(wire.length_m * 1000)} mm{', screened' if wire.shielded else ''}" if wire.gauge else ""
    place = f", {wire.at}" if wire.at and not wire.at.startswith("rear panel") else ""
    return joined([BOX, el("strong", f"{number} "), f"{wire.start} to {wire.end}{place}: {wire.colour}{kind}"])


def _readings(given: Given) -> Iterator[Child]:
    yield el("p", LEADS)
    for stage, title in STAGES.items():
        members = [r for r in given.readings if r.stage == stage]
        if members:
            yield el("h3", title)
            yield el("p", DECIDES[stage])
        for run in runs(members):
            yield el("p", el("strong", sentence(state_words(run.state))), f" {sentence(run.shared)}")
            for group in run.groups:
                yield from _group(group)


def _group(group: Group) -> Iterator[Child]:
    """Readings with one instrument and one feed: what they share stands above them, once."""
    black = ground(group.readings)
    yield el("p", sentence("; ".join(filter(None, (group.instrument, group.feed, f"black lead on {black}")))))
    yield _columns(_reading(r, black) for r in group.readings)


def _reading(r: Reading, black: str) -> Html:
    gate = el("strong", f"{GATE} ") if r.decides else None
    other = "" if r.black == black else f" against {r.black}"
    _, _, remark = r.title.partition("; ")
    return joined([gate, f"{r.red}{other}{f' ({remark})' if remark else ''}: {expected(r)} ", el("em")])


def _columns(rows: Iterable[Child]) -> Html:
    return el("ul", [el("li", row) for row in rows], class_="columns")
