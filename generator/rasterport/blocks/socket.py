"""The rear socket of one input: signals to their nets, every return to ground, the rest left open.

  socket            nets
red   o----------  IN1_RED
ret.  o--- GND
unused o  x        (marked as not connected)
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, colour_of, gauge_of
from rasterport.records import Wire
from rasterport.standards.sockets import WIRINGS, Contact, SocketWiring
from rasterport.variant.models import Input

REFERENCES = {
    "socket": "J1",
    "socket/red": "J2",
    "socket/green": "J3",
    "socket/blue": "J4",
    "socket/sync": "J5",
    "socket/audio-left": "J6",
    "socket/audio-right": "J7",
    "harness": "J8",
}

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
    """Place the socket of input `index`, on the board or on the panel with its harness.

    Contacts that nothing on the board uses (audio, status contact) stay open.
    """
    wiring = WIRINGS[source.socket]
    used = used_functions(source, audio_wanted, status_wanted)
    on_board = source.mounting == "board"
    part = parts.socket(source.socket, source.mounting)
    reason = f"{wiring.title}, {wiring.document}"
    for role, contacts in _groups(wiring, used).items():
        nets = {c.number: contact_net(c, used, index) for c in contacts}
        board.place(
            f"input-{index}/{role}",
            part,
            {p.number: nets.get(p.number) for p in part.pins},
            REFERENCES,
            reason,
            on_board=on_board,
        )
    if not on_board:
        _harness(board, index, wiring, used)


def _groups(wiring: SocketWiring, used: set[str]) -> dict[str, list[Contact]]:
    """Contacts by role: one group for a multi-contact socket, one a jack for BNC and phono."""
    groups: dict[str, list[Contact]] = {}
    for contact in wiring.contacts:
        if contact.jack and contact.jack not in used:
            continue
        groups.setdefault(f"socket/{contact.jack}" if contact.jack else "socket", []).append(contact)
    return groups


def _harness(board: Board, index: int, wiring: SocketWiring, used: set[str]) -> None:
    """Header on the board and one wire a used contact; every ground contact has its own wire."""
    signals: list[tuple[Contact, str]] = []
    grounds: list[Contact] = []
    for contact in wiring.contacts:
        if contact.jack and contact.jack not in used:
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
        "wires to the panel socket, each signal beside its return",
    )
    name = f"input-{index} socket"
    ground_pins = [n for n, net in enumerate(nets, 1) if net == GROUND]
    for k, contact in enumerate(grounds):
        pin = ground_pins[k % len(ground_pins)]
        board.wire(_wire(f"{name}, {_contact(contact)}", f"{placed.ref} pin {pin}", "ground", GROUND, False))
    for contact, net in signals:
        pin = nets.index(net) + 1
        line = {"hsync": "sync"}.get(contact.function, contact.function)
        shielded = contact.function in VIDEO or contact.function.startswith("audio")
        screen = f"screen to {placed.ref} pin {pin + 1}, open at the socket" if shielded else "board ground"
        board.wire(_wire(f"{name}, {_contact(contact)}", f"{placed.ref} pin {pin}", line, net, shielded, screen))


def _contact(contact: Contact) -> str:
    return f"{contact.jack} jack {contact.name}" if contact.jack else f"contact {contact.number}"


def _wire(start: str, end: str, line: str, net: str, shielded: bool, screen: str = "board ground") -> Wire:
    ground = net == GROUND
    return Wire(
        stage=20 if ground else 21,
        start=start,
        end=end,
        at="rear panel",
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
    )
