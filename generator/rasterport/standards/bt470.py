"""Line timing and levels: ITU-R BT.470-5, systems M (525/60) and B, G (625/50), as transcribed publicly.

Cross-checked with a maker's timing table and a display tube data sheet.  SMPTE 170M gives 10.7 us of line
blanking where BT.470 has 10.9 us (from memory); the longer active line counts for droop.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LineStandard:
    """Timing [s, Hz] and levels above black [V] of one scanning standard.

    `active_line_s` is the longest part of the line with picture, `back_porch_s` from the end of sync to it.
    """

    name: str
    lines: int
    line_period_s: float
    line_rate_hz: float
    field_rate_hz: float
    active_line_s: float
    line_blanking_s: float
    front_porch_s: float
    sync_width_s: float
    back_porch_s: float
    field_blanking_lines: int
    field_sync_lines: float
    white_v: float
    sync_v: float
    bandwidth_hz: float
    source: str
    confidence: str


LINE_525 = LineStandard(
    name="525/60",
    lines=525,
    line_period_s=63.5555e-6,
    line_rate_hz=15734.264,
    field_rate_hz=59.94,
    active_line_s=52.66e-6,
    line_blanking_s=10.9e-6,
    front_porch_s=1.5e-6,
    sync_width_s=4.7e-6,
    back_porch_s=4.7e-6,
    field_blanking_lines=21,
    field_sync_lines=3.0,
    white_v=0.714,
    sync_v=0.286,
    bandwidth_hz=4.2e6,
    source="ITU-R BT.470-5, tables 1 to 3, system M",
    confidence="two or more texts; line blanking differs by 0.2 us from SMPTE 170M",
)

LINE_625 = LineStandard(
    name="625/50",
    lines=625,
    line_period_s=64.0e-6,
    line_rate_hz=15625.0,
    field_rate_hz=50.0,
    active_line_s=52.0e-6,
    line_blanking_s=12.0e-6,
    front_porch_s=1.5e-6,
    sync_width_s=4.7e-6,
    back_porch_s=5.8e-6,
    field_blanking_lines=25,
    field_sync_lines=2.5,
    white_v=0.700,
    sync_v=0.300,
    bandwidth_hz=5.0e6,
    source="ITU-R BT.470-5, tables 1 to 3, systems B and G",
    confidence="two or more texts",
)

LINE_STANDARDS: dict[str, LineStandard] = {s.name: s for s in (LINE_525, LINE_625)}

WHITE_V = 0.7
"""White that a socket delivers into 75 ohm under either standard [V]; 0.714 V is 0.18 dB more."""

SYNC_V = 0.3
"""Sync that a socket delivers into 75 ohm [V]."""

LONGEST_ACTIVE_LINE_S = max(s.active_line_s for s in LINE_STANDARDS.values())
LONGEST_FIELD_S = max(1.0 / s.field_rate_hz for s in LINE_STANDARDS.values())
"""Worst cases over both standards [s], for droop and tilt."""
