"""Truth tables of the logic, as their makers print them, and what a table says of given levels.

A table is one aligned string beside its source.  Its columns are named by the first line: inputs, `|`, outputs;
an analog switch has a last column after another `|` with the pairs of terminals that are closed.  H and L are the
higher and the lower level, x is either.  Rows are read from top to bottom and the first that fits counts.

A package of several equal sections prints one of them; `sections` says which pin stands for which printed name.
Levels are Python bools or boolean arrays: with arrays one call answers for every state of a board, and no array
library is imported here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar, get_args

Level = TypeVar("Level")
"""A bool, or an array of bools: whatever has `&`, `|` and `~` and, if it is an array, the type of a bool."""

Mark = Literal["H", "L", "x"]
Pair = tuple[str, str]

NOTHING = "none"
"""What a row of an analog switch says where no pair is closed."""


@dataclass(frozen=True, slots=True)
class Row:
    """One printed line: what the inputs must be, what the outputs then are."""

    inputs: tuple[Mark, ...]
    outputs: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class TruthTable:
    """One printed table.  `closed` holds the pairs that each row closes, common terminal first.

    `inputs`, `outputs` and `closed` bear the printed names.  Each of `sections` maps those that differ to the pins of
    one section; a table that prints the whole package has one section, which maps nothing.
    """

    key: str
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    rows: tuple[Row, ...]
    closed: tuple[tuple[Pair, ...], ...]
    source: str
    confidence: str
    sections: tuple[Mapping[str, str], ...] = ({},)

    @property
    def input_pins(self) -> tuple[str, ...]:
        """Names of the pins that decide, each once, section by section."""
        return self._pins(self.inputs)

    @property
    def output_pins(self) -> tuple[str, ...]:
        """Names of the pins that are driven, section by section."""
        return self._pins(self.outputs)

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Every pair of terminals that some row closes, section by section."""
        once = dict.fromkeys(pair for closed in self.closed for pair in closed)
        return tuple((_pin(s, first), _pin(s, second)) for s in self.sections for first, second in once)

    def _pins(self, names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(_pin(section, name) for section in self.sections for name in names))


def _pin(section: Mapping[str, str], name: str) -> str:
    return section.get(name, name)


def read_table(
    key: str, table: str, source: str, confidence: str, sections: tuple[Mapping[str, str], ...] = ({},)
) -> TruthTable:
    """The table of an aligned string.  Raises ValueError with the line that does not fit."""
    head, *lines = (line.strip() for line in table.strip().splitlines())
    names = [part.split() for part in head.split("|")]
    if len(names) not in (2, 3):
        raise ValueError(f"the first line must name inputs | outputs, and | closed for a switch, found {head!r}")
    inputs, outputs = names[:2]
    rows, closed = [], []
    for line in lines:
        parts = [part.split() for part in line.split("|")]
        if [len(part) for part in parts[:2]] != [len(inputs), len(outputs)] or len(parts) != len(names):
            raise ValueError(f"a line must have a mark under every name, found {line!r}")
        rows.append(Row(_marks(parts[0], line), _marks(parts[1], line)))
        if any(mark == "x" for mark in rows[-1].outputs):
            raise ValueError(f"an output must be H or L, found {line!r}")
        closed.append(_pairs(parts[2], line) if len(parts) == 3 else ())
    return TruthTable(key, tuple(inputs), tuple(outputs), tuple(rows), tuple(closed), source, confidence, sections)


def _marks(cells: list[str], line: str) -> tuple[Mark, ...]:
    known = {word: word for word in get_args(Mark)}
    if not set(cells) <= set(known):
        raise ValueError(f"a mark must be H, L or x, found {line!r}")
    return tuple(known[cell] for cell in cells)


def _pairs(cells: list[str], line: str) -> tuple[Pair, ...]:
    if cells == [NOTHING]:
        return ()
    split = [tuple(cell.split("-")) for cell in cells]
    if not split or any(len(pair) != 2 for pair in split):
        raise ValueError(f"closed pairs must be written as X-X0, or {NOTHING}, found {line!r}")
    return tuple((first, second) for first, second in split)


def outputs_of(table: TruthTable, levels: Mapping[str, Level]) -> dict[str, Level]:
    """Output pin -> its level, from input pin -> level (True is high).

    Bools may stand beside arrays.  Raises ValueError unless every input pin has a level and nothing else has, and
    TypeError for what is neither a bool nor an array of bools.
    """
    found: dict[str, Any] = dict.fromkeys(table.output_pins, False)
    for section, row, _, hit in _hits(table, levels):
        for name, mark in zip(table.outputs, row.outputs, strict=True):
            if mark == "H":
                pin = _pin(section, name)
                found[pin] = found[pin] | hit
    return found


def closed_of(table: TruthTable, levels: Mapping[str, Level]) -> dict[Pair, Level]:
    """(Common terminal, terminal) -> whether it is closed, from input pin -> level.  Raises as `outputs_of`."""
    found: dict[Pair, Any] = dict.fromkeys(table.pairs, False)
    for section, _, closed, hit in _hits(table, levels):
        for first, second in closed:
            pair = (_pin(section, first), _pin(section, second))
            found[pair] = found[pair] | hit
    return found


def _hits(
    table: TruthTable, levels: Mapping[str, Level]
) -> Iterator[tuple[Mapping[str, str], Row, tuple[Pair, ...], Any]]:
    """Every row of every section with where it is the first that fits."""
    _check(table, levels)
    for section in table.sections:
        taken: Any = False
        for row, closed in zip(table.rows, table.closed, strict=True):
            fits: Any = True
            for name, mark in zip(table.inputs, row.inputs, strict=True):
                level = levels[_pin(section, name)]
                if mark != "x":
                    fits = fits & (level if mark == "H" else _inverse(level))
            yield section, row, closed, fits & _inverse(taken)
            taken = taken | fits


