"""One order out of several boards: same part on one line, spares, less what is in the drawer, at the best price."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from rasterport.errors import Fault, VariantError
from rasterport.order import natural
from rasterport.parts.spares import spares
from rasterport.records import CataloguePart, Circuit
from rasterport.units import QuantityError, close_or_less, read

CENT = Decimal("0.01")
MEASURED = {"R": ("ohm", "W"), "C": ("F", "V")}
"""Letters of the parts whose value is a quantity: unit of the value, unit of the rating."""


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
    """A row of the drawer or of a price list: which part it is, by these texts, "" where it does not say.

    `file` and `line` are where it stands.
    """

    part_number: str = ""
    value: str = ""
    package: str = ""
    rating: str = ""
    description: str = ""
    file: str = field(default="", compare=False)
    line: int = field(default=0, compare=False)

    def is_it(self, need: Need) -> bool:
        """Whether every text that the row gives is the part's own, and they are enough to name it.

        Value and rating of resistors and capacitors are compared as quantities, in the grammar of the variant file;
        they want the package too, since a value is made in many sizes.  A package or a rating alone names no part.
        """
        part = need.part
        of_value, of_rating = MEASURED.get(part.letter, ("", ""))
        agree = (
            _same(self.part_number, part.part_number)
            and _same(self.value, need.value, of_value)
            and _same(self.package, part.package)
            and _same(self.rating, part.rating, of_rating)
            and _same(self.description, part.description)
        )
        named = self.part_number or self.description or (self.value and (self.package or not of_value))
        return bool(named) and agree

    def has_value_of(self, need: Need) -> bool:
        """Whether its value is that of a resistor or capacitor that is needed."""
        unit = MEASURED.get(need.part.letter, ("",))[0]
        return bool(unit and self.value) and _same(self.value, need.value, unit)

    def leaves_rating_open(self, need: Need) -> bool:
        """Whether what the row gives fits resistors or capacitors of several ratings."""
        return need.part.letter in MEASURED and not (self.part_number or self.description or self.rating)


def _same(given: str, ours: str, unit: str = "") -> bool:
    """Whether a text is ours: as a quantity where both are one, else in whatever case; "" says nothing."""
    a, b = (_quantity(text, unit) for text in (given, ours)) if unit else (None, None)
    if a is not None and b is not None:
        return close_or_less(a, b) and close_or_less(b, a)
    return not given or given.casefold() == ours.casefold()


@cache
def _quantity(text: str, unit: str) -> float | None:
    """A quantity in SI units, None where the text is none."""
    try:
        return read(text, unit)
    except QuantityError:
        return None


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
    """All lines, and what they cost by currency; `unpriced` counts lines to order for which no price is known.

    What a reader must look at: `unrated` are rows of the drawer that were taken and do not say for which rating,
    `passed_over` rows that have the value of a part and are not surely that part, `uncompared` offers in another
    currency than the first of their part, `idle` all other rows that fit no line.  `priced` is whether there was a
    price list.
    """

    lines: tuple[Line, ...]
    totals: tuple[tuple[str, Decimal], ...]
    unpriced: int
    priced: bool = False
    unrated: tuple[tuple[Stock, Need], ...] = ()
    passed_over: tuple[tuple[Stock, Need], ...] = ()
    uncompared: tuple[Price, ...] = ()
    idle: tuple[Stock, ...] = ()


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
    currency counts.  Raises VariantError where the drawer has a part of a piece.
    """
    wanted = needs(boards)
    _whole_pieces(wanted, drawer)
    left = [held.quantity for held in drawer]
    lines, unrated, uncompared = [], list[tuple[Stock, Need]](), list[Price]()
    for need in wanted:
        spare = spares(need.part, need.quantity)
        have = 0.0
        for n, held in enumerate(drawer):
            taken = min(left[n], need.quantity + spare - have) if held.row.is_it(need) else 0.0
            left[n] -= taken
            have += taken
            if taken and held.row.leaves_rating_open(need):
                unrated.append((held.row, need))
        offers = [o for o in prices if o.row.is_it(need)]
        line = _line(need, spare, round(have, 6), offers)
        if line.ordered:
            uncompared += [o for o in offers if o.currency != offers[0].currency]
        lines.append(line)
    rows = [*(h.row for h in drawer), *(p.row for p in prices)]
    unfit = [row for row in rows if not any(row.is_it(need) for need in wanted)]
    near = [(row, next((n for n in wanted if row.has_value_of(n)), None)) for row in unfit]
    return Order(
        tuple(lines),
        _totals(lines),
        sum(1 for line in lines if line.ordered and line.cost is None),
        bool(prices),
        tuple(unrated),
        tuple((row, need) for row, need in near if need is not None),
        tuple(uncompared),
        tuple(row for row, need in near if need is None),
    )


def _whole_pieces(wanted: Iterable[Need], drawer: Iterable[Held]) -> None:
    """Raises VariantError for what is counted in pieces and lies there in parts of one."""
    faults = {
        held.row.line: Fault(held.row.file, held.row.line, "quantity", f"{held.quantity:g}", "must be whole pieces")
        for need in wanted
        for held in drawer
        if need.whole and held.quantity % 1 and held.row.is_it(need)
    }
    if faults:
        raise VariantError(tuple(faults.values()))


def _line(need: Need, spare: float, have: float, offers: Sequence[Price]) -> Line:
    """What is still wanted, in whole pieces or metres, at the best of the offers."""
    rest = need.quantity + spare - have
    ordered = float(math.ceil(rest - 1e-9)) if rest > 1e-9 else 0.0
    offer = _best(offers, ordered) if ordered else None
    if offer is None:
        return Line(need, spare, have, ordered)
    ordered = float(offer.quantity(ordered))
    return Line(need, spare, have, ordered, offer, (offer.price * int(ordered)).quantize(CENT, ROUND_HALF_UP))


def _totals(lines: Iterable[Line]) -> tuple[tuple[str, Decimal], ...]:
    """Currencies, sorted, and what all lines cost in each."""
    totals: dict[str, Decimal] = {}
    for line in lines:
        if line.offer is not None and line.cost is not None:
            totals[line.offer.currency] = totals.get(line.offer.currency, Decimal(0)) + line.cost
    return tuple(sorted(totals.items()))


def _best(offers: Sequence[Price], wanted: float) -> Price | None:
    """The offer that costs least in all, among those in the currency of the first."""
    same = [o for o in offers if o.currency == offers[0].currency]
    return min(same, key=lambda o: o.price * o.quantity(wanted), default=None)
