"""A circuit as switches: what each part is to a walk over all states, read from its pins and nets, never from its role.

A part does one of few things: it joins two nets for ever, through a resistor, or while something closes it; it follows
the levels of other nets (transistor, relay coil), or puts a level of its own on a net by a truth table (chip).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from rasterport.records import GROUND, Placed

LOW, HIGH, LIMIT, UNKNOWN = 1, 2, 4, 8
"""What a net may be at, as bits: low, high, at a limit that only a divider with a base can tell, not known."""

LINK_OHM = 2.0
"""A resistor of less is a link: to levels its nets are one [ohm]."""
BULK_F = 10e-6
"""A middle voltage with so much against ground is ground to a signal [F]: 1 ohm at the rate of a line."""

Table = tuple[tuple[str, str], ...]
"""Rows of marks H, L, x: what the inputs must be and what the outputs then are.  The first row that fits counts."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One thing that varies by itself, with its values in words.

    A switch has only its position, and contacts name `key` as their mover; a level from outside is put on `net`:
    `levels` has bits for each value, 0 for open.
    """

    key: str
    name: str
    values: tuple[str, ...]
    net: str = ""
    levels: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Contact:
    """Joins two nets while its mover stands at `value`.

    A mover is an axis by its key, a relay by its role (1 when energised), or an analog switch by its role: 1 for the
    first row of its table, 0 without supply.  `owner` is the role of the part, `name` that of the contact.
    """

    first: str
    second: str
    mover: str
    value: int
    owner: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Transistor:
    """`kind` is "npn", "pnp" or "nfet"; `near` is emitter or source, `far` collector or drain."""

    role: str
    kind: str
    control: str
    near: str
    far: str


@dataclass(frozen=True, slots=True)
class Relay:
    """A relay by the ends of its coil; its contacts name it as their mover."""

    role: str
    ref: str
    plus: str
    minus: str


@dataclass(frozen=True, slots=True)
class Chip:
    """One section of an integrated circuit: while it has its supply a table of its inputs says what it does.

    It drives `outputs`, or moves contacts where it `switches`.  `passes` are pairs of nets between which a signal runs
    forwards.
    """

    role: str
    supply: str
    ground: str
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    table: Table
    passes: tuple[tuple[str, str], ...] = ()
    switches: bool = False


@dataclass
class Board:
    """Everything that a walk needs of a circuit.

    `joined` are nets that are one for ever (fuses, regulators); a resistor [ohm], a capacitor, a diode (anode first)
    is a pair of nets.  `unknown` are roles of parts of which nothing here says what they do, `bulks` nets with a large
    capacitor to ground, `keys` nets of back-porch pulses, low while they last and high at rest.
    """

    axes: tuple[Axis, ...]
    joined: list[tuple[str, str]] = field(default_factory=list)
    resistors: list[tuple[str, str, float]] = field(default_factory=list)
    capacitors: list[tuple[str, str]] = field(default_factory=list)
    diodes: list[tuple[str, str]] = field(default_factory=list)
    contacts: list[Contact] = field(default_factory=list)
    transistors: list[Transistor] = field(default_factory=list)
    relays: list[Relay] = field(default_factory=list)
    chips: list[Chip] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    bulks: list[str] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)

    def middles(self) -> tuple[str, ...]:
        """Middle voltages: nets with a large capacitor to ground, a resistor to ground and one to a chip's supply."""
        fed = {c.supply for c in self.chips}
        ends = [{a, b} for a, b, _ in self.resistors]

        def divided(net: str) -> bool:
            return {net, GROUND} in ends and any({net, supply} in ends for supply in fed)

        return tuple(net for net in dict.fromkeys(self.bulks) if net not in fed and divided(net))

    def rails(self, tap: str | None) -> tuple[str, ...]:
        """Nets that the rail's landing holds: its own and those joined with it."""
        found = [] if tap is None else [tap]
        for net in found:
            near = (b if net == a else a for a, b in self.joined if net in (a, b))
            found += [n for n in dict.fromkeys(near) if n not in found]
        return tuple(found)


def board_of(
    parts: Iterable[Placed], axes: Sequence[Axis], terminations: Iterable[tuple[str, str, float]] = ()
) -> Board:
    """Compile parts; panel switches add their axes in front of `axes`.

    `terminations` are resistors [ohm] that stand outside the board.
    """
    placed = tuple(parts)
    board = Board((*(_axis(p) for p in placed if p.part.letter == "S"), *axes))
    board.resistors += terminations
    for p in placed:
        _add(board, p)
    return board


def _axis(p: Placed) -> Axis:
    """Positions of a panel switch: b and a of a toggle, numbers of others."""
    kind, name = p.part.key.split("/")[0], f"switch {p.ref}"
    if kind == "panel-switch":
        return Axis(p.role, name, ("at b", "at a"))
    if kind == "centre-switch":
        return Axis(p.role, name, ("in the centre", "at a", "at b"))
    first = 0 if kind == "coded-switch" else 1
    return Axis(p.role, name, tuple(f"at {first + n}" for n in range(int(p.part.ratings["positions"]))))


