"""The days of a market that is held every week, and their moments on the local clock."""

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

from ripenroom.records.refusal import Refusal

MOST_WEEKS: Final = 60
"""More than a year of markets in one step is a slip of the keyboard."""


def weekly(first: date, until: date) -> list[date]:
    """``first`` and every seventh day after it, up to and with ``until``.

    Raises ``Refusal`` for field ``"until"`` where that is before the first day or too far off.
    """
    weeks = (until - first).days // 7
    if until < first:
        raise Refusal(
            "until", "The last week lies before the first market day. Choose a later day."
        )
    if weeks >= MOST_WEEKS:
        raise Refusal(
            "until",
            "That would be {count} market days. Choose a last day within {most} weeks.",
            count=weeks + 1,
            most=MOST_WEEKS,
        )
    return [first + timedelta(weeks=n) for n in range(weeks + 1)]


def at_local(day: date, clock: time, zone: tzinfo) -> datetime:
    """The moment (UTC) of a clock time on a local day: 8:00 stays 8:00 across a clock change."""
    return datetime.combine(day, clock, tzinfo=zone).astimezone(UTC)
