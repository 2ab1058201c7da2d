"""What can go wrong with what chooses: status contacts, the gate line, relays, the panel switch, analog switches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterport.emit.listing import figure_text
from rasterport.emit.sheet.words.facts import AUTOMATIC, OWN, Facts, begun, inputs_words, listed
from rasterport.emit.sheet.words.faults_switching import VOLTS, behind, choose
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.emit.sheet.words.purpose import meant
from rasterport.emit.sheet.words.safety import DEAD
from rasterport.standards.bench_practice import JOINED_OHM
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import written


def control(facts: Facts) -> Iterator[Fault]:
    """Faults of what chooses, as far as the board has it."""
    yield from _status(facts)
    yield from _gate(facts)
    yield from _relays(facts)
    yield from _switch(facts)
    yield from _chips(facts)


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
            f"Least when on {written(level.on_least_v, 'V')}, most when off {written(level.off_most_v, 'V')}.{edges}",
            f"Wrong at the contact: the lead or the source; try another. Right: look at {_stages(facts, numbers)}.",
            level.source,
            parts,
        )


def _stages(facts: Facts, numbers: Sequence[int]) -> str:
    """The stage behind a status contact, of each input by its parts."""
    named = {m: listed(facts.below(f"input-{m}/status")) for m in numbers}
    if len(named) == 1:
        return f"the stage behind it ({''.join(named.values())})"
    return f"the stage of that input ({'; '.join(f'input {m}: {refs}' for m, refs in named.items())})"


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
        f"{VOLTS}, {choose(facts)}: {behind(facts)}, then both ends of the coils of {listed(facts.relays)} and the "
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
    alone = [n for n in poles if (net := nets[f"{name}-{n}"]) is not None and throws[n].count(net) == 1]
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
