"""What can go wrong with the rail and with blanking."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import OWN, Facts, begun, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.safety import DEAD
from rasterport.emit.sheet.words.screen import DARK, chosen, native, told, with_sync_from
from rasterport.order import natural
from rasterport.parts.protection import short_circuit_a
from rasterport.records import Figure
from rasterport.standards.bench_practice import PRACTICE
from rasterport.units import short, written

VOLTS = "Multimeter, direct voltage"
MOVES = "KQSU"
"""Letters of the parts that open and close a way."""
READ_V = 1e-3
"""Less than this a multimeter does not show [V].  Judgement, stated."""


def switching(facts: Facts) -> Iterator[Fault]:
    """Faults of what selects, the rail first: without it nothing does."""
    yield _rail(facts)
    yield _never(facts)
    yield _half(facts)
    yield _always(facts)
    yield _too_high(facts)


def driven(facts: Facts) -> Figure | None:
    """The blanking pin while an input is chosen."""
    return facts.figure("blanking-on", "blanking") or facts.figure("meeting-on", "board")


def _parts(facts: Facts) -> tuple[str, ...]:
    return facts.below("blanking")


def _bringing(facts: Facts) -> tuple[str, ...]:
    """What is in the way from the rail to the pin: contact or transistor, diode and upper resistor."""
    inner = facts.refs("blanking/board", "blanking/upper")
    nets = {net for p in facts.circuit.parts if p.ref in inner for net in p.nets.values()}
    nets |= {facts.circuit.landing_net("blanking")}
    nets -= {net for p in facts.circuit.under("supply") for net in p.nets.values()}
    moved = [p.ref for p in facts.circuit.parts if p.part.letter in MOVES and nets & {*p.nets.values()}]
    return (*sorted(moved, key=natural), *inner)


def _bridged(facts: Facts) -> str:
    """The lower resistors, which keep the pin low only where they are bridged."""
    lower = facts.refs(*(f"blanking/{name}" for name in ("lower", "lower-spare", "lower-third")))
    if len(lower) == 1:
        return f"{lower[0]} holds the pin low only where it is bridged: open, it lets the pin rise"
    return f"{listed(lower)} hold the pin low only where one is bridged: open, they let the pin rise"


def choose(facts: Facts) -> str:
    """How input 1 is chosen, for a reading."""
    if at := facts.at_position(1):
        return f"input 1 chosen ({at})"
    return "the source of input 1 on"


def _window(facts: Facts) -> str:
    pin, figure = facts.tv.blanking, driven(facts)
    found = f"{facts.span(figure)}; " if figure else ""
    return f"{found}RGB shows above {written(pin.on_above, 'V')}"


def _reading(facts: Facts, state: str) -> str:
    return f"{VOLTS}, {state}: {facts.probe('blanking')} against {facts.ground}."


def _rail(facts: Facts) -> Fault:
    element = facts.circuit.by_role("supply/element")
    resets = "trip_a" in element.part.ratings
    opened = "is warm and holds the current back" if resets else "has opened"
    source, heard = chosen(facts, fed=False)
    shows = "The set works as before"
    if source != "set":
        at = facts.at_position(1)
        shows = f"With {at}: {told(facts, source)}" if at else begun(told(facts, source))
    sound = ", with the sound of input 1" if heard else ""
    gives = ""
    if short_circuit_a(element, facts.rail_high) > facts.tv.supply.spare_current:
        gives = f" With a short the set's own supply gives way before {element.ref}: the set may switch itself off."
    points = list(supply_points(facts))
    find = f"{DEAD.lower()}, {behind(facts)} to {facts.ground}"
    return Fault(
        "rail-dead",
        "The board has no supply",
        f"{shows}{sound}. RGB never comes.{gives}",
        f"The rail is off, or {element.ref} {opened} because something on the board is shorted.",
        f"{VOLTS}: {', then '.join(point for point, _ in points)}, each against {facts.ground}.",
        "; ".join(f"{volts} at {point}" for point, volts in points),
        f"Find the short first: {find}. Then {element.ref} recovers by itself once the set was off for a while."
        if resets
        else f"Before {element.ref} is replaced find the short: {find}.",
        PRACTICE,
        (element.ref, *facts.refs("supply/regulator", "supply/blocking", "test/rail")),
    )


def supply_points(facts: Facts) -> Iterator[tuple[str, str]]:
    """Points of the supply from the landing inwards, each with the voltage to expect there."""
    yield facts.end("rail"), facts.rail
    yield behind(facts), "nearly as much"
    if facts.has("supply/regulator"):
        chip = facts.circuit.by_role("supply/regulator")
        low, high = chip.part.ratings["output_low_v"], chip.part.ratings["output_high_v"]
        yield facts.touched(facts.pin_net("supply/regulator", "OUT")), f"{short(low)} to {written(high, 'V')}"
    fed = [f for f in facts.under("chip-supply") if facts.feeds("supply/blocking", "K", f.subject)]
    if fed:
        yield facts.touched(facts.pin_net("supply/blocking", "K")), facts.span(fed[0])


def behind(facts: Facts) -> str:
    """The rail behind its element."""
    element = facts.circuit.by_role("supply/element")
    (inner,) = {net for net in element.nets.values() if net not in (None, facts.circuit.landing_net("rail"))}
    return facts.touched(str(inner))


def _never(facts: Facts) -> Fault:
    way = _bringing(facts)
    source, heard = chosen(facts)
    sound = ", with the sound of input 1" if heard else ""
    stays = "" if source == "set" else f" With nothing chosen: {native(facts)}."
    return Fault(
        "blanking-off",
        "RGB does not come up",
        f"With input 1 chosen and its source on: {told(facts, source)}{sound}.{stays}",
        "The blanking pin is not raised: the wire is off, an input is not chosen, or the way from the rail is open.",
        _reading(facts, choose(facts)),
        _window(facts),
        f"At ground: look for what should choose, then for what is open between rail and pin: {listed(way)}. "
        f"{_bridged(facts)}. Right here and wrong at {facts.at('blanking')}: the wire.",
        PRACTICE,
        (*facts.refs("test/blanking"), *way, *(ref for ref in _parts(facts) if ref not in way)),
    )


def _half(facts: Facts) -> Fault:
    pin, under = facts.tv.blanking, with_sync_from(facts, chosen(facts)[0])
    mixed = "RGB is dim" if under == DARK else f"RGB is see-through, and under it is {under}"
    return Fault(
        "blanking-half",
        "Blanking is only half on",
        f"{mixed}; or it flickers as the set warms up.",
        "The pin stands between its thresholds: a resistor of the divider is wrong, or something else loads the pin.",
        _reading(facts, choose(facts)),
        f"{_window(facts)}; between {written(pin.off_below, 'V')} and {written(pin.on_above, 'V')} neither is sure",
        f"Compare {listed(_parts(facts))} with the parts list; look for a resistor that stayed on the pin in the set.",
        "data sheet of the jungle IC",
        (*facts.refs("test/blanking"), *_parts(facts)),
    )


NATIVE_END = {
    "grounded": "nothing holds the pin at ground any more",
    "open": "something else raises the pin",
    "driven": "the set's own wire of the pin is not joined to the board",
}


def _always(facts: Facts) -> Fault:
    figure = facts.figure("blanking-off", "blanking", "native") or facts.figure("meeting-off", "blanking", "native")
    pin = facts.tv.blanking
    shown = figure is not None and max(abs(figure.low), abs(figure.high)) >= READ_V
    found = f"; the board leaves {facts.span(figure)}" if figure and shown else ""
    menu = " A menu of the set raises it too, while it is open." if facts.shared else ""
    held = "the display's own blanking line stays up" if facts.shared else NATIVE_END[pin.native]
    state = f"{facts.at_position(OWN)}" if facts.at_position(OWN) else "every source off"
    without = "With the board's plug or wires off the set must be as before."
    if facts.returned:
        without = f"Leave the board on: only it gives the set back {listed(facts.returned)}."
    return Fault(
        "blanking-stuck",
        "The set's own picture does not come back",
        "The screen is black, or shows RGB, when the set's own picture should be seen; sound of the set is there.",
        f"The blanking pin stays up: what chooses is stuck, or {held}.",
        _reading(facts, state),
        f"below {written(pin.off_below, 'V')}{found}.{menu}".removesuffix(".") + ("." if menu else ""),
        f"Up: pull the plug of every source, then look at what chooses. {without}",
        PRACTICE,
        facts.refs("test/blanking"),
    )


def _too_high(facts: Facts) -> Fault:
    pin, figure = facts.tv.blanking, driven(facts)
    found = f"; by design at most {figure_text(figure.high, figure.unit)}" if figure else ""
    return Fault(
        "blanking-high",
        "The screen goes black instead of RGB",
        "When the input is chosen the screen is black, with sound.",
        f"The pin stands above {written(pin.maximum, 'V')}, where it means something else or is damaged. Or the "
        "colours do not arrive.",
        _reading(facts, choose(facts)),
        f"at most {written(pin.maximum, 'V')}{found}",
        f"Too high: switch off at once and look at {listed(_parts(facts))}: a lower resistor is open. Right: see the "
        "colours.",
        "data sheet of the jungle IC",
        (*facts.refs("test/blanking"), *_parts(facts)),
    )
