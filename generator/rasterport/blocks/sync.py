"""Sync of one input: straight through, brought down from TTL levels, or taken out of composite video.

through    IN1_SYNC o--+------------o IN1_SYNC_FEED
                   [termination]

passive    IN1_SYNC o--[pad-upper]--+--o IN1_SYNC_FEED
                               [pad-lower]

buffered   IN1_SYNC o--+--[limit]--|>o--(|>o)--[drive]--+--o IN1_SYNC_FEED
                     [idle]                          [load]

separated  IN1_SYNC o--+--||--separator--|>--[drive]--+--o IN1_SYNC_FEED
                  [termination]                     [load]
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.blocks.termination import WORST_W
from rasterport.design import sync as sizing
from rasterport.design.termination import termination
from rasterport.parts.capacitors import Kind
from rasterport.records import Sized

REFERENCES = {
    "sync/limit": "R30",
    "sync/drive": "R31",
    "sync/load": "R32",
    "sync/pad-upper": "R33",
    "sync/pad-lower": "R34",
    "sync/buffer": "U1",
    "sync/buffer-bypass": "C1",
    "sync/coupling": "C2",
    "sync/dummy": "R35",
    "sync/series": "R36",
    "sync/idle": "R37",
    "sync/separator": "U2",
    "sync/separator-input": "C3",
    "sync/separator-bypass": "C4",
    "sync/separator-time": "C5",
    "sync/separator-set": "R38",
}

SERIES = Sized(100.0, "ohm", "keeps a source that is on below 5 mA into the pin of a set that is off")

CERAMIC_MOST_F = 10e-6
"""Up to here a ceramic capacitor serves [F]; bipolar electrolytics begin at 1 uF."""
LIMIT = Sized(10e3, "ohm", "every contact that ends in an IC has 10 kohm in series; with the rail off 0.5 mA flow")
IDLE_OHM = 470e3
"""Holds the input at "no sync" without a source [ohm]: 1 uA of leakage moves it by half a volt."""
SECTIONS = (("1", "2"), ("3", "4"), ("5", "6"), ("9", "8"), ("11", "10"), ("13", "12"))
"""Input and output pin of each inverter.  74HC14 sheets; checked against KiCad's symbol."""


def passive(board: Board, index: int, net: str, feed: str, pad: tuple[Sized, Sized]) -> None:
    """Place the resistive pad from the socket's `net` to `feed`."""
    role = f"input-{index}/sync"
    upper, lower = pad
    board.two(f"{role}/pad-upper", parts.resistor(upper.value, board.construction), net, feed, REFERENCES, upper)
    board.two(f"{role}/pad-lower", parts.resistor(lower.value, board.construction), feed, GROUND, REFERENCES, lower)


def buffered(
    board: Board, index: int, net: str, feed: str, supply_net: str, logic_v: float, inverted: bool, load_ohm: float
) -> None:
    """Place the Schmitt buffer; `inverted` turns positive-going sync round.

    `load_ohm` [ohm] is what the landing brings; above 75 ohm the board adds its own load.
    """
    role = f"input-{index}/sync"
    chip = parts.buffer_inverter(board.construction)
    source_net, first, second = f"IN{index}_SYNC_LOGIC", f"IN{index}_SYNC_TURNED", f"IN{index}_SYNC_CLEAN"
    board.two(f"{role}/limit", parts.resistor(LIMIT.value, board.construction), net, source_net, REFERENCES, LIMIT)
    idle = Sized(IDLE_OHM, "ohm", "nothing plugged in means no sync, not noise")
    rest = GROUND if inverted else supply_net
    board.two(f"{role}/idle", parts.resistor(IDLE_OHM, board.construction), net, rest, REFERENCES, idle)
    chain = [source_net, first] if inverted else [source_net, first, second]
    nets: dict[str, str | None] = {"7": GROUND, "14": supply_net}
    for k, (a, y) in enumerate(SECTIONS):
        working = k < len(chain) - 1
        nets[a] = chain[k] if working else GROUND
        nets[y] = chain[k + 1] if working else None
    board.place(
        f"{role}/buffer",
        chip,
        nets,
        REFERENCES,
        "TTL thresholds and hysteresis; its output is low during sync; unused inputs on ground",
    )
    bypass = Sized(100e-9, "F", "at the supply pins of the buffer; common practice, no source")
    ceramic = parts.capacitor(bypass.value, board.construction, 50.0, "ceramic")
    board.two(f"{role}/buffer-bypass", ceramic, supply_net, GROUND, REFERENCES, bypass)
    _driven(board, index, chain[-1], feed, logic_v, load_ohm, chip.ratings["output_ohm"])


