"""The Python interface: load, design, build."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rasterport import __version__
from rasterport.analysis.bare_board import bare_board
from rasterport.analysis.definitions import DEFINITIONS
from rasterport.checks.bench import Bench, judged
from rasterport.checks.bench import codes as codes
from rasterport.circuit import compose
from rasterport.errors import OutputError, Refused, UnsafeSet
from rasterport.kinds import KINDS
from rasterport.records import Bars, Circuit, Curve, Figure, Finding, Missing, Offer, Outcome, Reading, Sampled
from rasterport.results import DESPITE, Job, kind_of, texts
from rasterport.results import bench_sheet as bench_sheet
from rasterport.results import deck as deck
from rasterport.variant.load import Loaded, load_all
from rasterport.variant.models import Variant
from rasterport.variant.resolve import Resolved

if TYPE_CHECKING:
    from rasterport.ordering import Held, Order, Price

FIGURES = {key: defined.title for key, defined in DEFINITIONS.items()}
"""What each figure is, by its key."""

OF_ONE_BOARD = ("F921", "F923")
"""Findings that speak against a board that was built: they change the exit status and no file of the design."""


@dataclass(frozen=True, slots=True)
class Design:
    """A variant worked out.  `circuit` is None where no board can be made; then a finding says why.

    `figures` are all numbers of the board, judged or not; `bench` is what they were measured on.
    `missing` are the keys that are unknown, what decides most first; `defaults` those of the set for which a default is
    taken though somebody could measure them.
    """

    variant: Variant
    circuit: Circuit | None
    findings: tuple[Finding, ...]
    unsafe: bool = False
    figures: tuple[Figure, ...] = ()
    bench: Bench | None = None
    missing: tuple[Missing, ...] = ()
    defaults: tuple[tuple[str, ...], ...] = ()

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
    defaults = () if resolved is None else resolved.defaults
    return Design(made, circuit, judged(bench), False, bench.figures.all(), bench, bench.missing, defaults)


def _refused(variant: Variant, refusal: Refused, resolved: Resolved | None) -> Design:
    """No board; of a file with unknown values also what each would decide, unless the set is not safe."""
    unsafe = isinstance(refusal, UnsafeSet)
    if resolved is None or not resolved.unknown or unsafe:
        return Design(variant, None, refusal.findings, unsafe)
    from rasterport.checks.origins import told
    from rasterport.checks.unknowns import missing

    found = missing(resolved, None, refusal.findings)
    findings = (*refusal.findings, *map(told, found))
    return Design(variant, None, findings, missing=found, defaults=resolved.defaults)


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
    made = texts(Job(done, loaded, done.circuit, remark), kinds)
    files = {name: text.encode("utf-8") for name, text in made.items()}
    earlier = folder.old_manifest(target) if target.is_dir() else {}
    version = f"rasterport {__version__}"
    before = folder.files_of(earlier)
    digests = (loaded.digest, loaded.like[1] if loaded.like else None, version)
    same = (earlier.get("variant_digest"), earlier.get("like_digest"), earlier.get("generator")) == digests
    others = [name for name in before if kind_of(name, loaded.variant.variant.name) not in kinds]
    keep = _present(target, others) if same and not remark else {}
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


def _present(target: Path, names: Iterable[str]) -> dict[str, bytes]:
    """Those of the names that are files below a folder."""
    return {name: (target / name).read_bytes() for name in names if (target / name).is_file()}


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


def paper_lacks(built: Built) -> tuple[str, ...]:
    """What a whole print of this board has and one of what is built has not."""
    from rasterport.blocks.panel_openings import openings
    from rasterport.emit import folder

    listed = folder.files_of(folder.old_manifest(built.folder))
    held = {kind_of(name, built.design.variant.variant.name) for name in listed}
    parts = {"html": "bench sheet", "svg": "circuit drawing", "panel": "panel drawing"}
    circuit = built.design.circuit
    if circuit is None or not openings(circuit):
        del parts["panel"]
    return tuple(words for kind, words in parts.items() if kind not in held)


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
    """Print the survey sheet, never over a file.  Raises OutputError as `to_paper` does."""
    from rasterport.emit.survey_page import survey_page
    from rasterport.files import refuse_existing
    from rasterport.printing import print_text

    refuse_existing(Path(pdf))
    return print_text(survey_page(), Path(pdf))


def _paper(built: Built) -> tuple[Path, str]:
    """Where the PDF of a build belongs, and the page to print; "" where nothing is built that is printed.

    It shows what the manifest lists, written by this build or by one before it.
    """
    from rasterport.emit import folder
    from rasterport.emit.paper import paper_page

    about = built.design.variant.variant
    held = sorted(folder.files_of(folder.old_manifest(built.folder)))
    sheets = [name for name in held if kind_of(name, about.name) == "svg"]
    numbered = sorted(sheets, key=lambda name: (len(name), name))  # heron.svg, heron.2.svg, ... heron.10.svg
    names = [*numbered, *(name for name in held if name == f"{about.name}.panel.svg")]
    sheet = f"{about.name}.html" if f"{about.name}.html" in held else ""

    def text(name: str) -> str:
        return (built.folder / name).read_text(encoding="utf-8")

    page = paper_page(f"{about.name}: drawings", text(sheet) if sheet else "", [text(n) for n in names])
    return built.folder / f"{about.name}.pdf", page if sheet or names else ""
