"""After the market: what was brought, sold and thrown away, by keyboard."""

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.market import MarketDay, Pin, Want
from ripenroom.season import actions
from ripenroom.season.actions.outcomes import outcomes_of
from ripenroom.season.actions.packing import Squeezed
from ripenroom.window.forms.settle_batch import SettleRow
from ripenroom.window.forms.settle_market import SettleDialog, can_be_settled
from ripenroom.window.session import Session
from tests.worked_out import plan_of

MakeForm = Callable[[str], SettleDialog]
STALL = "stall"


@pytest.fixture
def make_form(qtbot: QtBot, session: Session) -> MakeForm:
    def make(market_day_id: str) -> SettleDialog:
        form = SettleDialog(session, market_day_id)
        qtbot.addWidget(form)
        form.show()
        form.activateWindow()
        qtbot.waitUntil(form.isActiveWindow)
        return form

    return make


@pytest.fixture
def stall(session: Session) -> MarketDay:
    """A market of yesterday that is not settled yet."""
    season = session.season
    starts = season.now() - timedelta(hours=20)
    day = MarketDay(id=STALL, name="Harbour stall", kind="market", starts_at=starts)
    want = Want(id="want", market_day_id=STALL, crop="pawpaw", count=30, price_minor=150)
    season.do(actions.ahead.save_market_day, day, [want])
    return day


@pytest.fixture
def form(make_form: MakeForm, stall: MarketDay) -> SettleDialog:
    return make_form(stall.id)


def past_days(session: Session) -> list[MarketDay]:
    days = session.season.book.market_days.values()
    return sorted((d for d in days if d.settled_at), key=lambda day: day.starts_at)


def type_in(text: str) -> None:
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClicks(focus, text)


def tab() -> None:
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, Qt.Key.Key_Tab)


def test_it_is_filled_in_by_keyboard_down_the_columns(form: SettleDialog, session: Session) -> None:
    assert len(form.rows) >= 2
    first, second, *others = form.rows
    for row in others:
        row.remove.click()
    first.brought.setFocus()
    for number in ("3", "4", "2", "4", "1", ""):
        type_in(number)
        tab()
    assert first.price.hasFocus()
    assert [line.text() for line in first.lines[:3]] == ["3", "2", "1"]
    assert [line.text() for line in second.lines[:3]] == ["4", "4", ""]
    assert (first.back.text(), second.back.text()) == ("0", "0")
    QTest.keyClick(first.price, Qt.Key.Key_Return)
    assert not form.isVisible()
    written = {o.batch_id: o for o in outcomes_of(session.season.book, STALL)}
    told = written[first.batch.id]
    assert (told.brought, told.sold, told.thrown, told.price_minor) == (3, 2, 1, 150)
    assert written[second.batch.id].sold == 4
    assert session.season.book.market_days[STALL].settled_at == session.season.now()
    assert session.season.undo_label == "sales at Harbour stall"


def test_what_is_pinned_is_filled_in_and_the_gap_has_the_keyboard(
    make_form: MakeForm, stall: MarketDay, session: Session
) -> None:
    season = session.season
    projection = season.projection()
    crop = season.crops["pawpaw"].fruit_per_crate.value
    batch_id = max(
        (b.id for b in season.book.batches.values() if b.crop == "pawpaw"),
        key=lambda b: float(projection.left[projection.line_of[b]]),
    )
    left = int(projection.left[projection.line_of[batch_id]])
    starts = stall.starts_at + timedelta(days=2)
    season.do(
        actions.ahead.save_market_day,
        MarketDay(id="later", name="L", kind="market", starts_at=starts),
        [],
    )
    season.do(actions.pins.pin, Pin(id="pin", batch_id=batch_id, crates=1, market_day_id="later"))
    season.do(
        actions.ahead.save_market_day,
        MarketDay(id="later", name="L", kind="market", starts_at=season.now()),
        [],
    )
    form = make_form("later")
    (row,) = form.rows
    assert row.batch.id == batch_id
    # All crates of a batch hold alike many.
    assert row.brought.text() == str(round(left / math.ceil(left / crop)))
    assert row.sold.hasFocus()


