"""What a build writes: a row a kind, with the names of its files and what makes their text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from rasterport.analysis.network import states_of
from rasterport.records import Circuit
from rasterport.variant.load import Loaded

if TYPE_CHECKING:
    from rasterport.api import Design

DESPITE = "NOT TO BE BUILT: written despite errors; see the findings"

Texts = dict[str, str]
"""File name below the variant's folder -> text."""


@dataclass(frozen=True)
class Job:
    """A design with a board, the file that it is of, and the remark that heads each text, "" for none."""

    done: Design
    loaded: Loaded
    circuit: Circuit
    remark: str = ""

    @property
    def name(self) -> str:
        """Of the variant, which every file bears that is of no library."""
        return self.loaded.variant.variant.name

    @property
    def title(self) -> str:
        """Of the variant, "" where it has none."""
        return self.loaded.variant.variant.title

    @property
    def revision(self) -> str:
        """Of the variant, "" where it has none."""
        return self.loaded.variant.variant.revision

    @cached_property
    def drawings(self) -> list[str]:
        """The sheets of the circuit drawing, which the bench sheet shows too."""
        from rasterport.emit.drawing.sheets import drawings

        return drawings(self.circuit, self.name, self.title, self.revision, self.remark)

    @property
    def origins(self) -> dict[str, str]:
        """Where each value of the variant comes from, by its key."""
        return {} if self.loaded.resolved is None else self.loaded.resolved.told


def deck(done: Design, state: str) -> str:
    """SPICE deck of the board in a state.  Raises ValueError for a state that it does not have, or without a board."""
    from rasterport.analysis.simulation import simulation
    from rasterport.emit.deck import deck_text

    if done.circuit is None:
        raise ValueError("no deck of a board that cannot be made")
    control = None if done.bench is None else done.bench.control
    return deck_text(simulation(done.circuit, done.variant, state, control=control), DESPITE if done.spoilt else "")


def bench_sheet(done: Design, loaded: Loaded, remark: str = "") -> str:
    """The bench sheet of a design as one page.  Raises ValueError where no board can be made."""
    if done.circuit is None:
        raise ValueError("no bench sheet of a board that cannot be made")
    return _page(Job(done, loaded, done.circuit, remark))


def _page(job: Job) -> str:
    from rasterport.emit.sheet.given import Given
    from rasterport.emit.sheet.page import bench_sheet as page

    done, drawn = job.done, tuple(job.drawings)
    given = Given(
        job.loaded.variant,
        job.circuit,
        job.loaded.digest,
        done.bare_board,
        job.remark,
        done.findings,
        done.figures,
        done.states,
        done.readings,
        done.curves,
        done.bars,
        drawn,
        job.origins,
    )
    return page(given)


def _html(job: Job) -> Texts:
    return {f"{job.name}.html": _page(job)}


def _svg(job: Job) -> Texts:
    return _sheets(job.name, job.drawings)


def _wires(job: Job) -> Texts:
    from rasterport.emit.wires.pictures import wiring_pictures

    made = wiring_pictures(job.circuit, job.name, job.title, job.revision, job.remark)
    return _sheets(f"{job.name}.wiring", made)


def _sheets(stem: str, sheets: Sequence[str]) -> Texts:
    """`stem`.svg, `stem`.2.svg and so on."""
    return {f"{stem}.svg" if n == 1 else f"{stem}.{n}.svg": sheet for n, sheet in enumerate(sheets, 1)}


def _bom(job: Job) -> Texts:
    from rasterport.emit.bom import bom_text

    return {f"{job.name}.bom.csv": bom_text(job.circuit, job.remark)}


def _wiring(job: Job) -> Texts:
    from rasterport.emit.wiring import wiring_text

    return {f"{job.name}.wiring.csv": wiring_text(job.circuit, job.remark)}


def _findings(job: Job) -> Texts:
    from rasterport.emit.findings import findings_text

    done = job.done
    text = findings_text(done.findings, done.figures, job.name, job.loaded.digest, job.remark, done.states, job.origins)
    return {f"{job.name}.findings.json": text}


def _deck(job: Job) -> Texts:
    return {f"{job.name}.{state}.cir": deck(job.done, state) for state in states_of(job.loaded.variant)}


def _net(job: Job) -> Texts:
    from rasterport.emit.footprints import footprint_files
    from rasterport.emit.netlist import netlist_text
    from rasterport.realise import realise

    netlist = netlist_text(realise(job.circuit), job.name, job.title, job.revision, job.remark)
    return {f"{job.name}.net": netlist, **footprint_files(job.remark)}


def _panel(job: Job) -> Texts:
    from rasterport.blocks.panel_openings import openings
    from rasterport.design.panel import arrange

    through = openings(job.circuit)
    if not through:
        return {}
    from rasterport.emit.panel_dxf import panel_dxf
    from rasterport.emit.panel_svg import panel_svg

    panel, title = arrange(through), job.title or job.name
    return {
        f"{job.name}.panel.svg": panel_svg(panel, title, job.remark),
        f"{job.name}.panel.dxf": panel_dxf(panel, title, job.remark),
    }


ROWS: dict[str, tuple[str, Callable[[Job], Texts]]] = {
    "html": (r"{}\.html", _html),
    "svg": (r"{}(\.\d+)?\.svg", _svg),
    "wires": (r"{}\.wiring(\.\d+)?\.svg", _wires),
    "bom": (r"{}\.bom\.csv", _bom),
    "wiring": (r"{}\.wiring\.csv", _wiring),
    "findings": (r"{}\.findings\.json", _findings),
    "deck": (r"{}\.[a-z0-9+-]+\.cir", _deck),
    "net": (r"{}\.net|fp-lib-table|rasterport\.pretty/.+", _net),
    "panel": (r"{}\.panel\.(svg|dxf)", _panel),
}
"""Kind -> what its files are called, with the variant's name at {}, and what makes them.

In the order of the making: what needs a large library comes last, since it takes the room that the page has given back.
"""


def texts(job: Job, kinds: Iterable[str]) -> Texts:
    """Everything asked for, made in memory."""
    wanted = set(kinds)
    found: Texts = {}
    for kind, (_, make) in ROWS.items():
        if kind in wanted:
            found |= make(job)
    return found


def kind_of(file: str, name: str) -> str:
    """The kind that a file of a variant's folder is of, "" for none."""
    found = (kind for kind, (called, _) in ROWS.items() if re.fullmatch(called.format(re.escape(name)), file))
    return next(found, "")
