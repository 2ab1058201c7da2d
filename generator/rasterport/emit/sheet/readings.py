"""Readings as tables to fill in: what to read where, what to expect, what to suspect."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import table, told
from rasterport.records import Circuit, Reading
from rasterport.units import short, written

STAGES = {
    "alone": "The board alone on the bench",
    "joined": "In the set, before power",
    "powered": "In the set, with power",
}
"""Stage of a reading -> its title, in the order of the work."""
GATE = "!"
DECIDES = (
    f"{GATE} marks what decides whether power may be applied: read those first, and go on only when all are right."
)
HEAD = ("read", "red lead on", "black lead on", "expect", "found")


def tables(circuit: Circuit, found: Sequence[Reading], stage: str) -> Iterator[Html]:
    """The readings of a stage, those of one state and one feed together, in the order of the work."""
    members = [r for r in found if r.stage == stage]
    if any(r.decides for r in members):
        yield el("p", DECIDES)
    before = None
    for state, instrument, fed in grouped(members):
        if before != state:
            yield el("h3", state_words(state))
        before = state
        for feed, group in fed:
            yield el("p", f"{instrument[0].upper()}{instrument[1:]}. ", f"Feed: {feed}." if feed else None)
            yield table(HEAD, (_row(circuit, r) for r in group), f"{state_words(state)}: {instrument}", "readings")


Fed = list[tuple[str, list[Reading]]]


def grouped(found: Sequence[Reading]) -> Iterator[tuple[str, str, Fed]]:
    """Readings of a state with one instrument, by what is fed: the order in which screen and paper list them."""
    for state, instrument in dict.fromkeys((r.state, r.instrument) for r in found):
        group = [r for r in found if (r.state, r.instrument) == (state, instrument)]
        yield state, instrument, [(f, [r for r in group if r.feed == f]) for f in dict.fromkeys(r.feed for r in group)]


def state_words(state: str) -> str:
    """A state as a heading."""
    if not state:
        return "In any state"
    return "Native: the board inactive" if state == "native" else f"{state.replace('-', ' ').capitalize()} chosen"


def expected(r: Reading) -> str:
    """What to expect, with its limits."""
    if math.isinf(r.high):
        return f"open, above {written(r.low, r.unit)}"
    low, nominal, high = (written(v, r.unit) for v in (r.low, r.nominal, r.high))
    return nominal if low == high else f"{nominal} ({low} to {high})"


def ends(r: Reading, circuit: Circuit) -> tuple[list[Child], list[Child]]:
    """Where the two leads go."""
    return list(told(r.red, circuit)), list(told(r.black, circuit))


def _row(circuit: Circuit, r: Reading) -> list[Child]:
    gate = el("strong", f"{GATE} ") if r.decides else None
    means = [
        el("li", f"{'low' if low else 'high'}: ", list(told(text, circuit)))
        for low, text in ((True, r.low_means), (False, r.high_means))
        if text
    ]
    red, black = ends(r, circuit)
    about: list[Child] = [gate, r.title, el("ul", means, class_="means") if means else None]
    return [joined(about), joined(red), joined(black), expected(r), joined(field(r))]


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
