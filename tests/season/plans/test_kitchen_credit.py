"""A plan counts on what ripens in its buyers' kitchens, within their days and no longer."""

from dataclasses import replace

import pytest

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.market import MarketKind
from ripenroom.records.place import Place
from ripenroom.season.plans.plan import Plan
from ripenroom.season.projector import Projector
from tests.season.farm import COLD, NOW, UNUSED, batch_and_move, market
from tests.season.plans.planning import CROPS, GIVES, LISBON, farm_book, pin, planned

IN_DAYS = 2.0


def cold_alone(eaten_days: int | None, kind: MarketKind = "shop order") -> Book:
    """Pawpaws that give, at 3 C, nowhere else to put them, and a market day that gets them all."""
    batch = batch_and_move(1, count=60, feel_counts=GIVES)
    day, wants = market(IN_DAYS, {"pawpaw": 60}, kind=kind, eat_within_days=eaten_days)
    book = farm_book(*batch, day, *(replace(want, price_minor=100) for want in wants))
    others = [place for key, place in book.places.items() if key != COLD]
    points = [point for point in book.set_points.values() if point.place_id != COLD]
    return book.with_changes([pin(1, 3, market_day_id=day.id)], [*others, *points])


def share_brought(plan: Plan) -> float:
    """Share of the batch, straight out of the cold, that is expected to be good for its buyers."""
    (line,) = plan.lines
    assert (line.crates, line.steps) == (3, ())
    return line.expected_ready_share


def in_a_kitchen(days: float) -> float:
    """What of the fruit is ready or past if it is put into a kitchen of 20 C when the market
    begins; none of it is past by then."""
    book = cold_alone(0)
    day = next(iter(book.market_days.values()))
    kitchen = Place(id=UNUSED, name="Kitchen", kind="counter", half_cooling_h=2.0)
    warm = replace(next(iter(book.set_points.values())), id="w", place_id=UNUSED, set_point_c=20.0)
    to = Move(id="sold", batch_id="batch 1", at=day.starts_at, place_id=UNUSED)
    outlook = Projector(CROPS, LISBON).outlook(book.with_changes([kitchen, warm, to]), NOW)
    ready, past = outlook.shares(outlook.lines.batches.picked_h + 24.0 * (1.0 + IN_DAYS + days))
    return float(ready[0, 0] + past[0, 0])


@pytest.mark.parametrize("days", [1, 2, 3])
def test_a_shop_is_sold_what_gets_ready_in_a_kitchen_within_its_days(days: int) -> None:
    brought = share_brought(planned(cold_alone(days)))
    assert brought == pytest.approx(in_a_kitchen(days), abs=0.03)


def test_each_day_that_buyers_take_is_worth_more_fruit() -> None:
    shares = [share_brought(planned(cold_alone(days))) for days in range(5)]
    assert shares == sorted(shares)
    # Cold fruit is nowhere near ready as it is sold; three days later half of it is.
    assert shares[0] < 0.05
    assert shares[3] > 0.4


def test_without_days_of_its_own_a_shop_takes_four_and_a_festival_none() -> None:
    assert planned(cold_alone(None)).markets == planned(cold_alone(4)).markets
    festival = planned(cold_alone(None, "festival"))
    assert share_brought(festival) == share_brought(planned(cold_alone(0, "festival")))
    assert share_brought(festival) < 0.05
