"""The finished circuit as a simulation: every part as a model, and around it source, cable and set.

Reads parts and nets, as `network` does, and takes the linear parts from there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rasterport.analysis.control import Control, net_at
from rasterport.analysis.keyed import keying_at
from rasterport.analysis.models import control_models, keyed_switches, linear
from rasterport.analysis.network import NATIVE, contact_nets, set_side, states_of
from rasterport.analysis.nodal import GROUND, Element, reach, solve
from rasterport.analysis.scene import (
    BAR_FROM,
    BAR_TO,
    CLAMP_LEVEL_V,
    MENUS,
    STEP_S,
    TONE_HZ,
    Scene,
    coupled_of,
    mean_v,
    pin_net,
    set_models,
    source_models,
)
from rasterport.design.termination import LINE_OHM
from rasterport.records import COLOURS, Circuit, Conditions, Measure, Simulation
from rasterport.standards.bt470 import SYNC_V, WHITE_V
from rasterport.standards.status_levels import FAULT_V
from rasterport.variant.models import Variant

OFF = "+rail-off"
STOP_S, SHOWN_LINE = 1.15e-3, 3
"""Length of the run [s], a period of the tone and a bit; the line whose levels are printed."""


def simulated(variant: Variant) -> tuple[str, ...]:
    """What can be simulated of a board: each state, and each without the rail, where relays are idle."""
    states = states_of(variant)
    return (*states, *(f"{state}{OFF}" for state in states))


def simulation(
    circuit: Circuit, variant: Variant, state: str, under: Conditions | None = None, control: Control | None = None
) -> Simulation:
    """The circuit of `variant` in one of its states; `control` is that of the circuit where it is at hand.

    Raises ValueError for a state that it does not have.
    """
    states = simulated(variant)
    if state not in states:
        raise ValueError(f"a simulation must be of one of {', '.join(states)}, found {state}")
    under, powered = under or Conditions(), not state.endswith(OFF)
    position = state.removesuffix(OFF)
    control = control or Control(circuit, variant)
    board, pose = control.elements(position, powered), control.pose(position, powered)
    inputs = range(1, len(variant.input) + 1)
    contacts = {n: contact_nets(circuit, variant, n) for n in inputs}
    index = 0 if position == NATIVE else states_of(variant).index(position)
    walls = {GROUND, *control.walls}
    scene = Scene(circuit, variant, index, powered, under, board, contacts, walls)
    refs = {placed.role: placed.ref for placed in circuit.parts}
    parts = (
        *(linear(refs, under, e) for e in board),
        *(m for placed in circuit.parts for m in control_models(placed, under, pose, walls)),
        *(keyed_switches(control) if powered else ()),
        *set_models(scene),
        *(m for n in inputs for function, net in contacts[n].items() for m in source_models(scene, n, function, net)),
    )
    present = {net for part in parts for net in part.nets}
    return Simulation(
        variant.variant.name,
        state,
        parts,
        _starts(scene, control) if powered else {},
        tuple(m for m in _measures(scene) if m.kind in ("current", "difference") or set(m.of) <= present),
        under.celsius,
        STEP_S,
        STOP_S,
        tuple(_notes(scene)),
    )


def _starts(scene: Scene, control: Control) -> dict[str, float]:
    """The clamped pins as they stand when the line is at the mean of its signal: black at the clamp's level [V]."""
    found = {}
    keyed = scene.variant.set.rgb.pin_kind == "analog-dc"
    elements = (*scene.board, *set_side(scene.circuit, scene.variant))
    mean = mean_v(scene, 2 * WHITE_V, 0.0)
    for colour in COLOURS:
        contact, landing, pin = scene.shown.get(colour), scene.circuit.landing_net(colour), pin_net(scene, colour)
        if contact is None or landing is None or pin is None:
            continue
        line = (*reach(elements, contact, scene.walls), Element("source", "R", contact, GROUND, LINE_OHM))
        # At 1 MHz every coupling capacitor is a short and no stray capacitance counts yet.
        reached = solve(line, {contact: mean / LINE_OHM}, 2 * math.pi * 1e6, dict.fromkeys(scene.walls, 0.0))
        mean_there = reached[landing].real if landing in reached else 0.0
        if not keyed:
            found[pin] = CLAMP_LEVEL_V + mean_there
        elif keying_at(control, (pin,)) is not None:
            found[pin] = (scene.variant.set.rgb.black_level or 0.0) + mean_there
    if scene.variant.board.keyed_clamp:
        # The clamp needs its pulses from the first line on: the separator has found the tips of sync.
        height = mean_v(scene, 2 * WHITE_V, 2 * SYNC_V) / 2 + SYNC_V
        for chip in (p for p in scene.circuit.parts if p.part.key.startswith("sync-separator/")):
            found[net_at(chip, "VIDEO")] = chip.part.ratings["clamp_v"] + height
    return found


