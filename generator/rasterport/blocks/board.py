"""The board under construction: places parts by role, joins pins to nets, refuses contradictions.

A block is a module with a `REFERENCES` table (role below its scope -> reference) and a function that
takes the board, places its parts and returns the nets that the next block uses.  A role that begins
with `input-n/` takes the references n01 to n99, every other role 1 to 99; a number is never reused.
"""

from __future__ import annotations

from collections.abc import Mapping

from rasterport.errors import WiringFault
from rasterport.records import (
    COLOURS,
    GROUND,
    INPUT_ROLE,
    LINES,
    Bought,
    CataloguePart,
    Circuit,
    Construction,
    Landed,
    Placed,
    Sized,
    Wire,
)
from rasterport.standards.iec60062 import rkm_code
from rasterport.standards.iec60757 import LINE_COLOURS, ringed


def reference(role: str, letter: str, references: Mapping[str, str]) -> str:
    """The reference of a role: from its block's table, shifted by 100 for each input.

    Raises WiringFault when the table has no such role, or names it with another letter.
    """
    match = INPUT_ROLE.fullmatch(role)
    suffix = match[2] if match else role
    own = references.get(suffix)
    if own is None or own.rstrip("0123456789") != letter:
        raise WiringFault(f"{role}: its block's table must name a reference with {letter}, found {own}")
    number = int(own[len(letter) :])
    return f"{letter}{number + 100 * int(match[1]) if match else number}"


def colour_of(line: str) -> str:
    """Colour code of a wire by what it carries: "red", "left", "sync-native", "ground-2", "status-16".

    Grey where no colour is set aside (control).  What the set gives back has a ring beside the colour of its line.
    """
    if line in ("screens", "return"):
        return LINE_COLOURS["ground"]
    own = line.removesuffix("-native").removeprefix("display-")
    if own != line:
        return ringed(colour_of(own), 0)
    name = {"left": "audio-left", "right": "audio-right"}.get(line, line)
    return LINE_COLOURS.get(name, LINE_COLOURS.get(name.split("-")[0], "GY"))


def colour_at(line: str, meaning: int | None) -> str:
    """Colour code of the wire of a line to a terminal of the panel switch, by what its throw means.

    An input, by number, has a ring of its own, the set's own feed (0) the pink one.  None, which is a common terminal
    or a throw that means neither, has the line's own colour alone.
    """
    return colour_of(line) if meaning is None else ringed(colour_of(line), meaning)


def gauge_of(screened: bool) -> str:
    """What a wire is: coaxial cable where it is screened, else the hook-up wire of the catalogue."""
    return "RG-179, 75 ohm" if screened else "0.14 mm2 (AWG 26)"


