"""The command line.  Imports nothing heavy until a command runs."""

from __future__ import annotations

import gc
import io
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rasterport.kinds import KINDS
from rasterport.terminal import complain, lost, say, unwritten

if TYPE_CHECKING:
    from rasterport.api import Built, Design
    from rasterport.variant.load import Loaded

MOST_SAMPLES = 1_000_000_000
COLLECT_AFTER = 100_000
LONG_RUN = 50_000
"""So many boards take a second or so."""
EXIT_FINDING, EXIT_FILE, EXIT_INTERRUPTED = 1, 2, 130


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="rasterport", prog_name="rasterport")
def cli() -> None:
    """Adapter boards that take native RGB into a consumer CRT television set.

    One text file a set goes in; a sized, checked, orderable board comes out.  Begin with
    `rasterport templates` and `rasterport new NAME --from TEMPLATE`.
    """


@cli.command()
def templates() -> None:
    """List the templates, one line each."""
    from rasterport.variant.templates import template_names, template_summary

    for name in template_names():
        say(f"{name:<16} {template_summary(name)}")


@cli.command()
@click.argument("name")
@click.option("--from", "template", required=True, metavar="TEMPLATE", help="Template to start from.")
def new(name: str, template: str) -> None:
    """Write NAME.toml in the current folder, with comments; never over a file."""
    from rasterport.variant.templates import base_of, new_file

    path = new_file(name, template, Path())
    base = base_of(template)
    beside = f"  It is like {base}.toml, which lies beside it." if base else ""
    say(f"{path} written.{beside}  Its signal ground counts as unverified until you say how you verified it.")
    say(f"Fill in what you measured (rasterport survey tells how), then run: rasterport check {path}")


@cli.command()
@click.option("--html", "page", is_flag=True, help="Print a page to write on, as HTML, to stdout.")
@click.option("--pdf", metavar="FILE", help="Write that page as PDF, where a browser is installed; never over a file.")
def survey(page: bool, pdf: str | None) -> None:
    """Print what to look up and measure on a set, in a safe order, key by key."""
    from rasterport.emit.survey import survey_text

    if page and pdf is not None:
        raise click.UsageError("--html prints the page, --pdf writes it to a file: one of them")
    if pdf is not None:
        from rasterport import api

        say(f"{api.survey_to_paper(pdf)} written")
    elif page:
        from rasterport.emit.survey_page import survey_page

        say(survey_page().rstrip("\n"))
    else:
        say(survey_text().rstrip("\n"))


@cli.command()
@click.argument("names", nargs=-1, metavar="[NAME]...")
def processors(names: tuple[str, ...]) -> None:
    """List the video processors whose figures are known, with the source of each."""
    from rasterport.emit.processors import processors_text
    from rasterport.parts.processors import processor

    for name in names:
        try:
            processor(name)
        except KeyError as fault:
            raise click.BadParameter(str(fault.args[0]), param_hint="NAME") from fault
    for line in processors_text(names):
        say(line)


@cli.command()
@click.option("--results", is_flag=True, help="The schema of findings.json instead.")
def schema(results: bool) -> None:
    """Print the JSON Schema of the variant file."""
    import json

    from rasterport.emit.findings import results_schema
    from rasterport.emit.schema import variant_schema

    say(json.dumps(results_schema() if results else variant_schema(), indent=1))


FILES = click.argument("files", nargs=-1, required=True, metavar="FILE...")  # judged by the loader, all in one run


