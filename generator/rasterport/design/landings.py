"""Facts about landings that sizing and wiring share."""

from __future__ import annotations

from dataclasses import dataclass

from rasterport.design.termination import LINE_OHM, parallel
from rasterport.records import COLOURS
from rasterport.standards.bt470 import LINE_STANDARDS, LineStandard
from rasterport.standards.sockets import WIRINGS
from rasterport.variant.models import Variant

CONTACT_OHM = 0.1
"""A closed contact with its lead [ohm]; makers' sheets ask at most 50 to 100 milliohm."""
LEAD_F_PER_M = {"hook-up": 50e-12, "coax": 64e-12}
"""Capacitance of a wire beside its return: hook-up 15 pF for 0.3 m (judgement), RG-179 64 pF/m (from memory)."""
BLANKING_PIN_F = 5e-12
"""Capacitance of a blanking pin [F]; as that of a colour pin of Philips TDA933x, data sheet 2002."""
SWITCHED = ("changeover", "after-switch")
"""Arrangements in which the board gives the landing back to the set's own feed."""


@dataclass(frozen=True, slots=True)
class SyncLanding:
    """`switched`: through a pole.  `stays`: 75 ohm of the set remain at the landing.  `load_ohm` [ohm]."""

    switched: bool
    stays: bool
    load_ohm: float


def is_shared(variant: Variant) -> bool:
    """Whether the colour pins are those of the set's own display, which keeps them in every state."""
    return variant.set.rgb.insertion == "shared" and variant.set.display is not None


def is_switched(variant: Variant) -> bool:
    """Whether input and display take turns at the colour pins instead of adding up there."""
    return is_shared(variant) and variant.board.opaque_menus


def sync_landing(variant: Variant) -> SyncLanding:
    """What the sync landing brings: with one input and no change-over the set's own 75 ohm stays.

    A change-over moves a movable termination to the jack's side; one that must stay keeps loading the landing.
    """
    landing = variant.set.sync
    switched = landing.arrangement in SWITCHED
    stays = landing.termination == "fixed" or (landing.termination == "movable" and not switched)
    load = parallel(landing.resistance, LINE_OHM) if stays else landing.resistance
    return SyncLanding(switched, stays, load)


def carries_audio(variant: Variant, index: int) -> bool:
    """Whether an input's audio goes to the set: asked for, landed, and there on the socket."""
    source = variant.input[index - 1]
    there = any(function.startswith("audio") for function in WIRINGS[source.socket].functions)
    return variant.set.audio is not None and source.audio != "none" and there


def lands_audio(variant: Variant) -> bool:
    """Whether audio of any input goes to the set."""
    return any(carries_audio(variant, n) for n in range(1, len(variant.input) + 1))


def sides(variant: Variant) -> tuple[str, ...]:
    """The landings of sound that the board has."""
    if variant.set.audio is None or not lands_audio(variant):
        return ()
    return ("left",) if variant.set.audio.channels == "mono" else ("left", "right")


def lines_of(variant: Variant) -> tuple[str, ...]:
    """Every line that the board carries from an input to the set."""
    return (*COLOURS, "sync", *sides(variant))


def separated(variant: Variant, index: int) -> bool:
    """Whether the sync of an input is taken out of its composite video: the landing wants sync alone."""
    return variant.input[index - 1].sync == "composite-video" and variant.set.sync.accepts == "clean-sync"


def through(variant: Variant, index: int) -> bool:
    """Whether the sync of an input goes through as it comes, at 75 ohm."""
    return variant.input[index - 1].sync != "ttl-composite" and not separated(variant, index)


def line_standards(variant: Variant) -> tuple[LineStandard, ...]:
    """The line standards that the set is used with."""
    wanted = variant.set.lines
    return tuple(s for name, s in LINE_STANDARDS.items() if wanted in (name, "both"))


def chained(variant: Variant) -> bool:
    """Whether a chain of relay stages, one an input, chooses and gives back."""
    return variant.selector.path == "relay" and len(variant.input) > 1


def count_poles(variant: Variant) -> int:
    """Poles of the stage that acts whatever input is chosen, the blanking pole among them."""
    count = 1
    if chained(variant):
        return count
    if is_shared(variant):
        count += len(COLOURS)
    sync = sync_landing(variant)
    if sync.switched:
        # A source that is not chosen needs its own 75 ohm where the set's stays at the landing.
        count += 2 if sync.stays and through(variant, 1) else 1
    audio = variant.set.audio
    if audio is not None and audio.arrangement in SWITCHED:
        count += len(sides(variant))
    return count


def count_relays(variant: Variant) -> int:
    """Relays that are energised at once, two poles each: of a chain those of the input that is chosen."""
    return (count_poles(variant) + 1) // 2 + ((len(lines_of(variant)) + 1) // 2 if chained(variant) else 0)
