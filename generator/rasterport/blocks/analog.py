"""Analog switches: the channels of every input, the common of each line on a middle voltage, and what makes that.

channel o----\\                 RAIL_SWITCHES --[upper]--+--[lower]-- GND
      common --+--o SELECTED_RED                       |
channel o--  [bias]                               47 uF, 100 nF
               |                                       |
             MIDDLE                         MIDDLE_VIDEO, MIDDLE_AUDIO
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.design.coupling import BIAS_OHM
from rasterport.parts.analog_switches import SwitchKind, analog_switch
from rasterport.parts.capacitors import Kind
from rasterport.parts.families import RAILS, Family
from rasterport.records import LINES, Sized

CHIPS: dict[SwitchKind, tuple[tuple[str, str], ...]] = {
    "4053": (("X", "A"), ("Y", "B"), ("Z", "C")),
    "4052": (("X", ""), ("Y", "")),
    "4051": (("X", ""),),
}
"""Sections of a package: the common terminal, and the select input where the section has its own."""
CHANNELS: dict[SwitchKind, int] = {"4053": 2, "4052": 4, "4051": 8}
FIRST = {"4053": 50, "4052": 60, "4051": 70}
"""What the numbers of a kind's packages follow."""

REFERENCES = {
    **{
        f"selector/{kind}-{n}{suffix}": f"{letter}{first + n}"
        for kind, first in FIRST.items()
        for n in range(1, 7)
        for suffix, letter in (("", "U"), ("-bypass", "C"))
    },
    **{f"selector/{line}-bias": f"R{60 + n}" for n, line in enumerate(LINES)},
    "selector/sync-coupling": "C40",
    "selector/left-coupling": "C41",
    "selector/right-coupling": "C42",
    "selector/left-bleed": "R66",
    "selector/right-bleed": "R67",
    "selector/sync-bleed": "R68",
    **{
        f"middle/{which}-{name}": f"{letter}{number + at}"
        for which, at in (("video", 0), ("audio", 2))
        for name, letter, number in (("upper", "R", 35), ("lower", "R", 36), ("bulk", "C", 90), ("bypass", "C", 91))
    },
}

BIAS = Sized(BIAS_OHM, "ohm", "holds the line at the middle of the supply; 2 uA of leakage move it by 0.2 V")
MIDDLE_OHM = 10e3
RATED_V = 16.0


def middle(board: Board, which: str, supply_net: str) -> str:
    """Place the divider that makes a middle voltage; returns its net."""
    net = f"MIDDLE_{which.upper()}"
    half = Sized(MIDDLE_OHM, "ohm", "half of the switches' supply: both polarities of a signal have room")
    resistor = parts.resistor(MIDDLE_OHM, board.construction)
    board.two(f"middle/{which}-upper", resistor, supply_net, net, REFERENCES, half)
    board.two(f"middle/{which}-lower", resistor, net, GROUND, REFERENCES, half)
    bulk = Sized(47e-6, "F", "a short to every signal, so that no input hears another through the middle")
    part = parts.capacitor(bulk.value, board.construction, RATED_V, "electrolytic")
    board.two(f"middle/{which}-bulk", part, net, GROUND, REFERENCES, bulk)
    bypass = Sized(100e-9, "F", "a short also where the bulk is none; common practice, no source")
    part = parts.capacitor(bypass.value, board.construction, 50.0, "ceramic")
    board.two(f"middle/{which}-bypass", part, net, GROUND, REFERENCES, bypass)
    return net


@dataclass(frozen=True, slots=True)
class Selecting:
    """What moves the switches: nets of the select inputs, least weight first, and of inhibit; channel of each input."""

    kind: SwitchKind
    selects: tuple[str, ...]
    inhibit: str
    channel_of: Mapping[int, int]


def kind_for(inputs: int) -> SwitchKind:
    """The switch for so many inputs."""
    return "4053" if inputs <= 2 else "4052" if inputs <= 4 else "4051"


def switches(
    board: Board,
    family: Family,
    supply_net: str,
    selecting: Selecting,
    channels: Mapping[str, Mapping[int, str]],
    middles: Mapping[str, str],
) -> dict[str, str]:
    """Place the packages and the bias of every common; returns line -> net of its common.

    `channels` are the nets of each line by input, `middles` the middle voltage of each line.  Channels and sections
    that nothing uses stand on a middle voltage.
    """
    kind, lines = selecting.kind, list(channels)
    sections = CHIPS[kind]
    part = analog_switch(kind, family, board.construction)
    supply, ground = RAILS[family]
    by_channel = {channel: index for index, channel in selecting.channel_of.items()}
    commons = {line: f"SELECTED_{line.upper()}" for line in lines}
    for n, k in enumerate(range(0, len(lines), len(sections)), 1):
        group: Sequence[str | None] = [*lines[k : k + len(sections)], *[None] * len(sections)][: len(sections)]
        rest = middles[next(line for line in group if line)]
        nets: dict[str, str | None] = {supply: supply_net, ground: GROUND, "VEE": GROUND, "INH": selecting.inhibit}
        nets |= dict(zip("ABC", selecting.selects, strict=False))
        for (terminal, own), line in zip(sections, group, strict=True):
            nets[terminal] = commons[line] if line else rest
            if own:
                nets[own] = selecting.selects[0]
            for channel in range(CHANNELS[kind]):
                index = by_channel.get(channel)
                taken = channels[line].get(index) if line and index is not None else None
                nets[f"{terminal}{channel}"] = taken or (middles[line] if line else rest)
        role = f"selector/{kind}-{n}"
        used = ", ".join(line for line in group if line)
        board.place(
            role, part, by_name(part, nets), REFERENCES, f"one of {len(by_channel)} inputs for {used}; the rest rests"
        )
        bypass(board, role, supply_net, REFERENCES)
    for line in lines:
        board.two(
            f"selector/{line}-bias",
            parts.resistor(BIAS_OHM, board.construction),
            commons[line],
            middles[line],
            REFERENCES,
            BIAS,
        )
    return commons


def bypass(board: Board, role: str, supply_net: str, references: Mapping[str, str]) -> None:
    """100 nF at the supply pins of a package."""
    sized = Sized(100e-9, "F", "at the supply pins; common practice, no source")
    part = parts.capacitor(100e-9, board.construction, 50.0, "ceramic")
    board.two(f"{role}-bypass", part, supply_net, GROUND, references, sized)


def behind(board: Board, line: str, common: str, coupling: Sized, bleed_ohm: float) -> str:
    """Place what takes the middle voltage off a common: a capacitor and a bleed to ground."""
    net = f"BOARD_{line.upper()}"
    kind: Kind = "ceramic" if coupling.value <= 10e-6 else "bipolar"
    part = parts.capacitor(coupling.value, board.construction, RATED_V, kind)
    board.two(f"selector/{line}-coupling", part, common, net, REFERENCES, coupling)
    bleed = Sized(bleed_ohm, "ohm", "holds the capacitor's far end at ground, so that switching does not thump")
    resistor = parts.resistor(bleed_ohm, board.construction)
    board.two(f"selector/{line}-bleed", resistor, net, GROUND, REFERENCES, bleed)
    return net
