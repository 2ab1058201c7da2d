"""What every check works on, and how a measured figure becomes a finding."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import ModuleType

from rasterport import checks
from rasterport.analysis.control import Control
from rasterport.analysis.lines import Line, line_between
from rasterport.analysis.network import contact_nets
from rasterport.records import COLOURS, SEVERITIES, Circuit, Finding, Severity
from rasterport.standards.limits import LIMITS, Limit
from rasterport.variant.models import Variant


@dataclass
class Bench:
    """One variant and its finished circuit; lines are found once and shared by the checks."""

    variant: Variant
    circuit: Circuit
    _lines: dict[str, Line] = field(default_factory=dict)

    @cached_property
    def contacts(self) -> Mapping[str, str]:
        """Socket function -> net, read from the socket in the netlist."""
        return contact_nets(self.circuit, self.variant)

    @cached_property
    def control(self) -> Control:
        """The control parts as networks, and the board's elements in every state."""
        return Control(self.circuit, self.variant)

    def line(self, contact: str, landing: str) -> Line | None:
        """The line from a socket function to a landing, None where the board has either not."""
        start, end = self.contacts.get(contact), self.circuit.landing_net(landing)
        if start is None or end is None:
            return None
        key = f"{contact}>{landing}"
        if key not in self._lines:
            board = self.control.elements("input-1")
            self._lines[key] = line_between(board, self.circuit, self.variant, start, end, self.control.rails)
        return self._lines[key]

    def colours(self) -> dict[str, Line]:
        """The three colour lines that lead somewhere."""
        found = {c: self.line(c, c) for c in COLOURS}
        return {c: line for c, line in found.items() if line is not None}


def judge(
    code: str,
    subject: str,
    value: float,
    limit: Limit | str,
    what: str,
    *,
    state: str = "input-1",
    corner: str = "",
    reason: str = "",
    instead: tuple[str, str] | None = None,
) -> Finding:
    """A finding for `value` against a limit (or its key); "met" when it is kept.

    `limit` in the record is the bound that was broken, the nearer one when none was.  `instead` is
    (wording when met, wording when not) where one sentence does not serve for both.
    """
    row = LIMITS[limit] if isinstance(limit, str) else limit
    severity: Severity = row.severity(value) or "met"
    bound = row.error if severity == "error" or row.warning is None else row.warning
    message = what if instead is None else instead[severity != "met"]
    return Finding(
        code,
        severity,
        subject,
        message,
        value,
        bound,
        row.unit,
        row.sense,
        row.source,
        row.confidence,
        state,
        corner,
        reason,
    )


def within(key: str, sense: str, warning: float | None, error: float | None, unit: str, source: str) -> Limit:
    """A limit that comes from the variant file instead of the table."""
    return Limit(key, "least" if sense == "least" else "most", warning, error, unit, source, "from the variant file")


def note(
    code: str, subject: str, message: str, source: str, severity: Severity = "note", state: str = "any"
) -> Finding:
    """A finding without a figure."""
    return Finding(code, severity, subject, message, source=source, state=state)


def modules() -> tuple[ModuleType, ...]:
    """The check modules, in the order of their names."""
    names = sorted(info.name for info in pkgutil.iter_modules(checks.__path__))
    found = (importlib.import_module(f"{checks.__name__}.{name}") for name in names)
    return tuple(module for module in found if hasattr(module, "check"))


def examine(variant: Variant, circuit: Circuit) -> tuple[Finding, ...]:
    """Every finding of a variant, gravest first, then by number and subject."""
    bench = Bench(variant, circuit)
    found: list[Finding] = []
    for module in modules():
        check: object = module.check
        if callable(check):
            found += _run(check(bench), module)
    return tuple(sorted(found, key=lambda f: (SEVERITIES.index(f.severity), f.code, f.subject, f.state)))


def _run(findings: Iterator[Finding], module: ModuleType) -> list[Finding]:
    result = list(findings)
    for finding in result:
        if finding.code not in module.CODES:
            raise LookupError(f"{module.__name__} has no code {finding.code}")
    return result
