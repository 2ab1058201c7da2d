"""Speed and memory as ratios, measured in one run: `python tests/bench.py [RUNS]`.

The yardstick is a plain SKiDL script of the same part count, generated from the built circuit, in a
fresh process.  Both sides run in turn and the ratio is taken pair by pair, so a slow machine is slow for
both.  Samples are measured against ngspice on the deck of the same board, with what is in ngspice's favour: linear
parts only, nothing measured or written.  It prints figures beside their bounds and ends with status 1 when one is
exceeded or could not be measured.
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TEMPLATE = ROOT / "templates" / "plover.toml"
EIGHT = ROOT / "templates" / "godwit.toml"
SAMPLED = ROOT / "templates" / "kestrel.toml"
COMMANDS = ("templates", "new", "survey", "processors", "check", "build", "order", "schema")

CACHE = tempfile.TemporaryDirectory(prefix="bytecode-")
CACHED = {**os.environ, "PYTHONPYCACHEPREFIX": CACHE.name}
CACHED.pop("PYTHONDONTWRITEBYTECODE", None)
"""Both sides find their modules compiled, as from the second run on after an installation: the warm-up compiles."""
ONE_CORE = {**CACHED, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
KEYS = (
    "level", "level-relative/5MHz", "pixel/5.37MHz", "pixel/6.75MHz", "pixel/7.16MHz", "pixel/13.5MHz",
    "return-loss/DC", "return-loss/1MHz", "return-loss/5.5MHz", "bandwidth", "mismatch", "crosstalk/1MHz",
    "crosstalk/5MHz", "sync-level", "audio-level", "audio-corner", "droop",
)  # fmt: skip
"""What is worked out of every board in the state input-1."""
BOARDS, MANY = 100_000, 10_000_000
SAMPLING = """
import time
from rasterport.analysis.figures import Figures
from rasterport.analysis.samples import sample
from rasterport.analysis.setup import Setup
from rasterport.api import load
from rasterport.circuit import compose
(loaded,) = load({path!r})
figures = Figures(Setup(loaded.variant, compose(loaded.variant)))
begin = time.process_time()
names = [name for name in figures.quantities if name[0] in {keys!r} and name[2] == "input-1"]
found = sample(figures, {boards}, 1, names=names)
print(time.process_time() - begin)
assert {{f.key for f in found}} == set({keys!r}) and all(f.boards == {boards} for f in found)
"""
PROVING = """
import time
from rasterport.analysis.intent import Proof
from rasterport.api import load
from rasterport.checks.bench import Bench
from rasterport.circuit import compose
(loaded,) = load({path!r})
made = loaded.variant.model_copy(update={{"input": loaded.variant.input[:1] * 8}})
bench = Bench(made, compose(made))
begin = time.process_time()
assert not list(bench.proof.offences()) and bench.proof.walk.size > 590_000
print(time.process_time() - begin)
"""
"""The proof alone, of eight inputs that all have a status contact: the circuit is there already."""
SEARCHING = """
import time
import numpy
from rasterport.design.shared import Display, Wishes, search
cases = [
    (Display(5.0, 0.0, 100.0, 100.0, 100.0), Wishes(0.7, 0.7, pin_ohm=1e6, node_ohm=600.0)),
    (Display(5.0, 0.0, 100.0, 100.0, 100.0), Wishes(0.602, 0.7, clipping_v=1.0, pin_ohm=1e6, node_ohm=600.0)),
    (Display(5.0, 0.1, 1000.0, 30.0, 30.0), Wishes(0.602, 0.7, 0.02, 0.35, 40.0, pin_ohm=1e6, node_ohm=600.0)),
    (Display(1.0, 0.0, 100.0, 100.0, 100.0), Wishes(0.7, 0.9, pin_ohm=1e6, node_ohm=600.0)),
]
longest = 0.0
for display, wishes in cases:
    begin = time.process_time()
    found = search(display, wishes)
    longest = max(longest, time.process_time() - begin)
    assert found.series == "E96" and len(found.runners_up) == 3
