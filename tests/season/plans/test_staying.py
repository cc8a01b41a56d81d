"""What is said to be kept is still good when a market day may come, where it stands."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.cli.reader import CommandReader
from ripenroom.exchange.plan_tables import plan_table
from ripenroom.season import actions
from ripenroom.season.plans.plan import Plan, PlannedMove, StayReason
from ripenroom.season.plans.staying import WhyStaying
from ripenroom.season.season import Season
from ripenroom.wording.plan.fates import Fates
from tests.season.plans.planned import planned
from tests.worked_out import plan_of


@pytest.fixture
def no_market(practice: Season) -> Season:
    """A season in which no market day lies ahead."""
    ahead = [d.id for d in practice.book.market_days.values() if d.starts_at > practice.now()]
    for day_id in ahead:
        practice.do(actions.ahead.delete_market_day, day_id)
    return practice


def why(season: Season, plan: Plan) -> WhyStaying:
    return WhyStaying(season.book, plan, season.projection(), season.zone)


def test_overripe_fruit_is_not_said_to_be_kept_without_any_market_day(no_market: Season) -> None:
    """The plan thought of a better place for it, but moves nothing there."""
    plan = plan_of(no_market)
    asked = why(no_market, plan)
    soon = no_market.now() + timedelta(days=4)
    fates = Fates(plan, CommandReader(no_market))
    notes = list(plan_table(no_market, plan)["note"])
    ends = []
    for line, note in zip(plan.lines, notes, strict=True):
        if line.market_day_id or line.second_grade or line.steps or not line.batch_id:
            continue
        closes = asked.closes(line)
        if closes is not None and closes <= soon:
            ends.append(line)
            assert note == f"past from {closes.astimezone(no_market.zone):%Y-%m-%d}"
            day = CommandReader(no_market).words.day(closes)
            said = fates.words(line)
            assert said.endswith((f" from {day}", f" since {day}", " from today", " from tomorrow"))
    assert any(line.kept for line in ends)
    assert "kept for later" in notes


def test_what_the_plan_moves_keeps_and_what_hardly_does_is_not_kept(no_market: Season) -> None:
    projection, plan = no_market.projection(), plan_of(no_market)
    soon = no_market.now() + timedelta(days=4)
    spoils = next(
        batch_id
        for n, batch_id in enumerate(projection.batch_ids)
        if projection.left[n] > 0 and projection.closes_h.mid[n] < soon.timestamp() / 3600.0
    )
    place = no_market.place_of(spoils)
    assert place is not None
    line = planned(
        spoils, 1, from_place_id=place.id, to_place_id=place.id, expected_ready_share=0.5
    )
    assert line.kept
    asked = why(no_market, plan)
    assert not asked.keeps(line)
    other = next(key for key in no_market.book.places if key != place.id)
    step = PlannedMove(no_market.now() + timedelta(hours=8), other)
    moved = replace(line, to_place_id=other, pull_at=step.at, steps=(step,))
    assert asked.keeps(moved)
    assert not asked.keeps(replace(moved, expected_ready_share=0.1))
    assert asked.stays(line, 1).reason is not StayReason.KEPT
