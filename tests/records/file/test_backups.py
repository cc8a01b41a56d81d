"""Copies kept by themselves: when, which stay, and that none is ever half there."""

import os
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from ripenroom.private_file import unfinished_beside
from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, verify
from ripenroom.records.file.backups import DAYS_KEPT, Backups, book_in

HOME = ZoneInfo("Europe/Lisbon")  # an hour ahead of UTC in summer
NOON = datetime(2026, 9, 14, 11, tzinfo=UTC)


@pytest.fixture
def backups(tmp_path: Path) -> Backups:
    return Backups(tmp_path / "kept" / "season", HOME)


def test_without_any_copy_one_is_due(backups: Backups) -> None:
    assert backups.there() == ()
    assert backups.is_due(NOON)


def test_a_copy_holds_what_the_season_held(backups: Backups, lived_in: tuple[Path, Book]) -> None:
    path, book = lived_in
    kept = backups.keep(path, NOON)
    assert kept.path.name == "2026-09-14 110000Z.ripenroom"
    assert kept.path.stat().st_mode & 0o077 == 0
    assert verify(kept.path) == []
    assert book_in(kept.path) == book
    assert backups.there() == (kept,)
    assert [p.name for p in backups.folder.iterdir()] == [kept.path.name]


def test_the_next_is_due_in_the_next_hour_or_on_the_next_day(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    backups.keep(lived_in[0], NOON + timedelta(minutes=20))
    assert not backups.is_due(NOON + timedelta(minutes=59))
    assert backups.is_due(NOON + timedelta(minutes=60))
    assert backups.is_due(NOON + timedelta(days=1))


def test_of_today_one_an_hour_stays_and_of_days_before_one_a_day(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    path = lived_in[0]
    begun = datetime(2026, 8, 1, 22, 30, tzinfo=UTC)  # half past eleven at home
    for half_hours in range(2 * 24 * 50):
        if half_hours % 7 == 0 or half_hours > 2 * 24 * 49:
            backups.keep(path, begun + timedelta(minutes=30 * half_hours))
    at = [backup.at.astimezone(HOME) for backup in backups.there()]
    today = at[0].date()
    hours = [moment.hour for moment in at if moment.date() == today]
    assert hours == list(range(at[0].hour, -1, -1))
    days = [moment.date() for moment in at if moment.date() != today]
    assert days == [today - timedelta(days=n) for n in range(1, DAYS_KEPT)]


def test_the_only_copy_stays_however_old_it_is(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    old = backups.keep(lived_in[0], NOON)
    with pytest.raises(FileRefusal):
        backups.keep(lived_in[0].with_name("gone.ripenroom"), NOON + timedelta(days=200))
    assert backups.there() == (old,)
    assert [p.name for p in backups.folder.iterdir()] == [old.path.name]


def test_a_clock_that_was_set_back_neither_stops_copies_nor_clears_any_away(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    ahead = backups.keep(lived_in[0], NOON + timedelta(days=3))
    assert backups.is_due(NOON)
    back = backups.keep(lived_in[0], NOON)
    assert backups.there() == (ahead, back)


def test_what_else_lies_in_the_folder_is_left_alone(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    backups.folder.mkdir(parents=True)
    mine = [backups.folder / name for name in ("notes.txt", "2026-99-99 110000Z.ripenroom")]
    for path in mine:
        path.write_text("mine")
    for hours in range(30):
        backups.keep(lived_in[0], NOON + timedelta(hours=hours))
    assert all(path.read_text() == "mine" for path in mine)
    assert len(backups.there()) < 30


def test_a_folder_that_cannot_be_made_is_refused_in_words(
    tmp_path: Path, lived_in: tuple[Path, Book]
) -> None:
    (tmp_path / "kept").write_text("a file where the folder should be")
    with pytest.raises(FileRefusal):
        Backups(tmp_path / "kept" / "season", HOME).keep(lived_in[0], NOON)


def test_a_copy_that_is_damaged_is_refused(backups: Backups, lived_in: tuple[Path, Book]) -> None:
    kept = backups.keep(lived_in[0], NOON)
    kept.path.write_bytes(kept.path.read_bytes()[:5000])
    with pytest.raises(FileRefusal):
        book_in(kept.path)


def test_what_a_kill_left_is_cleared_away_a_day_later_and_nothing_else(
    backups: Backups, lived_in: tuple[Path, Book]
) -> None:
    backups.folder.mkdir(parents=True)
    unfinished = unfinished_beside(backups.folder / "any").name
    ours = (unfinished, f"{unfinished_beside(Path('any')).name}-journal")
    others = (
        *(unfinished[1:], f"{unfinished}.txt", f".{'0' * 32}.part", ".notes.part"),
        "a note.txt",
    )
    young = unfinished_beside(backups.folder / "any").name
    folder = unfinished_beside(backups.folder / "any").name
    long_ago = time.time() - 86_500
    for name in (*ours, *others, young):
        (backups.folder / name).write_text("half")
        if name != young:
            os.utime(backups.folder / name, (long_ago, long_ago))
    (backups.folder / folder).mkdir()
    os.utime(backups.folder / folder, (long_ago, long_ago))
    kept = backups.keep(lived_in[0], NOON)
    left = {entry.name for entry in backups.folder.iterdir()}
    assert left == {*others, young, folder, kept.path.name}
