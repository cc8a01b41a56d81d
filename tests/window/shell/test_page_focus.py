"""A page that is gone to has the keyboard where it is worked."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.window.main_window import MainWindow
from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.picks.page import PicksPage
from ripenroom.window.places.page import PlacesPage


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, key, modifier)
    QApplication.processEvents()


def test_market_days_begins_in_its_list(window: MainWindow) -> None:
    desk = window.desk
    assert desk is not None
    page = desk.page("market_days")
    assert isinstance(page, MarketDaysPage)
    press(Qt.Key.Key_6, Qt.KeyboardModifier.AltModifier)
    assert page.view.hasFocus()
    first = page.view.currentIndex().row()
    press(Qt.Key.Key_Down)
    assert page.view.currentIndex().row() == first + 1


def test_places_begins_at_the_first_slider(window: MainWindow) -> None:
    desk = window.desk
    assert desk is not None
    press(Qt.Key.Key_8, Qt.KeyboardModifier.AltModifier)
    page = desk.page("places")
    assert isinstance(page, PlacesPage)
    control = next(iter(page.lines.values())).control
    assert control.slider.hasFocus()
    press(Qt.Key.Key_Tab)
    assert control.box.hasFocus()


def test_a_page_that_is_in_front_already_keeps_the_keyboard_where_it_is(
    window: MainWindow,
) -> None:
    desk = window.desk
    assert desk is not None
    press(Qt.Key.Key_8, Qt.KeyboardModifier.AltModifier)
    press(Qt.Key.Key_Tab)
    before = QApplication.focusWidget()
    press(Qt.Key.Key_8, Qt.KeyboardModifier.AltModifier)
    assert QApplication.focusWidget() is before


def test_what_is_found_is_gone_to_by_down_or_enter(qtbot: QtBot, window: MainWindow) -> None:
    desk = window.desk
    assert desk is not None
    for way in (Qt.Key.Key_Down, Qt.Key.Key_Return):
        press(Qt.Key.Key_3, Qt.KeyboardModifier.AltModifier)
        page = desk.page("picks")
        assert isinstance(page, PicksPage)
        before = len(page.session.season.book.batches)
        press(Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
        assert page.list.finder.hasFocus()
        press(way)
        assert page.list.table.hasFocus()
        assert len(page.list.selected()) == 1
        assert len(page.session.season.book.batches) == before
        page.list.table.clearSelection()
