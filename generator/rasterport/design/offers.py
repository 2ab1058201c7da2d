"""What the sizing of shared pins offers besides the resistors that are placed, as plain records."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rasterport.design.landings import is_shared, is_switched
from rasterport.records import Offer
from rasterport.variant.models import Variant

if TYPE_CHECKING:
    from rasterport.design.mixing import Combination


def offers(variant: Variant) -> tuple[Offer, ...]:
    """The best combination and its runners-up; none where no display shares the pins."""
    if not is_shared(variant) or is_switched(variant):
        return ()
    from rasterport.design.insertion import found_for  # few sets have a display on these pins
    from rasterport.design.yielding import GIVEN

    found = found_for(variant)
    best = _offer(found.best, f"best, {found.series}", "")
    return (best, *(_offer(r.choice, f"less {GIVEN[r.wish]}", r.gives_up) for r in found.runners_up))


def _offer(made: Combination, title: str, gives_up: str) -> Offer:
    return Offer(
        title,
        gives_up,
        made.termination_ohm,
        made.series_ohm,
        made.display_ohm,
        None if math.isinf(made.ground_ohm) else made.ground_ohm,
        made.external_v,
        made.display_v,
        made.display_unplugged_v,
        made.display_native_v,
        made.both_v,
        made.return_loss_db,
        made.node_ohm,
    )
