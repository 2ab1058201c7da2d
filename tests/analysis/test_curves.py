"""Curves, margins and windows: the figures of the same names at more places, and nothing else."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from making import TEMPLATE_NAMES, bench, judged_on, template, variant, with_value, without
from rasterport.analysis.alike import in_a_row, together
from rasterport.analysis.curves import SWEEP_HZ, curves
from rasterport.analysis.draws import Draw
from rasterport.analysis.lines import MOST_LOSS_DB, Line, loss_db
from rasterport.analysis.margins import LEAST_SHOWN, first_limit, margins, used
from rasterport.analysis.network import states_of
from rasterport.analysis.video import relative_db
from rasterport.analysis.windows import blanking_window, status_windows
from rasterport.checks.bench import Bench, judged
from rasterport.circuit import compose
from rasterport.records import COLOURS, Bars, Circuit, Curve
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import significant
from rasterport.variant.models import Variant

NEXT_TO_NOTHING_DB = 1e-6


@cache
def found(name: str) -> tuple[Curve, ...]:
    return curves(bench(name).figures)


def of(circuit: Circuit, made: Variant) -> tuple[Curve, ...]:
    return curves(Bench(made, circuit).figures)


def states_in(told: str) -> list[str]:
    """States taken out of their words as a reader does."""
    states = []
    for part in told.split(", "):
        first, _, last = part.partition(" to ")
        if last:
            number, _, rest = last.removeprefix("input-").partition(" ")
            span = range(int(first.removeprefix("input-")), int(number) + 1)
            states += [f"input-{n}{' ' if rest else ''}{rest}" for n in span]
        else:
            states.append(part)
    return states


def named(curve: Curve, subject: str, state: str) -> bool:
    """Whether a curve is of this subject in this state."""
    return subject in curve.subject.split(", ") and state in states_in(curve.state)


def one(name: str, key: str, subject: str, state: str) -> Curve:
    (curve,) = [c for c in found(name) if c.key == key and named(c, subject, state)]
    return curve


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_curve_is_finite_and_written_as_numbers_are(name: str) -> None:
    assert {c.key for c in found(name)} >= {"level", "return-loss"}
    for curve in found(name):
        assert curve.band is not None and curve.lines[0][0] == "nominal"
        runs = [y for _, y in curve.lines] + list(curve.band)
        assert all(len(y) == len(curve.x) for y in runs)
        values = [*curve.x, *(v for y in runs for v in y)]
        assert all(math.isfinite(v) and significant(v) == v for v in values)
        assert list(curve.x) == sorted(curve.x)
        for low, middle, high in zip(curve.band[0], curve.lines[0][1], curve.band[1], strict=True):
            assert low <= middle <= high
        assert curve.says.endswith(".") and curve.shown is not None


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_curve_passes_through_the_figures_of_its_name(name: str) -> None:
    """Nominal and both ends, at every frequency that a figure has; the droop at its end.

    Of inputs that share a plot since nobody could tell them apart the curve is the first one's.
    """
    figures, seen = bench(name).figures, 0
    for view in bench(name).views:
        for colour in COLOURS:
            level = one(name, "level", colour, view.state)
            loss = one(name, "return-loss", colour, view.state)
            for curve, key, hertz, ends in (
                (level, "level-relative/5MHz", 5e6, (0, 1)),
                (loss, "return-loss/1MHz", 1e6, (0,)),
                (loss, "return-loss/5.5MHz", 5.5e6, (0,)),
            ):
                figure, n = figures.get(key, colour, view.state), curve.x.index(hertz)
                assert curve.band is not None and curve.shown is not None
                apart = (curve.shown[1] - curve.shown[0]) / 200
                slack = NEXT_TO_NOTHING_DB if curve.state.startswith(view.state) else apart
                assert curve.lines[0][1][n] == pytest.approx(figure.nominal, rel=1e-3, abs=slack)
                for end in ends:
                    bound = (figure.low, figure.high)[end]
                    assert curve.band[end][n] == pytest.approx(bound, rel=1e-3, abs=slack)
                seen += 1
            for key in ("droop", "keyed-droop"):
                if figures.has(key, colour, view.state):
                    curve, figure = one(name, key, colour, view.state), figures.get(key, colour, view.state)
                    assert curve.band is not None
                    ends_at = (curve.lines[0][1][-1], curve.band[0][-1], curve.band[1][-1])
                    assert ends_at == pytest.approx((-figure.nominal, -figure.high, -figure.low), rel=1e-3)
    assert seen == 9 * len(bench(name).views)


@pytest.mark.parametrize("name", ["dotterel", "dunlin", "godwit", "redstart"])
def test_a_level_passes_3_db_where_the_bandwidth_says(name: str) -> None:
    curve, width = one(name, "level", "red", "input-1"), bench(name).figures.get("bandwidth", "red")
    assert curve.band is not None
    for run, hertz in ((curve.lines[0][1], width.nominal), (curve.band[0], width.low), (curve.band[1], width.high)):
        level = np.interp(math.log(hertz), np.log(curve.x), run)
        assert level == pytest.approx(-3.0103, abs=0.1)


def corner_draw(line: Line) -> Draw:
    """Every corner of a line; of more than 1024 as many drawn at random, always the same."""
    names = line.parameters
    if len(names) <= 10:
        rows = np.array(list(product((-1.0, 1.0), repeat=len(names))))
    else:
        rows = np.random.Generator(np.random.PCG64(7)).choice((-1.0, 1.0), (1024, len(names)))
    return Draw({name: rows[:, n] for n, name in enumerate(names)})


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_corner_leaves_the_band(name: str) -> None:
    """Of what a plot shows: the level down to -6 dB, the return loss as far as it is judged.

    0.02 dB of a level are half a pixel, 0.05 dB of a return loss an eighth of one.
    """
    made = bench(name)
    seen = set()
    for view in made.views:
        for colour, line in view.colours().items():
            if line.signature in seen:
                continue
            seen.add(line.signature)
            contact, landing = line.volts(corner_draw(line), SWEEP_HZ)
            level, loss = one(name, "level", colour, view.state), one(name, "return-loss", colour, view.state)
            assert level.band is not None and loss.band is not None
            at = np.broadcast_to(relative_db(landing, landing[0]), (len(SWEEP_HZ), landing.shape[-1]))
            shown = np.array(level.band[0]) > -6.0
            assert (at.min(axis=1) - np.array(level.band[0]))[shown].min() > -0.02
            assert (at.max(axis=1) - np.array(level.band[1]))[np.array(level.band[1]) > -6.0].max() < 0.02
            least = np.broadcast_to(loss_db(contact), (len(SWEEP_HZ), contact.shape[-1])).min(axis=1)
            judged_here = np.array(SWEEP_HZ) <= 5.5e6
            assert (least - np.array(loss.band[0]))[judged_here].min() > -0.05


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_contact_in_every_state_has_its_curve(name: str) -> None:
    made = bench(name)
    several = len(made.variant.input) > 1
    for view in made.views:
        for colour in COLOURS:
            mine = [c for c in found(name) if c.key == "return-loss" and colour in c.subject.split(", ")]
            for state in states_of(made.variant):
                line = view.line(colour, colour)
                assert line is not None
                told = state if state == view.state or not several else f"{view.state} not chosen"
                (curve,) = [c for c in mine if named(c, colour, told)]
                at = view.between(line.contact, line.contact, state).volts(Draw({}), 5.5e6)[0]
                shown = curve.lines[0][1][curve.x.index(5.5e6)]
                assert shown == pytest.approx(min(float(loss_db(at)), MOST_LOSS_DB), abs=0.3)


def test_a_colour_that_differs_has_a_curve_of_its_own() -> None:
    made = template("kestrel")
    circuit = compose(made)
    before, after = of(circuit, made), of(with_value(circuit, "input-1/red/termination", 68.0), made)
    assert [c.subject for c in before if c.key == "return-loss"] == ["red, green, blue"]
    assert sorted(c.subject for c in after if c.key == "return-loss") == ["green, blue", "red"]
    (red,) = [c for c in after if c.key == "return-loss" and c.subject == "red"]
    # 68 ohm beside 75 ohm, and the pins' 1 Mohm: -20 log10(7 / 143) = 26.2 dB.
    assert red.lines[0][1][0] == pytest.approx(26.2, abs=0.1)


def test_a_capacitor_on_the_line_is_one_time_constant() -> None:
    """200 pF at the pin and 0.3 m of lead of 50 pF/m, behind 75 ohm of the source beside 75 ohm: 19.7 MHz."""
    made = template("kestrel", {"set.rgb.capacitance": "200p"})
    level = next(c for c in of(compose(made), made) if c.key == "level")
    corner = 1 / (2 * math.pi * 37.5 * 215e-12)
    for hertz, db in zip(level.x, level.lines[0][1], strict=True):
        assert db == pytest.approx(-10 * math.log10(1 + (hertz / corner) ** 2), abs=0.05), hertz


def test_a_line_that_is_broken_has_no_curve() -> None:
    made = template("kestrel")
    broken = without(compose(made), "red/coupling")
    assert {c.subject for c in of(broken, made) if c.key == "level"} == {"green, blue"}


def test_what_is_alike_is_named_together() -> None:
    assert in_a_row(["native", "input-1", "input-2"]) == "native, input-1, input-2"
    assert in_a_row([f"input-{n}" for n in range(1, 9)]) == "input-1 to input-8"
    assert in_a_row(["input-1", "input-2", "input-3", "input-5"]) == "input-1 to input-3, input-5"
    assert in_a_row([f"input-{n} not chosen" for n in (1, 2, 3)]) == "input-1 to input-3 not chosen"
    assert in_a_row(["input-1 not chosen", "input-2", "input-3"]) == "input-1 not chosen, input-2, input-3"
    pairs = [(c, s) for s in ("input-1", "native") for c in ("blue", "green", "red")]
    assert together(pairs) == [("red, green, blue", "input-1, native")]
    assert together([*pairs, ("sync", "native")])[1] == ("sync", "native")


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_limit_is_used_up_where_a_finding_says_so(name: str) -> None:
    judged_here = 0
    for finding in judged_on(name):
        limit = first_limit(finding)
        if finding.measured is None or limit is None or limit <= 0:
            continue
        share = used(finding.measured, limit, finding.unit, finding.sense)
        assert share is not None
        assert (share > 100 * (1 + 1e-9)) == (finding.severity in ("warning", "error")), finding
        judged_here += 1
    assert judged_here > 25


@given(
    st.floats(0.01, 1e6), st.floats(0.01, 1e6), st.sampled_from(["V", "dB", "C"]), st.sampled_from(["least", "most"])
)
def test_nearer_to_a_limit_uses_more_of_it(limit: float, away: float, unit: str, sense: str) -> None:
    limit = limit + 71 if unit == "C" else min(limit, 80.0) if unit == "dB" else limit
    near, far = (limit + away, limit + 2 * away) if sense == "least" else (limit - away, limit - 2 * away)
    shares = [used(value, limit, unit, sense) for value in (limit, near, far)]
    assert shares[0] == pytest.approx(100)
    assert all(s is not None and s >= 0 for s in shares)
    assert shares == sorted(shares, key=lambda s: -(s or 0.0))


def test_parts_of_limits_by_hand() -> None:
    # 26 dB keep down 5 % of a voltage, 32.02 dB half of that; -36.02 dB is half of -30 dB.
    assert used(32.0206, 26.0, "dB", "least") == pytest.approx(50, rel=1e-4)
    assert used(-36.0206, -30.0, "dB", "most") == pytest.approx(50, rel=1e-4)
    assert used(0.25, 0.5, "dB", "most") == 50
    assert used(90.0, 110.0, "C", "most") == 50
    assert used(2.0, 1.0, "V", "least") == 50
    assert used(-1.0, 1.0, "V", "most") == 0
    assert used(-1.0, 1.0, "V", "least") == math.inf
    assert used(0.5, 0.0, "V", "least") is None


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_margins_have_every_limit_once_the_worst_first(name: str) -> None:
    shown = margins(bench(name).figures, judged_on(name))
    lengths = [bar.high for bar in shown.bars]
    assert lengths == sorted(lengths, reverse=True) and min(lengths) >= LEAST_SHOWN
    wanted: dict[tuple[str, str], float] = {}
    for finding in judged_on(name):
        limit = first_limit(finding)
        if finding.measured is not None and limit is not None and not finding.figure.startswith("count"):
            share = used(finding.measured, limit, finding.unit, finding.sense)
            if share is not None:
                at = (finding.code, finding.sense)
                wanted[at] = max(share, wanted.get(at, 0.0))
    assert f"{len(wanted)} limits are measured" in shown.says
    by_hand = sorted((s for s in wanted.values() if s >= LEAST_SHOWN), reverse=True)
    assert lengths == pytest.approx([min(s, 1500.0) for s in by_hand], rel=0.006)
    few = len(wanted) - len(by_hand)
    assert (f"{few} more use less" in shown.left_out) == (few > 0)
    grave = {bar.grave in ("warning", "error") for bar in shown.bars if bar.high > 100.5}
    assert grave <= {True}


def test_a_margin_that_is_lost_comes_first() -> None:
    made = template("kestrel")
    circuit = with_value(compose(made), "input-1/red/termination", 47.0)
    lost = Bench(made, circuit)
    first = margins(lost.figures, judged(lost)).bars[0]
    assert first.grave == "error" and first.high > 150


def test_a_limit_that_is_just_exceeded_does_not_read_as_kept() -> None:
    """1.004 dB against 1 dB: three digits would say 1 dB."""
    shown = margins(bench("godwit").figures, judged_on("godwit"))
    (lost,) = [bar for bar in shown.bars if bar.words.startswith("loss against the loudest")]
    assert (lost.told, lost.grave) == ("1.004 dB (\u2264 1)", "warning")


def window(name: str) -> Bars:
    shown = blanking_window(bench(name).figures)
    assert shown is not None
    return shown


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_window_has_the_figures_and_the_limits(name: str) -> None:
    made, shown = bench(name), window(name)
    pin = made.variant.set.blanking
    assert [value for _, value in shown.limits] == [pin.off_below, pin.on_above, pin.maximum]
    figures = [f for key in ("blanking-on", "meeting-on") for f in made.figures.under(key)]
    bars = [b for b in shown.bars if b.low > pin.on_above]
    assert figures and len(bars) == len(figures)
    for bar, figure in zip(bars, figures, strict=True):
        assert (bar.low, bar.nominal, bar.high) == pytest.approx((figure.low, figure.nominal, figure.high), rel=1e-3)
    off = [b for b in shown.bars if b.high < pin.off_below]
    assert len(off) + len(bars) == len(shown.bars)
    assert len(off) == 1 or (pin.native == "driven" and "set's own wire" in shown.left_out)
    assert shown.shown[0] <= min(b.low for b in shown.bars) and shown.shown[1] > pin.maximum


def test_a_board_that_drives_nothing_has_no_window() -> None:
    made = variant()
    circuit = compose(made)
    upper = [p.role for p in circuit.parts if p.role == "blanking/upper"]
    assert upper
    assert blanking_window(Bench(made, without(circuit, *upper)).figures) is None


def test_a_window_moves_with_its_resistor() -> None:
    made = template("kestrel")
    circuit = compose(made)
    placed = circuit.by_role("blanking/upper")
    assert placed.value_si is not None
    changed = with_value(circuit, "blanking/upper", placed.value_si / 2)
    before, after = (blanking_window(Bench(made, c).figures) for c in (circuit, changed))
    assert before is not None and after is not None
    assert after.bars[-1].low > before.bars[-1].low * 1.2
    assert replace(after, bars=(), says="", shown=(0, 0)) == replace(before, bars=(), says="", shown=(0, 0))


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_status_contact_has_its_window(name: str) -> None:
    made = bench(name)
    shown = status_windows(made.figures)
    seen = 0
    for off in made.figures.under("status-off-edge"):
        head, _, contact = off.subject.rpartition("/")
        state = head or "input-1"
        on = made.figures.get("status-on-edge", off.subject, state)
        (bars,) = [b for b in shown if b.subject == contact and state in states_in(b.state)]
        levels = STATUS_LEVELS[contact]
        assert [value for _, value in bars.limits] == [levels.off_most_v, levels.on_least_v]
        for bar, figure in zip(bars.bars, (off, on), strict=True):
            assert (bar.low, bar.nominal, bar.high) == pytest.approx(
                (figure.low, figure.nominal, figure.high), rel=1e-3
            )
        seen += 1
    assert seen == sum(len(states_in(b.state)) for b in shown)


def test_contacts_that_behave_alike_share_a_window() -> None:
    shown = [(b.subject, b.state) for b in status_windows(bench("godwit").figures)]
    assert shown == [("status-16", "input-1, input-2, input-4"), ("status-8", "input-3"), ("status-11", "input-5")]
    assert status_windows(bench("kestrel").figures) == ()
