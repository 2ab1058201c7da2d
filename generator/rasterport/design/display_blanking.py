"""Two drives of one blanking pin: the on-screen display's and the board's, joined by Schottky diodes at logic level.

Behind the dividers, resistors alone would pull each other down: 2.03 V becomes 1.13 V.  In front of them a drive that
rests is cut off by its own diode, so what one adds the other cannot take away: the pin never falls below what either
drive gives by itself, and only the maximum is left to be kept when both drive.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import combinations

from rasterport.design.blanking import (
    LOWER_LEAST_OHM,
    OPEN_OHM,
    TARGET_V,
    UPPER_LEAST_OHM,
    UPPER_MOST_OHM,
    Drive,
    Window,
    level,
)
from rasterport.design.landings import CONTACT_OHM
from rasterport.design.preferred import best
from rasterport.design.termination import parallel
from rasterport.records import Sized
from rasterport.standards.iec60063 import decade_values
from rasterport.standards.limits import FITTED_SPREAD, SET_SPREAD
from rasterport.units import short

LOWER_MOST_OHM = 1500.0
"""Lower resistor at most this [ohm]: after the trailing edge nothing but it empties the pin and its lead; judgement."""
LOGIC_SPREAD = 0.05
"""How far the high level of the display's logic may be off [-]: a regulated supply; common practice, no source."""
APART_V = 0.5
"""Two drives share a divider while their levels at the pin differ by no more [V]; judgement, stated."""
EDGE_SHARE = 0.5
"""An edge takes at most this part of the display's dot [-], so that a dot is still a dot; judgement, stated."""
DIODE_LEAST = 0.3
"""Least capacitance of a diode against what its maker prints as bound; judgement, stated."""
EDGE_TIMES = 2.197
"""10 to 90 % of one time constant: ln 9."""
NEAR_V = 0.3
"""A level so near to 2 V is near enough [V]: a further resistor in parallel is not spent on more; judgement, stated."""
MOST_LOWER = 3
"""So many lower resistors at most stand in parallel: of three one that opens lifts the pin by less than of two."""
OUTPUT_MOST_A = 5e-3
"""What an output of the display's logic gives for ever [A]: 4 to 5 mA are promised of 74HC outputs at 4.5 V."""
On = tuple[bool, bool]
BOARD, DISPLAY, BOTH = (True, False), (False, True), (True, True)
"""Which drives are on: the board's, the display's."""
SATURATED_OHM = 100.0
"""An open collector that is low, with a resistor that is usual in its line [ohm]; judgement, stated."""


@dataclass(frozen=True, slots=True)
class Feed:
    """What stands in front of a diode: its voltages [V] and resistances [ohm], lowest, nominal, highest."""

    drive: Drive
    low_ohm: float
    nominal_ohm: float
    high_ohm: float


@dataclass(frozen=True, slots=True)
class Load:
    """Greatest capacitance at the pin and of a diode [F], longest edge allowed at the pin [s]."""

    pin_f: float
    diode_f: float
    edge_most_s: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """`upper` is common to both drives, or the board's where the display has `own`; `count` lower ones in parallel.

    `off_v` is how far the worse of both drives stands from 2 V [V], nominal.
    """

    upper: Sized
    own: Sized | None
    lower: Sized
    count: int
    off_v: float = 0.0

    @property
    def foot_ohm(self) -> float:
        """What stands between pin and ground [ohm]."""
        return self.lower.value / self.count


@dataclass(frozen=True, slots=True)
class Joined:
    """The divider for display and board, and how many inverters stand in front of the display's diode."""

    meeting: Meeting
    sections: int


@dataclass(frozen=True, slots=True)
class Try:
    """One choice: resistors [ohm]; `own` None where both drives share `upper`, `count` lower ones in parallel."""

    upper: float
    own: float | None
    lower: float
    count: int

    @property
    def opened(self) -> Try:
        """The same with one lower resistor open."""
        return Try(self.upper, self.own, self.lower, self.count - 1)


def board_feed(drive: Drive) -> Feed:
    """The board's drive: its supply through a closed contact."""
    return Feed(drive, CONTACT_OHM, CONTACT_OHM, CONTACT_OHM)


def display_feed(high_v: float, ohm: float) -> Feed:
    """The display's own output, high [V] behind its resistance [ohm], as somebody read it from papers."""
    low, high = high_v * (1 - LOGIC_SPREAD), high_v * (1 + LOGIC_SPREAD)
    return Feed(Drive(low, high_v, high), ohm * (1 - SET_SPREAD), ohm, ohm * (1 + SET_SPREAD))


