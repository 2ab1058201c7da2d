"""The SPICE deck: the same circuit, names that cannot meet, text that does not change, and a run without complaint."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

import pytest

from making import TEMPLATE_NAMES, active_range, template, variant, with_net, without
from rasterport.analysis.control import Control
from rasterport.analysis.figures import Figures
from rasterport.analysis.models import bipolar
from rasterport.analysis.network import NATIVE, chosen, contact_nets, set_side
from rasterport.analysis.nodal import GROUND, Element, reach, solve
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import OFF, simulated, simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.parts import buffer_inverter, transistor
from rasterport.records import COLOURS, Conditions, Modelled, Simulation
from rasterport.units import significant
from spice import control, plots, run

SILENT = ("J", "TP", "E")
"""References of parts that only join nets: connectors, test points, pads."""
NUMBER = re.compile(r"(?<![A-Za-z0-9_.])-?\d+(?:\.\d+)?(?:e[-+]?\d+)?(?![A-Za-z0-9_.])")
OTHERS: dict[str, dict[str, object]] = {
    "board capacitor before a biased landing": {"set.sync.coupling": "dc", "set.sync.bias": "8 V"},
    "logic sync through the buffer, negative": {"input.sync": "ttl-composite", "set.supply.voltage": "12 V"},
    "relays and a panel switch": {"selector.path": "relay"},
    "through-hole, 9 V, status 16": {
        "selector.path": "relay", "selector.control": "status", "input.status_contact": 16,
        "set.supply.voltage": "9 V", "board.construction": "through-hole",
    },
    "gate that is low when active": {
        "selector.path": "relay", "selector.control": "status", "input.status_contact": 8, "selector.gate": "line",
        "selector.gate_active": "low", "set.supply.voltage": "9 V",
    },
    "clamps and capacitors of the set": {"board.clamps": True, "set.rgb.coupling_fitted": "100n"},
    "source that is DC-coupled": {"input.source_coupling": "dc"},
    "625/50 with a resistor on the blanking pin": {"set.lines": "625/50", "set.blanking.fitted_resistor": "10k"},
}  # fmt: skip


COUNT = {name: len(template(name).input) for name in TEMPLATE_NAMES}
LAST = [(name, chosen(count)) for name, count in COUNT.items()]
"""Of every template the input that comes last."""
EVERY = [(name, state) for name in TEMPLATE_NAMES for state in simulated(template(name))]
RUN = [
    (name, state)
    for name, count in COUNT.items()
    for state in (NATIVE, chosen(count), f"{chosen(count)}{OFF}", *([NATIVE + OFF] if count == 1 else []))
]
"""What is run from end to end: of several inputs the last, since each takes seconds."""


def built(name: str, state: str = "input-1") -> Simulation:
    made = template(name)
    return simulation(compose(made), made, state)


def elements(deck: str) -> list[str]:
    """The lines of a deck that are elements."""
    return [line for line in deck.splitlines() if line and line[0] not in "*."]


@pytest.mark.parametrize(("name", "state"), RUN)
def test_the_deck_runs_as_it_is(name: str, state: str) -> None:
    deck = built(name, state)
    done = run(deck_text(deck))
    assert done.status == 0 and done.complaints == ()
    assert set(done.figures) == {m.name for m in deck.measures}
    assert all(math.isfinite(v) for v in done.figures.values())
    assert len(done.figures) >= 13


@pytest.mark.parametrize("changes", OTHERS.values(), ids=OTHERS)
def test_other_circuits_run_in_every_state(changes: Mapping[str, object]) -> None:
    made = variant(changes)
    for state in simulated(made):
        deck = simulation(compose(made), made, state)
        done = run(deck_text(deck))
        assert done.status == 0 and done.complaints == (), state
        assert set(done.figures) == {m.name for m in deck.measures}


def test_an_unknown_state_names_those_that_there_are() -> None:
    made = template("kestrel")
    with pytest.raises(ValueError, match=r"native, input-1, native\+rail-off, input-1\+rail-off, found input-2"):
        simulation(compose(made), made, "input-2")


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_part_of_the_circuit_is_in_the_deck(name: str) -> None:
    made = template(name)
    circuit = compose(made)
    named = {line.split()[0] for line in elements(deck_text(built(name)))}
    for placed in circuit.parts:
        if placed.ref.rstrip("0123456789") not in SILENT:
            assert any(re.fullmatch(rf"(?:[A-Z]_)?{placed.ref}(?:_\w+)?", n) for n in named), placed.ref
    roles = {p.role for p in circuit.parts if p.ref.rstrip("0123456789") not in SILENT}
    assert roles <= {p.role for p in built(name).parts} | {p.role.rpartition("/")[0] for p in built(name).parts}


def test_a_part_that_is_taken_out_is_not_in_the_deck() -> None:
    made = template("kestrel")
    circuit = without(compose(made), "input-1/red/termination")
    assert not any(line.startswith("R101 ") for line in elements(deck_text(simulation(circuit, made, "input-1"))))
    assert any(line.startswith("R101 ") for line in elements(deck_text(built("kestrel"))))


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_pins_are_on_the_nets_of_the_circuit(name: str) -> None:
    """Two-pole parts and transistors, pin by pin, read back from the text."""
    circuit, deck = compose(template(name)), built(name)
    names, lines = spice_names(deck), {line.split()[0]: line.split()[1:] for line in elements(deck_text(deck))}
    checked = 0
    for placed in circuit.parts:
        by_name = {pin.name: placed.nets[pin.number] for pin in placed.part.pins}
        order = {"R": "12", "C": "12", "Q": "CBE", "M": "DGS", "D": "AK"}
        letter = "M" if "G" in by_name else placed.part.letter
        read = lines.get(element_name(letter, placed.ref))
        if read is None or letter not in order or "A1" in by_name:
            continue
        by_number = {**placed.nets, **by_name}
        assert read[: len(order[letter])] == [names[str(by_number[pin])] for pin in order[letter]], placed.ref
        checked += 1
    assert checked > 10


@pytest.mark.parametrize(("name", "state"), EVERY)
def test_no_two_elements_and_no_two_nets_share_a_name(name: str, state: str) -> None:
    deck = built(name, state)
    named = [line.split()[0].lower() for line in elements(deck_text(deck))]
    assert len(set(named)) == len(named) > 40
    nets = spice_names(deck)
    assert len({n.lower() for n in nets.values()}) == len(nets)


def test_nets_that_spice_would_take_for_one_get_names_of_their_own() -> None:
    nets = (GROUND, "gnd", "0", "A", "a", "A-1", "A_1", "a 1", "a_1__2")
    parts = tuple(Modelled("resistor", f"R{k}", "", pair, {"value_ohm": 1.0}) for k, pair in enumerate(pairwise(nets)))
    names = spice_names(Simulation("x", "native", parts, {}, (), 25.0, 1e-6, 1e-3))
    assert names[GROUND] == "0"
    assert len(set(names.values())) == len(nets)
    assert [n for n, name in names.items() if name in ("0", "gnd")] == [GROUND]
    assert all(re.fullmatch(r"[a-z0-9_]+", name) for name in names.values())


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_text_is_the_same_again_and_its_numbers_are_short(name: str) -> None:
    text = deck_text(built(name), "made by a test")
    assert text == deck_text(built(name), "made by a test")
    assert text.isascii() and text.endswith(".end\n") and max(map(len, text.splitlines())) < 200
    numbers = [float(n) for line in elements(text) for n in NUMBER.findall(line)]
    assert len(numbers) > 100
    assert [n for n in numbers if n != significant(n)] == []
    assert "/" not in "".join(elements(text)).replace(")/", "")
    assert "made by a test" in text.splitlines()[1]


def test_an_analysis_of_ones_own_replaces_the_run() -> None:
    text = deck_text(built("kestrel"), analysis=".op")
    assert ".tran" not in text and ".meas" not in text and ".ic" not in text
    assert text.splitlines()[-2:] == [".op", ".end"]


@pytest.mark.parametrize(("name", "state"), LAST)
def test_what_a_run_prints_is_what_the_findings_say(name: str, state: str) -> None:
    made = template(name)
    circuit = compose(made)
    control_parts, figures = Control(circuit, made), run(deck_text(built(name, state))).figures
    contacts, board = contact_nets(circuit, made, COUNT[name]), control_parts.elements(state)
    for colour in COLOURS:
        # Nominal white at the landing: 1.4 V behind 75 ohm, at 100 kHz.  Leakage and pin take 3 mV at most.
        line = reach((*board, *set_side(circuit, made)), contacts[colour], control_parts.walls)
        source = Element("source", "R", contacts[colour], GROUND, 75.0)
        landing = str(circuit.landing_net(colour))
        held = dict.fromkeys(control_parts.walls, 0.0)
        reached = abs(solve((*line, source), {contacts[colour]: 1.4 / 75}, 2 * math.pi * 1e5, held)[landing])
        assert figures[f"{colour}_level"] == pytest.approx(reached, abs=3e-3)
    # 0.3 V, and what an analog switch of some hundred ohm loses into the landing.
    level = Figures(Setup(made, circuit)).get("sync-level", "sync", state).nominal
    assert level == pytest.approx(0.3, abs=0.02 if made.selector.path == "cmos" else 0.01)
    assert figures["sync_depth"] == pytest.approx(level, abs=3e-3)
    if made.set.display is None:
        stated = active_range(control_parts)
    else:  # the board alone: no menu is shown while this is read
        stated = Figures(Setup(made, circuit)).get("meeting-on", "board", state)
    assert stated.low < figures["blanking"] < stated.high
    assert 0.5 * control_parts.currents(state).rail_a < figures["rail_current"]
    assert figures["rail_current"] < control_parts.currents(state).rail_a
    for placed in (p for p in circuit.parts if p.part.letter == "K"):
        across = figures[f"{placed.ref.lower()}_coil"]
        if placed.role in control_parts.pose(state).conducting:
            assert placed.part.ratings["operate_v"] < across < placed.part.ratings["coil_max_v"]
        else:
            assert abs(across) < 1e-3 and placed.role.startswith("select-")


OWN = [name for name in TEMPLATE_NAMES if template(name).set.sync.arrangement != "dedicated"]
"""What has a signal of the set's own to give back."""