def _measures(scene: Scene) -> Iterator[Measure]:
    """What a run prints: white and sync at the landings, blanking, rail, coils, sound, direct currents."""
    s, at, begin = scene.standard, scene.circuit.landing_net, SHOWN_LINE * scene.standard.line_period_s
    black = begin + scene.active_from_s + BAR_FROM / 2 * s.active_line_s
    white = begin + scene.active_from_s + (BAR_FROM + BAR_TO) / 2 * s.active_line_s
    tip = begin + s.front_porch_s + s.sync_width_s / 2

    def step(line: str, of: str, name: str, above: float, below: float, words: str) -> Iterator[Measure]:
        yield Measure("voltage", f"{line}_{name}", (of,), f"{words} at the {line} landing [V]", above)
        yield Measure("voltage", f"{line}_black", (of,), f"black at the {line} landing [V]", below)

    for line in (*COLOURS, "sync"):
        net = at(line)
        if net is None:
            continue
        level, when = ("tip", tip) if line == "sync" else ("white", white)
        yield from step(line, net, level, when, black, "sync tip" if line == "sync" else "white")
        ends = (f"{line}_black", f"{line}_tip") if line == "sync" else (f"{line}_white", f"{line}_black")
        yield Measure(
            "difference", f"{line}_depth" if line == "sync" else f"{line}_level", ends, "their difference [V]"
        )
    yield from _menus(scene, begin)
    for side in ("left", "right"):
        net = at(side)
        if net is not None:
            end = 1e-4 + 1 / TONE_HZ
            yield Measure("swing", f"{side}_swing", (net,), f"sound at the {side} landing, peak to peak [V]", 1e-4, end)
    for name in ("blanking", "rail"):
        net = at(name)
        if net is not None:
            yield Measure("voltage", name, (net,), f"{name} landing [V]", white)
    yield from _currents(scene, white)
    for placed in (p for p in scene.circuit.parts if p.part.letter == "K"):
        plus, minus = net_at(placed, "coil+"), net_at(placed, "coil-")
        for name, net in ((f"{placed.ref.lower()}_plus", plus), (f"{placed.ref.lower()}_minus", minus)):
            if net:
                yield Measure("voltage", name, (net,), f"one end of the coil of {placed.ref} [V]", white)
        if plus and minus:
            ends = (f"{placed.ref.lower()}_plus", f"{placed.ref.lower()}_minus")
            yield Measure("difference", f"{placed.ref.lower()}_coil", ends, f"across the coil of {placed.ref} [V]")


def _menu_blanking(scene: Scene, when: float) -> Iterator[Measure]:
    """The blanking pin while a menu is drawn."""
    net = scene.circuit.landing_net("blanking")
    if net is not None and scene.circuit.landing_net("display-blanking") is not None:
        yield Measure("voltage", "blanking_menu", (net,), "blanking landing while a menu is drawn [V]", when)