@cli.command()
@FILES
@click.option("--samples", type=click.IntRange(1, MOST_SAMPLES), metavar="N", help="Yield of N boards at random.")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N", help="Seed of the samples.")
@click.option("--pixel-clock", "clocks", multiple=True, metavar="HZ", help='Figure this pixel clock too, as "6 MHz".')
@click.option("--explain", "codes", multiple=True, metavar="NAME", help="Only how this finding or figure came about.")
@click.option("--deck", metavar="STATE", help="Only the SPICE deck in this state.")
@click.option("--states", is_flag=True, help="Only what the switching does, in every state.")
@click.option("--resolved", is_flag=True, help="Only the full variant, each key with where it comes from.")
@click.pass_context
def check(
    ctx: click.Context,
    files: tuple[str, ...],
    samples: int | None,
    seed: int,
    clocks: tuple[str, ...],
    codes: tuple[str, ...],
    deck: str | None,
    states: bool,
    resolved: bool,
) -> None:
    """Print sized values with their reasons, figures with their worst cases, and findings; write nothing.

    States of a deck: native, input-1, and each with +rail-off.
    """
    from rasterport import api

    known = (*api.codes(), *api.FIGURES) if codes else ()
    wanted = [code if code in api.FIGURES else code.upper() for code in codes]
    for given, code in zip(codes, wanted, strict=True):
        if code not in known:
            import difflib

            near = difflib.get_close_matches(code, known, 3) or difflib.get_close_matches(given.lower(), known, 3)
            hint = f", perhaps {' or '.join(near)}" if near else ""
            text = f"must be a finding such as F202 or a figure such as level{hint}; found {given!r}"
            raise click.BadParameter(text, param_hint="--explain")
    hertz = [_clock(clock) for clock in clocks]
    if deck is not None and (wanted or samples):
        raise click.UsageError("--deck prints nothing but the deck: leave out --explain and --samples")
    if wanted and samples:
        raise click.UsageError("--explain prints nothing but explanations: leave out --samples")
    if states and (deck is not None or wanted or samples):
        raise click.UsageError("--states prints nothing but the states: leave out --deck, --explain and --samples")
    if resolved and (states or deck is not None or wanted or samples):
        raise click.UsageError("--resolved prints nothing but the variant: leave out the other options")
    loaded = api.load(*files)
    if deck is not None and len(loaded) != 1:
        raise click.BadParameter(f"takes one variant file, found {len(loaded)}", param_hint="--deck")

    def work(one: Loaded) -> int:
        if resolved:
            return _resolved(one)
        done = api.design(one, hertz)
        if deck is not None:
            return _deck(done, deck)
        if states:
            return _states(done)
        if wanted:
            say("\n\n".join(api.explain(done, code) for code in wanted))
            return EXIT_FINDING if done.failed else 0
        _caution(one)
        status = _show(done, full=True)
        if samples is not None and done.bench is not None:
            _samples(done, samples, seed)
        return status

    ctx.exit(_each(loaded, work))


def _clock(given: str) -> float:
    """A pixel clock in hertz, 1 to 100 MHz."""
    from rasterport.units import QuantityError, read

    try:
        hertz = read(given, "Hz")
    except QuantityError as fault:
        raise click.BadParameter(f"{fault.allowed}; found {given!r}", param_hint="--pixel-clock") from fault
    if not 1e6 <= hertz <= 100e6:
        raise click.BadParameter(f"must be 1 to 100 MHz; found {given!r}", param_hint="--pixel-clock")
    return hertz


def _deck(done: Design, state: str) -> int:
    from rasterport import api

    try:
        say(api.deck(done, state).rstrip("\n"))
    except ValueError as fault:
        raise click.BadParameter(str(fault), param_hint="--deck") from fault
    return EXIT_FINDING if done.failed else 0


def _resolved(one: Loaded) -> int:
    from rasterport.emit.resolved import resolved_text

    for line in resolved_text(one.resolved) if one.resolved is not None else ():
        say(line)
    return 0


def _states(done: Design) -> int:
    """The truth table, or why there is none."""
    from rasterport.emit import listing
    from rasterport.emit import states as table

    say(f"{done.variant.variant.name}  {done.variant.variant.title}".rstrip())
    for line in table.states(done.states) if done.circuit is not None else listing.grave(done.findings):
        say(line)
    return EXIT_FINDING if done.failed else 0


def _samples(done: Design, boards: int, seed: int) -> None:
    """Yields; a bar on stderr where somebody looks at it and it would take a while."""
    from rasterport import api
    from rasterport.emit import listing

    if boards >= LONG_RUN and sys.stderr.isatty():
        with click.progressbar(length=boards, label="boards", file=sys.stderr) as bar:
            found = api.sample(done, boards, seed, bar.update)
    else:
        found = api.sample(done, boards, seed)
    say(f"\n{boards} boards, seed {seed}: how many keep the limit; median (from 1 % to 99 % of the boards)")
    for line in listing.samples(found):
        say(line)


