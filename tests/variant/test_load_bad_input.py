"""Bad input: each gives one clear message with file and line, and never a traceback."""

from __future__ import annotations

import itertools
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from rasterport.errors import Fault, OutputError, VariantError
from rasterport.variant.keys import LISTED, Key, keys
from rasterport.variant.load import load, load_all
from rasterport.variant.messages import not_toml, words
from rasterport.variant.messages import shown as shown_value
from rasterport.variant.models import Variant
from variant.minimal import changed, minimal


def faults_of(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(VariantError) as raised:
        load(path)
    assert raised.value.exit_status == 2
    return raised.value.faults


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str | bytes], Path]:
    def write(content: str | bytes) -> Path:
        path = tmp_path / "a.toml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return path

    return write


Write = Callable[[str | bytes], Path]


def line_of(text: str, start: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), 1) if line.startswith(start))


@pytest.mark.parametrize(
    ("table", "key", "value", "found", "allowed"),
    [
        ("set.rgb", "white_levle", '"0.7 V"', "an unknown key", "did you mean white_level?"),
        ("set", "voltage", "5", "an unknown key", "did you mean [set.supply] voltage?"),
        ("set.supply", "voltage", '"5 ohm"', '"5 ohm"', "in V"),
        ("set.supply", "voltage", '"1,5 V"', '"1,5 V"', 'write "1.5 V"'),
        ("set.rgb", "resistance", '"2,2k"', '"2,2k"', 'write "2.2k"'),
        ("set.rgb", "coupling_fitted", '"1e-7"', '"1e-7"', 'write "100 nF"'),
        ("set.rgb", "coupling_fitted", "1e-7", "1e-07", "string with its unit"),
        ("set.supply", "voltage", '"5 V 9 V"', '"5 V 9 V"', "one number"),
        ("set.supply", "voltage", "nan", "nan", "finite"),
        ("set.supply", "voltage", "inf", "inf", "finite"),
        ("set.supply", "voltage", "-5", "-5", "not be negative"),
        ("set.supply", "voltage", '"5 kV"', '"5 kV"', "3 V to 15 V"),
        ("set.rgb", "lead_length", '"300 m"', '"300 m"', "0 m to 2 m"),
        ("set", "lines", '"60"', '"60"', '"525/60", "625/50", "both"'),
        ("set.rgb", "termination_fitted", '"yes"', '"yes"', "true or false"),
        ("selector", "path", "2020-01-01", "a date or time, 2020-01-01", '"direct", "gang", "relay"'),
        ("selector", "path", "{a = 1}", "a table", '"gang"'),
        ("variant", "name", '"con"', '"con"', "Windows"),
        ("variant", "name", '"Kestrel 1"', '"Kestrel 1"', "a-z, 0-9 and -"),
        ("variant", "notes", '"a\\u001b[2J"', '"a\\x1b[2J"', "control characters"),
    ],
)
def test_one_wrong_key(written: Write, table: str, key: str, value: str, found: str, allowed: str) -> None:
    text = changed(table, key, value)
    (fault,) = faults_of(written(text))
    assert fault.file == str(written(text))
    assert fault.line == line_of(text, f"{key} =")
    assert fault.key == f"{table}.{key}"
    assert fault.found == found
    assert allowed in fault.allowed


@pytest.mark.parametrize("table", ["variant", "set", "set.rgb", "set.blanking", "set.sync", "set.supply", "selector"])
def test_missing_table(written: Write, table: str) -> None:
    lines = minimal().splitlines()
    start = lines.index(f"[{table}]")
    end = next((n for n in range(start + 1, len(lines)) if lines[n].startswith("[")), len(lines))
    faults = faults_of(written("\n".join([*lines[:start], *lines[end:]])))
    if table == "set":  # its inner tables make it exist, so the keys are missing instead
        assert [f.key for f in faults] == ["set.lines", "set.signal_ground"]
        assert {f.line for f in faults} == {line_of("\n".join([*lines[:start], *lines[end:]]), "[set.rgb]")}
    else:
        assert [(f.key, f.allowed) for f in faults] == [(table, f"must be a table [{table}]")]


def test_missing_input_table(written: Write) -> None:
    (fault,) = faults_of(written(minimal().replace('[[input]]\nsocket = "european-21"\n', "")))
    assert (fault.line, fault.key, fault.allowed) == (1, "input", "must be a table [[input]]")


