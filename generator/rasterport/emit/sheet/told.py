"""The words of the sheet as markup: one function a section."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import bullets, table, tick, told
from rasterport.emit.sheet.words.kinds import Behaviour, Caution, Check, Fault, Passage, Step
from rasterport.emit.sheet.words.sections import Sections
from rasterport.records import Circuit


def cautions(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What comes before everything else, in short orders."""
    yield el("ol", [_caution(c, circuit) for c in words.cautions], class_="cautions")


def _caution(c: Caution, circuit: Circuit) -> Html:
    return el("li", el("strong", c.title), ". ", list(told(c.text, circuit)), _source(c.source))


def before(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What to find out on the set, those checks together that need the set in one condition."""
    head = ("done", "what, and how", "leads of the meter", "expect", "where it is otherwise")
    for condition in dict.fromkeys(c.set_is for c in words.before):
        members = [c for c in words.before if c.set_is == condition]
        yield el("h3", f"Set: {condition}")
        yield table(head, (_check(c, circuit) for c in members), f"with the set: {condition}", "checks")


def _check(c: Check, circuit: Circuit) -> list[Child]:
    stops = el("strong", " Decides whether there may be a board.") if c.decides else None
    leads: list[Child] = ["Red: ", list(told(c.red, circuit)), el("br"), "Black: ", list(told(c.black, circuit))]
    return [
        tick(f"before/{c.key}", f"{c.title}: done"),
        joined([el("strong", c.title), el("br"), list(told(c.how, circuit)), stops, _source(c.source)]),
        joined([f"{c.instrument}. ", leads if c.red else None]),
        joined([c.expect, el("br"), el("span", c.says, class_="faint")]),
        joined(list(told(c.otherwise, circuit))),
    ]


def purpose(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What the board takes in and gives out, and what the set does in each kind of state."""
    yield from _passages(words.purpose, circuit)
    if words.behaviours:
        head = ("state", "when", "the screen shows", "sound", "the board meanwhile")
        yield table(head, (_behaviour(b, circuit) for b in words.behaviours), "what the set does, and when", "states")


def _behaviour(b: Behaviour, circuit: Circuit) -> list[Child]:
    cells = [joined(list(told(text, circuit))) for text in (b.when, b.shows, b.sounds, b.board)]
    return [el("strong", b.title), *cells]


def picture(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """The first picture and its adjustment, step by step."""
    titles = {f.key: f.title for f in words.faults}
    yield el("ol", [_step(s, circuit, titles) for s in words.picture], class_="steps")


def _step(s: Step, circuit: Circuit, titles: dict[str, str]) -> Html:
    links: list[Child] = [el("li", el("a", titles[key], href=f"#fault-{key}")) for key in s.see_also if key in titles]
    rows = (("Feed", s.feed), ("Do", s.do), ("See", s.see), ("Adjust", s.adjust))
    return el(
        "li",
        tick(f"picture/{s.key}", f"{s.title}: done"),
        " ",
        el("strong", s.title),
        _pairs(rows, circuit),
        el("p", "Where it is otherwise:") if links else None,
        el("ul", links) if links else None,
        _source(s.source),
    )


def faults(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What can go wrong, found by how it looks or sounds."""
    yield bullets(words.opening)
    yield from (_fault(f, circuit) for f in words.faults)


def _fault(f: Fault, circuit: Circuit) -> Html:
    rows = (("Looks", f.looks), ("Cause", f.cause), ("Measure", f.where), ("Expect", f.expect), ("Do", f.do))
    return el(
        "section", el("h3", f.title), _pairs(rows, circuit), _source(f.source), id=f"fault-{f.key}", class_="fault"
    )


def card(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """The card for who uses the set, which stands alone."""
    yield from _passages(words.card, circuit)


def _passages(found: Sequence[Passage], circuit: Circuit) -> Iterator[Html]:
    for passage in found:
        yield el("h3", passage.title)
        yield bullets(joined(list(told(sentence, circuit))) for sentence in passage.sentences)


def _pairs(rows: Iterable[tuple[str, str]], circuit: Circuit) -> Html:
    made: list[Child] = [el("div", el("dt", name), el("dd", list(told(text, circuit)))) for name, text in rows if text]
    return el("dl", made)


def _source(source: str) -> Html | None:
    return el("span", f" [{source}]", class_="source") if source else None
