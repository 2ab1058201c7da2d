"""What an integrated circuit does, as it stands in its box: qualifying symbol, labels, negated pins, blocks.

In the manner of IEC 60617-12, as makers print it beside their encoders and switches (from memory): a negated pin has a
circle, numbers are weights, what is no symbol of the standard stands in square brackets.  All of it is read from the
truth table of the part; a part that has none is told in words of the trade.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from rasterport.parts.logic import truth_table
from rasterport.records import CataloguePart
from rasterport.standards.truth_tables import TABLES, Mark, Row, TruthTable


@dataclass(frozen=True, slots=True)
class Function:
    """What stands in a box, by names of pins.  `words` are their labels, in the order in which they are drawn.

    `braces` join pins, the least weight first, with what they do together.  `links` lead from one block to the next;
    where there are any, each label is the name of a block.  `acts` says of the common terminal of a switch, which is
    drawn elsewhere, what acts on it.
    """

    title: str
    words: Mapping[str, str]
    negated: frozenset[str] = frozenset()
    braces: Mapping[tuple[str, ...], str] = field(default_factory=dict)
    acts: Mapping[str, str] = field(default_factory=dict)
    links: tuple[tuple[str, str], ...] = ()


SEPARATOR = Function(
    "Sync separator",
    {
        "RSET": "[RSET] timing",
        "VIDEO": "[VIDEO] clamp",
        "BURST": "back porch [BURST]",
        "CSYNC": "slicer [CSYNC]",
        "VSYNC": "integrator [VSYNC]",
        "ODD": "field [ODD]",
    },
    links=(("VIDEO", "CSYNC"), ("CSYNC", "BURST"), ("CSYNC", "VSYNC"), ("VSYNC", "ODD")),
)
"""The video clamp, the slicer above the sync tip, and what follows composite sync: the pulse in the back porch,
vertical sync by its width, odd and even fields.  TI SNLS384G, block diagram, from memory."""


def function_of(part: CataloguePart) -> Function | None:
    """What a part does; None of a part whose symbols are drawn where they act, or that is no integrated circuit."""
    if part.key.startswith("sync-separator/"):
        return SEPARATOR
    table = truth_table(part)
    return None if table is None else _of_table(table.key)


@cache
def _of_table(key: str) -> Function | None:
    table = TABLES[key]
    off = next((row for row in table.rows if len(_told(table, row)) == 1 and len(table.inputs) > 1), None)
    if off is None:
        return None
    ((enable, mark),) = _told(table, off).items()
    low = frozenset([enable] if mark == "H" else [])
    return _switch(table, enable, low) if any(table.closed) else _encoder(table, off, enable, low)


def _told(table: TruthTable, row: Row) -> dict[str, Mark]:
    """The inputs that a row asks about."""
    return {name: mark for name, mark in zip(table.inputs, row.inputs, strict=True) if mark != "x"}


def _switch(table: TruthTable, enable: str, low: frozenset[str]) -> Function:
    """Analog switches: X, transmission, depends on the address, and all of it on the enable input, G.

    Sections count on, so that each has numbers of its own.
    """
    throws = sum(bool(closed) for closed in table.closed)
    every = throws * len(table.sections)
    words: dict[str, str] = {}
    acts: dict[str, str] = {}
    braces: dict[tuple[str, ...], str] = {}
    for place, section in enumerate(table.sections):
        pins = [section.get(name, name) for name in reversed(table.inputs) if name != enable]
        commons = dict.fromkeys(section.get(c, c) for closed in table.closed for c, _ in closed)
        told = f"{every}X {place * throws}/{(place + 1) * throws - 1}"
        acts |= dict.fromkeys(commons, told)
        if len(pins) == 1:
            words[pins[0]] = f"{told} [{pins[0]}: {' '.join(commons)}]"
        else:
            words |= {pin: f"{n} [{pin}]" for n, pin in enumerate(pins)}
            braces[tuple(pins)] = f"{told} [{' '.join(commons)}]"
    words[enable] = f"G{every} [{enable}]"
    return Function("MDX", words, low, braces, acts)


def _encoder(table: TruthTable, off: Row, enable: str, low: frozenset[str]) -> Function:
    """A priority encoder: inputs by number, outputs by weight, what tells "any" and "none".

    An output is active where it differs from its level with the encoder off, an input where it differs from what the
    row says in which all are alike.
    """
    rest = dict(zip(table.outputs, off.outputs, strict=True))
    asked = {row: {name: mark for name, mark in _told(table, row).items() if name != enable} for row in table.rows}
    idle = next(row for row, told in asked.items() if len(told) > 1 and len(set(told.values())) == 1)
    mark = next(iter(asked[idle].values()))
    active: dict[str, list[str]] = {}
    for row, told in asked.items():
        if row is not off:
            decides = next((name for name, found in told.items() if found != mark), "")
            outputs = zip(table.outputs, row.outputs, strict=True)
            active[decides] = [name for name, found in outputs if found != rest[name]]
    none = active.pop("")
    every = [name for name in table.outputs if all(name in on for on in active.values())]
    code = [name for name in reversed(table.outputs) if name not in every and name not in none]
    number = {name: sum(1 << code.index(one) for one in on if one in code) for name, on in active.items()}
    words = {name: f"{n} [{name}]" for name, n in sorted(number.items(), key=lambda pair: pair[1])}
    words |= {enable: f"EN [{enable}]"} | {name: f"[{name}] {1 << n}" for n, name in enumerate(code)}
    words |= {name: f"[{name}: any]" for name in every} | {name: f"[{name}: none]" for name in none}
    low |= frozenset(number) if mark == "H" else frozenset()
    return Function("HPRI/BIN", words, low | {name for name, found in rest.items() if found == "H"})
