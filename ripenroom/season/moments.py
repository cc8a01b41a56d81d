"""Between aware datetimes and the hours that the science counts in.

Hours are counted in UTC from 1970-01-01 00:00, so a clock change is no jump in age.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta, tzinfo

import numpy as np
import numpy.typing as npt

CLOCK_SLACK = timedelta(minutes=10)
"""How far ahead a time may be and still count as now: two clocks seldom agree to the minute."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def to_hours(moment: datetime) -> float:
    """Hours since the epoch of an aware datetime.

    Raises ``ValueError`` for a naive one, which would silently mean this machine's zone.
    """
    if moment.tzinfo is None:
        raise ValueError("a moment needs a time zone")
    return (moment.astimezone(UTC) - _EPOCH) / timedelta(hours=1)


def from_hours(hours: float, zone: tzinfo) -> datetime:
    """The aware datetime in ``zone`` of hours since the epoch, to the nearest second."""
    return (_EPOCH + timedelta(seconds=round(hours * 3600))).astimezone(zone)


def column(moments: Iterable[datetime]) -> npt.NDArray[np.float64]:
    """:func:`to_hours` of each moment, as one array."""
    return np.fromiter((m.timestamp() for m in moments), dtype=np.float64) / 3600.0


def start_of_day(day: date, zone: tzinfo) -> datetime:
    """The first moment of a local day, aware."""
    return datetime.combine(day, time(0), tzinfo=zone)


def day_starts(first: date, days: int, zone: tzinfo) -> npt.NDArray[np.float64]:
    """Hours since the epoch at which each of ``days`` local days begins, shape (days,).

    On the day of a clock change neighbouring starts are 23 or 25 hours apart.
    """
    return np.array([to_hours(start_of_day(first + timedelta(days=n), zone)) for n in range(days)])
