"""The network of shared pins in ngspice: levels of source and display, alone and together, within 1 % of the formulae.

Each state is a copy of the circuit, drawn here with sources and resistors alone; a display that lets go is an open end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from rasterport.design.mixing import Combination, Display, Wishes, combine
from rasterport.design.shared import search
from spice import control, plots

PIN_OHM = 1e6
PUSH_PULL = Display(5.0, 0.0, 100.0, 100.0, 100.0)
WISHED = Wishes(0.602, 0.7, pin_ohm=PIN_OHM, node_ohm=600.0)
FOUND = search(PUSH_PULL, WISHED)
COLLECTOR = Display(5.0, 0.1, 1000.0, 30.0, 30.0)
FITTED = Display(12.0, 0.4, 2200.0, 50.0, None, series_ohm=330.0, ground_ohm=470.0)
CASES: dict[str, tuple[Display, tuple[float, float, float, float]]] = {
    "5 V, sized": (PUSH_PULL, FOUND.best.values),
    "5 V, return loss given up": (PUSH_PULL, FOUND.runners_up[2].choice.values),
    "3.3 V": (Display(3.3, 0.1, 150.0, 80.0, 80.0), (75.0, 620.0, 2400.0, math.inf)),
    "open collector": (COLLECTOR, (82.0, 510.0, 2400.0, 5100.0)),
    "lets go, parts fitted": (FITTED, (68.0, 330.0, 1500.0, 2200.0)),
    "lets go": (Display(5.0, 0.2, 120.0, 60.0, None), (91.0, 1000.0, 6800.0, math.inf)),
}
"""Termination, series, display and ground resistor [ohm]."""


def state(tag: str, display: Display, made: Combination, source: str, end: str) -> Iterator[str]:
    """One copy of the circuit.  `source`: white, black, none or native; `end`: on, off or idle."""
    volt = display.high_v if end == "on" else display.low_v
    ohm = {"on": display.high_ohm, "off": display.low_ohm, "idle": display.idle_ohm}[end]
    if source in ("white", "black"):
        yield f"Vs{tag} emf{tag} 0 {1.4 if source == 'white' else 0}"
        yield f"Rs{tag} emf{tag} contact{tag} 75"
    yield f"Rt{tag} contact{tag} 0 {36.0 if source == 'native' else made.termination_ohm}"
    yield f"Rx{tag} contact{tag} pin{tag} {made.series_ohm}"
    yield f"Ro{tag} pin{tag} lifted{tag} {made.display_ohm}"
    if not math.isinf(made.ground_ohm):
        yield f"Rg{tag} pin{tag} 0 {made.ground_ohm}"
    yield f"Rpin{tag} pin{tag} 0 {PIN_OHM}"
    if ohm is not None:
        yield f"Vd{tag} out{tag} 0 {volt}"
        yield f"Rd{tag} out{tag} behind{tag} {ohm}"
        yield f"Rf{tag} behind{tag} lifted{tag} {display.series_ohm or 1e-6}"
    if display.ground_ohm is not None:
        yield f"Rl{tag} lifted{tag} 0 {display.ground_ohm}"


STATES = [(source, end) for source in ("white", "black", "none", "native") for end in ("on", "off", "idle")]


@pytest.mark.parametrize("name", CASES)
def test_levels(name: str) -> None:
    display, values = CASES[name]
    made = combine(display, PIN_OHM, *values)
    tags = {key: f"{key[0]}{key[1]}" for key in STATES}
    lines = [f"* {name}", *(row for key, tag in tags.items() for row in state(tag, display, made, *key))]
    nets = [f"v(pin{tag})" for tag in tags.values()] + ["v(contactwhiteidle)", "v(contactwhiteon)"]
    (plot,) = plots("\n".join([*lines, control("op", "write raw " + " ".join(nets)), ".end", ""]))
    pin = {key: plot.first(f"v(pin{tag})").real for key, tag in tags.items()}
    black = pin["black", "idle"]
    for ours, theirs in (
        (made.external_v, pin["white", "idle"] - black),
        (made.behind_menu_v, pin["white", "off"] - pin["black", "off"]),
        (made.display_v, pin["black", "on"] - black),
        (made.display_unplugged_v, pin["none", "on"] - pin["none", "idle"]),
        (made.display_native_v, pin["native", "on"] - pin["native", "idle"]),
        (made.both_v, pin["white", "on"] - black),
    ):
        assert ours == pytest.approx(theirs, rel=0.01)
        assert theirs > 0.1
    contacts = [plot.first(f"v(contactwhite{end})").real for end in ("idle", "on")]
    silent = [1.4 - v for v in contacts]
    if display.low_v == 0:  # without an offset the contact tells what the source sees
        seen = 75 * contacts[0] / silent[0]
        assert made.reflection >= abs((seen - 75) / (seen + 75)) * (1 - 0.01)