@cli.command()
@FILES
@click.option(
    "--out",
    default="out",
    show_default=True,
    metavar="DIR",
    help="Folder of the results.",
)
@click.option("--only", default=",".join(KINDS), show_default=True, metavar="KINDS", help="What to write.")
@click.option("--despite-errors", is_flag=True, help="Write a board with errors, marked in every text file.")
@click.option("--overwrite", is_flag=True, help="Lose edits made by hand in the results.")
@click.option("--pdf", is_flag=True, help="Also print bench sheet and drawings, where a browser is installed.")
@click.pass_context
def build(
    ctx: click.Context, files: tuple[str, ...], out: str, only: str, despite_errors: bool, overwrite: bool, pdf: bool
) -> None:
    """Write DIR/<variant>/ with netlist, footprints, bill of materials, wiring list, findings and SPICE decks."""
    from rasterport import api

    kinds = [kind.strip() for kind in only.split(",") if kind.strip()]
    wrong = [kind for kind in kinds if kind not in KINDS]
    if wrong or not kinds:
        raise click.BadParameter(f"must be some of {','.join(KINDS)}; found {only!r}", param_hint="--only")
    if not out:
        raise click.BadParameter('must name a folder, "." for this one; found nothing', param_hint="--out")
    loaded = api.load(*files)

    def work(one: Loaded) -> int:
        _caution(one)
        built = api.build(one, out, kinds, despite_errors, overwrite)
        status = _built(built)
        if built.written:
            _to_paper(built, pdf, overwrite)
        return status

    ctx.exit(_each(loaded, work))


def _to_paper(built: Built, wanted: bool, overwrite: bool) -> None:
    """The PDF and what it leaves out; one that shows an earlier build is named, since a build leaves it alone."""
    from rasterport import api

    if not wanted:
        old = api.paper_is_old(built)
        if old is not None:
            complain(f"{old} is out of date: it was printed from an earlier build.  Print it again with --pdf.")
        return
    pdf, lacks = api.to_paper(built, overwrite), api.paper_lacks(built)
    without = f", without {' and '.join(lacks)}, which --only left out" if lacks else ""
    say(f"{pdf} printed{without}")


def _caution(one: Loaded) -> None:
    """Say that the ground was verified on another set, before anything else: results are those of one file alone."""
    if one.resolved is not None and one.resolved.ground_of_another:
        complain(f"{one.file}: {one.resolved.ground_of_another}")


@cli.command()
@FILES
@click.option(
    "--boards", type=click.IntRange(1, 1000), default=1, show_default=True, metavar="N", help="Boards of each."
)
@click.option("--have", metavar="CSV", help="What lies in the drawer.")
@click.option("--prices", metavar="CSV", help="What parts cost where.")
@click.option("--csv", "target", metavar="FILE", help="Also write the order as a table; never over a file.")
@click.pass_context
def order(
    ctx: click.Context, files: tuple[str, ...], boards: int, have: str | None, prices: str | None, target: str | None
) -> None:
    """Print one order for the boards of several variants: same part on one line, spares, less what is there.

    Tables are CSV in UTF-8 with a heading, cells parted by commas, semicolons or tabs.

    \b
    --have    part number, value, package, rating, description; quantity in
              pieces or metres.  Other columns are not read, so a bill of
              materials or an order of this program serves too.
    --prices  part number, value, package, rating, description; price of a
              piece or metre; currency, minimum, multiple, supplier,
              order number.

    A row names a part by part number, description, or value; of resistors and capacitors value and package.
    """
    from rasterport import api

    loaded = api.load(*files)
    held, offers = api.lists(have, prices)
    done = [api.design(one) for one in loaded]
    if any(one.spoilt for one in done):
        ctx.exit(max(_show(d, full=False) for d in done if d.spoilt))
    made = api.order(done, boards, held, offers)
    from rasterport.emit.orders import order_lines

    for line in order_lines(made):
        say(line)
    if target is not None:
        say(f"\n{api.write_order(made, target)} written")


