"""The command line as its user meets it: what is printed where, what is written, how it ends."""

from __future__ import annotations

import contextlib
import csv
import importlib
import io
import json
import os
import pkgutil
import re
import subprocess
import sys
import tempfile
import traceback
import warnings
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

import rasterport
import rasterport.cli
from places import OUT, TEMPLATES

Run = Callable[..., "subprocess.CompletedProcess[str]"]
CURLEW = str(TEMPLATES / "curlew.toml")
KESTREL = str(TEMPLATES / "kestrel.toml")
AWKWARD = "Késtrel \"A\" (µ, Ω, 日本) <b>; back\\slash, 'x'"


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs the program in an empty folder; UTF-8 unless the test says otherwise.

    Where nothing is said the process is a copy of this one, in which the modules are loaded already; a process with
    surroundings of its own, and every one of `shell`, is started from nothing.
    """

    def program(*arguments: str, **surroundings: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "rasterport", *arguments]
        if not surroundings and hasattr(os, "fork"):
            return copied(command, tmp_path)
        environment = {**os.environ, "PYTHONUTF8": "1", **surroundings}
        return subprocess.run(
            command, cwd=tmp_path, env=environment, capture_output=True, encoding="utf-8", check=False
        )

    return program


@cache
def loaded() -> None:
    """Loads every module of the program, once a worker: three quarters of a short run are nothing else."""
    for module in pkgutil.walk_packages(rasterport.__path__, f"{rasterport.__name__}."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)


def copied(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """The program in a copy of this process, with a folder and streams of its own; a fault ends as Python ends it."""
    loaded()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of a fork beside threads: the copy uses none of them
        child = os.fork()
        if not child:
            status = 1
            try:
                os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
                os.dup2(out.fileno(), 1)
                os.dup2(err.fileno(), 2)
                os.chdir(folder)
                sys.stdin, sys.stdout, sys.stderr = (
                    os.fdopen(n, mode, encoding="utf-8") for n, mode in enumerate("rww")
                )
                sys.argv = ["rasterport", *command[3:]]
                rasterport.cli.main()
            except SystemExit as done:
                status = done.code if isinstance(done.code, int) else done.code is not None
            except BaseException:  # noqa: BLE001
                traceback.print_exc()
            finally:
                with contextlib.suppress(OSError):
                    sys.stdout.flush()
                    sys.stderr.flush()
                os._exit(status)
        _, status = os.waitpid(child, 0)
        for stream in (out, err):
            stream.seek(0)
        told = [io.TextIOWrapper(stream, encoding="utf-8").read() for stream in (out, err)]
    return subprocess.CompletedProcess(command, os.waitstatus_to_exitcode(status), *told)


def variant(tmp_path: Path, name: str, *changes: tuple[str, str], template: str = "kestrel") -> Path:
    """A template with some texts replaced, as NAME.toml in the folder."""
    text = (TEMPLATES / f"{template}.toml").read_text(encoding="utf-8")
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_templates_are_listed_with_one_line_each(run: Run) -> None:
    done = run("templates")
    assert done.returncode == 0
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    assert [line.split()[0] for line in lines] == sorted(p.stem for p in TEMPLATES.glob("*.toml"))
    assert all(len(line.split()) > 5 for line in lines)


def test_new_writes_a_commented_file_and_never_over_one(run: Run, tmp_path: Path) -> None:
    assert run("new", "mine", "--from", "heron").returncode == 0
    before = (tmp_path / "mine.toml").read_bytes()
    again = run("new", "mine", "--from", "kestrel")
    assert again.returncode == 2
    assert "mine.toml" in again.stderr
    assert "Traceback" not in again.stderr
    assert (tmp_path / "mine.toml").read_bytes() == before
    wrong = run("new", "other", "--from", "dodo")
    assert wrong.returncode == 2
    assert "kestrel" in wrong.stderr
    assert not (tmp_path / "other.toml").exists()
    assert run("new", "../up", "--from", "heron").returncode == 2


def test_check_prints_values_and_findings_and_writes_nothing(run: Run, tmp_path: Path) -> None:
    done = run("check", KESTREL)
    assert done.returncode == 0
    assert done.stderr == ""
    assert list(tmp_path.iterdir()) == []
    assert "R101" in done.stdout
    assert "input-1/red/termination" in done.stdout
    assert "F201" in done.stdout
    assert "limit" in done.stdout


def test_build_writes_the_folder_and_names_the_file_to_open(run: Run, tmp_path: Path) -> None:
    done = run("build", KESTREL)
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.rstrip().endswith(str(Path("out") / "kestrel" / "kestrel.html"))
    names = {str(p.relative_to(tmp_path / "out" / "kestrel")) for p in (tmp_path / "out").rglob("*") if p.is_file()}
    assert names == {
        "kestrel.net",
        "kestrel.bom.csv",
        "kestrel.wiring.csv",
        "kestrel.findings.json",
        "kestrel.native.cir",
        "kestrel.input-1.cir",
        "kestrel.svg",
        "kestrel.panel.svg",
        "kestrel.panel.dxf",
        "kestrel.wiring.svg",
        "kestrel.wiring.2.svg",
        "kestrel.wiring.3.svg",
        "kestrel.html",
        "manifest.json",
        "fp-lib-table",
        "rasterport.pretty/Phono_RightAngle.kicad_mod",
        "rasterport.pretty/Socket_21_RightAngle.kicad_mod",
        "rasterport.pretty/Socket_DE15_RightAngle.kicad_mod",
    }


def test_only_writes_what_is_asked_for(run: Run, tmp_path: Path) -> None:
    done = run("build", KESTREL, "--only", "bom,findings", "--out", "elsewhere")
    assert done.returncode == 0
    names = {p.name for p in (tmp_path / "elsewhere" / "kestrel").iterdir()}
    assert names == {"kestrel.bom.csv", "kestrel.findings.json", "manifest.json"}
    wrong = run("build", KESTREL, "--only", "bom,gold")
    assert wrong.returncode == 2
    assert "net,bom,wiring,findings" in wrong.stderr


def test_only_after_a_full_build_keeps_what_still_agrees_and_drops_what_does_not(run: Run, tmp_path: Path) -> None:
    path = variant(tmp_path, "mine", ('name = "kestrel"', 'name = "mine"'))
    assert run("build", str(path)).returncode == 0
    assert run("build", str(path), "--only", "bom").returncode == 0
    folder = tmp_path / "out" / "mine"
    assert (folder / "mine.net").is_file()
    variant(tmp_path, "mine", ('name = "kestrel"', 'name = "mine"'), ('white_level = "0.7 V"', 'white_level = "0.6 V"'))
    assert run("build", str(path), "--only", "bom").returncode == 0
    assert not (folder / "mine.net").exists(), "a netlist of the earlier variant would contradict the new BOM"
    listed = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert set(listed) == {"mine.bom.csv"}


def test_an_error_writes_nothing_and_says_that_the_folder_is_out_of_date(run: Run, tmp_path: Path) -> None:
    path = variant(tmp_path, "mine", ('name = "kestrel"', 'name = "mine"'))
    assert run("build", str(path)).returncode == 0
    folder = tmp_path / "out" / "mine"
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    variant(tmp_path, "mine", ('name = "kestrel"', 'name = "mine"'), ('kind = "run"', 'kind = "standby"'))
    done = run("build", str(path))
    assert done.returncode == 1
    assert "F702" in done.stdout
    assert "out of date" in done.stderr
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_despite_errors_marks_every_text_file(run: Run, tmp_path: Path) -> None:
    path = variant(tmp_path, "mine", ('name = "kestrel"', 'name = "mine"'), ('kind = "run"', 'kind = "standby"'))
    assert run("check", str(path)).returncode == 1
    done = run("build", str(path), "--despite-errors")
    assert done.returncode == 1
    folder = tmp_path / "out" / "mine"
    files = [p for p in folder.rglob("*") if p.is_file()]
    assert len(files) == 18
    for file in files:
        assert "NOT TO BE BUILT" in file.read_text(encoding="utf-8"), file.name


@pytest.mark.parametrize("ground", ["live", "unverified"])
def test_the_safety_gate_yields_to_no_option(run: Run, tmp_path: Path, ground: str) -> None:
    path = variant(tmp_path, "mine", ('signal_ground = "isolated"', f'signal_ground = "{ground}"'))
    done = run("build", str(path), "--despite-errors", "--overwrite")
    assert done.returncode == 1
    assert "F101" in done.stdout
    assert "kills" in done.stdout
    assert not (tmp_path / "out").exists()


def test_all_files_are_read_first_and_one_wrong_stops_all(run: Run, tmp_path: Path) -> None:
    wrong = variant(tmp_path, "wrong", ('"0.7 V"', '"0,7 V"'))
    done = run("build", KESTREL, str(wrong))
    assert done.returncode == 2
    assert done.stdout == ""
    assert "wrong.toml:" in done.stderr
    assert "set.rgb.white_level" in done.stderr
    assert not (tmp_path / "out").exists()


def test_the_highest_status_counts(run: Run, tmp_path: Path) -> None:
    bad = variant(tmp_path, "bad", ('name = "kestrel"', 'name = "bad"'), ('kind = "run"', 'kind = "standby"'))
    done = run("build", str(bad), KESTREL)
    assert done.returncode == 1
    assert (tmp_path / "out" / "kestrel" / "kestrel.net").is_file()


@pytest.mark.parametrize("command", ["build", "order"])
def test_a_file_that_is_given_twice_is_said_to_be(run: Run, tmp_path: Path, command: str) -> None:
    path = variant(tmp_path, "mine")
    done = run(command, "mine.toml", str(path))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"{path}: found the same file twice; each file must be given once\n"
    (tmp_path / "copy.toml").write_bytes(path.read_bytes())
    assert "must differ from the name in mine.toml:" in run(command, "mine.toml", "copy.toml").stderr


def test_an_edited_result_stops_the_build_with_status_2(run: Run, tmp_path: Path) -> None:
    assert run("build", KESTREL).returncode == 0
    bom = tmp_path / "out" / "kestrel" / "kestrel.bom.csv"
    bom.write_text("mine", encoding="utf-8")
    done = run("build", KESTREL)
    assert done.returncode == 2
    assert "kestrel.bom.csv" in done.stderr
    assert bom.read_text(encoding="utf-8") == "mine"
    assert run("build", KESTREL, "--overwrite").returncode == 0
    assert bom.read_text(encoding="utf-8") != "mine"


def test_a_folder_that_may_not_be_written_is_one_message(tmp_path: Path) -> None:
    locked = tmp_path / "locked"
    locked.mkdir()
    path = variant(tmp_path, "mine")
    # Root may write everywhere: a first build loads all modules, then the process becomes somebody else.
    code = f"""
