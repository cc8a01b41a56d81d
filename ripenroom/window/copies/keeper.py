"""Keeps copies of the open season by itself, one an hour while something changes."""

import hashlib
import os
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, QTimer

from ripenroom.paths import copies_folder
from ripenroom.records.book import Book, is_id
from ripenroom.season.copies import Backup, Backups
from ripenroom.season.season import FileRefusal
from ripenroom.texts import tr
from ripenroom.window.session import Session

_SOON_MS = 4_000
"""A copy follows this long after a change: not between two strokes of a pick that is entered."""


class CopyKeeper(QObject):
    """Keeps a copy when one is due and the season has changed since the latest.

    A practice season, and one that can only be read, is left alone. What cannot be written is said
    once, and tried again with the next change.
    """

    def __init__(self, session: Session, folder: Path | None = None) -> None:
        super().__init__(session)
        self._session = session
        season = session.season
        self.copies: Backups = season.copies.kept_in(folder or copies_folder())
        self._kept: Book | None = None
        self._warned = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.keep_if_due)
        self._opened_with = season.book
        if not season.practice and season.read_only_because is None:
            session.changed.connect(self._on_changed)

    def there(self) -> tuple[Backup, ...]:
        """The copies that are kept, the latest first."""
        return self.copies.there()

    def keep_if_due(self) -> None:
        """Keep a copy if an hour has passed since the latest, or a day has begun."""
        if self._is_new() and self.copies.is_due(self._session.season.now()):
            self._keep()

    def close(self) -> None:
        """Keep a last copy if anything has changed since the latest, or the file is gone."""
        self._soon.stop()
        season = self._session.season
        worth_it = self._is_new() or not season.file_is_here
        if not season.practice and season.read_only_because is None and worth_it:
            self._keep()

    def _on_changed(self) -> None:
        if self._is_new() and not self._soon.isActive():
            self._soon.start(_SOON_MS)

    def _is_new(self) -> bool:
        latest = self._kept if self._kept is not None else self._opened_with
        return self._session.season.book is not latest

    def _keep(self) -> None:
        season = self._session.season
        try:
            if season.file_is_here:
                self.copies.keep(season.path, season.now())
            else:
                self.copies.keep_book(season.book, season.now())
        except FileRefusal as refusal:
            if not self._warned:
                self._warned = True
                self._session.say(
                    tr("No copy of the season could be kept: {reason}").format(
                        reason=refusal.message
                    )
                )
            return
        self._kept = season.book
        self._warned = False


def remember(settings: QSettings, path: Path, season_id: str) -> None:
    """The file at ``path`` holds the season of that id."""
    settings.setValue(_key(path), season_id)


def folder_of(settings: QSettings, path: Path) -> Path | None:
    """Where copies of the season that was in a file are kept, if it was ever open."""
    season_id = str(settings.value(_key(path), ""))
    return copies_folder() / season_id if is_id(season_id) else None


def _key(path: Path) -> str:
    # Slashes would make groups of groups in the settings file.
    return f"seasons/{hashlib.sha256(os.path.realpath(path).encode()).hexdigest()[:32]}"


_MARK = "conflict"
"""What sync programs put into such names, in English and in several other languages."""


def put_aside(path: Path) -> list[Path]:
    """Files beside a season file that look like a copy of it put aside, by their names."""
    stem = path.stem.casefold()
    try:
        beside = sorted(path.parent.iterdir())
    except OSError:
        return []
    return [
        other
        for other in beside
        if other != path
        and other.suffix == path.suffix
        and _MARK in other.name.casefold()
        and other.name.casefold().startswith(stem[: max(3, len(stem) // 2)])
    ]
