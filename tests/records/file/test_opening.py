"""Season files opened and made: whole or not at all, and only read where they cannot be changed."""

import errno
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ripenroom.paths import copies_folder
from ripenroom.records.book import Book, new_id
from ripenroom.records.file import FileRefusal, SeasonFile, connection, verify
from ripenroom.records.file.backups import Backups
from ripenroom.records.file.lock import lock_path
from ripenroom.records.file.opening import make_file
from ripenroom.records.refusal import Refusal


@pytest.fixture
def locked_folder(lived_in: tuple[Path, Book], tmp_path: Path) -> Iterator[Path]:
    """A folder with a season file in which nothing can be written."""
    folder = tmp_path / "card"
    folder.mkdir()
    shutil.copy(lived_in[0], folder / "season.ripenroom")
    if sys.platform == "win32":
        pytest.skip("Windows has no such folders")
    if os.geteuid() != 0:
        folder.chmod(0o500)
        yield folder
        folder.chmod(0o700)
        return
    # Permissions do not bind an administrator; a read-only mount does.
    mount = ["mount", "--bind", "-o", "ro", str(folder), str(folder)]
    if shutil.which("mount") is None or subprocess.run(mount, check=False).returncode:
        pytest.skip("this system lets nobody mount a folder read-only")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_in_a_folder_that_cannot_be_written_a_season_can_be_read(
    locked_folder: Path, lived_in: tuple[Path, Book], invented: Any
) -> None:
    path = locked_folder / "season.ripenroom"
    file = SeasonFile.open(path)
    assert file.read() == lived_in[1]
    assert file.read_only_because is not None
    assert "Copy it to a folder you may write to" in file.read_only_because
    assert file.undo_label is None
    with pytest.raises(FileRefusal) as refused:
        file.write("Add pick", [invented.batch(99)])
    assert refused.value.kind == "unwritable"
    file.close()
    assert verify(path) == []
    assert list(locked_folder.iterdir()) == [path]


def test_in_a_folder_that_cannot_be_written_no_season_can_be_made(
    locked_folder: Path, invented: Any
) -> None:
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.create(locked_folder / "new.ripenroom", invented.season)
    assert refused.value.kind == "unwritable"


