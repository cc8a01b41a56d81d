"""What a plan brings to each market day."""

import pytest

from tests.season.farm import ROOM
from tests.season.plans.planning import farm_book, market_records, pin, planned

RIPE = (0, 0, 0, 20, 0)


def test_each_market_and_crop_is_told_by_day() -> None:
    book = farm_book(
        *market_records(5, {"pear": 30, "pawpaw": 60}),
        *market_records(2, {"pawpaw": 20}),
        batches=2,
    )
    plan = planned(book)
    assert [(m.market_day_id, m.crop, m.wanted) for m in plan.markets] == [
        ("market 2", "pawpaw", 20),
        ("market 5", "pawpaw", 60),
        ("market 5", "pear", 30),
    ]
    for market in plan.markets:
        of_it = [
            line
            for line in plan.lines
            if line.market_day_id == market.market_day_id
            and book.batches[line.batch_id].crop == market.crop
        ]
        assert market.planned == pytest.approx(sum(line.fruit for line in of_it))
        expected = sum(line.fruit * line.expected_ready_share for line in of_it)
        assert market.ready.mid == pytest.approx(expected, rel=0.15, abs=1.0)
        assert market.ready.low <= market.ready.mid <= market.ready.high <= market.planned + 1e-9
        assert market.shortage == pytest.approx(max(market.wanted - market.ready.mid, 0.0))
        assert 0.0 <= market.risk <= 1.0


def test_a_market_with_plenty_is_at_no_risk_and_one_with_nothing_at_all() -> None:
    wanted = market_records(0.2, {"pawpaw": 10})
    kept = [pin(n, 3, market_day_id=wanted[0].id) for n in range(3)]
    plan = planned(farm_book(*wanted, *kept, batches=3, place=ROOM))
    (market,) = plan.markets
    assert market.planned == pytest.approx(180.0)
    bare = planned(farm_book(*wanted))
    assert (bare.markets[0].risk, bare.markets[0].shortage) == (1.0, 10.0)
    assert market.risk <= bare.markets[0].risk
