"""The form of a market day, filled in as a grower would."""

from collections.abc import Callable
from datetime import date, time, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.market import MarketDay, Want
from ripenroom.season.actions.action import Action
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.session import Session
from tests.season.writing import write
from tests.window.week.hands import keyboard

MakeForm = Callable[..., MarketDayDialog]


@pytest.fixture
def make_form(qtbot: QtBot, session: Session) -> MakeForm:
    def make(day: MarketDay | None = None, on: date | None = None) -> MarketDayDialog:
        form = MarketDayDialog(session, day, on)
        form.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
        qtbot.addWidget(form)
        form.show()
        return form

    return make


def named(session: Session, name: str) -> list[MarketDay]:
    days = [day for day in session.season.book.market_days.values() if day.name == name]
    return sorted(days, key=lambda day: day.starts_at)


def test_a_new_market_day_with_two_wants(make_form: MakeForm, session: Session) -> None:
    form = make_form(on=date(2026, 10, 14))
    QTest.keyClicks(form.name, "Harbour stall")
    form.kind.choose("farm stand")
    form.at.set_time(time(9, 30))
    form.eat_within.choose(2)
    form.rows[0].count.setText("60")
    form.rows[0].price.setText(session.words.number(1.5, 2))
    form.more.click()
    form.rows[1].count.setText("25")
    form.action_button.click()
    assert not form.isVisible()
    (day,) = named(session, "Harbour stall")
    local = day.starts_at.astimezone(session.season.zone)
    assert (local.date(), local.hour, local.minute) == (date(2026, 10, 14), 9, 30)
    assert (day.kind, day.eat_within_days) == ("farm stand", 2)
    wants = [w for w in session.season.book.wants.values() if w.market_day_id == day.id]
    assert sorted((w.count, w.price_minor or 0) for w in wants) == [(25, 0), (60, 150)]
    assert len({w.crop for w in wants}) == 2


def test_the_hour_can_be_read(make_form: MakeForm) -> None:
    form = make_form()
    line = form.at
    assert line.width() >= line.fontMetrics().horizontalAdvance(line.text())


def test_a_refusal_goes_once_its_field_holds_something_else(
    make_form: MakeForm, session: Session
) -> None:
    form = make_form()
    form.action_button.click()
    assert form.board.fields["name"].note.isVisible()
    QTest.keyClicks(form.name, "Harbour stall")
    assert form.board.fields["name"].note.text == ""
    day = form.board.fields["starts_at"]
    form.on.line.selectAll()
    QTest.keyClicks(form.on.line, "yesterday")
    QTest.keyClick(form.on.line, Qt.Key.Key_Return)
    assert "is past" in day.note.text
    QTest.keyClicks(form.name, "s")
    assert "is past" in day.note.text  # of another field
    form.on.line.selectAll()
    QTest.keyClicks(form.on.line, "tomorrow")
    assert day.note.text == ""
    assert not form.on.line.property("refused")


def test_a_day_without_a_name_is_refused_at_the_name(make_form: MakeForm, session: Session) -> None:
    form = make_form()
    form.rows[0].count.setText("60")
    before = session.season.book
    form.action_button.click()
    assert form.isVisible()
    assert "name" in form.board.fields["name"].note.text
    assert form.rows[0].count.text() == "60"
    assert session.season.book is before


def test_a_count_that_is_none_is_refused_at_its_row(make_form: MakeForm) -> None:
    form = make_form()
    form.name.setText("Harbour stall")
    form.more.click()
    form.rows[0].count.setText("60")
    form.rows[1].count.setText("lots")
    form.action_button.click()
    assert "lots" in form.rows[1].note.text
    assert form.rows[0].note.text == ""


def test_an_absurd_count_is_refused_at_its_row(make_form: MakeForm) -> None:
    form = make_form()
    form.name.setText("Harbour stall")
    form.more.click()
    form.rows[0].count.setText("999999999")
    form.rows[1].count.setText("5")
    form.action_button.click()
    assert form.isVisible()
    assert form.rows[0].note.text != ""
    assert form.rows[1].note.text == ""


def test_the_same_crop_twice_is_refused_at_the_second(make_form: MakeForm) -> None:
    form = make_form()
    form.name.setText("Harbour stall")
    form.more.click()
    for row in form.rows:
        row.crop.choose(form.rows[0].crop.value())
        row.count.setText("5")
    form.action_button.click()
    assert "twice" in form.rows[1].note.text


def test_a_day_before_the_season_is_refused_at_the_day(make_form: MakeForm) -> None:
    form = make_form(on=date(2019, 1, 1))
    form.name.setText("Harbour stall")
    form.action_button.click()
    assert form.isVisible()
    assert form.board.fields["starts_at"].note.text != ""


