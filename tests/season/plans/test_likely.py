"""Picks that the last picks make likely: how many, until when, and what a plan does."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.book import Book, Record
from ripenroom.records.orchard import Cultivar
from ripenroom.season.plans.expected_picks import (
    count_range,
    likely_ahead,
    likely_crops,
    likely_picks,
)
from ripenroom.season.plans.plan import Plan, roughly
from ripenroom.season.state import SeasonState
from tests.season.farm import COLD, NOW, ROOM, SHELF, UNUSED, batch_and_move
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    expected,
    farm_book,
    faults,
    market_records,
    planned,
)

TODAY = NOW.astimezone(LISBON).date()


def picked(*days_ago: int, count: int = 60, place: str = COLD, **given: object) -> list[Record]:
    """Picks of so many fruit so many days ago."""
    made: list[Record] = []
    for days in days_ago:
        at = NOW - timedelta(days=days)
        made += batch_and_move(days, place, picked_at=at, count=count, **given)
    return made


def likely_counts(book: Book) -> list[int]:
    """Fruit of each likely pick."""
    return [pick.count for pick in likely_picks(SeasonState(book, CROPS, NOW, LISBON))]


def test_the_growers_own_word_counts_instead_until_its_last_day() -> None:
    picks = picked(1, 3, 5)
    likely = likely_picks(SeasonState(farm_book(*picks), CROPS, NOW, LISBON))
    assert min(pick.on for pick in likely) < expected(2).on
    said = farm_book(*picks, expected(2), expected(4))
    later = tuple(pick for pick in likely if pick.on > expected(4).on)
    assert later
    assert likely_picks(SeasonState(said, CROPS, NOW, LISBON)) == later
    # What was expected of days gone by says nothing of those to come, nor does another crop.
    for other in (expected(-1), replace(expected(4), crop="pear")):
        assert likely_picks(SeasonState(farm_book(*picks, other), CROPS, NOW, LISBON)) == likely


def over(days: int, **given: object) -> Record:
    """The word that nothing more comes from so many days from now on."""
    return replace(expected(days), count=0, **given)  # type: ignore[arg-type]


def test_nothing_is_likely_once_it_is_said_that_nothing_more_comes() -> None:
    picks = picked(0, 1, 3, 5)
    likely = likely_picks(SeasonState(farm_book(*picks), CROPS, NOW, LISBON))
    assert likely_counts(farm_book(*picks, over(0))) == []
    # Also days later, until something is picked on a later day than that.
    book = farm_book(*picks, over(-2))
    assert likely_counts(farm_book(*picked(3, 4, 5), over(-2))) == []
    assert likely_picks(SeasonState(book, CROPS, NOW, LISBON)) == likely
    # From a day ahead on: what comes before still does.
    sooner = tuple(pick for pick in likely if pick.on < expected(6).on)
    assert 0 < len(sooner) < len(likely)
    assert likely_picks(SeasonState(farm_book(*picks, over(6)), CROPS, NOW, LISBON)) == sooner
    assert likely_counts(farm_book(*picks, over(0, crop="pear"))) == likely_counts(
        farm_book(*picks)
    )


def test_of_a_cultivar_that_is_over_the_others_are_still_likely() -> None:
    late = Cultivar(id="late", crop="pawpaw", name="Late")
    both = [
        late,
        *picked(1, 3, 5, count=40, cultivar_id="early"),
        *picked(2, 4, cultivar_id="late"),
    ]
    all_of_it = likely_counts(farm_book(*both))
    rest = likely_counts(farm_book(*both, over(0, cultivar_id="early")))
    assert 0 < sum(rest) < sum(all_of_it)
    # 120 of the 240 fruit of these days were of the other one, which was picked once less.
    assert 0.4 * sum(all_of_it) < sum(rest) < 0.7 * sum(all_of_it)


def test_the_plan_reckons_with_nothing_once_nothing_more_comes() -> None:
    hoards, says_so = planned(near_and_far(NO_MORE)), planned(near_and_far(over(0)))
    assert says_so.likely == ()
    assert sold_on(says_so, "market 4") == sold_on(hoards, "market 4")
    assert all(line.expected_pick_id is None for line in says_so.lines)


def test_weighed_fruit_counts_too_and_what_nobody_knows_does_not() -> None:
    mass_kg = CROPS["pawpaw"].fruit_mass_g.value / 1000.0
    weighed = picked(1, 3, 5, count=None, weight_kg=60 * mass_kg)  # type: ignore[arg-type]
    assert likely_counts(farm_book(*weighed)) == likely_counts(farm_book(*picked(1, 3, 5)))
    assert likely_counts(farm_book(*picked(1, 3, 5, crop="medlar"))) == []


def test_they_come_into_the_place_where_most_picks_came() -> None:
    book = farm_book(*picked(1, 3, place=SHELF), *picked(5))
    assert {pick.place_id for pick in likely_picks(SeasonState(book, CROPS, NOW, LISBON))} == {
        SHELF
    }


NO_MORE = expected(20)
"""The next pick that the grower expects: after all markets."""


def sold_on(plan: Plan, day_id: str) -> int:
    """Crates that go to a market day."""
    return sum(line.crates for line in plan.lines if line.market_day_id == day_id)


def near_and_far(*extra: Record, far_price: int = 200) -> Book:
    """Ripening fruit, a market in four days, and a dearer one in twelve."""
    markets: Sequence[Record] = [
        *market_records(4, {"pawpaw": 60}, price=100),
        *market_records(12, {"pawpaw": 80}, price=far_price),
    ]
    gives = (0, 0, 20, 0, 0)
    return farm_book(*picked(1, 3, 5, feel_counts=gives, count=40), *markets, *extra)


def test_a_near_market_is_served_where_more_fruit_is_likely_for_the_far_one() -> None:
    hoards, reckons = planned(near_and_far(NO_MORE)), planned(near_and_far())
    near = "market 4"
    assert sold_on(reckons, near) > sold_on(hoards, near)
    assert reckons.likely
    assert hoards.likely == ()


def test_a_far_market_is_waited_for_only_if_it_is_much_dearer() -> None:
    little, much = (planned(near_and_far(NO_MORE, far_price=price)) for price in (120, 200))
    assert sold_on(little, "market 4") > sold_on(much, "market 4")


@pytest.mark.parametrize("days_ago", [(1, 8), (6, 13), (0, 7, 14)], ids=str)
def test_where_something_is_picked_each_week_no_rule_does_better(days_ago: tuple[int, ...]) -> None:
    """Neither fruit that is yet to come nor what is kept for later may seem to wait for less, or
    longer, than what is at hand."""
    markets = [r for n in (3, 10, 17) for r in market_records(n, {"pawpaw": 60}, price=150)]
    plan = planned(farm_book(*picked(*days_ago, count=120), *markets))
    assert plan.likely
    rules = plan.first_in_first_out.net, plan.first_expired_first_out.net
    assert plan.with_likely.net >= max(rules) - 1.0


def two_rooms(*records: Record, crates: int | None = None) -> Book:
    """A farm whose cold room and warm room hold so many crates each, and where nothing can be
    moved to any other place."""
    book = farm_book(*records)
    rooms = (replace(book.places[key], capacity_crates=crates) for key in (COLD, ROOM))
    bins = (replace(book.places[key], kind="field bin") for key in (SHELF, UNUSED))
    return book.with_changes([*rooms, *bins])


def test_fruit_at_hand_is_not_kept_for_a_festival_that_likely_picks_can_fill() -> None:
    """Hard fruit, markets in three and seven days, and a festival in fourteen that pays 1.2 times
    as much: less than waiting another week is worth."""
    hard = picked(0, 2, feel_counts=(5, 14, 1, 0, 0), count=80)
    markets = [
        *market_records(3, {"pawpaw": 40}, price=150),
        *market_records(7, {"pawpaw": 40}, price=150),
        *market_records(14, {"pawpaw": 200}, price=180),
    ]
    plan = planned(two_rooms(*hard, *markets))
    assert (sold_on(plan, "market 7"), sold_on(plan, "market 14")) == (8, 0)
    # What may never come is not what the nearer market hangs on: it goes to the festival.
    goes = {line.market_day_id for line in plan.reckoned_lines}
    assert "market 14" in goes
    assert "market 7" not in goes
    (nearer,) = (market for market in plan.markets if market.market_day_id == "market 7")
    assert nearer.ready.mid >= 0.9 * nearer.wanted


@pytest.mark.parametrize("days_ago", [0, 1])
def test_nothing_at_hand_is_given_up_for_the_room_of_likely_picks(days_ago: int) -> None:
    """Both rooms are full; what stands warm is past before the first market if it stays there."""
    gives = (0, 0, 14, 6, 0)
    book = two_rooms(
        *picked(3, count=60, feel_counts=(0, 16, 4, 0, 0)),
        *picked(days_ago, count=60, place=ROOM, feel_counts=gives),
        *market_records(4, {"pawpaw": 75}, price=300),
        *market_records(9, {"pawpaw": 75}, price=300),
        crates=3,
    )
    plan = planned(book)
    assert plan.likely
    assert faults(book, plan) == []
    assert sum(line.crates for line in plan.lines) == 6
    assert all(line.market_day_id is not None for line in plan.lines)


def test_nothing_is_promised_of_them() -> None:
    book = near_and_far()
    plan = planned(book)
    assert faults(book, plan) == []
    assert all(line.batch_id in book.batches for line in plan.lines)
    assert all(line.expected_pick_id is None for line in plan.lines)
    there = sum(batch.count or 0 for batch in book.batches.values())
    assert sum(line.fruit for line in plan.lines) == pytest.approx(there)
    assert sum(market.planned for market in plan.markets) <= there
    worth = sum(line.expected_value_minor for line in plan.lines)
    assert worth == pytest.approx(plan.outcome.value.mean)


def test_the_plan_and_the_rules_are_compared_with_likely_picks_in_both() -> None:
    plan = planned(near_and_far())
    assert plan.with_likely.sold.mean > plan.outcome.sold.mean
    for rule in (plan.first_in_first_out, plan.first_expired_first_out, plan.as_it_is):
        assert rule.net <= plan.with_likely.net * 1.02
    sure = planned(near_and_far(NO_MORE))
    assert sure.with_likely == sure.outcome


def test_picks_after_the_last_market_are_left_out() -> None:
    plan = planned(near_and_far())
    last = TODAY + timedelta(days=12)
    assert plan.likely
    assert all(pick.on <= last for pick in plan.likely)


def test_what_differs_from_pick_to_pick_averages_out_and_the_rest_does_not() -> None:
    (likely,) = likely_crops(SeasonState(farm_book(*picked(1, 3, 5, 7, 9, 11)), CROPS, NOW, LISBON))
    picks = likely_ahead(SeasonState(farm_book(*picked(1, 3, 5, 7, 9, 11)), CROPS, NOW, LISBON))
    assert (likely.first, likely.last) == (picks[0].pick.on, picks[-1].pick.on)
    assert likely.count.mid == roughly(sum(one.pick.count for one in picks))
    ranges = [count_range([one]) for one in picks]
    assert likely.count.low > sum(one.low for one in ranges)
    assert likely.count.high < sum(one.high for one in ranges)
    # The rate and the end are in doubt for all of them: no more than a third surer than one alone.
    one, all_of_it = ranges[0], likely.count
    assert (all_of_it.high - all_of_it.low) / all_of_it.mid > 0.6 * (one.high - one.low) / one.mid


def test_a_market_day_knows_what_likely_picks_are_to_bring_it() -> None:
    """It is in none of its other numbers."""
    book = farm_book(*picked(1, 3, 5), *market_records(9, {"pawpaw": 200}))
    plan = planned(book)
    [market] = plan.markets
    likely = sum(
        line.fruit * line.expected_ready_share
        for line in plan.reckoned_lines
        if line.market_day_id == market.market_day_id
    )
    assert market.likely == pytest.approx(likely)
    assert market.likely > 1.0
    at_hand = sum(
        line.fruit * line.expected_ready_share
        for line in plan.lines
        if line.market_day_id == market.market_day_id
    )
    assert market.ready.mid == pytest.approx(at_hand)
