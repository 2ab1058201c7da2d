"""Pins without a clamp: DC-coupled, behind the board's own keyed clamp, and deliberate mistakes in both."""

from __future__ import annotations

from typing import Any

import pytest

from making import errors, examined, several, variant
from rasterport import parts
from rasterport.analysis.control import Control
from rasterport.analysis.figures import Figures
from rasterport.analysis.keyed import keying_at, keyings
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.records import COLOURS, GROUND, Finding
from slips import Mistake, added, between, both, exchanged, gone, net, net_of_end, scaled, swapped, value

DIRECT: dict[str, Any] = {
    "set.rgb.pin_kind": "analog-dc",
    "set.rgb.black_level": "0 V",
    "input.source_coupling": "dc",
    "input.black_most": "0.02 V",
}
KEYED: dict[str, Any] = {
    "set.rgb.pin_kind": "analog-dc",
    "set.rgb.black_level": "0 V",
    "board.keyed_clamp": True,
    "set.supply.voltage": "9 V",
}
LIFTED = {**KEYED, "set.rgb.black_level": "2 V", "set.rgb.black_within": "0.15 V"}


def told(findings: tuple[Finding, ...], code: str) -> list[Finding]:
    return [f for f in findings if f.code == code]


@pytest.mark.parametrize("white", ["0.2 V", "0.35 V", "0.7 V", "0.9 V"])
@pytest.mark.parametrize("trimmers", [False, True])
def test_a_source_with_black_at_ground_is_coupled_directly(white: str, trimmers: bool) -> None:
    changes = {"set.rgb.white_level": white, "set.rgb.clipping_level": "3 V", "board.trimmers": trimmers}
    made = variant({**DIRECT, **changes})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    assert [f.severity for f in told(findings, "F240")] == ["met"] * 3
    assert not any(circuit.has(f"{c}/coupling") for c in COLOURS)
    figures = Figures(Setup(made, circuit))
    # 20 mV of the source, divided down as white is.
    share = min(made.set.rgb.white_level, 0.7) / 0.7
    assert figures.get("black", "red").high == pytest.approx(0.02 * share, rel=0.06 if trimmers else 0.04)


@pytest.mark.parametrize("most", [0.02, 0.2, 1.0, 2.0])
def test_what_the_source_may_carry_is_an_error_in_full(most: float) -> None:
    """The standard permits 0 to 2 V; the limit is 35 mV either way unless the file says otherwise."""
    made = variant({**DIRECT, "input.black_most": f"{most:g} V"})
    _, findings = examined(made)
    found = told(findings, "F240")
    assert {f.measured for f in found} == pytest.approx([most] * 1, rel=0.015)
    assert {f.severity for f in found} == {"met" if most < 0.035 else "error"}
    assert errors(findings) == (set() if most < 0.035 else {"F240"})


@pytest.mark.parametrize("most", [0.02, 1.0, 2.0])
def test_a_resistor_keeps_the_pin_of_a_dead_set(most: float) -> None:
    """The strongest white, 0.989 V, on the source's black, against a junction of 0.5 V behind 37.5 ohm and series."""
    made = variant({**DIRECT, "input.black_most": f"{most:g} V"})
    circuit = compose(made)
    series = circuit.by_role("red/series").value_si or 0.0
    found = Figures(Setup(made, circuit)).get("rail-off-current", "red", "rail off").high
    assert found == pytest.approx((0.989 + most - 0.5) / (series + 37.5), rel=0.02)
    assert found < 5e-3


def test_the_standards_two_volts_count_where_nobody_measured() -> None:
    _, findings = examined(variant({k: v for k, v in DIRECT.items() if k != "input.black_most"}))
    (red,) = (f for f in told(findings, "F240") if f.subject == "red")
    assert red.severity == "error"
    assert red.message == (
        "black stands at 0 to 2.01 V at the pin: measure black_least and black_most of this source, or set "
        "board.keyed_clamp = true"
    )


