"""Colour pins that a display shares: whether resistors give input and display what is wished, and what must yield."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.checks.bench import Bench, note
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
    source = f"{OURS}: level error and return loss without a warning, both at white below set.rgb.clipping_level"
    if found.yields:
        yield note("F270", "set.display", f"{found.yields}; {switched_way(bench.variant)}", source, "warning")
        return
    text = f"{found.series} resistors use {found.use:.0%} of the worst of three limits: picture, menus, return loss"
    yield note("F270", "set.display", text, source, "met")
