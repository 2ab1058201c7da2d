"""The set's own display where it shares the colour pins: menus as bright, as sharp and as clean as before."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.lines import mhz
from rasterport.analysis.network import NATIVE
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.insertion import EDGE_OF_PIXEL, found_for, menu_white_v
from rasterport.design.landings import is_switched
from rasterport.records import COLOURS, Figure, Finding
from rasterport.standards.limits import CROSSTALK_AT_HZ
from rasterport.units import short
from rasterport.variant.display import Display

CODES = {
    "F260": "white of the set's own menus",
    "F261": "an input under a menu, both at white",
    "F262": "menus when the source is unplugged",
    "F263": "colours of a menu against each other",
    "F264": "edges of the display at the pin",
    "F265": "a source that is on in the native state",
    "F266": "return loss under a menu",
    "F267": "an input's picture under a menu",
    "F268": "a line of the display broken",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of the display; none where the colour pins are the board's alone."""
    display = bench.variant.set.display
    if display is None:
        return
    for view in bench.views:
        for colour in COLOURS:
            if view.has("menu-level", colour):
                yield from _opaque(view, colour) if is_switched(bench.variant) else _chosen(view, colour)
            else:
                text = "nothing leads from the display's line to the pin"
                yield note("F268", colour, text, "netlist", "error", view.state)
        yield from _together(view)
    for colour in COLOURS:
        if bench.figures.has("menu-level", colour, NATIVE):
            yield from _white(bench, bench.figures.get("menu-error", colour, NATIVE), "native")
            yield from _edges(bench, display, colour, NATIVE)
    for hertz, key in zip(CROSSTALK_AT_HZ, ("foreign_1mhz_db", "foreign_5mhz_db"), strict=True):
        for figure in bench.figures.under("foreign"):
            if figure.key == f"foreign/{mhz(hertz)}":
                text = f"at {hertz / 1e6:g} MHz, what is left at the pin of a source that is on and not chosen"
                yield judge("F265", figure, key, text)


def _white(bench: Bench, figure: Figure, when: str) -> Iterator[Finding]:
    text = f"white of menus against the {short(menu_white_v(bench.variant))} V wanted, {when}"
    yield judge("F260", figure, "menu_error_db", text)


def _edges(bench: Bench, display: Display, colour: str, state: str) -> Iterator[Finding]:
    for way in ("rise", "fall"):
        name = (f"menu-edge/{way}", colour, state)
        if bench.figures.has(*name):
            figure = bench.figures.get(*name)
            source = f"judgement, stated: {EDGE_OF_PIXEL:.0%} of set.display.pixel, error beyond all of it"
            limit = within("edge", "most", EDGE_OF_PIXEL * display.pixel, display.pixel, "s", source)
            text = f"{way} of the display at the pin, of a dot of {short(display.pixel * 1e9, 3)} ns"
            helps = "; less capacitance behind it helps: a shorter lead, hook-up wire in place of coax"
            yield judge("F264", figure, limit, text, instead=(text, text + helps))


def _opaque(bench: Bench, colour: str) -> Iterator[Finding]:
    """Menus that take turns with the picture: neither takes from the other."""
    display = bench.variant.set.display
    assert display is not None
    yield from _white(bench, bench.figure("menu-error", colour), "in front of the input")
    yield from _edges(bench, display, colour, bench.state)


def _chosen(bench: Bench, colour: str) -> Iterator[Finding]:
    rgb, display = bench.variant.set.rgb, bench.variant.set.display
    assert display is not None
    yield from _white(bench, bench.figure("menu-error", colour), "a source in the contact")
    yield from _white(bench, bench.figure("menu-error-unplugged", colour), "nothing in the contact")
    both = bench.figure("both-white", colour)
    limit = within("clipping", "most", None, rgb.clipping_level, "V", "set.rgb.clipping_level")
    text = "white of an input under white of a menu: menus are see-through, and both together must not clip"
    yields = found_for(bench.variant).yields
    helps = f"{text}; {yields or 'set.display.white makes menus darker'}"
    yield judge("F261", both, limit, text, instead=(text, helps))
    change = bench.figure("menu-unplugged", colour)
    text = "how much brighter menus are, all colours alike, with nothing in the contacts and the input chosen"
    yield judge("F262", change, "menu_change_db", text)
    yield from _edges(bench, display, colour, bench.state)
    loss = next(f for f in bench.figures.under("menu-return-loss") if (f.subject, f.state) == (colour, bench.state))
    yield judge("F266", loss, "return_loss_db", "return loss at the socket under white of a menu")
    under = bench.figure("under-menu", colour)
    text = f"white of a menu changes the picture under it by {short(under.nominal, 2)} dB, and adds to it"
    yield judge("F267", under, "level_error_db", text)


def _together(bench: Bench) -> Iterator[Finding]:
    together = "red, green, blue"
    if bench.has("menu-mismatch", together):
        text = "greatest ratio of two colours of a menu, with nothing in the contacts too: a tint of menus alone"
        yield judge("F263", bench.figure("menu-mismatch", together), "menu_mismatch_pct", text)
