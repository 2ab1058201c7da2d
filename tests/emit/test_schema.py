"""JSON Schema of the variant file: it takes what the models take and refuses what a schema can refuse.

The checker below knows the few words that the schema uses and fails on any other.
"""

from __future__ import annotations

import json
import re
import tomllib
from typing import Any

import pytest
from pydantic import ValidationError

from rasterport.emit.schema import variant_schema
from rasterport.variant.keys import keys
from rasterport.variant.models import Variant
from rasterport.variant.templates import template_names, template_text
from variant.minimal import changed, minimal

SCHEMA = variant_schema()
SILENT = {"$schema", "$defs", "title", "description", "default"}


def fits(value: Any, schema: dict[str, Any] = SCHEMA) -> bool:
    """Whether a value satisfies a schema, by the meaning that JSON Schema 2020-12 gives its words."""
    return all(_word(word, bound, value, schema) for word, bound in schema.items() if word not in SILENT)


def _word(word: str, bound: Any, value: Any, schema: dict[str, Any]) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    match word:
        case "$ref":
            return fits(value, SCHEMA["$defs"][bound.removeprefix("#/$defs/")])
        case "type":
            kinds = {"object": dict, "array": list, "string": str, "boolean": bool}
            if bound == "integer":
                return number and value == int(value)
            return number if bound == "number" else isinstance(value, kinds[bound])
        case "enum":
            return value in bound
        case "const":
            return value == bound
        case "anyOf":
            return any(fits(value, option) for option in bound)
        case "pattern":
            return not isinstance(value, str) or re.search(bound, value) is not None
        case "maxLength":
            return not isinstance(value, str) or len(value) <= bound
        case "minimum":
            return not number or value >= bound
        case "maximum":
            return not number or value <= bound
        case "minItems":
            return not isinstance(value, list) or len(value) >= bound
        case "maxItems":
            return not isinstance(value, list) or len(value) <= bound
        case "items":
            return not isinstance(value, list) or all(fits(item, bound) for item in value)
        case "properties":
            return not isinstance(value, dict) or all(fits(value[k], s) for k, s in bound.items() if k in value)
        case "required":
            return not isinstance(value, dict) or all(k in value for k in bound)
        case "maxProperties":
            return not isinstance(value, dict) or len(value) <= bound
        case "propertyNames":
            return not isinstance(value, dict) or all(fits(name, bound) for name in value)
        case "patternProperties":
            items = value.items() if isinstance(value, dict) else ()
            return all(fits(item, s) for name, item in items for p, s in bound.items() if re.search(p, name))
        case "minLength":
            return not isinstance(value, str) or len(value) >= bound
        case "additionalProperties":
            assert bound is False
            known, patterns = schema.get("properties", {}), schema.get("patternProperties", {})
            return not isinstance(value, dict) or all(
                name in known or any(re.search(p, name) for p in patterns) for name in value
            )
        case "if":
            return fits(value, schema["then"] if fits(value, bound) else schema.get("else", {}))
        case "then" | "else":
            return True
        case _:
            raise AssertionError(f"the checker does not know {word}")


def test_dialect_and_plain_data() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    assert '"null"' not in json.dumps(SCHEMA)


@pytest.mark.parametrize("name", template_names())
def test_templates_fit(name: str) -> None:
    assert fits(tomllib.loads(template_text(name)))


def test_minimal_fits_and_every_required_key_is_required() -> None:
    assert fits(tomllib.loads(minimal()))
    for key in keys():
        if key.required and key.table != ("set", "audio"):
            assert not fits(tomllib.loads(changed(".".join(key.table), key.name, None))), key.path


