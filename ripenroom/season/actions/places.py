"""Actions on places where fruit waits: the places, their thermostats, and logs of thermometers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.refusal import Refusal
from ripenroom.records.temperature_series import (
    COLDEST_C,
    MOST_READINGS,
    WARMEST_C,
    Celsius,
    Seconds,
    pack,
)
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import (
    Action,
    require_free_name,
    temperature_label,
    tidy,
)
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.season.whereabouts import require_place
from ripenroom.texts import tr, tr_n


def new_set_point(place_id: str, at: datetime, celsius: float) -> SetPointChange:
    """A place held at ``celsius`` (C) from ``at`` on; refuse what no fruit is kept at."""
    return checked(SetPointChange(id=new_id(), place_id=place_id, at=at, set_point_c=celsius))


def save(state: SeasonState, place: Place, set_point_c: float | None = None) -> Action:
    """Make a place (a new one needs a set point, C) or change one; the set point that is given for
    one counts from now on."""
    book = state.book
    is_new = place.id not in book.places
    place = tidy(place)
    others = (p.name for p in book.places.values() if p.id != place.id)
    require_free_name(place.name, others, tr("place"))
    put: list[Record] = [place]
    if is_new:
        if set_point_c is None:
            raise Refusal("set_point_c", "What temperature is the new place kept at?")
        first = start_of_day(book.season.first_day, zone_of(book.season))
        put.append(new_set_point(place.id, first, set_point_c))
    label = tr("new place {what}") if is_new else tr("change of {what}")
    change = Action(label.format(what=place.name), tuple(put))
    if is_new or set_point_c is None:
        return change
    turned = set_set_point(state, place.id, set_point_c)
    return replace(change, put=(*put, *turned.put), deleted=turned.deleted)


def delete(state: SeasonState, place_id: str) -> Action:
    """Delete a place in which no batch has ever waited, and that nothing else names."""
    book = state.book
    place = require_place(book, place_id)
    used = len({m.batch_id for m in book.moves.values() if m.place_id == place_id})
    if used:
        text = tr_n(
            "{name}: {n} batch waits or waited there, so it stays. Rename it instead.",
            "{name}: {n} batches wait or waited there, so it stays. Rename it instead.",
            used,
        )
        raise Refusal("", text, name=place.name)
    _require_not_named(book, place)
    set_points = [s for s in book.set_points.values() if s.place_id == place_id]
    return Action(tr("deletion of {place}").format(place=place.name), deleted=(*set_points, place))


def _require_not_named(book: Book, place: Place) -> None:
    """Refuse to delete a place that something still to come, or a thermometer, tells of."""
    if any(pin.place_id == place.id for pin in book.pins.values()):
        raise Refusal(
            "", "Crates are pinned to go to {name}; take the pin off first.", name=place.name
        )
    if any(pick.place_id == place.id for pick in book.expected_picks.values()):
        raise Refusal(
            "",
            "A pick is expected to go to {name}; edit or delete the expected pick first.",
            name=place.name,
        )
    if any(log.place_id == place.id for log in book.temperature_logs.values()):
        raise Refusal(
            "",
            "{name} has temperature logs; delete them first.",
            name=place.name,
        )


def set_set_point(
    state: SeasonState, place_id: str, celsius: float, at: datetime | None = None
) -> Action:
    """Turn a place's thermostat from ``at`` (now) on; later turns on record are dropped."""
    book = state.book
    at = (at or state.now).replace(microsecond=0)
    place = require_place(book, place_id)
    change = new_set_point(place_id, at, celsius)
    later = [s for s in book.set_points.values() if s.place_id == place_id and s.at >= at]
    label = tr("{place} set to {temperature}").format(
        place=place.name, temperature=temperature_label(book, celsius)
    )
    return Action(label, (change,), tuple(later))


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
    if any(_same_log(log, other) for other in book.temperature_logs.values()):
        raise Refusal("series", "{place} has these readings already.", place=place.name)
    return log


def add_log(
    state: SeasonState,
    place_id: str,
    name: str,
    probe: str,
    times_s: Seconds,
    celsius: Celsius,
) -> tuple[TemperatureLog, Action]:
    """Take in the readings of one probe (UTC s, increasing; C)."""
    (log,), action = add_logs(state, [NewLog(place_id, name, probe, times_s, celsius)])
    return log, action


def add_logs(
    state: SeasonState, new: Sequence[NewLog]
) -> tuple[tuple[TemperatureLog, ...], Action]:
    """Take in the readings of several probes; all of them or none. They count from then on
    wherever they have readings."""
    logs = tuple(_log(state, one) for one in new)
    names = sorted({state.book.places[log.place_id].name for log in logs})
    return logs, Action(tr("temperature log of {names}").format(names=", ".join(names)), logs)


def delete_log(state: SeasonState, log_id: str) -> Action:
    """Take a log out, so that the set point counts again."""
    book = state.book
    log = book.temperature_logs.get(log_id)
    if log is None:
        raise Refusal("", "This temperature log is not in the season any more.")
    place = book.places[log.place_id].name
    return Action(
        tr("deletion of a temperature log of {place}").format(place=place), deleted=(log,)
    )


def _same_log(log: TemperatureLog, other: TemperatureLog) -> bool:
    return (log.place_id, log.series) == (other.place_id, other.series)


def _line(text: str) -> str:
    """Text from a file as one short line that can be kept."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(plain.split())[:_LONGEST_NAME]