print(longest)
"""
"""Shared pins where E24 does not serve: the best of 300 million quadruples of E96 and three runners-up."""
DRAWING = """
import gc, time
from rasterport.api import load
from rasterport.circuit import compose
(loaded,) = load({path!r})
circuit = compose(loaded.variant)
gc.collect()
gc.freeze()
begin = time.process_time()
from rasterport.emit.drawing.sheets import drawings
assert drawings(circuit, "bench", "bench")
print(time.process_time() - begin)
"""
"""The drawing alone, its modules included; what was there before is no matter of its garbage collection."""
PLOTTING = """
import time
from rasterport.api import design, load
(loaded,) = load({path!r})
done = design(loaded)
begin = time.process_time()
from rasterport.analysis.curves import curves
from rasterport.analysis.margins import margins
from rasterport.analysis.windows import blanking_window, status_windows
from rasterport.emit.plots.bars import bars_svg
from rasterport.emit.plots.lines import plot_svg
figures = done.bench.figures
drawn = [plot_svg(curve) for curve in curves(figures)]
windows = (blanking_window(figures), *status_windows(figures))
drawn += [bars_svg(bars) for bars in (margins(figures, done.findings), *windows)]
print(time.process_time() - begin)
assert len(drawn) > 4
"""
"""Curves and plots alone, their modules included; the figures are there already."""
WIRING = """
import gc, time
from rasterport.api import load
from rasterport.circuit import compose
from rasterport.emit.wiring import wiring_text
(loaded,) = load({path!r})
circuit = compose(loaded.variant)
gc.collect()
gc.freeze()
begin = time.process_time()
from rasterport.emit.wires.pictures import wiring_pictures
assert wiring_pictures(circuit, "bench", "bench")
print(time.process_time() - begin)
"""
"""The wiring pictures alone, their modules included; the wiring list is there already."""
LINEAR = ("resistor", "capacitor", "cable", "voltage", "current", "pulse", "sine")
GREY_HZ = (1e-4, 1e5, 1e6, 2.685e6, 3.375e6, 3.58e6, 5e6, 5.5e6, 6.75e6)
CROSSTALK_HZ = (1e6, 5e6)
"""The frequencies [Hz] of the same figures; ngspice finds a -3 dB point from a sweep, a coarse one in its favour."""
UPPER, LOWER, TONE = "dec 10 1e5 1e9", "dec 10 0.01 1e3", "lin 1 1e3 1e3"
PROCESSES, ROUNDS = 5, 300


def plain_script(template: Path, path: Path) -> int:
    """Write the plain SKiDL script of a template's circuit; returns its part count."""
    from rasterport.api import load
    from rasterport.circuit import compose

    (loaded,) = load(template)
    circuit = compose(loaded.variant)
    lines = ["from skidl import NETLIST, SKIDL, TEMPLATE, Net, Part, Pin, generate_netlist", "made = {}"]
    nets: dict[str, str] = {}
    rows: dict[str, str] = {}
    count = 0
    for placed in circuit.parts:
        if not placed.on_board:
            continue
        count += 1
        row = placed.part
        if row.key not in rows:
            rows[row.key] = f"t{len(rows)}"
            pins = ", ".join(f"Pin(num={p.number!r}, name={p.name!r}, func=Pin.types.PASSIVE)" for p in row.pins)
            lines.append(
                f"{rows[row.key]} = Part(name={row.name!r}, tool=SKIDL, dest=TEMPLATE, ref_prefix={row.letter!r}, "
                f"footprint={row.footprint!r}, pins=[{pins}])"
            )
        lines.append(
            f"p = {rows[row.key]}(dest=NETLIST, ref={placed.ref!r}, value={placed.value!r}, tag={placed.role!r})"
        )
        for number, net in placed.nets.items():
            if net is None:
                continue
            if net not in nets:
                nets[net] = f"n{len(nets)}"
                lines.append(f"{nets[net]} = Net({net!r})")
            lines.append(f"{nets[net]} += p.p[{number!r}]")
    lines.append("generate_netlist()")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return count


def run(command: list[str], folder: Path) -> tuple[float, float]:
    """Wall seconds and peak memory [MB] of one process; fails when the process does."""
    start = time.perf_counter()
    process = subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=CACHED)
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return seconds, usage.ru_maxrss / 1024


