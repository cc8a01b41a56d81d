"""Taking a thermometer's readings into a place, and out of it again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from ripenroom.records.identity import new_id
from ripenroom.records.place import TemperatureLog
from ripenroom.records.refusal import Refusal
from ripenroom.records.temperature_series import (
    COLDEST_C,
    MOST_READINGS,
    WARMEST_C,
    Celsius,
    Seconds,
    pack,
)
from ripenroom.season.actions.action import Action
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import require_place
from ripenroom.texts import tr

_LONGEST_NAME = 200
_AHEAD = timedelta(days=1)
"""A logger set to another zone may be some hours ahead; one that is days ahead is set wrong."""


@dataclass(frozen=True, slots=True)
class NewLog:
    """Readings of one probe on their way into a place: UTC seconds, increasing, and C."""

    place_id: str
    name: str
    probe: str
    times_s: Seconds
    celsius: Celsius


def _log(state: SeasonState, new: NewLog) -> TemperatureLog:
    """The record of a series; refuses what cannot be or is there already."""
    book, now = state.book, state.now
    place = require_place(book, new.place_id)
    try:
        series = pack(new.times_s, new.celsius)
    except ValueError:
        raise Refusal(
            "series",
            "These readings cannot be kept: times must increase, there may be {most} of them, and "
            "temperatures must be from {low:g} to {high:g} °C.",
            most=MOST_READINGS,
            low=COLDEST_C,
            high=WARMEST_C,
        ) from None
    starts_at, ends_at = (datetime.fromtimestamp(int(new.times_s[n]), UTC) for n in (0, -1))
    if ends_at > now + _AHEAD:
        raise Refusal(
            "series",
            "The readings end on {ends}, which is still to come. Fix the order"
            " of day and month, or the logger’s clock.",
            ends=ends_at.astimezone(now.tzinfo),
        )
    log = TemperatureLog(
        id=new_id(),
        place_id=new.place_id,
        name=_line(new.name),
        probe=_line(new.probe),
        starts_at=starts_at,
        ends_at=ends_at,
        series=series,
    )
    if any(_same(log, other) for other in book.temperature_logs.values()):
        raise Refusal("series", "{place} has these readings already.", place=place.name)
    return log


def add(
    state: SeasonState,
    place_id: str,
    name: str,
    probe: str,
    times_s: Seconds,
    celsius: Celsius,
) -> tuple[TemperatureLog, Action]:
    """Take in the readings of one probe (UTC s, increasing; C)."""
    (log,), action = add_all(state, [NewLog(place_id, name, probe, times_s, celsius)])
    return log, action


def add_all(state: SeasonState, new: Sequence[NewLog]) -> tuple[tuple[TemperatureLog, ...], Action]:
    """Take in the readings of several probes; all of them or none. They count from then on
    wherever they have readings."""
    logs = tuple(_log(state, one) for one in new)
    names = sorted({state.book.places[log.place_id].name for log in logs})
    return logs, Action(tr("temperature log of {names}").format(names=", ".join(names)), logs)


def delete(state: SeasonState, log_id: str) -> Action:
    """Take a log out, so that the set point counts again."""
    book = state.book
    log = book.temperature_logs.get(log_id)
    if log is None:
        raise Refusal("", "This temperature log is not in the season any more.")
    place = book.places[log.place_id].name
    return Action(
        tr("deletion of a temperature log of {place}").format(place=place), deleted=(log,)
    )


def _same(log: TemperatureLog, other: TemperatureLog) -> bool:
    return (log.place_id, log.series) == (other.place_id, other.series)


def _line(text: str) -> str:
    """Text from a file as one short line that can be kept."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(plain.split())[:_LONGEST_NAME]
