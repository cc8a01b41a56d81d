"""Only what is a file is read, and only as much of it as is of any use."""

import io
import os
import socket
import sys
import tracemalloc
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest

from ripenroom.bounded_file import NotRead, _Unwaited, read_file
from ripenroom.cli import main
from ripenroom.exchange.lesson_file import read_lessons
from ripenroom.exchange.record_table.grid import grid_in, grid_of, grid_pasted
from ripenroom.exchange.season_json import read_json
from ripenroom.exchange.text_table.source import TOO_LONG, load
from ripenroom.records.crop.toml_profile import load_profile, load_profile_text
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.backups import book_in
from ripenroom.records.file.rescue import readable
from ripenroom.records.refusal import Refusal
from ripenroom.season.practice import demo_book
from tests.draws import one_in

unix = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such files")

READERS: dict[str, Callable[[Path], object]] = {
    "table": grid_in,
    "thermometer's file": load,
    "season as JSON": read_json,
    "lessons": read_lessons,
    "crop profile": load_profile,
    "season": SeasonFile.open,
    "season that is only read": lambda path: SeasonFile.open(path, read_only=True),
    "kept copy": book_in,
    "damaged season": lambda path: readable(path, demo_book().season),
    "verified season": verify,
}


TYPED = ("Pick date", "Hard", "Weight (kg)", "Count", "Notes")
HOLES = (" ", "\t", "1 ", "1 - ", ",1", "1,111", "T", "0")
"""What a pattern that looks for one thing in many ways would go over again and again."""


def is_refused(read: Callable[[Path], object], path: Path) -> bool:
    """Whether a reader says no in words; looking a season over may list why instead."""
    try:
        found = read(path)
    except (Refusal, FileRefusal) as refusal:
        return bool(str(refusal))
    return read is verify and bool(found)


@unix
@pytest.mark.parametrize("reader", READERS)
def test_what_is_no_file_is_refused_by_every_reader_before_it_waits(
    reader: str, tmp_path: Path
) -> None:
    pipe, folder, plug = tmp_path / "pipe", tmp_path / "folder", tmp_path / "plug"
    os.mkfifo(pipe)
    folder.mkdir()
    with socket.socket(socket.AF_UNIX) as open_plug:
        open_plug.bind(str(plug))
        link = tmp_path / "link"
        link.symlink_to("/dev/zero")
        for path in (pipe, folder, plug, link, Path("/dev/zero"), Path("/dev/null")):
            assert is_refused(READERS[reader], path), path


@unix
@pytest.mark.parametrize("reader", READERS)
def test_what_is_too_large_is_refused_by_every_reader_before_it_is_read(
    reader: str, tmp_path: Path
) -> None:
    path = tmp_path / "large"
    with path.open("wb") as file:
        file.write(b"SQLite format 3\0" if "season" in reader or "copy" in reader else b"a,b\n")
        file.truncate(2_000_000_000)  # takes no room on the disk
    tracemalloc.start()
    try:
        assert is_refused(READERS[reader], path)
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks at /proc")
def test_a_file_that_says_too_little_of_its_size_is_counted() -> None:
    path = Path("/proc/self/maps")  # says 0
    assert path.stat().st_size == 0
    assert len(read_file(path, 1_000_000)) > 100
    with pytest.raises(NotRead, match="too large"):
        read_file(path, 100)


