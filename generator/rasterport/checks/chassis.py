"""The work on the chassis: counted, none where a landing asks for it, without a way back."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.design.landings import broken_into
from rasterport.records import Finding
from rasterport.variant.chassis import counted

CODES = {
    "F820": "work on the chassis, counted",
    "F821": "landings for which something is lifted, cut or moved",
    "F822": "the way back of the work on the chassis",
}

WORK = "[[set.work]]"


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the work on the chassis; none where the variant tells of no work."""
    rows = bench.circuit.work
    if not rows:
        return
    yield note("F820", "chassis", counted([row.kind for row in rows]), WORK)
    yield _asked(bench)
    for n, row in enumerate(rows, 1):
        subject, what = f"set.work-{n}", " ".join(row.do.split())
        if row.undo.strip():
            yield note("F822", subject, f"taken back: {what}", f"{WORK} undo", "met")
        else:
            yield note("F822", subject, f"no way back is stated for: {what}", f"{WORK} undo", "warning")


def _asked(bench: Bench) -> Finding:
    """Whether the landings that break into the set have a row that lifts, cuts or moves something for them."""
    asking, source = broken_into(bench.variant), "arrangement, termination, native"
    opened = [row for row in bench.circuit.work if row.kind in ("lift", "cut", "move")]
    if not asking:
        return note("F821", "chassis", "no landing asks for work on the chassis", source, "met")
    if opened:
        return note("F821", "chassis", f"something is lifted, cut or moved for: {'; '.join(asking)}", source, "met")
    text = f"no row of {WORK} lifts, cuts or moves anything, which these ask for: {'; '.join(asking)}"
    return note("F821", "chassis", text, source, "warning")
