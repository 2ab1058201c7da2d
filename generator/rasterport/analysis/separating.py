"""Figures of a sync separator: the level at its input, what its input takes from the capacitor, its timing parts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from rasterport.analysis.control import net_at
from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import MID_HZ
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.setup import Setup
from rasterport.design.landings import line_standards
from rasterport.design.termination import LINE_OHM
from rasterport.records import Placed
from rasterport.standards.interface_levels import COMPOSITE


def separator(setup: Setup) -> Placed | None:
    """The separator of the input, None where it has none."""
    return setup.control.part(setup.role("sync/separator"))


def separated_net(setup: Setup, contact: str, elements: Iterable[Element]) -> str:
    """Net of the separator's sync, "" where its input does not hang on the contact through a capacitor."""
    chip = separator(setup)
    return net_at(chip, "CSYNC") if chip is not None and _fed(setup, chip, contact, elements) else ""


def _fed(setup: Setup, chip: Placed, contact: str, elements: Iterable[Element]) -> bool:
    """Whether the input of the separator hangs on the contact through a capacitor."""
    ways = [
        e for e in reach(elements, contact, setup.control.walls) if e.kind == "C" and GROUND not in (e.first, e.second)
    ]
    return any(net_at(chip, "VIDEO") in (e.first, e.second) for e in ways)


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Every figure of the separator of the chosen input; none where it is not fed."""
    chip, contact = separator(setup), setup.contacts.get("sync")
    if chip is None or contact is None or not _fed(setup, chip, contact, setup.around(setup.state)):
        return
    video, ratings = net_at(chip, "VIDEO"), chip.part.ratings
    yield from _level(setup, contact, video, ratings["input_least_ohm"])
    near = setup.control.elements(setup.state)
    into = [e for e in near if e.kind == "C" and video in (e.first, e.second) and GROUND not in (e.first, e.second)]
    period = max(s.line_period_s for s in line_standards(setup.variant))
    taken = ratings["discharge_high_a"]

    def droop(draw: Draw) -> Values:
        return taken * period / sum(draw.of(e) for e in into)

    given = (("current of its input", f"{taken * 1e6:g} uA"), ("line period", f"{period * 1e6:.6g} us"))
    yield Quantity("separator-droop", "sync", setup.state, droop, parameters_of(into), given)
    sets = net_at(chip, "RSET")
    ohms, farads = ([e for e in near if e.kind == kind and {e.first, e.second} == {sets, GROUND}] for kind in "RC")
    if ohms:
        yield Quantity(
            "separator-set", "sync", setup.state, lambda d: 1 / sum(1 / d.of(e) for e in ohms), parameters_of(ohms)
        )
    if farads:
        yield Quantity(
            "separator-time", "sync", setup.state, lambda d: sum(d.of(e) for e in farads), parameters_of(farads)
        )


def _level(setup: Setup, contact: str, video: str, input_ohm: float) -> Iterator[Quantity]:
    """What of the source arrives at the input of the separator."""
    source = Element("source", "R", contact, GROUND, LINE_OHM)
    part = (*reach(setup.around(setup.state), contact, setup.control.walls), source)
    part = (*part, Element("separator/input", "R", video, GROUND, input_ohm))
    network = Network(part, setup.control.walls, (video,))
    for end, volts in (("lowest", COMPOSITE.low), ("highest", COMPOSITE.high)):

        def level(draw: Draw, volts: float = volts) -> Values:
            solved = network.solve({contact: 2 * volts / LINE_OHM}, 2 * math.pi * MID_HZ, None, draw.values(part))
            return abs(solved[video])

        given = (("span of the source", f"{volts:g} V into 75 ohm"), ("resistance of its input", f"{input_ohm:g} ohm"))
        yield Quantity(f"separator-input/{end}", "sync", setup.state, level, parameters_of(part), given)
