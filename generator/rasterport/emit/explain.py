"""How a finding came about: its figure's formula, the values put in, the source of formula and limit."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rasterport.emit.listing import WIDTH, figure_text, nominal_text, rank, span_text
from rasterport.records import Circuit, Figure, Finding

LABEL = 14


def explain_finding(
    code: str, about: str, findings: tuple[Finding, ...], figures: tuple[Figure, ...], circuit: Circuit | None
) -> str:
    """Everything that is known of the findings with this code; subjects that differ in nothing but name are one."""
    found = [f for f in findings if f.code == code]
    lines = [f"{code}  {about}"]
    if not found:
        lines.append("  not found on this board: nothing of it is concerned")
    named = {(f.key, f.subject, f.state): f for f in figures}
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for finding in sorted(found, key=lambda f: rank(f.subject)):
        figure = named.get((finding.figure, finding.subject, finding.state))
        same = () if figure is None else (figure.nominal, figure.low, figure.high)
        told = finding.message.replace(finding.subject, "")
        groups.setdefault((told, finding.severity, finding.state, finding.sense, *same), []).append(finding)
    for group in groups.values():
        first = group[0]
        lines += ["", *_rows(first, named.get((first.figure, first.subject, first.state)), circuit)]
        if len(group) > 1:
            lines += _row("alike", ", ".join(f.subject for f in group[1:]))
    return "\n".join(lines)


def explain_figure(key: str, about: str, figures: tuple[Figure, ...], circuit: Circuit | None) -> str:
    """Every figure of a definition on this board; subjects that differ in nothing but name are one."""
    lines = [f"{key}  {about}"]
    groups: dict[tuple[object, ...], list[Figure]] = {}
    for figure in (f for f in figures if f.key.split("/")[0] == key):
        groups.setdefault((figure.title, figure.state, figure.nominal, figure.low, figure.high), []).append(figure)
    if not groups:
        lines.append("  this board has none")
    for group in groups.values():
        first = min(group, key=lambda f: rank(f.subject))
        lines += ["", f"  {first.subject}{_state(first.state)}", *_row("figure", first.title)]
        lines += _put_in(first, circuit)
        if first.low == first.high:
            lines += _row("where", first.high_corner if first.high_corner != "nominal" else "")
        else:
            lines += [*_row("lowest where", first.low_corner), *_row("highest where", first.high_corner)]
        lines += _row("alike", ", ".join(f.subject for f in group if f is not first))
    return "\n".join(lines)


def _state(state: str) -> str:
    return f", state {state}" if state not in ("", "any") else ""


def _rows(finding: Finding, figure: Figure | None, circuit: Circuit | None) -> Iterator[str]:
    yield f"  {finding.severity}: {finding.subject}{_state(finding.state)}"
    yield from _row("says", finding.message)
    if figure is not None:
        yield from _row("figure", figure.title)
        yield from _put_in(figure, circuit)
        yield from _row("worst where", finding.corner)
    if finding.limit is not None:
        yield from _row("limit", _limit(finding))
    yield from _row("limit from" if finding.limit is not None else "source", finding.source)


def _put_in(figure: Figure, circuit: Circuit | None) -> Iterator[str]:
    """Formula, what is put into it, what comes out."""
    yield from _row("formula", figure.formula)
    yield from _row("by", figure.source)
    for name, value in figure.given:
        yield from _row("put in", f"{name}: {value}")
    for name, bounds in figure.parts:
        ref = f"{circuit.by_role(name).ref} " if circuit is not None and circuit.has(name) else ""
        yield from _row("and", f"{ref}{name}: {bounds}")
    result = nominal_text(figure)
    if figure.low != figure.high:
        result += f" nominal, {span_text(figure.low, figure.high, figure.unit)}"
    yield from _row("result", result)


def _limit(finding: Finding) -> str:
    bounds = [
        f"{figure_text(limit, finding.unit)} ({word})"
        for limit, word in ((finding.warning_limit, "warning"), (finding.error_limit, "error"))
        if limit is not None
    ]
    return f"at {finding.sense} {', '.join(bounds)}"


def _row(label: str, text: str) -> list[str]:
    if not text:
        return []
    return textwrap.wrap(text, WIDTH, initial_indent=f"    {label:<{LABEL}}", subsequent_indent=" " * (4 + LABEL))
