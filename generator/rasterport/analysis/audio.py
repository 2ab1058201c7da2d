"""Figures of the audio lines: level, loss, low corner, load on the source."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import AUDIO_MID_HZ, Line
from rasterport.analysis.nodal import GROUND, Element, Values
from rasterport.analysis.setup import Setup
from rasterport.analysis.sync import native_change

SOURCE_OHM = 1.0
"""A source at its strongest [ohm]; the weakest, 1 kohm, costs little into 10 kohm and moves the corner down."""


def sides(setup: Setup) -> dict[str, Line | None]:
    """The landing of each channel that the set has -> its line, None where nothing leads there."""
    landing, source = setup.variant.set.audio, setup.source
    there = any(name.startswith("audio") for name in setup.contacts)
    if landing is None or source.audio == "none" or not there:
        return {}
    return {
        side: setup.line(contact_of(setup, side), side)
        for side in (("left", "right") if landing.channels == "stereo" else ("left",))
    }


def contact_of(setup: Setup, side: str) -> str:
    """The contact that feeds a channel: a mono source feeds both from its one."""
    return "audio-right" if side == "right" and setup.source.audio == "stereo" else "audio-left"


def other_of(setup: Setup, line: Line) -> str | None:
    """The net of the other channel's contact where both are summed into this line."""
    left = setup.contacts.get("audio-left")
    other = setup.contacts.get("audio-right" if line.contact == left else "audio-left")
    return other if any(other in (e.first, e.second) for e in line.elements) else None


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the audio lines that the variant asks for."""
    for side, line in sides(setup).items():
        if line is not None and line.joined and not line.refused:
            yield from _side(setup, side, line)
        if setup.index == 1:
            yield from native_change(setup, side, side, AUDIO_MID_HZ)


def _side(setup: Setup, side: str, line: Line) -> Iterator[Quantity]:
    source, landing = setup.source, setup.variant.set.audio
    most = landing.maximum if landing is not None else source.audio_maximum
    allowed = min(source.audio_maximum, most)
    other = other_of(setup, line)
    both = line if other is None else driven_as_one(line, other)
    loaded = line if other is None else _other_at_zero(line, other)

    def level(draw: Draw) -> Values:
        return source.audio_maximum * both.level(draw, AUDIO_MID_HZ, SOURCE_OHM)

    def lost(draw: Draw) -> Values:
        return np.maximum(0.0, 20 * np.log10(allowed / np.maximum(level(draw), 1e-9)))

    def quantity(key: str, of: Callable[[Draw], Values], through: Line) -> Quantity:
        given = setup.given(("input.audio_maximum", "set.audio.maximum"))
        return Quantity(key, side, setup.state, of, through.parameters, given, "", (key, through.signature))

    yield quantity("audio-level", level, both)
    yield quantity("audio-loss", lost, both)
    yield quantity("audio-corner", lambda d: both.lower_hz(d, SOURCE_OHM), both)
    yield quantity("audio-load", lambda d: loaded.load_ohm(d, AUDIO_MID_HZ), loaded)


def driven_as_one(line: Line, other: str) -> Line:
    """Both channels carry the same signal in phase: one source drives both contacts."""

    def moved(net: str) -> str:
        return line.contact if net == other else net

    elements = tuple(replace(e, first=moved(e.first), second=moved(e.second)) for e in line.elements)
    return replace(line, elements=elements)


def _other_at_zero(line: Line, other: str) -> Line:
    return replace(line, elements=(*line.elements, Element("source/other", "R", other, GROUND, SOURCE_OHM)))
