"""Parts that somebody chooses by role: they take the place of what was sized, are marked, and are judged."""

from __future__ import annotations

import csv
import io

import pytest

from making import errors, examined, template, variant
from rasterport.circuit import compose
from rasterport.emit.bom import bom_text
from rasterport.emit.listing import values
from rasterport.emit.wiring import wiring_text
from rasterport.errors import Refused
from rasterport.parts import all_rows
from rasterport.parts.fitting import part_by_key


def refused(changes: dict[str, object]) -> str:
    with pytest.raises(Refused) as raised:
        compose(variant(changes))
    (finding,) = raised.value.findings
    assert finding.code == "F117"
    return f"{finding.subject}: {finding.message}"


def fit(**roles: str) -> dict[str, object]:
    return {"fit": {role.replace("__", "/").replace("_", "-"): text for role, text in roles.items()}}


def test_a_value_keeps_the_ratings_of_what_was_sized() -> None:
    """75 ohm of 1 %, 82 ohm in its place: 0.7 V x 2 x 82 / 157 is 0.39 dB more."""
    made = variant({"fit": {f"input-1/{colour}/termination": "82" for colour in ("red", "green", "blue")}})
    circuit, findings = examined(made)
    sized = compose(variant()).by_role("input-1/red/termination")
    placed = circuit.by_role("input-1/red/termination")
    assert (placed.value, placed.value_si, placed.instead_of) == ("82R", 82.0, "75R")
    assert placed.part.part_number != sized.part.part_number
    assert placed.part.package == sized.part.package
    assert placed.reason.startswith("chosen by you in place of 75R: ")
    level = next(f for f in findings if f.code == "F202" and f.subject == "red")
    assert level.measured == pytest.approx(0.39, abs=0.12)  # the worst corner of parts of 1 %
    assert {f.severity for f in findings if f.code == "F913"} == {"note"}
    assert len([f for f in findings if f.code == "F913"]) == 3


def test_a_wrong_choice_is_judged_by_the_same_findings() -> None:
    """37.5 ohm in place of 75 is what a doubled termination is: 9.5 dB of return loss."""
    found = errors(examined(variant({"fit": {"input-1/red/termination": "37R4"}}))[1])
    assert {"F201", "F202", "F203"} & found
    assert errors(examined(variant())[1]) == set()


def test_a_whole_part_by_its_key() -> None:
    made = variant({"board.construction": "smd", "fit": {"red/coupling": "capacitor/ceramic/through-hole/100n/50"}})
    placed = compose(made).by_role("red/coupling")
    assert placed.part.footprint.startswith("Capacitor_THT:")
    assert placed.value == "100n" and placed.instead_of == "100n"


def test_a_part_without_a_value() -> None:
    circuit = compose(template("plover", {"fit": {"input-1/status/sense": "transistor/npn/through-hole"}}))
    placed = circuit.by_role("input-1/status/sense")
    assert placed.instead_of and placed.part.key == "transistor/npn/through-hole"
    assert placed.reason.startswith(f"chosen by you in place of {placed.instead_of}: ")


def test_pins_keep_their_meaning_in_another_package() -> None:
    """SOT-23 counts base, emitter, collector; TO-92 as its sheet says: the nets follow the names."""
    made = template("plover", {"fit": {"input-1/status/sense": "transistor/npn/through-hole"}})
    sized, placed = (compose(m).by_role("input-1/status/sense") for m in (template("plover"), made))
    assert {p.number for p in sized.part.pins} == {p.number for p in placed.part.pins}
    named = [{p.name: part.nets[p.number] for p in part.part.pins} for part in (sized, placed)]
    assert named[0] == named[1]
    assert dict(sized.nets) != dict(placed.nets)
    assert errors(examined(made)[1]) == set()


@pytest.mark.parametrize("key", sorted(row.key for row in all_rows()))
def test_every_row_is_found_by_its_key(key: str) -> None:
    assert part_by_key(key).key == key


def test_any_value_of_a_row_is_found_by_its_key() -> None:
    for role in ("input-1/red/termination", "red/coupling", "supply/bulk"):
        key = compose(variant()).by_role(role).part.key
        assert part_by_key(key).key == key


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (fit(input_1__redd__termination="82"),
         "fit.input-1/redd/termination: must be a role of this board: did you mean input-1/red/termination or "
         "input-1/green/termination or input-1/blue/termination?; found '82'"),
        (fit(input_2__red__termination="82"),
         "fit.input-2/red/termination: must be a role of this board: did you mean input-1/red/termination or "
         "input-1/green/termination or input-1/blue/termination?; found '82'"),
        (fit(zzz="82"),
         "fit.zzz: must be a role of this board, as `rasterport check` lists them without [fit]; found '82'"),
        (fit(red__coupling="100 V"),
         "fit.red/coupling: must be a number in F, such as \"100n\", \"2u2\" or \"5 pF\", or the key of a part "
         "such as capacitor/ceramic/smd/100n/50; found '100 V'"),
        (fit(red__coupling="47u"),
         "fit.red/coupling: no smd ceramic X7R capacitor of 47u covers 50 V; take another kind, a smaller value or a "
         "lower voltage; found '47u'"),
        (fit(panel__switch="2k2"),
         "fit.panel/switch: must be the whole part by its key, such as panel-switch/4: a panel-switch is not chosen by "
         "a value; found '2k2'"),
        (fit(red__coupling="capacitor/ceramic/smd/100x/50"),
         "fit.red/coupling: must be the key of a part in the catalogue; near it: capacitor/ceramic/smd/1u/50, "
         "capacitor/ceramic/smd/470n/50, capacitor/ceramic/smd/10u/16; found 'capacitor/ceramic/smd/100x/50'"),
        (fit(red__coupling="relay/5/smd"),
         "fit.red/coupling: must be a part of the kind of capacitor/ceramic/smd/100n/50; relay/5/smd is another; "
         "found 'relay/5/smd'"),
        (fit(panel__switch="panel-switch/2"),
         "fit.panel/switch: must have the same pins as panel-switch/4; those of panel-switch/2 differ; "
         "found 'panel-switch/2'"),
    ],
)  # fmt: skip
def test_what_does_not_go_is_refused(changes: dict[str, object], message: str) -> None:
    assert refused(changes) == message


def test_bill_wiring_and_listing_say_who_chose() -> None:
    made = variant({"fit": {"input-1/red/termination": "82", "panel/switch": "panel-switch/4"}})
    circuit = compose(made)
    rows = list(csv.DictReader(io.StringIO(bom_text(circuit, ""))))
    marked = {row["references"]: row["chosen"] for row in rows if row["chosen"]}
    assert marked == {
        "R101": "chosen by you: R101 in place of 75R",
        "S1": f"chosen by you: S1 in place of {rows_of('S1')}",
    }
    wires = list(csv.DictReader(io.StringIO(wiring_text(circuit, ""))))
    switch = [w for w in wires if "S1" in w["from"] + w["to"]]
    assert switch and all("[chosen by you]" in w["from"] + w["to"] for w in switch)
    assert not any("[chosen by you]" in w["from"] + w["to"] for w in wires if w not in switch)
    listed = "\n".join(values(circuit))
    assert "82R" in listed and "chosen by you in place of 75R" in listed


def rows_of(ref: str) -> str:
    return next(p.value for p in compose(variant()).parts if p.ref == ref)


def test_without_a_choice_nothing_is_marked() -> None:
    circuit = compose(variant())
    assert not any(p.instead_of for p in circuit.parts)
    assert "chosen by you" not in bom_text(circuit, "") + wiring_text(circuit, "")
