"""One order out of several boards: same part on one line, spares, less what is in the drawer, at the best price."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from rasterport.order import natural
from rasterport.parts.spares import spares
from rasterport.records import CataloguePart, Circuit

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Need:
    """One orderable part of one value: how many all boards take and where."""

    part: CataloguePart
    value: str
    quantity: float
    unit: str
    places: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Whether it is counted in pieces."""
        return self.unit == "piece"


@dataclass(frozen=True, slots=True)
class Stock:
    """A row of the drawer or of a price list: which part it is, by any of these texts, "" where it does not say."""

    part_number: str = ""
    value: str = ""
    package: str = ""
    description: str = ""

    def is_it(self, need: Need) -> bool:
        """Whether every text that the row gives is the part's own, in whatever case; none at all is no part."""
        pairs = (
            (self.part_number, need.part.part_number),
            (self.value, need.value),
            (self.package, need.part.package),
            (self.description, need.part.description),
        )
        given = [(a, b) for a, b in pairs if a]
        return bool(given) and all(a.strip().casefold() == b.casefold() for a, b in given)


@dataclass(frozen=True, slots=True)
class Held:
    """So many of a part lie in the drawer, pieces or metres."""

    row: Stock
    quantity: float


@dataclass(frozen=True, slots=True)
class Price:
    """A price: from `minimum` pieces on, in steps of `multiple`, `price` a piece in `currency`."""

    row: Stock
    price: Decimal
    currency: str = ""
    minimum: int = 1
    multiple: int = 1
    supplier: str = ""
    order_number: str = ""

    def quantity(self, wanted: float) -> int:
        """The least number that may be ordered and that covers what is wanted."""
        least = max(self.minimum, math.ceil(wanted - 1e-9))
        return -(-least // self.multiple) * self.multiple


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an order.  `ordered` counts pieces or metres, `cost` is None where no price is known."""

    need: Need
    spare: float
    have: float
    ordered: float
    offer: Price | None = None
    cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """All lines, and what they cost by currency; `unpriced` counts lines to order for which no price is known."""

    lines: tuple[Line, ...]
    totals: tuple[tuple[str, Decimal], ...]
    unpriced: int


def needs(boards: Iterable[tuple[str, Circuit, int]]) -> tuple[Need, ...]:
    """Everything that so many boards of each circuit take, by name of the variant, in the order of references."""
    parts: dict[tuple[str, str], CataloguePart] = {}
    counts: dict[tuple[str, str], float] = {}
    units: dict[tuple[str, str], str] = {}
    places: dict[tuple[str, str], list[str]] = {}

    def add(part: CataloguePart, value: str, quantity: float, unit: str, place: str) -> None:
        key = (part.key, value)
        parts[key], units[key] = part, unit
        counts[key] = counts.get(key, 0.0) + quantity
        places.setdefault(key, []).append(place)

    for name, circuit, many in boards:
        found: dict[tuple[str, str], list[str]] = {}
        of: dict[tuple[str, str], CataloguePart] = {}
        for placed in circuit.parts:
            if placed.part.orderable:
                key = (placed.part.key, placed.value)
                found.setdefault(key, []).append(placed.ref)
                of[key] = placed.part
        for key, refs in found.items():
            listed = " ".join(sorted(refs, key=natural))
            add(of[key], key[1], len(refs) * many, "piece", f"{name} {many}x {listed}")
        for bought in circuit.bought:
            place = f"{name} {many}x {bought.role}"
            add(bought.part, bought.part.name, bought.quantity * many, bought.quantity_unit, place)
    made = [Need(parts[k], k[1], round(counts[k], 6), units[k], tuple(places[k])) for k in counts]
    return tuple(sorted(made, key=lambda n: (n.part.letter, n.part.key, n.value)))


def order(
    boards: Iterable[tuple[str, Circuit, int]], drawer: Sequence[Held] = (), prices: Sequence[Price] = ()
) -> Order:
    """What to order for so many boards of each circuit.

    A row of the drawer serves one line after the other until it is empty.  Of several offers that fit, the one that
    costs least in all is taken, the first of equals; offers in several currencies are not compared: the first one's
    currency counts.
    """
    left = [held.quantity for held in drawer]
    lines, totals, unpriced = [], dict[str, Decimal](), 0
    for need in needs(boards):
        spare = spares(need.part, need.quantity)
        wanted, have = need.quantity + spare, 0.0
        for n, held in enumerate(drawer):
            if held.row.is_it(need):
                taken = min(left[n], wanted - have)
                left[n] -= taken
                have += taken
        rest = wanted - have
        ordered = float(math.ceil(rest - 1e-9)) if rest > 1e-9 else 0.0
        offer = _best([o for o in prices if o.row.is_it(need)], ordered) if ordered else None
        cost = None
        if offer is not None:
            ordered = float(offer.quantity(ordered))
            cost = (offer.price * int(ordered)).quantize(CENT, ROUND_HALF_UP)
            totals[offer.currency] = totals.get(offer.currency, Decimal(0)) + cost
        elif ordered:
            unpriced += 1
        lines.append(Line(need, spare, round(have, 6), ordered, offer, cost))
    return Order(tuple(lines), tuple(sorted(totals.items())), unpriced)


def _best(offers: Sequence[Price], wanted: float) -> Price | None:
    """The offer that costs least in all, among those in the currency of the first."""
    same = [o for o in offers if o.currency == offers[0].currency]
    return min(same, key=lambda o: o.price * o.quantity(wanted), default=None)
