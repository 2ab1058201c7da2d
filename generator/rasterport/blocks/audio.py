"""Audio of one input: series resistor, pad where needed, coupling capacitor, bleed.

    IN1_AUDIO_LEFT o--[series]--+--||--+--o IN1_LEFT
                             [shunt]  [bleed]

A mono sum has one series resistor a channel into one node.
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board
from rasterport.design.audio import AudioLine
from rasterport.parts.capacitors import Kind
from rasterport.records import Sized

REFERENCES = {
    "audio-left/series": "R40",
    "audio-right/series": "R41",
    "audio-left/shunt": "R42",
    "audio-right/shunt": "R43",
    "audio-left/bleed": "R44",
    "audio-right/bleed": "R45",
    "audio-left/coupling": "C10",
    "audio-right/coupling": "C11",
    "audio-left/sum": "R46",
}

BLEED = Sized(100e3, "ohm", "holds the capacitor's far end at ground, so that switching does not thump")
MIDDLE = Sized(100e3, "ohm", "holds the channel of the switch at the middle of its supply")
RATED_V = 16.0


def channel(
    board: Board, index: int, side: str, source_nets: tuple[str, ...], feed: str, sized: AudioLine, rest: str = GROUND
) -> None:
    """Place one channel from one source, or the sum of two, to `feed`, which rests at the voltage of net `rest`."""
    role = f"input-{index}/audio-{side}"
    node = f"IN{index}_AUDIO_{side.upper()}_PAD"
    resistor = parts.resistor(sized.series.value, board.construction)
    for suffix, net in zip(("series", "sum"), source_nets, strict=False):
        board.two(f"{role}/{suffix}", resistor, net, node, REFERENCES, sized.series)
    if sized.shunt is not None:
        shunt = parts.resistor(sized.shunt.value, board.construction)
        board.two(f"{role}/shunt", shunt, node, GROUND, REFERENCES, sized.shunt)
    kind: Kind = "ceramic" if sized.coupling.value <= 10e-6 else "bipolar"
    part = parts.capacitor(sized.coupling.value, board.construction, RATED_V, kind)
    board.two(f"{role}/coupling", part, node, feed, REFERENCES, sized.coupling)
    bleed = BLEED if rest == GROUND else MIDDLE
    board.two(f"{role}/bleed", parts.resistor(bleed.value, board.construction), feed, rest, REFERENCES, bleed)
