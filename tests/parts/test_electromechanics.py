"""Relays, switches, headers, sockets and wire."""

from __future__ import annotations

import pytest

import kicad_data
from rasterport.parts import RELAY_COILS, centre_switch, header, hookup_wire, panel_switch, relay, socket
from rasterport.parts.common import SCHEME
from rasterport.parts.selectors import DECK_POLES, DECK_POSITIONS, deck_switch, decks_of
from rasterport.records import CataloguePart
from rasterport.standards.sockets import WIRINGS


def test_relay_coils_rise_and_others_are_refused() -> None:
    assert list(RELAY_COILS) == sorted(RELAY_COILS)
    assert relay(4.5, "smd").part_number == "EC2-4.5NU"
    assert relay(12.0, "through-hole").symbol == "Relay:EC2-12NU"
    with pytest.raises(ValueError, match=r"3, 4\.5, 5, 12 V"):
        relay(9.0, "smd")


def test_a_relay_operates_between_release_and_its_most() -> None:
    for coil_v in RELAY_COILS:
        r = relay(coil_v, "smd").ratings
        assert r["release_v"] < r["operate_v"] < r["coil_v"] < r["coil_max_v"]


@pytest.mark.parametrize("poles", [1, 2, 3, 4])
def test_a_switch_has_three_lugs_a_pole_with_the_common_one_between(poles: int) -> None:
    part = panel_switch(poles)
    number = {pin.name: int(pin.number) for pin in part.pins}
    assert sorted(number.values()) == list(range(1, 3 * poles + 1))
    for pole in range(1, poles + 1):
        assert (number[f"a-{pole}"], number[f"common-{pole}"], number[f"b-{pole}"]) == (
            3 * pole - 2, 3 * pole - 1, 3 * pole,
        )  # fmt: skip
    assert part.footprint == ""


@pytest.mark.parametrize("poles", [0, 5])
def test_other_switches_are_refused(poles: int) -> None:
    with pytest.raises(ValueError, match="1 to 4 poles"):
        panel_switch(poles)


@pytest.mark.parametrize("poles", [1, 2])
def test_a_switch_with_a_centre_position_has_the_lugs_of_one_without(poles: int) -> None:
    part, plain = centre_switch(poles), panel_switch(poles)
    assert part.pins == plain.pins
    assert part.part_number == f"7{poles}03SYZBE" == plain.part_number.replace("01", "03")
    assert part.ratings == {**plain.ratings, "positions": 3.0}
    assert "positions" not in plain.ratings


@pytest.mark.parametrize("poles", [0, 3])
def test_other_switches_with_a_centre_position_are_refused(poles: int) -> None:
    with pytest.raises(ValueError, match=f"1 or 2 poles, found {poles}"):
        centre_switch(poles)


@pytest.mark.kicad
@pytest.mark.usefixtures("kicad")
@pytest.mark.parametrize("part", [centre_switch(1), centre_switch(2)], ids=lambda part: part.key)
def test_the_common_lug_of_a_toggle_is_drawn_alone_on_its_side(part: CataloguePart) -> None:
    """Names do not tell where a symbol has none; a, common, b are drawn from the top down."""
    drawn = {pin.number: pin for pin in kicad_data.symbol_pins(part.symbol)}
    number = {pin.name: pin.number for pin in part.pins}
    for pole in range(1, int(part.ratings["poles"]) + 1):
        a, common, b = (drawn[number[f"{name}-{pole}"]] for name in ("a", "common", "b"))
        assert common.x < a.x == b.x
        assert a.y > common.y > b.y
        assert a.unit == common.unit == b.unit


