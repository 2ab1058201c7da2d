"""What can go wrong, how it looks or sounds, where to measure on this board, what to expect there, what to do.

Only what can happen on this board: no fault of sound without sound, of a relay without one.
"""

from __future__ import annotations

from collections.abc import Sequence

from rasterport.emit.sheet.words.facts import Facts
from rasterport.emit.sheet.words.faults_control import control
from rasterport.emit.sheet.words.faults_picture import picture
from rasterport.emit.sheet.words.faults_shape import shape
from rasterport.emit.sheet.words.faults_sound import sound
from rasterport.emit.sheet.words.faults_switching import switching
from rasterport.emit.sheet.words.faults_sync import syncs
from rasterport.emit.sheet.words.kinds import Fault
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.variant.models import Variant

OPENING = (
    "Whatever is wrong: first pull the plug of the source, then switch the set off.",
    "Look before you measure: most faults are a joint, a wire in the wrong place, or a plug.",
    "A dead set is unplugged, tube and mains capacitor discharged. An ohmmeter's own leads are taken off.",
    "A reading under power is taken as the cautions say: isolation transformer, black lead clipped first, one hand.",
    "A fault that the set had before, with the board's wires off, is none of the board's.",
)
"""What stands in front of the faults."""


def faults(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> tuple[Fault, ...]:
    """Every fault that this board can have: grounds, switching, sync, colours, sound."""
    facts = Facts(circuit, variant, findings, figures, states)
    colours = tuple(picture(facts))
    return (*colours[:1], *switching(facts), *control(facts), *syncs(facts), *colours[1:], *shape(facts), *sound(facts))
