"""Slips in a finished circuit, made in the records behind the sizing, as a mistake in a block would make them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from making import errors, examined, pin_of, with_net, with_part, with_swapped, with_twin, with_value, without
from rasterport.checks.bench import examine
from rasterport.records import CataloguePart, Circuit, Placed
from rasterport.variant.models import Variant

Slip = Callable[[Circuit], Circuit]


@dataclass(frozen=True)
class Mistake:
    """A slip made in the circuit of a variant, and the codes that see it."""

    name: str
    made: Variant
    slip: Slip
    by: set[str]

    def must_be_seen(self) -> None:
        """The board is good without the slip, and with it every code of `by` is an error."""
        good, findings = examined(self.made)
        assert errors(findings) == set()
        bad = self.slip(good)
        assert bad != good
        found = errors(examine(self.made, bad))
        assert self.by <= found, found


def value(role: str, value_si: float) -> Slip:
    return lambda c: with_value(c, role, value_si)


def scaled(role: str, factor: float) -> Slip:
    return lambda c: with_value(c, role, (c.by_role(role).value_si or 0.0) * factor)


def gone(*roles: str) -> Slip:
    return lambda c: without(c, *roles)


def swapped(role: str, first: str, second: str) -> Slip:
    return lambda c: with_swapped(c, role, first, second)


def net(role: str, pin: str, name: str | None) -> Slip:
    """One pin, by name, on another net."""
    return lambda c: with_net(c, role, pin_of(c.by_role(role), pin), name)


def twin(role: str) -> Slip:
    return lambda c: with_twin(c, role, f"{role}-again", "R99")


def part(role: str, row: CataloguePart) -> Slip:
    def slip(c: Circuit) -> Circuit:
        placed = c.by_role(role)
        return with_part(c, replace(placed, part=row, value_si=row.ratings.get("value_ohm", placed.value_si)))

    return slip


def added(role: str, row: CataloguePart, **nets: str) -> Slip:
    """One more part, its pins by name."""

    def slip(c: Circuit) -> Circuit:
        joined = {pin.number: nets.get(pin.name) for pin in row.pins}
        extra = Placed(role, f"{row.letter}99", row, row.name, joined, "a mistake")
        return replace(c, parts=tuple(sorted((*c.parts, extra), key=lambda p: p.role)))

    return slip


def net_of_end(role: str, now: str, then: str | None) -> Slip:
    """The end of a part that is on one net, on another."""

    def slip(c: Circuit) -> Circuit:
        (pin,) = (number for number, net in c.by_role(role).nets.items() if net == now)
        return with_net(c, role, pin, then)

    return slip


def exchanged(first: str, second: str) -> Slip:
    """Two parts of the same pattern in each other's place: values and catalogue rows change hands."""

    def slip(c: Circuit) -> Circuit:
        a, b = c.by_role(first), c.by_role(second)
        changed = with_part(c, replace(a, part=b.part, value=b.value, value_si=b.value_si))
        return with_part(changed, replace(b, part=a.part, value=a.value, value_si=a.value_si))

    return slip


def landings_crossed(first: str, second: str) -> Slip:
    """The nets of two landings exchanged where they leave the board."""

    def slip(c: Circuit) -> Circuit:
        a, b = (next(x for x in c.landed if x.name == name) for name in (first, second))
        nets = [next(p for p in c.parts if p.ref == x.ref).nets[x.pin] for x in (a, b)]
        for landed, other in ((a, nets[1]), (b, nets[0])):
            role = next(p.role for p in c.parts if p.ref == landed.ref)
            c = with_net(c, role, landed.pin, other)
        return c

    return slip


def between(role: str, row: CataloguePart, first: str, second: str) -> Slip:
    """One more part of two pins, between two nets."""

    def slip(c: Circuit) -> Circuit:
        nets = {row.pins[0].number: first, row.pins[1].number: second}
        value = row.ratings.get("value_ohm", row.ratings.get("value_f", 1.0))
        extra = Placed(role, f"{row.letter}99", row, row.name, nets, "a mistake", value)
        return replace(c, parts=tuple(sorted((*c.parts, extra), key=lambda p: p.role)))

    return slip


def unlanded(name: str) -> Slip:
    return lambda c: replace(c, landed=tuple(x for x in c.landed if x.name != name))


def both(*slips: Slip) -> Slip:
    def slip(c: Circuit) -> Circuit:
        for one in slips:
            c = one(c)
        return c

    return slip


def crossed(role: str, first: str, second: str) -> Slip:
    """Two nets of one part exchanged, at every pin that they are on."""

    def slip(c: Circuit) -> Circuit:
        placed, turned = c.by_role(role), {first: second, second: first}
        assert set(turned) <= set(placed.nets.values())
        return with_part(c, replace(placed, nets={pin: turned.get(n or "", n) for pin, n in placed.nets.items()}))

    return slip


def shorted(name: str, to: str) -> Slip:
    """Two nets joined: everything on the first is on the second."""

    def slip(c: Circuit) -> Circuit:
        assert {name, to} <= {n for p in c.parts for n in p.nets.values()}
        moved = (replace(p, nets={pin: to if n == name else n for pin, n in p.nets.items()}) for p in c.parts)
        return replace(c, parts=tuple(moved))

    return slip