@pytest.mark.parametrize("name", OWN)
def test_when_native_the_landings_carry_the_sets_own(name: str) -> None:
    """The set's own sync has no picture and its sound is silent; blanking is off, coils are without current."""
    made = template(name)
    figures = run(deck_text(built(name, "native"))).figures
    terminated = made.set.sync.termination != "none"
    assert figures["sync_depth"] == pytest.approx(0.3 if terminated else 0.6, abs=0.01)
    assert figures["blanking"] < made.set.blanking.off_below
    assert all(abs(v) < 1e-3 for key, v in figures.items() if key.endswith(("_swing", "_coil")))


def test_without_the_rail_relays_are_idle_and_panel_switches_stay() -> None:
    """What arrives at the left landing: the source's tone through a switch, the set's silence through a relay."""
    for name, arrives in (("kestrel", True), ("plover", False), ("wren", False)):
        swing = run(deck_text(built(name, "input-1+rail-off"))).figures["left_swing"]
        assert (swing > 0.1) is arrives, name
        assert run(deck_text(built(name))).figures["left_swing"] > 0.1


def test_a_transistor_that_is_wired_wrongly_shows() -> None:
    """Without its base the high-side transistor turns nothing on, and the deck still runs."""
    made = template("heron")
    circuit = compose(made)
    passing = circuit.by_role("high-side/pass")
    base = next(pin.number for pin in passing.part.pins if pin.name == "B")
    done = run(deck_text(simulation(with_net(circuit, "high-side/pass", base, None), made, "input-1")))
    assert done.status == 0
    assert done.figures["blanking"] < 0.1 < run(deck_text(built("heron"))).figures["blanking"]


