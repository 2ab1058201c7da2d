"""The rear socket of one input: signals to their nets, every return to ground, the rest left open.

  socket            nets
red   o----------  IN1_RED
ret.  o--- GND
unused o  x        (marked as not connected)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, colour_of, gauge_of
from rasterport.design.constructions import already, called
from rasterport.records import BOARD_GROUND, COLOURS, REAR_PANEL, Wire
from rasterport.standards.sockets import WIRINGS, Contact, SocketWiring
from rasterport.variant.models import Input

JACK_CONTACTS = WIRINGS["phono-4"].contacts
"""Contacts of single jacks; four BNC are the first eight of them."""

REFERENCES = {
    "socket": "J1",
    "socket/red": "J2",
    "socket/green": "J3",
    "socket/blue": "J4",
    "socket/sync": "J5",
    "socket/audio-left": "J6",
    "socket/audio-right": "J7",
    "harness": "J8",
    "lead/0": "E50",
    **{f"lead/{n}": f"E{n}" for n in range(1, 22)},
    **{f"lead/{jack.jack}-{jack.number}": f"E{n}" for n, jack in enumerate(JACK_CONTACTS, 22)},
}

Ends = dict[Contact, tuple[str, str]]
"""Reference and number of each contact that is placed."""
VIDEO = (*COLOURS, "sync", "hsync")
"""Contacts of which each has a screened wire; a DE-15 brings composite sync on its H contact."""
STAGE = 2
"""Of the wires to the sockets: behind the joints of parts, before those to the panel switch."""


def net_of(index: int, function: str) -> str:
    """Net name of one socket function of an input, for example IN1_RED."""
    return f"IN{index}_{function.upper().replace('-', '_')}"


def used_functions(source: Input, audio_wanted: bool, status_wanted: bool) -> set[str]:
    """Socket functions that the board uses.  A DE-15 carries composite sync on its H contact."""
    used = {"red", "green", "blue", "sync", "hsync"}
    if status_wanted:
        used.add(f"status-{source.status_contact}")
    if audio_wanted:
        used |= {"audio-left", "audio-right"} if source.audio == "stereo" else {"audio-left"}
    return used


def contact_net(contact: Contact, used: set[str], index: int) -> str | None:
    """Net of one contact: ground for returns and shell, None for everything that is not used."""
    if contact.function in ("ground", "shell"):
        return GROUND
    if contact.function not in used:
        return None
    if contact.function.startswith("status"):
        return net_of(index, "status")
    return net_of(index, "sync" if contact.function == "hsync" else contact.function)


def socket(board: Board, index: int, source: Input, audio_wanted: bool, status_wanted: bool) -> None:
    """Place the socket of input `index`: on the board, on the panel with its harness, on a lead, or the set's own.

    Contacts that nothing on the board uses (audio, status contact) stay open.
    """
    wiring = WIRINGS[source.socket]
    used = used_functions(source, audio_wanted, status_wanted)
    on_board = source.mounting == "board" or board.wired
    part = parts.socket(source.socket, source.mounting)
    reason = f"{wiring.title}, {wiring.document}"
    ends: Ends = {}
    for role, contacts in _groups(wiring, used).items():
        nets = {c.number: contact_net(c, used, index) for c in contacts}
        placed = board.place(
            f"input-{index}/{role}",
            part,
            {p.number: nets.get(p.number) for p in part.pins},
            REFERENCES,
            reason,
            on_board=on_board,
        )
        for contact in contacts:
            ends[contact] = (placed.ref, contact.number)
            if called(contact) in already(source) and _by_itself(contact):
                board.joined(placed.ref, contact.number)
    if on_board:
        return
    if source.mounting == "cable":
        _lead(board, index, wiring, used, ends)
    else:
        _harness(board, index, wiring, used, source, ends)


def sync_contact(board: Board, index: int) -> tuple[str, str]:
    """Reference and number of the contact on which sync of an input arrives."""
    net = net_of(index, "sync")
    return next(
        (placed.ref, number)
        for placed in board.circuit().under(f"input-{index}/socket")
        for number, its in placed.nets.items()
        if its == net
    )


def _by_itself(contact: Contact) -> bool:
    """Whether the set's own wire serves the board: grounds, and sync that the board does not touch."""
    return contact.function in ("ground", "shell", "sync", "hsync")


def _groups(wiring: SocketWiring, used: set[str]) -> dict[str, list[Contact]]:
    """Contacts by role: one group for a multi-contact socket, one a jack for BNC and phono."""
    groups: dict[str, list[Contact]] = {}
    for contact in wiring.contacts:
        if contact.jack and contact.jack not in used:
            continue
        groups.setdefault(f"socket/{contact.jack}" if contact.jack else "socket", []).append(contact)
    return groups