def test_a_run_of_weekly_markets_is_one_step_and_keeps_its_hour(
    make_form: MakeForm, session: Session
) -> None:
    before = session.season.book
    form = make_form(on=date(2026, 10, 17))
    form.name.setText("Harbour stall")
    form.rows[0].count.setText("60")
    form.repeats.setChecked(True)
    form.until.set_day(date(2026, 11, 15))
    form.action_button.click()
    days = named(session, "Harbour stall")
    locals_ = [day.starts_at.astimezone(session.season.zone) for day in days]
    assert [local.date() for local in locals_] == [
        date(2026, 10, 17),
        date(2026, 10, 24),
        date(2026, 10, 31),
        date(2026, 11, 7),
        date(2026, 11, 14),
    ]
    assert {(local.hour, local.minute) for local in locals_} == {(8, 0)}
    # the clocks change in this zone while the run lasts
    assert len({local.utcoffset() for local in locals_}) == 2
    wanted = [w for w in session.season.book.wants.values() if w.market_day_id == days[4].id]
    assert [w.count for w in wanted] == [60]
    session.season.undo()
    assert session.season.book.market_days == before.market_days
    assert session.season.book.wants == before.wants


def test_a_run_is_offered_to_end_on_the_same_day_of_the_week(make_form: MakeForm) -> None:
    form = make_form(on=date(2026, 10, 17))
    assert form.until.day() == date(2026, 11, 14)
    form.on.line.setFocus()
    form.on.line.selectAll()
    QTest.keyClicks(form.on.line, "24 oct")
    assert form.until.day() == date(2026, 11, 21)
    # What was said holds.
    form.until.set_day(date(2026, 12, 5))
    form.on.set_day(date(2026, 10, 31))
    assert form.until.day() == date(2026, 12, 5)


def test_a_run_that_ends_before_it_begins_is_refused(make_form: MakeForm, session: Session) -> None:
    form = make_form(on=date(2026, 10, 17))
    form.name.setText("Harbour stall")
    form.repeats.setChecked(True)
    form.until.set_day(date(2026, 10, 1))
    form.action_button.click()
    assert form.board.fields["until"].note.text != ""
    assert named(session, "Harbour stall") == []


def test_changing_a_day_keeps_what_was_not_touched(make_form: MakeForm, session: Session) -> None:
    book = session.season.book
    day = max(book.market_days.values(), key=lambda day: day.starts_at)
    wants = {w.crop: w for w in book.wants.values() if w.market_day_id == day.id}
    form = make_form(day)
    assert not form.board.fields["until"].isVisible()
    form.rows[0].count.setText("77")
    form.action_button.click()
    book = session.season.book
    assert book.market_days[day.id] == day
    after = {w.crop: w for w in book.wants.values() if w.market_day_id == day.id}
    changed = form.rows[0].crop.value()
    assert after.keys() == wants.keys()
    for crop, want in after.items():
        assert want.id == wants[crop].id
        assert want.count == (77 if crop == changed else wants[crop].count)


def test_removing_a_want_removes_it(make_form: MakeForm, session: Session) -> None:
    day = max(session.season.book.market_days.values(), key=lambda day: day.starts_at)
    form = make_form(day)
    count, crop = len(form.rows), form.rows[0].crop.value()
    form.rows[0].remove.click()
    form.action_button.click()
    left = [w for w in session.season.book.wants.values() if w.market_day_id == day.id]
    assert len(left) == count - 1
    assert crop not in {w.crop for w in left}


def test_tab_goes_from_line_to_line_and_then_to_what_takes_them_away(
    qtbot: QtBot, make_form: MakeForm, session: Session
) -> None:
    day = max(session.season.book.market_days.values(), key=lambda day: day.starts_at)
    form = make_form(day)
    while len(form.rows) < 3:
        form.more.click()
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    form.rows[0].price.setFocus()
    went: list[QWidget | None] = []
    for _ in range(3 * 3 + 3 + 1):
        QTest.keyClick(keyboard(), Qt.Key.Key_Tab)
        went.append(QApplication.focusWidget())
    first, second, third = form.rows
    fields = [w for row in (second, third) for w in (row.crop, row.count, row.sold.unit, row.price)]
    removes = [row.remove for row in (first, second, third)]
    assert went[: len(fields) + 5] == [*fields, *removes, form.more, form.note]
    assert removes[0].accessibleName() == f"Remove this want: {first.crop.currentText()}"
    assert len({button.accessibleName() for button in removes}) == 3
    removes[0].setFocus()
    QTest.keyClick(removes[0], Qt.Key.Key_Space)
    assert form.rows == [second, third]
    assert second.count.hasFocus()


