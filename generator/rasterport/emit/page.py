"""Pages of HTML as plain data, escaped in one place; a page is one file that fetches nothing."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable
from hashlib import sha256
from html import escape
from typing import TypeAlias

VOID = frozenset({"br", "hr", "img", "input", "meta", "link", "wbr"})


ENDS = re.compile(r"(</(?:tr|li|p|h[1-3]|div|details|section|figure|g)>)")
"""Where a line of the file ends, so that a difference between two pages shows what changed."""


class Html(str):
    """Text that is markup already."""

    __slots__ = ()


Child: TypeAlias = "str | Iterable[Child] | None"


def el(tag: str, *children: Child, **attributes: str | bool | None) -> Html:
    """One element.  Plain strings are escaped, `Html` stays; an underscore at the end of an attribute is dropped.

    An underscore within becomes a hyphen; True writes the bare name, None and False leave it out.
    """
    parts = []
    for name, value in attributes.items():
        if value is None or value is False:
            continue
        named = name.rstrip("_").replace("_", "-")
        parts.append(f" {named}" if value is True else f' {named}="{escape(str(value))}"')
    start = f"<{tag}{''.join(parts)}>"
    return Html(start) if tag in VOID else Html("".join([start, *_markup(children), f"</{tag}>"]))


def joined(children: Iterable[Child]) -> Html:
    """Children one after another; a list counts as its members."""
    return Html("".join(_markup(children)))


def _markup(children: Iterable[Child]) -> list[str]:
    """Children as markup, not joined yet: a large page is not copied once more."""
    found: list[str] = []
    for child in children:
        if child is None:
            continue
        if isinstance(child, Html):
            found.append(child)
        elif isinstance(child, str):
            found.append(escape(child, quote=False))
        else:
            found += _markup(child)
    return found


STYLE = """
:root{color-scheme:light dark;--ink:#14181d;--paper:#fff;--faint:#4d5866;--line:#b9c0c8;--warn:#8c1d18;--field:#f3f5f7}
@media (prefers-color-scheme:dark){:root{--ink:#e9edf1;--paper:#14181d;--faint:#a9b4c0;--line:#465059;--warn:#ffb4ab;
--field:#1f252b}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:60rem;color:var(--ink);background:var(--paper);
font:1rem/1.45 system-ui,sans-serif}
h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.25rem;margin-top:2rem}h3{font-size:1rem;margin:1.2rem 0 .3rem}
code,.key{font-family:ui-monospace,monospace;font-size:.92em}
table{border-collapse:collapse;width:100%;margin:.5rem 0}
th,td{border:1px solid var(--line);padding:.25rem .45rem;text-align:left;vertical-align:top}
th{background:var(--field);font-weight:600}
.faint{color:var(--faint)}.caution{border:2px solid var(--warn);padding:.2rem .9rem;margin:1rem 0}
.caution h2{color:var(--warn);margin:.5rem 0}
a{color:inherit}
@page{size:A4;margin:12mm}
@media print{:root{--ink:#000;--paper:#fff;--faint:#333;--line:#777;--warn:#000;--field:#eee}
body{padding:0;max-width:none;font-size:9pt}tr,li,figure{break-inside:avoid}h2,h3{break-after:avoid}
thead{display:table-header-group}}
"""
"""Readable on screen by day and night, and on A4 paper."""


def document(title: str, *body: Child, style: str = "", script: str = "", **main: str | bool | None) -> str:
    """A whole page of its own, ending in a newline.  `style` and `script` are our own text, never a user's.

    The page forbids its browser to fetch anything and to run any script but this one.
    `main` are attributes of its body.
    """
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=_policy(script)),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", title),
        el("style", Html(STYLE + style)),
    )
    end = el("script", Html(script)) if script else None
    told = Html(ENDS.sub(r"\1\n", el("main", *body, **main)))
    page = el("html", head, el("body", told, end), lang="en")
    return f"<!DOCTYPE html>\n{page}\n"


def _policy(script: str) -> str:
    """What the browser may do, in the words of Content Security Policy Level 2: one script, known by its digest."""
    digest = b64encode(sha256(script.encode("utf-8")).digest()).decode("ascii")
    allowed = f"'sha256-{digest}'" if script else "'none'"
    return f"default-src 'none'; style-src 'unsafe-inline'; script-src {allowed}; base-uri 'none'; form-action 'none'"