def test_all_sold_by_one_key_for_a_line_and_by_one_button_for_all(form: SettleDialog) -> None:
    first, second = form.rows[:2]
    first.brought.setText("3")
    first.thrown.setText("1")
    QTest.keyClick(first.sold, Qt.Key.Key_A)
    assert (first.sold.text(), first.back.text()) == ("2", "0")
    second.brought.setText("4")
    first.sold.clear()
    form.all_sold.click()
    assert (first.sold.text(), second.sold.text()) == ("2", "4")
    second.sold.clear()
    second.all_sold.click()
    assert second.sold.text() == "4"


def test_what_came_back_and_the_takings_are_told_at_once(
    form: SettleDialog, session: Session
) -> None:
    row = form.rows[0]
    row.brought.setText("9")
    assert row.back.text() == "–"
    row.sold.setText("4")
    assert row.back.text() == "5"
    assert row.back.text() in row.back.accessibleName()
    row.thrown.setText("2")
    assert row.back.text() == "3"
    row.thrown.setText("7")
    assert row.back.text() == "–"
    row.thrown.setText("1")
    assert session.words.money(600) in form.total.text()
    assert "1 thrown away, 4 came back" in form.total.text()


@pytest.mark.parametrize(
    ("texts", "at", "word"),
    [
        (("3", "", "", ""), "sold", "0 if none"),
        (("3", "some", "", ""), "sold", "some"),
        (("", "2", "", ""), "brought", "Brought of"),
        (("3", "4", "", ""), "sold", "only 3"),
        (("3", "2", "2", ""), "thrown", "only 3"),
        (("9999", "2", "", ""), "brought", "cannot have been brought"),
        (("3", "2", "", "cheap"), "price", "cheap"),
    ],
)
def test_what_cannot_be_is_refused_at_its_number(
    form: SettleDialog, session: Session, texts: tuple[str, ...], at: str, word: str
) -> None:
    row = form.rows[1]
    for line, text in zip(row.lines, texts, strict=True):
        line.setText(text)
    before = session.season.book
    form.action_button.click()
    assert form.isVisible()
    assert session.season.book is before
    assert word in row.note.text
    fault = getattr(row, at)
    assert fault.hasFocus()
    assert [line for line in row.lines if line.property("refused")] == [fault]
    assert form.rows[0].note.text == ""


def test_another_batch_is_added_once(form: SettleDialog) -> None:
    shown = {row.batch.id for row in form.rows}
    offered = [form.batch.itemText(n) for n in range(form.batch.count())]
    form.more.click()
    added = form.rows[-1]
    assert added.batch.id not in shown
    assert added.brought.hasFocus()
    assert added.batch.code in offered[0]
    assert form.batch.count() == len(offered) - 1


def test_what_stands_packed_is_brought_and_its_sale_still_to_be_said(
    make_form: MakeForm, session: Session
) -> None:
    season = session.season
    ahead = (d for d in season.book.market_days.values() if d.starts_at > season.now())
    day = min(ahead, key=lambda one: one.starts_at)
    left = season.projection().left
    batch_id = next(
        key
        for key, fruit in zip(season.projection().batch_ids, left, strict=True)
        if fruit > 20 and season.book.batches[key].crop == "pawpaw"
    )
    season.do(actions.packing.pack_squeezed, day.id, [Squeezed(batch_id, 12, 3, 0)], season.now())
    season.read_as_on(day.starts_at + timedelta(hours=3))
    form = make_form(day.id)
    [row] = form.rows
    assert row.brought.text() == "12"
    assert form.total.text().startswith("Brought 12, sold 0")
    assert form.total.text().endswith(f"Still to fill in: {row.batch.code}.")
    row.sold.setText("12")
    assert "Still to fill in" not in form.total.text()


