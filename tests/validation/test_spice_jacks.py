"""Plugs in the set's own jacks: the figures against ngspice, from the deck of the board with one more source.

The deck is the one that is written for the board.  A plug is a source behind its resistance, put on the net where the
jack stands: the landing of a jack that is parallel to it, the set's own feed in front of a change-over.  The figures
hold to 1 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from making import template, variant
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.analysis.simulation import simulation
from rasterport.circuit import compose
from rasterport.emit.deck import deck_text, element_name, spice_names
from rasterport.records import GROUND, Modelled, Simulation
from rasterport.variant.models import Variant
from spice import control, plots

VIDEO_OHM, TONE_OHM = 75.0, 500.0
"""The plug's source: 75 ohm of video; of sound the middle of up to 1 kohm (EN 50049-1)."""
NEAR = 0.01
"""A level, relative."""

NORMALLED = {"set.sync.arrangement": "normalled", "set.audio.arrangement": "normalled"}
PARALLEL: list[tuple[Variant, str, str]] = [
    (template("heron"), "sync", "own jack"),
    (template("heron"), "left", "own jack"),
    (variant({"set.sync.arrangement": "dedicated", "set.sync.shares": "the jack", "set.sync.termination": "none"}),
     "sync", "own jack"),
    (variant({**NORMALLED, "set.sync.front_jack": "parallel"}), "sync", "front jack"),
    (template("plover", {**NORMALLED, "set.audio.front_jack": "parallel"}), "right", "front jack"),
]  # fmt: skip
CHANGED_OVER: list[tuple[Variant, str]] = [
    (template("kestrel", {"set.sync.front_jack": "parallel", "set.audio.front_jack": "parallel"}), "sync"),
    (template("kestrel", {"set.sync.front_jack": "parallel", "set.audio.front_jack": "parallel"}), "left"),
    (template("plover", {"set.sync.front_jack": "parallel"}), "sync"),
    (template("linnet", {"set.sync.front_jack": "parallel"}), "sync"),
]


def plugged(net: str, ohm: float, number: int = 0) -> list[Modelled]:
    """A source of 1 V at most, behind a resistance [ohm], on a net."""
    name = f"plug{number}"
    return [
        Modelled("voltage", name, "", (f"{name}/emf", GROUND), {"value_v": 0.0}),
        Modelled("resistor", f"{name}/source", "", (f"{name}/emf", net), {"value_ohm": ohm}),
    ]


def level(deck: Simulation, driven: Sequence[str], net: str, hertz: float) -> float:
    """Of sources of 1 V at a net [V]."""
    commands = [f"alter {element_name('V', source)} ac=1" for source in driven]
    (plot,) = plots(deck_text(deck, analysis=control(*commands, f"ac lin 1 {hertz:g} {hertz:g}", "write raw")))
    return abs(plot.first(f"v({spice_names(deck)[net]})"))


def ours(made: Variant, key: str, line: str, state: str = "input-1") -> float:
    return Figures(Setup(made, compose(made))).get(key, line, state).nominal


def at(line: str) -> tuple[float, float, str]:
    """Frequency [Hz], the plug's resistance [ohm] and the source of input 1 of a line."""
    if line == "sync":
        return 1e5, VIDEO_OHM, "input-1/sync/picture"
    return 1e3, TONE_OHM, f"input-1/audio-{line}/tone"


@pytest.mark.parametrize(("made", "line", "plug"), PARALLEL)
def test_two_sources_on_one_landing(made: Variant, line: str, plug: str) -> None:
    circuit = compose(made)
    deck, landing = simulation(circuit, made, "input-1"), str(circuit.landing_net(line))
    hertz, ohm, source = at(line)
    full = replace(deck, parts=(*deck.parts, *plugged(landing, ohm)))
    share = level(full, [source], landing, hertz) / level(deck, [source], landing, hertz)
    assert 10 ** (-ours(made, f"plugged-change/{plug}", line) / 20) == pytest.approx(share, rel=NEAR)
    assert share < 0.71, "a plug in parallel is no small thing"
    # The plug's own signal against the same with nothing but the set there.
    own = f"set/{line}/"
    alone = replace(deck, parts=(*(p for p in deck.parts if p.name.startswith(own)), *plugged(landing, ohm)))
    share = level(full, ["plug0"], landing, hertz) / level(alone, ["plug0"], landing, hertz)
    assert 10 ** (-ours(made, f"plugged-other/{plug}", line) / 20) == pytest.approx(share, rel=NEAR)


