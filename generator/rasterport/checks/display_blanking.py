"""A blanking pin that the set's display and the board both drive: menus show in either state, and neither is spoilt."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.blanking import amps_text
from rasterport.analysis.display_blanking import Joining, inverters, joining
from rasterport.analysis.network import NATIVE
from rasterport.checks.bench import Bench, highest, judge, note, within
from rasterport.design.display_blanking import OUTPUT_MOST_A
from rasterport.records import Finding, Severity
from rasterport.units import short

CODES = {
    "F330": "blanking by the board alone, lowest voltage",
    "F331": "blanking by the board alone, highest voltage",
    "F332": "blanking by the display alone, lowest voltage",
    "F333": "blanking by the display alone, highest voltage",
    "F334": "blanking by board and display, neither pulls the other down",
    "F335": "blanking by board and display, highest voltage",
    "F336": "blanking without input and menu",
    "F337": "blanking by board and display with one resistor open",
    "F338": "edge of blanking when a menu begins",
    "F339": "edge of blanking when a menu ends",
    "F340": "delay of blanking behind the display's colours",
    "F341": "diodes at the blanking pin",
    "F342": "what else stands between display, board and blanking pin",
    "F343": "reverse voltage of the diodes at the blanking pin",
    "F344": "current of the display's blanking output",
    "F345": "levels at the inverter behind the display's blanking",
}

PULLED_V = 1e-3
"""Less than this is the rounding of a solution [V]."""
LATE_DOTS = (1.0, 2.0)
"""So many dots late blanking is a warning and an error: the left edge of a menu shows picture instead."""
OURS = "judgement, stated"


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of a blanking pin with a display."""
    j = joining(bench.control)
    if j is None:
        return
    count = len(j.diodes)
    if not list(bench.figures.under("meeting-on")):
        text = f"a diode for the display and one for the board lead to the pin, found {count} that do"
        yield note("F341", "blanking", text, "netlist", "error")
        return
    names = ", ".join(d.ref for d in j.diodes)
    found: Severity = "met" if count == 2 else "error"
    yield note("F341", "blanking", f"diodes that lead to the pin, one a drive: {names}", "netlist", found)
    yield _intruder(bench, j)
    yield from _levels(bench)
    yield from _opened(bench)
    yield from _speed(bench, j)
    yield from _stress(bench, j)


def _intruder(bench: Bench, j: Joining) -> Finding:
    """Resistors, contacts and the diodes are in the figures: anything else there is not."""
    known = {d.role for d in j.diodes}
    for state in (NATIVE, bench.control.active):
        nets = j.reached(state)
        for placed in bench.circuit.parts:
            if placed.part.appears != "control" or placed.role in known:
                continue
            outputs = {placed.nets[pin.number] for pin in placed.part.pins if pin.kind == "output"}
            for net in placed.nets.values():
                if net in nets and net not in outputs:
                    text = (
                        f"not counted in any figure: {placed.ref} ({placed.role}, {placed.part.name}) stands on {net}"
                    )
                    return note("F342", "blanking", text, "netlist", "error", state)
    text = "nothing but resistors, contacts and the diodes stands between display, board and pin"
    return note("F342", "blanking", text, "netlist", "met")


