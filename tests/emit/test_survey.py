"""The survey sheet: every key, once, in an order in which nothing is measured before it is safe to."""

from __future__ import annotations

import re

from rasterport.emit.survey import STEPS, survey_text
from rasterport.variant.fields import Stage
from rasterport.variant.keys import heading, keys

TEXT = survey_text()
ASKED = [key for key in keys() if key.table != ("built",)]
"""What is found before a board is built."""


def entries() -> list[tuple[str, str]]:
    """(heading, key) of every entry, in order."""
    found, table = [], ""
    for line in TEXT.splitlines():
        if re.fullmatch(r"\[.*\]", line):
            table = line
        elif match := re.fullmatch(r"  ([a-z_]+)( \*)?", line):
            found.append((table, match[1]))
    return found


def test_every_key_once() -> None:
    assert sorted(entries()) == sorted((heading(key.table), key.name) for key in ASKED)


def test_required_keys_are_marked() -> None:
    marked = re.findall(r"^  ([a-z_]+) \*$", TEXT, re.M)
    assert sorted(marked) == sorted(key.name for key in ASKED if key.required)


def test_safe_order() -> None:
    titles = [TEXT.index(title) for title, _ in STEPS.values()]
    assert titles == sorted(titles)
    assert list(STEPS) == sorted(set(Stage) - {Stage.BUILT})
    before = re.sub(r"\s+", " ", TEXT[: TEXT.index("Step 1")])
    assert before.index("braid") < before.index("anode")
    for caution in (
        "isolation transformer",
        "one hand",
        "rings",
        "braid",
        "600 V",
        "never against the signal ground",
        "through a resistor",
        "screen voltage",
        "oscilloscope",
        "behind an isolation transformer it proves nothing",
        "X-ray",
        "Local codes",
        "31 kHz",
        "isolated",
    ):
        assert caution in before, caution
    assert TEXT.index("[set]\n  lines") < TEXT.index("Step 4")
    ohms, volts = TEXT.index("Step 4"), TEXT.index("Step 5")
    assert "Ohmmeter" not in TEXT[TEXT.index("Step 1") : ohms]
    assert "Voltmeter" not in TEXT[TEXT.index("Step 1") : volts]
    assert "discharged" in TEXT[ohms : ohms + 200]
    assert "isolation transformer" in TEXT[volts : volts + 200]


def test_what_wants_a_wire_lifted_is_the_last_step() -> None:
    lifted = {".".join(key.path) for key in ASKED if key.survey and key.survey.stage == Stage.LIFTED}
    asks = {".".join(key.path) for key in ASKED if key.survey and re.search(r"wire lifted", key.survey.how)}
    assert lifted == asks == {"set.blanking.fitted_resistor"}
    assert [*STEPS][-2:] == [Stage.VOLTS, Stage.LIFTED]
    last = TEXT.rindex("Step ")
    assert last < TEXT.index("  fitted_resistor")
    assert "discharge everything again" in re.sub(r"\s+", " ", TEXT[last:])


def test_live_measurements_are_one_step_and_few() -> None:
    powered = {".".join(key.path) for key in keys() if key.survey and key.survey.stage == Stage.VOLTS}
    assert powered == {
        "set.sync.bias",
        "set.supply.voltage",
        "set.supply.kind",
        "selector.gate_active",
        "selector.gate_low",
        "selector.gate_high",
    }


def test_bounds_and_defaults_are_those_of_the_models() -> None:
    flat = re.sub(r"\s+", " ", TEXT)
    assert "clamp_current Current of the keyed clamp. allowed 1 uA to 5 mA; usual 40 to 140 uA; default" in flat
    assert (
        'on_above Above this the pin shows RGB. allowed 0.1 V to 14 V; default "0.9 V"; "unknown" counts as "1 V".'
        in flat
    )
    assert 'allowed one of "direct", "gang", "relay", "cmos".' in flat
    assert 'allowed one of "panel", "status", "status-or-panel".' in flat
    assert 'allowed one of "none", "line", "after-switch"; default "none".' in flat


def test_a_table_that_may_be_left_out_is_said_to_be() -> None:
    lines = TEXT.splitlines()
    free = {lines[n - 1] for n, line in enumerate(lines) if line.startswith("  (The whole table may be left out")}
    assert free == {"[set.audio]", "[set.display]", "[[set.work]]", "[board]", "[[board.place]]"}
    headings = [n for n, line in enumerate(lines) if line in free]
    assert len(headings) > 2
    assert all("left out" in lines[n + 1] for n in headings), "wherever the table comes up"


def test_keys_without_effect_say_so() -> None:
    idle = {".".join(key.path) for key in keys() if "not used yet" in key.description}
    assert idle == {"board.width", "board.height"}
    flat = re.sub(r"\s+", " ", TEXT)
    assert flat.count("; not used yet.") == len(idle)


def test_title_and_notes_say_where_they_go() -> None:
    how = {key.name: key.survey.how for key in keys() if key.table == ("variant",) and key.survey}
    assert how["title"] == "Choose: it stands in the netlist and in the manifest."
    assert how["notes"] == "Choose: they stand in the manifest."


def test_readable_on_any_terminal() -> None:
    assert max(map(len, TEXT.splitlines())) <= 92
    assert TEXT.isascii()
    assert TEXT.endswith("\n")
    assert not re.search(r" +$", TEXT, re.M)
    assert ".." not in TEXT


def test_every_free_text_has_an_example_of_its_own() -> None:
    free = [key for key in ASKED if not key.choices and key.quantity is None and key.survey and key.survey.usual]
    free = [key for key in free if key.survey and key.survey.usual != key.default.strip('"')]
    examples = [key.survey.usual for key in free if key.survey]
    assert len(free) > 25
    assert sorted(set(examples)) == sorted(examples)
    for key in free:
        assert key.survey is not None
        assert f"for example {key.survey.usual}" in re.sub(r"\s+", " ", TEXT), key.path
    places = [key for key in ASKED if key.name.startswith(("at", "second_ground_at", "ground_at"))]
    assert {key.path for key in places} <= {key.path for key in free}
