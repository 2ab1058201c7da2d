"""The work on the chassis: counted, what a landing asks for and no row tells, without a way back."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.design.chassis import asked, is_told
from rasterport.records import Finding
from rasterport.variant.chassis import counted

CODES = {
    "F820": "work on the chassis, counted",
    "F821": "work on the chassis that the landings ask for",
    "F822": "the way back of the work on the chassis",
}

WORK = "[[set.work]]"


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the work on the chassis; none where no landing asks for any and the variant tells of none."""
    rows = bench.circuit.work
    if rows:
        yield note("F820", "chassis", counted([row.kind for row in rows]), WORK)
    yield from _asked(bench)
    for n, row in enumerate(rows, 1):
        subject, what = f"set.work-{n}", " ".join(row.do.split())
        if row.undo.strip():
            yield note("F822", subject, f"taken back: {what}", f"{WORK} undo", "met")
        else:
            yield note("F822", subject, f"no way back is stated for: {what}", f"{WORK} undo", "warning")


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
