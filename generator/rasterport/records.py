"""Plain records that every layer shares.  No logic beyond look-up, no words, no SKiDL."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

Severity = Literal["error", "warning", "note", "met"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note", "met")
"""Gravest first.  "met": a limit was measured and is kept, so that every check leaves a trace."""

GROUND = "GND"
"""Name of the one ground net of every board."""

LINES = ("red", "green", "blue", "sync", "left", "right")
"""The lines of a board, in the order in which they are listed."""

COLOURS = LINES[:3]

INPUT_ROLE = re.compile(r"input-([1-8])/(.+)")
"""Role of a part that belongs to an input: its number, and what the part is there."""

PinKind = Literal["passive", "input", "output", "power_in", "power_out", "open_collector", "no_connect"]
Construction = Literal["smd", "through-hole"]
Appears = Literal["resistance", "capacitance", "trimmer", "contacts", "joint", "control"]
"""How a part stands in a network of signals: by its value, as a track with a wiper anywhere on it, as change-over
contacts, as a mere joint of its nets, or not at all: a part of the control (transistor, diode, integrated circuit) has
no place in a signal path."""


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin: number as printed, name as the maker gives it, electrical kind."""

    number: str
    name: str
    kind: PinKind = "passive"


@dataclass(frozen=True, slots=True)
class CataloguePart:
    """One orderable part, or one pattern of copper (`orderable` False).

    `name` is the value that KiCad shows for parts without a numeric value.  `symbol` is the KiCad
    library symbol whose pin table must agree, or "" where none exists.  `pin_alias` maps our pin name
    to the symbol's where they are spelled differently.  `ratings` carry their unit in the key
    (`power_w`, `voltage_v`, `coil_ohm`).  `number_rests_on` is "maker's numbering scheme" or "from memory".
    """

    key: str
    letter: str
    name: str
    description: str
    pins: tuple[Pin, ...]
    package: str
    footprint: str
    manufacturer: str = ""
    part_number: str = ""
    number_rests_on: str = ""
    symbol: str = ""
    pin_alias: Mapping[str, str] = field(default_factory=dict)
    tolerance: str = ""
    rating: str = ""
    ratings: Mapping[str, float] = field(default_factory=dict)
    source: str = ""
    confidence: str = ""
    orderable: bool = True
    appears: Appears = "joint"


@dataclass(frozen=True, slots=True)
class Sized:
    """A value that a sizing function chose, with the reason in words.

    `value` is in the SI unit named by `unit` ("ohm", "F", "V", "A", "W").
    """

    value: float
    unit: str
    reason: str


@dataclass(frozen=True, slots=True)
class Placed:
    """One part of the circuit: identity by `role`, pins joined to nets.

    `nets` maps every pin number to a net name, or to None for a pin that is left open on purpose.
    `on_board` is False for panel parts: in the wiring and the BOM, not in the netlist.  `instead_of` is the value that
    was sized where the user has chosen another part, "" where not.
    """

    role: str
    ref: str
    part: CataloguePart
    value: str
    nets: Mapping[str, str | None]
    reason: str
    value_si: float | None = None
    on_board: bool = True
    instead_of: str = ""


@dataclass(frozen=True, slots=True)
class Wire:
    """One wire of the harness, in the order in which it is soldered.

    `at` is the owner's free text for the place; `measure` what to check once it is on.  `joins` has the ends, reference
    and pin, that it brings together, in the order of `start` and `end`; the chassis is none.  `screen` says at which
    end its screen is joined, "" where it has none.  From stage CHASSIS on a wire goes into the set; those before it are
    the board's own, to sockets, switches and from part to part, and are there before the board is tried.
    """

    stage: int
    start: str
    end: str
    at: str
    carries: str
    ground: str
    length_m: float
    colour: str
    gauge: str
    shielded: bool
    measure: str
    net: str
    joins: tuple[tuple[str, str], ...] = ()
    screen: Literal["", "start", "end", "both"] = ""

    @property
    def inside(self) -> bool:
        """Whether it goes into the set."""
        return self.stage >= CHASSIS

    @property
    def says_where(self) -> bool:
        """Whether its place says more than where sockets and switches are."""
        return bool(self.at) and (self.inside or self.at != REAR_PANEL)


CHASSIS = 10
"""First stage of the wires that go into the set."""
REAR_PANEL = "rear panel"
"""Place of the wires to sockets and switches.  An owner may write the same of a landing, which is inside."""
BOARD_GROUND = "board ground"
"""Ground of most wires."""


