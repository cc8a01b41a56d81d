"""The calendar file, read back by the library that calendars use and checked against RFC 5545."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from shutil import copyfile

import pytest
from icalendar import Calendar

from ripenroom.exchange.calendar_file import season_calendar, write_calendar
from ripenroom.records.market import MarketDay, Want
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import season_record
from tests.worked_out import plan_of


@pytest.fixture
def season(written_practice: Path, tmp_path: Path) -> Season:
    return Season.open(Path(copyfile(written_practice, tmp_path / "demo.ripenroom")))


def test_all_market_days_and_pulls_ahead_are_there(season: Season, tmp_path: Path) -> None:
    plan = plan_of(season)
    count = write_calendar(season, plan, tmp_path / "ahead.ics")
    content = (tmp_path / "ahead.ics").read_bytes()
    calendar = Calendar.from_ical(content)
    events = calendar.events
    assert len(events) == count
    days = [d for d in season.book.market_days.values() if d.starts_at > season.now()]
    named = {(str(e["summary"]), e.decoded("dtstart")) for e in events}
    assert {(d.name, d.starts_at) for d in days} <= named
    moves = [m for m in season.book.moves.values() if m.at > season.now()]
    assert {m.at for m in moves} <= {e.decoded("dtstart") for e in events}
    pulls = {(x.batch_id, step) for x in plan.lines if x.batch_id for step in x.steps}
    assert len(events) >= len(days) + len(pulls)
    # RFC 5545, section 3.1: lines end in CRLF and have at most 75 octets.
    lines = content.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and b"\n" not in line for line in lines)
    # Section 3.6.1: UID and DTSTAMP are required; each UID occurs once.
    assert len({str(e["uid"]) for e in events}) == len(events)
    assert all("DTSTAMP" in e and e.decoded("dtend") > e.decoded("dtstart") for e in events)
    # Section 3.6.6: a display alarm has an action, a trigger and a description.
    alarms = [e.walk("VALARM") for e in events]
    assert all(len(own) == 1 for own in alarms)
    assert all({"ACTION", "TRIGGER", "DESCRIPTION"} <= set(own[0]) for own in alarms)
    assert all(own[0].decoded("trigger") < timedelta(0) for own in alarms)
    season.close()


def test_a_later_file_changes_the_same_events(season: Season) -> None:
    first = {str(e["uid"]): e for e in season_calendar(season, None).events}
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    wants = [w for w in season.book.wants.values() if w.market_day_id == day.id]
    season.do(
        actions.ahead.save_market_day,
        replace(day, starts_at=day.starts_at + timedelta(hours=1)),
        wants,
    )
    season.read_as_on(season.now() + timedelta(minutes=5))
    second = {str(e["uid"]): e for e in season_calendar(season, None).events}
    uid = f"market-{day.id}@ripenroom"
    assert second.keys() == first.keys()
    assert second[uid].decoded("dtstart") - first[uid].decoded("dtstart") == timedelta(hours=1)
    assert second[uid].sequence > first[uid].sequence
    season.close()


def test_what_is_gone_since_the_plan_was_made_is_left_out(season: Season) -> None:
    plan = plan_of(season)
    line = next(line for line in plan.lines if line.steps)
    gone = line.steps[-1]._replace(place_id="gone")
    stale = replace(plan, lines=(replace(line, batch_id="gone"), replace(line, steps=(gone,))))
    nothing = season_calendar(season, None).events
    assert len(season_calendar(season, stale).events) == len(nothing)
    season.close()


def test_names_with_commas_line_breaks_and_emoji_come_back(season: Season) -> None:
    name = "Fête, “d'automne”; \\ \U0001f351 " + "long " * 30
    starts = season.now().astimezone(UTC).replace(microsecond=0) + timedelta(days=2)
    day = MarketDay(
        id="d", name=name.strip(), kind="festival", starts_at=starts, note="bring\nthe tent"
    )
    season.do(
        actions.ahead.save_market_day,
        day,
        [Want(id="w", market_day_id="d", crop="pawpaw", count=40)],
    )
    content = season_calendar(season, None).to_ical()
    [event] = [
        e for e in Calendar.from_ical(content).events if str(e["uid"]) == "market-d@ripenroom"
    ]
    assert str(event["summary"]) == name.strip()
    assert str(event["description"]).endswith("\nbring\nthe tent")
    assert str(event["description"]).startswith("40 ")
    season.close()


def test_an_empty_season_makes_an_empty_calendar(tmp_path: Path) -> None:
    season = Season.create(
        tmp_path / "new.ripenroom", season_record(), lambda: datetime(2026, 9, 1, tzinfo=UTC)
    )
    assert write_calendar(season, None, tmp_path / "none.ics") == 0
    assert Calendar.from_ical((tmp_path / "none.ics").read_bytes()).events == []
    season.close()