def test_a_lock_file_that_cannot_be_made_means_reading(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    lock_path(path).mkdir()
    file = SeasonFile.open(path)
    assert file.read_only_because is not None
    assert f"lies {lock_path(path).name}" in file.read_only_because
    assert file.read() == book
    file.close()


def test_a_file_that_sqlite_may_not_write_means_reading(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    content = bytearray(path.read_bytes())
    content[18] = 3  # a write version of the file format that no SQLite knows yet
    path.write_bytes(content)
    file = SeasonFile.open(path)
    assert file.read_only_because is not None
    assert "write-protected" in file.read_only_because
    assert file.read() == book
    file.close()
    assert list(path.parent.iterdir()) == [path]


def test_while_another_program_writes_the_file_is_busy(
    lived_in: tuple[Path, Book], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = lived_in
    monkeypatch.setattr(connection, "BUSY_S", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(FileRefusal) as refused:
            SeasonFile.open(path)
        other.execute("ROLLBACK")
    assert refused.value.kind == "busy"
    assert list(path.parent.iterdir()) == [path]


def test_a_link_opens_the_season_it_leads_to(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    link = path.with_name("today.ripenroom")
    link.symlink_to(path)
    first = SeasonFile.open(link)
    second = SeasonFile.open(path)
    assert first.read() == book
    assert second.read_only_because is not None
    first.close()
    second.close()


def test_another_programs_database_keeps_its_ways(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("CREATE TABLE t (a)")
    content = path.read_bytes()
    with pytest.raises(FileRefusal):
        SeasonFile.open(path)
    assert path.read_bytes() == content


def test_an_empty_journal_left_by_a_crash_is_cleared_away(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    path.with_name(f"{path.name}-journal").write_bytes(bytes(512))
    file = SeasonFile.open(path)
    assert file.read() == book
    file.close()
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such files")
@pytest.mark.timeout(20)
@pytest.mark.parametrize("suffix", ["-journal", "-wal", "-shm"])
def test_what_only_looks_like_a_journal_is_neither_waited_for_nor_followed(
    lived_in: tuple[Path, Book], suffix: str, tmp_path: Path
) -> None:
    path, book = lived_in
    beside = path.with_name(path.name + suffix)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text("notes")
    link = tmp_path / "link.ripenroom"
    link.symlink_to(path)
    layings: list[tuple[Callable[[], object], Callable[[], object]]] = [
        (lambda: os.mkfifo(beside), beside.unlink),
        (lambda: beside.symlink_to(elsewhere), beside.unlink),
        (beside.mkdir, beside.rmdir),
    ]
    openings: list[Callable[[Path], object]] = [
        verify,
        SeasonFile.open,
        lambda at: SeasonFile.open(at, read_only=True),
    ]
    for lay, take_away in layings:
        lay()
        for opening in openings:
            for name in (path, link):
                with pytest.raises(FileRefusal, match=f"lies {beside.name}, which is no") as why:
                    opening(name)
                assert why.value.kind == "unwritable"
        take_away()
    assert elsewhere.read_text() == "notes"
    with closing(SeasonFile.open(path)) as file:
        assert file.read() == book


def test_another_process_gets_it_to_be_read(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    file = SeasonFile.open(path)
    other = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, pathlib; from ripenroom.records.file import SeasonFile;"
            "file = SeasonFile.open(pathlib.Path(sys.argv[1]));"
            "print(len(file.read().batches), file.read_only_because)",
            str(path),
        ],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    count, reason = other.stdout.split(" ", 1)
    assert int(count) == len(file.read().batches)
    assert f"process {os.getpid()} on " in reason
    assert file.read_only_because is None
    file.close()


def test_a_kept_copy_is_only_read(lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    kept = Backups(copies_folder() / new_id(), UTC).keep(path, datetime(2026, 9, 14, tzinfo=UTC))
    before = kept.path.read_bytes()
    file = SeasonFile.open(kept.path)
    assert file.read() == book
    assert file.read_only_because is not None
    assert "one of the copies that are kept" in file.read_only_because
    file.close()
    assert kept.path.read_bytes() == before
    assert list(kept.path.parent.iterdir()) == [kept.path]


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")
def test_a_season_of_two_names_is_only_read(
    lived_in: tuple[Path, Book], invented: Any, tmp_path: Path
) -> None:
    path, book = lived_in
    other = tmp_path / "other name.ripenroom"
    held = SeasonFile.open(path)
    os.link(path, other)
    for name in (other, path):
        file = SeasonFile.open(name)
        assert file.read() == book
        assert file.read_only_because is not None
        with pytest.raises(FileRefusal):
            file.write("Add pick", [invented.batch(99)])
        file.close()
    held.close()
    file = SeasonFile.open(path)
    assert "another name (a hard link)" in (file.read_only_because or "")
    assert "Copy it and open the copy" in (file.read_only_because or "")
    file.close()
    assert verify(path) == verify(other) == []
    other.unlink()
    file = SeasonFile.open(path)
    assert file.read_only_because is None
    file.close()


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")
def test_a_copy_of_a_season_of_two_names_can_be_changed(
    lived_in: tuple[Path, Book], tmp_path: Path
) -> None:
    path, _ = lived_in
    os.link(path, tmp_path / "other name.ripenroom")
    copied = tmp_path / "copy.ripenroom"
    shutil.copy(path, copied)
    file = SeasonFile.open(copied)
    assert file.read_only_because is None
    file.close()


def test_a_new_file_is_sound_and_alone(path: Path, invented: Any) -> None:
    make_file(path, [invented.season, invented.place])
    assert verify(path) == []
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such permissions")
def test_only_its_owner_can_read_a_new_file(path: Path, invented: Any) -> None:
    make_file(path, [invented.season])
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_programs_know_a_season_by_its_bytes(path: Path, invented: Any) -> None:
    make_file(path, [invented.season])
    assert path.read_bytes()[68:72] == b"RIPN"


@pytest.mark.parametrize("content", [b"", b"another program's"])
def test_nothing_is_written_over(path: Path, invented: Any, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(FileRefusal, match="already there") as refused:
        make_file(path, [invented.season])
    assert refused.value.kind == "unwritable"
    assert path.read_bytes() == content
    assert list(path.parent.iterdir()) == [path]


def test_a_link_to_nowhere_is_not_followed(path: Path, invented: Any) -> None:
    path.symlink_to(path.with_name("elsewhere"))
    with pytest.raises(FileRefusal, match="already there"):
        make_file(path, [invented.season])


def test_a_missing_folder_is_named(tmp_path: Path, invented: Any) -> None:
    with pytest.raises(FileRefusal, match="There is no folder") as refused:
        make_file(tmp_path / "barn" / "a.ripenroom", [invented.season])
    assert refused.value.kind == "missing"


def test_a_record_that_cannot_be_kept_leaves_no_half_made_file(path: Path, invented: Any) -> None:
    with pytest.raises(Refusal):
        make_file(path, [invented.season, invented.batch(1, note="\0")])
    assert list(path.parent.iterdir()) == []


def test_a_name_too_long_for_the_disk_is_refused(tmp_path: Path, invented: Any) -> None:
    with pytest.raises(FileRefusal) as refused:
        make_file(tmp_path / ("x" * 300), [invented.season])
    assert refused.value.kind == "unwritable"
    assert list(tmp_path.iterdir()) == []


def test_a_disk_without_links_holds_a_season_too(
    path: Path, invented: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)  # as on a USB stick with FAT
    make_file(path, [invented.season])
    assert verify(path) == []
    with pytest.raises(FileRefusal, match="already there"):
        make_file(path, [invented.season])
    assert list(path.parent.iterdir()) == [path]


def test_records_that_no_file_can_keep_are_refused_in_words(path: Path, invented: Any) -> None:
    with pytest.raises(Refusal, match="without its batch"):
        make_file(path, [invented.season, invented.place, invented.move_of(invented.batch(1))])
    with pytest.raises(Refusal, match="-1 fruit: type a whole number"):
        make_file(path, [invented.season, invented.batch(1, count=-1)])
    assert list(path.parent.iterdir()) == []
