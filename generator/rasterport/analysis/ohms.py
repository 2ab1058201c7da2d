"""What an ohmmeter reads on a board without power, alone or with what the set hangs on its landings.

Resistors, coils and closed contacts are solved as they are.  A junction in the way counts as open to the nominal
reading; the lowest reading has every junction that the meter's polarity can open as a short, so a meter with a high
test voltage stays inside the limits.  A path of junctions alone, as in a chip without its supply, only gives a floor.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rasterport.analysis.control import net_at, supply_of
from rasterport.analysis.network import set_side
from rasterport.analysis.nodal import GROUND, Element
from rasterport.design.landings import CONTACT_OHM
from rasterport.design.supply import COPPER_PER_K
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Circuit, Placed
from rasterport.standards.limits import FITTED_SPREAD, SET_SPREAD
from rasterport.variant.models import Variant

OPEN_OHM = 1e12
"""A part that is open [ohm]: more than any meter tells."""
METER_MOST_OHM = 20e6
"""A hand-held meter shows more than this as open [ohm]; common practice, no source."""
CHIP_OHM = 1e3
"""Least of a chip between its supply pins, and of a pin of the set's chips against ground, nothing powered [ohm].
The meter is taken to put at most 0.6 V across them.  Judgement, stated."""
UNKNOWN_OHM = 10.0
"""Least of what nobody has told about a point of the set that is no short [ohm]; judgement, stated."""
THERMAL_V = 0.0257
"""k T / q at 25 C [V]."""
SEEN_OHM = 1e6
"""A junction that leaks less than through this counts as open [ohm]; judgement, stated."""
LEAK_S = 1e-8
"""From what resistors do not join with ground [S]: open to a meter, and small enough to lose no digits that count."""
ONLY_WAY = 1e-7
"""A resistor that carries all but this part of a current is the only way."""
FORWARD = 1e-6
"""A junction conducts where its anode is above its cathode by more than this part of the meter's voltage."""

Junction = tuple[str, str]
"""Anode and cathode."""

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]
    Places = npt.NDArray[np.int64]


def resistors(circuit: Circuit, elements: Iterable[Element]) -> tuple[Element, ...]:
    """What an ohmmeter finds of a board: its resistors and closed contacts, and the coils of its relays."""
    return (*(e for e in elements if e.kind == "R"), *(c for p in circuit.parts for c in _coil(p)))


def _coil(placed: Placed) -> Iterator[Element]:
    """A coil at room temperature, 0 to 40 C."""
    if placed.part.letter != "K":
        return
    plus, minus = net_at(placed, "coil+"), net_at(placed, "coil-")
    ohm, tolerance = placed.part.ratings["coil_ohm"], placed.part.ratings["coil_tolerance_pct"] / 100
    if plus and minus:
        turned = COPPER_PER_K * 20
        yield Element(placed.role, "R", plus, minus, ohm, (1 + tolerance) * (1 + turned) - 1)


def junctions(circuit: Circuit) -> tuple[Junction, ...]:
    """Every junction of the board, and the ways that open with one: a transistor whose base may be lifted."""
    found = (pair for placed in circuit.parts for pair in _junctions(placed))
    return tuple(dict.fromkeys(pair for pair in found if all(pair) and pair[0] != pair[1]))


def _junctions(placed: Placed) -> Iterator[Junction]:
    names = {pin.name for pin in placed.part.pins}

    def at(*wanted: str) -> Junction:
        first, second = (net_at(placed, name) for name in wanted)
        return first, second

    kind = placed.part.key.split("/")[1] if placed.part.letter == "Q" else ""
    if kind == "npn":
        yield from (at("B", "E"), at("B", "C"), at("C", "E"))
    elif kind == "pnp":
        yield from (at("E", "B"), at("C", "B"), at("E", "C"))
    elif kind == "nfet":
        yield at("S", "D")
    elif {"A", "K"} <= names:
        yield at("A", "K")
    elif {"IN", "OUT", "GND"} <= names:
        yield from (at("OUT", "IN"), at("GND", "OUT"), at("GND", "IN"))
    elif placed.part.letter == "U" and supply_of(placed):
        supply = supply_of(placed)
        for net in dict.fromkeys(n for n in placed.nets.values() if n not in (None, GROUND, supply)):
            yield from ((str(net), supply), (GROUND, str(net)))


