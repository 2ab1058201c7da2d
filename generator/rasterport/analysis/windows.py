"""Windows of a voltage: what blanking stands at, against what the pin takes for off and on and what it bears; where the
stage on a status contact switches, against what a source puts there.
"""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.alike import Pair, together
from rasterport.analysis.figures import Figures
from rasterport.analysis.network import chosen
from rasterport.records import Bar, Bars, Figure
from rasterport.standards.status_levels import STATUS_LEVELS
from rasterport.units import short, significant, written

ROOM = 1.3
"""The axis of a contact ends so far beyond the level from which a source is on [-]."""
BEYOND = 1.1
"""The axis ends so far beyond the greatest limit or voltage [-]."""
DRIVES = {
    "board": "an input, no menu",
    "display": "a menu, no input",
    "both": "a menu over an input",
}
"""Who drives a pin that the set's display drives too, by the subject of the figure."""
OFF = {"blanking-off": "native", "meeting-off": "no input, no menu"}
EDGES = {"status-off-edge": "the stage is off up to", "status-on-edge": "the stage is on from"}
NOTHING_V = 1e-3
"""Less than this is 0 on a meter [V]."""


def blanking_window(figures: Figures) -> Bars | None:
    """The blanking pin with its corners, None where nothing of the board drives it."""
    setup = figures.setup
    pin = setup.variant.set.blanking
    bars = tuple(_bars(figures))
    if not any(bar.nominal for bar in bars):
        return None
    low, high = min(0.0, *(b.low for b in bars)), max(pin.maximum, *(b.high for b in bars))
    limits = (("off below", pin.off_below), ("on above", pin.on_above), ("maximum", pin.maximum))
    told = "; ".join(f"{bar.words} {bar.told}" for bar in bars)
    native = "" if _of_board(figures) or pin.native != "driven" else "native: what the set's own wire does"
    return Bars(
        "blanking-window",
        "voltage at the blanking pin",
        "blanking",
        "",
        "at the blanking pin",
        "V",
        bars,
        tuple((f"{words} {written(volts, 'V')}", volts) for words, volts in limits),
        (significant(low * BEYOND), significant(high * BEYOND)),
        f"At the corners: {told}. The pin is off below {written(pin.off_below, 'V')}, on above "
        f"{written(pin.on_above, 'V')}, and bears {written(pin.maximum, 'V')}.",
        "",
        native,
    )


def status_windows(figures: Figures) -> tuple[Bars, ...]:
    """Where the stage of each status contact switches; contacts that behave alike share a picture."""
    alike: dict[tuple[object, ...], tuple[tuple[Bar, ...], list[Pair]]] = {}
    for off in figures.under("status-off-edge"):
        head, _, contact = off.subject.rpartition("/")
        state = head or chosen(1)
        bars = tuple(_bar(EDGES[f.key], f) for f in (off, figures.get("status-on-edge", off.subject, state)))
        alike.setdefault((contact, bars), (bars, []))[1].append((contact, state))
    return tuple(_status(bars, *pair) for bars, pairs in alike.values() for pair in together(pairs))


def _status(bars: tuple[Bar, ...], contact: str, state: str) -> Bars:
    levels = STATUS_LEVELS[contact]
    off, on = levels.off_most_v, levels.on_least_v
    high = max(on, *(bar.high for bar in bars)) * ROOM
    return Bars(
        f"{contact}-window",
        f"where the stage on contact {contact.removeprefix('status-')} switches",
        contact,
        state,
        "at the contact",
        "V",
        bars,
        ((f"off: up to {off:g} V", off), (f"on: from {on:g} V", on)),
        (0.0, significant(high)),
        f"At the corners {'; '.join(f'{bar.words} {bar.told}' for bar in bars)}. A source that is off puts up to "
        f"{off:g} V there, one that is on {on:g} V and more.",
    )


def _of_board(figures: Figures) -> bool:
    """Whether the board decides where the pin stands when native; the set's own wire does where it comes back."""
    return figures.setup.circuit.landing_net("blanking-native") is None


def _bars(figures: Figures) -> Iterator[Bar]:
    for figure in figures.under("blanking-off"):
        if _of_board(figures):
            yield _bar(OFF[figure.key], figure)
    for figure in figures.under("meeting-off"):
        yield _bar(OFF[figure.key], figure)
    for figure in figures.under("blanking-on"):
        yield _bar("an input", figure)
    for figure in figures.under("meeting-on"):
        yield _bar(DRIVES[figure.subject], figure)


def _bar(words: str, figure: Figure) -> Bar:
    low, nominal, high = (_volts(v) for v in (figure.low, figure.nominal, figure.high))
    between = f"{short(low, 3)} to {short(high, 3)} V" if low != high else f"{short(nominal, 3)} V"
    return Bar(words, between, low, high, nominal)


def _volts(value: float) -> float:
    return significant(value) if abs(value) >= NOTHING_V else 0.0
