"""Variants of an invented set for the tests: a base that composes, and one key changed at a time."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from places import TEMPLATES
from rasterport.analysis import display_blanking
from rasterport.analysis.blanking import active
from rasterport.analysis.control import Control, Range, net_at
from rasterport.analysis.corners import Corners, words
from rasterport.analysis.display_blanking import joining
from rasterport.api import Design, design, load
from rasterport.checks.bench import Bench, examine, judged
from rasterport.circuit import compose
from rasterport.records import Circuit, Finding, Placed
from rasterport.variant.load import Loaded
from rasterport.variant.models import Variant

BASE: dict[str, Any] = {
    "variant": {"name": "finch"},
    "set": {
        "lines": "525/60",
        "signal_ground": "isolated",
        "ground_verified": "leakage test, passed",
        "rgb": {"insertion": "spare", "pin_kind": "analog-clamped"},
        "blanking": {"native": "grounded"},
        "sync": {"arrangement": "changeover", "termination": "movable"},
        "audio": {"arrangement": "changeover", "resistance": "22k"},
        "supply": {"voltage": "5 V", "spare_current": "300 mA"},
    },
    "input": [{"socket": "european-21"}],
    "selector": {"path": "gang", "control": "panel"},
    "board": {},
}
EVERY_PATH: dict[str, tuple[int, str, dict[str, Any]]] = {
    "gang": (2, "gang", {}),
    "relay chain": (3, "relay", {"set.supply.spare_current": "500 mA"}),
    "analog switches": (4, "cmos", {"set.supply.voltage": "9 V", "set.rgb.lead_length": "0.1 m"}),
    "direct": (1, "direct", {"set.sync.arrangement": "dedicated", "set.audio": None, "set.sync.termination": "none"}),
    "relay": (1, "relay", {}),
}
"""Inputs, path and what it wants changed, for `several`: each path once, a relay for one input too."""
TEMPLATE_NAMES = tuple(sorted(path.stem for path in TEMPLATES.glob("*.toml")))

OPAQUE: dict[str, Any] = {
    "set.rgb.insertion": "shared",
    "set.rgb.lead_kind": "coax",
    "set.display": {"high": "5 V"},
    "set.blanking.native": "driven",
    "selector.path": "relay",
    "set.supply.voltage": "9 V",
    "input.source_coupling": "dc",
    "input.black_most": "0.02 V",
    "board.opaque_menus": True,
}
"""A display whose menus are opaque: one input, on relays, from a DC-coupled source."""


def variant(changes: Mapping[str, Any] | None = None) -> Variant:
    """The base with keys changed by dotted path, `input.socket` meaning the first input; None takes a key out."""
    data = copy.deepcopy(BASE)
    for path, value in (changes or {}).items():
        *tables, key = path.split(".")
        table: Any = data
        for name in tables:
            table = table[name] if not isinstance(table.get(name, {}), list) else table[name][0]
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
    return Variant.model_validate(data)


def several(
    inputs: int | Sequence[Mapping[str, Any]],
    path: str,
    control: str = "panel",
    changes: Mapping[str, Any] | None = None,
) -> Variant:
    """The base with several inputs: so many European sockets with contact 16 or 8 in turn, or the tables given."""
    tables = inputs
    if isinstance(tables, int):
        tables = [{"socket": "european-21", "status_contact": (16, 8)[n % 2]} for n in range(tables)]
    rail = {"set.supply.voltage": "9 V"} if path == "relay" else {}
    made = {"selector.path": path, "selector.control": control, **rail, **(changes or {}), "input": list(tables)}
    return variant(made)


@cache
def loaded(name: str) -> Loaded:
    """A template as it is read from its file, once a process: nobody changes it, `template` changes copies."""
    (found,) = load(TEMPLATES / f"{name}.toml")
    return found


@cache
def composed(name: str) -> Circuit:
    """The circuit of a template, once a process."""
    return compose(template(name))


@cache
def bench(name: str) -> Bench:
    """A template on a bench that keeps its figures, once a process; nothing but what it finds out itself changes it."""
    return Bench(template(name), composed(name))


@cache
def judged_on(name: str) -> tuple[Finding, ...]:
    """Findings of a template on that bench."""
    return judged(bench(name))


@cache
def designed(name: str) -> Design:
    """A template worked out as it stands in its file, once a process."""
    return design(loaded(name))


def template(name: str, changes: Mapping[str, Any] | None = None) -> Variant:
    """A template in full, what it is like and what is unknown filled in, with keys changed by dotted path."""
    resolved = loaded(name).resolved
    assert resolved is not None
    data = copy.deepcopy(resolved.table)
    for path, value in (changes or {}).items():
        *tables, key = path.split(".")
        table: Any = data
        for table_name in tables:
            found = table.setdefault(table_name, {})
            table = found[0] if isinstance(found, list) else found
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
    return Variant.model_validate(data)


def examined(made: Variant) -> tuple[Circuit, tuple[Finding, ...]]:
    """Circuit and findings of a variant, worked out once a process: hundreds of slips are made in the same good boards.

    What is handed out is shared, so a test replaces and never changes; one that changes the generator examines itself.
    """
    return _examined(Same(made))


class Same:
    """A variant as the key of a cache: alike when every value is, and when the same keys were given."""

    def __init__(self, made: Variant) -> None:
        self.made = made
        # A default that is given in so many words may count otherwise than one that nobody gave.
        self.text = made.model_dump_json() + made.model_dump_json(exclude_unset=True)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)


@cache
def _examined(same: Same) -> tuple[Circuit, tuple[Finding, ...]]:
    circuit = compose(same.made)
    return circuit, examine(same.made, circuit)


def errors(findings: tuple[Finding, ...]) -> set[str]:
    """Codes of the findings of severity error."""
    return {f.code for f in findings if f.severity == "error"}


def pin_of(placed: Placed, name: str) -> str:
    """Number of the pin with this name."""
    return next(pin.number for pin in placed.part.pins if pin.name == name)


def with_part(circuit: Circuit, changed: Placed) -> Circuit:
    """The circuit with the part of the same role replaced."""
    assert circuit.has(changed.role)
    return replace(circuit, parts=tuple(changed if p.role == changed.role else p for p in circuit.parts))


def without(circuit: Circuit, *roles: str) -> Circuit:
    """The circuit without these parts."""
    for role in roles:
        assert circuit.has(role), role
    return replace(circuit, parts=tuple(p for p in circuit.parts if p.role not in roles))


def with_value(circuit: Circuit, role: str, value_si: float) -> Circuit:
    """The circuit with another value of one part; its catalogue row stays."""
    return with_part(circuit, replace(circuit.by_role(role), value_si=value_si))


def with_net(circuit: Circuit, role: str, pin: str, net: str | None) -> Circuit:
    """The circuit with one pin, by number, on another net."""
    placed = circuit.by_role(role)
    assert pin in placed.nets
    return with_part(circuit, replace(placed, nets={**placed.nets, pin: net}))


def with_swapped(circuit: Circuit, role: str, first: str, second: str) -> Circuit:
    """The circuit with the nets of two named pins of a part exchanged."""
    placed = circuit.by_role(role)
    a, b = pin_of(placed, first), pin_of(placed, second)
    assert net_at(placed, first) != net_at(placed, second)
    return with_part(circuit, replace(placed, nets={**placed.nets, a: placed.nets[b], b: placed.nets[a]}))


def with_twin(circuit: Circuit, role: str, twin_role: str, twin_ref: str) -> Circuit:
    """The circuit with a second part in parallel to one that it has."""
    twin = replace(circuit.by_role(role), role=twin_role, ref=twin_ref)
    return replace(circuit, parts=tuple(sorted((*circuit.parts, twin), key=lambda p: p.role)))


def active_range(control: Control) -> Range:
    """Lowest and highest voltage at the blanking landing when active [V], with the corners in words."""
    quantity = active(control)
    if joining(control) is not None:  # with a display on the pin it has figures of its own
        of_board = (q for q in display_blanking.quantities(control) if (q.key, q.subject) == ("meeting-on", "board"))
        quantity = next(of_board)
    found = Corners().spread(quantity)
    return Range(found.low, found.high, words(quantity, found.low_places), words(quantity, found.high_places))
