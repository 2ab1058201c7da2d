"""The parts of a board with where they go, to tick as they are fitted."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.emit.page import Child, Html, el, joined
from rasterport.emit.sheet.markup import reference, table, tick
from rasterport.order import natural
from rasterport.records import Bought, Circuit, Placed
from rasterport.units import short

HEAD = ("fitted", "parts", "value", "what to take", "where it goes, and why this value")


def parts(circuit: Circuit) -> Iterator[Html]:
    """What is soldered on the board or stands on the panel, the same parts on one line; then what is bought besides."""
    alike: dict[tuple[str, str, bool], list[Placed]] = {}
    for placed in sorted(circuit.parts, key=lambda p: natural(p.ref)):
        if placed.part.orderable:
            alike.setdefault((placed.part.key, placed.value, placed.on_board), []).append(placed)
    yield table(HEAD, (_row(group) for group in alike.values()), "parts of the board", "parts")
    if circuit.bought:
        yield el("h3", "Besides the board")
        rows = (_bought(b) for b in sorted(circuit.bought, key=lambda b: b.role))
        yield table(("there", "what", "how much", "what for"), rows, "bought besides the board", "parts")


def _row(group: list[Placed]) -> list[Child]:
    first = group[0]
    refs = [p.ref for p in group]
    key = f"part/{min(p.role for p in group)}"
    part = first.part
    take = ", ".join(filter(None, (part.description, part.tolerance, part.rating, part.package)))
    number = el("span", f" {part.manufacturer} {part.part_number}".rstrip(), class_="faint")
    yours = [f"{p.ref} chosen by you in place of {p.instead_of}. " for p in group if p.instead_of]
    place = "" if first.on_board else "On the panel, not on the board. "
    return [
        tick(key, f"{', '.join(refs)} fitted"),
        joined([joined((reference(ref), " ")) for ref in refs]),
        first.value,
        joined([take, number]),
        joined([place, *yours, "; ".join(dict.fromkeys(f"{_place(p.role)}" for p in group)), _why(group)]),
    ]


def _place(role: str) -> str:
    """A role in words: "input 2, red, termination"."""
    return ", ".join(part.replace("-", " ") for part in role.split("/"))


def _why(group: list[Placed]) -> Html | None:
    """The reasons of the values, each once."""
    reasons = list(dict.fromkeys(p.reason for p in group if p.reason))
    return el("span", f". {'; '.join(reasons)}", class_="faint") if reasons else None


def _bought(b: Bought) -> list[Child]:
    return [
        tick(f"bought/{b.role}", f"{b.part.name} there"),
        joined([b.part.name, el("span", f", {b.part.description}", class_="faint")]),
        f"{short(b.quantity)} {b.quantity_unit}",
        joined([_place(b.role), el("span", f". {b.reason}", class_="faint") if b.reason else None]),
    ]