def pairs(first: list[str], second: list[str], folder: Path, runs: int) -> tuple[float, float, float]:
    """Medians of: ratio of seconds, ratio of memory, difference of seconds; one warm-up before."""
    times, memory, apart = [], [], []
    for n in range(runs + 1):
        (a, a_mb), (b, b_mb) = run(first, folder), run(second, folder)
        if n:
            times.append(a / b)
            memory.append(a_mb / b_mb)
            apart.append(a - b)
    return statistics.median(times), statistics.median(memory), statistics.median(apart)


class Report:
    """Rows of figures beside their bounds."""

    def __init__(self) -> None:
        self.failures = 0

    def row(self, name: str, value: float, bound: float, unit: str, least: bool = False) -> None:
        """One figure; `bound` is the most it may be, or the least."""
        over = value < bound if least else value > bound
        self.failures += over
        word = "at least" if least else "bound"
        print(f"{name:<60} {value:8.3f} {unit:<6} {word} {bound:g} {unit}{'   EXCEEDED' if over else ''}", flush=True)

    def left_out(self, name: str, why: str) -> None:
        """A figure that could not be measured counts as a failure."""
        self.failures += 1
        print(f"{name:<60} left out: {why}", flush=True)


def sampled(boards: int, folder: Path) -> tuple[float, float]:
    """Process seconds beyond start-up and peak memory [MB] of one fresh process that draws so many boards."""
    script = SAMPLING.format(path=str(SAMPLED), boards=boards, keys=KEYS)
    with (folder / "seconds").open("w+") as told:
        process = subprocess.Popen([sys.executable, "-c", script], cwd=folder, stdout=told, env=ONE_CORE)
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        told.seek(0)
        if process.returncode != 0:
            raise SystemExit(f"drawing {boards} boards ended with {process.returncode}")
        return float(told.read()), usage.ru_maxrss / 1024


def alternating_deck(rounds: int) -> str:
    """The board's linear parts as a deck that works out the same frequencies, every uncertain part altered first."""
    from dataclasses import replace

    from rasterport.analysis.control import Control
    from rasterport.analysis.network import set_side
    from rasterport.analysis.simulation import simulation
    from rasterport.api import load
    from rasterport.circuit import compose
    from rasterport.emit.deck import deck_text, element_name
    from rasterport.records import COLOURS

    (loaded,) = load(SAMPLED)
    circuit = compose(loaded.variant)
    spreads = {
        e.role: e.spread
        for e in (*Control(circuit, loaded.variant).elements("input-1"), *set_side(circuit, loaded.variant))
        if e.spread > 0 and {*COLOURS, "sync", "left", "right"} & set(re.split("[/-]", e.role))
    }
    deck = simulation(circuit, loaded.variant, "input-1")
    deck = replace(deck, parts=tuple(p for p in deck.parts if p.kind in LINEAR))
    altered = []
    for part in deck.parts:
        if part.role in spreads and part.kind in ("resistor", "capacitor"):
            (value,) = part.figures.values()
            name = element_name("R" if part.kind == "resistor" else "C", part.name)
            altered += [f"let v = {value:g} * (1 + {spreads[part.role]:g} * sunif(0))", f"alter {name} = $&v"]
    assert len(altered) == 2 * 22, altered
    video = [element_name("V", f"input-1/{f}/picture") for f in (*COLOURS, "sync")]
    tones = [element_name("V", f"input-1/audio-{side}/tone") for side in ("left", "right")]
    runs = [(video, [*(f"lin 1 {f:g} {f:g}" for f in GREY_HZ), UPPER]), (tones, [TONE, LOWER])]
    runs += [([colour], [f"lin 1 {f:g} {f:g}" for f in CROSSTALK_HZ]) for colour in video[:3]]
    work = []
    for sources, spans in runs:
        work += [f"alter {s} ac=1" for s in sources]
        work += [f"ac {span}" for span in spans]
        work += [f"alter {s} ac=0" for s in sources]
    lines = [".control", f"repeat {rounds}", *altered, *work, "destroy all", "end", "quit 0", ".endc"]
    return deck_text(deck, analysis="\n".join(lines))


