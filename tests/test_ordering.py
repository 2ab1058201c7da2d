"""One order for several boards: counted by hand, at the best price, harmless to a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making import template
from rasterport.circuit import compose
from rasterport.emit.bom import bom_text
from rasterport.emit.orders import HEADER, order_csv, order_lines
from rasterport.errors import RasterportError, VariantError
from rasterport.ordering import Held, Line, Order, Price, Stock, needs, order
from rasterport.parts import all_rows
from rasterport.parts.spares import spares
from rasterport.pricelists import drawer, prices
from rasterport.records import CataloguePart

KESTREL, HERON = (compose(template(name)) for name in ("kestrel", "heron"))
BOARDS = [("kestrel", KESTREL, 2), ("heron", HERON, 3)]
A_PRICE = "must be the price of a piece or metre, such as 0.12, with a point and no currency"
HUNDRED = "C0805C104K5RACTU"


def test_as_many_as_the_bills_of_the_boards_say() -> None:
    """Every line of the two bills of materials, times its boards."""
    billed: Counter[tuple[str, str]] = Counter()
    for _, circuit, many in BOARDS:
        for row in csv.DictReader(io.StringIO(bom_text(circuit, ""))):
            billed[row["description"], row["value"]] += many * float(row["quantity"])  # type: ignore[assignment]
    found = {(n.part.description, n.value): n.quantity for n in needs(BOARDS)}
    assert found == pytest.approx(dict(billed))
    assert len(found) == len(needs(BOARDS)), "the same part stands on one line"


def test_a_line_names_every_board_and_reference() -> None:
    need = next(n for n in needs(BOARDS) if n.part.part_number == HUNDRED)
    assert need.places == ("kestrel 2x C1 C2 C3 C11", "heron 3x C1 C2 C3 C11")
    assert need.quantity == 2 * 4 + 3 * 4


@pytest.mark.parametrize(
    ("key", "needed", "expected"),
    [
        ("resistor/smd/RC0805/100R/1", 4, 5), ("resistor/smd/RC0805/100R/1", 100, 20),
        ("capacitor/ceramic/smd/1u/50", 26, 6), ("transistor/npn/smd", 1, 2), ("transistor/npn/smd", 30, 3),
        ("relay/5/smd", 12, 0), ("panel-switch/4", 3, 0), ("wire/hookup/RD", 4.2, 0), ("ptc/smd", 1, 1),
    ],
)  # fmt: skip
def test_spares_by_class(key: str, needed: float, expected: int) -> None:
    """The table in words: a fifth, at least five, of chips; a tenth, at least two, with leads; none of dear parts."""
    part = next(row for row in all_rows() if row.key == key)
    assert spares(part, needed) == expected


SPELT = [
    ("2k", "0805", "RC0805FR-072KL", ("2K0", "2k0", "2.0k", "2000", "2.0 kohm", "0.002M")),
    ("100n", "0805", HUNDRED, ("100nF", "0.1u", "0.1 uF", "100000p")),
]


@pytest.mark.parametrize(("ours", "package", "number", "spelt"), SPELT)
def test_a_value_is_a_quantity_in_whatever_spelling(
    ours: str, package: str, number: str, spelt: tuple[str, ...]
) -> None:
    need = next(n for n in needs(BOARDS) if n.part.part_number == number)
    assert need.value == ours
    for text in spelt:
        assert Stock(value=text, package=package).is_it(need), text
    for text in ("2.1k", "2m", "100u", "0.1", "banana", "2k 5"):
        assert not Stock(value=text, package=package).is_it(need), text
    assert not Stock(value="2M", package=package).is_it(replace(need, value="2m")), "case is part of a prefix"


def test_a_resistor_or_capacitor_is_named_by_more_than_its_value() -> None:
    """Sized for 12 V on contact 16: 1 W.  A drawer of "150R" is none, one of 2512 is taken and says for what."""
    need = next(n for n in needs(BOARDS) if n.value == "150R")
    assert need.part.rating == "1 W" and need.part.package == "2512"
    rows = {
        "short": Stock(value="150R", file="d", line=2),
        "size": Stock(value="150", package="2512", file="d", line=3),
        "sure": Stock(value="150R", package="2512", rating="1000 mW", file="d", line=4),
        "other": Stock(value="150R", package="2512", rating="0.5 W", file="d", line=5),
        "nothing": Stock(value="153R", package="2512", file="d", line=6),
    }
    assert [key for key, row in rows.items() if row.is_it(need)] == ["size", "sure"]
    made = order(BOARDS, [Held(row, 1) for row in rows.values()])
    told = "\n".join(order_lines(made))
    what = "RC2512FK-07150RL, Resistor 150R 1 % 1 W, 2512"
    assert f"d:2: 150R is not counted: it does not say that it is {what}" in told
    assert f"d:3: 150, 2512 is taken for {what}: it names no rating, so hold yours against it" in told
    assert "d:4" not in told
    assert f"d:5: 150R, 2512, 0.5 W is not counted: it does not say that it is {what}" in told
    assert "d: rows that fit no line of this order: 6" in told
    assert not Stock(package="2512", rating="1 W").is_it(need)
    transistor = next(n for n in needs(BOARDS) if n.value == "BC847B")
    assert Stock(value="bc847b").is_it(transistor), "there the value is the part"


def test_pieces_are_whole() -> None:
    half = Held(Stock(value="75R", package="1206", file="d", line=7), 1.5)
    with pytest.raises(VariantError, match=r"^d:7: quantity: found 1\.5; must be whole pieces$"):
        order(BOARDS, [half])
    wire = next(n for n in needs(BOARDS) if not n.whole)
    made = order(BOARDS, [Held(Stock(description=wire.part.description), 0.25)])
    assert [r.have for r in made.lines if r.need == wire] == [0.25]


def test_what_a_price_list_says_in_vain_is_told() -> None:
    rows = [Stock(part_number=HUNDRED, file="p", line=2), Stock(part_number=HUNDRED, file="p", line=3),
            Stock(part_number="none", file="p", line=4)]  # fmt: skip
    offers = [Price(row, Decimal(1), currency) for row, currency in zip(rows, ("EUR", "USD", "EUR"), strict=True)]
    told = "\n".join(order_lines(order(BOARDS, [], offers)))
    assert "p:3: this offer in USD is not compared with the first one's" in told
    assert "p: rows that fit no line of this order: 4" in told
    none = "\n".join(order_lines(order(BOARDS, [], offers[2:])))
    assert "no price" in none and "cost" in none.splitlines()[0]
    assert f"{len(order(BOARDS).lines)} lines without a price" in none


def test_numbers_from_memory_are_marked_in_both_tables() -> None:
    """The same column as in the bills of materials."""
    billed = {
        row["part number"]: row["number rests on"]
        for _, circuit, _ in BOARDS
        for row in csv.DictReader(io.StringIO(bom_text(circuit, "")))
    }
    rows = list(csv.DictReader(io.StringIO(order_csv(order(BOARDS)))))
    assert {row["part number"]: row["number rests on"] for row in rows} == billed
    unsure = [number for number, rests_on in billed.items() if rests_on == "from memory"]
    told = "\n".join(order_lines(order(BOARDS)))
    assert unsure and told.count("(from memory)") == len(unsure)
    assert all(f"{number} (from memory)" in told for number in unsure)
    assert f"{len(unsure)} lines with a part number from memory: look it up before you order" in told


def another_tape(part: CataloguePart) -> CataloguePart:
    """The same capacitor under another key and number; any other part as it is."""
    other = replace(part, key=f"{part.key}/tape", part_number="another")
    return other if part.part_number == HUNDRED else part


def line(drawer: list[Held] | None = None, prices: list[Price] | None = None) -> tuple[Line, Order]:
    made = order(BOARDS, drawer or [], prices or [])
    return next(found for found in made.lines if found.need.part.part_number == HUNDRED), made


def test_the_drawer_is_taken_first_and_only_once() -> None:
    """20 are needed and 5 spare; 7 lie there: 18 are ordered.  A row for any 100n serves the first line it fits."""
    found, _ = line([Held(Stock(part_number=HUNDRED.lower()), 7)])
    assert (found.need.quantity, found.spare, found.have, found.ordered) == (20, 5, 7, 18)
    found, _ = line([Held(Stock(value="100n", package="0805"), 1000)])
    assert (found.have, found.ordered, found.cost) == (25, 0, None)
    found, _ = line([Held(Stock(value="100n", package="1206"), 1000)])
    assert found.have == 0
    another = replace(HERON, parts=tuple(replace(p, part=another_tape(p.part)) for p in HERON.parts))
    both = order([*BOARDS, ("another", another, 1)], [Held(Stock(value="100n", package="0805"), 30)])
    assert [r.have for r in both.lines if r.need.value == "100n"] == [25, 5], "what the first leaves serves the next"


def test_minimum_and_multiple_round_up_and_the_cheapest_whole_is_taken() -> None:
    """25 wanted: 25 x 0.10 = 2.50; tape of 50 x 0.04 = 2.00; in tens from 30: 30 x 0.09 = 2.70."""
    offers = [
        Price(Stock(part_number=HUNDRED), Decimal("0.10"), "EUR", supplier="a"),
        Price(Stock(part_number=HUNDRED), Decimal("0.09"), "EUR", 30, 10, "b"),
        Price(Stock(part_number=HUNDRED), Decimal("0.04"), "EUR", 50, 50, "c"),
    ]
    found, made = line(prices=offers)
    assert found.offer is not None
    assert (found.offer.supplier, found.ordered, found.cost) == ("c", 50, Decimal("2.00"))
    assert made.totals == (("EUR", Decimal("2.00")),)
    assert made.unpriced == sum(1 for r in made.lines if r.ordered) - 1
    found, _ = line(prices=offers[:2])
    assert found.offer is offers[0]


def test_totals_are_by_currency() -> None:
    offers = [
        Price(Stock(part_number=HUNDRED), Decimal("0.1"), "EUR"),
        Price(Stock(value="75R", package="1206"), Decimal("0.015"), "USD", 100),
    ]
    _, made = line(prices=offers)
    assert made.totals == (("EUR", Decimal("2.50")), ("USD", Decimal("1.50")))


@given(st.integers(1, 5000), st.integers(1, 500), st.integers(1, 500))
def test_an_offer_covers_what_is_wanted_in_whole_multiples(wanted: int, minimum: int, multiple: int) -> None:
    quantity = Price(Stock(value="x"), Decimal(1), "", minimum, multiple).quantity(wanted)
    assert quantity >= wanted and quantity >= minimum and quantity % multiple == 0
    assert quantity - multiple < max(wanted, minimum), "not one package too many"


def test_the_table_for_a_spreadsheet_holds_every_line_and_no_formula() -> None:
    offer = Price(Stock(part_number=HUNDRED), Decimal("0.1"), "EUR", 1, 1, '=HYPERLINK("x")', "@1")
    _, made = line([Held(Stock(value="75R", package="1206"), 1000)], [offer])
    rows = list(csv.DictReader(io.StringIO(order_csv(made))))
    assert tuple(rows[0]) == HEADER and len(rows) == len(made.lines)
    priced = next(row for row in rows if row["part number"] == HUNDRED)
    assert (priced["order"], priced["price"], priced["cost"]) == ("25", "0.1", "2.50")
    assert (priced["supplier"], priced["order number"]) == ('\'=HYPERLINK("x")', "'@1")
    assert not any(cell.lstrip().startswith(("=", "@", "+")) for row in rows for cell in row.values())
    assert next(row for row in rows if row["value"] == "75R")["order"] == "0"


def test_the_printed_table_leaves_out_what_is_there_and_adds_up() -> None:
    offer = Price(Stock(part_number=HUNDRED), Decimal("0.1"), "EUR")
    _, made = line([Held(Stock(value="75R", package="1206", rating="0.25 W"), 1000)], [offer])
    text = "\n".join(order_lines(made))
    assert f"{HUNDRED}  Capacitor 100n" in text
    assert "RC1206FR-0775RL" not in text and "1 line is in the drawer" in text
    assert "total 2.50 EUR" in text and f"{made.unpriced} lines without a price" in text
    without = "\n".join(order_lines(order(BOARDS)))
    assert "price" not in without and "cost" not in without


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "table.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return path


def test_tables_are_read(tmp_path: Path) -> None:
    held = drawer(write(tmp_path, "\ufeffValue, Package ,quantity\r\n100n,0805,12\r\n\r\n75R,,3\r\n"))
    assert held == (Held(Stock(value="100n", package="0805"), 12), Held(Stock(value="75R"), 3))
    found = prices(write(tmp_path, f"part number,price,currency,minimum,multiple\n{HUNDRED},0.012,eur,100,\n"))
    assert found == (Price(Stock(part_number=HUNDRED), Decimal("0.012"), "EUR", 100, 1),)
    assert (found[0].row.file, found[0].row.line) == (str(tmp_path / "table.csv"), 2)
    with pytest.raises(VariantError, match=r'found "min"; must have a heading of columns out of: part number, value'):
        prices(write(tmp_path, "value,price,min\n1k,1,100\n"))


def test_tables_of_other_spreadsheets_are_read(tmp_path: Path) -> None:
    """Semicolons go with a decimal comma, commas do not; a line break within a cell is a space."""
    expected = (Held(Stock(value="4.7k", package="axial 0207", rating="0.25 W"), 2.5),)
    assert (
        drawer(write(tmp_path, 'value;package;rating;quantity;shelf\n4,7k;"axial\n0207";0,25 W;2,5;"a;b"\n'))
        == expected
    )
    assert drawer(write(tmp_path, "value\tpackage\trating\tquantity\n4.7k\taxial 0207\t0.25 W\t2.5\n")) == expected
    with pytest.raises(VariantError, match='quantity: found "2,5"'):
        drawer(write(tmp_path, 'value,package,quantity\n4k7,0805,"2,5"\n'))


def test_our_own_tables_are_a_drawer(tmp_path: Path) -> None:
    """A bill of heron's covers one heron but its spares; an order of ours covers what it was made for."""
    bill = drawer(write(tmp_path, bom_text(HERON, "")))
    made = order([("heron", HERON, 1)], bill)
    assert all(r.have == r.need.quantity and r.ordered == r.spare for r in made.lines)
    ordered = drawer(write(tmp_path, order_csv(order([("heron", HERON, 1)]))))
    assert not any(r.ordered for r in order([("heron", HERON, 1)], ordered).lines)


