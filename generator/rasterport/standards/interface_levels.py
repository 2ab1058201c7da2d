"""Levels at the sockets: EN 50049-1 as a set maker's user manual gives them, TTL as its makers do.

Tolerance of RGB and composite video: that manual has +-3 dB, another public page +-2 dB.  The wider
one counts here; it belongs to the source and is reported apart from what the board adds.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Level:
    """One level with its span; `unit` says what is counted."""

    key: str
    nominal: float
    low: float
    high: float
    unit: str
    source: str
    confidence: str


EN = "EN 50049-1 as given in a set maker's user manual"

RGB = Level("rgb", 0.7, 0.496, 0.989, "Vpp", EN, "one text: +-3 dB; another has +-2 dB (0.56 to 0.88)")
COMPOSITE = Level("composite", 1.0, 0.708, 1.413, "Vpp", EN, "one text: +-3 dB; another has +-2 dB (0.79 to 1.26)")
SYNC = Level("sync", 0.3, 0.21, 0.95, "Vpp", EN, "one text: -3 and +10 dB")
SUPERIMPOSED_DC = Level("superimposed-dc", 0.0, 0.0, 2.0, "V", "EN 50049-1", "from memory")
AUDIO_EUROPEAN = Level("audio-european", 0.5, 0.2, 2.0, "V r.m.s.", EN, "nominal in five texts; span from memory")
AUDIO_JAPANESE = Level(
    "audio-japanese", 0.4, 0.2, 2.0, "V r.m.s.", "EIAJ TTC-0003", "nominal in one text; span assumed"
)
BURST = Level("burst", 0.3, 0.286, 0.3, "Vpp", "ITU-R BT.470-5", "two texts")

LEVELS: dict[str, Level] = {
    level.key: level for level in (RGB, COMPOSITE, SYNC, SUPERIMPOSED_DC, AUDIO_EUROPEAN, AUDIO_JAPANESE, BURST)
}

SYNC_WINDOW_V: tuple[float, float] = (SYNC.low, SYNC.high)
"""What a landing for sync takes into 75 ohm [V]."""

VIDEO_IMPEDANCE_OHM = 75.0
SOURCE_TOLERANCE_DB = 3.0
"""The source's own span around nominal; +-2 dB in one text."""

AUDIO_SOURCE_MOST_OHM = 1.0e3
AUDIO_LOAD_LEAST_OHM = 10.0e3
"""20 Hz to 20 kHz, EN 50049-1; more than five texts.  Japanese wiring: load at least 47k."""
AUDIO_LOAD_LEAST_JAPANESE_OHM = 47.0e3


@dataclass(frozen=True, slots=True)
class LogicLevels:
    """Levels of a logic family [V]: what an input reads and an output promises."""

    input_low_most_v: float
    input_high_least_v: float
    output_low_most_v: float
    output_high_least_v: float
    output_high_most_v: float
    source: str
    confidence: str


TTL = LogicLevels(
    input_low_most_v=0.8,
    input_high_least_v=2.0,
    output_low_most_v=0.4,
    output_high_least_v=2.4,
    output_high_most_v=5.25,
    source="TTL makers' data books; M52758 monitor amplifier for 2.0 V",
    confidence="from memory, one threshold seen",
)