def test_lines_stand_in_columns_however_narrow(make_form: MakeForm, session: Session) -> None:
    """The heading over the first is longer than its first field."""
    form = make_form(max(session.season.book.market_days.values(), key=lambda day: day.starts_at))
    while len(form.rows) < 3:
        form.more.click()
    form.resize(form.minimumSizeHint().width(), form.height())
    QApplication.processEvents()
    for part in ("crop", "count", "price", "remove"):
        places = {getattr(row, part).geometry().getRect()[::2] for row in form.rows}
        assert len(places) == 1, part


def test_tab_passes_by_what_would_take_the_only_line_away(
    qtbot: QtBot, make_form: MakeForm
) -> None:
    form = make_form()
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    form.rows[0].price.setFocus()
    QTest.keyClick(form.rows[0].price, Qt.Key.Key_Tab)
    assert form.more.hasFocus()
    form.more.click()
    form.rows[1].remove.click()
    form.rows[0].price.setFocus()
    QTest.keyClick(form.rows[0].price, Qt.Key.Key_Tab)
    assert form.more.hasFocus()


def test_escape_throws_nothing_typed_away_at_once(make_form: MakeForm) -> None:
    form = make_form()
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()
    form = make_form()
    form.name.setText("Harbour stall")
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert form.isVisible()
    assert form.name.text() == "Harbour stall"
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()


def test_names_used_before_are_offered(make_form: MakeForm, session: Session) -> None:
    completer = make_form().name.completer()
    assert completer is not None
    completer.setCompletionPrefix("")
    assert completer.completionCount() == len(
        {day.name for day in session.season.book.market_days.values()}
    )


def test_a_new_day_starts_on_the_day_asked_for_in_the_morning(make_form: MakeForm) -> None:
    form = make_form(on=date(2026, 10, 20))
    assert form.on.day() == date(2026, 10, 20)
    assert form.at.clock() == time(8)


def test_a_day_that_is_past_is_asked_about_once(make_form: MakeForm, session: Session) -> None:
    today = session.season.now().date()
    assert (today.weekday(), today) == (3, date(2026, 10, 1))
    form = make_form()
    form.name.setText("Harbour stall")
    QTest.mouseClick(form.on.line, Qt.MouseButton.LeftButton)
    form.on.line.selectAll()
    QTest.keyClicks(form.on.line, "yesterday")
    QTest.keyClick(form.on.line, Qt.Key.Key_Return)
    assert form.isVisible()
    field = form.board.fields["starts_at"]
    assert "past" in field.note.text
    buttons = {button.text(): button for button in field.note.findChildren(QPushButton)}
    rather = buttons["No, " + session.words.day(today + timedelta(days=6))]
    assert "Keep as typed" in buttons
    rather.click()
    assert not form.isVisible()
    (day,) = named(session, "Harbour stall")
    assert day.starts_at.astimezone(session.season.zone).date() == date(2026, 10, 7)


def test_the_coming_saturday_is_typed_in_three_letters(
    make_form: MakeForm, session: Session
) -> None:
    form = make_form()
    QTest.keyClicks(form.name, "Harbour stall")
    form.on.line.selectAll()
    QTest.keyClicks(form.on.line, "sat")
    QTest.keyClick(form.on.line, Qt.Key.Key_Return)
    (day,) = named(session, "Harbour stall")
    assert day.starts_at.astimezone(session.season.zone).date() == date(2026, 10, 3)


def test_a_want_is_typed_in_pounds_and_comes_back_as_typed(
    make_form: MakeForm, session: Session
) -> None:
    form = make_form(on=date(2026, 10, 14))
    QTest.keyClicks(form.name, "Harbour stall")
    row = form.rows[0]
    row.crop.choose("pawpaw")
    QTest.keyClicks(row.sold.amount, "30 lb")
    QTest.keyClicks(row.price, session.words.number(4.5, 2))
    assert row.sold.sold_by == "lb"
    assert not row.sold.per_box.isVisible()
    assert row.in_fruit.isVisible()
    assert row.in_fruit.text().startswith("about ")
    form.action_button.click()
    (day,) = named(session, "Harbour stall")
    (want,) = (w for w in session.season.book.wants.values() if w.market_day_id == day.id)
    assert (want.sold_by, want.amount, want.unit_price_minor) == ("lb", 30.0, 450)
    assert f"about {want.count} fruit" in row.in_fruit.text()
    again = make_form(day).rows[0]
    assert again.sold.amount.text() == "30"
    assert again.sold.sold_by == "lb"
    assert again.in_fruit.isVisible()
    assert f"about {want.count} fruit" in again.in_fruit.text()
    assert again.price.text() == session.words.number(4.5, 2)


