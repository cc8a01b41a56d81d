"""A damaged season file becomes a new one that holds what can still be read."""

from datetime import date
from pathlib import Path

from ripenroom.records.book import new_id
from ripenroom.records.file.rescue import Rescued, rescue
from ripenroom.records.season import SeasonDetails

__all__ = ["Rescued", "rescue_season"]


def rescue_season(path: Path, target: Path, zone: str, first_day: date) -> Rescued:
    """Write what can be read of a damaged season file to ``target``, never over another file.

    Where the season's own record is lost, a new one takes its place, with the file's name, the
    home ``zone`` (IANA) and ``first_day``. Raises ``FileRefusal`` if nothing can be read.
    """
    instead = SeasonDetails(
        id=new_id(),
        name=path.stem,
        zone=zone,
        first_day=first_day,
        units="metric",
        currency="EUR",
    )
    return rescue(path, target, instead)
