"""Socket wirings: that each table is complete and that a wrong line is refused."""

from __future__ import annotations

import pytest

from rasterport.standards.contacts import read_table
from rasterport.standards.sockets import WIRINGS

NUMBERS = {
    "european-21": {str(n) for n in range(1, 22)},
    "japanese-21": {str(n) for n in range(1, 22)},
    "de-15": {str(n) for n in range(16)},
}


@pytest.mark.parametrize("key", WIRINGS)
def test_every_contact_stands_once(key: str) -> None:
    wiring = WIRINGS[key]
    assert wiring.key == key
    for jack in wiring.jacks:
        numbers = [c.number for c in wiring.of_jack(jack)]
        assert len(set(numbers)) == len(numbers)
        assert set(numbers) == NUMBERS.get(key, {"1", "2"})
    assert len({c.name for c in wiring.contacts}) == len(wiring.contacts)


@pytest.mark.parametrize("key", WIRINGS)
def test_a_signal_has_one_contact_and_ground_has_some(key: str) -> None:
    wiring = WIRINGS[key]
    for function in wiring.functions:
        if function not in ("ground", "unused"):
            assert len(wiring.with_function(function)) == 1, function
    assert {"red", "green", "blue", "ground"} <= set(wiring.functions)
    assert {"sync", "hsync"} & set(wiring.functions)
    assert wiring.caution


def test_separate_jacks_keep_their_names() -> None:
    assert WIRINGS["bnc-4"].jacks == ("red", "green", "blue", "sync")
    assert WIRINGS["phono-4"].jacks == ("red", "green", "blue", "sync", "audio-left", "audio-right")
    assert WIRINGS["european-21"].jacks == ("",)
    for key in ("bnc-4", "phono-4"):
        for jack in WIRINGS[key].jacks:
            centre, shell = WIRINGS[key].of_jack(jack)
            assert (centre.number, centre.function) == ("1", jack)
            assert (shell.number, shell.function) == ("2", "ground")
    with pytest.raises(KeyError):
        WIRINGS["bnc-4"].of_jack("audio-left")


@pytest.mark.parametrize(
    ("table", "match"),
    [
        ("1  red  red", "must hold number, name, function and note"),
        ("1  red  crimson  -", "must hold number, name, function and note"),
        ("1  red  red  -\n1  green  green  -", "must differ"),
        ("1  red  red  -\n2  red  green  -", "must differ"),
    ],
)
def test_a_wrong_table_is_refused(table: str, match: str) -> None:
    with pytest.raises(ValueError, match=match):
        read_table(table)