def _lead(board: Board, index: int, wiring: SocketWiring, used: set[str], ends: Ends) -> None:
    """A pad for each conductor of the lead, named by its contact; the lead's own screens are its grounds."""
    pad = parts.wire_pad()
    for contact in sorted(wiring.contacts, key=lambda c: contact_net(c, used, index) != GROUND):
        net = contact_net(contact, used, index)
        if net is None or (contact.jack and contact.jack not in used):
            continue
        suffix = f"lead/{contact.jack}-{contact.number}" if contact.jack else f"lead/{contact.number}"
        name = contact.name if contact.jack else f"{contact.number} {contact.name}"
        reason = f"conductor of the lead: {contact.words}"
        placed = board.place(f"input-{index}/{suffix}", pad, {pad.pins[0].number: net}, REFERENCES, reason, value=name)
        line = {"hsync": "sync"}.get(contact.function, contact.function)
        screened = net != GROUND and not line.startswith("status")
        board.wire(
            Wire(
                stage=STAGE,
                start=f"input-{index} lead, {contact.words}",
                end=f"{placed.ref} ({name})",
                at="the lead's open end",
                carries="return" if net == GROUND else line,
                ground=BOARD_GROUND if net == GROUND else "the screen of its own conductor, on its own pad",
                length_m=0.0,
                colour="",
                gauge="conductor of the lead",
                shielded=screened,
                measure="before it is on its pad: below 1 ohm from the contact to this conductor"
                + ("" if net == GROUND else ", open to every other one"),
                net=net,
                joins=(ends[contact], (placed.ref, pad.pins[0].number)),
                screen="both" if screened else "",
            )
        )


def _harness(board: Board, index: int, wiring: SocketWiring, used: set[str], source: Input, ends: Ends) -> None:
    """Header on the board and one wire a used contact; every ground contact has its own wire.

    What the set has wired already gets none.
    """
    own = source.mounting == "existing"
    where = "the set's own socket" if own else "the panel socket"
    done = {c for c in wiring.contacts if called(c) in already(source) and _by_itself(c)}
    signals: list[tuple[Contact, str]] = []
    grounds: list[Contact] = []
    for contact in wiring.contacts:
        if (contact.jack and contact.jack not in used) or contact in done:
            continue
        net = contact_net(contact, used, index)
        if net == GROUND:
            grounds.append(contact)
        elif net is not None:
            signals.append((contact, net))
    nets: list[str] = []
    for _, net in signals:
        nets += [net] if net.endswith("STATUS") else [net, GROUND]
    # One pin a return: a crimp contact takes one wire, and beside it the screen of its signal.
    nets += [GROUND] * (len(grounds) - nets.count(GROUND))
    header = parts.header(len(nets))
    placed = board.place(
        f"input-{index}/harness",
        header,
        {str(n): net for n, net in enumerate(nets, 1)},
        REFERENCES,
        f"wires to {where}, each signal beside its return",
    )
    name, at = f"input-{index} socket", where if own else REAR_PANEL
    pins = _return_pins(nets, signals, grounds)

    def add(contact: Contact, pin: int, line: str, net: str, shielded: bool = False, screen: str = "") -> None:
        row = _wire(f"{name}, {contact.words}", f"{placed.ref} pin {pin}", line, net, shielded, screen, at)
        measure = f"plug off {placed.ref}: {row.measure}"
        measure = f"set unplugged and discharged; {measure}" if own else measure
        board.wire(replace(row, joins=(ends[contact], (placed.ref, str(pin))), measure=measure))

    paired = {pins[contact]: contact for contact in grounds}
    beside = {nets.index(net) + 2 for contact, net in signals if _screened(contact)}
    for pin in (pins[contact] for contact in grounds):
        if pin not in beside:
            add(paired[pin], pin, "ground", GROUND)
    for contact, net in signals:
        pin = nets.index(net) + 1
        line = {"hsync": "sync"}.get(contact.function, contact.function)
        if not _screened(contact):
            add(contact, pin, line, net)
            continue
        screen, back = f"screen to {placed.ref} pin {pin + 1}", paired.get(pin + 1)
        if back is not None:
            add(back, pin + 1, "ground", GROUND, screen=f"{BOARD_GROUND}; one crimp with the screen of {contact.words}")
            screen += f", one crimp with the return from {back.words}"
        add(contact, pin, line, net, True, f"{screen}; open at the socket")


def _screened(contact: Contact) -> bool:
    return contact.function in VIDEO or contact.function.startswith("audio")


def _return_pins(
    nets: Sequence[str], signals: Sequence[tuple[Contact, str]], grounds: Sequence[Contact]
) -> dict[Contact, int]:
    """Pin of each return: beside its own signal, the others where one is left."""
    found: dict[Contact, int] = {}
    for contact, net in signals:
        if not net.endswith("STATUS"):
            back = next((g for g in grounds if g not in found and _belongs(g, contact)), None)
            if back is not None:
                found[back] = nets.index(net) + 2
    left = [n for n, net in enumerate(nets, 1) if net == GROUND and n not in found.values()]
    return found | dict(zip((g for g in grounds if g not in found), left, strict=False))


def _belongs(back: Contact, signal: Contact) -> bool:
    """Whether a return is that of a signal: the shell of its jack, or named after it."""
    if signal.jack:
        return back.jack == signal.jack
    kind = signal.function.partition("-")[0].removeprefix("h")
    return back.name in (f"{signal.name}-return", f"{kind}-return")


def _wire(start: str, end: str, line: str, net: str, shielded: bool, screen: str, at: str = "") -> Wire:
    ground = net == GROUND
    return Wire(
        stage=STAGE,
        start=start,
        end=end,
        at=at,
        carries="return" if ground else line,
        ground=screen or (BOARD_GROUND if ground else ""),
        length_m=0.15,
        colour=colour_of("ground" if ground else line),
        gauge=gauge_of(shielded),
        shielded=shielded,
        measure="below 1 ohm from its contact to the socket's" + ("" if ground else ", open to its other contacts"),
        net=net,
        screen="end" if shielded else "",
    )
