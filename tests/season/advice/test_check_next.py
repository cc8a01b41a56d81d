"""Which batches to squeeze today."""

import random
import threading
from dataclasses import fields, replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check, Lesson
from ripenroom.records.market import SecondGrade
from ripenroom.records.orchard import Cultivar, DayWeather, MonthlyNormal
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.advice.check_next import MOST_BATCHES, check_next
from ripenroom.season.learning.fit import fit
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.advice.test_set_points import COLD, CROPS, WARM, ZONE, farm
from tests.season.farm import NOW, batch_and_move, market
from tests.worked_out import plan_of


def checks(book: Book) -> tuple[CheckNext, ...]:
    return check_next(SeasonState(book, CROPS, NOW, ZONE))


def doubtful() -> Book:
    """A batch nobody felt, one that was felt well, and market days early and late."""
    early, early_wants = market(4.0, {"pawpaw": 150})
    late, late_wants = market(12.0, {"pawpaw": 150})
    picked = NOW - timedelta(days=1)
    felt = batch_and_move(1, COLD, count=120, picked_at=picked, feel_counts=(0, 120, 0, 0, 0))
    unfelt = batch_and_move(2, COLD, count=120, picked_at=picked, feel_counts=None)
    return farm(3.0, 20.0).with_changes(
        [*felt, *unfelt, early, *early_wants, late, *late_wants],
        farm(3.0, 20.0).market_days.values(),
    )


def test_the_batch_that_nobody_felt_comes_first() -> None:
    found = checks(doubtful())
    assert found[0].batch_id == "batch 2"
    assert all(one.gain_minor < found[0].gain_minor for one in found[1:])
    assert found[0].fruit in (5, 8, 12, 20, 30)
    assert found[0].reason in CheckReason
    assert found[0].decides_at is not None
    assert NOW < found[0].decides_at <= NOW + timedelta(days=12)


def test_what_was_squeezed_lately_is_left_alone() -> None:
    book = doubtful()
    squeezed = Check(
        id="c", batch_id="batch 2", at=NOW - timedelta(hours=2), feel_counts=(0, 9, 1, 0, 0)
    )
    assert "batch 2" in {one.batch_id for one in checks(book)}
    assert "batch 2" not in {one.batch_id for one in checks(book.with_changes([squeezed]))}
    long_ago = replace(squeezed, at=NOW - timedelta(hours=20))
    assert "batch 2" in {one.batch_id for one in checks(book.with_changes([long_ago]))}


def test_where_nothing_can_be_decided_nothing_is_to_be_squeezed() -> None:
    book = doubtful()
    assert checks(replace(book, market_days={}, wants={})) == ()
    assert checks(replace(book, batches={}, moves={})) == ()
    only = {COLD: book.places[COLD]}
    one_day = {key: day for key, day in book.market_days.items() if key == "market 4.0"}
    wants = {k: w for k, w in book.wants.items() if w.market_day_id == "market 4.0"}
    nothing_to_choose = replace(book, places=only, market_days=one_day, wants=wants)
    assert all(one.gain_minor < 30.0 for one in checks(nothing_to_choose))


@pytest.mark.long
def test_on_the_practice_farm_few_batches_are_named_the_largest_gain_first(
    practice: Season,
) -> None:
    now = practice.now()
    found = check_next(SeasonState(practice.book, practice.crops, now, practice.zone))
    assert 0 < len(found) <= MOST_BATCHES
    gains = [one.gain_minor for one in found]
    assert gains == sorted(gains, reverse=True)
    plan = plan_of(practice)
    assert 0.0 < sum(gains) < plan.outcome.net
    for one in found:
        assert practice.projection().left[practice.projection().line_of[one.batch_id]] >= 1.0
        assert one.decides_at is None or one.decides_at > now
        if one.market_day_id is not None:
            assert practice.book.market_days[one.market_day_id].starts_at > now


def test_the_same_records_give_the_same_advice() -> None:
    found = checks(doubtful())
    assert found
    assert checks(doubtful()) == found


@pytest.mark.parametrize("markets", [0, 1])
def test_without_two_market_days_no_check_decides_between_them(
    practice: Season, markets: int
) -> None:
    """Evenings of second grade are no market days."""
    book, now = practice.book, practice.now()
    ahead = sorted(
        (day for day in book.market_days.values() if day.starts_at > now),
        key=lambda day: day.starts_at,
    )
    others = [day for day in book.market_days.values() if day not in ahead[:markets]]
    gone = {day.id for day in others}
    alone = book.with_changes(
        [SecondGrade(id="pulp", crop="pawpaw", price_minor=80)],
        [
            *book.second_grades.values(),
            *(want for want in book.wants.values() if want.market_day_id in gone),
            *(one for one in book.brought.values() if one.market_day_id in gone),
            *(pin for pin in book.pins.values() if pin.market_day_id in gone),
            *(out for out in book.removals.values() if out.market_day_id in gone),
            *others,
        ],
    )
    found = check_next(SeasonState(alone, practice.crops, now, practice.zone))
    reasons = {one.reason for one in found}
    assert CheckReason.GRADE in reasons
    assert CheckReason.WHERE not in reasons


