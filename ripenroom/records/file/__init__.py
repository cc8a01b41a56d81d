"""The season file: one SQLite file, saved at every action, with undo that outlives a restart."""

from ripenroom.records.file.action import Change
from ripenroom.records.file.refusal import FileRefusal
from ripenroom.records.file.season_file import EXTENSION, SeasonFile
from ripenroom.records.file.verify import verify

__all__ = ["EXTENSION", "Change", "FileRefusal", "SeasonFile", "verify"]
