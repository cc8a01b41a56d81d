"""The line at the foot of the window."""

from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
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
