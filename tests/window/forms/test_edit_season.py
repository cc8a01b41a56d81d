"""Changing the details of a season."""

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.season_details import EditSeasonDialog
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


def test_hands_are_a_limit_that_stays_and_can_be_taken_off(qtbot: QtBot, session: Session) -> None:
    def saved(typed: str) -> int | None:
        dialog = EditSeasonDialog(session)
        qtbot.addWidget(dialog)
        dialog.hands.setText(typed)
        dialog.accept()
        return session.season.book.season.crates_moved_per_evening

    assert saved("14") == 14
    dialog = EditSeasonDialog(session)
    qtbot.addWidget(dialog)
    assert dialog.hands.text() == "14"
    dialog.accept()
    assert session.season.book.season.crates_moved_per_evening == 14
    assert saved(" ") is None


@pytest.mark.parametrize("typed", ["a few", "0", "2.5"])
def test_hands_that_cannot_be_are_refused_at_their_field(
    qtbot: QtBot, session: Session, typed: str
) -> None:
    dialog = EditSeasonDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.hands.setText(typed)
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.board.fields["crates_moved_per_evening"].note.text


def test_what_moving_a_crate_costs_is_kept_and_can_be_left_to_the_estimate(
    qtbot: QtBot, session: Session
) -> None:
    def saved(typed: str) -> int | None:
        dialog = EditSeasonDialog(session)
        qtbot.addWidget(dialog)
        dialog.move_cost.setText(typed)
        dialog.accept()
        return session.season.book.season.crate_move_minor

    assert saved("0.80") == 80
    dialog = EditSeasonDialog(session)
    qtbot.addWidget(dialog)
    assert dialog.move_cost.text() == session.words.number(0.8, 2)
    assert saved("") is None
    dialog.show()
    dialog.move_cost.setText("much")
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.board.fields["crate_move_minor"].note.text