@pytest.mark.parametrize("celsius", [0.0, 25.0, 70.0])
@pytest.mark.parametrize(("vbe", "gain"), [(0.58, 800.0), (0.70, 110.0)])
def test_the_model_of_a_bipolar_transistor(vbe: float, gain: float, celsius: float) -> None:
    """2 mA at the stated voltage and -2 mV a kelvin; base current by the gain."""
    figures = bipolar(transistor("npn", "smd").ratings, Conditions(vbe_v=vbe, gain=gain))
    expected = vbe - 2e-3 * (celsius - 25)
    volts = solo(
        celsius,
        "v(base)",
        Modelled("npn", "Q1", "", ("BASE", "BASE", GROUND), figures, "t"),
        Modelled("current", "in", "", (GROUND, "BASE"), {"value_a": 2e-3 * (1 + 1 / gain)}),
    )
    assert volts == pytest.approx(expected, abs=3e-4)


def test_the_model_of_a_two_way_clamp() -> None:
    """No current up to 7.5 V either way, the middle of 5.5 and 9.5 V, then 1 ohm."""
    for sign in (-1.0, 1.0):
        for volts, amps in ((7.4, 0.0), (8.5, 1.0)):
            clamp = Modelled("two-way-clamp", "D1", "", ("A", GROUND), {"breakdown_v": 7.5, "slope_ohm": 1.0})
            held = Modelled("voltage", "held", "", ("A", GROUND), {"value_v": sign * volts})
            assert -solo(25.0, "i(v_held)", clamp, held) == pytest.approx(sign * amps, abs=1e-9)


