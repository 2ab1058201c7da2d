"""What varies outside a board, and where signals come from and go to: read from its sockets and landings."""

from __future__ import annotations

from rasterport.analysis.network import contact_nets, set_side
from rasterport.analysis.switches import HIGH, LIMIT, LOW, board_of
from rasterport.analysis.walk import Place, Source, axis_levels
from rasterport.design.choosing import choosing
from rasterport.records import COLOURS, GROUND, Circuit
from rasterport.variant.models import Variant

OPEN, OFF, ON, FAULT = range(4)
STATUS_VALUES = (("open", 0), ("at its off limit", LOW | LIMIT), ("at its on limit", HIGH | LIMIT), ("at 12 V", HIGH))
GATE_VALUES = (("low", LOW | LIMIT), ("high", HIGH | LIMIT))
RAIL_VALUES = (("off", LOW), ("on", HIGH))
"""Without the set's supply the rail is a load: low, as far as a switch can tell."""


BLANKING = "display-blanking"
"""Landing at which the display's blanking comes in: a level, not a picture."""
MENU = "menu"
"""Key of the axis of a display: whether it shows a menu."""


def status_key(index: int) -> str:
    """Key of the axis of an input's status contact."""
    return f"input-{index}/status"


def place_of(circuit: Circuit, variant: Variant) -> Place:
    """Axes, sources and landings of a circuit, read from its sockets and landings."""
    axes, sources, loaded = [], [], []
    for n, given in enumerate(variant.input, 1):
        contacts = contact_nets(circuit, variant, n)
        name = "" if len(variant.input) == 1 else f"input-{n} "
        chosen = f"status-{given.status_contact}" if n in choosing(variant).by_status else ""
        statuses = [f for f in contacts if f.startswith("status-") and f != chosen]
        for function in ([chosen] if chosen else []) + statuses:
            key = status_key(n) if function == chosen else f"{status_key(n)}/{function}"
            axes.append(axis_levels(key, name + function, contacts.get(function, ""), STATUS_VALUES))
        found = [Source(n, f, net) for f, net in contacts.items() if not f.startswith("status-")]
        sources += found
        terminated = COLOURS if given.sync == "ttl-composite" else (*COLOURS, "sync")
        loaded += [s for s in found if s.line in terminated]
    if variant.selector.gate == "line":
        axes.append(axis_levels("gate", "gate", circuit.landing_net("gate") or "", GATE_VALUES))
    display = variant.set.display
    if display is not None and (net := circuit.landing_net(BLANKING)) is not None:
        levels = (LOW, HIGH) if display.blanking_active == "high" else (HIGH, LOW)
        axes.append(axis_levels(MENU, "menu", net, tuple(zip(("off", "on"), levels, strict=True))))
    axes.append(axis_levels("rail", "rail", circuit.landing_net("rail") or "", RAIL_VALUES))
    outside = [(e.first, e.second, e.value) for e in set_side(circuit, variant) if e.kind == "R"]
    board = board_of(circuit.parts, axes, outside)
    names = [landed.name for landed in circuit.landed]
    nets = {name: net for name in names if (net := circuit.landing_net(name)) is not None}
    sources += [Source(0, n.removesuffix("-native"), net) for n, net in nets.items() if n.endswith("-native")]
    sources += [
        Source(0, n.removeprefix("display-"), nets[n]) for n in nets if n.startswith("display-") and n != BLANKING
    ]
    rails = board.rails(nets.get("rail"))
    behind = {k for a, k in board.diodes if a in rails} & {c.supply for c in board.chips}
    walls = frozenset({GROUND, *rails, *behind, *board.middles()})
    return Place(board, tuple(sources), nets, walls, nets.get("blanking", ""), tuple(loaded))
