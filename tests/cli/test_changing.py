"""Commands that change a season: what is kept of it, who is waited for, what is said afterwards."""

import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from ripenroom.cli.answer import UNPRINTED
from ripenroom.paths import copies_folder
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.file.backups import Backups, book_in
from ripenroom.records.file.lock import WriterLock
from ripenroom.records.season import SeasonDetails
from ripenroom.season.season import Season
from tests.cli.conftest import Call
from tests.cli.launcher import Launcher

ONE_PICK = ("--crop", "pawpaw", "--place", "Kitchen counter", "--feel", "3 9 6 2", "--together")


@pytest.fixture
def own(season: Path, tmp_path: Path) -> Path:
    """A season that is no practice season, since of those no copies are kept."""
    from dataclasses import replace

    from ripenroom.records.book import new_id

    file = SeasonFile.open(season, read_only=True)
    book = file.read()
    file.close()
    path = tmp_path / "own.ripenroom"
    about: SeasonDetails = replace(book.season, id=new_id(), practice_now=None)
    SeasonFile.create(path, about, book.records()).close()
    return path


def copies_of(path: Path) -> Backups:
    with_it = Season.open(path, read_only=True)
    kept = with_it.copies.kept_in(copies_folder())
    with_it.close()
    return kept


def batches_in(path: Path) -> int:
    file = SeasonFile.open(path, read_only=True)
    count = len(file.read().batches)
    file.close()
    return count


def test_a_copy_is_kept_before_a_season_is_changed(call: Call, own: Path) -> None:
    assert copies_of(own).there() == ()
    before = batches_in(own)
    assert call("add-pick", own, *ONE_PICK).code == 0
    [kept] = copies_of(own).there()
    assert len(book_in(kept.path).batches) == before
    assert batches_in(own) == before + 1


def test_no_copy_is_kept_by_what_only_reads_nor_of_practice(
    call: Call, own: Path, season: Path
) -> None:
    assert call("windows", own).code == 0
    assert call("add-pick", season, *ONE_PICK).code == 0
    assert copies_of(own).there() == copies_of(season).there() == ()


def test_a_copy_that_cannot_be_kept_is_said_and_the_pick_written(
    call: Call, own: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "data").write_text("a file where the folder should be")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("APPDATA", str(tmp_path / "data"))
    before = batches_in(own)
    answer = call("add-pick", own, *ONE_PICK)
    assert answer.code == 0
    assert "No copy of the season could be kept" in answer.err
    assert batches_in(own) == before + 1