def test_the_model_of_the_regulator() -> None:
    """5 V from 12 V, 2 V less than the input below 7 V, and nothing but a junction backwards."""
    figures = next(p for p in built("osprey").parts if p.kind == "regulator").figures
    for volts, out in ((12.0, 5.0), (6.0, 4.0), (0.0, 0.0)):
        chip = Modelled("regulator", "U1", "", ("IN", "OUT", GROUND), figures, "r")
        held = Modelled("voltage", "held", "", ("IN", GROUND), {"value_v": volts})
        load = Modelled("resistor", "load", "", ("OUT", GROUND), {"value_ohm": 500.0})
        assert solo(25.0, "v(out)", chip, held, load) == pytest.approx(out, abs=1e-3)


def test_the_model_of_the_schmitt_inverter() -> None:
    """Rising it switches at 1.65 V, falling at 0.95 V: the middles of 1.2 to 2.1 and 0.5 to 1.4 V."""
    deck = built("osprey")
    figures = next(p for p in deck.parts if p.kind == "schmitt-inverter").figures
    r = buffer_inverter("smd").ratings
    parts = (
        Modelled("schmitt-inverter", "U1", "", ("A", "Y", "VCC", GROUND, "wanted", "state"), figures, "u"),
        Modelled("voltage", "vcc", "", ("VCC", GROUND), {"value_v": 5.0}),
        pulse("A", 0.0, 3.0, 1e-3, 1e-3, 1e-4, 5e-3),
        Modelled("resistor", "load", "", ("Y", GROUND), {"value_ohm": 1e4}),
    )
    text = deck_text(replace(deck, parts=parts), analysis=control("tran 1u 3.5m 0 1u", "write raw v(a) v(y)"))
    plot = plots(text)[0]
    found = [
        b for (a, b), (y, later) in zip(pairwise(plot.real("v(a)")), pairwise(plot.real("v(y)")), strict=True)
        if (y > 2.5) != (later > 2.5)
    ]  # fmt: skip
    rise, fall = ((r[f"vt_{way}_low_v"] + r[f"vt_{way}_high_v"]) / 2 for way in ("rise", "fall"))
    assert found == [pytest.approx(rise, abs=0.02), pytest.approx(fall, abs=0.02)]


def test_the_delay_of_the_schmitt_inverter() -> None:
    """20 ns typical, from the threshold at the input to half of the output, either way."""
    typical = buffer_inverter("smd").ratings["delay_typical_s"]
    figures = next(p for p in built("osprey").parts if p.kind == "schmitt-inverter").figures
    parts = (
        Modelled("schmitt-inverter", "U1", "", ("A", "Y", "VCC", GROUND, "wanted", "state"), figures, "u"),
        Modelled("voltage", "vcc", "", ("VCC", GROUND), {"value_v": 5.0}),
        pulse("A", 0.0, 3.0, 1e-7, 1e-10, 5e-7, 5e-3),
        Modelled("resistor", "load", "", ("Y", GROUND), {"value_ohm": 1e4}),
    )
    text = deck_text(replace(built("osprey"), parts=parts), analysis=control("tran 0.2n 1u 0 0.2n", "write raw v(y)"))
    plot = plots(text)[0]
    times, volts = plot.real("time"), plot.real("v(y)")
    crossed = [t for t, (a, b) in zip(times[1:], pairwise(volts), strict=True) if (a > 2.5) != (b > 2.5)]
    assert figures["lag_s"] * math.log(2) == pytest.approx(typical)
    assert [t - begin for t, begin in zip(crossed, (1e-7, 6e-7), strict=True)] == pytest.approx([typical] * 2, rel=0.05)


def pulse(net: str, low: float, high: float, delay: float, edge: float, flat: float, period: float) -> Modelled:
    figures = {"low_v": low, "high_v": high, "delay_s": delay, "edge_s": edge, "flat_s": flat, "period_s": period}
    return Modelled("pulse", "in", "", (net, GROUND), figures)


def solo(celsius: float, vector: str, *parts: Modelled) -> float:
    """One direct voltage or current of a few parts on their own."""
    deck = Simulation("solo", "native", parts, {}, (), celsius, 1e-6, 1e-3)
    return plots(deck_text(deck, analysis=control("op", f"write raw {vector}")))[0].real(vector)[0]
