"""What every check works on, and how a measured figure becomes a finding."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from types import ModuleType

from rasterport import checks
from rasterport.analysis.figures import Figures
from rasterport.analysis.intent import Proof
from rasterport.analysis.setup import Setup
from rasterport.design import refusals
from rasterport.records import SEVERITIES, Circuit, Figure, Finding, Missing, Severity
from rasterport.standards.limits import LIMITS, Limit
from rasterport.units import MARGIN
from rasterport.variant.models import Variant
from rasterport.variant.resolve import Resolved


@dataclass
class Bench(Setup):
    """One variant and its finished circuit with every figure; what the checks judge."""

    pixel_clocks_hz: tuple[float, ...] = ()
    resolved: Resolved | None = None
    _figures: list[Figures] = field(default_factory=list)

    @property
    def figures(self) -> Figures:
        """The figures of the board, each worked out when somebody asks for it."""
        if not self._figures:
            self._figures.append(Figures(self, self.pixel_clocks_hz))
        return self._figures[0]

    @cached_property
    def missing(self) -> tuple[Missing, ...]:
        """The keys that are unknown, what decides most first; worked out on boards with the other ends of each."""
        if self.resolved is None or not self.resolved.unknown:
            return ()
        from rasterport.checks.unknowns import missing

        design = self.variant.model_copy(update={"built": ()})  # what was read on one board decides nothing here
        known = replace(self, variant=design, resolved=None, _figures=self._figures)
        return missing(self.resolved, self.circuit, judged(known))

    @cached_property
    def proof(self) -> Proof:
        """The switching of the board, walked through every state."""
        return Proof(self.circuit, self.variant, self.control.poses.place)

    def figure(self, key: str, subject: str) -> Figure:
        """A figure in the state in which the input is chosen.  Raises KeyError for one that the board does not have."""
        return self.figures.get(key, subject, self.state)

    def has(self, key: str, subject: str) -> bool:
        """Whether the board has this figure in the state in which the input is chosen."""
        return self.figures.has(key, subject, self.state)

    def losses(self, line: str) -> list[Figure]:
        """Return loss at a contact of the input in every state."""
        here, anywhere = (line, self.state), self.contact_subject(line)
        return [f for f in self.figures.under("return-loss") if (f.subject, f.state) == here or f.subject == anywhere]


def judge(
    code: str,
    figure: Figure,
    limit: Limit | str,
    what: str,
    *,
    reason: str = "",
    instead: tuple[str, str] | None = None,
) -> Finding:
    """A finding for the worse end of a figure against a limit (or its key); "met" when it is kept.

    `instead` is (wording when met, wording when not) where one sentence does not serve for both.
    """
    row = LIMITS[limit] if isinstance(limit, str) else limit
    least = row.sense == "least"
    value, corner = (figure.low, figure.low_corner) if least else (figure.high, figure.high_corner)
    severity: Severity = row.severity(value) or "met"
    return Finding(
        code,
        severity,
        figure.subject,
        what if instead is None else instead[severity != "met"],
        value,
        row.error if severity == "error" or row.warning is None else row.warning,
        row.unit,
        row.sense,
        row.source,
        row.confidence,
        figure.state,
        corner if figure.parts or corner != "nominal" else "",
        reason,
        figure.key,
        row.warning,
        row.error,
    )


def less_reflected(bench: Bench) -> str:
    """What helps a return loss: words that follow what is wrong.  Common practice, no source."""
    if bench.control.analog:
        helps = "the capacitance of the analog switches decides, which the paths relay and gang do not have"
    else:
        helps = "less capacitance and closer resistors behind the contact help"
    return f"; what comes back to the source shows beside edges: {helps}"


def highest(figures: Iterable[Figure]) -> Figure:
    """The figure with the highest worst case; of those that differ by rounding alone the first.

    Raises ValueError without figures.
    """
    found = list(figures)
    most = max(f.high for f in found)
    return next(f for f in found if f.high >= most - MARGIN * abs(most))


def lowest(figures: Iterable[Figure]) -> Figure:
    """The figure with the lowest worst case; of those that differ by rounding alone the first."""
    found = list(figures)
    least = min(f.low for f in found)
    return next(f for f in found if f.low <= least + MARGIN * abs(least))


def within(key: str, sense: str, warning: float | None, error: float | None, unit: str, source: str) -> Limit:
    """A limit that comes from the variant file instead of the table."""
    return Limit(key, "least" if sense == "least" else "most", warning, error, unit, source, "from the variant file")


def note(
    code: str, subject: str, message: str, source: str, severity: Severity = "note", state: str = "any"
) -> Finding:
    """A finding without a figure."""
    return Finding(code, severity, subject, message, source=source, state=state)


RARE: Mapping[str, Callable[[Bench], bool]] = {
    "black": lambda bench: bench.variant.set.rgb.pin_kind == "analog-dc",
    "built": lambda bench: bool(bench.variant.built),
    "constructions": lambda bench: bench.circuit.wired or any(s.mounting != "board" for s in bench.variant.input),
    "display_blanking": lambda bench: bench.variant.set.display is not None,
    "gate": lambda bench: bench.variant.selector.gate == "line",
    "menus": lambda bench: bench.variant.set.display is not None,
    "opaque": lambda bench: bench.variant.set.display is not None,
    "trimming": lambda bench: bench.variant.board.trimmers,
    "yielding": lambda bench: bench.variant.set.display is not None,
}
"""Check modules that few boards need -> whether this one does; it spares their import and decides nothing.  Never
narrower than what the module looks for, and told by the variant, so that a fault of the nets hides nothing."""
NO_CHECKS = ("bench", "unknowns")
"""Modules beside the checks that hold none."""


def modules(bench: Bench | None = None) -> tuple[ModuleType, ...]:
    """The check modules in the order of their names: all of them, or those that a board needs."""
    names = sorted({info.name for info in pkgutil.iter_modules(checks.__path__)} - {*NO_CHECKS})
    wanted = [name for name in names if bench is None or name not in RARE or RARE[name](bench)]
    return tuple(importlib.import_module(f"{checks.__name__}.{name}") for name in wanted)


@cache
def codes() -> dict[str, str]:
    """What each number is about, refusals included, in the order of the numbers."""
    told = (refusals.codes(), *(module.CODES for module in modules()))
    return dict(sorted((code, text) for found in told for code, text in found.items()))


def examine(variant: Variant, circuit: Circuit) -> tuple[Finding, ...]:
    """Every finding of a variant, gravest first, then by number and subject."""
    return judged(Bench(variant, circuit))


def judged(bench: Bench) -> tuple[Finding, ...]:
    """Every finding of what stands on a bench, gravest first, then by number and subject."""
    found: list[Finding] = []
    for module in modules(bench):
        check: object = module.check
        if callable(check):
            found += _run(check(bench), module)
    if bench.origins:
        found = [replace(f, source=sourced(f.source, bench.origins)) for f in found]
    return tuple(sorted(found, key=lambda f: (SEVERITIES.index(f.severity), f.code, f.subject, f.state)))


_KEY = re.compile(r"\b(?:set|selector|input-[1-8])\.[a-z_.]*[a-z_]")


def sourced(text: str, origins: Mapping[str, str]) -> str:
    """A text that names keys, with where each comes from that is not written in a variant file."""
    return _KEY.sub(lambda m: f"{m[0]} [{origins[m[0]]}]" if m[0] in origins else m[0], text)


def _run(findings: Iterator[Finding], module: ModuleType) -> list[Finding]:
    result = list(findings)
    for finding in result:
        if finding.code not in module.CODES:
            raise LookupError(f"{module.__name__} has no code {finding.code}")
    return result