@dataclass(frozen=True, slots=True)
class Work:
    """One step of the work on the chassis: what is done to one part or track, where, and how it is taken back.

    `kind` is "lift", "cut", "add", "move" or "other"; `undo` is "" where the owner says no way back.
    """

    kind: str
    do: str
    at: str
    undo: str


@dataclass(frozen=True, slots=True)
class Bought:
    """A thing to order that is not a part of the netlist: wire, plug, panel switch, socket."""

    role: str
    part: CataloguePart
    quantity: float
    quantity_unit: str
    reason: str


SCREENS = "screens"
"""Name of where screens are joined to the board: a pin, a pad or an end of the ground run; no place in the set."""


@dataclass(frozen=True, slots=True)
class Landed:
    """Where a landing leaves the board: its name, and the reference and pin that carry it."""

    name: str
    ref: str
    pin: str


@dataclass(frozen=True, slots=True)
class Circuit:
    """What the blocks built: parts sorted by role, wires in order of work, things to buy besides.

    `work` is what the owner does to the chassis before any wire to it, in order.  `wired` says that there is no printed
    board, `housed` that the parts stand in the chassis, so that its work precedes every wire; `joined` are the ends,
    reference and pin, that the set joins to their nets itself.
    """

    parts: tuple[Placed, ...]
    wires: tuple[Wire, ...] = ()
    bought: tuple[Bought, ...] = ()
    landed: tuple[Landed, ...] = ()
    work: tuple[Work, ...] = ()
    wired: bool = False
    housed: bool = False
    joined: tuple[tuple[str, str], ...] = ()

    def landing_net(self, name: str) -> str | None:
        """Net of a landing as the netlist has it, None where the board has no such landing."""
        for landed in self.landed:
            if landed.name == name:
                return next(p.nets[landed.pin] for p in self.parts if p.ref == landed.ref)
        return None

    def by_role(self, role: str) -> Placed:
        """The part with this role.  Raises KeyError with the role when there is none."""
        for placed in self.parts:
            if placed.role == role:
                return placed
        raise KeyError(role)

    def has(self, role: str) -> bool:
        """Whether a part with this role stands in the circuit."""
        return any(p.role == role for p in self.parts)

    def under(self, prefix: str) -> Iterator[Placed]:
        """All parts whose role begins with this path, in order."""
        return (p for p in self.parts if p.role == prefix or p.role.startswith(prefix + "/"))

    def nets(self, on_board_only: bool = True) -> dict[str, tuple[tuple[str, str], ...]]:
        """Net name -> sorted (reference, pin number) pairs."""
        joined: dict[str, list[tuple[str, str]]] = {}
        for placed in self.parts:
            if on_board_only and not placed.on_board:
                continue
            for pin, net in placed.nets.items():
                if net is not None:
                    joined.setdefault(net, []).append((placed.ref, pin))
        return {net: tuple(sorted(pins)) for net, pins in sorted(joined.items())}


@dataclass(frozen=True, slots=True)
class Figure:
    """One number worked out from the finished circuit: nominal, and its worst cases with the corners in words.

    `key` names its definition, `unit` the unit of all three values.  `given` are the values put into the formula
    besides the parts, `parts` the uncertainties that move it with their bounds in words.  `at_least` where the highest
    is written as a bound, since more cannot be told apart.  `title`, `formula`, `source` are those of its definition.
    """

    key: str
    subject: str
    state: str
    unit: str
    nominal: float
    low: float
    high: float
    low_corner: str = ""
    high_corner: str = ""
    given: tuple[tuple[str, str], ...] = ()
    parts: tuple[tuple[str, str], ...] = ()
    at_least: bool = False
    title: str = ""
    formula: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """A key of the variant file that is unknown: what is used meanwhile, what measuring it would decide, and how.

    `decides` is in words, what weighs most first; `weight` orders several, the greatest first.  `first` where no
    stand-in is on the safe side, `untold` where neither that nor what it decides can be said before there is a board.
    """

    key: str
    used: str
    decides: tuple[str, ...]
    how: str
    weight: tuple[float, ...]
    first: bool = False
    untold: bool = False

    @property
    def code(self) -> str:
        """The finding that it is."""
        return "F911" if self.first else "F910"

    @property
    def severity(self) -> Severity:
        """How grave that finding is."""
        return "error" if self.first else "warning"


@dataclass(frozen=True, slots=True)
class Offer:
    """One choice of the resistors where an input and the set's own display meet, and what it makes of both.

    `title` says which it is, `gives_up` what it gives up against the best and what it wins, "" for the best.  Resistors
    in ohm, `ground_ohm` None for none.  White at the pin [V]: of an input; of menus with a source in the contact, with
    none, and native; of both.  Return loss at direct voltage [dB]; resistance of the node [ohm].
    """

    title: str
    gives_up: str
    termination_ohm: float
    series_ohm: float
    display_ohm: float
    ground_ohm: float | None
    external_v: float
    display_v: float
    display_unplugged_v: float
    display_native_v: float
    both_v: float
    return_loss_db: float
    node_ohm: float