@pytest.mark.parametrize(
    ("poles", "positions", "decks", "each"),
    [
        (5, 3, 2, 3),
        (7, 3, 2, 4),
        (8, 3, 2, 4),
        (9, 3, 3, 3),
        (12, 3, 3, 4),
        (5, 4, 2, 3),
        (6, 4, 2, 3),
        (7, 4, 3, 3),
        (12, 4, 4, 3),
        (5, 5, 3, 2),
        (11, 5, 6, 2),
        (12, 5, 6, 2),
    ],
)
def test_poles_are_shared_out_among_decks(poles: int, positions: int, decks: int, each: int) -> None:
    """By hand: 12 lugs a deck hold four poles of 3, three of 4, two of 5."""
    assert decks_of(poles, positions) == (decks, each)


@pytest.mark.parametrize("positions", DECK_POSITIONS)
@pytest.mark.parametrize("poles", DECK_POLES)
def test_a_deck_switch_has_its_lugs_where_its_decks_have_room(poles: int, positions: int) -> None:
    decks, each = decks_of(poles, positions)
    assert each * positions <= 12
    assert decks * each <= 12
    assert (decks - 1) * each < poles <= decks * each
    part = deck_switch(poles, positions)
    assert len(part.pins) == poles * (positions + 1)
    number = {pin.name: pin.number for pin in part.pins}
    assert {name.split("-")[1] for name in number} == {str(pole) for pole in range(1, poles + 1)}
    lugs: dict[str, list[int]] = {}
    for pole in range(1, poles + 1):
        common = number[f"common-{pole}"]
        throws = [number[f"{k}-{pole}"] for k in range(1, positions + 1)]
        first = int(throws[0][1:])
        assert throws == [f"{common[0]}{first + k}" for k in range(positions)]
        assert first == (int(common.removeprefix(common[0] + "C")) - 1) * (12 // each) + 1
        lugs.setdefault(common[0], []).extend(range(first, first + positions))
    assert list(lugs) == list("ABCDEF"[:decks])
    for used in lugs.values():
        assert len(set(used)) == len(used)
        assert max(used) <= 12
    assert part.ratings["poles"] == poles
    assert part.ratings["positions"] == positions
    assert part.footprint == part.symbol == ""


def test_a_deck_switch_is_ordered_by_the_makers_scheme() -> None:
    """As the maker prints 71BSF30-01-2-06N: style, angle, decks, poles a deck, positions, N for non-shorting."""
    part = deck_switch(7, 4)
    assert part.part_number == part.name == "71B30-03-3-04N"
    assert part.number_rests_on == SCHEME
    assert [pin.number for pin in part.pins if pin.name in ("1-4", "4-4", "common-4", "4-6", "common-7")] == [
        "B1", "B4", "B12", "BC1", "CC1",
    ]  # fmt: skip


@pytest.mark.parametrize(("poles", "positions"), [(4, 3), (13, 3), (5, 2), (5, 6)])
def test_deck_switches_that_are_not_sold(poles: int, positions: int) -> None:
    match = f"5 to 12 poles of 3 to 5 positions, found {poles} of {positions}"
    with pytest.raises(ValueError, match=match):
        decks_of(poles, positions)
    with pytest.raises(ValueError, match=match):
        deck_switch(poles, positions)


def test_headers() -> None:
    assert header(8).part_number == "61300811121"
    assert len(header(40).pins) == 40
    for pins in (0, 41):
        with pytest.raises(ValueError, match="1 to 40 pins"):
            header(pins)


@pytest.mark.parametrize("key", WIRINGS)
def test_a_socket_has_the_pins_of_one_shell_or_one_jack(key: str) -> None:
    wiring = WIRINGS[key]
    for mounting in ("board", "panel"):
        part = socket(key, mounting)
        assert bool(part.footprint) == (mounting == "board")
        for jack in wiring.jacks:
            assert {pin.number for pin in part.pins} == {c.number for c in wiring.of_jack(jack)}
    assert "panel_hole_mm" in socket(key, "panel").ratings or "panel_width_mm" in socket(key, "panel").ratings


def test_unknown_sockets_and_colours_are_refused() -> None:
    with pytest.raises(KeyError):
        socket("european-20", "board")
    with pytest.raises(KeyError):
        hookup_wire("XX")
