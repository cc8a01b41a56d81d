"""Copies of a season that are kept by themselves: one an hour of today, one a day of a month.

They lie in a folder of their own for each season, away from the season file: a folder that is
deleted, or a sync program that goes wrong, does not take them with it.
"""

import os
import re
import shutil
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from pathlib import Path

from ripenroom.private_file import is_unfinished, whole_or_not
from ripenroom.records.book import Book, is_id
from ripenroom.records.file.copying import readable_copy
from ripenroom.records.file.opening import make_file
from ripenroom.records.file.refusal import refusing
from ripenroom.records.file.season_file import EXTENSION, SeasonFile

DAYS_KEPT = 31
"""So many days are looked back on, one copy each."""

_LEFT_S = 86_400.0
"""No copy takes so long to be written."""

_NAME = re.compile(r"(\d{4})-(\d\d)-(\d\d) (\d\d)(\d\d)(\d\d)Z" + re.escape(EXTENSION))


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy of a season as it was ``at`` (UTC)."""

    path: Path
    at: datetime


def folder_of_season(folder: Path, season_id: str) -> Path:
    """Where below ``folder`` the copies of a season lie; ``ValueError`` for an id that is none."""
    if not is_id(season_id):
        raise ValueError("the id of a season is a UUID")
    return folder / season_id


class Backups:
    """The copies of one season in ``folder``, which is made when the first is kept.

    ``zone`` is where days begin and end.
    """

    def __init__(self, folder: Path, zone: tzinfo) -> None:
        self.folder = folder
        self._zone = zone

    def there(self) -> tuple[Backup, ...]:
        """All copies, the latest first; what else lies in the folder is left alone."""
        try:
            names = [entry.name for entry in os.scandir(self.folder) if entry.is_file()]
        except OSError:
            return ()
        found = []
        for name in names:
            match = _NAME.fullmatch(name)
            if match:
                try:
                    at = datetime(*map(int, match.groups()), tzinfo=UTC)  # type: ignore[misc,arg-type]
                except ValueError:
                    continue
                found.append(Backup(self.folder / name, at))
        return tuple(sorted(found, key=lambda backup: backup.at, reverse=True))

    def keep(self, season_path: Path, at: datetime) -> Backup:
        """Copy a season file as it is now, and clear away copies that are too many.

        Between two actions a season file is whole by itself, so a plain copy is enough; it is
        there whole or not at all. Raises :class:`FileRefusal` where it cannot be written.
        """
        return self._put(at, lambda unfinished: shutil.copyfile(season_path, unfinished))

    def keep_book(self, book: Book, at: datetime) -> Backup:
        """Keep a copy of a season whose file is gone, from what was read of it."""

        def write(unfinished: Path) -> None:
            unfinished.unlink()  # a season file is only made where there is nothing
            make_file(unfinished, (book.season, *book.records()))

        return self._put(at, write)

    def _put(self, at: datetime, write: Callable[[Path], object]) -> Backup:
        at = at.astimezone(UTC).replace(microsecond=0)
        target = self.folder / f"{at:%Y-%m-%d %H%M%S}Z{EXTENSION}"
        with refusing(target):
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with whole_or_not(target) as unfinished:
                write(unfinished)
            self._clear_away(at)
            self._clear_leavings(target)
        return Backup(target, at)

    def is_due(self, at: datetime) -> bool:
        """Whether an hour has passed since the latest copy, or a new day has begun.

        A clock that was set back makes one due, too: what lies ahead tells nothing.
        """
        latest = next((b for b in self.there() if b.at <= at), None)
        return latest is None or self._slot(latest.at, at) != self._slot(at, at)

    def _clear_away(self, now: datetime) -> None:
        there = self.there()
        kept = set(self._worth_keeping(there, now))
        for backup in there:
            if backup not in kept and backup.at <= now:
                backup.path.unlink(missing_ok=True)

    def _clear_leavings(self, latest: Path) -> None:
        """Clear away what a kill left amid a copy, a day before the latest: none is still made."""
        with suppress(OSError):  # the copy itself is there
            written_s = latest.stat().st_mtime  # by the same clock, whosever disk it is
            for entry in list(os.scandir(self.folder)):
                if not is_unfinished(entry.name) or not entry.is_file(follow_symlinks=False):
                    continue
                if written_s - entry.stat(follow_symlinks=False).st_mtime > _LEFT_S:
                    Path(entry).unlink(missing_ok=True)

    def _worth_keeping(self, backups: Sequence[Backup], now: datetime) -> Sequence[Backup]:
        """The latest of each slot. Of the oldest, none is cleared away unless a later one stays."""
        slots: dict[object, Backup] = {}
        for backup in backups:  # the latest first
            slots.setdefault(self._slot(backup.at, now), backup)
        recent = [
            b for b in slots.values() if b.at.astimezone(self._zone).date() > self._oldest(now)
        ]
        return recent or backups[:1]

    def _oldest(self, now: datetime) -> date:
        return now.astimezone(self._zone).date() - timedelta(days=DAYS_KEPT)

    def _slot(self, at: datetime, now: datetime) -> tuple[object, ...]:
        """Of what stretch of time a copy is the only one: an hour of today, else a day."""
        local, today = at.astimezone(self._zone), now.astimezone(self._zone).date()
        return (
            (local.date(), local.utcoffset(), local.hour)
            if local.date() == today
            else (local.date(),)
        )


def book_in(backup: Path) -> Book:
    """The records of a copy, read through a copy of its own: it may be older, or half changed.

    Raises :class:`FileRefusal` if it cannot be read.
    """
    with readable_copy(backup) as copy:
        file = SeasonFile.open(copy)
        try:
            return file.read()
        finally:
            file.close()
