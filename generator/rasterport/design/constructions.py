"""What a way of building asks: no printed board, a lead instead of a socket, a socket that the set has."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rasterport.design.landings import carries_audio, sync_landing, through
from rasterport.standards.contacts import Contact
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Input, Variant

CODES = {
    "F830": "construction without a printed board",
    "F831": "empty places of the chassis",
    "F832": "contacts of a socket that the set has",
}
"""What each refusal is about."""

Reason = tuple[str, str, str]


def called(contact: Contact) -> str:
    """What a variant calls a contact: its number, of single jacks its name."""
    return contact.name if contact.jack else contact.number


def already(source: Input) -> frozenset[str]:
    """Contacts of an existing socket that the set has wired, as the variant calls them."""
    return frozenset(word.strip() for word in source.wired_contacts.split(",") if word.strip())


def wired_function(source: Input, function: str) -> bool:
    """Whether the set has wired a contact of this function of its own socket."""
    told = already(source)
    return any(called(c) in told for c in WIRINGS[source.socket].with_function(function))


def sync_is_there(variant: Variant, index: int) -> bool:
    """Whether the set itself brings the sync of an existing socket to its landing: the board has no part in it."""
    return any(wired_function(variant.input[index - 1], f) for f in ("sync", "hsync"))


def impossible(variant: Variant) -> Iterator[Reason]:
    """Refusals, each with what would help."""
    yield from _wired(variant)
    for index, source in enumerate(variant.input, 1):
        yield from _contacts(variant, index, source)


def _wired(variant: Variant) -> Iterator[Reason]:
    board = variant.board
    if board.construction == "wired":
        for index, source in enumerate(variant.input, 1):
            if source.mounting == "board":
                yield (
                    "F830",
                    f"input-{index}.mounting",
                    "without a printed board nothing holds a socket's pins: say panel, cable or existing",
                )
        if board.built_on == "socket" and (len(variant.input) > 1 or variant.input[0].mounting == "cable"):
            text = (
                "parts sit on the contacts of one socket that stays where it is: say mounting panel or existing with "
                "one input, or built_on stripboard"
            )
            yield "F830", "board.built_on", text
        if board.clamps:
            text = (
                "clamps of 5 pF have no leads, and those with leads load the picture with their capacitance: say "
                "clamps false, or choose a printed board"
            )
            yield "F830", "board.clamps", text
    elif board.built_on != "stripboard":
        text = f"a printed board is not built on {board.built_on}: it belongs to construction wired"
        yield "F830", "board.built_on", text
    if board.place and not (board.construction == "wired" and board.built_on == "chassis"):
        text = 'parts go into empty places of the chassis with construction "wired" and built_on "chassis" only'
        yield "F831", "board.place", text
    parts = [row.part for row in board.place]
    for part in dict.fromkeys(p for p in parts if parts.count(p) > 1):
        yield "F831", "board.place", f"{part} has {parts.count(part)} places, must have one"


def unknown_places(variant: Variant, roles: Iterable[str]) -> Iterator[Reason]:
    """Places for parts that the finished circuit has not."""
    import difflib  # read only where it is needed: check keeps its start-up

    known = list(roles)
    for n, row in enumerate(variant.board.place, 1):
        if row.part not in known:
            near = difflib.get_close_matches(row.part, known, 2)
            text = f"the circuit has no part {row.part}" + (f": did you mean {' or '.join(near)}?" if near else "")
            yield "F831", f"board.place-{n}.part", text


def _contacts(variant: Variant, index: int, source: Input) -> Iterator[Reason]:
    subject, told = f"input-{index}.wired_contacts", already(source)
    if told and source.mounting != "existing":
        yield "F832", subject, "only a socket that the set has (mounting existing) has contacts that are wired already"
        return
    contacts = {called(c): c for c in WIRINGS[source.socket].contacts}
    for name in sorted(told - set(contacts)):
        yield "F832", subject, f"the socket has no contact {name}; it has {', '.join(contacts)}"
    found = {contacts[name].function for name in told if name in contacts}
    for colour in ("red", "green", "blue"):
        if colour in found:
            yield (
                "F832",
                subject,
                f"the set has wired the contact of {colour}: two things would drive or load it; follow its track, and "
                "lift it where the board is to take over, or where it ends at RGB inputs use those without a board",
            )
    if found & {"sync", "hsync"} and not _serves(variant, index):
        yield (
            "F832",
            subject,
            "the set has wired the contact of sync, and the board would stand in the same line: say arrangement "
            "dedicated and termination fixed where the set's own circuit and its 75 ohm serve (ohmmeter: near 75 ohm "
            "from the contact to ground), or lift its wire",
        )
    if any(f.startswith("audio") for f in found) and carries_audio(variant, index):
        yield (
            "F832",
            subject,
            "the set has wired the contacts of sound, and the board would drive the same line: say audio none where "
            "sound already arrives, or lift the wires",
        )
    if source.status_contact == 16 and "status-16" in found:
        yield (
            "F832",
            subject,
            "the set has wired contact 16, and its 75 ohm and the board's are half of what a source expects (ohmmeter: "
            "near 75 ohm from the contact to ground): lift its wire, or read contact 8",
        )


def _serves(variant: Variant, index: int) -> bool:
    """Whether the board puts nothing between the sync contact and its landing."""
    meets, alone = sync_landing(variant), len(variant.input) == 1
    plain = meets.stays and not meets.switched and variant.set.sync.coupling == "ac" and not variant.board.clamps
    return alone and plain and through(variant, index)
