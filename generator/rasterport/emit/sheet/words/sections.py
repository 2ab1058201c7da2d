"""All words of a bench sheet at once, section by section in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rasterport.emit.sheet.words.before import OPENING as BEFORE
from rasterport.emit.sheet.words.before import before
from rasterport.emit.sheet.words.card import card
from rasterport.emit.sheet.words.cautions import cautions
from rasterport.emit.sheet.words.faults import OPENING, faults
from rasterport.emit.sheet.words.kinds import Behaviour, Caution, Check, Fault, Passage, Step, texts
from rasterport.emit.sheet.words.picture import picture
from rasterport.emit.sheet.words.purpose import behaviours, purpose
from rasterport.records import Circuit, Figure, Finding, Outcome
from rasterport.variant.models import Variant


@dataclass(frozen=True, slots=True)
class Sections:
    """The sections in the order of the page; `before_opening` and `opening` stand in front of checks and faults."""

    cautions: tuple[Caution, ...]
    before_opening: tuple[str, ...]
    before: tuple[Check, ...]
    purpose: tuple[Passage, ...]
    behaviours: tuple[Behaviour, ...]
    picture: tuple[Step, ...]
    opening: tuple[str, ...]
    faults: tuple[Fault, ...]
    card: tuple[Passage, ...]

    def texts(self) -> tuple[str, ...]:
        """Every text in the order of the page."""
        return tuple(texts(self))


def sections(
    circuit: Circuit,
    variant: Variant,
    findings: Sequence[Finding],
    figures: Sequence[Figure],
    states: Sequence[Outcome],
) -> Sections:
    """The words of a board's sheet."""
    given = (circuit, variant, findings, figures, states)
    return Sections(
        cautions(*given),
        BEFORE,
        before(*given),
        purpose(*given),
        behaviours(*given),
        picture(*given),
        OPENING,
        faults(*given),
        card(*given),
    )
