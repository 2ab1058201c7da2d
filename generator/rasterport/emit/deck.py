"""A simulation as a SPICE deck that ngspice runs as it is.

One function a kind of model; the figures come with the record.  SPICE tells no capital from a small letter and
knows the net 0: names are made so that no two nets share one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping

from rasterport.records import GROUND, Measure, Modelled, Simulation
from rasterport.units import plain, short

HEADER = """
Linear parts have their nominal values, closed contacts 0.1 ohm, every net 1 Tohm to ground.
Models, from the bounds in the catalogue, nominal in the middle:
 bipolar transistor   static: base-emitter voltage at 2 mA and 25 C, -2 mV a kelvin, gain; no charge, no resistance
 MOSFET               square law through threshold and on-resistance at 4.5 V, gate capacitance, body diode
 diode                static exponential and capacitance
 two-way clamp        capacitance, and 1 ohm beyond its breakdown, both ways
 5 V regulator        output behind 10 mohm, dropout, quiescent current, a diode backwards; no limit of current
 Schmitt inverter     two thresholds, output resistance, input junctions, delay; unused sections left out
 relay                coil as its resistance; the contacts stand where the state says
 analog switch        resistance and capacitance; closed where the state says; junctions to both supplies
 logic that chooses   each output on its side through its resistance, as the state has it
 buffer, separator    a threshold, output resistance, delay; a separator clamps the tips of sync
 keyed clamp          full current beyond 1 mV from its level, once a line
Not in the models: tolerance, noise, warming, speed of transistors, field blanking and serrated sync.
"""


STEEP = 20
"""An output changes over while its state passes a half, not as slowly as the state moves, which makes its delay."""


def deck_text(simulation: Simulation, remark: str = "", analysis: str | None = None) -> str:
    """The deck.  `analysis` replaces the transient run and what it prints."""
    net = spice_names(simulation)
    lines = [f"* {simulation.title}, state {simulation.state}", *_comments(simulation, remark)]
    lines.append(f".options temp={short(simulation.celsius)} tnom=25 rshunt=1e12 reltol=1e-4")
    for part in simulation.parts:
        lines += ["", f"* {part.name}" if part.role == part.name else f"* {part.name}, {part.role}"]
        lines += WRITERS[part.kind](part, [net[n] for n in part.nets])
    lines += ["", *dict.fromkeys(m for p in simulation.parts for m in _models(p)), ""]
    lines += _transient(simulation, net) if analysis is None else analysis.splitlines()
    return "\n".join([*lines, ".end", ""])


def spice_names(simulation: Simulation) -> dict[str, str]:
    """Name of every net in the deck: 0 for ground, small letters, figures and _ else, each name once."""
    found = {GROUND: "0"}
    taken = {"0", "gnd"}
    for net in sorted({n for p in simulation.parts for n in p.nets} - {GROUND}):
        base = re.sub(r"[^a-z0-9]", "_", net.lower())
        name, n = base, 1
        while name in taken:
            n += 1
            name = f"{base}__{n}"
        taken.add(name)
        found[net] = name
    return found


def element_name(letter: str, name: str, suffix: str = "") -> str:
    """Name of an element: the reference where it begins with SPICE's letter, else the letter in front."""
    clean = re.sub(r"[^A-Za-z0-9]", "_", name) + suffix
    return clean if re.fullmatch(letter + r"\d+", name) and not suffix else f"{letter}_{clean}"


def _comments(simulation: Simulation, remark: str) -> list[str]:
    run = "Run: ngspice -b with the name of this file; the figures stand under Measurements."
    texts = [remark, run, *simulation.notes, *HEADER.strip().splitlines()]
    return [f"* {plain(' '.join(text.split()) if text is remark else text)}" for text in texts if text]


def _transient(simulation: Simulation, net: Mapping[str, str]) -> list[str]:
    starts = [f".ic v({net[n]})={short(v)}" for n, v in sorted(simulation.starts.items())]
    step, stop = short(simulation.step_s), short(simulation.stop_s)
    lines = ["* start where capacitors have settled", *starts] if starts else []
    lines.append(f".tran {step} {stop} 0 {step}")
    for measure in simulation.measures:
        lines += [f"* {measure.words}", _measure(measure, net)]
    return lines


def _measure(m: Measure, net: Mapping[str, str]) -> str:
    head = f".meas tran {m.name}"
    if m.kind == "difference":
        return f"{head} param='{m.of[0]}-{m.of[1]}'"
    if m.kind == "swing":
        return f"{head} pp v({net[m.of[0]]}) from={short(m.start_s)} to={short(m.stop_s)}"
    what = f"i({element_name('V', m.of[0])})" if m.kind == "current" else f"v({net[m.of[0]]})"
    return f"{head} find {what} at={short(m.start_s)}"


def _resistor(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('R', p.name)} {n[0]} {n[1]} {short(p.figures['value_ohm'])}"


def _capacitor(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('C', p.name)} {n[0]} {n[1]} {short(p.figures['value_f'])}"


