"""Menus that take turns with the picture: how far apart the two stand at direct voltage in front of the pin.

What the display's blanking moves is found by laying the pose with a menu beside the one without.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import Line
from rasterport.analysis.network import is_output, set_side
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.design.termination import LINE_OHM

NOTHING_V = 1e-6
"""Less than this is the rounding of the solution [V]."""


def turning(setup: Setup) -> dict[str, str]:
    """Net at which a switch turns from the picture to the menu -> role of the switch."""
    if not setup.control.menus:
        return {}
    shown = set(setup.control.pose(setup.state, menu=True).closed)
    hidden = set(setup.control.pose(setup.state).closed)
    found = {}
    for contact in shown - hidden:
        for other in hidden - shown:
            common = {contact.first, contact.second} & {other.first, other.second}
            if contact.owner == other.owner and common:
                found[common.pop()] = contact.owner
    return found


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Distance of the two blacks, a colour each; none where nothing turns."""
    nets = turning(setup)
    for colour, line in setup.colours().items() if nets else ():
        there = sorted(nets.keys() & {n for e in line.elements for n in (e.first, e.second)})
        if there:
            yield _apart(setup, colour, line, there[0])


def _apart(setup: Setup, colour: str, line: Line, net: str) -> Quantity:
    """Background of a menu less black of the source, whose direct voltage comes through 75 ohm."""
    low, high, keys = setup.source.black_least, setup.source.black_most, setup.variant.set.display
    source = Element("source", "R", line.contact, GROUND, LINE_OHM)
    around = set_side(setup.circuit, setup.variant)
    picture = (*reach((*setup.control.elements(setup.state), *around), net, line.walls), source)
    menu = reach((*setup.control.elements(setup.state, menu=True), *around), net, line.walls)
    networks = [Network(part, line.walls, (net,)) for part in (picture, menu)]
    output = next((e for e in menu if is_output(e)), None)
    name = f"black of {setup.state}"

    def apart(draw: Draw) -> Values:
        # 2 V behind 75 ohm are 1 V into 75 ohm.
        sent = {line.contact: 2 * draw.between(name, low, (low + high) / 2, high) / LINE_OHM}
        drawn = {} if output is None or keys is None else {output.first: keys.low / draw.of(output)}
        values = [[*draw.values(picture[:-1]), LINE_OHM], draw.values(menu)]
        levels = [n.solve(d, 0.0, None, v)[net] for n, d, v in zip(networks, (sent, drawn), values, strict=True)]
        off = np.real(levels[1]) - np.real(levels[0])
        return np.where(np.abs(off) > NOTHING_V, off, 0.0)

    names = (name, *parameters_of(picture[:-1]), *parameters_of(menu))
    given = setup.given(("input.black_least", "input.black_most", "set.display.low"))
    return Quantity("menu-black", colour, setup.state, apart, tuple(dict.fromkeys(names)), given, folded=True)
