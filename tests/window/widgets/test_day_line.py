"""A day is typed, stepped through and picked, and what was understood is shown."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTableView, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.texts import use_language
from ripenroom.window.widgets.day_line import CalendarPopup, DayLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.when import TimeLine

NOW = datetime(2026, 11, 30, 7, 30, tzinfo=ZoneInfo("America/New_York"))
LOCALE = QLocale("en_US")


class Form(QWidget):
    """A day, a time and another line, each in its field."""

    def __init__(self) -> None:
        super().__init__()
        self.day = DayLine(LOCALE, lambda: NOW, "ahead")
        self.clock = TimeLine(LOCALE)
        self.other = TypedLine()
        self.days = Field("&Day", self.day, self.clock)
        self.others = Field("&Other", self.other)
        layout = QVBoxLayout(self)
        layout.addWidget(self.others)
        layout.addWidget(self.days)


@pytest.fixture
def form(qtbot: QtBot) -> Form:
    made = Form()
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    made.other.setFocus()
    return made


def keys(widget: QWidget, *pressed: Qt.Key) -> None:
    for key in pressed:
        QTest.keyClick(widget, key)


def test_its_letter_reaches_the_line_and_typing_replaces_the_day(form: Form) -> None:
    QTest.keyClick(form.other, Qt.Key.Key_D, Qt.KeyboardModifier.AltModifier)
    assert form.day.line.hasFocus()
    QTest.keyClicks(form.day.line, "12/5")
    assert form.day.day() == date(2026, 12, 5)
    assert form.day.line.text() == "12/5"
    assert form.day.line.accessibleDescription() == "Sat Dec 5"
    keys(form.day.line, Qt.Key.Key_Tab)
    assert form.clock.hasFocus()
    assert form.day.line.text() == "Sat Dec 5"


def test_a_click_chooses_all_and_a_second_one_sets_the_cursor(form: Form) -> None:
    QTest.mouseClick(form.day.line, Qt.MouseButton.LeftButton)
    assert form.day.line.selectedText() == form.day.line.text()
    QTest.mouseClick(form.day.line, Qt.MouseButton.LeftButton)
    assert not form.day.line.hasSelectedText()


def test_another_year_is_shown(form: Form) -> None:
    form.day.set_day(date(2027, 1, 2))
    assert form.day.line.text() == "Sat Jan 2 2027"


def test_keys_go_by_days_and_weeks(form: Form) -> None:
    form.day.line.setFocus()
    line = form.day.line
    keys(line, Qt.Key.Key_Up)
    assert form.day.day() == date(2026, 12, 1)
    keys(line, Qt.Key.Key_Down, Qt.Key.Key_Down)
    assert form.day.day() == date(2026, 11, 29)
    keys(line, Qt.Key.Key_PageUp)
    assert form.day.day() == date(2026, 12, 6)
    keys(line, Qt.Key.Key_PageDown, Qt.Key.Key_PageDown)
    assert form.day.day() == date(2026, 11, 22)


def test_a_text_that_is_no_day_is_said_on_leaving_and_stays(form: Form) -> None:
    form.day.line.setFocus()
    QTest.keyClicks(form.day.line, "soonish")
    assert form.days.note.isHidden()  # nobody is told off while typing
    keys(form.day.line, Qt.Key.Key_Tab)
    assert form.day.line.text() == "soonish"
    assert "soonish" in form.days.note.text
    assert form.day.line.property("refused") is True
    form.days.clear_refusal()
    assert "soonish" in form.days.note.text  # it is still no day
    with pytest.raises(Refusal, match="soonish"):
        form.day.typed_day("on")
    form.day.line.setFocus()
    QTest.keyClicks(form.day.line, "sat")
    assert form.days.note.isHidden()
    assert form.day.typed_day("on") == date(2026, 12, 5)


def test_a_weekday_that_is_not_the_dates_is_refused_in_words(form: Form) -> None:
    form.day.line.setFocus()
    QTest.keyClicks(form.day.line, "thu dec 5")
    assert form.day.day() is None
    keys(form.day.line, Qt.Key.Key_Tab)
    assert form.days.note.text == "! “thu dec 5” is not right: that day is Sat Dec 5."
    with pytest.raises(Refusal, match="that day is Sat Dec 5"):
        form.day.typed_day("on")


@pytest.mark.parametrize(
    ("spoken", "locale", "shown", "hint"),
    [
        ("en", "de_DE", "Sat 5 Dec", "5/12, 5 Dec, sat"),
        ("en", "fr_FR", "Sat 5 Dec", "5/12, 5 Dec, sat"),
        ("en", "en_US", "Sat Dec 5", "12/5, Dec 5, sat"),
        ("es", "en_US", "sáb 5 dic", "12/5, 5 dic,"),
    ],
)
def test_days_are_named_in_the_language_of_the_window(
    qtbot: QtBot, spoken: str, locale: str, shown: str, hint: str
) -> None:
    use_language(spoken)
    try:
        line = DayLine(QLocale(locale), lambda: NOW, "ahead")
        qtbot.addWidget(line)
        line.set_day(date(2026, 12, 5))
        assert line.line.text() == shown
        assert hint in line.line.toolTip()
        line.show_calendar()
        (popup,) = line.findChildren(CalendarPopup)
        assert popup.month.locale().language() == QLocale(spoken).language()
        assert popup.month.firstDayOfWeek() == QLocale(locale).firstDayOfWeek()
        popup.close()
    finally:
        use_language("en")


def popup_of(form: Form) -> CalendarPopup:
    (popup,) = (w for w in form.findChildren(CalendarPopup) if w.isVisible())
    return popup


def test_a_calendar_opens_with_large_cells_and_is_worked_by_keys(form: Form) -> None:
    form.day.line.setFocus()
    QTest.keyClick(form.day.line, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    popup = popup_of(form)
    table = popup.month.findChild(QTableView)
    assert table is not None
    cells = [cell for cell in range(8) if table.columnWidth(cell) > 0]
    assert len(cells) == 7
    assert min(table.columnWidth(cell) for cell in cells) >= 32
    assert min(table.rowHeight(row) for row in range(1, 7)) >= 32
    keys(table, Qt.Key.Key_Right, Qt.Key.Key_Down, Qt.Key.Key_Return)
    assert form.day.day() == date(2026, 12, 8)
    assert not popup.isVisible()
    assert form.day.line.text() == "Tue Dec 8"


def test_escape_leaves_the_day_as_it_was(form: Form) -> None:
    form.day.button.click()
    popup = popup_of(form)
    table = popup.month.findChild(QTableView)
    assert table is not None
    keys(table, Qt.Key.Key_Right, Qt.Key.Key_Escape)
    assert not popup.isVisible()
    assert form.day.day() == NOW.date()


def test_a_day_is_picked_by_mouse(form: Form) -> None:
    QTest.mouseClick(form.day.button, Qt.MouseButton.LeftButton)
    popup = popup_of(form)
    QApplication.processEvents()
    table = popup.month.findChild(QTableView)
    assert table is not None
    model = table.model()
    cells = [model.index(row, column) for row in range(1, 7) for column in range(1, 8)]
    cell = next(index for index in reversed(cells) if index.data() == 5)
    spot = table.visualRect(cell).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert form.day.day() == date(2026, 12, 5)
    assert not popup.isVisible()


def test_the_time_is_read_when_the_line_is_left(form: Form) -> None:
    form.clock.setFocus()
    QTest.keyClicks(form.clock, "930")
    keys(form.clock, Qt.Key.Key_Tab)
    assert form.clock.clock() == time(9, 30)
    assert form.clock.text().replace("\N{NARROW NO-BREAK SPACE}", " ") == "9:30 AM"
    keys(form.clock, Qt.Key.Key_Up)
    assert form.clock.clock() == time(9, 45)
    form.clock.set_time(time(23, 50))
    keys(form.clock, Qt.Key.Key_PageUp)
    assert form.clock.clock() == time(0, 50)
    form.clock.setFocus()
    form.clock.selectAll()
    QTest.keyClicks(form.clock, "noonish")
    form.other.setFocus()
    assert "noonish" in form.days.note.text
