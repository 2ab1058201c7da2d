"""Our own footprints: pads equal pins, nothing overlaps, and the courtyard holds everything."""

from __future__ import annotations

import itertools
import math

import pytest

from rasterport.parts import all_rows
from rasterport.parts.footprints import FOOTPRINTS, Footprint, Pad

COPPER_GAP_MM = 0.2
RING_MM = 0.25
COURTYARD_MM = 0.25


def gap(one: Pad, two: Pad, hole: bool = False) -> float:
    """Least distance of two pads, or of their holes, each taken as a rounded stroke or a rectangle."""
    dx, dy = abs(one.x - two.x), abs(one.y - two.y)
    reach = []
    for pad in (one, two):
        width, height = (pad.drill_x, pad.drill_y) if hole else (pad.size_x, pad.size_y)
        radius = 0.0 if pad.shape == "rect" and not hole else min(width, height) / 2
        reach.append((width / 2 - radius, height / 2 - radius, radius))
    (w1, h1, r1), (w2, h2, r2) = reach
    return math.hypot(max(0.0, dx - w1 - w2), max(0.0, dy - h1 - h2)) - r1 - r2


@pytest.fixture(params=FOOTPRINTS.values(), ids=lambda footprint: footprint.name)
def footprint(request: pytest.FixtureRequest) -> Footprint:
    return request.param


def test_pads_equal_pins(footprint: Footprint) -> None:
    users = [part for part in all_rows() if part.footprint == footprint.library_name]
    assert users
    for part in users:
        assert {pad.number for pad in footprint.pads if pad.number} == {pin.number for pin in part.pins}


def test_every_own_footprint_that_a_part_names_exists() -> None:
    named = {part.footprint for part in all_rows() if part.footprint.startswith("rasterport:")}
    assert named == {footprint.library_name for footprint in FOOTPRINTS.values()}


def test_pads_and_holes_keep_apart(footprint: Footprint) -> None:
    for one, two in itertools.combinations(footprint.pads, 2):
        assert gap(one, two) >= COPPER_GAP_MM, (one.number, two.number)
        assert gap(one, two, hole=True) >= COPPER_GAP_MM, (one.number, two.number)


def test_plated_holes_leave_a_ring_and_bare_ones_none(footprint: Footprint) -> None:
    for pad in footprint.pads:
        ring = min(pad.size_x - pad.drill_x, pad.size_y - pad.drill_y) / 2
        assert ring == 0.0 if pad.kind == "np_thru_hole" else ring >= RING_MM, pad.number
        assert bool(pad.number) == (pad.kind == "thru_hole")


def test_the_courtyard_holds_pads_and_body(footprint: Footprint) -> None:
    yard = footprint.courtyard
    for pad in footprint.pads:
        assert yard.x1 + COURTYARD_MM <= pad.x - pad.size_x / 2 <= pad.x + pad.size_x / 2 <= yard.x2 - COURTYARD_MM
        assert yard.y1 + COURTYARD_MM <= pad.y - pad.size_y / 2 <= pad.y + pad.size_y / 2 <= yard.y2 - COURTYARD_MM
    for line in footprint.lines:
        assert yard.x1 < min(line.x1, line.x2) <= max(line.x1, line.x2) < yard.x2
        assert yard.y1 < min(line.y1, line.y2) <= max(line.y1, line.y2) < yard.y2


def test_the_printed_outline_stays_off_the_pads_and_on_the_board(footprint: Footprint) -> None:
    for line in (stroke for stroke in footprint.lines if stroke.layer == "F.SilkS"):
        as_pad = Pad(
            "", (line.x1 + line.x2) / 2, (line.y1 + line.y2) / 2,
            abs(line.x2 - line.x1) + 0.12, abs(line.y2 - line.y1) + 0.12, 0.0, 0.0, "rect",
        )  # fmt: skip
        assert all(gap(as_pad, pad) >= 0.1 for pad in footprint.pads)
        assert max(line.y1, line.y2) < footprint.edge_y


def test_the_mark_stands_beside_pin_1(footprint: Footprint) -> None:
    tip_x, tip_y = footprint.pin1_mark[0]
    nearest = min(footprint.pads, key=lambda pad: math.hypot(pad.x - tip_x, pad.y - tip_y))
    assert nearest.number == "1"
    assert nearest.shape == "rect"
    for x, y in footprint.pin1_mark:
        as_pad = Pad("", x, y, 0.0, 0.0, 0.0, 0.0, "rect")
        assert all(gap(as_pad, pad) >= 0.1 for pad in footprint.pads)


def test_the_mouth_reaches_over_the_edge(footprint: Footprint) -> None:
    assert max(max(line.y1, line.y2) for line in footprint.lines) > footprint.edge_y
    assert all(pad.y < footprint.edge_y for pad in footprint.pads)
