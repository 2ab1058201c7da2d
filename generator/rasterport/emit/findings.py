"""findings.json: every finding in strict JSON, numbers with at most four significant digits."""

from __future__ import annotations

import json
from typing import Any

from rasterport.records import Finding
from rasterport.units import significant

FORMAT = 1
SIGNIFICANT = 4


def findings_text(findings: tuple[Finding, ...], variant: str, digest: str, remark: str) -> str:
    """The file.  `remark` is there only when the board was written despite errors."""
    content: dict[str, Any] = {"format": FORMAT, "variant": variant, "digest": digest}
    if remark:
        content["remark"] = remark
    content["findings"] = [_record(f) for f in findings]
    return json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


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
    }


def _number(value: float | None) -> float | None:
    return None if value is None else significant(value, SIGNIFICANT)


def results_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of findings.json."""
    words = {"type": "string"}
    figure = {"type": ["number", "null"]}
    properties: dict[str, Any] = {
        "code": {"type": "string", "pattern": "^F[1-9][0-9]{2}$"},
        "severity": {"enum": ["error", "warning", "note", "met"]},
        **dict.fromkeys(("subject", "message", "unit", "source", "confidence", "state", "corner", "reason"), words),
        "measured": figure,
        "limit": figure,
        "sense": {"enum": ["", "least", "most"]},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Findings of a Rasterport build",
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "variant", "digest", "findings"],
        "properties": {
            "format": {"const": FORMAT},
            "variant": words,
            "digest": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
            "remark": words,
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