@pytest.mark.parametrize("termination", ["none", "fixed"])
def test_three_and_a_half_decibels(termination: str) -> None:
    """75 ohm into 75 || 75 ohm: 20 log10(37.5 / (75 + 37.5) / 0.5) = -3.52 dB, by hand; 1 Mohm of the set beside it."""
    by_hand = -20 * math.log10(37.5 / (75 + 37.5) / 0.5)
    assert by_hand == pytest.approx(3.52, abs=5e-3)
    changes: dict[str, Any] = {
        "set.sync.arrangement": "dedicated",
        "set.sync.shares": "the jack",
        "set.sync.resistance": "1M",
        "set.sync.termination": termination,
    }
    made = variant(changes)
    assert ours(made, "plugged-change/own jack", "sync") == pytest.approx(by_hand, abs=0.01)
    assert ours(made, "plugged-load/own jack", "sync") == pytest.approx(37.5, rel=0.001)
    # Return loss of 37.5 ohm: -20 log10(37.5 / 112.5) = 9.54 dB.
    assert ours(made, "plugged-return-loss/own jack", "sync") == pytest.approx(9.54, abs=0.05)


@pytest.mark.parametrize(("made", "line"), CHANGED_OVER)
def test_a_change_over_keeps_the_plug_away(made: Variant, line: str) -> None:
    circuit = compose(made)
    deck = simulation(circuit, made, "input-1")
    landing, native = str(circuit.landing_net(line)), str(circuit.landing_net(f"{line}-native"))
    hertz, ohm, source = at(line)
    full = replace(deck, parts=(*deck.parts, *plugged(native, ohm)))
    before, after = (level(d, [source], landing, hertz) for d in (deck, full))
    assert after == pytest.approx(before, rel=1e-3)
    assert level(full, ["plug0"], landing, hertz) < 1e-3 * before
    for plug in ("own jack", "front jack"):
        if line == "sync" or plug == "own jack" or made.set.audio is None or made.set.audio.front_jack != "none":
            assert ours(made, f"plugged-change/{plug}", line) < 0.1
            assert ours(made, f"plugged-other/{plug}", line) == 60.0, "nothing of it arrives"


@pytest.mark.parametrize("made", [made for made, line in CHANGED_OVER if line == "sync"])
def test_when_native_every_jack_reaches_the_circuit(made: Variant) -> None:
    """Two plugs, one of them driven, through the board; by hand without it: 75 ohm and 37.5 ohm, 1/3 of the source."""
    circuit = compose(made)
    deck = simulation(circuit, made, "native")
    landing, native = str(circuit.landing_net("sync")), str(circuit.landing_net("sync-native"))
    # The deck's own feed is the silent plug, its 75 ohm those of the jack.
    full = replace(deck, parts=(*deck.parts, *plugged(native, VIDEO_OHM)))
    loads = 1 / 75 + 1 / 75 + 1 / made.set.sync.resistance
    bare = (1 / loads) / (75 + 1 / loads)
    through = level(full, ["plug0"], landing, 1e5)
    assert through == pytest.approx(bare, rel=NEAR)
    # Small as it is, the change tells what stands in front of the change-over: both plugs, and the jack's 75 ohm.
    change = -20 * math.log10(through / bare)
    assert ours(made, "native-change/both jacks", "sync", "native") == pytest.approx(change, rel=3e-4)
    for key in ("front jack", "both jacks"):
        assert ours(made, f"native-change/{key}", "sync", "native") < 0.1


@pytest.mark.parametrize("name", ["plover", "wren", "linnet"])
def test_the_own_jack_with_the_rail_off(name: str) -> None:
    """The deck without its rail, the set's own feed a plug of 1 V; by hand without the board: 75 ohm into the set."""
    made = template(name)
    circuit = compose(made)
    deck = simulation(circuit, made, "native+rail-off")
    landing, native = str(circuit.landing_net("sync")), str(circuit.landing_net("sync-native"))
    own = "set/sync-native"
    bare = [p for p in deck.parts if p.name != own and not p.name.startswith(f"{own}/")]
    full = replace(deck, parts=(*bare, *plugged(native, VIDEO_OHM)))
    wired = [
        replace(p, nets=tuple(native if n == landing else n for n in p.nets))
        for p in deck.parts
        if p.name.startswith("set/sync/")
    ]
    without = replace(deck, parts=(*wired, *plugged(native, VIDEO_OHM)))
    through, plain = level(full, ["plug0"], landing, 1e5), level(without, ["plug0"], native, 1e5)
    change = -20 * math.log10(through / plain)
    assert ours(made, "native-change/rail off", "sync", "native") == pytest.approx(change, abs=1e-5)
    assert abs(change) < 0.1
