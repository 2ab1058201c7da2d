"""The walk over all states: against a walk of one state at a time, and tables worked out by hand for every template."""

from __future__ import annotations

import heapq
import itertools
import math
import random
from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from making import template, variant
from rasterport.analysis.deciding import MEMORY, SHORT
from rasterport.analysis.intent import Proof
from rasterport.analysis.outcomes import conditions_of, cover, outcomes
from rasterport.analysis.switches import (
    HIGH,
    LIMIT,
    LOW,
    UNKNOWN,
    Axis,
    Board,
    Chip,
    Contact,
    Relay,
    Table,
    Transistor,
    board_of,
)
from rasterport.analysis.walk import Place, Source, Walk, distinct
from rasterport.circuit import compose
from rasterport.parts import transistor
from rasterport.parts.analog_switches import SWITCH_KINDS, SwitchKind, analog_switch
from rasterport.parts.families import FAMILIES, RAILS, Family
from rasterport.parts.logic import priority_encoder, truth_table
from rasterport.parts.selectors import coded_switch, rotary_switch
from rasterport.records import GROUND, CataloguePart, Outcome, Pin, Placed
from rasterport.standards.truth_tables import closed_of, outputs_of

INVERTER: Table = (("L", "H"), ("H", "L"))
NAND: Table = (("HH", "L"), ("xx", "H"))
CHANGEOVER: Table = (("LL", ""), ("LH", ""), ("Hx", ""))
"""Inhibit and select of an analog switch."""
SEVERAL = 255
"""Row of a table that cannot be told."""


# One state at a time, with searches over dictionaries instead of sweeps over arrays.


