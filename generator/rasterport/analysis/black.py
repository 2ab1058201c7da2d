"""Figures of pins without a clamp: where black stands, DC-coupled or behind the board's own keyed clamp."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import numpy as np

from rasterport.analysis.control import Control
from rasterport.analysis.corners import Quantity
from rasterport.analysis.coupling import Pin
from rasterport.analysis.draws import Draw
from rasterport.analysis.keyed import Keying, keying_at
from rasterport.analysis.lines import Line
from rasterport.analysis.nodal import GROUND, Element, Network, Values, parameters_of, reach
from rasterport.analysis.separating import separator
from rasterport.analysis.setup import Setup
from rasterport.design.coupling import CUT_STEP_V, CUT_TIME_S
from rasterport.design.landings import line_standards
from rasterport.design.termination import LINE_OHM
from rasterport.parts.separators import SEPARATOR_S
from rasterport.standards.bt470 import WHITE_V

BIAS = "current of the pin"
"""Name of the uncertainty of what a pin takes, in either direction."""
KEY = "length of the key"
"""Name of the uncertainty of a separator's back-porch pulse."""
NOTHING_V = 1e-6
"""Less than this is the rounding of the solution [V]."""
SETTLED = 0.01
"""The clamp has settled where black is within this part of white [-]."""


def quantities(setup: Setup) -> Iterator[Quantity]:
    """Black of every colour; none behind a capacitor that no switch of the board clamps."""
    if setup.variant.set.rgb.pin_kind != "analog-dc":
        return
    for colour, line in setup.colours().items():
        pin, keying = Pin(setup, line), keying_at(setup.control, (line.landing,))
        if not pin.blocked:
            yield from _direct(setup, colour, line)
        elif keying is not None:
            yield from _level(setup, colour, line, keying)
            yield from _keyed(setup, colour, line, pin, keying)
    chip = separator(setup)
    if chip is not None and keying_at(setup.control, {line.landing for line in setup.colours().values()}):
        yield _margin(setup, chip.part.ratings)


def _direct(setup: Setup, colour: str, line: Line) -> Iterator[Quantity]:
    """Direct current from the source, from whatever rail a resistor leads to, and of the pin itself."""
    control, rgb, name = setup.control, setup.variant.set.rgb, f"black of {setup.state}"
    low, high = setup.source.black_least, setup.source.black_most
    elements = (*line.ordered, Element("source", "R", line.contact, GROUND, LINE_OHM))
    network = Network(elements, line.walls, (line.landing,))
    touched = _rails(control, line.elements)

    def black(draw: Draw) -> Values:
        # 2 V behind 75 ohm are 1 V into 75 ohm.
        sent = 2 * draw.between(name, low, (low + high) / 2, high) / LINE_OHM
        amps: dict[str, Values] = {line.contact: sent}
        amps[line.landing] = amps.get(line.landing, 0.0) + draw.between(BIAS, -rgb.leakage, 0.0, rgb.leakage)
        found = network.solve(amps, 0.0, _held(control, touched, draw), draw.values(elements))
        return np.real(found[line.landing])

    names = (name, BIAS, *_supplies(control, touched), *line.parameters)
    keys = ("input.black_least", "input.black_most", "set.rgb.leakage")
    yield from _both(setup, colour, black, names, keys, (setup.state, tuple(touched), line.signature))


def _level(setup: Setup, colour: str, line: Line, keying: Keying) -> Iterator[Quantity]:
    """Black behind a keyed clamp is the voltage that it closes to."""
    control, net = setup.control, keying.other(line.landing)
    elements = reach(control.resistors(setup.state), net, control.rails) if net != GROUND else ()
    touched = _rails(control, elements)
    network = Network(elements, control.rails, (net,))

    def black(draw: Draw) -> Values:
        if net == GROUND:
            return 0.0
        return np.real(network.solve({}, 0.0, _held(control, touched, draw), draw.values(elements))[net])

    names = (*_supplies(control, touched), *parameters_of(elements))
    yield from _both(setup, colour, black, names, (), (net,))


