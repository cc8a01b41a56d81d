"""Lines of the day sheet in words."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import PlannedMove
from ripenroom.window.session import Session
from ripenroom.wording.plan.itineraries import crates_words, what_words
from ripenroom.wording.today.items import Item, with_headings
from ripenroom.wording.today.tasks import kind_title, task_item
from tests.window.planned import planned, tasks_of, todays_move

pytestmark = pytest.mark.usefixtures("some_batches")


def test_every_task_of_every_state_is_a_sentence(qtbot: QtBot, session: Session) -> None:
    season = session.season
    now = season.now()
    for moment in (now, now + timedelta(days=1), now + timedelta(days=2, hours=13)):
        season.read_as_on(moment)
        planned(qtbot, session)
        tasks = tasks_of(session)
        assert tasks
        for task in tasks:
            item = task_item(task, session)
            assert kind_title(task.kind)
            assert item.headline
            for broken in ("{", "}", "None", "nan", "  ", ";;"):
                assert broken not in item.headline + item.reason


def test_a_move_tells_what_from_where_and_why(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    line = replace(todays_move(session), expected_ready_share=0.78)
    line = replace(line, steps=line.steps[:1])
    session.plans.if_left = {line: Delay(0.41, 0.2)}
    item = task_item(DayTask(DayTaskKind.MOVE, line.batch_id, (line,)), session)
    place = session.season.book.places[line.from_place_id].name
    assert item.headline == f"{what_words(line, session)} from {place}"
    assert item.spoken.startswith("To ")
    assert item.reason.startswith("For ")
    assert item.reason.endswith(": 78 % good to sell, if left here 20 %")
    assert item.link == f"batch:{line.batch_id}"


def test_second_grade_is_taken_and_not_moved(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    line = todays_move(session)
    second = replace(line, second_grade=True, market_day_id=None, to_place_id=None, steps=())
    item = task_item(DayTask(DayTaskKind.MOVE, line.batch_id, (second,)), session)
    assert item.spoken == f"To second grade: {item.headline}"
    assert item.reason == "For no market day"


def test_moves_stand_under_where_they_go_with_their_crates(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    lines = list(with_headings([(d, task_item(d, session)) for d in tasks_of(session)], session))
    headings: dict[str, int] = {}
    for task, item in lines:
        if task.kind is DayTaskKind.MOVE and task.line is not None:
            headings[item.under] = headings.get(item.under, 0) + task.line.crates
            goal = task.line.next_step().to_place_id
            name = "second grade" if goal is None else session.season.book.places[goal].name
            assert item.under.startswith(f"To {name}: ")
    assert len(headings) > 1
    for heading, crates in headings.items():
        assert f": {crates_words(crates)}, by " in heading
    assert all(not item.under for task, item in lines if task.kind is DayTaskKind.CHECK)


def test_what_stands_before_a_move_is_to_be_done_by_its_time(
    qtbot: QtBot, session: Session
) -> None:
    """It may have to make room: a later group never has an earlier time than one before it."""
    planned(qtbot, session)
    season = session.season
    here, there, away = list(season.book.places)[:3]
    line = next(task.line for task in tasks_of(session) if task.line is not None)
    six = season.now().replace(hour=18, minute=0)

    def to(place: str, at: datetime) -> tuple[DayTask, Item]:
        moved = replace(
            line, from_place_id=away, pull_at=at, to_place_id=place,
            steps=(PlannedMove(at, place),), second_grade=False,
        )  # fmt: skip
        task = DayTask(DayTaskKind.MOVE, line.batch_id, (moved,))
        return task, task_item(task, session)

    half_past_five = six - timedelta(minutes=30)
    lines = with_headings([to(here, six), to(there, half_past_five), to(here, six)], session)
    said = [item.under.rpartition(", ")[2] for _, item in lines]
    assert said == ["by 17:30", "by 17:30", "by 18:00"]


@pytest.mark.parametrize("reason", list(CheckReason))
def test_a_check_tells_what_it_decides(session: Session, reason: CheckReason) -> None:
    season = session.season
    batch = next(b for b in season.book.batches.values() if b.code == "P-0930-1")
    check = CheckNext(batch.id, 12, 340.0, reason, season.now() + timedelta(days=1), None)
    item = task_item(DayTask(DayTaskKind.CHECK, batch.id, check=check), session)
    assert item.headline == "12 pawpaws, slight give: P-0930-1, Cold room"
    pace = reason is CheckReason.PACE
    assert ("how fast this cultivar softens" in item.reason) == pace
    # Nothing hangs on a pace on one evening.
    assert ("do it by tomorrow" in item.reason) != pace
    assert item.reason.startswith("Shows ")
    assert item.reason.endswith("worth about €3")
    assert item.link == f"check:{batch.id}"


def test_a_pick_that_is_late_says_so(session: Session) -> None:
    season = session.season
    place = next(iter(season.book.places.values()))
    pick = ExpectedPick(
        id="p", crop="pawpaw", on=season.now().date(), count=30, place_id=place.id, note="wall row"
    )
    season.do(actions.ahead.save_expected_pick, pick)
    task = DayTask(DayTaskKind.EXPECT, "p")
    item = task_item(task, session)
    assert item.headline == "About 30 pawpaws to pick"
    assert item.reason.startswith(f"Room is kept: {place.name}; wall row")
    season.read_as_on(season.now() + timedelta(days=1))
    assert task_item(task, session).reason.startswith("Due Thu 1 Oct and not entered yet")