@pytest.mark.parametrize(
    ("inputs", "path", "changes"),
    [
        (2, "gang", {}),
        (3, "relay", {"set.supply.spare_current": "500 mA"}),
        (1, "direct", {"set.sync.arrangement": "dedicated", "set.audio": None, "set.sync.termination": "none"}),
        (1, "relay", {}),
    ],
    ids=["gang", "relay chain", "direct", "relay"],
)
def test_direct_coupling_on_every_path(inputs: int, path: str, changes: dict[str, Any]) -> None:
    sources = [{"socket": "european-21", "source_coupling": "dc", "black_most": "0.02 V"} for _ in range(inputs)]
    pins = {k: v for k, v in DIRECT.items() if k.startswith("set.")}
    made = several(sources, path, changes={**pins, **changes})
    _, findings = examined(made)
    assert errors(findings) == set()
    assert {f.state for f in told(findings, "F240")} == {f"input-{n}" for n in range(1, inputs + 1)}


@pytest.mark.parametrize(
    ("black", "white", "changes"),
    [
        ("0.1 V", "0.7 V", {}),
        ("0.3 V", "0.5 V", {}),
        ("0.4 V", "0.5 V", {"set.supply.tolerance": "2 %"}),
        ("1 V", "0.5 V", {"set.rgb.black_within": "0.1 V"}),
        ("1 V", "0.3 V", {"set.rgb.black_within": "0.15 V", "set.supply.voltage": "12 V", "selector.path": "relay"}),
        ("0.3 V", "0.5 V", {"board.trimmers": True}),
        ("0.3 V", "0.5 V", {"board.construction": "through-hole"}),
    ],
)
def test_a_resistor_to_the_rail_lifts_black(black: str, white: str, changes: dict[str, Any]) -> None:
    made = variant({**DIRECT, "set.rgb.black_level": black, "set.rgb.white_level": white, **changes})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    assert all(circuit.has(f"{c}/pull") for c in COLOURS)
    figures = Figures(Setup(made, circuit))
    assert figures.get("black", "red").nominal == pytest.approx(made.set.rgb.black_level, abs=0.01)
    assert figures.get("level", "red").nominal == pytest.approx(made.set.rgb.white_level, rel=0.07)


def test_a_rail_that_moves_black_too_far_is_told() -> None:
    """0.5 V of 5 V of 5 %: 25 mV of the rail and 10 mV of the source, and the resistors."""
    _, findings = examined(variant({**DIRECT, "set.rgb.black_level": "0.5 V", "set.rgb.white_level": "0.5 V"}))
    assert errors(findings) == {"F240"}
    (red,) = (f for f in told(findings, "F240") if f.subject == "red")
    assert red.measured == pytest.approx(0.05, abs=0.01)
    assert red.message.endswith(
        "the source's own black and the rail move it: measure black_least, black_most and the tolerance of the rail, "
        "or set board.keyed_clamp = true"
    )


@pytest.mark.parametrize("changes", [{}, {"set.sync.accepts": "clean-sync"}, {"selector.path": "relay"}])
@pytest.mark.parametrize("construction", ["smd", "through-hole"])
@pytest.mark.parametrize("pins", [KEYED, LIFTED], ids=["black at ground", "black at 2 V"])
@pytest.mark.parametrize("coupling", ["ac", "dc", "either"])
def test_the_boards_clamp_restores_black(
    changes: dict[str, Any], construction: str, pins: dict[str, Any], coupling: str
) -> None:
    made = variant({**pins, **changes, "board.construction": construction, "input.source_coupling": coupling})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    for code in ("F240", "F241", "F242", "F243"):
        assert [f.subject for f in told(findings, code)] == ["blue", "green", "red"]
    assert len(told(findings, "F244")) == 1
    control = Control(circuit, made)
    assert len(keyings(control.poses.place.board)) == 3
    nets = [str(circuit.landing_net(colour)) for colour in COLOURS]
    ends = {k.other(pin) for pin in nets if (k := keying_at(control, (pin,)))}
    assert ends == {GROUND if pins is KEYED else "CLAMP_BLACK"}


def test_the_supply_of_the_reference_is_an_error_of_black() -> None:
    """2 V of a 5 V regulator of 5 % with two resistors of 1 %: 0.1 V and 0.035 V."""
    made = variant({**LIFTED, "set.rgb.black_within": "0.1 V"})
    circuit, findings = examined(made)
    assert errors(findings) == {"F240"}
    assert Figures(Setup(made, circuit)).get("black-error", "red").high == pytest.approx(0.136, abs=0.01)


