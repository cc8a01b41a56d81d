"""Profiles as files: one is read into the season, or written out of it."""

from pathlib import Path

from PySide6.QtCore import QCoreApplication

from ripenroom.private_file import private_file, with_ending
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import profile_text
from ripenroom.records.refusal import refused_by_system
from ripenroom.season import actions
from ripenroom.season.season import Season

SUFFIX = ".toml"


def file_filter() -> str:
    """The filter of file dialogs."""
    return QCoreApplication.translate("CropFiles", "Crop profiles (*{suffix})").format(
        suffix=SUFFIX
    )


def import_crop(season: Season, path: Path) -> CropProfile:
    """Take a profile file into the season; raises ``Refusal`` with file, key and reason."""
    text = profile_text(path)
    try:
        return season.do(actions.crops.save, text)
    except ProfileRefusal as refusal:
        raise ProfileRefusal(path, refusal.key, refusal.reason) from None


def export_crop(season: Season, key: str, path: Path) -> Path:
    """Write a crop's profile to a file, whole or not at all; where it is. Raises ``Refusal``."""
    path = with_ending(path, SUFFIX)
    try:
        with private_file(path) as unfinished:
            unfinished.write_text(season.crop_text(key), "utf-8")
    except OSError as error:
        raise refused_by_system(str(path), error) from error
    return path
