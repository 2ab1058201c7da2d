"""The meaning of a word of ours at its first use: put into a page that is made already."""

from __future__ import annotations

import re
from html import escape, unescape

from rasterport.emit.page import VOID, Html, el
from rasterport.emit.sheet.words.glossary import first_uses, glossary

PIECES = re.compile(r"<svg\b[^<]*+(?:<(?!/?svg\b)[^<]*+)*+</svg>|<[^>]*>|[^<]+")
"""Tags, text, and each picture without another one in it as a whole: pictures are the larger part of a page."""
TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9]*)")
QUIET = frozenset({"svg", "h1", "h2", "h3", "th", "nav", "button", "textarea", "title", "label", "code", "option"})
"""Where no meaning is put: pictures, what is short, and what is no sentence."""


def explained(page: str) -> Html:
    """The page with the meaning behind each word where its sentences use it first."""
    pieces = PIECES.findall(page)
    said = spoken(pieces)
    uses: dict[int, list[tuple[int, int, str]]] = {}
    for use in first_uses([unescape(pieces[n]) for n in said]):
        uses.setdefault(said[use.text], []).append((use.start, use.end, use.term.means))
    for n, found in uses.items():
        text, at, made = unescape(pieces[n]), 0, []
        for start, end, means in found:
            made += [escape(text[at:start], quote=False), el("dfn", text[start:end])]
            made.append(el("span", f" ({means})", class_="means-it"))
            at = end
        pieces[n] = "".join([*made, escape(text[at:], quote=False)])
    return Html("".join(pieces))


def words_of(page: str) -> Html | None:
    """The words that a part of a page uses with their meanings, for a part that stands alone; None for none."""
    pieces = PIECES.findall(page)
    found = glossary([unescape(pieces[n]) for n in spoken(pieces)])
    if not found:
        return None
    return el("p", "Words: ", "; ".join(f"{term.word}: {term.means}" for term in found), ".", class_="words")


def spoken(pieces: list[str]) -> list[int]:
    """Indices of the pieces that are text of sentences, in the order of the page."""
    quiet: list[str] = []
    found = []
    for n, piece in enumerate(pieces):
        tag = TAG.match(piece)
        if tag is None:
            if not quiet and piece.strip():
                found.append(n)
        elif tag[1]:
            if quiet and quiet[-1] == tag[2]:
                quiet.pop()
        elif tag[2] in QUIET and tag[2] not in VOID and not piece.endswith(("/>", "</svg>")):
            quiet.append(tag[2])
    return found
