"""The line at the foot of the window."""

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.message_bar import MessageBar


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


def test_what_is_said_moves_nothing_and_is_read_whole(window: MainWindow) -> None:
    bar, desk = window.voice, window.desk
    assert desk is not None
    QApplication.processEvents()
    stood = desk.geometry()
    assert bar.geometry() == bar.place.geometry()
    for say in (bar.say, bar.warn):
        say("The disk is full, so this was not saved. Make room and try again. " * 4)
        QApplication.processEvents()
        assert desk.geometry() == stood
        assert bar.geometry().bottom() == bar.place.geometry().bottom()
        assert bar.height() > bar.place.height()
        layout = bar.layout()
        assert layout is not None
        assert bar.height() == layout.totalHeightForWidth(bar.width())
    bar.close_button.click()
    assert bar.geometry() == bar.place.geometry()
