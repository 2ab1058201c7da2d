"""What a screen shows while RGB is off, and what colours that are exchanged make of a picture.

Colours of light add: a bar is the sum of its primaries, so an exchange of two lines exchanges bars and things.
"""

from __future__ import annotations

from collections.abc import Mapping

from rasterport.emit.sheet.words.facts import Facts
from rasterport.records import COLOURS

PRIMARIES = {
    "white": "rgb", "yellow": "rg-", "cyan": "-gb", "green": "-g-",
    "magenta": "r-b", "red": "r--", "blue": "--b", "black": "---",
}  # fmt: skip
"""Bars from left to right and what each is made of: additive mixing of red, green and blue."""
THINGS = {"red": "a red coat", "green": "grass", "blue": "the sky"}
PAIRS = ((0, 1), (0, 2), (1, 2))


def exchanged(bar: str, one: int, other: int) -> str:
    """The bar that another becomes when two of red, green, blue (0, 1, 2) are exchanged."""
    lit = [letter != "-" for letter in PRIMARIES[bar]]
    lit[one], lit[other] = lit[other], lit[one]
    made = "".join(letter if on else "-" for letter, on in zip("rgb", lit, strict=True))
    return next(name for name, primaries in PRIMARIES.items() if primaries == made)


def without(colour: str) -> str:
    """The colour of white when one of its primaries is missing."""
    made = PRIMARIES["white"].replace(colour[0], "-")
    return next(name for name, primaries in PRIMARIES.items() if primaries == made)


def exchanges() -> str:
    """Each exchange of two lines with what it does to bars and to things."""
    return " ".join(_exchange(one, other) for one, other in PAIRS)


def _exchange(one: int, other: int) -> str:
    becomes = {bar: exchanged(bar, one, other) for bar in PRIMARIES}
    order = list(PRIMARIES)
    pairs = [(a, b) for a, b in becomes.items() if order.index(a) < order.index(b)]
    bars = " and ".join(f"{a} with {b}" for a, b in pairs)
    things = ", ".join(
        f"{thing} {'stays' if becomes[colour] == colour else 'is'} {becomes[colour]}"
        for colour, thing in THINGS.items()
    )
    return f"{COLOURS[one].capitalize()} and {COLOURS[other]}: the bars {bars}; {things}."


# RGB off while sync comes from the source.

OWN = "the set's own picture"
COMPOSITE = "the source's composite picture"
ROLLS = "the set's own picture, rolling"
DARK = "a dark screen"
BEHIND = {
    COMPOSITE: f"{COMPOSITE}; or, where the landing feeds sync alone, {ROLLS}",
    DARK: f"{ROLLS}; or, where the landing feeds the picture too, {DARK}",
}
"""Behind the set's input switch a landing may feed the circuit of sync alone, in front of it feeds a whole picture."""
TELLS = {COMPOSITE: "it is steady but soft, and dots crawl along coloured edges", DARK: "this sync carries no picture"}
"""By what each is told, or why it is so."""


def with_sync_from(facts: Facts, source: str, index: int = 1) -> str:
    """What the set shows without RGB while sync reaches it from "set", "nothing" or an input."""
    if source == "set":
        return OWN
    if facts.tv.sync.accepts == "clean-sync":
        return ROLLS
    seen = COMPOSITE if source != "nothing" and brings_picture(facts, index) else DARK
    return BEHIND[seen] if facts.tv.sync.arrangement == "after-switch" else seen


def told(facts: Facts, source: str, index: int = 1) -> str:
    """The same, with what it is told by."""
    seen = with_sync_from(facts, source, index)
    why = next((why for word, why in TELLS.items() if seen.startswith(word)), "")
    return f"{seen} ({why})" if why and source != "nothing" else seen


def native(facts: Facts, reaches: Mapping[str, str] | None = None) -> str:
    """What the set shows with the board inactive; a landing that an input never leaves counts where it is selected."""
    found = reaches or next(dict(o.reaches) for o in facts.states if o.wanted == "native" and o.rail == "on")
    source = found["sync"]
    if source in ("set", "nothing"):
        return OWN
    there = with_sync_from(facts, source, int(source.removeprefix("input-")))
    return f"{OWN}; {there} where the set is switched to the landing of sync"


def brings_picture(facts: Facts, index: int) -> bool:
    """Whether what an input sends to the sync landing has a picture in it."""
    return facts.variant.input[index - 1].sync == "composite-video" and not facts.separated(index)


def chosen(facts: Facts, index: int = 1, *, fed: bool = True) -> tuple[str, bool]:
    """Where sync comes from with an input chosen, and whether its sound is heard; `fed` by the rail or not.

    Without its rail a board is where the set in standby leaves it, which the walk of every state knows.
    """
    wanted = (f"input-{index}", "native") if not fed else (f"input-{index}",)
    found = [o for name in wanted for o in facts.states if o.wanted == name and (o.rail == "on") == fed]
    reaches = dict(found[0].reaches)
    return reaches["sync"], any(reaches.get(side) == f"input-{index}" for side in facts.sides)
