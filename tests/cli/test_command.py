"""The command as a whole: exit codes, one line on bad use, files that are not as they should be."""

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from ripenroom import __version__
from ripenroom.cli.command import COMMANDS
from ripenroom.season.practice import demo_book
from ripenroom.season.questions import Questions
from tests.cli.conftest import Call
from tests.records.hostile import Hostile, edit_row

BATCHES = len(demo_book().batches)
ON_A_SEASON = ["windows", "plan", "today", "verify", "add-pick"]


def arguments_of(command: str, path: Path) -> list[object]:
    more = ["--crop", "pawpaw", "--place", "Cold room", "--count", "5"]
    return [command, path, *(more if command == "add-pick" else [])]


# Files that are not as they should be


@pytest.mark.parametrize("command", ON_A_SEASON)
def test_a_missing_file_is_bad_use(call: Call, tmp_path: Path, command: str) -> None:
    answer = call(*arguments_of(command, tmp_path / "none.ripenroom"))
    assert answer.code == 2
    assert answer.said_in_one_line("none.ripenroom")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ON_A_SEASON)
@pytest.mark.parametrize("kind", ["text", "empty", "binary", "other database", "folder", "newer"])
def test_a_file_that_is_no_season_of_ours(
    call: Call, tmp_path: Path, season: Path, command: str, kind: str
) -> None:
    path = tmp_path / "other.ripenroom"
    if kind == "text":
        path.write_text("Dear grower,\n" * 400)
    elif kind == "empty":
        path.touch()
    elif kind == "binary":
        path.write_bytes(os.urandom(20_000))
    elif kind == "other database":
        with sqlite3.connect(path) as database:
            database.execute("CREATE TABLE batch (id TEXT)")
        database.close()
    elif kind == "folder":
        path.mkdir()
    else:
        path = season
        with sqlite3.connect(path) as database:
            database.execute("PRAGMA user_version = 900")
        database.close()
    before = None if path.is_dir() else path.read_bytes()
    answer = call(*arguments_of(command, path))
    assert answer.code == 3
    assert answer.said_in_one_line(path.name)
    assert path.is_dir() or path.read_bytes() == before


