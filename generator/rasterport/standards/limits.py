"""Limits that findings are held against.

Published requirements are few for a home connection: studio gear asks for 34 dB of return loss to 5 MHz
and one receiver maker for 20 dB; a few metres of ordinary 75 ohm cable have about 30 dB.  The rest are ours and
marked "judgement, stated".  A `warning` or `error` of None means that the severity does not occur.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sense = Literal["least", "most"]
OURS = "judgement, stated"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit in `unit`.  With sense "least" a value below is a finding, with "most" a value above."""

    key: str
    sense: Sense
    warning: float | None
    error: float | None
    unit: str
    source: str
    confidence: str

    def severity(self, value: float) -> Literal["error", "warning"] | None:
        """What `value` amounts to, the limit itself being allowed; a relative slack of 1e-9 favours it."""
        for bound, name in ((self.error, "error"), (self.warning, "warning")):
            if bound is not None and self._beyond(value, bound):
                return "error" if name == "error" else "warning"
        return None

    def _beyond(self, value: float, bound: float) -> bool:
        slack = abs(bound) * 1e-9
        return value < bound - slack if self.sense == "least" else value > bound + slack


ROWS = """
    return_loss_db           least  26      20     dB    judgement; 34 dB studio, 20 dB one receiver maker
    level_error_db           most   0.5     1.5    dB    judgement; shared insertion against its own bound
    white_mismatch_pct       most   1.5     4      %     judgement; greatest ratio of two colours
    trim_room_pct            least  1       0      %     judgement; below 0 no setting makes the colours alike
    line_droop_pct           most   0.5     2      %     judgement; of white over the longest active line
    black_lag_pct            most   2       5      %     judgement; of white, while the picture changes
    key_margin_s             least  0       -      s     judgement; a longer key takes the left edge
    crosstalk_1mhz_db        most   -40     -      dB    judgement
    crosstalk_5mhz_db        most   -30     -      dB    judgement
    clamp_settling_s         most   0.2     -      s     judgement
    bandwidth_hz             least  5.5e6   4.2e6  Hz    BT.470: 5.5 MHz widest luminance kept, 4.2 MHz of system M
    contrast_make_up_db      most   1.5     3.1    dB    judgement; 3.1 dB is what a 1 V pin lacks
    field_tilt_pct           most   25      50     %     judgement; of an AC-coupled 75 ohm load
    audio_corner_hz          most   20      40     Hz    EN 50049-1 band from 20 Hz; error by judgement
    audio_loss_db            most   1       3      dB    judgement
    audio_load_ohm           least  10e3    5e3    ohm   EN 50049-1; error by judgement
    status_capacitance_f     most   1.5e-9  2e-9   F     EN 50049-1, from memory
    relay_margin_pct         least  5       0      %     judgement; pull-in over the hot corner
    rail_off_pin_current_a   most   5e-3    10e-3  A     half of 10 mA, the usual safe limit of a pin diode, from memory
    pin_drive_a              most   1e-3    10e-3   A     10 mA, usual safe limit of a pin diode, from memory; a tenth
    rail_off_surge_a         most   50e-3   100e-3  A     JEDEC JESD78, latch-up trigger 100 mA, from memory; half
    rail_off_voltage_v       most   0.5     1      V     judgement; below one junction, no chip begins to work
    native_change_db         most   0.1     0.5    dB    judgement; half a decibel is a step that the eye sees
    switching_time_s         most   0.5     -       s     judgement; longer looks like a fault
    native_end_ohm           most   100     1000    ohm   judgement; a landing's end that is open hears its neighbours
    switch_bias_share        most   0.05    0.2     1     judgement; of half of the supply; two resistors of 1 %: 0.01
    switch_room_v            least  0.2     0       V     judgement; beyond its supply a switch conducts elsewhere
    part_power_fraction      most   0.7     1      1     judgement; of the rating at 70 C
    part_voltage_fraction    most   0.8     1      1     judgement; of the rating, electrolytic
    supply_current_fraction  most   0.8     1      1     judgement; of the spare current of the rail
    junction_c               most   110     125    C     maker's 125 C; warning by judgement
    menu_error_db            most   1.5     3      dB    judgement; half of it is the rail and the output of the display
    menu_mismatch_pct        most   8       -      %     judgement; text and bars, where a tint shows less
    menu_change_db           most   1       3      dB    judgement; menus when the source is unplugged
    foreign_1mhz_db          most   -40     -34    dB    judgement; error: 2 % of a picture that is not chosen
    foreign_5mhz_db          most   -34     -26    dB    judgement; small detail of a picture that is not chosen
"""


def _row(line: str) -> Limit:
    key, sense, warning, error, unit, source = line.split(maxsplit=5)
    ours = source.startswith("judgement")
    rests_on = OURS if "judgement" in source else "from memory" if "memory" in source else "published bound"
    return Limit(
        key=key,
        sense="least" if sense == "least" else "most",
        warning=None if warning == "-" else float(warning),
        error=None if error == "-" else float(error),
        unit=unit,
        source=OURS + source.removeprefix("judgement") if ours else source,
        confidence=rests_on,
    )


LIMITS: dict[str, Limit] = {limit.key: limit for limit in map(_row, ROWS.strip().splitlines())}
"""Every limit by its key."""

RETURN_LOSS_TO_HZ = 5.5e6
"""Return loss is judged up to here [Hz]."""

CROSSTALK_AT_HZ: tuple[float, float] = (1.0e6, 5.0e6)

SET_SPREAD = 0.20
"""How far a set-side resistance that somebody measured or looked up may be off; judgement, stated."""

FITTED_SPREAD = 0.05
"""A resistor that stands in the set; common practice, no source."""

RESISTOR_SPREAD = 0.0145
"""A resistor of 1 % and 100 ppm/K over the 45 K from 25 to 70 C [-]."""

AMBIENT_LOW_C, AMBIENT_HIGH_C = 0.0, 70.0
"""Inside a set's cabinet [C]; judgement, stated."""
