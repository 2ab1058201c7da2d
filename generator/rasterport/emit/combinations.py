"""The resistors where an input and the set's own display meet: the best and its runners-up, as a small table."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from rasterport.records import Offer
from rasterport.units import short, written

WIDTH = 100
HEADER = (
    "",
    "termination",
    "from-input",
    "from-display",
    "foot",
    "input",
    "menu",
    "unplugged",
    "native",
    "both",
    "loss",
)
LEGEND = (
    "white at the pin: of an input, of menus over it, with nothing plugged in and native, and of both together; return "
    "loss at direct voltage"
)


def combinations(offers: Sequence[Offer]) -> Iterator[str]:
    """The lines of the table, what each runner-up gives up below its row, and what the columns are."""
    rows = [_row(offer) for offer in offers]
    widths = [max(len(row[k]) for row in (HEADER, *rows)) for k in range(len(HEADER))]
    told = ["", *("" if not o.gives_up else o.gives_up for o in offers)]
    for row, words in zip((HEADER, *rows), told, strict=True):
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        yield from _wrapped(words)
    yield from _wrapped(LEGEND)


def _row(offer: Offer) -> tuple[str, ...]:
    ohms = (offer.termination_ohm, offer.series_ohm, offer.display_ohm, offer.ground_ohm)
    volts = (
        offer.external_v, offer.display_v, offer.display_unplugged_v, offer.display_native_v, offer.both_v,
    )  # fmt: skip
    return (
        offer.title,
        *("none" if ohm is None else written(ohm, "ohm") for ohm in ohms),
        *(f"{short(volt, 3)} V" for volt in volts),
        f"{short(offer.return_loss_db, 3)} dB",
    )


def _wrapped(words: str) -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6)
