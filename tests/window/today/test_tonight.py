"""What is cleared, swapped and left on the page "Today": by mouse and keyboard, and undone."""

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.season.plans.plan import (
    Carrying,
    Clearing,
    Plan,
    PlannedItinerary,
    PlannedMove,
    Staying,
    StayReason,
)
from ripenroom.season.projection import EndCause
from ripenroom.window.session import Session
from ripenroom.window.today.page import TodayPage
from ripenroom.wording.batch_states_and_ends import end_cause_name
from ripenroom.wording.today.stays import stay_item, stays_by_place
from ripenroom.wording.today.tasks import task_item
from tests.season.writing import write
from tests.worked_out import plan_of


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> TodayPage:
    made = TodayPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def planned(session: Session) -> Plan:
    """The plan of the season, made here and now instead of beside the window."""
    plan = session.plans.plan = plan_of(session.season)
    return plan


def left(line: PlannedItinerary, **given: Any) -> PlannedItinerary:
    """The line's crates as if they went nowhere."""
    facts: dict[str, Any] = {
        "steps": (),
        "pull_at": None,
        "market_day_id": None,
        "second_grade": False,
    }
    facts |= {"to_place_id": line.from_place_id, "expected_ready_share": 0.0, "pin_id": None}
    return replace(line, **{**facts, **given})


def to(line: PlannedItinerary, place_id: str, session: Session) -> PlannedItinerary:
    """The line's crates as if they were moved this evening."""
    at = session.season.now().replace(hour=18, minute=0, second=0, microsecond=0)
    step = PlannedMove(at, place_id)
    return left(line, steps=(step,), pull_at=at, to_place_id=place_id)


def show(page: TodayPage, *lines: PlannedItinerary) -> None:
    """Take this for the plan of the season, with rooms that hold just what stands there."""
    session = page.session
    plan = session.plans.plan
    assert plan is not None
    session.plans.plan = replace(plan, lines=lines, reckoned_lines=(), likely=())
    page.refresh()


def two_rooms(page: TodayPage) -> tuple[PlannedItinerary, PlannedItinerary]:
    """Whole batches of two places, which hold nothing else and are full."""
    session = page.session
    plan = planned(session)
    whole = [
        replace(line, crates=sum(x.crates for x in plan.lines if x.batch_id == line.batch_id))
        for line in {line.batch_id: line for line in plan.lines if line.batch_id}.values()
    ]
    one = whole[0]
    other = next(line for line in whole if line.from_place_id != one.from_place_id)
    for line in (one, other):
        place = session.season.book.places[line.from_place_id]
        session.season.do(
            actions.places.save, replace(place, capacity_crates=max(one.crates, other.crates))
        )
    crates = max(one.crates, other.crates)
    return replace(one, crates=crates), replace(other, crates=crates)


def headlines(page: TodayPage) -> list[str]:
    return [row.box.accessibleName() for row in page.sheet.rows]


def test_what_is_cleared_comes_first_and_can_be_taken_back(page: TodayPage) -> None:
    one, other = two_rooms(page)
    season = page.session.season
    past(page, other)
    before = season.book
    show(page, to(one, other.from_place_id, page.session), left(other, to_place_id=None))
    clear, move = page.sheet.rows[:2]
    assert clear.box.accessibleName().startswith("Clear ")
    assert move.box.accessibleName().startswith("To ")
    assert "its room is needed" in clear.box.accessibleDescription()
    clear.box.setFocus()
    QTest.keyClick(clear.box, Qt.Key.Key_Space)
    (gone,) = set(season.book.removals) - set(before.removals)
    assert season.book.removals[gone].outcome == "discarded"
    done = page.sheet.rows[0]
    assert done.box.isChecked()
    assert done.box.accessibleName().endswith(" cleared")
    # Taken away like any other tick, or undone.
    QTest.keyClick(done.box, Qt.Key.Key_Return)
    assert season.book.removals == before.removals
    season.undo()
    assert gone in season.book.removals
    season.undo()
    assert season.book == before