import os, sys
from rasterport.cli import main
sys.argv = ["rasterport", "build", {str(path)!r}, "--out", {str(tmp_path / "fine")!r}]
try:
    main()
except SystemExit as done:
    assert not done.code, done.code
if os.getuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
sys.argv[-1] = {str(locked / "out")!r}
main()
"""
    for part in (tmp_path, *tmp_path.parents):
        if part.stat().st_uid == os.getuid() and "pytest" in str(part):
            part.chmod(part.stat().st_mode | 0o055)
    locked.chmod(0o555)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 2, done.stderr
    assert "must be writable" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(locked.iterdir()) == []


def test_awkward_text_comes_back_unharmed_from_every_file(run: Run, tmp_path: Path) -> None:
    quoted = json.dumps(AWKWARD, ensure_ascii=False)
    notes = f"{AWKWARD}\n\u05e2\u05d1\u05e8\u05d9\u05ea \U0001f986\u200d e\u0301\n\ufeff{{}} \u2028."
    path = variant(
        tmp_path,
        "mine",
        ('title = "Kestrel: one RGB input with a panel switch"', f"title = {quoted}"),
        (
            'notes = """\nThe composite jack keeps working: throw the switch back and the set is as it was."""',
            f"notes = {json.dumps(notes, ensure_ascii=False)}",
        ),
        ('at_red = "IC201 pin 14, track to C221 cut"', f"at_red = {quoted}"),
        ('select = "VIDEO 1"', f"select = {quoted}"),
    )
    assert run("build", str(path)).returncode == 0
    folder = tmp_path / "out" / "kestrel"
    places = [row["place"] for row in csv.DictReader(io.StringIO((folder / "kestrel.wiring.csv").read_text("utf-8")))]
    assert AWKWARD in places
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    assert manifest["title"] == AWKWARD
    assert manifest["notes"] == notes
    messages = [f["message"] for f in json.loads((folder / "kestrel.findings.json").read_text("utf-8"))["findings"]]
    assert f"select on the set: {AWKWARD}" in messages


def test_a_terminal_without_the_signs_gets_words(run: Run) -> None:
    environment = {"PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    done = run("check", KESTREL, **environment)
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert " ohm" in done.stdout
    assert "Ω" in run("check", KESTREL).stdout


def test_findings_agree_with_the_schema_and_hold_four_significant_digits(run: Run, tmp_path: Path) -> None:
    assert run("build", KESTREL).returncode == 0
    text = (tmp_path / "out" / "kestrel" / "kestrel.findings.json").read_text(encoding="utf-8")

    def refuse(constant: str) -> float:
        raise AssertionError(f"{constant} is not strict JSON")

    content = json.loads(text, parse_constant=refuse)
    schema = json.loads(run("schema", "--results").stdout)
    assert set(content) == set(schema["properties"]) - {"remark", "origins"}
    item = schema["properties"]["findings"]["items"]
    for finding in content["findings"]:
        assert set(finding) == set(item["required"])
        assert finding["severity"] in item["properties"]["severity"]["enum"]
        for key in ("measured", "limit"):
            value = finding[key]
            assert value is None or value == float(f"{value:.3e}")


def test_results_of_a_file_with_unknown_keys_say_where_each_limit_is_from(run: Run, tmp_path: Path) -> None:
    assert run("build", CURLEW).returncode == 0
    content = json.loads((tmp_path / "out" / "curlew" / "curlew.findings.json").read_text(encoding="utf-8"))
    schema = json.loads(run("schema", "--results").stdout)
    assert set(content) == set(schema["properties"]) - {"remark"}
    assert content["origins"]["set.rgb.clamp_current"].startswith("unknown: 40 uA")
    assert content["origins"]["set.blanking.maximum"].startswith("TDA8360: Philips TDA8362 data sheet")
    assert "set.rgb.lead_length" not in content["origins"]


def test_processors_are_listed_and_one_is_shown(run: Run) -> None:
    done = run("processors")
    assert done.returncode == 0
    assert "TDA8360, TDA8361, TDA8362  Philips" in done.stdout and "not given" in done.stdout
    one = run("processors", "tda8362")
    assert one.returncode == 0 and one.stdout in done.stdout
    wrong = run("processors", "TDA8632")
    assert wrong.returncode == 2 and "TDA8362" in wrong.stderr and wrong.stdout == ""


def test_the_whole_variant_is_printed_with_the_origin_of_each_key(run: Run) -> None:
    done = run("check", str(TEMPLATES / "ouzel.toml"), "--resolved")
    assert done.returncode == 0
    assert re.search(r'(?m)^tolerance = "2 %" +# ouzel\.toml line \d+$', done.stdout)
    assert re.search(r'(?m)^voltage = "12 V" +# dipper\.toml line \d+$', done.stdout)
    assert re.search(r'(?m)^# scan = "single" +# default$', done.stdout)
    assert "like" not in done.stdout
    refused = run("check", KESTREL, "--resolved", "--states")
    assert refused.returncode == 2 and "leave out the other options" in refused.stderr


def test_a_half_filled_file_lists_what_is_missing(run: Run) -> None:
    done = run("check", CURLEW)
    listed = done.stdout.split("still missing, what decides most first\n")[1].split("\n\n")[0]
    keys = re.findall(r"(?m)^ +\d  (set\.\S+)", listed)
    assert keys == ["set.rgb.clamp_current", "set.rgb.resistance", "set.rgb.capacitance"]
    assert done.stdout.count("F910") == len(keys), "said once"
    assert done.stdout.count("\n  defaults are taken for keys that you may measure") == 1


def test_one_order_for_two_variants(run: Run, tmp_path: Path) -> None:
    (tmp_path / "drawer.csv").write_text("value,package,quantity\n100n,0805,4\n", encoding="utf-8")
    (tmp_path / "prices.csv").write_text("part number,price,currency\nC0805C104K5RACTU,0.1,EUR\n", encoding="utf-8")
    command = ("order", KESTREL, CURLEW, "--boards", "2", "--have", "drawer.csv", "--prices", "prices.csv")
    done = run(*command, "--csv", "order.csv")
    assert done.returncode == 0 and done.stderr == ""
    # 4 capacitors of 100 nF on either board, two boards of each, a fifth but at least 5 spare, 4 are there
    assert re.search(r"(?m)^ +17 +C0805C104K5RACTU  Capacitor 100n .* 16 +5 +4 +1\.70 EUR$", done.stdout)
    assert "total 1.70 EUR" in done.stdout and "order.csv written" in done.stdout
    rows = list(csv.DictReader(io.StringIO((tmp_path / "order.csv").read_text(encoding="utf-8"))))
    assert [r["order"] for r in rows if r["part number"] == "C0805C104K5RACTU"] == ["17"]
    again = run(*command, "--csv", "order.csv")
    assert again.returncode == 2 and "order.csv must not be there yet" in again.stderr
    assert run(*command[:3], "--have", "none.csv").returncode == 2


def test_the_columns_of_both_tables_are_told_before_a_fault_tells_them(run: Run) -> None:
    from rasterport.pricelists import DRAWER, PRICES

    told = " ".join(run("order", "--help").stdout.split())
    page = (TEMPLATES.parent / "README.md").read_text(encoding="utf-8")
    for column in {*DRAWER, *PRICES}:
        assert re.search(rf"\b{column}\b", told), column
        assert f"`{column}`" in page, column


def test_what_a_terminal_would_obey_is_shown_instead(run: Run, tmp_path: Path) -> None:
    """A title may hold such characters; a price list may not."""
    odd = variant(tmp_path, "odd", ('name = "kestrel"', 'name = "odd"'), ('title = "', 'title = "\\u202eecaps\\u2067 '))
    done = run("check", str(odd))
    assert done.stdout.startswith("odd  \\u202eecaps\\u2067 ")
    (tmp_path / "prices.csv").write_text("value,price,currency\nx,1,\x1b[31mX\n", encoding="utf-8")
    done = run("order", KESTREL, "--prices", "prices.csv")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == 'prices.csv:2: currency: found "\\x1b[31mX"; must hold no control characters\n'


def test_a_folder_of_results_has_a_name(run: Run, tmp_path: Path) -> None:
    done = run("build", KESTREL, "--out", "")
    assert done.returncode == 2 and 'must name a folder, "." for this one; found nothing' in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_board_with_errors_is_not_ordered(run: Run, tmp_path: Path) -> None:
    changes = (('name = "kestrel"', 'name = "wrong"'), ('spare_current = "100 mA"', 'spare_current = "1 mA"'))
    wrong = variant(tmp_path, "wrong", *changes)
    done = run("order", str(wrong), KESTREL)
    assert done.returncode == 1 and "needed" not in done.stdout and "F701" in done.stdout


def test_help_of_every_command_names_its_options(run: Run) -> None:
    for command in ("templates", "new", "survey", "processors", "check", "build", "order", "schema"):
        done = run(command, "--help")
        assert done.returncode == 0
        assert done.stdout.startswith("Usage: rasterport")
    assert "--despite-errors" in run("build", "--help").stdout


SAMPLED = ("check", KESTREL, "--samples", "3000")


def test_samples_add_the_yield_of_each_limit_and_are_reproducible(run: Run) -> None:
    done = run(*SAMPLED, "--seed", "5")
    assert done.returncode == 0
    assert done.stderr == "", "no bar where nobody looks"
    head, _, tail = done.stdout.partition("3000 boards, seed 5")
    assert head == run("check", KESTREL).stdout + "\n"
    codes = {line.split()[0] for line in tail.splitlines()[1:] if line.startswith("  F")}
    assert {"F201", "F203", "F301", "F501", "F601"} <= codes
    assert "Bounds that hold for every board alike, all kept: " in tail
    assert run(*SAMPLED, "--seed", "5").stdout == done.stdout
    assert run(*SAMPLED, "--seed", "6").stdout != done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are a matter of POSIX")
def test_a_long_run_shows_its_progress_on_a_terminal_only(tmp_path: Path) -> None:
    import pty

    main_end, its_end = pty.openpty()
    command = [sys.executable, "-m", "rasterport", "check", KESTREL, "--samples", "60000"]
    surroundings = {**os.environ, "PYTHONUTF8": "1", "TERM": "xterm"}
    done = subprocess.run(command, cwd=tmp_path, env=surroundings, stdout=subprocess.PIPE, stderr=its_end, check=True)
    os.close(its_end)
    shown = os.read(main_end, 100_000).decode()
    os.close(main_end)
    assert "boards" in shown and "100%" in shown
    assert b"100%  00" not in done.stdout and b"60000 boards, seed 1" in done.stdout


def test_a_pixel_clock_of_ones_own_is_figured(run: Run) -> None:
    assert "level of a pixel, 6.4 MHz" in run("check", KESTREL, "--pixel-clock", "6.4 MHz").stdout
    assert "6.4 MHz" not in run("check", KESTREL).stdout


@pytest.mark.parametrize("clocks", [("6.75 MHz",), ("13.5MHz",), ("6 MHz", "6 MHz"), ("6 MHz", "6.0000001 MHz")])
def test_a_pixel_clock_that_is_known_already_is_figured_once(run: Run, clocks: tuple[str, ...]) -> None:
    done = run("check", KESTREL, *(part for clock in clocks for part in ("--pixel-clock", clock)))
    assert (done.returncode, done.stderr) == (0, "")
    words = f"level of a pixel, {clocks[0].replace('MHz', '').strip()} MHz"
    assert len([line for line in done.stdout.splitlines() if words in line]) == 1


def test_a_finding_is_explained_with_formula_values_and_source(run: Run) -> None:
    done = run("check", KESTREL, "--explain", "f204", "--explain", "F203")
    assert done.returncode == 0
    for words in (
        "F204  droop over a line", "100 (I_leak / white + 1 / R) t_active / C", "set.rgb.leakage: 0.1 uA",
        "C1 red/coupling: 100 nF, 73.5 nF to 126.5 nF", "red/coupling low", "0.5 % (warning), 2 % (error)",
        "green, blue",
        "F203  mismatch of the three colours", "every pair, every corner",
    ):  # fmt: skip
        assert words in done.stdout, words
    assert "values\n" not in done.stdout


def test_a_finding_that_this_board_does_not_have_is_said_so(run: Run) -> None:
    done = run("check", KESTREL, "--explain", "F401")
    assert done.stdout == "F401  status contact off\n  not found on this board: nothing of it is concerned\n"


def test_the_deck_of_a_state_is_what_a_build_writes(run: Run, tmp_path: Path) -> None:
    run("build", KESTREL)
    for state in ("native", "input-1"):
        written = (tmp_path / "out" / "kestrel" / f"kestrel.{state}.cir").read_text(encoding="utf-8")
        assert run("check", KESTREL, "--deck", state).stdout == written
    other = run("check", KESTREL, "--deck", "input-1+rail-off").stdout
    assert "rail off" in other.splitlines()[0].replace("-", " ") and other.rstrip().endswith(".end")


WRONG = {
    "no samples": ("--samples", "0"), "samples in words": ("--samples", "many"), "negative seed": ("--seed", "-1"),
    "unknown code": ("--explain", "F999"), "unknown state": ("--deck", "input-9"),
    "deck and samples": ("--deck", "native", "--samples", "10"),
    "explain and samples": ("--explain", "F202", "--samples", "10"), "clock without unit": ("--pixel-clock", "6"),
    "clock far off": ("--pixel-clock", "6 kHz"), "a decimal comma": ("--pixel-clock", "6,4 MHz"),
}  # fmt: skip


@pytest.mark.parametrize("arguments", WRONG.values(), ids=WRONG.keys())
def test_wrong_options_of_check_are_one_message_with_status_2(run: Run, arguments: tuple[str, ...]) -> None:
    done = run("check", KESTREL, *arguments)
    assert done.returncode == 2
    assert arguments[0] in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_name_that_is_nearly_right_is_offered(run: Run) -> None:
    assert "perhaps bandwidth" in run("check", KESTREL, "--explain", "bandwith").stderr
    assert "perhaps F202" in run("check", KESTREL, "--explain", "202").stderr


def test_a_deck_is_of_one_file(run: Run) -> None:
    done = run("check", KESTREL, str(TEMPLATES / "heron.toml"), "--deck", "native")
    assert (done.returncode, done.stdout) == (2, "")
    assert "takes one variant file, found 2" in done.stderr


@pytest.mark.parametrize("arguments", [("check",), ("build", "no-such-file.toml"), ("fly",), ("check", ".")])
def test_wrong_use_is_one_message_with_status_2(run: Run, arguments: tuple[str, ...]) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


BASH = ["bash", "-c"]
PROGRAM = f'"{sys.executable}" -m rasterport'
FULL = Path("/dev/full")
NO_ROOM = "stdout must take the output; found: No space left on device\n"


def shell(command: str, folder: Path, **surroundings: str) -> subprocess.CompletedProcess[str]:
    """A line of bash in which `rp` is the program."""
    environment = {**os.environ, "PYTHONUTF8": "1", **surroundings}
    script = f'rp() {{ {PROGRAM} "$@"; }}; {command}'
    return subprocess.run(
        [*BASH, script], cwd=folder, env=environment, capture_output=True, encoding="utf-8", check=False
    )


BUFFERED = pytest.mark.parametrize("buffered", ["", "1"], ids=["buffered", "unbuffered"])


@BUFFERED
@pytest.mark.parametrize(
    "command", [f"check {KESTREL}", "survey", "schema", "--help", "build --help", "--version", "templates"]
)
def test_a_reader_who_stops_reading_is_no_fault(tmp_path: Path, command: str, buffered: str) -> None:
    done = shell(f"rp {command} | true; echo ${{PIPESTATUS[0]}}", tmp_path, PYTHONUNBUFFERED=buffered)
    assert (done.stdout, done.stderr) == ("0\n", "")
    done = shell(f"rp {command} | head -1; echo ${{PIPESTATUS[0]}}", tmp_path, PYTHONUNBUFFERED=buffered)
    assert done.stdout.count("\n") == 2
    assert done.stdout.endswith("\n0\n")
    assert done.stderr == ""


def test_a_reader_who_stops_reading_cuts_no_build_short_and_hides_no_finding(tmp_path: Path) -> None:
    bad = variant(tmp_path, "bad", ('name = "kestrel"', 'name = "bad"'), ('kind = "run"', 'kind = "standby"'))
    done = shell(f"rp build bad.toml {KESTREL} | true; echo ${{PIPESTATUS[0]}}", tmp_path, PYTHONUNBUFFERED="1")
    assert bad.is_file()
    assert done.stdout == "1\n"
    assert done.stderr == "bad: nothing written.\n"
    assert (tmp_path / "out" / "kestrel" / "manifest.json").is_file()


@BUFFERED
@pytest.mark.parametrize("command", [f"check {KESTREL}", "survey", "--help", "build --help", "--version"])
def test_a_full_disk_under_stdout_is_one_message_with_status_2(tmp_path: Path, command: str, buffered: str) -> None:
    assert FULL.is_char_device()
    done = shell(f"rp {command} > {FULL}", tmp_path, PYTHONUNBUFFERED=buffered)
    assert (done.returncode, done.stderr) == (2, NO_ROOM)


@BUFFERED
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-", f"2> {FULL}", f"> {FULL} 2> {FULL}", "<&- >&- 2>&-"])
def test_closed_or_full_streams_change_no_status(tmp_path: Path, closed: str, buffered: str) -> None:
    """The last command is wrong use of the command line, told on another way than a fault of a file."""
    full = closed.startswith(f"> {FULL}")
    for command, status in ((f"check {KESTREL}", 2 if full else 0), ("check none.toml", 2), ("fly", 2)):
        done = shell(f"rp {command} {closed}", tmp_path, PYTHONUNBUFFERED=buffered)
        assert done.returncode == status, command
        assert "Traceback" not in done.stdout + done.stderr
        assert "Exception" not in done.stdout + done.stderr
        assert status == 0 or done.stdout == ""
    assert list(tmp_path.iterdir()) == []


def test_closed_streams_leave_the_results_whole(tmp_path: Path) -> None:
    """A number that a closed stream left free must not be given to a result that something then prints into."""
    done = shell(f"rp build {KESTREL} <&- >&- 2>&-", tmp_path)
    assert done.returncode == 0
    folder = tmp_path / "out" / "kestrel"
    for name in ("kestrel.net", "kestrel.bom.csv", "manifest.json"):
        assert (folder / name).read_bytes() == (OUT / "kestrel" / name).read_bytes()


def test_an_interrupt_ends_quietly() -> None:
    code = """