WIDE = variant({**KEYED, "set.rgb.resistance": "100M"})
DC = variant(DIRECT)
KEY = variant(KEYED)
UP = variant(LIFTED)
PULLED = variant({**DIRECT, "set.rgb.black_level": "0.3 V", "set.rgb.white_level": "0.5 V"})
SPLIT = variant({**KEYED, "set.sync.accepts": "clean-sync"})
ONE_K = parts.resistor(1e3, "smd")
MISTAKES = [
    Mistake("a capacitor in front of a pin without a clamp", DC,
            both(gone("red/series"), between("again", parts.capacitor(100e-9, "smd", 50.0, "ceramic"), "IN1_RED",
                                             "RED_PIN")), {"F240"}),
    Mistake("the rail on a pin without a clamp", DC, between("again", ONE_K, "RAIL", "RED_PIN"), {"F240"}),
    Mistake("no resistor in front of the pin", DC, value("red/series", 1.0), {"F703"}),
    Mistake("nothing lifts black", PULLED, gone("blue/pull"), {"F240"}),
    Mistake("a tenth lifts black", PULLED, scaled("blue/pull", 0.1), {"F240", "F202"}),
    Mistake("black lifted from ground", PULLED, net_of_end("red/pull", "RAIL", GROUND), {"F240"}),
    Mistake("a pin on the other throw of the switch", KEY, swapped("clamp/switch", "X0", "X1"), {"F240"}),
    Mistake("a pin beside its switch", KEY, net("clamp/switch", "Y", None), {"F240"}),
    Mistake("two pins at one switch", KEY, net("clamp/switch", "Y", "RED_PIN"), {"F240"}),
    Mistake("no key", KEY, net("clamp/switch", "A", "GND"), {"F240", "F423"}),
    Mistake("composite sync for the back porch", SPLIT, swapped("input-1/sync/separator", "BURST", "CSYNC"),
            {"F240", "F421"}),
    Mistake("vertical sync for the back porch", KEY, swapped("input-1/sync/separator", "BURST", "VSYNC"), {"F240"}),
    Mistake("the key behind another buffer", KEY, swapped("clamp/buffer", "1A", "2A"), {"F240"}),
    Mistake("the switch inhibited", KEY, net("clamp/switch", "INH", "RAIL_5V"), {"F240"}),
    Mistake("the separator beside its sync", KEY, net_of_end("input-1/sync/separator-input", "IN1_SYNC", "IN1_RED"),
            {"F245"}),
    Mistake("the separator not fed", KEY, gone("input-1/sync/separator-input"), {"F245"}),
    Mistake("a timing resistor a decade off", KEY, scaled("input-1/sync/separator-set", 0.1), {"F517"}),
    Mistake("ten times too much in front of the clamp", KEY, scaled("red/coupling", 10.0), {"F241"}),
    Mistake("a hundredth in front of the clamp", KEY, scaled("red/coupling", 0.01), {"F242"}),
    Mistake("a pin that is loaded", KEY, between("again", ONE_K, "BLUE_PIN", GROUND), {"F242"}),
    Mistake("the divider upside down", UP, exchanged("clamp/upper", "clamp/lower"), {"F240"}),
    Mistake("the divider on the rail", UP, net_of_end("clamp/upper", "RAIL_5V", "RAIL"), {"F240"}),
    Mistake("no bulk at the voltage of black", UP, gone("clamp/bulk"), {"F240"}),
]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_is_seen(mistake: Mistake) -> None:
    mistake.must_be_seen()


def test_a_key_of_the_other_polarity_is_none() -> None:
    """An inverter in place of the buffer closes the switch at rest and opens it in the back porch."""
    from rasterport.parts.logic import inverter

    circuit = compose(KEY)
    turned = both(
        gone("clamp/buffer"),
        added("clamp/inverter", inverter("74hc", "smd"), **{"1A": "IN1_BURST", "1Y": "CLAMP_KEY", "VCC": "RAIL_5V",
              "GND": GROUND, **{f"{n}A": GROUND for n in range(2, 7)}}),
    )(circuit)  # fmt: skip
    assert keyings(Control(circuit, KEY).poses.place.board)
    assert not keyings(Control(turned, KEY).poses.place.board)
    assert "F240" in errors(examine(KEY, turned))