@dataclass
class One:
    """One state of a board, settled from everything open or everything closed."""

    board: Board
    at: dict[str, int]
    closed: bool
    on: dict[str, bool] = field(default_factory=dict)
    out: dict[str, list[int]] = field(default_factory=dict)
    row: dict[str, int] = field(default_factory=dict)
    held: dict[str, int] = field(default_factory=dict)
    level: dict[str, int] = field(default_factory=dict)
    fixed: bool = False

    def __post_init__(self) -> None:
        devices = (*self.board.transistors, *self.board.relays)
        self.on = {d.role: self.closed for d in devices}
        self.out = {c.role: [UNKNOWN if self.closed else 0] * len(c.outputs) for c in self.board.chips}
        self.row = {c.role: 0 for c in self.board.chips}
        memory = len(devices) + sum(1 + len(c.outputs) for c in self.board.chips)
        for _ in range(2 * memory + 2):
            self.spread()
            before = (dict(self.on), {k: list(v) for k, v in self.out.items()}, dict(self.row))
            self.switch()
            if before == (self.on, self.out, self.row):
                self.fixed = True
                return

    def ways(self) -> list[tuple[str, str, int]]:
        found = []
        for first, second, closed in self.contacts():
            if closed:
                found += [(first, second, 255), (second, first, 255)]
        for t in self.board.transistors:
            if self.on[t.role]:
                found.append((t.near, t.far, HIGH if t.kind == "pnp" else LOW))
        for anode, cathode in self.board.diodes:
            found += [(anode, cathode, HIGH), (cathode, anode, LOW)]
        return [(a, b, bits) for a, b, bits in found if b != GROUND]

    def spread(self) -> None:
        held: dict[str, int] = {GROUND: LOW}
        for axis in self.board.axes:
            if axis.net and axis.levels[self.at[axis.key]]:
                held[axis.net] = held.get(axis.net, 0) | axis.levels[self.at[axis.key]]
        for chip in self.board.chips:
            for net, bits in zip(chip.outputs, self.out[chip.role], strict=True):
                if bits:
                    held[net] = held.get(net, 0) | bits
        ways = self.ways()
        queue = list(held.items())
        while queue:
            net, bits = queue.pop()
            for a, b, passing in ways:
                fresh = bits & passing & ~held.get(b, 0) if a == net else 0
                if fresh:
                    held[b] = held.get(b, 0) | fresh
                    queue.append((b, fresh))
        level = dict(held)
        pulls = [w for a, b, _ in self.board.resistors for w in ((a, b, 255), (b, a, 255))]
        queue = list(held.items())
        while queue:
            net, bits = queue.pop()
            for a, b, passing in (*ways, *pulls):
                fresh = bits & passing & ~level.get(b, 0) if a == net and b not in held else 0
                if fresh:
                    level[b] = level.get(b, 0) | fresh
                    queue.append((b, fresh))
        self.held, self.level = held, level

    def supplied(self, chip: Chip) -> bool:
        return self.held.get(chip.supply) == HIGH and self.level.get(chip.ground) == LOW

    def transistor(self, t: Transistor) -> tuple[bool, bool]:
        """Whether it conducts, whether that is in doubt."""
        control, near = self.level.get(t.control, 0), self.level.get(t.near, 0)
        firm = t.near in self.held
        if t.kind == "nfet":
            if not near & LOW:
                return False, False
            if control not in (LOW, HIGH):
                return False, True
            return (control == HIGH and firm and near == LOW), control == HIGH and not firm
        turns, rest = (HIGH, LOW) if t.kind == "npn" else (LOW, HIGH)
        if not near & rest:
            return False, False
        if control & UNKNOWN or (t.kind == "pnp" and control & turns and control & LIMIT):
            return False, True
        return bool(control & turns) and firm and near == rest, bool(control & turns) and not firm

    def coil(self, r: Relay) -> tuple[bool, bool]:
        plus, minus = self.level.get(r.plus, 0), self.level.get(r.minus, 0)
        if plus == HIGH and minus == LOW:
            return True, False
        current = (plus & HIGH and minus & LOW) or (plus & LOW and minus & HIGH)
        return False, bool(current or ((plus | minus) & UNKNOWN and plus and minus))

    def switch(self) -> None:
        self.on = {t.role: self.transistor(t)[0] for t in self.board.transistors} | {
            r.role: self.coil(r)[0] for r in self.board.relays
        }
        for chip in self.board.chips:
            seen = [self.level.get(n, 0) for n in chip.inputs]
            ways = [{LOW: (0,), HIGH: (1,)}.get(s, (0, 1)) for s in seen]
            rows = {self.first_row(chip, bits) for bits in itertools.product(*ways)}
            rows = rows if self.supplied(chip) else {0}
            self.row[chip.role] = rows.pop() if len(rows) == 1 else SEVERAL
            rows = {self.first_row(chip, bits) for bits in itertools.product(*ways)}
            for k in range(len(chip.outputs)):
                values = {chip.table[row - 1][1][k] for row in rows}
                bits = UNKNOWN if len(values) == 2 else HIGH if values == {"H"} else LOW
                self.out[chip.role][k] = bits if self.supplied(chip) else 0

    @staticmethod
    def first_row(chip: Chip, bits: tuple[int, ...]) -> int:
        """Number of the first row that fits, from 1."""
        for n, (wanted, _) in enumerate(chip.table, 1):
            if all(mark == "x" or mark == "LH"[bit] for mark, bit in zip(wanted, bits, strict=True)):
                return n
        raise AssertionError(chip)

    def reason(self, other: One) -> str:
        if any(b & LOW and b & HIGH for b in self.held.values()):
            return SHORT
        for t in self.board.transistors:
            if self.transistor(t)[1]:
                return t.role
        for r in self.board.relays:
            if self.coil(r)[1]:
                return r.role
        for c in self.board.chips:
            if c.switches and self.row[c.role] == SEVERAL:
                return c.role
        same = (self.on, self.out, self.row) == (other.on, other.out, other.row)
        settled = self.fixed and other.fixed and same
        return "" if settled else MEMORY

    def reach(self, place: Place, start: str) -> set[str]:
        """Names of the sources from which a signal gets to a net."""
        return {
            s.name for s in place.sources if s.net and s.net not in place.walls and start in self.spread_of(place, s)
        }

    def spread_of(self, place: Place, source: Source) -> set[str]:
        ways = [(a, b) for a, b, _ in self.board.resistors] + self.board.capacitors
        ways += [(a, b) for a, b, bits in self.contacts() if bits]
        ways += [(b, a) for a, b in ways]
        ways += [pair for c in self.board.chips if self.supplied(c) for pair in c.passes]
        seen, queue = {source.net}, [source.net]
        for net in queue:
            fresh = {b for a, b in ways if a == net and b not in place.walls} - seen
            seen |= fresh
            queue += fresh
        return seen

    def contacts(self) -> list[tuple[str, str, bool]]:
        found = []
        at = {**self.at, **self.row, **self.on}
        for c in self.board.contacts:
            found.append((c.first, c.second, at[c.mover] == c.value))
        return found

    def load(self, place: Place, start: str) -> float:
        """Resistance of the shortest way to ground."""
        ways = list(self.board.resistors) + [(a, b, 0.0) for a, b, closed in self.contacts() if closed]
        ways += [(a, b, 0.0) for a, b in self.board.capacitors if not {a, b} & place.walls]
        ways += [(b, a, ohm) for a, b, ohm in ways]
        queue, done = [(0.0, start)], set()
        while queue:
            ohm, net = heapq.heappop(queue)
            if net == GROUND:
                return ohm
            if net in done or net in place.walls:
                continue
            done.add(net)
            for a, b, more in ways:
                if a == net:
                    heapq.heappush(queue, (ohm + more, b))
        return math.inf