HEADED = "must have a heading of columns out of: part number, value, package, rating, description"
PRINTABLE = "must hold no control characters"


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("quantity\n1\n", [f"1: found nothing that names a part; {HEADED}, quantity"]),
        ("value,quantity,quantity\n", [f'1: found "quantity" twice; {HEADED}, quantity']),
        ("value,quantity\n75R,many\n,3\n75R\n", [
            '2: quantity: found "many"; must be a number of pieces or metres, 0 to 10000000, with a point',
            '3: found ""; must name a part by part number, value or description',
            "4: found 1 cells; must have 2 cells, as the heading has"]),
        ("package,quantity\n0805,1\n", ['2: found ""; must name a part by part number, value or description']),
        ("", [f"1: found no quantity, nothing that names a part; {HEADED}, quantity"]),
        ("value,quantity\n75R\x1b[31m,1\n\u202e75R,1\n", [
            f'2: value: found "75R\\x1b[31m"; {PRINTABLE}', f'3: value: found "\\u202e75R"; {PRINTABLE}']),
    ],
)  # fmt: skip
def test_every_fault_of_a_table_is_named(tmp_path: Path, text: str, messages: list[str]) -> None:
    path = write(tmp_path, text)
    with pytest.raises(VariantError) as raised:
        drawer(path)
    assert [str(f).removeprefix(f"{path}:") for f in raised.value.faults] == messages


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        ("1,-1,1,1", f'price: found "-1"; {A_PRICE}'),
        ('1,"0,12",1,1', f'price: found "0,12"; {A_PRICE}'),
        ("1,1,0,1", 'minimum: found "0"; must be a whole number of pieces, 1 to 10000000'),
        ("1,1,1,1.5", 'multiple: found "1.5"; must be a whole number of pieces, 1 to 10000000'),
    ],
)  # fmt: skip
def test_prices_are_exact(tmp_path: Path, cells: str, message: str) -> None:
    path = write(tmp_path, f"value,price,minimum,multiple\n{cells}\n")
    with pytest.raises(VariantError) as raised:
        prices(path)
    assert str(raised.value) == f"{path}:2: {message}"


def test_what_is_no_table_is_one_message(tmp_path: Path) -> None:
    with pytest.raises(RasterportError, match="must be a table that can be read"):
        drawer(tmp_path / "none.csv")
    with pytest.raises(RasterportError, match="must be UTF-8 text"):
        drawer(write(tmp_path, b"value,quantity\n\xff,1\n"))
    with pytest.raises(VariantError, match="must be CSV with commas"):
        drawer(write(tmp_path, 'value,quantity\n"75R,1\n'))
