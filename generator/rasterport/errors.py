"""The exceptions of Rasterport, under one root.  Messages say what must be true, then what was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rasterport.records import Finding


class RasterportError(Exception):
    """Root of all faults that a user can meet.  `exit_status` is what the command line ends with."""

    exit_status = 2


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in a file: where, which key, what was found, what is allowed."""

    file: str
    line: int
    key: str
    found: str
    allowed: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        key = f" {self.key}:" if self.key else ""
        found = f" found {self.found};" if self.found else ""
        return f"{place}:{key}{found} {self.allowed}"


class VariantError(RasterportError):
    """A variant file that cannot be used.  `faults` holds every fault of the run, at most 50."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(f) for f in faults))


class Refused(RasterportError):
    """The variant is well formed but no board can be made for it.

    `findings` are of severity error, each with what is in the way and what would help.
    """

    exit_status = 1

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        super().__init__("\n".join(f"{f.code} {f.subject}: {f.message}" for f in findings))


class UnsafeSet(Refused):
    """The signal ground is live or not verified: no file is written, whatever the options say."""


class OutputError(RasterportError):
    """A folder cannot be written, or holds a file that was edited by hand."""


class WiringFault(RasterportError):
    """Two blocks contradict each other: a fault of the generator, never of the user's file."""
