"""Colour codes: IEC 60757:1983, and which line of the harness has which colour.

The assignment is ours: the colour lines take their own colours, ground takes black, no two lines share
one.  Green with yellow (GNYE) is kept for protective earth and never used here.
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
    "native": "PK",
    "gate": "TQ",
}
"""Line of the board -> colour code.  `native` is the set's own feed that comes back through the board."""
