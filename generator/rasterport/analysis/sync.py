"""Figures of the sync line: level, load, tilt, what a logic source is asked for, the set's own feed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from rasterport.analysis.control import net_at, supply_of
from rasterport.analysis.corners import Quantity, bound
from rasterport.analysis.coupling import tilts
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import MID_HZ, Line, coupling_of, loss_db, mhz, refused
from rasterport.analysis.network import set_side, states_of
from rasterport.analysis.nodal import GROUND, Element, Network, Values, impedance, reach
from rasterport.analysis.separating import separated_net, separator
from rasterport.analysis.setup import Setup
from rasterport.design.landings import separated
from rasterport.design.landings import through as passes
from rasterport.design.termination import LINE_OHM, parallel
from rasterport.parts.separators import SEPARATOR_S
from rasterport.records import Placed
from rasterport.standards.interface_levels import COMPOSITE, SYNC, TTL
from rasterport.standards.limits import RETURN_LOSS_TO_HZ

STIFF_OHM = 1e-3
"""A logic source whose promised level already counts its own resistance [ohm]."""
FEED_OHM = parallel(LINE_OHM, LINE_OHM)
"""What feeds the set's own jack: a 75 ohm source into 75 ohm [ohm]."""


@dataclass(frozen=True, slots=True)
class Logic:
    """A logic-level source of sync: its line to the landing, levels [V] and resistances [ohm] at its weak and strong
    end, its delay in chips [s]; `chip` is the buffer, `feed` whether that has a supply.
    """

    line: Line | None
    chip: Placed | None
    low_v: float
    high_v: float
    weak_ohm: float
    strong_ohm: float
    delay_typical_s: float = 0.0
    delay_most_s: float = 0.0


def through(setup: Setup) -> Line | None:
    """The line of video or sync at 75 ohm, None where the input sends logic levels or its sync is separated."""
    return setup.line("sync", "sync") if passes(setup.variant, setup.index) else None


def logic(setup: Setup) -> Logic | None:
    """The logic-level source: the contact itself, or the output of the buffer that it or a separator drives."""
    contact, landing = setup.contacts.get("sync"), setup.circuit.landing_net("sync")
    source, split = setup.source, separated(setup.variant, setup.index)
    if (source.sync != "ttl-composite" and not split) or contact is None or landing is None:
        return None
    elements = (*setup.control.elements(setup.state), *set_side(setup.circuit, setup.variant))
    chip = setup.control.part(setup.role("sync/buffer"))
    if chip is None:
        line = None if split else _line(setup, contact, landing, elements)
        return Logic(line, None, source.ttl_high_least, source.ttl_high_most, STIFF_OHM, STIFF_OHM)
    sections, begin = 1, contact
    if split:
        begin = separated_net(setup, contact, elements)
    elif source.sync_polarity == "negative":
        sections = 2
    out = _buffer_output(chip, begin, elements, sections) if begin else None
    feed = setup.control.supplies.get(supply_of(chip))
    r = chip.part.ratings
    if out is None or feed is None:
        return Logic(None, chip, 0.0, 0.0, r["output_ohm_high"], r["output_ohm"])
    late = SEPARATOR_S if split else (0.0, 0.0)
    return Logic(
        _line(setup, out, landing, elements),
        chip,
        feed.low,
        feed.high,
        r["output_ohm_high"],
        r["output_ohm"],
        sections * r["delay_typical_s"] + late[0],
        sections * r["delay_most_s"] + late[1],
    )


def _line(setup: Setup, start: str, landing: str, elements: Iterable[Element]) -> Line:
    walls = tuple(setup.control.walls)
    found = reach(elements, start, walls)
    return Line(start, landing, found, refused(setup.circuit, start, found, walls), walls)