@pytest.mark.parametrize("command", ON_A_SEASON)
def test_a_file_cut_short_anywhere(call: Call, tmp_path: Path, season: Path, command: str) -> None:
    whole = season.read_bytes()
    path = tmp_path / "cut.ripenroom"
    lengths = [1, 15, 16, 99, 100, 101, 1000, 4095, 4096, 4097]
    lengths += [len(whole) * n // 7 for n in range(1, 7)]
    lengths += [len(whole) - n for n in (4096, 5000)]
    for length in lengths:
        path.write_bytes(whole[:length])
        answer = call(*arguments_of(command, path))
        assert answer.code == 3, length
        assert len(answer.err.splitlines()) == 1
        assert "Traceback" not in answer.err


def test_a_season_that_names_an_unknown_zone(call: Call, tmp_path: Path, season: Path) -> None:
    path = Path(shutil.copyfile(season, tmp_path / "mars.ripenroom"))
    edit_row(path, Hostile("season", "zone", "Mars/Olympus"))
    answer = call("windows", path)
    assert answer.code == 3
    assert answer.said_in_one_line("Mars/Olympus")


# Bad use


@pytest.mark.parametrize(
    "arguments",
    [
        ["windows"],
        ["demo"],
        ["verify"],
        ["add-pick"],
        ["windows", "a", "b"],
        ["windows", "a", "--colour"],
        ["--colour"],
        ["--at"],
        ["a", "b"],
        ["--demo", "farm.ripenroom"],
        ["add-pick", "a", "--crop", "pawpaw"],
        ["add-pick", "a", "--crop", "p", "--place", "c", "--count", "many"],
        ["add-pick", "a", "--crop", "p", "--place", "c", "--readings", "hard"],
        ["add-pick", "a", "--crop", "p", "--place", "c", "--unit", "stone"],
        ["windows", "a", "--csv"],
    ],
)
def test_bad_use_is_told_in_one_line(call: Call, arguments: list[str]) -> None:
    answer = call(*arguments)
    assert answer.code == 2
    assert answer.said_in_one_line()


def test_no_screen_is_told_before_the_window_is_tried(
    call: Call, season: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    for arguments in ([season], ["--demo"], []):
        answer = call(*arguments)
        assert answer.code == 2
        assert answer.said_in_one_line("no screen")


@pytest.mark.parametrize("command", [None, *COMMANDS])
def test_help_is_fine(call: Call, command: str | None) -> None:
    answer = call(*([command] if command else []), "--help")
    assert (answer.code, answer.err) == (0, "")
    assert f"usage: ripenroom {command or '['}" in answer.out
    assert command or all(name in answer.out for name in COMMANDS)


def test_the_version(call: Call) -> None:
    assert call("--version").out == f"ripenroom {__version__}\n"


def test_what_the_system_will_not_do_is_one_line(call: Call, tmp_path: Path) -> None:
    too_long = tmp_path / ("a" * 300) / "farm.ripenroom"
    for command in ("windows", "verify", "demo"):
        answer = call(command, too_long)
        assert answer.code == 2
        assert answer.said_in_one_line("name too long")


# As a process of its own


def run(*arguments: object, **more: object) -> "subprocess.CompletedProcess[str]":
    without_screen = {
        name: value
        for name, value in os.environ.items()
        if name not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    return subprocess.run(  # type: ignore[call-overload,no-any-return]
        [sys.executable, *map(str, arguments)],
        env=without_screen,
        text=True,
        encoding="utf-8",
        timeout=60,
        **{"capture_output": True, **more},
    )


def test_the_module_runs_without_a_screen(season: Path) -> None:
    done = run("-m", "ripenroom", "windows", season)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.splitlines()) == 1 + BATCHES
    assert run("-m", "ripenroom", "windows", "none.ripenroom").returncode == 2
    assert run("-m", "ripenroom").returncode == 2


def test_no_command_loads_qt(season: Path, tmp_path: Path) -> None:
    script = (
        "import sys\n"
        "from ripenroom.cli import main\n"
        f"main(['windows', {str(season)!r}, '--csv', {str(tmp_path / 'w.csv')!r}])\n"
        f"main(['verify', {str(season)!r}])\n"
        f"main(['add-pick', {str(season)!r}, '--crop', 'pear', '--place', 'Cold room',"
        " '--count', '4'])\n"
        f"main(['demo', {str(tmp_path / 'd.ripenroom')!r}])\n"
        "sys.exit(any(name.split('.')[0] in ('PySide6', 'pyqtgraph') for name in sys.modules))\n"
    )
    done = run("-c", script)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "w.csv").exists()
    assert (tmp_path / "d.ripenroom").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell's pipes")
def test_a_reader_that_has_heard_enough_is_no_error(season: Path) -> None:
    script = f"{sys.executable} -m ripenroom windows '{season}' | head -1"
    done = run(
        "-c",
        "import subprocess, sys; sys.exit(subprocess.call(sys.argv[1:]))",
        "bash",
        "-o",
        "pipefail",
        "-c",
        script,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("   crop")
    assert len(done.stdout.splitlines()) == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("arguments", [["--help"], ["--version"]])
def test_help_that_cannot_be_written_leaves_no_traceback(arguments: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        done = run(
            "-m", "ripenroom", *arguments, capture_output=False, stdout=full, stderr=subprocess.PIPE
        )
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_output_on_a_full_disk_is_told_in_one_line(season: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = run(
            "-m",
            "ripenroom",
            "windows",
            season,
            capture_output=False,
            stdout=full,
            stderr=subprocess.PIPE,
        )
    assert done.returncode == 2
    assert done.stderr == "ripenroom: the output cannot be used: No space left on device.\n"
    done = run("-m", "ripenroom", "windows", season, "--csv", "/dev/full")
    assert done.returncode == 2
    assert done.stderr == "ripenroom: /dev/full cannot be written: No space left on device.\n"


def test_letters_that_the_output_has_no_sign_for(season: Path) -> None:
    added = run(
        "-c",
        "import os, sys; os.environ['PYTHONIOENCODING'] = 'ascii';"
        "os.execv(sys.executable, [sys.executable, '-m', 'ripenroom', *sys.argv[1:]])",
        "demo",
        season.with_name("Käfer.ripenroom"),
    )
    assert added.returncode == 0, added.stderr
    assert "K\\xe4fer.ripenroom" in added.stdout


def test_too_little_memory_is_said_in_a_line(
    call: Call, season: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def too_much(*_: object, **__: object) -> None:
        raise MemoryError("Unable to allocate 904. MiB")

    monkeypatch.setattr(Questions, "plan", too_much)
    answer = call("plan", season)
    assert answer.code == 2
    assert answer.said_in_one_line("too little memory", "places")
