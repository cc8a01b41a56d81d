"""The home time zone of a season."""

from pathlib import Path
from zoneinfo import ZoneInfo

from ripenroom.records.file import FileRefusal
from ripenroom.records.season import Season


def zone_of(season: Season) -> ZoneInfo:
    """The zone in which the season's days begin and end."""
    return ZoneInfo(season.zone)


def require_known_zone(season: Season, path: Path) -> None:
    """Raise :class:`FileRefusal` for a season file that names a zone this computer lacks."""
    try:
        zone_of(season)
    except (KeyError, ValueError, OSError) as error:  # unknown, or no name of a zone at all
        raise FileRefusal(
            "damaged",
            f"{path.name} names the time zone “{season.zone}”, which is not known here. "
            "Update ripenroom, then open it again.",
        ) from error
