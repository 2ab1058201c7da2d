"""The wiring list: the work on the chassis before the wires, the way back after them, every place where it belongs."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from making import TEMPLATE_NAMES, examined, several, template, variant
from rasterport.circuit import compose
from rasterport.emit import listing
from rasterport.emit.wiring import HEADER, wiring_text
from rasterport.records import SCREENS, Circuit
from rasterport.variant.base import Table
from rasterport.variant.keys import keys
from rasterport.variant.models import Variant

AWKWARD = 'lift "C301", the end\nat R301; é µ 日本'
WORK: list[dict[str, str]] = [
    {"kind": "lift", "do": AWKWARD, "at": "beside IC201", "undo": "solder C301 back"},
    {"kind": "cut", "do": "cut the track to C221", "at": "under IC201", "undo": "bridge the track"},
    {"kind": "lift", "do": "lift R75", "undo": "solder R75 back"},
    {"kind": "other", "do": "take the shield off"},
]

WORK_STEP, BACK_STEP = "work on the chassis", "way back"


def rows(circuit: Circuit, remark: str = "") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(wiring_text(circuit, remark))))


def worked() -> Circuit:
    return compose(variant({"set.work": WORK}))


def test_the_work_comes_before_the_wires_to_the_chassis_and_its_reverse_last() -> None:
    circuit = worked()
    found = rows(circuit)
    steps = [row["carries"].split(":")[0] for row in found]
    own = [wire.carries for wire in circuit.wires if not wire.inside]
    inside = [wire.carries for wire in circuit.wires if wire.inside]
    assert own and inside
    assert steps == own + [WORK_STEP] * 5 + inside + [BACK_STEP] * 5
    assert [row["order"] for row in found] == [str(n) for n in range(1, len(found) + 1)]
    found = found[len(own) :]
    assert found[0]["from"] == "in all 2 parts lifted, 1 track cut, 1 other step"
    told = [(row["from"], row["place"], row["carries"]) for row in found[1:5]]
    assert told == [(w["do"], w.get("at", ""), f"{WORK_STEP}: {w['kind']}") for w in WORK]
    back = [(row["from"], row["place"]) for row in found[-4:]]
    assert back == [
        ("no way back is stated for: take the shield off", ""),
        ("solder R75 back", ""),
        ("bridge the track", "under IC201"),
        ("solder C301 back", "beside IC201"),
    ]
    assert "last one first" in found[-5]["from"]


def test_the_wires_are_the_same_with_and_without_work() -> None:
    wires = [{**row, "order": ""} for row in rows(worked()) if row["to"]]
    assert wires == [{**row, "order": ""} for row in rows(compose(variant()))]
    assert wires


def test_every_row_has_every_cell() -> None:
    lines = list(csv.reader(io.StringIO(wiring_text(worked(), ""))))
    assert {len(line) for line in lines} == {len(HEADER)}


PLACES = [key for key in keys() if key.name.startswith("at") or key.name.endswith("_at")]
PLACES = [key for key in PLACES if key.table not in (("set", "work"), ("board", "place"), ("input",))]
CASES: dict[str, Variant] = {
    **{name: template(name) for name in TEMPLATE_NAMES},
    "driven, three by relay": several(3, "relay", "status", {"set.blanking.native": "driven"}),
}


def with_places(made: Variant, landing: str) -> Variant:
    """The variant with a text of its own in each key that names a place."""

    def marked(model: Table, path: tuple[str, ...]) -> Table:
        update: dict[str, Any] = {k.name: f"<{'.'.join(k.path)}>" for k in PLACES if k.table == path}
        for name in type(model).model_fields:
            inner = getattr(model, name)
            if isinstance(inner, Table):
                update[name] = marked(inner, (*path, name))
        return model.model_copy(update=update)

    found = marked(made, ())
    assert isinstance(found, Variant)
    return found.model_copy(update={"board": made.board.model_copy(update={"landing": landing})})


@pytest.mark.parametrize("pads", ["header", "pads"])
@pytest.mark.parametrize("name", CASES)
def test_every_landing_has_its_place_wherever_it_is_printed(name: str, pads: str) -> None:
    """Each key that names a place gets a text of its own; every landing must show exactly its own."""
    circuit = compose(with_places(CASES[name], pads))
    found = {row["to"]: row["place"] for row in rows(circuit) if row["to"].endswith(" landing")}
    landings = [landed for landed in circuit.landed if landed.name != SCREENS]
    assert set(found) == {f"{landed.name} landing" for landed in landings}
    printed = {line.split()[0]: line.split(maxsplit=1)[1] for line in listing.landings(circuit)}
    assert set(printed) == {landed.name for landed in landings}
    for landed in landings:
        place, landing_net = found[f"{landed.name} landing"], circuit.landing_net(landed.name) or ""
        assert place == f"<{PLACE_OF[landed.name]}>"
        assert printed[landed.name].endswith(place)
        begins = printed[landed.name].split()[0]  # without a printed board at a part of the landing's net
        assert begins in ([ref for ref, _ in circuit.nets()[landing_net]] if circuit.wired else [landed.ref])


PLACE_OF = {
    "ground": "set.ground_at",
    "ground-2": "set.second_ground_at",
    "ground-3": "set.ground_at",
    "rail": "set.supply.at",
    "gate": "selector.gate_at",
    "sync": "set.sync.at",
    "sync-native": "set.sync.at_native",
    "left": "set.audio.at_left",
    "left-native": "set.audio.at_native_left",
    "right": "set.audio.at_right",
    "right-native": "set.audio.at_native_right",
    "red": "set.rgb.at_red",
    "green": "set.rgb.at_green",
    "blue": "set.rgb.at_blue",
    "blanking": "set.blanking.at",
    "blanking-native": "set.blanking.at_native",
    "display-red": "set.display.at_red",
    "display-green": "set.display.at_green",
    "display-blue": "set.display.at_blue",
    "display-blanking": "set.display.at_blanking",
}


def test_every_key_that_names_a_place_belongs_to_a_landing() -> None:
    assert {".".join(key.path) for key in PLACES} == set(PLACE_OF.values())


def test_a_landing_without_a_place_is_said() -> None:
    circuit, findings = examined(variant({"set.rgb.at_red": "R5", "set.ground_at": "C1"}))
    (finding,) = (f for f in findings if f.code == "F808")
    assert finding.severity == "warning"
    missing = {landed.name for landed in circuit.landed} - {"red", "ground", "ground-3", "screens"}
    assert set(finding.message.split(": ")[1].split(", ")) == missing
    assert any(line.endswith("the variant does not say where") for line in listing.landings(circuit))
