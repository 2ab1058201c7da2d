"""The table of the resistors where an input and the set's display meet."""

from __future__ import annotations

import re

from making import template
from rasterport.api import design
from rasterport.emit.combinations import combinations


def test_best_first_then_what_each_runner_up_gives_up() -> None:
    done = design(template("redstart"))
    assert done.circuit is not None
    lines = list(combinations(done.offers))
    assert [len(o.gives_up) > 0 for o in done.offers] == [False, True, True, True]
    heads = [line for line in lines if re.match(r"  (best|less)", line)]
    assert [re.split(r"  +", head.strip())[0] for head in heads] == [
        "best, E24",
        "less of the source's level",
        "less of the menus' level",
        "less return loss",
    ]
    placed = {p.role: p.value for p in done.circuit.parts}
    best = done.offers[0]
    assert (placed["input-1/red/termination"], placed["red/from-input"], placed["red/from-display"]) == (
        "75R",
        "560R",
        "3k6",
    )
    assert (best.termination_ohm, best.series_ohm, best.display_ohm, best.ground_ohm) == (75.0, 560.0, 3600.0, None)
    assert re.split(r"  +", heads[0].strip())[1:5] == ["75 Ω", "560 Ω", "3.6 kΩ", "none"]
    text = " ".join(" ".join(lines).split())
    assert all(offer.gives_up in text for offer in done.offers)
    assert max(map(len, lines)) <= 130


def test_boards_of_their_own_pins_have_none() -> None:
    done = design(template("kestrel"))
    assert done.offers == () and list(combinations(())) != []