def place_at_random(seed: int) -> Place:
    """A small circuit of everything that a board may hold, joined without sense."""
    dice = random.Random(seed)
    nets = [f"N{n}" for n in range(dice.randint(4, 9))]

    def net(*more: str) -> str:
        return dice.choice((*nets, *more))

    def pair(*more: str) -> tuple[str, str]:
        a = net(*more)
        return a, dice.choice([n for n in nets if n != a])

    levels = (0, LOW | LIMIT, HIGH | LIMIT, HIGH)
    axes = [Axis("S", "switch", ("at b", "at a")), Axis("rail", "rail", ("off", "on"), "RAIL", (LOW, HIGH))]
    axes += [Axis(f"status-{n}", f"status-{n}", tuple("0123"), f"N{n}", levels) for n in range(dice.randint(0, 2))]
    board = Board(tuple(axes))
    for n in range(dice.randint(0, 5)):
        kind = dice.choice(("npn", "pnp", "nfet"))
        near = dice.choice((GROUND, GROUND, "RAIL", net()) if kind != "pnp" else ("RAIL", "RAIL", net()))
        board.transistors.append(Transistor(f"Q{n}", kind, net(), near, net()))
    board.relays += [Relay(f"K{n}", f"K{n}", net("RAIL", "RAIL"), net(GROUND)) for n in range(dice.randint(0, 2))]
    for n in range(dice.randint(0, 2)):
        inputs = tuple(net() for _ in range(dice.randint(1, 2)))
        table = INVERTER if len(inputs) == 1 else NAND
        passes = ((inputs[0], net()),) if dice.random() < 0.5 else ()
        board.chips.append(Chip(f"U{n}", dice.choice(("RAIL", net())), GROUND, inputs, (net(),), table, passes))
    if dice.random() < 0.5:
        board.chips.append(Chip("U9", "RAIL", GROUND, (dice.choice((GROUND, net())), net()), (), CHANGEOVER, (), True))
        common, ends = net(), [net(), net()]
        board.contacts += [Contact(common, end, "U9", k) for k, end in enumerate(ends, 1) if end != common]
    movers = ["S", *(r.role for r in board.relays)]
    board.contacts += [
        Contact(*pair(GROUND), dice.choice(movers), dice.randint(0, 1)) for _ in range(dice.randint(0, 5))
    ]
    ohms = (10.0, 75.0, 1e3)
    board.resistors += [(*pair(GROUND, "RAIL"), dice.choice(ohms)) for _ in range(dice.randint(0, 7))]
    board.capacitors += [pair(GROUND) for _ in range(dice.randint(0, 2))]
    board.diodes += [pair("RAIL", GROUND) for _ in range(dice.randint(0, 1))]
    sources = tuple(Source(k, "red", n) for k, n in enumerate(dice.sample(nets, 3)))
    return Place(board, sources, {n: n for n in nets}, frozenset({GROUND, "RAIL"}), dice.choice(nets), sources)


