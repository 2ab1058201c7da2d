"""The two parts that a sheet prints first, each on pages of its own: for the iron, and for the meter."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.plots.ink import px
from rasterport.emit.sheet.chassis import MEASURE, measures, own_ground, sum_of, untold, wires_of, work_of
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
from rasterport.emit.wires.ink import remarks
from rasterport.emit.wires.strands import JOINTS, LANDING, strands, titled
from rasterport.records import Reading, Wire, Work
from rasterport.units import short

BOX = "\N{WHITE SQUARE} "
LEADS = (
    "The red lead is on what a line names first, the black one on what stands above unless the line says against what."
)
NO_WAY = "not stated"
SIZE = re.compile(r'width="([0-9.]+)mm" height="([0-9.]+)mm"')
PX_PER_MM = 96 / 25.4
"""CSS Values and Units Level 3, 5.2: an inch of 25.4 mm has 96 px."""


def printed(given: Given) -> Iterator[Html]:
    """Wires and chassis work with their pictures, then readings; each with cautions and the meaning of its words."""
    shown = el("p", [f"{w.start} {w.end} {w.at} {w.carries} {w.ground}. " for w in given.circuit.wires])
    yield _part(given, "wires and work on the chassis", joined(_iron(given)), shown)
    if given.readings:
        yield _part(given, "readings", joined(_readings(given)))


def _part(given: Given, title: str, content: Html, shown: Html | None = None) -> Html:
    """A part that stands alone; `shown` is what its pictures say, whose words it explains as well."""
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
        words_of(joined([orders, content, shown])),
        class_="print-first",
    )


def _iron(given: Given) -> Iterator[Child]:
    circuit = given.circuit
    if told := remarks(strands(circuit)):
        yield el("p", " ".join(told))
    if circuit.housed:
        yield from _work(given)
    own = [(n, wire) for n, wire in wires_of(circuit) if not wire.inside]
    if own:
        yield el("p", el("strong", "The board's own wires, before the bench"))
        yield _columns(_wire(wire, n) for n, wire in own)
        yield from _measures(own)
        met = {strand.group for strand in strands(circuit)} if not circuit.wired else set(given.pictures)
        yield from (_again(name, given) for name in given.pictures if name in met - {JOINTS, LANDING})
    if not circuit.housed:
        yield from _work(given)
    landed = [(n, wire) for n, wire in wires_of(circuit) if wire.inside]
    if landed:
        boxes = " ".join(f"{BOX}{n}" for n, _ in landed)
        yield el("p", el("strong", "Wires to the chassis, in the picture below, in this order: "), boxes)
        yield from _measures(landed)
        yield _again(LANDING, given)


def _work(given: Given) -> Iterator[Child]:
    missing = untold(given.findings)
    if given.circuit.work or missing:
        told = f" {sum_of(given.circuit)}" if given.circuit.work else None
        yield el("p", el("strong", "Work on the chassis, before any wire to it"), told)
        yield _columns(_step(work, n) for n, work in work_of(given.circuit))
        yield from (el("p", el("strong", text)) for text in missing)


def _measures(rows: Sequence[tuple[int, Wire]]) -> Iterator[Child]:
    yield el("p", el("strong", MEASURE))
    yield _columns(measures(rows))


def _again(name: str, given: Given) -> Html:
    """A picture that stands among the wires; a second copy would only make the page larger."""
    box = SIZE.search(given.pictures[name])
    assert box, name
    wide, high = (px(float(mm) * PX_PER_MM) for mm in box.groups())
    again = el("use", href=f"#{name}-picture")
    words = f"wires of {titled(name)}"
    drawn = el("svg", again, viewBox=f"0 0 {wide} {high}", class_="wires", role="img", aria_label=words)
    return el("div", drawn, class_="picture")


def _step(work: Work, number: int) -> Html:
    way = f"{work.at}, back: {work.undo or NO_WAY}" if work.at else f"back: {work.undo or NO_WAY}"
    return joined([BOX, el("strong", f"{number} "), f"{work.do} ({way})"])


def _wire(wire: Wire, number: int) -> Html:
    length = f"{short(wire.length_m * 1000)} mm" if wire.length_m else wire.gauge
    kind = " ".join(filter(None, (wire.colour, length))) + (", screened" if wire.shielded else "")
    place = f", {wire.at}" if wire.says_where else ""
    ground = f" ({own_ground(wire)})" if own_ground(wire) else ""
    return joined([BOX, el("strong", f"{number} "), f"{wire.start} to {wire.end}{place}: {kind}{ground}"])


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