def _inverse(level: Any) -> Any:
    """Not: `~True` is -2 in Python."""
    return not level if isinstance(level, bool) else ~level


def _check(table: TruthTable, levels: Mapping[str, Any]) -> None:
    if set(levels) != set(table.input_pins):
        wanted, found = " ".join(table.input_pins), " ".join(sorted(levels))
        raise ValueError(f"{table.key}: levels must be given for {wanted}, found {found}")
    for pin, level in levels.items():
        if not isinstance(level, bool) and str(getattr(level, "dtype", "")) != "bool":
            raise TypeError(f"{table.key}: the level of {pin} must be a bool or an array of bools, found {level!r}")


ENCODER_148 = """
    EI  I0 I1 I2 I3 I4 I5 I6 I7  |  A2 A1 A0  GS  EO
    H   x  x  x  x  x  x  x  x   |  H  H  H   H   H
    L   H  H  H  H  H  H  H  H   |  H  H  H   H   L
    L   x  x  x  x  x  x  x  L   |  L  L  L   L   H
    L   x  x  x  x  x  x  L  H   |  L  L  H   L   H
    L   x  x  x  x  x  L  H  H   |  L  H  L   L   H
    L   x  x  x  x  L  H  H  H   |  L  H  H   L   H
    L   x  x  x  L  H  H  H  H   |  H  L  L   L   H
    L   x  x  L  H  H  H  H  H   |  H  L  H   L   H
    L   x  L  H  H  H  H  H  H   |  H  H  L   L   H
    L   L  H  H  H  H  H  H  H   |  H  H  H   L   H
"""
"""Active low in and out.  Input 0 and "nothing" differ in GS and EO alone."""

ENCODER_4532 = """
    EI  D7 D6 D5 D4 D3 D2 D1 D0  |  GS  Q2 Q1 Q0  EO
    L   x  x  x  x  x  x  x  x   |  L   L  L  L   L
    H   L  L  L  L  L  L  L  L   |  L   L  L  L   H
    H   H  x  x  x  x  x  x  x   |  H   H  H  H   L
    H   L  H  x  x  x  x  x  x   |  H   H  H  L   L
    H   L  L  H  x  x  x  x  x   |  H   H  L  H   L
    H   L  L  L  H  x  x  x  x   |  H   H  L  L   L
    H   L  L  L  L  H  x  x  x   |  H   L  H  H   L
    H   L  L  L  L  L  H  x  x   |  H   L  H  L   L
    H   L  L  L  L  L  L  H  x   |  H   L  L  H   L
    H   L  L  L  L  L  L  L  H   |  H   L  L  L   L
"""
"""Active high in and out."""

SWITCH_4051 = """
    INH  C B A  |  |  closed
    L    L L L  |  |  X-X0
    L    L L H  |  |  X-X1
    L    L H L  |  |  X-X2
    L    L H H  |  |  X-X3
    L    H L L  |  |  X-X4
    L    H L H  |  |  X-X5
    L    H H L  |  |  X-X6
    L    H H H  |  |  X-X7
    H    x x x  |  |  none
"""

SWITCH_4052 = """
    INH  B A  |  |  closed
    L    L L  |  |  X-X0  Y-Y0
    L    L H  |  |  X-X1  Y-Y1
    L    H L  |  |  X-X2  Y-Y2
    L    H H  |  |  X-X3  Y-Y3
    H    x x  |  |  none
"""

SWITCH_4053 = """
    INH  S  |  |  closed
    L    L  |  |  Z-Z0
    L    H  |  |  Z-Z1
    H    x  |  |  none
"""
"""One section: S stands for A, B or C, and Z for X, Y or Z."""

INVERTER = """
    A  |  Y
    L  |  H
    H  |  L
"""

BUFFER = """
    A  |  Y
    L  |  L
    H  |  H
"""

SECTIONS_4053 = tuple(
    {"S": select, "Z": common, "Z0": f"{common}0", "Z1": f"{common}1"}
    for select, common in zip("ABC", "XYZ", strict=True)
)
SECTIONS_HEX = tuple({"A": f"{gate}A", "Y": f"{gate}Y"} for gate in "123456")

TABLES: dict[str, TruthTable] = {
    table.key: table
    for table in (
        read_table("74hc148", ENCODER_148, "Hitachi HD74HC148, function table", "two makers' sheets agree"),
        read_table(
            "4532",
            ENCODER_4532,
            "Intersil CD4532BMS and Philips HEF4532B, description",
            "function from two makers' texts; printed order of the rows from memory",
        ),
        read_table("4051", SWITCH_4051, "NXP 74HC4051 and National CD4051B", "two makers' sheets agree"),
        read_table("4052", SWITCH_4052, "NXP 74HC4052 Rev. 10, table 3; Philips HEF4052B", "two sheets agree"),
        read_table(
            "4053", SWITCH_4053, "NXP 74HC4053 Rev. 8, table 3", "two makers' sheets agree", SECTIONS_4053
        ),
        read_table("hex-inverter", INVERTER, "NXP 74HC04 Rev. 4, table 3", "common to all makers", SECTIONS_HEX),
        read_table("hex-buffer", BUFFER, "Nexperia 74HC4050 Rev. 5, table 3", "one maker's sheet", SECTIONS_HEX),
    )
}  # fmt: skip
