"""Market days and pulls as an iCalendar file (RFC 5545) that any calendar takes in.

Every event keeps its UID from one file to the next, so taking in a newer file changes events
instead of doubling them (section 3.8.4.7); SEQUENCE and DTSTAMP tell which is newer (3.8.7.4).
Times are in UTC: no time zone table is needed, and each calendar shows its own local time.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.private_file import private_file
from ripenroom.records.crop.crop_names import called
from ripenroom.records.market import MarketDay
from ripenroom.season.plans.plan import Plan
from ripenroom.season.season import Season
from ripenroom.texts import tr, tr_n

if TYPE_CHECKING:
    from icalendar import Calendar

MARKET_HOURS = 4
"""How long a market day is shown; records only say when it begins (common practice, no source)."""

_PULL_MINUTES = 30
_WARN_OF_MARKET = timedelta(hours=14)
"""The evening before, when crates are packed."""

_EPOCH = datetime(2020, 1, 1, tzinfo=UTC)


def write_calendar(season: Season, plan: Plan | None, path: Path) -> int:
    """Write what lies ahead of the season's now; how many events there are."""
    calendar = season_calendar(season, plan)
    put_calendar(calendar, path)
    return len(calendar.events)


def put_calendar(calendar: "Calendar", path: Path) -> None:
    """Write a calendar to a file."""
    with private_file(path) as unfinished:
        unfinished.write_bytes(calendar.to_ical())


def season_calendar(season: Season, plan: Plan | None) -> "Calendar":
    """Market days, moves that are written down for later, and the plan's pulls if it is given."""
    from icalendar import Alarm, Calendar, Event

    now = season.now()
    calendar = Calendar()
    calendar.add("prodid", "-//ripenroom//season calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", season.book.season.name)
    for entry in _entries(season, plan):
        event = Event()
        event.add("uid", f"{entry.uid}@ripenroom")
        event.add("summary", entry.summary)
        event.add("dtstart", entry.starts_at.astimezone(UTC))
        event.add("dtend", (entry.starts_at + entry.lasts).astimezone(UTC))
        event.add("dtstamp", now.astimezone(UTC))
        event.add("sequence", max(0, int((now - _EPOCH).total_seconds() // 60)))
        if entry.about:
            event.add("description", entry.about)
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", entry.warning)
        alarm.add("trigger", -entry.warn_before)
        event.add_component(alarm)
        calendar.add_component(event)
    return calendar


@dataclass(frozen=True, slots=True)
class _Entry:
    uid: str
    starts_at: datetime
    lasts: timedelta
    summary: str
    about: str
    warning: str
    warn_before: timedelta


def _entries(season: Season, plan: Plan | None) -> Iterator[_Entry]:
    yield from _market_days(season)
    yield from _moves_ahead(season)
    if plan is not None:
        yield from _planned(season, plan)


def _market_days(season: Season) -> Iterator[_Entry]:
    days = (d for d in season.book.market_days.values() if d.starts_at > season.now())
    for day in sorted(days, key=lambda d: (d.starts_at, d.id)):
        yield _Entry(
            uid=f"market-{day.id}",
            starts_at=day.starts_at,
            lasts=timedelta(hours=MARKET_HOURS),
            summary=day.name,
            about="\n".join(filter(None, (_wants(season, day), day.note))),
            warning=tr("Pack for {market}").format(market=day.name),
            warn_before=_WARN_OF_MARKET,
        )


def _wants(season: Season, day: MarketDay) -> str:
    wants = sorted(
        (w for w in season.book.wants.values() if w.market_day_id == day.id), key=lambda w: w.crop
    )
    names: Mapping[str, str] = {key: called(crop) for key, crop in season.crops.items()}
    return "\n".join(
        tr("{count} {crop}").format(count=want.count, crop=names.get(want.crop, want.crop))
        for want in wants
    )


def _moves_ahead(season: Season) -> Iterator[_Entry]:
    book = season.book
    moves = (move for move in book.moves.values() if move.at > season.now())
    for move in sorted(moves, key=lambda m: (m.at, m.id)):
        text = tr("Move {batches} to {place}").format(
            batches=book.batches[move.batch_id].code, place=book.places[move.place_id].name
        )
        yield _pull(f"move-{move.id}", move.at, text)


def _planned(season: Season, plan: Plan) -> Iterator[_Entry]:
    """The plan's pulls, one for each batch and place: days may change, the event stays.

    Of a plan that was made before a change, what is gone since is left out.
    """
    book = season.book
    written = {(move.batch_id, move.at) for move in book.moves.values()}
    crates: dict[tuple[str, str], dict[datetime, int]] = {}
    for line in plan.lines:
        if line.batch_id not in book.batches:
            continue
        for step in line.steps:
            if step.place_id in book.places and (line.batch_id, step.at) not in written:
                pulls_of = crates.setdefault((line.batch_id, step.place_id), {})
                pulls_of[step.at] = pulls_of.get(step.at, 0) + line.crates
    for (batch_id, place_id), pulls in sorted(crates.items()):
        for number, (at, count) in enumerate(sorted(pulls.items())):
            text = tr_n(
                "Planned: move {n} crate of {batches} to {place}",
                "Planned: move {n} crates of {batches} to {place}",
                count,
            ).format(batches=book.batches[batch_id].code, place=book.places[place_id].name)
            yield _pull(f"plan-{batch_id}-{place_id}-{number}", at, text)


def _pull(uid: str, at: datetime, text: str) -> _Entry:
    return _Entry(
        uid, at, timedelta(minutes=_PULL_MINUTES), text, "", text, timedelta(minutes=_PULL_MINUTES)
    )
