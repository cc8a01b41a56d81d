"""Giving a batch ethylene."""

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.window.forms.batch_moves import EthyleneDialog, opened_by_ethylene
from ripenroom.window.session import Session
from tests.window.gated import pick


@pytest.fixture
def dialog(qtbot: QtBot, session: Session) -> EthyleneDialog:
    made = EthyleneDialog(session, pick(session, "anjou", warm=True))
    qtbot.addWidget(made)
    made.show()
    return made


def test_it_warns_first_and_offers_the_usual_hours(dialog: EthyleneDialog) -> None:
    said = " ".join(label.text() for label in dialog.findChildren(QLabel))
    for caution in ("burns", "proper equipment", "ventilate", "Local codes", "licensed"):
        assert caution in said
    gate = shipped_profiles()["anjou"].gate
    assert gate is not None
    assert gate.ethylene_days is not None
    hours = float(dialog.hours.text())
    assert 0.0 <= hours - 24.0 * gate.ethylene_days.value < 6.0
    assert hours % 6.0 == 0.0


def test_it_writes_the_treatment_down(session: Session, dialog: EthyleneDialog) -> None:
    dialog.hours.setText("48")
    dialog.accept()
    [treatment] = session.season.book.treatments.values()
    assert treatment.hours == 48.0
    assert not dialog.isVisible()
    session.season.undo()
    assert session.season.book.treatments == {}


@pytest.mark.parametrize("typed", ["", "long", "0", "9999"])
def test_hours_that_cannot_be_are_said_at_the_field(
    session: Session, dialog: EthyleneDialog, typed: str
) -> None:
    dialog.hours.setText(typed)
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.board.fields["hours"].note.text
    assert session.season.book.treatments == {}


def test_only_some_crops_heed_it(session: Session) -> None:
    season = session.season
    for crop, heeds in (("anjou", True), ("pawpaw", False)):
        batch_id = pick(session, crop, warm=True)
        assert opened_by_ethylene(season, season.book.batches[batch_id]) == heeds
