"""What became of the fruit, and what the trees earned."""

from dataclasses import replace

import pytest

from ripenroom.records.batch import Removal
from ripenroom.records.book import Book
from ripenroom.records.market import SecondGrade
from ripenroom.records.orchard import Row
from ripenroom.season.fruit_balance import BalanceRow, FruitTally, balance
from ripenroom.season.practice import demo_book
from ripenroom.season.season import Season
from tests.season.farm import NOW, batch_and_move, book_of, farm_records, market


def removal(number: int, count: int, **given: object) -> Removal:
    facts: dict[str, object] = {"outcome": "sold", **given}
    return Removal(
        id=f"out {number}",
        batch_id="batch 1",
        at=NOW,
        count=count,
        **facts,  # type: ignore[arg-type]
    )


@pytest.fixture
def book() -> Book:
    day, wants = market(-1.0, {"pawpaw": 50})
    wants = [replace(want, price_minor=200) for want in wants]
    batch, move = batch_and_move(1, count=100, cultivar_id="early", row_id="row")
    return book_of(
        *farm_records(),
        batch,
        move,
        day,
        *wants,
        SecondGrade(id="pulp", crop="pawpaw", price_minor=40),
        removal(1, 30, market_day_id=day.id),
        removal(2, 10, market_day_id=day.id, price_minor=150),
        removal(3, 20, grade="second"),
        removal(4, 5, outcome="discarded"),
    )


def test_every_fruit_is_somewhere_and_earns_its_price(book: Book, living: Season) -> None:
    found = balance(book, living.crops)
    tally = FruitTally(1, 100.0, 40.0, 20.0, 5.0, 30 * 200 + 10 * 150 + 20 * 40, 0.0)
    assert found.whole == tally
    assert tally.left == 35.0
    assert found.rows == (BalanceRow("pawpaw", "row", tally, 9),)
    assert found.cultivars == (BalanceRow("pawpaw", "early", tally, 9),)
    [row] = found.rows
    assert row.money_per_tree_minor == pytest.approx(8300 / 9)
    assert row.sold_per_tree == pytest.approx(60 / 9)


def test_without_prices_or_trees_no_money_per_tree_is_told(book: Book, living: Season) -> None:
    untold = replace(book, wants={}, second_grades={})
    [row] = balance(untold, living.crops).rows
    assert (row.tally.money_minor, row.tally.unpriced) == (1500, 50.0)
    assert not row.tally.money_is_known
    assert row.money_per_tree_minor is None
    assert row.sold_per_tree is not None
    uncounted = book.with_changes([Row(id="two", name="Other", cultivar_id="early")])
    [cultivar] = balance(uncounted, living.crops).cultivars
    assert (cultivar.trees, cultivar.money_per_tree_minor) == (None, None)


def test_a_handful_is_too_little_to_compare(book: Book, living: Season) -> None:
    few = replace(book, removals={"a": removal(1, 12, price_minor=300)})
    [row] = balance(few, living.crops).rows
    assert row.tally.too_little
    assert (row.money_per_tree_minor, row.sold_per_tree) == (None, None)


def test_what_was_weighed_counts_by_its_weight(living: Season) -> None:
    batch, move = batch_and_move(1, count=None, weight_kg=10.0, feel_counts=None)
    strange, _ = batch_and_move(2, crop="moonfruit", count=None, weight_kg=10.0)
    found = balance(book_of(*farm_records(), batch, move, strange), living.crops)
    mass_kg = living.crops["pawpaw"].fruit_mass_g.value / 1000
    by_crop = {line.crop: line.tally for line in found.crops}
    assert by_crop["pawpaw"].picked == pytest.approx(10.0 / mass_kg)
    assert by_crop["moonfruit"].picked == 0.0


def test_parts_add_up_to_the_whole(living: Season) -> None:
    found = balance(demo_book(), living.crops)
    assert found.whole.money_minor > 0
    for lines in (found.crops, found.cultivars, found.rows):
        whole = FruitTally()
        for line in lines:
            whole = whole.plus(line.tally)
        assert whole == found.whole
        assert [line.crop for line in lines] == sorted(line.crop for line in lines)
