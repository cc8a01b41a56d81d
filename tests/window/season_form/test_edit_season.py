"""Changing the details of a season."""

from pytestqt.qtbot import QtBot

from ripenroom.window.season_form.edit_season import EditSeasonDialog
from ripenroom.window.session import Session


def test_an_untouched_edit_changes_nothing(qtbot: QtBot, session: Session) -> None:
    before = session.season.book.season
    dialog = EditSeasonDialog(session)
    qtbot.addWidget(dialog)
    dialog.accept()
    assert session.season.book.season == before


def test_a_new_name_and_zone_are_saved(qtbot: QtBot, session: Session) -> None:
    dialog = EditSeasonDialog(session)
    qtbot.addWidget(dialog)
    dialog.details.name.setText("Renamed")
    dialog.details.zone.choose("Pacific/Auckland")
    dialog.accept()
    season = session.season.book.season
    assert (season.name, season.zone) == ("Renamed", "Pacific/Auckland")
    assert session.words.zone == session.season.zone
