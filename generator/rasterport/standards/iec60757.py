"""Colour codes: IEC 60757:1983, and which line of the harness has which colour.

The assignment is ours: the colour lines take their own colours, ground takes black, no two lines share
one.  Green with yellow (GNYE) is kept for protective earth and never used here.  Colours of several elements stand
with a plus between them (IEC 60757:1983 as GOST 28763-90 gives it): "WH+PK" is a white wire with a pink ring.
"""

from __future__ import annotations

COLOURS: dict[str, str] = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "TQ": "turquoise",
}
"""Code -> colour, in the order of the standard."""

SOURCE = "IEC 60757:1983"

LINE_COLOURS: dict[str, str] = {
    "ground": "BK",
    "red": "RD",
    "green": "GN",
    "blue": "BU",
    "sync": "WH",
    "blanking": "VT",
    "rail": "OG",
    "audio-left": "YE",
    "audio-right": "BN",
    "status": "GY",
    "gate": "TQ",
}
"""Line of the board -> colour code."""

NATIVE_RING = "PK"
"""Ring beside the colour of a line on the set's own feed, which comes back through the board."""
RINGS = ("OG", "TQ", "BK", "GY", "BN", "RD", "BU", "VT", "WH", "YE", "GN")
"""Rings of what else can be chosen for a line, in its order; a ring never has the colour that it stands beside."""


def ringed(colour: str, place: int) -> str:
    """Code of a line's wire from a place of a switch: 0 is the set's own, from 1 on what else can be chosen.

    Raises IndexError beyond the tenth.
    """
    ring = NATIVE_RING if place == 0 else [code for code in RINGS if code != colour][place - 1]
    return f"{colour}+{ring}"


def parts_of(code: str) -> tuple[str, ...]:
    """Codes of one wire: its own colour, then its ring; nothing for a code that is not the standard's."""
    codes = tuple(code.split("+"))
    return codes if all(part in COLOURS for part in codes) else ()


def named(code: str) -> str:
    """Colours in words: "white", "white and pink"; "" for a code that is not the standard's."""
    return " and ".join(COLOURS[part] for part in parts_of(code))