def test_fruit_in_a_box_are_asked_for_once(make_form: MakeForm, session: Session) -> None:
    form = make_form(on=date(2026, 10, 14))
    QTest.keyClicks(form.name, "Harbour stall")
    row = form.rows[0]
    row.crop.choose("pawpaw")
    QTest.keyClicks(row.sold.amount, "12 boxes")
    assert row.sold.per_box.isVisible()
    form.action_button.click()
    assert "box" in row.note.text
    QTest.keyClicks(row.sold.per_box, "15")
    assert row.in_fruit.text() == "180 fruit, 15 in a box"
    QTest.keyClicks(row.price, "30")
    assert row.in_fruit.text() == "180 fruit, 15 in a box, €30.00 a box"
    form.action_button.click()
    (day,) = named(session, "Harbour stall")
    (want,) = (w for w in session.season.book.wants.values() if w.market_day_id == day.id)
    assert (want.count, want.fruit_per_box) == (180, 15)
    form = make_form(on=date(2026, 10, 21))
    row = form.rows[0]
    row.crop.choose("pawpaw")
    QTest.keyClicks(row.sold.amount, "8 boxes")
    assert row.sold.per_box.text() == "15"


def test_one_day_is_one_day(make_form: MakeForm) -> None:
    form = make_form()
    shown = []
    for days in (0, 1, 2):
        form.eat_within.choose(days)
        shown.append(form.eat_within.currentText())
    assert shown == ["the same day", "1 day", "2 days"]


def test_as_usual_says_what_that_is(make_form: MakeForm) -> None:
    """Pawpaw has no days of its own and so three at a market; avocado is waited for longer."""
    form = make_form()
    form.rows[0].crop.choose("pawpaw")
    shown = []
    for kind in ("market", "festival", "farm stand", "shop order"):
        form.kind.choose(kind)
        shown.append(form.eat_within.currentText())
    assert shown == [
        "as usual (3 days)",
        "as usual (the same day)",
        "as usual (2 days)",
        "as usual (4 days)",
    ]
    form.kind.choose("market")
    form.more.click()
    form.rows[1].crop.choose("avocado")
    assert form.eat_within.currentText() == "as usual (3–4 days, by crop)"
    form.rows[0].remove.click()
    assert form.eat_within.currentText() == "as usual (4 days)"


def test_a_new_day_is_as_usual_and_the_keyboard_says_otherwise(
    make_form: MakeForm, session: Session
) -> None:
    for keys, days in (([], None), ([Qt.Key.Key_Down] * 2, 1), ([Qt.Key.Key_End], 30)):
        form = make_form(on=date(2026, 10, 14))
        QTest.keyClicks(form.name, f"Stall {days}")
        form.activateWindow()
        QTest.keyClick(form, Qt.Key.Key_E, Qt.KeyboardModifier.AltModifier)
        for key in keys:
            QTest.keyClick(form.eat_within, key)
        form.rows[0].count.setText("60")
        form.action_button.click()
        (day,) = named(session, f"Stall {days}")
        assert day.eat_within_days == days


def test_days_that_were_given_stay_and_can_be_given_up(
    make_form: MakeForm, session: Session
) -> None:
    book = session.season.book
    day = max(book.market_days.values(), key=lambda day: day.starts_at)
    for days in (30, 0, None):
        form = make_form(session.season.book.market_days[day.id])
        form.eat_within.choose(days)
        form.kind.choose("shop order")
        form.action_button.click()
        assert session.season.book.market_days[day.id].eat_within_days == days
        assert make_form(session.season.book.market_days[day.id]).eat_within.value() == days


def test_what_the_farm_grows_is_offered_first(make_form: MakeForm, session: Session) -> None:
    book = session.season.book
    grown = {c.crop for c in book.cultivars.values()} | {b.crop for b in book.batches.values()}
    form = make_form()
    assert form.rows[0].crop.value() in grown
    names = [form.rows[0].crop.itemText(n) for n in range(form.rows[0].crop.count())]
    assert set(names[: len(grown)]) == {session.season.crops[key].name for key in grown}
    assert len(names) == len(session.season.crops)


def test_a_crop_that_is_unknown_now_stays_wanted(make_form: MakeForm, session: Session) -> None:
    day = next(iter(session.season.book.market_days.values()))
    want = Want(id="w", market_day_id=day.id, crop="moonfruit", count=3)
    write(session.season, Action("a want from elsewhere", (want,)))
    assert "moonfruit" in [row.crop.value() for row in make_form(day).rows]
