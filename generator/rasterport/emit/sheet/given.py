"""What a bench sheet is made from: everything is worked out already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from rasterport.emit.sheet.words.sections import Sections, sections
from rasterport.emit.wires.pictures import pictures_of
from rasterport.records import Bars, Circuit, Curve, Figure, Finding, Outcome, Reading
from rasterport.variant.models import Variant


@dataclass(frozen=True)
class Given:
    """A variant worked out, with its pictures as SVG.

    `digest` is that of the variant file, `remark` a warning or "".
    """

    variant: Variant
    circuit: Circuit
    digest: str
    bare_board: str = ""
    remark: str = ""
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()
    states: tuple[Outcome, ...] = ()
    readings: tuple[Reading, ...] = ()
    curves: tuple[Curve, ...] = ()
    bars: tuple[Bars, ...] = ()
    drawings: tuple[str, ...] = ()
    origins: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def words(self) -> Sections:
        """What the sheet says in words."""
        return sections(self.circuit, self.variant, self.findings, self.figures, self.states)

    @cached_property
    def pictures(self) -> dict[str, str]:
        """The wiring as pictures, by the names of their groups."""
        return pictures_of(self.circuit)

    @property
    def name(self) -> str:
        """Name of the variant."""
        return self.variant.variant.name

    @property
    def heading(self) -> str:
        """Title and revision in words."""
        about = self.variant.variant
        revision = f", revision {about.revision}" if about.revision else ""
        return f"{about.title or about.name}{revision}"
