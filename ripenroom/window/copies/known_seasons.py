"""Remembers which season was in which file, for the day when the file cannot be read."""

import hashlib
import os
from pathlib import Path

from PySide6.QtCore import QSettings

from ripenroom.paths import copies_folder
from ripenroom.records.identity import is_id


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
