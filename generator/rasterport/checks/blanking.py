"""The blanking pin: inside its window when active, as the set had it when native, below its maximum whatever opens."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.blanking import Idle, amps_text, driven, idle
from rasterport.analysis.lines import refused
from rasterport.analysis.nodal import reach
from rasterport.checks.bench import Bench, highest, judge, note, within
from rasterport.records import Finding

CODES = {
    "F301": "blanking on, lowest voltage",
    "F302": "blanking on, highest voltage",
    "F303": "blanking off",
    "F304": "blanking with one resistor open",
    "F305": "native blanking as the set had it",
    "F306": "blanking not driven",
    "F307": "what else stands on the blanking line",
}

NATIVE_TIMES = 20.0
"""A resistor that stays on the native wire is at least this many times its source; 0.4 dB.  Judgement, stated."""


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the blanking landing."""
    pin, margin = bench.variant.set.blanking, bench.variant.board.blanking_margin
    if bench.circuit.landing_net("display-blanking") is not None:
        return  # judged with the display's drive
    if bench.circuit.landing_net("blanking") is None or not driven(bench.control):
        text = "nothing of the board drives the blanking landing when active"
        yield note("F306", "blanking", text, "netlist", "error", bench.state)
        return
    yield _intruder(bench)
    found = bench.figures.get("blanking-on", "blanking")
    low = within("on", "least", pin.on_above + margin, pin.on_above, "V", "set.blanking.on_above and blanking_margin")
    yield judge("F301", found, low, "lowest voltage at the pin when active")
    high = within("maximum", "most", pin.maximum - margin, pin.maximum, "V", "set.blanking.maximum and blanking_margin")
    yield judge("F302", found, high, "highest voltage at the pin when active")
    left = idle(bench.control)
    yield _off(bench, left)
    yield from _native(bench, left)
    yield from _opened(bench)


def _intruder(bench: Bench) -> Finding:
    """The divider and the native wire are resistors and contacts: anything else there is not in the figures."""
    control, wire = bench.control, bench.circuit.landing_net("blanking-native")
    walls = tuple(control.supplies)
    for net, state in ((str(bench.circuit.landing_net("blanking")), control.active), (wire, "native")):
        if net is None:
            continue
        elements = reach(control.resistors(state), net, walls)
        found = refused(bench.circuit, net, elements, walls)
        if found:
            return note("F307", "blanking", f"not counted in any figure: {found}", "netlist", "error", state)
    return note("F307", "blanking", "nothing but resistors and contacts stands on the line", "netlist", "met")


def _off(bench: Bench, left: Idle) -> Finding:
    pin, margin = bench.variant.set.blanking, bench.variant.board.blanking_margin
    source = "set.blanking.off_below and blanking_margin"
    limit = within("off", "most", pin.off_below - margin, pin.off_below, "V", source)
    text = f"pin's own {amps_text(pin.pin_current)} into what the board leaves on it"
    if left.rail:
        text = f"when native the pin hangs on {left.rail}"
    return judge("F303", bench.figures.get("blanking-off", "blanking", "native"), limit, text)


def _native(bench: Bench, left: Idle) -> Iterator[Finding]:
    """What the set did with the pin it does again: ground, its own wire, nothing."""
    pin = bench.variant.set.blanking
    if pin.native == "open":
        return
    if pin.native == "grounded":
        text = "the pin is held at ground" if left.grounded else "the pin floats when native, the set had it at ground"
        yield note("F305", "blanking", text, "netlist", "met" if left.grounded else "error", "native")
        return
    text = "the set's own wire reaches the pin" if left.native else "the set's own wire does not reach the pin"
    yield note("F305", "blanking", text, "netlist", "met" if left.native else "error", "native")
    values = [e.value for e in bench.control.resistors("native") if e.role in left.roles]
    text = f"the board leaves {', '.join(left.roles)} on a wire that the set drives"
    if values and pin.native_resistance:
        limit = within("native", "least", None, NATIVE_TIMES * pin.native_resistance, "ohm", "judgement, stated")
        yield judge("F305", bench.figures.get("blanking-left", "blanking", "native"), limit, text)
    elif values:
        yield note("F305", "blanking", text, "judgement, stated", "error", "native")


def _opened(bench: Bench) -> Iterator[Finding]:
    """Each resistor of the divider taken out: the pin stays below its maximum."""
    limit = within("maximum", "most", None, bench.variant.set.blanking.maximum, "V", "set.blanking.maximum")
    opened = list(bench.figures.under("blanking-open"))
    if opened:
        worst = highest(opened)
        yield judge("F304", worst, limit, f"highest voltage at the pin with {worst.subject} open")