@pytest.mark.parametrize(
    ("table", "key", "example"),
    [
        ("variant", "name", 'name = "kestrel"'),
        ("set", "signal_ground", 'signal_ground = "unverified"'),
        ("set.supply", "spare_current", 'spare_current = "100 mA" (1 mA to 2 A)'),
        ("input", "socket", 'under [[input]] as socket = "european-21"'),
    ],
)
def test_missing_key_says_where_to_write_it(written: Write, table: str, key: str, example: str) -> None:
    text = changed(table, key, None)
    (fault,) = faults_of(written(text))
    assert fault.line == line_of(text, f"[[{table}]]" if table == "input" else f"[{table}]")
    assert fault.found == "nothing"
    assert example in fault.allowed


@pytest.mark.parametrize(
    ("row", "key", "found", "allowed"),
    [
        ("set = 3", "set", "3", "must be a table [set]"),
        ("board = [1]", "board", "a list of 1", "must be a table [board]"),
        ("input = {socket = 1}", "input", "a table", "in double brackets"),
        ("input = [3]", "input-1", "3", "must be a table [[input]]"),
        ("rgb = {a = 1}", "rgb", "an unknown table", "[set.rgb]"),
    ],
)
def test_tables_of_the_wrong_kind(written: Write, row: str, key: str, found: str, allowed: str) -> None:
    fault = next(f for f in faults_of(written(row)) if f.key == key)
    assert (fault.line, fault.found) == (1, found)
    assert allowed in fault.allowed


@pytest.mark.parametrize(
    ("row", "key", "found"),
    [('"red/coupling" = 82', "fit.red/coupling", "82"), ('input-1.red.termination = "82"', "fit.input-1", "a table")],
)
def test_a_part_that_is_chosen_wants_quotes_on_both_sides(written: Write, row: str, key: str, found: str) -> None:
    (fault,) = faults_of(written(f"{minimal()}\n[fit]\n{row}\n"))
    assert (fault.key, fault.found) == (key, found)
    assert fault.allowed == 'must be a role and a part, both in quotes, such as "input-1/red/termination" = "82"'


@pytest.mark.parametrize(
    ("row", "column", "hint"),
    [
        ("resistance = 4k7 # as read", 15, 'resistance = "4k7"'),
        ("white_level = 0.7 V", 19, 'white_level = "0.7 V"'),
        ("white_level = 1,5 V", 16, 'white_level = "1.5 V"'),
        ("lead_kind = coax", 13, 'lead_kind = "coax"'),
        ("lead_kind coax", 11, ""),
        ("x = 1 2 3 [", 7, ""),
        ("leakage = True", 11, 'leakage = "True"'),
        ('at_red = "x', 12, ""),
    ],
)
def test_not_toml(written: Write, row: str, column: int, hint: str) -> None:
    (fault,) = faults_of(written(f"[set.rgb]\n\n{row}\n"))
    assert fault.line == 3
    assert f"column {column}" in fault.found
    assert ("quotes" in fault.allowed) == bool(hint)
    assert hint in fault.allowed


PARSER_WORDS = r"\b(expected|cannot|namespace|mutate|overwrite|declare|unescaped|scalar|inline|invalid)\b"


@pytest.mark.parametrize(
    ("text", "found", "allowed"),
    [
        ("a = 1\na = 2", "the same key or table again", "written once"),
        ("[set]\n[set]", "the same key or table again", "written once"),
        ("a = {b = 1, b = 2}", "the same key or table again", "written once"),
        ("a = 1\n[a]", "the same key or table again", "written once"),
        ("a = {}\n[a.b]", "the same key or table again", "written once"),
        ("a = {}\na.b = 1", "more of a table or list that is closed", "in one place"),
        ("a.b = 1\n[x]\na.c = 2\n[a]", "the same key or table again", "written once"),
        ("a = 1 2", "more text after the end of a value", "one key a line"),
        ("a 1", "no = after a key", "key = value"),
        ("[a", "no ] after the name of a table", "[table]"),
        ("[[a]", "no ] after the name of a table", "[table]"),
        ("a = [1", "a list that never ends", "a ] at its end"),
        ("a = {b = 1", "a table that never ends", "a } at its end"),
        ('a = """x', "a text that never ends", "quotes on both sides"),
        ("a = 'x", "a text that never ends", "quotes on both sides"),
        ('a = "\\q"', "a backslash that begins no escape", "single quotes"),
        ('a = "\\u00"', "a backslash that begins no escape", "single quotes"),
        ('a = "\\ud800"', "a backslash that begins no escape", "single quotes"),
        ('a = "\x01"', "a control character", "plain text"),
        ("a = 1 # \x01", "a control character", "plain text"),
        ("a = 2026-02-30", "a date that no calendar has", "TOML"),
        ("a = ", "no value that TOML has", "TOML"),
        ("= 1", "no key", "key = value"),
        ("a. = 1", "no key", "key = value"),
    ],
)
def test_what_is_not_toml_is_said_in_our_words(written: Write, text: str, found: str, allowed: str) -> None:
    (fault,) = faults_of(written(text))
    assert fault.found.startswith(f"{found} at column ")
    assert allowed in fault.allowed
    assert not re.search(PARSER_WORDS, str(fault).removeprefix(fault.file), re.I)