@dataclass(frozen=True, slots=True)
class Sampled:
    """A figure over many boards drawn at random: mean, deviation, percentiles, and how many keep its limits.

    Percentiles are read from bins between the corners; `outside` counts boards beyond the corners, of which there must
    be none.  `code` names the finding, "" for a figure that no limit judges; `limit` and
    `sense` are the finding's.
    """

    code: str
    key: str
    subject: str
    state: str
    unit: str
    title: str
    boards: int
    mean: float
    deviation: float
    low: float
    one_percent: float
    median: float
    ninety_nine_percent: float
    high: float
    outside: int
    without_warning: int
    without_error: int
    sense: str = ""
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check.  `measured` and `limit` share `unit`; None where a word says it all.

    `sense` is "least" where the measured value must not fall below the limit, "most" where not exceed it.  `figure` is
    the key of the figure that was measured; subject and state are the figure's.  `limit` is the bound that was broken,
    the nearer one when none was, of `warning_limit` and `error_limit`.
    """

    code: str
    severity: Severity
    subject: str
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    sense: str = ""
    source: str = ""
    confidence: str = ""
    state: str = ""
    corner: str = ""
    reason: str = ""
    figure: str = ""
    warning_limit: float | None = None
    error_limit: float | None = None


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under which a circuit is simulated; as it stands: everything at its nominal value, 25 C.

    `vbe_v` is the base-emitter voltage of every transistor at 2 mA and 25 C [V] and `gain` its current gain, None for
    the middle of the catalogue's bounds.  `rail` and `pin` are shares from -1 to 1: of the rail's tolerance, and of
    the blanking pin's greatest current (positive: out of the pin).  `spreads` gives the share of its own spread that
    an element is off, by role.  `picture` is the average picture level from 0 to 1 that an AC-coupled source has
    settled at, None for that of the test picture.
    """

    celsius: float = 25.0
    vbe_v: float | None = None
    gain: float | None = None
    rail: float = 0.0
    pin: float = 0.0
    spreads: Mapping[str, float] = field(default_factory=dict)
    picture: float | None = None