import sys
from rasterport import api, cli
def stop(*paths): raise KeyboardInterrupt
api.load = stop
sys.argv = ["rasterport", "check", "a.toml"]
cli.main()
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")


@pytest.mark.parametrize("command", ["check", "build"])
def test_every_file_that_cannot_be_read_is_named_in_one_run(run: Run, tmp_path: Path, command: str) -> None:
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "wrong.toml").write_text("a = 4k7")
    done = run(command, "none.toml", "folder.toml", KESTREL, "./wrong.toml", "x/none.toml")
    assert done.returncode == 2
    assert [line.split(" found")[0] for line in done.stderr.splitlines()] == [
        "none.toml:",
        "folder.toml:",
        "wrong.toml:1:",
        "x/none.toml:",
    ]
    assert done.stdout == ""


@pytest.mark.parametrize("command", ["check", "build"])
def test_a_file_that_may_not_be_read_gets_the_message_of_the_loader(tmp_path: Path, command: str) -> None:
    """Root may read everything, so the answer of the system is what a test can give instead."""
    code = f"""
import sys
from pathlib import Path
from rasterport import cli
def refuse(self, *rest, **more): raise PermissionError(13, "Permission denied", str(self))
import os
os.access = lambda *rest, **more: False
opened = Path.open
Path.open = lambda self, *rest, **more: refuse(self) if self.suffix == ".toml" else opened(self, *rest, **more)
sys.argv = ["rasterport", "{command}", "a.toml", "b.toml"]
cli.main()
"""
    for name in "ab":
        variant(tmp_path, name)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 2
    says = "found a file that may not be read; must be readable"
    assert done.stderr == f"a.toml: {says}\nb.toml: {says}\n"


