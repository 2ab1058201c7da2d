"""From a variant with shared insertion to the question that the sizing answers: the display, and what is wished."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from rasterport.design.landings import LEAD_F_PER_M, is_switched
from rasterport.design.mixing import Display, Wishes, bound_v
from rasterport.standards.bt470 import WHITE_V
from rasterport.standards.limits import LIMITS, SET_SPREAD
from rasterport.variant.display import Display as Keys
from rasterport.variant.models import Variant

if TYPE_CHECKING:
    from rasterport.design.shared import Found

EDGE_OF_PIXEL = 0.5
"""An edge of more than this part of the display's pixel leaves little of a single dot [-]; judgement, stated."""
ROOM = 0.5
"""What the sizing uses of bandwidth and edge, for tolerances and for what tracks add [-]; judgement, stated."""
TOGETHER = 0.05
"""By how much both at white may exceed what was sized [-]: a display's rail and resistors at their highest; judgement,
stated."""
TEN_TO_NINETY = math.log(9.0)
"""From 10 to 90 % of a step through one time constant [-]."""


def keys_of(variant: Variant) -> Keys:
    """The table of the display.  Raises ValueError where the variant has none."""
    if variant.set.display is None:
        raise ValueError("shared insertion wants a table [set.display]")
    return variant.set.display


def display_of(variant: Variant) -> Display:
    """A colour output of the display with what stays on its line.  An open collector is high through its pull-up."""
    keys = keys_of(variant)
    return Display(
        keys.high,
        keys.low,
        keys.resistance_high,
        keys.resistance_low,
        keys.resistance_low if keys.idle == "low" else None,
        keys.series_fitted or 0.0,
        keys.ground_fitted,
    )


def menu_white_v(variant: Variant) -> float:
    """White that menus shall have at the pin [V]."""
    keys = keys_of(variant)
    return variant.set.rgb.white_level if keys.white is None else keys.white


def picture_white_v(variant: Variant) -> float:
    """The most white that an input can have at the pin beside such menus, and no more than the pin wants [V]."""
    most = WHITE_V if is_switched(variant) else bound_v(display_of(variant), menu_white_v(variant))
    return min(variant.set.rgb.white_level, WHITE_V, most)


def node_ohm(variant: Variant) -> float:
    """The most resistance of the node [ohm] with which a picture keeps its bandwidth and the display its edges.

    f = 1 / (2 pi R C), edge = ln 9 R C, C of pin and lead at its highest.
    """
    rgb = variant.set.rgb
    farad = (1 + SET_SPREAD) * (rgb.capacitance + LEAD_F_PER_M[rgb.lead_kind] * rgb.lead_length)
    if farad == 0:
        return math.inf
    for_picture = ROOM / (2 * math.pi * (LIMITS["bandwidth_hz"].warning or 0.0) * farad)
    for_menus = ROOM * EDGE_OF_PIXEL * keys_of(variant).pixel / (TEN_TO_NINETY * farad)
    return min(for_picture, for_menus)


def wishes_of(variant: Variant) -> Wishes:
    """What the pins shall see of both, and what may not be exceeded."""
    rgb = variant.set.rgb
    return Wishes(
        picture_white_v(variant),
        menu_white_v(variant),
        clipping_v=rgb.clipping_level / (1 + TOGETHER),
        pin_ohm=rgb.resistance,
        node_ohm=node_ohm(variant),
    )


def found_for(variant: Variant) -> Found:
    """The resistors for a variant, with what else nearly serves.  Raises ValueError where nothing comes near."""
    return _found(display_of(variant), wishes_of(variant))


@lru_cache(maxsize=16)
def _found(display: Display, wishes: Wishes) -> Found:
    # Only boards on shared pins pay for it.
    from rasterport.design.shared import search

    return search(display, wishes)
