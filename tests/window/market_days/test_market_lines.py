"""What is said of market days, with and without a plan."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.records.market import MarketDay, Pin, Want
from ripenroom.season import actions
from ripenroom.season.plans.plan import LikelyFruit
from ripenroom.window.market_days.table import foot_words
from ripenroom.window.session import Session
from ripenroom.wording.market_days import market_lines, packed_words, want_words, wanted_words
from ripenroom.wording.names import fruit_name
from ripenroom.wording.today.page import day_page
from tests.window.planned import planned


def test_without_a_plan_a_day_gets_all_that_will_be_ready(session: Session) -> None:
    [first, *_] = market_lines(session)
    supplies = {(s.market_day_id, s.crop): s for s in session.season.supply()}
    assert first.takings_minor is None
    for line in first.wants:
        assert line.planned is None
        assert line.supply in supplies.values()


def test_with_a_plan_a_day_gets_what_is_brought(qtbot: QtBot, session: Session) -> None:
    plan = planned(qtbot, session)
    [first, *_] = market_lines(session)
    markets = [one for one in plan.markets if one.market_day_id == first.day.id]
    assert [line.planned for line in first.wants] == sorted(markets, key=lambda one: one.crop)
    for line in first.wants:
        assert line.planned is not None
        assert line.supply is not None
        assert (line.supply.low, line.supply.ready, line.supply.high) == line.planned.ready
    brought = [line for line in plan.lines if line.market_day_id == first.day.id]
    worth = sum(line.expected_value_minor for line in brought)
    assert first.takings_minor == pytest.approx(worth)
    assert worth > 0


def test_what_likely_picks_are_to_bring_is_told_beside_what_is_planned(
    qtbot: QtBot, session: Session
) -> None:
    """On the day's line, below its crops, and where too little is said to come."""
    plan = planned(qtbot, session)
    [first, *_] = market_lines(session)
    own, want = next((w.planned, w) for w in first.wants if w.planned is not None)
    assert "likely" not in want_words(want, session.words)
    assert "likely" not in foot_words(first, session)
    told = replace(want, planned=replace(own, likely=29.4))
    assert want_words(told, session.words).endswith("about 30 more from likely picks")
    line = replace(first, wants=(told,))
    fruit = fruit_name(session.season.crops, own.crop, 30)
    assert foot_words(line, session).endswith(f"likely picks may bring more: about 30 {fruit}")
    short = replace(plan.markets[0], ready=LikelyFruit(0.0, 1.0, 2.0), wanted=40, likely=29.4)
    markets = (short, *plan.markets[1:])
    session.plans.plan = replace(plan, markets=markets)
    day = session.season.book.market_days[short.market_day_id]
    wants = [w for w in session.season.book.wants.values() if w.market_day_id == day.id]
    changed = [replace(w, count=40) if w.crop == short.crop else w for w in wants]
    session.season.do(actions.ahead.save_market_day, day, changed)
    session.plans.plan = replace(plan, markets=markets)
    [market] = [g for g in day_page(session).groups if g.title == "For the next market days"]
    assert any("; about 30 more from likely picks" in item.reason for item in market.items)