@pytest.mark.parametrize("block", range(10))
def test_the_walk_agrees_with_one_state_at_a_time(block: int) -> None:
    decided = 0
    for seed in range(40 * block, 40 * block + 40):
        place = place_at_random(seed)
        walk = Walk(place)
        for state in range(walk.size):
            at = {key: int(values[state]) for key, values in walk.values.items()}
            one, other = One(place.board, at, False), One(place.board, at, True)
            reason = one.reason(other)
            assert walk.reasons[walk.undecided[state]] == reason, (seed, walk.words(state))
            config = walk.config[state]
            assert walk.blanking[state] == one.level.get(place.blanking, 0), (seed, walk.words(state))
            for relay in place.board.relays:
                assert walk.positions[relay.role][config] == one.on[relay.role]
            for net in place.landings.values():
                bits = int(walk.reach(net)[config])
                found = {s.name for n, s in enumerate(place.sources) if bits >> n & 1}
                assert found == one.reach(place, net), (seed, walk.words(state), net)
            for source in place.loaded:
                if source.net not in place.walls:
                    assert walk.load(source)[config] == one.load(place, source.net), (seed, walk.words(state))
            opened = [c for c in place.board.chips if one.supplied(c) and any(not one.level.get(n) for n in c.inputs)]
            assert walk.reasons[walk.floats[state]] == (opened[0].role if opened else "")
            decided += reason == ""
    assert decided > 100


# Tables by hand.


def row(
    wanted: str, rail: str, states: int, condition: str, blanking: str, relays: str = "", **reaches: str
) -> Outcome:
    """One row; colours reach their landings in every state, since none of these boards switches them."""
    known = {"red": "input-1", "green": "input-1", "blue": "input-1", **reaches}
    coils = tuple((f"K{n}", relays) for n in (1, 2)) if relays else ()
    return Outcome(wanted, rail, tuple(known.items()), blanking, coils, condition, states)


SET = {"sync": "set", "left": "set", "right": "set"}
ONE = {"sync": "input-1", "left": "input-1", "right": "input-1"}
MONO_SET, MONO_ONE = {"sync": "set", "left": "set"}, {"sync": "input-1", "left": "input-1"}
SELECTED = "status-8 at its on limit or at 12 V, gate high, rail on"

BY_HAND = {
    # Nothing is switched but blanking; of 4 levels and 2 rails, 2 with the rail on drive it.
    "heron": (
        row("native", "on", 2, "status-16 open or at its off limit, rail on", "ground", **ONE),
        row("native", "off", 4, "rail off", "ground", **ONE),
        row("input-1", "on", 2, "status-16 at its on limit or at 12 V, rail on", "driven", **ONE),
    ),
    # A switch thrown by hand stays where it is without the rail; the divider's foot then grounds the pin.
    "kestrel": (
        row("native", "on", 1, "switch S1 at b, rail on", "ground", **SET),
        row("native", "off", 1, "switch S1 at b, rail off", "ground", **SET),
        row("input-1", "on", 1, "switch S1 at a, rail on", "driven", **ONE),
        row("input-1", "off", 1, "switch S1 at a, rail off", "ground", **ONE),
    ),
    # The buffer of logic-level sync passes nothing without its supply.
    "osprey": (
        row("native", "on", 1, "switch S1 at b, rail on", "ground", sync="set"),
        row("native", "off", 1, "switch S1 at b, rail off", "ground", sync="set"),
        row("input-1", "on", 1, "switch S1 at a, rail on", "driven", sync="input-1"),
        row("input-1", "off", 1, "switch S1 at a, rail off", "ground", sync="nothing"),
    ),
    # 4 levels, 2 of the gate, 2 of the rail; 2 levels that count as on times one of the gate times one of the rail.
    "plover": (
        row("native", "on", 6, "gate low, rail on; or status-8 open or at its off limit, rail on", "set", "off", **SET),
        row("native", "off", 8, "rail off", "set", "off", **SET),
        row("input-1", "on", 2, SELECTED, "driven", "on", **ONE),
    ),
    # Idle contact of the blanking pole open, as the set had it; left and right are summed.
    "wren": (
        row("native", "on", 2, "status-11 open or at its off limit, rail on", "open", "off", **MONO_SET),
        row("native", "off", 4, "rail off", "open", "off", **MONO_SET),
        row("input-1", "on", 2, "status-11 at its on limit or at 12 V, rail on", "driven", "on", **MONO_ONE),
    ),
}


