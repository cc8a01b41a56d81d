"""Between aware datetimes, the hours that the science counts in, and the days of a farm.

Hours are counted in UTC from 1970-01-01 00:00, so a clock change is no jump in age. Days, evenings
and the clock of a market are local.
"""

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

import numpy as np
import numpy.typing as npt

from ripenroom.records.refusal import Refusal

EVENING: Final = time(18)
"""When the day's picking and selling is done, by local time: moves of a day are made by then, and
plans are looked back at as on then (common practice, no source)."""

MOST_WEEKS: Final = 60
"""More than a year of markets in one step is a slip of the keyboard."""

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


def local_day(moment: datetime, zone: tzinfo) -> date:
    """The day at home in which a moment lies."""
    return moment.astimezone(zone).date()


def local_day_numbers(hours: npt.NDArray[np.float64], zone: tzinfo) -> npt.NDArray[np.float64]:
    """The ordinal (days since the year 1) of each hour's day at home; ``nan`` where there is none.

    To the nearest second, as :func:`from_hours` has it.
    """
    seconds = np.where(np.isfinite(hours), np.round(hours * 3600.0), np.nan)
    if not np.isfinite(seconds).any():
        return seconds
    ends = (float(np.nanmin(seconds)) / 3600.0, float(np.nanmax(seconds)) / 3600.0)
    first, last = (from_hours(hour, zone).date() for hour in ends)
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    starts_s = column(start_of_day(day, zone) for day in days) * 3600.0
    numbers = np.searchsorted(np.round(starts_s), seconds, side="right") + first.toordinal() - 1.0
    return np.where(np.isfinite(seconds), numbers, np.nan)


def at_local(day: date, clock: time, zone: tzinfo) -> datetime:
    """The moment (UTC) of a clock time on a local day: 8:00 stays 8:00 across a clock change."""
    return datetime.combine(day, clock, tzinfo=zone).astimezone(UTC)


def evening_of(day: date, zone: tzinfo) -> datetime:
    """The evening of a local day, in its zone."""
    return datetime.combine(day, EVENING, tzinfo=zone)


def selling_ends(starts_at: datetime, zone: tzinfo) -> datetime:
    """When a market day that begins then is over, as far as anyone can tell: in the evening, and
    one that begins in the evening with its local day."""
    day = local_day(starts_at, zone)
    evening = evening_of(day, zone)
    return evening if starts_at < evening else start_of_day(day + timedelta(days=1), zone)


def evenings_between(now: datetime, end: datetime, zone: tzinfo) -> Iterator[datetime]:
    """Every evening after ``now`` and before ``end``: when moves can be made."""
    first = local_day(now, zone)
    for n in range((local_day(end, zone) - first).days + 1):
        evening = evening_of(first + timedelta(days=n), zone)
        if now < evening < end:
            yield evening


def weekly(first: date, until: date) -> list[date]:
    """``first`` and every seventh day after it, up to and with ``until``.

    Raises ``Refusal`` for field ``"until"`` where that is before the first day or too far off.
    """
    weeks = (until - first).days // 7
    if until < first:
        raise Refusal("until", "The last week is before the first market day. Choose a later day.")
    if weeks >= MOST_WEEKS:
        raise Refusal(
            "until",
            "That would be {count} market days. Choose a last day within {most} weeks.",
            count=weeks + 1,
            most=MOST_WEEKS,
        )
    return [first + timedelta(weeks=n) for n in range(weeks + 1)]


def start_of_day(day: date, zone: tzinfo) -> datetime:
    """The first moment of a local day, aware."""
    return datetime.combine(day, time(0), tzinfo=zone)


def day_starts(first: date, days: int, zone: tzinfo) -> npt.NDArray[np.float64]:
    """Hours since the epoch at which each of ``days`` local days begins, shape (days,).

    On the day of a clock change neighbouring starts are 23 or 25 hours apart.
    """
    return np.array([to_hours(start_of_day(first + timedelta(days=n), zone)) for n in range(days)])
