"""The figures of a board: every one defined, named once, with units; signs and arithmetic by hand."""

from __future__ import annotations

import math

import pytest

from making import TEMPLATE_NAMES, examined, template, variant
from rasterport.analysis.definitions import DEFINITIONS, definition
from rasterport.analysis.figures import Figures
from rasterport.analysis.setup import Setup
from rasterport.circuit import compose
from rasterport.records import Figure
from rasterport.variant.models import Variant


def figures(made: Variant, *clocks: float) -> Figures:
    return Figures(Setup(made, compose(made)), clocks)


FOUND = {name: figures(template(name)) for name in TEMPLATE_NAMES}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_figure_is_defined_and_finite(name: str) -> None:
    for figure in FOUND[name].all():
        told = definition(figure.key)
        assert figure.unit == told.unit and figure.formula == told.formula and figure.source
        assert all(math.isfinite(v) for v in (figure.nominal, figure.low, figure.high)), figure
        slack = 1e-6 * max(abs(figure.low), abs(figure.high))
        assert figure.low - slack <= figure.nominal <= figure.high + slack, figure


OPAQUE = {
    "set.rgb.insertion": "shared", "set.display": {"high": "5 V", "blanking_active": "low"},
    "set.blanking.native": "driven", "selector.path": "relay", "set.supply.voltage": "9 V",
    "input.source_coupling": "dc", "input.black_most": "0.02 V", "board.opaque_menus": True,
}  # fmt: skip
"""Picture and menu take turns at pins that the set's display shares."""


def test_every_definition_is_used_and_says_its_formula_and_source() -> None:
    boards = [*FOUND.values(), figures(variant({"set.rgb.white_level": "1 V", "set.rgb.clipping_level": "1.5 V"})),
              figures(variant({"set.sync.coupling": "dc", "set.sync.bias": "8 V"})),
              figures(variant({"set.sync.accepts": "clean-sync", "set.supply.voltage": "9 V"})),
              figures(variant({"set.sync.arrangement": "normalled"})),
              figures(variant({"board.trimmers": True})),
              figures(variant(OPAQUE)),
              figures(variant({"set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "0 V", "board.keyed_clamp": True,
                               "set.supply.voltage": "9 V"}))]  # fmt: skip
    used = {figure.key.split("/")[0] for board in boards for figure in board.all()}
    assert used == set(DEFINITIONS)
    assert all(d.title and d.formula and d.source for d in DEFINITIONS.values())


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_finding_with_a_number_names_a_figure_of_the_board(name: str) -> None:
    _, findings = examined(template(name))
    named = {(f.key, f.subject, f.state): f for f in FOUND[name].all()}
    for finding in findings:
        if finding.measured is not None:
            figure = named[finding.figure, finding.subject, finding.state]
            assert finding.measured == (figure.low if finding.sense == "least" else figure.high), finding


def kestrel(**changes: str) -> Figures:
    return figures(template("kestrel", {f"set.rgb.{key}": value for key, value in changes.items()}))


def test_the_sign_of_the_shift() -> None:
    """RGB skips the luminance delay, so it comes early against sync and stands to the left: positive."""
    shift = kestrel(luminance_delay="0.5 us").get("shift", "picture")
    assert shift.nominal == pytest.approx(0.5e-6, abs=5e-9)
    _, findings = examined(template("kestrel", {"set.rgb.luminance_delay": "0.5 us"}))
    (told,) = (f for f in findings if f.code == "F215")
    assert "to the left, if the set's phase control is centred for its own inputs" in told.message


def test_rgb_that_is_late_on_the_board_moves_the_picture_to_the_right() -> None:
    """215 pF on the pins behind 37.5 ohm: 8 ns, and no luminance delay in the set."""
    made = template("kestrel", {"set.rgb.luminance_delay": "0 s", "set.rgb.capacitance": "200 pF"})
    shift = figures(made).get("shift", "picture")
    assert -20e-9 < shift.nominal < -5e-9
    _, findings = examined(made)
    (told,) = (f for f in findings if f.code == "F215")
    assert "to the right" in told.message


def test_sync_that_is_late_on_the_board_moves_the_picture_to_the_left() -> None:
    """Osprey turns its positive sync round in one inverter, kestrel sends it straight: 20 ns more, at most 51 ns."""
    late, straight = FOUND["osprey"].get("shift", "picture"), FOUND["kestrel"].get("shift", "picture")
    assert late.nominal - straight.nominal == pytest.approx(20e-9, abs=5e-9)
    assert late.high - straight.high == pytest.approx(51e-9, abs=5e-9)


