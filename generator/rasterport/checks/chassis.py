"""The work on the chassis: counted, what a landing asks for and no row tells, without a way back."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.design.chassis import asked, is_told
from rasterport.records import Finding
from rasterport.variant.chassis import counted

CODES = {
    "F820": "work on the chassis, counted",
    "F821": "work on the chassis that the landings ask for",
    "F822": "the way back of the work on the chassis",
    "F828": "parts of the set that are called as parts of the board",
}

WORK = "[[set.work]]"
NAMED = re.compile(r"\b[A-Z]{1,3}[0-9]{1,3}\b")
"""A part as service sheets and boards call it."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the work on the chassis; none where no landing asks for any and the variant tells of none."""
    rows = bench.circuit.work
    if rows:
        yield note("F820", "chassis", counted([row.kind for row in rows]), WORK)
    yield from _asked(bench)
    yield from _called_alike(bench)
    for n, row in enumerate(rows, 1):
        subject, what = f"set.work-{n}", " ".join(row.do.split())
        if row.undo.strip():
            yield note("F822", subject, f"taken back: {what}", f"{WORK} undo", "met")
        else:
            yield note("F822", subject, f"no way back is stated for: {what}", f"{WORK} undo", "warning")


def _called_alike(bench: Bench) -> Iterator[Finding]:
    """Whoever reads "lift C311" must not look for it on the board."""
    texts = [wire.at for wire in bench.circuit.wires if wire.inside] + [
        t for w in bench.circuit.work for t in (w.do, w.at, w.undo)
    ]
    named = {name for text in texts for name in NAMED.findall(text)}
    both = [p.ref for p in bench.circuit.parts if p.ref in named]
    if both:
        apart = re.sub(r"([A-Z])([0-9])", r"\1 \2", both[0])
        text = f"the set has {', '.join(both)}, and the board too: write those of the set apart, such as {apart}"
        yield note("F828", "chassis", text, f"{WORK}, the places of the landings", "warning")


def _asked(bench: Bench) -> Iterator[Finding]:
    """Whether everything that the landings ask for has its row."""
    wanted, source = asked(bench.variant), f"{WORK}, arrangement, termination, native, cut, the places of the landings"
    missing = [task.words for task in wanted if not is_told(task, bench.variant.set.work)]
    if missing:
        text = f"no row of {WORK} tells this work on the chassis, which the landings ask for: {'; '.join(missing)}"
        yield note("F821", "chassis", text, source, "warning")
    elif wanted:
        text = f"{WORK} tells all {len(wanted)} pieces of work that the landings ask for"
        yield note("F821", "chassis", text, source, "met")
    elif bench.circuit.work:
        yield note("F821", "chassis", "no landing asks for work on the chassis", source, "met")
