"""The readings of a place's temperature logs, as the science takes them."""

from functools import lru_cache

from ripenroom.records.temperature_log import TemperatureLog
from ripenroom.records.temperature_series import unpack
from ripenroom.science.logged_air import Readings, together

_PLACES_KEPT = 64


@lru_cache(maxsize=_PLACES_KEPT)
def readings_of(logs: tuple[TemperatureLog, ...]) -> Readings | None:
    """One thinned line through the logs of a place; None where none of them can be read.

    Kept, because a set point that is dragged asks for the same readings again and again.
    """
    lines = [line for log in logs if (line := readings_of_log(log)) is not None]
    return together([line.thinned() for line in lines])


def readings_of_log(log: TemperatureLog) -> Readings | None:
    """All readings of one log; None where its bytes are damaged or are not ours."""
    try:
        times_s, celsius = unpack(log.series)
    except ValueError:
        return None
    return Readings(times_s / 3600.0, celsius)
