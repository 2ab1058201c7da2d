"""Plugs in the set's own jacks: what each does to the input that is chosen, and the board to each when native.

The jacks and their contacts are wires of the set, laid beside the finished board for every place where a plug may
sit; what reaches the set's circuit is solved, never looked up by arrangement.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from rasterport.analysis import audio, sync
from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import AUDIO_MID_HZ, MID_HZ, MOST_LOSS_DB, Line, loss_db
from rasterport.analysis.network import NATIVE, set_side
from rasterport.analysis.nodal import GROUND, Element, Values, reach
from rasterport.analysis.setup import Setup
from rasterport.design.jacks import BOTH, FRONT, OWN, PLUGS, S_VIDEO, Jacks, jacks_of
from rasterport.design.landings import CONTACT_OHM, sides
from rasterport.design.termination import LINE_OHM
from rasterport.standards.interface_levels import AUDIO_SOURCE_MOST_OHM
from rasterport.standards.limits import RETURN_LOSS_TO_HZ

STIFF_OHM = 1e-3
"""An electromotive force whose resistance is an element of its own [ohm]."""
RAIL_OFF = "rail off"
LEAST = 10 ** (-MOST_LOSS_DB / 20)
"""A share of a level below this is written as this: nothing is left [-]."""


@dataclass(frozen=True, slots=True)
class Wiring:
    """The set behind a landing with plugs in its jacks: closed contacts and loads, the net of its circuit, the nets
    on which the sources of the plugs stand.
    """

    elements: tuple[Element, ...]
    circuit: str
    sources: tuple[str, ...]


def wiring(setup: Setup, jacks: Jacks, landing: str, native: str | None, plugged: frozenset[str]) -> Wiring:
    """The set's side of a landing with plugs where `plugged` says.

    changeover, after-switch    jack --(silences-jack)-- native   landing --(silences-landing)-- circuit
    dedicated                   jack --(silences-jack, cut off)-- landing --(silences-landing)-- circuit
    normalled                   landing --(own contact)-- jack --(either)-- circuit
    """
    name = f"set/{jacks.line}"
    found: list[Element] = []

    def through(role: str, near: str, far: str, opened: bool) -> None:
        if not opened:
            found.append(Element(f"{name}/{role}", "R", near, far, CONTACT_OHM))

    contacts = (FRONT, S_VIDEO)
    breaks = [p for p in contacts if jacks.opens_landing(p)]
    parts = [p for p in contacts if jacks.opens_jack(p)]
    tip = landing if jacks.arrangement == "normalled" else native or landing
    entry = landing
    if jacks.arrangement == "normalled" and jacks.contact == "board":
        tip = entry = f"{name}/jack"
        through("jack-contact", landing, tip, OWN in plugged)
    elif jacks.arrangement == "normalled" and jacks.contact == "circuit":
        entry = f"{name}/contact"
        through("jack-contact", tip, entry, OWN in plugged)
    circuit, behind = entry, tip
    if breaks:
        circuit = f"{name}/circuit"
        through("landing-contact", entry, circuit, not plugged.isdisjoint(breaks))
    if parts:
        tip = f"{name}/jack"
        through("own-contact", behind, tip, not plugged.isdisjoint(parts))
    front = {"parallel": tip, "silences-jack": behind, "silences-landing": circuit}.get(jacks.front, tip)
    if jacks.opens_landing(FRONT):
        front = circuit
    places = {OWN: tip, FRONT: front}
    sources = tuple(net for plug, net in places.items() if plug in plugged)
    return Wiring((*found, *_loads(setup, jacks, landing, circuit, tip)), circuit, sources)


def _loads(setup: Setup, jacks: Jacks, landing: str, circuit: str, tip: str) -> Iterator[Element]:
    """What the set hangs on its circuit, and the 75 ohm that stand at a jack in front of a change-over."""
    for e in set_side(setup.circuit, setup.variant):
        if e.role.startswith(f"set/{jacks.line}/"):
            yield _rejoined(e, landing, circuit)
    if jacks.switched and jacks.line == "sync" and setup.variant.set.sync.termination != "fixed":
        yield Element("set/sync/jack-termination", "R", tip, GROUND, LINE_OHM)


def source_of(line: str, net: str, number: int = 0, far: str = GROUND) -> Element:
    """The resistance of what is plugged in, silent or from its electromotive force at `far`: 75 ohm of video, up to
    1 kohm of sound (EN 50049-1).
    """
    role = f"set/{line}/plug" + (f"-{number}" if number else "")
    if line == "sync":
        return Element(role, "R", net, far, LINE_OHM)
    bounds = (audio.SOURCE_OHM, AUDIO_SOURCE_MOST_OHM)
    return Element(role, "R", net, far, AUDIO_SOURCE_MOST_OHM / 2, bounds=bounds)


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Figures of plugs in the set's own jacks, line by line."""
    for line in ("sync", *sides(setup.variant)):
        jacks, landing = jacks_of(setup.variant, line), setup.circuit.landing_net(line)
        if jacks is None or landing is None:
            continue
        native = setup.circuit.landing_net(f"{line}-native")
        driven = _driven(setup, line)
        if driven is not None:
            for plug in jacks.plugs:
                yield from _plugged(setup, jacks, (landing, native), plug, *driven)
        if setup.index == 1 and native is not None:
            yield from _native(setup, jacks, landing, native)


