"""Our hole patterns against other patterns of the same sockets."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

import kicad_data
from rasterport.parts.footprints import SOCKET_21, SOCKET_DE15

# A public vertical footprint of the 21-contact socket (CERN OHL v1.2), y down: odd contacts at y +2.54 from
# x +19.05 in steps of -3.81, even ones at y -2.54 from +17.135; its even row is drawn 0.01 mm off.
VERTICAL = {
    **{str(n): (19.05 - (n - 1) / 2 * 3.81, 2.54) for n in range(1, 22, 2)},
    **{str(n): (17.135 - (n - 2) / 2 * 3.81, -2.54) for n in range(2, 21, 2)},
}

DE15_IN_KICAD = (
    "Connector_Dsub:DSUB-15-HD_Female_Horizontal_P2.29x1.98mm_EdgePinOffset8.35mm_Housed_MountingHolesOffset10.89mm"
)


def test_21_contacts_stand_as_in_an_unrelated_footprint() -> None:
    ours = {pad.number: pad for pad in SOCKET_21.pads if pad.number}
    assert set(ours) == set(VERTICAL)
    for number, (x, _) in VERTICAL.items():
        assert ours[number].x == pytest.approx(x, abs=0.011), number
    rows = {abs(ours[n].y - ours["1"].y) for n in VERTICAL}
    assert rows == {0.0, 5.08}
    assert {n for n in ours if ours[n].y == ours["1"].y} == {n for n, (_, y) in VERTICAL.items() if y == 2.54}


@pytest.mark.kicad
def test_de15_stands_as_in_the_library(kicad: Path) -> None:
    if not kicad_data.footprint_exists(DE15_IN_KICAD):
        reason = f"this version of KiCad's library has no {DE15_IN_KICAD}: no second opinion on the DE-15 pattern"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    theirs = sorted((p.number, p.x, p.y, p.size_x, p.drill) for p in kicad_data.footprint_pads(DE15_IN_KICAD))
    ours = sorted((p.number, p.x, p.y, p.size_x, p.drill_x) for p in SOCKET_DE15.pads)
    assert len(ours) == len(theirs) == 17
    for our, their in zip(ours, theirs, strict=True):
        assert our[0] == their[0]
        assert our[1:] == pytest.approx(their[1:], abs=1e-6)