def past(page: TodayPage, line: PlannedItinerary) -> None:
    """Every fruit of the line's batch was mushy when it was picked."""
    season = page.session.season
    batch = season.book.batches[line.batch_id]
    checks = tuple(c for c in season.book.checks.values() if c.batch_id == batch.id)
    mushy = replace(batch, feel_counts=(0, 0, 0, 0, 10))
    write(season, Action("felt", (mushy,), deleted=checks))


def test_past_fruit_in_nobodys_way_is_cleared_at_the_end_and_can_be_taken_back(
    page: TodayPage,
) -> None:
    one, _ = two_rooms(page)
    season = page.session.season
    past(page, one)
    before = season.book
    show(page, left(one))
    row = page.sheet.rows[-1]
    assert row.box.accessibleName().startswith("Clear ")
    assert row.box.accessibleDescription().startswith("Past since ")
    row.box.setFocus()
    QTest.keyClick(row.box, Qt.Key.Key_Space)
    (gone,) = set(season.book.removals) - set(before.removals)
    assert season.book.removals[gone].outcome == "discarded"
    done = page.sheet.rows[-1]
    assert done.box.isChecked()
    QTest.keyClick(done.box, Qt.Key.Key_Return)
    assert season.book.removals == before.removals


def test_good_fruit_in_the_way_is_moved_by_the_tick_of_its_swap(page: TodayPage) -> None:
    one, other = two_rooms(page)
    season = page.session.season
    here, there = one.from_place_id, other.from_place_id
    for place in list(season.book.places.values()):
        if place.id not in (here, there):
            season.do(actions.places.save, replace(place, kind="field bin"))
    show(page, to(one, there, page.session), left(other, to_place_id=None))
    (row,) = [r for r in page.sheet.rows if r.box.accessibleName().startswith("Swap ")]
    assert "for no market day yet" in row.box.accessibleDescription()
    QTest.mouseClick(row.box, Qt.MouseButton.LeftButton)
    places = [season.place_of(line.batch_id) for line in (one, other)]
    assert [place and place.id for place in places] == [there, here]
    assert not any("Swap" in said or said.startswith("Clear") for said in headlines(page))


def test_two_full_rooms_are_swapped_by_one_tick(page: TodayPage) -> None:
    one, other = two_rooms(page)
    season = page.session.season
    before = season.book
    here, there = one.from_place_id, other.from_place_id
    show(page, to(one, there, page.session), to(other, here, page.session))
    (row,) = [r for r in page.sheet.rows if r.box.accessibleName().startswith("Swap ")]
    names = [season.book.places[key].name for key in (here, there)]
    assert row.box.accessibleName().endswith(f" between {names[0]} and {names[1]}")
    QTest.mouseClick(row.box, Qt.MouseButton.LeftButton)
    places = [season.place_of(line.batch_id) for line in (one, other)]
    assert [place and place.id for place in places] == [there, here]
    assert season.undo_label is not None
    assert season.undo_label.startswith("swap of ")
    assert len([said for said in headlines(page) if " moved to " in said]) == 2
    season.undo()
    assert season.book == before


def test_what_stays_is_folded_away_until_somebody_asks(qtbot: QtBot, page: TodayPage) -> None:
    planned(page.session)
    page.refresh()
    stays = page.stays
    assert stays.isVisible()
    assert not stays.text.isVisible()
    assert stays.button.text().startswith("Show what stays, and why (")
    stays.button.setFocus()
    QTest.keyClick(stays.button, Qt.Key.Key_Space)
    assert stays.text.isVisible()
    assert stays.button.text() == "Hide what stays"
    said = stays.text.document().toPlainText()
    assert ": 1 crate of " in said
    assert all(word not in said for word in ("None", "nan", "{", ".."))
    # It stays folded out when the page is written again, and Enter follows its links.
    page.refresh()
    assert stays.text.isVisible()
    stays.text.setFocus()
    with qtbot.waitSignal(page.openBatch) as opened:
        QTest.keyClick(stays.text, Qt.Key.Key_Tab)
        QTest.keyClick(stays.text, Qt.Key.Key_Return)
    assert opened.args is not None
    assert opened.args[0] in page.session.season.book.batches
    QTest.mouseClick(stays.button, Qt.MouseButton.LeftButton)
    assert not stays.text.isVisible()


