"""The words of the bench sheet, for every template and for boards at the edge: true, plain, and of this board alone."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from functools import cache, cached_property
from math import pi
from typing import Any

import pytest

from making import EVERY_PATH, OPAQUE, TEMPLATE_NAMES, several, template, variant
from rasterport.analysis.poses import positions_of
from rasterport.api import Design, design
from rasterport.design.choosing import AUTOMATIC as AUTOMATIC_MEANING
from rasterport.design.choosing import NATIVE, choosing
from rasterport.emit.listing import figure_text, span_text
from rasterport.emit.sheet.words import glossary, screen
from rasterport.emit.sheet.words.cautions import GENERAL, OF_EVERY_SET
from rasterport.emit.sheet.words.facts import AUTOMATIC, OWN, Facts, said
from rasterport.emit.sheet.words.kinds import Check, Fault, Record, Step, texts
from rasterport.emit.sheet.words.sections import Sections, sections
from rasterport.emit.survey import CAUTIONS
from rasterport.records import GROUND, Circuit, Placed
from rasterport.standards import bench_practice, bt470, interface_levels, status_levels
from rasterport.standards.sockets import WIRINGS
from rasterport.units import written
from rasterport.variant.keys import keys
from rasterport.variant.models import Variant

DC = {"set.rgb.pin_kind": "analog-dc", "set.rgb.black_level": "0 V", "set.rgb.black_within": "50 mV"}
SILENT = {"set.audio": None}
NORMALLED = {"set.sync.arrangement": "normalled", "set.sync.shares": "rear jack", **SILENT}
EDGES: dict[str, Variant] = {
    "s-video takes the landing": variant({"set.sync.s_video": "silences-landing", "set.sync.shares": "rear jack"}),
    "s-video takes the jack": variant({"set.sync.s_video": "silences-jack", "set.sync.front_jack": "parallel"}),
    "s-video takes what is normalled": variant(
        {
            "set.sync.s_video": "silences-jack",
            "set.sync.arrangement": "normalled",
            "set.sync.shares": "rear jack",
            **SILENT,
        }
    ),
    "75 ohm stay at the pins": variant({"set.rgb.termination_fitted": True, "set.rgb.coupling_fitted": "100n"}),
    "no sound": variant(SILENT),
    "muted": variant(
        {
            "set.audio.needs_sync": True,
            "set.audio.mutes_without": "mutes all",
            "set.sync.mutes_without": "goes blue",
            "set.sync.select": "AV 1",
            "set.audio.select": "AV 1",
        }
    ),
    "given up": variant({"set.sync.arrangement": "dedicated", "set.sync.shares": "rear jack", **SILENT}),
    "nothing taken": variant(
        {
            "set.blanking.native": "open",
            "set.sync.arrangement": "dedicated",
            "set.sync.shares": "rear jack",
            **SILENT,
        }
    ),
    "normalled": variant(NORMALLED),
    "more than a resistor gives": variant({"set.rgb.white_level": "0.9 V", "set.rgb.clipping_level": "1.5 V"}),
    "less": variant({"set.rgb.white_level": "0.35 V"}),
    "trimmers": variant({"board.trimmers": True}),
    "clean sync": variant({"set.sync.accepts": "clean-sync", "set.supply.voltage": "9 V"}),
    "biased sync": variant({"set.sync.coupling": "dc", "set.sync.bias": "2 V"}),
    "pads": variant({"board.landing": "pads"}),
    "no clamp": variant({**DC, "input.source_coupling": "dc", "input.black_most": "20 mV"}),
    "own clamp": variant({**DC, "board.keyed_clamp": True, "set.supply.voltage": "9 V"}),
    "toggle with a centre": several(1, "relay", "status-or-panel"),
    **{name: several(count, path, "panel", changes) for name, (count, path, changes) in EVERY_PATH.items()},
    "opaque menus": variant(OPAQUE),
    "hostile words": variant({"set.sync.shares": '<b>R999</b> & "J77 pin 5"', "set.sync.at": "5.5 V at TP9"}),
}
NAMES = (*TEMPLATE_NAMES, *EDGES)


@dataclass
class Sheet:
    done: Design
    circuit: Circuit
    words: Sections
    facts: Facts

    @property
    def records(self) -> tuple[Record, ...]:
        """Every record of every section."""
        s = self.words
        return (*s.cautions, *s.before, *s.purpose, *s.behaviours, *s.picture, *s.faults, *s.card)

    def foreign(self) -> list[str]:
        """What others wrote, the longest first: the owner, the survey, the findings."""
        free = [key.path for key in keys() if not key.choices and key.quantity is None]
        found = {said(text) for path in free for text in at(self.done.variant, path) if isinstance(text, str)}
        found |= {said(key.survey.how) for key in keys() if key.survey}
        found |= {f.message for f in self.done.findings} | {f.title for f in self.done.figures}
        found |= {f.message[:1].upper() + f.message[1:] for f in self.done.findings}
        return sorted((text for text in found if len(text) > 3), key=len, reverse=True)

    @cached_property
    def own(self) -> list[str]:
        """The texts without what others wrote."""
        foreign = self.foreign()
        return [without(text, foreign) for text in self.words.texts()]


def without(text: str, parts: list[str]) -> str:
    for part in parts:
        text = text.replace(part, "~")
    return text


@cache
def sheet(name: str) -> Sheet:
    done = design(EDGES[name] if name in EDGES else template(name))
    assert done.circuit is not None, [f.message for f in done.findings]
    given = (done.circuit, done.variant, done.findings, done.figures, done.states)
    return Sheet(done, done.circuit, sections(*given), Facts(*given))


REFERENCE = re.compile(r"\b(?:TP|[RCJQKUFDSE])[0-9]{1,3}\b")
POINT = re.compile(r"\b((?:TP|[RCJQKUFDSE])[0-9]{1,3}) (?:pin|end|terminal) ([A-Z]*[0-9]+)\b")
CONTACT = re.compile(r"\bcontacts? ([0-9, and]+) of (J[0-9]+)\b")
ENDS = re.compile(
    r"\b((?:TP|[RCJQKUFDSE])[0-9]{1,3}) (?:pin|end|terminal) ([A-Z]*[0-9]+)[^;.,]*? to the ([a-z0-9-]+) landing in"
)
PADS = re.compile(r"\b(E[0-9]{1,2}) to the ([a-z0-9-]+) landing in")


def part(circuit: Circuit, ref: str) -> Placed:
    return next(p for p in circuit.parts if p.ref == ref)


@pytest.mark.parametrize("name", NAMES)
def test_references_are_those_of_the_board(name: str) -> None:
    s = sheet(name)
    known = {p.ref for p in s.circuit.parts}
    for text in s.own:
        assert {*REFERENCE.findall(text)} <= known, text
    for record in s.records:
        refs = getattr(record, "refs", ())
        assert {*refs} <= known, record
        assert len({*refs}) == len(refs), record


@pytest.mark.parametrize("name", NAMES)
def test_points_exist_and_lie_where_the_words_say(name: str) -> None:
    s = sheet(name)
    landed = {one.name for one in s.circuit.landed}
    ends = 0
    for text in s.own:
        for ref, pin in POINT.findall(text):
            assert pin in part(s.circuit, ref).nets, text
        for numbers, ref in CONTACT.findall(text):
            for number in re.findall("[0-9]+", numbers):
                assert number in part(s.circuit, ref).nets, text
        for landing in re.findall(r"the ([a-z0-9-]+) landing in the set", text):
            assert landing in landed, text
        for ref, landing in PADS.findall(text):
            ends += 1
            assert {*part(s.circuit, ref).nets.values()} == {s.circuit.landing_net(landing)}, text
        for ref, pin, landing in ENDS.findall(text):
            ends += 1
            assert part(s.circuit, ref).nets[pin] == s.circuit.landing_net(landing), text
    assert ends >= 3


@pytest.mark.parametrize("name", NAMES)
def test_each_colour_contact_is_on_the_way_of_that_colour(name: str) -> None:
    s = sheet(name)
    for n in s.facts.inputs:
        for colour in ("red", "green", "blue"):
            point = s.facts.contact(n, colour)
            jack = re.fullmatch(r"the centre of (J\d+)", point)
            if jack:
                assert part(s.circuit, jack[1]).role.endswith(f"/socket/{colour}")
            else:
                found = re.fullmatch(r"contact (\d+) of (J\d+)", point)
                assert found is not None
                net = part(s.circuit, found[2]).nets[found[1]]
                assert net == f"IN{n}_{colour.upper()}"


UNITS = r"(?:V r\.m\.s\.|[munpkMGµ]?(?:V|A|W|F|Hz|Ω|ohm|s|m)|%|dB|times|lines)"
NUMBER = re.compile(rf"(?<![\w.])-?\d+(?:\.\d+)?(?: to -?\d+(?:\.\d+)?)? {UNITS}(?!\w)")


def allowed(s: Sheet) -> set[str]:
    """Every number that somebody else worked out, as it is written."""
    found: set[str] = set()
    for f in s.done.figures:
        found |= {figure_text(value, f.unit) for value in (f.nominal, f.low, f.high)}
        found |= {figure_text(abs(value), f.unit) for value in (f.nominal, f.low, f.high)}
        found.add(span_text(f.low, f.high, f.unit))
    for g in s.done.findings:
        found |= {figure_text(value, g.unit) for value in (g.measured, g.limit) if value is not None}
    for key in keys():
        if key.quantity is not None:
            found |= {written(value, key.quantity.unit) for value in at(s.done.variant, key.path)}
    found |= {written(v, "ohm") for pair in bench_practice.COLD_LEAKAGE_OHM for v in pair}
    found |= {written(bench_practice.JOINED_OHM, "ohm"), written(0.0, "V")}
    found |= {written(bench_practice.LEAKAGE_OHM, "ohm"), written(bench_practice.METER_OHM, "ohm")}
    found |= {written(bench_practice.LEAKAGE_W, "W"), written(bench_practice.BLEEDER_W, "W")}
    found |= {written(bench_practice.LEAKAGE_V, "V"), written(bench_practice.RESERVOIR_V, "V")}
    found |= {written(bench_practice.LEAKAGE_F, "F")}
    found |= {written(v, "dB") for v in (bench_practice.DOUBLED_DB, bench_practice.UNTERMINATED_DB)}
    found |= {written(interface_levels.VIDEO_IMPEDANCE_OHM, "ohm"), written(status_levels.FAULT_V, "V")}
    for level in status_levels.STATUS_LEVELS.values():
        found |= {written(level.off_most_v, "V"), written(level.on_least_v, "V")}
    found |= {written(standard.line_rate_hz, "Hz") for standard in bt470.LINE_STANDARDS.values()}
    return found


def at(made: Variant, path: tuple[str, ...]) -> list[Any]:
    """Every value of a key, of each input where it belongs to inputs."""
    found: list[Any] = [made]
    for name in path:
        found = [inner for one in found if (inner := getattr(one, name, None)) is not None]
        found = [inner for one in found for inner in (one if isinstance(one, tuple) else (one,))]
    return found


NAMED = ("75 ohm", "15 kHz", "31 kHz", "75 %")
"""The termination, the two line rates and the bars of the trade, called by their number."""


def unheard(text: str, known: set[str]) -> list[str]:
    """Numbers with a unit of which nobody knows where they come from."""
    return [m for m in NUMBER.findall(text) if m not in known and m not in NAMED]


@pytest.mark.parametrize("name", NAMES)
def test_every_number_is_somebody_elses(name: str) -> None:
    s = sheet(name)
    known = allowed(s)
    assert unheard("reads 5.1234 V and 1 to 2.99 mA, or 7 V", known) != []
    seen = 0
    for text in s.own:
        assert unheard(text, known) == [], text
        seen += len(NUMBER.findall(text))
    assert seen > 30


def has(s: Sheet, role: str) -> bool:
    return any(re.fullmatch(role, p.role) for p in s.circuit.parts)


@pytest.mark.parametrize("name", NAMES)
def test_faults_are_those_that_this_board_can_have(name: str) -> None:
    s = sheet(name)
    found, made = {f.key for f in s.words.faults}, s.done.variant
    landed, sockets = {one.name for one in s.circuit.landed}, {source.socket for source in made.input}
    conditions = {
        "sound-missing": "left" in landed,
        "sound-level": "left" in landed,
        "sound-hum": "left" in landed,
        "sides-crossed": {"left", "right"} <= landed,
        "relay-idle": has(s, r".*/relay-\d"),
        "switch-turned": has(s, "panel/switch"),
        "gate-shut": made.selector.gate == "line",
        "menus-wrong": made.set.rgb.insertion == "shared",
        "double-scan": "de-15" in sockets,
        "lead-european": "european-21" in sockets,
        "lead-japanese": "japanese-21" in sockets,
        "s-video": made.set.sync.s_video != "none",
        "termination-in-set": not made.set.rgb.termination_fitted
        and all(p.nets[c] != s.circuit.landing_net("red") for p, c in contacts(s, 1, "red")),
        "black-off": made.set.rgb.pin_kind == "analog-dc",
        "coupling-large": made.set.rgb.pin_kind == "analog-clamped" or made.board.keyed_clamp,
        "sync-parallel": "sync-native" in landed,
        "not-selected": made.set.sync.arrangement != "after-switch",
        "sync-doubled": any(f.code == "F505" for f in s.done.findings),
        "switch-bias": made.selector.path == "cmos",
        "plug-sync": any(f.code == "F518" and f.severity != "met" and f.state == "input-1" for f in s.done.findings),
    }
    for key in ("8", "11", "16"):
        conditions[f"status-{key}"] = any(
            s.facts.status(n) == f"status-{key}" for n in choosing(made).by_status
        ) and has(s, r"input-\d/status/sense")
    for key, wanted in conditions.items():
        assert (key in found) == wanted, key
    always = "ground-missing rail-dead blanking-off blanking-half blanking-stuck sync-missing termination-doubled"
    assert {*always.split(), *["termination-missing", "colour-missing", "colours-crossed", "hum-bars"]} <= found


def contacts(s: Sheet, index: int, function: str) -> list[tuple[Placed, str]]:
    """Socket part and contact number of a function of an input."""
    wiring = WIRINGS[s.done.variant.input[index - 1].socket]
    found = []
    for contact in wiring.with_function(function):
        role = f"input-{index}/socket/{contact.jack}" if contact.jack else f"input-{index}/socket"
        if s.facts.has(role):
            placed = s.circuit.by_role(role)
            found.append((placed, "1" if contact.jack else contact.number))
    return found


def fault(name: str, key: str) -> Fault:
    return next(f for f in sheet(name).words.faults if f.key == key)


@pytest.mark.parametrize("name", NAMES)
def test_a_second_termination_is_looked_for_where_a_meter_finds_it(name: str) -> None:
    s = sheet(name)
    at, in_lead = s.circuit.landing_net("red"), fault(name, "termination-doubled")
    same = [placed.nets[c] == at for placed, c in contacts(s, 1, "red")]
    assert ("in the set" in in_lead.cause) == (any(same) and not s.done.variant.set.rgb.termination_fitted)
    assert "in the set" not in in_lead.where
    if "termination-in-set" not in {f.key for f in s.words.faults}:
        return
    kept = fault(name, "termination-in-set")
    assert "the red, green and blue landings in the set" in kept.where
    caps = [p for p in s.circuit.parts if p.part.letter == "C" and at in p.nets.values()]
    coupling = [p for p in caps if "GND" not in p.nets.values()]
    sinks = any(bench_practice.sag_s(p.value_si or 0) < bt470.LINE_STANDARDS["625/50"].active_line_s for p in coupling)
    assert ("sinks within a line" in kept.looks) == sinks, (kept.looks, coupling)
    assert ("sinks" in kept.looks) == bool(coupling)
    assert all(p.ref in kept.cause for p in coupling)


def test_a_second_termination_behind_100_nf_makes_a_corner_of_14_khz() -> None:
    # 1 / (2 pi 100 nF (75/2 + 75) ohm) = 14.15 kHz, 0.9 of a line's rate: white sinks within the line.
    assert 1 / (2 * pi * bench_practice.sag_s(100e-9)) == pytest.approx(14147, rel=1e-3)


LIGHT = {
    "white": (1, 1, 1), "yellow": (1, 1, 0), "cyan": (0, 1, 1), "green": (0, 1, 0),
    "magenta": (1, 0, 1), "red": (1, 0, 0), "blue": (0, 0, 1), "black": (0, 0, 0),
}  # fmt: skip
"""Red, green and blue of each bar: ITU-R BT.471, bars of colour."""


@pytest.mark.parametrize(("one", "other"), [(0, 1), (0, 2), (1, 2)])
def test_colours_that_are_exchanged_make_the_bars_that_light_makes(one: int, other: int) -> None:
    for bar, light in LIGHT.items():
        mixed = list(light)
        mixed[one], mixed[other] = light[other], light[one]
        assert LIGHT[screen.exchanged(bar, one, other)] == tuple(mixed)
    names = ("red", "green", "blue")
    text = next(
        t for t in re.split(r"(?<=\.) ", screen.exchanges()) if t.startswith(f"{names[one].title()} and {names[other]}")
    )
    third = ({0, 1, 2} - {one, other}).pop()
    things = ("a red coat", "grass", "the sky")
    assert f"{things[third]} stays {names[third]}" in text
    assert f"{things[one]} is {names[other]}" in text and f"{things[other]} is {names[one]}" in text
    swapped = re.findall(r"(\w+) with (\w+)", text)
    wanted = [b for b, light in LIGHT.items() if light[one] != light[other]]
    assert sorted(b for pair in swapped for b in pair) == sorted(wanted)


def test_every_sheet_lists_the_three_exchanges_and_what_white_is_without_a_colour() -> None:
    for name in NAMES:
        assert screen.exchanges() in fault(name, "colours-crossed").looks
        assert "cyan without red, magenta without green, yellow without blue" in fault(name, "colour-missing").looks
        assert "shadow" not in fault(name, "termination-missing").looks  # the source's end still absorbs
        order = next(step for step in sheet(name).words.picture if step.key == "bars").see
        assert order.lower().startswith(", ".join(LIGHT))


SEEN = {
    "kestrel": "the source's composite picture", "heron": "the source's composite picture",
    "dotterel": "the source's composite picture", "wren": "the source's composite picture",
    "ouzel": "a dark screen", "osprey": "the set's own picture, rolling",
    "clean sync": "the set's own picture, rolling",
}  # fmt: skip
"""What is seen with input 1 chosen and RGB off: composite video shows its picture, bare sync shows none."""


@pytest.mark.parametrize("name", NAMES)
def test_without_rgb_the_screen_shows_what_comes_with_sync(name: str) -> None:
    s = sheet(name)
    looks, dead = fault(name, "blanking-off").looks, fault(name, "rail-dead").looks
    if name in SEEN:
        assert SEEN[name] in looks
    source = s.done.variant.input[0]
    brings = source.sync == "composite-video" and s.done.variant.set.sync.accepts == "video"
    assert ("dots crawl" in looks) == brings
    by_itself = [o for o in s.done.states if o.rail == "off" and o.wanted == "input-1"]
    native = next(dict(o.reaches)["sync"] for o in s.done.states if o.rail == "off" and o.wanted == "native")
    reaches = dict(by_itself[0].reaches)["sync"] if by_itself else native
    assert ("The set works as before" in dead) == (reaches == "set")
    if by_itself and reaches != "set":  # a switch throws sync over by hand, with the rail or without it
        assert f"With {s.facts.at_position(1)}:" in dead
    for outcome, words in zip(s.done.states, s.words.behaviours, strict=True):
        if (
            outcome.rail == "on"
            and outcome.wanted == "native"
            and not outcome.undecided
            and outcome.blanking != "driven"
        ):
            kept = dict(outcome.reaches)["sync"].startswith("input-")
            assert ("landing of sync" in words.shows) == kept


@pytest.mark.parametrize("name", NAMES)
def test_the_supply_is_read_from_the_landing_inwards_each_point_with_its_voltage(name: str) -> None:
    s, found = sheet(name), fault(name, "rail-dead")
    points = re.search(r": (.*), each against", found.where)
    assert points is not None
    told = [re.match(r"([A-Z]+[0-9]+)(?: (?:pin|end) (\w+))?", text) for text in points[1].split(", then ")]
    nets = []
    for match in told:
        assert match is not None
        placed = part(s.circuit, match[1])
        nets.append(placed.nets[match[2]] if match[2] else next(iter(placed.nets.values())))
    regulated = [p for p in s.circuit.parts if p.role == "supply/regulator"]
    wanted = ["RAIL_TAP", "RAIL", *(["RAIL_5V"] if regulated else [])]
    blocked = [p for p in s.circuit.parts if p.role == "supply/blocking"]
    assert nets == [*wanted, *(["RAIL_SWITCHES"] if blocked else [])]
    volts = found.expect.split("; ")
    assert len(volts) == len(nets) and volts[0].startswith(s.facts.rail) and volts[1].startswith("nearly as much")
    if regulated:
        assert volts[2].startswith("4.75 to 5.25 V")  # makers' sheets of the 78L05: 5 V within 5 %


@pytest.mark.parametrize("name", NAMES)
def test_a_ptc_recovers_and_a_fusible_resistor_is_replaced(name: str) -> None:
    s, found = sheet(name), fault(name, "rail-dead")
    element = s.circuit.by_role("supply/element")
    resets = element.part.key.startswith("ptc/")
    assert ("replaced" in found.do, "recovers" in found.do) == (not resets, resets)
    assert ("has opened" in found.cause) == (not resets)
    judged = next(f for f in s.done.findings if f.code == "F714")
    assert ("gives way" in found.looks) == ("gives way first" in judged.message)


@pytest.mark.parametrize(
    ("name", "opens", "rolls"),
    [
        ("s-video takes the landing", "the circuit behind it", True),
        ("s-video takes what is normalled", "the centre of rear jack", True),
        ("s-video takes the jack", "the centre of the composite jack", False),
    ],
)
def test_a_plug_in_the_s_video_socket_is_told_by_what_it_opens(name: str, opens: str, rolls: bool) -> None:
    found = fault(name, "s-video")
    assert found.where.endswith(f"to {opens}.")
    assert ("RGB rolls" in found.looks, "RGB stays" in found.looks) == (rolls, not rolls)
    assert ("inputs of the board" in found.title) == rolls
    never = next(p for p in sheet(name).words.card if p.key == "never").sentences
    assert any("S-video" in line and ("new inputs roll" in line) == rolls for line in never)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_left_empty_and_every_key_is_its_own(name: str) -> None:
    s = sheet(name)
    may_be_empty = {"refs", "see_also", "red", "black", "decides"}
    for section in (
        s.words.cautions,
        s.words.before,
        s.words.behaviours,
        s.words.picture,
        s.words.faults,
        s.words.card,
    ):
        names = [record.key for record in section]
        assert names and len({*names}) == len(names)
        for record in section:
            for field in fields(record):
                assert field.name in may_be_empty or getattr(record, field.name), (record, field.name)
    for check in s.words.before:
        assert bool(check.red) == bool(check.black)
    known = {f.key for f in s.words.faults}
    for step in s.words.picture:
        assert {*step.see_also} <= known, step


MARKETING = re.compile(r"(?i)\b(simply|just works|easy|easily|powerful|seamless|perfect|amazing|best|great|awesome)\b")
LONGEST = 48
"""Words of a sentence, lists of points counted one by one."""


@pytest.mark.parametrize("name", NAMES)
def test_the_language_is_plain(name: str) -> None:
    for text in sheet(name).own:
        assert not re.search("[—–!{}]|  |None|\\.\\.|;;| ,| \\.", text), text
        assert text == text.strip()
        assert not MARKETING.search(text), text
        for sentence in re.split(r"(?<=[.?:;]) ", re.sub(r"\([^()]*\)", "", text)):
            assert len(sentence.split()) <= LONGEST, sentence


@pytest.mark.parametrize("name", NAMES)
def test_what_a_fault_expects_and_advises_fits_the_board(name: str) -> None:
    s = sheet(name)
    assert not re.search(r"[munpµ]V\b.*µV|\d (?:µ|n|p)V", fault(name, "blanking-stuck").expect)  # no meter shows it
    for text in (*texts(s.words.card), *texts(s.words.purpose)):
        assert not re.search(r"\b(the [^,.;]+?) (?:and|or) \1\b", text), text  # "the AV socket and the AV socket"
    coax = s.done.variant.set.rgb.lead_kind == "coax"
    assert ("take coaxial wire" in fault(name, "colours-mix").do) == (not coax)
    assert "look at every one" in fault(name, "ground-missing").do  # grounds that are joined hide each other


@pytest.mark.parametrize("name", NAMES)
def test_white_is_expected_at_the_landings_as_the_figures_have_it(name: str) -> None:
    """A divider of the board lowers it behind the contact; nothing on the board raises it."""
    s = sheet(name)
    levels = {s.facts.span(f) for f in s.done.figures if f.key == "level" and f.state == "input-1"}
    expect = fault(name, "colour-missing").expect
    assert [span for span in levels if not expect.startswith(f"{span} from black to white")] == [] and levels
    assert expect.endswith("at the contacts no less")


@pytest.mark.parametrize("name", NAMES)
def test_across_wires_that_are_not_exchanged_a_meter_may_read_something(name: str) -> None:
    """The terminations and the coupling of sound join the lines to ground, and so to each other."""
    joined = written(bench_practice.JOINED_OHM, "ohm")
    found = {f.key: f.expect for f in sheet(name).words.faults if f.key in ("colours-crossed", "sides-crossed")}
    assert {*found.values()} == {f"below {joined} for the pairs named and for no other"}
    lands = sheet(name).circuit.landing_net
    for group in (("red", "green", "blue"), ("left", "right") if "sides-crossed" in found else ()):
        assert len({lands(landing) for landing in group}) == len(group)


def test_the_stage_of_every_status_contact_is_named_with_its_input() -> None:
    shared = 0
    for name in NAMES:
        s = sheet(name)
        for f in s.words.faults:
            numbers = [n for n in s.facts.inputs if f.key == s.facts.status(n)]
            for n in numbers:
                words = re.search(rf"input {n}: ([^;)]+)" if len(numbers) > 1 else r"behind it \(([^)]+)", f.do)
                assert words is not None, (name, f.do)
                assert {*REFERENCE.findall(words[1])} == {*s.facts.below(f"input-{n}/status")}
            shared += len(numbers) > 1
    assert shared


@pytest.mark.parametrize("name", NAMES)
def test_a_pin_that_stays_low_is_looked_for_where_its_way_from_the_rail_opens(name: str) -> None:
    s = sheet(name)
    way, bridged = re.split(r"(?<=[0-9])\. ", fault(name, "blanking-off").do.partition(" Right here")[0])
    named = [part(s.circuit, ref) for ref in REFERENCE.findall(way)]
    assert reaches_rail(s, named)
    for placed in named:
        assert not reaches_rail(s, [p for p in named if p != placed]), placed.ref
    lower = {p.ref for p in s.circuit.under("blanking") if p.part.letter == "R" and GROUND in p.nets.values()}
    assert {*REFERENCE.findall(bridged)} == lower and "bridged" in bridged


def reaches_rail(s: Sheet, named: list[Placed]) -> bool:
    """Whether contacts, transistors, diodes and resistors lead from the blanking landing to a supply."""
    supplies = {net for p in s.circuit.under("supply") for net in p.nets.values()} - {GROUND}
    ways = []
    for p in named:
        inner = {pin.number for pin in p.part.pins if not pin.name.startswith("coil")}
        ways.append({net for number, net in p.nets.items() if number in inner} - {None, GROUND})
    reached: set[str | None] = {s.circuit.landing_net("blanking")}
    for _ in ways:
        reached = reached.union(*(nets for nets in ways if nets & reached))
    return bool(reached & supplies)


def test_general_cautions_have_one_home_and_come_first() -> None:
    assert CAUTIONS == OF_EVERY_SET
    for name in NAMES:
        made = sheet(name)
        keys_found = [c.key for c in made.words.cautions]
        first = ["laws", "tube", "reservoir", "limits", "isolation", "leakage", "cold", "powered", "scope"]
        assert keys_found[: len(first)] == first == list(GENERAL)
        assert [c.text for c in made.words.cautions[: len(first)]] == list(OF_EVERY_SET[: len(first)])
        assert keys_found.index("scan") < keys_found.index("bench-supply") < keys_found.index("first-power")
        text = next(c for c in made.words.cautions if c.key == "scan").text
        assert "31 kHz" in text and "15 kHz" in text
        pcs = [n for n, source in enumerate(made.done.variant.input, 1) if source.socket == "de-15"]
        assert all(made.facts.ref(f"input-{n}/socket") in text for n in pcs)


@pytest.mark.parametrize("name", NAMES)
def test_the_ground_is_looked_at_first(name: str) -> None:
    checks = sheet(name).words.before
    assert [c.key for c in checks[:4]] == ["ground-isolated", "scan", "ground-cold", "ground-jacks"]
    assert all(c.decides and "Stop" in c.otherwise for c in checks[:4])


RANK = (r"service manual|papers", r"^plug pulled, ", r"isolation transformer", r"^plug pulled again, .* lift")
"""Conditions of the set in the order of safety, and of what each takes from the next."""


@pytest.mark.parametrize("name", NAMES)
def test_what_needs_the_set_as_it_is_comes_before_anything_is_lifted(name: str) -> None:
    checks = sheet(name).words.before
    ranks = [next(n for n, words in enumerate(RANK) if re.search(words, c.set_is)) for c in checks]
    measured = [rank for rank, c in zip(ranks, checks, strict=True) if c.red]
    assert measured == sorted(measured), [c.key for c in checks]
    for condition in {c.set_is for c in checks}:  # the page shows a condition at one place: no check may be moved
        at = [n for n, c in enumerate(checks) if c.set_is == condition]
        assert at == list(range(at[0], at[-1] + 1)), condition
    for rank, c in zip(ranks, checks, strict=True):
        assert ("nothing lifted or cut" in c.set_is) == (rank in (1, 2) and c.key != "ground-cold"), c.key
        assert rank == 3 or "lift" not in c.set_is.replace("nothing lifted", ""), c.key
    native = sheet(name).done.variant.set.blanking.native
    assert (checks[-1].key == "blanking-fitted" and ranks[-1] == 3) == (native != "open")
    assert {c.key: rank for rank, c in zip(ranks, checks, strict=True)}["blanking-level"] == 2
    assert sheet(name).words.before_opening


@pytest.mark.parametrize("name", NAMES)
def test_sides_of_sound_are_told_apart_only_where_jacks_tell_them(name: str) -> None:
    s, audio = sheet(name), sheet(name).done.variant.set.audio
    found = {c.key: c for c in s.words.before}
    jacks = audio is not None and bool(audio.shares) and audio.channels == "stereo" and "left" in s.facts.sides
    assert ("sound-sides" in found) == jacks
    if "sound-lands" in found and "sound-sides" in found:
        assert "no connection" not in found["sound-lands"].expect or "direct" in found["sound-lands"].expect


@pytest.mark.parametrize("name", NAMES)
def test_leakage_is_tested_before_the_first_plug_and_before_the_set_goes_back(name: str) -> None:
    steps = sheet(name).words.picture
    keys_found = [step.key for step in steps]
    assert keys_found.index("source") < keys_found.index("first-plug") < keys_found.index("white")
    assert keys_found[-1] == "leakage-again"
    plug, again = steps[keys_found.index("first-plug")], steps[-1]
    assert "alternating voltage" in plug.do and "no isolation transformer" in plug.feed and "stop" in plug.adjust
    for wanted in ("licensed", "cold and hot", "both ways round", "not behind an isolation transformer"):
        assert wanted in " ".join(texts(again)), wanted
    for ref in (ref for n in sheet(name).facts.inputs for ref in sheet(name).facts.socket_refs(n)):
        assert ref in again.do and ref in plug.do
    isolated = sheet(name).words.before[0]
    assert "licensed" in isolated.how and "not behind an isolation transformer" in isolated.expect


def test_the_bound_of_the_hot_test_is_half_a_milliampere() -> None:
    # 0.5 mA from any exposed metal part: the alternating-current leakage that set makers' manuals allow.
    assert pytest.approx(0.5e-3) == bench_practice.LEAKAGE_V / bench_practice.LEAKAGE_OHM


@pytest.mark.parametrize("name", NAMES)
def test_who_is_sent_to_a_service_adjustment_is_warned_of_x_rays(name: str) -> None:
    sent = re.compile(r"service adjustment|white adjustment|set's (?:horizontal|vertical) position")
    s = sheet(name)
    told = [text for r in (*s.words.picture, *s.words.faults) for text in texts(r) if sent.search(text)]
    assert len(told) >= 4
    assert all("screen voltage" in text and "X-rays" in text and "old setting" in text for text in told), told


@pytest.mark.parametrize("name", NAMES)
def test_positions_of_the_switch_mean_what_the_switching_makes_of_them(name: str) -> None:
    s = sheet(name)
    if s.facts.switch is None:
        assert s.facts.positions == ()
        return
    meant = {AUTOMATIC_MEANING: AUTOMATIC, NATIVE: OWN}
    wanted = [meant.get(meaning, meaning) for meaning in positions_of(s.done.variant)]
    by_name = dict(s.facts.positions)
    order = (
        {2: ["b", "a"], 3: ["centre", "a", "b"]}.get(len(by_name), []) if "a" in by_name else sorted(by_name, key=int)
    )
    assert [by_name[name] for name in order] == wanted
    assert len(by_name) == len(wanted)
    if AUTOMATIC not in wanted:  # then a position alone decides, and the walk of every state must say the same
        for position, meaning in s.facts.positions:
            found = {o.wanted for o in s.done.states if re.search(rf"S1 at {position}\b", o.condition)}
            assert found == {"native" if meaning == OWN else f"input-{meaning}"}, position


def test_status_contacts_are_those_that_are_read() -> None:
    for name in NAMES:
        s = sheet(name)
        read = tuple(n for n in s.facts.inputs if s.facts.status(n))
        assert read == choosing(s.done.variant).by_status, name


@pytest.mark.parametrize("name", NAMES)
def test_every_state_has_its_words(name: str) -> None:
    s = sheet(name)
    assert len(s.words.behaviours) == len(s.done.states)
    for outcome, words in zip(s.done.states, s.words.behaviours, strict=True):
        if outcome.rail == "on" and outcome.wanted != "native":
            assert outcome.wanted.replace("-", " ") in words.shows
        if outcome.rail == "on" and outcome.wanted == "native":
            assert "the set's own" in words.shows


WORDS = (
    *("set", "chassis", "variant", "input", "socket", "contact", "landing", "insertion", "blanking", "native"),
    *("path", "control", "line", "finding", "corner", "state", "role"),
)
"""The vocabulary of the project, each word with one meaning."""
OTHERWISE = re.compile(
    r"""(?ix) \bset (?:\ up|\ to|\ for|\ the\ current|\ a\ bench|\ the\ source|\ brightness|\ the\ three|\ its|\ off)\b
    | own\ inputs? | line\ inputs? | inputs?\ (?:switch|end|pin|of\ its\ own)
    | (?:S-video|AV|mains|set's\ own)\ sockets? | (?:switch|relay|jack)\ contacts? | contact\ (?:in\ the\ S-video|of\ K)
    | (?:over\ a|within\ a|gate|scanning|active|each|straight|white|slanting)\ lines?
    | lines?\ (?:rates?|standards?|pulse|output|inputs?|of\ the\ display) | sets
    """
)
"""What the same letters mean elsewhere."""


@pytest.mark.parametrize("name", NAMES)
def test_no_word_of_the_house_without_its_meaning_at_first_use(name: str) -> None:
    s = sheet(name)
    page = s.own
    uses = glossary.first_uses(page)
    terms = [use.term.word for use in uses]
    assert len({*terms}) == len(terms)
    assert [(u.text, u.start) for u in uses] == sorted((u.text, u.start) for u in uses)
    marked = {use.term.word: (use.text, use.start) for use in uses}
    for word in WORDS:
        bare = re.compile(rf"(?<![\w.-])({word}(?:s|'s)?)(?![\w.-])", re.IGNORECASE)
        for n, text in enumerate(page):
            others = [m.span() for m in OTHERWISE.finditer(text)]
            for match in bare.finditer(text):
                if any(a <= match.start() and match.end() <= b for a, b in others):
                    continue
                longer = any(u.text == n and u.start <= match.start() < u.end for u in uses)
                assert longer or marked.get(word, (len(page), 0)) <= (n, match.start()), (word, text)


def test_the_glossary_has_every_word_once_with_a_short_meaning() -> None:
    words = [term.word for term in glossary.TERMS]
    assert tuple(words[: glossary.OF_THE_HOUSE]) == WORDS
    assert len({*words}) == len(words)
    for term in glossary.TERMS:
        assert 2 < len(term.means.split()) < 25
        assert (
            glossary.pattern_of(term.word).search(f"x the {term.word.removesuffix(' IC')} of 75 % x")
            or term.word == "bars"
        )
    with pytest.raises(KeyError):
        glossary.pattern_of("gadget")


def test_first_uses_pass_over_what_only_looks_like_a_word() -> None:
    page = ("Set the source to 15 kHz.", "The line rate of the set.", "A line of the board, and the status contact.")
    found = {use.term.word: (use.text, page[use.text][use.start : use.end]) for use in glossary.first_uses(page)}
    assert found == {"set": (1, "set"), "line": (2, "line"), "status contact": (2, "status contact")}
    assert [term.word for term in glossary.glossary(page)] == ["line", "set", "status contact"]


def test_decibels_of_the_trade_follow_from_75_ohm() -> None:
    from math import log10

    line = interface_levels.VIDEO_IMPEDANCE_OHM
    share = lambda load: load / (line + load)  # noqa: E731
    assert pytest.approx(-20 * log10(share(line / 2) / share(line)), abs=0.05) == bench_practice.DOUBLED_DB
    assert pytest.approx(-20 * log10(share(line)), abs=0.05) == bench_practice.UNTERMINATED_DB


def test_texts_of_a_record_leave_out_what_is_no_word() -> None:
    fault = Fault("k", "t", "l", "c", "w", "e", "d", "s", ("R1",))
    assert list(texts((fault, "x", ()))) == ["t", "l", "c", "w", "e", "d", "s", "x"]
    assert list(texts(Step("k", "t", "f", "d", "s", "a", "o", ("j",)))) == ["t", "f", "d", "s", "a", "o"]
    assert list(texts(Check("k", "t", "i", "h", "n", "", "", "s", "e", "o", "p"))) == list("tihnseop")


@pytest.mark.parametrize("name", NAMES)
def test_without_the_board_only_a_set_that_nothing_was_taken_from_is_as_before(name: str) -> None:
    """The plug is pulled to learn something only where the board gives nothing back, neither a wire nor a ground."""
    s = sheet(name)
    tv = s.done.variant.set
    landings = {p.role.removeprefix("landing/") for p in s.circuit.parts if p.role.startswith("landing/")}
    wires = {w.end for w in s.circuit.wires} | landings
    returned = any("-native" in told for told in wires) or (tv.blanking.native == "grounded" and tv.display is None)
    alone = next(step for step in s.words.picture if step.key == "set-alone")
    stuck = fault(name, "blanking-stuck")
    assert ("only the board gives the set back" in alone.adjust) == returned
    assert ("Leave the board on" in stuck.do) == returned
    assert ("must be as before" in stuck.do) != returned
    assert returned == (name not in ("nothing taken", "dotterel"))
