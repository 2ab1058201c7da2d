"""What the words ask of a finished board: its figures as text, and its points by name as they can be touched.

Nothing is worked out here: a number is a figure's, a finding's, a key's of the variant or a standard's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from rasterport.emit.listing import figure_text, nominal_text, span_text
from rasterport.order import natural
from rasterport.records import COLOURS, GROUND, INPUT_ROLE, Circuit, Figure, Finding, Outcome, Placed
from rasterport.standards.sockets import WIRINGS
from rasterport.units import written
from rasterport.variant.models import Variant

SIDES = ("left", "right")
OWN, AUTOMATIC = "the set's own", "automatic"
"""What a position of the panel switch may mean besides an input."""
TWO_WAYS = 2


def listed(names: Sequence[str], last: str = "and") -> str:
    """Names in a row: "a", "a and b", "a, b and c"."""
    return f"{', '.join(names[:-1])} {last} {names[-1]}" if len(names) > 1 else "".join(names)


def begun(text: str) -> str:
    """A text that begins a sentence; what follows stays as it is."""
    return text[:1].upper() + text[1:]


def said(text: str) -> str:
    """What the owner wrote, on one line."""
    return " ".join(text.split())


class Facts:
    """One board with everything that is known of it."""

    def __init__(
        self,
        circuit: Circuit,
        variant: Variant,
        findings: Sequence[Finding],
        figures: Sequence[Figure],
        states: Sequence[Outcome],
    ) -> None:
        self.circuit, self.variant, self.findings, self.states = circuit, variant, tuple(findings), tuple(states)
        self.tv = variant.set
        self._figures = {(f.key, f.subject, f.state): f for f in figures}
        self.figures = tuple(figures)
        self._parts = {p.role: p for p in circuit.parts}

    # Numbers.

    def figure(self, key: str, subject: str, state: str = "input-1") -> Figure | None:
        """A figure of the board, None where it has none of that name."""
        return self._figures.get((key, subject, state))

    def under(self, key: str) -> tuple[Figure, ...]:
        """Every figure of one definition."""
        return tuple(f for f in self.figures if f.key.split("/")[0] == key)

    @staticmethod
    def span(figure: Figure) -> str:
        """A figure with its worst cases: "1.783 V (1.531 to 2.039 V)"."""
        if figure_text(figure.low, figure.unit) == figure_text(figure.high, figure.unit):
            return nominal_text(figure)
        return f"{nominal_text(figure)} ({span_text(figure.low, figure.high, figure.unit)})"

    @staticmethod
    def worst(figure: Figure) -> str:
        """The worst cases alone: "1.531 to 2.039 V"."""
        return span_text(figure.low, figure.high, figure.unit)

    def graver(self, *codes: str) -> tuple[Finding, ...]:
        """Findings with these codes that are more than a limit kept."""
        return tuple(f for f in self.findings if f.code in codes and f.severity != "met")

    @property
    def rail(self) -> str:
        """The rail's voltage with its tolerance."""
        return f"{written(self.tv.supply.voltage, 'V')} within {written(self.tv.supply.tolerance, '%')}"

    # Parts.

    def has(self, role: str) -> bool:
        """Whether a part with this role stands in the circuit."""
        return role in self._parts

    def ref(self, role: str) -> str:
        """Reference of a part.  Raises KeyError for a role that the board does not have."""
        return self._parts[role].ref

    def refs(self, *roles: str) -> tuple[str, ...]:
        """References of those of these roles that the board has, in the order of the board."""
        return tuple(sorted((self.ref(role) for role in roles if self.has(role)), key=natural))

    def ending(self, *ends: str) -> tuple[Placed, ...]:
        """Parts whose role has one of these as its last or last but one name, by reference."""
        found = [p for p in self.circuit.parts if {*p.role.split("/")[-2:]} & {*ends}]
        return tuple(sorted(found, key=lambda p: natural(p.ref)))

    def of_kind(self, kind: str) -> tuple[Placed, ...]:
        """Parts whose last name of their role begins so: "relay", "driver"; by reference."""
        found = [p for p in self.circuit.parts if p.role.rpartition("/")[2].startswith(kind)]
        return tuple(sorted(found, key=lambda p: natural(p.ref)))

    @property
    def relays(self) -> tuple[str, ...]:
        """References of every relay."""
        return tuple(p.ref for p in self.of_kind("relay"))

    def on(self, ref: str, landing: str) -> bool:
        """Whether a part has a pin on the net of a landing."""
        net = self.circuit.landing_net(landing)
        return any(p.ref == ref and net in p.nets.values() for p in self.circuit.parts)

    @property
    def switch(self) -> Placed | None:
        """The panel switch."""
        return self.circuit.by_role("panel/switch") if self.has("panel/switch") else None

    # What the board carries.

    @property
    def inputs(self) -> range:
        """Numbers of the inputs."""
        return range(1, len(self.variant.input) + 1)

    @property
    def automatic(self) -> bool:
        """Whether a status contact chooses anything."""
        return any(self.status(n) for n in self.inputs)

    @property
    def sides(self) -> tuple[str, ...]:
        """Landings of sound."""
        return tuple(side for side in SIDES if self.lands(side))

    @property
    def shared(self) -> bool:
        """Whether the colour pins are the display's too."""
        return self.lands("display-red")

    def sounds(self, index: int) -> bool:
        """Whether an input brings sound to the set."""
        return any(self.circuit.under(f"input-{index}/audio-left"))

    def separated(self, index: int) -> bool:
        """Whether the board takes sync out of the picture before the set has it."""
        return self.has(f"input-{index}/sync/separator") and self.has(f"input-{index}/sync/drive")

    @property
    def on_contact(self) -> bool:
        """Whether a colour landing is the colour contact itself, so that a meter finds there what the set has."""
        return any(self.circuit.landing_net("red") in p.nets.values() for p in self._sockets(1))

    def status(self, index: int) -> str:
        """Function of the status contact that the board reads at an input ("status-8"), "" where it reads none."""
        if not self.has(f"input-{index}/status/series"):
            return ""
        fed = set(self.circuit.by_role(f"input-{index}/status/series").nets.values())
        for placed in self._sockets(index):
            for contact in WIRINGS[self.variant.input[index - 1].socket].contacts:
                if contact.function.startswith("status") and placed.nets.get(contact.number) in fed:
                    return contact.function
        return ""

    def gives_back(self, line: str) -> bool:
        """Whether the board has the set's own signal on a landing of its own and gives it back."""
        return self.lands(f"{line}-native")

    @property
    def returned(self) -> list[str]:
        """What the work took from the set and only the board gives back, in words: missing while its plug is off."""
        grounded = self.tv.blanking.native == "grounded" and not self.shared
        sound = any(self.gives_back(side) for side in self.sides)
        found = {
            "the ground of the blanking pin": grounded,
            "the set's own wire of the blanking pin": self.gives_back("blanking"),
            "its own sync": self.gives_back("sync"),
            "its own sound": sound,
        }
        return [words for words, is_so in found.items() if is_so]

    @cached_property
    def positions(self) -> tuple[tuple[str, str | int], ...]:
        """Each position of the panel switch as its pins are named, and what it means, read from its nets."""
        switch = self.switch
        if switch is None:
            return ()
        throws: dict[str, set[str]] = {}
        for pin in switch.part.pins:
            name = pin.name.rpartition("-")[0]
            if name and name != "common":
                throws.setdefault(name, set())
                if (net := switch.nets.get(pin.number)) is not None:
                    throws[name].add(net)
        poles = sum(pin.name.startswith("common") for pin in switch.part.pins)
        last = max((int(name) for name, nets in throws.items() if name.isdigit() and nets), default=0)
        # The stop of a rotary switch is set behind the last position in use.
        throws = {name: nets for name, nets in throws.items() if not name.isdigit() or int(name) <= last}
        return tuple(self._meant(throws, poles == 1 and GROUND in _commons(switch)))

    def _meant(self, throws: dict[str, set[str]], calls: bool) -> Iterator[tuple[str, str | int]]:
        found: list[tuple[str, str | int]] = []
        for name, nets in throws.items():
            numbers = {n for n in self.inputs if any(net.startswith(f"IN{n}_") for net in nets)}
            if len(numbers) == 1:
                found.append((name, numbers.pop()))
            elif calls and nets:
                found.append((name, AUTOMATIC))
            elif not calls and "BLANKING_DRIVE" in nets:
                found.append((name, 1))
            else:
                found.append((name, OWN))
        if calls and len(throws) == TWO_WAYS and OWN not in [meaning for _, meaning in found]:
            yield "centre", OWN
        yield from sorted(found, key=lambda pair: natural(f"P{pair[0]}") if pair[0].isdigit() else (pair[0], 0))

    def at_position(self, meaning: str | int) -> str:
        """The switch put to a position, in words; "" where no position means that."""
        name = next((name for name, meant in self.positions if meant == meaning), "")
        if not name or self.switch is None:
            return ""
        return f"{self.switch.ref} in the centre" if name == "centre" else f"{self.switch.ref} at {name}"

    # Points that a probe can touch.

    def lands(self, name: str) -> bool:
        """Whether the board has this landing."""
        return any(landed.name == name for landed in self.circuit.landed)

    def end(self, landing: str) -> str:
        """The board's end of the wire of a landing: "J1 pin 12", "C1 end 2".  Raises KeyError without that landing."""
        for wire in self.circuit.wires:
            if wire.end == f"{landing} landing":
                return wire.start.removesuffix(f" ({landing})")
        for landed in self.circuit.landed:
            if landed.name == landing:
                return f"{landed.ref} pin {landed.pin}"
        raise KeyError(landing)

    def at(self, landing: str) -> str:
        """The place in the set: "the red landing in the set (IC201 pin 14)"."""
        place = next((said(w.at) for w in self.circuit.wires if w.end == f"{landing} landing"), "")
        return f"the {landing} landing in the set{f' ({place})' if place else ''}"

    def probe(self, name: str) -> str:
        """A test point of the board, or without one the board's end of the wire of that name."""
        if self.has(f"test/{name}"):
            return f"{self.ref(f'test/{name}')} ({name})"
        return f"{self.end(name)} ({name})"

    @property
    def ground(self) -> str:
        """Where the black lead goes."""
        return self.probe("ground")

    def pin_net(self, role: str, pin: str) -> str:
        """The net on a part's pin, by the pin's name.  Raises KeyError for a role or a pin that there is not."""
        placed = self.circuit.by_role(role)
        net = placed.nets[{p.name: p.number for p in placed.part.pins}[pin]]
        if net is None:
            raise KeyError(pin)
        return net

    def touched(self, net: str) -> str:
        """A point of a net that a probe reaches: a test point, else a capacitor to ground, else a pin of anything."""
        on = [(p, pin) for p in self.circuit.parts for pin, at in sorted(p.nets.items()) if at == net]
        place, pin = min(on, key=lambda pair: (_reach(pair[0]), natural(pair[0].ref)))
        if place.role.startswith("test/"):
            return f"{place.ref} ({place.value})"
        name = next(p.name for p in place.part.pins if p.number == pin)
        return f"{place.ref} pin {pin}{f' ({name})' if name not in ('', '~', pin) else ''}"

    def feeds(self, role: str, pin: str, chip: str) -> bool:
        """Whether a chip hangs on the net of a part's pin; False without that part."""
        return self.has(role) and self.pin_net(role, pin) in self.circuit.by_role(chip).nets.values()

    @property
    def rail_high(self) -> float:
        """The rail at its highest [V]."""
        return self.tv.supply.voltage * (1 + self.tv.supply.tolerance)

    def contact(self, index: int, function: str) -> str:
        """A contact of an input's socket: "contact 15 of J101", "the centre of J702"; "" where it has none."""
        names = self.contacts(index, function)
        return names[0] if names else ""

    def contacts(self, index: int, function: str) -> tuple[str, ...]:
        """Every contact of an input's socket with a function."""
        wiring = WIRINGS[self.variant.input[index - 1].socket]
        found = []
        for contact in wiring.with_function(function):
            role = f"input-{index}/socket/{contact.jack}" if contact.jack else f"input-{index}/socket"
            if self.has(role):
                ref = self.ref(role)
                found.append(f"the centre of {ref}" if contact.jack else f"contact {contact.number} of {ref}")
        return tuple(found)

    def colour_contacts(self, index: int) -> str:
        """The three colour contacts of an input: "contacts 15, 11 and 7 of J101"."""
        points = [self.contact(index, colour) for colour in COLOURS]
        refs = self.socket_refs(index)
        if len(refs) > 1:
            return listed(points)
        numbers = [point.split()[1] for point in points]
        return f"contacts {listed(numbers)} of {refs[0]} (red, green, blue)"

    def below(self, *prefixes: str) -> tuple[str, ...]:
        """References of every part whose role begins with one of these paths."""
        return self.refs(*(p.role for prefix in prefixes for p in self.circuit.under(prefix)))

    @property
    def apart(self) -> str:
        """The board taken off the set, in words."""
        return "the plug of the board pulled" if self.has("landing") else "the wire of the board off"

    def sync_contact(self, index: int) -> str:
        """The contact on which sync arrives."""
        return self.contact(index, "sync") or self.contact(index, "hsync")

    def return_of(self, index: int) -> str:
        """A contact of an input's socket that is ground."""
        wiring = WIRINGS[self.variant.input[index - 1].socket]
        grounds = [c for c in wiring.contacts if c.function in ("ground", "shell")]
        contact = next((c for c in grounds if c.name.startswith("red")), grounds[0])
        if contact.jack:
            return f"the outside of {self.ref(f'input-{index}/socket/{contact.jack}')}"
        return f"contact {contact.number} of {self.ref(f'input-{index}/socket')}"

    def socket_refs(self, index: int) -> tuple[str, ...]:
        """References of the socket, or of the single jacks, of an input."""
        return tuple(sorted((p.ref for p in self._sockets(index)), key=natural))

    def _sockets(self, index: int) -> Iterator[Placed]:
        return self.circuit.under(f"input-{index}/socket")

    def colour_refs(self, what: str, index: int = 0) -> tuple[str, ...]:
        """References of a part of each colour: of an input, or of the board for 0."""
        begin = f"input-{index}/" if index else ""
        return self.refs(*(f"{begin}{colour}/{what}" for colour in COLOURS))

    def inputs_with(self, *sockets: str) -> tuple[int, ...]:
        """Numbers of the inputs that have one of these sockets."""
        return tuple(n for n in self.inputs if self.variant.input[n - 1].socket in sockets)


def _reach(placed: Placed) -> int:
    """How well a probe reaches a part: 0 best."""
    if placed.role.startswith("test/"):
        return 0
    return 1 if placed.part.letter == "C" and GROUND in placed.nets.values() else 2


def _commons(switch: Placed) -> set[str | None]:
    return {switch.nets.get(pin.number) for pin in switch.part.pins if pin.name.startswith("common")}


def numbered(role: str) -> int:
    """Number of the input that a role belongs to, 0 for a role of the board."""
    match = INPUT_ROLE.fullmatch(role)
    return int(match[1]) if match else 0


def inputs_words(numbers: Sequence[int]) -> str:
    """ "input 1", "inputs 1 and 2"."""
    return f"input{'s' if len(numbers) > 1 else ''} {listed([str(n) for n in numbers])}"