def at_pin(feeds: Sequence[tuple[float, float, float]], common_ohm: float, foot_ohm: float, pin_a: float) -> float:
    """Voltage at the pin [V] behind ideal diodes; `pin_a` [A] flows out of the pin.

    Each feed is (voltage behind its diode [V], resistance to the node where both meet [ohm], 0 or 1 for on).  The node
    reaches the pin through `common_ohm` (0: it is the pin), the pin has `foot_ohm` to ground.  Of the sets of diodes
    that may conduct the one with the highest node counts: a diode that carries a reverse current would lower it.
    """
    behind = common_ohm + foot_ohm
    rest = pin_a * foot_ohm
    node, amps, siemens = rest, rest / behind, 1 / behind
    on = [(v / r, 1 / r) for v, r, active in feeds if active]
    for count in range(1, len(on) + 1):
        for some in combinations(on, count):
            node = max(node, (amps + sum(a for a, _ in some)) / (siemens + sum(s for _, s in some)))
    return node if common_ohm == 0 else level(node, common_ohm, foot_ohm, pin_a)


def falling_s(foot_ohm: float, upper_ohm: float, pin_f: float, display_f: float, board_f: float) -> float:
    """Time of a pin on a common divider from 90 to 10 % [s], after the display has let go.

    Node and pin empty through upper and lower resistor: two exponentials.  A diode of `display_f` [F] leads the node to
    the display, one of `board_f` [F] to ground: at once it goes down by its share of the display's edge, which is as
    high as the node was.
    """
    node_f = display_f + board_f
    a, b, c = (1 / foot_ohm + 1 / upper_ohm) / pin_f, 1 / (upper_ohm * pin_f), 1 / (upper_ohm * node_f)
    root = math.sqrt((a - c) ** 2 + 4 * b * c)
    slow, fast = (a + c - root) / 2, (a + c + root) / 2
    node = (1 + upper_ohm / foot_ohm) * board_f / node_f  # the pin at 1
    rest = (fast - a + b * node) / (fast - slow)

    def volts(seconds: float) -> float:
        return rest * math.exp(-slow * seconds) + (1 - rest) * math.exp(-fast * seconds)

    def when(level: float) -> float:
        low, high = 0.0, 20 / slow
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if volts(middle) > level else (low, middle)
        return high

    return when(0.1) - when(0.9)


