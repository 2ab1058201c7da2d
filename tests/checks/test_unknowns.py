"""What an unknown value would decide: told in numbers, in order, and never less grave than what it turns out to be."""

from __future__ import annotations

import copy
import re
import tomllib
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from places import TEMPLATES
from rasterport.api import Design, design
from rasterport.emit import listing
from rasterport.records import SEVERITIES
from rasterport.units import plain
from rasterport.variant.keys import Key, keys
from rasterport.variant.load import Loaded
from rasterport.variant.models import Variant
from rasterport.variant.resolve import Resolved, Source, resolved, value_at
from rasterport.variant.scan import Scan

BOARDS = ("kestrel", "heron", "osprey", "plover")
KEYS = tuple(k for k in keys() if k.unknown and k.table[0] == "set")
LEAST = 1e-15
"""Less than this, in any unit, would be written with more characters than a quantity may have."""


@cache
def raw(name: str) -> dict[str, Any]:
    return tomllib.loads((TEMPLATES / f"{name}.toml").read_text(encoding="utf-8"))


def changed(name: str, values: dict[tuple[str, ...], Any]) -> dict[str, Any]:
    """A template's table with other values; None leaves a key out."""
    table = copy.deepcopy(raw(name))
    for path, value in values.items():
        inner = table
        for part in path[:-1]:
            inner = inner[part]
        inner.pop(path[-1], None)
        if value is not None:
            inner[path[-1]] = value
    return table


def loaded(table: dict[str, Any]) -> Loaded:
    found, faults = resolved(Source("own.toml", table, Scan()), None)
    assert faults == ()
    return Loaded(Variant.model_validate(found.table), "own.toml", "0" * 64, None, found)


def worked_out(name: str, values: dict[tuple[str, ...], Any]) -> Design:
    return design(loaded(changed(name, values)))


def worst(done: Design, *leave_out: str) -> dict[str, int]:
    """Code -> its gravest severity, as a number that falls with gravity."""
    found: dict[str, int] = {}
    for f in done.findings:
        if f.code not in leave_out:
            found[f.code] = min(found.get(f.code, len(SEVERITIES)), SEVERITIES.index(f.severity))
    return found


def return_loss(capacitance: str) -> float:
    done = worked_out("heron", {("set", "rgb", "capacitance"): capacitance})
    return min(f.measured for f in done.findings if f.code == "F201" and f.measured is not None)


def test_a_warning_says_what_measuring_would_change() -> None:
    """Heron's pin capacitance: 15 pF stands in, and of all limits the one of return loss is nearest."""
    done = worked_out("heron", {("set", "rgb", "capacitance"): "unknown"})
    (missing,) = done.missing
    assert missing.key == "set.rgb.capacitance" and not missing.first
    assert missing.used == "15 pF is taken (more than any sheet prints; from memory)"
    (decided,) = missing.decides
    worse, better = (return_loss(value) for value in ("15 pF", "2 pF"))
    assert worse < better - 1
    assert re.fullmatch(
        rf"if it is 2 pF: F201 of \w+ from {worse:.4g} dB to {better:.4g} dB \(at least 26 dB\)", decided
    )
    (finding,) = (f for f in done.findings if f.code == "F910")
    assert (finding.severity, finding.subject) == ("warning", "set.rgb.capacitance")
    assert decided in finding.message


def test_a_value_of_a_part_that_would_change_is_named() -> None:
    done = worked_out("kestrel", {("set", "sync", "resistance"): "unknown"})
    assert done.missing[0].decides == ("if it is 1M: R104 76R8 becomes 75R",)


def test_what_decides_most_comes_first() -> None:
    """A termination that would make the board impossible stands before a sized value, and that before a bandwidth."""
    unknown = (("sync", "resistance"), ("rgb", "capacitance"), ("sync", "termination"))
    done = worked_out("kestrel", {("set", *path): "unknown" for path in unknown})
    assert [m.key for m in done.missing] == ["set.sync.termination", "set.sync.resistance", "set.rgb.capacitance"]
    assert done.missing[0].first
    assert [f.code for f in done.findings if f.code in ("F910", "F911")] == ["F911", "F910", "F910"]
    assert done.failed


