"""Figures with their limits and margins, and the plots that say more than a number."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import alike, figure_rows, measure_text
from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.plots.bars import bars_svg, in_parts
from rasterport.emit.plots.lines import plot_svg
from rasterport.emit.sheet.given import Given
from rasterport.emit.sheet.markup import bullets, table, told
from rasterport.records import Finding

WORDS = {"error": "broken", "warning": "look at it", "note": "know it", "met": "kept"}


def figures(given: Given) -> Iterator[Html]:
    """What to know first, then every limit with what was measured against it, then every figure."""
    heard = [row for row in alike(given.findings) if row[2].severity != "met"]
    if heard:
        yield el("h3", "To know")
        yield bullets(joined(_said(given, subjects, f)) for subjects, _, f in heard)
    plots = [_plot(c.title, c.subject, c.state, plot_svg(c)) for c in given.curves]
    plots += [_plot(b.title, b.subject, b.state, bars_svg(part)) for b in given.bars for part in in_parts(b)]
    if plots:
        yield el("h3", "Where a picture says more than a number")
        yield el("div", plots, class_="plots")
    yield el("h3", "Limits")
    held = [row for row in alike(given.findings) if row[2].severity == "met" or row[2].measured is not None]
    rows = [_limit(*row) for row in held]
    yield table(("code", "of", "state", "measured, limit", "what", "source"), rows, "limits and margins", "limits")
    yield el("h3", "Every figure")
    yield table(("of", "state", "nominal (at the corners)", "what"), _figures(given), "figures", "figures")


def _plot(title: str, subject: str, state: str, drawn: Html) -> Html:
    """A picture under its title."""
    about = ", ".join(filter(None, (subject, "" if state in ("", "any") else state)))
    return el("figure", el("figcaption", el("strong", title), f": {about}" if about else ""), drawn)


def _said(given: Given, subjects: str, f: Finding) -> list[Child]:
    return [el("strong", f"{f.severity} {f.code}, {subjects}: "), *told(f.message, given.circuit)]


def _limit(subjects: str, states: str, f: Finding) -> list[Child]:
    state = "" if states in ("", "any") else states
    return [f.code, subjects, state, measure_text(f) or "yes", f"{f.message} ({WORDS[f.severity]})", f.source]


def _figures(given: Given) -> Iterator[list[Child]]:
    for subjects, states, text, title, _ in figure_rows(given.figures):
        yield [subjects, "" if states == "any" else states, text, title]
