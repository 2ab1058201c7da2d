"""What can go wrong with blanking, status contacts, relays, the panel switch and the rail."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import AUTOMATIC, OWN, Facts, begun, inputs_words, listed
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.purpose import meant
from rasterport.records import Figure
from rasterport.standards.bench_practice import JOINED_OHM, PRACTICE
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import written

VOLTS = "Multimeter, direct voltage"
DEAD = "Set unplugged and discharged, ohmmeter"


def switching(facts: Facts) -> Iterator[Fault]:
    """Faults of what selects, the rail first: without it nothing does."""
    yield _rail(facts)
    yield _never(facts)
    yield _half(facts)
    yield _always(facts)
    yield _too_high(facts)
    yield from _status(facts)
    yield from _gate(facts)
    yield from _relays(facts)
    yield from _switch(facts)
    yield from _chips(facts)


def driven(facts: Facts) -> Figure | None:
    """The blanking pin while an input is chosen."""
    return facts.figure("blanking-on", "blanking") or facts.figure("meeting-on", "board")


def _parts(facts: Facts) -> tuple[str, ...]:
    return facts.below("blanking")


def _choose(facts: Facts) -> str:
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
    element = facts.ref("supply/element")
    regulator = facts.refs("supply/regulator")
    five = f", then the output of {listed(regulator)}" if regulator else ""
    return Fault(
        "rail-dead",
        "The board has no supply",
        "The set works as before and the board never does anything.",
        f"The rail is off, or {element} has opened because something on the board is shorted.",
        f"{VOLTS}: {facts.end('rail')}, then {_behind(facts)}{five}, each against {facts.ground}.",
        f"{facts.rail} at the first point, nearly the same at the second",
        f"Before {element} is replaced find the short: {DEAD.lower()}, {_behind(facts)} to {facts.ground}.",
        PRACTICE,
        (element, *regulator, *facts.refs("test/rail")),
    )


def _behind(facts: Facts) -> str:
    """The rail behind its element."""
    if facts.has("test/rail"):
        return facts.probe("rail")
    element = facts.circuit.by_role("supply/element")
    inner = next((pin for pin, net in element.nets.items() if net != facts.circuit.landing_net("rail")), "2")
    return f"{element.ref} end {inner}"


def _never(facts: Facts) -> Fault:
    return Fault(
        "blanking-off",
        "RGB does not come up",
        "The set's own picture stays, or a rolling remainder of it, while the source plays.",
        "The blanking pin is not raised: the wire is off, an input is not chosen, or a resistor is open.",
        _reading(facts, _choose(facts)),
        _window(facts),
        f"At ground: look for what should choose, then at {listed(_parts(facts))}. Right here and wrong at "
        f"{facts.at('blanking')}: the wire.",
        PRACTICE,
        (*facts.refs("test/blanking"), *_parts(facts)),
    )


def _half(facts: Facts) -> Fault:
    pin = facts.tv.blanking
    return Fault(
        "blanking-half",
        "Blanking is only half on",
        "RGB is see-through: the tuner's picture or snow shines through it, or it flickers as the set warms up.",
        "The pin stands between its thresholds: a resistor of the divider is wrong, or something else loads the pin.",
        _reading(facts, _choose(facts)),
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
    found = f"; the board leaves {facts.span(figure)}" if figure else ""
    menu = " A menu of the set raises it too, while it is open." if facts.shared else ""
    held = "the display's own blanking line stays up" if facts.shared else NATIVE_END[pin.native]
    state = f"{facts.at_position(OWN)}" if facts.at_position(OWN) else "every source off"
    return Fault(
        "blanking-stuck",
        "The set's own picture does not come back",
        "The screen is black, or shows RGB, when the set's own picture should be seen; sound of the set is there.",
        f"The blanking pin stays up: what chooses is stuck, or {held}.",
        _reading(facts, state),
        f"below {written(pin.off_below, 'V')}{found}.{menu}".removesuffix(".") + ("." if menu else ""),
        "Up: pull every plug, then look at what chooses. With the board's plug or wire off the set must be as before.",
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
        _reading(facts, _choose(facts)),
        f"at most {written(pin.maximum, 'V')}{found}",
        f"Too high: switch off at once and look at {listed(_parts(facts))}: a lower resistor is open. Right: see the "
        "colours.",
        "data sheet of the jungle IC",
        (*facts.refs("test/blanking"), *_parts(facts)),
    )


def _status(facts: Facts) -> Iterator[Fault]:
    for key in dict.fromkeys(filter(None, (facts.status(n) for n in facts.inputs))):
        numbers = tuple(n for n in facts.inputs if facts.status(n) == key)
        level, n = STATUS_LEVELS[key], numbers[0]
        subject = key if len(facts.inputs) == 1 else f"input-{n}/{key}"
        off = facts.figure("status-off-edge", subject, "native")
        on = facts.figure("status-on-edge", subject, f"input-{n}")
        edges = (
            f" The board is off up to {figure_text(off.low, off.unit)} and on from {figure_text(on.high, on.unit)}."
            if off and on
            else ""
        )
        parts = facts.below(*(f"input-{m}/status" for m in numbers))
        yield Fault(
            f"status-{key.removeprefix('status-')}",
            f"Contact {key.removeprefix('status-')} is not read as it should be",
            f"{begun(inputs_words(numbers))}: the board does not switch when the source comes on, or does not "
            "let go when it is off.",
            "The source or the lead does not drive this contact, drives another, or a stage behind it has failed.",
            f"{VOLTS}, source on, then off: {listed([facts.contact(m, key) for m in numbers])} against "
            f"{facts.return_of(n)}.",
            f"At least {written(level.on_least_v, 'V')} when on, at most {written(level.off_most_v, 'V')} when off.{edges}",
            "Wrong at the contact: the lead or the source; try another. Right: look at the stage behind it"
            f" ({listed(facts.below(f'input-{n}/status'))}).",
            level.source,
            parts,
        )


def _gate(facts: Facts) -> Iterator[Fault]:
    if not facts.lands("gate"):
        return
    gate = facts.variant.selector
    yield Fault(
        "gate-shut",
        "The gate line does not agree",
        "The source is on and calls, and the set's own picture stays; or RGB comes on every channel.",
        "The line of the set does not say what the file says, or its wire is off.",
        f"{VOLTS}, the right input selected on the set, then another: {facts.end('gate')} against {facts.ground}.",
        f"{gate.gate_active} with the right input: high is at least {written(gate.gate_high, 'V')}, low at most "
        f"{written(gate.gate_low, 'V')}",
        "The other way round: correct gate_active in the variant file and build again.",
        "set's circuit diagram",
        facts.below("gate"),
    )


def _relays(facts: Facts) -> Iterator[Fault]:
    if not facts.relays:
        return
    margin = min(facts.under("relay-margin"), key=lambda f: f.low, default=None)
    gate = next(iter(facts.under("driver-gate")), None)
    gates = f"; a driver's gate at {figure_text(gate.low, gate.unit)} or more" if gate else ""
    room = ""
    if margin:
        room = f"; its current is {figure_text(margin.low, margin.unit)} or more over pull-in when hot, by design"
    drivers = tuple(p.ref for p in facts.of_kind("driver"))
    yield Fault(
        "relay-idle",
        "A relay does not pull in",
        "No click when an input is chosen; a part of it comes (picture without sync, or without sound), or it fails "
        "when the set is warm.",
        f"The rail is low, a driver ({listed(drivers)}) or a joint at a coil is open, or a flyback diode sits the "
        "wrong way round and shorts the coil.",
        f"{VOLTS}, {_choose(facts)}: {_behind(facts)}, then both ends of the coils of {listed(facts.relays)} and the "
        f"gates of {listed(drivers)}, against {facts.ground}.",
        f"{facts.rail} at the rail{gates}; one end of an energised coil near ground{room}",
        "Both ends of the coil high: the driver or its gate. Both at ground: what feeds the coil.",
        "maker's sheet of the relay",
        (*facts.relays, *drivers),
    )


def _switch(facts: Facts) -> Iterator[Fault]:
    if facts.switch is None:
        return
    ref = facts.switch.ref
    told = ", ".join(f"{name} {meant(meaning)}" for name, meaning in facts.positions)
    pins = {pin.name: pin.number for pin in facts.switch.part.pins}
    name, meaning = next(pair for pair in facts.positions if pair[1] not in (OWN, AUTOMATIC))
    pole = _alone(facts, name)
    yield Fault(
        "switch-turned",
        f"The panel switch {ref} does the wrong thing",
        "The positions are exchanged, a position does nothing, or only some of the lines follow.",
        "Terminals were counted from the wrong side, or one pole is wired as another.",
        f"{DEAD}, {ref} at {name}: terminal {pins[f'common-{pole}']} of {ref} (common-{pole}) to terminal "
        f"{pins[f'{name}-{pole}']} ({name}-{pole}).",
        f"below {written(JOINED_OHM, 'ohm')} there, far more in every other position; {told}",
        f"Compare with the maker's drawing. In that position {meant(meaning)} must be seen.",
        "maker's drawing of the switch",
        facts.refs("panel/switch", "panel/header", "panel/header-2"),
    )


def _alone(facts: Facts, name: str) -> int:
    """A pole of the panel switch on which a position has a net of its own, so that a meter tells it from the others."""
    switch = facts.switch
    assert switch is not None
    nets = {pin.name: switch.nets.get(pin.number) for pin in switch.part.pins}
    poles = [int(pin.rpartition("-")[2]) for pin in nets if pin.startswith("common-")]
    throws = {n: [net for pin, net in nets.items() if pin.endswith(f"-{n}") and net is not None] for n in poles}
    alone = [n for n in poles if nets[f"{name}-{n}"] is not None and throws[n].count(nets[f"{name}-{n}"]) == 1]
    return min(alone, default=poles[0])


def _chips(facts: Facts) -> Iterator[Fault]:
    """Analog switches that do not rest at the middle of their supply."""
    if not facts.under("switch-bias"):
        return
    chips = tuple(p.ref for p in facts.circuit.under("selector") if p.ref.startswith("U"))
    middles = facts.below("middle")
    judged = next((f for f in facts.findings if f.figure == "switch-bias" and f.limit is not None), None)
    within = f", within {figure_text(judged.limit, judged.unit)}" if judged and judged.limit is not None else ""
    yield Fault(
        "switch-bias",
        "An analog switch does not rest at the middle of its supply",
        "White or sync is cut off on one or on every input; or an input that is not chosen shines through.",
        f"A part of the middle voltage is open or wrong ({listed(middles)}), or a chip has no supply.",
        f"{VOLTS}, every source off: a signal pin, then the supply pin, of each of {listed(chips)} against "
        f"{facts.ground}.",
        f"half of the supply at every signal pin{within}",
        "One pin is off: its resistor. All are off: the middle voltage.",
        "nodal analysis of the finished parts and nets",
        (*chips, *middles),
    )
