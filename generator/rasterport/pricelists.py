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

NAMING = ("part number", "value", "package", "description")
DRAWER = (*NAMING, "quantity")
PRICES = (*NAMING, "price", "currency", "minimum", "multiple", "supplier", "order number")
LARGEST = 5_000_000
"""Bytes of a table: more than anybody keeps by hand."""
MOST = 10_000_000
"""Pieces of one row."""

Row = dict[str, str]
Made = TypeVar("Made")


def drawer(path: str | Path) -> tuple[Held, ...]:
    """What lies in the drawer: CSV with a heading out of DRAWER.  Raises VariantError with every fault of the file."""
    return tuple(_rows(path, DRAWER, ("quantity",), _held))


def prices(path: str | Path) -> tuple[Price, ...]:
    """What parts cost: CSV with a heading out of PRICES; several rows of one part are several offers.

    Raises VariantError with every fault of the file.
    """
    return tuple(_rows(path, PRICES, ("price",), _offer))


def _rows(
    path: str | Path, known: tuple[str, ...], asked: tuple[str, ...], made: Callable[[Row], Made]
) -> Iterator[Made]:
    name = escaped(str(path), 200)
    table = csv.reader(io.StringIO(_text(path, name), newline=""), strict=True)
    faults: list[Fault] = []
    found: list[Made] = []
    try:
        heading = [cell.strip().lower() for cell in next(table, [])]
        _check_heading(name, heading, known, asked)
        for cells in table:
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(heading):
                allowed = f"must have {len(heading)} cells, as the heading has"
                faults.append(Fault(name, table.line_num, "", f"{len(cells)} cells", allowed))
                continue
            try:
                found.append(made({k: cell.strip() for k, cell in zip(heading, cells, strict=True)}))
            except _Wrong as wrong:
                faults.append(Fault(name, table.line_num, wrong.column, shown(wrong.found), wrong.allowed))
    except csv.Error as error:
        faults.append(Fault(name, table.line_num, "", "", f"must be CSV with commas and double quotes: {error}"))
    if faults:
        raise VariantError(tuple(faults[:50]))
    yield from found


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
    hint = f"must have a heading of columns out of: {', '.join(known)}"
    if ";" in "".join(heading) and len(heading) == 1:
        raise VariantError((Fault(name, 1, "", "semicolons", f"{hint}, parted by commas"),))
    faults = [Fault(name, 1, "", shown(c), hint) for c in heading if c not in known]
    faults += [Fault(name, 1, "", f"{shown(c)} twice", hint) for c in sorted(set(heading)) if heading.count(c) > 1]
    missing = [f"no {c}" for c in asked if c not in heading]
    missing += [] if set(heading) & set(NAMING) else ["nothing that names a part"]
    faults += [Fault(name, 1, "", found, hint) for found in missing]
    if faults:
        raise VariantError(tuple(faults))


class _Wrong(Exception):
    """A cell that does not say what it must."""

    def __init__(self, column: str, found: str, allowed: str) -> None:
        self.column, self.found, self.allowed = column, found, allowed
        super().__init__(allowed)


def _stock(row: Row) -> Stock:
    named = {key: row.get(key, "") for key in NAMING}
    if not any(named.values()):
        raise _Wrong("", "", f"must name a part by {', '.join(NAMING[:-1])} or {NAMING[-1]}")
    return Stock(named["part number"], named["value"], named["package"], named["description"])


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
        row.get("currency", ""),
        _whole(row, "minimum"),
        _whole(row, "multiple"),
        row.get("supplier", ""),
        row.get("order number", ""),
    )
