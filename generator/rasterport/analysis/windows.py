"""Windows of a voltage: what blanking stands at, against what the pin takes for off and on and what it bears."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.figures import Figures
from rasterport.records import Bar, Bars, Figure
from rasterport.units import short, significant, written

BEYOND = 1.1
"""The axis ends so far beyond the greatest limit or voltage [-]."""
DRIVES = {
    "board": "an input, no menu",
    "display": "a menu, no input",
    "both": "a menu over an input",
}
"""Who drives a pin that the set's display drives too, by the subject of the figure."""
OFF = {"blanking-off": "native", "meeting-off": "no input, no menu"}
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