def test_an_unknown_luminance_delay_spans_its_documented_range() -> None:
    shift = FOUND["kestrel"].get("shift", "picture")
    assert shift.low == pytest.approx(0.2e-6, abs=5e-9)
    assert shift.high == pytest.approx(0.6e-6, abs=5e-9)
    share = FOUND["kestrel"].get("shift-share", "picture")
    assert share.nominal == pytest.approx(100 * 0.35 / 52.66, rel=0.01)


def test_a_divided_level_is_darker_and_says_by_how_much() -> None:
    """A pin that wants 1 V and gets 0.7 V: 20 log 0.7 = -3.1 dB against the set's own inputs."""
    board = figures(variant({"set.rgb.white_level": "1 V", "set.rgb.clipping_level": "1.5 V"}))
    assert board.get("brightness", "red").nominal == pytest.approx(-3.10, abs=0.02)
    assert board.get("contrast", "red").high == pytest.approx(3.098, abs=1e-3)


def test_the_span_of_the_source_is_three_decibels_either_way() -> None:
    """EN 50049-1 as one set maker's manual gives it: +-3 dB."""
    board = FOUND["kestrel"]
    nominal, weak, strong = (board.get(k, "red").nominal for k in ("level", "level-weakest", "level-strongest"))
    assert 20 * math.log10(weak / nominal) == pytest.approx(-3, abs=0.01)
    assert 20 * math.log10(strong / nominal) == pytest.approx(3, abs=0.01)


def test_settling_in_lines_and_in_seconds_agree() -> None:
    """(0.57 - 0.007) V x C / (I t), and as many lines of 63.56 us (525/60)."""
    board = figures(template("kestrel", {"set.lines": "525/60"}))
    lines, seconds = board.get("settling-lines", "red").nominal, board.get("settling", "red").nominal
    assert lines == pytest.approx(0.563 * 100e-9 / (40e-6 * 4e-6), rel=1e-3)
    assert seconds == pytest.approx(lines * 63.5555e-6, rel=1e-9)


def test_crosstalk_between_two_leads() -> None:
    """A divider of the stray capacitance and what drives the victim: 2 pi f C R for a small one, arithmetic."""
    board = figures(template("kestrel", {"set.rgb.lead_length": "0.3 m", "set.rgb.lead_kind": "hook-up"}))
    for hertz, key in ((1e6, "crosstalk/1MHz"), (5e6, "crosstalk/5MHz")):
        bound = 20 * math.log10(2 * math.pi * hertz * 15e-12 * 37.5)
        assert board.get(key, "red, green, blue").nominal == pytest.approx(bound, abs=0.3)


def test_screened_leads_do_not_talk() -> None:
    board = figures(template("kestrel", {"set.rgb.lead_kind": "coax"}))
    assert board.get("crosstalk/5MHz", "red, green, blue").high == -100.0


def test_a_pixel_clock_of_ones_own() -> None:
    board = figures(template("plover"), 6e6)
    own, usual = board.get("pixel/6MHz", "red"), board.get("pixel/6.75MHz", "red")
    assert usual.nominal < own.nominal < 0


def test_return_loss_above_sixty_is_said_to_be_at_least_that() -> None:
    board = FOUND["kestrel"]
    assert board.get("return-loss/DC", "red").at_least
    assert not board.get("return-loss/5.5MHz", "red").at_least


def test_current_through_the_element_heats_it() -> None:
    """Kestrel's tap: I^2 R with the current of the rail."""
    board = FOUND["kestrel"]
    current, element = board.get("rail-current", "rail"), board.setup.control.element
    assert element is not None
    assert board.get("dissipation", "supply/element").nominal == pytest.approx(current.nominal**2 * element.value)


def test_two_figures_of_one_name_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from rasterport.analysis import audio, rail_off

    monkeypatch.setattr(audio, "quantities", rail_off.quantities)
    with pytest.raises(ValueError, match="two figures are called rail-off-current"):
        _ = figures(template("kestrel")).quantities


def test_colours_that_are_alike_have_the_same_figures_with_their_own_names() -> None:
    board = FOUND["heron"]
    red, blue = (board.get("level", c) for c in ("red", "blue"))
    assert (red.nominal, red.low, red.high) == (blue.nominal, blue.low, blue.high)
    assert red.low_corner == blue.low_corner.replace("blue", "red")


def test_at_native_the_set_has_its_own_signals_back() -> None:
    """Less than 0.1 dB between the set's own feed and its landing, through a contact."""
    for name in ("kestrel", "plover", "wren"):
        changed: list[Figure] = [f for f in FOUND[name].all() if f.key == "native-change"]
        assert changed
        assert all(f.high < 0.1 for f in changed)
