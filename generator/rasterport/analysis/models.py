"""The parts of a simulation: device models made from catalogue ratings, and the ideal parts around them.

Transistors and diodes are the static exponential, without charge: what they switch can be seen, how fast not.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping

from rasterport.analysis.control import Control, net_at, output_ohm, supply_of
from rasterport.analysis.draws import Draw
from rasterport.analysis.keyed import keyings
from rasterport.analysis.nodal import GROUND, Element
from rasterport.analysis.poses import Pose
from rasterport.design.sense import BOLTZMANN_V_PER_K, REFERENCE_A, REFERENCE_K, TEMPCO_V_PER_K
from rasterport.design.supply import COPPER_PER_K
from rasterport.design.termination import LINE_OHM
from rasterport.parts.separators import SEPARATOR_S
from rasterport.records import Conditions, Modelled, Placed

CABLE_S = 2.0 * 5e-9
"""Delay of the cable [s]: 2 m at 5 ns a metre; common practice, no source."""
DEAD_PIN_A = 1e-3 / math.exp(0.5 / (BOLTZMANN_V_PER_K * REFERENCE_K))
"""Saturation current of the junctions at a dead pin or a dead input [A]: 1 mA at 0.5 V.  Judgement, stated."""
DIODE_IDEALITY = 1.8
"""Of a small switching diode [-]; from memory."""
REGULATOR_OHM, DROPOUT_FROM_V = 0.01, 5.0
"""Output resistance of the regulator [ohm]: next to none, since its bounds hold for every load; judgement.  The
least input less the second is its dropout [V]."""
STANDING_V = 10.0
"""Where the resistance of a standing output is taken [V]: it drives gates, so it hardly matters."""
SLICER_V, SLICER_S = 5.0, 0.01
"""Supply at which a separator's output is promised [V]; what its clamp gives for each volt below its level [S]."""
CLAMP_OHM = 1.0
"""Slope of a two-way clamp that conducts [ohm]; judgement, stated."""


def linear(refs: Mapping[str, str], under: Conditions, element: Element) -> Modelled:
    """A resistor, a capacitor or a closed contact; the reference in place of the role where it has one."""
    owner, _, suffix = element.role.rpartition("/")
    name = refs.get(element.role, "")
    if not name:
        name = f"{refs[owner]}-{suffix}" if owner in refs else element.role
    place = under.spreads.get(element.role, 0.0)
    value = float(Draw({element.parameter: place}).of(element))
    return two_pole(element.kind, name, element.role, element.first, element.second, value)


def two_pole(kind: str, name: str, role: str, first: str, second: str, value: float) -> Modelled:
    """A resistor [ohm] or a capacitor [F]."""
    if kind == "R":
        return Modelled("resistor", name, role, (first, second), {"value_ohm": value})
    return Modelled("capacitor", name, role, (first, second), {"value_f": value})


