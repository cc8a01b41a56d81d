"""The home time zone of a season."""

from zoneinfo import ZoneInfo

from ripenroom.records.season import Season


def zone_of(season: Season) -> ZoneInfo:
    """The zone in which the season's days begin and end."""
    return ZoneInfo(season.zone)