class Board:
    """Collects parts, wires and things to buy; `circuit()` hands them over sorted.

    `wired` says that there is no printed board: no header, no pad, no test point, and every part is in the netlist.
    `fit` are parts that the user has chosen, by role.
    """

    def __init__(self, construction: Construction, wired: bool = False, fit: Mapping[str, str] | None = None) -> None:
        self.construction: Construction = construction
        self.wired = wired
        self.throws: dict[tuple[str, str], int] = {}
        """Input of each throw of the panel switch, 0 where it is the set's own, by reference and pin."""
        self._joined: list[tuple[str, str]] = []
        self._fit = dict(fit or {})
        self.misfits: dict[str, str] = {}
        self._parts: dict[str, Placed] = {}
        self._refs: dict[str, str] = {}
        self._wires: list[Wire] = []
        self._bought: list[Bought] = []
        self._landed: list[Landed] = []

    def place(
        self,
        role: str,
        part: CataloguePart,
        nets: Mapping[str, str | None],
        references: Mapping[str, str],
        reason: str,
        value: str = "",
        value_si: float | None = None,
        on_board: bool = True,
    ) -> Placed:
        """Place one part.  `nets` joins every pin by number; None leaves it open on purpose.

        Raises WiringFault, naming both owners, when a role or a reference stands twice or when the pins
        given are not exactly the part's pins.  A part that the user has chosen for the role takes its place; why one
        cannot is kept in `misfits`.
        """
        sized = value or part.name
        wanted = part
        part, value, value_si, chosen = self._chosen(role, part, value, value_si)
        ref = reference(role, part.letter, references)
        if role in self._parts:
            raise WiringFault(f"{role}: placed twice")
        if ref in self._refs:
            raise WiringFault(f"{ref}: wanted by {role}, taken by {self._refs[ref]}")
        pins = {pin.number for pin in wanted.pins}
        if pins != set(nets):
            raise WiringFault(f"{role}: {wanted.key} has pins {sorted(pins)}, wired were {sorted(nets)}")
        if chosen:
            from rasterport.parts.fitting import renumbered

            reason = f"chosen by you in place of {sized}: {reason}"
            nets = {number: nets[was] for was, number in renumbered(wanted, part).items()}
        placed = Placed(
            role, ref, part, value or part.name, dict(nets), reason, value_si, on_board, sized if chosen else ""
        )
        self._parts[role] = placed
        self._refs[ref] = role
        return placed

    def _chosen(
        self, role: str, part: CataloguePart, value: str, value_si: float | None
    ) -> tuple[CataloguePart, str, float | None, bool]:
        """Part, value in words and in SI units, and whether the user has chosen them."""
        choice = self._fit.get(role)
        if choice is None:
            return part, value, value_si, False
        # Few boards have one.
        from rasterport.parts.fitting import fitted

        try:
            found, found_si = fitted(part, choice)
        except ValueError as fault:
            self.misfits[role] = str(fault)
            return part, value, value_si, False
        if value_si is None or found_si is None:
            return found, found.name, None, True
        return found, rkm_code(found_si, "F" if part.letter == "C" else "ohm"), found_si, True

    def two(
        self,
        role: str,
        part: CataloguePart,
        first: str,
        second: str,
        references: Mapping[str, str],
        sized: Sized,
    ) -> Placed:
        """Place a two-pin part with a value: pin 1 on `first`, pin 2 on `second`."""
        return self.place(
            role,
            part,
            {"1": first, "2": second},
            references,
            sized.reason,
            rkm_code(sized.value, "F" if sized.unit == "F" else "ohm"),
            sized.value,
        )

    def wire(self, wire: Wire) -> None:
        """Add one wire of the harness."""
        self._wires.append(wire)

    def buy(self, bought: Bought) -> None:
        """Add a thing to order that is no part of the netlist."""
        self._bought.append(bought)

    def landed(self, name: str, ref: str, pin: str) -> None:
        """Note where a landing leaves the board."""
        self._landed.append(Landed(name, ref, pin))

    def joined(self, ref: str, pin: str) -> None:
        """Note an end that the set joins to its net itself: no wire goes there."""
        self._joined.append((ref, pin))

    def has(self, role: str) -> bool:
        """Whether a part with this role stands on the board already."""
        return role in self._parts

    def unfitted(self) -> list[str]:
        """Roles for which the user has chosen a part and that this board does not have."""
        return sorted(role for role in self._fit if role not in self._parts)

    def roles(self) -> list[str]:
        """Every role placed so far."""
        return sorted(self._parts)

    def circuit(self) -> Circuit:
        """Everything built so far, parts sorted by role, wires in the order of work."""
        parts = tuple(self._parts[role] for role in sorted(self._parts))
        wires = tuple(sorted(self._wires, key=lambda w: w.stage))
        return Circuit(
            parts, wires, tuple(self._bought), tuple(self._landed), wired=self.wired, joined=tuple(self._joined)
        )


def by_name(part: CataloguePart, named: Mapping[str, str | None]) -> dict[str, str | None]:
    """Nets by pin number from nets by pin name; pins that are not named stay open.

    Raises WiringFault for a name that the part does not have.
    """
    names = {pin.name for pin in part.pins}
    for name in named:
        if name not in names:
            raise WiringFault(f"{part.key} has no pin named {name}; it has {', '.join(sorted(names))}")
    return {pin.number: named.get(pin.name) for pin in part.pins}


__all__ = ["COLOURS", "GROUND", "LINES", "Board", "by_name", "colour_at", "colour_of", "gauge_of", "reference"]
