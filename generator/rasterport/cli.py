"""The command line.  Imports nothing heavy until a command runs."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rasterport.api import Built, Design
    from rasterport.variant.load import Loaded

EXIT_FINDING, EXIT_FILE, EXIT_INTERRUPTED = 1, 2, 130


_unwritten: list[OSError] = []
"""Why stdout took no more, if it did not."""


def say(text: str = "") -> None:
    """One line or paragraph to stdout, in characters that it can show."""
    _write(sys.stdout, text)


def complain(text: str) -> None:
    """One line or paragraph to stderr, in characters that it can show."""
    _write(sys.stderr, text)


def _write(stream: Any, text: str) -> None:
    encoding = stream.encoding or "ascii"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        from rasterport.units import plain

        text = plain(text).encode(encoding, "backslashreplace").decode(encoding)
    try:
        stream.write(text + "\n")
    except OSError as fault:
        _lost(stream, fault)


def _lost(stream: Any, fault: OSError) -> None:
    """A stream takes no more: what it still holds, and what will be written to it, goes nowhere.

    The work goes on, so that a reader who stops reading cuts no build short.
    """
    if stream is sys.stdout:
        _unwritten.append(fault)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


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
    from rasterport.variant.templates import new_file

    path = new_file(name, template, Path())
    say(f"{path} written.  Its signal ground counts as unverified until you say how you verified it.")
    say(f"Fill in what you measured (rasterport survey tells how), then run: rasterport check {path}")


@cli.command()
def survey() -> None:
    """Print what to look up and measure on a set, in a safe order, key by key."""
    from rasterport.emit.survey import survey_text

    say(survey_text().rstrip("\n"))


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
@click.pass_context
def check(ctx: click.Context, files: tuple[str, ...]) -> None:
    """Print sized values with their reasons, and findings; write nothing."""
    from rasterport.api import design, load

    ctx.exit(_each(load(*files), lambda loaded: _show(design(loaded.variant), full=True)))


@cli.command()
@FILES
@click.option(
    "--out",
    default="out",
    show_default=True,
    metavar="DIR",
    help="Folder of the results.",
)
@click.option("--only", default="net,bom,wiring,findings", show_default=True, metavar="KINDS", help="What to write.")
@click.option("--despite-errors", is_flag=True, help="Write a board with errors, marked in every text file.")
@click.option("--overwrite", is_flag=True, help="Lose edits made by hand in the results.")
@click.pass_context
def build(
    ctx: click.Context, files: tuple[str, ...], out: str, only: str, despite_errors: bool, overwrite: bool
) -> None:
    """Write DIR/<variant>/ with netlist, footprints, bill of materials, wiring list and findings."""
    from rasterport import api

    kinds = [kind.strip() for kind in only.split(",") if kind.strip()]
    wrong = [kind for kind in kinds if kind not in api.KINDS]
    if wrong or not kinds:
        raise click.BadParameter(f"must be some of {','.join(api.KINDS)}; found {only!r}", param_hint="--only")
    loaded = api.load(*files)
    ctx.exit(_each(loaded, lambda one: _built(api.build(one, out, kinds, despite_errors, overwrite))))


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
        say("\nvalues")
        for line in listing.values(done.circuit):
            say(line)
    # A build stays short: what must be read before soldering, no notes.
    told = done.findings if full else tuple(f for f in done.findings if f.severity in ("error", "warning"))
    shown = list(listing.grave(told))
    if shown:
        say("\nfindings")
        for line in shown:
            say(line)
    if full and done.circuit is not None:
        say("\nlimits kept")
        for line in listing.kept(done.findings):
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
    usual = [f"{name}.{end}" for end in ("net", "wiring.csv", "bom.csv", "findings.json")]
    best = next(file for file in usual if file in built.written)
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
            _lost(sys.stdout, fault)
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
    status = _run(sys.argv[1:])
    try:
        sys.stdout.flush()  # much fails only here, where the last of it leaves the program
    except OSError as fault:
        _lost(sys.stdout, fault)
    for reason in _unwritten:
        if not isinstance(reason, BrokenPipeError):  # a reader who has seen enough is no fault
            complain(f"stdout must take the output; found: {reason.strerror}")
            status = EXIT_FILE
    sys.exit(status)