def leaks(circuit: Circuit) -> Mapping[Junction, float]:
    """Junctions that leak enough to be seen -> their least resistance about no voltage [ohm].

    k T / q over the saturation current, which is at most the reverse current that the maker promises (Shockley 1949).
    """
    found = {}
    for p in circuit.parts:
        if {"A", "K"} <= {pin.name for pin in p.part.pins} and p.part.ratings.get("leakage_a", 0.0) > 0:
            ohm = THERMAL_V / p.part.ratings["leakage_a"]
            if ohm < SEEN_OHM:
                found[net_at(p, "A"), net_at(p, "K")] = ohm
    return found


def chips(circuit: Circuit) -> tuple[Element, ...]:
    """Chips and regulators between their supply and ground: open, at the least CHIP_OHM."""
    found = []
    for p in circuit.parts:
        names = [name for name in ("IN", "OUT") if {"IN", "OUT", "GND"} <= {pin.name for pin in p.part.pins}]
        nets = [net_at(p, name) for name in names] or ([supply_of(p)] if p.part.letter == "U" else [])
        found += [at_least(f"{p.role}/supply", net, CHIP_OHM) for net in dict.fromkeys(nets) if net not in ("", GROUND)]
    return tuple(found)


def at_least(role: str, net: str, ohm: float, nominal: float = OPEN_OHM) -> Element:
    """Something between a net and ground of which only the least resistance is known [ohm]."""
    return Element(role, "R", net, GROUND, nominal, bounds=(min(ohm, nominal), OPEN_OHM))


def hung(circuit: Circuit, variant: Variant) -> tuple[Element, ...]:
    """What a set without power hangs on the landings: resistors as fitted, chips and what nobody knows as floors."""
    return tuple(_hung(circuit, variant))


def _hung(circuit: Circuit, variant: Variant) -> Iterator[Element]:
    tv, at = variant.set, circuit.landing_net
    pins = {f"set/{colour}/resistance" for colour in COLOURS}
    end = "on" if tv.display is not None and tv.display.drive == "open-collector" else "idle"
    for e in set_side(circuit, variant, end):  # type: ignore[arg-type]
        if e.kind != "R":
            continue
        if e.role in pins:
            if tv.rgb.coupling_fitted is None:  # else the capacitor stays in front of the pin
                yield at_least(e.role, e.first, CHIP_OHM)
        elif e.role == "set/sync/resistance":
            if tv.sync.coupling == "ac":
                yield at_least(e.role, e.first, e.low)
            else:
                yield at_least(e.role, e.first, CHIP_OHM if tv.sync.arrangement == "after-switch" else e.low, e.value)
        elif e.role.endswith("/output"):
            pull_up = tv.display is not None and tv.display.drive == "open-collector"
            yield at_least(e.role, e.first, e.low if pull_up else UNKNOWN_OHM, e.value if pull_up else OPEN_OHM)
        elif e.role in ("set/left/resistance", "set/right/resistance"):
            yield at_least(e.role, e.first, e.low)
        else:
            yield e
    if (pin := at("blanking")) is not None:
        yield at_least("set/blanking/pin", pin, CHIP_OHM)
        if tv.blanking.fitted_resistor is not None:
            yield Element("set/blanking/resistor", "R", pin, GROUND, tv.blanking.fitted_resistor, FITTED_SPREAD)
    if (net := at("sync-native")) is not None and tv.sync.termination == "movable":
        yield Element("set/sync-native/termination", "R", net, GROUND, LINE_OHM, FITTED_SPREAD)
    if (net := at("blanking-native")) is not None:
        behind = (tv.blanking.native_resistance or 0.0) * (1 - SET_SPREAD)
        yield at_least("set/blanking-native", net, max(behind, CONTACT_OHM))
    if (net := at("display-blanking")) is not None and tv.display is not None:
        pull_up = tv.display.blanking_drive == "open-collector"
        ohm = tv.display.blanking_resistance
        yield at_least("set/display-blanking", net, ohm * (1 - SET_SPREAD) if pull_up else UNKNOWN_OHM)
    # What stands behind a jack of the set is another source's business; without one a transistor may feed the landing.
    audio_least = CHIP_OHM if tv.audio is not None and tv.audio.shares else UNKNOWN_OHM
    least = {"rail": UNKNOWN_OHM, "left-native": audio_least, "right-native": audio_least}
    if not tv.sync.shares:
        least["sync-native"] = UNKNOWN_OHM
    for name, ohm in least.items():
        if (net := at(name)) is not None:
            yield at_least(f"set/{name}", net, ohm)
    if (net := at("gate")) is not None:
        yield at_least("set/gate", net, CHIP_OHM)


