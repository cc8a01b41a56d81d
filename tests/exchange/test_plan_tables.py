"""The plan, and set points that were tried, as tables."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from ripenroom.exchange.plan_tables import (
    PLAN_COLUMNS,
    SETPOINT_COLUMNS,
    money,
    plan_table,
    setpoint_table,
)
from ripenroom.records.file import SeasonFile
from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.advice.advice import PlaceAdvice, RoomPair, SetPointAdvice, WorthCurve
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, ROOM, SHELF, farm_records, season_record
from tests.season.writing import write
from tests.worked_out import plan_of


@pytest.fixture
def practice(written_practice: Path, tmp_path: Path) -> Iterator[Season]:
    season = Season.open(Path(copyfile(written_practice, tmp_path / "practice.ripenroom")))
    yield season
    season.close()


def test_every_line_is_a_row_in_words(practice: Season) -> None:
    plan = plan_of(practice)
    table = plan_table(practice, plan)
    assert tuple(table.columns) == PLAN_COLUMNS
    assert len(table) == len(plan.lines)
    codes = {batch.code for batch in practice.book.batches.values()}
    names = {place.name for place in practice.book.places.values()}
    for line, (_, row) in zip(plan.lines, table.iterrows(), strict=True):
        if line.expected_pick_id:
            pick = practice.book.expected_picks[line.expected_pick_id]
            assert row["batch"] == f"{pick.crop} {pick.on:%m%d}"
        else:
            assert row["batch"] in codes
            batch = practice.book.batches[line.batch_id]
            felt = practice.ask.last_felt(batch.id) or ""
            assert (row["crop"], row["feel"]) == (batch.crop, felt)
        assert row["fruit"] == round(line.fruit)
        assert ("not picked yet" in row["note"]) == (line.expected_pick_id is not None)
        assert ("second grade" in row["note"]) == line.second_grade
        assert ("first to" in row["note"]) == (len(line.steps) > 1)
        assert row["from_place"] in names
        assert row["to_place"] in (names if line.to_place_id else {""})
        assert bool(row["pull_time"]) == (line.pull_at is not None)
        assert bool(row["market_day"]) == (line.market_day_id is not None)
        if line.market_day_id or line.second_grade:
            assert float(row["expected_ready_share"]) == pytest.approx(
                line.expected_ready_share, abs=0.0006
            )
            assert float(row["expected_value"]) == pytest.approx(
                line.expected_value_minor / 100.0, abs=0.006
            )
        else:
            assert (row["expected_ready_share"], row["expected_value"]) == ("", "")


def test_pins_and_two_moves_are_told_in_words(practice: Season) -> None:
    plan = plan_of(practice)
    line = next(line for line in plan.lines if line.market_day_id and line.batch_id)
    for packed_at, note in ((None, "pinned"), (practice.now(), "packed")):
        pin = Pin(
            id="pin",
            batch_id=line.batch_id,
            crates=1,
            market_day_id=line.market_day_id,
            packed_at=packed_at,
        )
        write(practice, Action("pin", (pin,)))
        assert note in list(plan_table(practice, plan_of(practice, plan))["note"])
    once = next(line for line in plan.lines if len(line.steps) == 1)
    first = once.steps[0]._replace(at=once.steps[0].at - timedelta(days=2))
    twice = replace(once, steps=(first, *once.steps))
    table = plan_table(practice, replace(plan, lines=(twice,)))
    place = practice.book.places[twice.steps[0].place_id].name
    when = twice.steps[0].at.isoformat(timespec="minutes")
    assert table["note"][0].endswith(f"first to {place} {when}")


def test_a_season_without_fruit_has_an_empty_table(practice: Season) -> None:
    practice.do(actions.batches.delete, list(practice.book.batches))
    write(practice, Action("picks", deleted=tuple(practice.book.expected_picks.values())))
    table = plan_table(practice, plan_of(practice))
    assert (len(table), tuple(table.columns)) == (0, PLAN_COLUMNS)


@pytest.mark.parametrize(("currency", "shown"), [("EUR", "12.35"), ("JPY", "1235")])
def test_money_has_the_decimals_of_its_currency(
    practice: Season, currency: str, shown: str
) -> None:
    practice.do(actions.season.save, replace(practice.book.season, currency=currency))
    assert money(practice, 1234.6) == shown


@pytest.fixture
def living(tmp_path: Path) -> Iterator[Season]:
    path = tmp_path / "farm.ripenroom"
    SeasonFile.create(path, season_record(), farm_records()).close()
    season = Season.open(path)
    yield season
    season.close()


CURVE = WorthCurve(18.0, (2.0, 4.0), (30_000.0, 31_000.0), (0.5, 0.51), (0.3, 0.25))
PLACE = PlaceAdvice(
    place_id=COLD,
    today_c=4.0,
    advised_c=4.0,
    flat_low_c=3.0,
    flat_high_c=5.0,
    colder_loses_minor=None,
    warmer_loses_minor=None,
    lowest_c=0.0,
    highest_c=25.0,
    lowest_crop="pawpaw",
    highest_crop=None,
    curve=CURVE,
    as_it_is=CURVE,
)
PAIR = RoomPair(
    cold_id=COLD,
    ripening_id=ROOM,
    cold_c=(2.0, 4.0),
    ripening_c=(16.0, 18.0),
    value_minor=((29_000.0, 30_000.0), (30_500.0, 31_000.0)),
    sold_share=((0.5, 0.5), (0.5, 0.51)),
    chilling_used=((0.3, 0.3), (0.25, 0.25)),
    advised=(1, 1),
    today=(1, 0),
)
ROOM_ADVICE = replace(PLACE, place_id=ROOM, today_c=16.0, advised_c=18.0)
SINGLE = replace(PLACE, place_id=SHELF)
ADVICE = SetPointAdvice(NOW, (PLACE, ROOM_ADVICE, SINGLE), PAIR, 30_500.0, 500.0)


def test_a_row_for_every_pair_of_settings_and_for_each_of_a_place_alone(
    living: Season,
) -> None:
    table = setpoint_table(living, ADVICE)
    assert tuple(table.columns) == SETPOINT_COLUMNS
    assert table.to_numpy().tolist() == [
        ["Cold", 2.0, "Room", 16.0, "290.00", "0.500", "0.300"],
        ["Cold", 2.0, "Room", 18.0, "300.00", "0.500", "0.300"],
        ["Cold", 4.0, "Room", 16.0, "305.00", "0.500", "0.250"],
        ["Cold", 4.0, "Room", 18.0, "310.00", "0.510", "0.250"],
        ["Shelf", 2.0, "", "", "300.00", "0.500", "0.300"],
        ["Shelf", 4.0, "", "", "310.00", "0.510", "0.250"],
    ]


def test_of_nothing_the_table_is_empty(living: Season) -> None:
    assert len(setpoint_table(living, SetPointAdvice(NOW, (), None, 0.0, 0.0))) == 0
