"""Separate jacks: four BNC for RGB and composite sync, or phono jacks for video and audio.

Which jack carries which signal is common practice, no source; projector manuals list the four-BNC
arrangement.  On every jack contact 1 is the centre and contact 2 the outer shell.
"""

from __future__ import annotations

from rasterport.standards.contacts import Contact, SocketWiring, read_table

VIDEO_TABLES: tuple[tuple[str, str], ...] = (
    ("red", """
        1  red          red     0.7 Vpp into 75 ohm
        2  red-shell    ground  -
    """),
    ("green", """
        1  green        green   0.7 Vpp into 75 ohm
        2  green-shell  ground  -
    """),
    ("blue", """
        1  blue         blue    0.7 Vpp into 75 ohm
        2  blue-shell   ground  -
    """),
    ("sync", """
        1  sync         sync    composite sync or video, 75 ohm
        2  sync-shell   ground  -
    """),
)  # fmt: skip

AUDIO_TABLES: tuple[tuple[str, str], ...] = (
    ("audio-left", """
        1  audio-left         audio-left   line level, left or mono
        2  audio-left-shell   ground       -
    """),
    ("audio-right", """
        1  audio-right        audio-right  line level
        2  audio-right-shell  ground       -
    """),
)  # fmt: skip


def _jacks(tables: tuple[tuple[str, str], ...]) -> tuple[Contact, ...]:
    return tuple(contact for jack, table in tables for contact in read_table(table, jack))


BNC = SocketWiring(
    key="bnc-4",
    title="Four BNC jacks: red, green, blue, sync",
    document="projector manuals (IEC 61169-8 interface)",
    contacts=_jacks(VIDEO_TABLES),
    confidence="two manuals and memory",
    caution="Many sources with separate jacks run at 31 kHz or more: check for 15 kHz before plugging in.",
    jack_of="bnc",
)

PHONO = SocketWiring(
    key="phono-4",
    title="Four phono jacks for red, green, blue and sync, two for audio",
    document="common practice, no source",
    contacts=_jacks(VIDEO_TABLES + AUDIO_TABLES),
    confidence="from memory",
    caution=(
        "Three jacks in red, green and blue often carry component video (YPbPr), which is not RGB; "
        "only an RGB source belongs here."
    ),
    jack_of="phono",
)
