"""Facts about landings that sizing and wiring share."""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.design.termination import LINE_OHM, parallel
from rasterport.standards.bt470 import LINE_STANDARDS, LineStandard
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Variant

CONTACT_OHM = 0.1
"""A closed contact with its lead [ohm]; makers' sheets ask at most 50 to 100 milliohm."""
SWITCHED = ("changeover", "after-switch")
"""Arrangements in which the board gives the landing back to the set's own feed."""


@dataclass(frozen=True, slots=True)
class SyncLanding:
    """`switched`: through a pole.  `stays`: 75 ohm of the set remain at the landing.  `load_ohm` [ohm]."""

    switched: bool
    stays: bool
    load_ohm: float


def sync_landing(variant: Variant) -> SyncLanding:
    """What the sync landing brings: with one input and no change-over the set's own 75 ohm stays.

    A change-over moves a movable termination to the jack's side; one that must stay keeps loading the landing.
    """
    landing = variant.set.sync
    switched = landing.arrangement in SWITCHED
    stays = landing.termination == "fixed" or (landing.termination == "movable" and not switched)
    load = parallel(landing.resistance, LINE_OHM) if stays else landing.resistance
    return SyncLanding(switched, stays, load)


def carries_audio(variant: Variant) -> bool:
    """Whether the input's audio goes to the set: asked for, landed, and there on the socket."""
    source = variant.input[0]
    there = any(function.startswith("audio") for function in WIRINGS[source.socket].functions)
    return variant.set.audio is not None and source.audio != "none" and there


def line_standards(variant: Variant) -> tuple[LineStandard, ...]:
    """The line standards that the set is used with."""
    wanted = variant.set.lines
    return tuple(s for name, s in LINE_STANDARDS.items() if wanted in (name, "both"))


def count_poles(variant: Variant) -> int:
    """Poles that the change-over stage of this variant has, the blanking pole among them."""
    count = 1
    sync = sync_landing(variant)
    if sync.switched:
        # A source that is not chosen needs its own 75 ohm where the set's stays at the landing.
        count += 2 if sync.stays and variant.input[0].sync != "ttl-composite" else 1
    audio = variant.set.audio
    if audio is not None and audio.arrangement in SWITCHED and carries_audio(variant):
        count += 1 if audio.channels == "mono" else 2
    return count
