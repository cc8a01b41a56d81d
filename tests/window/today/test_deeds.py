"""What stands on the day sheet."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.check import Check
from ripenroom.season.changes.change import NamedChange
from ripenroom.window.session import Session
from ripenroom.window.today.deeds import Deed, DeedKind, deeds_of
from tests.window.planned import planned, todays_move


def of(kind: DeedKind, deeds: tuple[Deed, ...]) -> list[Deed]:
    return [deed for deed in deeds if deed.kind is kind]


def test_without_a_plan_nothing_is_asked(session: Session) -> None:
    assert not of(DeedKind.MOVE, deeds_of(session))


def test_moves_of_today_and_no_others(qtbot: QtBot, session: Session) -> None:
    plan = planned(qtbot, session)
    today = session.season.now().date()
    expected = {
        line
        for line in plan.lines
        if line.batch_id and line.steps and session.words.local(line.steps[0].at).date() == today
    } | {
        line
        for line in plan.lines
        if line.second_grade
        and line.pull_at is not None
        and session.words.local(line.pull_at).date() == today
    }
    moves = of(DeedKind.MOVE, deeds_of(session))
    assert moves
    assert {deed.line for deed in moves} == expected
    assert not any(deed.done for deed in moves)


def test_a_line_that_was_ticked_is_not_asked_again(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    line = todays_move(session)
    assert line not in {deed.line for deed in deeds_of(session, {line})}


def test_a_batch_that_is_elsewhere_by_now_is_not_moved(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    line = todays_move(session)
    other = next(
        key
        for key in session.season.book.places
        if key not in (line.from_place_id, line.to_place_id)
    )
    session.season.move([line.batch_id], other, session.season.now())
    moves = of(DeedKind.MOVE, deeds_of(session))
    assert line.batch_id not in {deed.record_id for deed in moves if not deed.done}
    (done,) = [deed for deed in moves if deed.done]
    assert done.record_id == line.batch_id
    assert done.done_record_id in session.season.book.moves


def test_a_part_that_was_moved_is_done_and_its_earlier_moves_are_not_told_twice(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    season, line = session.season, todays_move(session)
    earlier = season.now() - timedelta(hours=1)
    if season.place_of(line.batch_id, earlier) is None:
        pytest.skip("picked within the hour")
    moved = season.plans.carry_out(line.next_step(), season.now().astimezone(UTC))
    part = season.plans.split(moved, 1) if (season.book.batches[moved].count or 0) > 1 else None
    done = [deed.record_id for deed in of(DeedKind.MOVE, deeds_of(session)) if deed.done]
    assert done == [moved]
    assert part is None or part.id not in done


def test_what_is_done_stands_after_what_is_open(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    line = todays_move(session)
    session.season.plans.carry_out(line.next_step(), session.season.now().astimezone(UTC))
    planned(qtbot, session)
    moves = of(DeedKind.MOVE, deeds_of(session))
    states = [deed.done for deed in moves]
    assert states == sorted(states)
    assert states[-1]


def test_packing_is_for_today_and_tomorrow(qtbot: QtBot, session: Session) -> None:
    season = session.season
    day = next(d for d in season.book.market_days.values() if d.starts_at > season.now())
    season.read_as_on(day.starts_at - timedelta(days=1))
    plan = planned(qtbot, session)
    packs = of(DeedKind.PACK, deeds_of(session))
    soon = {line.market_day_id for line in (deed.line for deed in packs) if line is not None}
    assert soon == {day.id}
    assert len(packs) == len([x for x in plan.lines if x.market_day_id == day.id and x.batch_id])
    season.read_as_on(day.starts_at - timedelta(days=3))
    planned(qtbot, session)
    assert not of(DeedKind.PACK, deeds_of(session))


def test_packed_crates_are_done(qtbot: QtBot, session: Session) -> None:
    season = session.season
    day = next(d for d in season.book.market_days.values() if d.starts_at > season.now())
    season.read_as_on(day.starts_at - timedelta(days=1))
    planned(qtbot, session)
    line = of(DeedKind.PACK, deeds_of(session))[0].line
    assert line is not None
    pin = season.plans.pack(line, season.now().astimezone(UTC))
    planned(qtbot, session)
    packs = of(DeedKind.PACK, deeds_of(session))
    assert [deed.done_record_id for deed in packs if deed.done] == [pin.id]
    assert all(deed.line is None or deed.line.pin_id != pin.id for deed in packs)


def test_in_the_evening_tomorrows_moves_are_told(qtbot: QtBot, session: Session) -> None:
    season = session.season
    planned(qtbot, session)
    season.read_as_on(season.now().replace(hour=18, minute=30))
    plan = planned(qtbot, session)
    tomorrow = season.now().date() + timedelta(days=1)
    expected = {
        line
        for line in plan.lines
        if line.steps
        and line.batch_id
        and session.words.local(line.steps[0].at).date() == tomorrow
        and not line.packed
    }
    moves = {deed.line for deed in of(DeedKind.MOVE, deeds_of(session))}
    assert expected
    assert expected <= moves


def test_a_market_day_that_is_over_is_to_be_settled(session: Session) -> None:
    season = session.season
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at + timedelta(hours=1))
    assert not of(DeedKind.SETTLE, deeds_of(session))
    season.read_as_on(day.starts_at.replace(hour=20))
    assert [deed.record_id for deed in of(DeedKind.SETTLE, deeds_of(session))] == [day.id]
    season.read_as_on(day.starts_at + timedelta(days=11))
    assert day.id not in {deed.record_id for deed in of(DeedKind.SETTLE, deeds_of(session))}


def test_a_settled_market_day_is_done(session: Session) -> None:
    season = session.season
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at + timedelta(days=1))
    season.act(NamedChange("settled", (replace(day, settled_at=season.now().astimezone(UTC)),)))
    (deed,) = of(DeedKind.SETTLE, deeds_of(session))
    assert deed.done


def test_picks_that_are_expected_today_or_are_late(session: Session) -> None:
    season = session.season
    place_id = next(iter(season.book.places))
    today = season.now().date()
    for name, on in (("today", today), ("later", today + timedelta(days=1))):
        pick = ExpectedPick(id=name, crop="pawpaw", on=on, count=30, place_id=place_id)
        season.plans.save_expected_pick(pick)
    # That nothing more comes is nothing to do.
    season.plans.save_expected_pick(replace(pick, id="over", crop="pear", on=today, count=0))
    assert [deed.record_id for deed in of(DeedKind.EXPECT, deeds_of(session))] == ["today"]
    season.read_as_on(season.now() + timedelta(days=1))
    assert [deed.record_id for deed in of(DeedKind.EXPECT, deeds_of(session))] == ["today", "later"]


def test_a_pick_that_came_is_told_on_that_day_only(session: Session) -> None:
    came = {"gone": session.season.now()}
    (deed,) = of(DeedKind.EXPECT, deeds_of(session, came=came))
    assert deed.done
    session.season.read_as_on(session.season.now() + timedelta(days=1))
    assert not of(DeedKind.EXPECT, deeds_of(session, came=came))


def test_checks_of_today_are_done(session: Session) -> None:
    season = session.season
    batch_id = next(i for i, n in zip(*_left(session), strict=True) if n > 5)
    check = Check(
        id="c",
        batch_id=batch_id,
        at=season.now().astimezone(UTC),
        feel_counts=(0, 3, 2, 0, 0),
    )
    season.act(NamedChange("check", (check,)))
    (deed,) = of(DeedKind.CHECK, deeds_of(session))
    assert (deed.record_id, deed.done_record_id) == (batch_id, "c")


def _left(session: Session) -> tuple[tuple[str, ...], list[float]]:
    projection = session.projection()
    return projection.batch_ids, projection.left.tolist()
