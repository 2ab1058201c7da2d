"""How the display's blanking output becomes logic that shows menus when high: as it is, inverted, or buffered."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import product

from rasterport import parts
from rasterport.design.blanking import Drive
from rasterport.design.display_blanking import (
    EDGE_SHARE,
    LOGIC_SPREAD,
    OUTPUT_MOST_A,
    Feed,
    Joined,
    Load,
    Sizing,
    board_feed,
    display_feed,
    meeting,
)
from rasterport.design.landings import BLANKING_PIN_F, LEAD_F_PER_M, is_switched
from rasterport.design.power import Power, blanking_drive, blanking_window, plan_with
from rasterport.records import Sized
from rasterport.standards.limits import RESISTOR_SPREAD, SET_SPREAD
from rasterport.units import short
from rasterport.variant.display import Display
from rasterport.variant.models import Variant

LIMIT = Sized(1e3, "ohm", "with the rail off the display sends less than 5 mA into the inverter")
"""Between the display and an inverter's input [ohm]: 10 ns with the 10 pF of an input; judgement, stated."""
FAR_V = 0.5
"""A drive so far from 2 V [V] is worth a regulator, where the rail allows one; judgement, stated."""
PULL_OHM = 2200.0
"""Beside the pull-up of an open collector in the set [ohm]: the line rises within a dot, 2 mA more flow; judgement."""
IDLE_OHM = 100e3
"""Holds an inverter's input where no menu is shown while the display's wire is off [ohm]; 10 % of a 10 kohm pull-up."""
CODES = {
    "F348": "a resistor that stays on a blanking pin which a display drives",
    "F349": "levels of a display's blanking that is low for a menu",
}
FITTED_LEAST_OHM = 470.0
"""A resistor of the set that may stay on the pin [ohm]: 2 V take 4 mA; judgement, stated."""


def plan_joined(variant: Variant) -> tuple[Power, Joined]:
    """The plan of the supply with the blanking of a display on it.

    An output that is active low has one inverter; one that is active high has none, or two where its resistance leaves
    too little.  A plan that leaves either drive far from 2 V counts where no other does better.  Raises ValueError when
    nothing works, saying why for each.
    """
    display = display_of(variant)
    reasons: dict[str, None] = {}
    ways = (1,) if display.blanking_active == "low" else (0, 2) if _buffers(display) else (0,)
    for sections, off_v in product(ways, (FAR_V, math.inf)):
        try:
            return plan_with(variant, sized(variant, sections, off_v), bool(sections) or is_switched(variant))
        except ValueError as fault:
            if off_v == math.inf:
                reasons[str(fault)] = None
    raise ValueError("; or, with two inverters in front: ".join(reasons))


def _buffers(display: Display) -> bool:
    """Whether two inverters understand the display's levels."""
    chip = parts.buffer_inverter("smd").ratings
    high_v = display.blanking_high
    inside = high_v * (1 - LOGIC_SPREAD) >= chip["vt_rise_high_v"] and high_v <= chip["supply_high_v"]
    return inside and display.blanking_low <= chip["vt_fall_low_v"]


def display_of(variant: Variant) -> Display:
    """The display of a variant.  Raises ValueError for a set without one."""
    if variant.set.display is None:
        raise ValueError("shared insertion needs the table [set.display]")
    return variant.set.display