@pytest.mark.parametrize("name", sorted(BY_HAND))
def test_the_table_of_a_template_is_the_one_worked_out_by_hand(name: str) -> None:
    made = template(name)
    proof = Proof(compose(made), made)
    assert outcomes(proof) == BY_HAND[name]
    assert list(proof.offences()) == []


def test_a_gate_that_allows_when_low() -> None:
    made = template("plover", {"selector.gate_active": "low"})
    proof = Proof(compose(made), made)
    assert list(proof.offences()) == []
    assert outcomes(proof)[-1].condition == SELECTED.replace("gate high", "gate low")


VARIANTS = {
    "panel and relays": {"selector.path": "relay"},
    "landings given up": {
        "selector.path": "direct", "set.sync.arrangement": "dedicated", "set.audio.arrangement": "normalled",
    },
    "a pole for blanking alone": {
        "selector.path": "direct", "set.sync.arrangement": "dedicated", "set.audio": None,
        "set.blanking.native": "open",
    },
    "termination that stays": {"set.sync.termination": "fixed", "set.audio": None},
    "sync coupled directly": {"set.sync.coupling": "dc", "set.sync.termination": "fixed", "set.audio": None},
    "mono source": {"input.audio": "mono"},
    "mono set": {"set.audio.channels": "mono"},
    "driven blanking": {"set.blanking.native": "driven"},
    "logic sync": {"input.socket": "de-15", "input.sync": "ttl-composite"},
    "inverted logic sync": {
        "input.socket": "de-15", "input.sync": "ttl-composite", "input.sync_polarity": "positive",
    },
    "terminated colours": {"set.rgb.termination_fitted": True, "set.rgb.coupling_fitted": "100n"},
    "less white": {"set.rgb.white_level": "0.5 V"},
    "jacks": {"input.socket": "bnc-4"},
}  # fmt: skip


@pytest.mark.parametrize("changes", VARIANTS.values(), ids=VARIANTS.keys())
def test_every_board_that_can_be_made_switches_as_its_variant_says(changes: dict[str, object]) -> None:
    made = variant(changes)
    proof = Proof(compose(made), made)
    assert list(proof.offences()) == []
    table = outcomes(proof)
    assert sum(o.states for o in table) == proof.walk.size
    assert {o.blanking for o in table if o.wanted == "input-1" and o.rail == "on"} == {"driven"}
    assert all("driven" not in o.blanking for o in table if o.wanted == "native" or o.rail == "off")


# Words.


def axes_of(*sizes: int) -> list[Axis]:
    return [Axis(f"x{k}", f"x{k}", tuple(f"v{n}" for n in range(size))) for k, size in enumerate(sizes)]


def test_a_condition_leaves_out_what_nothing_depends_on() -> None:
    grid = np.zeros((2, 3, 2), np.int64)
    grid[1, 1:, :] = 1
    assert conditions_of(grid, axes_of(2, 3, 2), 2) == ["x1 v0; or x0 v0", "x0 v1, x1 v1 or v2"]
    assert conditions_of(np.zeros((2, 2), np.int64), axes_of(2, 2), 1) == ["always"]


def test_a_condition_of_many_cases_names_some_and_counts_the_rest() -> None:
    n = 5
    parity = np.indices((2,) * n).sum(axis=0) % 2
    even, _ = conditions_of(parity, axes_of(*(2,) * n), 2)
    assert even.count("; or ") == 6
    assert even.endswith("; or 10 more cases")  # 16 even states, no two of them neighbours, 6 told


def test_boxes_cover_exactly_what_is_wanted() -> None:
    for seed in range(50):
        wanted = np.random.default_rng(seed).random((2, 4, 3, 2)) < 0.6
        covered = np.zeros_like(wanted)
        for box in cover(wanted):
            assert wanted[np.ix_(*box)].all()
            covered[np.ix_(*box)] = True
        assert (covered == wanted).all()


# What cannot be told, and size.


