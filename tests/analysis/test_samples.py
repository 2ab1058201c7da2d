"""Boards at random: the same for the same seed, spread as the parts allow, counted against the limits."""

from __future__ import annotations

import numpy as np
import pytest

from making import template
from rasterport.analysis.corners import Quantity
from rasterport.analysis.draws import CHUNK, Draw, SampleDraw
from rasterport.analysis.figures import Figures
from rasterport.analysis.nodal import Values
from rasterport.analysis.samples import sample
from rasterport.analysis.setup import Setup
from rasterport.checks.bench import Bench, judged
from rasterport.circuit import compose
from rasterport.records import Finding

MADE = template("plover")
BENCH = Bench(MADE, compose(MADE))
BOARDS = 2 * CHUNK + 700


def values_of(quantity: Quantity, boards: int, seed: int) -> np.ndarray:
    """The figure of every board, drawn as the sampling does."""
    chunks = [SampleDraw(seed, n, min(CHUNK, boards - start)) for n, start in enumerate(range(0, boards, CHUNK))]
    return np.concatenate([np.broadcast_to(quantity.value(draw), (draw.boards,)) for draw in chunks])


def test_places_fill_their_range_evenly_and_without_regard_to_each_other() -> None:
    draw = SampleDraw(5, 0, 200_000)
    one, other = draw.place("input-1/red/termination"), draw.place("input-1/green/termination")
    assert one.min() >= -1 and one.max() < 1
    # A uniform place has variance 1/3; its mean over n boards strays by 1 / sqrt(3 n).
    assert abs(one.mean()) < 5 / np.sqrt(3 * 200_000)
    assert one.var() == pytest.approx(1 / 3, rel=0.01)
    assert abs(np.corrcoef(one, other)[0, 1]) < 5 / np.sqrt(200_000)
    counts, _ = np.histogram(one, bins=20, range=(-1, 1))
    assert abs(counts / 10_000 - 1).max() < 0.06


def test_the_numbers_of_a_quantity_hang_on_seed_chunk_and_name_alone() -> None:
    alone = SampleDraw(5, 3, 10).place("rail")
    late = SampleDraw(5, 3, 10)
    late.place("input-1/red/termination")
    np.testing.assert_array_equal(late.place("rail"), alone)
    assert SampleDraw(5, 3, 10).place("rail")[0] == alone[0]
    for other in (SampleDraw(6, 3, 10), SampleDraw(5, 4, 10)):
        assert not np.array_equal(other.place("rail"), alone)


def test_the_first_numbers_are_known() -> None:
    """PCG64 and SeedSequence are fixed by NumPy for ever: a golden of our own, so that seeds keep their boards."""
    np.testing.assert_allclose(SampleDraw(1, 0, 3).place("rail"), RAIL_OF_SEED_1, rtol=1e-12)


RAIL_OF_SEED_1 = [-0.6848577622661836, -0.5938609090272176, 0.6951615096267685]


def test_the_same_seed_gives_the_same_result_and_another_does_not() -> None:
    findings = judged(BENCH)
    first, again = (sample(BENCH.figures, BOARDS, 3, findings) for _ in range(2))
    assert first == again
    assert sample(BENCH.figures, BOARDS, 4, findings) != first


def test_a_figure_is_the_same_alone_and_among_others() -> None:
    all_keys = sample(BENCH.figures, 3000, 2, names=BENCH.figures.named(["level", "bandwidth", "mismatch"], "input-1"))
    alone = sample(BENCH.figures, 3000, 2, names=BENCH.figures.named(["mismatch"], "input-1"))
    assert alone[0] in all_keys


@pytest.mark.parametrize(
    ("key", "subject"), [("level", "red"), ("bandwidth", "green"), ("mismatch", "red, green, blue")]
)
def test_moments_and_percentiles_are_those_of_the_boards(key: str, subject: str) -> None:
    quantity = BENCH.figures.quantities[key, subject, "input-1"]
    values = values_of(quantity, BOARDS, 3)
    (found,) = [
        s for s in sample(BENCH.figures, BOARDS, 3, names=BENCH.figures.named([key], "input-1")) if s.subject == subject
    ]
    assert found.boards == len(values) == BOARDS
    assert found.mean == pytest.approx(values.mean(), rel=1e-12)
    assert found.deviation == pytest.approx(values.std(), rel=1e-9)
    assert (found.low, found.high) == (values.min(), values.max())
    figure = BENCH.figures.get(key, subject)
    bin_width = (figure.high - figure.low) / 1000
    read = (found.one_percent, found.median, found.ninety_nine_percent)
    for value, part in zip(read, (0.01, 0.5, 0.99), strict=True):
        assert value == pytest.approx(np.quantile(values, part), abs=2 * bin_width)


def test_yield_counts_the_boards_that_keep_each_limit() -> None:
    findings = judged(BENCH)
    found = sample(BENCH.figures, BOARDS, 3, findings)
    (mismatch,) = [s for s in found if s.code == "F203"]
    (finding,) = [f for f in findings if f.code == "F203"]
    assert finding.severity == "warning", "plover's split termination"
    values = values_of(BENCH.figures.quantities["mismatch", "red, green, blue", "input-1"], BOARDS, 3)
    assert 0 < mismatch.without_warning < BOARDS
    assert mismatch.without_warning == np.count_nonzero(values <= (finding.warning_limit or 0.0) * (1 + 1e-9))
    assert mismatch.without_error == BOARDS


@pytest.mark.parametrize(("sense", "kept"), [("most", 0.25), ("least", 0.75)])
def test_both_senses_of_a_limit(sense: str, kept: float) -> None:
    """A figure that is even between its bounds: a limit at a quarter of the way passes a quarter, or the rest."""

    def of(draw: Draw) -> Values:
        return draw.place("anything")

    figures = Figures(Setup(MADE, BENCH.circuit))
    figures.quantities.clear()
    figures.quantities["level", "red", "input-1"] = Quantity("level", "red", "input-1", of, ("anything",))
    finding = Finding(
        "F202", "met", "red", "", sense=sense, state="input-1", figure="level", error_limit=-0.5, warning_limit=None
    )
    (found,) = sample(figures, 40_000, 1, [finding])
    assert found.without_error / found.boards == pytest.approx(kept, abs=0.01)
    assert found.without_warning == found.without_error


def test_a_figure_that_leaves_its_corners_is_counted() -> None:
    """The count can fail: corners of half the width leave half of the boards outside."""
    figures = Figures(Setup(MADE, BENCH.circuit))
    figures.quantities.clear()
    shown = Quantity("level", "red", "input-1", lambda d: d.place("a") * 0.5, ("a",))
    figures.quantities["level", "red", "input-1"] = shown
    figures.get("level", "red")
    figures.quantities["level", "red", "input-1"] = Quantity("level", "red", "input-1", lambda d: d.place("a"), ("a",))
    (found,) = sample(figures, 10_000, 1, names=figures.named(["level"], "input-1"))
    assert found.outside / found.boards == pytest.approx(0.5, abs=0.03)


def test_every_chunk_is_told_of() -> None:
    told: list[int] = []
    sample(BENCH.figures, BOARDS, 1, names=BENCH.figures.named(["level"], "input-1"), tell=told.append)
    assert told == [CHUNK, CHUNK, 700]


def test_no_board_is_refused() -> None:
    with pytest.raises(ValueError, match="samples must be 1 or more, found 0"):
        sample(BENCH.figures, 0)
