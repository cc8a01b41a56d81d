"""How far from its season a record may lie."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from ripenroom.days import full_day
from ripenroom.records.batch import Move
from ripenroom.records.market import ExpectedPick
from ripenroom.records.reach import AFTER, BEFORE, require_within_reach
from ripenroom.records.refusal import Refusal
from tests.season.farm import season_record

SEASON = season_record()
FIRST = datetime.combine(SEASON.first_day, datetime.min.time(), tzinfo=UTC)
MOVE = Move(id="m", batch_id="b", at=FIRST, place_id="p")
PICK = ExpectedPick(id="e", crop="pawpaw", on=SEASON.first_day, count=3, place_id="p")
DAY = timedelta(days=1)


@pytest.mark.parametrize("days", [-BEFORE, timedelta(0), AFTER])
def test_near_dates_are_taken(days: timedelta) -> None:
    near = (replace(MOVE, at=FIRST + days), replace(PICK, on=SEASON.first_day + days))
    require_within_reach(SEASON, near)


@pytest.mark.parametrize("days", [-BEFORE - DAY, AFTER + DAY])
def test_far_dates_are_refused_at_their_field(days: timedelta) -> None:
    for record, field in (
        (replace(MOVE, at=FIRST + days), "at"),
        (replace(PICK, on=SEASON.first_day + days), "on"),
    ):
        with pytest.raises(Refusal, match="too far from the season’s first day") as refused:
            require_within_reach(SEASON, [record])
        assert refused.value.field == field
        assert full_day(SEASON.first_day + days) in refused.value.message


def test_a_practice_clock_that_stands_far_off_is_refused() -> None:
    season = season_record(practice_now=FIRST + 2 * AFTER)
    with pytest.raises(Refusal):
        require_within_reach(season, [season])