def test_what_is_not_decided_is_a_row_of_its_own_and_guesses_nothing() -> None:
    """Without the resistor that holds the drivers off their gates float whenever the high-side stage is open."""
    made = template("plover")
    circuit = compose(made)
    loose = replace(circuit, parts=tuple(p for p in circuit.parts if p.role != "stage/gate-pull"))
    table = outcomes(Proof(loose, made))
    doubts = [(o.wanted, o.rail, o.states, o.undecided) for o in table if o.undecided]
    assert doubts == [("native", "on", 6, "stage/driver-1"), ("native", "off", 8, "stage/driver-1")]
    assert all(o.blanking == "?" and set(dict(o.reaches).values()) == {"?"} for o in table if o.undecided)
    assert [o for o in table if not o.undecided] == [BY_HAND["plover"][-1]]


def test_more_sources_than_bits_are_refused() -> None:
    place = Place(
        Board((Axis("s", "s", ("a",)),)), tuple(Source(n, "red", f"N{n}") for n in range(65)), {}, frozenset()
    )
    with pytest.raises(ValueError, match="at most 64 sources can be followed, found 65"):
        Walk(place)


def test_distinct_numbers_rise_and_every_one_is_found_again() -> None:
    codes = np.random.default_rng(1).integers(-5, 5, 1000)
    first, which = distinct(codes)
    assert codes[first].tolist() == list(range(-5, 5))
    assert (codes[first][which] == codes).all()
    assert all(n not in codes[:k] for k, n in zip(first, codes[first], strict=True))


def placed(role: str, part: CataloguePart, **nets: str) -> Placed:
    return Placed(role, "X1", part, part.name, {pin.number: nets.get(pin.name) for pin in part.pins}, "")


def test_a_part_that_switches_in_an_unknown_way_is_told_and_not_guessed() -> None:
    pins = (Pin("1", "G"), Pin("2", "D"), Pin("3", "S"))
    other = CataloguePart("transistor/pfet/smd", "Q", "P", "", pins, "", "", appears="control")
    chip = CataloguePart("counter/smd", "U", "C", "", (Pin("1", "1A"), Pin("2", "1Y")), "", "", appears="control")
    board = board_of([placed("a", other), placed("b", chip), placed("c", transistor("nfet", "smd"))], ())
    assert board.unknown == ["a", "b"]
    assert [t.role for t in board.transistors] == ["c"]


def test_an_unknown_part_is_an_offence() -> None:
    made = template("kestrel")
    circuit = compose(made)
    chip = CataloguePart("counter/smd", "U", "C", "", (Pin("1", "A"), Pin("2", "Y")), "", "", appears="control")
    (offence,) = Proof(replace(circuit, parts=(*circuit.parts, placed("there", chip))), made).offences()
    assert (offence.rule, offence.subject, offence.states) == ("undecided", "there", 4)


@pytest.mark.parametrize("kind", SWITCH_KINDS)
@pytest.mark.parametrize("family", FAMILIES)
def test_an_analog_switch_closes_what_its_table_says(kind: SwitchKind, family: Family) -> None:
    """Every level of every select input, inhibited or not, with the supply on and off, against the printed table."""
    part = analog_switch(kind, family, "smd")
    table = truth_table(part)
    assert table is not None
    supply, ground = RAILS[family]
    nets = {pin.name: pin.name for pin in part.pins} | {supply: "RAIL", ground: GROUND, "VEE": GROUND}
    axes = [Axis(pin, pin, ("low", "high"), pin, (LOW, HIGH)) for pin in table.input_pins]
    board = board_of([placed("u", part, **nets)], [*axes, Axis("rail", "rail", ("off", "on"), "RAIL", (LOW, HIGH))])
    sources = tuple(Source(n, far, far) for n, (_, far) in enumerate(table.pairs))
    commons = {near: near for near, _ in table.pairs}
    walk = Walk(Place(board, sources, commons, frozenset({GROUND, "RAIL"})))
    assert not walk.undecided.any()
    closed = closed_of(table, {pin: walk.values[pin] == 1 for pin in table.input_pins})
    for n, pair in enumerate(table.pairs):
        reached = (walk.reach(pair[0])[walk.config] >> np.uint64(n) & np.uint64(1)) == 1
        assert (reached == (closed[pair] & (walk.values["rail"] == 1))).all(), pair


