"""A blanking pin that a display and the board drive: deliberate mistakes are seen, and what is wanted comes through."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from making import errors, examined, template
from rasterport import parts
from rasterport.analysis.control import Control
from rasterport.analysis.display_blanking import Joining, Shown, cases_of, joining
from rasterport.analysis.draws import Draw
from rasterport.analysis.intent import Proof
from rasterport.analysis.outcomes import outcomes
from rasterport.checks.bench import examine
from rasterport.circuit import compose
from rasterport.records import GROUND
from slips import Mistake, added, between, both, gone, landings_crossed, net, part, scaled, swapped

CODES = {f"F{n}" for n in range(330, 350)}
OWN = template("redstart")
SHARED = template("redstart", {"set.supply.voltage": "5 V"})
LOW = template("redstart", {"set.display.blanking_active": "low"})
PULLED = template(
    "redstart", {"set.display.blanking_drive": "open-collector", "set.display.blanking_resistance": "4k7"}
)
WEAK = template("redstart", {"set.display.blanking_high": "3.3 V", "set.supply.voltage": "5 V"})
HIGH = template("redstart", {"set.display.blanking_high": "3.3 V", "set.blanking.on_above": "1.5 V"})
EVERY = {"own": OWN, "shared": SHARED, "low for a menu": LOW, "open collector": PULLED, "3.3 V": WEAK}
SCHOTTKY, SIGNAL = parts.diode("schottky", "smd"), parts.diode("flyback", "smd")

MISTAKES = [
    Mistake("the display's diode turned round", OWN, swapped("blanking/display", "A", "K"), {"F341"}),
    Mistake("the board's diode turned round", SHARED, swapped("blanking/board", "A", "K"), {"F341"}),
    Mistake("the board's diode left out", OWN, gone("blanking/board"), {"F341"}),
    Mistake("a third diode", SHARED, added("blanking/third", SCHOTTKY, A="RAIL", K="BLANKING_MEET"), {"F341", "F336"}),
    Mistake("both meet without diodes", SHARED, both(
        net("blanking/upper", "~", "BLANKING_DRIVE"),
        between("blanking/other", parts.resistor(680.0, "smd"), "DISPLAY_BLANKING", "BLANKING_PIN")), {"F341"}),
    Mistake("the display's diode bridged", SHARED, between(
        "blanking/bridge", parts.resistor(1.0, "smd"), "DISPLAY_BLANKING", "BLANKING_MEET"), {"F341", "F342"}),
    Mistake("lower resistors ten times", OWN, both(*(
        scaled(f"blanking/{n}", 10) for n in ("lower", "lower-spare", "lower-third"))), {"F336", "F337", "F339"}),
    Mistake("two lower resistors left out", SHARED, gone("blanking/lower-spare"), {"F337"}),
    Mistake("no lower resistor", SHARED, gone("blanking/lower", "blanking/lower-spare"), {"F331", "F336"}),
    Mistake("upper resistor a fifth", SHARED, scaled("blanking/upper", 0.2), {"F331", "F335", "F337"}),
    Mistake("the board's upper resistor a tenth", OWN, scaled("blanking/upper", 0.1), {"F331", "F335"}),
    Mistake("the display's upper resistor ten times", OWN, scaled("blanking/upper-display", 10), {"F332"}),
    Mistake("both behind the dividers", OWN, both(
        net("blanking/upper-display", "~", "BLANKING_PIN"), scaled("blanking/upper-display", 3)), {"F341"}),
    Mistake("the board's drive on the rail for ever", OWN, net("blanking/board", "A", "RAIL"), {"F336"}),
    Mistake("the board's drive on ground", OWN, net("blanking/board", "A", GROUND), {"F330"}),
    Mistake("diodes at each other's drive", LOW, net("blanking/display", "A", "BLANKING_DRIVE"), {"F332"}),
    Mistake("the inverter passed by", LOW, net("blanking/display", "A", "DISPLAY_BLANKING"), {"F332", "F336"}),
    Mistake("one inverter instead of two", PULLED, net("blanking/display", "A", "BLANKING_TURNED_1"), {"F332", "F336"}),
    Mistake("the inverter without supply", LOW, net("blanking/inverter", "VCC", None), {"F332"}),
    Mistake("100 kohm in front of the inverter", LOW, scaled("blanking/limit", 100), {"F340"}),
    Mistake("a capacitor on the pin", SHARED, between(
        "blanking/filter", parts.capacitor(1e-9, "smd", 50.0, "ceramic"), "BLANKING_PIN", GROUND), {"F338", "F339"}),
    Mistake("a transistor on the pin", OWN, added(
        "blanking/guard", parts.transistor("npn", "smd"), C="BLANKING_PIN", E=GROUND), {"F342"}),
    Mistake("a diode that takes up to 1 V", HIGH, part("blanking/display", SIGNAL), {"F332"}),
    Mistake("the display's lines crossed", OWN, landings_crossed("display-blanking", "display-red"), {"F332"}),
]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_a_mistake_is_an_error(mistake: Mistake) -> None:
    assert errors(examine(mistake.made, mistake.slip(compose(mistake.made)))) >= mistake.by


@pytest.mark.parametrize("name", EVERY)
def test_without_a_mistake_there_is_no_error(name: str) -> None:
    circuit, findings = examined(EVERY[name])
    assert errors(findings) == set()
    told = {f.code for f in findings} & CODES
    assert told >= {"F330", "F331", "F332", "F333", "F334", "F335", "F336", "F337", "F338", "F339", "F341", "F342"}
    assert ("F340" in told) == ("F345" in told) == circuit.has("blanking/inverter")


@pytest.mark.parametrize("name", EVERY)
def test_the_truth_table_shows_menus_in_every_state(name: str) -> None:
    """Driven by an input or by a menu, at ground without either; nothing of the switching is left open."""
    made = EVERY[name]
    proof = Proof(compose(made), made)
    assert list(proof.offences()) == []
    rows = {(o.wanted, o.blanking) for o in outcomes(proof) if o.rail == "on"}
    assert rows == {("native", "driven"), ("native", "ground"), ("input-1", "driven")}


def joined(made: Any) -> Joining:
    found = joining(Control(compose(made), made))
    assert found is not None
    return found


@pytest.mark.parametrize("name", EVERY)
def test_neither_drive_pulls_the_other_down_on_any_board(name: str) -> None:
    """Boards drawn at random: both drives together are at least what either is alone."""
    j, stream = joined(EVERY[name]), np.random.default_rng(7)
    names = j.names(Shown(j.control.active, True))
    draw = Draw({n: stream.uniform(-1, 1, 500) for n in names})
    both_v = j.volts(draw, cases_of(j.control)["both"])
    for case in ("board", "display"):
        alone = j.volts(draw, cases_of(j.control)[case])
        assert np.all(both_v >= alone - 1e-9)
        assert np.all(alone > 1.0)
    window = j.control.variant.set.blanking
    assert np.all(both_v < window.maximum)


def test_the_figures_bounds_hold_for_boards_drawn_at_random() -> None:
    from rasterport.analysis.figures import Figures
    from rasterport.analysis.setup import Setup

    figures = Figures(Setup(OWN, compose(OWN)))
    stream = np.random.default_rng(11)
    for name, quantity in figures.quantities.items():
        if not name[0].startswith("meeting-") or not quantity.parameters:
            continue
        found = figures.get(*name)
        draw = Draw({n: stream.uniform(-1, 1, 300) for n in quantity.parameters})
        values = np.asarray(quantity.of(draw), float)
        slack = 1e-9 + 1e-3 * abs(found.nominal)
        assert np.all(values >= found.low - slack), name
        assert np.all(values <= found.high + slack), name


def test_a_dead_board_stays_out_of_the_way() -> None:
    """Without the rail an inverter shows no menu, and a display that goes through a diode alone still does."""
    for made, driven in ((LOW, 0), (OWN, 1)):
        proof = Proof(compose(made), made)
        assert proof.menu is not None
        dead = ~proof.rail & proof.menu & (proof.intended == 0)
        assert bool(proof.driven[dead].all()) == bool(driven)
        assert bool(proof.driven[dead].any()) == bool(driven)
