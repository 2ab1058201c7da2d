"""Figures of trimmers in the colour lines: both stops, a wiper that is open, and whether colours can be set alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw, Held
from rasterport.analysis.lines import MID_HZ, Line, loss_db
from rasterport.analysis.network import elements_of
from rasterport.analysis.nodal import Element, Values
from rasterport.analysis.setup import Setup
from rasterport.records import Circuit
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.limits import RETURN_LOSS_TO_HZ

EMF_V = 2 * WHITE_V
STOPS = ("lowest", "highest")
"""The stops by what they do: with less of the track in circuit white is lower."""
MIDDLE = "middle"
FAR = "/far"
"""What the name of the far section of a track ends in."""
LOSS_HZ = (0.0, 1e6, RETURN_LOSS_TO_HZ)


def trimmers(circuit: Circuit, lines: Iterable[Line]) -> tuple[Element, ...]:
    """What a screwdriver moves: sections of the tracks that stand in these lines."""
    roles = {p.role for p in circuit.parts if p.part.appears == "trimmer"}
    found = (e for line in lines for e in line.elements if e.role.removesuffix(FAR) in roles)
    return tuple(dict.fromkeys(found))


def moved(sections: Iterable[Element]) -> tuple[str, ...]:
    """Names of the uncertainties that a screwdriver moves."""
    return tuple(e.parameter for e in sections)


def tracks_of(sections: Iterable[Element]) -> tuple[str, ...]:
    """Names of the uncertainties of whole tracks, which no screwdriver moves."""
    return tuple(dict.fromkeys(f"{e.parameter.removesuffix(FAR)}/track" for e in sections))


def set_to(draw: Draw, sections: tuple[Element, ...], where: str) -> Draw:
    """The boards of a draw with these trimmers at a stop or in the middle; their tracks are off as makers allow.

    In the middle half of a track is in circuit, at the stops all of it and what its end leaves.
    """

    def made() -> Draw:
        values: dict[str, Values] = {}
        for e, (track,) in ((e, tracks_of([e])) for e in sections):
            half = e.value * (1 + e.spread * draw.place(track))
            values[e.parameter] = e.low if where == "lowest" else half if where == MIDDLE else 2 * half
        return Held(draw, values)

    return draw.once(("set", where, sections), made)  # type: ignore[no-any-return]


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the trimmers of the chosen input; none where it has none."""
    lines = setup.colours()
    tracks = {colour: trimmers(setup.circuit, [line]) for colour, line in lines.items()}
    if not any(tracks.values()):
        return
    asked = min(setup.variant.set.rgb.white_level, WHITE_V)
    for colour, line in lines.items():
        yield from _stops(setup, colour, line, tracks[colour], asked)
        yield _open(setup, colour, line, asked)
    if len(lines) == 3:
        yield _room(setup, lines, tracks)


def _level(line: Line, draw: Draw) -> Values:
    return EMF_V * line.level(draw, MID_HZ)


def _stops(setup: Setup, colour: str, line: Line, tracks: tuple[Element, ...], asked_v: float) -> Iterator[Quantity]:
    names = (*(name for name in line.parameters if name not in moved(tracks)), *tracks_of(tracks))
    given = (*setup.given(("set.rgb.white_level",)), ("trimmer", "at its stop"))
    for stop in STOPS:

        def level(draw: Draw, stop: str = stop) -> Values:
            return 20 * np.log10(_level(line, set_to(draw, tracks, stop)) / asked_v)

        def loss(draw: Draw, stop: str = stop) -> Values:
            there, worst = set_to(draw, tracks, stop), np.inf
            for hertz in LOSS_HZ:
                worst = np.minimum(worst, loss_db(line.volts(there, hertz)[0]))
            return worst

        keys = (f"trimmed-level/{stop}", f"trimmed-loss/{stop}")
        alike = [(key, line.signature, asked_v) for key in keys]
        yield Quantity(keys[0], colour, setup.state, level, names, given, "", alike[0], folded=True)
        yield Quantity(keys[1], colour, setup.state, loss, names, given[1:], "high", alike[1])


def _open(setup: Setup, colour: str, line: Line, asked_v: float) -> Quantity:
    """The wiper off its track: what the board then is, is read from its parts with that pin left open."""
    parts = (
        replace(p, nets={pin.number: None if pin.number == "2" else p.nets[pin.number] for pin in p.part.pins})
        for p in setup.circuit.parts
        if p.part.appears == "trimmer"
    )
    opened = {e.role: e for e in elements_of(Circuit(tuple(parts)), (), {})}
    roles = {p.role for p in setup.circuit.parts if p.part.appears == "trimmer"}
    elements = [e for e in line.elements if e.role.removesuffix("/far") not in roles]
    here = {e.role.removesuffix("/far") for e in line.elements} & set(opened)
    broken = Line(line.contact, line.landing, (*elements, *(opened[role] for role in sorted(here))), "", line.walls)

    def level(draw: Draw) -> Values:
        return 20 * np.log10(_level(broken, draw) / asked_v)

    given = (*setup.given(("set.rgb.white_level",)), ("wiper", "off its track"))
    alike = ("wiper-open", broken.signature, asked_v)
    return Quantity("wiper-open", colour, setup.state, level, broken.parameters, given, "", alike, folded=True)


def _room(setup: Setup, lines: Mapping[str, Line], tracks: Mapping[str, tuple[Element, ...]]) -> Quantity:
    """The colours can be set alike where the highest of their lower stops lies below the lowest of the upper ones."""

    def room(draw: Draw) -> Values:
        most, least = np.inf, 0.0
        for colour, line in lines.items():
            low, high = (_level(line, set_to(draw, tracks[colour], stop)) for stop in STOPS)
            least, most = np.maximum(least, low), np.minimum(most, high)
        return 100 * (most / least - 1)

    sections = [e for found in tracks.values() for e in found]
    rest = (n for line in lines.values() for n in line.parameters if n not in moved(sections))
    names = (*dict.fromkeys(rest), *tracks_of(sections))
    return Quantity("trim-room", "red, green, blue", setup.state, room, names, bends="high")
