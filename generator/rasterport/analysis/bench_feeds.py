"""What is put to a board on the bench in place of set and source: supply, cells at contacts, resistors at landings.

Simple means only: one bench supply, dry cells, resistors.  Each says its value and what it has to bear.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rasterport.analysis.control import Control, Range
from rasterport.analysis.display_blanking import joining
from rasterport.analysis.network import NATIVE, State, set_side
from rasterport.analysis.nodal import Element
from rasterport.analysis.points import contacts, landings
from rasterport.analysis.poses import positions_of
from rasterport.design import choosing as meanings
from rasterport.design.choosing import choosing
from rasterport.design.landings import CONTACT_OHM
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import short, significant, written

CELLS = (
    ("one 1.5 V cell", Range(1.2, 1.65)),
    ("two 1.5 V cells in series", Range(2.4, 3.3)),
    ("three 1.5 V cells in series", Range(3.6, 4.95)),
    ("a 9 V battery", Range(7.0, 9.6)),
)
"""Dry cells from nearly used up to new [V]; from memory."""
LIMIT_SHARE, LIMIT_LEAST_A, LIMIT_STEP_A = 1.5, 0.05, 0.01
"""The supply's current limit against the most that the board takes; the least, and the steps, in which a bench supply
can be set [A]; judgement, stated."""

NEAR_SHARE = 0.1
"""A supply of the board serves in place of another that is so near [-]; judgement, stated."""

FALLS_V = 0.5
"""More does not fall across a stand-in between ground and a junction that blocks [V]; judgement, stated."""
PIN_OHM = 100e3
"""A colour pin of more needs no resistor in its place [ohm]; judgement, stated."""


@dataclass(frozen=True, slots=True)
class StandIn:
    """A resistor that stands in for the set, `ohm` between two points in words, with the reason."""

    key: str
    first: str
    second: str
    ohm: float
    watts: float
    reason: str


def limit_a(control: Control) -> float:
    """Where to set the current limit of the bench supply [A]."""
    return limit_for(max(float(control.currents(state).rail_a) for state in control.states))


def limit_for(most: float) -> float:
    """The current limit for a board that takes at most `most` from its rail [A]."""
    steps = math.ceil(significant(most * LIMIT_SHARE / LIMIT_STEP_A))
    return max(LIMIT_LEAST_A, significant(steps * LIMIT_STEP_A))


def supply_words(control: Control) -> str:
    """The bench supply in words."""
    volts = written(control.variant.set.supply.voltage, "V")
    most = written(limit_a(control), "A")
    return f"bench supply {volts}, current limit {most}, plus to the rail landing, minus to the ground landing"


def cell_between(least: float, most: float) -> tuple[str, Range] | None:
    """The fewest dry cells that stay between two voltages [V], None where none do."""
    return next(((name, r) for name, r in CELLS if least <= r.low and r.high <= most), None)


def chooses(control: Control, state: State) -> str:
    """What brings a board into a state on the bench, in words, "" where nothing has to be done."""
    return "; ".join([*_switch(control, state), *_gate(control, state), *_status(control, state)])


def position(control: Control, state: State) -> str:
    """Where the panel switch stands in a state, in words, "" on a board without one."""
    return "; ".join(_switch(control, state))


def _index(control: Control, state: State) -> int:
    return 0 if state == NATIVE else control.states.index(state)


def _switch(control: Control, state: State) -> list[str]:
    how, index = choosing(control.variant), _index(control, state)
    order = positions_of(control.variant)
    meaning = meanings.AUTOMATIC if how.automatic and (index in how.by_status or not index) else index
    for axis in control.poses.place.board.axes:
        if axis.net == "" and not axis.levels and meaning in order:
            return [f"{axis.name} {axis.values[order.index(meaning)]}"]
    return []


def _gate(control: Control, state: State) -> list[str]:
    selector, lands = control.variant.selector, landings(control.circuit)
    if "gate" not in lands:
        return []
    high = (selector.gate_active == "high") == (state != NATIVE)
    if not high:
        return [f"{lands['gate'].words} to the ground landing"]
    cell = cell_between(selector.gate_high, selector.gate_maximum)
    what = cell[0] if cell else f"{written(selector.gate_high, 'V')} from a second supply"
    return [f"{what} from the {lands['gate'].words} to the ground landing, minus to ground"]


def _status(control: Control, state: State) -> list[str]:
    index = _index(control, state)
    if index not in choosing(control.variant).by_status:
        return []
    points = contacts(control.circuit, control.variant, index)
    levels = STATUS_LEVELS[f"status-{control.variant.input[index - 1].status_contact}"]
    point = points.get(levels.key)
    if point is None:
        return []
    cell = cell_between(levels.on_least_v, levels.on_most_v)
    if cell is None:
        return [f"{written(levels.on_least_v, 'V')} from a second supply at {point.words}"]
    name, r = cell
    if levels.load_ohm is None or levels.load_ohm > 1e3:
        return [f"{name} at {point.words}, minus to ground"]
    amps, watts = r.high / levels.load_ohm, r.high**2 / levels.load_ohm
    gives = f"{written(significant(amps, 2), 'A')}, {short(watts * 1e3, 2)} mW"
    return [f"{name} at {point.words}, minus to ground: it gives {gives}"]


def source_words() -> str:
    """A cell behind 75 ohm in place of a source; what it gives is known only once it was read by itself."""
    name, r = CELLS[0]
    watts = r.high**2 / LINE_OHM / 4
    return (
        f"{name} behind 75 ohm (0.25 W; it takes {short(watts * 1e3, 2)} mW) at the contact of the line that is read, "
        "minus to ground; measure the cell by itself first"
    )


def _near(control: Control, volts: float) -> str:
    """A point of the board that stands at about a voltage [V], in words."""
    for p in control.circuit.parts:
        for pin in p.part.pins if p.part.key.startswith("test-point/") else ():
            r = control.supplies.get(p.nets[pin.number] or "")
            if r is not None and abs((r.low + r.high) / 2 - volts) <= NEAR_SHARE * volts:
                return f"{p.ref} ({p.value})"
    lands, rail = landings(control.circuit), control.variant.set.supply.voltage
    if "rail" in lands and abs(rail - volts) <= NEAR_SHARE * volts:
        return lands["rail"].words
    return f"{written(volts, 'V')} from a second supply"


def line_resistors(control: Control) -> tuple[Element, ...]:
    """Terminations of the set that stay on its landings, and colour pins that are no high resistance."""
    rgb, found = control.variant.set.rgb, []
    for e in set_side(control.circuit, control.variant):
        pin = e.role.removeprefix("set/").removesuffix("/resistance") in COLOURS
        weak = pin and rgb.coupling_fitted is None and e.value < PIN_OHM
        if e.kind == "R" and (weak or e.role.endswith("/termination")):
            found.append(e)
    return tuple(found)


def stand_ins(control: Control) -> tuple[StandIn, ...]:
    """The resistors that stand in for the set on the bench."""
    lands, tv = landings(control.circuit), control.variant.set
    ground = lands["ground"].words if "ground" in lands else "ground"
    found = []

    def row(name: str, second: str, ohm: float, volts: float, reason: str) -> None:
        if name in lands:
            watts = volts**2 / ohm
            found.append(StandIn(f"stand-in/{name}", lands[name].words, second, ohm, watts, reason))

    for e in line_resistors(control):
        name = e.role.split("/")[1]
        row(name, ground, e.value, CELLS[0][1].high / 2, f"what the set has at its {name} landing")
    pin = tv.blanking
    if pin.fitted_resistor is not None:
        row("blanking", ground, pin.fitted_resistor, pin.maximum, "the resistor that stays on the blanking pin")
    native_ohm = max(pin.native_resistance or 0.0, CONTACT_OHM)
    row("blanking-native", ground, native_ohm, pin.off_below, "the set's own drive, at rest")
    if tv.display is not None:
        keys = tv.display
        rests_high = keys.blanking_active == "low"
        end, volts = (_near(control, keys.blanking_high), keys.blanking_high) if rests_high else (ground, FALLS_V)
        ohm = max(keys.blanking_resistance, CONTACT_OHM)
        row("display-blanking", end, ohm, volts, "the display's blanking output while no menu is shown")
    return tuple(found)


def menu_words(control: Control) -> str:
    """What stands in for the display's blanking output while it shows a menu, "" without a display on the pin."""
    lands, join = landings(control.circuit), joining(control)
    if join is None:
        return ""
    high = join.display.blanking_active == "high"
    end = (
        _near(control, join.display.blanking_high) if high else lands["ground"].words if "ground" in lands else "ground"
    )
    ohm = written(join.output(high).value, "ohm")
    return f"in place of its stand-in {ohm} from the {lands['display-blanking'].words} to {end}"
