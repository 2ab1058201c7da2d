"""Reference letters: IEEE 315 clause 22.4, now ASME Y14.44-2008.

Where common practice and the standard differ, the standard's letter is used: S and not SW, E and not
FB, J and not JP.  Mounting holes are H, as layout programs have it (common practice, no source).
"""

from __future__ import annotations

LETTERS: dict[str, str] = {
    "resistor": "R",
    "capacitor": "C",
    "diode": "D",
    "transistor": "Q",
    "integrated circuit": "U",
    "relay": "K",
    "connector, fixed": "J",
    "connector, movable": "P",
    "switch": "S",
    "test point": "TP",
    "fuse, fusible resistor or resettable fuse": "F",
    "thermistor": "RT",
    "inductor": "L",
    "miscellaneous electrical part": "E",
    "wire": "W",
    "mounting hole": "H",
}
"""What a part is -> its letter.

A fusible resistor and a resettable fuse stand in for a fuse and take its letter, although their
material is that of a resistor or a thermistor (our choice).  A wire pad or ferrite bead is E.
"""

SOURCE = "IEEE 315 clause 22.4 (ASME Y14.44-2008)"
