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
HEAD = ("read", "red lead on", "black lead on", "expect", "found")


def tables(circuit: Circuit, found: Sequence[Reading], stage: str) -> Iterator[Html]:
    """The readings of a stage, those of one state and one feed together, in the order of the work."""
    members = [r for r in found if r.stage == stage]
    for state, feed in dict.fromkeys((r.state, r.feed) for r in members):
        group = [r for r in members if (r.state, r.feed) == (state, feed)]
        title = state_words(state)
        yield el("h3", title)
        if feed:
            yield el("p", "Feed: ", feed)
        yield table(HEAD, (_row(circuit, r) for r in group), title, "readings")


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
    gate = el("strong", " Decides whether power may be applied.") if r.decides else None
    means = [
        el("li", f"{'low' if low else 'high'}: ", list(told(text, circuit)))
        for low, text in ((True, r.low_means), (False, r.high_means))
        if text
    ]
    first = [el("span", r.title, class_="what"), el("span", f" {r.instrument}.", class_="faint"), gate]
    red, black = ends(r, circuit)
    about: list[Child] = [*first, el("ul", means, class_="means") if means else None]
    return [joined(about), joined(red), joined(black), expected(r), joined(field(r))]


def field(r: Reading) -> list[Child]:
    """Where the reading is written; the script says at once whether it lies within its limits."""
    low, high = short(r.low), "inf" if math.isinf(r.high) else short(r.high)
    return [
        el(
            "input",
            type="text",
            data_reading=r.key,
            data_unit=r.unit,
            data_low=low,
            data_high=high,
            aria_label=f"{r.title}, found",
            autocomplete="off",
            size="9",
        ),
        el("output", data_verdict=r.key),
    ]