@dataclass(frozen=True, slots=True)
class Modelled:
    """One part of a simulation: `kind` says which model, `nets` its ends in the model's order.

    `name` is a reference of the board ("R101") or a path of the set or the source ("set/red/resistance").
    `figures` carry their unit in the key, as ratings do.  `model` is the part's type where several share one.
    """

    kind: str
    name: str
    role: str
    nets: tuple[str, ...]
    figures: Mapping[str, float]
    model: str = ""


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure that a simulation prints: of what, and at which time or over which span [s].

    `kind` is "voltage" (of a net, at `start_s`), "current" (through an ammeter, at `start_s`), "swing" (peak to
    peak of a net from `start_s` to `stop_s`) or "difference" (of two measures named in `of`).
    """

    kind: str
    name: str
    of: tuple[str, ...]
    words: str
    start_s: float = 0.0
    stop_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Simulation:
    """A circuit in one state with everything around it, as a network with sources.

    `starts` are voltages from which nets start [V], `step_s` and `stop_s` the longest step and the length of the
    run [s], `notes` what was assumed of set and source, in words.
    """

    title: str
    state: str
    parts: tuple[Modelled, ...]
    starts: Mapping[str, float]
    measures: tuple[Measure, ...]
    celsius: float
    step_s: float
    stop_s: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a board does in some of its states: what was wanted, what reaches each landing, blanking, relays, rail.

    `reaches` are pairs of landing and sources in words, `relays` pairs of reference and "on" or "off".  `condition`
    says which states these are, `states` how many.  `undecided` names what cannot be told, "" where all is.
    """

    wanted: str
    rail: str
    reaches: tuple[tuple[str, str], ...]
    blanking: str
    relays: tuple[tuple[str, str], ...]
    condition: str
    states: int
    undecided: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """One part in the panel, all in millimetres: a round hole, or a rectangle with two screw holes beside it.

    `plug_width_mm` and `plug_height_mm` are what the plug, or the hand at a switch, takes in front of the panel.
    """

    ref: str
    words: str
    plug_width_mm: float
    plug_height_mm: float
    hole_mm: float = 0.0
    width_mm: float = 0.0
    height_mm: float = 0.0
    fixing_spacing_mm: float = 0.0
    fixing_hole_mm: float = 0.0
    rests_on: str = ""

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height of everything that belongs to it."""
        across = self.fixing_spacing_mm + 2 * self.fixing_hole_mm if self.fixing_spacing_mm else 0.0
        wide = max(self.plug_width_mm, self.width_mm, self.hole_mm, across)
        return wide, max(self.plug_height_mm, self.height_mm, self.hole_mm)

    @property
    def web_mm(self) -> float | None:
        """Metal between the cut-out and each screw hole; None where there are none."""
        if not self.fixing_spacing_mm:
            return None
        return round((self.fixing_spacing_mm - self.width_mm - self.fixing_hole_mm) / 2, 3)


@dataclass(frozen=True, slots=True)
class Seated:
    """An opening with its centre, from the upper left corner of the panel, y downwards."""

    opening: Opening
    x_mm: float
    y_mm: float

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """Centres of the screw holes."""
        half = self.opening.fixing_spacing_mm / 2
        return ((self.x_mm - half, self.y_mm), (self.x_mm + half, self.y_mm)) if half else ()


@dataclass(frozen=True, slots=True)
class Panel:
    """A rear panel with all its openings, seen from outside, in millimetres."""

    width_mm: float
    height_mm: float
    placed: tuple[Seated, ...]


BRIDGED = "a bridge or a wrong wire between the two points"
OPENED = "an open joint or wire between the two points"
"""What a reading suspects where the circuit names nothing nearer."""
OPEN_LEAST_OHM = 1e6
"""Nothing but leakage: at least this [ohm], flux and fingers included; judgement, stated."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing to read at the bench, with what to expect of it.

    `key` names it for good, in the bench sheet and under [[built]] ("joined/red-ground").  `stage` is "alone" (the
    board by itself, sources and resistors standing in for set and source), "joined" (soldered into the set, nothing
    powered) or "powered"; `state` the board's state, "" where none matters.  `red` and `black` are the points for the
    meter's two leads, `feed` the picture or source to give, "" for none.  Nominal, low and high in `unit` ("ohm", "V");
    `high` may be infinite ("open").  `low_means` and `high_means` say what to suspect, "" where it is no fault.
    `decides` marks what decides whether power may be applied: a multimeter must do for those.  `refs` are the
    references of the parts it is read at.
    """

    key: str
    stage: str
    title: str
    instrument: str
    red: str
    black: str
    unit: str
    nominal: float
    low: float
    high: float
    low_means: str
    high_means: str
    state: str = ""
    feed: str = ""
    decides: bool = False
    refs: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """One plot: lines of `y` over `x`, with limits across.  All values are finite.

    `x`, every line and both edges of the band have the same length; `lines` are pairs of name and values, the nominal
    board first; `band` is the lowest and the highest of the boards at the corners at each `x`, `band_words` what it is.
    `limits` are pairs of words and value on the y axis that hold everywhere, `corners` have words and the x up to which
    a line must stay above a y; `marks` are pairs of words and value on the x axis.  `shown` is the part of the y axis
    that the plot shows, what lies beyond being cut off.  `says` is what the plot shows, in one sentence, for who does
    not see it.
    """

    key: str
    title: str
    subject: str
    state: str
    x_words: str
    x_unit: str
    y_words: str
    y_unit: str
    x: tuple[float, ...]
    lines: tuple[tuple[str, tuple[float, ...]], ...]
    limits: tuple[tuple[str, float], ...]
    says: str
    logarithmic: bool = False
    band: tuple[tuple[float, ...], tuple[float, ...]] | None = None
    band_words: str = ""
    corners: tuple[tuple[str, float, float], ...] = ()
    marks: tuple[tuple[str, float], ...] = ()
    shown: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a picture of bars: from `low` to `high`, `nominal` where it is known; all three in the picture's unit.

    `words` name it, `told` is its value in words.  `ticks` are limits of its own.  `grave` is the severity of what it
    shows.
    """

    words: str
    told: str
    low: float
    high: float
    nominal: float | None = None
    ticks: tuple[float, ...] = ()
    grave: Severity = "met"


@dataclass(frozen=True, slots=True)
class Bars:
    """Horizontal bars over one axis, with limits that hold for all of them, pairs of words and value.

    `shown` is the part of the axis that the picture shows; a bar that is longer is cut off and marked.  `ticks_words`
    says what the ticks of single bars are, `left_out` what has no bar, "" for nothing.
    """

    key: str
    title: str
    subject: str
    state: str
    x_words: str
    x_unit: str
    bars: tuple[Bar, ...]
    limits: tuple[tuple[str, float], ...]
    shown: tuple[float, float]
    says: str
    ticks_words: str = ""
    left_out: str = ""