def control_models(placed: Placed, under: Conditions, pose: Pose, walls: Collection[str]) -> Iterator[Modelled]:
    """The models of a control part from its catalogue row; pins that are open get a net of their own.

    Logic that only chooses stands where the pose has it; `walls` are nets that need no junctions.
    """
    r, names = placed.part.ratings, {pin.name for pin in placed.part.pins}

    def nets(*wanted: str) -> tuple[str, ...]:
        return tuple(net_at(placed, name) or f"{placed.ref}/{name}" for name in wanted)

    def modelled(kind: str, ends: tuple[str, ...], figures: Mapping[str, float], suffix: str = "") -> Modelled:
        return Modelled(kind, placed.ref + suffix, placed.role, ends, figures, placed.part.name)

    if "beta_low" in r:
        yield modelled(placed.part.key.split("/")[1], nets("C", "B", "E"), bipolar(r, under))
    elif "vgsth_low_v" in r:
        yield modelled("nfet", nets("D", "G", "S"), _nfet(r))
    elif "vf_high_v" in r:
        middle = (r["vf_low_v"] + r["vf_high_v"]) / 2
        saturation = 10e-3 / math.exp(middle / (DIODE_IDEALITY * BOLTZMANN_V_PER_K * REFERENCE_K))
        figures = {"is_a": saturation, "ideality": DIODE_IDEALITY, "capacitance_f": r["capacitance_f"]}
        yield modelled("diode", nets("A", "K"), figures)
    elif "standoff_v" in r:
        middle = (r["breakdown_low_v"] + r["breakdown_high_v"]) / 2
        yield modelled("two-way-clamp", nets("A1", "A2"), {"breakdown_v": middle, "slope_ohm": CLAMP_OHM})
    elif "output_low_v" in r:
        yield modelled("regulator", nets("IN", "OUT", "GND"), _regulator(r, under.rail))
    elif "vt_rise_low_v" in r:
        for n in range(1, 7):
            if net_at(placed, f"{n}A") != GROUND or net_at(placed, f"{n}Y"):
                state = (f"{placed.ref}-{n}/wanted", f"{placed.ref}-{n}/state")
                ends = (*nets(f"{n}A", f"{n}Y", "VCC", "GND"), *state)
                yield modelled("schmitt-inverter", ends, _inverter(r), f"-{n}")
        yield modelled("quiescent", nets("VCC", "GND"), _drawn(r), "-supply")
    elif placed.part.key.startswith(("priority-encoder/", "inverter/")):
        yield from _standing(placed, pose)
    elif placed.part.key.startswith("analog-switch/"):
        yield from _terminals(placed, walls)
    elif placed.part.key.startswith("buffer/"):
        for n in range(1, 7):
            if net_at(placed, f"{n}Y"):
                ends = (*nets(f"{n}A", f"{n}Y", "VCC", "GND"), f"{placed.ref}-{n}/wanted", f"{placed.ref}-{n}/state")
                yield modelled("comparator", ends, _buffer(r), f"-{n}")
        yield modelled("quiescent", nets("VCC", "GND"), _drawn(r), "-supply")
    elif placed.part.key.startswith("sync-separator/"):
        ends = (*nets("VIDEO", "CSYNC", "VCC", "GND"), f"{placed.ref}/wanted", f"{placed.ref}/state")
        yield modelled("comparator", ends, _slicer(r))
        if net_at(placed, "BURST"):
            then = (ends[-1], *nets("BURST", "VCC", "GND"), f"{placed.ref}/begun", f"{placed.ref}/over")
            pulse_s = {"length_s": r["burst_typical_s"], "output_ohm": _slicer(r)["output_ohm"]}
            yield modelled("back-porch", then, pulse_s, "-burst")
        clamp = {"level_v": r["clamp_v"], "siemens": SLICER_S, "discharge_a": r["discharge_a"]}
        yield modelled("tip-clamp", nets("VIDEO"), clamp, "-clamp")
        yield modelled("quiescent", nets("VCC", "GND"), _drawn(r), "-supply")
    elif "coil+" in names:
        role = f"{placed.role}/coil"
        warm = r["coil_ohm"] * (1 + COPPER_PER_K * (under.celsius - 20))
        ohm = warm * (1 + under.spreads.get(role, 0.0) * r["coil_tolerance_pct"] / 100)
        plus, minus = nets("coil+", "coil-")
        yield two_pole("R", f"{placed.ref}-coil", role, plus, minus, ohm)


def keyed_switches(control: Control) -> Iterator[Modelled]:
    """The contacts that a back-porch pulse closes, each moved by the net of its key."""
    for n, k in enumerate(keyings(control.poses.place.board), 1):
        chip = control.part(k.owner)
        if chip is not None:
            figures = {"value_ohm": control.switch_ohms[k.owner][0], "low": float(k.low)}
            ends = (k.first, k.second, k.key, supply_of(chip))
            yield Modelled("keyed-switch", f"{chip.ref}-key{n}", chip.role, ends, figures, chip.part.name)


def _drawn(r: Mapping[str, float]) -> dict[str, float]:
    return {"current_a": r["supply_a"], "from_v": max(0.0, r["supply_low_v"] - 1.0)}


def _standing(placed: Placed, pose: Pose) -> Iterator[Modelled]:
    """Logic whose inputs do not move in a state: each output on the supply or on ground through its resistance."""
    supply, r = supply_of(placed), placed.part.ratings
    ground = next(net_at(placed, pin.name) for pin in placed.part.pins if pin.name in ("GND", "VSS"))
    for pin in (p for p in placed.part.pins if p.kind == "output" and placed.nets[p.number]):
        net = str(placed.nets[pin.number])
        rail = supply if pose.high(net) else ground
        ohm = output_ohm(r, STANDING_V)
        yield two_pole("R", f"{placed.ref}-{pin.name}", f"{placed.role}/{pin.name}".lower(), net, rail, ohm)
    drawn = _drawn(r)
    yield Modelled("quiescent", f"{placed.ref}-supply", placed.role, (supply, ground), drawn, placed.part.name)


def _terminals(placed: Placed, walls: Collection[str]) -> Iterator[Modelled]:
    """The junctions of an analog switch: each terminal towards its supply and from its negative one."""
    figures = {"is_a": DEAD_PIN_A, "ideality": 1.0, "capacitance_f": 0.0}
    supply, ground = supply_of(placed), net_at(placed, "VEE")
    ends = {str(placed.nets[p.number]): p.name for p in placed.part.pins if p.kind == "passive"}
    for net, name in ends.items():
        if net not in walls:
            for way, pair in (("up", (net, supply)), ("down", (ground, net))):
                yield Modelled("diode", f"{placed.ref}-{name}-{way}", placed.role, pair, figures, "dead pin")
    yield Modelled(
        "quiescent",
        f"{placed.ref}-supply",
        placed.role,
        (supply, ground),
        _drawn(placed.part.ratings),
        placed.part.name,
    )


