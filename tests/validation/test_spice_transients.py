"""What capacitors do in time: transients of ngspice on the deck against arithmetic.

Expected values are worked out beside each test from the inputs, with I t / C and 1 - exp(-t / RC).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from making import TEMPLATE_NAMES, template, variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.network import contact_nets
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.design.landings import line_standards
from rasterport.emit.deck import deck_text, spice_names
from rasterport.records import COLOURS, GROUND, Conditions, Modelled, Simulation
from rasterport.variant.models import Variant
from spice import control, of_picture, plots, run

WITHIN = 0.02
"""Distance that the arithmetic may have from the simulation, relative."""
CHANGE_MOST = 0.02
"""Change of white or sync with the picture's average, relative."""


def deck_of(made: Variant, under: Conditions | None = None) -> Simulation:
    """The deck of input 1; where the set's display shares the pins it draws no menu."""
    deck = simulation(compose(made), made, "input-1", under)
    return changed(deck, "", {"high_v": 0.0}, "set/menu/") if made.set.display is not None else deck


def changed(deck: Simulation, ends_with: str, figures: Mapping[str, float], begins_with: str = "") -> Simulation:
    """The simulation with figures of every part whose name begins and ends so replaced."""
    named = {p.name for p in deck.parts if p.name.endswith(ends_with) and p.name.startswith(begins_with)}
    assert named
    return replace(
        deck, parts=tuple(replace(p, figures={**p.figures, **figures}) if p.name in named else p for p in deck.parts)
    )


def without_cables(deck: Simulation) -> Simulation:
    """The simulation with a short in place of every cable: it needs short steps, and long runs have none."""
    return replace(
        deck,
        parts=tuple(
            replace(p, kind="resistor", figures={"value_ohm": 1e-3}) if p.kind == "cable" else p for p in deck.parts
        ),
    )


def trace(deck: Simulation, net: str, stop_s: float, step_s: float) -> Callable[[float], float]:
    """Voltage [V] at a net over time [s], straight between the points of ngspice."""
    name = spice_names(deck)[net]
    starts = "\n".join(f".ic v({spice_names(deck)[n]})={v:.9g}" for n, v in sorted(deck.starts.items()))
    lines = control(f"tran {step_s:g} {stop_s:g} 0 {step_s:g}", f"write raw v({name})")
    plot = plots(deck_text(deck, analysis=f"{starts}\n{lines}"))[0]
    times, volts = plot.real("time"), plot.real(f"v({name})")

    def at(t: float) -> float:
        k = bisect_left(times, t)
        a, b = times[k - 1], times[k]
        return volts[k - 1] + (volts[k] - volts[k - 1]) * (t - a) / (b - a)

    return at


def pin_of(made: Variant) -> str:
    """The net at the clamp of red."""
    landing = compose(made).landing_net("red")
    return "set/red/pin" if made.set.rgb.coupling_fitted else str(landing)


def coupling_f(made: Variant) -> float:
    """What the pin's leakage discharges: the capacitor at the pin, in series with the one in front of a switch."""
    fitted = made.set.rgb.coupling_fitted
    circuit = compose(made)
    at_pin = fitted if fitted is not None else circuit.by_role("red/coupling").value_si or 0.0
    if not circuit.has("input-1/red/block"):
        return at_pin
    return 1 / (1 / at_pin + 1 / (circuit.by_role("input-1/red/block").value_si or 1.0))


def between(deck: Simulation, first: str, last: str) -> float:
    """Resistance of the parts in a row between two nets [ohm], 0 where there is none of the nets."""
    steps = {p.nets: p.figures["value_ohm"] for p in deck.parts if p.kind == "resistor"}
    ways = [(first, 0.0, frozenset({first, "MIDDLE_VIDEO", "GND"}))]
    while ways:
        net, ohm, seen = ways.pop()
        if net == last:
            return ohm
        for nets, value in steps.items():
            for here, there in (nets, nets[::-1]):
                if here == net and there not in seen:
                    ways.append((there, ohm + value, seen | {there}))
    return 0.0


