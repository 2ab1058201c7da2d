"""The rear socket of one input: signals to their nets, every return to ground, the rest left open.

  socket            nets
red   o----------  IN1_RED
ret.  o--- GND
unused o  x        (marked as not connected)
"""

from __future__ import annotations

from dataclasses import replace

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, colour_of, gauge_of
from rasterport.design.constructions import already, called
from rasterport.records import Wire
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
VIDEO = ("red", "green", "blue", "sync")


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
    for contact in wiring.contacts:
        net = contact_net(contact, used, index)
        if net is None or (contact.jack and contact.jack not in used):
            continue
        suffix = f"lead/{contact.jack}-{contact.number}" if contact.jack else f"lead/{contact.number}"
        name = contact.name if contact.jack else f"{contact.number} {contact.name}"
        reason = f"conductor of the lead: {_contact(contact)}"
        placed = board.place(f"input-{index}/{suffix}", pad, {pad.pins[0].number: net}, REFERENCES, reason, value=name)
        line = {"hsync": "sync"}.get(contact.function, contact.function)
        screened = net != GROUND and not line.startswith("status")
        board.wire(
            Wire(
                stage=20 if net == GROUND else 21,
                start=f"input-{index} lead, {_contact(contact)}",
                end=f"{placed.ref} ({name})",
                at="the lead's open end",
                carries="return" if net == GROUND else line,
                ground="board ground" if net == GROUND else "the screen of its own conductor, on its own pad",
                length_m=0.0,
                colour="",
                gauge="conductor of the lead",
                shielded=screened,
                measure="below 1 ohm from the contact to the pad, open to the pads beside it",
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
    name, at = f"input-{index} socket", where if own else "rear panel"
    ground_pins = [n for n, net in enumerate(nets, 1) if net == GROUND]
    for k, contact in enumerate(grounds):
        pin = ground_pins[k % len(ground_pins)]
        row = _wire(f"{name}, {_contact(contact)}", f"{placed.ref} pin {pin}", "ground", GROUND, False, at=at)
        board.wire(replace(row, joins=(ends[contact], (placed.ref, str(pin)))))
    for contact, net in signals:
        pin = nets.index(net) + 1
        line = {"hsync": "sync"}.get(contact.function, contact.function)
        shielded = contact.function in VIDEO or contact.function.startswith("audio")
        screen = f"screen to {placed.ref} pin {pin + 1}, open at the socket" if shielded else "board ground"
        row = _wire(f"{name}, {_contact(contact)}", f"{placed.ref} pin {pin}", line, net, shielded, screen, at)
        board.wire(replace(row, joins=(ends[contact], (placed.ref, str(pin)))))


def _contact(contact: Contact) -> str:
    return f"{contact.jack} jack {contact.name}" if contact.jack else f"contact {contact.number}"


def _wire(
    start: str, end: str, line: str, net: str, shielded: bool, screen: str = "board ground", at: str = ""
) -> Wire:
    ground = net == GROUND
    return Wire(
        stage=20 if ground else 21,
        start=start,
        end=end,
        at=at,
        carries="return" if ground else line,
        ground=screen,
        length_m=0.15,
        colour=colour_of("ground" if ground else line),
        gauge=gauge_of(shielded),
        shielded=shielded,
        measure="below 1 ohm end to end, board unplugged"
        if ground
        else "below 1 ohm end to end, open to ground, board unplugged",
        net=net,
        screen="end" if shielded else "",
    )