def test_a_board_that_cannot_be_made_says_what_measuring_would_allow() -> None:
    done = worked_out("kestrel", {("set", "sync", "accepts"): "unknown"})
    assert done.circuit is None
    assert done.missing[0].decides == ("if it is video: a board can be made (F106 goes)",)
    assert {f.code for f in done.findings} == {"F106", "F910"}


def test_what_decides_whether_there_is_a_board_comes_before_what_may_not_be_guessed() -> None:
    """Native blanking that is driven cannot be joined directly; the two others have no safe stand-in (F911)."""
    unknown = (("blanking", "native"), ("sync", "termination"), ("supply", "voltage"), ("audio", "maximum"))
    done = worked_out("heron", {("set", *path): "unknown" for path in unknown})
    assert done.circuit is None
    assert [m.key for m in done.missing] == [
        "set.blanking.native", "set.supply.voltage", "set.sync.termination", "set.audio.maximum",
    ]  # fmt: skip
    assert [(m.first, m.untold) for m in done.missing] == [(False, False), (True, False), (True, False), (False, True)]
    rows = "\n".join(listing.missing(done.missing))
    assert re.findall(r"(?m)^ +\d  (\S+) +(\S+ \S+)$", rows) == [
        ("set.blanking.native", "warning F910"),
        ("set.supply.voltage", "error F911"),
        ("set.sync.termination", "error F911"),
    ]
    assert rows.endswith("  warning F910 each, not told before a board can be made: set.audio.maximum")
    assert {f.code for f in listing.besides(done.findings, done.missing)} == {"F108"}, "said once"


TEXTS = tuple(
    k
    for k in keys()
    if not (k.choices or k.quantity or k.many or k.required) and (k.table[0] == "set" or "at" in k.name.split("_"))
)
"""Free texts about the set, and places in every table."""


@pytest.mark.parametrize("name", ["heron", "curlew", "dotterel", "plover"])
def test_a_text_that_is_unknown_is_one_that_is_left_out(name: str) -> None:
    """Each place, jack and name by itself; how the ground was verified and the work on the chassis must be said."""
    spoken = [k.path for k in TEXTS if k.name != "ground_verified" and k.table != ("set", "work")]
    stated = [path for path in spoken if value_at(raw(name), path)]
    assert len(stated) > 5
    assert (("selector", "gate_at") in stated) == (name == "plover"), "the only one with a gate line"
    for path in stated:
        without, unknown = (worked_out(name, {path: value}) for value in (None, " Unknown"))
        assert unknown.circuit == without.circuit, path
        assert unknown.findings == without.findings, path


def test_a_place_that_is_unknown_is_missing() -> None:
    done = worked_out("heron", {("set", "ground_at"): "unknown", ("set", "rgb", "at_red"): "unknown"})
    (told,) = (f for f in done.findings if f.code == "F808")
    assert told.message == "the variant does not say where these are soldered: ground, ground-3, red"


def test_defaults_that_stand_for_what_could_be_measured_are_named() -> None:
    without = {("set", "rgb", "leakage"): None, ("set", "sync", "termination"): None, ("set", "audio", "maximum"): None}
    before, after = worked_out("heron", {}).defaults, worked_out("heron", without).defaults
    assert set(after) - set(before) == set(without) and set(before) < set(after)
    assert ("set", "rgb", "white_level") not in after, "the file states it"
    told = " ".join(" ".join(listing.defaults(after)).split())
    assert re.search(
        r"\(--resolved shows them\): set\.rgb: [^;]*\bleakage\b[^;]*; set\.sync: [^;]*\btermination\b", told
    )
    refused = worked_out("heron", {**without, ("set", "blanking", "native"): "unknown"})
    assert refused.circuit is None and refused.defaults == after
    assert not any("defaults are taken" in line for line in listing.defaults(()))


