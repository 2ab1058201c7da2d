"""What measuring an unknown value would change: the board is worked out once more with what it may turn out to be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import ValidationError

from rasterport.checks.bench import Bench, judged
from rasterport.circuit import compose
from rasterport.errors import Refused
from rasterport.order import natural
from rasterport.records import SEVERITIES, Circuit, Finding, Missing
from rasterport.units import plain, short, written
from rasterport.variant.fields import Unknown
from rasterport.variant.keys import Key, keys_by_path
from rasterport.variant.messages import key_path
from rasterport.variant.models import Variant
from rasterport.variant.resolve import Resolved
from rasterport.variant.scan import Path

MOST_PARTS = 3
"""So many changed values are named one by one."""
NOTICED = 0.005
"""A use of a limit (1 at the limit) that moves by less is not worth a measurement.  Judgement, stated."""

NO_WEIGHT: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0, 0.0)
NOT_YET = "not told before a board can be made"
"""What is said of a key that does not make a board possible by itself: nothing was worked out to compare with."""

Outcome = tuple[Circuit | None, tuple[Finding, ...]]


def missing(resolved: Resolved, circuit: Circuit | None, findings: Sequence[Finding]) -> tuple[Missing, ...]:
    """Each unknown key with what it would decide; what decides whether a board can be made comes first.

    `circuit` and `findings` are those with every stand-in, `circuit` None where no board can be made with them.
    """
    found = [_one(resolved, path, (circuit, tuple(findings))) for path in resolved.unknown]
    return tuple(sorted(found, key=lambda m: (tuple(-w for w in m.weight), m.key)))


def _one(resolved: Resolved, path: Path, now: Outcome) -> Missing:
    """One key.  Where another value would bring an error, no stand-in is on the safe side, whatever its row says.

    Where none would change a value or a finding of this board, nothing has to be found out first either.
    """
    key = keys_by_path()[tuple(part for part in path if isinstance(part, str))]
    unknown = key.unknown
    assert unknown is not None
    decides: list[str] = []
    fails, weight = False, NO_WEIGHT
    for other in unknown.others:
        then = _worked_out(resolved, path, other)
        if then is None:
            continue
        told, weighs = _difference(now, then)
        fails |= _fails_newly(now, then)
        if told:
            decides.append(f"if it is {_shown(other)}: {', '.join(told)}")
        weight = max(weight, weighs)
    silent = now[0] is None and not decides
    if silent:
        decides.append(NOT_YET)
    first = fails or (unknown.decides and bool(decides))
    how = key.survey.how if key.survey else ""
    board, *rest = weight
    weight = (board, float(first), *rest)
    return Missing(key_path(path), _used(key, unknown), tuple(decides), how, weight, first, silent and not first)


def _fails_newly(now: Outcome, then: Outcome) -> bool:
    """Whether no board can be made any more, or one with an error that it has not had."""
    if then[0] is None:
        return now[0] is not None
    before, after = ({f.code for f in outcome[1] if f.severity == "error"} for outcome in (now, then))
    return now[0] is not None and bool(after - before)


def _used(key: Key, unknown: Unknown) -> str:
    """What stands in for it, and why that is on the safe side."""
    if unknown.value is None:
        return f"left out ({unknown.why})"
    return f"{_shown(unknown.value)} is taken ({unknown.why})"


def _shown(value: str | bool | None) -> str:
    if value is None:
        return "left out"
    return str(value).lower() if isinstance(value, bool) else value


def _worked_out(resolved: Resolved, path: Path, value: str | bool | None) -> Outcome | None:
    """The board with another value at a key; None where that contradicts another key."""
    try:
        variant = Variant.model_validate(resolved.instead(path, value))
    except ValidationError:
        return None
    try:
        circuit = compose(variant)
    except Refused as refusal:
        return None, refusal.findings
    return circuit, judged(Bench(variant, circuit))


def _difference(now: Outcome, then: Outcome) -> tuple[list[str], tuple[float, ...]]:
    """What differs, in words, and how much that weighs: a board or none, errors, warnings, values, limits."""
    if (now[0] is None) != (then[0] is None):
        codes = ", ".join(dict.fromkeys(f.code for f in (now if now[0] is None else then)[1]))
        one = f"a board can be made ({codes} goes)" if now[0] is None else f"no board ({codes})"
        return [one], (1.0, *NO_WEIGHT[1:])
    graver = list(_severities(now[1], then[1]))
    changed = list(_values(now[0], then[0]))
    moved, share = _margin(now[1], then[1])
    told = [*graver, *changed[:MOST_PARTS]]
    if len(changed) > MOST_PARTS:
        told.append(f"{len(changed) - MOST_PARTS} more values")
    errors = sum(SEVERITIES[0] in words for words in graver)
    weight = (0.0, float(errors), float(len(graver) - errors), float(len(changed) > 0), share)
    return [*told, *([moved] if moved else [])], weight


Named = tuple[str, str, str, str, str]


def _named(f: Finding) -> Named:
    return f.code, f.subject, f.state, f.sense, f.figure


def _severities(now: Sequence[Finding], then: Sequence[Finding]) -> Iterator[str]:
    """Errors and warnings that come or go, one a code."""

    def worst(findings: Sequence[Finding]) -> dict[str, int]:
        found: dict[str, int] = {}
        for f in findings:
            found[f.code] = min(found.get(f.code, len(SEVERITIES)), SEVERITIES.index(f.severity))
        return found

    before, after = worst(now), worst(then)
    for code in sorted({*before, *after}):
        a, b = before.get(code, len(SEVERITIES)), after.get(code, len(SEVERITIES))
        if a != b and min(a, b) < SEVERITIES.index("note"):
            words = [SEVERITIES[n] if n < SEVERITIES.index("note") else "nothing" for n in (a, b)]
            yield f"{code} from {words[0]} to {words[1]}"


def _values(now: Circuit | None, then: Circuit | None) -> Iterator[str]:
    """Parts whose value differs, that come or that go."""
    if now is None or then is None:
        return
    before, after = ({p.role: p for p in c.parts} for c in (now, then))
    rows = []
    for role in {*before, *after}:
        a, b = before.get(role), after.get(role)
        if a is None and b is not None:
            rows.append((b.ref, f"{b.ref} {b.value} more"))
        elif b is None and a is not None:
            rows.append((a.ref, f"no {a.ref}"))
        elif a is not None and b is not None and (a.value, a.part.key) != (b.value, b.part.key):
            rows.append((a.ref, f"{a.ref} {a.value} becomes {b.value}"))
    yield from (text for _, text in sorted(rows, key=lambda row: (natural(row[0]), row[1])))


def _margin(now: Sequence[Finding], then: Sequence[Finding]) -> tuple[str, float]:
    """The measured value whose use of its limit moves most, in words, and by how much."""
    after = {_named(f): f for f in then if f.measured is not None and f.limit}
    best, told = 0.0, ""
    for f in now:
        other = after.get(_named(f))
        if f.measured is None or not f.limit or other is None or other.measured is None:
            continue
        assert other.limit is not None
        # Measuring a pin's level moves the limit, measuring its current what is held against it.
        share = abs(_use(other.measured, other.limit, f.sense) - _use(f.measured, f.limit, f.sense))
        if share > max(best, NOTICED):
            best = share
            limits = [f"at {f.sense} {_figure(limit, f.unit)}" for limit in (f.limit, other.limit)]
            told = f"{f.code} of {f.subject} from {_figure(f.measured, f.unit)}"
            told += f" ({limits[0]})" if limits[0] != limits[1] else ""
            told += f" to {_figure(other.measured, f.unit)} ({limits[1]})"
    return told, short_share(best)


def _use(measured: float, limit: float, sense: str) -> float:
    """How far a limit is used up: 1 at the limit, towards 0 the farther a measured value keeps off it.

    So twenty times the bandwidth asked for decides less than a clamp that only just follows, however both move.
    """
    if measured > 0 and limit > 0:
        return limit / measured if sense == "least" else measured / limit
    away = (measured - limit) / abs(limit)
    return 1 - away if sense == "least" else 1 + away


def short_share(share: float) -> float:
    """Rounded so that the order of keys does not hang on the last bits."""
    return float(f"{share:.3g}")


def _figure(value: float, unit: str) -> str:
    if unit in ("%", "1"):
        return f"{short(value * (100 if unit == '1' else 1))} %"
    return plain(written(value, unit))
