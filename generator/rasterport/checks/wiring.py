"""What holds for the whole board: grounds, wiring of the socket, data that rests on memory, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.nodal import reach
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.records import COLOURS, GROUND, LINES, Finding, Severity
from rasterport.standards.sockets import WIRINGS

CODES = {
    "F804": "grounds to the chassis",
    "F805": "ground contacts of the socket",
    "F808": "place of a landing",
    "F806": "size of the board",
    "F807": "each contact reaches its own landing and no other",
    "F810": "ends that lead nowhere",
    "F811": "supply pins of integrated circuits",
    "F812": "ends of capacitors that float",
    "F901": "part data from memory",
    "F902": "line rate of a DE-15 source",
    "F903": "wiring of a 21-contact socket",
    "F904": "ground of the set",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the whole board."""
    yield from _grounds(bench)
    for view in bench.views:
        yield from _socket(view)
        yield _apart(view)
    yield _ends(bench)
    yield _floating(bench)
    yield from _supply_pins(bench)
    if bench.variant.board.width is not None or bench.variant.board.height is not None:
        text = "the size is not checked: the board is not laid out yet"
        yield note("F806", "board", text, "board.width, board.height")
    yield from _memory(bench)
    text = f"signal ground isolated, said to be verified by: {bench.variant.set.ground_verified}"
    yield note("F904", "set", text, "set.ground_verified")


def _grounds(bench: Bench) -> Iterator[Finding]:
    limit = within("grounds", "least", None, 2.0, "wires", "common practice, no source")
    text = "ground wires to the video processor's own ground, audio's not counted"
    yield judge("F804", bench.figures.get("count/grounds", "landing", "any"), limit, text)
    landings = {f"({landed.name})": landed.name for landed in bench.circuit.landed}
    nowhere = [
        name
        for wire in bench.circuit.wires
        for mark, name in landings.items()
        if mark in wire.start and not wire.at.strip()
    ]
    if nowhere:
        text = f"the variant does not say where these are soldered: {', '.join(nowhere)}"
        yield note("F808", "landing", text, "the keys at, at_native and their like", "warning")


def _socket(bench: Bench) -> Iterator[Finding]:
    source = bench.source
    wiring = WIRINGS[source.socket]
    open_contacts: list[str] = []
    shorted: list[str] = []
    for contact in wiring.contacts:
        role = bench.role("socket") + (f"/{contact.jack}" if contact.jack else "")
        if not bench.circuit.has(role):
            continue
        net = bench.circuit.by_role(role).nets[contact.number]
        name = f"{contact.jack} {contact.name}".strip() if contact.jack else contact.number
        if contact.function in ("ground", "shell") and net != GROUND:
            open_contacts.append(name)
        if contact.function not in ("ground", "shell") and net == GROUND:
            shorted.append(name)
    if open_contacts:
        text = f"ground contacts that are not on ground: {', '.join(open_contacts)}"
        yield note("F805", bench.state, text, wiring.document, "error")
    elif shorted:
        text = f"signal contacts that are on ground: {', '.join(shorted)}"
        yield note("F805", bench.state, text, wiring.document, "error")
    else:
        yield note(
            "F805",
            bench.state,
            "every ground contact of the socket is on ground, no signal contact is",
            wiring.document,
            "met",
        )
    if wiring.caution:
        rate = source.socket == "de-15"
        severity: Severity = "warning" if rate else "note"
        yield note("F902" if rate else "F903", bench.state, wiring.caution, wiring.document, severity)


OUTSIDE = ("J", "P", "E", "TP")
"""Parts whose nets go on outside the board."""
WHOLE = ("R", "C", "F", "D", "Q")
"""Parts of which every pin has something to do."""
LANDING_OF = {"audio-left": "left", "audio-right": "right"}
"""Landing of a socket function where it bears another name."""


def _apart(bench: Bench) -> Finding:
    """In no state does a signal contact lead to a contact or landing of another signal.

    Left and right meet where they are summed, or where one source feeds both sides.
    """
    subject = "lines" if len(bench.variant.input) == 1 else bench.state
    wrong: list[str] = []
    for function, net in bench.contacts.items():
        own = LANDING_OF.get(function, function)
        for state in bench.control.states:
            part = reach(bench.control.elements(state), net, bench.control.walls)
            nets = {n for e in part for n in (e.first, e.second)} | {net}
            for name, other in _others(bench, function, own):
                text = f"{function} meets {name}"
                if other in nets and text not in wrong:
                    wrong.append(text)
    for line, net in _signal_ends(bench):
        for state in bench.control.states:
            part = reach(bench.control.elements(state), net, bench.control.walls)
            met = sorted({n for e in part for n in (e.first, e.second)} & set(bench.control.rails))
            wrong += [text for rail in met if (text := f"{line} meets {rail}") not in wrong]
    if wrong:
        return note("F807", subject, "signals are crossed or shorted: " + ", ".join(wrong), "netlist", "error")
    return note("F807", subject, "no signal contact leads to the landing or contact of another", "netlist", "met")


