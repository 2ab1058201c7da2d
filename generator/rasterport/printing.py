"""Paper: a browser or converter that is installed turns a page or picture on disk into a PDF.

The program is found by name on PATH and fetches nothing.  What it writes holds dates, so it is made steady: the same
page, program and faces give the same bytes.  They differ between machines all the same, so a PDF stands in no manifest;
a seal inside says that we wrote it, from which page, and that nobody changed it since.
"""

from __future__ import annotations

import contextlib
import hashlib
import html
import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from rasterport.errors import OutputError

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
CONVERTERS = ("weasyprint",)
"""Programs that take a page and a PDF as their two arguments, asked where there is no browser."""
HINT = (
    "no PDF: there must be a program on PATH that prints pages; found none of "
    f"{', '.join((*BROWSERS, *CONVERTERS))}.  Install one (on Debian: apt install chromium), or open the page in any "
    "browser and print it there."
)
LONGEST_S = 120
"""A page takes a second or two; a slow machine under load is waited for."""
DATE = re.compile(rb"/(CreationDate|ModDate)(\s*)\(D:([^()]*)\)")
MOMENT = b"20000101000000+00'00'"
IDENTITY = re.compile(rb"/ID\s*\[\s*<[0-9A-Fa-f]*>\s*<[0-9A-Fa-f]*>\s*\]")
SEAL = re.compile(rb"%rasterport ([0-9a-f]{64}) ([0-9a-f]{64})\n(?=startxref)")
END = b"startxref"
TITLE = re.compile(r"<title[^>]*>(.*?)</title>", re.DOTALL)
PRINTED_TITLE = re.compile(rb"/Title\s*(?:\(((?:\\.|[^\\()])*)\)|<([0-9A-Fa-f]*)>)", re.DOTALL)


def converter() -> Path | None:
    """The program that prints, None where there is none."""
    found = (shutil.which(name) for name in (*BROWSERS, *CONVERTERS))
    return next((Path(path) for path in found if path), None)


def print_page(page: Path, pdf: Path, overwrite: bool = False, longest_s: float = LONGEST_S) -> Path:
    """Print an HTML or SVG file on the paper that it asks for.

    A file that we did not write, or that was changed since, is left alone unless `overwrite`.  Raises OutputError where
    no program is found, for a program that fails, takes longer than `longest_s` [s] or prints something
    else, and where the PDF cannot be written.
    """
    refuse_foreign(pdf, overwrite)
    program = converter()
    if program is None:
        raise OutputError(f"{pdf}: {HINT}")
    try:
        source = page.read_bytes()
        data = sealed(steady(_converted(program, page.resolve(), longest_s)), source)
        waiting = pdf.with_name(f".{pdf.name}.new")
        waiting.write_bytes(data)
        waiting.replace(pdf)
    except OSError as fault:
        raise OutputError(f"{pdf}: no PDF; {fault.filename or 'a file'} cannot be used: {fault.strerror}") from fault
    return pdf


def print_text(text: str, pdf: Path, overwrite: bool = False) -> Path:
    """Print a page of HTML that is not on disk yet; raises what `print_page` does."""
    try:
        with tempfile.TemporaryDirectory(prefix="rasterport-") as name:
            page = Path(name) / "page.html"
            page.write_text(text, encoding="utf-8", newline="\n")
            return print_page(page, pdf, overwrite)
    except OSError as fault:
        raise OutputError(f"{pdf}: no PDF; there must be room for temporary files: {fault.strerror}") from fault


def refuse_foreign(pdf: Path, overwrite: bool = False) -> None:
    """Raise OutputError for what stands at that path and is not a PDF of ours as we wrote it."""
    if pdf.is_dir():
        raise OutputError(f"{pdf} must be a file that can be written; found a folder")
    if not overwrite and pdf.exists() and printed_from(pdf) is None:
        raise OutputError(
            f"{pdf} must be as it was printed, or not be there; found a file that was not printed by rasterport or was "
            "changed since.  Move it away."
        )


def printed_from(pdf: Path) -> str | None:
    """Digest of the page that a PDF of ours was printed from; None for a file that is not ours or was changed."""
    try:
        data = pdf.read_bytes()
    except OSError:
        return None
    seals = list(SEAL.finditer(data))
    if len(seals) != 1:
        return None
    (seal,) = seals
    whole = data[: seal.start()] + data[seal.end() :]
    return seal[1].decode() if hashlib.sha256(whole).hexdigest().encode() == seal[2] else None


def sealed(data: bytes, source: bytes) -> bytes:
    """A PDF with a comment in front of its last section, where no offset counts it."""
    at = data.rindex(END)
    told = f"%rasterport {hashlib.sha256(source).hexdigest()} {hashlib.sha256(data).hexdigest()}\n"
    return data[:at] + told.encode() + data[at:]


