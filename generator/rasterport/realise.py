"""The one module that knows SKiDL: plain records in, a SKiDL circuit out, plain records back.

Why each trick is here (measured on SKiDL 3.0):

* importing SKiDL pulls in matplotlib through InSpice, opens `<script>.log` and `.erc` in the current
  folder, makes a folder under the user's data directory, reads `.skidlcfg` from the current folder and
  writes a dozen warnings to stderr.  `_import_quietly` takes the documented ImportError path for
  InSpice, gives it a temporary data folder, and removes its log handlers before they touch a file;
* `Circuit()` resets one global heap of names, so references and net names are always given;
* a reference or a net name used twice is renamed in silence, two named nets that meet are merged with
  a log line only: both are compared afterwards and a collecting handler turns every line into a fault;
* `Circuit.nodes` is a set ordered by identity: an ordered stand-in keeps every output the same;
* without a tag a part gets a random identifier: the role is the tag;
* a stack trace is taken for every part, which is half of the building time and of no use here.
"""

from __future__ import annotations

import importlib
import logging
import os
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rasterport.errors import WiringFault
from rasterport.records import GROUND, Circuit, Placed

POWER_NETS = (GROUND, "RAIL_TAP", "RAIL", "RAIL_5V", "RAIL_SWITCHES")
"""Nets that are driven from outside the board or by a regulator."""

_LOCK = threading.Lock()
"""SKiDL's heap of names and stack of loggers are global: one circuit at a time."""


@dataclass(frozen=True, slots=True)
class RealPart:
    """One part as SKiDL holds it; `identifier` is the UUID by which KiCad keeps its placement."""

    ref: str
    value: str
    footprint: str
    role: str
    identifier: str
    sheet: str
    placed: Placed


@dataclass(frozen=True, slots=True)
class Realised:
    """What SKiDL made of the records: parts, nets with (reference, pin number), and its rule check."""

    parts: tuple[RealPart, ...]
    nets: Mapping[str, tuple[tuple[str, str], ...]]
    complaints: tuple[str, ...]
    raw: Any


