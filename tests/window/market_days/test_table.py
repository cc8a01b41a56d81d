"""The market days as a table."""

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest
from PySide6.QtCore import Qt

from ripenroom.records.book import new_id
from ripenroom.records.market import SoldBy, Want
from ripenroom.season import actions
from ripenroom.season.day_sheet import DayTaskKind, day_sheet
from ripenroom.window.market_days.table import Column, market_columns
from ripenroom.window.session import Session
from ripenroom.window.widgets.table import Table
from ripenroom.wording.market_days import MarketDayOutlook, market_lines
from ripenroom.wording.today.tasks import task_item

Days = Table[MarketDayOutlook]


@pytest.fixture
def table(session: Session) -> Days:
    made = Table(market_columns(session, lambda: False), id_of=lambda line: line.day.id)
    made.show_rows(market_lines(session))
    return made


def test_what_comes_next_is_on_top_and_what_is_over_below(table: Days, session: Session) -> None:
    today = session.season.now().date()
    days = [line.day.starts_at.astimezone(session.season.zone).date() for line in table.rows]
    ahead = [day for day in days if day >= today]
    over = [day for day in days if day < today]
    assert days == sorted(ahead) + sorted(over, reverse=True)
    assert [line.over for line in table.rows] == [False] * len(ahead) + [True] * len(over)
    assert ahead
    assert over


def test_a_day_ahead_says_wanted_ready_and_verdict(table: Days) -> None:
    text = str(table.index(0, Column.WANTS).data(Qt.ItemDataRole.AccessibleTextRole))
    for line, want in zip(text.splitlines(), table.rows[0].wants, strict=True):
        assert line.startswith(want.crop)
        assert "wanted" in line
        assert "good" in line
        assert "(" in line


def test_a_day_that_is_over_says_what_was_sold(table: Days, session: Session) -> None:
    over = next(line for line in table.rows if line.over and line.wants)
    book = session.season.book
    sold = sum(
        removal.count
        for removal in book.removals.values()
        if removal.market_day_id == over.day.id and removal.outcome == "sold"
    )
    assert sum(want.sale.sold for want in over.wants if want.sale) == sold > 0
    row = table.row_of(over.day.id)
    assert row is not None
    assert "sold" in str(table.index(row, Column.WANTS).data())
    heard = table.index(row, Column.DAY).data(Qt.ItemDataRole.AccessibleTextRole)
    assert str(heard).endswith("over")


def test_a_market_that_runs_today_is_not_over(table: Days, session: Session) -> None:
    season = session.season
    early = season.now() - timedelta(hours=1)
    first = table.rows[0].day
    season.do(actions.ahead.save_market_day, replace(first, starts_at=early), [])
    table.show_rows(market_lines(session))
    row = table.row_of(first.id)
    assert row == 0
    assert not table.rows[0].over


def test_a_market_day_is_over_when_today_says_so(table: Days, session: Session) -> None:
    season = session.season
    first = min((line.day for line in table.rows if not line.over), key=lambda d: d.starts_at)
    for clock, over in ((time(17, 59), False), (time(18), True)):
        season.read_as_on(
            datetime.combine(first.starts_at.astimezone(season.zone), clock, tzinfo=season.zone)
        )
        table.show_rows(market_lines(session))
        row = table.row_of(first.id)
        assert row is not None
        assert table.rows[row].over == season.ask.is_over(first) == over
        [to_settle] = [
            task
            for task in day_sheet(season, None).tasks
            if task.kind is DayTaskKind.SETTLE and task.record_id == first.id
        ]
        assert ("is over:" in task_item(to_settle, session).headline) == over


def test_a_market_day_that_is_no_more_has_no_row(table: Days) -> None:
    assert table.row_of("no such day") is None


def test_a_day_of_which_nothing_is_written_down_says_so_and_not_that_none_was_sold(
    table: Days, session: Session
) -> None:
    season = session.season
    first = table.rows[0].day
    wants = [w for w in season.book.wants.values() if w.market_day_id == first.id]
    season.do(
        actions.ahead.save_market_day,
        replace(first, starts_at=season.now() - timedelta(days=1)),
        wants,
    )
    table.show_rows(market_lines(session))
    row = table.row_of(first.id)
    assert row is not None
    text = str(table.index(row, Column.WANTS).data())
    assert text.endswith("nothing entered yet: press A to enter what was sold")
    assert "wanted" in text
    assert "sold" not in text.removesuffix("what was sold")


@pytest.mark.parametrize(
    ("sold_by", "amount", "price", "box", "asked"),
    [
        ("lb", 10.0, None, None, "10\u00a0lb, about {count} fruit"),
        ("lb", 10.0, 450, None, "10\u00a0lb at {price}, about {count} fruit"),
        ("kg", 2.5, None, None, "2.5\u00a0kg, about {count} fruit"),
        ("box", 2.0, 3000, 15, "2 boxes at {price}, {count} fruit"),
        ("box", 1.0, None, 15, "1 box, {count} fruit"),
        ("fruit", None, 200, None, "{count} wanted at {price}"),
    ],
)
def test_what_is_wanted_is_said_as_it_was_typed(
    table: Days,
    session: Session,
    sold_by: SoldBy,
    amount: float | None,
    price: int | None,
    box: int | None,
    asked: str,
) -> None:
    words, day = session.words, table.rows[0].day
    by_fruit = sold_by == "fruit"
    want = Want(
        id=new_id(),
        market_day_id=day.id,
        crop="pawpaw",
        count=30,
        price_minor=price if by_fruit else None,
        sold_by=sold_by,
        amount=amount,
        unit_price_minor=None if by_fruit else price,
        fruit_per_box=box,
    )
    session.season.do(actions.ahead.save_market_day, day, [want])
    table.show_rows(market_lines(session))
    row = table.row_of(day.id)
    assert row is not None
    said = str(table.index(row, Column.WANTS).data(Qt.ItemDataRole.AccessibleTextRole))
    saved = next(w for w in session.season.book.wants.values() if w.market_day_id == day.id)
    money = words.money(price) if price is not None else ""
    assert said.startswith(f"Pawpaw, {asked.format(count=saved.count, price=money)} · good ")