def steady(data: bytes) -> bytes:
    """A PDF without the moment at which it was made; every offset stays."""

    def dated(found: re.Match[bytes]) -> bytes:
        length = len(found[3])
        return b"/%s%s(D:%s)" % (found[1], found[2], MOMENT[:length].ljust(length))

    def blank(found: re.Match[bytes]) -> bytes:
        return re.sub(rb"[0-9A-Fa-f](?=[0-9A-Fa-f]*>)", b"0", found[0])

    return IDENTITY.sub(blank, DATE.sub(dated, data))


def _converted(program: Path, page: Path, longest_s: float) -> bytes:
    """What the program makes of the page.  It gets a home of its own, so that it needs none and leaves nothing."""
    with tempfile.TemporaryDirectory(prefix="rasterport-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        target = folder / "printed.pdf"
        surroundings = {
            **os.environ,
            **dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR"), name),
            "TZ": "UTC",
            "SOURCE_DATE_EPOCH": "946684800",
        }
        told = folder / "told"
        try:
            with told.open("wb") as words:
                status = _run(_command(program, page, target, folder), surroundings, words.fileno(), longest_s)
        except subprocess.TimeoutExpired:
            raise OutputError(f"no PDF: {program.name} must be done within {longest_s:g} s; it was stopped") from None
        except OSError as fault:
            raise OutputError(f"no PDF: {program} must be a program that can run; {fault.strerror}") from fault
        data = target.read_bytes() if target.is_file() else b""
        if status or not data.startswith(b"%PDF-") or END not in data[-1024:]:
            outcome = f"it ended with status {status}" if status else "it wrote none"
            raise OutputError(f"no PDF: {program.name} must print the page; {outcome}{_last_words(told)}")
        if program.stem in BROWSERS and not _shows(data, page):
            raise OutputError(
                f"no PDF: {program.name} must print {page}; it printed something else, as one does that may not read it"
            )
        return data


def _command(program: Path, page: Path, target: Path, folder: Path) -> list[str]:
    if program.stem in CONVERTERS:
        return [str(program), str(page), str(target)]
    switches = [
        "--headless",
        "--no-pdf-header-footer",
        "--print-to-pdf-no-header",  # what older ones call the same
        f"--print-to-pdf={target}",
        f"--user-data-dir={folder / 'profile'}",
        "--no-first-run",
        "--no-default-browser-check",
        "--disable-extensions",
        "--disable-sync",
        "--disable-component-update",
        "--disable-background-networking",
        "--disable-dev-shm-usage",
        "--disable-gpu",
        "--host-resolver-rules=MAP * ~NOTFOUND",  # the page asks for nothing, and the program shall not either
    ]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        switches.append("--no-sandbox")  # root gets none; the page is our own and fetches nothing
    return [str(program), *switches, page.as_uri()]


def _run(command: list[str], surroundings: dict[str, str], words: int, longest_s: float) -> int:
    """Exit status.  A browser is several processes: when it is given up all of them are ended."""
    process = subprocess.Popen(
        command, env=surroundings, stdin=subprocess.DEVNULL, stdout=words, stderr=words, start_new_session=True
    )
    try:
        return process.wait(longest_s)
    finally:
        with contextlib.suppress(OSError):
            if hasattr(os, "killpg"):
                os.killpg(process.pid, signal.SIGKILL)
            else:
                process.kill()
        process.wait()


def _last_words(told: Path) -> str:
    """The last line that says something of the page; a browser complains of every bus that a desktop would have."""
    lines = told.read_text(encoding="utf-8", errors="replace").splitlines()
    useful = [line.strip() for line in lines if line.strip() and "dbus" not in line]
    useful.sort(key=lambda line: "ERR_" in line)  # what befell the page, before what its parts say of one another
    return f": {useful[-1][:200]}" if useful else ""


def _shows(data: bytes, page: Path) -> bool:
    """Whether the title of the PDF is that of the page; a page without one shows nothing."""
    wanted = TITLE.search(page.read_text(encoding="utf-8", errors="replace"))
    if wanted is None:
        return True
    return " ".join(html.unescape(wanted[1]).split()) in {" ".join(title.split()) for title in _titles(data)}


def _titles(data: bytes) -> Iterator[str]:
    for found in PRINTED_TITLE.finditer(data):
        plain, digits = found[1], found[2]
        raw = bytes.fromhex(digits.decode()) if plain is None else re.sub(rb"\\(.)", rb"\1", plain, flags=re.DOTALL)
        yield raw[2:].decode("utf-16-be", "replace") if raw.startswith(b"\xfe\xff") else raw.decode("latin-1")