def test_a_file_that_is_like_another_states_what_it_likes() -> None:
    like = '[variant]\nname = "own"\nlike = "base.toml"\n'
    assert fits(tomllib.loads(like))
    assert fits(
        tomllib.loads(like + '[set]\nlines = "both"\n[set.supply]\ntolerance = "unknown"\n[fit]\n"a/b" = "82"\n')
    )
    assert not fits(tomllib.loads(like.replace('name = "own"\n', "")))
    assert not fits(tomllib.loads(like + '[set]\nlines = "819/50"\n'))
    assert not fits(tomllib.loads(like + "[[input]]\n")), "an input is taken whole or not at all"
    assert not fits(tomllib.loads('[variant]\nname = "own"\n'))
    assert not fits(tomllib.loads('[set]\nlines = "both"\n'))


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("set.rgb", "white_levle", '"0.7 V"'),
        ("set.rgb", "white_level", '"1,5 V"'),
        ("set.rgb", "white_level", "3.0"),
        ("set.rgb", "white_level", '"5 ohm"'),
        ("set.rgb", "coupling_fitted", '"1e-7"'),
        ("set.rgb", "coupling_fitted", "1e-7"),
        ("set.rgb", "lead_length", "2"),
        ("set.rgb", "termination_fitted", '"yes"'),
        ("set.supply", "tolerance", "5"),
        ("set.supply", "tolerance", '"5"'),
        ("set.supply", "spare_current", "0.1"),
        ("set", "lines", '"60"'),
        ("set", "ground_verified", '" "'),
        ("set", "ground_verified", None),
        ("set", "ground_verified", '"unknown"'),
        ("set", "ground_verified", '" Unknown "'),
        ("variant", "name", '"con"'),
        ("variant", "name", '"Kestrel"'),
        ("variant", "notes", '"a\\tb"'),
        ("variant", "notes", f'"{"x" * 2001}"'),
        ("input", "status_contact", "12"),
        ("input", "status_contact", '"16"'),
    ],
)
def test_schema_and_models_refuse_alike(table: str, key: str, value: str | None) -> None:
    file = tomllib.loads(changed(table, key, value))
    with pytest.raises(ValidationError):
        Variant.model_validate(file)
    assert not fits(file)


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("set.rgb", "white_level", '"0.7"'),
        ("set.rgb", "white_level", "0.7"),
        ("set.rgb", "resistance", '"4k7"'),
        ("set.rgb", "resistance", "4700"),
        ("set.rgb", "coupling_fitted", '"2.2 \u00b5F"'),
        ("set.rgb", "capacitance", "0"),
        ("set.rgb", "lead_length", '"60 mm"'),
        ("set.supply", "tolerance", '"5 %"'),
        ("set", "ground_verified", '"by a test unknown to me"'),
        ("variant", "notes", '"""a\nb"""'),
        ("input", "status_contact", "16"),
        ("board", "supply_element", '"ptc"'),
    ],
)
def test_schema_and_models_take_alike(table: str, key: str, value: str) -> None:
    file = tomllib.loads(changed(table, key, value))
    Variant.model_validate(file)
    assert fits(file)


@pytest.mark.parametrize(("more", "good"), [(0, True), (1, True), (7, True), (8, False)])
def test_one_to_eight_inputs(more: int, good: bool) -> None:
    file = tomllib.loads(minimal() + more * '[[input]]\nsocket = "de-15"\n')
    assert fits(file) is good
    if good:
        assert len(Variant.model_validate(file).input) == more + 1


def test_no_input_at_all() -> None:
    file = tomllib.loads(minimal())
    assert not fits({**file, "input": []})
    del file["input"]
    assert not fits(file)


def test_defaults_are_shown_as_they_are_written() -> None:
    rgb = SCHEMA["$defs"]["Rgb"]["properties"]
    assert rgb["white_level"]["default"] == "0.7 V"
    assert rgb["leakage"]["default"] == "0.1 uA"
    assert rgb["termination_fitted"]["default"] is False
    assert "default" not in rgb["coupling_fitted"]
    for part in SCHEMA["$defs"].values():
        for member in part["properties"].values():
            assert "default" not in member or fits(member["default"], member)


def test_every_key_is_described() -> None:
    for part in SCHEMA["$defs"].values():
        for name, member in part["properties"].items():
            assert member.get("description") or "$ref" in member, name