def _buffer(r: Mapping[str, float]) -> dict[str, float]:
    return {
        "threshold_v": 0.0,
        "threshold_share": 0.5,
        "output_ohm": (r["output_ohm"] + r["output_ohm_high"]) / 2,
        "lag_s": r["delay_typical_s"] / math.log(2),
    }


def _slicer(r: Mapping[str, float]) -> dict[str, float]:
    """A separator: high above a slice over the clamped tips of sync."""
    return {
        "threshold_v": r["clamp_v"] + r["slice_v"],
        "threshold_share": 0.0,
        "output_ohm": (SLICER_V - r["output_high_5v_v"]) / r["output_source_a"],
        "lag_s": SEPARATOR_S[0] / math.log(2),
    }


def bipolar(ratings: Mapping[str, float], under: Conditions) -> dict[str, float]:
    """Saturation current [A], gain and energy gap [V] of a bipolar transistor, static and linear in temperature.

    V_BE = V_ref at 2 mA and 25 C, V_T ln(I / 2 mA) about it; with no power of T in the saturation current the gap
    alone sets its slope: dV_BE/dT = (V_ref - gap) / 298 K.  Gain: the geometric middle where none is asked.
    """
    r = ratings
    reference = (r["vbe_low_v"] + r["vbe_high_v"]) / 2 if under.vbe_v is None else under.vbe_v
    gain = math.sqrt(r["beta_low"] * r["beta_high"]) if under.gain is None else under.gain
    saturation = REFERENCE_A / math.exp(reference / (BOLTZMANN_V_PER_K * REFERENCE_K))
    return {"is_a": saturation, "gain": gain, "gap_v": reference - TEMPCO_V_PER_K * REFERENCE_K}


def _nfet(r: Mapping[str, float]) -> dict[str, float]:
    """Square law through the middle threshold and the on-resistance promised at 4.5 V on the gate."""
    threshold = (r["vgsth_low_v"] + r["vgsth_high_v"]) / 2
    return {
        "threshold_v": threshold,
        "siemens_per_v": 1 / (r["rds_on_ohm"] * (4.5 - threshold)),
        "gate_f": r["ciss_f"],
    }


def _regulator(r: Mapping[str, float], share: float) -> dict[str, float]:
    low, high = r["output_low_v"], r["output_high_v"]
    half = (high - low) / 2 - REGULATOR_OHM * r["current_max_a"]
    return {
        "output_v": (low + high) / 2 + share * half,
        "dropout_v": r["input_least_v"] - DROPOUT_FROM_V,
        "output_ohm": REGULATOR_OHM,
        "quiescent_a": r["quiescent_a"],
        "back_a": DEAD_PIN_A,
    }


def _inverter(r: Mapping[str, float]) -> dict[str, float]:
    return {
        "rise_v": (r["vt_rise_low_v"] + r["vt_rise_high_v"]) / 2,
        "fall_v": (r["vt_fall_low_v"] + r["vt_fall_high_v"]) / 2,
        "output_ohm": (r["output_ohm"] + r["output_ohm_high"]) / 2,
        "lag_s": r["delay_typical_s"] / math.log(2),  # half of a step is there after 0.69 of a time constant
        "junction_a": DEAD_PIN_A,
    }


def cable(name: str, net: str) -> Modelled:
    """The cable between a source and its contact, without loss."""
    return Modelled("cable", f"{name}/cable", name, (f"{name}/cable", net), {"line_ohm": LINE_OHM, "delay_s": CABLE_S})


def pulse(
    name: str, plus: str, minus: str, low: float, high: float, delay: float, edge: float, width: float, period: float
) -> Modelled:
    """A pulse train; `width` [s] is counted between the middles of its edges."""
    figures = {
        "low_v": low,
        "high_v": high,
        "delay_s": delay,
        "edge_s": edge,
        "flat_s": width - edge,
        "period_s": period,
    }
    return Modelled("pulse", name, name, (plus, minus), figures)


def held(name: str, net: str, volts: float) -> Modelled:
    """A net held at a voltage [V]."""
    return Modelled("voltage", name, name, (net, GROUND), {"value_v": volts})


def metered(name: str, net: str, volts: float) -> Iterator[Modelled]:
    """A net held at a voltage [V], with an ammeter of what flows into the board."""
    yield held(name, f"{name}/held", volts)
    yield Modelled("voltage", f"{name}/amps", name, (f"{name}/held", net), {"value_v": 0.0})


def current(name: str, out_of: str, into: str, amps: float) -> Modelled:
    """A current [A] from one net into another."""
    return Modelled("current", name, name, (out_of, into), {"value_a": amps})
