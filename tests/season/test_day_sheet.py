"""What stands on the day sheet."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, timedelta
from typing import Any

import pytest

from ripenroom.records.check import Check
from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.day_sheet import DayTask, DayTaskKind, day_sheet
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.season import Season
from tests.season.writing import write
from tests.worked_out import plan_of


def tasks_of(
    season: Season, plan: Plan | None, ticked: Sequence[PlannedItinerary] = (), **more: Any
) -> tuple[DayTask, ...]:
    return day_sheet(season, plan, ticked=set(ticked), **more).tasks


def todays_move(season: Season, plan: Plan) -> PlannedItinerary:
    """A line that the plan moves today, of a market day."""
    today = season.now().date()
    return next(
        line
        for line in plan.lines
        if line.batch_id and line.market_day_id and line.steps and line.steps[0].at.date() == today
    )


def of(kind: DayTaskKind, tasks: tuple[DayTask, ...]) -> list[DayTask]:
    return [task for task in tasks if task.kind is kind]


def test_without_a_plan_nothing_is_asked(practice: Season) -> None:
    assert not of(DayTaskKind.MOVE, tasks_of(practice, None))


def test_moves_of_today_and_no_others(practice: Season) -> None:
    plan = plan_of(practice)
    today = practice.now().date()
    expected = {
        line
        for line in plan.lines
        if line.batch_id and line.steps and line.steps[0].at.date() == today
    } | {
        line
        for line in plan.lines
        if line.second_grade and line.pull_at is not None and line.pull_at.date() == today
    }
    moves = of(DayTaskKind.MOVE, tasks_of(practice, plan))
    assert moves
    assert {task.line for task in moves} == expected
    assert not any(task.done for task in moves)


def test_a_line_that_was_ticked_is_not_asked_again(practice: Season) -> None:
    plan = plan_of(practice)
    line = todays_move(practice, plan)
    assert line not in {task.line for task in tasks_of(practice, plan, [line])}


def test_a_batch_that_is_elsewhere_by_now_is_not_moved(practice: Season) -> None:
    plan = plan_of(practice)
    line = todays_move(practice, plan)
    other = next(
        key for key in practice.book.places if key not in (line.from_place_id, line.to_place_id)
    )
    practice.do(actions.moves.move, [line.batch_id], other, practice.now())
    moves = of(DayTaskKind.MOVE, tasks_of(practice, plan))
    assert line.batch_id not in {task.record_id for task in moves if not task.done}
    (done,) = [task for task in moves if task.done]
    assert done.record_id == line.batch_id
    assert done.done_record_id in practice.book.moves


def test_a_part_that_was_moved_is_done_and_its_earlier_moves_are_not_told_twice(
    practice: Season,
) -> None:
    plan = plan_of(practice)
    season, line = practice, todays_move(practice, plan)
    earlier = season.now() - timedelta(hours=1)
    if season.place_of(line.batch_id, earlier) is None:
        pytest.skip("picked within the hour")
    moved = season.do(actions.carrying.carry_out, line.next_step(), season.now().astimezone(UTC))
    part = (
        season.do(actions.splitting.split, moved, 1)
        if (season.book.batches[moved].count or 0) > 1
        else None
    )
    done = [task.record_id for task in of(DayTaskKind.MOVE, tasks_of(practice, plan)) if task.done]
    assert done == [moved]
    assert part is None or part.id not in done


def test_what_is_done_stands_after_what_is_open(practice: Season) -> None:
    plan = plan_of(practice)
    line = todays_move(practice, plan)
    practice.do(actions.carrying.carry_out, line.next_step(), practice.now().astimezone(UTC))
    plan = plan_of(practice, plan)
    moves = of(DayTaskKind.MOVE, tasks_of(practice, plan))
    states = [task.done for task in moves]
    assert states == sorted(states)
    assert states[-1]


def test_packing_is_for_today_and_tomorrow(few: Season) -> None:
    season = few
    day = next(d for d in season.book.market_days.values() if d.starts_at > season.now())
    season.read_as_on(day.starts_at - timedelta(days=1))
    plan = plan_of(few)
    packs = of(DayTaskKind.PACK, tasks_of(few, plan))
    soon = {line.market_day_id for line in (task.line for task in packs) if line is not None}
    assert soon == {day.id}
    assert len(packs) == len([x for x in plan.lines if x.market_day_id == day.id and x.batch_id])
    season.read_as_on(day.starts_at - timedelta(days=3))
    plan = plan_of(few, plan)
    assert not of(DayTaskKind.PACK, tasks_of(few, plan))


def test_crates_to_pack_stand_once(few: Season) -> None:
    season = few
    day = next(d for d in season.book.market_days.values() if d.starts_at > season.now())
    season.read_as_on(day.starts_at - timedelta(hours=20))
    plan = plan_of(few)
    sheet = day_sheet(season, plan)
    packs = {task.line for task in of(DayTaskKind.PACK, sheet.tasks)}
    assert packs
    assert packs.isdisjoint(staying.line for staying in sheet.stays)
    assert any(staying.line.market_day_id != day.id for staying in sheet.stays)


def test_packed_crates_are_done(few: Season) -> None:
    season = few
    day = next(d for d in season.book.market_days.values() if d.starts_at > season.now())
    season.read_as_on(day.starts_at - timedelta(days=1))
    plan = plan_of(few)
    line = of(DayTaskKind.PACK, tasks_of(few, plan))[0].line
    assert line is not None
    pin = season.do(actions.pins.pack, line, season.now().astimezone(UTC))
    plan = plan_of(few, plan)
    packs = of(DayTaskKind.PACK, tasks_of(few, plan))
    assert [task.done_record_id for task in packs if task.done] == [pin.id]
    assert all(task.line is None or task.line.pin_id != pin.id for task in packs)


def test_in_the_evening_tomorrows_moves_are_told(practice: Season) -> None:
    season = practice
    plan = plan_of(practice)
    season.read_as_on(season.now().replace(hour=18, minute=30))
    plan = plan_of(practice, plan)
    tomorrow = season.now().date() + timedelta(days=1)
    expected = {
        line
        for line in plan.lines
        if line.steps and line.batch_id and line.steps[0].at.date() == tomorrow and not line.packed
    }
    moves = {task.line for task in of(DayTaskKind.MOVE, tasks_of(practice, plan))}
    assert expected
    assert expected <= moves


def test_a_market_day_that_has_begun_is_to_be_settled(practice: Season) -> None:
    season = practice
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at - timedelta(minutes=1))
    assert not of(DayTaskKind.SETTLE, tasks_of(practice, None))
    for now, over in ((day.starts_at, False), (day.starts_at.replace(hour=20), True)):
        season.read_as_on(now)
        asked = of(DayTaskKind.SETTLE, tasks_of(practice, None))
        assert [task.record_id for task in asked] == [day.id]
        assert season.ask.is_over(day) == over
    season.read_as_on(day.starts_at + timedelta(days=11))
    assert day.id not in {
        task.record_id for task in of(DayTaskKind.SETTLE, tasks_of(practice, None))
    }


def test_a_settled_market_day_is_done(practice: Season) -> None:
    season = practice
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at + timedelta(days=1))
    write(season, Action("settled", (replace(day, settled_at=season.now().astimezone(UTC)),)))
    (task,) = of(DayTaskKind.SETTLE, tasks_of(practice, None))
    assert task.done


def test_picks_that_are_expected_today_or_are_late(practice: Season) -> None:
    season = practice
    place_id = next(iter(season.book.places))
    today = season.now().date()
    for name, on in (("today", today), ("later", today + timedelta(days=1))):
        pick = ExpectedPick(id=name, crop="pawpaw", on=on, count=30, place_id=place_id)
        season.do(actions.ahead.save_expected_pick, pick)
    # That nothing more comes is nothing to do.
    season.do(
        actions.ahead.save_expected_pick, replace(pick, id="over", crop="pear", on=today, count=0)
    )
    assert [task.record_id for task in of(DayTaskKind.EXPECT, tasks_of(practice, None))] == [
        "today"
    ]
    season.read_as_on(season.now() + timedelta(days=1))
    assert [task.record_id for task in of(DayTaskKind.EXPECT, tasks_of(practice, None))] == [
        "today",
        "later",
    ]


def test_a_pick_that_came_is_told_on_that_day_only(practice: Season) -> None:
    came = {"gone": practice.now()}
    (task,) = of(DayTaskKind.EXPECT, tasks_of(practice, None, came=came))
    assert task.done
    practice.read_as_on(practice.now() + timedelta(days=1))
    assert not of(DayTaskKind.EXPECT, tasks_of(practice, None, came=came))


def test_checks_of_today_are_done(practice: Season) -> None:
    season = practice
    batch_id = next(i for i, n in zip(*_left(practice), strict=True) if n > 5)
    check = Check(
        id="c",
        batch_id=batch_id,
        at=season.now().astimezone(UTC),
        feel_counts=(0, 3, 2, 0, 0),
    )
    write(season, Action("check", (check,)))
    (task,) = of(DayTaskKind.CHECK, tasks_of(practice, None))
    assert (task.record_id, task.done_record_id) == (batch_id, "c")


def _left(practice: Season) -> tuple[tuple[str, ...], list[float]]:
    projection = practice.projection()
    return projection.batch_ids, projection.left.tolist()


def made_up(plan: Plan, *lines: PlannedItinerary) -> Plan:
    return replace(plan, lines=lines, reckoned_lines=())


def full(season: Season, place_id: str) -> None:
    """The place holds just what stands there by the plan."""
    here = [x for x in plan_of(season).lines if x.batch_id and x.from_place_id == place_id]
    crates = sum(x.crates for x in here)
    place = season.book.places[place_id]
    season.do(actions.places.save, replace(place, capacity_crates=crates))


def test_what_is_past_and_in_the_way_is_cleared_first(practice: Season) -> None:
    """As the plan says it of fruit for which nobody has a use, once its room is needed."""
    plan = plan_of(practice)
    line = todays_move(practice, plan).next_step()
    assert line.to_place_id is not None
    full(practice, line.to_place_id)
    stands = next(x for x in plan.lines if x.batch_id and x.from_place_id == line.to_place_id)
    past_batch(practice, stands.batch_id)
    useless = replace(stands, market_day_id=None, to_place_id=None, steps=(), pull_at=None)
    useless = replace(useless, second_grade=False, expected_ready_share=0.0)
    others = [
        replace(x, steps=(), pull_at=None, to_place_id=x.from_place_id, second_grade=False)
        for x in plan.lines
        if x.from_place_id == line.to_place_id and x != stands
    ]
    plan = made_up(plan, line, useless, *others)
    sheet = day_sheet(practice, plan)
    (clear,), (move,) = of(DayTaskKind.CLEAR, sheet.tasks), of(DayTaskKind.MOVE, sheet.tasks)
    assert sheet.tasks.index(clear) < sheet.tasks.index(move)
    assert clear.clearing is not None
    assert clear.clearing.crates == min(line.crates, useless.crates)
    assert (clear.line, move.line) == (useless, line)
    cleared = practice.do(actions.carrying.clear, clear.clearing, practice.now().astimezone(UTC))
    tasks = tasks_of(practice, plan, [useless], cleared={cleared: DayTaskKind.CLEAR})
    (done,) = of(DayTaskKind.CLEAR, tasks)
    assert done.done_record_id == cleared
    # Whatever else is thrown away today is no task of the sheet.
    assert not of(DayTaskKind.CLEAR, tasks_of(practice, plan, [useless]))


def squeeze(batch_id: str, season: Season, days: int, reason: CheckReason) -> CheckNext:
    return CheckNext(batch_id, 5, 100.0, reason, season.now() + timedelta(days=days), None)


def test_a_squeeze_that_decides_about_tonight_comes_before_what_it_decides(
    practice: Season,
) -> None:
    plan = plan_of(practice)
    move = todays_move(practice, plan)
    ids = [key for key in practice.book.batches if key != move.batch_id][:2]
    checks = [
        squeeze(move.batch_id, practice, 0, CheckReason.WHEN),
        squeeze(ids[0], practice, 0, CheckReason.PACE),
        squeeze(ids[1], practice, 3, CheckReason.WHERE),
    ]
    tasks = tasks_of(practice, made_up(plan, move), check_next=checks)
    kinds = [task.kind for task in tasks]
    first, later = of(DayTaskKind.CHECK_FIRST, tasks), of(DayTaskKind.CHECK, tasks)
    assert [task.record_id for task in first] == [move.batch_id]
    assert [task.record_id for task in later] == ids
    assert kinds.index(DayTaskKind.CHECK_FIRST) < kinds.index(DayTaskKind.MOVE)
    assert kinds.index(DayTaskKind.MOVE) < kinds.index(DayTaskKind.CHECK)


def test_what_is_cleared_tonight_is_squeezed_before_that(practice: Season) -> None:
    plan = plan_of(practice)
    line = todays_move(practice, plan).next_step()
    assert line.to_place_id is not None
    full(practice, line.to_place_id)
    stands = next(x for x in plan.lines if x.batch_id and x.from_place_id == line.to_place_id)
    past_batch(practice, stands.batch_id)
    stays = [left(x) for x in plan.lines if x.from_place_id == line.to_place_id and x.batch_id]
    checks = [squeeze(stands.batch_id, practice, 0, CheckReason.PACE)]
    tasks = tasks_of(practice, made_up(plan, line, *stays), check_next=checks)
    assert stands.batch_id in {task.record_id for task in of(DayTaskKind.CLEAR, tasks)}
    (check,) = of(DayTaskKind.CHECK_FIRST, tasks)
    assert check.record_id == stands.batch_id
    assert not of(DayTaskKind.CHECK, tasks)


def left(line: PlannedItinerary) -> PlannedItinerary:
    """The line's crates as if nobody had a use for them."""
    return replace(
        line,
        market_day_id=None,
        to_place_id=line.from_place_id,
        steps=(),
        pull_at=None,
        second_grade=False,
        expected_ready_share=0.0,
        pin_id=None,
    )


