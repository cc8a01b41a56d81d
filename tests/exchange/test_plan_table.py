"""The table of a plan."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.exchange.plan_table import COLUMNS, money, plan_table
from ripenroom.season.demo import write_demo
from ripenroom.season.living import LivingSeason


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[LivingSeason]:
    path = tmp_path / "practice.ripenroom"
    write_demo(path)
    season = LivingSeason.open(path)
    yield season
    season.close()


def test_every_line_is_a_row_in_words(practice: LivingSeason) -> None:
    plan = practice.plan()
    table = plan_table(practice, plan)
    assert tuple(table.columns) == COLUMNS
    assert len(table) == len(plan.lines)
    codes = {batch.code for batch in practice.book.batches.values()}
    names = {place.name for place in practice.book.places.values()}
    for line, (_, row) in zip(plan.lines, table.iterrows(), strict=True):
        assert row["batch"] in codes
        assert row["from_place"] in names
        assert row["to_place"] in (names if line.to_place_id else {""})
        assert bool(row["pull_time"]) == (line.pull_at is not None)
        assert bool(row["market_day"]) == (line.market_day_id is not None)
        if line.market_day_id:
            assert float(row["expected_ready_share"]) == pytest.approx(
                line.expected_ready_share, abs=0.0006
            )
            assert float(row["expected_value"]) == pytest.approx(
                line.expected_value_minor / 100.0, abs=0.006
            )
        else:
            assert (row["expected_ready_share"], row["expected_value"]) == ("", "")


def test_a_season_without_fruit_has_an_empty_table(practice: LivingSeason) -> None:
    practice.delete_batches(list(practice.book.batches))
    table = plan_table(practice, practice.plan())
    assert (len(table), tuple(table.columns)) == (0, COLUMNS)


@pytest.mark.parametrize(("currency", "shown"), [("EUR", "12.35"), ("JPY", "1235")])
def test_money_has_the_decimals_of_its_currency(
    practice: LivingSeason, currency: str, shown: str
) -> None:
    practice.save_season(replace(practice.book.season, currency=currency))
    assert money(practice, 1234.6) == shown
