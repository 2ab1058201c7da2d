"""Where a meter's leads are put: contacts of the sockets, landings, pins of parts, each in words and with its net.

Everything is read from the netlist: a point is a reference and a pin, and its net is what stands there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rasterport.analysis.network import chosen
from rasterport.records import GROUND, SCREENS, Circuit, Placed
from rasterport.standards.contacts import Contact
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Variant

GROUNDS = ("ground", "ground-2", "ground-3", SCREENS)
"""Landings that are ground, the first of them what every voltage counts from."""


@dataclass(frozen=True, slots=True)
class Point:
    """A place for a lead: `name` is its part of a key, `line` the signal that it carries, "" for none."""

    name: str
    words: str
    net: str
    ref: str
    line: str = ""


def pin_words(placed: Placed, pin: str) -> str:
    """Reference and pin, with the pin's name where the catalogue gives it one: "Q101 pin 3 (C)"."""
    name = next((p.name for p in placed.part.pins if p.number == pin), "")
    return f"{placed.ref} pin {pin}" + (f" ({name})" if name not in ("", "~", pin) else "")


def at_pin(placed: Placed, name: str, line: str = "") -> Point:
    """A pin of a part by its name.  Raises LookupError for a name that it does not have."""
    for pin in placed.part.pins:
        if pin.name == name:
            where = (
                f"{placed.role}/{name}".lower().replace("/", ".").replace("+", "plus").replace("coil-", "coil.minus")
            )
            return Point(where, pin_words(placed, pin.number), placed.nets[pin.number] or "", placed.ref, line)
    raise LookupError(f"{placed.role} has no pin {name}")


def _sockets(circuit: Circuit, variant: Variant, index: int) -> list[tuple[Contact, Placed]]:
    """The contacts of an input with the part that each belongs to, in the order of the wiring."""
    found = []
    for contact in WIRINGS[variant.input[index - 1].socket].contacts:
        role = f"{chosen(index)}/socket" + (f"/{contact.jack}" if contact.jack else "")
        if circuit.has(role) and contact.number in circuit.by_role(role).nets:
            found.append((contact, circuit.by_role(role)))
    return found


def contacts(circuit: Circuit, variant: Variant, index: int) -> dict[str, Point]:
    """Function -> the first contact of an input that carries it and leads somewhere."""
    found: dict[str, Point] = {}
    for contact, placed in _sockets(circuit, variant, index):
        net = placed.nets[contact.number]
        if contact.function in ("ground", "shell", "unused") or net is None:
            continue
        function = "sync" if contact.function == "hsync" else contact.function
        words = f"contact {contact.number} of {placed.ref} ({contact.name})"
        if contact.jack:
            words = f"{contact.jack} jack {placed.ref}, pin {contact.number} ({contact.name})"
        found.setdefault(function, Point(f"{chosen(index)}.{function}", words, net, placed.ref, function))
    return found


def returns(circuit: Circuit, variant: Variant, index: int) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """The returns and shells of an input in words, their nets, and the references of its sockets."""
    rows = [
        (contact, placed)
        for contact, placed in _sockets(circuit, variant, index)
        if contact.function in ("ground", "shell") and placed.nets[contact.number] is not None
    ]
    told = ", ".join(
        f"{contact.jack} {'shell' if contact.function == 'shell' else contact.number}".strip() for contact, _ in rows
    )
    kind = "returns and shells" if rows and rows[0][0].jack else "contacts"
    nets = tuple(dict.fromkeys(str(placed.nets[contact.number]) for contact, placed in rows))
    refs = tuple(dict.fromkeys(placed.ref for _, placed in rows))
    return f"{kind} {told} of input {index} ({', '.join(refs)}), one after the other", nets, refs


def landings(circuit: Circuit) -> dict[str, Point]:
    """Name -> landing, in the order in which they stand on the board's edge."""
    parts = {p.ref: p for p in circuit.parts}
    begins = {wire.end: wire.start for wire in circuit.wires}
    found = {}
    for landed in circuit.landed:
        net = parts[landed.ref].nets[landed.pin]
        if net is None:
            continue
        where = f"{landed.ref} pin {landed.pin}" if len(parts[landed.ref].nets) > 1 else landed.ref
        if circuit.wired:
            where = begins.get(f"{landed.name} landing", where)
        called = "joined screens" if landed.name == SCREENS else f"{landed.name} landing"
        found[landed.name] = Point(landed.name, f"{called} ({where})", net, landed.ref, landed.name)
    return found


def ground_of(lands: dict[str, Point]) -> Point:
    """What every voltage counts from: the ground landing."""
    if "ground" in lands:
        return Point("ground", lands["ground"].words, lands["ground"].net, lands["ground"].ref)
    return Point("ground", "the board's ground", GROUND, "")


def contact_of(landing: str) -> str:
    """Function of the contact whose line ends on a landing."""
    return f"audio-{landing}" if landing in ("left", "right") else landing


def owner(refs: Mapping[str, str], role: str) -> str:
    """Reference of the part that an element belongs to, by roles; "" for an element of the set."""
    while role:
        if role in refs:
            return refs[role]
        role = role.rpartition("/")[0]
    return ""