def test_the_summary_counts_what_is_printed() -> None:
    """Left and right say the same in one line."""
    done = worked_out("heron", {})
    shown = [line.split()[0] for line in listing.grave(done.findings) if re.match(r"  \w+ +F\d", line)]
    assert shown.count("warning") < sum(f.severity == "warning" for f in done.findings)
    counted = listing.summary(done.findings)
    assert counted.startswith(f"0 errors, {shown.count('warning')} warnings, {shown.count('note')} notes; ")


def test_an_unsafe_set_is_told_nothing_else() -> None:
    done = worked_out("kestrel", {("set", "signal_ground"): "unverified", ("set", "rgb", "leakage"): "unknown"})
    assert done.unsafe and done.missing == () and {f.code for f in done.findings} == {"F101"}


def test_results_say_where_a_limit_comes_from() -> None:
    done = worked_out("kestrel", {("set", "processor"): "STV224x", ("set", "blanking", "maximum"): None})
    sheet = "STV223x: ST STV223x, STV224x and STV228x data sheets (three texts agree)"
    sources = {f.source for f in done.findings if f.code == "F302"}
    assert sources and all(sheet in text for text in sources), sources
    done = worked_out("kestrel", {("set", "blanking", "maximum"): "unknown"})
    assert all("[unknown: 3 V, the least in any sheet]" in f.source for f in done.findings if f.code == "F302")


def test_the_processors_second_meaning_and_its_kind_are_told() -> None:
    (note,) = (f for f in worked_out("kestrel", {("set", "processor"): "TDA8376"}).findings if f.code == "F912")
    assert note.severity == "note" and "above 4 V, on pin 14 only, it inserts black" in note.message
    monitor = {("set", "processor"): "TDA4885", ("set", "rgb", "pin_kind"): "analog-clamped"}
    (warning,) = (f for f in worked_out("plover", monitor).findings if f.code == "F912")
    assert warning.severity == "warning"


def test_a_coupling_capacitor_below_what_the_sheet_wants_is_a_warning() -> None:
    """Micronas TPU 3035: 100 nF to 1 uF.  Heron takes 100 nF; less is seen when somebody fits it."""
    values: dict[tuple[str, ...], Any] = {("set", "processor"): "TPU3035"}
    found = [f.severity for f in worked_out("heron", values).findings if f.code == "F914"]
    assert found == ["met"] * 3
    fit = {**values, ("fit",): {"red/coupling": "47n"}}
    found = [f.severity for f in worked_out("heron", fit).findings if f.code == "F914"]
    assert sorted(found) == ["met", "met", "warning"]


# -- pessimism is pessimism -------------------------------------------------------------------------------------------


@cache
def shown(name: str, unknown: tuple[int, ...]) -> Design:
    """The board of a template of which these keys are unknown."""
    return worked_out(name, {KEYS[n].path: "unknown" for n in unknown})


