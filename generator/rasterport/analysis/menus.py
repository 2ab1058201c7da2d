"""Figures of the set's own display where it shares the colour pins: levels, edges, and what an input leaves of them.

The display's output is its level behind a resistance, another one when on than when idle; levels are taken as those of
an input are, far above every coupling corner, and counted from what the clamp samples: no menu, the source at black.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.coupling import SHORT_OHM
from rasterport.analysis.draws import Draw
from rasterport.analysis.edges import Step
from rasterport.analysis.lines import LEAST_DB, MID_HZ, Line, loss_db, mhz
from rasterport.analysis.network import DISPLAY_ENDS, NATIVE, DisplayEnd, State, is_output, output_net, set_side
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.analysis.video import EMF_V, LEAST_RATIO
from rasterport.design.insertion import menu_white_v
from rasterport.design.landings import is_switched
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS
from rasterport.standards.limits import CROSSTALK_AT_HZ, RETURN_LOSS_TO_HZ
from rasterport.variant.display import Display as Keys

HIGH, HIGH_SPREAD = "set/display/high", 0.05
"""Name of the uncertainty of the display's level, and its bound: a regulated rail; common practice, no source."""
PANEL_F = 2e-12
"""Capacitance between open contacts where the catalogue has none: a panel switch with its wires; judgement, stated."""
LEAST_COUPLING_F = 1e-9
"""A capacitor of less in series is a stray one [F]."""
NOTHING_DB = -120.0
"""Less than this is written as this [dB]: paths that nobody modelled are stronger."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the display for the chosen input, and once of the native state; none without a display."""
    keys = setup.variant.set.display
    if keys is None:
        return
    own: dict[str, Mixed] = {}
    for colour, line in setup.colours().items():
        if output_net(setup.circuit, setup.variant, colour) is None:
            continue
        turns = is_switched(setup.variant)
        mixed = Mixed(setup, keys, colour, line, setup.state, turns)
        if not mixed.arrives:
            continue
        own[colour] = mixed
        yield from _levels(setup, mixed, "") if turns else _chosen(setup, mixed)
        yield from _foreign(setup, Mixed(setup, keys, colour, line, setup.state) if turns else mixed)
        if setup.index == 1:
            yield from _levels(setup, Mixed(setup, keys, colour, line, NATIVE, turns), "")
    if len(own) == len(COLOURS):
        yield _mismatch(setup, own)