@pytest.mark.usefixtures("few_batches")
def test_a_plan_of_before_a_want_was_changed_says_nothing_of_it(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    season = session.season
    [first, *_] = market_lines(session)
    wants = [w for w in season.book.wants.values() if w.market_day_id == first.day.id]
    season.do(
        actions.ahead.save_market_day,
        first.day,
        [replace(wants[0], count=wants[0].count + 1), *wants[1:]],
    )
    again = market_lines(session)[0]
    assert sum(line.planned is None for line in again.wants) == 1


def test_a_plan_of_before_a_day_was_added_expects_no_sales_of_it(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    season = session.season
    day = MarketDay(
        id="new", name="New", kind="market", starts_at=season.now() + timedelta(hours=30)
    )
    want = Want(id="w", market_day_id="new", crop="pawpaw", count=5, price_minor=200)
    season.do(actions.ahead.save_market_day, day, [want])
    (line,) = (line for line in market_lines(session) if line.day.id == "new")
    assert line.takings_minor is None


@pytest.fixture
def begun_day(season_path: Path) -> str:
    """A market day of the practice season that began half an hour ago, with a crate packed."""
    file = SeasonFile.open(season_path)
    book = file.read()
    now = datetime(2026, 10, 1, 6, 30, tzinfo=UTC)  # where its clock stands
    day = MarketDay(id="begun", name="Begun", kind="market", starts_at=now - timedelta(minutes=30))
    want = Want(id="w", market_day_id=day.id, crop="pawpaw", count=20, price_minor=200)
    batch = next(one for one in book.batches.values() if one.crop == "pawpaw" and one.count == 5)
    pin = Pin(
        id="pin",
        batch_id=batch.id,
        crates=1,
        market_day_id=day.id,
        packed_at=now - timedelta(hours=2),
    )
    file.write("import", [day, want, pin])
    file.close()
    return day.id


def test_a_day_that_has_begun_tells_what_was_packed_and_foretells_nothing(
    begun_day: str, qtbot: QtBot, session: Session
) -> None:
    for _ in ("without a plan", "with one"):
        (line,) = (one for one in market_lines(session) if one.day.id == begun_day)
        assert (line.over, line.takings_minor) == (False, None)
        (want,) = line.wants
        assert (want.packed, want.supply, want.planned, want.sale) == (5, None, None, None)
        planned(qtbot, session)
    assert packed_words(5, session.words) == "packed 5"
    assert packed_words(0, session.words) == "none packed"


@pytest.mark.parametrize(
    ("want", "said"),
    [
        ({"count": 10, "price_minor": 200}, "10 pawpaws at €2.00"),
        ({"count": 1}, "1 pawpaw"),
        (
            {
                "count": 30,
                "price_minor": 149,
                "sold_by": "lb",
                "amount": 10.0,
                "unit_price_minor": 450,
            },
            "10\u00a0lb of pawpaws at €4.50, about 30 fruit at €1.49 each",
        ),
        (
            {"count": 30, "sold_by": "box", "amount": 2.0, "fruit_per_box": 15},
            "2 boxes of pawpaws: 30 fruit",
        ),
    ],
)
def test_what_is_wanted_is_said_as_it_was_typed(
    session: Session, want: dict[str, Any], said: str
) -> None:
    asked = Want(id="w", market_day_id="d", crop="pawpaw", **want)
    assert wanted_words(asked, session) == said


@pytest.mark.usefixtures("few_batches")
def test_without_prices_there_are_no_takings(qtbot: QtBot, session: Session) -> None:
    season = session.season
    [first, *_] = market_lines(session)
    wants = [w for w in season.book.wants.values() if w.market_day_id == first.day.id]
    season.do(
        actions.ahead.save_market_day,
        first.day,
        [replace(want, price_minor=None) for want in wants],
    )
    planned(qtbot, session)
    assert market_lines(session)[0].takings_minor is None


def test_a_day_that_is_settled_tells_what_became_of_it(session: Session) -> None:
    book = session.season.book
    settled = next(line for line in market_lines(session) if line.day.settled_at is not None)
    assert settled.over
    sales = [line.sale for line in settled.wants if line.sale is not None]
    assert len(sales) == len(settled.wants)
    brought = [b.count for b in book.brought.values() if b.market_day_id == settled.day.id]
    assert sum(sale.brought or 0 for sale in sales) == sum(brought) > 0
    gone = [r for r in book.removals.values() if r.market_day_id == settled.day.id]
    assert sum(s.sold + s.thrown for s in sales) == sum(r.count for r in gone)
    taken = [r.count * r.price_minor for r in gone if r.price_minor is not None]
    assert settled.takings_minor == (float(sum(taken)) if taken else None)


def test_what_was_sold_though_nobody_wanted_it_has_a_line(session: Session) -> None:
    season = session.season
    settled = next(line for line in market_lines(session) if line.day.settled_at is not None)
    kept: list[Want] = []
    season.do(actions.ahead.save_market_day, settled.day, kept)
    again = next(line for line in market_lines(session) if line.day.id == settled.day.id)
    sold = [line for line in again.wants if line.sale is not None and line.sale.sold]
    assert sold
    assert all(line.wanted == 0 for line in again.wants)


def test_a_day_of_today_that_has_begun_is_not_over(session: Session) -> None:
    season = session.season
    first = market_lines(session)[0].day
    begun = replace(first, starts_at=season.now() - timedelta(hours=1))
    season.do(actions.ahead.save_market_day, begun, [])
    assert not market_lines(session)[0].over


def test_a_day_of_which_nothing_is_written_down_has_no_sale(session: Session) -> None:
    season = session.season
    ahead = market_lines(session)[0]
    wants = [w for w in season.book.wants.values() if w.market_day_id == ahead.day.id]
    past = replace(ahead.day, starts_at=season.now() - timedelta(days=1))
    season.do(actions.ahead.save_market_day, past, wants)
    again = next(line for line in market_lines(session) if line.day.id == past.id)
    assert again.over
    assert wants
    assert [(line.sale, line.supply) for line in again.wants] == [(None, None)] * len(wants)
