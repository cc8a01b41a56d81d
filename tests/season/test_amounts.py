"""How many fruit a batch is, how many are left, and what is sold by weight or by box."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.exchange.season_json import read_json, write_json
from ripenroom.records.batch import Batch, Removal
from ripenroom.records.book import Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.entry import PickEntry
from ripenroom.records.market import SecondGrade, SoldBy, Want
from ripenroom.records.orchard import Row
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.amounts import (
    crates_left,
    crates_of,
    fruit_in,
    fruit_left,
    fruit_mass_kg,
    fruit_per_crate,
    fruit_picked,
    mass_of,
    picked_fruit,
    sizes_of,
    whole_fruit,
)
from ripenroom.season.season import Season
from tests.season.farm import NOW, ROOM, batch_and_move, book_of, farm_records
from tests.season.plans.planning import CROPS, farm_book, market_records, planned


def test_a_count_goes_before_a_weight() -> None:
    batch, _ = batch_and_move(1, count=7, weight_kg=90.0)
    assert fruit_picked(batch, 0.15) == 7.0


def test_a_weight_is_so_many_usual_fruit() -> None:
    batch, _ = batch_and_move(1, count=None, weight_kg=3.0)
    assert fruit_picked(batch, 0.15) == pytest.approx(20.0)


def test_neither_is_no_fruit() -> None:
    assert fruit_picked(batch_and_move(1, count=None)[0], 0.15) == 0.0


def test_the_usual_fruit_is_the_profiles() -> None:
    assert 0.05 < fruit_mass_kg(shipped_profiles()["pawpaw"]) < 0.4


def test_what_was_taken_out_is_not_left() -> None:
    batch, move = batch_and_move(1)
    sold = Removal(id="sold", batch_id=batch.id, at=NOW, count=12, outcome="sold")
    book = book_of(*farm_records(), batch, move, sold)
    assert fruit_left(book, CROPS, batch) == 8.0
    assert fruit_left(book, CROPS, batch, NOW) == 20.0
    assert fruit_left(book, CROPS, batch, NOW + timedelta(seconds=1)) == 8.0


def test_what_was_weighed_is_counted_by_its_usual_fruit() -> None:
    batch, move = batch_and_move(1, count=None, feel_counts=None, weight_kg=10.0)
    fruit = 10.0 / (CROPS["pawpaw"].fruit_mass_g.value / 1000.0)
    assert picked_fruit(CROPS, batch) == pytest.approx(fruit)
    assert whole_fruit(fruit) == int(fruit) + (fruit > int(fruit))
    assert crates_left(book_of(*farm_records(), batch, move), CROPS, batch) >= 1


@pytest.mark.parametrize(
    ("fruit", "crates"), [(0.0, 0), (0.4, 0), (1.0, 1), (20.0, 1), (20.5, 2), (41.0, 3)]
)
def test_a_crate_that_is_not_full_is_one_more(fruit: float, crates: int) -> None:
    assert crates_of(fruit, 20.0) == crates


def test_crates_that_are_not_full_hold_alike_many() -> None:
    assert [fruit_in(n, 26.0, 25.0) for n in (1, 2, 3)] == [13.0, 26.0, 26.0]
    assert [fruit_in(n, 75.0, 25.0) for n in (1, 2, 3)] == [25.0, 50.0, 75.0]
    assert fruit_in(1, 0.0, 25.0) == 0.0


def test_crates_of_an_unknown_crop_and_of_nothing_are_refused() -> None:
    strange, move = batch_and_move(1, crop="moonfruit")
    book = book_of(*farm_records(), strange, move)
    with pytest.raises(Refusal) as caught:
        fruit_per_crate(CROPS, strange)
    assert caught.value.field == "batch_id"
    empty, move = batch_and_move(2, count=0, feel_counts=None)
    with pytest.raises(Refusal) as caught:
        crates_left(book.with_changes([empty, move]), CROPS, empty)
    assert "no fruit left" in caught.value.message


@pytest.fixture
def season(written_practice: Path, tmp_path: Path) -> Season:
    path = tmp_path / "season.ripenroom"
    path.write_bytes(written_practice.read_bytes())
    return Season.open(path)


def next_day(season: Season) -> str:
    ahead = [d for d in season.book.market_days.values() if d.starts_at > season.now()]
    return min(ahead, key=lambda day: day.starts_at).id


def save(season: Season, want: Want) -> Want:
    day = season.book.market_days[want.market_day_id]
    season.do(actions.ahead.save_market_day, day, [want])
    return season.book.wants[want.id]


def pounds(season: Season) -> Want:
    return Want(
        id="w", market_day_id=next_day(season), crop="pawpaw", count=1, sold_by="lb", amount=30.0,
        unit_price_minor=450,
    )  # fmt: skip


def mass_kg(season: Season) -> float:
    """Of a fruit, by the number that 30 lb are."""
    found = season.ask.fruit_sold("pawpaw", "kg", 1.0, None)
    assert found is not None
    return 1.0 / found.fruit


def test_pounds_become_fruit_and_keep_what_was_typed(season: Season) -> None:
    want = save(season, pounds(season))
    fruit_per_lb = 0.45359237 / mass_kg(season)
    assert want.count == round(30 * fruit_per_lb)
    assert want.price_minor == round(450 / fruit_per_lb)
    assert (want.amount, want.sold_by, want.unit_price_minor) == (30.0, "lb", 450)
    # What is asked for is the same money.
    assert want.count * want.price_minor == pytest.approx(30 * 450, rel=0.02)


def test_the_doubt_of_a_weight_is_that_of_the_fruit(season: Season) -> None:
    found = season.ask.fruit_sold("pawpaw", "lb", 30.0, None)
    assert found is not None
    assert found.low < found.fruit < found.high
    boxes = season.ask.fruit_sold("pawpaw", "box", 12.0, 15)
    assert boxes == (180.0, 180.0, 180.0)


def test_boxes_are_as_many_fruit_as_was_said(season: Season) -> None:
    want = save(
        season,
        Want(
            id="w", market_day_id=next_day(season), crop="pawpaw", count=1, sold_by="box",
            amount=12.0, unit_price_minor=2000, fruit_per_box=15,
        ),
    )  # fmt: skip
    assert (want.count, want.price_minor) == (180, 133)


def test_a_heavier_pick_makes_fewer_fruit_in_the_same_step(season: Season) -> None:
    before = save(season, pounds(season))
    place = next(iter(season.book.places))
    heavy = PickEntry(
        crop="pawpaw", place_id=place, picked_at=season.now(), count=100, weight_kg=40.0
    )
    season.do(actions.picks.add, heavy)
    after = season.book.wants["w"]
    assert after.count < before.count
    assert after.amount == before.amount
    season.undo()
    assert season.book.wants["w"] == before


def test_second_grade_by_weight(season: Season) -> None:
    grade = SecondGrade(
        id="g", crop="pawpaw", price_minor=0, sold_by="kg", amount_per_day=20.0,
        unit_price_minor=300,
    )  # fmt: skip
    season.do(actions.ahead.save_second_grades, [grade])
    kept = season.book.second_grades["g"]
    assert kept.fruit_per_day == round(20 / mass_kg(season))
    assert kept.price_minor == round(300 * mass_kg(season))


def test_it_stays_in_the_file_and_in_json(season: Season, tmp_path: Path) -> None:
    want = save(season, pounds(season))
    path = season.path
    write_json(season.book, tmp_path / "all.json")
    season.close()
    again = Season.open(path)
    assert again.book.wants["w"] == want
    again.close()
    assert read_json(tmp_path / "all.json").wants["w"] == want


@pytest.mark.parametrize(
    "want",
    [
        Want(id="w", market_day_id="", crop="pawpaw", count=1, sold_by="lb"),
        Want(id="w", market_day_id="", crop="pawpaw", count=1, sold_by="box", amount=2.0),
        Want(id="w", market_day_id="", crop="pawpaw", count=1, amount=2.0),
        Want(id="w", market_day_id="", crop="pawpaw", count=1, sold_by="lb", amount=0.0),
    ],
)
def test_what_cannot_be_is_refused(season: Season, want: Want) -> None:
    day = season.book.market_days[next_day(season)]
    with pytest.raises(Refusal):
        season.do(actions.ahead.save_market_day, day, [want])


def sizes(*records: Record) -> list[float]:
    book = farm_book(*records)
    ids = [record.id for record in records if isinstance(record, Batch)]
    return [float(size) for size in sizes_of(book, CROPS, ids)]


def test_a_batch_is_as_heavy_as_it_weighed_else_as_its_row_else_usual() -> None:
    heavy, light, plain = (
        *batch_and_move(1, count=100, weight_kg=45.0),
        *batch_and_move(2, count=100, weight_kg=15.0),
        *batch_and_move(3, count=100),
    )[::2]
    found = sizes(heavy, light, plain)
    assert found[0] > 1.3
    assert found[1] < 0.8
    assert found[2] == 1.0
    row = Row(id="big", name="Big", cultivar_id="early", trees=3, fruit_mass_g=400.0)
    (of_row,) = sizes(*batch_and_move(4, count=100, row_id="big"), row)
    usual_kg = mass_of(farm_book(), CROPS["pawpaw"]).usual_kg
    assert of_row == pytest.approx(0.4 / usual_kg)


def test_of_heavy_fruit_fewer_are_brought_to_who_buys_by_weight() -> None:
    """By count a market wants the same number of fruit, whatever they weigh."""

    usual_kg = mass_of(farm_book(), CROPS["pawpaw"]).usual_kg

    def fruit_brought(sold_by: SoldBy, times: float) -> float:
        day, want = market_records(2, {"pawpaw": 100})
        assert isinstance(want, Want)
        if sold_by != "fruit":
            want = replace(want, sold_by=sold_by, amount=25.0, unit_price_minor=400)
        mass_g = 1000.0 * times * usual_kg
        row = Row(id="own", name="Own", cultivar_id="early", trees=3, fruit_mass_g=mass_g)
        batch = batch_and_move(0, ROOM, count=400, feel_counts=(0, 0, 20, 0, 0), row_id="own")
        plan = planned(farm_book(day, want, row, *batch))
        return sum(line.fruit for line in plan.lines if line.market_day_id)

    usual = fruit_brought("kg", 1.0)
    assert fruit_brought("kg", 1.6) == pytest.approx(usual / 1.6, abs=25.0)  # whole crates
    assert fruit_brought("fruit", 1.6) == fruit_brought("fruit", 1.0) == usual
