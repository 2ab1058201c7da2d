"""The Python interface: load, design, build."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rasterport import __version__
from rasterport.analysis.bare_board import bare_board
from rasterport.analysis.definitions import DEFINITIONS
from rasterport.analysis.network import states_of
from rasterport.checks.bench import Bench, judged
from rasterport.checks.bench import codes as codes
from rasterport.circuit import compose
from rasterport.errors import OutputError, Refused, UnsafeSet
from rasterport.kinds import KINDS
from rasterport.records import Bars, Circuit, Curve, Figure, Finding, Missing, Offer, Outcome, Reading, Sampled
from rasterport.variant.load import Loaded, load_all
from rasterport.variant.models import Variant
from rasterport.variant.resolve import Resolved

if TYPE_CHECKING:
    from rasterport.ordering import Held, Order, Price

FIGURES = {key: defined.title for key, defined in DEFINITIONS.items()}
"""What each figure is, by its key."""

OF_ONE_BOARD = ("F921", "F923")
"""Findings that speak against a board that was built: they change the exit status and no file of the design."""

DESPITE = "NOT TO BE BUILT: written despite errors; see the findings"


@dataclass(frozen=True, slots=True)
class Design:
    """A variant worked out.  `circuit` is None where no board can be made; then a finding says why.

    `figures` are all numbers of the board, judged or not; `bench` is what they were measured on.
    `missing` are the keys that are unknown, what decides most first.
    """

    variant: Variant
    circuit: Circuit | None
    findings: tuple[Finding, ...]
    unsafe: bool = False
    figures: tuple[Figure, ...] = ()
    bench: Bench | None = None
    missing: tuple[Missing, ...] = ()

    @property
    def states(self) -> tuple[Outcome, ...]:
        """The distinct outcomes of every state of the switches, worked out when somebody asks."""
        from rasterport.analysis.outcomes import outcomes

        return () if self.bench is None else outcomes(self.bench.proof)

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The resistors at colour pins that a display shares: the best and what nearly serves; none for other pins."""
        from rasterport.design.offers import offers

        return () if self.circuit is None else offers(self.variant)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What to read at the bench, in the order of the work, worked out when somebody asks."""
        from rasterport.analysis.readings import readings

        return () if self.bench is None else readings(self.bench, self.bench.figures)

    @property
    def curves(self) -> tuple[Curve, ...]:
        """Figures over frequency or time, worked out when somebody asks."""
        from rasterport.analysis.curves import curves

        return () if self.bench is None else curves(self.bench.figures)

    @property
    def bars(self) -> tuple[Bars, ...]:
        """The windows of the blanking pin and of the status stages, and the margins of all findings, as bars."""
        from rasterport.analysis.margins import margins
        from rasterport.analysis.windows import blanking_window, status_windows

        if self.bench is None:
            return ()
        figures = self.bench.figures
        made = (blanking_window(figures), *status_windows(figures), margins(figures, self.findings))
        return tuple(bars for bars in made if bars is not None)

    @property
    def bare_board(self) -> str:
        """Digest of the fabricated board, "" where none is made."""
        return "" if self.circuit is None else bare_board(self.circuit)

    @property
    def failed(self) -> bool:
        """Whether a finding of severity error is among the findings."""
        return any(f.severity == "error" for f in self.findings)

    @property
    def spoilt(self) -> bool:
        """Whether one of these speaks against the board as designed, and not against one that was built by it."""
        return any(f.severity == "error" and f.code not in OF_ONE_BOARD for f in self.findings)


@dataclass(frozen=True, slots=True)
class Built:
    """What a build did: the folder, the names written (empty when nothing was), and the design.

    `replaced` are parts of no input that differ from those of the build before: role, what stood there, what does now.
    `board_before` is the digest of the fabricated board of that build, "" where there was none.
    """

    design: Design
    folder: Path
    written: tuple[str, ...]
    out_of_date: bool = False
    replaced: tuple[tuple[str, str, str], ...] = ()
    board_before: str = ""


def load(*paths: str | Path) -> tuple[Loaded, ...]:
    """Read variant files, all of them before anything else happens.

    Raises VariantError with every fault of every file, at most 50.
    """
    return load_all([Path(p) for p in paths])


def design(variant: Variant | Loaded, pixel_clocks_hz: Iterable[float] = ()) -> Design:
    """Work a variant out: sized circuit, figures, findings.  Raises nothing for a board that cannot be made.

    `pixel_clocks_hz` [Hz] are figured besides the usual ones.  Of a loaded file it is also known where each value comes
    from.
    """
    resolved = variant.resolved if isinstance(variant, Loaded) else None
    made = variant.variant if isinstance(variant, Loaded) else variant
    try:
        circuit = compose(made)
    except Refused as refusal:
        return _refused(made, refusal, resolved)
    origins = {} if resolved is None else resolved.told
    bench = Bench(made, circuit, pixel_clocks_hz=tuple(pixel_clocks_hz), resolved=resolved, origins=origins)
    return Design(made, circuit, judged(bench), figures=bench.figures.all(), bench=bench, missing=bench.missing)


def _refused(variant: Variant, refusal: Refused, resolved: Resolved | None) -> Design:
    """No board; of a file with unknown values also what each would decide, unless the set is not safe."""
    unsafe = isinstance(refusal, UnsafeSet)
    if resolved is None or not resolved.unknown or unsafe:
        return Design(variant, None, refusal.findings, unsafe)
    from rasterport.checks.origins import told
    from rasterport.checks.unknowns import missing

    found = missing(resolved, None, refusal.findings)
    return Design(variant, None, (*refusal.findings, *map(told, found)), missing=found)


def sample(done: Design, boards: int, seed: int = 1, tell: Callable[[int], None] | None = None) -> tuple[Sampled, ...]:
    """Every figure over `boards` drawn at random: its spread, and how many boards keep the limits of each finding.

    The same seed gives the same boards on every machine.  `tell` hears of every chunk of boards.  Raises ValueError for
    less than one board; nothing is sampled where no board can be made.
    """
    from rasterport.analysis.samples import sample as drawn

    if done.bench is None:
        return ()
    judged_already = {(f.figure, f.subject, f.state) for f in done.findings}
    others = [f for f in done.figures if (f.key, f.subject, f.state) not in judged_already and f.low != f.high]
    names = [(f.key, f.subject, f.state) for f in others]
    return drawn(done.bench.figures, boards, seed, done.findings, names, tell)


def lists(have: str | Path | None, prices: str | Path | None) -> tuple[tuple[Held, ...], tuple[Price, ...]]:
    """Tables of what lies in the drawer and of what parts cost; nothing for None.  Raises VariantError."""
    from rasterport import pricelists

    return (pricelists.drawer(have) if have else ()), (pricelists.prices(prices) if prices else ())


def order(done: Iterable[Design], boards: int = 1, have: Sequence[Held] = (), prices: Sequence[Price] = ()) -> Order:
    """One order for so many boards of each design; a design without a board adds nothing."""
    from rasterport import ordering

    made = [(one.variant.variant.name, one.circuit, boards) for one in done if one.circuit is not None]
    return ordering.order(made, have, prices)


def write_order(made: Order, path: str | Path) -> Path:
    """Write an order as CSV, never over a file.  Raises OutputError."""
    from rasterport.emit.orders import order_csv
    from rasterport.files import write_new

    write_new(Path(path), order_csv(made))
    return Path(path)


def explain(done: Design, name: str) -> str:
    """How the findings with a code, or the figures of a definition, were worked out: formula, values put in, source.

    Raises KeyError for a name that is neither in `codes()` nor in FIGURES.
    """
    from rasterport.emit.explain import explain_figure, explain_finding

    if name in FIGURES:
        return explain_figure(name, FIGURES[name], done.figures, done.circuit)
    return explain_finding(name, codes()[name], done.findings, done.figures, done.circuit)


def deck(done: Design, state: str) -> str:
    """SPICE deck of the board in a state.  Raises ValueError for a state that it does not have, or without a board."""
    from rasterport.analysis.simulation import simulation
    from rasterport.emit.deck import deck_text

    if done.circuit is None:
        raise ValueError("no deck of a board that cannot be made")
    control = None if done.bench is None else done.bench.control
    return deck_text(simulation(done.circuit, done.variant, state, control=control), DESPITE if done.spoilt else "")


def bench_sheet(
    done: Design,
    loaded: Loaded,
    remark: str = "",
    drawn: Sequence[str] | None = None,
) -> str:
    """The bench sheet of a design as one page.  `drawn` are the sheets of the circuit drawing where they are made.

    Raises ValueError where no board can be made.
    """
    from rasterport.emit.drawing.sheets import drawings
    from rasterport.emit.sheet.given import Given
    from rasterport.emit.sheet.page import bench_sheet as page

    if done.circuit is None:
        raise ValueError("no bench sheet of a board that cannot be made")
    about = loaded.variant.variant
    if drawn is None:
        drawn = drawings(done.circuit, about.name, about.title, about.revision, remark)
    given = Given(
        loaded.variant,
        done.circuit,
        loaded.digest,
        done.bare_board,
        remark,
        done.findings,
        done.figures,
        done.states,
        done.readings,
        done.curves,
        done.bars,
        tuple(drawn),
        {} if loaded.resolved is None else loaded.resolved.told,
    )
    return page(given)


def build(
    loaded: Loaded,
    out: str | Path = "out",
    only: Iterable[str] = KINDS,
    despite_errors: bool = False,
    overwrite: bool = False,
) -> Built:
    """Write `out`/<variant>/ from a loaded variant file.

    With a finding of severity error against the design nothing is written and an earlier folder stays as it is, unless
    `despite_errors`: then every text file says so in its first lines.  A board that cannot be made, and a set
    that is not safe, are never written.  Raises OutputError when the folder cannot be written or holds
    a file that was edited by hand and `overwrite` is not given; ValueError for an unknown kind in `only`.
    """
    # Only a build writes: `check` does not pay for what writing needs.
    from rasterport.emit import folder, manifest

    kinds = _kinds(only)
    done = design(loaded)
    target = Path(out) / loaded.variant.variant.name
    _recover(target)
    if done.circuit is None or (done.spoilt and not despite_errors):
        return Built(done, target, (), target.is_dir())
    remark = DESPITE if done.spoilt else ""
    files = {name: text.encode("utf-8") for name, text in _texts(done, loaded, kinds, remark).items()}
    earlier = folder.old_manifest(target) if target.is_dir() else {}
    version = f"rasterport {__version__}"
    listed = earlier.get("files")
    before = dict(listed) if isinstance(listed, dict) else {}
    digests = (loaded.digest, loaded.like[1] if loaded.like else None, version)
    same = (earlier.get("variant_digest"), earlier.get("like_digest"), earlier.get("generator")) == digests
    keep = {name: data for name, data in _kept(target, before, files).items() if same and not remark}
    stale = tuple(sorted(name for name in before if name not in files and name not in keep))
    listing = manifest.manifest_text(
        loaded.variant,
        loaded.digest,
        done.circuit,
        done.bare_board,
        __version__,
        {**keep, **files},
        remark,
        loaded.like,
    )
    folder.write_folder(target, {**files, manifest.NAME: listing.encode("utf-8")}, stale, overwrite)
    changed = manifest.replaced(earlier.get("shared_parts"), manifest.shared_parts(done.circuit))
    board = str(earlier.get("bare_board") or "")
    return Built(done, target, tuple(sorted([*files, manifest.NAME])), replaced=changed, board_before=board)


def _kinds(only: Iterable[str]) -> Sequence[str]:
    wanted = list(only)
    for kind in wanted:
        if kind not in KINDS:
            raise ValueError(f"a kind of result must be one of {', '.join(KINDS)}; found {kind!r}")
    return [kind for kind in KINDS if kind in wanted]


def _recover(target: Path) -> None:
    from rasterport.emit import folder

    try:
        folder.recover(target)
    except OSError as fault:
        raise OutputError(f"{target}: the folder must be writable: {fault.strerror or fault}") from fault


def _kept(target: Path, before: dict[str, str], files: dict[str, bytes]) -> dict[str, bytes]:
    """Files of the earlier build that this one does not write and that still are as they were."""
    found = {}
    for name in before:
        path = target / name
        if name not in files and path.is_file():
            found[name] = path.read_bytes()
    return found


def _texts(done: Design, loaded: Loaded, kinds: Sequence[str], remark: str) -> dict[str, str]:
    """File name -> text of everything asked for, made in memory."""
    circuit, about = done.circuit, loaded.variant.variant
    if circuit is None:
        return {}
    texts: dict[str, str] = {}
    if "net" in kinds:
        from rasterport.emit.footprints import footprint_files
        from rasterport.emit.netlist import netlist_text
        from rasterport.realise import realise

        realised = realise(circuit)
        texts[f"{about.name}.net"] = netlist_text(realised, about.name, about.title, about.revision, remark)
        texts |= footprint_files(remark)
    if "bom" in kinds:
        from rasterport.emit.bom import bom_text

        texts[f"{about.name}.bom.csv"] = bom_text(circuit, remark)
    if "wiring" in kinds:
        from rasterport.emit.wiring import wiring_text

        texts[f"{about.name}.wiring.csv"] = wiring_text(circuit, remark)
    if "findings" in kinds:
        from rasterport.emit.findings import findings_text

        texts[f"{about.name}.findings.json"] = findings_text(
            done.findings,
            done.figures,
            about.name,
            loaded.digest,
            remark,
            done.states,
            {} if loaded.resolved is None else loaded.resolved.told,
        )
    if "deck" in kinds:
        for state in states_of(loaded.variant):
            texts[f"{about.name}.{state}.cir"] = deck(done, state)
    if "panel" in kinds:
        from rasterport.blocks.panel_openings import openings
        from rasterport.design.panel import arrange

        if through := openings(circuit):
            from rasterport.emit.panel_dxf import panel_dxf
            from rasterport.emit.panel_svg import panel_svg

            panel, title = arrange(through), about.title or about.name
            texts[f"{about.name}.panel.svg"] = panel_svg(panel, title, remark)
            texts[f"{about.name}.panel.dxf"] = panel_dxf(panel, title, remark)
    sheets: list[str] = []
    if "svg" in kinds or "html" in kinds:
        from rasterport.emit.drawing.sheets import drawings

        sheets = drawings(circuit, about.name, about.title, about.revision, remark)
    if "svg" in kinds:
        for number, sheet in enumerate(sheets, 1):
            texts[f"{about.name}.svg" if number == 1 else f"{about.name}.{number}.svg"] = sheet
    if "wires" in kinds:
        from rasterport.emit.wires.pictures import wiring_pictures

        wirings = wiring_pictures(circuit, about.name, about.title, about.revision, remark)
        for number, sheet in enumerate(wirings, 1):
            texts[f"{about.name}.wiring.svg" if number == 1 else f"{about.name}.wiring.{number}.svg"] = sheet
    if "html" in kinds:
        texts[f"{about.name}.html"] = bench_sheet(done, loaded, remark, sheets)
    return texts


def to_paper(built: Built, overwrite: bool = False) -> Path:
    """Print the bench sheet and the drawings of a build as `<variant>.pdf` beside them; it stands in no manifest.

    Raises OutputError where the build has neither, where nothing prints or it fails, and where a file that is not ours,
    or was changed, stands in the way and `overwrite` is not given.
    """
    from rasterport.printing import print_text

    pdf, page = _paper(built)
    if not page:
        raise OutputError(f"{pdf}: no PDF; bench sheet or drawing must be built for it: leave out --only")
    return print_text(page, pdf, overwrite)


def paper_is_old(built: Built) -> Path | None:
    """A PDF of an earlier build that shows something else than this one; None where there is none."""
    pdf = built.folder / f"{built.design.variant.variant.name}.pdf"
    if not pdf.is_file():
        return None
    from rasterport.emit.manifest import digest
    from rasterport.printing import printed_from

    before = printed_from(pdf)
    return pdf if before is not None and before != digest(_paper(built)[1].encode("utf-8")) else None


def survey_to_paper(pdf: str | Path) -> Path:
    """Print the survey sheet.  Raises OutputError as `to_paper` does."""
    from rasterport.emit.survey_page import survey_page
    from rasterport.printing import print_text

    return print_text(survey_page(), Path(pdf))


def _paper(built: Built) -> tuple[Path, str]:
    """Where the PDF of a build belongs, and the page to print; "" where nothing is built that is printed.

    It shows what the manifest lists, written by this build or by one before it.
    """
    from rasterport.emit import folder
    from rasterport.emit.paper import paper_page

    about = built.design.variant.variant
    listed = folder.old_manifest(built.folder).get("files")
    held = sorted(listed) if isinstance(listed, dict) else []
    sheets = [name for name in held if re.fullmatch(rf"{re.escape(about.name)}(\.\d+)?\.svg", name)]
    numbered = sorted(sheets, key=lambda name: (len(name), name))  # heron.svg, heron.2.svg, ... heron.10.svg
    names = [*numbered, *(name for name in held if name == f"{about.name}.panel.svg")]
    sheet = f"{about.name}.html" if f"{about.name}.html" in held else ""

    def text(name: str) -> str:
        return (built.folder / name).read_text(encoding="utf-8")

    page = paper_page(f"{about.name}: drawings", text(sheet) if sheet else "", [text(n) for n in names])
    return built.folder / f"{about.name}.pdf", page if sheet or names else ""
