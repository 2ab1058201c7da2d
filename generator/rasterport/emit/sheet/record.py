"""The record of a board that was built: what the page copies out for the variant file."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.page import Html, el


def record() -> Iterator[Html]:
    """Fields for serial, date and changed parts, and the table that comes of them and of the readings."""
    yield el(
        "p",
        "What you ticked and read stays in this browser.  The table below goes to the end of the variant file, where ",
        el("code", "rasterport check"),
        " holds every reading against what the circuit lets expect.",
    )
    yield el(
        "p",
        el(
            "label", "Serial of this board ", el("input", type="text", id="built-serial", autocomplete="off", size="10")
        ),
        " ",
        el("label", "Date ", el("input", type="date", id="built-date")),
    )
    yield el(
        "p",
        el("label", "Parts changed against the list, one a line", for_="built-changed"),
        el("br"),
        el("textarea", id="built-changed", rows="3", cols="60"),
    )
    yield el(
        "p",
        el("button", "Copy the table", type="button", data_copy="built"),
        " ",
        el("button", "Begin another board", type="button", id="built-new"),
        " ",
        el("output", id="built-said", role="status"),
    )
    yield el(
        "p",
        el("label", "Table for the variant file", for_="built-text"),
        el("br"),
        el("textarea", id="built-text", rows="10", cols="60", readonly=True),
    )
