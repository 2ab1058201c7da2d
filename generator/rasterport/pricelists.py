"""Tables that a person keeps besides the variants: what lies in the drawer, and what parts cost where."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from rasterport.errors import Fault, RasterportError, VariantError
from rasterport.ordering import Held, Price, Stock
from rasterport.variant.messages import escaped, shown

NAMING = ("part number", "value", "package", "rating", "description")
DRAWER = (*NAMING, "quantity")
PRICES = (*NAMING, "price", "currency", "minimum", "multiple", "supplier", "order number")
ALSO = {"order": "quantity"}
"""What an order of ours calls a column: once it has come it lies in the drawer."""
DELIMITERS = (",", ";", "\t")
"""What parts cells, the usual first.  Spreadsheets that write semicolons write a decimal comma too."""
NUMBERS = {"value", "rating", "quantity", "price"}
FILE, LINE = "/file", "/line"
"""Where a row stands, beside its cells."""
LARGEST = 5_000_000
"""Bytes of a table: more than anybody keeps by hand."""
MOST = 10_000_000
"""Pieces of one row."""

Row = dict[str, str]
Made = TypeVar("Made")


def drawer(path: str | Path) -> tuple[Held, ...]:
    """What lies in the drawer: a table with columns out of DRAWER; others, such as those of a bill, are not read.

    Raises VariantError with every fault of the file.
    """
    return tuple(_rows(path, DRAWER, ("quantity",), _held))


def prices(path: str | Path) -> tuple[Price, ...]:
    """What parts cost: a table with columns out of PRICES; several rows of one part are several offers.

    Any other column is a fault: a "min" that nobody reads would change what is ordered.  Raises VariantError with every
    fault of the file.
    """
    return tuple(_rows(path, PRICES, ("price",), _offer))


def _rows(
    path: str | Path, known: tuple[str, ...], asked: tuple[str, ...], made: Callable[[Row], Made]
) -> Iterator[Made]:
    name = escaped(str(path), 200)
    text = _text(path, name)
    first = text.partition("\n")[0]
    delimiter = max(DELIMITERS, key=first.count)  # the first of equals
    table = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=delimiter)
    faults: list[Fault] = []
    found: list[Made] = []
    try:
        heading = [cell.strip().lower() for cell in next(table, [])]
        if known is DRAWER:
            heading = [ALSO.get(c, c) if "quantity" not in heading else c for c in heading]
        _check_heading(name, heading, known, asked)
        for cells in table:
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(heading):
                allowed = f"must have {len(heading)} cells, as the heading has"
                faults.append(Fault(name, table.line_num, "", f"{len(cells)} cells", allowed))
                continue
            try:
                told = {k: " ".join(cell.split()) for k, cell in zip(heading, cells, strict=True) if k in known}
                _check_cells(told)
                if delimiter == ";":
                    told |= {k: _pointed(told[k]) for k in NUMBERS & set(told)}
                found.append(made({FILE: name, LINE: str(table.line_num), **told}))
            except _Wrong as wrong:
                faults.append(Fault(name, table.line_num, wrong.column, shown(wrong.found), wrong.allowed))
    except csv.Error as error:
        allowed = f"must be CSV with commas, semicolons or tabs, and double quotes: {error}"
        faults.append(Fault(name, table.line_num, "", "", allowed))
    if faults:
        raise VariantError(tuple(faults[:50]))
    yield from found


def _pointed(text: str) -> str:
    """A number with a decimal comma, a letter or unit behind it or none, with a point; any other text as it is."""
    return re.sub(r"^([0-9]+),([0-9]+ ?[^0-9,]*)$", r"\1.\2", text)


def _check_cells(row: Row) -> None:
    """Raises _Wrong for a character that would do something to a terminal or a table."""
    for column, text in row.items():
        if not text.isprintable():
            raise _Wrong(column, text, "must hold no control characters")


def _text(path: str | Path, name: str) -> str:
    try:
        with Path(path).open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as error:
        raise RasterportError(f"{name}: must be a table that can be read; found: {error.strerror}") from None
    if len(data) > LARGEST:
        raise RasterportError(f"{name}: must have at most {LARGEST} bytes")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RasterportError(f"{name}: must be UTF-8 text; save the table as CSV UTF-8") from None


def _check_heading(name: str, heading: list[str], known: tuple[str, ...], asked: tuple[str, ...]) -> None:
    """One fault for all that is wrong with the heading, since what is allowed is one list of columns."""
    used = [c for c in heading if c in known]
    wrong = [] if known is DRAWER else [shown(c) for c in heading if c not in known]
    wrong += [f"{shown(c)} twice" for c in sorted(set(used)) if used.count(c) > 1]
    wrong += [f"no {c}" for c in asked if c not in heading]
    wrong += [] if set(heading) & set(NAMING) else ["nothing that names a part"]
    if wrong:
        allowed = f"must have a heading of columns out of: {', '.join(known)}"
        raise VariantError((Fault(name, 1, "", ", ".join(wrong), allowed),))


class _Wrong(Exception):
    """A cell that does not say what it must."""

    def __init__(self, column: str, found: str, allowed: str) -> None:
        self.column, self.found, self.allowed = column, found, allowed
        super().__init__(allowed)


def _stock(row: Row) -> Stock:
    number, value, package, rating, description = (row.get(key, "") for key in NAMING)
    if not (number or value or description):
        raise _Wrong("", "", "must name a part by part number, value or description")
    return Stock(number, value, package, rating, description, row[FILE], int(row[LINE]))


def _held(row: Row) -> Held:
    text = row["quantity"]
    if not re.fullmatch(r"\d{1,8}(\.\d{1,3})?", text) or float(text) > MOST:
        raise _Wrong("quantity", text, f"must be a number of pieces or metres, 0 to {MOST}, with a point")
    return Held(_stock(row), float(text))


def _whole(row: Row, column: str) -> int:
    text = row.get(column) or "1"
    if not re.fullmatch(r"\d{1,8}", text) or not 1 <= int(text) <= MOST:
        raise _Wrong(column, text, f"must be a whole number of pieces, 1 to {MOST}")
    return int(text)


def _offer(row: Row) -> Price:
    text = row["price"]
    if not re.fullmatch(r"\d{1,7}(\.\d{1,6})?", text):
        raise _Wrong("price", text, "must be the price of a piece or metre, such as 0.12, with a point and no currency")
    return Price(
        _stock(row),
        Decimal(text),
        row.get("currency", "").upper(),
        _whole(row, "minimum"),
        _whole(row, "multiple"),
        row.get("supplier", ""),
        row.get("order number", ""),
    )