def active_from(made: Variant, line: int) -> float:
    s = line_standards(made)[0]
    return line * s.line_period_s + s.front_porch_s + s.sync_width_s + s.back_porch_s


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_droop_of_a_black_line(name: str) -> None:
    """Leakage alone: 0.1 uA for 52.66 us out of 100 nF are 52.7 uV."""
    made = template(name)
    s = line_standards(made)[0]
    deck = changed(deck_of(made, Conditions(picture=0.0)), "/picture", {"high_v": 0.0})
    volts = trace(deck, pin_of(made), 4 * s.line_period_s, deck.step_s)
    begin = active_from(made, 2)
    droop = volts(begin) - volts(begin + s.active_line_s)
    assert droop == pytest.approx(made.set.rgb.leakage * s.active_line_s / coupling_f(made), rel=WITHIN)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_droop_of_a_white_bar(name: str) -> None:
    """The figure: leakage, and the pin's own resistance where the capacitor stands in front of it.

    DC-coupled, since 220 uF in the source would add a quarter of a millivolt of its own.  The bar is shorter than the
    active line that the figure counts, and the droop as straight as it is small.
    """
    made = template(name, {"input.source_coupling": "dc"})
    s, white = line_standards(made)[0], made.set.rgb.white_level
    deck = deck_of(made)
    volts = trace(deck, pin_of(made), 4 * s.line_period_s, deck.step_s)
    begin, span = active_from(made, 2) + 0.3 * s.active_line_s, 0.4 * s.active_line_s
    longest = max(standard.active_line_s for standard in line_standards(made))
    droop = 100 * (volts(begin) - volts(begin + span)) / white * longest / span
    figure = Figures(Setup(made, compose(made))).get("droop", "red")
    if made.selector.path == "cmos":
        # In front of a switch the figure counts a small white detail; this bar lifts the mean to two fifths of white.
        assert 0.6 * figure.nominal < droop < figure.nominal
        return
    assert droop == pytest.approx(figure.nominal, rel=WITHIN)


def test_tilt_behind_the_boards_capacitor_into_a_high_landing() -> None:
    """22 uF into 10 kohm behind 75 and 75 ohm in parallel: 1 - exp(-10 ms / (10037 ohm x 22 uF)) is 4.4 %."""
    made = variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V", "input.source_coupling": "dc"})
    assert tilt(made) == pytest.approx(1 - math.exp(-10e-3 / (10037.5 * 22e-6)), rel=WITHIN)


def test_tilt_behind_the_boards_capacitor_into_75_ohm() -> None:
    """470 uF into 75 ohm (and 10 kohm) from 75 ohm: 1 - exp(-10 ms / (149.4 ohm x 470 uF)) is 13.3 %."""
    changes = {"set.sync.coupling": "dc", "set.sync.arrangement": "dedicated", "set.sync.termination": "fixed"}
    made = variant({**changes, "input.source_coupling": "dc"})
    assert tilt(made) == pytest.approx(1 - math.exp(-10e-3 / (149.44 * 470e-6)), rel=WITHIN)


