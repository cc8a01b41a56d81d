"""``ripenroom demo`` and ``ripenroom verify``."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.records.file import SeasonFile, connection
from tests.cli.conftest import Call

PICK = ["--crop", "pawpaw", "--place", "Cold room", "--count", "5"]


def test_the_practice_season_is_written_and_sound(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "practice.ripenroom"
    answer = call("demo", path)
    assert (answer.code, answer.out, answer.err) == (0, f"The practice season is in {path}\n", "")
    assert call("verify", path).out == "practice.ripenroom is sound\n"
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize(
    ("country", "asked", "units"),
    [
        ("en_US.UTF-8", [], "us"),
        ("de_DE.UTF-8", [], "metric"),
        ("C.UTF-8", [], "metric"),
        ("C.UTF-8", ["--units", "us"], "us"),
    ],
)
def test_the_practice_season_is_read_in_the_units_of_the_country(
    call: Call,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    country: str,
    asked: list[str],
    units: str,
) -> None:
    for name in ("LANGUAGE", "LC_MEASUREMENT", "LC_CTYPE", "LANG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LC_ALL", country)
    path = tmp_path / "practice.ripenroom"
    assert call("demo", path, *asked).code == 0
    with closing(SeasonFile.open(path)) as file:
        assert file.read().season.units == units


def test_nothing_is_written_over(call: Call, season: Path, tmp_path: Path) -> None:
    before = season.read_bytes()
    for path in (season, tmp_path):
        answer = call("demo", path)
        assert answer.code == 2
        assert answer.said_in_one_line(path.name, "already there")
    assert season.read_bytes() == before


def test_a_folder_that_is_not_there(call: Call, tmp_path: Path) -> None:
    answer = call("demo", tmp_path / "no folder" / "practice.ripenroom")
    assert answer.code == 2
    assert answer.said_in_one_line("no folder")


def test_one_problem_is_one_line(call: Call, season: Path) -> None:
    before = season.read_bytes()
    damaged = before.replace(b"Ripening room", b"Ripening r\x00om")
    assert damaged != before
    season.write_bytes(damaged)
    answer = call("verify", season)
    assert answer.code == 3
    assert len(answer.err.splitlines()) == 1
    assert season.read_bytes() == damaged


def test_several_problems_are_listed_one_a_line(call: Call, season: Path) -> None:
    with sqlite3.connect(season) as database:
        database.execute("UPDATE place SET half_cooling_h = 1.0")
    database.close()
    answer = call("verify", season)
    assert answer.code == 3
    listed = answer.out.splitlines()
    assert sum("is not as it was written" in line for line in listed) == 6
    assert answer.err == (
        f"ripenroom: farm.ripenroom is not sound: {len(listed)} problems are listed. "
        "Leave it as it is; rescue saves what can be read of it.\n"
    )


def test_a_file_in_use_is_not_damaged(
    call: Call, season: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connection, "BUSY_S", 0.05)
    database = sqlite3.connect(season, isolation_level=None)
    database.execute("BEGIN EXCLUSIVE")
    answer = call("verify", season)
    database.close()
    assert answer.code == 2
    assert answer.said_in_one_line("farm.ripenroom", "Try again")


def test_a_file_with_an_unfinished_change_is_not_damaged(
    call: Call, season: Path, tmp_path: Path
) -> None:
    crashed = tmp_path / "crashed.ripenroom"
    database = sqlite3.connect(season, isolation_level=None)
    database.execute("PRAGMA cache_size = 1")
    database.execute("BEGIN IMMEDIATE")
    database.execute("UPDATE batch SET note = hex(randomblob(9000))")
    shutil.copy(season, crashed)
    shutil.copy(f"{season}-journal", f"{crashed}-journal")
    database.close()
    before = crashed.read_bytes()
    assert call("verify", crashed).code == 0
    assert call("windows", crashed).out == call("windows", season).out
    assert call("export", crashed, tmp_path / "crashed.json").code == 0
    assert crashed.read_bytes() == before
    assert call("add-pick", crashed, *PICK).code == 0
    assert call("verify", crashed).code == 0


def test_a_file_without_its_last_byte_is_damaged(call: Call, season: Path) -> None:
    season.write_bytes(season.read_bytes()[:-1])
    looked_over = call("verify", season)
    assert looked_over.code == 3
    assert "cut short" in looked_over.out + looked_over.err
    opened = call("windows", season)
    assert opened.code == 3
    assert opened.said_in_one_line("cut short")


def test_a_disk_without_room_is_told_in_one_line_and_left_clean(call: Call, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=32k", "tmpfs", str(stick)]
    if sys.platform != "linux" or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("only an administrator of Linux can mount a small disk")
    try:
        answer = call("demo", stick / "practice.ripenroom")
        assert answer.code == 2
        assert answer.said_in_one_line("practice.ripenroom", "disk is full")
        assert list(stick.iterdir()) == []
    finally:
        subprocess.run(["umount", str(stick)], check=True)


def test_a_season_of_which_something_is_left_out_is_not_sound(call: Call, season: Path) -> None:
    file = SeasonFile.open(season)
    book = file.read()
    pear = next(batch for batch in book.batches.values() if batch.crop != "pawpaw")
    gone = next(batch for batch in book.batches.values() if batch.crop == "pawpaw")
    moves = [move for move in book.moves.values() if move.batch_id == gone.id]
    file.write("Change as another program may", [replace(pear, crop="medlar")], moves)
    file.close()
    answer = call("verify", season)
    assert answer.code == 3
    assert answer.out.splitlines() == sorted(
        [
            f"The batch “{pear.code}”: there is no crop “medlar” here.",
            f"The batch “{gone.code}” has no place.",
        ]
    )
    assert "farm.ripenroom is not sound: 2 problems are listed." in answer.err
    assert call("windows", season).code == 0


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such files")
@pytest.mark.parametrize(
    "command", ["windows", "today", "plan", "checks", "setpoints", "rooms", "verify"]
)
def test_a_pipe_or_a_device_for_a_season_is_refused_at_once(
    call: Call, tmp_path: Path, command: str
) -> None:
    os.mkfifo(tmp_path / "pipe.ripenroom")
    for path in (tmp_path / "pipe.ripenroom", Path("/dev/zero")):
        assert call(command, path).said_in_one_line("is not a file. Choose a season file.")


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such files")
def test_so_is_one_to_export_or_to_pack_from(call: Call, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.ripenroom"
    os.mkfifo(pipe)
    assert call("export", pipe, tmp_path / "out.json").said_in_one_line("is not a file")
    assert call("pack", pipe, "2026-09-19").said_in_one_line("is not a file")
