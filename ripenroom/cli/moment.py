"""Dates and times as typed on the command line."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from ripenroom.records.limits import EARLIEST_YEAR, LATEST_YEAR
from ripenroom.records.refusal import Refusal


def parse_moment(text: str, zone: ZoneInfo, field: str, at_noon: bool = False) -> datetime:
    """An ISO 8601 date or time; without an offset it is read in ``zone``.

    A date alone is its first moment, or its noon. Raises ``Refusal`` naming ``field``.
    """
    try:
        if len(text) <= len("2026-09-14"):
            day = date.fromisoformat(text)
            moment = datetime.combine(day, time(12) if at_noon else time(0), zone)
        else:
            moment = datetime.fromisoformat(text)
    except ValueError:
        raise Refusal(
            field,
            "“{typed}” is no date; write it as 2026-09-14 or 2026-09-14T08:30.",
            typed=text,
        ) from None
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise Refusal(
            field,
            "“{typed}” is out of reach; the year must be from {earliest} to {latest}.",
            typed=text,
            earliest=EARLIEST_YEAR,
            latest=LATEST_YEAR,
        )
    return moment if moment.tzinfo else moment.replace(tzinfo=zone)