def test_a_reason_that_the_parser_does_not_give_today_is_not_repeated() -> None:
    assert not_toml("Expected a miracle") == ("something that is not TOML", "must be TOML")


@pytest.mark.parametrize("key", keys(), ids=lambda k: ".".join(k.path))
def test_no_integer_makes_a_traceback_at_any_key(key: Key) -> None:
    """The models alone, as a program may call them: the scan of the text does not stand before them."""
    for digits, sign in itertools.product((40, 400, 5000, 50_000), (1, -1)):
        table: dict[str, object] = {key.name: sign * 10**digits}
        place: tuple[str | int, ...] = (key.name,)
        for depth in range(len(key.table), 0, -1):
            name, listed = key.table[depth - 1], key.table[:depth] in LISTED
            table, place = {name: [table] if listed else table}, (name, *((0,) if listed else ()), *place)
        with pytest.raises(ValidationError) as raised:
            Variant.model_validate(table)
        (error,) = [e for e in raised.value.errors() if e["loc"] == place]
        found, allowed = words(error["type"], error["loc"], error["input"], error.get("ctx", {}))
        assert len(found) <= 60
        assert allowed.startswith("must")


def test_place_of_a_string_that_never_ends(written: Write) -> None:
    (fault,) = faults_of(written('a = """x\ny\n'))
    assert fault.line == 3
    assert "column 1" in fault.found


@pytest.mark.parametrize("content", [b"", b"\n \n", b"\xef\xbb\xbf", b"\xef\xbb\xbf\r\n"])
def test_empty(written: Write, content: bytes) -> None:
    (fault,) = faults_of(written(content))
    assert fault.found == "an empty file"
    assert "[set.rgb]" in fault.allowed


@pytest.mark.parametrize(
    ("content", "line", "says"),
    [
        (b"[variant]\nname = \"\xe4\"\n", 2, "UTF-8"),
        (bytes(range(256)) * 40, 2, "UTF-8"),
        ("[variant]".encode("utf-16"), 1, "UTF-16"),
        (b"\x00" * 100, 1, "TOML"),
        (b"\x7fELF\x02\x01\x01\x00", 1, "TOML"),
    ],
)  # fmt: skip
def test_binary_rubbish(written: Write, content: bytes, line: int, says: str) -> None:
    (fault,) = faults_of(written(content))
    assert fault.line == line
    assert says in str(fault)


@given(st.binary(max_size=300))
@settings(max_examples=200)
def test_no_bytes_make_a_traceback(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.toml"
        path.write_bytes(content)
        with pytest.raises(VariantError) as raised:
            load(path)
        assert all(f.allowed.startswith("must") for f in raised.value.faults)


@given(st.lists(st.sampled_from([*"[]{}=.,\"'#\n\\ab1 ", '"""', "'''", "[[", "input", "set", "rgb"]), max_size=40))
@settings(max_examples=400)
def test_no_arrangement_of_toml_marks_makes_a_traceback(tokens: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.toml"
        path.write_text("".join(tokens))
        with pytest.raises(VariantError):
            load(path)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("#" * 10_000_000, "10000 kB; must be at most 256 kB"),
        ("#" * 256_001, "must be at most 256 kB"),
        ("a = " + "[" * 3000, "nested at most 8 deep"),
        ("a = " + "[" * 3000 + "]" * 3000, "nested at most 8 deep"),
        ("a = " + "{b = " * 3000, "nested at most 8 deep"),
        ("a" + ".a" * 3000 + " = 1", "nested at most 8 deep"),
        ("[a" + ".a" * 3000 + "]", "nested at most 8 deep"),
        (".".join("a" * 120_000) + " = 1", "nested at most 8 deep"),
        ("a = " + "9" * 5000, "at most 40 digits"),
        ("a = -0." + "9" * 5000, "at most 40 digits"),
        ("a = 0x" + "1" * 5000, "at most 40 digits"),
        ("a = 0x" + "f" * 41, "at most 40 digits"),
        ("a = 0x" + "F" * 5000, "at most 40 digits"),
        ("a = 0x" + "f_" * 5000 + "f", "at most 40 digits"),
        ("a = 0o" + "7" * 41, "at most 40 digits"),
        ("a = 0o" + "7_" * 5000 + "7", "at most 40 digits"),
        ("a = 0b" + "1" * 41, "at most 40 digits"),
        ("a = 0b" + "1_" * 5000 + "0", "at most 40 digits"),
        ("[[input]]\nstatus_contact = 0x" + "f" * 5000, "at most 40 digits"),
        ("[set.supply]\nvoltage = 0x" + "f" * 5000, "at most 40 digits"),
        ("a = " + "1_" * 5000 + "1", "at most 40 digits"),
        ("a = [1, " + "9" * 41 + "]", "at most 40 digits"),
        ("a = 9 " + "9" * 40, "at most 40 digits"),
    ],
)
def test_too_much(written: Write, content: str, says: str) -> None:
    (fault,) = faults_of(written(content))
    assert says in str(fault)