def _driven(setup: Setup, line: str) -> tuple[Line, float] | None:
    """What drives a landing when the input is chosen: its line, and the resistance of its source [ohm]."""
    if line != "sync":
        found = audio.sides(setup).get(line)
        if found is None or not found.joined or found.refused:
            return None
        other = audio.other_of(setup, found)
        return (found if other is None else audio.driven_as_one(found, other)), audio.SOURCE_OHM
    straight, logic = sync.through(setup), sync.logic(setup)
    if straight is not None and straight.joined and not straight.refused:
        return straight, LINE_OHM
    if logic is not None and logic.line is not None and logic.line.joined and not logic.line.refused:
        return logic.line, (logic.weak_ohm + logic.strong_ohm) / 2
    return None


def _plugged(
    setup: Setup, jacks: Jacks, ends: tuple[str, str | None], plug: str, driven: Line, ohm: float
) -> Iterator[Quantity]:
    """What a plug does to the input, and what of its own signal reaches the set meanwhile."""
    line, hertz = jacks.line, _hertz(jacks.line)
    landing, native = ends
    bare, full = (wiring(setup, jacks, landing, native, p) for p in (frozenset[str](), PLUGS[plug]))
    inside = _without_set(setup, line, driven)
    silent = tuple(source_of(line, net, n) for n, net in enumerate(full.sources))
    before = _line(setup, driven, (*inside, *bare.elements), driven.contact, bare.circuit)
    after = _line(setup, driven, (*inside, *full.elements, *silent), driven.contact, full.circuit)
    given = ((f"plug in {jacks.named(plug)}", _source_words(line)),) if silent else ()
    parameters = tuple(dict.fromkeys((*before.parameters, *after.parameters)))

    def lost(draw: Draw) -> Values:
        return _db(after.level(draw, hertz, ohm), before.level(draw, hertz, ohm))

    yield Quantity(f"plugged-change/{plug}", line, setup.state, lost, parameters, given, folded=True)
    if line == "sync" and sync.through(setup) is not None and not jacks.switched:

        def reflected(draw: Draw) -> Values:
            return loss_db(after.volts(draw, RETURN_LOSS_TO_HZ)[0])

        key = f"plugged-return-loss/{plug}"
        yield Quantity(key, line, setup.state, reflected, after.parameters, given, "high")

        def load(draw: Draw) -> Values:
            return after.load_ohm(draw, hertz)

        yield Quantity(f"plugged-load/{plug}", line, setup.state, load, after.parameters, given)
    if not silent:
        return
    # The board's source stands still behind its resistance while the plug's is heard.
    still = Element("source/still", "R", driven.contact, GROUND, ohm)
    heard = _heard(jacks, (*inside, still, *full.elements), full.sources, full.circuit, after.walls)
    loads = tuple(_loads(setup, jacks, landing, full.circuit, full.circuit))
    alone = _heard(jacks, loads, (full.circuit,), full.circuit)

    def other(draw: Draw) -> Values:
        return _db(heard.level(draw, hertz, STIFF_OHM), alone.level(draw, hertz, STIFF_OHM))

    both = tuple(dict.fromkeys((*heard.parameters, *alone.parameters)))
    yield Quantity(f"plugged-other/{plug}", line, setup.state, other, both, given, folded=True)


