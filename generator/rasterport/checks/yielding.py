"""Colour pins that a display shares: whether resistors give input and display what is wished, and what must yield."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench
from rasterport.design.insertion import found_for
from rasterport.design.landings import is_shared, is_switched
from rasterport.design.switched import switched_way
from rasterport.records import Finding
from rasterport.standards.limits import OURS

CODES = {"F270": "resistors where an input and the set's display meet"}


def check(bench: Bench) -> Iterator[Finding]:
    """One record: how far the sized resistors use the limits of the wishes, and which wish must yield."""
    if not is_shared(bench.variant) or is_switched(bench.variant):
        return
    found = found_for(bench.variant)
    text = f"how far {found.series} resistors use the limits of picture, menus and return loss, the worst of them"
    source = f"{OURS}: level error and return loss without a warning, both at white below set.rgb.clipping_level"
    if found.yields:
        text = f"{found.yields}; {switched_way(bench.variant)}"
    yield Finding(
        "F270",
        "warning" if found.yields else "met",
        "set.display",
        text,
        measured=found.use,
        limit=1.0,
        unit="1",
        sense="most",
        source=source,
        state="any",
    )
