"""Relays, switches, headers, sockets and wire."""

from __future__ import annotations

import pytest

from rasterport.parts import RELAY_COILS, header, hookup_wire, panel_switch, relay, socket
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
