"""Opaque menus: the display's blanking switches the pins between the chosen input and the display.

SELECTED_RED o--[from-input]------ X0 :
                                      X --o MIXED_RED     DISPLAY_BLANKING o--+--[select]--o A, B, C
DISPLAY_RED o--[from-display]--+-- X1 :                                       |
                               |                                           [hold]       throws swapped where
                            [foot]                                            |         a menu is low
                               |                                             GND
                              GND
"""

from __future__ import annotations

from rasterport import parts
from rasterport.blocks.analog import bypass
from rasterport.blocks.board import GROUND, Board, by_name
from rasterport.blocks.shared import REFERENCES as RESISTORS
from rasterport.blocks.shared import display_net
from rasterport.design.switched import Menu
from rasterport.records import COLOURS, Sized

REFERENCES = {"menu/switch": "U91", "menu/switch-bypass": "C95", "menu/select": "R79", "menu/hold": "R80"}
SELECT = "MENU_SELECT"
SELECT_OHM = Sized(1e3, "ohm", "with the rail off the display sends less than 5 mA into the switch")

HOLD_OHM = Sized(100e3, "ohm", "no menu while the display's wire is off")
APART_OHM = Sized(100.0, "ohm", "keeps the switch's capacitance off the line, whose return loss it would cost")


def mixed_net(colour: str) -> str:
    """Net behind the switch."""
    return f"MIXED_{colour.upper()}"


def switched(
    board: Board, selected: dict[str, str], blanking_net: str, logic_net: str, active: str, menu: Menu, held: bool
) -> None:
    """Place the switch and what divides the display down; `selected` are the nets of the chosen input by colour.

    `held` where the display's blanking has a resting level without its wire already.
    """
    from rasterport.parts.analog_switches import analog_switch

    switch = analog_switch("4053", "74hc", board.construction)
    nets: dict[str, str | None] = {"VCC": logic_net, "GND": GROUND, "VEE": GROUND, "INH": GROUND}
    nets |= dict.fromkeys("ABC", SELECT)
    shown, hidden = ("1", "0") if active == "high" else ("0", "1")
    for terminal, colour in zip("XYZ", COLOURS, strict=True):
        tap, picture = f"MENU_{colour.upper()}", f"PICTURE_{colour.upper()}"
        nets |= {terminal: mixed_net(colour), f"{terminal}{shown}": tap, f"{terminal}{hidden}": picture}
        for name, first, second, sized in (
            ("from-input", selected[colour], picture, APART_OHM),
            ("from-display", display_net(colour), tap, menu.upper),
            ("foot", tap, GROUND, menu.lower),
        ):
            part = parts.resistor(sized.value, board.construction)
            board.two(f"{colour}/{name}", part, first, second, RESISTORS, sized)
    why = "shows the display while it shows a menu, and the input else"
    board.place("menu/switch", switch, by_name(switch, nets), REFERENCES, why)
    bypass(board, "menu/switch", logic_net, REFERENCES)
    resistor = parts.resistor(SELECT_OHM.value, board.construction)
    board.two("menu/select", resistor, blanking_net, SELECT, REFERENCES, SELECT_OHM)
    if not held:
        resistor = parts.resistor(HOLD_OHM.value, board.construction)
        board.two("menu/hold", resistor, blanking_net, GROUND, REFERENCES, HOLD_OHM)
