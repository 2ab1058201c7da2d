"""Pins without a clamp: black arrives where it belongs, directly or by the board's own clamp, or why it does not."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.separating import separator
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.black import lifted
from rasterport.records import COLOURS, Finding
from rasterport.units import short

CODES = {
    "F240": "black at a pin without a clamp",
    "F241": "black behind the board's clamp while the picture changes",
    "F242": "droop behind the board's clamp",
    "F243": "settling of the board's clamp",
    "F244": "end of the key of the board's clamp",
    "F245": "what the board's clamp hears",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of black of every input, where the pins have no clamp."""
    if bench.variant.set.rgb.pin_kind != "analog-dc":
        return
    for view in bench.views:
        for colour in COLOURS:
            line = view.line(colour, colour)
            if line is not None and line.joined and not line.refused:
                yield from _colour(view, colour)
        if separator(view) is not None and not view.has("separator-input/lowest", "sync"):
            text = "the separator does not hear the sync of the input: the clamp has no pulse"
            yield note("F245", "clamp", text, "netlist", "error", view.state)
        if view.has("key-margin", "clamp"):
            text = "from the end of the key to the picture, of a source that keeps the standard's back porch"
            yield judge("F244", view.figure("key-margin", "clamp"), "key_margin_s", text)


def _colour(bench: Bench, colour: str) -> Iterator[Finding]:
    if not bench.has("black", colour):
        text = "a capacitor is in the way of black, and nothing behind it restores it"
        if separator(bench) is not None:
            text = "a capacitor is in the way of black, and no switch puts the pin on a still voltage in the back porch"
        yield note("F240", colour, text, "netlist", "error", bench.state)
        return
    yield _black(bench, colour)
    if bench.has("black-lag", colour):
        text = "how far black lags behind while the picture changes, of white"
        yield judge("F241", bench.figure("black-lag", colour), "black_lag_pct", text)
        text = "droop of white over a line"
        yield judge("F242", bench.figure("keyed-droop", colour), "line_droop_pct", text)
        text = "settling of the board's clamp after a change"
        yield judge("F243", bench.figure("keyed-settling", colour), "clamp_settling_s", text)


def _black(bench: Bench, colour: str) -> Finding:
    rgb, black = bench.variant.set.rgb, bench.figure("black", colour)
    # Microvolts are the current of the pin: nobody sees them.
    low, high = (short(round(v, 3) + 0.0, 3) for v in (black.low, black.high))
    met = f"black stands at {low} to {high} V at the pin"
    helps = "measure black_least and black_most of this source, or set board.keyed_clamp = true"
    if bench.variant.board.keyed_clamp:
        helps = (
            "the supply of the board moves it, of all three colours alike; where the set's brightness makes that up "
            "say so in black_within"
        )
    elif lifted(bench.variant) is not None:
        helps = (
            "the source's own black and the rail move it: measure black_least, black_most and the tolerance of the "
            "rail, or set board.keyed_clamp = true"
        )
    limit = within("black", "most", None, rgb.black_within, "V", "set.rgb.black_within")
    return judge("F240", bench.figure("black-error", colour), limit, "", instead=(met, f"{met}: {helps}"))