def tilt(made: Variant) -> float:
    """What of a step at the sync landing is gone after 10 ms."""
    deck = changed(deck_of(made), "sync/start", {"low_v": 0.0})
    deck = changed(deck, "sync/sync", {"high_v": 0.0})
    step = {"low_v": 0.0, "high_v": 1.4, "delay_s": 1e-3, "edge_s": 1e-7, "flat_s": 1.0, "period_s": 2.0}
    deck = changed(deck, "sync/picture", step)
    # The keys and pictures of the colours would only set thousands of points of time.
    for name in ("set/key", *(f"input-1/{colour}/picture" for colour in COLOURS)):
        deck = changed(deck, name, {"delay_s": 1.0})
    volts = trace(without_cables(deck), str(compose(made).landing_net("sync")), 12e-3, 2e-5)
    before, top, after = volts(0.9e-3), volts(1e-3 + 1e-6), volts(11e-3 + 1e-6)
    assert top - before > 0.6
    return (top - after) / (top - before)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_clamp_settles_after_a_step(name: str) -> None:
    """From 0.57 V to 7 mV, 1 % of white: (0.57 - 0.007) C / (I t) lines, 352 of them for 40 uA, 4 us and 100 nF.

    Where the clamp's current drops more than 7 mV on its way through an analog switch, the last of it are steps of
    an exponential with t / R C: 4 lines more for 100 uA through 270 ohm.

    The clamp alone: without leakage, which would hurry or hinder it, and with 100 Mohm for the pin and for the bias of
    an analog switch.
    """
    made = template(name, {"set.rgb.resistance": "100M", "set.rgb.leakage": "0 A", "input.source_coupling": "dc"})
    rgb, period = made.set.rgb, line_standards(made)[0].line_period_s
    deck = changed(deck_of(made, Conditions(picture=0.0)), "/picture", {"high_v": 0.0})
    ohm, farad = 37.5 + between(deck, "IN1_RED_CHANNEL", "SELECTED_RED"), coupling_f(made)
    if made.set.display is not None:  # the display beside the source, each behind its resistor
        own = between(deck, "MIXED_RED", "DISPLAY_RED") + made.set.display.resistance_low
        ohm = 1 / (1 / (ohm + between(deck, "SELECTED_RED", "MIXED_RED")) + 1 / own)
    knee_v = max(0.007, rgb.clamp_current * ohm)
    expected = (0.57 - knee_v) * farad / (rgb.clamp_current * rgb.clamp_time)
    expected += ohm * farad / rgb.clamp_time * math.log(knee_v / 0.007)
    assert 50 < expected < 1000
    deck = replace(deck, starts=dict.fromkeys(deck.starts, 0.57))
    weak = [p.ref for p in compose(made).parts if p.role.endswith(("/bias", "-bias"))]
    assert bool(weak) == (made.selector.path == "cmos")
    for ref in weak:
        deck = changed(deck, ref, {"value_ohm": 100e6})
    lines = int(expected * 1.1)
    volts = trace(without_cables(deck), pin_of(made), (lines + 1) * period, 2e-6)
    # Periods have four digits in the deck, which is 1 us after 200 lines: later than the last clamp pulse may end.
    samples = [volts(active_from(made, line) + 3e-6) for line in range(lines)]
    assert samples[0] > 0.56
    settled = next(line for line, v in enumerate(samples) if abs(v) < 0.007)
    assert settled == pytest.approx(expected, rel=WITHIN)


def levels(made: Variant, picture: float, *more: Modelled) -> dict[str, float]:
    """White and sync at the landings [V] behind a source that has settled at an average picture level."""
    deck = deck_of(made, Conditions(picture=picture))
    done = run(deck_text(of_picture(replace(deck, parts=(*deck.parts, *more)))))
    assert done.status == 0 and done.complaints == ()
    found = {f"{colour}_level": done.figures[f"{colour}_level"] for colour in COLOURS}
    return found if made.input[0].sync == "ttl-composite" else {**found, "sync_depth": done.figures["sync_depth"]}


def change(made: Variant, *more: Modelled) -> dict[str, float]:
    """Relative change from a black to a white picture, by line."""
    dark, bright = levels(made, 0.0, *more), levels(made, 1.0, *more)
    assert min(dark.values()) > 0.2
    return {line: abs(bright[line] / dark[line] - 1) for line in dark}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_levels_do_not_depend_on_the_picture(name: str) -> None:
    """A source behind 220 uF swings from -0.58 V to 0.7 V at the contact; nothing on the board may conduct there.

    The coupling's 33 ms are long against the few lines that run, so it starts where it would have settled.
    """
    found = change(template(name, {"input.source_coupling": "ac"}))
    assert len(found) == (3 if name == "osprey" else 4)
    assert max(found.values()) < CHANGE_MOST


@pytest.mark.parametrize("function", ["red", "sync"])
def test_a_schottky_diode_on_a_contact_would_be_seen(function: str) -> None:
    """0.32 V at 1 mA and 0.08 V a decade (BAT54 sheets, several makers): no diode to ground on a video line."""
    made = template("kestrel", {"input.source_coupling": "ac"})
    net = contact_nets(compose(made), made)[function]
    ideality = 0.08 / math.log(10) / 0.02569
    figures = {"is_a": 1e-3 / math.exp(0.32 / (ideality * 0.02569)), "ideality": ideality, "capacitance_f": 10e-12}
    schottky = Modelled("diode", "mistake", "mistake", (GROUND, net), figures, "schottky")
    found = change(made, schottky)
    key = "sync_depth" if function == "sync" else f"{function}_level"
    assert found[key] > CHANGE_MOST
    assert max(found[other] for other in found if other != key) < CHANGE_MOST