def test_it_can_be_called_off() -> None:
    cancel = threading.Event()
    cancel.set()
    assert check_next(SeasonState(doubtful(), CROPS, NOW, ZONE), cancel=cancel) == ()


def test_more_doubt_promises_more() -> None:
    book = doubtful()
    unfelt = next(one for one in checks(book) if one.batch_id == "batch 2")
    known = replace(book.batches["batch 2"], feel_counts=(0, 120, 0, 0, 0))
    felt = {one.batch_id: one for one in checks(book.with_changes([known]))}
    gain = felt["batch 2"].gain_minor if "batch 2" in felt else 0.0
    assert gain < unfelt.gain_minor


def two_cultivars(warm: str, cold: str) -> Book:
    """A batch in the warm of one cultivar and one in the cold of another, felt alike; much more of
    both waits in the cold for market days in a week."""
    early, early_wants = market(6.0, {"pawpaw": 90})
    late, late_wants = market(9.0, {"pawpaw": 90})
    cultivars = [Cultivar(id=key, crop="pawpaw", name=key) for key in ("one", "two")]
    felt = (0, 20, 0, 0, 0)
    made: list[Record] = []
    for number, (place, cultivar) in enumerate(
        [(WARM, warm), (COLD, cold), *((COLD, key) for key in ("one", "two", "one", "two"))]
    ):
        picked = NOW - timedelta(days=4)
        made += batch_and_move(
            number, place, count=60, picked_at=picked, feel_counts=felt, cultivar_id=cultivar
        )
    base = farm(3.0, 20.0)
    return base.with_changes(
        [*cultivars, *made, early, *early_wants, late, *late_wants], base.market_days.values()
    )


def test_a_check_in_the_warm_tells_how_fast_its_cultivar_softens() -> None:
    for warm, cold in (("one", "two"), ("two", "one")):
        found = checks(two_cultivars(warm, cold))
        assert found[0].batch_id == "batch 0"
        assert found[0].reason is CheckReason.PACE
        # It was in the cold all the time: how old it is says nothing of its rate.
        assert all(one.reason is not CheckReason.PACE for one in found[1:])


def test_without_others_of_its_cultivar_there_is_no_pace_to_learn() -> None:
    book = two_cultivars("one", "two")
    others = [book.batches[f"batch {number}"] for number in range(2, 6)]
    moves = [book.moves[f"move {number}"] for number in range(2, 6)]
    alone = checks(book.with_changes(deleted=[*others, *moves]))
    assert all(one.reason is not CheckReason.PACE for one in alone)


def test_a_pace_that_is_known_already_is_not_learned_again() -> None:
    book = two_cultivars("one", "two")
    with_doubt = checks(book)[0]
    lessons = [
        Lesson(
            id=f"lesson {n}",
            crop="pawpaw",
            cultivar=key,
            log_rate=0.0,
            log_rate_sd=0.01,
            checks=50,
            taught_by="last year",
        )
        for n, key in enumerate(["one", "two"] * 3)
    ]
    known = SeasonState(book.with_changes(lessons), CROPS, NOW, ZONE)
    found = check_next(replace(known, learned=fit(known)))
    gain = {one.batch_id: one.gain_minor for one in found}.get("batch 0", 0.0)
    assert gain < 0.6 * with_doubt.gain_minor


def with_other_ids(book: Book, seed: int) -> Book:
    """The same records in another order, with other ids, where these do not follow from a date."""
    draw = random.Random(seed)
    dated = (DayWeather, MonthlyNormal)
    drawn = [record for record in book.records() if not isinstance(record, dated)]
    new = {record.id: f"{draw.getrandbits(64):016x}" for record in drawn}

    def renamed(record: Record) -> Record:
        refers = [
            f.name for f in fields(record) if f.name in ("id", "split_from") or "_id" in f.name
        ]
        ids: dict[str, Any] = {name: new.get(getattr(record, name)) for name in refers}
        return replace(record, **{name: key for name, key in ids.items() if key is not None})

    records = [renamed(record) for record in book.records()]
    draw.shuffle(records)
    return Book(book.season).with_changes(records)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_neither_ids_nor_the_order_of_records_make_other_advice(
    practice: Season, seed: int
) -> None:
    def told(book: Book) -> list[tuple[object, ...]]:
        found = check_next(SeasonState(book, practice.crops, practice.now(), practice.zone))
        return [
            (book.batches[one.batch_id].code, one.fruit, one.reason, f"{one.gain_minor:.5g}")
            for one in found
        ]

    assert told(with_other_ids(practice.book, seed)) == told(practice.book)