def _cable(p: Modelled, n: list[str]) -> Iterable[str]:
    # rel: by default every edge that comes back sets points of time of its own, and their number never stops growing.
    f = p.figures
    yield f"{element_name('T', p.name)} {n[0]} 0 {n[1]} 0 z0={short(f['line_ohm'])} td={short(f['delay_s'])} rel=100"


def _voltage(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('V', p.name)} {n[0]} {n[1]} {short(p.figures['value_v'])}"


def _current(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('I', p.name)} {n[0]} {n[1]} {short(p.figures['value_a'])}"


def _pulse(p: Modelled, n: list[str]) -> Iterable[str]:
    f = p.figures
    values = [f["low_v"], f["high_v"], f["delay_s"], f["edge_s"], f["edge_s"], f["flat_s"], f["period_s"]]
    yield f"{element_name('V', p.name)} {n[0]} {n[1]} pulse({' '.join(short(v) for v in values)})"


def _sine(p: Modelled, n: list[str]) -> Iterable[str]:
    f = p.figures
    yield f"{element_name('V', p.name)} {n[0]} {n[1]} sin(0 {short(f['amplitude_v'])} {short(f['frequency_hz'])})"


def _bipolar(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('Q', p.name)} {n[0]} {n[1]} {n[2]} {_model_name(p)}"


def _nfet(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('M', p.name)} {n[0]} {n[1]} {n[2]} {n[2]} {_model_name(p)}"
    yield f"{element_name('C', p.name)} {n[1]} {n[2]} {short(p.figures['gate_f'])}"


def _diode(p: Modelled, n: list[str]) -> Iterable[str]:
    yield f"{element_name('D', p.name)} {n[0]} {n[1]} {_model_name(p)}"


def _two_way_clamp(p: Modelled, n: list[str]) -> Iterable[str]:
    at, ohm, across = short(p.figures["breakdown_v"]), short(p.figures["slope_ohm"]), f"v({n[0]},{n[1]})"
    flows = f"(max(0,{across}-{at})-max(0,-{at}-{across}))/{ohm}"
    yield f"{element_name('B', p.name)} {n[0]} {n[1]} i={flows}"


def _keyed_clamp(p: Modelled, n: list[str]) -> Iterable[str]:
    level, most, siemens = (short(p.figures[k]) for k in ("level_v", "current_a", "siemens"))
    flows = f"v({n[1]})*max(-{most},min({most},({level}-v({n[0]}))*{siemens}))"
    yield f"{element_name('B', p.name)} 0 {n[0]} i={flows}"


def _quiescent(p: Modelled, n: list[str]) -> Iterable[str]:
    f = p.figures
    flows = f"{short(f['current_a'])}*max(0,min(1,v({n[0]},{n[1]})-{short(f['from_v'])}))"
    yield f"{element_name('B', p.name)} {n[0]} {n[1]} i={flows}"


def _regulator(p: Modelled, n: list[str]) -> Iterable[str]:
    f = {key: short(value) for key, value in p.figures.items()}
    into, out, ground = n
    wanted = f"min({f['output_v']},v({into},{ground})-{f['dropout_v']})-v({out},{ground})"
    yield (f"{element_name('B', p.name, '_pass')} {into} {out} i=max(0,{wanted})/{f['output_ohm']}")
    flows = f"{f['quiescent_a']}*max(0,min(1,v({into},{ground})-{f['dropout_v']}))"
    yield f"{element_name('B', p.name, '_own')} {into} {ground} i={flows}"
    yield f"{element_name('D', p.name, '_back')} {out} {into} {_model_name(p)}"


def _schmitt_inverter(p: Modelled, n: list[str]) -> Iterable[str]:
    """The output's state stands on a net of its own, 0 or 1, and chooses the threshold."""
    f = {key: short(value) for key, value in p.figures.items()}
    a, y, supply, ground, now, then = n
    # A slope of 5 mV in place of a step: the operating point is found at once.
    threshold = f"({f['fall_v']}+v({then})*({f['rise_v']}-{f['fall_v']}))"
    yield f"{element_name('B', p.name, '_wanted')} {now} 0 v=0.5+0.5*tanh(200*({threshold}-v({a},{ground})))"
    yield f"{element_name('R', p.name, '_state')} {now} {then} 1000"
    yield f"{element_name('C', p.name, '_state')} {then} 0 {short(p.figures['lag_s'] / 1e3)}"
    yield f"{element_name('B', p.name, '_high')} {supply} {y} i=v({then})*v({supply},{y})/{f['output_ohm']}"
    yield f"{element_name('B', p.name, '_low')} {y} {ground} i=(1-v({then}))*v({y},{ground})/{f['output_ohm']}"
    yield f"{element_name('D', p.name, '_up')} {a} {supply} {_model_name(p)}"
    yield f"{element_name('D', p.name, '_down')} {ground} {a} {_model_name(p)}"


