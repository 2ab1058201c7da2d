"""The words of the sheet as markup: one function a section."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import bullets, table, tick, told
from rasterport.emit.sheet.words.kinds import Behaviour, Caution, Check, Fault, Passage, Step
from rasterport.emit.sheet.words.sections import Sections
from rasterport.records import Circuit


def cautions(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What comes before everything else, in short orders."""
    common = _common(words.cautions)
    yield from _sources(common)
    yield el("ol", [_caution(c, circuit, common) for c in words.cautions], class_="cautions")


def _caution(c: Caution, circuit: Circuit, common: str) -> Html:
    return el("li", el("strong", c.title), ". ", list(told(c.text, circuit)), _source(c.source, common))


def before(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What to find out on the set, those checks together that need the set in one condition."""
    common = _common(words.before)
    yield bullets(words.before_opening)
    yield from _sources(common)
    head = ("done", "what, and how", "leads of the meter", "expect", "where it is otherwise")
    for condition in dict.fromkeys(c.set_is for c in words.before):
        members = [c for c in words.before if c.set_is == condition]
        (black, alike), *_ = Counter(c.black for c in members).most_common(1)
        shared = black if alike > 1 else ""
        yield el("h3", f"Set: {condition}")
        if shared:
            yield el("p", "Black lead, where no other point is named: ", list(told(shared, circuit)), ".")
        rows = (_check(c, circuit, common, shared) for c in members)
        yield table(head, rows, f"with the set: {condition}", "checks")


def _check(c: Check, circuit: Circuit, common: str, shared: str) -> list[Child]:
    """A check as a row; `common` and `shared` are the source and the black lead's point that stand above already."""
    stops = el("strong", " Decides whether there may be a board.") if c.decides else None
    leads: list[Child] = ["Red: ", list(told(c.red, circuit))]
    if c.black != shared:
        leads += [el("br"), "Black: ", list(told(c.black, circuit))]
    return [
        tick(f"before/{c.key}", f"{c.title}: done"),
        joined([el("strong", c.title), el("br"), list(told(c.how, circuit)), stops, _source(c.source, common)]),
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
    common = _common(words.picture)
    yield from _sources(common)
    yield el("ol", [_step(s, circuit, titles, common) for s in words.picture], class_="steps")


def _step(s: Step, circuit: Circuit, titles: dict[str, str], common: str) -> Html:
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
        _source(s.source, common),
    )


def faults(words: Sections, circuit: Circuit) -> Iterator[Html]:
    """What can go wrong, found by how it looks or sounds."""
    yield bullets(words.opening)
    common = _common(words.faults)
    yield from _sources(common)
    yield from (_fault(f, circuit, common) for f in words.faults)


def _fault(f: Fault, circuit: Circuit, common: str) -> Html:
    rows = (("Looks", f.looks), ("Cause", f.cause), ("Measure", f.where), ("Expect", f.expect), ("Do", f.do))
    return el(
        "section",
        el("h3", f.title),
        _pairs(rows, circuit),
        _source(f.source, common),
        id=f"fault-{f.key}",
        class_="fault",
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


def _common(records: Sequence[Caution | Check | Step | Fault]) -> str:
    """The source that most of them share, the first named of several; "" where nothing is shared."""
    (source, count), *_ = Counter(r.source for r in records).most_common(1) or [("", 0)]
    return source if count > 1 else ""


def _sources(common: str) -> Iterator[Html]:
    if common:
        yield el("p", f"Source, where no other is named: {common}.", class_="source")


def _source(source: str, common: str) -> Html | None:
    return el("span", f" [{source}]", class_="source") if source != common else None
