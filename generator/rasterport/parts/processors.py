"""Video processors of television sets (the "jungle" IC): what makers print of the pins that take RGB.

One block of TABLE is one IC, or a family that shares a data sheet.  A cell is left out where its maker's sheet gives no
figure: nothing is filled in from a like type, since thresholds and second meanings differ within one maker's line.

Where a sheet prints several figures, the cell holds the one that is safe to design with: the lowest voltage that may
not be off any more, the highest that may be needed for on, the least clamp current, the greatest pin current, leakage
and delay, the least coupling capacitor, the nominal white level.  Its source then says which figure it is.  A sheet
without an edition here was seen without one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import dedent

CELLS: dict[str, str] = {
    "off_below": "V",
    "on_above": "V",
    "maximum": "V",
    "absolute_maximum": "V",
    "pin_current": "A",
    "delay": "s",
    "white_level": "V",
    "clipping_level": "V",
    "clamp_current": "A",
    "leakage": "A",
    "resistance": "ohm",
    "capacitance": "F",
    "coupling": "F",
    "source_resistance_most": "ohm",
}
"""Every cell that a row may have, with its unit.

First the pin that inserts RGB: surely off at or below `off_below`, surely on at or above `on_above`; above `maximum` it
means something else, or that is the highest pulse.  `pin_current` is a magnitude.  From `white_level` on the colour
pins, black to white; `resistance`, `capacitance` and `leakage` between clamps.
"""


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure in SI units with the document it stands in and how many texts give it."""

    value: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Processor:
    """One IC, or a family under several names.  `cells` holds what the source gives, by the names in CELLS.

    `second_meaning` says what a higher level on the insertion pin does and from which voltage, "" where none is
    printed; it stands in the document of the cells.  `remarks` name their document at their end.
    """

    names: tuple[str, ...]
    maker: str
    kind: str
    cells: Mapping[str, Cell]
    second_meaning: str
    remarks: str


TABLE = """
    TDA8360, TDA8361, TDA8362  Philips  television  two texts agree  Philips TDA8362 data sheet, March 1994
        off_below               0.4      -
        on_above                0.9      -
        maximum                 3.0      highest insertion pulse
        pin_current             0.2e-3   the one figure printed, not said to be a bound
        delay                   20e-9    the one figure printed, not said to be a bound
        white_level             0.7      nominal, for 4 V at the output; at most 0.8 V
        clipping_level          1.0      least level that clips
        leakage                 0.1e-6   input current, the one figure printed
        second_meaning          from 4 V it blanks the RGB outputs
        remarks                 insertion pin 21, colour pins 22 to 24
        remarks                 the picture that is not shown is suppressed by 46 dB

    TDA8376  Philips  television  one text  Philips TDA8376 data sheet, January 1996
        off_below               0.4      -
        on_above                0.9      -
        maximum                 3.0      highest insertion pulse
        pin_current             0.2e-3   the one figure printed, not said to be a bound
        white_level             0.7      nominal; at most 0.8 V
        clipping_level          1.0      least level that clips
        leakage                 0.1e-6   while not clamping, the one figure printed
        second_meaning          above 4 V, on pin 14 only, it inserts black
        remarks                 the picture that is not shown is suppressed by 55 dB, 0 to 5 MHz

    TDA933xH  Philips  television  one text  Philips TDA933xH data sheet, June 2002
        off_below               0.45     -
        on_above                0.9      -
        maximum                 3.0      highest insertion level
        pin_current             0.2e-3   greatest, out of the pin; typical 0.12 mA
        white_level             0.7      nominal; at most 1.0 V
        clamp_current           40e-6    either way
        resistance              10e6     while not clamping
        capacitance             5e-12    -
        remarks                 the second insertion input can blend instead of switch, from 0.31 to 1.14 V

    TDA8310A  Philips  television  one text  Philips TDA8310A data sheet, January 1996
        off_below               0.5      -
        on_above                0.9      -
        maximum                 3.0      highest high level
        pin_current             0.3e-3   greatest, out of the pin; typical 0.2 mA
        second_meaning          above 4 V the outputs are high-ohmic

    STV223x, STV224x, STV228x  ST  television  three texts agree  ST STV223x, STV224x and STV228x data sheets
        off_below               0.5      lowest threshold; typical 0.7 V
        on_above                0.85     highest threshold; typical 0.7 V
        absolute_maximum        5.0      -
        pin_current             10e-6    greatest, with the pin at 0 V
        delay                   40e-9    greatest; typical 20 ns
        white_level             0.7      nominal; at most 1 V
        clamp_current           60e-6    least; typical 100 uA, greatest 140 uA
        second_meaning          on the second insertion input only: half contrast from 0.7 V, blanking from 4 V
        remarks                 an insertion pin without use is tied to ground
        remarks                 colour pins clamp at 3.5 V

    STV9211  ST  monitor  one text  ST STV9211 data sheet
        coupling                100e-9   typical
        remarks                 monitor preamplifier: a colour input of at most 1 Vpp, no nominal level printed

    TPU3035, TPU3040  Micronas  television  one text  Micronas TPU 3035, TPU 3040 data sheet
        off_below               0.5      with 75 ohm
        on_above                0.9      with 75 ohm
        white_level             0.7      nominal; at most 1.5 V
        coupling                100e-9   least; greatest 1 uF

    TDA4885, TDA4886A  Philips  monitor  two texts agree  Philips TDA4885 (November 1997) and TDA4886A data sheets
        off_below               1.1      -
        on_above                1.7      -
        remarks                 monitor IC, with higher thresholds than those of television

    LM1229  National Semiconductor (Texas Instruments)  monitor  one text  National LM1229 data sheet
        coupling                1e-9     colour inputs of the on-screen display
        remarks                 monitor IC: insertion takes TTL or CMOS levels; threshold not found in volts
        remarks                 about half of VCC is printed as the threshold of its clamp pulse
        remarks                 more than 0.7 V at the colour inputs of the on-screen display is advised against
        remarks                 at least 33 ohm in series with its video inputs

    LA7615, LA76070, LA76075, LA76810A, LA76818A  Sanyo  television  three texts agree  Sanyo data sheets of these types
        remarks                 threshold not found
        remarks                 insertion tested at 2.0 V (LA76070, pin 36), which is no threshold
        remarks                 insertion tested at 3.5 V (LA76075, LA76810A and LA76818A, pin 17), no threshold either
        remarks                 insertion scanned from 1.5 V (LA7615) in a test
        remarks                 colour inputs of the on-screen display, pins 14 to 16, tested with 0.35 and 0.7 V
        remarks                 absolute maximum of the supply about 7 V

    CXA2039M, CXA2061S  Sony  television  one text  Sony CXA2039M and CXA2061S data sheets
        off_below               0.4      YUV switch
        on_above                1.0      YUV switch
        absolute_maximum        9.3      VCC + 0.3 V, with VCC at 9 V; lowest -0.3 V
        white_level             0.7      nominal
        remarks                 the thresholds are those of the YUV switch; that of an RGB switch not found
        remarks                 RGB inputs through a capacitor

    TDA4580  Philips  television  one text  Philips TDA4580 data sheet
        remarks                 the first RGB inputs and fast switch 1 follow the levels of the 21-contact socket

    TDA3504  Philips  television  one text  Philips TDA3504 data sheet
        white_level             1.0      black to white of the inserted RGB
        remarks                 of the same line as TDA4580

    TDA4680  Philips  television  one text  Philips TDA4680 data sheet
        source_resistance_most  600.0    -
        remarks                 inputs coupled by a capacitor

    M61206FP  Mitsubishi  television  one text  Mitsubishi M61206FP data sheet
        remarks                 digital inputs for the on-screen display, tested at 1.0 V, which is no threshold
"""
"""Blocks: names, maker, kind, confidence and document; then cell, value in SI units and which figure it is (`-` where
only one is printed), or words.  Lines of words of one kind are joined."""