@pytest.mark.parametrize("family", FAMILIES)
def test_a_priority_encoder_drives_what_its_table_says(family: Family) -> None:
    part = priority_encoder(family, "smd")
    table = truth_table(part)
    assert table is not None
    supply, ground = RAILS[family]
    nets = {pin.name: pin.name for pin in part.pins} | {supply: "RAIL", ground: GROUND}
    axes = [Axis(pin, pin, ("low", "high"), pin, (LOW, HIGH)) for pin in table.input_pins]
    board = board_of([placed("u", part, **nets)], [*axes, Axis("rail", "rail", ("on",), "RAIL", (HIGH,))])
    for pin in table.output_pins:
        walk = Walk(Place(board, (), {}, frozenset({GROUND, "RAIL"}), pin))
        expected = outputs_of(table, {p: walk.values[p] == 1 for p in table.input_pins})[pin]
        assert (walk.blanking == np.where(expected, HIGH, LOW)).all(), pin


@pytest.mark.parametrize(("poles", "positions"), [(1, 5), (2, 6), (4, 3)])
def test_a_rotary_switch_closes_one_lug_a_pole(poles: int, positions: int) -> None:
    part = rotary_switch(poles, positions)
    walk = walk_of_switch(part)
    assert [a.values for a in walk.axes[:1]] == [tuple(f"at {n + 1}" for n in range(positions))]
    for pole in range(1, poles + 1):
        reached = walk.reach(f"common-{pole}")[walk.config]
        names = [pin.name for pin in part.pins]
        assert [int(b) for b in reached] == [1 << names.index(f"{n + 1}-{pole}") for n in range(positions)]


def test_a_coded_switch_closes_its_weights() -> None:
    part = coded_switch()
    walk = walk_of_switch(part)
    names = [pin.name for pin in part.pins]
    for position, bits in enumerate(walk.reach("C")[walk.config]):
        weights = [int(name) for n, name in enumerate(names) if int(bits) >> n & 1 and name != "C"]
        assert sum(weights) == position
    assert walk.size == 10


def walk_of_switch(part: CataloguePart) -> Walk:
    """A switch alone, every lug a source and a net of its own."""
    names = [pin.name for pin in part.pins]
    sources = tuple(Source(n, name, "" if name.startswith(("common", "C")) else name) for n, name in enumerate(names))
    board = board_of([placed("s", part, **{name: name for name in names})], ())
    return Walk(Place(board, sources, {}, frozenset({GROUND})))


def test_a_stage_of_any_role_is_read_from_its_pins() -> None:
    rail = Axis("rail", "rail", ("off", "on"), "RAIL", (LOW, HIGH))
    status = Axis("s", "s", ("open", "12 V"), "STATUS", (0, HIGH))
    parts = [placed("anything", transistor("npn", "smd"), B="BASE", C="OUT", E=GROUND)]
    board = board_of(parts, (status, rail), [("STATUS", "BASE", 1e3), ("BASE", GROUND, 1e3), ("OUT", "RAIL", 1e4)])
    walk = Walk(Place(board, (), {}, frozenset({GROUND, "RAIL"}), "OUT"))
    assert walk.blanking.tolist() == [LOW, HIGH, LOW, LOW]  # open, then 12 V; each with the rail off, then on


def test_a_pull_through_a_diode_moves_nothing_that_is_held() -> None:
    rail = Axis("rail", "rail", ("on",), "RAIL", (HIGH,))
    status = Axis("s", "s", ("open", "low"), "K", (0, LOW))
    board = Board((status, rail), resistors=[("RAIL", "A", 1e3)], diodes=[("A", "K")])
    walk = Walk(Place(board, (), {}, frozenset({GROUND, "RAIL"}), "K"))
    assert walk.blanking.tolist() == [HIGH, LOW]
    assert not walk.undecided.any()


def test_a_board_that_remembers_is_not_decided() -> None:
    rail = Axis("rail", "rail", ("on",), "RAIL", (HIGH,))
    board = Board((rail,))
    for n, other in ((0, 1), (1, 0)):  # two inverters in a ring
        board.transistors.append(Transistor(f"Q{n}", "npn", f"B{n}", GROUND, f"C{n}"))
        board.resistors += [("RAIL", f"C{n}", 1e3), (f"C{n}", f"B{other}", 1e3)]
    walk = Walk(Place(board, (), {}, frozenset({GROUND, "RAIL"})))
    assert [walk.reasons[n] for n in walk.undecided] == [MEMORY]


