"""An order as a table for a spreadsheet and as one for the eye."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.bom import number_rests_on
from rasterport.emit.tables import csv_text
from rasterport.ordering import Line, Need, Order, Stock
from rasterport.parts.common import MEMORY
from rasterport.variant.messages import escaped

HEADER = (
    "order", "unit", "value", "package", "rating", "manufacturer", "part number", "number rests on", "description",
    "needed", "spare", "in the drawer", "supplier", "order number", "price", "currency", "cost", "for",
)  # fmt: skip
MOST_ROWS = 20
"""Rows that fit nothing and are named one by one."""


def count(quantity: float) -> str:
    """Pieces or metres, in full: no digit of a number of pieces may be rounded away."""
    return f"{quantity:.2f}".rstrip("0").rstrip(".")


def order_csv(order: Order) -> str:
    """Every line, also of what the drawer covers whole, in the order of the table."""
    return csv_text(HEADER, map(_cells, order.lines))


def _cells(line: Line) -> tuple[str, ...]:
    need, offer = line.need, line.offer
    part = need.part
    return (
        count(line.ordered),
        need.unit,
        need.value,
        part.package,
        part.rating,
        part.manufacturer,
        part.part_number,
        number_rests_on(part),
        part.description,
        count(need.quantity),
        count(line.spare),
        count(line.have),
        offer.supplier if offer else "",
        offer.order_number if offer else "",
        f"{offer.price}" if offer else "",
        offer.currency if offer else "",
        f"{line.cost}" if line.cost is not None else "",
        "; ".join(need.places),
    )


def order_lines(order: Order) -> Iterator[str]:
    """The table to read, what must be ordered only, the totals below it, and what to look at."""
    rows: list[tuple[str, ...]] = [("order", "", "part", "needed", "spare", "have", "cost")]
    from_memory = 0
    for line in order.lines:
        if not line.ordered:
            continue
        need, part = line.need, line.need.part
        cost = f"{line.cost} {line.offer.currency}".strip() if line.offer and line.cost is not None else "no price"
        unit = "m" if need.unit == "m" else ""
        unsure = bool(part.part_number) and part.number_rests_on == MEMORY
        from_memory += unsure
        number = f"{part.part_number}{f' ({MEMORY})' if unsure else ''}  " if part.part_number else ""
        rows.append(
            (count(line.ordered), unit, f"{number}{part.description}", count(need.quantity), count(line.spare),
             count(line.have), cost)
        )  # fmt: skip
    if not order.priced:
        rows = [row[:-1] for row in rows]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = (
            cell.ljust(w) if n in (1, 2) else cell.rjust(w) for n, (cell, w) in enumerate(zip(row, widths, strict=True))
        )
        yield "  ".join(cells).rstrip()
    yield ""
    covered = sum(not line.ordered for line in order.lines)
    if covered:
        yield f"{_lines(covered)} {'is' if covered == 1 else 'are'} in the drawer"
    for currency, total in order.totals:
        yield f"total {total} {currency}".rstrip()
    if order.unpriced and order.priced:
        yield f"{_lines(order.unpriced)} without a price"
    if from_memory:
        yield f"{_lines(from_memory)} with a part number {MEMORY}: look it up before you order"
    yield from _to_look_at(order)


def _lines(many: int) -> str:
    return f"{many} line{'' if many == 1 else 's'}"


def _to_look_at(order: Order) -> Iterator[str]:
    """Rows of the tables that were given and are not what they seem, each with its place."""
    for row, need in order.unrated:
        yield f"{_place(row)}: {_named(row)} is taken for {_rated(need)}: it names no rating, so hold yours against it"
    for row, need in order.passed_over:
        yield f"{_place(row)}: {_named(row)} is not counted: it does not say that it is {_rated(need)}"
    for offer in order.uncompared:
        currency = offer.currency or "no currency"
        yield f"{_place(offer.row)}: this offer in {currency} is not compared with the first one's"
    for file in dict.fromkeys(row.file for row in order.idle):
        at = [str(row.line) for row in order.idle if row.file == file]
        more = f" and {len(at) - MOST_ROWS} more" if len(at) > MOST_ROWS else ""
        yield f"{file}: rows that fit no line of this order: {', '.join(at[:MOST_ROWS])}{more}"


def _place(row: Stock) -> str:
    return f"{row.file}:{row.line}"


def _named(row: Stock) -> str:
    """The row as it stands in its table."""
    given = (row.part_number, row.value, row.package, row.rating, row.description)
    return escaped(", ".join(text for text in given if text))


def _rated(need: Need) -> str:
    number = f"{need.part.part_number}, " if need.part.part_number else ""
    return f"{number}{need.part.description}"
