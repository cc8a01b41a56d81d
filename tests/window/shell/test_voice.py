"""The line at the foot of the window."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.message_bar import MessageBar
from ripenroom.window.shell.page_stack import PAGES
from tests.accessible import tab_order
from tests.window.test_sizes import settle
from tests.window.week.hands import keyboard


def test_it_rests_on_where_everything_is_saved(qtbot: QtBot) -> None:
    voice = MessageBar()
    qtbot.addWidget(voice)
    voice.rest_on("Saved in a file")
    assert voice.text == "Saved in a file"
    voice.say("Added 3 batches")
    voice.rest_on("Saved in a file")
    assert voice.text == "Added 3 batches"
    voice.fall_silent()
    assert voice.text == "Saved in a file"


def test_a_refusal_stays_until_it_is_closed_or_something_is_done(qtbot: QtBot) -> None:
    voice = MessageBar()
    qtbot.addWidget(voice)
    voice.refuse(Refusal("", "The disk is full."))
    voice.rest_on("Saved")
    assert voice.text == "! The disk is full."
    voice.say("Done")
    assert voice.text == "Done"
    voice.warn("Gone.")
    voice.close_button.click()
    assert voice.text == "Saved"


def test_a_long_path_takes_no_second_line(qtbot: QtBot) -> None:
    voice = MessageBar()
    qtbot.addWidget(voice)
    voice.rest_on("Saved in season.ripenroom")
    voice.resize(400, voice.sizeHint().height())
    voice.show()
    height = voice.heightForWidth(400) if voice.hasHeightForWidth() else voice.sizeHint().height()
    path = "/home/grower" + "/a folder in a folder" * 20 + "/season.ripenroom"
    voice.rest_on(f"Saved in {path}")
    now = voice.heightForWidth(400) if voice.hasHeightForWidth() else voice.sizeHint().height()
    assert (now, voice.minimumSizeHint().width() <= 400) == (height, True)
    # All of it is still there to be read.
    assert path in voice.text
    line = voice.childAt(30, voice.height() // 2)
    assert line is not None
    assert path in line.toolTip()


LONG = "The disk is full, so this was not saved. Make room and try again. " * 4


def is_whole(bar: MessageBar) -> bool:
    """Whether all that is said can be read, down to the foot of the window."""
    layout = bar.layout()
    assert layout is not None
    at_the_foot = bar.geometry().bottom() == bar.place.geometry().bottom()
    return at_the_foot and bar.height() == layout.totalHeightForWidth(bar.width())


def test_what_is_said_for_a_while_moves_nothing_and_is_read_whole(window: MainWindow) -> None:
    bar, desk = window.voice, window.desk
    assert desk is not None
    settle()
    stood = desk.geometry()
    assert bar.geometry() == bar.place.geometry()
    bar.say(LONG)
    settle()
    assert desk.geometry() == stood
    assert bar.height() > bar.place.height()
    assert is_whole(bar)
    QTest.keyClick(window, Qt.Key.Key_Escape)
    assert bar.geometry() == bar.place.geometry()


@pytest.mark.parametrize(
    ("size", "text_percent"),
    [((1024, 700), 150), pytest.param((1366, 768), 100, marks=pytest.mark.long)],
)
def test_what_stays_until_it_is_closed_hides_nothing(
    window: MainWindow, size: tuple[int, int], text_percent: int
) -> None:
    window.appearance.set_text_percent(text_percent)
    window.resize(*size)
    bar, desk = window.voice, window.desk
    assert desk is not None
    for name in PAGES:
        desk.go_to(name)
        settle()
        stood = desk.geometry()
        bar.warn(LONG)
        settle()
        assert is_whole(bar)
        assert not desk.geometry().intersects(bar.geometry()), name
        assert desk.geometry().topLeft() == stood.topLeft()
        assert window.size().toTuple() == size
        bar.fall_silent()
        settle()
        assert desk.geometry() == stood
    window.appearance.set_text_percent(100)


def test_a_window_too_small_for_it_does_not_grow(window: MainWindow) -> None:
    window.appearance.set_text_percent(200)
    settle()
    window.resize(window.minimumSizeHint())
    settle()
    size, bar = window.size(), window.voice
    bar.warn(LONG)
    settle()
    assert window.size() == size
    assert is_whole(bar)
    window.appearance.set_text_percent(100)


@pytest.mark.usefixtures("few_batches")
def test_escape_closes_it_wherever_the_keyboard_is(window: MainWindow) -> None:
    desk, bar = window.desk, window.voice
    assert desk is not None
    for name in PAGES:
        desk.go_to(name)
        settle()
        tried = set[type]()
        for widget in desk.page(name).findChildren(QWidget):
            kind = type(widget)
            takes_keys = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
            if takes_keys and widget.isVisible() and kind not in tried:
                tried.add(kind)
                widget.setFocus()
                bar.warn("Gone.")
                QTest.keyClick(keyboard(), Qt.Key.Key_Escape)
                assert bar.text.startswith("Saved in "), (name, widget)
        assert tried


def test_it_leaves_once_something_is_changed(window: MainWindow) -> None:
    session, bar = window.session, window.voice
    assert session is not None
    details = session.season.book.season
    bar.warn("Gone.")
    session.changed.emit(Changed(clock=True))
    assert bar.text == "! Gone."
    session.do("", actions.season.save, replace(details, name="Other name"))
    assert bar.text.startswith("Saved in ")
    # Nor does what was done before the last action stand beside it.
    bar.say("Added 1 batch: P-1207-2")
    session.changed.emit(Changed(clock=True))
    assert bar.text.startswith("Added")
    session.do("", actions.season.save, replace(details, name="Another one"))
    assert bar.text.startswith("Saved in ")
    session.do("Named", actions.season.save, details)
    assert bar.text == "Named"


def test_it_is_the_last_stop_of_tab_and_takes_no_keyboard_by_a_click(window: MainWindow) -> None:
    desk, bar = window.desk, window.voice
    assert desk is not None
    desk.go_to("picks")
    settle()
    bar.warn(LONG)
    settle()
    steps = tab_order(window)
    assert bar.close_button in [step.widget for step in steps]
    assert [step.wrong for step in steps if step.wrong] == []
    before = keyboard()
    QTest.mouseClick(bar.close_button, Qt.MouseButton.LeftButton)
    assert keyboard() is before
    assert bar.text.startswith("Saved in ")