def _comparator(p: Modelled, n: list[str]) -> Iterable[str]:
    """High at the output while the input is above a threshold; the state stands on a net of its own, 0 or 1."""
    f = {key: short(value) for key, value in p.figures.items()}
    a, y, supply, ground, now, then = n
    threshold = f"({f['threshold_v']}+{f['threshold_share']}*v({supply},{ground}))"
    yield f"{element_name('B', p.name, '_wanted')} {now} 0 v=0.5+0.5*tanh(200*(v({a},{ground})-{threshold}))"
    yield f"{element_name('R', p.name, '_state')} {now} {then} 1000"
    yield f"{element_name('C', p.name, '_state')} {then} 0 {short(p.figures['lag_s'] / 1e3)}"
    high = f"(0.5+0.5*tanh({STEEP}*(v({then})-0.5)))"
    yield f"{element_name('B', p.name, '_high')} {supply} {y} i={high}*v({supply},{y})/{f['output_ohm']}"
    yield f"{element_name('B', p.name, '_low')} {y} {ground} i=(1-{high})*v({y},{ground})/{f['output_ohm']}"


def _back_porch(p: Modelled, n: list[str]) -> Iterable[str]:
    """Low from the end of sync, whose state is the first net, until a line of that delay tells that it is over."""
    sync, burst, supply, ground, begun, over = n
    length, ohm = short(p.figures["length_s"]), short(p.figures["output_ohm"])
    yield f"{element_name('E', p.name, '_begun')} {begun} 0 {sync} 0 1"
    yield f"{element_name('T', p.name, '_line')} {begun} 0 {over} 0 z0=1000 td={length} rel=100"
    yield f"{element_name('R', p.name, '_end')} {over} 0 1000"
    steps = [f"(0.5+0.5*tanh({STEEP}*(v({net})-0.5)))" for net in (begun, over)]
    low = f"({steps[0]}*(1-{steps[1]}))"
    yield f"{element_name('B', p.name, '_high')} {supply} {burst} i=(1-{low})*v({supply},{burst})/{ohm}"
    yield f"{element_name('B', p.name, '_low')} {burst} {ground} i={low}*v({burst},{ground})/{ohm}"


def _keyed_switch(p: Modelled, n: list[str]) -> Iterable[str]:
    first, second, key, supply = n
    way = "-" if p.figures["low"] else "+"
    closed = f"(0.5{way}0.5*tanh({STEEP}*(v({key})/v({supply})-0.5)))"
    yield f"{element_name('B', p.name)} {first} {second} i={closed}*v({first},{second})/{short(p.figures['value_ohm'])}"


def _display_output(p: Modelled, n: list[str]) -> Iterable[str]:
    f = {key: short(value) for key, value in p.figures.items()}
    on = f"v({n[1]})*({f['high_v']}-v({n[0]}))/{f['high_ohm']}"
    yield f"{element_name('B', p.name)} 0 {n[0]} i={on}+(1-v({n[1]}))*({f['low_v']}-v({n[0]}))*{f['idle_siemens']}"


def _tip_clamp(p: Modelled, n: list[str]) -> Iterable[str]:
    level, siemens, discharge = (short(p.figures[k]) for k in ("level_v", "siemens", "discharge_a"))
    flows = f"max(0,({level}-v({n[0]}))*{siemens})-{discharge}*max(0,min(1,(v({n[0]})-{level})*1e3))"
    yield f"{element_name('B', p.name)} 0 {n[0]} i={flows}"


WRITERS: dict[str, Callable[[Modelled, list[str]], Iterable[str]]] = {
    "resistor": _resistor,
    "capacitor": _capacitor,
    "cable": _cable,
    "voltage": _voltage,
    "current": _current,
    "pulse": _pulse,
    "sine": _sine,
    "npn": _bipolar,
    "pnp": _bipolar,
    "nfet": _nfet,
    "diode": _diode,
    "two-way-clamp": _two_way_clamp,
    "keyed-clamp": _keyed_clamp,
    "quiescent": _quiescent,
    "regulator": _regulator,
    "schmitt-inverter": _schmitt_inverter,
    "comparator": _comparator,
    "tip-clamp": _tip_clamp,
    "back-porch": _back_porch,
    "keyed-switch": _keyed_switch,
    "display-output": _display_output,
}


def _model_name(p: Modelled) -> str:
    return re.sub(r"[^a-z0-9]", "_", p.model.lower()) + {"npn": "", "pnp": "", "nfet": ""}.get(p.kind, "_junction")


def _models(p: Modelled) -> Iterator[str]:
    f = {key: short(value) for key, value in p.figures.items()}
    head = f".model {_model_name(p)}"
    if p.kind in ("npn", "pnp"):
        yield f"{head} {p.kind}(is={f['is_a']} bf={f['gain']} xti=0 eg={f['gap_v']})"
    elif p.kind == "nfet":
        yield f"{head} nmos(level=1 vto={f['threshold_v']} kp={f['siemens_per_v']})"
    elif p.kind == "diode":
        yield f"{head} d(is={f['is_a']} n={f['ideality']} cjo={f['capacitance_f']})"
    elif p.kind == "regulator":
        yield f"{head} d(is={f['back_a']})"
    elif p.kind == "schmitt-inverter":
        yield f"{head} d(is={f['junction_a']})"
