"""What `check` and `build` print: values with their reasons, findings, the limits that are kept."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rasterport.emit.order import natural
from rasterport.records import LINES, Circuit, Finding
from rasterport.units import significant, written

WIDTH = 100
VALUE_WIDTH = 12


def figure(value: float, unit: str) -> str:
    """A figure of a finding as text; a share of a rating (unit "1") in percent."""
    if unit in ("%", "1"):
        return f"{significant(value * (100 if unit == '1' else 1)):.10g} %"
    return written(value, unit)


def values(circuit: Circuit) -> Iterator[str]:
    """Every part with its value, its role and the reason of its value, in the order of the references.

    Parts that differ in nothing but a colour or a channel follow each other; the reason stands once.
    """
    parts = sorted(circuit.parts, key=lambda p: natural(p.ref))
    for n, p in enumerate(parts):
        yield f"  {p.ref:<5} {p.value:<{VALUE_WIDTH}}  {p.role}"
        following = parts[n + 1] if n + 1 < len(parts) else None
        if following is None or (following.value, following.reason) != (p.value, p.reason):
            yield from textwrap.wrap(p.reason, WIDTH, initial_indent=" " * 10, subsequent_indent=" " * 10)


def grave(findings: tuple[Finding, ...]) -> Iterator[str]:
    """Errors, warnings and notes, each with measure, limit, source, state and corner."""
    for subjects, f in _alike(tuple(f for f in findings if f.severity != "met")):
        yield f"  {f.severity:<8} {f.code}  {subjects}"
        for words in (f.message, _measure(f), _where(f)):
            yield from _indented(words)


def kept(findings: tuple[Finding, ...]) -> Iterator[str]:
    """One line a limit that is kept."""
    for subjects, f in _alike(tuple(f for f in findings if f.severity == "met")):
        figures = _measure(f) or "yes"
        yield f"  {f.code}  {subjects:<22} {figures:<42} {f.message}".rstrip()


def summary(findings: tuple[Finding, ...]) -> str:
    """Counts in words."""
    counts = {s: sum(1 for f in findings if f.severity == s) for s in ("error", "warning", "note", "met")}
    words = [f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts.items() if s != "met"]
    return f"{', '.join(words)}; {counts['met']} limits kept"


def _alike(findings: tuple[Finding, ...]) -> list[tuple[str, Finding]]:
    """Findings that say the same of several subjects (three colours, two channels), taken together."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.code, f.severity, f.message, _measure(f), f.state), []).append(f)
    return [(", ".join(sorted((f.subject for f in group), key=_rank)), group[0]) for group in groups.values()]


def _rank(subject: str) -> tuple[int, str]:
    """Lines in the order in which they are always listed, everything else after them by name."""
    return (LINES.index(subject) if subject in LINES else len(LINES), subject)


def _indented(text: str) -> list[str]:
    lines = [line for part in text.splitlines() for line in textwrap.wrap(part, WIDTH - 10)]
    return [" " * 10 + line for line in lines]


def _measure(f: Finding) -> str:
    """Measured value and limit."""
    if f.measured is None:
        return ""
    if f.limit is None:
        return figure(f.measured, f.unit)
    return f"{figure(f.measured, f.unit)}, at {f.sense} {figure(f.limit, f.unit)}"


def _where(f: Finding) -> str:
    parts = [f"state {f.state}" if f.state not in ("", "any") else "", f"corner: {f.corner}" if f.corner else ""]
    parts.append(f"source: {f.source}" if f.source else "")
    return "; ".join(p for p in parts if p)
