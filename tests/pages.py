"""Reads a page back with an independent parser."""

from __future__ import annotations

from html.parser import HTMLParser

from rasterport.emit.page import VOID


class Balance(HTMLParser):
    """Fails on an end that closes nothing; gathers tags with their attributes, and the words that a reader sees."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.words: list[str] = []
        self.links: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))
        self.links += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def having(self, name: str) -> list[str]:
        """Values of an attribute, in the order of the page."""
        return [attributes[name] for _, attributes in self.tags if name in attributes]

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "script"):
            self.words.append(data)


def read(page: str) -> Balance:
    """The page, once every element of it has ended where it must."""
    found = Balance()
    found.feed(page)
    found.close()
    assert found.open == []
    return found