def possible(key: Key, data: st.DataObject) -> Any:
    """A value inside the documented range, as it would be written."""
    assert key.unknown is not None
    if key.quantity is None or None in (key.unknown.value, *key.unknown.others):
        return data.draw(st.sampled_from(key.unknown.others))
    ends = [key.quantity.check(v) for v in (key.unknown.value, *key.unknown.others)]
    low, high = min(ends), max(ends)
    value = data.draw(st.floats(low, high).filter(lambda v: not 0 < abs(v) < LEAST) | st.sampled_from(ends))
    text = key.quantity.shown(value)
    return text if low <= key.quantity.check(text) <= high else key.quantity.shown(low)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_no_value_of_the_documented_range_is_worse_than_what_is_shown(data: st.DataObject) -> None:
    """Any "unknown" replaced by any value it may have: every code stays as grave or gets better.

    A code may get graver only where the finding of the key is at least as grave and so has said it.
    """
    name = data.draw(st.sampled_from(BOARDS))
    there = [n for n, k in enumerate(KEYS) if value_at(raw(name), k.table) is not None]
    chosen = tuple(sorted(data.draw(st.sets(st.sampled_from(there), min_size=1, max_size=4))))
    key = KEYS[data.draw(st.sampled_from(chosen))]
    before = shown(name, chosen)
    values: dict[tuple[str, ...], Any] = {KEYS[n].path: "unknown" for n in chosen} | {key.path: possible(key, data)}
    try:
        # What the keys that are still unknown would decide is of no account here: the board is judged as it stands.
        after = design(loaded(changed(name, values)).variant)
    except ValidationError:
        return  # contradicts what the file says besides: no such set
    (told,) = (f for f in before.findings if f.code in ("F910", "F911") and f.subject == plain(".".join(key.path)))
    if after.circuit is None:
        assert before.circuit is None or told.severity == "error", (name, values)
        return
    if before.circuit is None:
        return
    grave, now = worst(before, "F910", "F911"), worst(after, "F910", "F911")
    for code, severity in now.items():
        if severity < SEVERITIES.index("note"):
            allowed = min(grave.get(code, len(SEVERITIES)), SEVERITIES.index(told.severity))
            assert severity >= allowed, (name, values, code)


def test_resolved_tables_are_copies() -> None:
    """Trying another value must not change the board that is shown."""
    found: Resolved = loaded(changed("kestrel", {("set", "rgb", "leakage"): "unknown"})).resolved  # type: ignore[assignment]
    other = found.instead(("set", "rgb", "leakage"), "0 A")
    assert value_at(other, ("set", "rgb", "leakage")) == "0 A"
    assert value_at(found.table, ("set", "rgb", "leakage")) == "1 uA"
    assert "leakage" not in value_at(found.instead(("set", "rgb", "leakage"), None), ("set", "rgb"))


def of_key(done: Design, key: str) -> str:
    (missing,) = (m for m in done.missing if m.key == key)
    return "; ".join(missing.decides)


def test_a_key_that_moves_the_limit_and_not_the_measured_value_decides_something() -> None:
    """Clipping level and the level for on are limits themselves: what is held against them stays as it is."""
    done = worked_out("heron", {("set", "rgb", "clipping_level"): "unknown"})
    told = re.fullmatch(
        r"if it is 1\.5 V: F209 of \w+ from (\S+) V \(at most 1 V\) to (\S+) V \(at most 1\.5 V\)",
        of_key(done, "set.rgb.clipping_level"),
    )
    assert told is not None and told[1] == told[2]
    done = worked_out("heron", {("set", "blanking", "on_above"): "unknown"})
    assert "(at least 1.1 V) to" in of_key(done, "set.blanking.on_above")


def test_what_takes_an_error_away_comes_before_what_takes_a_warning_away() -> None:
    """A standby rail into a dead processor is an error; a shift of the picture beyond two percent warns."""
    unknown = (("rgb", "luminance_delay"), ("supply", "kind"))
    done = worked_out("plover", {("set", *path): "unknown" for path in unknown})
    assert [m.key for m in done.missing] == ["set.supply.kind", "set.rgb.luminance_delay"]
    assert "error to nothing" in of_key(done, "set.supply.kind")


def test_a_key_is_not_said_to_decide_nothing_where_no_board_was_worked_out() -> None:
    """A pin that the set drives has no board on path direct; leakage was compared with nothing there."""
    unknown = (("blanking", "native"), ("rgb", "leakage"))
    done = worked_out("heron", {("set", *path): "unknown" for path in unknown})
    assert done.circuit is None
    assert [m.key for m in done.missing] == ["set.blanking.native", "set.rgb.leakage"]
    assert of_key(done, "set.blanking.native").startswith("if it is grounded: a board can be made (F108 goes)")
    assert of_key(done, "set.rgb.leakage") == "not told before a board can be made"
