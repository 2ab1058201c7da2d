"""Laws of the sizing functions, held at random inputs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from rasterport import parts
from rasterport.design import audio, blanking, coil, coupling, sense, supply, sync, termination, trimming
from rasterport.design.preferred import at_least, at_most, best
from rasterport.design.termination import parallel
from rasterport.parts.trimmers import TRACKS_OHM
from rasterport.records import Construction
from rasterport.standards.iec60063 import SERIES, Series, nearest
from rasterport.standards.limits import LIMITS

TOLERANCE = 0.0145
UNIT = st.floats(-1.0, 1.0)


def preferred(value: float, *allowed: Series) -> bool:
    """Whether a value stands in one of the series, read off the table of its decade."""
    digits = [round(value / 10 ** (math.floor(math.log10(value)) - k), 6) for k in (1, 2)]
    return any(round(d) in SERIES[s] and abs(d - round(d)) < 1e-5 for s in allowed for d in digits)


def between(low: float, high: float, at: float) -> float:
    """`at` from -1 to 1 on the way from low to high."""
    return low + (high - low) * (at + 1) / 2


class TestTermination:
    @given(st.floats(80.0, 1e8))
    @example(80.0)
    @example(519.0)
    def test_total_load_is_75_ohm_within_half_a_step_of_e96(self, load: float) -> None:
        """The widest step of E96 is 133 to 137, 3.0 %: half of it, and no less can be promised for every load."""
        sized = termination.termination(load)
        assert parallel(sized.value, load) == pytest.approx(75.0, rel=(137 / 133) ** 0.5 - 1)
        assert preferred(sized.value, "E24", "E96")

    @given(st.floats(1.0, 75.0))
    def test_a_load_of_75_ohm_or_less_leaves_no_place(self, load: float) -> None:
        with pytest.raises(ValueError, match="must be above 75 ohm"):
            termination.termination(load)

    @given(st.floats(0.1, 0.69), st.floats(1e3, 1e8))
    def test_split_keeps_load_and_level(self, white: float, load: float) -> None:
        upper, lower = termination.split(white, 0.7, load)
        foot = parallel(lower.value, load)
        assert upper.value + foot == pytest.approx(75.0, rel=0.02)
        assert 1.4 * foot / (75.0 + upper.value + foot) == pytest.approx(white, rel=0.02)
        assert preferred(upper.value, "E24", "E96")
        assert preferred(lower.value, "E24", "E96")

    @given(st.floats(0.1, 0.69), st.floats(0.0, 0.05), st.tuples(*[UNIT] * 4))
    def test_two_colours_are_no_further_apart_than_promised(
        self, white: float, spread: float, at: Sequence[float]
    ) -> None:
        """Any two boards of resistors within their spread; 0.1 of a percent for what is left of second order."""
        upper, lower = termination.split(white, 0.7, 1e8)
        found = [
            low * (1 + spread * a) / (75.0 + up * (1 + spread * b) + low * (1 + spread * a))
            for up, low, a, b in [(upper.value, lower.value, at[0], at[1]), (upper.value, lower.value, at[2], at[3])]
        ]
        bound = termination.split_mismatch_pct(white, 0.7, spread)
        assert 100 * (max(found) / min(found) - 1) <= bound * (1 + spread) + 0.1

    @given(st.floats(0.1, 0.69), st.floats(0.01, 1.0))
    def test_a_load_that_is_lower_than_the_tap_leaves_no_place(self, white: float, share: float) -> None:
        with pytest.raises(ValueError, match="the load must be above"):
            termination.split(white, 0.7, 75.0 * white / 0.7 * share)

    @given(st.floats(0.1, 2.0))
    def test_what_resistors_cannot_deliver_is_what_is_lost(self, white: float) -> None:
        lost = termination.loss_db(white, 0.7)
        assert lost == pytest.approx(max(0.0, 20 * math.log10(white / 0.7)))

    @given(st.floats(0.7, 2.0))
    def test_split_cannot_raise_the_level(self, white: float) -> None:
        with pytest.raises(ValueError, match="white must lie between"):
            termination.split(white, 0.7, 1e5)


class TestTrimming:
    @given(st.floats(0.1, 2.0), st.floats(1e3, 1e8))
    def test_the_stops_lie_on_both_sides_and_load_as_little_as_they_may(self, white: float, load: float) -> None:
        """0.2 to 0.3 dB either way, within what preferred values allow; 26 dB of return loss is 67.9 to 82.9 ohm."""
        sized = trimming.trimmed(white, 0.7, load, TRACKS_OHM)
        upper, wanted = sized.upper.value if sized.upper else 0.0, min(white, 0.7)
        levels = []
        for track in (0.0, sized.trimmer.value):
            foot = parallel(sized.lower.value, sized.under.value + track, load)
            levels.append(20 * math.log10(1.4 * foot / (75.0 + upper + foot) / wanted))
            assert 67.9 < upper + foot < 82.9
        low, high = levels
        assert -0.36 < low < -0.14
        assert 0.14 < high < 0.36
        assert sized.trimmer.value in TRACKS_OHM
        assert all(preferred(r.value, "E96") for r in (sized.lower, sized.under))
        assert upper == 0.0 or preferred(upper, "E96")

    @given(st.floats(0.1, 0.7), st.floats(1.0, 70.0))
    def test_a_load_that_leaves_no_place_is_told(self, white: float, load: float) -> None:
        assume(load < 75.0 * white / 0.7 * 0.9)
        with pytest.raises(ValueError, match="no trimmer sets"):
            trimming.trimmed(white, 0.7, load, TRACKS_OHM)


def windows() -> st.SearchStrategy[blanking.Window]:
    """Pins of the known families: on above 0.5 to 1.9 V, maximum 2.5 to 6 V, off below 0.3 to 0.9 V."""
    return st.builds(
        lambda off, on, top, amps, fitted: blanking.Window(on + 0.1, top - 0.1, top, off - 0.1, amps, fitted),
        st.floats(0.3, 0.9), st.floats(0.5, 1.9), st.floats(2.5, 6.0), st.floats(0.0, 1e-3),
        st.one_of(st.none(), st.floats(300.0, 1e5)),
    )  # fmt: skip


class TestBlanking:
    @settings(deadline=None)
    @given(windows(), st.floats(4.5, 12.6), st.floats(0.0, 0.1), st.tuples(UNIT, UNIT, UNIT, UNIT, UNIT))
    def test_stays_in_its_window(
        self, window: blanking.Window, volts: float, spread: float, at: Sequence[float]
    ) -> None:
        drive = blanking.Drive(volts * (1 - spread), volts, volts * (1 + spread))
        try:
            sized = blanking.divider(window, drive, TOLERANCE)
        except ValueError:
            assume(False)
        feed = between(drive.low_v, drive.high_v, at[0])
        upper = sized.upper.value * (1 + TOLERANCE * at[1])
        lower = sized.lower.value * (1 + TOLERANCE * at[2])
        fitted = window.fitted_ohm * (1 + 0.05 * at[3]) if window.fitted_ohm else math.inf
        amps = window.pin_a * at[4]

        def pin(foot: float) -> float:
            return (feed / upper + amps) / (1 / upper + 1 / foot + 1 / fitted)

        foot = lower / 2 if sized.doubled else lower
        assert window.on_least_v <= pin(foot) <= window.on_most_v
        assert pin(lower if sized.doubled else math.inf) <= window.maximum_v
        assert window.pin_a * parallel(foot, fitted) <= window.off_most_v
        assert preferred(sized.upper.value, "E24")
        assert preferred(sized.lower.value, "E24")

    @given(windows(), st.floats(4.5, 12.6), st.floats(0.0, 0.1), st.floats(100, 5e4), st.floats(50, 2e3), st.data())
    def test_extremes_hold_random_samples(
        self, window: blanking.Window, volts: float, spread: float, upper: float, lower: float, data: st.DataObject
    ) -> None:
        drive = blanking.Drive(volts * (1 - spread), volts, volts * (1 + spread))
        low, high = blanking.extremes(drive, upper, lower, window, TOLERANCE)
        at = data.draw(st.tuples(UNIT, UNIT, UNIT, UNIT, UNIT))
        foot = lower * (1 + TOLERANCE * at[2])
        if window.fitted_ohm:
            foot = parallel(foot, window.fitted_ohm * (1 + 0.05 * at[3]))
        feed = between(drive.low_v, drive.high_v, at[0])
        pin = blanking.level(feed, upper * (1 + TOLERANCE * at[1]), foot, window.pin_a * at[4])
        assert low - 1e-9 <= pin <= high + 1e-9

    def test_the_contact_in_between_counts(self) -> None:
        """1 mA through 0.1 ohm is 0.1 mV either way, beside 1 mA into 500 ohm."""
        window, drive = blanking.Window(1.0, 2.9, 3.0, 0.3, 1e-3), blanking.Drive(5.0, 5.0, 5.0)
        low, high = blanking.extremes(drive, 1000.0, 1000.0, window, 0.0)
        assert (low, high) == (pytest.approx(2.0 - 1e-4), pytest.approx(3.0 + 1e-4))

    def test_a_margin_that_leaves_no_room_is_named(self) -> None:
        with pytest.raises(ValueError, match="blanking_margin is wider"):
            blanking.divider(blanking.Window(1.0, 2.9, 3.0, -0.05, 0.0), blanking.Drive(5, 5, 5), TOLERANCE)


NPN = sense.Transistor(0.58, 0.70, 110, 800)
OHMS = st.floats(1e3, 1e5)


class TestSense:
    @given(OHMS, OHMS, st.floats(1e-4, 5e-3))
    def test_off_lies_below_on(self, series: float, base: float, amps: float) -> None:
        t = sense.thresholds(series, base, amps, NPN, TOLERANCE)
        assert 0 < t.off_v < t.on_v

    @given(OHMS, OHMS, st.floats(1e-4, 5e-3), st.floats(1.01, 3.0))
    def test_thresholds_are_monotone(self, series: float, base: float, amps: float, factor: float) -> None:
        t = sense.thresholds(series, base, amps, NPN, TOLERANCE)
        steeper = sense.thresholds(series * factor, base, amps, NPN, TOLERANCE)
        lighter = sense.thresholds(series, base * factor, amps, NPN, TOLERANCE)
        harder = sense.thresholds(series, base, amps * factor, NPN, TOLERANCE)
        wider = sense.thresholds(series, base, amps, NPN, TOLERANCE * factor)
        assert steeper.off_v > t.off_v and steeper.on_v > t.on_v
        assert lighter.off_v < t.off_v and lighter.on_v < t.on_v
        assert harder.off_v == t.off_v and harder.on_v > t.on_v
        assert wider.off_v < t.off_v and wider.on_v > t.on_v

    @given(st.floats(0.58, 0.70), st.floats(110, 800), st.floats(273.15, 343.15), UNIT, UNIT)
    def test_no_transistor_of_the_family_beats_the_bounds(
        self, reference: float, beta: float, kelvin: float, s: float, b: float
    ) -> None:
        """One transistor at one temperature: off below the bound of off, on above the bound of on."""
        series, base, amps = 43e3, 10e3, 0.5e-3
        t = sense.thresholds(series, base, amps, NPN, TOLERANCE)
        rs, rb = series * (1 + TOLERANCE * s), base * (1 + TOLERANCE * b)

        def contact(collector: float) -> float:
            junction = sense.vbe(reference, collector, kelvin)
            return junction * (1 + rs / rb) + collector / beta * rs

        assert contact(sense.OFF_A) >= t.off_v - 1e-9
        assert contact(amps) <= t.on_v + 1e-9

    def test_a_window_that_is_too_narrow_is_named(self) -> None:
        with pytest.raises(ValueError, match=r"no divider is off up to 2 V and on from 2\.1 V"):
            sense.divider(2.0, 2.1, 1e-3, NPN, TOLERANCE, (1e4, 2e4), (1e4,))


class TestAudio:
    @settings(deadline=None)
    @given(
        st.floats(0.1, 10.0), st.floats(0.1, 10.0), st.floats(2e3, 1e6), st.integers(1, 2), st.integers(1, 2),
        st.tuples(UNIT, UNIT, UNIT, UNIT),
    )  # fmt: skip
    def test_never_louder_than_the_landing_takes(
        self, source: float, landing: float, ohm: float, ways: int, branches: int, at: Sequence[float]
    ) -> None:
        try:
            sized = audio.line(source, landing, ohm, 100e3, ways, branches)
        except ValueError:
            assume(False)
        series = [sized.series.value * (1 + TOLERANCE * a) for a in at[:ways]]
        shunt = sized.shunt.value * (1 + TOLERANCE * at[2]) if sized.shunt else math.inf
        foot = parallel(shunt, ohm * (1 + 0.2 * at[3]), 100e3 * (1 + TOLERANCE * at[1]))
        reached = source * sum(1 / s for s in series) / (sum(1 / s for s in series) + 1 / foot)
        assert reached <= landing * (1 + 1e-9)
        # What the source sees with the other channel at zero, never below the 5 kohm that are an error.
        other = series[1:]
        assert (series[0] + parallel(foot, *other)) / branches >= 5e3 or sized.shunt is None
        assert (2**0.5 * source - 0.5) * ways / sized.series.value <= 4.001e-3

    def test_a_loud_source_needs_more_in_series_than_its_load_asks(self) -> None:
        """10 V r.m.s. are 14.1 V at the peak: 13.6 V over 4 mA are 3.4 kohm, though 5 kohm of load would take less."""
        sized = audio.line(10.0, 9.9, 4.2e3, 100e3)
        assert sized.series.value >= 13.64 / 4e-3

    @settings(deadline=None)
    @given(
        st.floats(0.1, 10.0), st.floats(0.1, 10.0), st.floats(5e3, 1e5), st.floats(3.5, 15.0), st.integers(1, 2),
        st.integers(1, 2), st.tuples(UNIT, UNIT, UNIT, UNIT),
    )  # fmt: skip
    def test_sound_stays_inside_the_supply_of_a_switch(
        self, source: float, landing: float, ohm: float, supply_v: float, ways: int, branches: int, at: Sequence[float]
    ) -> None:
        """About the middle of the supply, 0.3 V off its rails, at every corner of resistors and landing."""
        room = (supply_v / 2 - 0.3) / 2**0.5
        lost = 20 * math.log10(min(source, landing) / min(source, landing, room))
        if lost > (LIMITS["audio_loss_db"].error or 0.0):
            with pytest.raises(ValueError, match=r"does not pass a switch.* dB are lost; choose path relay"):
                audio.through_switch(source, landing, ohm, 100e3, supply_v, ways, branches)
            return
        try:
            sized = audio.through_switch(source, landing, ohm, 100e3, supply_v, ways, branches)
        except ValueError:
            assume(False)
        series = [sized.series.value * (1 + TOLERANCE * a) for a in at[:ways]]
        shunt = sized.shunt.value * (1 + TOLERANCE * at[2]) if sized.shunt else math.inf
        foot = parallel(shunt, ohm * (1 + 0.2 * at[3]), 100e3 * (1 + TOLERANCE * at[1]))
        reached = source * sum(1 / s for s in series) / (sum(1 / s for s in series) + 1 / foot)
        assert reached <= min(room, landing) * (1 + 1e-9)

    @given(st.floats(1.0, 1e3), st.floats(100.0, 1e6), st.floats(0.0, 0.4))
    def test_corner_stays_below_what_was_asked(self, hertz: float, ohm: float, spread: float) -> None:
        sized = coupling.into_load(hertz, ohm, spread)
        assert 1 / (2 * math.pi * ohm * sized.value * (1 - spread)) <= hertz * (1 + 1e-6)
        assert preferred(sized.value * 1e12, "E6")


class TestCoupling:
    @given(st.floats(1e-9, 1e-6), st.floats(0.5, 1.5), st.floats(0.0, 0.3))
    def test_capacitor_lies_between_floor_and_ceiling(self, high: float, room: float, spread: float) -> None:
        # The largest value of the decade table under the ceiling and 100 nF, looked up by counting.
        most = min(high / (1 + spread), coupling.USUAL_F) * (1 + 1e-9)
        largest = max(v for k in range(-11, -6) for d in SERIES["E6"] if (v := d * 10.0 ** (k - 1)) <= most)
        assume(abs(room - 1) > 1e-6)
        low = largest * (1 - spread) / room
        if room < 1:
            with pytest.raises(ValueError, match="no coupling capacitor serves"):
                coupling.into_clamp(low, high, spread)
            return
        sized = coupling.into_clamp(low, high, spread)
        assert sized.value == pytest.approx(largest)
        assert low <= sized.value * (1 - spread) * (1 + 1e-9)
        assert sized.value * (1 + spread) <= high * (1 + 1e-6)
        assert sized.value <= coupling.USUAL_F * (1 + 1e-9)
        assert preferred(sized.value * 1e12, "E6")

    def test_a_second_capacitor_on_the_way_lowers_the_ceiling(self) -> None:
        """40 uA for 4 us a line of 64 us against 0.57 V in 33 ms: 145 nF; half behind as much again on the board."""
        alone = coupling.ceiling(40e-6, 4e-6, 64e-6)
        assert alone == pytest.approx(40e-6 * 4e-6 / (0.57 / 33e-3 * 64e-6))
        assert alone == pytest.approx(145e-9, rel=0.01)
        assert coupling.ceiling(40e-6, 4e-6, 64e-6, 33e-3) == pytest.approx(alone / 2)
        assert alone / 1.2 < coupling.ceiling(40e-6, 4e-6, 64e-6, 235e-3) < alone


def some_coil_serves(feed: coil.Feed, construction: Construction) -> bool:
    """Whether a coil with a dropper of E24, or none, pulls in hot and stays below its greatest voltage: every try."""
    driver = parts.transistor("nfet", construction).ratings["rds_on_ohm"] * coil.HOT_DRIVER
    least = (LIMITS["relay_margin_pct"].error or 0.0) / 100
    droppers = [0.0, *(float(d * 10**k) for d in SERIES["E24"] for k in range(3)), 1000.0]
    for rated, dropper in itertools.product(parts.RELAY_COILS, droppers):
        r = parts.relay(rated, construction).ratings
        warm = 1 + 0.0039 * (r["coil_rise_k"] + coil.CABINET_C - 20)
        ends = [r["coil_ohm"] * (1 + sign * r["coil_tolerance_pct"] / 100) for sign in (-1, 1)]
        pulls = all(
            feed.low_v / (ohm * warm + dropper * 1.0213 + driver) >= r["operate_v"] / ohm * (1 + least) for ohm in ends
        )
        if pulls and feed.high_v * ends[1] / (ends[1] + dropper * (1 - 0.0213)) <= r["coil_max_v"]:
            return True
    return False


class TestSupply:
    @given(st.floats(4.6, 15.0), st.floats(0.0, 0.05), st.sampled_from(["smd", "through-hole"]), st.tuples(UNIT, UNIT))
    def test_a_coil_pulls_in_hot_and_stays_cool(
        self, rail: float, spread: float, kind: str, at: Sequence[float]
    ) -> None:
        feed = coil.Feed("RAIL", rail * (1 - spread), rail * (1 + spread))
        construction: Construction = "smd" if kind == "smd" else "through-hole"
        if not some_coil_serves(feed, construction):
            with pytest.raises(ValueError, match="no relay coil pulls in"):
                coil.choose_coil([feed], construction)
            return
        chosen = coil.choose_coil([feed], construction)
        r = parts.relay(chosen.rated_v, construction).ratings
        dropper = chosen.dropper.value * (1 + 0.0213 * at[0]) if chosen.dropper else 0.0
        cold = r["coil_ohm"] * (1 + 0.1 * at[1])
        driver = parts.transistor("nfet", construction).ratings["rds_on_ohm"] * 1.5
        hot_a = feed.low_v / (cold * (1 + 0.0039 * 68) + dropper + driver)
        assert hot_a >= r["operate_v"] / cold * (1 - 1e-9)
        assert feed.high_v * cold / (cold + dropper) <= r["coil_max_v"] * (1 + 1e-9)
        assert feed.high_v / (cold + dropper) <= chosen.current_a

    def test_a_cold_coil_draws_most(self) -> None:
        """178 ohm, 10 % low, at 0 C: 178 x 0.9 x (1 - 0.0039 x 20) = 147.7 ohm; 5.25 V are 35.5 mA."""
        assert coil.current_most(5.25, 178.0, 0.1, 0.0) == pytest.approx(5.25 / 147.7, rel=1e-3)

    def test_a_feed_that_cannot_spare_the_current_is_passed_over(self) -> None:
        raw, weak = coil.Feed("RAIL", 11.4, 12.6), coil.Feed("RAIL_5V", 4.75, 5.25, most_a=0.01)
        assert coil.choose_coil([raw, weak], "smd").net == "RAIL"

    @given(st.floats(3.0, 15.0), st.floats(1e-4, 1.0))
    def test_fusible_costs_at_most_2_percent_where_one_does(self, rail: float, amps: float) -> None:
        sized = supply.fusible(rail, amps, parts.FUSIBLE_OHM)
        assert sized.value in parts.FUSIBLE_OHM
        assert sized.value * amps <= 0.02 * rail * (1 + 1e-9) or sized.value == min(parts.FUSIBLE_OHM)


class TestSync:
    @given(st.floats(4.5, 5.5), st.floats(60.0, 80.0), st.floats(20.0, 200.0))
    def test_drive_lands_near_the_wanted_level(self, volts: float, load: float, source: float) -> None:
        sized = sync.drive_resistor(volts, load, source)
        assert volts * load / (load + source + sized.value) == pytest.approx(0.3, rel=0.06)

    @settings(deadline=None)
    @given(st.floats(1.0, 5.0), st.floats(1.0, 1.8), st.floats(500.0, 1e6))
    def test_passive_pad_stays_in_its_window(self, least: float, ratio: float, load: float) -> None:
        window = sync.Window(0.21, 0.95)
        pad = sync.passive_pad(least, least * ratio, load, window)
        assume(pad is not None)
        upper, lower = (p.value for p in pad or ())
        foot = parallel(lower, load)
        assert least * foot / (upper + foot) >= 0.21 * (1 - 1e-9)
        assert least * ratio * foot / (upper + foot) <= 0.95 * (1 + 1e-9)
        assert least / (upper + foot) <= sync.TTL_SOURCE_A * (1 + 1e-9)


class TestPreferred:
    @given(st.floats(1e-12, 1e9), st.sampled_from(["E6", "E12", "E24", "E96"]))
    def test_floor_nearest_and_ceiling(self, value: float, series: Series) -> None:
        below, above, close = at_most(value, series), at_least(value, series), nearest(series, value)
        assert below <= value * (1 + 1e-8)
        assert above >= value * (1 - 1e-8)
        assert close in (below, above)
        assert above / below < 1.55

    @given(st.lists(st.floats(0.0, 1e6), min_size=1, max_size=20))
    def test_the_first_of_equals_wins(self, costs: list[float]) -> None:
        chosen = best(range(len(costs)), lambda k: costs[k])
        assert chosen is not None
        assert costs[chosen] <= min(costs) * (1 + 1e-8) + 1e-290
        assert all(costs[k] > costs[chosen] * (1 - 1e-12) for k in range(chosen))

    def test_nothing_comes_of_nothing(self) -> None:
        assert best([], lambda _: 0.0) is None

    def test_a_difference_in_the_last_bits_changes_nothing(self) -> None:
        assert best([0, 1], lambda k: (1.0, 1.0 - 1e-12)[k]) == 0