@unix
@pytest.mark.parametrize("command", ["import", "log"])
def test_commands_refuse_what_is_no_file(
    command: str, tmp_path: Path, written_practice: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    season = tmp_path / "farm.ripenroom"
    season.write_bytes(written_practice.read_bytes())
    os.mkfifo(tmp_path / "pipe.csv")
    place = ["Cold room"] if command == "log" else []
    assert main([command, str(season), *place, str(tmp_path / "pipe.csv")]) == 2
    assert "pipe" in capsys.readouterr().err


def peak_of(read: Callable[[], object]) -> int:
    """Bytes held at most by a reading that is refused."""
    tracemalloc.start()
    try:
        with pytest.raises(Refusal):
            read()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("line", [b"\n", b"a\n", b"a;b\n", b"\r", b";;;;;;;;\n", b'"\n'])
def test_limits_on_rows_hold_while_a_table_is_read(tmp_path: Path, line: bytes) -> None:
    path = tmp_path / "many.csv"
    path.write_bytes(line * (8_000_000 // len(line)))
    assert peak_of(lambda: grid_in(path)) < 60_000_000


def test_they_hold_for_what_is_pasted(tmp_path: Path) -> None:
    lines = ["a;b"] * 1_000_000
    assert peak_of(lambda: grid_of(lines)) < 40_000_000
    assert peak_of(lambda: grid_pasted("\n" * 9_000_000)) < 60_000_000
    wide = [";" * 40_000] * 2_000
    assert peak_of(lambda: grid_of(wide)) < 100_000_000


def test_a_line_without_an_end_is_a_row_that_cannot_be_read(tmp_path: Path) -> None:
    path = tmp_path / "endless.csv"
    path.write_bytes(b"Date;Fruit\n" + b"x" * 30_000_000 + b"\nafter;it")
    tracemalloc.start()
    try:
        assert load(path).lines == ["Date;Fruit", TOO_LONG, "after;it"]
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("value", [b"{}", b"[]", b"1.5", b'"ab"'])
def test_values_of_json_are_counted_before_any_is_made(tmp_path: Path, value: bytes) -> None:
    path = tmp_path / "many.json"
    each = value + b","
    path.write_bytes(b"[" + each * (12_000_000 // len(each)) + value + b"]")
    if len(each) * 3_000_000 < 12_000_000:
        assert peak_of(lambda: read_json(path)) < 30_000_000
    path.write_bytes(b"[" + each * (50_000_000 // len(each)) + value + b"]")
    assert peak_of(lambda: read_json(path)) < 120_000_000


def test_a_list_of_parts_that_fills_the_memory_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "parts.xlsx"
    entry = b"PK\x01\x02" + bytes(24) + (1).to_bytes(2, "little") + bytes(16) + b"a"
    directory = entry * 200_000
    end = (
        b"PK\x05\x06" + bytes(8) + len(directory).to_bytes(4, "little") + (4).to_bytes(4, "little")
    )
    path.write_bytes(b"PK\x03\x04" + directory + end + bytes(2))
    assert peak_of(lambda: load(path)) < 20_000_000


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * 40_000 + " = 1",
        "[" + ".".join(["a"] * 40_000) + "]",
        "x = {" + "a . " * 20_000 + "a = 1}",
        ".".join(['"a"'] * 20_000) + " = 1",
    ],
)
def test_keys_of_many_parts_are_refused_before_they_are_read(text: str) -> None:
    with pytest.raises(ValueError, match=r"ten parts|100 kB"):
        load_profile_text(text, Path("own.toml"))


@pytest.mark.parametrize(("key", "hole"), one_in(3, list(product(TYPED, HOLES))))
def test_cells_of_any_length_are_read_or_not_at_once(
    key: str, hole: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], written_practice: Path
) -> None:
    season = tmp_path / "farm.ripenroom"
    season.write_bytes(written_practice.read_bytes())
    row = {"Pick date": "14.09.2026", "Hard": "3", "Weight (kg)": "", "Count": "", "Notes": ""}
    row[key] = "1" + hole * 10_000 + "x"
    heads = [*row, "Fruit", "Where"]
    cells = [f'"{cell}"' for cell in (*row.values(), "Pawpaw", "Cold room")]
    (tmp_path / "table.csv").write_text(";".join(heads) + "\n" + f"{';'.join(cells)}\n" * 20)
    assert main(["import", str(season), str(tmp_path / "table.csv"), "--dates", "dmy"]) in (0, 2)
    said = capsys.readouterr()
    assert "Traceback" not in said.err


@unix
def test_a_file_that_has_nothing_to_say_yet_is_refused(tmp_path: Path) -> None:
    ours, theirs = os.pipe()
    os.set_blocking(ours, False)  # as /proc/kmsg answers, which calls itself a file
    file = io.BufferedReader(_Unwaited(ours, tmp_path / "kmsg"))
    with file, pytest.raises(NotRead, match="nothing can be read"):
        file.read(9)
    os.close(theirs)


@unix
@pytest.mark.parametrize("reader", READERS)
def test_messages_of_the_system_are_no_table(reader: str) -> None:
    messages = Path("/proc/kmsg")
    if not os.access(messages, os.R_OK):
        pytest.skip("they cannot be read here")
    assert is_refused(READERS[reader], messages)