@dataclass(frozen=True, slots=True)
class Sizing:
    """What a pair of drives asks of its divider.

    `drops` are the diode's lowest, nominal and highest forward voltage [V], `leak_a` is what one leaks that blocks [A],
    `rest_v` what the display leaves at rest [V], `display_most_a` what it can give [A].
    """

    window: Window
    board: Feed
    display: Feed
    drops: tuple[float, float, float]
    tolerance: float
    load: Load
    leak_a: float = 0.0
    rest_v: float = 0.0
    display_most_a: float = math.inf

    def volts(self, tried: Try, on: On, end: int) -> float:
        """The pin's lowest (`end` -1), nominal (0) or highest (1) voltage [V] with these drives on.

        It rises with drives, lower resistor and pin current and falls with the other resistors and with the drops.
        """
        tol = end * self.tolerance
        feeds = []
        for feed, active, upper in zip((self.board, self.display), on, (tried.upper, tried.own), strict=True):
            volts = (feed.drive.nominal_v, feed.drive.high_v, feed.drive.low_v)[end] - self.drops[1 - end]
            ohm = (feed.nominal_ohm, feed.low_ohm, feed.high_ohm)[end]
            feeds.append((volts, ohm + (upper or 0.0) * (1 - tol) * (tried.own is not None), active))
        foot = tried.lower * (1 + tol) / tried.count if tried.count else OPEN_OHM
        if self.window.fitted_ohm is not None:
            foot = parallel(foot, self.window.fitted_ohm * (1 + end * FITTED_SPREAD))
        common = tried.upper * (1 - tol) if tried.own is None else 0.0
        pin_a = end * self.window.pin_a
        if end < 0 and not all(on) and tried.own is not None:
            pin_a -= self.leak_a  # on a common divider the drive that is on gives it
        return at_pin(feeds, common, foot, pin_a)

    def off_v(self, tried: Try) -> float:
        """The pin's highest voltage [V] with both drives at rest: its own current, and what the display leaves."""
        low = replace(self.display, drive=Drive(self.rest_v, self.rest_v, self.rest_v))
        return replace(self, display=low).volts(tried, DISPLAY, 1)

    def fall_s(self, tried: Try) -> float:
        """The trailing edge at its slowest, 90 to 10 % [s]: no diode conducts, the lower resistor empties all."""
        tol, load = 1 + self.tolerance, self.load
        foot, upper = tried.lower * tol / tried.count, tried.upper * tol
        if tried.own is not None:
            return EDGE_TIMES * foot * (load.pin_f + 2 * load.diode_f)
        # The display's edge takes its share of the node along through its diode, the more the greater that diode is.
        return max(falling_s(foot, upper, load.pin_f, share * load.diode_f, load.diode_f) for share in (DIODE_LEAST, 1))

    def asked_a(self, tried: Try) -> float:
        """Greatest current that the display's output must give [A]."""
        tol, volts = 1 - self.tolerance, self.display.drive.high_v - self.drops[0]
        if tried.own is None:
            return volts / (self.display.low_ohm + (tried.upper + tried.lower / tried.count) * tol)
        return volts / (self.display.low_ohm + (tried.own + tried.lower / tried.count) * tol)

    def alone_fits(self, tried: Try, on: On) -> bool:
        """Whether one drive alone keeps the pin in its window."""
        w = self.window
        if not w.on_least_v <= self.volts(tried, on, 0) <= w.on_most_v:
            return False  # most end here, at a fraction of the cost of their corners
        return self.volts(tried, on, -1) >= w.on_least_v and self.volts(tried, on, 1) <= w.on_most_v

    def together_fit(self, tried: Try) -> bool:
        """Whether both drives leave the pin below its maximum, also with one lower resistor open."""
        w = self.window
        if self.asked_a(tried) > self.display_most_a or self.volts(tried, BOTH, 1) > w.on_most_v:
            return False
        if self.volts(tried.opened, BOTH, 1) > w.maximum_v or self.off_v(tried) > w.off_most_v:
            return False
        return self.fall_s(tried) <= self.load.edge_most_s

    def off_target(self, tried: Try) -> float:
        """How far the worse of both drives stands off 2 V [V], nominal."""
        return max(abs(self.volts(tried, on, 0) - TARGET_V) for on in (BOARD, DISPLAY))

    def feet(self) -> Iterator[tuple[float, int]]:
        """Lower resistors [ohm] and their number that hold the pin's current and empty its capacitance in time.

        One before several in parallel, the greatest first.
        """
        w, most = self.window, LOWER_MOST_OHM
        if w.pin_a > 0:
            most = min(most, w.off_most_v / (w.pin_a * (1 + self.tolerance)))
        most = min(most, self.load.edge_most_s / (EDGE_TIMES * self.load.pin_f * (1 + self.tolerance)))
        for count in range(1, MOST_LOWER + 1):
            if most * count >= LOWER_LEAST_OHM:
                for lower in reversed(decade_values("E24", LOWER_LEAST_OHM, most * count)):
                    yield lower, count


@lru_cache(maxsize=32)
def meeting(sizing: Sizing) -> Meeting:
    """The E24 divider for both drives; the display has an upper resistor of its own where its level at the pin would
    stand more than half a volt off the board's.

    Each drive stands near 2 V: the first lower resistor that allows it counts, the best of all where none does.
    Raises ValueError when none serves, naming the window.
    """
    w = sizing.window
    if w.off_most_v <= 0 or w.on_most_v <= w.on_least_v:
        raise ValueError("blanking_margin is wider than the room that off_below, on_above and maximum leave")
    found = (
        _first(sizing, partial(_shared, APART_V))
        or _first(sizing, _apart)
        or _first(sizing, partial(_shared, w.maximum_v))
    )
    if found is None:
        raise ValueError(
            f"no divider keeps the blanking pin between {short(w.on_least_v, 3)} and {short(w.on_most_v, 3)} V with "
            f"the display's {short(sizing.display.drive.nominal_v, 3)} V behind "
            f"{short(sizing.display.nominal_ohm, 3)} ohm, with the board's "
            f"{short(sizing.board.drive.nominal_v, 3)} V and with both, lets it fall within "
            f"{short(sizing.load.edge_most_s * 1e9, 3)} ns, and keeps it below its maximum with any resistor open"
        )
    return _described(sizing, found)


