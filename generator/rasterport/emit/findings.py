"""findings.json: every finding in strict JSON, numbers with at most four significant digits."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from rasterport.records import COLOURS, LINES, Figure, Finding, Outcome
from rasterport.units import significant

FORMAT = 2
SIGNIFICANT = 4


def findings_text(
    findings: tuple[Finding, ...],
    figures: tuple[Figure, ...],
    variant: str,
    digest: str,
    remark: str,
    states: tuple[Outcome, ...] = (),
    origins: Mapping[str, str] | None = None,
) -> str:
    """The file.  `remark` is there only when the board was written despite errors, `origins` where a value of the set
    comes from a processor's row or stands in for what is unknown.

    A figure takes one line, and so does an outcome of the states, so that a change of the variant shows line by line.
    """
    content: dict[str, Any] = {"format": FORMAT, "variant": variant, "digest": digest}
    if remark:
        content["remark"] = remark
    if origins:
        content["origins"] = dict(origins)
    content["findings"] = [_record(f) for f in findings]
    content["definitions"] = {f.key: [f.title, f.unit, f.formula, f.source] for f in figures}
    text = json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False)
    rows = [("figures", _rows(map(_figure, figures))), ("states", _rows(map(_outcome, states)))]
    return text.removesuffix("\n}") + "".join(f',\n "{name}": {lines}' for name, lines in rows) + "\n}\n"


def _rows(records: Iterable[dict[str, Any]]) -> str:
    """A list with one line a record."""
    lines = ",\n".join("  " + json.dumps(r, ensure_ascii=False, allow_nan=False) for r in records)
    return f"[\n{lines}\n ]" if lines else "[]"


def _outcome(outcome: Outcome) -> dict[str, Any]:
    """An outcome in one line: relays and doubts only where there are any."""
    found: dict[str, Any] = {"wanted": outcome.wanted, "rail": outcome.rail, **dict(outcome.reaches)}
    found["blanking"] = outcome.blanking
    if outcome.relays:
        found["relays"] = dict(outcome.relays)
    if outcome.undecided:
        found["undecided"] = outcome.undecided
    return found | {"condition": outcome.condition, "states": outcome.states}


def _figure(figure: Figure) -> dict[str, Any]:
    """A figure in one line: what nobody asks for is left out."""
    found: dict[str, Any] = {"figure": figure.key, "subject": figure.subject, "state": figure.state}
    found |= {name: significant(getattr(figure, name), SIGNIFICANT) for name in ("nominal", "low", "high")}
    found |= {"low_corner": figure.low_corner, "high_corner": figure.high_corner}
    if figure.at_least:
        found["at_least"] = True
    return found


def _record(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": finding.severity,
        "subject": finding.subject,
        "message": finding.message,
        "measured": _number(finding.measured),
        "unit": finding.unit,
        "limit": _number(finding.limit),
        "sense": finding.sense,
        "source": finding.source,
        "confidence": finding.confidence,
        "state": finding.state,
        "corner": finding.corner,
        "reason": finding.reason,
        "figure": finding.figure,
        "warning_limit": _number(finding.warning_limit),
        "error_limit": _number(finding.error_limit),
    }


def _number(value: float | None) -> float | None:
    return None if value is None else significant(value, SIGNIFICANT)


def results_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of findings.json."""
    words = {"type": "string"}
    figure = {"type": ["number", "null"]}
    number = {"type": "number"}
    measured = {
        **dict.fromkeys(("figure", "subject", "state", "low_corner", "high_corner"), words),
        **dict.fromkeys(("nominal", "low", "high"), number),
        "at_least": {"const": True},
    }
    outcome: dict[str, Any] = {
        **dict.fromkeys(("wanted", *LINES, "blanking", "condition", "undecided"), words),
        "rail": {"enum": ["on", "off"]},
        "relays": {"type": "object", "additionalProperties": {"enum": ["on", "off", "?"]}},
        "states": {"type": "integer", "minimum": 1},
    }
    properties: dict[str, Any] = {
        "code": {"type": "string", "pattern": "^F[1-9][0-9]{2}$"},
        "severity": {"enum": ["error", "warning", "note", "met"]},
        **dict.fromkeys(("subject", "message", "unit", "source", "confidence", "state", "corner", "reason"), words),
        "figure": words,
        "warning_limit": figure,
        "error_limit": figure,
        "measured": figure,
        "limit": figure,
        "sense": {"enum": ["", "least", "most"]},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Findings of a Rasterport build",
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "variant", "digest", "findings", "definitions", "figures", "states"],
        "properties": {
            "format": {"const": FORMAT},
            "variant": words,
            "digest": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
            "remark": words,
            "origins": {
                "description": "key -> where its value comes from, of those that no variant file states",
                "type": "object",
                "additionalProperties": words,
            },
            "definitions": {
                "description": "figure -> title, unit, formula, source of the formula",
                "type": "object",
                "additionalProperties": {"type": "array", "items": words, "minItems": 4, "maxItems": 4},
            },
            "figures": {
                "type": "array",
                "items": {
                    "type": "object",
                    "additionalProperties": False,
                    "required": [name for name in measured if name != "at_least"],
                    "properties": measured,
                },
            },
            "states": {
                "description": "every distinct outcome of the switching, with the condition that leads to it",
                "type": "array",
                "items": {
                    "type": "object",
                    "additionalProperties": False,
                    "required": ["wanted", "rail", *COLOURS, "sync", "blanking", "condition", "states"],
                    "properties": outcome,
                },
            },
            "findings": {
                "type": "array",
                "items": {
                    "type": "object",
                    "additionalProperties": False,
                    "required": list(properties),
                    "properties": properties,
                },
            },
        },
    }
