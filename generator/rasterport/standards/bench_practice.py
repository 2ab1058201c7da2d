"""What a meter and an eye are told at the bench: bounds of the trade, as data.

Two terminations in parallel: 37.5 ohm behind 75 ohm in place of 75 ohm is 20 log10(2/3); none at all is 20 log10(2).
Both follow from the termination of 75 ohm alone (transmission-line handbooks).
"""

from __future__ import annotations

PRACTICE = "common practice, no source"

JOINED_OHM = 1.0
"""Two points that a wire joins read below this, the meter's own leads taken off [ohm].  Judgement, stated."""

DOUBLED_DB = 3.5
"""What a second termination of 75 ohm costs [dB]."""

UNTERMINATED_DB = 6.0
"""What a missing termination adds [dB]."""


def sag_s(coupling_f: float) -> float:
    """Time constant [s] of white into 75 ohm that stand behind a coupling capacitor [F].

    Source and first termination are 75 ohm in parallel, the second is in series with them and the capacitor: white
    begins DOUBLED_DB low and sinks by this.  100 nF give 11 us, a corner of 14 kHz.
    """
    return coupling_f * (75.0 / 2 + 75.0)


COLD_LEAKAGE_OHM = ((1.0e6, 5.2e6), (4.0e6, 20.0e6))
"""Mains plug to exposed metal, plug pulled: what two set makers' service manuals ask [ohm].  It differs by model."""

LEAKAGE_OHM, LEAKAGE_W, LEAKAGE_F, LEAKAGE_V = 1500.0, 10.0, 0.15e-6, 0.75
"""Hot leakage test of set makers' service manuals, on the mains itself: resistor [ohm] and its rating [W], the
capacitor beside it [F], and the most that a voltmeter may read across them [V r.m.s.]: 0.5 mA."""

RESERVOIR_V, BLEEDER_W = 600.0, 5.0
"""Mains capacitor: range of the meter, at least [V], for 230 V rectified to 325 V or doubled; rating of the resistor
that takes its charge, at least [W].  Judgement, stated."""

METER_OHM = 10.0e6
"""What a digital multimeter loads a voltage with [ohm]; common practice, no source."""
