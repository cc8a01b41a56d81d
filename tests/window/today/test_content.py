"""What the day page says."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.entry import PickEntry
from ripenroom.season import actions
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import NoticeKind
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.window.palette import LIGHT
from ripenroom.window.session import Session
from ripenroom.window.today.rich_text import outlook_html
from ripenroom.wording.today.page import DayPage, day_page
from ripenroom.wording.today.week import WEEK_DAYS
from tests.season.plans.planning import plan_of
from tests.window.gated import pick
from tests.window.planned import planned

GIVES = (0, 40, 0, 0, 0)


@pytest.fixture
def page(session: Session) -> DayPage:
    return day_page(session)


def test_every_notice_is_told_once(page: DayPage, session: Session) -> None:
    told = [item for group in page.groups for item in group.items if item.link != "expected:"]
    assert len(told) == len(session.season.notices()) > 0
    assert all(group.items for group in page.groups)


def test_what_is_urgent_stands_first(page: DayPage, session: Session) -> None:
    urgent = [
        notice
        for notice in session.season.notices()
        if notice.kind in (NoticeKind.PAST, NoticeKind.CLOSES)
    ]
    assert urgent
    first = {item.link for item in page.groups[0].items}
    assert {f"batch:{notice.batch_id}" for notice in urgent} <= first


def test_the_week_has_seven_days_and_what_opens_and_closes_on_them(
    page: DayPage, session: Session
) -> None:
    today = session.season.now().date()
    assert [line.day for line in page.week] == [today + timedelta(days=n) for n in range(WEEK_DAYS)]
    projection, book = session.projection(), session.season.book
    for line in page.week:
        expected = sorted(
            book.batches[batch_id].code
            for n, batch_id in enumerate(projection.batch_ids)
            if projection.left[n] > 0
            and np.isfinite(projection.closes_h.mid[n])
            and session.words.local(float(projection.closes_h.mid[n])).date() == line.day
        )
        groups = line.closes
        assert sorted(code for group in groups for code, _ in group.batches) == expected
        assert len({group.what.split(" ", 1)[1] for group in groups}) == len(groups)


def test_the_week_says_what_and_how_many_before_the_codes(page: DayPage, session: Session) -> None:
    projection, season = session.projection(), session.season
    [day] = [line for line in page.week if len(line.closes) > 1][:1]
    for group in day.closes:
        batches = [season.book.batches[key] for _, key in group.batches]
        left = sum(float(projection.left[projection.line_of[batch.id]]) for batch in batches)
        assert group.what.startswith(f"{session.words.number(left)} ")
        assert {(batch.crop, season.ask.last_felt(batch.id)) for batch in batches} == {
            (batches[0].crop, season.ask.last_felt(batches[0].id))
        }
    text = outlook_html(page, session.words, LIGHT, 12.0)
    first = day.closes[0]
    assert f"{first.what} (<a href" in text.replace("\u00a0", " ")


def test_fruit_that_the_sheet_has_in_hand_gets_no_other_order(
    qtbot: QtBot, session: Session
) -> None:
    plan = planned(qtbot, session)
    season, projection = session.season, session.projection()
    notice = next(n for n in season.notices() if n.kind is NoticeKind.PAST)
    assert notice.batch_id is not None
    left = float(projection.left[projection.line_of[notice.batch_id]])
    line = replace(
        next(line for line in plan.lines if line.batch_id),
        batch_id=notice.batch_id, crates=2, fruit=left, second_grade=True, steps=(),
        pull_at=season.now(), to_place_id=None, market_day_id=None,
    )  # fmt: skip

    def told(*lines: PlannedItinerary) -> list[str]:
        tasks = (DayTask(DayTaskKind.MOVE, line.batch_id, lines),)
        groups = day_page(session, DaySheet(tasks)).groups
        items = [item for group in groups for item in group.items]
        link = f"batch:{notice.batch_id}"
        return [i.headline for i in items if i.link == link and "throw away" in i.headline]

    assert told(line) == []
    half = replace(line, crates=1, fruit=left / 2)
    [said] = told(half)
    assert said.startswith(f"Use up or throw away {session.words.number(left / 2)} ")
    assert told(half, replace(half, expected_pick_id="other")) == []


def test_the_next_market_day_is_the_next(page: DayPage, session: Session) -> None:
    now = session.season.now()
    ahead = [day for day in session.season.book.market_days.values() if day.starts_at >= now]
    following = min(ahead, key=lambda day: day.starts_at)
    assert page.market is not None
    assert page.market.title == following.name
    assert page.market.link == f"market:{following.id}"
    wants = [w for w in session.season.book.wants.values() if w.market_day_id == following.id]
    assert len(page.market.wants) == len(wants)
    assert all(" wanted " in text and "good" in text for text in page.market.wants)


def test_a_market_in_the_week_is_on_its_day(page: DayPage, session: Session) -> None:
    assert page.market is not None
    shown = [link for line in page.week for _, link in line.markets]
    last_h = to_hours(session.season.now()) + 24 * WEEK_DAYS
    soon = [
        day.id
        for day in session.season.book.market_days.values()
        if session.projection().at_h <= to_hours(day.starts_at) <= last_h - 24
    ]
    assert {f"market:{one}" for one in soon} <= set(shown)


def test_places_tell_what_they_hold(page: DayPage, session: Session) -> None:
    assert len(page.places) == len(session.season.book.places)
    projection = session.projection()
    for line in page.places:
        place_id = line.link.removeprefix("place:")
        held = 0.0
        for n, batch_id in enumerate(projection.batch_ids):
            place = session.season.place_of(batch_id)
            if place is not None and place.id == place_id:
                held += float(projection.left[n])
        assert line.holds.startswith(session.words.number(held) if held else "empty")
        follows = session.season.book.places[place_id].weather_lag_h is not None
        warm = session.words.temperature(session.season.set_point_c(place_id))
        assert line.set_point == ("as outdoors" if follows else warm)


def test_what_the_cold_may_injure_by_tomorrow_stands_with_what_is_urgent(session: Session) -> None:
    """Fruit that waits in the cold: one day its best estimate is days away, but its range begins
    within two days."""
    for days_ago in range(1, 40):
        batch_id = pick(session, "pawpaw", warm=False, feel=GIVES, days_ago=days_ago)
        notices = [n for n in session.season.notices() if n.kind is NoticeKind.CHILLING]
        projection = session.projection()
        line = projection.line_of[batch_id]
        if any(notice.batch_id == batch_id for notice in notices):
            break
        session.season.undo()
    (notice,) = [n for n in notices if n.batch_id == batch_id]
    assert projection.chilling_out_h[line] - projection.at_h > 48.0
    assert projection.closes_h.low[line] - projection.at_h < 48.0
    urgent = day_page(session).groups[0]
    (item,) = [item for item in urgent.items if item.link == f"batch:{notice.batch_id}"]
    assert "into the warm by" in item.headline
    low, high = float(projection.closes_h.low[line]), float(projection.closes_h.high[line])
    # A range that has begun is not told by a day that is over.
    assert low <= projection.at_h
    assert f"perhaps all of it by now, else by {session.words.day(high)}: " in item.reason


def test_without_a_market_day_what_spoils_is_pointed_to(session: Session) -> None:
    """An empty sheet says that nothing is to be moved only where nothing spoils where it is."""
    season = session.season
    for day in list(season.book.market_days.values()):
        if day.starts_at > season.now():
            season.do(actions.ahead.delete_market_day, day.id)
    session.plans.plan = plan_of(season, steps=50)
    assert "What would spoil where it is stands below" in day_page(session).no_tasks
    for notice in season.notices():
        if notice.kind in (NoticeKind.CHILLING, NoticeKind.FREEZING):
            assert notice.batch_id is not None
            warm = next(one for one in season.book.places.values() if one.name == "Ripening room")
            season.do(actions.moves.move, [notice.batch_id], warm.id, season.now())
    assert "nothing to move or pack for" in day_page(session).no_tasks


def test_of_very_many_alike_only_the_first_are_listed(session: Session) -> None:
    season = session.season
    like = next(batch for batch in season.book.batches.values() if batch.count)
    place_id = next(iter(season.book.places))
    for _ in range(14):
        season.do(
            actions.picks.add,
            PickEntry(
                crop="pawpaw",
                place_id=place_id,
                picked_at=like.picked_at,
                feel_counts=(0, 0, 0, 0, 9),
                count=9,
            ),
        )
    past = [n for n in season.notices() if n.kind is NoticeKind.PAST]
    assert len(past) > 14
    items = day_page(session).groups[0].items
    told = [item for item in items if item.headline.startswith("Use up or throw away ")]
    (rest,) = [item for item in items if item.headline.endswith("more to use up or throw away")]
    assert rest.headline == f"{len(past) - len(told)} more to use up or throw away"
    assert rest.link == "queue:"


def test_one_batch_and_one_crate_are_not_many(session: Session) -> None:
    season = session.season
    for place in season.book.places.values():
        season.do(actions.places.save, replace(place, capacity_crates=1))
    holds = [line.holds for line in day_page(session).places]
    assert any(text.endswith(" in 1 batch") for text in holds)
    assert not any(text.endswith(" in 1 batches") for text in holds)
    assert {line.capacity for line in day_page(session).places} == {"room for 1 crate"}
