"""What `check` and `build` print: values with their reasons, findings, the limits that are kept."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rasterport.emit.order import natural
from rasterport.records import LINES, Circuit, Figure, Finding, Sampled
from rasterport.units import significant, written

WIDTH = 100
VALUE_WIDTH = 12
LEAST_W = 5e-3
"""A part that takes less never gets warm: left out of the list, not of findings.json [W]."""
UNTOLD = ("voltage-share", "reverse-voltage", "line-voltage", "count/grounds")
"""Figures that a finding tells in its own words."""


def figure_text(value: float, unit: str) -> str:
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


def figures(found: tuple[Figure, ...]) -> Iterator[str]:
    """One line a figure: nominal and its worst cases; subjects that agree in all of it are one line."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for f in found:
        if _silent(f):
            continue
        text = nominal_text(f)
        if figure_text(f.low, f.unit) != figure_text(f.high, f.unit):
            text = f"{text} ({span_text(f.low, f.high, f.unit)})"
        groups.setdefault((f.state, text, f.title, f.key.split("/")[0]), []).append(f.subject)
    for (state, text, title, key), subjects in groups.items():
        yield f"  {state:<8}  {', '.join(sorted(subjects, key=rank)):<22} {text:<42} {title} [{key}]"


def _silent(f: Figure | Sampled) -> bool:
    """Whether a figure is told elsewhere, or too small for anybody to care."""
    return f.key in UNTOLD or (f.key == "dissipation" and f.high < LEAST_W)


def nominal_text(f: Figure) -> str:
    """The nominal value; what is capped is a bound and says so."""
    return f"{'at least ' if f.at_least and f.nominal == f.high else ''}{figure_text(f.nominal, f.unit)}"


def span_text(low: float, high: float, unit: str) -> str:
    """Two figures with their unit written once where it is the same."""
    first, second = figure_text(low, unit), figure_text(high, unit)
    number, _, suffix = first.partition(" ")
    return f"{number if suffix and second.endswith(' ' + suffix) else first} to {second}"


def samples(found: tuple[Sampled, ...]) -> Iterator[str]:
    """One line a finding: how many boards keep its limits, where half of them lie, and 1 % to 99 %."""
    alike: list[str] = []
    for s in found:
        if not s.code and _silent(s):
            continue
        if s.low == s.high and s.without_warning == s.boards:
            alike.append(s.code)
            continue
        kept = _share(s.without_warning, s.boards) if s.code else ""
        if s.without_error != s.without_warning:
            kept += f" ({_share(s.without_error, s.boards)} without error)"
        if s.limit is not None:
            kept += f" at {s.sense} {figure_text(s.limit, s.unit)}"
        spread = f"{figure_text(s.median, s.unit)} ({span_text(s.one_percent, s.ninety_nine_percent, s.unit)})"
        beyond = f"; {s.outside} outside the corners" if s.outside else ""
        name = s.code or f"{s.state:<8}"
        yield f"  {name:<8}  {s.subject:<22} {kept:<28} {spread:<42} {s.title}{beyond}"
    if alike:
        codes = ", ".join(dict.fromkeys(alike))
        yield from _wrapped(f"Bounds that hold for every board alike, all kept: {codes}")


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _share(part: int, boards: int) -> str:
    """In percent; never 100 % while one board fails."""
    if part == boards:
        return "100 %"
    return f"{min(significant(100 * part / boards), 99.99):.10g} %"


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
    return [(", ".join(sorted((f.subject for f in group), key=rank)), group[0]) for group in groups.values()]


def rank(subject: str) -> tuple[int, str]:
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
        return figure_text(f.measured, f.unit)
    return f"{figure_text(f.measured, f.unit)}, at {f.sense} {figure_text(f.limit, f.unit)}"


def _where(f: Finding) -> str:
    parts = [f"state {f.state}" if f.state not in ("", "any") else "", f"corner: {f.corner}" if f.corner else ""]
    parts.append(f"source: {f.source}" if f.source else "")
    return "; ".join(p for p in parts if p)
