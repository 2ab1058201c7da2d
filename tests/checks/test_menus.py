"""The set's own display on shared pins: mistakes are seen, and what a set or a wish makes of it is told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from making import errors, examined, template, variant, with_net, with_part
from rasterport.analysis.figures import Figures
from rasterport.analysis.intent import Proof
from rasterport.analysis.network import NATIVE
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.records import COLOURS, SEVERITIES, Circuit
from slips import Slip, gone, scaled

Row = dict[str, Any]

SOURCE: Row = {"socket": "european-21", "status_contact": 16}
SHARED: Row = {
    "set.rgb.insertion": "shared", "set.display": {"high": "5 V"}, "set.blanking.native": "driven",
    "set.blanking.maximum": "4 V", "set.rgb.clipping_level": "1.5 V", "set.rgb.lead_kind": "coax",
}  # fmt: skip
SLOW: Row = {
    "set.display.drive": "open-collector", "set.display.resistance_high": "10k", "set.rgb.lead_length": "1 m",
}  # fmt: skip
"""A pull-up of 10 kohm on a metre of coaxial cable: 64 pF before anything of the board."""
BY_RELAY: Row = {**SHARED, "selector.path": "relay", "selector.control": "status", "set.supply.voltage": "12 V"}
PATHS: dict[str, Row] = {
    "one by a switch": {
        **SHARED, "selector.path": "gang", "set.sync.arrangement": "dedicated", "set.audio": None,
    },
    "two by a switch": {**SHARED, "selector.path": "gang", "input": [SOURCE, SOURCE]},
    "one by relays": {**BY_RELAY, "input": [SOURCE]},
    "two by relays": {**BY_RELAY, "input": [SOURCE, {**SOURCE, "status_contact": 8}]},
}  # fmt: skip


def moved(role: str, pin: str, net: str) -> Slip:
    """One end of a resistor, by its number, on another net."""
    return lambda c: with_net(c, role, pin, net)


def contacts_of(role: str, farad: float) -> Slip:
    """A relay whose open contacts have another capacitance."""

    def slip(c: Circuit) -> Circuit:
        placed = c.by_role(role)
        ratings = {**placed.part.ratings, "contact_capacitance_f": farad}
        return with_part(c, replace(placed, part=replace(placed.part, ratings=ratings)))

    return slip


MISTAKES: list[tuple[str, Slip, set[str]]] = [
    ("the idle throw ends on nothing", gone("red/end"), {"F260"}),
    ("the idle throw ends on the source", moved("red/end", "2", "IN1_RED"), {"F422", "F425"}),
    ("no resistor from the display", gone("green/from-display"), {"F268", "F421"}),
    ("a display's resistor of half the value", scaled("blue/from-display", 0.5), {"F260", "F261"}),
    ("the resistor from the input is twice as large", scaled("red/from-input", 2.0), {"F260", "F261"}),
    ("a line of the display on another colour", moved("red/from-display", "1", "DISPLAY_GREEN"), {"F421", "F807"}),
    ("the display straight on the pin", moved("red/from-display", "1", "MIXED_RED"), {"F421"}),
    ("two inputs' worth of termination", scaled("input-1/red/termination", 0.5), {"F201"}),
    ("the source in front of nothing", moved("red/from-input", "1", "IN1_RED"), {"F425"}),
    ("contacts that let everything through", contacts_of("stage/relay-1", 300e-12), {"F265"}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "slip", "by"), MISTAKES, ids=[what for what, *_ in MISTAKES])
def test_a_mistake_is_an_error(what: str, slip: Slip, by: set[str]) -> None:
    made = template("redstart")
    good = compose(made)
    assert not by & errors(examine(made, good)), "none of it without the mistake"
    found = errors(examine(made, slip(good)))
    assert by <= found, (what, found)


@pytest.mark.parametrize("name", PATHS)
def test_every_path_that_can_give_the_display_its_pins_back_does(name: str) -> None:
    """No error; the display is on every colour in every state, an input beside it only when it is wanted."""
    made = variant(PATHS[name])
    circuit, findings = examined(made)
    assert errors(findings) == set()
    proof = Proof(circuit, made)
    for colour in COLOURS:
        own, found = proof.wanted(colour, 0), proof.reach(colour)
        assert own
        for n in range(len(made.input) + 1):
            there = found[(proof.intended == n) & (proof.walk.undecided == 0)]
            assert len(there) and set(there.tolist()) == {proof.wanted(colour, n)}
            assert proof.wanted(colour, n) & own
    figures = Figures(Setup(made, circuit))
    for n in range(1, len(made.input) + 1):
        assert figures.has("both-white", "red", f"input-{n}")
    assert sum(1 for key, _, state in figures.quantities if key == "menu-level" and state == NATIVE) == len(COLOURS)


@pytest.mark.parametrize(
    ("changes", "code", "severity"),
    [
        ({"set.rgb.clipping_level": "1.35 V"}, "F261", "met"),  # the sizing keeps below it
        (SLOW, "F264", "warning"),
        ({"set.display.high": "3.3 V"}, "F208", "warning"),  # -2.1 dB is the bound with 3.3 V
        ({}, "F208", "met"),  # -1.3 dB with 5 V
    ],
)
def test_what_a_set_makes_of_it_is_told(changes: Row, code: str, severity: str) -> None:
    _, findings = examined(template("redstart", changes))
    assert min((f.severity for f in findings if f.code == code), key=SEVERITIES.index) == severity


def test_a_pin_beside_a_display_gets_what_the_bound_leaves() -> None:
    """0.7 V (1 - 0.7 / 5) = 0.602 V, which is -1.3 dB; 0.7 V (1 - 0.7 / 3.3) = 0.552 V, -2.1 dB."""
    for high, white, lost in ((5.0, 0.602, 1.31), (3.3, 0.5515, 2.07)):
        made = template("redstart", {"set.display.high": f"{high:g} V"})
        figures = Figures(Setup(made, compose(made)))
        assert figures.get("level", "red").nominal == pytest.approx(white, rel=0.06)
        assert figures.get("picture-contrast", "red").high == pytest.approx(lost, abs=0.01)


def test_levels_by_hand() -> None:
    """The node of redstart as a sum of conductances, by hand, for every state of source and display."""
    made = template("redstart")
    circuit = compose(made)
    ohm = {p.role: float(p.value_si or 0.0) for p in circuit.parts}
    figures, keys = Figures(Setup(made, circuit)), made.set.display
    assert keys is not None and not circuit.has("red/foot")
    rt, rx, ro = (ohm[r] for r in ("input-1/red/termination", "red/from-input", "red/from-display"))
    contact = 1.4 * rt / (75 + rt)
    behind = {"plugged": 75 * rt / (75 + rt), "unplugged": rt, "native": ohm["red/end"]}
    on, off = 1 / (ro + keys.resistance_high), 1 / (ro + keys.resistance_low)

    def share(source: str, display: float) -> float:
        """Of all conductances at the node the display's."""
        return display / (display + 1 / (rx + behind[source] + 0.1) + 1e-6)

    for source, key, state in (
        ("plugged", "menu-level", "input-1"),
        ("unplugged", "menu-level-unplugged", "input-1"),
        ("native", "menu-level", NATIVE),
    ):
        assert figures.get(key, "red", state).nominal == pytest.approx(keys.high * share(source, on), rel=1e-3)
    picture = contact * (1 - share("plugged", off))
    assert figures.get("level", "red").nominal == pytest.approx(picture, rel=1e-3)
    both = contact * (1 - share("plugged", on)) + keys.high * share("plugged", on)
    assert figures.get("both-white", "red").nominal == pytest.approx(both, rel=1e-3)