def test_without_a_plan_nothing_is_said_to_stay(page: TodayPage) -> None:
    assert not page.stays.isVisible()


def test_nothing_of_a_long_list_is_cut_off(page: TodayPage) -> None:
    planned(page.session)
    page.refresh()
    page.stays.button.click()
    for width in (1024, 640):
        page.resize(width, 700)
        QApplication.processEvents()
        text = page.stays.text
        assert text.document().size().width() <= text.viewport().width() + 1
        assert text.height() >= text.document().size().height()


# Words


def some_line(session: Session) -> PlannedItinerary:
    """A crate that waits for the next market day."""
    book, now = session.season.book, session.season.now()
    day = min(
        (day for day in book.market_days.values() if day.starts_at > now),
        key=lambda day: day.starts_at,
    )
    batch = next(b for b in book.batches.values() if session.season.place_of(b.id) is not None)
    place = session.season.place_of(batch.id)
    assert place is not None
    return PlannedItinerary(batch.id, 1, place.id, None, place.id, day.id, 0.7, 900.0, 20.0)


def test_what_is_past_is_cleared_without_its_last_feel(session: Session) -> None:
    line, now = left(some_line(session)), session.season.now()
    felt = session.season.ask.last_felt(line.batch_id)
    assert felt is not None

    def headline(since: datetime, kind: DayTaskKind) -> str:
        clearing = Clearing((line,), 1, since)
        return task_item(DayTask(kind, line.batch_id, (line,), clearing=clearing), session).headline

    for kind in (DayTaskKind.CLEAR, DayTaskKind.PAST):
        assert f", {felt}: 1 crate" not in headline(now - timedelta(days=2), kind)
    assert f", {felt}: 1 crate" in headline(now + timedelta(hours=2), DayTaskKind.CLEAR)


def test_clearing_says_why_just_these(session: Session) -> None:
    line, now = left(some_line(session)), session.season.now()

    def why(clearing: Clearing) -> str:
        task = DayTask(DayTaskKind.CLEAR, line.batch_id, (line,), clearing=clearing)
        return task_item(task, session).reason

    since = now - timedelta(days=2)
    assert why(Clearing((line,), 1, since)).startswith("Past since Tue 29 Sep, ")
    assert why(Clearing((line,), 1, now + timedelta(hours=2))).startswith("Past by this evening, ")
    assert why(Clearing((line,), 1, None)).startswith("No room left anywhere, ")
    assert why(Clearing((line,), 1, None, rest=True)).startswith("Too few to be worth moving, ")


def test_a_circle_of_rooms_is_told_turn_by_turn(session: Session) -> None:
    line = left(some_line(session))
    a, b, c = list(session.season.book.places)[:3]
    turns = tuple(
        to(replace(line, from_place_id=here), there, session)
        for here, there in ((a, b), (b, c), (c, a))
    )
    task = DayTask(DayTaskKind.MOVE, line.batch_id, turns, carrying=Carrying(turns))
    said = task_item(task, session).headline
    names = [session.season.book.places[key].name for key in (a, b, c)]
    assert said.startswith("Swap round ")
    assert all(f"from {x} to {y}" in said for x, y in pairwise(names))


def test_a_move_without_room_says_so(session: Session) -> None:
    line = some_line(session)
    other = next(key for key in session.season.book.places if key != line.from_place_id)
    moves = to(line, other, session)
    task = DayTask(
        DayTaskKind.MOVE, line.batch_id, (moves,), carrying=Carrying((moves,), room=False)
    )
    assert "No room for it (" in task_item(task, session).reason


