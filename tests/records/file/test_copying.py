"""Copies of whole season files: to keep, and to read from."""

import os
import shutil
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from ripenroom.paths import copies_folder
from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.copying import copy_season_file, readable_copy
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.rescue import readable

Lived = tuple[Path, Book]
unix = pytest.mark.skipif(sys.platform == "win32", reason="links take rights there")


def book_of(path: Path) -> Book:
    file = SeasonFile.open(path, read_only=True)
    book = file.read()
    file.close()
    return book


def is_refused(source: Path, target: Path, *words: str) -> bool:
    before = target.read_bytes() if target.exists() else None
    with pytest.raises(FileRefusal) as refused:
        copy_season_file(source, target)
    assert (target.read_bytes() if target.exists() else None) == before
    return all(word in refused.value.message for word in words)


def test_a_copy_is_the_season_whole_and_for_its_owner(lived_in: Lived, tmp_path: Path) -> None:
    path, book = lived_in
    target = tmp_path / "copy.ripenroom"
    copy_season_file(path, target)
    assert book_of(target) == book
    assert verify(target) == []
    assert target.stat().st_mode & 0o077 == 0
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted([path.name, target.name])


def test_another_season_is_replaced_unless_it_is_open(lived_in: Lived, tmp_path: Path) -> None:
    path, book = lived_in
    other = tmp_path / "other.ripenroom"
    SeasonFile.create(other, book.season).close()
    open_one = SeasonFile.open(other)
    assert is_refused(path, other, "open elsewhere")
    open_one.close()
    copy_season_file(path, other)
    assert book_of(other) == book
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted([path.name, other.name])


@unix
@pytest.mark.parametrize("link", [os.symlink, os.link])
def test_a_season_is_not_copied_onto_itself(lived_in: Lived, tmp_path: Path, link: object) -> None:
    path, _ = lived_in
    other = tmp_path / "other.ripenroom"
    link(path, other)  # type: ignore[operator]
    assert is_refused(path, other, "the open season itself")
    assert is_refused(path, path, "the open season itself")


def test_nor_onto_what_a_season_is_made_of(lived_in: Lived, tmp_path: Path) -> None:
    path, _ = lived_in
    assert is_refused(path, path.with_name(f"{path.name}-journal"), "the journal or the lock")
    assert is_refused(path, path.with_name(f"{path.name}.lock"), "the journal or the lock")
    assert is_refused(path, path.with_name(path.name.upper()), "but for capital letters")
    assert is_refused(path, copies_folder() / "a.ripenroom", "that are kept")
    # What is left there of another season would be played back into the new one.
    (tmp_path / "gone.ripenroom-journal").write_bytes(b"half of a change")
    assert is_refused(path, tmp_path / "gone.ripenroom", "unfinished change")


def test_what_is_no_season_is_not_copied(tmp_path: Path) -> None:
    assert is_refused(tmp_path / "none.ripenroom", tmp_path / "copy.ripenroom", "none.ripenroom")


def test_a_copy_to_read_has_its_journal_and_goes_again(lived_in: Lived, tmp_path: Path) -> None:
    path, book = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("UPDATE batch SET note = 'half of a change, written out ' || note")
        connection.execute("DELETE FROM squeeze_check")
        with readable_copy(path) as copy:
            assert copy.with_name(f"{copy.name}-journal").exists()
            assert book_of_writable(copy) == book
        assert not copy.parent.exists()
        connection.execute("ROLLBACK")
    assert book_of(path) == book


def book_of_writable(path: Path) -> Book:
    file = SeasonFile.open(path)
    book = file.read()
    file.close()
    return book


def logged(path: Path, tmp_path: Path) -> Path:
    """The season after a program that keeps a write-ahead log changed it and was killed."""
    killed = tmp_path / "killed"
    killed.mkdir()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA wal_autocheckpoint = 0")
        connection.execute("UPDATE season SET name = 'Logged'")
        reseal(connection)
        for suffix in ("", "-wal"):
            shutil.copy(f"{path}{suffix}", killed / f"{path.name}{suffix}")
    return killed / path.name


def test_what_lies_in_a_write_ahead_log_is_read_too(lived_in: Lived, tmp_path: Path) -> None:
    path, book = lived_in
    killed = logged(path, tmp_path)
    before = {each.name: each.read_bytes() for each in killed.parent.iterdir()}
    assert before.keys() == {killed.name, f"{killed.name}-wal"}
    assert verify(killed) == []
    assert book_of(killed).season.name == "Logged"
    rescued = readable(killed, book.season)
    assert not rescued.lost
    assert rescued.book.season.name == "Logged"
    copy_season_file(killed, tmp_path / "copy.ripenroom")
    assert book_of(tmp_path / "copy.ripenroom").season.name == "Logged"
    assert {each.name: each.read_bytes() for each in killed.parent.iterdir()} == before


def test_a_link_where_a_log_belongs_is_not_followed(lived_in: Lived, tmp_path: Path) -> None:
    path, _ = lived_in
    (tmp_path / "other").write_bytes(b"somebody's")
    path.with_name(f"{path.name}-wal").symlink_to(tmp_path / "other")
    with pytest.raises(FileRefusal, match="which is no file, but a link"):
        book_of(path)
