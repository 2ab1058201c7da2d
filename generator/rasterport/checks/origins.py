"""Where the values of the set come from: a processor's row, a stand-in for what is unknown, the user's own choice."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
from rasterport.records import COLOURS, Finding, Missing
from rasterport.units import plain, written

CODES = {
    "F910": "a value that is unknown",
    "F911": "a value that must be known before anything is soldered",
    "F912": "what the processor's sheet says besides",
    "F913": "parts that you chose",
    "F914": "coupling that the processor wants",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of what the board rests on besides the file."""
    for missing in bench.missing:
        yield told(missing)
    yield from _processor(bench)
    for placed in bench.circuit.parts:
        if placed.instead_of:
            text = f"chosen by you: {placed.ref} {placed.value} in place of {placed.instead_of}"
            yield note("F913", placed.role, text, "[fit]")


def told(missing: Missing) -> Finding:
    """An unknown value as a finding: an error where no stand-in is on the safe side."""
    decided = "; ".join(missing.decides) if missing.decides else "no value and no finding"
    text = f"{missing.key} is unknown, {missing.used}; measuring it would change: {decided}"
    return note(missing.code, missing.key, text, missing.how, missing.severity)


def _processor(bench: Bench) -> Iterator[Finding]:
    name = bench.variant.set.processor
    if not name:
        return
    from rasterport.parts.processors import processor

    row = processor(name)
    about = row.names[0] if len(row.names) == 1 else ", ".join(row.names)
    told = [f"{about} ({row.maker})"]
    if row.second_meaning:
        told.append(f"a higher level at the insertion pin has a second meaning: {row.second_meaning}")
    if row.remarks:
        told.append(row.remarks)
    yield note(
        "F912", "set.processor", "; ".join(told), "parts/processors", "warning" if row.kind == "monitor" else "note"
    )
    least = row.cells.get("coupling")
    for colour in COLOURS if least is not None else ():
        figures = bench.figures
        if figures.has("coupling", colour, bench.state) and least is not None:
            found = figures.get("coupling", colour, bench.state)
            text = f"{plain(written(found.nominal, 'F'))} into a pin that wants {plain(written(least.value, 'F'))}"
            fits = found.nominal >= least.value * (1 - 1e-9)
            yield note("F914", colour, text, f"{row.names[0]}: {least.source}", "met" if fits else "warning")