def _heard(
    jacks: Jacks, elements: tuple[Element, ...], sources: tuple[str, ...], circuit: str, walls: tuple[str, ...] = ()
) -> Line:
    """From the electromotive force of the first plug to the set's circuit; further plugs are silent."""
    emf = f"set/{jacks.line}/emf"
    first = source_of(jacks.line, sources[0], 0, emf)
    rest = (source_of(jacks.line, net, n) for n, net in enumerate(sources[1:], 1))
    return Line(emf, circuit, reach((*elements, first, *rest), emf, walls), "", walls)


def _native(setup: Setup, jacks: Jacks, landing: str, native: str) -> Iterator[Quantity]:
    """What the board does to the set's own signal: of every jack when native, and with the rail off."""
    line, hertz, walls = jacks.line, _hertz(jacks.line), tuple(setup.control.walls)
    # Where the front jack has a contact, a plug in it takes the other off: both are as the front one alone.
    front = {"none": (), "parallel": (FRONT, BOTH)}.get(jacks.front, (FRONT,))
    relays = any(p.part.letter == "K" for p in setup.circuit.parts)
    cases = [(plug, plug, True) for plug in front] + ([(RAIL_OFF, OWN, False)] if relays else [])
    for key, plug, powered in cases:
        there = wiring(setup, jacks, landing, native, PLUGS[plug])
        board = setup.control.elements(NATIVE, powered)
        through = _heard(jacks, (*board, *there.elements), there.sources, there.circuit, walls)
        # Without the board the jack's wire goes on to the landing.
        plain = tuple(_rejoined(e, landing, native) for e in there.elements)
        nets = tuple(_at(net, landing, native) for net in there.sources)
        without = _heard(jacks, plain, nets, _at(there.circuit, landing, native))

        def change(draw: Draw, through: Line = through, without: Line = without) -> Values:
            return _db(through.level(draw, hertz, STIFF_OHM), without.level(draw, hertz, STIFF_OHM))

        parameters = tuple(dict.fromkeys((*through.parameters, *without.parameters)))
        given = ((f"plug in {jacks.named(plug)}", _source_words(line)),)
        yield Quantity(f"native-change/{key}", line, NATIVE, change, parameters, given, folded=True)


def _at(net: str, before: str, after: str) -> str:
    return after if net == before else net


def _rejoined(e: Element, before: str, after: str) -> Element:
    return replace(e, first=_at(e.first, before, after), second=_at(e.second, before, after))


def _without_set(setup: Setup, line: str, driven: Line) -> tuple[Element, ...]:
    """Board and set when the input is chosen, less what the set hangs on this landing: that follows its wiring."""
    mono = {e.role: e for e in driven.elements}
    around = (mono.get(e.role, e) for e in setup.around(setup.state))
    return tuple(e for e in around if not e.role.startswith(f"set/{line}/"))


def _line(setup: Setup, driven: Line, elements: tuple[Element, ...], start: str, end: str) -> Line:
    walls = driven.walls or tuple(setup.control.walls)
    return Line(start, end, reach(elements, start, walls), "", walls)


def _db(level: Values, reference: Values) -> Values:
    return 20 * np.log10(np.maximum(level / reference, LEAST))


def _hertz(line: str) -> float:
    return MID_HZ if line == "sync" else AUDIO_MID_HZ


def _source_words(line: str) -> str:
    return f"{LINE_OHM:g} ohm" if line == "sync" else f"{audio.SOURCE_OHM:g} to {AUDIO_SOURCE_MOST_OHM:g} ohm"