@pytest.mark.parametrize("reason", list(StayReason))
def test_every_reason_to_stay_is_a_sentence(session: Session, reason: StayReason) -> None:
    line = some_line(session)
    until = session.season.now() + timedelta(days=3)
    other = next(key for key in session.season.book.places if key != line.from_place_id)
    if reason is StayReason.MOVES_LATER:
        line = to(line, other, session)
    for at in (until, None):
        if at is None and reason in (StayReason.MOVES_LATER, StayReason.SECOND_GRADE):
            continue
        item = stay_item([Staying(line, 2, reason, at)], session)
        assert ": 2 crates of " in item.headline
        assert item.reason[0].isupper()
        assert not any(bad in item.reason for bad in ("None", "{", "  ", "nan"))


def test_what_ends_fruit_that_stays_is_what_its_page_says(session: Session) -> None:
    projection, at = session.projection(), session.season.now()
    line, batches = some_line(session), session.season.book.batches
    said = {}
    for number, batch_id in enumerate(projection.batch_ids):
        cause = EndCause(int(projection.end_cause[number]))
        own = replace(line, batch_id=batch_id)
        for reason in (StayReason.TOO_LATE, StayReason.NO_MARKET):
            item = stay_item([Staying(own, 1, reason, at)], session)
            assert f"{end_cause_name(cause)} from today" in item.reason.lower(), batches[batch_id]
            said[cause] = item.reason
    assert len(said) > 1


def test_of_a_place_that_is_full_of_batches_the_rest_is_counted(session: Session) -> None:
    line = some_line(session)
    batches = (replace(line, batch_id=f"batch {n}") for n in range(100))
    stays = [Staying(one, 2, StayReason.KEPT) for one in batches]
    (group,) = stays_by_place(stays, session)
    assert group.title == session.season.book.places[line.from_place_id].name
    assert len(group.items) == 41
    assert group.items[-1].headline == "120 crates more"
    assert len(stays_by_place(stays[:41], session)[0].items) == 41


def test_crates_of_a_batch_that_stay_stand_in_one_line(session: Session) -> None:
    line = replace(some_line(session), fruit=10.0)
    days = [line.market_day_id, *(set(session.season.book.market_days) - {line.market_day_id})][:2]
    stays = [
        Staying(replace(line, market_day_id=days[0]), 1, StayReason.MARKET),
        Staying(replace(line, market_day_id=days[1]), 1, StayReason.MARKET),
        Staying(replace(line, market_day_id=days[0], packed=True), 1, StayReason.MARKET),
    ]
    ((item,),) = (group.items for group in stays_by_place(stays, session))
    assert item.headline.startswith("30 ")
    assert ": 3 crates of " in item.headline
    first, second = item.reason.split(". ")
    assert first.startswith("For ")
    assert second.startswith("For ")
    assert first.endswith("good to sell (2 crates)")
    assert second.endswith("good to sell (1 crate)")
    pinned = replace(stays[0], line=replace(stays[0].line, pin_id="pin"))
    ((item,),) = (group.items for group in stays_by_place([stays[0], pinned], session))
    assert item.reason.endswith("good to sell; pinned by you (1 crate)")


def test_crates_of_a_batch_that_go_to_one_place_stand_in_one_line(session: Session) -> None:
    line = replace(some_line(session), fruit=10.0)
    other = next(key for key in session.season.book.places if key != line.from_place_id)
    one = replace(to(line, other, session), market_day_id=line.market_day_id)
    alike = (one, replace(one, expected_value_minor=1.0))
    task = DayTask(DayTaskKind.MOVE, line.batch_id, alike, carrying=Carrying(alike))
    item = task_item(task, session)
    assert item.headline.startswith("20 ")
    assert ": 2 crates of " in item.headline
    assert item.reason == task_item(replace(task, lines=(one,)), session).reason
    apart = (replace(one, expected_ready_share=0.9), replace(one, expected_ready_share=0.5))
    said = task_item(replace(task, lines=apart, carrying=Carrying(apart)), session).reason
    assert said.endswith("50 % good to sell (1 crate)")
