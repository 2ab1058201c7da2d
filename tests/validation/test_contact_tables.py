"""Contact tables against a second, independent statement of each.

Stated by signal and not by contact, typed separately from public lists that agree: connector encyclopaedias
and the returns of EN 50049-1:1989 (European), a page that compares both wirings (Japanese), hardware
handbooks (DE-15).
"""

from __future__ import annotations

import pytest

from rasterport.standards.sockets import WIRINGS

STATED = {
    "european-21": {
        "audio-left": {6}, "audio-right": {2}, "red": {15}, "green": {11}, "blue": {7}, "sync": {20},
        "status-8": {8}, "status-16": {16}, "ground": {4, 5, 9, 13, 14, 17, 18}, "shell": {21},
        "unused": {1, 3, 10, 12, 19},
    },
    "japanese-21": {
        "audio-left": {1}, "audio-right": {5}, "red": {15}, "green": {19}, "blue": {20}, "sync": {9},
        "status-11": {11}, "status-16": {16}, "ground": {3, 4, 7, 8, 13, 14, 17, 18}, "shell": {21},
        "unused": {2, 6, 10, 12},
    },
    "de-15": {
        "red": {1}, "green": {2}, "blue": {3}, "hsync": {13}, "vsync": {14}, "ground": {5, 6, 7, 8, 10},
        "unused": {4, 9, 11, 12, 15}, "shell": {0},
    },
}  # fmt: skip


@pytest.mark.parametrize("key", STATED)
def test_a_second_statement_agrees(key: str) -> None:
    wiring = WIRINGS[key]
    ours = {f: {int(c.number) for c in wiring.with_function(f)} for f in wiring.functions}
    assert ours == STATED[key]


def test_where_the_two_21_contact_wirings_meet() -> None:
    """The comparing page: 15 and 16 coincide; the Japanese 5 and 9 are signals where the European has returns."""
    european = {c.number: c.function for c in WIRINGS["european-21"].contacts}
    japanese = {c.number: c.function for c in WIRINGS["japanese-21"].contacts}
    assert {n for n in european if european[n] == japanese[n] and european[n] not in ("ground", "unused", "shell")} == {
        "15", "16",
    }  # fmt: skip
    assert (european["5"], japanese["5"]) == ("ground", "audio-right")
    assert (european["9"], japanese["9"]) == ("ground", "sync")
    assert (european["20"], japanese["20"]) == ("sync", "blue")
    assert (european["11"], japanese["11"]) == ("green", "status-11")
