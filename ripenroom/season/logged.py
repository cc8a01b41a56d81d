"""The readings of a place's temperature logs, as the science takes them."""

from functools import lru_cache

from ripenroom.records.temperature_log import TemperatureLog
from ripenroom.records.temperature_series import unpack
from ripenroom.science.logged_air import Readings, together

_PLACES_KEPT = 64


@lru_cache(maxsize=_PLACES_KEPT)
def readings_of(logs: tuple[TemperatureLog, ...]) -> Readings | None:
    """One thinned line through the logs of a place; None without any.

    Kept, because a set point that is dragged asks for the same readings again and again.
    """
    return together([readings_of_log(log).thinned() for log in logs])


def readings_of_log(log: TemperatureLog) -> Readings:
    """All readings of one log."""
    times_s, celsius = unpack(log.series)
    return Readings(times_s / 3600.0, celsius)