def test_a_season_that_is_held_is_waited_for_and_refused_in_words(call: Call, season: Path) -> None:
    lock = WriterLock(season)
    refused = call("add-pick", season, *ONE_PICK, "--wait", "0.1")
    assert refused.code == 2
    assert refused.said_in_one_line("another ripenroom window")
    written = call("rooms", season)
    assert written.code == 0  # what only reads waits for nobody
    threading.Timer(0.3, lock.release).start()
    assert call("add-pick", season, *ONE_PICK).code == 0


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")
def test_a_season_of_two_names_is_read_and_not_changed(
    call: Call, season: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other name.ripenroom"
    os.link(season, other)
    before = season.read_bytes()
    for name in (season, other):
        refused = call("add-pick", name, *ONE_PICK)
        assert refused.code == 2
        assert refused.said_in_one_line("hard link", "Copy it and open the copy")
        assert call("rooms", name).code == 0
    assert season.read_bytes() == before


@pytest.mark.parametrize(
    ("wait", "words"),
    [
        ("abc", "--wait: “abc” is not a number of seconds"),
        ("-1", "--wait: must be from 0 to 86400 seconds"),
        ("nan", "--wait: must be from 0 to 86400 seconds"),
    ],
)
def test_a_wait_that_cannot_be_is_refused_in_words(
    call: Call, season: Path, wait: str, words: str
) -> None:
    refused = call("add-pick", season, *ONE_PICK, f"--wait={wait}")
    assert refused.code == 2
    assert refused.said_in_one_line(words)


@pytest.mark.long
def test_of_many_at_once_none_is_refused(season: Path) -> None:
    before = batches_in(season)
    started = [
        subprocess.Popen(
            [
                sys.executable,
                "-m",
                "ripenroom",
                "add-pick",
                str(season),
                *ONE_PICK,
                "--wait",
                "100",
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(6)
    ]
    said = [process.communicate(timeout=110) for process in started]
    assert [process.returncode for process in started] == [0] * 6, said
    codes = [out.strip() for out, _ in said]
    assert len(set(codes)) == 6
    assert batches_in(season) == before + 6
    assert verify(season) == []


def run_with_output(launcher: Launcher, output: int | None, *arguments: str) -> tuple[int, str]:
    """Exit code and complaint of a command whose output goes to an open file, or is closed."""
    if output is not None:
        code, said = launcher.run(arguments, output, subprocess.PIPE)
        return code, said.decode()
    program = ["sh", "-c", 'exec "$@" >&-', "sh", sys.executable, "-m", "ripenroom", *arguments]
    done = subprocess.run(program, stderr=subprocess.PIPE, text=True, check=False, timeout=100)
    return done.returncode, done.stderr


@pytest.fixture(params=["full", "broken", pytest.param("closed", marks=pytest.mark.long)])
def unfit(request: pytest.FixtureRequest) -> Iterator[int | None]:
    """An output that takes nothing."""
    if sys.platform == "win32" or not Path("/dev/full").exists():
        pytest.skip("there is no full disk to print to here")
    if request.param == "closed":
        yield None
        return
    if request.param == "full":
        descriptor = os.open("/dev/full", os.O_WRONLY)
    else:
        reader, descriptor = os.pipe()
        os.close(reader)
    yield descriptor
    os.close(descriptor)


def test_what_was_written_but_not_printed_is_told_apart_from_what_was_not(
    launcher: Launcher, season: Path, unfit: int | None, tmp_path: Path
) -> None:
    before = batches_in(season)
    code, said = run_with_output(launcher, unfit, "add-pick", str(season), *ONE_PICK)
    assert code == UNPRINTED, said
    assert said.startswith("ripenroom: Saved as P-")
    assert said.count("\n") == 1
    assert batches_in(season) == before + 1
    code, said = run_with_output(launcher, unfit, "export", str(season), str(tmp_path / "out.json"))
    assert (code, "is saved" in said) == (UNPRINTED, True)
    code, said = run_with_output(
        launcher,
        unfit,
        "add-pick",
        str(season),
        "--crop",
        "moonfruit",
        "--place",
        "Kitchen counter",
    )
    assert code == 2
    assert batches_in(season) == before + 1


@pytest.mark.skipif(sys.platform == "win32", reason="a shell is asked")
def test_nothing_is_printed_into_the_season_itself(launcher: Launcher, season: Path) -> None:
    before = season.read_bytes()
    with season.open("ab") as into:
        code, said = run_with_output(launcher, into.fileno(), "windows", str(season))
    assert code == 2
    assert "written into" in said
    assert season.read_bytes() == before


@pytest.mark.skipif(sys.platform == "win32", reason="a shell is asked")
@pytest.mark.parametrize("call", ["windows {} --at x", "windows {} --no-such", "windows {}"])
def test_nor_is_what_is_said_of_errors(
    launcher: Launcher, season: Path, call: str, tmp_path: Path
) -> None:
    before = season.read_bytes()
    link = tmp_path / "link"
    link.symlink_to(season)
    for name in (season, link):
        with season.open("ab") as into:
            code, _ = launcher.run(call.format(name).split(), subprocess.DEVNULL, into)
        assert code == 2
        assert season.read_bytes() == before


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not tell of outputs")
@pytest.mark.parametrize("call", [["--version"], ["--help"], ["windows", "--help"], ["verify"]])
@pytest.mark.parametrize("output", ["stdout", "stderr"])
def test_nor_into_anything_that_a_season_is_made_of(
    launcher: Launcher, season: Path, tmp_path: Path, call: list[str], output: str
) -> None:
    """Whoever types ``>>`` need not name the season before it."""
    half = tmp_path / "other name"
    half.write_bytes(bytes.fromhex("d9d505f920a163d7") + bytes(504))
    link = tmp_path / "other.txt"
    os.link(season, link)
    kept = copies_folder() / "some id" / "kept.ripenroom"
    kept.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(season, kept)
    sides = [season.with_name(season.name + ending) for ending in ("-journal", "-wal", ".lock")]
    for side in sides:
        side.write_bytes(b"")
    command = [*call, str(kept)] if call == ["verify"] else call
    for path in (season, link, half, kept, *sides):
        before = path.read_bytes()
        with path.open("ab") as into:
            code, said = launcher.run(
                command,
                into if output == "stdout" else subprocess.DEVNULL,
                into if output == "stderr" else subprocess.PIPE,
            )
        assert code == 2, path.name
        assert path.read_bytes() == before
        if output == "stdout":
            assert b"would be written into" in said
    plain = tmp_path / "plain.txt"
    with plain.open("ab") as into:
        code, said = launcher.run(["--version"], into, subprocess.PIPE)
    assert (code, said) == (0, b"")
    assert plain.read_text().startswith("ripenroom ")


NO_DOORS = """
import sys
from pathlib import Path
from ripenroom.cli import output
from ripenroom.cli.command import main

output._DOORS = Path("/no/such/door")
sys.exit(main())
"""


@pytest.mark.skipif(sys.platform == "win32", reason="its files cannot be open twice")
def test_where_no_system_tells_of_outputs_files_near_by_are_known(
    launcher: Launcher, season: Path, tmp_path: Path
) -> None:
    """As on macOS or Windows: what lies beside a named file, here, or among the copies."""
    kept = copies_folder() / "some id" / "kept.ripenroom"
    kept.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(season, kept)
    here, beside = tmp_path / "here", tmp_path / "beside"
    here.mkdir()
    beside.mkdir()
    in_this_folder = here / "other.ripenroom"
    shutil.copy(season, in_this_folder)
    link = here / "other.txt"
    os.link(kept, link)
    journal = beside / "third.ripenroom-journal"
    journal.write_bytes(b"")
    another, plain = beside / "another.ripenroom", here / "plain.txt"
    shutil.copy(season, another)
    plain.write_bytes(b"")
    for path, call, code in (
        (kept, ["--version"], 2),
        (in_this_folder, ["--version"], 2),
        (link, ["--version"], 2),
        (another, ["windows", str(beside / "third.ripenroom")], 2),
        (journal, ["verify", str(another)], 2),
        (plain, ["--version"], 0),
    ):
        before = path.read_bytes()
        with path.open("ab") as into:
            ended, said = launcher.run(call, into, subprocess.PIPE, NO_DOORS, here)
        assert ended == code, path
        assert (path.read_bytes() == before) == (code == 2)
        assert (b"would be written into" in said) == (code == 2)


@pytest.mark.parametrize("wait", ["-5", "nan", "inf", "soon"])
def test_a_wait_is_so_many_seconds(call: Call, season: Path, wait: str) -> None:
    answer = call("add-pick", season, *ONE_PICK, "--wait", wait)
    assert answer.code == 2
    assert answer.said_in_one_line("--wait")


def test_what_saved_nothing_is_no_success_that_was_not_printed(
    launcher: Launcher, season: Path, unfit: int | None, tmp_path: Path
) -> None:
    table = tmp_path / "picks.csv"
    table.write_text("date picked,count\n2026-09-29 08:30,many\n", "utf-8")
    usual = ("--kind", "picks", "--crop", "pawpaw", "--place", "cold room")
    code, said = run_with_output(launcher, unfit, "import", str(season), str(table), *usual)
    assert (code, "line 2: count must be" in said) == (2, True)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no full disk here")
def test_where_nothing_can_be_said_the_exit_code_says_it(launcher: Launcher, season: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        code, _ = launcher.run(["add-pick", str(season), *ONE_PICK], full, full)
    assert code == UNPRINTED