def _levels(bench: Bench) -> Iterator[Finding]:
    """Inside the window by either drive, not lowered by the other, below the maximum by both, off by none."""
    pin, margin = bench.variant.set.blanking, bench.variant.board.blanking_margin
    low = within("on", "least", pin.on_above + margin, pin.on_above, "V", "set.blanking.on_above and blanking_margin")
    high = within("maximum", "most", pin.maximum - margin, pin.maximum, "V", "set.blanking.maximum and blanking_margin")
    figures, active = bench.figures, bench.control.active
    board, both = figures.get("meeting-on", "board", active), figures.get("meeting-on", "both", active)
    display = figures.get("meeting-on", "display", NATIVE)
    yield judge("F330", board, low, "lowest voltage at the pin by the board, no menu shown")
    yield judge("F331", board, high, "highest voltage at the pin by the board, no menu shown")
    yield judge("F332", display, low, "lowest voltage at the pin by a menu, the board at rest: menus show when native")
    yield judge("F333", display, high, "highest voltage at the pin by a menu, the board at rest")
    kept = within("kept", "least", None, -PULLED_V, "V", OURS)
    text = "a menu over an input leaves the pin where the greater drive has it, or above: menus show there too"
    yield judge("F334", figures.get("meeting-kept", "blanking", active), kept, text)
    yield judge("F335", both, high, "highest voltage at the pin by a menu over an input")
    source = "set.blanking.off_below and blanking_margin"
    off = within("off", "most", pin.off_below - margin, pin.off_below, "V", source)
    text = f"pin's own {amps_text(pin.pin_current)} into the lower resistor, no input and no menu"
    yield judge("F336", figures.get("meeting-off", "blanking", NATIVE), off, text)


def _opened(bench: Bench) -> Iterator[Finding]:
    limit = within("maximum", "most", None, bench.variant.set.blanking.maximum, "V", "set.blanking.maximum")
    opened = list(bench.figures.under("meeting-open"))
    if opened:
        worst = highest(opened)
        yield judge("F337", worst, limit, f"highest voltage at the pin by both drives with {worst.subject} open")


def _speed(bench: Bench, j: Joining) -> Iterator[Finding]:
    """Edges against the dot of the display's characters."""
    pixel = j.display.pixel
    source = f"judgement: half of set.display.pixel, {short(pixel * 1e9, 3)} ns; {OURS}"
    limit = within("edge", "most", pixel / 2, pixel, "s", source)
    for code, key, what in (("F338", "meeting-rise", "begins"), ("F339", "meeting-fall", "ends")):
        text = f"10 to 90 % at the pin when a menu {what}"
        yield judge(code, bench.figures.get(key, "blanking", NATIVE), limit, text)
    if bench.figures.has("meeting-delay", "blanking", NATIVE):
        late = within("delay", "most", LATE_DOTS[0] * pixel, LATE_DOTS[1] * pixel, "s", f"dots of the display; {OURS}")
        text = "blanking behind the display's own colours; later than a dot the left edge of a menu shows picture"
        yield judge("F340", bench.figures.get("meeting-delay", "blanking", NATIVE), late, text)


def _stress(bench: Bench, j: Joining) -> Iterator[Finding]:
    """What diodes, output and inverter bear."""
    bears = min(d.part.ratings["voltage_v"] for d in j.diodes)
    limit = within("reverse", "most", 0.8 * bears, bears, "V", "the diode's rating; 80 % of it is a judgement")
    reverse = bench.figures.get("meeting-reverse", "blanking", bench.control.active)
    yield judge("F343", reverse, limit, "reverse voltage of a diode while the other drive has the pin")
    chips = inverters(j)
    if j.display.blanking_drive == "push-pull" and chips is None:
        most = within("given", "most", OUTPUT_MOST_A, None, "A", "74HC data sheets, 4 to 5 mA at 4.5 V; " + OURS)
        given = bench.figures.get("meeting-given", "display", NATIVE)
        yield judge("F344", given, most, "what a menu asks of the display's blanking output")
    if chips is not None:
        yield from _understood(bench, j)


def _understood(bench: Bench, j: Joining) -> Iterator[Finding]:
    """The display's levels at the input of the inverter."""
    chips = inverters(j)
    if chips is None:
        return
    r = chips.chip.part.ratings
    for subject, sense, key in (("high", "least", "vt_rise_high_v"), ("low", "most", "vt_fall_low_v")):
        limit = within("level", sense, None, r[key], "V", f"{chips.chip.part.name}: {chips.chip.part.source}")
        text = f"the display's {subject} level at the inverter's input"
        yield judge("F345", bench.figures.get("meeting-level", subject, NATIVE), limit, text)
