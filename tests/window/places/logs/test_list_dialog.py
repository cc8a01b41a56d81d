"""The logs of a place: listed, told of, taken out."""

import re

from pytestqt.qtbot import QtBot

from ripenroom.window.places.logs.list_dialog import LogListDialog
from ripenroom.window.session import Session


def fridge(session: Session) -> str:
    return next(p.id for p in session.season.book.places.values() if p.name == "Old fridge")


def test_the_log_is_listed_with_what_it_tells(qtbot: QtBot, session: Session) -> None:
    dialog = LogListDialog(session, fridge(session))
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.list.list.count() == 1
    assert "old-fridge.csv" in dialog.list.list.item(0).text()
    assert re.search(
        r"Ages avocado 1\.[2-6] times as fast as its thermostat says\.", dialog.report.text()
    )
    assert "Too warm by more than 2 °C" in dialog.report.text()
    assert "the set temperature counts then" in dialog.report.text()
    assert dialog.chart.isVisible()


def test_a_log_is_deleted_and_undone(qtbot: QtBot, session: Session) -> None:
    place_id = fridge(session)
    dialog = LogListDialog(session, place_id)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.list.list.setCurrentRow(0)
    dialog.list.delete_button.click()
    assert not session.season.ask.logs_of_place(place_id)
    assert dialog.list.list.count() == 0
    assert not dialog.chart.isVisible()
    assert not dialog.report.isVisible()
    session.season.undo()
    assert dialog.list.list.count() == 1


def test_adding_is_left_to_whoever_asked(qtbot: QtBot, session: Session) -> None:
    dialog = LogListDialog(session, fridge(session))
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog.add_asked
    dialog.list.add_button.click()
    assert dialog.add_asked
    assert not dialog.isVisible()
