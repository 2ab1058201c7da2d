"""JSON Schema (2020-12) of the variant file, made from the models, so that an editor checks a file as it is typed."""

from __future__ import annotations

from typing import Any

from rasterport.variant.fields import UNKNOWN
from rasterport.variant.keys import LISTED, Key, heading, keys_by_path, tables
from rasterport.variant.models import INPUTS, Variant
from rasterport.variant.resolve import NAME

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def variant_schema() -> dict[str, Any]:
    """The schema as plain data.  Quantities are strings of our grammar, or numbers where those are clear."""
    made = Variant.model_json_schema()
    definitions = made.pop("$defs")
    schema: dict[str, Any] = {"$schema": DIALECT, **made, "$defs": definitions}
    by_path = keys_by_path()
    for path, model in tables().items():
        part = definitions[model.__name__] if path else schema
        part["title"] = heading(path) if path else "Rasterport variant file"
        for name, member in part["properties"].items():
            part["properties"][name] = _member(member, by_path.get((*path, name)))
    inputs = schema["properties"]["input"]
    inputs["minItems"], inputs["maxItems"] = 1, INPUTS
    schema["if"] = {"properties": {"variant": {"required": ["like"]}}, "required": ["variant"]}
    schema["then"] = {"required": ["variant"]}
    schema["else"] = _whole(schema, definitions)
    return schema


VERIFIED = {
    "if": {"properties": {"signal_ground": {"const": "isolated"}}, "required": ["signal_ground"]},
    "then": {
        "properties": {"ground_verified": {"pattern": r"^(?!\s*[Uu][Nn][Kk][Nn][Oo][Ww][Nn]\s*$)[\s\S]*\S"}},
        "required": ["ground_verified"],
    },
}
"""Whoever says that the ground is isolated says how that was verified."""


def _whole(schema: dict[str, Any], definitions: dict[str, Any]) -> dict[str, Any]:
    """What a file must state that is like no other: keys are taken out of their tables' own `required`.

    A name is a file's own in any case, and rows of a list are taken whole or not at all.
    """
    whole: dict[str, Any] = {}
    for path, model in tables().items():
        if path in LISTED:
            continue
        part = definitions[model.__name__] if path else schema
        asked = part.pop("required", [])
        if path == NAME[:-1]:
            part["required"] = list(NAME[-1:])
        here = whole
        for name in path:
            here = here.setdefault("properties", {}).setdefault(name, {})
        here.update({"required": asked} if asked else {}, **(VERIFIED if path == ("set",) else {}))
    return whole


def _member(member: dict[str, Any], key: Key | None) -> dict[str, Any]:
    """One key or table: TOML has no null, an editor shows the default as it is written, titles say nothing new."""
    options = [option for option in member.get("anyOf", []) if option != {"type": "null"}]
    kept = {name: value for name, value in member.items() if name not in ("title", "default", "anyOf")}
    if len(options) == 1:
        kept = {**options[0], **kept}
    elif options:
        kept["anyOf"] = options
    if "patternProperties" in kept:
        kept["additionalProperties"] = False
    if key is not None and key.unknown is not None:
        kept = _or_unknown(kept)
    if key is not None and key.default:
        kept["default"] = key.default.strip('"') if key.quantity else member["default"]
    return kept


def _or_unknown(kept: dict[str, Any]) -> dict[str, Any]:
    """What a key may hold, or the word for what nobody knows yet."""
    about = {name: kept.pop(name) for name in ("description",) if name in kept}
    options = kept.pop("anyOf") if set(kept) == {"anyOf"} else [kept]
    return {**about, "anyOf": [*options, {"const": UNKNOWN}]}