def _processor(block: str) -> Processor:
    """One block of the table.  Raises ValueError with the line that does not fit."""
    head, *lines = block.splitlines()
    columns = re.split(r"\s{2,}", head)
    if len(columns) != 5:
        raise ValueError(f"a head must hold names, maker, kind, confidence and document, found {head!r}")
    names, maker, kind, confidence, document = columns
    cells: dict[str, Cell] = {}
    words: dict[str, list[str]] = {"second_meaning": [], "remarks": []}
    for line in filter(None, map(str.strip, lines)):
        name, *rest = re.split(r"\s{2,}", line)
        if name in words and len(rest) == 1:
            words[name].append(rest[0])
        elif name in CELLS and name not in cells and len(rest) == 2:
            value, which = rest
            cells[name] = Cell(float(value), document if which == "-" else f"{document}; {which}", confidence)
        else:
            raise ValueError(f"a line must hold a cell, once, with value and figure, or words, found {line!r}")
    remarks = "; ".join(words["remarks"])
    return Processor(
        names=tuple(names.split(", ")),
        maker=maker,
        kind=kind,
        cells=cells,
        second_meaning="; ".join(words["second_meaning"]),
        remarks=f"{remarks} [{document}; {confidence}]" if remarks else "",
    )


def read_table(table: str) -> dict[str, Processor]:
    """Processors by each of their names in lower case.  Raises ValueError for a line or a name that does not fit."""
    found: dict[str, Processor] = {}
    for block in re.split(r"\n(?=\S)", dedent(table).strip()):
        row = _processor(block)
        for name in row.names:
            if name.lower() in found:
                raise ValueError(f"a name must stand once, found {name} twice")
            found[name.lower()] = row
    return found


PROCESSORS: dict[str, Processor] = read_table(TABLE)
"""Every row by each of its names in lower case; a family is one row under several."""

LONGEST_NAME = 40
"""Characters of a name that is not known, of which the message speaks."""


def processor(name: str) -> Processor:
    """The row of a processor, in whatever case its name is written.  Raises KeyError with the nearest names."""
    wanted = name.strip().lower()
    if wanted in PROCESSORS:
        return PROCESSORS[wanted]
    # Only a name that is not known needs it.
    import difflib

    shown = name.strip()[:LONGEST_NAME]
    printed = {name.lower(): name for row in PROCESSORS.values() for name in row.names}
    near = [printed.get(name, name) for name in difflib.get_close_matches(shown.lower(), PROCESSORS, n=3)]
    hint = f"near it: {', '.join(near)}" if near else "none is near"
    raise KeyError(f'no processor "{shown}" in the table; {hint}')
