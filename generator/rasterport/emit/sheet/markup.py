"""Pieces of the bench sheet's markup that several of its sections use."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from rasterport.emit.drawing.sheets import STYLE as CIRCUIT
from rasterport.emit.page import Child, Html, el
from rasterport.emit.wires.ink import STYLE as WIRES
from rasterport.records import Circuit
from rasterport.standards.iec60757 import named, parts_of

REFERENCE = re.compile(r"\b[A-Z]{1,3}[0-9]{1,3}\b")


def table(head: Sequence[str], rows: Iterable[Iterable[Child]], words: str, kind: str = "") -> Html:
    """A table; on a narrow screen its cells stand below one another, each with the head of its column.

    Between the two it scrolls by itself, with keys as well.  `words` name it for who does not see it.
    """
    heads = ";".join(f"--c{n}:'{text}: '" for n, text in enumerate(head, 1))
    top = el("thead", el("tr", [el("th", text, scope="col") for text in head]))
    body = el("tbody", [el("tr", [el("td", cell) for cell in row]) for row in rows])
    inner = el("table", top, body, class_=kind or None, style=heads)
    return el("div", inner, class_="wide", tabindex="0", role="group", aria_label=words)


def tick(key: str, words: str) -> Html:
    """A box to tick that stays ticked; `key` names it for good, `words` say what is done."""
    return el("input", type="checkbox", data_tick=key, aria_label=words)


def reference(ref: str) -> Html:
    """A reference that marks its part wherever it stands: the script makes a button of it, which nobody else needs."""
    return el("b", ref)


def told(text: str, circuit: Circuit) -> Iterator[Child]:
    """A text in which every reference of this board marks its part; whatever else it says stays text."""
    known = {p.ref for p in circuit.parts}
    at = 0
    for found in REFERENCE.finditer(text):
        if found[0] in known:
            yield text[at : found.start()]
            yield reference(found[0])
            at = found.end()
    yield text[at:]


def swatch(code: str) -> Html:
    """Colours of IEC 60757 with their letters, which tell them on paper without colours."""
    patches = [el("span", class_=f"swatch {part}") for part in parts_of(code)]
    return el("span", patches, f"{code} ", el("span", named(code) or code, class_="faint"), class_="colour")


STYLES = re.compile(r"<style>.*?</style>\n?", re.DOTALL)
KINDS = re.compile(r' class="([^"]*)"')
STYLED = frozenset(re.findall(r"\.([A-Za-z]+)", CIRCUIT + WIRES))
"""Kinds of lines and letters that a style knows; the others only help who reads a file of its own."""
UNUSED = re.compile(r' data-(?:role|pin|on|net)="[^"]*"| xmlns="[^"]*"|<rect class="paper"[^>]*/>|(?<=>)\n')
STRAIGHT = (
    (re.compile(r'd="M(\S+) (\S+)L(\S+) \2"'), r'd="M\1 \2H\3"'),
    (re.compile(r'd="M(\S+) (\S+)L\1 (\S+)"'), r'd="M\1 \2V\3"'),
)
"""A level or an upright line, and how it is written with fewer letters."""


def picture(svg: str, words: str, name: str = "") -> Html:
    """A picture of ours within the page: without what only a file of its own needs, its style above all."""
    inner = UNUSED.sub("", STYLES.sub("", svg[svg.index("<svg") :]))
    inner = KINDS.sub(_styled, inner)
    for line, short in STRAIGHT:
        inner = line.sub(short, inner)
    if name:
        inner = inner.replace("<svg", f'<svg id="{name}-picture"', 1)
    return el("div", Html(inner), class_="picture", tabindex="0", role="group", aria_label=words)


def _styled(kinds: re.Match[str]) -> str:
    known = [kind for kind in kinds[1].split() if kind in STYLED]
    return f' class="{" ".join(known)}"' if known else ""


def bullets(texts: Iterable[Child]) -> Html:
    """A list of short texts."""
    return el("ul", [el("li", text) for text in texts])