class Mixed:
    """One colour in a state: a source at the contact of the chosen input, the display's output, and the pin.

    With `menu` the switches stand as the display's blanking throws them while it shows a menu.
    """

    def __init__(self, setup: Setup, keys: Keys, colour: str, line: Line, state: State, menu: bool = False) -> None:
        self.keys, self.colour, self.state = keys, colour, state
        self.contact, self.pin = line.contact, line.landing
        self.output = str(output_net(setup.circuit, setup.variant, colour))
        self.source = Element("source", "R", self.contact, GROUND, LINE_OHM)
        self.walls = line.walls
        board = setup.control.elements(state, menu=menu)
        self.elements: dict[DisplayEnd, tuple[Element, ...]] = {}
        for end in DISPLAY_ENDS:
            around = (*board, *set_side(setup.circuit, setup.variant, end))
            self.elements[end] = reach(around, self.pin, self.walls)
        self.names = tuple(dict.fromkeys(n for part in self.elements.values() for n in parameters_of(part)))
        self._networks: dict[tuple[DisplayEnd, bool], Network] = {}

    @property
    def arrives(self) -> bool:
        """Whether anything leads from the display's output to the pin."""
        return any(self.output in (e.first, e.second) for e in self.elements["on"])

    def network(self, end: DisplayEnd, plugged: bool) -> Network:
        """The colour with or without something in its contact."""
        if (end, plugged) not in self._networks:
            parts = (*self.elements[end], *([self.source] if plugged else []))
            self._networks[end, plugged] = Network(parts, self.walls, (self.contact, self.pin))
        return self._networks[end, plugged]

    def values(self, draw: Draw, end: DisplayEnd, plugged: bool) -> list[Values]:
        """Values of its elements."""
        return [*draw.values(self.elements[end]), *([LINE_OHM] if plugged else [])]

    def high_v(self, draw: Draw) -> Values:
        """Level of the display that is on [V]."""
        return self.keys.high * (1 + HIGH_SPREAD * draw.place(HIGH))

    def injected(self, draw: Draw, end: DisplayEnd) -> dict[str, Values]:
        """Current of the display's output into its own resistance [A]; none of one that has let go."""
        output = next((e for e in self.elements[end] if is_output(e)), None)
        if output is None:
            return {}
        return {self.output: (self.high_v(draw) if end == "on" else self.keys.low) / draw.of(output)}

    def at_pin(self, draw: Draw, end: DisplayEnd, plugged: bool) -> Values:
        """What the display alone makes of the pin [V], complex."""
        found = self.network(end, plugged).solve(
            self.injected(draw, end), 2 * math.pi * MID_HZ, None, self.values(draw, end, plugged)
        )
        return found[self.pin]

    def menu_v(self, draw: Draw, plugged: bool) -> Values:
        """White of a menu above no menu [V]."""

        def solved() -> Values:
            return abs(self.at_pin(draw, "on", plugged) - self.at_pin(draw, "idle", plugged))

        return draw.once((self, "menu", plugged), solved)

    def picture(self, draw: Draw, end: DisplayEnd, hertz: float = MID_HZ) -> tuple[Values, Values]:
        """Voltages at contact and pin for a source of 1 V behind 75 ohm, complex."""
        drive = {self.contact: 1 / LINE_OHM}
        found = self.network(end, True).solve(drive, 2 * math.pi * hertz, None, self.values(draw, end, True))
        return found[self.contact], found[self.pin]

    def both_v(self, draw: Draw) -> Values:
        """White of an input under white of a menu, above black [V]."""
        step = self.at_pin(draw, "on", True) - self.at_pin(draw, "idle", True)
        return abs(step + EMF_V * self.picture(draw, "on")[1])

    def edge_s(self, draw: Draw, end: DisplayEnd) -> Values:
        """From 10 to 90 % of an edge of the display at the pin [s]: on its way up the output is on, down it is off."""
        parts = (*self.elements[end], self.source)
        # To an edge a coupling capacitor is a short.
        parts = tuple(replace(e, kind="R", value=SHORT_OHM, spread=0.0) if _couples(e) else e for e in parts)
        values = [SHORT_OHM if e.value == SHORT_OHM else draw.of(e) for e in parts]
        step = Step(parts, values, dict.fromkeys(self.walls, 0.0), {}, {self.output: 1.0})
        first, last = step.share(self.pin, 0.1, 0.9)
        return last - first


def _couples(element: Element) -> bool:
    """Whether a capacitor stands in series, far above any stray one."""
    return element.kind == "C" and GROUND not in (element.first, element.second) and element.value > LEAST_COUPLING_F


def _quantity(setup: Setup, mixed: Mixed, key: str, of: Callable[[Draw], Values], *given: str, **more: Any) -> Quantity:
    names = mixed.names if more.pop("passive", False) else (*mixed.names, HIGH)
    return Quantity(key, mixed.colour, mixed.state, of, names, setup.given(given), **more)


def _levels(setup: Setup, mixed: Mixed, suffix: str) -> Iterator[Quantity]:
    """White of a menu, how far it is off, its edges."""
    wanted, plugged = menu_white_v(setup.variant), suffix == ""
    level = ("set.display.high", "set.display.low")

    def error(draw: Draw) -> Values:
        return 20 * np.log10(mixed.menu_v(draw, plugged) / wanted)

    told = (("white wanted of menus", f"{wanted:g} V"),)
    yield _quantity(setup, mixed, f"menu-level{suffix}", lambda d: mixed.menu_v(d, plugged), *level)
    found = _quantity(setup, mixed, f"menu-error{suffix}", error, *level, folded=True)
    yield replace(found, given=(*found.given, *told))
    if suffix:
        return
    ends: tuple[tuple[str, DisplayEnd], ...] = (("rise", "on"), ("fall", "idle"))
    for way, end in ends:
        if any(is_output(e) for e in mixed.elements[end]):

            def edge(draw: Draw, end: DisplayEnd = end) -> Values:
                return mixed.edge_s(draw, end)

            yield _quantity(setup, mixed, f"menu-edge/{way}", edge, "set.display.pixel", passive=True)


