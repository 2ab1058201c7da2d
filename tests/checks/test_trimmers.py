"""Trimmers of the colours: what they reach, on every path, and deliberate mistakes in them."""

from __future__ import annotations

from typing import Any

import pytest

from making import EVERY_PATH, errors, examined, several, variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import examine
from rasterport.records import COLOURS
from slips import Mistake, gone, net, scaled, value

TRIMMED = {"board.trimmers": True}
PLAIN = variant(TRIMMED)
HALF = variant({**TRIMMED, "set.rgb.white_level": "0.5 V"})
LEAST = variant({**TRIMMED, "set.rgb.white_level": "0.1 V"})


@pytest.mark.parametrize("white", ["0.1 V", "0.2 V", "0.35 V", "0.5 V", "0.65 V", "0.69 V", "0.7 V", "1 V"])
@pytest.mark.parametrize("construction", ["smd", "through-hole"])
def test_both_stops_and_an_open_wiper_keep_every_limit(white: str, construction: str) -> None:
    changes = {**TRIMMED, "set.rgb.white_level": white, "set.rgb.clipping_level": "3 V"}
    circuit, findings = examined(variant({**changes, "board.construction": construction}))
    assert errors(findings) == set()
    told = {code: [f for f in findings if f.code == code] for code in ("F232", "F233", "F234", "F235")}
    assert {code: len(found) for code, found in told.items()} == {"F232": 6, "F233": 6, "F234": 3, "F235": 1}
    assert {f.severity for found in told.values() for f in found} == {"met"}
    assert [circuit.by_role(f"input-1/{c}/trimmer").ref for c in COLOURS] == ["R180", "R181", "R182"]


def test_the_stops_lie_on_both_sides_of_what_is_wanted() -> None:
    circuit, _ = examined(HALF)
    figures = Figures(Setup(HALF, circuit))
    lowest, highest = (figures.get(f"trimmed-level/{stop}", "red").nominal for stop in ("lowest", "highest"))
    assert lowest == pytest.approx(0.23, abs=0.05)
    assert highest == pytest.approx(0.18, abs=0.05)
    middle = figures.get("level", "red").nominal
    assert 0.5 < middle < 0.51


def test_an_open_wiper_is_the_upper_stop() -> None:
    """The wiper is tied to the far end: without its contact all of the track is in circuit."""
    circuit, _ = examined(HALF)
    figures = Figures(Setup(HALF, circuit))
    stop, opened = figures.get("trimmed-level/highest", "red"), figures.get("wiper-open", "red")
    assert opened.nominal == pytest.approx(stop.nominal, abs=0.02)


@pytest.mark.parametrize(
    ("inputs", "path", "changes"),
    EVERY_PATH.values(),
    ids=EVERY_PATH.keys(),
)
def test_every_input_has_its_own_on_every_path(inputs: int, path: str, changes: dict[str, Any]) -> None:
    made = several(inputs, path, changes={**TRIMMED, "set.rgb.white_level": "0.5 V", **changes})
    circuit, findings = examined(made)
    assert errors(findings) == set()
    assert {f.state for f in findings if f.code == "F235"} == {f"input-{n}" for n in range(1, inputs + 1)}
    assert all(circuit.has(f"input-{n}/{c}/trimmer") for n in range(1, inputs + 1) for c in COLOURS)


def test_a_trimmer_joined_the_other_way_round_is_as_good() -> None:
    """The wiper tied to the near end: the other section moves, and an open wiper leaves all of the track as well."""
    circuit, _ = examined(HALF)
    turned = net("input-1/red/trimmer", "2", "IN1_RED_TAP")(circuit)
    assert errors(examine(HALF, turned)) == set()


MISTAKES = [
    Mistake("nothing under the trimmer of red", HALF, scaled("input-1/red/under", 0.02), {"F232", "F233"}),
    Mistake("a stop too wide for the level", HALF, scaled("input-1/green/under", 0.2), {"F232"}),
    Mistake("the fixed resistor left out", HALF, gone("input-1/blue/lower"), {"F232", "F233", "F234"}),
    Mistake("the trimmer left out", HALF, gone("input-1/red/trimmer"), {"F810"}),
    Mistake("the fixed resistor off", LEAST, scaled("input-1/red/lower", 1.4), {"F232", "F235"}),
    Mistake("one colour out of the reach of the others", PLAIN, value("input-1/red/lower", 110.0), {"F235"}),
    Mistake("the far end of a track left open", HALF, net("input-1/red/trimmer", "3", None), {"F810"}),
    Mistake("the near end of a track left open", HALF, net("input-1/red/trimmer", "1", None), {"F235", "F810"}),
    Mistake("the wiper on ground", HALF, net("input-1/red/trimmer", "2", "GND"), {"F232"}),
]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_is_seen(mistake: Mistake) -> None:
    mistake.must_be_seen()
