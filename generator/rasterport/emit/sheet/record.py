"""The record of a board that was built: what the page copies out for the variant file."""

from __future__ import annotations

import json
from collections.abc import Iterator

from rasterport.emit.page import Html, el
from rasterport.records import Circuit
from rasterport.variant.built import LONGEST_SERIAL
from rasterport.variant.fields import LONGEST_TEXT
from rasterport.variant.reading import grammar


def record(circuit: Circuit) -> Iterator[Html]:
    """Fields for what a table `[[built]]` holds, and the table that comes of them and of the readings."""
    yield el(
        "p",
        "What you ticked and read stays in this browser, for this file in this folder.  The table below goes to the "
        "end of the variant file, where ",
        el("code", "rasterport check"),
        " holds every reading against what the circuit lets expect.",
    )
    serial = el("input", type="text", id="built-serial", size="10", maxlength=str(LONGEST_SERIAL))
    yield el(
        "p",
        el("label", "Serial of this board ", serial),
        " ",
        el("label", "Date ", el("input", type="date", id="built-date", max="9999-12-31")),
    )
    yield _texts("changed", f"Parts changed against the list, one a line, such as {_change(circuit)}; or a remark")
    yield _texts("notes", "Notes on this board")
    yield el("p", el("span"), id="built-lacks", class_="alert", hidden=True)
    yield el(
        "p",
        el("button", "Copy the table", type="button", data_copy="built"),
        " ",
        el("button", "Begin another board", type="button", id="built-new"),
        " ",
        el("output", id="built-said", role="status"),
    )
    yield el(
        "dialog",
        el("p", "Every tick, reading and field of this sheet is emptied for another board.", id="built-ask-words"),
        el(
            "p",
            el("button", "Copy the table, then empty", type="button", id="built-ask-copy"),
            " ",
            el("button", "Empty without copying", type="button", id="built-ask-empty"),
            " ",
            el("button", "Keep everything", type="button", id="built-ask-keep"),
        ),
        id="built-ask",
        aria_labelledby="built-ask-words",
    )
    yield el(
        "p",
        el("label", "Table for the variant file", for_="built-text"),
        el("br"),
        el(
            "textarea",
            id="built-text",
            rows="10",
            cols="60",
            readonly=True,
            data_grammar=json.dumps(grammar(), ensure_ascii=False, separators=(",", ":")),
        ),
    )


def _change(circuit: Circuit) -> str:
    """A change as it may be written: a part of this board with a value."""
    placed = next((placed for placed in circuit.parts if placed.value_si is not None), circuit.parts[0])
    return f"{placed.ref} = {placed.value}"


def _texts(name: str, words: str) -> Html:
    """A field for several lines, as long as the file takes a text."""
    field = el("textarea", id=f"built-{name}", rows="3", cols="60", maxlength=str(LONGEST_TEXT))
    return el("p", el("label", words, for_=f"built-{name}"), el("br"), field)
