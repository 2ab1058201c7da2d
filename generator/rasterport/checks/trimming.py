"""Trimmers of the colours: both stops, a wiper that lost its track, room to set the colours alike."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.trimming import STOPS
from rasterport.checks.bench import Bench, judge
from rasterport.records import COLOURS, Finding
from rasterport.units import short

CODES = {
    "F232": "white with a trimmer at its stops",
    "F233": "return loss with a trimmer at its stops",
    "F234": "white with the wiper of a trimmer open",
    "F235": "room of the trimmers",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the trimmers of every input."""
    for view in bench.views:
        for colour in COLOURS:
            for stop in STOPS:
                if view.has(f"trimmed-level/{stop}", colour):
                    text = f"white with the trimmer at the stop where it is {stop}"
                    yield judge("F232", view.figure(f"trimmed-level/{stop}", colour), "level_error_db", text)
                    text = f"return loss there, at the stop of the {stop} white"
                    yield judge("F233", view.figure(f"trimmed-loss/{stop}", colour), "return_loss_db", text)
            if view.has("wiper-open", colour):
                text = "white with the wiper off its track: dirt or wear may do that"
                yield judge("F234", view.figure("wiper-open", colour), "level_error_db", text)
        yield from _together(view)


def _together(bench: Bench) -> Iterator[Finding]:
    together = "red, green, blue"
    if bench.has("trim-room", together):
        apart = short(bench.figure("mismatch", together).high, 3)
        text = (
            f"room of the trimmers beyond what sets the colours alike; untouched they are up to {apart} % apart: with "
            "a white picture set the weaker two to the strongest at the landings, or by eye to grey"
        )
        yield judge("F235", bench.figure("trim-room", together), "trim_room_pct", text)