def _both(
    setup: Setup,
    colour: str,
    black: Callable[[Draw], Values],
    names: tuple[str, ...],
    keys: tuple[str, ...],
    alike: tuple[object, ...],
) -> Iterator[Quantity]:
    wanted, given = setup.variant.set.rgb.black_level or 0.0, setup.given(keys)
    told = (*given, *setup.given(("set.rgb.black_level",)))
    yield Quantity("black", colour, setup.state, black, names, given, "", ("black", *alike))

    def error(draw: Draw) -> Values:
        off = black(draw) - wanted
        return np.where(np.abs(off) > NOTHING_V, off, 0.0)

    alike = ("error", *alike)
    yield Quantity("black-error", colour, setup.state, error, names, told, "", alike, folded=True)


def _keyed(setup: Setup, colour: str, line: Line, pin: Pin, keying: Keying) -> Iterator[Quantity]:
    """Capacitor, droop, lag and settling behind the clamp: a switch of some resistance that closes once a line."""
    rgb, chip = setup.variant.set.rgb, separator(setup)
    ohms = setup.control.switch_ohms.get(keying.owner)
    if chip is None or ohms is None:
        return
    r, standards, switch = chip.part.ratings, line_standards(setup.variant), f"{keying.owner}/on"
    active, period = max(s.active_line_s for s in standards), max(s.line_period_s for s in standards)
    gain_v = min(rgb.white_level, WHITE_V)
    step_v, black_v = CUT_STEP_V * gain_v / WHITE_V, rgb.black_level or 0.0
    owner = setup.control.part(keying.owner)
    leak_a = rgb.leakage + (owner.part.ratings["common_leakage_a"] if owner is not None else 0.0)

    def left(draw: Draw) -> Values:
        """Share of an error that a key leaves."""
        key = draw.between(KEY, r["burst_low_s"], r["burst_typical_s"], r["burst_high_s"])
        ohm = pin.ohm(draw) + draw.between(switch, ohms[1], ohms[0], ohms[2])
        return np.exp(-key / (ohm * pin.farad(draw)))

    def lag(draw: Draw) -> Values:
        return 100 * step_v / CUT_TIME_S * period / (1 - left(draw)) / gain_v

    def droop(draw: Draw) -> Values:
        drawn = leak_a + (black_v + gain_v) * pin.siemens(draw)
        return 100 * active * drawn / pin.farad(draw) / gain_v

    def lines(draw: Draw) -> Values:
        return np.log(step_v / (SETTLED * gain_v)) / -np.log(left(draw))

    def quantity(key: str, of: Callable[[Draw], Values], *given: str) -> Quantity:
        extra = (("active line", f"{active * 1e6:.6g} us"), ("line period", f"{period * 1e6:.6g} us"))
        told = (*setup.given(given), *extra, ("switch", f"{ohms[0]:.4g} ohm"))
        return Quantity(key, colour, setup.state, of, names, told, "", (key, pin.alike, ohms))

    names = (KEY, switch, *parameters_of(pin.elements))
    white = "set.rgb.white_level"
    yield quantity("coupling", pin.farad)
    yield quantity("keyed-droop", droop, "set.rgb.leakage", "set.rgb.black_level", white)
    yield quantity("black-lag", lag, white)
    yield quantity("keyed-settling", lambda d: lines(d) * period, white)


def _margin(setup: Setup, r: Mapping[str, float]) -> Quantity:
    """From the end of the key to the begin of the picture, where the source keeps the standard's back porch."""
    porch = min(s.back_porch_s for s in line_standards(setup.variant))

    def margin(draw: Draw) -> Values:
        late = draw.between("delay of the separator", 0.0, SEPARATOR_S[0], SEPARATOR_S[1])
        return porch - late - draw.between(KEY, r["burst_low_s"], r["burst_typical_s"], r["burst_high_s"])

    given = (("back porch", f"{porch * 1e6:.6g} us"),)
    return Quantity("key-margin", "clamp", setup.state, margin, ("delay of the separator", KEY), given)


def _rails(control: Control, elements: tuple[Element, ...]) -> list[str]:
    return [net for net in control.rails if any(net in (e.first, e.second) for e in elements)]


def _supplies(control: Control, rails: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(control.supply_name(net) for net in rails))


def _held(control: Control, rails: list[str], draw: Draw) -> dict[str, Values]:
    """Rails with what their way costs [V], unlike those that bound currents."""
    found = {}
    for net in rails:
        low, high = control.supply_range(net).low, control.supply_range(net).high
        found[net] = draw.between(control.supply_name(net), low, (low + high) / 2, high)
    return found