def test_a_file_where_the_results_should_go_is_named(run: Run, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    for out in ("taken", "taken/below", str(tmp_path / "taken")):
        done = run("build", KESTREL, "--out", out)
        assert (done.returncode, done.stderr) == (2, f"{out.removesuffix('/below')} must be a folder, found a file\n")
    assert (tmp_path / "taken").read_text() == "mine"


def test_a_damaged_manifest_stops_the_build_in_plain_words(run: Run, tmp_path: Path) -> None:
    assert run("build", KESTREL).returncode == 0
    manifest = tmp_path / "out" / "kestrel" / "manifest.json"
    manifest.write_text('{"files": ')
    done = run("build", KESTREL)
    assert done.returncode == 2
    assert done.stderr == (
        "out/kestrel/manifest.json must be the manifest of an earlier build, it is damaged.  "
        "Move out/kestrel away and build again.\n"
    )


def test_integers_of_any_length_are_one_message(run: Run, tmp_path: Path) -> None:
    for before, number in (("[[input]]", "0x" + "f" * 5000), ("[[input]]", "0b" + "1_" * 20000 + "1")):
        variant(tmp_path, "long", (before, f"{before}\nstatus_contact = {number}"))
        done = run("check", "long.toml")
        assert done.returncode == 2
        assert done.stderr.count("\n") == 1
        assert "at most 40 digits" in done.stderr


def test_the_states_are_one_table_with_the_condition_of_each_row(run: Run) -> None:
    done = run("check", str(TEMPLATES / "plover.toml"), "--states")
    assert (done.returncode, done.stderr) == (0, "")
    assert (
        done.stdout
        == """\
plover  Plover: RGB by contact 8, gated by the AV channel
     wanted   rail  red, green, blue  sync, left, right  blanking  K1   K2   states
  1  native   on    input-1           set                set       off  off  6
  2  native   off   input-1           set                set       off  off  8
  3  input-1  on    input-1           input-1            driven    on   on   2

  1  gate low, rail on; or status-8 open or at its off limit, rail on
  2  rail off
  3  status-8 at its on limit or at 12 V, gate high, rail on
"""
    )


def test_the_states_of_a_board_that_cannot_be_made_are_the_reason_why(run: Run, tmp_path: Path) -> None:
    variant(tmp_path, "bad", ('scan = "single"', 'scan = "double"'))
    done = run("check", "bad.toml", "--states")
    assert done.returncode == 1
    assert "F102" in done.stdout and "rail" not in done.stdout


@pytest.mark.parametrize("other", [("--deck", "native"), ("--explain", "F202"), ("--samples", "9")])
def test_states_stand_alone(run: Run, other: tuple[str, ...]) -> None:
    done = run("check", KESTREL, "--states", *other)
    assert (done.returncode, done.stdout) == (2, "")
    assert "--states prints nothing but the states" in done.stderr


@pytest.mark.parametrize("command", ["check", "build"])
def test_a_ground_that_was_tested_on_another_set_is_said_before_anything_else(
    run: Run, tmp_path: Path, command: str
) -> None:
    variant(tmp_path, "base")
    twin = tmp_path / "twin.toml"
    twin.write_text('[variant]\nname = "twin"\nlike = "base.toml"\n', encoding="utf-8")
    caution = "a test of the ground holds for one set; test this one too"
    assert caution in run(command, "twin.toml").stderr
    assert caution not in run(command, "base.toml").stderr
