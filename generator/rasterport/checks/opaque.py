"""Opaque menus: picture and menu stand at one black level, and the switch keeps up with the display."""

from __future__ import annotations

from collections.abc import Iterator

from rasterport.analysis.opaque import turning
from rasterport.checks.bench import Bench, judge, note, within
from rasterport.design.landings import is_switched
from rasterport.records import COLOURS, Finding
from rasterport.units import short

CODES = {
    "F273": "black of menus and of the picture where they take turns",
    "F274": "delay of the switch between picture and menu",
}


def check(bench: Bench) -> Iterator[Finding]:
    """Findings of a board on which menus take turns with the picture."""
    display = bench.variant.set.display
    if display is None or not is_switched(bench.variant):
        return
    most = bench.variant.set.rgb.black_within
    limit = within("apart", "most", most, 2 * most, "V", "set.rgb.black_within; error beyond twice that, judgement")
    for view in bench.views:
        for colour in COLOURS:
            if not view.has("menu-black", colour):
                text = "nothing turns this colour from the picture to the menu"
                yield note("F273", colour, text, "netlist", "error", view.state)
                continue
            text = "background of a menu against black of the picture in front of the pin, at direct voltage"
            yield judge("F273", view.figure("menu-black", colour), limit, text)
    for role in sorted(set(turning(bench).values())):
        ratings, pixel = bench.circuit.by_role(role).part.ratings, display.pixel
        most_s, usual_s = ratings["delay_most_s"], ratings["delay_typical_s"]
        yield Finding(
            "F274",
            "warning" if most_s > pixel else "met",
            role,
            f"lag of a menu's edge behind its blanking, {short(usual_s * 1e9, 2)} ns typical; one dot is allowed",
            measured=most_s,
            limit=pixel,
            unit="s",
            sense="most",
            source=f"{bench.circuit.by_role(role).part.source}; one dot: judgement, stated",
            state="any",
        )