def _buffer_output(chip: Placed, contact: str, elements: Iterable[Element], inversions: int) -> str | None:
    """Net behind so many inverters, the first of them fed from `contact`; None where the chain breaks."""
    reached = {n for e in reach(elements, contact) for n in (e.first, e.second)} | {contact}
    sections = {net_at(chip, f"{n}A"): net_at(chip, f"{n}Y") for n in range(1, 7)}
    net = next((a for a in sections if a in reached and a != GROUND), None)
    for _ in range(inversions):
        net = sections.get(net) if net else None
    return net or None


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the sync line."""
    line, source = through(setup), logic(setup)
    if line is not None and line.joined and not line.refused:
        yield from _through(setup, line)
    if source is not None and source.line is not None and source.line.joined and not source.line.refused:
        yield from _logic(setup, source, source.line)
    if separator(setup) is None and source is not None and source.chip is not None:
        least = setup.source.ttl_high_least
        yield bound("logic-level/high", "sync", setup.state, least, "threshold high")
        yield bound("logic-level/low", "sync", setup.state, TTL.output_low_most_v, "threshold low")
    contact = setup.contacts.get("sync")
    split = separated(setup.variant, setup.index)
    if (line is not None or split) and contact is not None:
        for state in states_of(setup.variant):
            if state != setup.state or split:
                subject = "sync" if state == setup.state else setup.contact_subject("sync")
                yield from _losses(setup.between(contact, contact, state), subject, state)
    if setup.index == 1:  # the set's own feed is one, whatever the board's inputs
        yield from native_change(setup, "sync", "sync")


def _through(setup: Setup, line: Line) -> Iterator[Quantity]:
    top = COMPOSITE if setup.source.sync == "composite-video" else SYNC

    def level(draw: Draw) -> Values:
        return 2 * SYNC.nominal * line.level(draw, MID_HZ)

    given = (("sync of the source", f"{SYNC.nominal:g} V into 75 ohm"),)
    yield Quantity("sync-level", "sync", setup.state, level, line.parameters, given)
    highest = (("highest level of what arrives", f"{top.high:g} V"),)
    yield Quantity(
        "sync-highest", "sync", setup.state, lambda d: level(d) / SYNC.nominal * top.high, line.parameters, highest
    )
    yield from _losses(line, "sync", setup.state)
    yield from tilts(setup, "sync", line)


def _losses(line: Line, subject: str, state: str) -> Iterator[Quantity]:
    """Return loss; at 100 kHz in place of DC where a capacitor stands before the load."""
    for hertz in (MID_HZ if coupling_of(line) else 0.0, 1e6, RETURN_LOSS_TO_HZ):

        def loss(draw: Draw, hertz: float = hertz) -> Values:
            return loss_db(line.volts(draw, hertz)[0])

        key = f"return-loss/{mhz(hertz)}"
        alike = (key, line.signature)
        yield Quantity(key, subject, state, loss, line.parameters, bends="high", alike=alike)


def _logic(setup: Setup, source: Logic, line: Line) -> Iterator[Quantity]:
    """The level rises with the source's voltage and falls with its resistance: one uncertainty moves both."""
    name = "logic level"
    nominal = ((source.low_v + source.high_v) / 2, (source.weak_ohm + source.strong_ohm) / 2)

    def level(draw: Draw) -> Values:
        volts = draw.between(name, source.low_v, nominal[0], source.high_v)
        ohm = draw.between(name, source.weak_ohm, nominal[1], source.strong_ohm)
        solved = line.network.solve(
            {line.contact: volts / ohm}, 2 * math.pi * MID_HZ, None, (*draw.values(line.elements), ohm)
        )
        return abs(solved[line.landing])

    given = (
        ("logic high", f"{source.low_v:.4g} to {source.high_v:.4g} V"),
        ("resistance of the output", f"{source.strong_ohm:g} to {source.weak_ohm:g} ohm"),
    )
    names = (name, *line.parameters)
    yield Quantity("sync-level", "sync", setup.state, level, names, given)
    yield Quantity("sync-highest", "sync", setup.state, level, names, given)
    # At direct voltage a coupling capacitor would hide the load, and every resistor at its least takes most.
    series = abs(impedance(line.elements, line.contact, MID_HZ, [e.low for e in line.elements]))
    drawn = source.low_v / series if source.chip is None else source.high_v / (source.strong_ohm + series)
    yield Quantity("sync-drive", "sync", setup.state, lambda _: drawn, (), given)


def native_change(setup: Setup, landing: str, subject: str, hertz: float = MID_HZ) -> Iterator[Quantity]:
    """What the board does to the set's own signal when it gives the landing back."""
    feed, end = setup.circuit.landing_net(f"{landing}-native"), setup.circuit.landing_net(landing)
    if feed is None or end is None:
        return
    line = setup.between(feed, end, "native")
    if not line.joined or line.refused:
        return
    source = Element("source", "R", feed, GROUND, FEED_OHM)
    bare = Network((*_alone(setup, end, feed), source), (), (feed,))

    def change(draw: Draw) -> Values:
        omega = 2 * math.pi * hertz
        without = bare.solve({feed: 1 / FEED_OHM}, omega, None, (*draw.values(bare.elements[:-1]), FEED_OHM))[feed]
        return 20 * np.log10(line.level(draw, hertz, FEED_OHM) / abs(without))

    given = (("feed of the set's own signal", f"{FEED_OHM:g} ohm"),)
    yield Quantity("native-change", subject, "native", change, line.parameters, given, folded=True)


def _alone(setup: Setup, landing: str, feed: str) -> tuple[Element, ...]:
    """What the set hangs on the landing, with the landing joined to its feed by a wire instead of the board."""
    found = []
    for e in set_side(setup.circuit, setup.variant):
        if landing in (e.first, e.second):
            ends = [feed if n == landing else n for n in (e.first, e.second)]
            found.append(Element(e.role, e.kind, ends[0], ends[1], e.value, e.spread, e.follows))
    return tuple(found)


def delays(setup: Setup) -> tuple[Line | None, tuple[float, float]]:
    """The line that sync takes on the board, and the typical and greatest delay in chips on its way [s]."""
    source, line = logic(setup), through(setup)
    if source is not None and source.line is not None:
        return _usable(source.line), (source.delay_typical_s, source.delay_most_s)
    return _usable(line), (0.0, 0.0)


def _usable(line: Line | None) -> Line | None:
    return line if line is not None and line.joined and not line.refused else None
