"""The home time zone of a season."""

from zoneinfo import ZoneInfo

from ripenroom.records.season import SeasonDetails


def zone_of(season: SeasonDetails) -> ZoneInfo:
    """The zone in which the season's days begin and end."""
    return ZoneInfo(season.zone)
