"""Models: defaults, units, bounds, and what one key demands of another."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from pydantic import ValidationError

from rasterport.errors import VariantError
from rasterport.units import SPELLINGS
from rasterport.variant.keys import keys, spelled
from rasterport.variant.load import load
from rasterport.variant.models import Variant
from variant.minimal import changed, minimal


def read(text: str) -> Variant:
    return Variant.model_validate(tomllib.loads(text))


def fault(text: str) -> str:
    with pytest.raises(ValidationError) as raised:
        read(text)
    return " / ".join(error["msg"] for error in raised.value.errors())


def test_defaults_of_the_minimal_file() -> None:
    variant = read(minimal())
    rgb, blanking, sync = variant.set.rgb, variant.set.blanking, variant.set.sync
    assert (rgb.white_level, rgb.clipping_level, rgb.resistance) == (0.7, 1.0, 1e6)
    assert (rgb.capacitance, rgb.leakage, rgb.clamp_current) == (5e-12, 0.1e-6, 40e-6)
    assert (rgb.clamp_time, rgb.luminance_delay, rgb.lead_length) == (4e-6, 0.35e-6, 0.3)
    assert (rgb.coupling_fitted, rgb.termination_fitted, rgb.lead_kind) == (None, False, "hook-up")
    assert (blanking.off_below, blanking.on_above, blanking.maximum) == (0.4, 0.9, 3.0)
    assert (blanking.pin_current, blanking.native_resistance, blanking.fitted_resistor) == (0.2e-3, None, None)
    assert (sync.accepts, sync.termination, sync.coupling) == ("video", "none", "ac")
    assert (sync.resistance, sync.bias, sync.maximum) == (10e3, 0.0, 2.0)
    assert variant.set.audio is None
    assert (variant.set.scan, variant.set.supply.tolerance, variant.set.supply.kind) == ("single", 0.05, "run")
    assert variant.set.supply.spare_current == 0.1
    source = variant.input[0]
    assert (source.mounting, source.sync, source.status_contact) == ("board", "composite-video", None)
    assert (source.ttl_high_least, source.ttl_high_most, source.audio_maximum) == (2.4, 5.25, 2.0)
    assert (variant.selector.gate, variant.selector.gate_low, variant.selector.gate_high) == ("none", 0.4, 2.4)
    assert variant.board == read(minimal() + "[board]\n").board
    assert (variant.board.blanking_margin, variant.board.width, variant.board.clamps) == (0.1, None, False)


TABLES = '[set.audio]\narrangement = "changeover"\n\n[set.display]\nhigh = "5 V"\n'
"""Tables that may be left out, with what they must have."""


def test_every_written_default_means_the_default() -> None:
    plain = read(minimal() + TABLES)
    tried = 0
    for key in keys():
        if key.default:
            tried += 1
            text = minimal() + TABLES
            assert read(changed(".".join(key.table), key.name, key.default, text)) == plain, key.path
    assert tried > 40


@pytest.mark.parametrize("key", [k for k in keys() if k.quantity], ids=lambda k: ".".join(k.path))
def test_bounds_are_allowed_and_beyond_is_not(key) -> None:  # noqa: ANN001
    """Both ends are read; a hundredth beyond is refused in words that name the range."""
    quantity, table = key.quantity, ".".join(key.table)
    text = minimal() + TABLES
    factor, unit = (100, " %") if quantity.unit == "%" else (1, f" {quantity.unit}")

    def given(value: float) -> str:
        from decimal import Decimal

        return f'"{Decimal(repr(round(value * factor, 15))):f}{unit}"'

    for value in (quantity.least, quantity.greatest):
        message = ""
        try:
            read(changed(table, key.name, given(value), text))
        except ValidationError as error:  # another key of the table may contradict; the range may not
            message = str(error)
        assert "must be above" in message or not message, message
    assert quantity.bounds() in fault(changed(table, key.name, given(quantity.greatest * 1.01), text))
    if quantity.least:
        assert quantity.bounds() in fault(changed(table, key.name, given(quantity.least * 0.99), text))


def test_every_key_is_described_and_surveyed() -> None:
    for key in keys():
        assert key.description, key.path
        assert key.survey is not None, key.path
        assert key.survey.how, key.path
        assert key.quantity is None or key.quantity.unit in SPELLINGS


@pytest.mark.parametrize(
    ("table", "key", "value", "says"),
    [
        ("set.blanking", "on_above", '"0.3 V"', "above off_below, which is 0.4 V"),
        ("set.blanking", "on_above", '"0.4 V"', "above off_below, which is 0.4 V"),
        ("set.blanking", "off_below", '"1 V"', "above off_below, which is 1 V"),
        ("set.blanking", "maximum", '"0.8 V"', "above on_above, which is 0.9 V"),
        ("input", "ttl_high_most", '"2 V"', "above ttl_high_least"),
        ("selector", "gate_high", '"0.5 V"', ""),
        ("selector", "gate_low", '"3 V"', "above gate_low, which is 3 V"),
        ("selector", "gate_maximum", '"2 V"', "above gate_high"),
        ("set.display", "high", '"0.5 V"\nlow = "0.6 V"', "below high, which is 0.5 V"),
        ("set.display", "blanking_high", '"0.5 V"\nblanking_low = "0.5 V"', "below blanking_high, which is 0.5 V"),
        ("set", "ground_verified", '""', "how the isolation was verified"),
        ("set", "ground_verified", '"  "', "how the isolation was verified"),
        ("set", "ground_verified", None, "how the isolation was verified"),
        ("set", "ground_verified", '"unknown"', 'may not be "unknown": say how the isolation was verified'),
        ("set", "ground_verified", '" Unknown "', 'may not be "unknown": say how the isolation was verified'),
        ("set", "ground_verified", '"by a test unknown to me"', ""),
    ],
)
def test_keys_that_contradict_each_other(table: str, key: str, value: str | None, says: str) -> None:
    text = changed(table, key, value)
    if says:
        assert says in fault(text)
    else:
        read(text)


BEHIND = "a landing behind the set's input switch lies behind the contacts of its sockets too"


@pytest.mark.parametrize(
    ("arrangement", "key", "value", "says"),
    [
        ("after-switch", "front_jack", '"silences-landing"', BEHIND),
        ("after-switch", "front_jack", '"silences-jack"', ""),
        ("after-switch", "s_video", '"silences-landing"', BEHIND),
        ("after-switch", "s_video", '"silences-jack"', ""),
        ("changeover", "front_jack", '"silences-landing"', ""),
        ("changeover", "jack_contact", '"circuit"', 'must be left out unless arrangement is "normalled"'),
        ("changeover", "jack_contact", '"board"', ""),
        ("normalled", "jack_contact", '"circuit"', ""),
        ("normalled", "cut_off", "true", 'must be left out unless arrangement is "dedicated"'),
        ("normalled", "cut_off", "false", ""),
        ("dedicated", "cut_off", "true", ""),
    ],
)
@pytest.mark.parametrize("table", ["set.sync", "set.audio"])
def test_keys_of_jacks_that_contradict_the_arrangement(
    table: str, arrangement: str, key: str, value: str, says: str
) -> None:
    if table == "set.audio" and key == "s_video":
        return
    text = changed(table, "arrangement", f'"{arrangement}"', minimal() + TABLES)
    text = changed(table, key, value, text)
    if says:
        assert says in fault(text)
    else:
        read(text)


@pytest.mark.parametrize("state", ["live", "unverified"])
def test_a_ground_that_is_not_isolated_is_well_formed_without_proof(state: str) -> None:
    text = changed("set", "ground_verified", None, changed("set", "signal_ground", f'"{state}"'))
    assert read(text).set.signal_ground == state


@pytest.mark.parametrize(
    ("name", "fits"),
    [
        ("kestrel", True), ("9", True), ("a" * 40, True), ("a-", True), ("com10", True), ("console", True),
        ("a" * 41, False), ("", False), ("-a", False), ("Kestrel", False), ("a b", False), ("a/b", False),
        ("a.b", False), ("..", False), ("käuzchen", False), ("a\\n", False), ("con", False), ("nul", False),
        ("com1", False), ("lpt9", False), ("prn", False), ("aux", False),
    ],
)  # fmt: skip
def test_names(name: str, fits: bool) -> None:
    text = changed("variant", "name", f'"{name}"')
    if fits:
        assert read(text).variant.name == name
    else:
        assert "must be" in fault(text)


@pytest.mark.parametrize("text", ["ʻŌlelo, 中文, עברית, 🦆", 'a "b" <c> & ,;=\'', "one\ntwo", "x" * 2000])
def test_free_text_comes_back_unharmed(text: str) -> None:
    import json

    assert read(changed("variant", "notes", json.dumps(text, ensure_ascii=False))).variant.notes == text


@pytest.mark.parametrize("text", ["a\\tb", "a\\u0000", "a\\u001b[31m", "a\\u007f", "a\\u0085", "a\\rb", "\\uFFFE"])
def test_free_text_without_control_characters(text: str) -> None:
    assert "control characters" in fault(changed("set", "ground_at", f'"{text}"'))


def test_free_text_of_2001_characters() -> None:
    assert "at most 2000 characters" in fault(changed("variant", "notes", f'"{"x" * 2001}"'))


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("set.rgb", "termination_fitted", "1"),
        ("set.rgb", "termination_fitted", '"true"'),
        ("input", "status_contact", '"16"'),
        ("input", "status_contact", "12"),
        ("input", "status_contact", "true"),
        ("set", "lines", "525"),
        ("set", "lines", '"525/60 "'),
        ("variant", "revision", "1"),
        ("board", "supply_element", '"none"'),
    ],
)
def test_strict_types(table: str, key: str, value: str) -> None:
    with pytest.raises(ValidationError) as raised:
        read(changed(table, key, value))
    names = [tuple(part for part in error["loc"] if isinstance(part, str)) for error in raised.value.errors()]
    assert names == [(*table.split("."), key)], "this key is at fault and no other"


@pytest.mark.parametrize("contact", [8, 11, 16])
def test_status_contacts(contact: int) -> None:
    assert read(changed("input", "status_contact", str(contact))).input[0].status_contact == contact


def test_one_to_eight_inputs() -> None:
    another = '[[input]]\nsocket = "de-15"\n'
    assert [i.socket for i in read(minimal() + 7 * another).input] == ["european-21", *["de-15"] * 7]
    assert "must be 1 to 8 tables [[input]], found 9" in fault(minimal() + 8 * another)
    none = "input = []\n" + minimal().replace('[[input]]\nsocket = "european-21"\n', "")
    assert "must be 1 to 8 tables [[input]], found 0" in fault(none)


def test_a_fault_in_one_of_several_inputs_is_found_there() -> None:
    with pytest.raises(ValidationError) as raised:
        read(minimal() + '[[input]]\nsocket = "de-15"\nstatus_contact = 9\n')
    assert [error["loc"] for error in raised.value.errors()] == [("input", 1, "status_contact")]


def test_models_are_frozen() -> None:
    variant = read(minimal())
    with pytest.raises(ValidationError):
        variant.set.rgb.white_level = 1.0  # type: ignore[misc]


def test_templates_load() -> None:
    from rasterport.variant.templates import template_names, templates_folder

    names = template_names()
    assert names, "no template is there"
    for name in names:
        assert load(templates_folder() / f"{name}.toml").variant.variant.name == name


def test_choices_are_spelled_as_toml() -> None:
    assert (spelled(True), spelled(8), spelled("a")) == ("true", "8", '"a"')


def test_error_class_is_ours(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(changed("set", "lines", "5"))
    with pytest.raises(VariantError):
        load(tmp_path / "a.toml")