def _driven(
    board: Board, index: int, output: str, feed: str, logic_v: float, load_ohm: float, source_ohm: float
) -> None:
    """Place what brings a logic output down to 0.3 V at the feed."""
    role, total = f"input-{index}/sync", load_ohm
    if load_ohm > 75.0:
        load = Sized(termination(load_ohm).value, "ohm", "makes 75 ohm, so that the drive is a level and not a slope")
        board.two(f"{role}/load", parts.resistor(load.value, board.construction), feed, GROUND, REFERENCES, load)
        total = 75.0
    drive = sizing.drive_resistor(logic_v, total, source_ohm)
    board.two(f"{role}/drive", parts.resistor(drive.value, board.construction), output, feed, REFERENCES, drive)


def separated(
    board: Board,
    index: int,
    net: str,
    feed: str,
    rail_net: str,
    supply_net: str,
    logic_v: float,
    load_ohm: float,
    burst: str | None = None,
) -> None:
    """Place the separator on `rail_net` and the buffer that drives its sync on `supply_net` into the landing.

    The buffer bears what a separator on a higher rail puts out, which itself sources 1.6 mA only.  `burst` is the net
    of the back-porch pulse, where somebody wants it.
    """
    from rasterport.parts.logic import buffer

    role, driver = f"input-{index}/sync", buffer(board.construction)
    ceramic = parts.capacitor(100e-9, board.construction, 50.0, "ceramic")
    logic, clean = f"IN{index}_SYNC_LOGIC", f"IN{index}_SYNC_CLEAN"
    separator(board, index, net, rail_net, "takes composite sync out of the picture; low during sync", logic, burst)
    nets: dict[str, str | None] = {"VCC": supply_net, "GND": GROUND, "1A": logic, "1Y": clean}
    nets |= {f"{n}A": GROUND for n in range(2, 7)}
    board.place(
        f"{role}/buffer",
        driver,
        by_name(driver, nets),
        REFERENCES,
        "drives what the separator cannot, and bears its level; unused inputs on ground",
    )
    near = Sized(100e-9, "F", "at the supply pins of the buffer; common practice, no source")
    board.two(f"{role}/buffer-bypass", ceramic, supply_net, GROUND, REFERENCES, near)
    _driven(board, index, clean, feed, logic_v, load_ohm, driver.ratings["output_ohm"])


def separator(
    board: Board, index: int, net: str, rail_net: str, why: str, clean: str | None, burst: str | None
) -> None:
    """Place the separator behind `net` with the parts that its maker gives; `clean` and `burst` are its outputs."""
    from rasterport.parts.separators import sync_separator

    role, chip = f"input-{index}/sync", sync_separator(board.construction)
    r, ceramic = chip.ratings, parts.capacitor(100e-9, board.construction, 50.0, "ceramic")
    video, sets = f"IN{index}_SYNC_VIDEO", f"IN{index}_SYNC_SET"
    nets: dict[str, str | None] = {"VIDEO": video, "CSYNC": clean, "BURST": burst, "RSET": sets}
    board.place(f"{role}/separator", chip, by_name(chip, {**nets, "VCC": rail_net, "GND": GROUND}), REFERENCES, why)
    into = Sized(r["coupling_f"], "F", "the maker's value: the separator clamps the tips of sync behind it")
    board.two(f"{role}/separator-input", ceramic, net, video, REFERENCES, into)
    time = Sized(r["rset_ohm"], "ohm", "the maker's value for lines of 15.7 kHz")
    board.two(f"{role}/separator-set", parts.resistor(time.value, board.construction), sets, GROUND, REFERENCES, time)
    quiet = Sized(r["rset_f"], "F", "the maker's value, beside the resistor")
    board.two(f"{role}/separator-time", ceramic, sets, GROUND, REFERENCES, quiet)
    bypass = Sized(r["decoupling_f"], "F", "the maker's value, at the supply pins")
    board.two(f"{role}/separator-bypass", ceramic, rail_net, GROUND, REFERENCES, bypass)


def direct_current_block(board: Board, index: int, source_net: str, feed: str, sized: Sized, bias_v: float) -> None:
    """Capacitor in front of a landing that is DC-coupled in the set.

    Bipolar whatever the bias: with the set off its bias is gone while the source stays.
    """
    kind: Kind = "ceramic" if sized.value <= CERAMIC_MOST_F else "bipolar"
    part = parts.capacitor(sized.value, board.construction, max(16.0, bias_v * 1.25), kind)
    board.two(f"input-{index}/sync/coupling", part, source_net, feed, REFERENCES, sized)


def dummy(board: Board, index: int, net: str) -> None:
    """75 ohm for a source whose input is not chosen, where the set's own termination stays at the landing."""
    sized = Sized(75.0, "ohm", "the source sees 75 ohm also while its input is not chosen")
    part = parts.resistor(75.0, board.construction, WORST_W)
    board.two(f"input-{index}/sync/dummy", part, net, GROUND, REFERENCES, sized)


def series(board: Board, index: int, net: str) -> str:
    """A resistor in front of an IC pin that no jack's own circuit protects; returns the net behind it."""
    behind = f"IN{index}_SYNC_LIMITED"
    board.two(f"input-{index}/sync/series", parts.resistor(100.0, board.construction), net, behind, REFERENCES, SERIES)
    return behind
