"""Taking a thermometer's readings into a place, and out of it again."""

from datetime import UTC, datetime, timedelta

import numpy.typing as npt

from ripenroom.records.book import Book
from ripenroom.records.identity import new_id
from ripenroom.records.refusal import Refusal
from ripenroom.records.temperature_log import TemperatureLog
from ripenroom.records.temperature_series import (
    COLDEST_C,
    MOST_READINGS,
    WARMEST_C,
    Seconds,
    pack,
)
from ripenroom.season.changes.change import NamedChange
from ripenroom.season.changes.places import require_place

_LONGEST_NAME = 200
_AHEAD = timedelta(days=1)
"""A logger set to another zone may be some hours ahead; one that is days ahead is set wrong."""


def new_log(
    book: Book,
    place_id: str,
    name: str,
    probe: str,
    times_s: Seconds,
    celsius: npt.ArrayLike,
    now: datetime,
) -> TemperatureLog:
    """The record of a series (UTC s, increasing; C); refuses what cannot be or is there already."""
    place = require_place(book, place_id)
    try:
        series = pack(times_s, celsius)
    except ValueError:
        raise Refusal(
            "series",
            "These readings cannot be kept: times must increase, there may be {most} of them, and "
            "temperatures must be from {low:g} to {high:g} °C.",
            most=MOST_READINGS,
            low=COLDEST_C,
            high=WARMEST_C,
        ) from None
    starts_at, ends_at = (datetime.fromtimestamp(int(times_s[n]), UTC) for n in (0, -1))
    if ends_at > now + _AHEAD:
        raise Refusal(
            "series",
            "The readings go on to {ends:%Y-%m-%d %H:%M}, which lies ahead. Fix the order of the "
            "dates, or the logger’s clock.",
            ends=ends_at.astimezone(now.tzinfo),
        )
    log = TemperatureLog(
        id=new_id(),
        place_id=place_id,
        name=_line(name),
        probe=_line(probe),
        starts_at=starts_at,
        ends_at=ends_at,
        series=series,
    )
    if any(_same(log, other) for other in book.temperature_logs.values()):
        raise Refusal("series", "These very readings are in {place} already.", place=place.name)
    return log


def add_logs(book: Book, logs: "list[TemperatureLog]") -> NamedChange:
    """Take logs in; they count from then on wherever they have readings."""
    names = sorted({book.places[log.place_id].name for log in logs})
    return NamedChange(f"temperature log of {', '.join(names)}", tuple(logs))


def delete_log(book: Book, log_id: str) -> NamedChange:
    """Take a log out, so that the set point counts again."""
    log = book.temperature_logs.get(log_id)
    if log is None:
        raise Refusal("", "This temperature log is not in the season any more.")
    place = book.places[log.place_id].name
    return NamedChange(f"deletion of a temperature log of {place}", deleted=(log,))


def _same(log: TemperatureLog, other: TemperatureLog) -> bool:
    return (log.place_id, log.series) == (other.place_id, other.series)


def _line(text: str) -> str:
    """Text from a file as one short line that can be kept."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(plain.split())[:_LONGEST_NAME]