def _each(loaded: Iterable[Loaded], work: Callable[[Loaded], int]) -> int:
    """Work on every file; the highest exit status counts, and one that cannot be written stops no other."""
    from rasterport.errors import OutputError

    highest = 0
    for one in loaded:
        try:
            status = work(one)
        except OutputError as fault:
            complain(str(fault))
            status = fault.exit_status
        highest = max(highest, status)
    return highest


def _show(done: Design, full: bool) -> int:
    from rasterport.emit import listing

    about = done.variant.variant
    say(f"{about.name}  {about.title}".rstrip())
    if full and done.circuit is not None:
        sections = (("values", listing.values), ("chassis work", listing.work), ("landings", listing.landings))
        for title, rows in sections:
            shown = list(rows(done.circuit))
            for line in (f"\n{title}", *shown) if shown else ():
                say(line)
        if done.offers:
            from rasterport.emit.combinations import combinations

            say("\nresistors where input and display meet")
            for line in combinations(done.offers):
                say(line)
    # A build stays short: what must be read before soldering, no notes.
    grave = tuple(f for f in done.findings if f.severity in ("error", "warning"))
    told = listing.besides(done.findings, done.missing) if full else grave
    shown = list(listing.grave(told))
    if shown:
        say("\nfindings")
        for line in shown:
            say(line)
    if full and done.missing:
        say("\nstill missing, what decides most first")
        for line in listing.missing(done.missing):
            say(line)
    if full and done.defaults:
        say("")
        for line in listing.defaults(done.defaults):
            say(line)
    if full and done.circuit is not None:
        say("\nfigures")
        for line in listing.figures(done.figures):
            say(line)
        say("\nlimits kept")
        for line in listing.kept(done.findings):
            say(line)
        say("")
        for line in listing.board(done.bare_board):
            say(line)
    say(f"\n{listing.summary(done.findings)}")
    return EXIT_FINDING if done.failed else 0


def _built(built: Built) -> int:
    status = _show(built.design, full=False)
    name = built.design.variant.variant.name
    if not built.written:
        complain(f"{name}: nothing written.")
        if built.out_of_date:
            complain(f"{built.folder} is out of date: it is from an earlier state of the variant.")
        return status
    from rasterport.emit import listing

    for line in (*listing.replaced(built.replaced), *listing.board(built.design.bare_board, built.board_before)):
        say(line)
    usual = [f"{name}.{end}" for end in ("html", "net", "wiring.csv", "bom.csv", "findings.json")]
    best = next((file for file in usual if file in built.written), built.written[0])
    say(f"{len(built.written)} files in {built.folder}; open {built.folder / best}")
    return status


def _run(arguments: list[str]) -> int:
    """Exit status of one run.  Results go to stdout; every fault is one message on stderr, never a traceback."""
    from rasterport.errors import RasterportError

    try:
        with cli.make_context("rasterport", arguments) as context:
            cli.invoke(context)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.ClickException as fault:
        message = io.StringIO()
        fault.show(message)
        complain(message.getvalue().rstrip("\n"))
        return fault.exit_code
    except RasterportError as fault:
        complain(str(fault))
        return fault.exit_status
    except OSError as fault:
        if fault.filename is None:  # no file was opened: click could not print its help
            lost(sys.stdout, fault)
            return 0
        complain(f"{fault.filename} cannot be used: {fault.strerror}")
        return EXIT_FILE
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    return 0


def main() -> None:
    """Entry point of the program."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by whoever started us; the number must not go to another file
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))
    # One short run that builds many records and hardly any cycles: the collector would look at all of them in vain.
    gc.set_threshold(COLLECT_AFTER)
    status = _run(sys.argv[1:])
    try:
        sys.stdout.flush()  # much fails only here, where the last of it leaves the program
    except OSError as fault:
        lost(sys.stdout, fault)
    for reason in unwritten:
        if not isinstance(reason, BrokenPipeError):  # a reader who has seen enough is no fault
            complain(f"stdout must take the output; found: {reason.strerror}")
            status = EXIT_FILE
    gc.freeze()  # or the interpreter looks through all of it for cycles once more, before its memory goes in any case
    sys.exit(status)
