"""What `check` and `build` print: values with their reasons, findings, the limits that are kept."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace

from rasterport.order import natural
from rasterport.records import LINES, Circuit, Figure, Finding, Missing, Placed, Sampled
from rasterport.units import significant, written

WIDTH = 100
VALUE_WIDTH = 12
LEAST_W = 5e-3
"""A part that takes less never gets warm: left out of the list, not of findings.json [W]."""
SHORT = 12
"""Digits of a digest by which a person tells two apart."""
UNTOLD = ("voltage-share", "reverse-voltage", "line-voltage", "count/grounds")
"""Figures that a finding tells in its own words."""


def figure_text(value: float, unit: str) -> str:
    """A figure of a finding as text; a share of a rating (unit "1") in percent."""
    if unit in ("%", "1"):
        return f"{significant(value * (100 if unit == '1' else 1)):.10g} %"
    return written(value, unit)


def values(circuit: Circuit) -> Iterator[str]:
    """Every part with its value, its role and the reason of its value, in the order of the references.

    Parts that differ in nothing but a colour or a channel follow each other, and what several inputs have alike stands
    once, at the first of them; the reason stands once.
    """
    alike: dict[tuple[str, str, str], list[Placed]] = {}
    for p in sorted(circuit.parts, key=lambda p: natural(p.ref)):
        alike.setdefault((tail_of(p.role), p.value, p.reason), []).append(p)
    groups = list(alike.values())
    for n, group in enumerate(groups):
        p, others = group[0], group[1:]
        twins = f", and {', '.join(t.ref for t in others)} of {inputs_text([t.role for t in others])}" if others else ""
        yield f"  {p.ref:<5} {p.value:<{VALUE_WIDTH}}  {p.role}{twins}"
        following = groups[n + 1][0] if n + 1 < len(groups) else None
        if following is None or (following.value, following.reason) != (p.value, p.reason):
            yield from textwrap.wrap(p.reason, WIDTH, initial_indent=" " * 10, subsequent_indent=" " * 10)


def work(circuit: Circuit) -> Iterator[str]:
    """The work on the chassis in its order, each row with its kind, its place and the way back."""
    for n, row in enumerate(circuit.work, 1):
        yield f"  {n:>2}  {row.kind:<6} {' '.join(row.do.split())}"
        yield from _indented("; ".join(filter(None, (row.at, f"back: {row.undo or 'not stated'}"))))


def landings(circuit: Circuit) -> Iterator[str]:
    """Where each landing is: its name, the board's end of its wire, the place in the owner's words."""
    wires = {wire.end: wire for wire in circuit.wires}
    for landed in circuit.landed:
        wire = wires.get(f"{landed.name} landing")
        if wire is not None:
            place = " ".join(wire.at.split()) or "the variant does not say where"
            yield f"  {landed.name:<16} {wire.start.removesuffix(f' ({landed.name})'):<12} {place}"


def grave(findings: tuple[Finding, ...]) -> Iterator[str]:
    """Errors, warnings and notes, each with measure, limit, source, state and corner."""
    for subjects, states, f in alike(tuple(f for f in findings if f.severity != "met")):
        yield f"  {f.severity:<8} {f.code}  {subjects}"
        for words in (f.message, measure_text(f), _where(f, states)):
            yield from _indented(words)


def besides(findings: tuple[Finding, ...], found: tuple[Missing, ...]) -> tuple[Finding, ...]:
    """The findings that do not stand below "still missing" too."""
    rows = {(one.code, one.key) for one in found}
    return tuple(f for f in findings if (f.code, f.subject) not in rows)


def missing(found: tuple[Missing, ...]) -> Iterator[str]:
    """The keys that are unknown, in the order of what they would decide, with what stands in and how each is found.

    These rows are their findings.  Keys of which nothing can be told before a board can be made are one row.
    """
    untold = [one for one in found if one.untold]
    for n, one in enumerate((one for one in found if not one.untold), 1):
        yield f"  {n:>2}  {one.key:<32} {one.severity} {one.code}"
        for words in (one.used, *(one.decides or ("decides nothing on this board",)), one.how):
            yield from _indented(words)
    if untold:
        one, names = untold[0], ", ".join(one.key for one in untold)
        yield from _wrapped(f"{one.severity} {one.code} each, {one.decides[0]}: {names}")


def defaults(paths: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """The keys of the set for which a default is taken, table by table."""
    tables: dict[str, list[str]] = {}
    for *table, name in paths:
        tables.setdefault(".".join(table), []).append(name)
    named = "; ".join(f"{table}: {', '.join(names)}" for table, names in tables.items())
    if named:
        yield from _wrapped(f"defaults are taken for keys that you may measure (--resolved shows them): {named}")


def kept(findings: tuple[Finding, ...]) -> Iterator[str]:
    """One line a limit that is kept."""
    several = any(f.state == "input-2" for f in findings)
    for subjects, states, f in alike(tuple(f for f in findings if f.severity == "met")):
        figures = measure_text(f) or "yes"
        if several and states.startswith("input") and states != subjects:
            subjects += f", {states}"
        yield f"  {f.code}  {subjects:<22} {figures:<42} {f.message}".rstrip()


def figures(found: tuple[Figure, ...]) -> Iterator[str]:
    """One line a figure: nominal and its worst cases; subjects that agree in all of it are one line."""
    for subjects, states, text, title, key in figure_rows(found):
        yield f"  {states:<8}  {subjects:<22} {text:<42} {title} [{key}]"


def figure_rows(found: Sequence[Figure]) -> Iterator[tuple[str, str, str, str, str]]:
    """Subjects, states, value with its worst cases, title and key of every figure that is told."""
    groups: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for f in found:
        if _silent(f):
            continue
        text = nominal_text(f)
        if figure_text(f.low, f.unit) != figure_text(f.high, f.unit):
            text = f"{text} ({span_text(f.low, f.high, f.unit)})"
        groups.setdefault((text, f.title, f.key.split("/")[0]), []).append((f.subject, f.state))
    for (text, title, key), named in groups.items():
        for subjects, states in together(named):
            yield subjects, states, text, title, key


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


def replaced(changed: Sequence[tuple[str, str, str]]) -> Iterator[str]:
    """What of the selector, the control and the rest that belongs to no input differs from the build before."""
    if not changed:
        return
    yield "parts of no input that differ from the build before; place and route them anew:"
    for role, before, now in changed:
        words = f"{before} becomes {now}" if before and now else f"{now} is new" if now else f"{before} is gone"
        yield f"  {role:<28} {words}"


def board(digest: str, before: str = "") -> Iterator[str]:
    """Which fabricated board fits, and whether one of the build before still does."""
    if digest:
        yield f"bare board {digest}"
    if digest and before and before != digest:
        yield f"boards made for the build before ({before[:SHORT]}...) do not fit"


def summary(findings: tuple[Finding, ...]) -> str:
    """Counts in words: of findings as they are printed, those that say the same of several subjects as one."""
    shown = [f for _, _, f in alike(tuple(f for f in findings if f.severity != "met"))]
    counts = {s: sum(1 for f in shown if f.severity == s) for s in ("error", "warning", "note")}
    words = [f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts.items()]
    return f"{', '.join(words)}; {sum(1 for f in findings if f.severity == 'met')} limits kept"


def alike(findings: tuple[Finding, ...]) -> list[tuple[str, str, Finding]]:
    """Findings that say the same of several subjects (three colours, two channels) or states, taken together."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.code, f.severity, f.message, measure_text(f)), []).append(f)
    found = []
    for group in groups.values():
        source = "; ".join(dict.fromkeys(f.source for f in group if f.source))
        for subjects, states in together([(f.subject, f.state) for f in group]):
            found.append((subjects, states, replace(group[0], source=source)))
    return found