INPUTS = 8


def many_inputs() -> Place:
    """Eight status contacts, a gate and a switch choose among eight relays through one table of priority."""
    levels = (0, LOW | LIMIT, HIGH | LIMIT, HIGH)
    axes = [Axis(f"status-{n}", f"status-{n}", tuple("0123"), f"STATUS_{n}", levels) for n in range(INPUTS)]
    axes += [
        Axis("switch", "switch", ("b", "a")),
        Axis("gate", "gate", ("low", "high"), "GATE", (LOW | LIMIT, HIGH | LIMIT)),
        Axis("rail", "rail", ("off", "on"), "RAIL", (LOW, HIGH)),
    ]
    board = Board(tuple(axes))
    # The first of the low inputs wins, as in a priority encoder; eight outputs, one an input.
    table = []
    for n in range(INPUTS):
        table.append(("H" * n + "L" + "x" * (INPUTS - n - 1), "L" * n + "H" + "L" * (INPUTS - n - 1)))
    table.append(("H" * INPUTS, "L" * INPUTS))
    senses, drives = [f"SENSE_{n}" for n in range(INPUTS)], [f"DRIVE_{n}" for n in range(INPUTS)]
    board.chips.append(Chip("priority", "LOGIC", GROUND, tuple(senses), tuple(drives), tuple(table)))
    board.transistors.append(Transistor("gate", "npn", "GATE_BASE", GROUND, "ALLOW"))
    board.resistors += [("GATE", "GATE_BASE", 1e4), ("GATE_BASE", GROUND, 1e4)]
    board.contacts.append(Contact("RAIL", "LOGIC", "switch", 1))
    for n in range(INPUTS):
        board.transistors.append(Transistor(f"sense-{n}", "npn", f"BASE_{n}", GROUND, f"SENSE_{n}"))
        board.resistors += [(f"STATUS_{n}", f"BASE_{n}", 1e4), (f"BASE_{n}", GROUND, 1e4), ("RAIL", senses[n], 1e4)]
        board.transistors.append(Transistor(f"driver-{n}", "nfet", f"FET_{n}", GROUND, f"COIL_{n}"))
        board.resistors += [(drives[n], f"FET_{n}", 1e3)]
        board.relays.append(Relay(f"relay-{n}", f"K{n}", "RAIL", f"COIL_{n}"))
        board.contacts.append(Contact(f"RED_{n}", "LANDING", f"relay-{n}", 1))
    # What the gate does is looked at on the net that stands for the blanking pin.
    board.resistors.append(("RAIL", "ALLOW", 1e4))
    sources = tuple(Source(n + 1, "red", f"RED_{n}") for n in range(INPUTS))
    return Place(board, sources, {"red": "LANDING"}, frozenset({GROUND, "RAIL"}), "ALLOW")


def test_half_a_million_states_of_eight_inputs_are_counted_right() -> None:
    """On counts in 2 of 4 levels; the switch supplies the logic; the n-th wins with all before it off."""
    walk = Walk(many_inputs())
    assert walk.size == 4**INPUTS * 8 == 524_288
    # Without its supply the logic leaves the gates of the drivers open, and that is told.
    decided = walk.undecided == 0
    supplied = (walk.values["switch"] == 1) & (walk.values["rail"] == 1)
    assert (decided == supplied).all()
    reach = walk.reach("LANDING")[walk.config]
    for n in range(INPUTS):
        won = int(((reach == np.uint64(1 << n)) & supplied).sum())
        assert won == 2**n * 2 * 4 ** (INPUTS - n - 1) * 2  # the gate does not bear on the relays
    assert int(((reach == 0) & supplied).sum()) == 2**INPUTS * 2
    low = (walk.blanking == LOW) & supplied
    assert int(low.sum()) == 4**INPUTS  # the gate high
    assert len(walk.codes) <= 2 * (INPUTS + 1)
