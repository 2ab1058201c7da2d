"""Variant files to start from: where they are, what each is for, and copying one under a new name."""

from __future__ import annotations

import re
from pathlib import Path

from rasterport.errors import OutputError, RasterportError
from rasterport.files import write_new
from rasterport.variant.scan import scan

_IN_THE_WHEEL = "_templates"
_LIKE = re.compile(r'(?m)^like = "(?P<base>[a-z0-9-]+)\.toml"')
_VALUE = re.compile(r"""=\s*("[^"\n]*"|'[^'\n]*')""")


def templates_folder() -> Path:
    """The folder of the templates: inside the installed package, else in the repository around it."""
    from importlib.resources import files

    packaged = Path(str(files("rasterport").joinpath(_IN_THE_WHEEL)))
    for folder in (packaged, Path(__file__).parents[3] / "templates"):
        if folder.is_dir():
            return folder
    raise RasterportError("the templates must be installed with the package, found none; install it again")


def template_names() -> tuple[str, ...]:
    """Names of the templates, sorted."""
    return tuple(sorted(path.stem for path in templates_folder().glob("*.toml")))


def template_text(name: str) -> str:
    """Text of a template.  Raises RasterportError with the names there are."""
    names = template_names()
    if name not in names:
        raise RasterportError(f'the template must be one of {", ".join(names)}; found "{_shown(name)}"')
    return (templates_folder() / f"{name}.toml").read_text(encoding="utf-8")


def template_summary(name: str) -> str:
    """First comment line of a template, which says in one sentence what it is for."""
    lines = (line.strip() for line in template_text(name).splitlines())
    return next((line.lstrip("# ") for line in lines if line.startswith("#") and line.strip("# ")), "")


def new_file(name: str, template: str, folder: str | Path = ".") -> Path:
    """Write `folder`/NAME.toml from a template, with its name changed, and return its path.

    Nobody has tested the set of a new file yet, so its signal ground is unverified whatever the template says.  A file
    that the template is like is written beside it under its own name, unless one with the same text is there.

    Raises RasterportError for a wrong name or template, OutputError where a file is there already or
    cannot be written; a file that could only be written in part is taken away again.
    """
    from rasterport.variant.fields import fault_of_name

    fault = fault_of_name(name)
    if fault:
        raise RasterportError(f'the name {fault}; found "{_shown(name)}"')
    text = _renamed(template_text(template), name)
    path = Path(folder) / f"{name}.toml"
    base = base_of(template)
    files = {path: text}
    if base is not None:
        beside, its_text = Path(folder) / f"{base}.toml", _renamed(template_text(base), base)
        if beside == path:
            raise RasterportError(f'the name must differ from the file that {template} is like; found "{name}"')
        if not (beside.is_file() and beside.read_bytes() == its_text.encode("utf-8")):
            files = {beside: its_text, path: text}
    for file in files:
        if file.exists():
            why = f"{template} is like {file.name}, which would be written beside {path.name}: " if file != path else ""
            other = ", or be as the template has it" if file != path else ""
            raise OutputError(f"{why}{file} must not be there yet{other}; it is left as it is")
    for file, content in files.items():
        write_new(file, content)
    return path


def base_of(template: str) -> str | None:
    """Name of the template that a template is like, None where it stands by itself."""
    match = _LIKE.search(template_text(template))
    return match["base"] if match else None


def _renamed(text: str, name: str) -> str:
    """The text under its new name and with the ground of the set unverified, everything else as it was."""
    lines, rows = scan(text).lines, text.split("\n")
    for key, value in (
        (("variant", "name"), name),
        (("set", "signal_ground"), "unverified"),
        (("set", "ground_verified"), ""),
    ):
        line = lines.get(key)
        if line is None:
            raise RasterportError(f"a template must have {'.'.join(key)}, found none")
        # The names allowed hold no backslash, so the text is its own replacement.
        rows[line - 1] = _VALUE.sub(f'= "{value}"', rows[line - 1], count=1)
    return "\n".join(rows)


def _shown(text: str) -> str:
    from rasterport.variant.messages import escaped

    return escaped(text)