def _first(sizing: Sizing, choose: Callable[[Sizing, float, int], Try | None]) -> Try | None:
    """The first choice near 2 V over the lower resistors, else the nearest."""
    found: list[Try] = []
    for lower, count in sizing.feet():
        tried = choose(sizing, lower, count)
        if tried is not None:
            if sizing.off_target(tried) <= NEAR_V:
                return tried
            found.append(tried)
    return best(found, sizing.off_target)


def _shared(apart_v: float, sizing: Sizing, lower: float, count: int) -> Try | None:
    """The common upper resistor nearest to 2 V, where the two levels differ by at most `apart_v` [V]."""

    def serves(tried: Try) -> bool:
        if not sizing.alone_fits(tried, DISPLAY):
            return False
        apart = abs(sizing.volts(tried, BOARD, 0) - sizing.volts(tried, DISPLAY, 0))
        return apart <= apart_v and sizing.together_fit(tried)

    tries = _inside(sizing, lower, count, BOARD, own=False)
    return best((t for t in tries if serves(t)), sizing.off_target)


def _apart(sizing: Sizing, lower: float, count: int) -> Try | None:
    """An upper resistor for each drive, on one lower one: the pair nearest to 2 V."""
    # Alone a drive knows nothing of the other's resistor, so each is looked at once.
    boards, displays = (
        {t.upper: abs(sizing.volts(t, on, 0) - TARGET_V) for t in _inside(sizing, lower, count, on, own=True)}
        for on in (BOARD, DISPLAY)
    )
    owns, found = list(displays), []
    for u in boards:
        # Both together fall as the display's resistor rises: from the first that serves on all do.
        first = bisect_left(owns, True, key=lambda own, u=u: sizing.together_fit(Try(u, own, lower, count)))  # type: ignore[misc]
        found += [(round(max(boards[u], displays[own]), 9), u, own) for own in owns[first:]]
    return Try(*min(found)[1:], lower, count) if found else None


def _inside(sizing: Sizing, lower: float, count: int, on: On, own: bool) -> Iterator[Try]:
    """Choices with which one drive alone keeps its window; its level falls as the upper resistor rises."""
    w = sizing.window
    tries = [Try(u, u if own else None, lower, count) for u in _uppers()]
    first = bisect_left(tries, -w.on_most_v, key=lambda t: -sizing.volts(t, on, 0))
    for tried in tries[first:]:
        if sizing.volts(tried, on, 0) < w.on_least_v:
            return
        if sizing.alone_fits(tried, on):
            yield tried


def _uppers() -> tuple[float, ...]:
    return decade_values("E24", UPPER_LEAST_OHM, UPPER_MOST_OHM)


def _described(sizing: Sizing, tried: Try) -> Meeting:
    def said(on: On) -> str:
        low, middle, high = (short(sizing.volts(tried, on, end), 3) for end in (-1, 0, 1))
        return f"{middle} V ({low} to {high} V at the corners)"

    both = f"with both {said(BOTH)}"
    own = None
    if tried.own is None:
        text = f"pin at {said(BOARD)} by the board, {said(DISPLAY)} by the display, {both}"
    else:
        text = f"pin at {said(BOARD)} by the board alone, {both}"
        why = (
            f"pin at {said(DISPLAY)} by the display alone: on a common divider its "
            f"{short(sizing.display.drive.nominal_v, 3)} V would stand more than {APART_V:g} V off the board's; a "
            "diode in front of either keeps one from pulling the other down"
        )
        own = Sized(tried.own, "ohm", why)
    words = {1: "", 2: "two in parallel, ", 3: "three in parallel, "}[tried.count]
    pair = f"{words}so that one that opens leaves the pin below its maximum; " if words else ""
    w, foot = sizing.window, tried.lower / tried.count
    held = f"holds {short(w.pin_a * 1e3, 3)} mA below {short(w.off_most_v, 3)} V"
    falls = short(sizing.fall_s(tried) * 1e9, 3)
    empties = f"lets the pin fall within {falls} ns of {short(sizing.load.edge_most_s * 1e9, 3)} ns allowed"
    return Meeting(
        Sized(tried.upper, "ohm", text),
        own,
        Sized(tried.lower, "ohm", f"{pair}{short(foot)} ohm {held} and {empties}"),
        tried.count,
        sizing.off_target(tried),
    )
