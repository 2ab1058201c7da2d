"""Speed and memory as ratios, measured in one run: `python tests/bench.py [RUNS]`.

The yardstick is a plain SKiDL script of the same part count, generated from the built circuit, in a
fresh process.  Both sides run in turn and the ratio is taken pair by pair, so a slow machine is slow for
both.  It prints figures beside their bounds and ends with status 1 when one is exceeded.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TEMPLATE = ROOT / "templates" / "plover.toml"
COMMANDS = ("templates", "new", "survey", "check", "build", "schema")


def plain_script(path: Path) -> int:
    """Write the plain SKiDL script of the template's circuit; returns its part count."""
    from rasterport.api import load
    from rasterport.circuit import compose

    (loaded,) = load(TEMPLATE)
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
    process = subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
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


def main() -> int:
    """Measure everything and print it; status 1 when a bound is exceeded."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    python = sys.executable
    program = [python, "-m", "rasterport"]
    failures = 0

    def report(name: str, value: float, bound: float, unit: str) -> None:
        nonlocal failures
        over = value > bound
        failures += over
        print(f"{name:<52} {value:8.3f} {unit:<6} bound {bound:g} {unit}{'   EXCEEDED' if over else ''}")

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        script = folder / "plain.py"
        count = plain_script(script)
        plain = [python, str(script)]
        print(f"plain SKiDL script of {count} parts, {runs} runs each, medians of pairs")
        build = [*program, "build", str(TEMPLATE), "--only", "net,bom,wiring,findings", "--out", str(folder / "out")]
        seconds, memory, _ = pairs(build, plain, folder, runs)
        report("build --only net,bom,wiring,findings / plain", seconds, 0.7, "times")
        report("its peak memory / plain", memory, 1.0, "times")
        seconds, memory, _ = pairs([*program, "check", str(TEMPLATE)], plain, folder, runs)
        report("check / plain", seconds, 0.4, "times")
        report("its peak memory / plain", memory, 1.0, "times")
        bare = [python, "-c", "pass"]
        wanted: list[list[str]] = [[*program, "--help"], *([*program, c, "--help"] for c in COMMANDS)]
        for command in wanted:
            _, _, apart = pairs(command, bare, folder, runs)
            report(f"{' '.join(command[2:])} beyond the bare interpreter", apart, 0.1, "s")
    return 1 if failures else 0


if __name__ == "__main__":
    raise SystemExit(main())