def _menus(scene: Scene, begin: float) -> Iterator[Measure]:
    """Of a display on shared pins: white of a menu on black, and over white of what is shown, both above black."""
    if not scene.powered:
        return
    share = sum(MENUS["alone"]) / 2
    yield from _menu_blanking(scene, begin + scene.active_from_s + share * scene.standard.active_line_s)
    for colour in COLOURS:
        net = scene.circuit.landing_net(colour)
        if net is None or scene.circuit.landing_net(f"display-{colour}") is None:
            continue
        for name, (start, end) in MENUS.items():
            when = begin + scene.active_from_s + (start + end) / 2 * scene.standard.active_line_s
            words = {"alone": "white of a menu on black", "over": "white of a menu over the white bar"}[name]
            yield Measure("voltage", f"{colour}_menu_{name}", (net,), f"{words} at the {colour} landing [V]", when)
            ends = (f"{colour}_menu_{name}", f"{colour}_black")
            yield Measure("difference", f"{colour}_menu_{name}_level", ends, "above black [V]")


def _currents(scene: Scene, when: float) -> Iterator[Measure]:
    for name in ("rail", "gate", "blanking"):
        held = scene.powered if name == "rail" else name == "gate" or not scene.powered
        if held and scene.circuit.landing_net(name) is not None:
            words = f"current from the {name} landing into the board [A]"
            yield Measure("current", f"{name}_current", (f"set/{name}/amps",), words, when)
    for n, contacts in scene.contacts.items():
        for function in (f for f in contacts if f.startswith("status")):
            where = "" if len(scene.contacts) == 1 else f" of input {n}"
            words = f"current into contact {function.removeprefix('status-')}{where} [A]"
            name = "status_current" if len(scene.contacts) == 1 else f"status{n}_current"
            yield Measure("current", name, (f"input-{n}/{function}/amps",), words, when)


def _notes(scene: Scene) -> Iterator[str]:
    s = scene.standard
    yield f"test picture of {s.name}: black line with a white bar over its middle half, no field blanking"
    if len(scene.contacts) > 1:
        chosen = f"input {scene.index} is chosen" if scene.index else "no input is chosen"
        yield f"{chosen}; every input has its source, and all of them are on"
    told: dict[str, list[str]] = {}
    for n, source in enumerate(scene.variant.input, 1):
        how = "behind 220 uF, settled at the picture's mean" if coupled_of(source) else "DC-coupled"
        why = " (the variant allows either)" if source.source_coupling == "either" else ""
        told.setdefault(f"video source: 75 ohm, {how}{why}; cable 75 ohm, 2 m", []).append(str(n))
    for text, numbers in told.items():
        yield text if len(told) == 1 else f"{text} (input {', '.join(numbers)})"
    if scene.powered:
        if any(function.startswith("status") for contacts in scene.contacts.values() for function in contacts):
            yield "status contact and gate line stand at the bound of the level that belongs to the state"
        where = "levels at the clamped colour pins count from the level of their clamp; "
        if scene.variant.set.rgb.pin_kind == "analog-dc":
            where = ""
            yield "colour pins without a clamp; black of a source that is DC-coupled stands in the middle of its span"
        if scene.variant.board.keyed_clamp:
            yield "back-porch pulse of the separator: low for its typical length from the end of sync"
            yield "keyed switch: its nominal resistance while the pulse lasts, open else"
        yield f"{where}the blanking pin takes no current"
    else:
        yield f"rail off: nearly open; {FAULT_V:g} V on a status contact, every source on"
        yield "gate line and blanking pin at ground, colour pins as junctions both ways"
    if scene.powered and scene.circuit.landing_net("display-red") is not None:
        yield "the set's own display draws a bar of a menu on black and one over the white bar, in every line"
    if scene.circuit.landing_net("sync-native") is not None:
        yield "the set's own sync comes without a picture, its own sound is silent"