def sized(variant: Variant, sections: int, off_v: float = math.inf) -> Callable[[Power], tuple[Joined, float]]:
    """What `plan_with` asks: the divider for a plan of the supply, and the current [A] that it takes from it.

    It raises ValueError where a drive stands more than `off_v` [V] from 2 V.
    """

    def size(power: Power) -> tuple[Joined, float]:
        asked = sizing_of(variant, power, sections)
        found = meeting(asked)
        if found.off_v > off_v:
            raise ValueError(f"the pin stands {short(found.off_v, 2)} V off 2 V")
        foot, high_v = found.foot_ohm, asked.board.drive.high_v - asked.drops[0]
        least = min(found.upper.value, (found.own or found.upper).value) if sections else found.upper.value
        drawn = high_v / (least + foot) / (1 - RESISTOR_SPREAD)
        # Display and board each send their own share where they have upper resistors of their own.
        drawn *= 2 if sections and found.own is not None else 1
        if sections and display_of(variant).blanking_drive == "open-collector":
            drawn += power.supply_high_v / (PULL_OHM * (1 - RESISTOR_SPREAD))
        return Joined(found, sections), drawn

    return size


def sizing_of(variant: Variant, power: Power, sections: int) -> Sizing:
    """Window, drives, diode and load of the divider."""
    display = display_of(variant)
    r = parts.diode("schottky", variant.board.small_parts).ratings
    low, high = r["vf_low_v"], r["vf_10ma_high_v"]
    if sections:
        chip = parts.buffer_inverter(variant.board.small_parts).ratings
        weak, stiff = chip["output_ohm_high"], chip["output_ohm"]
        drive = Drive(power.supply_low_v, power.supply_v, power.supply_high_v)
        feed, rest_v = Feed(drive, stiff / 2, (stiff + weak) / 2, weak), 0.0
    else:
        feed, rest_v = display_feed(display.blanking_high, display.blanking_resistance), display.blanking_low
    pulled = display.blanking_drive == "open-collector" and not sections
    return Sizing(
        blanking_window(variant),
        board_feed(blanking_drive(variant, power)),
        feed,
        (low, (low + high) / 2, high),
        RESISTOR_SPREAD,
        Load(pin_f(variant) * (1 + SET_SPREAD), r["capacitance_f"], EDGE_SHARE * display.pixel),
        r["leakage_a"],
        rest_v,
        math.inf if pulled else OUTPUT_MOST_A,  # a pull-up in the set gives what it gives
    )


def pin_f(variant: Variant) -> float:
    """Capacitance at the blanking pin with its lead [F]."""
    return BLANKING_PIN_F + LEAD_F_PER_M["hook-up"] * variant.set.rgb.lead_length


def impossible(variant: Variant) -> Iterator[tuple[str, str, str]]:
    """Codes, subjects and messages of what the blanking of a display cannot be made of."""
    display = variant.set.display
    if display is None or variant.set.rgb.insertion != "shared":
        return
    if variant.set.blanking.fitted_resistor is not None and variant.set.blanking.fitted_resistor < FITTED_LEAST_OHM:
        yield (
            "F348",
            "set.blanking.fitted_resistor",
            f"{short(variant.set.blanking.fitted_resistor)} ohm that stay on the pin take more than the display's "
            f"output can give: lift them, the board brings a lower resistor of its own",
        )
    if display.blanking_active == "high":
        return
    chip = parts.buffer_inverter("smd").ratings
    low_v, high_v = display.blanking_low, display.blanking_high * (1 - LOGIC_SPREAD)
    if low_v > chip["vt_fall_low_v"] or high_v < chip["vt_rise_high_v"]:
        yield (
            "F349",
            "set.display.blanking_low" if low_v > chip["vt_fall_low_v"] else "set.display.blanking_high",
            f"an output that is low for a menu is inverted, and the inverter wants below {chip['vt_fall_low_v']:g} V "
            f"and above {chip['vt_rise_high_v']:g} V; found {short(low_v, 3)} and {short(high_v, 3)} V at the corners: "
            "pick it up where it is full logic, in front of any divider",
        )
    if display.blanking_high > chip["supply_high_v"]:
        yield (
            "F349",
            "set.display.blanking_high",
            f"an output that is low for a menu is inverted, and the inverter runs on 5 V and takes no "
            f"{short(display.blanking_high, 3)} V: pick it up where it is logic of 5 V; the pull-up of an open "
            "collector can be moved to 5 V",
        )
