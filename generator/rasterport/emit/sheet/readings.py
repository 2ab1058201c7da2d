"""Readings as tables to fill in: what to read where, what to expect, what to suspect."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import table, told
from rasterport.records import BRIDGED, OPEN_LEAST_OHM, OPENED, Circuit, Reading
from rasterport.units import short, written

STAGES = {
    "alone": "The board alone on the bench",
    "joined": "In the set, before power",
    "powered": "In the set, with power",
}
"""Stage of a reading -> its title, in the order of the work."""
GATE = "!"
DECIDES = {
    "alone": f"{GATE} marks what must be right before the board may go into the set.",
    "joined": f"{GATE} marks what decides whether power may be applied: go on only when all of them are right.",
    "powered": f"{GATE} marks what is read first in each state: where it is wrong, switch off at once.",
}
SUSPECTS = (
    "Where a line names only low or only high, the other is no fault.",
    'A part that is "open" may be a bad joint of it.',
)
NEITHER = f"Where it names neither: low, {BRIDGED}; high, {OPENED}."
SETTLE = "Where a capacitor charges let the reading settle."
BETWEEN = 0.5
"""A limit below this part of the nominal comes from what nobody knows about the set: then only the limits are told."""
HEAD = ("read", "red lead on", "black lead on", "expect", "found")
PARTS = re.compile(r"; (?![^()]*\))")
"""Between the parts of a feed; what stands in brackets is none."""


@dataclass(frozen=True, slots=True)
class Group:
    """Readings with one instrument and one feed, as far as that is not `Run.shared`."""

    instrument: str
    feed: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """Readings of one state that follow each other; `shared` is what all of them are fed."""

    state: str
    shared: str
    groups: tuple[Group, ...]


def runs(found: Sequence[Reading]) -> Iterator[Run]:
    """Readings in the order in which screen and paper list them: what is fed stands once over all that it serves."""
    for (state, _), members in groupby(found, key=lambda r: (r.state, r.unit == "ohm")):
        some = list(members)
        shared = [part for part in PARTS.split(some[0].feed) if all(part in PARTS.split(r.feed) for r in some)]
        rest = {r.key: "; ".join(part for part in PARTS.split(r.feed) if part not in shared) for r in some}
        kinds = dict.fromkeys((r.instrument, rest[r.key]) for r in some)
        groups = (Group(*kind, tuple(r for r in some if (r.instrument, rest[r.key]) == kind)) for kind in kinds)
        yield Run(state, "; ".join(shared), tuple(groups))


def ground(found: Sequence[Reading]) -> str:
    """Where the black lead is for most readings."""
    return Counter(r.black for r in found).most_common(1)[0][0]


def tables(circuit: Circuit, found: Sequence[Reading], stage: str) -> Iterator[Html]:
    """The readings of a stage, those of one state and one feed together, in the order of the work."""
    members = [r for r in found if r.stage == stage]
    if members:
        yield el("p", " ".join(_head(stage, members)))
    for run in runs(members):
        yield el("h3", state_words(run.state))
        if run.shared:
            yield el("p", sentence(run.shared))
        for group in run.groups:
            yield el("p", f"{sentence(group.instrument)} ", sentence(group.feed))
            rows = (_row(circuit, r, ground(members)) for r in group.readings)
            yield table(HEAD, rows, f"{state_words(run.state)}: {group.instrument}", "readings")


def _head(stage: str, found: Sequence[Reading]) -> Iterator[str]:
    """What holds for every line of a stage, or for most of them."""
    yield DECIDES[stage]
    yield from SUSPECTS
    if not all(suspects(r) for r in found):
        yield NEITHER
    if any("charge" in r.title for r in found):
        yield SETTLE
    yield f"Ground is the {ground(found)}."


def sentence(text: str) -> str:
    """A text as a sentence, "" for none."""
    return text[:1].upper() + text[1:] + "." * (text[-1:] not in ("", "."))


def state_words(state: str) -> str:
    """A state as a heading."""
    if not state:
        return "In any state"
    return "Native: the board inactive" if state == "native" else f"{state.replace('-', ' ').capitalize()} chosen"


def expected(r: Reading) -> str:
    """What to expect, with its limits, in the digits of the instrument."""
    low, high = (written(v, r.unit) if math.isfinite(v) else "open" for v in (r.low, r.high))
    if math.isinf(r.high):
        return f"open, above {low}" if r.low >= OPEN_LEAST_OHM else f"above {low}"
    if r.unit == "ohm" and r.low == 0:
        return f"below {high}"
    spread = f"{_bare(low, high)} to {high}"
    if r.unit == "ohm" and r.low < BETWEEN * r.nominal:
        return spread
    nominal = written(r.nominal, r.unit)
    return nominal if low == high else f"{nominal} ({spread})"


def _bare(text: str, other: str) -> str:
    """A value without its unit where another one beside it has the same."""
    number, _, unit = text.partition(" ")
    return number if unit and other.endswith(f" {unit}") else text


def _row(circuit: Circuit, r: Reading, common: str) -> list[Child]:
    gate = el("strong", f"{GATE} ") if r.decides else None
    means = [el("li", f"{word}: ", list(told(text, circuit))) for word, text in suspects(r)]
    lines: list[Child] = [gate, r.title, el("ul", means, class_="means") if means else None]
    red, black = (joined(list(told(_place(words, r.title, common), circuit))) for words in (r.red, r.black))
    return [joined(lines), red, black, expected(r), joined(field(r))]


def suspects(r: Reading) -> list[tuple[str, str]]:
    """What a line names: "low" or "high" with its text; nothing where it is what the head of the stage says."""
    if {r.low_means, r.high_means} <= {"", BRIDGED, OPENED}:
        return []
    if r.low_means == r.high_means:
        return [("low or high", r.low_means)]
    return [(word, text) for word, text in (("low", r.low_means), ("high", r.high_means)) if text]


def _place(words: str, title: str, common: str) -> str:
    """Where a lead goes, without what the title beside it says already."""
    if words == common:
        return "ground"
    name, _, rest = words.partition(" (")
    return rest.removesuffix(")") if rest and "landing" in name and name in title else words


def field(r: Reading) -> list[Child]:
    """Where the reading is written; the script says at once whether it lies within its limits."""
    low, high = short(r.low), "inf" if math.isinf(r.high) else short(r.high)
    return [
        el(
            "input",
            data_reading=r.key,
            data_unit=r.unit,
            data_low=low,
            data_high=high,
            aria_label=f"{r.title}, found",
        ),
        el("output"),
    ]