def test_without_any_line_nothing_came(form: SettleDialog, session: Session) -> None:
    for row in list(form.rows):
        row.remove.click()
    assert form.nothing.isVisible()
    assert not form.all_sold.isEnabled()
    form.action_button.click()
    assert session.season.book.market_days[STALL].settled_at is not None
    assert outcomes_of(session.season.book, STALL) == ()


def test_a_settled_day_is_shown_as_it_was_and_mended(make_form: MakeForm, session: Session) -> None:
    day = past_days(session)[-1]
    before = outcomes_of(session.season.book, day.id)
    form = make_form(day.id)
    assert [row.outcome() for row in form.rows] == list(before)
    row = form.rows[0]
    row.sold.setText(session.words.number(before[0].sold - 1))
    form.action_button.click()
    after = outcomes_of(session.season.book, day.id)
    assert after[0].sold == before[0].sold - 1
    assert after[1:] == before[1:]


def test_what_came_back_goes_to_a_place_and_is_found_there_again(
    make_form: MakeForm, form: SettleDialog, session: Session
) -> None:
    row = form.rows[0]
    row.brought.setText("3")
    row.sold.setText("1")
    here = session.season.place_of(row.batch.id)
    assert here is not None
    other = next(p for p in session.season.book.places.values() if p.id != here.id)
    assert form.back_to.choose(other.id)
    form.action_button.click()
    parts = [b for b in session.season.book.batches.values() if b.split_from == row.batch.id]
    moved = parts[0].id if parts else row.batch.id
    there = session.season.place_of(moved)
    assert there == other
    again = make_form(STALL)
    assert again.back_to.value() == other.id


def test_what_was_too_firm_is_ticked_and_found_again(
    make_form: MakeForm, form: SettleDialog, session: Session
) -> None:
    """Else what came back says nothing: perhaps nobody came to buy it."""
    assert not form.too_firm.isChecked()
    row = form.rows[0]
    row.brought.setText("4")
    row.sold.setText("1")
    form.too_firm.click()
    assert form.loses_typed()
    form.action_button.click()
    [squeeze] = [
        c
        for c in session.season.book.checks.values()
        if c.batch_id == row.batch.id and c.picks_over
    ]
    assert squeeze.sorted_counts == (3, 1, 0, 0)
    assert make_form(STALL).too_firm.isChecked()


def test_what_is_typed_is_not_thrown_away_by_one_slip(form: SettleDialog) -> None:
    form.rows[0].brought.setText("3")
    form.cancel_button.click()
    assert form.isVisible()
    form.cancel_button.click()
    assert not form.isVisible()


def test_a_form_that_was_not_touched_closes_at_once(form: SettleDialog) -> None:
    form.cancel_button.click()
    assert not form.isVisible()


def test_a_market_day_ahead_is_none_to_settle(session: Session) -> None:
    days = session.season.book.market_days.values()
    now = session.season.now()
    assert all(can_be_settled(session, day) == (day.starts_at <= now) for day in days)


def test_columns_stand_under_their_headings(form: SettleDialog) -> None:
    first, second = form.rows[:2]

    def left_edges(row: SettleRow) -> list[int]:
        return [editor.mapTo(form, editor.rect().topLeft()).x() for editor in row.editors]

    assert left_edges(first) == left_edges(second)
    assert first.captions[0].isVisible()
    assert not second.captions[0].isVisible()
    form.rows[0].remove.click()
    assert form.rows[0].captions[0].isVisible()


def test_what_yesterdays_plan_brought_is_filled_in(
    make_form: MakeForm, stall: MarketDay, session: Session
) -> None:
    season = session.season
    today = plan_of(season, steps=1_000)
    projection = season.projection()
    batch_id = projection.batch_ids[int(projection.left.argmax())]
    line = next(line for line in today.lines if line.batch_id)
    brought = replace(line, batch_id=batch_id, market_day_id=stall.id, fruit=7.0)
    session.plans.plan = replace(today, lines=())
    session.plans.before = replace(today, lines=(brought,))
    form = make_form(stall.id)
    assert [(row.batch.id, row.brought.text()) for row in form.rows] == [(batch_id, "7")]