class _Collector(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(f"{record.levelname}: {record.getMessage()}")


class _OrderedNodes(dict[Any, None]):
    """Stands in for the set of hierarchy nodes: insertion order, same calls."""

    def add(self, node: Any) -> None:
        self[node] = None


class _NoFile(logging.Handler):
    """Stands in for logging.FileHandler while SKiDL is imported."""

    def __init__(self, filename: object = None, *_: object, **__: object) -> None:
        super().__init__()

    def emit(self, record: logging.LogRecord) -> None:
        """Drop it."""


@contextmanager
def _sealed_import(folder: str) -> Iterator[None]:
    """Environment, logging and stderr as SKiDL must find them; everything as it was afterwards."""
    wanted = {"XDG_DATA_HOME": folder}
    for version in ("", "6", "7", "8", "9", "10"):
        name = f"KICAD{version}_SYMBOL_DIR"
        wanted[name] = os.environ.get(name, folder)
    saved = {name: os.environ.get(name) for name in wanted}
    logger_class, file_handler, stderr = logging.getLoggerClass(), logging.FileHandler, sys.stderr
    blocked = "InSpice" not in sys.modules
    here = Path.cwd() if _cwd_exists() else None
    os.environ.update(wanted)
    if blocked:
        sys.modules["InSpice"] = None  # type: ignore[assignment]
    logging.FileHandler = _NoFile  # type: ignore[assignment, misc]
    with open(os.devnull, "w", encoding="utf-8") as silence:  # noqa: PTH123
        sys.stderr = silence
        # The current folder may hold a .skidlcfg of the user's: it must not reach into this board.
        os.chdir(folder)
        try:
            yield
        finally:
            if here is not None:
                os.chdir(here)
            sys.stderr = stderr
            logging.FileHandler = file_handler  # type: ignore[misc]
            logging.setLoggerClass(logger_class)
            if blocked:
                del sys.modules["InSpice"]
            for name, value in saved.items():
                if value is None:
                    os.environ.pop(name, None)
                else:
                    os.environ[name] = value


def _cwd_exists() -> bool:
    try:
        Path.cwd()
    except OSError:
        return False
    return True


def _import_quietly() -> Any:
    if "skidl" not in sys.modules:
        with tempfile.TemporaryDirectory(prefix="skidl-", ignore_cleanup_errors=True) as folder, _sealed_import(folder):
            importlib.import_module("skidl")
    skidl = sys.modules["skidl"]
    log = importlib.import_module("skidl.logger")
    for logger in (log.rt_logger, log.erc_logger):
        for handler in list(getattr(logger, "log_file_handlers", [])):
            handler.filename = None  # else removing it would delete a file of the user's
            logger.removeHandler(handler)
        for handler in list(logger.handlers):
            logger.removeHandler(handler)
        logger.addHandler(logging.NullHandler())
        logger.propagate = False
    for module in ("skidl.circuit", "skidl.node"):
        setattr(importlib.import_module(module), "get_skidl_trace", list)  # noqa: B010
    return skidl


_KINDS = {
    "passive": "PASSIVE",
    "input": "INPUT",
    "output": "OUTPUT",
    "power_in": "PWRIN",
    "power_out": "PWROUT",
    "open_collector": "OPENCOLL",
    "no_connect": "NOCONNECT",
}


def realise(circuit: Circuit) -> Realised:
    """Build the on-board parts in SKiDL, check them, and read back what SKiDL holds.

    Raises WiringFault when SKiDL renamed a part, merged two nets, or holds other pins on a net than the
    records say.
    """
    with _LOCK:
        return _realise(circuit)


def _realise(circuit: Circuit) -> Realised:
    skidl = _import_quietly()
    log = importlib.import_module("skidl.logger")
    runtime, rules = _Collector(), _Collector()
    log.rt_logger.addHandler(runtime)
    log.erc_logger.addHandler(rules)
    try:
        raw, made = _build(skidl, circuit)
        raw.merge_net_names()
        nets = _read_nets(raw)
        raw.ERC()
    finally:
        log.rt_logger.removeHandler(runtime)
        log.erc_logger.removeHandler(rules)
    if runtime.lines:
        raise WiringFault("SKiDL: " + "; ".join(runtime.lines))
    if nets != circuit.nets():
        wrong = sorted(set(nets.items()) ^ set(circuit.nets().items()))
        raise WiringFault(f"SKiDL holds other nets than were wired: {wrong[0]}")
    return Realised(tuple(made), nets, tuple(sorted(rules.lines)), raw)


def _build(skidl: Any, circuit: Circuit) -> tuple[Any, list[RealPart]]:
    raw = skidl.Circuit(name="")
    raw.no_files = True
    raw.track_src = False
    raw.nodes = _OrderedNodes(dict.fromkeys(raw.nodes))
    templates: dict[str, Any] = {}
    nets: dict[str, Any] = {}
    made: list[RealPart] = []
    for placed in circuit.parts:
        if not placed.on_board:
            continue
        part = _instance(skidl, raw, templates, placed)
        if part.ref != placed.ref:
            raise WiringFault(f"{placed.role}: SKiDL renamed {placed.ref} to {part.ref}")
        for number, name in placed.nets.items():
            pin = part.p[number]
            if pin is None:
                raise WiringFault(f"{placed.ref} has no pin {number}")
            if name is None:
                pin += raw.NC
                continue
            if name not in nets:
                nets[name] = skidl.Net(name, circuit=raw)
                if name in POWER_NETS:
                    nets[name].drive = skidl.Pin.drives.POWER
            nets[name] += pin
        made.append(_real(part, placed))
    return raw, made


def _instance(skidl: Any, raw: Any, templates: dict[str, Any], placed: Placed) -> Any:
    row = placed.part
    if row.key not in templates:
        templates[row.key] = skidl.Part(
            name=row.name,
            tool=skidl.SKIDL,
            dest=skidl.TEMPLATE,
            ref_prefix=row.letter,
            footprint=row.footprint,
            description=row.description,
            pins=[
                skidl.Pin(num=pin.number, name=pin.name, func=getattr(skidl.Pin.types, _KINDS[pin.kind]))
                for pin in row.pins
            ],
        )
    part = templates[row.key](circuit=raw, dest=skidl.NETLIST, ref=placed.ref, value=placed.value, tag=placed.role)
    part.fields["Role"] = placed.role
    if row.orderable:
        part.fields["Manufacturer"] = row.manufacturer
        part.fields["MPN"] = row.part_number
    return part


def _real(part: Any, placed: Placed) -> RealPart:
    import uuid

    # The name space and the path are SKiDL's own, so that its netlist and ours name the same identifiers.
    name_space = uuid.UUID("7026fcc6-e1a0-409e-aaf4-6a17ea82654f")
    identifier = str(uuid.uuid5(name_space, part.hiername))
    sheet = "/".join(part.hiertuple) + "/"
    return RealPart(part.ref, part.value_to_str(), part.footprint, placed.role, identifier, sheet, placed)


def _read_nets(raw: Any) -> dict[str, tuple[tuple[str, str], ...]]:
    found = {net.name: tuple(sorted((pin.part.ref, pin.num) for pin in net.pins)) for net in raw.get_nets()}
    return dict(sorted(found.items()))
