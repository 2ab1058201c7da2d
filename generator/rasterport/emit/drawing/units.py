"""A circuit taken apart into what is drawn as one symbol: two-ended parts, poles, transistors, gates, boxes.

Read from catalogue rows, pin names and nets alone.  A pin that fits no symbol makes its part a box, so nothing is lost.
Sections of an integrated circuit are drawn where they act; what is left of it (supply, address, unused sections) is
a box of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rasterport.emit.drawing.functions import function_of
from rasterport.order import natural
from rasterport.parts.logic import truth_table
from rasterport.records import GROUND, LINES, Circuit, Placed

End = tuple[tuple[str, ...], str | None]
"""Pins that meet, and their net."""
RAILS = ("RAIL", "LOGIC", "MIDDLE")
SYMBOLS = {
    "resistor": "resistor",
    "fusible": "fuse",
    "ptc": "ptc",
    "diode/schottky": "schottky",
    "diode": "diode",
    "clamp": "clamp",
    "trimmer": "trimmer",
    "capacitor": "capacitor",
}
"""First words of a catalogue key -> symbol; a two-ended part of any other key is a plain rectangle."""
TOGETHER = {**dict.fromkeys(LINES, "lines"), "test": "supply"}
"""First words of roles that share a frame with others."""
JOINTS = ("socket", "header", "wire-end", "wire-pad")


@dataclass(frozen=True)
class Unit:
    """One symbol of a part: `kind` is "two", "pole", "transistor", "gate", "regulator", "point" or "box".

    `ends` are, by kind: first and second end; throws and then the common; base, upper and lower end; input and output;
    input, output and ground; the point; every pin.  `symbol` says which drawing.  `rest` is the place of the throw that
    is closed at rest.  `names` are the makers' names of the ends of an analog switch, and what acts on it.
    """

    kind: str
    symbol: str
    placed: Placed
    ends: tuple[End, ...]
    rest: int = 0
    names: tuple[str, ...] = ()

    @cached_property
    def nets(self) -> tuple[str | None, ...]:
        """The net of each end."""
        return tuple(net for _, net in self.ends)

    @cached_property
    def group(self) -> str:
        """The block that it belongs to."""
        return group_of(self.placed)


def group_of(placed: Placed) -> str:
    """The block of a part: the first word of its role, of an input the first two; what is small goes together."""
    words = placed.role.split("/")
    if words[0] in TOGETHER:
        return TOGETHER[words[0]]
    return "/".join(words[:2]) if words[0].startswith("input-") else words[0]


def units_of(circuit: Circuit) -> list[Unit]:
    """Every symbol of a circuit but those of sockets and landings, in the order of roles."""
    found: list[Unit] = []
    for placed in circuit.parts:
        if not at_edge(placed):
            found += _units(placed)
    return found


def at_edge(placed: Placed) -> bool:
    """Whether a part is a socket or a landing, whose pins are drawn at the edge of the lines."""
    if placed.part.key.split("/")[0] not in JOINTS:
        return False
    return placed.role.split("/")[0] == "landing" or bool(re.match(r"input-\d/socket(/|$)", placed.role))


def references(counted: Mapping[str, int]) -> frozenset[str]:
    """Nets that are named at each end instead of being drawn as one wire: ground, rails, what very many parts share.

    From how many pins meet at each net.
    """
    return frozenset(net for net, n in counted.items() if net == GROUND or n >= 9 or (n >= 4 and net.startswith(RAILS)))


def _units(placed: Placed) -> Iterator[Unit]:
    names = {pin.number: pin.name for pin in placed.part.pins}
    by_name = {names.get(number, number): number for number in placed.nets}
    key = placed.part.key
    if len(placed.nets) == 1 and None not in placed.nets.values():
        yield Unit("point", "point", placed, _ends(placed, *[(n,) for n in placed.nets]))
        return
    if key.startswith("transistor/") and (unit := _transistor(placed, by_name)):
        yield unit
        return
    if placed.part.appears == "contacts" and (poles := list(_poles(placed, by_name))):
        yield from poles
        return
    if key.startswith("regulator") and sorted(by_name) == ["GND", "IN", "OUT"] and None not in placed.nets.values():
        ends = _ends(placed, *[(by_name[name],) for name in ("IN", "OUT", "GND")])
        yield Unit("regulator", "regulator", placed, ends)
        return
    sections = list(_channels(placed, by_name)) or list(_gates(placed, by_name))
    if sections:
        yield from sections
        drawn = {number for unit in sections for numbers, _ in unit.ends for number in numbers}
        yield Unit("box", "box", placed, _ends(placed, *[(number,) for number in placed.nets if number not in drawn]))
        return
    yield _two(placed, names) or _box(placed)


def _channels(placed: Placed, by_name: dict[str, str]) -> Iterator[Unit]:
    """The switches of an analog switch that carry something, with what acts on each."""
    table = truth_table(placed.part) if placed.part.appears == "contacts" else None
    if table is None:
        return
    function = function_of(placed.part)
    acts = function.acts if function else {}
    throws: dict[str, list[str]] = {}
    for common, throw in table.pairs:
        throws.setdefault(common, []).append(throw)
    if not all(name in by_name for common, found in throws.items() for name in (common, *found)):
        return
    for common, found in throws.items():
        ends = _ends(placed, *[(by_name[name],) for name in (*found, common)])
        if ends[-1][1] is not None and len({net for _, net in ends}) > 1:
            yield Unit("pole", "channel", placed, ends, -1, (*found, common, acts.get(common, "")))


def _gates(placed: Placed, by_name: dict[str, str]) -> Iterator[Unit]:
    """Gates of one input that drive something, where the table of the part knows them."""
    table = truth_table(placed.part)
    if table is None or (len(table.inputs), len(table.outputs), len(table.rows)) != (1, 1, 2):
        return
    turned = table.rows[0].inputs != table.rows[0].outputs
    for section in table.sections:
        names = [section.get(name, name) for name in (table.inputs[0], table.outputs[0])]
        if not all(name in by_name for name in names):
            return
        ends = _ends(placed, *[(by_name[name],) for name in names])
        if None not in (ends[0][1], ends[1][1]):
            yield Unit("gate", "inverter" if turned else "buffer", placed, ends)


def _ends(placed: Placed, *pins: tuple[str, ...]) -> tuple[End, ...]:
    return tuple((numbers, placed.nets[numbers[0]]) for numbers in pins)


def _box(placed: Placed) -> Unit:
    return Unit("box", "box", placed, _ends(placed, *[(number,) for number in placed.nets]))


def _two(placed: Placed, names: dict[str, str]) -> Unit | None:
    """A part with two ends: two pins, or more that two nets share (a trimmer with its wiper tied)."""
    joined: dict[str, list[str]] = {}
    for number, net in placed.nets.items():
        if net is None:
            return None
        joined.setdefault(net, []).append(number)
    if len(joined) != 2 or (len(placed.nets) > 2 and not placed.part.key.startswith("trimmer")):
        return None
    symbol = next((s for key, s in SYMBOLS.items() if placed.part.key.startswith(key)), "plain")
    ends = [tuple(numbers) for numbers in joined.values()]
    told = [names.get(numbers[0], "") for numbers in ends]
    if symbol == "capacitor" and "+" in told:
        symbol = "polarised"
    if told[0] in ("K", "-"):  # drawn from anode to cathode and from plus to minus
        ends.reverse()
    return Unit("two", symbol, placed, _ends(placed, *ends))


def _transistor(placed: Placed, by_name: dict[str, str]) -> Unit | None:
    kind = placed.part.key.split("/")[1]
    order = {"npn": "BCE", "pnp": "BEC", "nfet": "GDS"}.get(kind)
    if order is None or sorted(by_name) != sorted(order) or None in placed.nets.values():
        return None
    return Unit("transistor", kind, placed, _ends(placed, *[(by_name[name],) for name in order]))


def _poles(placed: Placed, by_name: dict[str, str]) -> Iterator[Unit]:
    """The poles of a switch or a relay, and its coil; nothing where a name does not say to which pole it belongs."""
    commons = {name.removeprefix("common-"): n for name, n in by_name.items() if name.startswith("common-")}
    throws: dict[str, list[tuple[str, str]]] = {pole: [] for pole in commons}
    coil = [by_name[name] for name in ("coil+", "coil-") if name in by_name]
    for name, number in by_name.items():
        throw, _, pole = name.rpartition("-")
        if name.startswith("common-") or number in coil:
            continue
        if pole not in throws or not throw:
            return
        throws[pole].append((throw, number))
    if not commons or len(coil) == 1 or not all(throws.values()):
        return
    if coil:
        if None in (placed.nets[n] for n in coil):
            return
        yield Unit("two", "coil", placed, _ends(placed, *[(n,) for n in coil]))
    for pole, found in throws.items():
        found.sort(key=lambda throw: (throw[0] != "make", throw[0] == "break", natural(f"T{throw[0]}"), throw[0]))
        ends, rest = _throws(placed, found)
        yield Unit("pole", "pole", placed, (*ends, ((commons[pole],), placed.nets[commons[pole]])), rest)


def _throws(placed: Placed, found: Iterable[tuple[str, str]]) -> tuple[list[End], int]:
    """Throws of a pole, those that are left open drawn as one, and the place of the one that is closed at rest."""
    ends: list[End] = []
    open_: list[str] = []
    rest = 0
    for throw, number in found:
        net = placed.nets[number]
        if net is None and throw not in ("make", "break", "a", "b"):
            open_.append(number)
            continue
        if throw in ("break", "b"):
            rest = len(ends)
        ends.append(((number,), net))
    if open_:
        ends.append((tuple(open_), None))
    return ends, rest