def test_line_of_what_is_too_much(written: Write) -> None:
    (fault,) = faults_of(written(f'[set]\nlines = """\n"""\nscan = {"9" * 41}\n'))
    assert (fault.line, fault.key) == (4, "")


def test_faults_are_in_the_order_of_the_file(written: Write) -> None:
    rows = [
        "[selector]",
        'path = "x"',
        "[set.rgb]",
        'white_level = "9 V"',
        'insertion = "x"',
        "[variant]",
        'name = "X"',
    ]
    lines = [f.line for f in faults_of(written("\n".join(rows)))]
    assert lines == sorted(lines)
    assert {2, 4, 5, 7} <= set(lines)


def test_limits_do_not_count_strings_and_comments(written: Write) -> None:
    many = "[" * 50 + "9" * 50
    text = changed("variant", "notes", f'"""\n{many} \\""" {many}""""')
    text = changed("variant", "title", f"'{many}'", text) + f"# {many}\n"
    assert load(written(text)).variant.variant.title == many


def test_limits_themselves_are_allowed(written: Write) -> None:
    digits = "0." + "0" * 38 + "1"
    fault = faults_of(written(changed("set.supply", "voltage", digits)))[0]
    assert "3 V to 15 V" in fault.allowed
    for number in ("0x" + "f" * 40, "0o" + "7" * 40, "0b" + "1" * 40, "0x" + "f_" * 39 + "f"):
        fault = faults_of(written(changed("set.supply", "voltage", number)))[0]
        assert fault.key == "set.supply.voltage", number
    (deep,) = faults_of(written(changed("set", "a", "[" * 6 + "]" * 6)))
    assert deep.found == "an unknown key"
    (deeper,) = faults_of(written(changed("set", "a", "[" * 7 + "]" * 7)))
    assert "nested" in deeper.allowed
    (many,) = faults_of(written(changed("set", "a", "[" + "1, " * 60 + "]")))  # 60 digits, in 60 numbers
    assert many.found == "an unknown key"
    exactly = minimal() + "#" * (256_000 - len(minimal()))
    assert load(written(exactly)).variant.variant.name == "kestrel"


def test_all_faults_of_all_files_in_one_run(tmp_path: Path) -> None:
    text = changed("set", "lines", '"60"', changed("set.rgb", "white_level", '"1,5 V"'))
    (tmp_path / "a.toml").write_text(text)
    (tmp_path / "b.toml").write_text(minimal("merlin"))
    (tmp_path / "c.toml").write_text("x = 4k7")
    with pytest.raises(VariantError) as raised:
        load_all([tmp_path / f"{n}.toml" for n in "abcd"])
    found = [(Path(f.file).name, f.line, f.key) for f in raised.value.faults]
    assert found == [
        ("a.toml", line_of(text, "lines"), "set.lines"),
        ("a.toml", line_of(text, "white_level"), "set.rgb.white_level"),
        ("c.toml", 1, ""),
        ("d.toml", 0, ""),
    ]
    assert str(raised.value).count("\n") == 3


def test_at_most_fifty_faults_are_shown(written: Write) -> None:
    for count, shown in ((50, 50), (51, 51), (80, 51)):
        text = minimal() + "[board]\n" + "".join(f"k{n} = 1\n" for n in range(count))
        faults = faults_of(written(text))
        assert len(faults) == shown
        assert [f.key for f in faults[:50]] == [f"board.k{n}" for n in range(50)]
        assert (str(faults[-1]) == f"in all: found {count} faults; {count - 50} more are not shown") == (count > 50)