def past_batch(season: Season, batch_id: str) -> None:
    """Every fruit of the batch was mushy when it was picked."""
    batch = season.book.batches[batch_id]
    checks = tuple(c for c in season.book.checks.values() if c.batch_id == batch_id)
    mushy = replace(batch, feel_counts=(0, 0, 0, 0, 10))
    write(season, Action("felt", (mushy,), deleted=checks))


def test_what_is_past_and_in_nobodys_way_is_a_task_of_its_own_at_the_end(practice: Season) -> None:
    plan = plan_of(practice)
    line = next(x for x in plan.lines if x.batch_id and not x.packed)
    past_batch(practice, line.batch_id)
    own = [left(x) for x in plan.lines if x.batch_id == line.batch_id]
    here = [x for x in own if x.from_place_id == line.from_place_id]
    sheet = day_sheet(practice, made_up(plan, *own))
    past = sheet.tasks[-1]
    assert past.kind is DayTaskKind.PAST
    assert past.clearing is not None
    assert past.clearing.crates == sum(x.crates for x in here)
    assert line.batch_id not in {staying.line.batch_id for staying in sheet.stays}
    now = practice.now().astimezone(UTC)
    cleared = practice.do(actions.carrying.clear, past.clearing, now)
    tasks = tasks_of(practice, made_up(plan), cleared={cleared: past.kind})
    (done,) = of(DayTaskKind.PAST, tasks)
    assert done.done_record_id == cleared
    assert practice.book.removals[cleared].outcome == "discarded"


def test_what_stays_is_told_beside_what_is_to_be_done(practice: Season) -> None:
    plan = plan_of(practice)
    sheet = day_sheet(practice, plan)
    moved = {task.line for task in of(DayTaskKind.MOVE, sheet.tasks)}
    stays = {staying.line for staying in sheet.stays}
    assert stays
    assert not stays & moved
    own = {line for line in plan.lines if line.batch_id}
    assert {line.batch_id for line in own - stays - moved} <= {
        line.batch_id for line in own if line.market_day_id or line.packed
    }