def _chosen(setup: Setup, mixed: Mixed) -> Iterator[Quantity]:
    """With an input chosen: its source connected and not, the display on and not."""
    yield from _levels(setup, mixed, "")
    yield from _levels(setup, mixed, "-unplugged")

    def change(draw: Draw) -> Values:
        return 20 * np.log10(mixed.menu_v(draw, False) / mixed.menu_v(draw, True))

    def dimmed(draw: Draw) -> Values:
        found = 20 * np.log10(abs(mixed.picture(draw, "on")[1] / mixed.picture(draw, "idle")[1]))
        return np.where(abs(found) > LEAST_DB, found, 0.0)

    def loss(draw: Draw) -> Values:
        return loss_db(mixed.picture(draw, "on", RETURN_LOSS_TO_HZ)[0])

    yield _quantity(setup, mixed, "menu-unplugged", change, passive=True)
    yield _quantity(setup, mixed, "under-menu", dimmed, passive=True)
    yield _quantity(setup, mixed, "both-white", mixed.both_v, "set.display.high", "set.rgb.clipping_level")
    key = f"menu-return-loss/{mhz(RETURN_LOSS_TO_HZ)}"
    yield _quantity(setup, mixed, key, loss, passive=True, bends="high")


def _foreign(setup: Setup, mixed: Mixed) -> Iterator[Quantity]:
    """What comes of a source that is on in the native state, through open contacts, against the same when chosen."""
    native = Mixed(setup, mixed.keys, mixed.colour, Line(mixed.contact, mixed.pin, (), "", mixed.walls), NATIVE)
    opened = _open_contacts(setup)
    around = (*setup.control.elements(NATIVE), *set_side(setup.circuit, setup.variant), *opened)
    elements = reach(around, mixed.pin, mixed.walls)
    network = Network((*elements, mixed.source), mixed.walls, (mixed.pin,))
    names = tuple(dict.fromkeys((*parameters_of(elements), *mixed.names)))
    told = (("between open contacts", f"{max((e.value for e in opened), default=0.0) * 1e12:.3g} pF"),)
    for hertz in CROSSTALK_AT_HZ:

        def decibels(draw: Draw, hertz: float = hertz) -> Values:
            values = (*draw.values(elements), LINE_OHM)
            there = network.solve({mixed.contact: 1 / LINE_OHM}, 2 * math.pi * hertz, None, values)[mixed.pin]
            own = abs(mixed.picture(draw, "idle", hertz)[1])
            return np.maximum(20 * np.log10(np.maximum(abs(there), 1e-12) / own), NOTHING_DB)

        subject = setup.contact_subject(mixed.colour)
        yield Quantity(f"foreign/{mhz(hertz)}", subject, native.state, decibels, names, told)


def _open_contacts(setup: Setup) -> tuple[Element, ...]:
    """The capacitance of every contact that is open in the native state."""
    closed = setup.control.pose(NATIVE).closed
    found = []
    for contact in setup.control.poses.place.board.contacts:
        placed = setup.control.part(contact.owner)
        if contact in closed or placed is None or not (contact.first and contact.second):
            continue
        if placed.part.letter in ("K", "S"):
            farad = placed.part.ratings.get("contact_capacitance_f", PANEL_F)
            found.append(Element(f"{contact.name}/{contact.value}/open", "C", contact.first, contact.second, farad))
    return tuple(found)


def _mismatch(setup: Setup, own: dict[str, Mixed]) -> Quantity:
    """Greatest ratio of two colours of a menu while nothing is plugged in: the tint that it has then."""

    def ratio(draw: Draw) -> Values:
        levels = [mixed.menu_v(draw, False) for mixed in own.values()]
        most = np.maximum(np.maximum(levels[0], levels[1]), levels[2])
        least = np.minimum(np.minimum(levels[0], levels[1]), levels[2])
        return 100 * np.where(most / least - 1 > LEAST_RATIO, most / least - 1, 0.0)

    names = tuple(dict.fromkeys((*(n for mixed in own.values() for n in mixed.names), HIGH)))
    return Quantity("menu-mismatch", "red, green, blue", setup.state, ratio, names, bends="low")