def test_two_files_with_one_name(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(minimal())
    (tmp_path / "b.toml").write_text("\n" + minimal())
    with pytest.raises(VariantError) as raised:
        load_all([tmp_path / "a.toml", tmp_path / "b.toml"])
    (fault,) = raised.value.faults
    assert (Path(fault.file).name, fault.line, fault.key, fault.found) == ("b.toml", 3, "variant.name", '"kestrel"')
    assert str(tmp_path / "a.toml") + ":2" in fault.allowed


def test_lines_of_keys_in_every_spelling(written: Write) -> None:
    text = (
        '[variant]\nname = "a"\nnotes = """\n[set]\nlines = 3\n"""\nset.lines = "x" # no table yet\n"set"."rgb".x = 1\n'
    )
    faults = faults_of(written("\n" + text))
    assert {(f.key, f.line) for f in faults} >= {("variant.set", 8)}
    text = 'set = { lines = "x", rgb = { y = 1 } }\n\ninput = [\n  { socket = "z" },\n  { status_contact = 9 },\n]\n'
    faults = faults_of(written(text))
    places = {f.key: f.line for f in faults}
    assert places["set.lines"] == places["set.rgb.y"] == 1
    assert (places["input-1.socket"], places["input-2.status_contact"], places["input-2.socket"]) == (4, 5, 5)


def test_lines_within_several_inputs(written: Write) -> None:
    text = minimal() + '\n[[input]]\nsocket = "euro"\n'
    (fault,) = faults_of(written(text))
    assert (fault.key, fault.line) == ("input-2.socket", len(text.splitlines()))


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_byte_order_mark_and_line_ends_change_nothing(written: Write, end: bytes, mark: bytes) -> None:
    text = changed("variant", "notes", '"""one\ntwo"""')
    loaded = load(written(mark + text.encode().replace(b"\n", end)))
    assert loaded.variant.variant.notes == "one\ntwo"
    assert loaded.digest == sha256(text.encode()).hexdigest()


def test_file_is_named_as_the_user_named_it(written: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(written(minimal()).parent)
    assert load("a.toml").file == "a.toml"
    assert load("./a.toml").file == "./a.toml"
    (fault,) = faults_of(Path("b.toml"))
    assert str(fault).startswith("b.toml: found no such file;")


def test_shown_values_are_short_and_on_one_line(written: Write) -> None:
    fault = faults_of(written(changed("set", "lines", '"' + "ab\\n\\u0007" * 100 + '"')))[0]
    assert len(fault.found) < 70
    assert fault.found.startswith('"ab\\n\\x07ab')
    assert fault.found.isprintable()


def test_shown_integers_are_short() -> None:
    assert shown_value(10**59) == "1" + "0" * 59
    assert shown_value(10**60) == shown_value(-(10**6000)) == "a number of more than 60 digits"
    assert shown_value(-5) == "-5"


def test_things_that_are_no_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for name, found in (
        ("", "a folder"),
        ("pipe", "a device or pipe"),
        ("none.toml", "no such file"),
        ("x" * 300, "File name too long"),
    ):
        (fault,) = faults_of(tmp_path / name)
        assert fault.found == found
    with pytest.raises(VariantError, match="null"):
        load("a\0b")


def as_nobody(work: Callable[[], str]) -> str:
    """What `work` returns when run by a user who owns nothing: in a child process where we are root."""
    if os.getuid() != 0:
        return work()
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
            os.write(writing, work().encode())
            status = 0
        finally:
            os._exit(status)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        text = stream.read().decode()
    assert os.waitpid(child, 0)[1] == 0
    return text


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user may enter, unlike pytest's own."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


def test_a_file_that_may_not_be_read(open_folder: Path) -> None:
    path = open_folder / "a.toml"
    path.write_text(minimal())
    path.chmod(0)

    def work() -> str:
        try:
            load(path)
        except VariantError as error:
            return str(error)
        return "was read"

    assert as_nobody(work) == f"{path}: found a file that may not be read; must be readable"


def test_a_folder_that_may_not_be_written(open_folder: Path, tmp_path: Path) -> None:
    from rasterport.variant import templates

    new = templates.new_file("merlin", templates.template_names()[0], tmp_path)  # all imports are done by this
    assert new.exists()
    text = new.read_text()
    open_folder.chmod(0o555)

    def work() -> str:
        templates.template_text = lambda name: text  # type: ignore[assignment]  # another user may not see ours
        try:
            templates.new_file("merlin", "kestrel", open_folder)
        except OutputError as error:
            return str(error)
        return "was written"

    said = as_nobody(work)
    assert said == f"{open_folder / 'merlin.toml'} must be a file that can be written; found: Permission denied"
    assert list(open_folder.iterdir()) == []