def simulated(rounds: int, folder: Path) -> float:
    """Process seconds of one run of ngspice that goes so many times through the analyses."""
    (folder / "deck.cir").write_text(alternating_deck(rounds), encoding="utf-8")
    with (folder / "told").open("w+") as told:
        process = subprocess.Popen(
            ["ngspice", "-b", "deck.cir"], cwd=folder, stdout=told, stderr=subprocess.STDOUT, env=ONE_CORE
        )
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        told.seek(0)
        words = told.read()
    if process.returncode != 0 or "rror" in words or "No. of Data Rows" not in words:
        raise SystemExit(f"ngspice ended with {process.returncode}: {words[-2000:]}")
    return usage.ru_utime + usage.ru_stime


def samples(report: Report, folder: Path) -> None:
    """Boards drawn at random: seconds, memory, and both against ngspice."""
    few = [sampled(BOARDS, folder) for _ in range(3)]
    seconds, memory = (statistics.median(values) for values in zip(*few, strict=True))
    report.row(f"{BOARDS} boards, process time beyond start-up", seconds, 1.5, "s")
    names = ("one ngspice process a board / one board", "one board altered inside ngspice / one board")
    if shutil.which("ngspice") is None:
        for name in names:
            report.left_out(name, "ngspice is not installed")
    else:
        alone = statistics.median(simulated(1, folder) for _ in range(PROCESSES))
        inside = (simulated(ROUNDS + 1, folder) - alone) / ROUNDS
        report.row(names[0], alone / (seconds / BOARDS), 100, "times", least=True)
        report.row(names[1], inside / (seconds / BOARDS), 10, "times", least=True)
    report.row(f"peak memory of {BOARDS} boards", memory, 500, "MB")
    _, most = sampled(MANY, folder)
    report.row(f"peak memory of {MANY} boards / {BOARDS} boards", most / memory, 1.2, "times")


def whole_build(report: Report, folder: Path, runs: int) -> None:
    """What a build of everything adds to one of the core, what the bench sheet adds to a check, and peak memory."""
    for template in (TEMPLATE, EIGHT):
        script = folder / "whole.py"
        count = plain_script(template, script)
        plain = [sys.executable, str(script)]
        build = [sys.executable, "-m", "rasterport", "build", str(template), "--out", str(folder / "whole")]
        core, sheet = [*build, "--only", "net,bom,wiring,findings"], [*build, "--only", "html"]
        check = [sys.executable, "-m", "rasterport", "check", str(template)]
        run(build, folder)
        seconds = [[processor_time(c, folder) for c in (build, core, sheet, check, plain)] for _ in range(runs)]
        added = statistics.median((whole - less) / own for whole, less, _, _, own in seconds)
        report.row(f"what a whole build of {count} parts adds / plain", added, 1.0, "times")
        alone = statistics.median((page - judged) / own for _, _, page, judged, own in seconds)
        report.row("its bench sheet alone, beyond a check / plain", alone, 0.5, "times")
        memory = statistics.median(run(build, folder)[1] / run(plain, folder)[1] for _ in range(3))
        report.row("peak memory of the whole build / plain", memory, 1.3, "times")


def eight_inputs(report: Report, folder: Path, runs: int) -> None:
    """The board of eight inputs against a plain script of its part count, and the proof of its switching alone."""
    script = folder / "eight.py"
    count = plain_script(EIGHT, script)
    build = [sys.executable, "-m", "rasterport", "build", str(EIGHT), "--out", str(folder / "eight"), "--only"]
    kinds = "net,bom,wiring,findings"
    seconds, memory, _ = pairs([*build, kinds], [sys.executable, str(script)], folder, runs)
    report.row(f"build of 8 inputs, {count} parts / plain", seconds, 1.0, "times")
    report.row("its peak memory / plain", memory, 1.2, "times")
    proofs = [float(told(PROVING.format(path=str(EIGHT)), folder)) for _ in range(3)]
    report.row("proof of the switching of 8 inputs, process time", statistics.median(proofs), 5.0, "s")