def together(named: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Pairs of subject and state in few words: subjects of a state as one, and states of which the same is said."""
    by_state: dict[str, list[str]] = {}
    for subject, state in named:
        by_state.setdefault(state, []).append(subject)
    states: dict[str, list[str]] = {}
    for state, subjects in by_state.items():
        states.setdefault(folded(subjects, state), []).append(state)
    found = [(subjects, states_text(every)) for subjects, every in states.items()]
    return [(states if subjects == ITSELF else subjects, states) for subjects, states in found]


ITSELF = "the input"
"""A subject that is the state of its finding."""


INPUT = re.compile(r"input-([1-8])(?:/(.+))?")


def tail_of(role: str) -> str:
    """A role or a subject without the number of its input."""
    match = INPUT.fullmatch(role)
    return f"input/{match[2]}" if match and match[2] else role


def folded(subjects: Sequence[str], state: str) -> str:
    """Subjects in words: lines by themselves, what several inputs have alike by their numbers."""
    plain: list[str] = []
    inputs: dict[str, list[str]] = {}
    for subject in sorted(dict.fromkeys(subjects), key=rank):
        match = INPUT.fullmatch(subject)
        if subject == state:
            plain.append(ITSELF)
        elif match is None or (match[2] and subject == f"{state}/{match[2]}"):
            plain.append(subject if match is None else match[2])
        else:
            inputs.setdefault(match[2] or "", []).append(subject)
    by_numbers: dict[str, list[str]] = {}
    for tail, group in inputs.items():
        if len(group) == 1:
            plain.append(group[0])
        else:
            by_numbers.setdefault(inputs_text(group), []).append(tail)
    words = [", ".join(plain)] if plain else []
    for numbers, tails in by_numbers.items():
        lines = ", ".join(sorted(filter(None, tails), key=rank))
        words.append(f"{lines} of {numbers}" if lines else numbers)
    return "; ".join(words)


def inputs_text(roles: Sequence[str]) -> str:
    """The inputs of roles or states in words: "input 2", "inputs 2 to 5 and 7"."""
    numbers = sorted({int(match[1]) for role in roles if (match := INPUT.fullmatch(role))})
    told = runs_text(numbers)
    text = ", ".join(told[:-1]) + (" and " if len(told) > 1 else "") + told[-1]
    return f"input{'s' if len(numbers) > 1 else ''} {text}"


def runs_text(numbers: Sequence[int]) -> list[str]:
    """Rising numbers in words, three and more that follow each other as one: "1", "2", "5 to 9"."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and runs[-1][-1] == n - 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return [word for r in runs for word in (map(str, r) if len(r) < 3 else (f"{r[0]} to {r[-1]}",))]


def states_text(states: Sequence[str]) -> str:
    """States in words: the inputs as one, every other by its name."""
    inputs = [state for state in states if INPUT.fullmatch(state)]
    others = [state for state in states if state not in inputs]
    return ", ".join([*others, *([inputs[0]] if len(inputs) == 1 else [inputs_text(inputs)] if inputs else [])])


def rank(subject: str) -> tuple[int, str]:
    """Lines in the order in which they are always listed, everything else after them by name."""
    return (LINES.index(subject) if subject in LINES else len(LINES), subject)


def _indented(text: str) -> list[str]:
    lines = [line for part in text.splitlines() for line in textwrap.wrap(part, WIDTH - 10, break_on_hyphens=False)]
    return [" " * 10 + line for line in lines]


def measure_text(f: Finding) -> str:
    """Measured value and limit."""
    if f.measured is None:
        return ""
    if f.limit is None:
        return figure_text(f.measured, f.unit)
    return f"{figure_text(f.measured, f.unit)}, at {f.sense} {figure_text(f.limit, f.unit)}"


MOST_NAMED = 6
"""Parts of a corner that a finding names; every one stands in findings.json and with --explain."""


def _corner(f: Finding) -> str:
    """What stands at which end in the worst case, the first few of a long list."""
    named = f.corner.split(", ")
    if len(named) <= MOST_NAMED + 1:
        return f.corner
    return f"{', '.join(named[:MOST_NAMED])}, and {len(named) - MOST_NAMED} more (--explain {f.code})"


def _where(f: Finding, states: str) -> str:
    parts = [f"state {states}" if states not in ("", "any") else "", f"corner: {_corner(f)}" if f.corner else ""]
    parts.append(f"source: {f.source}" if f.source else "")
    return "; ".join(p for p in parts if p)