def _add(board: Board, p: Placed) -> None:
    nets = {pin.name: p.nets[pin.number] or "" for pin in p.part.pins}
    letter, ends = p.part.letter, [p.nets[pin.number] or "" for pin in p.part.pins]
    if letter in ("S", "K"):
        board.contacts += _contacts(p, nets)
        if letter == "K":
            board.relays.append(Relay(p.role, p.ref, nets["coil+"], nets["coil-"]))
    elif letter == "Q":
        _transistor(board, p, nets)
    elif letter == "U":
        _chip(board, p, nets)
    elif p.part.appears == "resistance":
        if letter == "F" and all(ends):
            board.joined.append((ends[0], ends[1]))
        elif all(ends) and _ohm(p) <= LINK_OHM:
            board.joined.append((ends[0], ends[1]))
            board.resistors.append((ends[0], ends[1], _ohm(p)))
        elif all(ends):
            board.resistors.append((ends[0], ends[1], _ohm(p)))
    elif p.part.appears == "trimmer":
        sections = [(a, b) for a, b in pairwise(ends) if a and b and a != b]
        board.resistors += [(a, b, _ohm(p) / 2) for a, b in sections]
    elif p.part.appears == "capacitance":
        board.capacitors += [(ends[0], ends[1])] if all(ends) else []
        if GROUND in ends and all(ends) and (p.value_si or 0.0) >= BULK_F:
            board.bulks += [net for net in ends if net != GROUND]
    elif letter == "D" and {"A", "K"} <= set(nets):
        board.diodes += [(nets["A"], nets["K"])] if all(ends) else []
    elif p.part.appears != "joint":
        board.unknown.append(p.role)


def _ohm(p: Placed) -> float:
    if p.value_si is None:
        raise ValueError(f"{p.role} has no value")
    return p.value_si


THROWS = {"make-": 1, "a-": 1, "break-": 0, "b-": 0}
"""Where a mover stands when this throw is closed: 1 for energised or position a."""
CENTRE_THROWS = {"a-": 1, "b-": 2}
"""The same of a toggle that rests in the centre."""


def _contacts(p: Placed, nets: Mapping[str, str]) -> Iterator[Contact]:
    """Change-over contacts; lugs `k-n` of a rotary switch; weights of a coded one."""
    if p.part.key.startswith("coded-switch/"):
        from rasterport.parts.selectors import coded_closed

        for position in range(int(p.part.ratings["positions"])):
            for lug in coded_closed(position):
                if nets["C"] and nets[lug]:
                    yield Contact(nets["C"], nets[lug], p.role, position, p.role, f"{p.role}/{lug}")
        return
    throws = CENTRE_THROWS if p.part.key.startswith("centre-switch/") else THROWS
    numbered = {f"{n}-": n - 1 for n in range(1, int(p.part.ratings.get("positions", 0)) + 1)}
    for name, common in nets.items():
        suffix = name.removeprefix("common-")
        if suffix == name or not common:
            continue
        for throw, value in (throws | numbered).items():
            if nets.get(throw + suffix):
                yield Contact(common, nets[throw + suffix], p.role, value, p.role, f"{p.role}/{suffix}")


TRANSISTORS = {"npn": "BEC", "pnp": "BEC", "nfet": "GSD"}
"""Kind -> names of the pins: what controls, near end, far end."""


def _transistor(board: Board, p: Placed, nets: Mapping[str, str]) -> None:
    kind = p.part.key.split("/")[1]
    if kind in TRANSISTORS:
        board.transistors.append(Transistor(p.role, kind, *(nets[name] for name in TRANSISTORS[kind])))
    else:
        board.unknown.append(p.role)


def _chip(board: Board, p: Placed, nets: Mapping[str, str]) -> None:
    """A regulator joins input and output; of a logic part every section of its truth table is a chip of its own."""
    from rasterport.parts.logic import truth_table  # only a board with a chip pays for the tables

    table = truth_table(p.part)
    if p.part.key.startswith("sync-separator/"):
        # What it puts out is no level but a signal; at rest, without sync, it is high.
        video, clean, burst = nets["VIDEO"], nets["CSYNC"], nets["BURST"]
        passes = ((video, clean),) if video and clean else ()
        board.chips.append(Chip(p.role, nets["VCC"], nets["GND"], (), (clean, burst), (("", "HH"),), passes))
        board.keys += [burst] if burst else []
        return
    if table is None:
        if not {"IN", "OUT", "GND"} <= set(nets):
            board.unknown.append(p.role)
        elif nets["GND"] == GROUND and nets["IN"] and nets["OUT"]:
            board.joined.append((nets["IN"], nets["OUT"]))
        return
    supply, ground = (next(nets[n] for n in names if n in nets) for names in (("VCC", "VDD"), ("GND", "VSS")))
    rows = tuple(("".join(row.inputs), "".join(row.outputs)) for row in table.rows)
    for section in table.sections:
        inputs, outputs = (tuple(nets[section.get(n, n)] for n in names) for names in (table.inputs, table.outputs))
        role = " ".join((p.role, *list(section.values())[:1]))
        passes = ((inputs[0], outputs[0]),) if len(inputs) == len(outputs) == 1 and inputs[0] and outputs[0] else ()
        board.chips.append(Chip(role, supply, ground, inputs, outputs, rows, passes, any(table.closed)))
        for value, pairs in enumerate(table.closed, 1):
            for pair in pairs:
                common, terminal = (section.get(n, n) for n in pair)
                if nets[common] and nets[terminal]:
                    name = f"{p.role}/{common}".lower()
                    board.contacts.append(Contact(nets[common], nets[terminal], role, value, p.role, name))