@dataclass(frozen=True, slots=True)
class Ohm:
    """Resistance between two points [ohm]: all junctions open; lowest and highest; lowest without any junction.

    `opened` and `shorted` say what it is with one part open or bridged, by the role of the part.  `nets` are those
    that resistors join with either point.
    """

    nominal: float
    low: float
    high: float
    unaided: float
    opened: Mapping[str, float]
    shorted: Mapping[str, float]
    nets: frozenset[str]


class Ohms:
    """Resistances between the nets of one board in one position of its contacts, nothing powered.

    With many pairs asked of one topology the matrix of resistances is worked out once, at nominal, lowest and highest
    values.  What resistors do not join with ground leaks to it through LEAK_S, far beyond what a meter shows.
    """

    def __init__(
        self, elements: Sequence[Element], ways: Sequence[Junction] = (), leaky: Mapping[Junction, float] | None = None
    ) -> None:
        parts = [e for e in elements if e.first != e.second]
        ends = [(e.first, e.second) for e in parts]
        names = dict.fromkeys(net for pair in (*ends, *ways) for net in pair)
        self._place = {net: n for n, net in enumerate(n for n in names if n != GROUND)}
        self._roles = [e.role for e in parts]
        self._group = _groups(self._place, ends)
        self._first, self._second = _places(self._place, ends)
        self._anode, self._cathode = _places(self._place, ways)
        self._blocking = np.array([(leaky or {}).get(way, np.inf) for way in ways])
        self._siemens = 1 / np.array([[e.value, e.low, e.high] for e in parts]).reshape(-1, 3).T
        self._matrix = self._solved(ends)
        z = self._matrix[0]
        self._across = z[self._first, self._first] + z[self._second, self._second]
        self._across = self._across - 2 * z[self._first, self._second]

    def _solved(self, ends: Sequence[Junction]) -> Array:
        """Resistances between every two nets and ground, a row of zeros for ground itself, for the three values."""
        count = len(self._place)
        found = np.zeros((3, count + 1, count + 1))
        for n, (a, b) in enumerate(zip(self._first, self._second, strict=True)):
            y = self._siemens[:, n]
            found[:, a, a] += y
            found[:, b, b] += y
            found[:, a, b] -= y
            found[:, b, a] -= y
        tied = {self._group[net] for pair in ends if GROUND in pair for net in pair if net != GROUND}
        for net, group in self._group.items():
            if group not in tied:
                tied.add(group)
                found[:, self._place[net], self._place[net]] += LEAK_S
        found[:, count, :] = found[:, :, count] = 0.0
        blocks: dict[str, list[int]] = {}
        for net, group in self._group.items():
            blocks.setdefault(group, []).append(self._place[net])
        for places in blocks.values():
            here = np.ix_(range(3), places, places)
            found[here] = np.linalg.inv(found[here])
        return found

    def between(self, red: str, black: str) -> Ohm:
        """The reading with the red lead on one net and the black one on another."""
        if red == black:
            return Ohm(0.0, 0.0, 0.0, 0.0, {}, {}, frozenset())
        ground = len(self._place)
        a, b = (self._place.get(net, None if net != GROUND else ground) for net in (red, black))
        if a is None or b is None:  # nothing is on that net
            return Ohm(OPEN_OHM, OPEN_OHM, OPEN_OHM, OPEN_OHM, {}, {}, frozenset())
        volts = self._matrix[:, a, :] - self._matrix[:, b, :]
        nominal, low, high = (float(v) for v in volts[:, a] - volts[:, b])
        fall = volts[0, self._first] - volts[0, self._second]
        kept = 1 - self._siemens[0] * self._across
        alone = (kept < ONLY_WAY) & (np.abs(fall) > ONLY_WAY * nominal)
        opened = nominal + self._siemens[0] * fall**2 / np.maximum(kept, ONLY_WAY)
        opened = np.where(alone, OPEN_OHM, opened)
        shorted = nominal - fall**2 / self._across
        groups = {self._group[net] for net in (red, black) if net != GROUND}
        return Ohm(
            nominal, min(low, self._with_junctions(volts[1], a, b)), high, low,
            dict(zip(self._roles, map(float, opened), strict=True)),
            dict(zip(self._roles, map(float, np.maximum(shorted, 0.0)), strict=True)),
            frozenset(net for net, group in self._group.items() if group in groups),
        )  # fmt: skip

    def beside(self, red: str, black: str, net: str, ohm: float) -> float:
        """The nominal reading with one more resistor from a net to ground [ohm]."""
        found, ground = self.between(red, black).nominal, len(self._place)
        a, b, c = (self._place.get(n, None if n != GROUND else ground) for n in (red, black, net))
        if a is None or b is None or c is None:
            return found
        z = self._matrix[0]
        return max(0.0, found - float((z[a, c] - z[b, c]) ** 2 / (z[c, c] + ohm)))

    def group(self, net: str) -> str:
        """A name that all nets share which resistors join without passing through ground, "" for ground."""
        return self._group.get(net, "")

    def _with_junctions(self, volts: Array, a: int, b: int) -> float:
        """The lowest reading, junctions as shorts or as what they leak.  None is opened again: it stays a bound."""
        ohms = self._blocking.copy()
        now = volts
        while True:
            some = np.isfinite(ohms)
            if some.any():
                up, down = self._anode[some], self._cathode[some]
                columns = self._matrix[1][:, up] - self._matrix[1][:, down]
                loops = columns[up] - columns[down] + np.diag(ohms[some])
                now = volts - columns @ np.linalg.solve(loops, volts[up] - volts[down])
            ohm = float(now[a] - now[b])
            more = (ohms > CONTACT_OHM) & (now[self._anode] - now[self._cathode] > FORWARD * ohm)
            if not more.any():
                return ohm
            ohms[more] = CONTACT_OHM


def _groups(places: Mapping[str, int], ends: Sequence[Junction]) -> dict[str, str]:
    """Net -> a name that all nets share which elements join without passing through ground."""
    group = {net: net for net in places}

    def top(net: str) -> str:
        while group[net] != net:
            group[net] = group[group[net]]
            net = group[net]
        return net

    for first, second in ends:
        if GROUND not in (first, second):
            group[top(first)] = top(second)
    return {net: top(net) for net in places}


def _places(places: Mapping[str, int], pairs: Sequence[Junction]) -> tuple[Places, Places]:
    rows = np.array([[places.get(a, len(places)), places.get(b, len(places))] for a, b in pairs], dtype=np.int64)
    return rows.reshape(-1, 2)[:, 0], rows.reshape(-1, 2)[:, 1]