def _signal_ends(bench: Bench) -> Iterator[tuple[str, str]]:
    """Contacts and landings of lines that no rail may reach.

    A logic-level sync is held at its idle level by a resistor.
    """
    # What lifts black at a pin without a clamp hangs on the rail; the figure of black judges it.
    lifts = bench.variant.set.rgb.pin_kind == "analog-dc" and not bench.variant.board.keyed_clamp
    logic = bench.source.sync == "ttl-composite"
    for function, net in bench.contacts.items():
        if not (function.startswith("status") or (function == "sync" and logic) or (lifts and function in COLOURS)):
            yield function, net
    for line in LINES:
        if lifts and line in COLOURS:
            continue
        landed = bench.circuit.landing_net(line)
        if landed is not None:
            yield f"landing {line}", landed


def _ends(bench: Bench) -> Finding:
    """A net with a single pin joins nothing; the set joins a landing, a cable a contact of the socket."""
    joined = bench.circuit.nets(on_board_only=False)
    roles = {placed.ref: placed for placed in bench.circuit.parts}
    from_outside = set(bench.contacts.values())
    alone = [
        f"{roles[pins[0][0]].role} ({net})"
        for net, pins in joined.items()
        if len(pins) == 1 and net not in from_outside and roles[pins[0][0]].part.letter not in OUTSIDE
    ]
    unjoined = [
        p.role
        for p in bench.circuit.parts
        if p.part.letter in WHOLE and any(p.nets[pin.number] is None for pin in p.part.pins)
    ]
    if alone or unjoined:
        text = f"ends that lead nowhere: {', '.join([*alone, *unjoined])}"
        return note("F810", "netlist", text, "netlist", "error")
    return note("F810", "netlist", "every end of every small part leads somewhere", "netlist", "met")


def _floating(bench: Bench) -> Finding:
    """Each end of a capacitor stands at some voltage in every state, or switching thumps: nothing holds it but leakage.

    What leaves the board is held outside; a pin holds its net, the terminal of a switch that may be open does not.
    """
    held = {GROUND, *bench.control.walls, *bench.contacts.values()}
    held |= {net for view in bench.views for net in view.contacts.values()}
    held |= {str(bench.circuit.landing_net(landed.name)) for landed in bench.circuit.landed}
    for placed in bench.circuit.parts:
        if placed.part.letter in ("U", "Q") and placed not in bench.control.analog:
            held |= {str(net) for net in placed.nets.values() if net is not None}
    ends = [(p.role, net) for p in bench.circuit.parts if p.part.letter == "C" for net in p.nets.values()]
    loose = [
        f"{role} ({net})"
        for role, net in ends
        if net is not None and net not in held and not _is_held(bench, net, held)
    ]
    if loose:
        text = f"nothing holds these ends while a contact is open, so that closing it thumps: {', '.join(loose)}"
        return note("F812", "netlist", text, "netlist", "warning")
    return note("F812", "netlist", "every end of every capacitor is held in every state", "netlist", "met")


def _is_held(bench: Bench, net: str, held: set[str]) -> bool:
    for state in bench.control.states:
        part = reach(bench.control.resistors(state), net, held)
        if not any(end in held for e in part for end in (e.first, e.second)):
            return False
    return True


def _supply_pins(bench: Bench) -> Iterator[Finding]:
    """Ground pins on ground, the other supply pins on a supply."""
    for chip in (p for p in bench.circuit.parts if p.part.letter == "U"):
        wrong = []
        for pin in chip.part.pins:
            net = chip.nets[pin.number]
            fed = net == GROUND if pin.name in ("GND", "VSS", "VEE") else net in bench.control.rails
            if pin.kind in ("power_in", "power_out") and not fed:
                wrong.append(f"{pin.name} on {net or 'nothing'}")
        text = f"not where it must be: {', '.join(wrong)}" if wrong else "ground on ground, supply on a supply"
        yield note("F811", chip.role, text, chip.part.source, "error" if wrong else "met")


def _others(bench: Bench, function: str, own: str) -> Iterator[tuple[str, str]]:
    sound = function.startswith("audio")
    for name, net in bench.contacts.items():
        if name != function and not (sound and name.startswith("audio")):
            yield f"contact {name}", net
    for landed in bench.circuit.landed:
        place = landed.name
        if place in (own, f"display-{own}") or place.startswith("ground") or (sound and place in ("left", "right")):
            continue
        found = bench.circuit.landing_net(place)
        if found is not None and found != GROUND:
            yield f"landing {place}", found


def _memory(bench: Bench) -> Iterator[Finding]:
    seen: set[str] = set()
    for placed in bench.circuit.parts:
        part = placed.part
        if part.symbol or not part.orderable or "memory" not in part.confidence or part.key in seen:
            continue
        seen.add(part.key)
        text = f"{part.description}: its terminals rest on memory ({part.source}); compare with the maker's drawing"
        yield note("F901", placed.role, text, part.source, "warning")
