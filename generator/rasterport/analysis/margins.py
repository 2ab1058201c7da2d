"""Margins at the corners: how much of its limit each figure that a finding judges uses up, the worst first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from rasterport.analysis.alike import together
from rasterport.analysis.figures import Figures
from rasterport.records import Bar, Bars, Finding
from rasterport.standards.limits import AMBIENT_HIGH_C
from rasterport.units import short, significant, written

MOST_SHOWN = 150.0
"""Bars are cut off here [%]."""
LEAST_SHOWN = 25.0
"""Figures that use less of their limit have no bar, only a name [%]."""
SIGNS = {"least": "\u2265", "most": "\u2264"}
COUNTED = "count"
"""Figures of what was counted: there is no margin to a number of wires."""
SHARES = ("1", "of rating", "of supply")
"""Units of figures that are shares of something; their titles say of what."""
NAMED = 3
"""So many subjects of one bar are named, the others counted."""


def used(measured: float, limit: float, unit: str, sense: str) -> float | None:
    """How much of a limit is used up [%], 100 at the limit; None where the limit leaves nothing to divide by.

    Shares of amplitudes where decibels say how far something is kept down (return loss, crosstalk), of decibels where
    they say how far a level is off; above the ambient temperature for what is heated.
    """
    if unit == "dB" and (sense == "least" or limit < 0):
        down = limit - measured if sense == "least" else measured - limit
        return float(100 * 10 ** (down / 20))
    if unit == "C":
        measured, limit = measured - AMBIENT_HIGH_C, limit - AMBIENT_HIGH_C
    if limit <= 0:
        return None
    if measured <= 0:
        return 0.0 if sense == "most" else math.inf
    return 100 * (limit / measured if sense == "least" else measured / limit)


def margins(figures: Figures, findings: Iterable[Finding]) -> Bars:
    """One bar for each number of a finding and each sense of its limit: the worst of its subjects and states."""
    groups: dict[tuple[str, str], list[tuple[float, Finding]]] = {}
    without: list[str] = []
    for finding in findings:
        if finding.measured is None or finding.figure.startswith(COUNTED) or first_limit(finding) is None:
            continue
        if not finding.figure:  # read on one board that was built, not worked out for all
            continue
        share = _share(finding, finding.measured)
        if share is None:
            without.append(_title(figures, finding))
        else:
            groups.setdefault((finding.code, finding.sense), []).append((share, finding))
    several = len(figures.setup.variant.input) > 1
    rows = [_worst(figures, found, several) for found in groups.values()]
    rows.sort(key=lambda row: (-row[0], row[1].words))
    bars = tuple(bar for share, bar in rows if share >= LEAST_SHOWN)
    over = sum(bar.high > 100 for bar in bars)
    return Bars(
        "margins",
        "margins at the corners",
        "",
        "",
        "part of the limit that is used at the worst corner",
        "%",
        bars,
        (("limit", 100.0),),
        (0.0, MOST_SHOWN),
        _says(rows, over),
        "where an error begins, if not at the limit itself",
        _left_out(len(rows) - len(bars), without),
    )


def first_limit(finding: Finding) -> float | None:
    """The limit that is met first: of a warning where there is one, else of an error."""
    return finding.error_limit if finding.warning_limit is None else finding.warning_limit


def _share(finding: Finding, value: float | None) -> float | None:
    limit = first_limit(finding)
    return None if value is None or limit is None else used(value, limit, finding.unit, finding.sense)


def _worst(figures: Figures, found: Sequence[tuple[float, Finding]], several: bool) -> tuple[float, Bar]:
    """The worst share of a group with its bar; `several` says that there is more than one input to name."""
    most = max(_rounded(share) for share, _ in found)
    same = [f for share, f in found if _rounded(share) == most]
    first, limit = same[0], first_limit(same[0])
    tick = _share(first, first.error_limit) if first.warning_limit is not None else None
    reached, bound = value_text(first.measured or 0.0, first.unit), value_text(limit or 0.0, first.unit)
    if reached == bound:  # what three digits hide
        reached = value_text(first.measured or 0.0, first.unit, 4)
    unit = reached.partition(" ")[2]
    bar = Bar(
        f"{_title(figures, first)}: {_where(same, len(found), several)}",
        f"{reached} ({SIGNS[first.sense]} {bound.removesuffix(f' {unit}') if unit else bound})",
        0.0,
        min(most, 10 * MOST_SHOWN),
        None,
        (significant(tick),) if tick is not None and math.isfinite(tick) and tick > 0 else (),
        first.severity,
    )
    return most, bar


def _where(same: Sequence[Finding], of: int, several: bool) -> str:
    """Subjects and state of the worst; how many others the same figure has that are better or elsewhere."""
    (subject, state), *elsewhere = together((f.subject, f.state) for f in same)
    names = subject.split(", ")
    if len(names) > NAMED:
        subject = f"{', '.join(names[:NAMED])} and {len(names) - NAMED} more"
    told = state not in ("", "any") and (several or state != "input-1") and state != subject
    others = elsewhere or len(same) < of
    return subject + (f", {state}" if told else "") + (f", worst of {of}" if others else "")


def _rounded(share: float) -> float:
    """So that the order does not hang on the last bits."""
    return significant(share, 3) if math.isfinite(share) else share


def _title(figures: Figures, finding: Finding) -> str:
    return figures.get(finding.figure, finding.subject, finding.state).title


def _says(rows: Sequence[tuple[float, Bar]], over: int) -> str:
    if not rows:
        return "No finding has a limit that is measured."
    share, bar = rows[0]
    many = f"{len(rows)} limits are measured; {over or 'none'} {'is' if over == 1 else 'are'} exceeded."
    part = f"{short(share, 3)} % of its limit" if math.isfinite(share) else "all of its limit and more"
    return f"{many} Nearest to its limit, or farthest beyond: {bar.words} ({bar.told}), {part}."


def _left_out(few: int, without: Sequence[str]) -> str:
    """What has no bar, in words."""
    told = [f"{few} more use less than {LEAST_SHOWN:g} % of their limits"] if few else []
    names = list(dict.fromkeys(without))
    told += [f"limits at 0 have no such part: {', '.join(names)}"] if names else []
    return "; ".join(told)


def value_text(value: float, unit: str, digits: int = 3) -> str:
    """A figure in words."""
    if unit in SHARES:
        return f"{short(100 * value, digits)} %"
    if unit == "%":
        return f"{short(value, digits)} %"
    return written(significant(value, digits), "°C" if unit == "C" else unit)
