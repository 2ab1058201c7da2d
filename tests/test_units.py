"""Quantities: what may be written, what it means, and how numbers are written.

Expected values are decimal arithmetic on the text, or come from rkm_codes and QuantiPhy where they are named.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rkm_codes import from_rkm, to_rkm

from rasterport.units import (
    SPELLINGS,
    QuantityError,
    clearly_less,
    close_or_less,
    pattern,
    plain,
    read,
    significant,
    written,
)

PREFIXES = {"p": -12, "n": -9, "u": -6, "\u00b5": -6, "\u03bc": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
UNITS = sorted(SPELLINGS)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("75", "ohm", 75.0),
        ("4k7", "ohm", 4700.0),
        ("4K7", "ohm", 4700.0),
        ("75R", "ohm", 75.0),
        ("47K", "ohm", 47000.0),
        ("0R47", "ohm", 0.47),
        ("4k7 ohm", "ohm", 4700.0),
        ("2.2 kohm", "ohm", 2200.0),
        ("75 Ω", "ohm", 75.0),
        ("75 \u2126", "ohm", 75.0),
        ("10M", "ohm", 10e6),
        ("100n", "F", 100e-9),
        ("2u2", "F", 2.2e-06),
        ("2.2 uF", "F", 2.2e-06),
        ("2.2 \u00b5F", "F", 2.2e-06),
        ("2.2 \u03bcF", "F", 2.2e-06),
        ("5 pF", "F", 5e-12),
        ("0.7 V", "V", 0.7),
        ("0.7", "V", 0.7),
        ("200 mV", "V", 0.2),
        ("40 uA", "A", 40e-6),
        ("0.3 m", "m", 0.3),
        ("60 mm", "m", 0.06),
        ("60mm", "m", 0.06),
        ("4 us", "s", 4e-6),
        ("15.625 kHz", "Hz", 15625.0),
        ("0.25 W", "W", 0.25),
        ("5 %", "%", 0.05),
        ("5%", "%", 0.05),
        ("0", "F", 0.0),
        (75, "ohm", 75.0),
        (0.7, "V", 0.7),
        (0, "A", 0.0),
    ],
)
def test_accepted_spellings_are_exact(text: object, unit: str, value: float) -> None:
    assert read(text, unit) == value


@pytest.mark.parametrize(
    ("given_", "unit", "says"),
    [
        ("1,5 V", "V", 'write "1.5 V"'),
        ("2,2k", "ohm", 'write "2.2k"'),
        ("1e-7", "F", 'write "100 nF"'),
        ("1e-7 F", "F", 'write "100 nF"'),
        ("1 V 2 V", "V", "one number"),
        ("0.5 to 1 V", "V", "one number"),
        ("4k7 kohm", "ohm", "one number"),
        ("1 000", "ohm", "one number"),
        ("5 V", "ohm", "in ohm"),
        ("75 ohm", "V", "in V"),
        ("5 m", "V", "in V"),
        ("5 v", "V", "in V"),
        ("5", "F", "its unit"),
        ("5", "%", "its unit"),
        ("60", "m", "its unit"),
        (60, "m", "its unit"),
        (1e-7, "F", "its unit"),
        (0.05, "%", "its unit"),
        ("4k7", "m", "in m"),
        ("nan", "V", "finite"),
        ("inf", "V", "finite"),
        (math.nan, "V", "finite"),
        (math.inf, "ohm", "finite"),
        ("-5 V", "V", "not be negative"),
        (-5, "V", "not be negative"),
        (".5 V", "V", "before and after the point"),
        ("5. V", "V", "before and after the point"),
        (" 5 V", "V", "no space"),
        ("5 V\n", "V", "no space"),
        ("5  V", "V", "no space"),
        ("\u0663 V", "V", "in V"),
        ("1_000", "ohm", "in ohm"),
        ("0x10", "ohm", "in ohm"),
        ("", "V", "quantity"),
        (True, "V", "quantity"),
        (None, "V", "quantity"),
        ([5], "V", "quantity"),
        ("9" * 41, "ohm", "40 characters"),
        (10**40, "ohm", "40 digits"),
        (10**400, "ohm", "40 digits"),
        (10**400, "F", "40 digits"),
        (-(10**400), "V", "40 digits"),
        (16**5000, "V", "40 digits"),
    ],
    ids=lambda v: f"{v:#x}"[:20] if isinstance(v, int) else None,
)
def test_refusals_say_what_to_write(given_: object, unit: str, says: str) -> None:
    with pytest.raises(QuantityError) as fault:
        read(given_, unit)
    assert says in fault.value.allowed


@given(
    st.decimals(min_value=0, max_value=99999, places=4),
    st.sampled_from(sorted(PREFIXES)),
    st.sampled_from([u for u in UNITS if u != "%"]),
    st.sampled_from(["", " "]),
)
def test_number_prefix_and_unit_read_as_decimal_arithmetic_says(
    number: Decimal, prefix: str, unit: str, space: str
) -> None:
    for spelling in SPELLINGS[unit]:
        text = f"{number:f}{space}{prefix}{spelling}"
        assert read(text, unit) == float(number.scaleb(PREFIXES[prefix]))


@given(st.floats(min_value=0, max_value=1e12, allow_nan=False))
def test_any_float_written_out_reads_back(value: float) -> None:
    digits = format(Decimal(repr(value)), "f")
    if len(digits) <= 36:
        assert read(f"{digits} V", "V") == value
        assert read(f"{digits} ohm", "ohm") == value
    assert read(value, "V") == value


@given(st.floats(min_value=1e-11, max_value=1e8), st.sampled_from(["ohm", "F", "V", "A", "s", "m", "%"]))
def test_what_is_written_reads_back_to_four_digits(value: float, unit: str) -> None:
    back = read(plain(written(value, unit)), unit)
    assert back == pytest.approx(value, rel=5.1e-4)
    assert read(written(value, unit), unit) == back


@given(st.text(alphabet="0123456789.,kKmunpMRVFohm %", min_size=1, max_size=12), st.sampled_from(UNITS))
def test_no_text_with_a_comma_is_ever_read(text: str, unit: str) -> None:
    for broken in {text + ",", "," + text, text.replace(".", ","), f"1,5{text}"}:
        if "," in broken:
            with pytest.raises(QuantityError):
                read(broken, unit)


def outcome(given_: object, unit: str) -> tuple[float | None, str]:
    """The value that is read, or None and what is allowed instead."""
    try:
        return read(given_, unit), ""
    except QuantityError as fault:
        return None, fault.allowed


@given(
    st.one_of(st.text(max_size=45), st.text(alphabet="0123456789.,kKunpMRVF\u00b5ohm %\n", max_size=12)),
    st.sampled_from(UNITS),
)
def test_any_text_is_read_or_refused_in_words_and_the_pattern_agrees(text: str, unit: str) -> None:
    value, allowed = outcome(text, unit)
    fits = len(text) <= 40 and re.search(pattern(unit), text) is not None and not text.endswith("\n")
    assert (value is not None) == fits
    assert allowed.startswith("must") == (not fits)
    assert value is None or value >= 0


@pytest.mark.parametrize("unit", UNITS)
@given(data=st.data())
def test_every_text_of_the_pattern_is_read(unit: str, data: st.DataObject) -> None:
    text = data.draw(st.from_regex(pattern(unit)[1:-1], fullmatch=True).filter(lambda t: len(t) <= 40))
    assert read(text, unit) >= 0


@given(st.integers(), st.integers(0, 5000), st.sampled_from(UNITS))
def test_any_integer_is_read_or_refused_in_words(mantissa: int, power: int, unit: str) -> None:
    number = mantissa * 10**power
    value, allowed = outcome(number, unit)
    fits = number == 0 or (unit in ("ohm", "V") and 0 < number < 10**40)
    assert value == (float(number) if fits else None)
    assert allowed.startswith("must") == (not fits)


@given(st.integers(min_value=1, max_value=999), st.sampled_from([10**3, 10**4, 10**5, 10**6, 10**7]))
def test_codes_made_by_rkm_codes_read_back(mantissa: int, scale: int) -> None:
    code = to_rkm(mantissa * scale, prec=3)
    assert read(code, "ohm") == float(from_rkm(code)) == mantissa * scale


@given(st.integers(0, 9999), st.sampled_from("pnukMG"), st.integers(0, 999))
def test_rkm_codes_are_decimal_arithmetic(whole: int, prefix: str, part: int) -> None:
    code = f"{whole}{prefix}{part}"
    assert read(code, "F") == float(Decimal(f"{whole}.{part}").scaleb(PREFIXES[prefix]))


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (75, "ohm", "75 Ω"),
        (4700, "ohm", "4.7 kΩ"),
        (0.47, "ohm", "0.47 Ω"),
        (999.96, "ohm", "1 kΩ"),
        (1e-7, "F", "100 nF"),
        (1e-3, "F", "1000 \u00b5F"),
        (1.75, "V", "1.75 V"),
        (0.7, "V", "0.7 V"),
        (0.011, "V", "11 mV"),
        (2e-4, "A", "0.2 mA"),
        (0.3, "A", "300 mA"),
        (-3.5, "dB", "-3.5 dB"),
        (0.05, "%", "5 %"),
        (0.06, "m", "60 mm"),
        (3.5e-7, "s", "0.35 \u00b5s"),
        (15625, "Hz", "15.62 kHz"),
        (0.0, "V", "0 V"),
        (-0.0, "V", "0 V"),
        (1234567, "", "1235000"),
        (12.34567, "", "12.35"),
    ],
)
def test_written_as_the_trade_writes(value: float, unit: str, text: str) -> None:
    assert written(value, unit) == text


@given(st.floats(min_value=-1e9, max_value=1e9).filter(lambda x: abs(x) > 1e-30), st.sampled_from([-1, 1]))
def test_last_bits_never_reach_a_file(value: float, direction: int) -> None:
    rounded = significant(value)
    assert significant(rounded) == rounded
    assert rounded == pytest.approx(value, rel=5.1e-4)
    assert len(f"{rounded:.15g}".replace("-", "").replace(".", "").lstrip("0").split("e")[0].rstrip("0")) <= 4
    near = math.nextafter(value, direction * math.inf)
    assert significant(near) == pytest.approx(rounded, rel=1.1e-3)


def test_rounds_to_nine_digits_before_four() -> None:
    below = 2.18749999999  # rounded straight to four digits it would end in 7; 2.1875 is a tie that goes to even
    assert f"{below:.3e}" == "2.187e+00"
    assert significant(below) == significant(2.1875) == 2.188


def test_numbers_that_no_result_may_hold() -> None:
    for value in (math.nan, math.inf):
        with pytest.raises(ValueError, match="finite"):
            significant(value)


def test_plain_text_for_a_terminal() -> None:
    assert plain("75 Ω ≥ 2.2 µF ± 5 × 3 – 70 °C ≤ 1 μs") == "75 ohm >= 2.2 uF +/- 5 x 3 - 70 degC <= 1 us"
    assert plain("Zeilenrücklauf") == "Zeilenrücklauf"


def test_first_candidate_wins_within_the_margin() -> None:
    assert close_or_less(1.0, 1.0 - 1e-10)
    assert not close_or_less(1.0, 1.0 - 1e-8)
    assert not clearly_less(1.0 - 1e-10, 1.0)
    assert clearly_less(1.0 - 1e-8, 1.0)
    assert not clearly_less(-1.0, -1.0 - 1e-10)
    assert clearly_less(-1.0 - 1e-8, -1.0)