def drawing(report: Report, folder: Path) -> None:
    """The circuit drawing, process time beyond the circuit, against the plain script of the same board."""
    for template in (TEMPLATE, EIGHT):
        script = folder / "drawn.py"
        count = plain_script(template, script)
        own = statistics.median(float(told(DRAWING.format(path=str(template)), folder)) for _ in range(3))
        plain = statistics.median(processor_time([sys.executable, str(script)], folder) for _ in range(3))
        report.row(f"circuit drawing of {count} parts / plain", own / plain, 0.06, "times")
        own = statistics.median(float(told(WIRING.format(path=str(template)), folder)) for _ in range(3))
        report.row(f"wiring pictures of {count} parts / plain", own / plain, 0.03, "times")


def plots(report: Report, folder: Path) -> None:
    """The plots of a bench sheet, process time beyond the figures, against the plain script of the same board."""
    for template in (TEMPLATE, EIGHT):
        script = folder / "plotted.py"
        count = plain_script(template, script)
        own = statistics.median(float(told(PLOTTING.format(path=str(template)), folder)) for _ in range(3))
        plain = statistics.median(processor_time([sys.executable, str(script)], folder) for _ in range(3))
        report.row(f"plots of {count} parts / plain, process time", own / plain, 0.15, "times")


def processor_time(command: list[str], folder: Path) -> float:
    """Processor seconds of one process."""
    process = subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=ONE_CORE)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return usage.ru_utime + usage.ru_stime


def second_of_a_model(folder: Path) -> Path:
    """A file that is like the template, with a key of its own and parts out of a drawer."""
    shutil.copy(TEMPLATE, folder)
    lines = ["[variant]", 'name = "second"', f'like = "{TEMPLATE.name}"', "[set.supply]", 'tolerance = "2 %"', "[fit]"]
    lines += [f'"{colour}/coupling" = "120n"' for colour in ("red", "green", "blue")]
    path = folder / "second.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def shared_pins(report: Report, folder: Path) -> None:
    """The search for the resistors where an input and the set's display meet: the longest of four cases."""
    longest = statistics.median(float(told(SEARCHING, folder)) for _ in range(3))
    report.row("resistors of shared pins, E96, longest of 4, process time", longest, 0.5, "s")


def told(script: str, folder: Path) -> str:
    """What a fresh process that runs a script prints."""
    command = [sys.executable, "-c", script]
    return subprocess.run(command, cwd=folder, env=ONE_CORE, stdout=subprocess.PIPE, text=True, check=True).stdout


def main() -> int:
    """Measure everything and print it; status 1 when a bound is exceeded."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    python = sys.executable
    program = [python, "-m", "rasterport"]
    report = Report()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        script = folder / "plain.py"
        count = plain_script(TEMPLATE, script)
        plain = [python, str(script)]
        print(f"plain SKiDL script of {count} parts, {runs} runs each, medians of pairs")
        build = [*program, "build", str(TEMPLATE), "--only", "net,bom,wiring,findings", "--out", str(folder / "out")]
        seconds, memory, _ = pairs(build, plain, folder, runs)
        # 0.7 before the figures: NumPy's import and every worst case are in both commands now.
        report.row("build --only net,bom,wiring,findings / plain", seconds, 0.8, "times")
        report.row("its peak memory / plain", memory, 1.0, "times")
        seconds, memory, _ = pairs([*program, "check", str(TEMPLATE)], plain, folder, runs)
        report.row("check / plain", seconds, 0.6, "times")
        report.row("its peak memory / plain", memory, 1.0, "times")
        seconds, _, _ = pairs([*program, "check", str(second_of_a_model(folder))], plain, folder, runs)
        report.row("check of a file with like and fit / plain", seconds, 0.6, "times")
        whole_build(report, folder, min(runs, 5))
        eight_inputs(report, folder, runs)
        shared_pins(report, folder)
        drawing(report, folder)
        plots(report, folder)
        bare = [python, "-c", "pass"]
        wanted: list[list[str]] = [[*program, "--help"], *([*program, c, "--help"] for c in COMMANDS)]
        for command in wanted:
            _, _, apart = pairs(command, bare, folder, runs)
            report.row(f"{' '.join(command[2:])} beyond the bare interpreter", apart, 0.1, "s")
        samples(report, folder)
    return 1 if report.failures else 0


if __name__ == "__main__":
    raise SystemExit(main())
