"""An order as a table for a spreadsheet and as one for the eye."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.tables import csv_text
from rasterport.ordering import Line, Order

HEADER = (
    "order", "unit", "value", "package", "manufacturer", "part number", "description", "needed", "spare",
    "in the drawer", "supplier", "order number", "price", "currency", "cost", "for",
)  # fmt: skip


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
        part.manufacturer,
        part.part_number,
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
    """The table to read, what must be ordered only, and the totals below it."""
    rows: list[tuple[str, ...]] = [("order", "", "part", "needed", "spare", "have", "cost")]
    for line in order.lines:
        if not line.ordered:
            continue
        need = line.need
        cost = f"{line.cost} {line.offer.currency}".strip() if line.offer and line.cost is not None else "no price"
        unit = "m" if need.unit == "m" else ""
        number = f"{need.part.part_number}  " if need.part.part_number else ""
        rows.append(
            (count(line.ordered), unit, f"{number}{need.part.description}", count(need.quantity), count(line.spare),
             count(line.have), cost)
        )  # fmt: skip
    if all(line.cost is None for line in order.lines):  # nobody gave a price list
        rows = [row[:-1] for row in rows]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = (
            cell.ljust(w) if n in (1, 2) else cell.rjust(w) for n, (cell, w) in enumerate(zip(row, widths, strict=True))
        )
        yield "  ".join(cells).rstrip()
    covered = sum(not line.ordered for line in order.lines)
    yield ""
    if covered:
        yield f"{covered} line{' is' if covered == 1 else 's are'} in the drawer"
    for currency, total in order.totals:
        yield f"total {total} {currency}".rstrip()
    if order.unpriced and order.totals:
        yield f"{order.unpriced} line{'' if order.unpriced == 1 else 's'} without a price"
