"""One batch, one story: nothing on the page says otherwise of fruit than the day sheet does."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.season import actions
from ripenroom.season.day_sheet import DaySheet, Staying, StayReason, day_sheet
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import NoticeKind
from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.window.session import Session
from ripenroom.wording.today.page import DayPage, day_page
from ripenroom.wording.today.stays import why_stays
from tests.draws import first_every_day
from tests.season.plans.planned import planned
from tests.worked_out import plan_of

ORDERS = ("Sell by", "Sell today", "Use up", "Bring into", "May not ripen")


def closing(session: Session, kind: NoticeKind = NoticeKind.CLOSES) -> tuple[str, float]:
    """A batch that has such a notice, and its fruit."""
    projection = session.projection()
    notice = next(n for n in session.season.notices() if n.kind is kind)
    assert notice.batch_id is not None
    return notice.batch_id, float(projection.left[projection.line_of[notice.batch_id]])


def line_of(session: Session, batch_id: str, fruit: float, **given: object) -> PlannedItinerary:
    place = session.season.place_of(batch_id)
    assert place is not None
    return planned(batch_id, 1, from_place_id=place.id, fruit=fruit, **given)


def told(page: DayPage, batch_id: str) -> list[str]:
    items = [item for group in page.groups for item in group.items]
    return [i.headline for i in items if i.link == f"batch:{batch_id}"]


def page_of(session: Session, *stays: Staying) -> DayPage:
    return day_page(session, DaySheet((), stays))


def test_what_goes_to_second_grade_is_not_to_be_sold_as_well(session: Session) -> None:
    batch_id, fruit = closing(session)
    [before] = told(page_of(session), batch_id)
    assert before.startswith("Sell ")
    tomorrow = session.season.now() + timedelta(days=1)
    line = line_of(session, batch_id, fruit, second_grade=True, pull_at=tomorrow)
    page = page_of(session, Staying(line, 1, StayReason.SECOND_GRADE, tomorrow))
    [said] = told(page, batch_id)
    code = session.season.book.batches[batch_id].code
    assert re.fullmatch(rf"To second grade tomorrow: {fruit:.0f} .*, {code}", said)
    assert page.groups[0].title == "Today and the next two days"
    assert said in [item.headline for item in page.groups[0].items]


def test_what_is_for_a_market_day_is_told_by_that_day(session: Session) -> None:
    batch_id, fruit = closing(session)
    season = session.season
    days = [d for d in season.book.market_days.values() if d.starts_at > season.now()]
    day = min(days, key=lambda day: day.starts_at)
    line = line_of(session, batch_id, fruit, market_day_id=day.id)
    [said] = told(page_of(session, Staying(line, 1, StayReason.MARKET, day.starts_at)), batch_id)
    assert said.startswith(f"Sell {session.words.day(day.starts_at)}: ")


def test_of_what_the_plan_leaves_the_dates_tell_as_before(session: Session) -> None:
    batch_id, fruit = closing(session)
    line = line_of(session, batch_id, fruit / 2, second_grade=True, pull_at=session.season.now())
    stays = Staying(line, 1, StayReason.SECOND_GRADE, line.pull_at)
    said = told(page_of(session, stays), batch_id)
    assert len(said) == 2
    assert any(text.startswith("Sell ") and f" {fruit / 2:.0f} " in text for text in said)
    nobody = replace(stays, line=replace(line, fruit=fruit), reason=StayReason.NO_BUYER)
    [said_of_nobody] = told(page_of(session, nobody), batch_id)
    assert said_of_nobody.startswith("Sell ")


@pytest.mark.parametrize("days", first_every_day([0, 1]))
def test_no_batch_of_a_whole_season_is_told_two_things(session: Session, days: int) -> None:
    season = session.season
    season.read_as_on(season.now() + timedelta(days=days))
    plan = session.plans.plan = plan_of(season)
    sheet = day_sheet(season, plan)
    page = day_page(session, sheet)
    decided = {
        staying.line.batch_id
        for staying in sheet.stays
        if staying.reason in (StayReason.MARKET, StayReason.MOVES_LATER, StayReason.SECOND_GRADE)
    }
    rest = {s.line.batch_id for s in sheet.stays if s.line.batch_id not in decided}
    in_hand = {task.record_id for task in sheet.tasks if task.lines and not task.clearing}
    assert decided
    assert in_hand
    for batch_id in (decided | in_hand) - rest:
        assert not [text for text in told(page, batch_id) if text.startswith(ORDERS)]
    moved = {line.batch_id for t in sheet.tasks for line in t.lines if line.steps}
    left = {line.batch_id for line in plan.lines if not line.steps}
    for row in page.week:
        for group in (*row.opens, *row.closes):
            assert not {key for _, key in group.batches} & (moved - left)


def test_the_week_forgets_what_is_moved_or_sold_before(session: Session) -> None:
    season, projection = session.season, session.projection()
    row = next(row for row in day_page(session).week if row.closes)
    batch_id = row.closes[0].batches[0][1]
    n = projection.line_of[batch_id]
    left, closes_h = float(projection.left[n]), float(projection.closes_h.mid[n])
    assert closes_h > to_hours(season.now())
    plan = plan_of(season)

    def last_days(*lines: PlannedItinerary) -> list[str]:
        session.plans.plan = replace(plan, lines=lines)
        week = day_page(session).week
        return [a.what for r in week for a in r.closes if batch_id in {key for _, key in a.batches}]

    place = next(iter(season.book.places))
    step = PlannedMove(season.now() + timedelta(hours=1), place)
    moved = line_of(session, batch_id, left, pull_at=step.at, to_place_id=place, steps=(step,))
    assert len(last_days()) == 1
    assert last_days(moved) == []
    assert len(last_days(replace(moved, fruit=left / 2))) == 1
    late = PlannedMove(season.now() + timedelta(days=60), place)
    assert len(last_days(replace(moved, pull_at=late.at, steps=(late,)))) == 1
    # What is for a market day has that day, not one before it as its last.
    far = max(season.book.market_days.values(), key=lambda day: day.starts_at)
    assert to_hours(far.starts_at) > closes_h
    sold = replace(moved, pull_at=None, steps=(), market_day_id=far.id)
    assert last_days(sold) == []


def test_a_move_that_its_grower_entered_says_so(session: Session) -> None:
    """And not one that only the plan makes."""
    season = session.season
    batch_id, fruit = closing(session)
    here = season.place_of(batch_id)
    place = next(p for p in season.book.places.values() if p != here)
    at = season.now().replace(microsecond=0) + timedelta(days=1)
    line = line_of(
        session, batch_id, fruit,
        pull_at=at, to_place_id=place.id, steps=(PlannedMove(at, place.id),),
    )  # fmt: skip
    stays = Staying(line, 1, StayReason.MOVES_LATER, at)
    assert "you entered" not in why_stays(stays, session)
    season.do(actions.moves.move, [batch_id], place.id, at)
    assert why_stays(stays, session).endswith("; you entered this move")
    pinned = replace(stays, line=replace(line, pin_id="pin"))
    assert why_stays(pinned, session).endswith("; pinned by you")
